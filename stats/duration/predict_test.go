package duration

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"gravid/stats"
	"gravid/stats/internal/statstest"
	"gravid/stats/tail"
)

// With exact lognormal times, no penalty and a flat prior the prediction is the
// textbook interval mean +- t_{n-1} s sqrt(1 + 1/n) of the logs (derivation).
func TestPredictOfExactTimesIsStudent(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for _, n := range []int{3, 5, 12, 40} {
		var obs []Observation
		var logs []float64
		for range n {
			y := 4 + 0.3*r.NormFloat64()
			logs = append(logs, y)
			obs = append(obs, Observation{Span: Span{math.Exp(y), math.Exp(y)}})
		}
		m, err := FitAFT(obs, nil, AFTSettings{})
		require.NoError(t, err)
		mean, sd := stat.MeanStdDev(logs, nil)
		for _, level := range []float64{0.5, 0.8, 0.95} {
			e, err := m.Predict(nil, level)
			require.NoError(t, err)
			require.Equal(t, level, e.Level)
			half := tail.StudentUpperQuantile((1-level)/2, float64(n-1)) * sd * math.Sqrt(1+1/float64(n))
			what := fmt.Sprintf("n = %d, level %v", n, level)
			statstest.Near(t, mean, math.Log(e.Value), 1e-4, what+", middle")
			statstest.Near(t, half, math.Log(e.Hi)-mean, 2e-3, what+", upper half width")
			statstest.Near(t, half, mean-math.Log(e.Lo), 2e-3, what+", lower half width")
		}
	}
}

// With a covariate it is the prediction of linear regression, t_{n-2} s
// sqrt(1 + x'(X'X)^-1 x) (derivation).
func TestPredictWithCovariateIsStudent(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 6))
	const n = 15
	x, y := make([]float64, n), make([]float64, n)
	var obs []Observation
	for i := range n {
		x[i] = 24 + 4*r.Float64()
		y[i] = 4 - 0.1*(x[i]-26) + 0.1*r.NormFloat64()
		obs = append(obs, Observation{Span: Span{math.Exp(y[i]), math.Exp(y[i])}})
	}
	m, err := FitAFT(obs, []Covariate{{"temperature", x}}, AFTSettings{})
	require.NoError(t, err)
	a, b := stat.LinearRegression(x, y, nil, false)
	var squares float64
	for i := range n {
		squares += square(y[i] - a - b*x[i])
	}
	s := math.Sqrt(squares / (n - 2))
	mean, sd := stat.MeanStdDev(x, nil)
	at := 28.5
	half := tail.StudentUpperQuantile(0.05, n-2) * s * math.Sqrt(1+1/float64(n)+square(at-mean)/(square(sd)*(n-1)))
	e, err := m.Predict([]float64{at}, 0.9)
	require.NoError(t, err)
	statstest.Near(t, a+b*at, math.Log(e.Value), 1e-4, "middle")
	statstest.Near(t, half, math.Log(e.Hi)-a-b*at, 2e-3, "upper half width")
	statstest.Near(t, half, a+b*at-math.Log(e.Lo), 2e-3, "lower half width")
	// The same with the spread held: normal, sqrt(s^2 + variance of the line).
	held, err := FitAFT(obs, []Covariate{{"temperature", x}}, AFTSettings{FixedScale: 0.1})
	require.NoError(t, err)
	e, err = held.Predict([]float64{at}, 0.9)
	require.NoError(t, err)
	half = tail.NormalUpperQuantile(0.05) * 0.1 * math.Sqrt(1+1/float64(n)+square(at-mean)/(square(sd)*(n-1)))
	statstest.Near(t, half, math.Log(e.Hi)-a-b*at, 2e-3, "upper half width, spread held")
}

// dailyChecks makes n clutches looked at every gap hours: median hatching time
// after laying median, standard deviation of its log sd. Laying is witnessed or
// known only to a window of gap too.
func dailyChecks(r *rand.Rand, n int, median, sd, gap float64, witnessed bool) []Observation {
	obs := make([]Observation, n)
	for i := range obs {
		laid := gap * r.Float64()
		seen := gap * math.Ceil((laid+median*math.Exp(sd*r.NormFloat64()))/gap)
		obs[i] = Observation{Span: Span{seen - gap, seen}, Origin: Span{0, gap}}
		if witnessed {
			obs[i].Origin = Span{laid, laid}
		}
	}
	return obs
}

