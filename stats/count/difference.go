package count

import (
	"math"

	"gravid/stats"
)

// Newcombe is the difference hits1/trials1 - hits2/trials2 with the hybrid
// score interval of Newcombe (1998, method 10), made of the Wilson limits of the
// two shares. N counts the trials of both. Status is TooLittle if either has no
// trials. Errors are those of ClopperPearson.
func Newcombe(hits1, trials1, hits2, trials2 int, level float64) (stats.Estimate, error) {
	a, err := Wilson(hits1, trials1, level)
	if err != nil {
		return a, err
	}
	b, err := Wilson(hits2, trials2, level)
	if err != nil {
		return b, err
	}
	e, err := twoShares(hits1, trials1, hits2, trials2, level, "hybrid score (Newcombe) interval")
	if err != nil || !e.Status.Usable() {
		return e, err
	}
	e.Value = a.Value - b.Value
	e.Lo = e.Value - math.Hypot(a.Value-a.Lo, b.Hi-b.Value)
	e.Hi = e.Value + math.Hypot(a.Hi-a.Value, b.Value-b.Lo)
	return e, nil
}

// Fisher is the two-sided p-value of Fisher's exact test that two shares are
// equal: the probability of all tables with the same margins that are no more
// likely than the one observed. Errors are those of ClopperPearson.
func Fisher(hits1, trials1, hits2, trials2 int) (float64, error) {
	if _, err := shareEstimate(hits1, trials1, 0, ""); err != nil {
		return math.NaN(), err
	}
	if _, err := shareEstimate(hits2, trials2, 0, ""); err != nil {
		return math.NaN(), err
	}
	m := newMargins(hits1, trials1, hits2, trials2)
	return noMoreLikely(m.logs, m.seen), nil
}

// noMoreLikely is the share of the total probability that lies on outcomes no
// more likely than the observed one. A tie may be missed by a rounding error,
// hence the margin, the same as in R.
func noMoreLikely(logs []float64, observed int) float64 {
	const margin = 1e-7
	top := math.Inf(-1)
	for _, l := range logs {
		top = math.Max(top, l)
	}
	var all, part float64
	for _, l := range logs {
		p := math.Exp(l - top)
		all += p
		if l <= logs[observed]+margin {
			part += p
		}
	}
	return math.Min(part/all, 1)
}

func logChoose(n, k int) float64 {
	a, _ := math.Lgamma(float64(n) + 1)
	b, _ := math.Lgamma(float64(k) + 1)
	c, _ := math.Lgamma(float64(n-k) + 1)
	return a - b - c
}
