package logit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// clusterCases says how the columns of each cluster-robust case come about.
var clusterCases = map[string]struct{ outcome, trials, cluster string }{
	"bacteria": {"present", "", "ID"},
	"ohio":     {"resp", "", "id"},
	"cbpp":     {"incidence", "size", "herd"},
	"infert":   {"case", "", "stratum"},
}

func clusterData(t *testing.T, c *statstest.Case, names []string) (Data, []int) {
	t.Helper()
	table := statstest.LoadTable(t, c.Dataset()[0])
	spec, ok := clusterCases[table.Name]
	require.True(t, ok)
	d := Data{Y: table.Floats(spec.outcome)}
	if spec.trials != "" {
		d.N = table.Floats(spec.trials)
	}
	for _, name := range names {
		if name == "(Intercept)" {
			continue
		}
		d.Names = append(d.Names, name)
		if name == "late" {
			late := table.Floats("week")
			for i, w := range late {
				late[i] = 0
				if w > 2 {
					late[i] = 1
				}
			}
			d.X = append(d.X, late)
			continue
		}
		d.X = append(d.X, referenceColumn(t, table, name))
	}
	return d, numbered(table.Texts(spec.cluster))
}

// numbered gives equal labels equal numbers.
func numbered(labels []string) []int {
	seen := map[string]int{}
	out := make([]int, len(labels))
	for i, l := range labels {
		if _, ok := seen[l]; !ok {
			seen[l] = len(seen)
		}
		out[i] = seen[l]
	}
	return out
}

// R 4.2.2, clubSandwich 0.5.8 (vcovCR, coef_test): see
// stats/testdata/reference/SOURCES.md.
func TestRobustReference(t *testing.T) {
	kinds := map[string]RobustKind{"CR0": CR0, "CR1": CR1, "CR1p": CR1P, "CR1S": CR1S, "CR2": CR2Response, "CR3": CR3}
	checked := 0
	for _, id := range statstest.IDs(t, "cluster_*") {
		c := statstest.Load(t, id)
		if !c.Has("model_se") {
			continue
		}
		checked++
		d, cluster := clusterData(t, c, c.Keys("coef"))
		m := requireFit(t, d, Options{})
		for name, kind := range kinds {
			if !c.Has(name) {
				continue
			}
			r, err := m.Robust(cluster, kind)
			require.NoError(t, err)
			require.Equal(t, stats.OK, r.Status)
			require.Equal(t, int(c.Float("n_clusters")), r.Clusters)
			want := c.Matrix(name, "vcov").Data
			for j := range m.Coef {
				statstest.NearAll(t, want[j+1][1:], r.Cov[j], c.Tol(name, "vcov"), id+" "+name+" vcov")
				c.Near(r.SE[j], name, "se", m.Names[j])
				c.Near(m.SE[j], "model_se", m.Names[j])
				if c.Has(name, "p_z") {
					c.Near(r.WaldTest(ChiSquare, j).P, name, "p_z", m.Names[j])
					c.Near(r.WaldTest(NaiveF, j).P, name, "p_naive_t_m_minus_1", m.Names[j])
				}
				if c.Has(name, "t") {
					c.Near(m.Coef[j]/r.SE[j], name, "t", m.Names[j])
				}
				if !c.Has(name, "satterthwaite_df") {
					continue
				}
				c.Near(r.DF[j], name, "satterthwaite_df", m.Names[j])
				w := r.WaldTest(Hotelling, j)
				require.Equal(t, stats.OK, w.Status)
				c.Near(w.P, name, "p_satterthwaite", m.Names[j])
				e := r.Interval(j, c.Float("level"))
				c.Near(e.Lo, name, "ci_satterthwaite", m.Names[j], "lower")
				c.Near(e.Hi, name, "ci_satterthwaite", m.Names[j], "upper")
			}
		}
		// The square root in the scale of Pearson residuals.
		r, err := m.Robust(cluster, CR2)
		require.NoError(t, err)
		for j, name := range m.Names {
			for what, got := range map[string]float64{"se": r.SE[j], "satterthwaite_df": r.DF[j]} {
				want, err := c.All.Get("alternatives", "CR2_whitened", what, name).Float()
				require.NoError(t, err)
				statstest.Near(t, want, got, 1e-7, id+" whitened "+what)
			}
		}
	}
	require.GreaterOrEqual(t, checked, 4)
}

