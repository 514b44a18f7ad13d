package count

import (
	"fmt"
	"math"

	"gravid/stats"
	"gravid/stats/internal/root"
	"gravid/stats/tail"
)

// Observed is how many hits there were against how many were expected. Its
// Estimate is the ratio of the two; N counts the trials and Events the hits.
type Observed struct {
	stats.Estimate
	Expected float64 // the sum of the chances
	Variance float64 // of the hits, if the chances hold
	AtLeast  float64 // the chance of so many hits or more, if the chances hold
	AtMost   float64 // the chance of so many or fewer
}

// ObservedExpected holds hits against independent trials whose chances are
// taken as known. The limits of the ratio are exact: all odds are multiplied by
// the number that makes so many hits or more, or so many or fewer, as likely as
// half of 1 - level, by the distribution of a sum of unequal trials. With equal
// chances p they are those of ClopperPearson divided by p; with small ones they
// come near those of PoissonRate. The upper limit is never above trials/expected,
// which those of a Poisson count are. The limits leave 1 out exactly where
// AtLeast or AtMost is below half of 1 - level.
//
// Status is TooLittle without trials. The error is a *stats.InputError for a
// chance that does not lie between 0 and 1, and tells of hits that are not 0 to
// the number of trials, or a level (0 means 0.95) out of range.
func ObservedExpected(hits int, chances []float64, level float64) (Observed, error) {
	e, err := shareEstimate(hits, len(chances), level, "exact limits for a sum of unequal trials")
	if err != nil {
		return Observed{}, err
	}
	out := Observed{Estimate: e}
	odds := make([]float64, len(chances))
	reach := 100.0 // log odds beyond which all trials hit, or none does
	for i, p := range chances {
		if !(p > 0 && p < 1) {
			return Observed{}, &stats.InputError{Index: i, Reason: fmt.Sprintf("a chance must lie between 0 and 1, not %v", p)}
		}
		out.Expected += p
		out.Variance += p * (1 - p)
		odds[i] = logOdds(p)
		reach = math.Max(reach, math.Abs(odds[i])+100)
	}
	if !e.Status.Usable() {
		out.AtLeast, out.AtMost = math.NaN(), math.NaN()
		return out, nil
	}
	orMore := func(more float64) float64 { return summed(distribution(odds, more)[hits:]) }
	orFewer := func(more float64) float64 { return summed(distribution(odds, more)[:hits+1]) }
	out.AtLeast, out.AtMost = orMore(0), orFewer(0)
	out.Value, out.Attained = float64(hits)/out.Expected, out.Level
	q := (1 - out.Level) / 2
	limit := func(tail func(more float64) float64) (mean float64) {
		more := root.Between(func(more float64) float64 { return tail(more) - q }, -reach, reach, 1e-12)
		for _, log := range odds {
			mean += chanceOf(log + more)
		}
		return mean
	}
	out.Lo, out.Hi = 0, float64(len(chances))/out.Expected
	if hits > 0 {
		out.Lo = limit(orMore) / out.Expected
	}
	if hits < len(chances) {
		out.Hi = limit(orFewer) / out.Expected
	}
	return out, nil
}

// logOdds of a chance strictly between 0 and 1.
func logOdds(p float64) float64 { return math.Log(p) - math.Log1p(-p) }

// chanceOf is the chance with the given log odds.
func chanceOf(log float64) float64 { return 1 / (1 + math.Exp(-log)) }

// distribution is the probability of 0, 1, 2, ... hits where the log odds of each
// trial are raised by more. Nothing is taken away from anything, so that small
// tails keep their figures.
func distribution(odds []float64, more float64) []float64 {
	at := make([]float64, 1, len(odds)+1)
	at[0] = 1
	for _, log := range odds {
		hit, miss := chanceOf(log+more), chanceOf(-log-more)
		at = append(at, 0)
		for k := len(at) - 1; k > 0; k-- {
			at[k] = at[k]*miss + at[k-1]*hit
		}
		at[0] *= miss
	}
	return at
}

func summed(x []float64) (s float64) {
	for _, v := range x {
		s += v
	}
	return s
}

// FunnelLimits are the numbers of hits outside which a count of trials with a
// known share falls with a chance of half of 1 - level on either side. Between
// whole numbers of hits and trials the binomial tails are continued by the
// incomplete beta function: a whole number of hits lies on or outside a limit
// exactly where its own tail is at most half of 1 - level. A limit is NaN where
// even none, or all, would not be outside. The error tells of trials that are not
// positive, a share that does not lie between 0 and 1, or a level out of range.
//
// Control limits about a known share: Spiegelhalter (2005), Funnel plots for
// comparing institutional performance, who draws straight lines between whole
// numbers instead.
func FunnelLimits(trials, share, level float64) (low, high float64, err error) {
	level, err = stats.LevelOrDefault(level)
	switch {
	case err != nil:
	case !(trials > 0) || math.IsInf(trials, 1):
		err = fmt.Errorf("the trials must be positive and finite, not %v", trials)
	case !(share > 0 && share < 1):
		err = fmt.Errorf("the share must lie between 0 and 1, not %v", share)
	}
	if err != nil {
		return math.NaN(), math.NaN(), err
	}
	q := (1 - level) / 2
	atMost := func(c float64) float64 {
		if c >= trials {
			return 1 - q
		}
		return tail.BetaUpper(share, c+1, trials-c) - q
	}
	atLeast := func(c float64) float64 {
		if c <= 0 {
			return 1 - q
		}
		return tail.BetaLower(share, c, trials-c+1) - q
	}
	// Without a crossing the limit is NaN: at its end the tail is still above q.
	return root.Between(atMost, 0, trials, 1e-12*trials), root.Between(atLeast, 0, trials, 1e-12*trials), nil
}
