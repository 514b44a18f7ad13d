package logit

import (
	"math"
	"slices"

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

// WaldTest tests that all the given slopes are 0, by the same rule as Wald.
func (m *Model) WaldTest(columns ...int) Test {
	t := m.newTest(len(columns), "Wald")
	t.wald(columns, m.Separation, m.Coef, m.Cov)
	return t
}

// wald tests that the slopes of the columns are 0, where no separation involves them.
func (t *Test) wald(columns []int, s Separation, coef []float64, cov [][]float64) {
	if t.Status.Usable() && slices.ContainsFunc(columns, s.Involves) {
		t.Status = stats.Separated
	}
	if !t.Status.Usable() {
		return
	}
	statistic, ok := quadraticForm(coef, cov, columns)
	if !ok {
		t.Status = stats.NotIdentifiable
		return
	}
	t.compare(statistic)
}

// WaldIntercept returns the intercept of Groups[g] with the interval estimate plus and
// minus z standard errors; TooLittle where it is infinite.
func (m *Model) WaldIntercept(g int, level float64) stats.Estimate {
	checkLevel(level)
	e := m.estimate(level, "Wald, "+m.Penalty.String())
	if e.Status.Usable() && m.fittedGroup(g) < 0 {
		e.Status = stats.TooLittle
	}
	if e.Status.Usable() {
		half := tail.NormalUpperQuantile((1-level)/2) * m.InterceptSE[g]
		e.Value, e.Lo, e.Hi = m.Intercept[g], m.Intercept[g]-half, m.Intercept[g]+half
	}
	return e
}

// WaldTestIntercept tests the intercept of Groups[g] against 0.
func (m *Model) WaldTestIntercept(g int) Test {
	t := m.newTest(1, "Wald")
	if t.Status.Usable() && m.fittedGroup(g) < 0 {
		t.Status = stats.TooLittle
	}
	if t.Status.Usable() {
		z := m.Intercept[g] / m.InterceptSE[g]
		t.compare(z * z)
	}
	return t
}

func (m *Model) newTest(df int, name string) Test {
	return Test{Statistic: math.NaN(), DF: df, P: math.NaN(), Method: name + ", " + m.Penalty.String(), Status: m.Status, Warnings: m.Warnings}
}

// OneSided is the p-value against the alternative that the slope lies above 0, or below
// it, given its estimate: of the signed root of a statistic with one degree of freedom.
// It is NaN for others. The side has to be chosen before the records are looked at.
func (t Test) OneSided(estimate float64, above bool) float64 {
	if t.DF != 1 || !t.Status.Usable() {
		return math.NaN()
	}
	return oneSided(t.P, estimate, above)
}

// oneSided makes a two-sided p-value of a symmetric statistic one-sided.
func oneSided(p, estimate float64, above bool) float64 {
	if (estimate > 0) == above {
		return p / 2
	}
	return 1 - p/2
}
