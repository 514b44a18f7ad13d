package logit

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// rowsWithout leaves out the rows of one cluster.
func rowsWithout(d Data, cluster []int, c int) Data {
	out := Data{X: make([][]float64, len(d.X))}
	for i := range d.Y {
		if cluster[i] == c {
			continue
		}
		out.Y = append(out.Y, d.Y[i])
		out.Group = append(out.Group, d.Group[i])
		for j := range d.X {
			out.X[j] = append(out.X[j], d.X[j][i])
		}
	}
	return out
}

// Each refit against a fit from scratch to the rows that are left, and CV3 against
// its definition. The t quantile 2.5705818366147395 with 5 degrees of freedom is
// R's qt(.975, 5).
func TestJackknifeAgainstFitsFromScratch(t *testing.T) {
	rng := rand.New(rand.NewPCG(61, 62))
	d := randomData(rng, 240, 3, 6)
	weather := make([]int, d.Rows()) // clusters across the groups
	for i := range weather {
		weather[i] = 5 - i%6
	}
	for _, o := range bothPenalties {
		m := requireFit(t, d, o)
		for _, cluster := range [][]int{d.Group, weather} {
			j, err := m.Jackknife(cluster, 0, 0.95)
			require.NoError(t, err)
			require.Equal(t, stats.OK, j.Status)
			require.Len(t, j.Clusters, 6)
			require.True(t, slices.IsSorted(j.Clusters))
			squares := 0.0
			for k, c := range j.Clusters {
				scratch := requireFit(t, rowsWithout(d, cluster, c), o)
				statstest.Near(t, scratch.Coef[0], j.Coef[k], 1e-8, "refit")
				squares += math.Pow(scratch.Coef[0]-m.Coef[0], 2)
			}
			se := math.Sqrt(5. / 6 * squares)
			statstest.Near(t, se, j.SE, 1e-7, "CV3")
			statstest.Near(t, m.Coef[0]+2.5705818366147395*se, j.Hi, 1e-7, "upper end")
			statstest.Near(t, m.Coef[0]-2.5705818366147395*se, j.Lo, 1e-7, "lower end")
			require.Zero(t, j.Failed)
		}
	}
}

// A column that only one cluster has is left out of the refit without it, as it
// would be by hand.
func TestJackknifeDropsColumnsThatNoLongerVary(t *testing.T) {
	rng := rand.New(rand.NewPCG(63, 64))
	d := randomData(rng, 200, 2, 4)
	own := make([]float64, d.Rows())
	for i := range own {
		if d.Group[i] == 4 {
			own[i] = rng.NormFloat64()
		}
	}
	d.X = append(d.X, own)
	for _, o := range bothPenalties {
		m := requireFit(t, d, o)
		j, err := m.Jackknife(d.Group, 0, 0.95)
		require.NoError(t, err)
		require.Equal(t, stats.OK, j.Status)
		k := slices.Index(j.Clusters, 4)
		scratch := requireFit(t, rowsWithout(d, d.Group, 4).Drop(2), o)
		statstest.Near(t, scratch.Coef[0], j.Coef[k], 1e-8, "refit")
		// The column itself rests on that group.
		j, err = m.Jackknife(d.Group, 2, 0.95)
		require.NoError(t, err)
		require.Equal(t, stats.NotIdentifiable, j.Status)
		require.Equal(t, 1, j.Failed)
		require.True(t, math.IsNaN(j.Coef[k]) && math.IsNaN(j.Lo) && math.IsNaN(j.SE))
		require.Equal(t, stats.NotIdentifiable, j.Refit[k])
		require.Equal(t, "without one cluster the figure could not be worked out, for 1 of 4 clusters: it rests on them alone", j.Warnings[len(j.Warnings)-1].Text)
	}
}

