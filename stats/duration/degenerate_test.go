package duration

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
)

// noNumbers demands a reason for an estimate without numbers.
func noNumbers(t *testing.T, want stats.Status, e stats.Estimate) {
	t.Helper()
	require.Equal(t, want, e.Status)
	require.True(t, math.IsNaN(e.Value) && math.IsNaN(e.Lo) && math.IsNaN(e.Hi))
	require.NotEmpty(t, e.Warnings)
	require.NotEmpty(t, e.Warnings[0].Text)
}

func TestTooLittle(t *testing.T) {
	for name, obs := range map[string][]Observation{"none": nil, "one": {{Span: Span{5, 5}, Cause: 1}}} {
		km, err := KaplanMeier(obs, Settings{})
		require.NoError(t, err, name)
		noNumbers(t, stats.TooLittle, km.At(3))
		noNumbers(t, stats.TooLittle, km.Quantile(0.5))
		noNumbers(t, stats.TooLittle, km.RestrictedMean(3))
		h, err := NelsonAalen(obs, Settings{})
		require.NoError(t, err)
		noNumbers(t, stats.TooLittle, h.At(3))
		aj, err := AalenJohansen(obs, Settings{})
		require.NoError(t, err)
		noNumbers(t, stats.TooLittle, aj.At(1, 3))
		noNumbers(t, stats.TooLittle, aj.EventFree(3))
		tb, err := Turnbull(obs, Settings{})
		require.NoError(t, err)
		noNumbers(t, stats.TooLittle, tb.At(3))
		noNumbers(t, stats.TooLittle, tb.Quantile(0.5))
		m, err := FitAFT(obs, nil, AFTSettings{})
		require.NoError(t, err)
		noNumbers(t, stats.TooLittle, m.Coefficient(0))
		noNumbers(t, stats.TooLittle, m.TimeRatio(0))
		noNumbers(t, stats.TooLittle, m.Quantile(nil, 0.5))
		noNumbers(t, stats.TooLittle, m.Survival(nil, 3))
		noNumbers(t, stats.TooLittle, m.Spread())
		require.True(t, math.IsNaN(m.AIC()) && math.IsNaN(m.PValue(0)))
		p, err := m.Predict(nil, 0.9)
		require.NoError(t, err)
		noNumbers(t, stats.TooLittle, p)
		c, err := LogRank(obs, make([]int, len(obs)), ComparisonSettings{})
		require.NoError(t, err)
		require.Equal(t, stats.TooLittle, c.Status)
		require.True(t, math.IsNaN(c.P))
	}
}

func TestNothingHappened(t *testing.T) {
	var obs []Observation
	for i := range 14 {
		obs = append(obs, Observation{Span: Span{float64(40 + i), math.Inf(1)}})
	}
	km, err := KaplanMeier(obs, Settings{Interval: BetaProduct})
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, km.Status)
	e := km.At(39)
	require.Equal(t, 1.0, e.Value)
	// 0 of 14: lower limit of the share waiting is 0.025^(1/14) (Clopper & Pearson 1934).
	require.InDelta(t, math.Pow(0.025, 1.0/14), e.Lo, 1e-9)
	q := km.Quantile(0.5)
	require.True(t, math.IsNaN(q.Value) && math.IsInf(q.Hi, 1))
	require.Len(t, q.Warnings, 3) // no events, not reached, no upper limit
	aj, err := AalenJohansen(obs, Settings{})
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, aj.Status)
	f := aj.At(1, 39)
	require.Equal(t, 0.0, f.Value)
	require.InDelta(t, 1-math.Pow(0.025, 1.0/14), f.Hi, 1e-9)
	tb, err := Turnbull(obs, Settings{})
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, tb.Status)
	require.Equal(t, 1.0, tb.At(39).Value)
	require.InDelta(t, math.Exp(-3.841458820694124/28), tb.At(39).Lo, 1e-6) // likelihood ratio: n log S = -chi2/2
	require.True(t, math.IsInf(tb.Quantile(0.5).Hi, 1))
	m, err := FitAFT(obs, nil, AFTSettings{})
	require.NoError(t, err)
	noNumbers(t, stats.TooLittle, m.Quantile(nil, 0.5))
	h, err := NelsonAalen(obs, Settings{})
	require.NoError(t, err)
	require.Equal(t, 0.0, h.At(50).Value)
	c, err := LogRank(obs, []int{0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1}, ComparisonSettings{})
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, c.Status)
}

