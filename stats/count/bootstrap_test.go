package count

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// The draws of the cases boot_* are kept as data, so that the limits can be
// compared to the last digits with those of boot::boot.ci in R.
func TestBootstrapReference(t *testing.T) {
	cv := func(x []float64) float64 { mean, sd := meanAndSD(x); return sd / mean }
	mean := func(x []float64) float64 { return sum(x) / float64(len(x)) }
	statistics := map[string]func([]float64) float64{"sd(hours)/mean(hours)": cv, "mean(hours)": mean, "median(hours)": Median}
	ids := statstest.IDs(t, "boot_*")
	require.Len(t, ids, 3)
	for _, id := range ids {
		c := statstest.Load(t, id)
		x := statstest.LoadTable(t, c.Dataset()[0]).Floats("hours")
		index := statstest.LoadTable(t, c.Dataset()[1])
		statistic, known := statistics[c.Text("statistic")]
		require.True(t, known, c.Text("statistic"))
		of := func(drawn []int) float64 {
			part := make([]float64, len(drawn))
			for i, j := range drawn {
				part[i] = x[j]
			}
			return statistic(part)
		}
		columns := make([][]int, len(x))
		for j := range columns {
			columns[j] = whole(index.Floats(fmt.Sprintf("i%d", j+1)))
		}
		draws := make([]float64, index.Len())
		for i := range draws {
			drawn := make([]int, len(x))
			for j := range drawn {
				drawn[j] = columns[j][i] - 1
			}
			draws[i] = of(drawn)
		}
		c.NearAll(draws[:10], "t_first10")
		made, err := NewBootstrap(len(x), of, BootstrapSettings{Draws: 10, Level: c.Float("level")})
		require.NoError(t, err)
		c.Near(made.Value, "t0")
		b := bootstrapOf(made.Value, len(x), draws, made.without, made.Level)
		c.Near(float64(b.Draws), "R")
		c.Near(float64(b.N), "n")
		c.Near(b.SE(), "boot_se")
		c.Near(b.Bias(), "bias")
		c.Near(b.acceleration(), "bca", "acceleration_jackknife")
		for _, want := range []struct {
			path []string
			e    stats.Estimate
		}{
			{[]string{"percentile_boot_ci"}, b.Percentile()}, {[]string{"basic"}, b.Basic()},
			{[]string{"normal_bias_corrected"}, b.Normal()}, {[]string{"bca", "ends_boot_ci_interpolation"}, b.BCa()},
		} {
			require.Equal(t, stats.OK, want.e.Status)
			require.Equal(t, b.Level, want.e.Level)
			c.NearAll([]float64{want.e.Lo, want.e.Hi}, want.path...)
		}
		lo, hi := (1-b.Level)/2, (1+b.Level)/2
		c.NearAll([]float64{Quantile(draws, lo), Quantile(draws, hi)}, "percentile_type7")
	}
}

