package duration

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/optimize"

	"gravid/stats"
	"gravid/stats/internal/statstest"
	"gravid/stats/tail"
)

// The laws below are derivations: they hold for any data, so no source is named
// for their numbers.

// waiting gives the share still waiting at time t, with its limits.
type waiting func(t float64) stats.Estimate

// checkSurvivalLaws holds for every curve of the share still waiting: it starts
// at 1, never rises, stays within 0 to 1, and its limits enclose it.
func checkSurvivalLaws(t *testing.T, name string, at waiting, last float64) {
	t.Helper()
	require.Equal(t, 1.0, at(0).Value, name)
	before := 1.0
	for i := 0; i <= 200; i++ {
		e := at(last * float64(i) / 200)
		if math.IsNaN(e.Value) {
			require.NotEmpty(t, e.Warnings, "%s: no value and no reason at %d", name, i)
			continue
		}
		require.True(t, e.Value >= 0 && e.Value <= before+1e-12, "%s: %v after %v", name, e.Value, before)
		before = e.Value
		if !math.IsNaN(e.Lo) {
			require.True(t, e.Lo >= 0 && e.Lo <= e.Value+1e-9 && e.Value <= e.Hi+1e-9 && e.Hi <= 1, "%s: %v not within %v to %v", name, e.Value, e.Lo, e.Hi)
		}
	}
}

// world makes n waiting times, about a third right-censored, some entering late,
// with two causes, whole-number weights and ties.
func world(seed uint64, n int) []Observation {
	r := rand.New(rand.NewPCG(seed, 1))
	obs := make([]Observation, n)
	for i := range obs {
		time := math.Ceil(20 * math.Exp(0.5*r.NormFloat64()))
		o := Observation{Span: Span{time, time}, Cause: 1 + r.IntN(2), Weight: float64(1 + r.IntN(3))}
		if r.IntN(3) == 0 {
			o.Hi, o.Cause = math.Inf(1), 0
		}
		if r.IntN(4) == 0 && time > 8 {
			o.Entry = math.Floor(8 * r.Float64())
		}
		obs[i] = o
	}
	return obs
}

// widened turns exact times into intervals between checks 5 apart and drops
// late entry.
func widened(obs []Observation) []Observation {
	out := slices.Clone(obs)
	for i := range out {
		out[i].Entry, out[i].Cause = 0, 0
		if out[i].Exact() {
			lo := 5 * math.Floor((out[i].Lo-1)/5)
			out[i].Span = Span{lo, lo + 5}
		}
	}
	return out
}