func TestAllAtOnce(t *testing.T) {
	obs := []Observation{{Span: Span{60, 60}, Cause: 1}, {Span: Span{60, 60}, Cause: 1}, {Span: Span{60, 60}, Cause: 1}}
	km, err := KaplanMeier(obs, Settings{})
	require.NoError(t, err)
	require.Equal(t, 60.0, km.Quantile(0.5).Value)
	e := km.At(60)
	require.Equal(t, 0.0, e.Value)
	require.True(t, math.IsNaN(e.Lo), "log(-log) limits do not exist at 0")
	require.NotEmpty(t, e.Warnings)
	m, err := FitAFT(obs, nil, AFTSettings{})
	require.NoError(t, err)
	noNumbers(t, stats.NotIdentifiable, m.Quantile(nil, 0.5))
	aj, err := AalenJohansen(obs, Settings{})
	require.NoError(t, err)
	require.Equal(t, 1.0, aj.At(1, 61).Value)
}

// Checks so coarse that all fall between the same two: only the penalty gives a
// fit, and it comes with a warning.
func TestOneCommonInterval(t *testing.T) {
	var obs []Observation
	for range 10 {
		obs = append(obs, Observation{Span: Span{48, 72}})
	}
	m, err := FitAFT(obs, nil, AFTSettings{})
	require.NoError(t, err)
	noNumbers(t, stats.NotIdentifiable, m.Quantile(nil, 0.5))
	require.Equal(t, "no-spread", m.Warnings[0].Code)
	m, err = FitAFT(obs, nil, AFTSettings{PenaliseSpread: true})
	require.NoError(t, err)
	require.Equal(t, stats.OK, m.Status)
	require.Equal(t, "coarse-checks", m.Warnings[0].Code)
	e, err := m.Predict(nil, 0.9)
	require.NoError(t, err)
	require.Equal(t, stats.OK, e.Status)
	require.True(t, 40 < e.Lo && e.Lo < 58 && 62 < e.Hi && e.Hi < 85, "%v to %v", e.Lo, e.Hi)
	tb, err := Turnbull(obs, Settings{})
	require.NoError(t, err)
	q := tb.Quantile(0.5)
	require.Equal(t, []float64{60, 48, 72}, []float64{q.Value, q.Lo, q.Hi})
	require.Equal(t, "undetermined", q.Warnings[0].Code)
	lo, hi := tb.Bounds(50)
	require.Equal(t, []float64{0, 1}, []float64{lo, hi})
	require.True(t, math.IsNaN(tb.At(50).Value))
}

func TestAFTNamesWhatItCannotTell(t *testing.T) {
	obs := world(2, 30)
	n := len(obs)
	constant, a, b, sum, never := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		constant[i], a[i], b[i] = 26.5, float64(i%4), math.Sin(float64(i))
		sum[i] = a[i] - 2*b[i]
		if obs[i].RightCensored() && i%2 == 0 {
			never[i] = 1
		}
	}
	fit := func(c ...Covariate) AFT {
		m, err := FitAFT(obs, c, AFTSettings{})
		require.NoError(t, err)
		noNumbers(t, m.Status, m.Coefficient(0))
		return m
	}
	m := fit(Covariate{"temperature", constant}, Covariate{"a", a})
	require.Equal(t, stats.NotIdentifiable, m.Status)
	require.Contains(t, m.Warnings[0].Text, "temperature")
	m = fit(Covariate{"a", a}, Covariate{"b", b}, Covariate{"a and b", sum})
	require.Equal(t, stats.NotIdentifiable, m.Status)
	require.Equal(t, "aliased", m.Warnings[0].Code)
	m = fit(Covariate{"aid", never})
	require.Equal(t, stats.Separated, m.Status)
	require.Contains(t, m.Warnings[0].Text, "aid")
}

func TestAllByTheFirstLook(t *testing.T) {
	obs := []Observation{{Span: Span{0, 24}}, {Span: Span{0, 24}}, {Span: Span{math.Inf(-1), 12}}}
	m, err := FitAFT(obs, nil, AFTSettings{PenaliseSpread: true})
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, m.Status)
	tb, err := Turnbull(obs, Settings{})
	require.NoError(t, err)
	require.Equal(t, stats.OK, tb.Status)
	require.Equal(t, 6.0, tb.Quantile(0.5).Value)
}

