package count

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"gravid/stats"
	"gravid/stats/internal/statstest"
	"gravid/stats/tail"
)

// The laws below are derivations: they hold for any data, so no source is named
// for their numbers.

func TestSharesTurnAround(t *testing.T) {
	for name, method := range map[string]func(hits, trials int, level float64) (stats.Estimate, error){
		"Clopper-Pearson": ClopperPearson, "Wilson": Wilson, "Jeffreys": Jeffreys, "Agresti-Coull": AgrestiCoull, "mid-p": MidP,
	} {
		for n := 1; n <= 30; n += 7 {
			before := -1.0
			for x := 0; x <= n; x++ {
				a, err := method(x, n, 0.9)
				require.NoError(t, err)
				b, err := method(n-x, n, 0.9)
				require.NoError(t, err)
				statstest.Near(t, 1-a.Lo, b.Hi, 1e-9, name+": misses for hits swap the limits")
				require.True(t, 0 <= a.Lo && a.Lo <= a.Value && a.Value <= a.Hi && a.Hi <= 1, name)
				require.Greater(t, a.Hi, before, name+": more hits, higher limit")
				before = math.Min(a.Hi, 1-1e-9)
			}
		}
	}
}

// The exact interval covers at least its level whatever the true share.
func TestClopperPearsonCovers(t *testing.T) {
	const n = 13
	for p := 0.01; p < 1; p += 0.01 {
		covered := 0.0
		for x := 0; x <= n; x++ {
			e, err := ClopperPearson(x, n, 0)
			require.NoError(t, err)
			require.Equal(t, 0.95, e.Attained)
			if e.Lo <= p && p <= e.Hi {
				covered += math.Exp(logChoose(n, x) + float64(x)*math.Log(p) + float64(n-x)*math.Log1p(-p))
			}
		}
		require.GreaterOrEqual(t, covered, 0.95)
	}
}

// 1 - 0.05^(1/14) = 0.193: "0 of 14" goes with up to 19 in 100 (derivation; the
// rule of three gives 3/14 = 0.214, Hanley & Lippman-Hand 1983).
func TestOneSided(t *testing.T) {
	e, err := AtMost(0, 14, 0.95)
	require.NoError(t, err)
	statstest.Near(t, 1-math.Pow(0.05, 1.0/14), e.Hi, 1e-9, "at most")
	require.Equal(t, 0.0, e.Lo)
	e, err = AtLeast(36, 36, 0.95)
	require.NoError(t, err)
	statstest.Near(t, math.Pow(0.05, 1.0/36), e.Lo, 1e-9, "at least")
	require.Equal(t, 1.0, e.Hi)
	r, err := PoissonAtMost(0, 200, 0.95)
	require.NoError(t, err)
	statstest.Near(t, -math.Log(0.05)/200, r.Hi, 1e-9, "events at most")
	statstest.Near(t, 3.0/200, r.Hi, 2e-3, "3.0 over the exposure")
	require.Equal(t, r.Level, r.Attained)
	both, err := PoissonRate(7, 3, 0.9)
	require.NoError(t, err)
	r, err = PoissonAtMost(7, 3, 0.95)
	require.NoError(t, err)
	require.Equal(t, both.Hi, r.Hi, "one-sided at 95% is the upper end at 90%")
}

func TestDifferenceTurnsAround(t *testing.T) {
	a, err := Newcombe(9, 14, 3, 11, 0)
	require.NoError(t, err)
	b, err := Newcombe(3, 11, 9, 14, 0)
	require.NoError(t, err)
	statstest.NearAll(t, []float64{-a.Value, -a.Hi, -a.Lo}, []float64{b.Value, b.Lo, b.Hi}, 1e-12, "groups swapped")
	p, err := Fisher(9, 14, 3, 11)
	require.NoError(t, err)
	q, err := Fisher(3, 11, 9, 14)
	require.NoError(t, err)
	statstest.Near(t, p, q, 1e-12, "p-value with groups swapped")
}

func TestRateRatioTurnsAround(t *testing.T) {
	a, err := RateRatio(9, 14, 3, 11, 0)
	require.NoError(t, err)
	b, err := RateRatio(3, 11, 9, 14, 0)
	require.NoError(t, err)
	statstest.NearAll(t, []float64{1 / a.Value, 1 / a.Hi, 1 / a.Lo, a.P}, []float64{b.Value, b.Lo, b.Hi, b.P}, 1e-9, "rates swapped")
	c, err := RateRatio(9, 14*24, 3, 11*24, 0)
	require.NoError(t, err)
	statstest.NearAll(t, []float64{a.Value, a.Lo, a.Hi, a.P}, []float64{c.Value, c.Lo, c.Hi, c.P}, 1e-9, "another unit of exposure")
}

