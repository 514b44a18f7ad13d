package power

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
	"sync/atomic"

	"gravid/stats"
	"gravid/stats/tail"
)

// An Outcome is what became of one simulated analysis.
type Outcome int

const (
	// Failed: the analysis gave no answer (not converged, separated, too little).
	Failed Outcome = iota
	// NotSeen: it gave an answer that does not rule out no difference.
	NotSeen
	// Seen: it ruled out no difference.
	Seen
)

// Simulated is the result of Simulate.
type Simulated struct {
	// Power is the share of runs in which the difference was seen, out of all runs,
	// with the exact interval of Clopper & Pearson (1934) for the simulation's own
	// chance.
	Power  stats.Estimate
	Runs   int
	Seen   int
	Failed int // counted against the plan, never left out
	Seed   uint64
}

// Simulate draws records and analyses them, runs times. Each run has a source of
// random numbers of its own, which follows from seed and the number of the run, so
// that the result is the same on any number of processors. run must not share what it
// writes. The error says that runs is not positive or level is none.
func Simulate(runs int, seed uint64, level float64, run func(rng *rand.Rand) Outcome) (Simulated, error) {
	level, err := stats.LevelOrDefault(level)
	if err != nil {
		return Simulated{}, err
	}
	if runs < 1 {
		return Simulated{}, fmt.Errorf("the number of runs must be positive, not %d", runs)
	}
	outcomes := make([]Outcome, runs)
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), runs) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < runs; i = int(next.Add(1)) - 1 {
				outcomes[i] = run(rand.New(rand.NewPCG(seed, uint64(i))))
			}
		})
	}
	wg.Wait()
	out := Simulated{Runs: runs, Seed: seed}
	for _, o := range outcomes {
		switch o {
		case Seen:
			out.Seen++
		case Failed:
			out.Failed++
		}
	}
	out.Power = share(out.Seen, runs, level)
	if out.Failed > 0 {
		out.Power.Warnings = append(out.Power.Warnings, stats.Warn("failed-runs", "%d of %d simulated analyses gave no answer; they count as not seen", out.Failed, runs))
	}
	return out, nil
}

// share is k of n with its exact interval.
func share(k, n int, level float64) stats.Estimate {
	half := (1 - level) / 2
	e := stats.Estimate{Value: float64(k) / float64(n), Lo: 0, Hi: 1, Level: level, Attained: math.NaN(), N: n, Events: k, Method: "Clopper-Pearson", Status: stats.OK}
	if k > 0 {
		e.Lo = tail.BetaQuantile(half, float64(k), float64(n-k+1))
	}
	if k < n {
		e.Hi = tail.BetaQuantile(1-half, float64(k+1), float64(n-k))
	}
	return e
}