func shuffled[T any](x []T, seed uint64) []T {
	out := slices.Clone(x)
	rand.New(rand.NewPCG(seed, 2)).Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// rescaled changes the unit of time.
func rescaled(obs []Observation, by float64) []Observation {
	out := slices.Clone(obs)
	for i := range out {
		o := &out[i]
		o.Lo, o.Hi, o.Entry, o.Origin.Lo, o.Origin.Hi = o.Lo*by, o.Hi*by, o.Entry*by, o.Origin.Lo*by, o.Origin.Hi*by
	}
	return out
}

// repeated writes a weight out as so many observations.
func repeated(obs []Observation) []Observation {
	var out []Observation
	for _, o := range obs {
		n := int(o.weight())
		o.Weight = 0
		out = append(out, slices.Repeat([]Observation{o}, n)...)
	}
	return out
}

func TestCurvesObeySurvivalLaws(t *testing.T) {
	for seed := range uint64(20) {
		obs := world(seed, 25)
		for _, kind := range []Interval{LogLog, Log, Plain, Logit, ArcSine, BetaProduct} {
			km, err := KaplanMeier(obs, Settings{Interval: kind})
			require.NoError(t, err)
			checkSurvivalLaws(t, "Kaplan-Meier "+kind.String(), km.At, 80)
		}
		tb, err := Turnbull(widened(obs), Settings{})
		require.NoError(t, err)
		checkSurvivalLaws(t, "Turnbull", tb.At, 80)
		aj, err := AalenJohansen(obs, Settings{})
		require.NoError(t, err)
		checkSurvivalLaws(t, "Aalen-Johansen, event-free", aj.EventFree, 80)
		for _, f := range []Family{Lognormal, Weibull, LogLogistic, Exponential} {
			m, err := FitAFT(obs, nil, AFTSettings{Family: f})
			require.NoError(t, err)
			require.Equal(t, stats.OK, m.Status)
			checkSurvivalLaws(t, f.String(), func(x float64) stats.Estimate { return m.Survival(nil, x) }, 80)
		}
	}
}

func TestIncidencesAddUp(t *testing.T) {
	for seed := range uint64(20) {
		obs := world(seed, 40)
		for i := range obs {
			if obs[i].Cause == 2 && i%3 == 0 {
				obs[i].Cause = 7 // causes need not be numbered without gaps
			}
		}
		aj, err := AalenJohansen(obs, Settings{})
		require.NoError(t, err)
		before := make([]float64, len(aj.Causes))
		for _, s := range aj.Steps {
			sum := s.EventFree
			for k, f := range s.Incidence {
				require.GreaterOrEqual(t, f, before[k])
				sum += f
			}
			require.InDelta(t, 1, sum, 1e-12)
			before = s.Incidence
		}
	}
}

func TestOneCauseIsOneMinusKaplanMeier(t *testing.T) {
	for seed := range uint64(10) {
		obs := world(seed, 40)
		for i := range obs {
			obs[i].Cause = min(obs[i].Cause, 1)
		}
		for _, kind := range []Interval{LogLog, Log, Plain, Logit, ArcSine} {
			km, err := KaplanMeier(obs, Settings{Interval: kind})
			require.NoError(t, err)
			aj, err := AalenJohansen(obs, Settings{Interval: kind})
			require.NoError(t, err)
			for i, s := range km.Steps {
				require.InDelta(t, 1-s.Survival, aj.Steps[i].Incidence[0], 1e-12)
				e := aj.At(1, s.Time)
				if s.Survival > 0 && s.Survival < 1 {
					require.InDelta(t, s.SE, aj.Steps[i].SE[0], 1e-12)
					statstest.Near(t, 1-s.Hi, e.Lo, 1e-9, "lower limit, "+kind.String())
					statstest.Near(t, 1-s.Lo, e.Hi, 1e-9, "upper limit, "+kind.String())
				}
			}
		}
	}
}

func TestTurnbullOfExactTimesIsKaplanMeier(t *testing.T) {
	for seed := range uint64(10) {
		obs := world(seed, 60)
		for i := range obs {
			obs[i].Entry = 0
		}
		km, err := KaplanMeier(obs, Settings{})
		require.NoError(t, err)
		tb, err := Turnbull(obs, Settings{})
		require.NoError(t, err)
		require.Equal(t, stats.OK, tb.Status)
		for _, s := range km.Steps {
			statstest.Near(t, s.Survival, tb.At(s.Time).Value, 1e-8, fmt.Sprintf("seed %d, share waiting at %v", seed, s.Time))
		}
	}
}

// Without censoring the likelihood ratio of Turnbull is that of a binomial
// share, whose limits solve 2(l(k/n) - l(c)) = chi-square quantile.
func TestTurnbullLimitsWithoutCensoring(t *testing.T) {
	n := 12
	var obs []Observation
	for i := range n {
		obs = append(obs, Observation{Span: Span{float64(i + 1), float64(i + 1)}})
	}
	tb, err := Turnbull(obs, Settings{})
	require.NoError(t, err)
	loglik := func(k int, c float64) float64 {
		return xlogy(float64(k), c) + xlogy(float64(n-k), 1-c)
	}
	for k := 1; k <= n; k++ { // k of n gone
		e := tb.At(float64(k) + 0.5)
		waiting := float64(n-k) / float64(n)
		statstest.Near(t, waiting, e.Value, 1e-8, "share waiting")
		for _, limit := range []float64{e.Lo, e.Hi} {
			if limit > 0 && limit < 1 {
				lr := 2 * (loglik(n-k, waiting) - loglik(n-k, limit))
				statstest.Near(t, tail.ChiSquareUpperQuantile(0.05, 1), lr, 1e-5, "likelihood ratio at the limit")
			}
		}
	}
	none := tb.At(0.5)
	statstest.Near(t, math.Exp(-tail.ChiSquareUpperQuantile(0.05, 1)/(2*float64(n))), none.Lo, 1e-5, "0 of 12 gone")
	require.Equal(t, 1.0, none.Hi)
	require.Equal(t, 0.0, tb.At(12).Lo)
}

// The limits of the median are then the order statistics between which a
// binomial likelihood ratio accepts one half.
func TestTurnbullQuantileLimitsWithoutCensoring(t *testing.T) {
	n := 20
	var obs []Observation
	for i := range n {
		obs = append(obs, Observation{Span: Span{float64(i + 1), float64(i + 1)}})
	}
	tb, err := Turnbull(obs, Settings{Level: 0.9})
	require.NoError(t, err)
	accepted := func(k int) bool { // k of n gone
		share := float64(k) / float64(n)
		lr := 2 * (xlogy(float64(k), share/0.5) + xlogy(float64(n-k), (1-share)/0.5))
		return lr <= tail.ChiSquareUpperQuantile(0.1, 1)
	}
	first, last := 0, n
	for !accepted(first) {
		first++
	}
	for !accepted(last) {
		last--
	}
	q := tb.Quantile(0.5)
	require.Equal(t, 10.5, q.Value)
	require.Equal(t, float64(first), q.Lo, "the first time with enough gone")
	require.Equal(t, float64(last+1), q.Hi, "the time after which too many are gone")
}

func xlogy(x, y float64) float64 {
	if x == 0 {
		return 0
	}
	return x * math.Log(y)
}

func TestBetaProductWithoutCensoringIsClopperPearson(t *testing.T) {
	n := 14
	var obs []Observation
	for i := range n {
		time := float64(i/2 + 1) // in pairs
		obs = append(obs, Observation{Span: Span{time, time}})
	}
	km, err := KaplanMeier(obs, Settings{Interval: BetaProduct, Level: 0.9})
	require.NoError(t, err)
	for i := 0; i <= 7; i++ {
		left := n - 2*i
		e := km.At(float64(i))
		lo, hi := 0.0, 1.0
		if left > 0 {
			lo = tail.BetaQuantile(0.05, float64(left), float64(n-left+1))
		}
		if left < n {
			hi = tail.BetaUpperQuantile(0.05, float64(left+1), float64(n-left))
		}
		statstest.Near(t, lo, e.Lo, 1e-9, "lower limit")
		statstest.Near(t, hi, e.Hi, 1e-9, "upper limit")
	}
}

func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	obs := world(3, 200)
	for i := range obs {
		obs[i].Weight += 0.1 * float64(i%7) // sums that rounding could upset
	}
	wide := widened(obs)
	x := make([]float64, len(obs))
	for i := range x {
		x[i] = obs[i].Weight - float64(i%5)
	}
	for seed := range uint64(5) {
		order := shuffled(identity(len(obs)), seed)
		mixed, mixedWide, mixedX := permuted(obs, order), permuted(wide, order), permuted(x, order)
		equal := func(name string, a, b any, errA, errB error) {
			require.NoError(t, errA)
			require.NoError(t, errB)
			require.Equal(t, fmt.Sprint(a), fmt.Sprint(b), name) // every digit of every number
		}
		a, err := KaplanMeier(obs, Settings{})
		b, errB := KaplanMeier(mixed, Settings{})
		equal("Kaplan-Meier", a, b, err, errB)
		h, err := NelsonAalen(obs, Settings{})
		g, errB := NelsonAalen(mixed, Settings{})
		equal("Nelson-Aalen", h, g, err, errB)
		c, err := AalenJohansen(obs, Settings{})
		d, errB := AalenJohansen(mixed, Settings{})
		equal("Aalen-Johansen", c, d, err, errB)
		e, err := Turnbull(wide, Settings{})
		f, errB := Turnbull(mixedWide, Settings{})
		equal("Turnbull", e, f, err, errB)
		group := whole(x)
		p, err := LogRank(obs, group, ComparisonSettings{})
		q, errB := LogRank(mixed, permuted(group, order), ComparisonSettings{})
		equal("log-rank", fmt.Sprint(p.ChiSquare, p.Observed, p.Expected), fmt.Sprint(q.ChiSquare, q.Observed, q.Expected), err, errB)
		m, err := FitAFT(wide, []Covariate{{"x", x}}, AFTSettings{PenaliseSpread: true})
		n, errB := FitAFT(mixedWide, []Covariate{{"x", mixedX}}, AFTSettings{PenaliseSpread: true})
		equal("AFT", fmt.Sprint(m.Coef, m.Scale, m.LogLik), fmt.Sprint(n.Coef, n.Scale, n.LogLik), err, errB)
		u, err := m.Predict([]float64{1}, 0.8)
		v, errB := n.Predict([]float64{1}, 0.8)
		equal("prediction", u, v, err, errB)
	}
}

