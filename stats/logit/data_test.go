package logit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
)

func TestValidateSaysWhere(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := func() Data {
		return Data{Y: []float64{1, 0}, N: []float64{1, 2}, X: [][]float64{{1, 2}}, Names: []string{"drop"}, Weights: []float64{1, 1}, Offset: []float64{0, 0}, Group: []int{1, 2}}
	}
	require.NoError(t, good().Validate())
	for want, spoil := range map[string]func(*Data){
		"there are no rows":                                                                       func(d *Data) { d.Y = nil },
		"there are 1 columns but 2 names":                                                         func(d *Data) { d.Names = []string{"a", "b"} },
		`two columns are called "drop"`:                                                           func(d *Data) { d.X = append(d.X, d.X[0]); d.Names = []string{"drop", "drop"} },
		"there are 2 rows of successes but 1 of trials":                                           func(d *Data) { d.N = d.N[:1] },
		"there are 2 rows of successes but 1 of weights":                                          func(d *Data) { d.Weights = d.Weights[:1] },
		"there are 2 rows of successes but 0 of offset":                                           func(d *Data) { d.Offset = d.Offset[:0] },
		"there are 2 rows of successes but 1 of groups":                                           func(d *Data) { d.Group = d.Group[:1] },
		`there are 2 rows of successes but 1 in column "drop"`:                                    func(d *Data) { d.X[0] = d.X[0][:1] },
		"successes, row 2: NaN is not a finite number":                                            func(d *Data) { d.Y[1] = nan },
		"successes, row 1: -1 is negative":                                                        func(d *Data) { d.Y[0] = -1 },
		"successes, row 1: 2 successes in 1 trials":                                               func(d *Data) { d.Y[0] = 2 },
		"trials, row 2: +Inf is not a finite number":                                              func(d *Data) { d.N[1] = inf },
		"weights, row 2: -0.5 is negative":                                                        func(d *Data) { d.Weights[1] = -0.5 },
		"offset, row 1: -Inf is not a finite number":                                              func(d *Data) { d.Offset[0] = -inf },
		`column "drop", row 2: NaN is not a finite number`:                                        func(d *Data) { d.X[0][1] = nan },
		`column "drop", row 1: 1e+200 is too large to compute with; use another unit`:             func(d *Data) { d.X[0][0] = 1e200 },
		`column "drop": all values are below 1e-100, too small to compute with; use another unit`: func(d *Data) { d.X[0] = []float64{1e-200, 0} },
	} {
		d := good()
		spoil(&d)
		require.EqualError(t, d.Validate(), want)
		for _, o := range bothPenalties {
			_, err := Fit(d, o)
			require.EqualError(t, err, want)
		}
		_, err := Identify(d)
		require.EqualError(t, err, want)
		_, err = DetectSeparation(d)
		require.EqualError(t, err, want)
	}
	unnamed := Data{Y: []float64{1, 0}, X: [][]float64{{1, 2}, {3, nan}}}
	require.EqualError(t, unnamed.Validate(), `column "x2", row 2: NaN is not a finite number`)
}

// Records that cannot answer give a status and no number, whatever is asked of
// the model.
func TestTooLittle(t *testing.T) {
	for name, c := range map[string]struct {
		d    Data
		text string
	}{
		"one row":            {Data{Y: []float64{1}, X: [][]float64{{3}}}, "no failure in these records, so there is nothing to compare"},
		"no events":          {Data{Y: []float64{0, 0, 0}, N: []float64{4, 5, 6}, X: [][]float64{{1, 0, 1}}}, "no success in these records, so there is nothing to compare"},
		"all events":         {Data{Y: []float64{4, 5, 6}, N: []float64{4, 5, 6}, X: [][]float64{{1, 0, 1}}}, "no failure in these records, so there is nothing to compare"},
		"no trials":          {Data{Y: []float64{0, 0}, N: []float64{0, 0}, X: [][]float64{{1, 0}}}, "no row has any trials"},
		"one-outcome groups": {Data{Y: []float64{1, 1, 0, 0}, X: [][]float64{{1, 0, 1, 0}}, Group: []int{1, 1, 2, 2}}, "no group has seen both outcomes, so there is nothing to compare within any of them"},
	} {
		for _, o := range bothPenalties {
			m, err := Fit(c.d, o)
			require.NoError(t, err, name)
			require.Equal(t, stats.TooLittle, m.Status, name)
			require.Equal(t, c.text, m.Warnings[0].Text, name)
			requireNoNumber(t, m)
		}
		sep, err := DetectSeparation(c.d)
		require.NoError(t, err)
		require.Equal(t, Overlap, sep.Kind, name)
	}
}