// A planted world checked against known truth: 24-hour checks, true median 60 h
// and standard deviation of the log 0.10. The bands are wide enough for 100
// replicates; what they must exclude is the failure of rivals, printed with -v.
func TestDoublyCensoredSimulation(t *testing.T) {
	const replicates, median, sd, gap = 100, 60.0, 0.10, 24.0
	for _, world := range []struct {
		n         int
		median    float64
		witnessed bool
	}{{30, median, true}, {30, median, false}, {12, median, false}, {30, 2 * median, false}} {
		r := rand.New(rand.NewPCG(20, uint64(world.n)))
		share := func(e stats.Estimate) float64 { // of new clutches within the limits
			return tail.NormalLower(math.Log(e.Hi/world.median)/sd) - tail.NormalLower(math.Log(e.Lo/world.median)/sd)
		}
		var medians, spreads, naive []float64
		var predicted, covered float64
		for range replicates {
			obs := dailyChecks(r, world.n, world.median, sd, gap, world.witnessed)
			m, err := FitAFT(obs, nil, AFTSettings{PenaliseSpread: true})
			require.NoError(t, err)
			require.Equal(t, stats.OK, m.Status, m.Warnings)
			q := m.Quantile(nil, 0.5)
			medians, spreads = append(medians, q.Value), append(spreads, m.Scale)
			if q.Lo <= world.median && world.median <= q.Hi {
				covered++
			}
			e, err := m.Predict(nil, 0.9)
			require.NoError(t, err)
			require.Equal(t, stats.OK, e.Status)
			predicted += share(e)
			naive = append(naive, asIfExact(t, obs))
		}
		predicted, covered = predicted/replicates, covered/replicates
		slices.Sort(spreads)
		t.Logf("n %d, median %v h, witnessed %v: median %.1f (check time taken as exact: %.1f), covered %.2f, spread %.3f, share within 90%% prediction %.3f",
			world.n, world.median, world.witnessed, stat.Mean(medians, nil), stat.Mean(naive, nil), covered, spreads[replicates/2], predicted)
		require.InEpsilon(t, world.median, stat.Mean(medians, nil), 0.03)
		require.InDelta(t, 0.95, covered, 0.06)
		require.InDelta(t, 0.11, spreads[replicates/2], 0.03, "the penalty errs on the wide side")
		require.Greater(t, predicted, 0.86)
		require.Less(t, predicted, 0.985, "12 clutches with both ends seen late are on the wide side")
		require.Greater(t, stat.Mean(naive, nil), 1.05*world.median, "the rival must fail visibly")
	}
}

// asIfExact is the median if the check time is taken for the time of hatching
// and the end of the laying window for that of laying (or its start if so).
func asIfExact(t *testing.T, obs []Observation) float64 {
	exact := slices.Clone(obs)
	for i := range exact {
		exact[i].Lo = exact[i].Hi
		exact[i].Origin.Hi = exact[i].Origin.Lo
	}
	km, err := KaplanMeier(exact, Settings{})
	require.NoError(t, err)
	return km.Quantile(0.5).Value
}

// The sum over midpoints of a window is an integral: with many nodes it must
// approach the closed form of the mean of a lognormal distribution function,
// (w F(w) - exp(mu + s^2/2) Phi((log w - mu)/s - s)) between the ends (derivation).
func TestOriginWindowIsAnIntegral(t *testing.T) {
	mu, s := math.Log(60), 0.1
	area := func(w float64) float64 {
		z := (math.Log(w) - mu) / s
		return w*tail.NormalLower(z) - math.Exp(mu+s*s/2)*tail.NormalLower(z-s)
	}
	o := Observation{Span: Span{72, 96}, Origin: Span{0, 24}}
	want := ((area(96) - area(72)) - (area(72) - area(48))) / 24
	row := newRow(Lognormal, o, 2000)
	statstest.Near(t, want, math.Exp(row.at(Lognormal, mu, math.Log(s), true).value), 1e-5, "2000 nodes")
	row = newRow(Lognormal, o, 12)
	statstest.Near(t, want, math.Exp(row.at(Lognormal, mu, math.Log(s), true).value), 1e-2, "12 nodes")
}

// With many observations the likelihood is normal about its peak, and the short
// cut for them must agree with the grid.
func TestPredictOfManyIsNormal(t *testing.T) {
	obs := widened(world(12, 1500))
	x := Covariate{"x", make([]float64, len(obs))}
	for i := range x.Values {
		x.Values[i] = math.Sin(float64(i))
	}
	for _, s := range []AFTSettings{{}, {Family: Weibull}, {FixedScale: 0.5}} {
		m, err := FitAFT(obs, []Covariate{x}, s)
		require.NoError(t, err)
		at := m.scaler.apply([]float64{1, 0.4})
		grid, ok := m.candidates(at)
		require.True(t, ok)
		for _, p := range []float64{0.05, 0.5, 0.95} {
			statstest.Near(t, s.Family.mixtureQuantile(grid, p), s.Family.mixtureQuantile(m.normalCandidates(at), p), 1e-3, "quantile")
		}
	}
}

func TestPredictNeedsASpreadWithAnEnd(t *testing.T) {
	obs := []Observation{{Span: Span{50, 50}}, {Span: Span{60, 60}}}
	m, err := FitAFT(obs, nil, AFTSettings{PenaliseSpread: true})
	require.NoError(t, err)
	require.Equal(t, stats.OK, m.Status)
	e, err := m.Predict(nil, 0.9)
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, e.Status, "two times and a penalty leave any spread possible")
	require.True(t, math.IsNaN(e.Value) && math.IsNaN(e.Lo) && math.IsNaN(e.Hi))
	require.NotEmpty(t, e.Warnings)
}

func TestFixedScaleCovarianceHasNoScale(t *testing.T) {
	m, err := FitAFT(world(1, 30), nil, AFTSettings{Family: Exponential})
	require.NoError(t, err)
	r, _ := m.Covariance.Dims()
	require.Equal(t, 1, r)
	require.Equal(t, 1.0, m.Spread().Value)
	require.NotEmpty(t, m.Spread().Warnings)
	var none *mat.SymDense
	require.NotEqual(t, none, m.Covariance)
}