func identity(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func permuted[T any](x []T, order []int) []T {
	out := make([]T, len(x))
	for i, j := range order {
		out[i] = x[j]
	}
	return out
}

func TestUnitOfTimeDoesNotMatter(t *testing.T) {
	obs := world(4, 150)
	wide := widened(obs)
	x := Covariate{"x", make([]float64, len(obs))}
	for i := range x.Values {
		x.Values[i] = math.Sin(float64(i))
	}
	for _, by := range []float64{24, 1.0 / 7, 86400} {
		a, err := KaplanMeier(obs, Settings{})
		require.NoError(t, err)
		b, err := KaplanMeier(rescaled(obs, by), Settings{})
		require.NoError(t, err)
		for i := range a.Steps {
			require.Equal(t, a.Steps[i].Survival, b.Steps[i].Survival)
		}
		sameScaled(t, by, a.Quantile(0.5), b.Quantile(0.5))
		sameScaled(t, by, a.RestrictedMean(30), b.RestrictedMean(30*by))
		c, err := Turnbull(wide, Settings{})
		require.NoError(t, err)
		d, err := Turnbull(rescaled(wide, by), Settings{})
		require.NoError(t, err)
		sameScaled(t, by, c.Quantile(0.5), d.Quantile(0.5))
		for _, family := range []Family{Lognormal, Weibull, LogLogistic, Exponential, Normal} {
			s := AFTSettings{Family: family}
			m, err := FitAFT(wide, []Covariate{x}, s)
			require.NoError(t, err)
			n, err := FitAFT(rescaled(wide, by), []Covariate{x}, s)
			require.NoError(t, err)
			require.Equal(t, m.Status, n.Status, family)
			sameScaled(t, by, m.Quantile([]float64{0.3}, 0.25), n.Quantile([]float64{0.3}, 0.25))
			if family.logScale() {
				statstest.Near(t, m.Coef[1], n.Coef[1], 1e-7, "coefficient")
				statstest.Near(t, m.Scale, n.Scale, 1e-7, "scale")
			}
		}
	}
}

func sameScaled(t *testing.T, by float64, a, b stats.Estimate) {
	t.Helper()
	require.Equal(t, a.Status, b.Status)
	statstest.NearOrNaN(t, by*a.Value, b.Value, 1e-7, "value in another unit")
	statstest.NearOrNaN(t, by*a.Lo, b.Lo, 1e-7, "lower limit in another unit")
	statstest.NearOrNaN(t, by*a.Hi, b.Hi, 1e-7, "upper limit in another unit")
}

func TestWeightsAreCounts(t *testing.T) {
	obs := world(5, 40)
	long := repeated(obs)
	a, err := KaplanMeier(obs, Settings{})
	require.NoError(t, err)
	b, err := KaplanMeier(long, Settings{})
	require.NoError(t, err)
	require.Equal(t, fmt.Sprint(a), fmt.Sprint(b)) // every digit; NaN equals NaN as text
	wide, wideLong := widened(obs), widened(long)
	c, err := Turnbull(wide, Settings{})
	require.NoError(t, err)
	d, err := Turnbull(wideLong, Settings{})
	require.NoError(t, err)
	require.Equal(t, fmt.Sprint(c), fmt.Sprint(d))
	m, err := FitAFT(wide, nil, AFTSettings{})
	require.NoError(t, err)
	n, err := FitAFT(wideLong, nil, AFTSettings{})
	require.NoError(t, err)
	require.Equal(t, m.N, n.N)
	statstest.NearAll(t, m.Coef, n.Coef, 1e-9, "coefficients")
	statstest.Near(t, m.Covariance.At(0, 0), n.Covariance.At(0, 0), 1e-9, "variance")
}

func TestOriginIsWhereTheClockStarts(t *testing.T) {
	obs := world(6, 40)
	moved := slices.Clone(obs)
	for i := range moved {
		u := float64(i % 5)
		o := &moved[i]
		o.Origin, o.Lo, o.Hi, o.Entry = Span{u, u}, o.Lo+u, o.Hi+u, o.Entry+u
	}
	a, err := KaplanMeier(obs, Settings{})
	require.NoError(t, err)
	b, err := KaplanMeier(moved, Settings{})
	require.NoError(t, err)
	require.Equal(t, fmt.Sprint(a), fmt.Sprint(b)) // every digit; NaN equals NaN as text
	m, err := FitAFT(obs, nil, AFTSettings{})
	require.NoError(t, err)
	n, err := FitAFT(moved, nil, AFTSettings{})
	require.NoError(t, err)
	statstest.NearAll(t, m.Coef, n.Coef, 1e-9, "coefficients")
}

func TestNumberOfProcessorsDoesNotMatter(t *testing.T) {
	obs := widened(world(8, 300))
	for i := range obs {
		obs[i].Origin = Span{0, 2}
	}
	fit := func(procs int) string {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(procs))
		m, err := FitAFT(obs, nil, AFTSettings{PenaliseSpread: true})
		require.NoError(t, err)
		p, err := m.Predict(nil, 0.9)
		require.NoError(t, err)
		return fmt.Sprint(m.Coef, m.Scale, m.LogLik, p)
	}
	require.Equal(t, fit(1), fit(8))
}

