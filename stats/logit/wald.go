package logit

import (
	"math"

	"gravid/stats"
	"gravid/stats/tail"
)

// A Test is a test of one hypothesis. Its numbers are NaN where Status is not
// usable.
type Test struct {
	Statistic float64 // chi-square
	DF        int
	P         float64
	Method    string
	Status    stats.Status
	Warnings  []stats.Warning
}

// estimate starts an Estimate with what the model knows; value, lo and hi are
// still NaN.
func (m *Model) estimate(level float64, method string) stats.Estimate {
	nan := math.NaN()
	return stats.Estimate{
		Value: nan, Lo: nan, Hi: nan, Level: level, Attained: nan,
		N: int(math.Round(m.Trials)), Events: int(math.Round(m.Successes)),
		Method: method, Status: m.Status, Warnings: append([]stats.Warning(nil), m.Warnings...),
	}
}

// checkLevel panics on a level that is no coverage.
func checkLevel(level float64) {
	if !(level > 0 && level < 1) {
		panic("stats/logit: the level of an interval must lie between 0 and 1")
	}
}

// Wald returns slope j with the interval estimate plus and minus z standard
// errors. Where the outcomes are separated along column j, a standard error
// says nothing and the status is Separated: use Profile.
func (m *Model) Wald(j int, level float64) stats.Estimate {
	checkLevel(level)
	e := m.estimate(level, "Wald, "+m.Penalty.String())
	if !e.Status.Usable() {
		return e
	}
	if m.Separation.Involves(j) {
		e.Status = stats.Separated
		return e
	}
	half := tail.NormalUpperQuantile((1-level)/2) * m.SE[j]
	e.Value, e.Lo, e.Hi = m.Coef[j], m.Coef[j]-half, m.Coef[j]+half
	return e
}

// WaldTest tests slope j against 0 by the same rule as Wald.
func (m *Model) WaldTest(j int) Test {
	t := Test{Statistic: math.NaN(), DF: 1, P: math.NaN(), Method: "Wald, " + m.Penalty.String(), Status: m.Status, Warnings: m.Warnings}
	if t.Status.Usable() && m.Separation.Involves(j) {
		t.Status = stats.Separated
	}
	if t.Status.Usable() {
		z := m.Coef[j] / m.SE[j]
		t.Statistic, t.P = z*z, tail.NormalTwoSided(z)
	}
	return t
}
