package main

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/stats/logit"
)

// The shares of attempts with the trigger and of spawnings, against integrals over
// keepers; attempts of a keeper are alike, so the tolerance is about 4 standard errors
// for 2000 clubs of 12 keepers.
func TestHusbandryTruth(t *testing.T) {
	h := skilled(1, 0.5, 0.7)
	h.attempts = slices.Repeat([]int{10}, 12)
	var used, spawned, both, n float64
	for _, tries := range many(2000, h.draw) {
		for _, a := range tries.list {
			n++
			used += oneIf(a.used)
			spawned += oneIf(a.spawned)
			both += oneIf(a.used && a.spawned)
		}
	}
	use := func(z float64) float64 { return logistic(h.use + h.tie*z) }
	with := func(z float64) float64 {
		return meanNormal(func(v float64) float64 { return logistic(h.base + h.skill*z + h.effect + h.differ*v) })
	}
	without := func(z float64) float64 { return logistic(h.base + h.skill*z) }
	require.InDelta(t, meanNormal(use), used/n, 0.007)
	require.InDelta(t, meanNormal(func(z float64) float64 { return use(z)*with(z) + (1-use(z))*without(z) }), spawned/n, 0.007)
	require.InDelta(t, meanNormal(func(z float64) float64 { return use(z) * with(z) }), both/n, 0.007)
}

// Without skill the log odds ratio of the pooled table is the one planted.
func TestPlantedOddsRatio(t *testing.T) {
	h := husbandry{attempts: []int{200_000}, base: -0.4, effect: math.Log(12), months: 12}
	tries := h.draw(rand.New(rand.NewPCG(1, 2)))
	// 0.02 is about 3 standard errors of the table.
	require.InDelta(t, math.Log(12), pooledWald(tries).value, 0.03)
	tables := tries.tables()
	require.Len(t, tables.Attempts, 200_000)
	for i, a := range tables.Attempts[:1000] {
		require.Equal(t, tries.list[i].used, a.LiveFood.V)
		require.Equal(t, tries.list[i].spawned, a.Spawned.V)
	}
}

func TestNeverFailed(t *testing.T) {
	e := separated(ask)
	for _, name := range []string{"36 of 36", "6 of 6"} {
		for _, f := range judged(t, e, name, 3) {
			require.Equal(t, inBand, f.Verdict, f.Measure)
		}
	}
}

// For the trigger alone, outcomes are separated when all keepers' pairs that tell
// (one spawning, one not, with and without) point the same way, and there is such a
// pair: the rule by hand against the linear program.
func TestLinearProgramAgainstPairs(t *testing.T) {
	h := husbandry{attempts: []int{4, 5, 3}, base: 0, skill: 0.7, effect: 2, months: 6}
	yes := 0
	for _, tries := range many(400, h.draw) {
		var n [3][2][2]int
		for _, a := range tries.list {
			n[a.keeper][int(oneIf(a.used))][int(oneIf(a.spawned))]++
		}
		up, down := false, false
		for _, k := range n {
			up = up || k[1][1] > 0 && k[0][0] > 0
			down = down || k[1][0] > 0 && k[0][1] > 0
		}
		require.Equal(t, up != down, separatedByProgram(tries, false))
		yes += int(oneIf(up != down))
	}
	require.Greater(t, yes, 40, "the rule must be tried both ways")
	require.Less(t, yes, 360)
}

// R 4.2.2: glm(y ~ x, binomial), and the sandwich of its working residuals by keeper
// times 12/11 with pt(, 11); the first table is separated, and glm says nothing of it.
func TestBlindSandwichAgainstR(t *testing.T) {
	var tries tries
	for k := range 12 {
		for i := range 8 {
			tries.list = append(tries.list, try{keeper: k, used: i < 3, spawned: i < 3 || (i+k)%3 == 0})
		}
	}
	f := blindSandwich(tries)
	require.InEpsilon(t, 20.259215701031525, f.value, 1e-8)
	require.InEpsilon(t, 2.440950557e-15, f.p, 1e-3)
	tries.list[0].spawned, tries.list[17].spawned = false, false
	f = blindSandwich(tries)
	require.InEpsilon(t, 3.526360523651169, f.value, 1e-8)
	require.InEpsilon(t, 0.0007457119549, f.p, 1e-6)
}

