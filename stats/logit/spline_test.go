package logit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// R 4.2.2 (splines::ns, Harrell's formula, glm): see
// stats/testdata/reference/SOURCES.md.
func TestSplineReference(t *testing.T) {
	dose := map[string]string{
		"spline_birthwt_lwt_3knots_adjusted": "lwt", "spline_birthwt_lwt_4knots_quantile": "lwt",
		"spline_pima_age_4knots_adjusted": "age", "spline_pima_glu_5knots": "glu",
	}
	for _, id := range statstest.IDs(t, "spline_*") {
		c := statstest.Load(t, id)
		table := statstest.LoadTable(t, c.Dataset()[0])
		require.Contains(t, dose, id)
		x := table.Floats(dose[id])
		knots := c.Floats("knots")
		natural, err := NaturalSpline(knots)
		require.NoError(t, err)
		restricted, err := RestrictedSpline(knots)
		require.NoError(t, err)
		for name, s := range map[string]Spline{"ns_basis": natural, "rcs_basis": restricted} {
			at := c.Floats(name, "at")
			basis := s.Basis(at)
			var rows [][]float64
			for i := range at {
				row := make([]float64, s.Columns())
				for j := range row {
					row[j] = basis[j][i]
				}
				rows = append(rows, row)
			}
			c.NearMatrix(rows, name, "matrix")
		}
		if id == "spline_birthwt_lwt_4knots_quantile" {
			q, err := QuantileKnots(x, 4)
			require.NoError(t, err)
			statstest.NearAll(t, knots, q, 1e-12, "knots at quantiles")
		}
		var models []*Model
		for name, s := range map[string]Spline{"ns": natural, "rcs": restricted} {
			d := Data{Y: table.Floats(outcomes[table.Name]), X: s.Basis(x)}
			var curved []int
			for j := range s.Columns() {
				if j > 0 {
					curved = append(curved, j)
				}
			}
			if c.Options != nil {
				if covariates, err := c.Options.Get("covariates").Texts(); err == nil {
					for _, name := range covariates {
						d.X = append(d.X, table.Floats(name))
					}
				}
			}
			m := requireFit(t, d, Options{})
			models = append(models, m)
			c.NearAll(append([]float64{m.Intercept[0]}, m.Coef...), name+"_coef")
			// R's standard errors come from the weights of the iteration before the last:
			// a 40-digit computation (mpmath) gave 0.83782782248246474 for the first one
			// of pima_glu, where R has 0.83782777689988264.
			statstest.NearAll(t, c.Floats(name+"_se"), append([]float64{m.InterceptSE[0]}, m.SE...), math.Max(1e-7, c.Tol(name+"_se")), id+" standard errors")
			c.Near(m.LogLik, "loglik")
			overall := m.LRTest(append([]int{0}, curved...)...)
			c.Near(overall.Statistic, "overall_lr", "chisq")
			c.Near(overall.P, "overall_lr", "p")
			level := c.Float("curve", "level")
			for k, x := range c.Floats("curve", "x") {
				curve, err := m.Contrast(append(s.Difference(x, c.Float("curve", "reference_x")), make([]float64, len(d.X)-s.Columns())...), level)
				require.NoError(t, err)
				statstest.Near(t, c.Floats("curve", "log_or")[k], curve.Value, math.Max(1e-7, c.Tol("curve")), id+" curve")
				statstest.Near(t, c.Floats("curve", "se")[k], curve.SE, 1e-6, id+" curve's standard error")
			}
			if name == "rcs" {
				wald := m.WaldTest(curved...)
				statstest.Near(t, c.Float("nonlinearity_wald", "chisq"), wald.Statistic, 1e-6, id+" Wald test for curvature")
				statstest.Near(t, c.Float("nonlinearity_wald", "p"), wald.P, 1e-6, id+" Wald test for curvature")
				require.Equal(t, int(c.Float("nonlinearity_wald", "df")), wald.DF)
				straight := requireFit(t, Data{Y: d.Y, X: append([][]float64{x}, d.X[s.Columns():]...)}, Options{})
				c.Near(straight.LogLik, "loglik_linear")
				c.NearAll(append([]float64{straight.Intercept[0]}, straight.Coef...), "linear_coef")
				bend := m.LRTest(curved...)
				require.Equal(t, int(c.Float("nonlinearity_lr", "df")), bend.DF)
				c.Near(bend.Statistic, "nonlinearity_lr", "chisq")
				c.Near(bend.P, "nonlinearity_lr", "p")
			}
		}
		a, b := models[0].LinearPredictor(), models[1].LinearPredictor()
		statstest.NearAll(t, a, b, 1e-7, "both bases make the same curve")
	}
}

// Straight beyond the outer knots, and smooth: second derivatives join at each knot
// and vanish at the ends, by differences.
func TestSplineShape(t *testing.T) {
	knots := []float64{-2, 0.5, 1, 4}
	for _, of := range []func([]float64) (Spline, error){RestrictedSpline, NaturalSpline} {
		s, err := of(knots)
		require.NoError(t, err)
		require.Equal(t, 3, s.Columns())
		require.Equal(t, knots, s.Knots())
		const h = 1e-3
		second := func(x float64, j int) float64 { return (s.At(x + h)[j] - 2*s.At(x)[j] + s.At(x - h)[j]) / h / h }
		for j := range 3 {
			for _, x := range []float64{-9, -3, 5, 30} {
				require.InDelta(t, 0, second(x, j), 1e-6)
			}
			for _, k := range knots {
				require.InDelta(t, second(k-2*h, j), second(k+2*h, j), 0.05)
			}
		}
	}
}