// A Weibull AFT model is one of proportional hazards with log hazard ratio
// -coefficient/scale. The other side is maximised here from its own
// log-likelihood by a general optimiser.
func TestWeibullIsProportionalHazards(t *testing.T) {
	d := statstest.LoadTable(t, "gehan_6mp")
	time, event, treat := d.Floats("time"), d.Floats("event"), d.Texts("treat")
	x := make([]float64, len(time))
	for i := range x {
		if treat[i] == "mp6" {
			x[i] = 1
		}
	}
	m, err := FitAFT(exits(time, event), []Covariate{{"mp6", x}}, AFTSettings{Family: Weibull})
	require.NoError(t, err)
	negative := func(p []float64) float64 { // log rate, log shape, log hazard ratio
		var l float64
		shape := math.Exp(p[1])
		for i := range time {
			rate := math.Exp(p[0] + p[2]*x[i])
			l -= rate * math.Pow(time[i], shape)
			if event[i] == 1 {
				l += math.Log(rate*shape) + (shape-1)*math.Log(time[i])
			}
		}
		return -l
	}
	best, err := optimize.Minimize(optimize.Problem{Func: negative}, []float64{-2, 0, 0}, &optimize.Settings{Converger: &optimize.FunctionConverge{Absolute: 1e-14, Iterations: 200}}, &optimize.NelderMead{})
	require.NoError(t, err)
	statstest.Near(t, -best.F, m.LogLik, 1e-8, "log-likelihood")
	statstest.Near(t, best.X[2], -m.Coef[1]/m.Scale, 1e-4, "log hazard ratio")
	statstest.Near(t, math.Exp(best.X[1]), 1/m.Scale, 1e-4, "shape")
	for _, at := range []float64{1, 5, 30} { // the ratio of hazards is the same at all times
		ratio := math.Log(m.Survival([]float64{1}, at).Value) / math.Log(m.Survival([]float64{0}, at).Value)
		statstest.Near(t, math.Exp(-m.Coef[1]/m.Scale), ratio, 1e-9, "ratio of cumulative hazards")
	}
}