// Fronts are as long as they should be, fall in 4 of 10, shift by 0.8, and the two have
// nothing to do with each other. Tolerances are about 4 standard errors for 20000
// fronts.
func TestFrontsTruth(t *testing.T) {
	s := sky{keepers: 1, regions: 1, days: 100_000, front: 5, shock: 0.8}
	fall, shift, number := s.fronts(rand.New(rand.NewPCG(5, 6)))
	length := map[int]int{}
	var falls, moves, squares, product, n float64
	for day, k := range number[0] {
		if length[k]++; length[k] == 1 {
			n++
			falls += oneIf(fall[0][day])
			moves += shift[0][day]
			squares += shift[0][day] * shift[0][day]
			product += (oneIf(fall[0][day]) - fallShare) * shift[0][day]
		}
	}
	for k := 1; k < len(length)-1; k++ {
		require.Equal(t, 5, length[k])
	}
	require.InDelta(t, fallShare, falls/n, 0.015)
	require.InDelta(t, 0, moves/n, 0.025)
	require.InDelta(t, 0.64, squares/n, 0.03)
	require.InDelta(t, 0, product/n, 0.015)
}

// What gravid takes for a fall is what was planted, and the share of days at risk with
// a spawning is the one that follows: a keeper whose chance is h spawns after (1 -
// (1-h)^12)/h days at risk on average, or gives up after 12, and one day of setting up
// follows, so that the keeper's days at risk are r = t/(t+1) of all. The tolerance is
// about 4 standard errors for 400 clubs, and some for the last attempt, cut short.
func TestTankDaysTruth(t *testing.T) {
	s := sky{keepers: 12, regions: 2, days: 120, front: 3}
	var spawned, n, falls, rows float64
	for _, w := range many(400, s.draw) {
		for _, a := range w.records.Attempts {
			spawned += oneIf(a.Spawned.V)
			n += a.Ended.V.Sub(a.Began.V).Hours() / 24
		}
		d, front, _ := w.tankDays()
		byFront := map[int]float64{}
		for i := range d.Y {
			rows++
			falls += d.X[0][i]
			before, seen := byFront[front[i]]
			require.True(t, !seen || before == d.X[0][i], "the barometer falls on all days of a front or on none")
			byFront[front[i]] = d.X[0][i]
		}
	}
	chance := func(z float64) float64 { return logistic(math.Log(dailyChance/(1-dailyChance)) + dailySkill*z) }
	atRisk := func(z float64) float64 {
		days := (1 - math.Pow(1-chance(z), longestTry)) / chance(z)
		return days / (days + 1)
	}
	want := meanNormal(func(z float64) float64 { return chance(z) * atRisk(z) }) / meanNormal(atRisk)
	require.InDelta(t, want, spawned/n, 0.003)
	require.InDelta(t, fallShare, falls/rows, 0.015)
}

// A planted effect of the barometer comes back. 0.06 is about 4 standard errors of the
// mean of 100 clubs.
func TestPlantedEffectOfTheBarometer(t *testing.T) {
	s := sky{keepers: 12, regions: 1, days: 120, front: 5, effect: 1}
	slopes := values(many(100, s.draw), func(w weather) float64 {
		d, _, _ := w.tankDays()
		return firth(d).Coef[0]
	})
	m, _ := moments(slopes)
	require.InDelta(t, 1, m, 0.06)
}

// Hatching lies between its checks; the middle and the scatter of the true times are
// those planted.
func TestNurseryTruth(t *testing.T) {
	n := nursery{clutches: 20_000, median: 60, spread: 0.1, gaps: []float64{8, 14, 24, 36}, slope: math.Log(0.93), warmest: 3}
	list := n.draw(rand.New(rand.NewPCG(8, 9)))
	var logs []float64
	inWindow := 0.0
	for _, h := range list {
		require.True(t, h.laidFrom < h.laid && h.laid <= h.laidTo)
		require.True(t, h.lastNot < h.hatched && h.hatched <= h.firstly)
		logs = append(logs, math.Log(h.hatched-h.laid)-n.slope*(h.temperature-25))
		inWindow += (h.laid - h.laidFrom) / (h.laidTo - h.laidFrom) / float64(len(list))
	}
	m, sd := moments(logs)
	require.InDelta(t, math.Log(60), m, 0.003) // 4 standard errors of 0.1/sqrt(20000)
	require.InDelta(t, 0.1, sd, 0.002)
	require.InDelta(t, 0.5, inWindow, 0.01, "laying is as likely at any hour of its window")
}

// The chance of a new clutch within limits, by hand: the middle plus and minus 1.96
// standard deviations of the log.
func TestNewClutches(t *testing.T) {
	n := nursery{median: 60, spread: 0.1}
	require.InDelta(t, 0.95, n.newClutches(timingFinding{answered: true, from: 60 * math.Exp(-0.1959964), to: 60 * math.Exp(0.1959964)}), 1e-6)
	require.Zero(t, n.newClutches(timingFinding{}))
}

