package count

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
)

// noNumbers demands a reason for an estimate without numbers.
func noNumbers(t *testing.T, want stats.Status, e stats.Estimate) {
	t.Helper()
	require.Equal(t, want, e.Status)
	require.True(t, math.IsNaN(e.Value) && math.IsNaN(e.Lo) && math.IsNaN(e.Hi), "%v", e)
	require.NotEmpty(t, e.Warnings)
	require.NotEmpty(t, e.Warnings[0].Text)
}

func TestNoTrials(t *testing.T) {
	for _, method := range []func(hits, trials int, level float64) (stats.Estimate, error){ClopperPearson, Wilson, Jeffreys, AgrestiCoull, MidP, AtMost, AtLeast} {
		e, err := method(0, 0, 0)
		require.NoError(t, err)
		noNumbers(t, stats.TooLittle, e)
	}
	e, err := Newcombe(0, 0, 3, 5, 0)
	require.NoError(t, err)
	noNumbers(t, stats.TooLittle, e)
	r, err := RateRatio(0, 1, 0, 2, 0)
	require.NoError(t, err)
	noNumbers(t, stats.TooLittle, r.Estimate)
	require.True(t, math.IsNaN(r.P))
}

func TestRatioWithoutEvents(t *testing.T) {
	r, err := RateRatio(5, 1, 0, 2, 0)
	require.NoError(t, err)
	require.True(t, math.IsInf(r.Value, 1) && math.IsInf(r.Hi, 1) && r.Lo > 0)
	require.Equal(t, "no-upper-limit", r.Warnings[0].Code)
	r, err = RateRatio(0, 1, 4, 2, 0)
	require.NoError(t, err)
	require.Equal(t, []float64{0, 0}, []float64{r.Value, r.Lo})
	require.NotEmpty(t, r.Warnings)
}

func TestTooFewAmounts(t *testing.T) {
	for _, x := range [][]float64{nil, {5}} {
		e, err := LogTMean(x, 0)
		require.NoError(t, err)
		noNumbers(t, stats.TooLittle, e)
	}
	e, err := LogTMean([]float64{0, 0, 0, 0}, 0)
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, e.Status)
	require.InDelta(t, -math.Log(0.05)/4, e.Hi, 1e-9) // one-sided: exp(-4 mean) = 0.05
	e, err = LogTMean([]float64{200, 200, 200}, 0)
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, e.Status)
	require.Equal(t, []float64{200, 0, math.Inf(1)}, []float64{e.Value, e.Lo, e.Hi})
	require.Equal(t, "all-alike", e.Warnings[0].Code)
}

func TestOtherMeans(t *testing.T) {
	for _, mean := range []func([]float64, float64) (stats.Estimate, error){TMean, GeometricMean, LogNormalMean} {
		for _, x := range [][]float64{nil, {5}} {
			e, err := mean(x, 0)
			require.NoError(t, err)
			noNumbers(t, stats.TooLittle, e)
		}
		e, err := mean([]float64{200, 200}, 0)
		require.NoError(t, err)
		require.Equal(t, stats.Boundary, e.Status)
		require.Equal(t, []float64{200, 0, math.Inf(1)}, []float64{e.Value, e.Lo, e.Hi})
		_, err = mean([]float64{4, -1}, 0)
		require.ErrorContains(t, err, "observation 2")
		_, err = mean(nil, 2)
		require.ErrorContains(t, err, "level")
	}
	_, err := GeometricMean([]float64{4, 0}, 0)
	require.ErrorContains(t, err, "observation 2")
}

func TestHeapedNumbers(t *testing.T) {
	require.Equal(t, Count{Lo: 140, Hi: 260}, About(200, 0.3))
	require.Equal(t, Count{Lo: 7, Hi: 7}, About(7, 0))
	require.Equal(t, Count{Lo: 175, Hi: 225}, Rounded(200, 50))
	require.Equal(t, Count{Lo: 0, Hi: 5}, Rounded(0, 10))
	require.Equal(t, Exactly(12), Rounded(12, 1))
	require.Panics(t, func() { About(-1, 0.3) })
	require.Panics(t, func() { Rounded(3, 0) })
	r, err := Heaping([]int{20, 150, 200, 85, 33, 100, 4, 0, 15}, 0)
	require.NoError(t, err)
	require.Equal(t, []int{6, 5}, []int{r.N, r.Events}, "small numbers do not count")
	// P(5 or 6 of 6) where each has 1/5: 6 * 0.2^5 * 0.8 + 0.2^6 (derivation).
	require.InDelta(t, 6*math.Pow(0.2, 5)*0.8+math.Pow(0.2, 6), r.P, 1e-12)
	r, err = Heaping([]int{3, 0}, 0)
	require.NoError(t, err)
	noNumbers(t, stats.TooLittle, r.Estimate)
	require.True(t, math.IsNaN(r.P))
	_, err = Heaping(nil, 2)
	require.ErrorContains(t, err, "level")
}