func TestJackknifeFailures(t *testing.T) {
	// Without group 2 no failure has the trigger: maximum likelihood breaks, the
	// penalty does not.
	d := Data{
		Y:     []float64{1, 1, 0, 1, 0, 1, 0, 0, 1, 0},
		X:     [][]float64{{1, 1, 0, 0, 1, 1, 0, 0, 0, 1}},
		Group: []int{1, 1, 1, 1, 2, 2, 2, 2, 2, 2},
	}
	m := requireFit(t, d, Options{})
	j, err := m.Jackknife(d.Group, 0, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.Separated, j.Status)
	require.Equal(t, []stats.Status{stats.OK, stats.Separated}, j.Refit)
	m = requireFit(t, d, Options{Penalty: Firth})
	j, err = m.Jackknife(d.Group, 0, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.OK, j.Status)

	// Without its only failure there is nothing to compare.
	cluster := make([]int, 10)
	for i, y := range d.Y {
		cluster[i] = int(y)
	}
	j, err = m.Jackknife(cluster, 0, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, j.Status)
	require.Equal(t, 2, j.Failed)

	j, err = m.Jackknife(make([]int, 10), 0, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, j.Status)
	require.Equal(t, "one-cluster", j.Warnings[len(j.Warnings)-1].Code)
	_, err = m.Jackknife(make([]int, 9), 0, 0.95)
	require.EqualError(t, err, "there are 10 rows but 9 of clusters")

	// A refit that does not settle.
	m.options.MaxIter = 1
	j, err = m.Jackknife(d.Group, 0, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.NotConverged, j.Status)
	require.Equal(t, stats.NotConverged, m.Profile(0, 0.95).Status)
	require.Equal(t, stats.NotConverged, m.LRTest(0).Status)
	require.Equal(t, stats.NotConverged, m.Constrained(0, 9).Status)
	good := stats.Estimate{Status: stats.OK, Value: 1, Lo: -9, Hi: 9}
	require.Equal(t, stats.NotConverged, m.RiskDifference(0, 0, 1, good).Status)
}

// A column aliased with the one asked for, once a cluster is gone.
func TestJackknifeAliasedWithoutACluster(t *testing.T) {
	rng := rand.New(rand.NewPCG(65, 66))
	d := randomData(rng, 120, 1, 3)
	other := slices.Clone(d.X[0])
	for i := range other {
		if d.Group[i] == -3 {
			other[i] = rng.NormFloat64()
		}
	}
	d.X = append(d.X, other)
	m := requireFit(t, d, Options{Penalty: Firth})
	j, err := m.Jackknife(d.Group, 0, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.NotIdentifiable, j.Status)
}

func TestEnvelope(t *testing.T) {
	w := stats.Warning{Code: "a", Text: "a"}
	profile := stats.Estimate{Value: 1, Lo: -0.5, Hi: math.Inf(1), Level: 0.95, Status: stats.OK, Method: "P", Warnings: []stats.Warning{w}}
	jackknife := stats.Estimate{Value: 1, Lo: -0.7, Hi: 2.7, Level: 0.95, Status: stats.OK, Method: "J", Warnings: []stats.Warning{w, {Code: "b"}}}
	e := Envelope(profile, jackknife)
	require.Equal(t, []float64{1, -0.7, math.Inf(1)}, []float64{e.Value, e.Lo, e.Hi})
	require.Equal(t, "wider of (P) and (J)", e.Method)
	require.Equal(t, []string{"a", "b"}, codes(e.Warnings))
	require.Equal(t, profile, e.Profile)
	require.Equal(t, jackknife, e.Jackknife)
	require.Equal(t, stats.OK, e.Status)
	jackknife.Status = stats.Boundary
	require.Equal(t, stats.Boundary, Envelope(profile, jackknife).Status)
	jackknife.Status = stats.TooLittle
	e = Envelope(profile, jackknife)
	require.Equal(t, stats.TooLittle, e.Status)
	require.True(t, math.IsNaN(e.Value) && math.IsNaN(e.Lo) && math.IsNaN(e.Hi))
	profile.Status = stats.NotConverged
	require.Equal(t, stats.NotConverged, Envelope(profile, jackknife).Status)
}