// Wherever the knots lie in whatever unit, the fit is the same.
func TestSplineUnits(t *testing.T) {
	rng := rand.New(rand.NewPCG(131, 132))
	d := randomData(rng, 300, 2, 3)
	x := d.X[1]
	scaled := make([]float64, len(x))
	for i := range x {
		scaled[i] = 1000 + 25*x[i]
	}
	fit := func(x []float64) *Model {
		knots, err := QuantileKnots(x, 5)
		require.NoError(t, err)
		s, err := RestrictedSpline(knots)
		require.NoError(t, err)
		return requireFit(t, Data{Y: d.Y, Group: d.Group, X: s.Basis(x)}, Options{Penalty: Firth})
	}
	a, b := fit(x), fit(scaled)
	statstest.NearAll(t, a.LinearPredictor(), b.LinearPredictor(), 1e-6, "unit")
	statstest.Near(t, a.LRTest(1, 2, 3).P, b.LRTest(1, 2, 3).P, 1e-6, "unit")
}

func TestSplineRefusals(t *testing.T) {
	for knots, want := range map[[3]float64]string{
		{1, 1, 2}:           "knot 2: 1 is not above the one before, 1",
		{1, math.NaN(), 2}:  "knot 2: NaN is not a finite number",
		{1, 2, math.Inf(1)}: "knot 3: +Inf is not a finite number",
	} {
		_, err := RestrictedSpline(knots[:])
		require.EqualError(t, err, want)
		_, err = NaturalSpline(knots[:])
		require.EqualError(t, err, want)
	}
	_, err := RestrictedSpline([]float64{1, 2})
	require.EqualError(t, err, "a curve needs at least 3 knots, not 2")
	_, err = QuantileKnots([]float64{0, 0, 0, 0, 1}, 3)
	require.ErrorContains(t, err, "too few different values for 3 knots")
	_, err = QuantileKnots([]float64{1, 2}, 6)
	require.Error(t, err)
	_, err = QuantileKnots(nil, 3)
	require.Error(t, err)
	_, err = QuantileKnots([]float64{1, math.NaN(), 3}, 3)
	require.Error(t, err)
}

// Worked by hand: 2 of 4, 1 of 4 and 3 of 4 at doses 1, 2, 3: the first two are
// pooled at 3/8. Falling, the last two are pooled at 4/8, and the first joins them,
// since 2/4 is no more than that.
func TestMonotone(t *testing.T) {
	dose, s, n := []float64{3, 1, 2}, []float64{3, 2, 1}, []float64{4, 4, 4}
	got, err := Monotone(dose, s, n, false)
	require.NoError(t, err)
	require.Equal(t, []MonotoneStep{{1, 2, 0.375, 3, 8}, {3, 3, 0.75, 3, 4}}, got)
	got, err = Monotone(dose, s, n, true)
	require.NoError(t, err)
	require.Equal(t, []MonotoneStep{{1, 3, 0.5, 6, 12}}, got)

	// No monotone set of chances on the same doses is likelier.
	rng := rand.New(rand.NewPCG(133, 134))
	for range 50 {
		var x, y []float64
		for range 12 {
			x = append(x, float64(rng.IntN(6)))
			y = append(y, float64(rng.IntN(2)))
		}
		steps, err := Monotone(x, y, nil, false)
		require.NoError(t, err)
		loglik := func(chance func(float64) float64) float64 {
			sum := 0.0
			for i := range x {
				sum += xlogx2(y[i], chance(x[i])) + xlogx2(1-y[i], 1-chance(x[i]))
			}
			return sum
		}
		fitted := loglik(func(v float64) float64 {
			for _, s := range steps {
				if v <= s.To {
					return s.Chance
				}
			}
			return math.NaN()
		})
		for range 200 {
			var other [6]float64
			last := 0.0
			for k := range other {
				last += (1 - last) * rng.Float64() * rng.Float64()
				other[k] = last
			}
			require.LessOrEqual(t, loglik(func(v float64) float64 { return other[int(v)] }), fitted+1e-12)
		}
		for k := range steps[1:] {
			require.Greater(t, steps[k+1].Chance, steps[k].Chance)
		}
	}
	_, err = Monotone([]float64{1, math.NaN()}, []float64{0, 1}, nil, false)
	require.EqualError(t, err, `column "dose", row 2: NaN is not a finite number`)
}

// xlogx2 is y log p, 0 at y = 0.
func xlogx2(y, p float64) float64 {
	if y == 0 {
		return 0
	}
	return y * math.Log(p)
}

// Every way in which the missing triggers could have been.
func TestMissingTriggerBounds(t *testing.T) {
	c := TriggerCounts{WithSuccess: 6, WithFailure: 4, WithoutSuccess: 3, WithoutFailure: 7, MissingSuccess: 3, MissingFailure: 4}
	b, err := MissingTriggerBounds(c)
	require.NoError(t, err)
	require.Equal(t, stats.OK, b.Status)
	statstest.Near(t, 0.3, b.Complete, 1e-12, "complete")
	lo, hi := math.Inf(1), math.Inf(-1)
	for s := range 4 {
		for f := range 5 {
			with := float64(6+s) / float64(10+s+f)
			without := float64(3+3-s) / float64(10+7-s-f)
			lo, hi = math.Min(lo, with-without), math.Max(hi, with-without)
		}
	}
	statstest.Near(t, lo, b.Lo, 1e-12, "least")
	statstest.Near(t, hi, b.Hi, 1e-12, "greatest")
	b, err = MissingTriggerBounds(TriggerCounts{WithSuccess: 3, MissingFailure: 2})
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, b.Status)
	require.True(t, math.IsNaN(b.Lo))
	_, err = MissingTriggerBounds(TriggerCounts{WithSuccess: -1})
	require.EqualError(t, err, "a count of -1 is negative")
}
