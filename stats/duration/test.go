package duration

import (
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/tail"
)

// A Test of a hypothesis by a statistic that is chi-square if it holds.
type Test struct {
	Name      string  // what is tested
	ChiSquare float64 // NaN unless Status is usable
	DF        int
	P         float64 // NaN unless Status is usable
	N, Events int
	Method    string
	Status    stats.Status
	Warnings  []stats.Warning
}

// with fills in the statistic and its p-value.
func (t Test) with(chiSquare float64, df int) Test {
	t.ChiSquare, t.DF, t.P = chiSquare, df, tail.ChiSquareUpper(chiSquare, float64(df))
	return t
}

// quadratic is u' v^-1 u, and false where v is not positive definite.
func quadratic(u []float64, v *mat.SymDense) (float64, bool) {
	var chol mat.Cholesky
	var x mat.VecDense
	w := mat.NewVecDense(len(u), u)
	if !chol.Factorize(v) || chol.SolveVecTo(&x, w) != nil {
		return nan, false
	}
	return mat.Dot(w, &x), true
}

func (m Cox) test(name, method string) Test {
	return Test{
		Name: name, ChiSquare: nan, P: nan, DF: len(m.Names), N: m.N, Events: m.Events,
		Method: m.method() + ", " + method, Status: m.Status, Warnings: slices.Clone(m.Warnings),
	}
}

// LikelihoodRatio tests that all coefficients are 0 by the likelihood (with the
// penalty, if there is one).
func (m Cox) LikelihoodRatio() Test {
	t := m.test("all coefficients are 0", "likelihood-ratio test")
	if !m.Status.Usable() || len(m.Names) == 0 {
		return t
	}
	null := m.data.objective(make([]float64, len(m.Names)), nil, nil)
	return t.with(2*(m.peak.Value-null), len(m.Names))
}

// Wald tests that all coefficients are 0 by their covariance.
func (m Cox) Wald() Test {
	t := m.test("all coefficients are 0", "Wald test")
	if !m.Status.Usable() || len(m.Names) == 0 {
		return t
	}
	q, ok := quadratic(m.Coef, m.variance())
	if !ok {
		t.Status = stats.NotIdentifiable
		t.Warnings = append(t.Warnings, stats.Warn("flat", "the covariance of the coefficients is singular"))
		return t
	}
	if df, student := m.student(); student {
		k := float64(len(m.Names))
		t = t.with(q, len(m.Names))
		t.P = tail.FUpper(q/k, k, df)
		t.Method = m.method() + ", Wald test over clusters (F distribution)"
		return t
	}
	return t.with(q, len(m.Names))
}

// Score tests that all coefficients are 0 by the slope of the likelihood there,
// which needs no fit: it has a value where the likelihood is monotone too. For
// one covariate of 0 and 1 and Breslow or discrete ties it is the log-rank test.
func (m Cox) Score() Test {
	t := m.test("all coefficients are 0", "score test")
	if m.Status == stats.Separated {
		t.Status = stats.OK
	}
	if !t.Status.Usable() || len(m.Names) == 0 {
		return t
	}
	n := len(m.Names)
	info := mat.NewSymDense(n, nil)
	info.ScaleSym(-1, m.start.Hess)
	q, _ := quadratic(m.start.Grad, info) // positive definite, or the status would be NotIdentifiable
	return t.with(q, n)
}