func TestTooFewClusters(t *testing.T) {
	e, err := RatioOfTotals(nil, 0)
	require.NoError(t, err)
	noNumbers(t, stats.TooLittle, e)
	e, err = RatioOfTotals([]Part{{5, 1, 3}, {7, 2, 3}}, 0)
	require.NoError(t, err)
	noNumbers(t, stats.TooLittle, e)
	e, err = RatioOfTotals([]Part{{0, 100, 1}, {0, 50, 2}}, 0)
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, e.Status)
	require.InDelta(t, 3.0/150, e.Hi, 1e-4) // 3.0 over the exposure
	e, err = RatioOfTotals([]Part{{5, 1, 1}, {7, 2, 2}}, 0)
	require.NoError(t, err)
	require.Equal(t, stats.OK, e.Status)
	require.Equal(t, "few-clusters", e.Warnings[0].Code)
}

func TestNegativeBinomialTooLittle(t *testing.T) {
	for code, counts := range map[string][]Count{
		"no-observations": nil,
		"one-observation": {Exactly(7)},
		"all-zero":        {Exactly(0), Exactly(0), {Lo: 0, Hi: 4}},
		"no-upper-limit":  {{Lo: 3, Hi: inf}, {Lo: 10, Hi: inf}},
	} {
		m, err := FitNegativeBinomial(counts, 0)
		require.NoError(t, err)
		require.Equal(t, code, m.Warnings[0].Code)
		noNumbers(t, stats.TooLittle, m.Mean(Profile))
		noNumbers(t, stats.TooLittle, m.Mean(Wald))
		noNumbers(t, stats.TooLittle, m.Dispersion())
		p, err := m.Predict(0, 0)
		require.NoError(t, err)
		noNumbers(t, stats.TooLittle, p)
		require.True(t, math.IsNaN(m.Size) && math.IsNaN(m.LogLik))
	}
}

// Counts that are all alike vary less than chance: the Poisson limit.
func TestAllCountsAlike(t *testing.T) {
	m, err := FitNegativeBinomial([]Count{Exactly(200), Exactly(200), Exactly(200)}, 0)
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, m.Status)
	require.True(t, math.IsInf(m.Size, 1))
	e := m.Mean(Wald)
	require.InDelta(t, math.Exp(1.959963984540054/math.Sqrt(600)), e.Hi/e.Value, 1e-9)
	p, err := m.Predict(1, 0.9)
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, p.Status)
	require.True(t, p.Lo < 185 && p.Hi > 215, "one more may still vary: %v to %v", p.Lo, p.Hi)
	d := m.Dispersion()
	require.True(t, math.IsInf(d.Value, 1) && math.IsInf(d.Hi, 1) && d.Lo > 10, "%v", d.Lo)
}

func TestTwoCounts(t *testing.T) {
	m, err := FitNegativeBinomial([]Count{Exactly(5), Exactly(400)}, 0)
	require.NoError(t, err)
	require.True(t, m.Status.Usable())
	e := m.Mean(ProfileF)
	require.True(t, e.Lo < 202.5 && e.Hi > 202.5)
	p, err := m.Predict(1, 0.8)
	require.NoError(t, err)
	require.True(t, p.Hi > 400, "%v to %v, %v", p.Lo, p.Hi, p.Status)
}

func TestBetaBinomialWithoutFit(t *testing.T) {
	m, err := FitBetaBinomial(nil, 0)
	require.NoError(t, err)
	noNumbers(t, stats.TooLittle, m.Share(nil))
	noNumbers(t, stats.TooLittle, m.Coefficient(0))
	noNumbers(t, stats.TooLittle, m.Correlation())
	m, err = FitBetaBinomial([]Clutch{{3, 10, nil}, {0, 0, nil}}, 0)
	require.NoError(t, err)
	require.Equal(t, 1, m.N, "a clutch without trials is left out")
	noNumbers(t, stats.TooLittle, m.Share(nil))

	none := []Clutch{{0, 10, nil}, {0, 20, nil}, {0, 5, nil}}
	m, err = FitBetaBinomial(none, 0)
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, m.Status)
	e := m.Share(nil)
	require.Equal(t, 0.0, e.Value)
	require.InDelta(t, 1-math.Pow(0.05, 1.0/3), e.Hi, 1e-9, "0 of 3 clutches, not 0 of 35 eggs")
	noNumbers(t, stats.Boundary, m.Coefficient(0))

	m, err = FitBetaBinomial([]Clutch{{10, 10, nil}, {20, 20, nil}}, 0)
	require.NoError(t, err)
	e = m.Share(nil)
	require.Equal(t, 1.0, e.Value)
	require.InDelta(t, math.Sqrt(0.05), e.Lo, 1e-9)

	m, err = FitBetaBinomial([]Clutch{{10, 10, nil}, {0, 20, nil}, {0, 4, nil}}, 0)
	require.NoError(t, err)
	e = m.Share(nil)
	require.Equal(t, "all-or-none", e.Warnings[0].Code)
	require.InDelta(t, 1.0/3, e.Value, 1e-12)
	noNumbers(t, stats.Boundary, m.Correlation())
}

