package logit

import (
	"math"
	"slices"
	"strconv"
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

var _ = strconv.Itoa
var _ = math.Abs
var _ = slices.Index[[]int]