func TestUnitOfAmountDoesNotMatter(t *testing.T) {
	x := []float64{120, 300, 80, 410, 95.5}
	a, err := LogTMean(x, 0)
	require.NoError(t, err)
	y := slices.Clone(x)
	for i := range y {
		y[i] *= 12
	}
	b, err := LogTMean(y, 0)
	require.NoError(t, err)
	statstest.NearAll(t, []float64{12 * a.Value, 12 * a.Lo, 12 * a.Hi}, []float64{b.Value, b.Lo, b.Hi}, 1e-12, "dozens")
}

func TestRatioOfEqualUnitsIsTheMean(t *testing.T) {
	x := []float64{120, 300, 80, 410, 95.5}
	var parts []Part
	for i, v := range x {
		parts = append(parts, Part{Amount: v, Exposure: 1, Cluster: i})
	}
	a, err := LogTMean(x, 0.9)
	require.NoError(t, err)
	b, err := RatioOfTotals(parts, 0.9)
	require.NoError(t, err)
	statstest.NearAll(t, []float64{a.Value, a.Lo, a.Hi}, []float64{b.Value, b.Lo, b.Hi}, 1e-9, "every unit its own cluster")
}

func TestClustersCountAsOne(t *testing.T) {
	parts := []Part{{30, 10, 1}, {50, 12, 1}, {4, 9, 2}, {20, 30, 3}, {0, 5, 3}, {0, 0, 4}}
	joined := []Part{{80, 22, 7}, {4, 9, 8}, {20, 35, 9}}
	a, err := RatioOfTotals(parts, 0)
	require.NoError(t, err)
	b, err := RatioOfTotals(joined, 0)
	require.NoError(t, err)
	require.Equal(t, []float64{a.Value, a.Lo, a.Hi}, []float64{b.Value, b.Lo, b.Hi}, "units of a cluster added up, other labels")
	require.Equal(t, 3, a.Events)
	statstest.Near(t, 104.0/66, a.Value, 1e-12, "ratio of totals")
	// Jackknife by hand: without cluster 1 24/44, without 2 100/57, without 3 84/31.
	r := 104.0 / 66
	se := math.Sqrt(2.0 / 3 * (sq(24.0/44-r) + sq(100.0/57-r) + sq(84.0/31-r)))
	statstest.Near(t, r*math.Exp(tail.StudentUpperQuantile(0.025, 2)*se/r), a.Hi, 1e-9, "upper limit")
}

// mixedCounts has exact, ranged, part and open counts.
func mixedCounts(seed uint64, n int) []Count {
	r := rand.New(rand.NewPCG(seed, 3))
	out := make([]Count, n)
	for i := range out {
		y := draw(r, 200, 2)
		switch r.IntN(4) {
		case 0:
			out[i] = Count{Lo: math.Floor(y*0.8/10) * 10, Hi: math.Ceil(y*1.2/10)*10 + 5}
		case 1:
			out[i] = Count{Lo: draw(r, 50, 2), Exposure: 0.25}
			out[i].Hi = out[i].Lo
		case 2:
			out[i] = Count{Lo: math.Floor(y / 2), Hi: inf}
		default:
			out[i] = Exactly(int(y))
		}
	}
	return out
}

// draw returns a negative binomial number: a Poisson count whose mean is gamma.
func draw(r *rand.Rand, mean, size float64) float64 {
	rate := distuv.Gamma{Alpha: size, Beta: size / mean, Src: r}.Rand()
	return distuv.Poisson{Lambda: rate, Src: r}.Rand()
}

func TestOrderDoesNotMatter(t *testing.T) {
	counts := mixedCounts(1, 40)
	clutches := make([]Clutch, 40)
	parts := make([]Part, 40)
	amounts := make([]float64, 40)
	for i := range clutches {
		trials := 5 + i%17
		clutches[i] = Clutch{Hits: (i * 7) % (trials + 1), Trials: trials, X: []float64{float64(i % 3)}}
		amounts[i] = 0.1 * float64(1+(i*13)%29)
		parts[i] = Part{Amount: amounts[i], Exposure: 0.3 * float64(1+i%5), Cluster: i % 6}
	}
	all := func(order []int) string {
		a, err := FitNegativeBinomial(permuted(counts, order), 0)
		require.NoError(t, err)
		p, err := a.Predict(1, 0.9)
		require.NoError(t, err)
		b, err := FitBetaBinomial(permuted(clutches, order), 0)
		require.NoError(t, err)
		c, err := RatioOfTotals(permuted(parts, order), 0)
		require.NoError(t, err)
		d, err := LogTMean(permuted(amounts, order), 0)
		require.NoError(t, err)
		return fmt.Sprint(a.Mean(Profile), a.Dispersion(), p, b.Coef, b.Share([]float64{1}), b.Correlation(), c, d, Median(permuted(amounts, order)))
	}
	order := make([]int, 40)
	for i := range order {
		order[i] = i
	}
	want := all(order)
	for seed := range uint64(4) {
		rand.New(rand.NewPCG(seed, 9)).Shuffle(40, func(i, j int) { order[i], order[j] = order[j], order[i] })
		require.Equal(t, want, all(order))
	}
}