// Shares worked out by integration against counts of a large brood, 4 standard errors
// wide, and against each other.
func TestBroodTruth(t *testing.T) {
	require.InDelta(t, 1, hatchedBy(math.Inf(1))+fungusBy(math.Inf(1)), 1e-9)
	const n = 100_000
	list := brood{clutches: n, gap: 24}.draw(rand.New(rand.NewPCG(10, 11)))
	rng := rand.New(rand.NewPCG(12, 13))
	for _, at := range []float64{50, 60, 70, math.Inf(1)} {
		hatched, lost := 0.0, 0.0
		for range n { // without removal
			rate := fungusRate * math.Exp(fungusHeat*warmest*(2*rng.Float64()-1))
			hatch := hatchMedian * math.Exp(hatchSpread*rng.NormFloat64())
			fungus := rng.ExpFloat64() / rate
			hatched += oneIf(hatch < fungus && hatch <= at) / n
			lost += oneIf(fungus < hatch && fungus <= at) / n
		}
		require.InDelta(t, hatched, hatchedBy(at), 0.0065)
		require.InDelta(t, lost, fungusBy(at), 0.0065)
	}
	out := 0.0
	for _, f := range list {
		require.True(t, f.lastNot <= f.laid+f.end && f.laid+f.end <= f.seen)
		out += oneIf(f.cause == 0) / n
	}
	require.InDelta(t, 1.0/11, out, 0.005, "about 1 in 11 is taken out")
}

// Mean and variance of the counts: mean and mean + mean²/k. The share of empty
// clutches at k = 0.7 is (k/(k+mean))^k. Tolerances are about 4 standard errors.
func TestNegativeBinomialTruth(t *testing.T) {
	const n = 40_000
	for _, k := range []float64{0.7, 2, 5} {
		x := countClutches(rand.New(rand.NewPCG(14, 15)), n, k)
		m, sd := moments(x)
		want := eggsPerClutch + eggsPerClutch*eggsPerClutch/k
		require.InDelta(t, eggsPerClutch, m, 4*math.Sqrt(want/n))
		require.InEpsilon(t, math.Sqrt(want), sd, 0.04)
		rest := only(x, func(v float64) bool { return v > 0 })
		m, _ = moments(rest)
		require.InDelta(t, meanNotEmpty(k), m, 4*math.Sqrt(want/n))
	}
}

// The planted rate is that of many clubs together: 0.04 is about 4 standard errors.
func TestFemaleDaysTruth(t *testing.T) {
	var eggs, days float64
	rng := rand.New(rand.NewPCG(16, 17))
	for range 1500 {
		_, e, d := femaleDays(rng, 0.3)
		eggs, days = eggs+e, days+d
	}
	require.InDelta(t, spawnChance*eggsPerFemale/daysMean, eggs/days, 0.06)
}

// The triggers of E11 are noted in the columns that the catalogue reads, and have
// nothing to do with the outcome: log odds ratios within keepers are 0 on average.
func TestNotedTriggersMeanNothing(t *testing.T) {
	var sum [len(asked)]float64
	rng := rand.New(rand.NewPCG(18, 19))
	const clubs = 150
	for range clubs {
		tries := skilled(0, 0, 0).draw(rng)
		tables := tries.tables()
		note(rng, tables)
		d := tries.data()
		for j, trigger := range triggers(asked[:]...) {
			for i := range tables.Attempts {
				x := trigger.FromAttempt(&tables.Attempts[i])
				require.True(t, x.OK && (x.V == 0 || x.V == 1), trigger.Code)
				d.X[0][i] = x.V
			}
			sum[j] += mustFit(d, logit.Options{Penalty: logit.Firth}).Coef[0] / clubs
		}
	}
	for j, s := range sum { // 4 standard errors: 4 * 0.3/sqrt(150)
		require.InDelta(t, 0, s, 0.1, asked[j])
	}
}

// A fall over a window, by hand.
func TestFalls(t *testing.T) {
	level := []float64{0, 1, 3, 6, 10, 15}
	require.Equal(t, 5.0, falls(level, 0)[5])  // 15 - 10
	require.Equal(t, 9.0, falls(level, 1)[5])  // 15 - 6
	require.Equal(t, 12.0, falls(level, 2)[5]) // 15 - 3
	require.Equal(t, 4.0, falls(level, 3)[5])  // 10 - 6
	require.Equal(t, 3.0, falls(level, 4)[5])  // 6 - 3
}

func TestHourKeepsTheClock(t *testing.T) {
	require.Equal(t, start.Add(36*time.Hour+30*time.Minute), hour(36.5).V)
}

func BenchmarkReplicate(b *testing.B) {
	for _, e := range experiments() {
		b.Run(e.id, func(b *testing.B) {
			for b.Loop() {
				e.run(settings{replicates: 2, seed: 1, workers: 1})
			}
		})
	}
}