// R 4.2.2, clubSandwich 0.5.8 (Wald_test).
func TestRobustWaldReference(t *testing.T) {
	c := statstest.Load(t, "cluster_bacteria_wald_trt_2df")
	d, cluster := clusterData(t, c, []string{"trtdrug", "trtdrugplus", "late"})
	r, err := requireFit(t, d, Options{}).Robust(cluster, CR2Response)
	require.NoError(t, err)
	for name, ref := range map[string]Reference{"chi_sq": ChiSquare, "Naive_F": NaiveF, "HTZ": Hotelling} {
		w := r.WaldTest(ref, 0, 1)
		require.Equal(t, 2, w.DF1)
		c.Near(w.F, name, "F")
		c.Near(w.DF2, name, "df_denom")
		c.Near(w.P, name, "p")
	}
}

// dummies turns the groups into columns, all but the first.
func dummies(d Data) Data {
	out := d
	out.Group, out.X = nil, slices.Clone(d.X)
	labels := slices.Clone(d.Group)
	slices.Sort(labels)
	for _, g := range slices.Compact(labels)[1:] {
		x := make([]float64, d.Rows())
		for i := range x {
			if d.Group[i] == g {
				x[i] = 1
			}
		}
		out.X = append(out.X, x)
	}
	return out
}

// Group intercepts partialled out give what columns of zeros and ones give, for
// clusters that are the groups, cross them, or join several.
func TestRobustPartialsOutTheGroups(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(81, 83)), 240, 3, 6)
	joined := make([]int, d.Rows())
	for i, g := range d.Group {
		joined[i] = g / 14
	}
	for _, o := range bothPenalties {
		m, dense := requireFit(t, d, o), requireFit(t, dummies(d), o)
		for name, cluster := range map[string][]int{"groups": d.Group, "across": stretches(240, 13), "joined": joined} {
			for kind := CR0; kind <= CR3; kind++ {
				if kind == CR1P && name != "across" {
					continue // fewer clusters than parameters
				}
				what := fmt.Sprintf("%v %v, %s", o.Penalty, kind, name)
				r, err := m.Robust(cluster, kind)
				require.NoError(t, err)
				require.Equal(t, stats.OK, r.Status, what)
				full, err := dense.Robust(cluster, kind)
				require.NoError(t, err)
				for j := range m.Coef {
					statstest.NearAll(t, full.Cov[j][:3], r.Cov[j], 1e-7, what)
					statstest.Near(t, full.DF[j], r.DF[j], 1e-6, what+" df")
				}
				a, b := r.WaldTest(Hotelling, 0, 2), full.WaldTest(Hotelling, 0, 2)
				require.Equal(t, a.Status, b.Status)
				statstest.NearOrNaN(t, b.F, a.F, 1e-6, what+" F")
			}
		}
	}
}

// Units, the order of rows, the names of clusters, and weights as counts.
func TestRobustLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(83, 84))
	d := randomData(rng, 120, 2, 4)
	cluster := stretches(120, 10)
	for i := range d.Y { // like rows, for the weights
		d.X[1][i] = math.Round(d.X[1][i])
	}
	for _, kind := range []RobustKind{CR0, CR1S, CR2, CR2Response, CR3} {
		base, err := requireFit(t, d, Options{}).Robust(cluster, kind)
		require.NoError(t, err)

		scaled := d
		scaled.X = slices.Clone(d.X)
		scaled.X[0] = slices.Clone(d.X[0])
		for i := range scaled.X[0] {
			scaled.X[0][i] = 1000 - 40*scaled.X[0][i]
		}
		r, err := requireFit(t, scaled, Options{}).Robust(cluster, kind)
		require.NoError(t, err)
		statstest.Near(t, base.SE[0]/40, r.SE[0], 1e-8, "unit")
		statstest.Near(t, -base.Cov[0][1]/40, r.Cov[0][1], 1e-8, "unit")
		statstest.Near(t, base.DF[0], r.DF[0], 1e-8, "unit")

		order := rng.Perm(120)
		var mixed Data
		var names []int
		mixed.X = make([][]float64, 2)
		for _, i := range order {
			mixed.Y, mixed.Group = append(mixed.Y, d.Y[i]), append(mixed.Group, d.Group[i])
			names = append(names, 99-7*cluster[i])
			for j := range mixed.X {
				mixed.X[j] = append(mixed.X[j], d.X[j][i])
			}
		}
		r, err = requireFit(t, mixed, Options{}).Robust(names, kind)
		require.NoError(t, err)
		statstest.NearAll(t, base.SE, r.SE, 1e-9, "order of rows")
		statstest.NearAll(t, base.DF, r.DF, 1e-9, "order of rows")

		// Each row twice, against a weight of two.
		twice, weighted := mixed, d
		twice.Y, twice.Group, names = nil, nil, nil
		twice.X = make([][]float64, 2)
		weighted.Weights = filled(120, 2)
		for i := range 240 {
			twice.Y, twice.Group, names = append(twice.Y, d.Y[i/2]), append(twice.Group, d.Group[i/2]), append(names, cluster[i/2])
			for j := range twice.X {
				twice.X[j] = append(twice.X[j], d.X[j][i/2])
			}
		}
		r, err = requireFit(t, twice, Options{}).Robust(names, kind)
		require.NoError(t, err)
		w, err := requireFit(t, weighted, Options{}).Robust(cluster, kind)
		require.NoError(t, err)
		statstest.NearAll(t, r.SE, w.SE, 1e-8, "weights as counts")
		statstest.NearAll(t, r.DF, w.DF, 1e-8, "weights as counts")
	}
}