func TestInputErrors(t *testing.T) {
	inf := math.Inf(1)
	good := Observation{Span: Span{5, 5}, Cause: 1}
	for reason, o := range map[string]Observation{
		"not a number":                     {Span: Span{math.NaN(), 5}},
		"after 6 and by 5":                 {Span: Span{6, 5}},
		"infinite":                         {Span: Span{inf, inf}},
		"the origin cannot lie":            {Span: Span{5, 6}, Origin: Span{3, 2}},
		"before the origin":                {Span: Span{1, 2}, Origin: Span{3, 4}},
		"entry is not a number":            {Span: Span{5, 5}, Entry: math.NaN()},
		"weight cannot be -1":              {Span: Span{5, 5}, Weight: -1},
		"cause cannot be -2":               {Span: Span{5, 5}, Cause: -2},
		"cause 1 but no event":             {Span: Span{5, inf}, Cause: 1},
		"not before the event at 5":        {Span: Span{5, 5}, Entry: 5},
		"not before it was last looked at": {Span: Span{5, inf}, Entry: 6},
	} {
		for name, run := range map[string]func([]Observation) error{
			"Kaplan-Meier":   func(o []Observation) error { _, err := KaplanMeier(o, Settings{}); return err },
			"Nelson-Aalen":   func(o []Observation) error { _, err := NelsonAalen(o, Settings{}); return err },
			"Aalen-Johansen": func(o []Observation) error { _, err := AalenJohansen(o, Settings{}); return err },
			"Turnbull":       func(o []Observation) error { _, err := Turnbull(o, Settings{}); return err },
			"AFT":            func(o []Observation) error { _, err := FitAFT(o, nil, AFTSettings{}); return err },
			"log-rank":       func(o []Observation) error { _, err := LogRank(o, []int{1, 2}, ComparisonSettings{}); return err },
			"Check": func(o []Observation) error {
				err := o[1].Check()
				var input *stats.InputError
				if errors.As(err, &input) {
					input.Index = 1
				}
				return err
			},
		} {
			err := run([]Observation{good, o})
			var input *stats.InputError
			require.ErrorAs(t, err, &input, "%s: %s", name, reason)
			require.Equal(t, 1, input.Index)
			require.Contains(t, input.Error(), "observation 2: ")
			require.Contains(t, input.Error(), reason, name)
		}
	}
	require.NoError(t, good.Check())
}

func TestMethodsRefuseWhatTheyCannotUse(t *testing.T) {
	interval := []Observation{{Span: Span{4, 6}, Cause: 1}, {Span: Span{5, 5}, Cause: 1}}
	_, err := KaplanMeier(interval, Settings{})
	require.ErrorContains(t, err, "use Turnbull")
	_, err = AalenJohansen(interval, Settings{})
	require.ErrorContains(t, err, "use Turnbull")
	window := []Observation{{Span: Span{5, 5}, Origin: Span{0, 1}}}
	_, err = KaplanMeier(window, Settings{})
	require.ErrorContains(t, err, "only the regression can use")
	_, err = Turnbull(window, Settings{})
	require.ErrorContains(t, err, "only the regression can use")
	_, err = Turnbull([]Observation{{Span: Span{5, 6}, Entry: 2}}, Settings{})
	require.ErrorContains(t, err, "came under observation late")
	_, err = AalenJohansen([]Observation{{Span: Span{5, 5}}}, Settings{})
	require.ErrorContains(t, err, "without a cause")
	_, err = AalenJohansen(nil, Settings{Interval: BetaProduct})
	require.ErrorContains(t, err, "beta product")
	_, err = FitAFT([]Observation{{Span: Span{0, 0}}}, nil, AFTSettings{})
	require.ErrorContains(t, err, "no later than the origin")
	_, err = FitAFT([]Observation{{Span: Span{5, 5}}}, []Covariate{{"x", []float64{math.NaN()}}}, AFTSettings{})
	require.ErrorContains(t, err, "x is not a number")
	for _, s := range []AFTSettings{{Level: 2}, {Family: 9}, {FixedScale: -1}, {Family: Exponential, FixedScale: 2}, {FixedScale: 1, PenaliseSpread: true}, {OriginNodes: -1}} {
		_, err = FitAFT(nil, nil, s)
		require.Error(t, err)
	}
	_, err = KaplanMeier(nil, Settings{Level: 1})
	require.ErrorContains(t, err, "between 0 and 1")
	_, err = KaplanMeier(nil, Settings{Interval: 17})
	require.Error(t, err)
	_, err = LogRank(nil, nil, ComparisonSettings{Weight: 7})
	require.Error(t, err)
}