func permuted[T any](x []T, order []int) []T {
	out := make([]T, len(x))
	for i, j := range order {
		out[i] = x[j]
	}
	return out
}

// A range of one number is that number; a part of everything is everything.
func TestDegenerateRangesAreExact(t *testing.T) {
	x := []float64{3, 150, 80, 7, 300, 44}
	a, err := FitNegativeBinomial(exactly(x), 0)
	require.NoError(t, err)
	counts := exactly(x)
	for i := range counts {
		counts[i].Exposure = 1
	}
	counts = append(counts, Count{Lo: 0, Hi: inf}) // says nothing
	b, err := FitNegativeBinomial(counts, 0)
	require.NoError(t, err)
	statstest.Near(t, a.LogLik, b.LogLik, 1e-12, "log-likelihood")
	statstest.Near(t, a.Size, b.Size, 1e-9, "size")
	// Everything counted at a quarter: the mean is four times that of the parts.
	for i := range counts {
		counts[i].Exposure = 0.25
	}
	c, err := FitNegativeBinomial(counts, 0)
	require.NoError(t, err)
	statstest.Near(t, 4*a.Mean(Profile).Value, c.Mean(Profile).Value, 1e-9, "mean")
	statstest.Near(t, 4*a.Mean(Profile).Hi, c.Mean(Profile).Hi, 1e-7, "upper limit")
	statstest.Near(t, a.Size, c.Size, 1e-9, "size of a thinned negative binomial")
}

// The trap of a single start: eight clutches, one of them empty.
func TestSeveralStartsFindTheBest(t *testing.T) {
	m, err := FitNegativeBinomial(exactly([]float64{0, 310, 290, 350, 410, 260, 330, 300}), 0)
	require.NoError(t, err)
	require.Equal(t, stats.OK, m.Status)
	require.Less(t, m.Size, 5.0)
	best := math.Inf(-1) // a fine grid over the size, at the mean, which is best for any size
	for q := -12.0; q < 5; q += 0.01 {
		best = math.Max(best, m.at(m.logMean, math.Exp(-q), false).value)
	}
	require.GreaterOrEqual(t, m.LogLik, best-1e-9)
	require.Greater(t, m.LogLik, m.PoissonLogLik+100)
}

func TestFQuantileIsWider(t *testing.T) {
	m, err := FitNegativeBinomial(exactly([]float64{120, 300, 80, 410, 95}), 0)
	require.NoError(t, err)
	chi, f := m.Mean(Profile), m.Mean(ProfileF)
	require.True(t, f.Lo < chi.Lo && chi.Hi < f.Hi)
}

// At the binomial limit the coefficients are those of ordinary logistic
// regression: for one group the logit of the pooled share.
func TestBinomialLimit(t *testing.T) {
	m, err := FitBetaBinomial([]Clutch{{5, 10, nil}, {5, 10, nil}, {6, 10, nil}, {4, 10, nil}, {5, 10, nil}}, 0)
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, m.Status)
	require.Equal(t, 0.0, m.Rho)
	statstest.Near(t, 0.5, m.Share(nil).Value, 1e-9, "share")
	r := m.Correlation()
	require.Equal(t, []float64{0, 0}, []float64{r.Value, r.Lo})
	require.True(t, r.Hi > 0 && r.Hi < 0.5, "%v", r.Hi)
	// Profile limits of a binomial share solve the likelihood ratio equation.
	lr := 2 * (25*math.Log(0.5) + 25*math.Log(0.5) - 25*math.Log(m.Share(nil).Lo) - 25*math.Log(1-m.Share(nil).Lo))
	statstest.Near(t, tail.ChiSquareUpperQuantile(0.05, 1), lr, 1e-6, "likelihood ratio at the limit")
}

func TestShareAtCovariates(t *testing.T) {
	clutches := []Clutch{{3, 10, []float64{0}}, {7, 12, []float64{0}}, {1, 9, []float64{0}}, {8, 10, []float64{1}}, {11, 12, []float64{1}}, {4, 9, []float64{1}}}
	m, err := FitBetaBinomial(clutches, 0)
	require.NoError(t, err)
	require.True(t, m.Status.Usable())
	statstest.Near(t, expit(m.Coef[0]+m.Coef[1]), m.Share([]float64{1}).Value, 1e-9, "share at 1")
	for i := range clutches { // the other coding must give the same answer
		clutches[i].X = []float64{1 - clutches[i].X[0]}
	}
	n, err := FitBetaBinomial(clutches, 0)
	require.NoError(t, err)
	a, b := m.Share([]float64{1}), n.Share([]float64{0})
	statstest.NearAll(t, []float64{a.Value, a.Lo, a.Hi}, []float64{b.Value, b.Lo, b.Hi}, 1e-7, "share")
}
