package count

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"gravid/stats"
)

// Planted worlds, seeded. The bands are about three standard errors of the
// simulation wide; rivals that must fail are worked out beside and printed with -v.

func covers(e stats.Estimate, truth float64) float64 {
	if e.Status.Usable() && e.Lo <= truth && truth <= e.Hi {
		return 1
	}
	return 0
}

// Eight clutches, negative binomial with mean 300 and size 2: limits for
// independent eggs cover hardly ever, log-t limits do.
func TestLogTMeanSimulation(t *testing.T) {
	const replicates, mean = 400, 300.0
	r := rand.New(rand.NewPCG(1, 8))
	var logT, poisson, profileF float64
	for range replicates {
		x := make([]float64, 8)
		for i := range x {
			x[i] = draw(r, mean, 2)
		}
		e, err := LogTMean(x, 0)
		require.NoError(t, err)
		logT += covers(e, mean) / replicates
		p, err := PoissonRate(int(sum(x)), 8, 0)
		require.NoError(t, err)
		poisson += covers(p, mean) / replicates
		m, err := FitNegativeBinomial(exactly(x), 0)
		require.NoError(t, err)
		require.True(t, m.Status.Usable(), m.Warnings)
		profileF += covers(m.Mean(ProfileF), mean) / replicates
	}
	t.Logf("coverage at 95%%: log-t %.3f, negative binomial with F quantile %.3f, Poisson %.3f", logT, profileF, poisson)
	require.InDelta(t, 0.965, logT, 0.03)
	require.InDelta(t, 0.95, profileF, 0.03)
	require.Less(t, poisson, 0.25, "the rival must fail visibly")
}

// Ten clutches, some counted, some written as a rounded range, some as "more
// than", some of which a quarter was counted.
func TestRangedCountsSimulation(t *testing.T) {
	const replicates, mean, size = 150, 200.0, 2.0
	r := rand.New(rand.NewPCG(2, 8))
	var covered, value, naive float64
	for range replicates {
		counts := make([]Count, 10)
		for i := range counts {
			y := draw(r, mean, size)
			known := y
			switch i % 4 {
			case 0:
				counts[i] = Count{Lo: 50 * math.Floor(y/50), Hi: 50*math.Floor(y/50) + 49}
				known = counts[i].Lo
			case 1:
				counts[i] = Exactly(int(y))
				if y > 250 { // stopped counting
					counts[i] = Count{Lo: 251, Hi: inf}
					known = 251
				}
			case 2:
				part := distuv.Binomial{N: y, P: 0.25, Src: r}.Rand()
				counts[i] = Count{Lo: part, Hi: part, Exposure: 0.25}
				known = 4 * part
			default:
				counts[i] = Exactly(int(y))
			}
			naive += known / 10 / replicates
		}
		m, err := FitNegativeBinomial(counts, 0)
		require.NoError(t, err)
		require.True(t, m.Status.Usable(), m.Warnings)
		e := m.Mean(ProfileF)
		covered += covers(e, mean) / replicates
		value += e.Value / replicates
	}
	t.Logf("coverage at 95%% %.3f, mean of the estimates %.1f, of what was written %.1f (truth %v)", covered, value, naive, mean)
	require.InDelta(t, 0.95, covered, 0.05)
	require.InDelta(t, mean, value, 0.06*mean)
	require.Less(t, naive, 0.93*mean, "the rival must fail visibly")
}

// One more clutch falls within the 90% limits about 90 times in 100, also after
// a handful of clutches; limits that take the fit for the truth are too narrow.
func TestNextClutchSimulation(t *testing.T) {
	for _, world := range []struct {
		n    int
		size float64
	}{{5, 2}, {8, 2}, {8, 0.7}, {20, 5}} {
		const replicates, mean = 60, 300.0
		r := rand.New(rand.NewPCG(3, uint64(world.n)))
		truth := negBinomial{mean, world.size}
		within := func(lo, hi float64) float64 { return (truth.lower(hi) - truth.lower(lo-1)) / replicates }
		var predicted, plugged float64
		for range replicates {
			counts := make([]Count, world.n)
			for i := range counts {
				counts[i] = Exactly(int(draw(r, mean, world.size)))
			}
			m, err := FitNegativeBinomial(counts, 0)
			require.NoError(t, err)
			e, err := m.Predict(1, 0.9)
			require.NoError(t, err)
			require.True(t, e.Status.Usable(), e.Warnings)
			predicted += within(e.Lo, e.Hi)
			fit := mixture{{negBinomial: negBinomial{math.Exp(m.logMean), m.Size}, weight: 1}}
			plugged += within(fit.quantile(0.05), fit.quantile(0.95))
		}
		t.Logf("n %d, size %v: share within 90%% limits %.3f (fit taken for the truth %.3f)", world.n, world.size, predicted, plugged)
		require.Greater(t, predicted, 0.87)
		require.Less(t, predicted, 0.97)
		require.Less(t, plugged, predicted)
	}
}

// A sixth of a clutch is counted: the rest is not known to the square root of
// what was scaled up.
func TestSampledTotalSimulation(t *testing.T) {
	const replicates, total, fraction = 2000, 300.0, 1.0 / 6
	r := rand.New(rand.NewPCG(4, 8))
	var covered, naive float64
	for range replicates {
		c := distuv.Binomial{N: total, P: fraction, Src: r}.Rand()
		e, err := SampledTotal(int(c), fraction, 0)
		require.NoError(t, err)
		covered += covers(e, total) / replicates
		if scaled := c / fraction; math.Abs(scaled-total) <= 1.96*math.Sqrt(scaled) {
			naive += 1.0 / replicates
		}
	}
	t.Logf("coverage at 95%%: %.3f, square root of the scaled count %.3f", covered, naive)
	require.InDelta(t, 0.955, covered, 0.02)
	require.Less(t, naive, 0.7, "the rival must fail visibly")
}

// Twenty clutches of 30, correlation 0.2 within: the profile covers, the pooled
// exact interval does not.
func TestBetaBinomialSimulation(t *testing.T) {
	const replicates, share, rho = 200, 0.7, 0.2
	r := rand.New(rand.NewPCG(5, 8))
	beta := distuv.Beta{Alpha: share * (1 - rho) / rho, Beta: (1 - share) * (1 - rho) / rho, Src: r}
	var covered, pooled float64
	for range replicates {
		clutches := make([]Clutch, 20)
		hits := 0
		for i := range clutches {
			clutches[i] = Clutch{Hits: int(distuv.Binomial{N: 30, P: beta.Rand(), Src: r}.Rand()), Trials: 30}
			hits += clutches[i].Hits
		}
		m, err := FitBetaBinomial(clutches, 0)
		require.NoError(t, err)
		require.True(t, m.Status.Usable(), m.Warnings)
		covered += covers(m.Share(nil), share) / replicates
		e, err := ClopperPearson(hits, 20*30, 0)
		require.NoError(t, err)
		pooled += covers(e, share) / replicates
	}
	t.Logf("coverage at 95%%: beta-binomial %.3f, all eggs pooled %.3f", covered, pooled)
	require.InDelta(t, 0.94, covered, 0.045)
	require.Less(t, pooled, 0.75, "the rival must fail visibly")
}