func TestBetaBinomialCannotTell(t *testing.T) {
	constant := []Clutch{{3, 10, []float64{1}}, {5, 10, []float64{1}}, {9, 10, []float64{1}}}
	m, err := FitBetaBinomial(constant, 0)
	require.NoError(t, err)
	noNumbers(t, stats.NotIdentifiable, m.Share([]float64{1}))
	separated := []Clutch{{3, 10, []float64{0}}, {5, 10, []float64{0}}, {0, 10, []float64{1}}, {0, 12, []float64{1}}}
	m, err = FitBetaBinomial(separated, 0)
	require.NoError(t, err)
	noNumbers(t, stats.NotIdentifiable, m.Coefficient(1))
}

func TestInputErrors(t *testing.T) {
	check := func(err error, words string) {
		t.Helper()
		require.ErrorContains(t, err, words)
	}
	_, err := Wilson(5, 3, 0)
	check(err, "5 hits in 3 trials")
	_, err = Wilson(1, 3, 1.5)
	check(err, "between 0 and 1")
	_, err = Newcombe(1, 3, -1, 3, 0)
	check(err, "-1 hits")
	_, err = Fisher(4, 3, 1, 3)
	check(err, "4 hits")
	_, err = PoissonRate(-1, 2, 0)
	check(err, "-1 events")
	_, err = PoissonAtMost(1, 0, 0)
	check(err, "exposure")
	_, err = RateRatio(1, 1, 1, math.NaN(), 0)
	check(err, "exposure")
	_, err = LogTMean([]float64{1, -2}, 0)
	check(err, "observation 2: an amount cannot be -2")
	_, err = RatioOfTotals([]Part{{1, 1, 1}, {1, 0, 1}}, 0)
	check(err, "observation 2: there is an amount of 1 without any exposure")
	_, err = RatioOfTotals([]Part{{math.NaN(), 1, 1}}, 0)
	check(err, "observation 1")
	for _, c := range []Count{{Lo: 3, Hi: 2}, {Lo: -1, Hi: 2}, {Lo: 1.5, Hi: 2}, {Lo: 1, Hi: 1e9}, {Lo: 1, Hi: 2, Exposure: -1}, {Lo: math.NaN(), Hi: 2}, {Lo: inf, Hi: inf}} {
		_, err = FitNegativeBinomial([]Count{Exactly(1), c}, 0)
		check(err, "observation 2")
	}
	for _, c := range []Clutch{{5, 3, nil}, {1, 3, []float64{1}}} {
		_, err = FitBetaBinomial([]Clutch{{1, 2, nil}, c}, 0)
		check(err, "observation 2")
	}
	_, err = FitBetaBinomial([]Clutch{{1, 2, []float64{math.NaN()}}}, 0)
	check(err, "observation 1")
	_, err = SampledTotal(-1, 0.5, 0)
	check(err, "-1 counted")
	_, err = SampledTotal(1, 1.5, 0)
	check(err, "share that was counted")
	m, err := FitNegativeBinomial([]Count{Exactly(3), Exactly(9)}, 0)
	require.NoError(t, err)
	_, err = m.Predict(-1, 0)
	check(err, "exposure")
	_, err = m.Predict(1, 7)
	check(err, "level")
	b, err := FitBetaBinomial([]Clutch{{1, 4, nil}, {3, 4, nil}}, 0)
	require.NoError(t, err)
	require.Panics(t, func() { b.Share([]float64{1}) })
	require.Panics(t, func() { b.Coefficient(1) })
	full, err := SampledTotal(12, 1, 0)
	require.NoError(t, err)
	require.Equal(t, []float64{12, 12, 12}, []float64{full.Value, full.Lo, full.Hi})
}