// One seed gives the same bytes on one and on eight processors; another seed
// gives other draws.
func TestBootstrapSeed(t *testing.T) {
	parts := make([]Part, 200)
	for i := range parts {
		parts[i] = Part{Amount: float64((i * 37) % 101), Exposure: 1 + float64(i%7), Cluster: i % 23}
	}
	run := func(processors int, seed uint64) string {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
		b, err := BootstrapRatio(parts, BootstrapSettings{Draws: 999, Seed: seed})
		require.NoError(t, err)
		return fmt.Sprint(b.BCa(), b.Percentile(), b.draws)
	}
	require.Equal(t, run(1, 7), run(8, 7))
	require.NotEqual(t, run(1, 7), run(1, 8))
	shuffled := slices.Clone(parts)
	rand.New(rand.NewPCG(3, 3)).Shuffle(len(parts), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
	before := run(2, 7)
	parts = shuffled
	require.Equal(t, before, run(2, 7), "the order of the records")
}

// Every cluster is drawn equally often: n draws of n, chi-square with n-1
// degrees of freedom, mean n-1 and variance about 2(n-1) (derivation).
func TestDrawsAreEven(t *testing.T) {
	for _, n := range []int{2, 3, 7, 1000} {
		times := make([]float64, n)
		x := make([]int, n)
		random := rand.NewPCG(5, uint64(n))
		const rounds = 2000
		for range rounds {
			fillAtRandom(x, random)
			for _, i := range x {
				times[i]++
			}
		}
		var chi float64
		for _, v := range times {
			chi += sq(v-rounds) / rounds
		}
		df := float64(n - 1)
		require.InDelta(t, df, chi, 4*math.Sqrt(2*df), "n = %d", n)
	}
}

// The ratio of BootstrapRatio is the statistic a caller would write.
func TestBootstrapRatioIsTheStatistic(t *testing.T) {
	parts := []Part{{30, 10, 1}, {54, 12, 2}, {4, 9, 3}, {20, 30, 4}, {11, 5, 5}}
	clusters, _ := byCluster(parts)
	s := BootstrapSettings{Draws: 499, Seed: 1}
	a, err := BootstrapRatio(parts, s)
	require.NoError(t, err)
	b, err := NewBootstrap(len(parts), func(drawn []int) float64 {
		var amount, exposure float64
		for _, i := range drawn {
			amount += clusters[i].Amount
			exposure += clusters[i].Exposure
		}
		return amount / exposure
	}, s)
	require.NoError(t, err)
	statstest.NearAll(t, a.draws, b.draws, 1e-13, "draws")
	x, y := a.BCa(), b.BCa()
	statstest.NearAll(t, []float64{x.Value, x.Lo, x.Hi}, []float64{y.Value, y.Lo, y.Hi}, 1e-9, "BCa")
	// Percentile and BCa limits go with any rising transformation.
	c, err := NewBootstrap(len(parts), func(drawn []int) float64 {
		var amount, exposure float64
		for _, i := range drawn {
			amount += clusters[i].Amount
			exposure += clusters[i].Exposure
		}
		return 12 * amount / exposure
	}, s)
	require.NoError(t, err)
	z := c.BCa()
	statstest.NearAll(t, []float64{12 * y.Value, 12 * y.Lo, 12 * y.Hi}, []float64{z.Value, z.Lo, z.Hi}, 1e-9, "another unit")
}

func TestBootstrapDegenerate(t *testing.T) {
	of := func(values ...float64) Bootstrap {
		parts := make([]Part, len(values))
		for i, v := range values {
			parts[i] = Part{Amount: v, Exposure: 1, Cluster: i}
		}
		b, err := BootstrapRatio(parts, BootstrapSettings{Draws: 99})
		require.NoError(t, err)
		return b
	}
	kinds := func(b Bootstrap) []stats.Estimate {
		return []stats.Estimate{b.Percentile(), b.Basic(), b.Normal(), b.BCa()}
	}
	for _, b := range []Bootstrap{of(), of(5)} {
		for _, e := range kinds(b) {
			noNumbers(t, stats.TooLittle, e)
		}
		require.True(t, math.IsNaN(b.SE()) && math.IsNaN(b.Bias()))
	}
	for _, b := range []Bootstrap{of(0, 0, 0), of(200, 200)} {
		for _, e := range kinds(b) {
			require.Equal(t, stats.Boundary, e.Status)
			require.True(t, math.IsInf(e.Lo, -1) && math.IsInf(e.Hi, 1), "%v", e)
			require.Equal(t, "all-alike", e.Warnings[0].Code)
		}
	}
	none, err := NewBootstrap(4, func([]int) float64 { return math.NaN() }, BootstrapSettings{})
	require.NoError(t, err)
	noNumbers(t, stats.TooLittle, none.Percentile())
	// Here the quantity is missing wherever cluster 0 is, more than a third of the draws.
	some, err := NewBootstrap(9, func(drawn []int) float64 {
		if slices.Contains(drawn, 0) {
			return float64(drawn[3])
		}
		return math.NaN()
	}, BootstrapSettings{})
	require.NoError(t, err)
	require.Equal(t, "draws-without-value", some.Percentile().Warnings[0].Code)
	noNumbers(t, stats.TooLittle, some.BCa())
	largest, err := NewBootstrap(5, func(drawn []int) float64 { return -float64(slices.Max(drawn)) }, BootstrapSettings{})
	require.NoError(t, err)
	noNumbers(t, stats.TooLittle, largest.BCa()) // no draw is below the smallest
	require.True(t, largest.Percentile().Status.Usable())
	few, err := NewBootstrap(5, func(drawn []int) float64 { return float64(drawn[0] + drawn[1]) }, BootstrapSettings{Draws: 20})
	require.NoError(t, err)
	warnings := few.Percentile().Warnings
	require.Equal(t, "few-draws", warnings[len(warnings)-1].Code)
	for _, s := range []BootstrapSettings{{Level: 2}, {Draws: -1}} {
		_, err = NewBootstrap(3, func([]int) float64 { return 0 }, s)
		require.Error(t, err)
		_, err = BootstrapRatio(nil, s)
		require.Error(t, err)
	}
	_, err = NewBootstrap(-1, nil, BootstrapSettings{})
	require.ErrorContains(t, err, "-1 clusters")
	_, err = BootstrapRatio([]Part{{-1, 1, 1}}, BootstrapSettings{})
	require.ErrorContains(t, err, "observation 1")
}

// Sixty keepers with skewed totals: BCa covers nearly as asked and better than
// its rival with equal tails from the normal distribution.
func TestBootstrapSimulation(t *testing.T) {
	const replicates, mean = 300, 100.0
	r := rand.New(rand.NewPCG(6, 8))
	var bca, percentile float64
	for i := range replicates {
		parts := make([]Part, 60)
		for j := range parts {
			parts[j] = Part{Amount: distuv.Gamma{Alpha: 1, Beta: 1 / mean, Src: r}.Rand(), Exposure: 1, Cluster: j}
		}
		b, err := BootstrapRatio(parts, BootstrapSettings{Draws: 399, Seed: uint64(i)})
		require.NoError(t, err)
		bca += covers(b.BCa(), mean) / replicates
		percentile += covers(b.Percentile(), mean) / replicates
	}
	t.Logf("coverage at 95%%: BCa %.3f, percentile %.3f", bca, percentile)
	require.InDelta(t, 0.94, bca, 0.035)
	require.InDelta(t, 0.93, percentile, 0.04)
}
