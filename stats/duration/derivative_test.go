package duration

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"

	"gravid/stats/internal/statstest"
)

var allFamilies = []Family{Lognormal, Weibull, LogLogistic, Normal, Gamma}

// The derivatives of the log-likelihood of every kind of observation, against
// differences of the log-likelihood and of the derivatives themselves.
func TestRowDerivatives(t *testing.T) {
	inf := math.Inf(1)
	kinds := map[string]Observation{
		"exact":               {Span: Span{7, 7}},
		"right-censored":      {Span: Span{7, inf}},
		"left-censored":       {Span: Span{0, 7}},
		"interval":            {Span: Span{5, 8}},
		"exact, late entry":   {Span: Span{7, 7}, Entry: 3},
		"right, late entry":   {Span: Span{7, inf}, Entry: 3},
		"interval, entry in":  {Span: Span{5, 8}, Entry: 6},
		"origin window exact": {Span: Span{7, 7}, Origin: Span{-1, 2}},
		"doubly interval":     {Span: Span{5, 8}, Origin: Span{-1, 2}},
		"doubly right":        {Span: Span{5, inf}, Origin: Span{-1, 2}},
		"windows overlap":     {Span: Span{1, 8}, Origin: Span{-1, 2}},
		"window, late entry":  {Span: Span{5, 8}, Origin: Span{-1, 2}, Entry: 3},
	}
	points := [][2]float64{{1.9, -0.5}, {1, 0.4}, {3.5, -1}, {0.2, -0.2}}
	for name, o := range kinds {
		require.Empty(t, o.contradiction(), name)
		for _, f := range allFamilies {
			r := newRow(f, o, 12)
			for _, p := range points {
				value := func(x []float64) float64 { return r.at(f, x[0], x[1], true).value }
				got := r.at(f, p[0], p[1], true)
				what := name + ", " + f.String()
				statstest.Near(t, r.at(f, p[0], p[1], false).value, got.value, 1e-12, what+", value with and without derivatives")
				want := fd.Gradient(nil, value, p[:], &fd.Settings{Formula: fd.Central})
				statstest.NearAll(t, want, []float64{got.eta, got.sigma}, 1e-5, what+", gradient")
				slopes := mat.NewDense(2, 2, nil)
				fd.Jacobian(slopes, func(y, x []float64) {
					d := r.at(f, x[0], x[1], true)
					y[0], y[1] = d.eta, d.sigma
				}, p[:], &fd.JacobianSettings{Formula: fd.Central})
				statstest.NearAll(t, slopes.RawMatrix().Data, []float64{got.etaEta, got.etaSigma, got.etaSigma, got.sigmaSigma}, 1e-5, what+", second derivatives")
			}
		}
	}
}

func TestObjectiveDerivatives(t *testing.T) {
	obs := widened(world(11, 50))
	covariates := []Covariate{{"a", make([]float64, len(obs))}, {"b", make([]float64, len(obs))}}
	for i := range obs {
		covariates[0].Values[i], covariates[1].Values[i] = math.Sin(float64(i)), float64(i%3)
	}
	for _, f := range allFamilies {
		settings := AFTSettings{Family: f, OriginNodes: 12}
		records, err := aftRecords(obs, covariates, settings)
		require.NoError(t, err)
		rows := settings.rows(records)
		standardise(rows, 2)
		l := &likelihood{family: f, rows: rows, free: true, penalty: 1}
		theta := []float64{3, 0.1, -0.2, -0.4}
		if f == Normal {
			theta = []float64{22, 1, -2, 2.3}
		}
		grad, hess := make([]float64, 4), mat.NewSymDense(4, nil)
		l.objective(theta, grad, hess)
		value := func(x []float64) float64 { return l.objective(x, nil, nil) }
		statstest.NearAll(t, fd.Gradient(nil, value, theta, &fd.Settings{Formula: fd.Central}), grad, 1e-5, f.String()+" gradient")
		want := mat.NewDense(4, 4, nil)
		fd.Jacobian(want, func(y, x []float64) {
			clear(y)
			l.objective(x, y, mat.NewSymDense(4, nil))
		}, theta, &fd.JacobianSettings{Formula: fd.Central})
		for i := range 4 {
			for j := range 4 {
				statstest.Near(t, want.At(i, j), hess.At(i, j), 2e-5, f.String()+" second derivative")
			}
		}
	}
}

func TestFamilyIdentities(t *testing.T) {
	for _, f := range allFamilies {
		for _, p := range []float64{1e-12, 1e-3, 0.2, 0.5, 0.9, 1 - 1e-6} {
			lower, upper := f.logTails(f.quantile(p))
			statstest.NearRel(t, p, math.Exp(lower), 1e-9, f.String()+": F(quantile(p))")
			statstest.NearRel(t, 1-p, math.Exp(upper), 1e-9, f.String()+": S(quantile(p))")
		}
		for _, z := range []float64{-60, -9, -2, 0, 0.3, 2, 4.5, 6} {
			lower, upper := f.logTails(z)
			require.True(t, lower <= 0 && upper <= 0)
			statstest.Near(t, 1, math.Exp(lower)+math.Exp(upper), 1e-12, f.String()+": F + S")
			density := fd.Derivative(func(x float64) float64 { l, _ := f.logTails(x); return l }, z, &fd.Settings{Formula: fd.Central, Step: 1e-5})
			statstest.Near(t, math.Exp(f.logDensity(z)-lower), density, 1e-5, f.String()+": density over F")
			statstest.Near(t, math.Exp(f.logBetween(z, z+1)), f.between(z, z+1), 1e-12, f.String()+": probability of an interval")
		}
	}
	// Far tails, from the leading terms: log S(z) ~ -z^2/2 - log(z sqrt(2 pi)) for
	// the normal distribution; F(z) ~ exp(z) for the other two.
	lower, _ := Lognormal.logTails(-40)
	statstest.NearRel(t, -800-math.Log(40)-logRootTwoPi, lower, 1e-5, "normal tail at -40")
	for _, f := range []Family{Weibull, LogLogistic} {
		lower, _ = f.logTails(-800)
		require.Equal(t, -800.0, lower, f)
	}
}