// For a family of location and scale with the origin known, a wide origin window
// that shrinks must lead to the fit with the origin known.
func TestOriginWindowShrinks(t *testing.T) {
	obs := widened(world(9, 60))
	known, err := FitAFT(obs, nil, AFTSettings{})
	require.NoError(t, err)
	for i := range obs {
		obs[i].Origin = Span{-1e-6, 1e-6}
	}
	window, err := FitAFT(obs, nil, AFTSettings{})
	require.NoError(t, err)
	statstest.NearAll(t, known.Coef, window.Coef, 1e-5, "coefficients")
	statstest.Near(t, known.LogLik, window.LogLik, 1e-5, "log-likelihood")
}

// With more rows than are added up together the sums are made side by side; the number
// of processors changes no bit of them.
func TestManyRowsOnAnyNumberOfProcessors(t *testing.T) {
	obs := irregular(crowd(2*rowsTogether + 500))
	x := crowdCovariates(obs)
	answer := func() string {
		m, err := FitAFT(obs, x, AFTSettings{})
		require.NoError(t, err)
		require.Equal(t, stats.OK, m.Status)
		return fmt.Sprint(m.Coef, m.Scale, m.LogLik, m.Covariance.RawSymmetric().Data)
	}
	want := answer()
	for _, processors := range []int{1, 8} {
		func() {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
			require.Equal(t, want, answer(), "on %d processors", processors)
		}()
	}
}
