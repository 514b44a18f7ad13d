package count

import (
	"math"

	"gravid/stats"
	"gravid/stats/internal/root"
)

// OddsRatio is the odds of the first share over those of the second with exact
// conditional limits (Fisher 1935; Cornfield 1956), which cover at least the
// level, and Fisher's two-sided p-value. The value is the conditional maximum
// likelihood estimate, which lies nearer to 1 than the ratio of the odds seen.
// It is 0 or +Inf, the latter with a warning, where the first has as few or as
// many hits as the totals allow; status is TooLittle where the totals allow one
// outcome only. Errors are those of ClopperPearson.
func OddsRatio(hits1, trials1, hits2, trials2 int, level float64) (Ratio, error) {
	e, err := twoShares(hits1, trials1, hits2, trials2, level, "exact conditional interval of the odds ratio")
	r := Ratio{e, math.NaN()}
	if err != nil || !e.Status.Usable() {
		return r, err
	}
	h := newMargins(hits1, trials1, hits2, trials2)
	last := len(h.logs) - 1
	if last == 0 {
		r.Estimate = e.Without(stats.TooLittle, stats.Warn("no-contrast", "both had nothing but hits or no hits at all"))
		return r, nil
	}
	r.Attained, r.P = e.Level, noMoreLikely(h.logs, h.seen)
	q := (1 - e.Level) / 2
	r.Value, r.Lo, r.Hi = 0, 0, math.Inf(1)
	if h.seen > 0 {
		r.Lo = h.solve(func(l float64) float64 { _, _, above := h.at(l); return above - q })
		r.Value = math.Inf(1)
	}
	if h.seen < last {
		r.Hi = h.solve(func(l float64) float64 { _, below, _ := h.at(l); return below - q })
	} else {
		r.Warnings = append(r.Warnings, stats.Warn("no-upper-limit", "the first had as many of the hits as it could have, so the odds ratio has no upper limit; more trials would set one"))
	}
	if 0 < h.seen && h.seen < last {
		r.Value = h.solve(func(l float64) float64 { mean, _, _ := h.at(l); return mean - float64(h.seen) })
	}
	return r, nil
}

// margins are the log probabilities, but for a constant, of the hits of the
// first share, counted from the least possible, given the totals and equal odds.
type margins struct {
	logs []float64
	seen int
}

func newMargins(hits1, trials1, hits2, trials2 int) margins {
	hits := hits1 + hits2
	least, most := max(0, hits-trials2), min(hits, trials1)
	m := margins{logs: make([]float64, 0, most-least+1), seen: hits1 - least}
	for k := least; k <= most; k++ {
		m.logs = append(m.logs, logChoose(trials1, k)+logChoose(trials2, hits-k))
	}
	return m
}

// at returns, where the log of the odds ratio is l, the mean and the
// probabilities of what was seen or less, and of what was seen or more.
func (m margins) at(l float64) (mean, below, above float64) {
	top := math.Inf(-1)
	for k, v := range m.logs {
		top = math.Max(top, v+float64(k)*l)
	}
	var all float64
	for k, v := range m.logs {
		p := math.Exp(v + float64(k)*l - top)
		all += p
		mean += float64(k) * p
		if k <= m.seen {
			below += p
		}
		if k >= m.seen {
			above += p
		}
	}
	return mean / all, below / all, above / all
}

func (m margins) solve(f func(l float64) float64) float64 {
	const furthest = 700
	return math.Exp(root.Between(f, -furthest, furthest, 1e-13))
}