// requireNoNumber asks everything of a model without a usable status.
func requireNoNumber(t *testing.T, m *Model) {
	t.Helper()
	nan := func(vs ...float64) {
		t.Helper()
		for _, v := range vs {
			require.True(t, math.IsNaN(v), "%v", v)
		}
	}
	nan(m.LogLik, m.Kernel, m.HalfLogDet, m.PenalizedLogLik, m.Deviance, m.AIC)
	nan(m.Coef...)
	nan(m.SE...)
	nan(m.Cov[0]...)
	nan(m.Intercept...)
	nan(m.InterceptSE...)
	nan(m.Probabilities()...)
	nan(m.LinearPredictorSE()...)
	nan(m.RecalibratedProbabilities()...)
	if len(m.Groups) > 0 {
		nan(m.CovIntercept(0, 0))
		nan(m.CovInterceptSlopes(0)...)
		e := m.ProfileIntercept(0, 0.95)
		require.Equal(t, m.Status, e.Status)
		nan(e.Value, e.Lo, e.Hi, m.LRTestIntercept(0).P)
	}
	jackknife, err := m.Jackknife(make([]int, m.data.Rows()), 0, 0.95)
	require.NoError(t, err)
	require.Equal(t, m.Status, jackknife.Status)
	envelope := Envelope(m.Profile(0, 0.95), jackknife.Estimate)
	difference := m.RiskDifference(0, 0, 1, envelope.Estimate)
	for _, e := range []stats.Estimate{m.Wald(0, 0.95), m.Profile(0, 0.95), jackknife.Estimate, envelope.Estimate, difference.Estimate} {
		require.Equal(t, m.Status, e.Status)
		require.NotEmpty(t, e.Warnings)
		nan(e.Value, e.Lo, e.Hi)
	}
	nan(difference.P0, difference.P1, m.RisksAt(0, 0, 1, 2).Difference)
	for _, test := range []Test{m.WaldTest(0), m.LRTest(0)} {
		require.Equal(t, m.Status, test.Status)
		nan(test.P, test.Statistic)
	}
	r := m.Constrained(0, 1)
	require.Equal(t, m.Status, r.Status)
	nan(r.Coef...)
	nan(r.Intercept...)
	nan(r.Value)
	v := EValueOf(m.Profile(0, 0.95), true)
	nan(v.Point, v.Limit)
}

func TestSeparatedAndUnconvergedGiveNoNumber(t *testing.T) {
	d := Data{Y: []float64{5, 2}, N: []float64{5, 7}, X: [][]float64{{1, 0}}, Names: []string{"rain"}}
	m, err := Fit(d, Options{})
	require.NoError(t, err)
	require.Equal(t, stats.Separated, m.Status)
	require.Equal(t, "the outcomes are split (quasi-complete separation) by rain (upwards): the records set no bound on that side, and one attempt that goes the other way would change the figure a lot", m.Warnings[0].Text)
	requireNoNumber(t, m)
	for _, p := range []Penalty{None, Firth} {
		overlap := Data{Y: []float64{4, 2, 3}, N: []float64{5, 7, 5}, X: [][]float64{{1, 0, 3}}}
		m, err := Fit(overlap, Options{Penalty: p, MaxIter: 1})
		require.NoError(t, err)
		require.Equal(t, stats.NotConverged, m.Status)
		require.Equal(t, "not-converged", m.Warnings[0].Code)
		requireNoNumber(t, m)
	}
}

func TestLevelOutsideItsRangeIsACallersBug(t *testing.T) {
	m := requireFit(t, Data{Y: []float64{4, 2}, N: []float64{5, 7}, X: [][]float64{{1, 0}}}, Options{})
	require.Panics(t, func() { m.Profile(0, 1) })
	require.Panics(t, func() { m.ProfileIntercept(0, 0) })
	require.Panics(t, func() { m.Wald(0, 95) })
	require.Panics(t, func() { _, _ = m.Jackknife([]int{1, 2}, 0, -1) })
	require.Panics(t, func() { Envelope(m.Profile(0, 0.9), m.Profile(0, 0.95)) })
}

func TestNames(t *testing.T) {
	require.Equal(t, []string{"maximum likelihood", "Firth penalty"}, []string{None.String(), Firth.String()})
	require.Equal(t, []string{"none", "quasi-complete", "complete", "undecided", "separation(9)"},
		[]string{Overlap.String(), QuasiComplete.String(), Complete.String(), Undecided.String(), SeparationKind(9).String()})
	require.Equal(t, "separation-undecided", Separation{Kind: Undecided}.Warnings()[0].Code)
	require.Empty(t, Separation{}.Warnings())
}