func TestCallersMistakesPanic(t *testing.T) {
	obs := world(1, 10)
	require.Panics(t, func() { _, _ = LogRank(obs, nil, ComparisonSettings{}) })
	require.Panics(t, func() { _, _ = FitAFT(obs, []Covariate{{"x", nil}}, AFTSettings{}) })
	m, err := FitAFT(obs, nil, AFTSettings{})
	require.NoError(t, err)
	require.Panics(t, func() { m.Quantile([]float64{1}, 0.5) })
	require.Panics(t, func() { _, _ = m.Predict([]float64{1}, 0.5) })
}

func TestQuestionsOutOfRange(t *testing.T) {
	obs := world(1, 20)
	km, err := KaplanMeier(obs, Settings{})
	require.NoError(t, err)
	for _, p := range []float64{0, 1, -1, math.NaN()} {
		noNumbers(t, stats.NotComputed, km.Quantile(p))
	}
	noNumbers(t, stats.NotComputed, km.RestrictedMean(0))
	tb, err := Turnbull(widened(obs), Settings{})
	require.NoError(t, err)
	noNumbers(t, stats.NotComputed, tb.Quantile(0))
	m, err := FitAFT(obs, nil, AFTSettings{})
	require.NoError(t, err)
	noNumbers(t, stats.NotComputed, m.Quantile(nil, 1))
	_, err = m.Predict(nil, 1.5)
	require.Error(t, err)
	normal, err := FitAFT(obs, nil, AFTSettings{Family: Normal})
	require.NoError(t, err)
	noNumbers(t, stats.OK, normal.TimeRatio(0))
}

// Past the end of the records the curve has no value unless it is at 0.
func TestBeyondTheRecords(t *testing.T) {
	obs := []Observation{{Span: Span{3, 3}, Cause: 1}, {Span: Span{5, 5}, Cause: 2}, {Span: Span{7, math.Inf(1)}}}
	km, err := KaplanMeier(obs, Settings{})
	require.NoError(t, err)
	require.InDelta(t, 1.0/3, km.At(7).Value, 1e-12)
	require.True(t, math.IsNaN(km.At(7.5).Value))
	require.Equal(t, "beyond-records", km.At(7.5).Warnings[0].Code)
	require.Equal(t, "beyond-records", km.RestrictedMean(9).Warnings[0].Code)
	aj, err := AalenJohansen(obs, Settings{})
	require.NoError(t, err)
	require.True(t, math.IsNaN(aj.At(1, 8).Value))
	require.True(t, math.IsNaN(aj.EventFree(8).Value))
	require.Equal(t, 0.0, aj.At(9, 4).Value, "a cause nobody went by")
	require.Equal(t, 0, aj.At(9, 4).Events)
	require.Equal(t, []int{1, 1}, aj.ByCause)
}

// Two groups that are never at risk together.
func TestLogRankNeedsOverlap(t *testing.T) {
	var obs []Observation
	var group []int
	for i := range 5 {
		obs = append(obs, Observation{Span: Span{float64(1 + i), float64(1 + i)}}, Observation{Span: Span{float64(20 + i), float64(20 + i)}, Entry: 10})
		group = append(group, 0, 1)
	}
	c, err := LogRank(obs, group, ComparisonSettings{})
	require.NoError(t, err)
	require.Equal(t, stats.NotIdentifiable, c.Status)
	require.True(t, math.IsNaN(c.P) && math.IsNaN(c.ChiSquare))
}

func TestNames(t *testing.T) {
	require.Equal(t, "log(-log)", LogLog.String())
	require.Equal(t, "interval(9)", Interval(9).String())
	require.Equal(t, "log-logistic", LogLogistic.String())
	require.Equal(t, "family(-1)", Family(-1).String())
}