// Two ways against the definition; a second way that is the first changes nothing.
func TestRobustTwoWay(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(85, 86)), 300, 3, 8)
	m := requireFit(t, d, Options{Penalty: Firth})
	episode := stretches(300, 25)
	both, err := m.RobustTwoWay(d.Group, episode, CR2)
	require.NoError(t, err)
	require.True(t, both.Status.Usable())
	a, _ := m.Robust(d.Group, CR2)
	b, _ := m.Robust(episode, CR2)
	pairs := make([]int, 300)
	for i := range pairs {
		pairs[i] = 100*episode[i] + d.Group[i]
	}
	ab, _ := m.Robust(pairs, CR2)
	if both.Status == stats.OK {
		statstest.Near(t, a.Cov[0][1]+b.Cov[0][1]-ab.Cov[0][1], both.Cov[0][1], 1e-9, "covariance")
	}
	require.Equal(t, math.Min(a.DF[0], b.DF[0]), both.DF[0])
	require.Equal(t, 8, both.Clusters)
	require.True(t, both.WaldTest(Hotelling, 0, 1).Status.Usable())

	same, err := m.RobustTwoWay(d.Group, d.Group, CR2)
	require.NoError(t, err)
	statstest.NearAll(t, a.SE, same.SE, 1e-9, "the same clusters twice")

	// A balanced lattice: rows alike within pairs only make the difference negative.
	y := []float64{1, 0, 0, 1, 0, 1, 1, 0}
	x := []float64{1, 1, 0, 0, 0, 0, 1, 1}
	lattice := requireFit(t, Data{Y: y, X: [][]float64{x}}, Options{})
	neg, err := lattice.RobustTwoWay([]int{0, 0, 0, 0, 1, 1, 1, 1}, []int{0, 0, 1, 1, 0, 0, 1, 1}, CR0)
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, neg.Status)
	require.Equal(t, "two-way-negative", neg.Warnings[len(neg.Warnings)-1].Code)
	require.Zero(t, neg.SE[0])
}

func TestRobustRefusals(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(87, 88)), 60, 1, 2)
	m := requireFit(t, d, Options{})
	r, err := m.Robust(make([]int, 60), CR2)
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, r.Status)
	require.True(t, math.IsNaN(r.SE[0]))
	require.Equal(t, stats.TooLittle, r.Interval(0, 0.95).Status)
	require.Equal(t, stats.TooLittle, r.WaldTest(Hotelling, 0).Status)
	r, err = m.Robust(d.Group, CR1P)
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, r.Status)
	_, err = m.Robust(make([]int, 59), CR2)
	require.EqualError(t, err, "there are 60 rows but 59 of clusters")
	_, err = m.Robust(d.Group, RobustKind(12))
	require.EqualError(t, err, "there is no covariance matrix of kind 12")

	// A trigger that never failed: other programs give a tiny standard error.
	for i, x := range d.X[0] {
		if x == 1 {
			d.Y[i] = 1
		}
	}
	for _, o := range bothPenalties {
		m, err := Fit(d, o)
		require.NoError(t, err)
		for kind := CR0; kind <= CR3; kind++ {
			r, err := m.Robust(stretches(60, 12), kind)
			require.NoError(t, err)
			require.Equal(t, stats.Separated, r.Status)
			require.True(t, math.IsNaN(r.SE[0]) && math.IsNaN(r.DF[0]))
		}
	}
}

// 6,000 rows in 12 clusters took clubSandwich 1.05 s.
func BenchmarkRobust(b *testing.B) {
	for _, s := range []struct{ rows, clusters int }{{6000, 12}, {6000, 300}} {
		d := randomData(rand.New(rand.NewPCG(5, 6)), s.rows, 5, 1)
		m := requireFit(b, d, Options{})
		cluster := stretches(s.rows, s.clusters)
		for _, kind := range []RobustKind{CR2, CR2Response} {
			if kind == CR2Response && s.clusters < 100 {
				continue // cubic in the rows of a cluster
			}
			b.Run(fmt.Sprintf("%v/rows=%d/clusters=%d", kind, s.rows, s.clusters), func(b *testing.B) {
				for b.Loop() {
					if _, err := m.Robust(cluster, kind); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
