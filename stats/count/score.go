package count

import (
	"math"

	"gravid/stats"
	"gravid/stats/internal/root"
)

// twoShares starts an estimate that compares hits1/trials1 with hits2/trials2.
func twoShares(hits1, trials1, hits2, trials2 int, level float64, method string) (stats.Estimate, error) {
	a, err := shareEstimate(hits1, trials1, level, method)
	if err != nil {
		return a, err
	}
	b, err := shareEstimate(hits2, trials2, level, method)
	if err != nil {
		return b, err
	}
	a.N, a.Events = a.N+b.N, a.Events+b.Events
	if !a.Status.Usable() || !b.Status.Usable() {
		a.Warnings = nil
		return a.Without(stats.TooLittle, stats.Warn("no-observations", "one of the two shares has no trials")), nil
	}
	return a, nil
}

// A pair is the hits and trials of two shares.
type pair struct{ x1, n1, x2, n2 float64 }

func pairOf(hits1, trials1, hits2, trials2 int) pair {
	return pair{float64(hits1), float64(trials1), float64(hits2), float64(trials2)}
}

// stretch is what Miettinen & Nurminen (1985) multiply the variance by.
func (p pair) stretch() float64 { return (p.n1 + p.n2) / (p.n1 + p.n2 - 1) }

// MiettinenNurminen is the difference hits1/trials1 - hits2/trials2 with the
// score interval of Miettinen & Nurminen (1985): the differences that would not
// be rejected with the standard error they imply themselves. Status and errors
// are those of Newcombe.
func MiettinenNurminen(hits1, trials1, hits2, trials2 int, level float64) (stats.Estimate, error) {
	e, err := twoShares(hits1, trials1, hits2, trials2, level, "score (Miettinen-Nurminen) interval of a difference")
	if err != nil || !e.Status.Usable() {
		return e, err
	}
	p := pairOf(hits1, trials1, hits2, trials2)
	e.Value = p.x1/p.n1 - p.x2/p.n2
	z := normalLimit(e.Level)
	e.Lo, e.Hi = -1, 1
	if e.Value > -1 {
		e.Lo = root.Between(func(d float64) float64 { return p.differenceScore(d) - z }, -1, e.Value, 1e-13)
	}
	if e.Value < 1 {
		e.Hi = root.Between(func(d float64) float64 { return p.differenceScore(d) + z }, e.Value, 1, 1e-13)
	}
	return e, nil
}

// differenceScore is how many standard errors the difference lies above d.
func (p pair) differenceScore(d float64) float64 {
	p2 := p.bestSecond(d)
	p1 := math.Min(math.Max(p2+d, 0), 1)
	return standardised(p.x1/p.n1-p.x2/p.n2-d, (p1*(1-p1)/p.n1+p2*(1-p2)/p.n2)*p.stretch())
}

func standardised(difference, variance float64) float64 {
	if difference == 0 {
		return 0
	}
	return difference / math.Sqrt(variance)
}

// bestSecond is the second share of the pair that differ by d and fit best.
func (p pair) bestSecond(d float64) float64 {
	part := func(x, share float64) float64 {
		if x == 0 {
			return 0
		}
		return x / share
	}
	slope := func(p2 float64) float64 { // of the log-likelihood, which is concave
		p1 := p2 + d
		return part(p.x1, p1) - part(p.n1-p.x1, 1-p1) + part(p.x2, p2) - part(p.n2-p.x2, 1-p2)
	}
	lo, hi := math.Max(0, -d), math.Min(1, 1-d)
	switch {
	case !(slope(lo) > 0):
		return lo
	case !(slope(hi) < 0):
		return hi
	}
	return root.Between(slope, lo, hi, 1e-15)
}

// MiettinenNurminenRatio is the ratio (hits1/trials1) / (hits2/trials2) with
// their score interval. The ratio is +Inf, with a warning, where the second
// share had no hits; status is TooLittle if neither had. Errors are those of
// ClopperPearson.
func MiettinenNurminenRatio(hits1, trials1, hits2, trials2 int, level float64) (stats.Estimate, error) {
	p := pairOf(hits1, trials1, hits2, trials2)
	return scoreRatio(hits1, trials1, hits2, trials2, level, p.stretch(), "score (Miettinen-Nurminen) interval of a ratio")
}

// Koopman is MiettinenNurminenRatio with the variance as it is (Koopman 1984),
// which makes it a little shorter for few trials.
func Koopman(hits1, trials1, hits2, trials2 int, level float64) (stats.Estimate, error) {
	return scoreRatio(hits1, trials1, hits2, trials2, level, 1, "score (Koopman) interval of a ratio")
}

func scoreRatio(hits1, trials1, hits2, trials2 int, level, stretch float64, method string) (stats.Estimate, error) {
	e, err := twoShares(hits1, trials1, hits2, trials2, level, method)
	if err != nil || !e.Status.Usable() {
		return e, err
	}
	if e.Events == 0 {
		return e.Without(stats.TooLittle, stats.Warn("no-events", "neither of the two had any hits")), nil
	}
	p := pairOf(hits1, trials1, hits2, trials2)
	const furthest = 50 // of the log of the ratio
	e.Value = p.x1 / p.n1 / (p.x2 / p.n2)
	middle := math.Max(math.Min(math.Log(e.Value), furthest), -furthest)
	z := normalLimit(e.Level)
	e.Lo, e.Hi = 0, math.Inf(1)
	if hits1 > 0 {
		e.Lo = math.Exp(root.Between(func(l float64) float64 { return p.ratioScore(math.Exp(l), stretch) - z }, -furthest, middle, 1e-13))
	}
	if hits2 > 0 {
		e.Hi = math.Exp(root.Between(func(l float64) float64 { return p.ratioScore(math.Exp(l), stretch) + z }, middle, furthest, 1e-13))
		return e, nil
	}
	e.Warnings = append(e.Warnings, stats.Warn("no-upper-limit", "the second share had no hits, so the ratio has no upper limit; more trials of the second would set one"))
	return e, nil
}

// ratioScore is how many standard errors the first share lies above r times the
// second, the shares being those with that ratio that fit best: the smaller root
// of a quadratic.
func (p pair) ratioScore(r, stretch float64) float64 {
	a, b, c := (p.n1+p.n2)*r, r*(p.n1+p.x2)+p.x1+p.n2, p.x1+p.x2
	p2 := 2 * c / (b + math.Sqrt(math.Max(b*b-4*a*c, 0)))
	p1 := math.Min(r*p2, 1)
	p2 = math.Min(p2, 1)
	return standardised(p.x1/p.n1-r*p.x2/p.n2, (p1*(1-p1)/p.n1+r*r*p2*(1-p2)/p.n2)*stretch)
}
