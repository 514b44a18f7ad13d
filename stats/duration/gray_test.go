package duration

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// flat puts groups of observations into one slice with their labels in the order
// of levels.
func flat(groups map[string][]Observation, levels []string) (obs []Observation, group []int) {
	for g, level := range levels {
		for _, o := range groups[level] {
			obs, group = append(obs, o), append(group, g)
		}
	}
	return obs, group
}

func TestGrayReference(t *testing.T) {
	compared := 0
	for _, id := range statstest.IDs(t, "cif_*") {
		c := statstest.Load(t, id)
		if !c.Has("gray_test") {
			continue
		}
		d := statstest.LoadTable(t, c.Dataset()[0])
		obs, group := flat(cifGroups(t, id, d), c.Keys("groups"))
		s := GraySettings{}
		if id == "cif_melanoma_ulcer_stratified_sex" {
			var sex []int
			for _, level := range c.Keys("groups") {
				for i, ulcer := range d.Texts("ulcer") {
					if ulcer == level {
						sex = append(sex, int(d.Floats("sex")[i]))
					}
				}
			}
			s.Strata = sex
		}
		for k, cause := range []string{"cause_1", "cause_2"} {
			got, err := GrayTest(obs, group, k+1, s)
			require.NoError(t, err)
			require.Equal(t, stats.OK, got.Status)
			c.Near(got.ChiSquare, "gray_test", cause, "statistic")
			c.Near(got.P, "gray_test", cause, "p")
			c.Near(float64(got.DF), "gray_test", cause, "df")
			compared++
		}
	}
	require.Equal(t, 6, compared)
}

// Months make ties; the weight by time and strata of cause and others come in.
func TestGrayTiesAndRho(t *testing.T) {
	c := statstest.Load(t, "duration_gray_months")
	d := statstest.LoadTable(t, c.Dataset()[0])
	obs := exits(d.Floats("t_dfs"), d.Floats("dfs_event"))
	for i, relapse := range d.Floats("relapse") {
		obs[i].Lo = math.Ceil(obs[i].Lo / 60)
		if obs[i].Exact() || !math.IsInf(obs[i].Hi, 1) {
			obs[i].Hi, obs[i].Cause = obs[i].Lo, 2-int(relapse)
		}
	}
	var old []int
	for _, age := range d.Floats("age_patient") {
		old = append(old, int(math.Min(math.Floor(age/25), 1)))
	}
	group := whole(d.Floats("group"))
	for name, s := range map[string]GraySettings{"rho_0": {}, "rho_1": {Rho: 1}, "rho_minus_1_strata": {Rho: -1, Strata: old}} {
		for k, cause := range []string{"cause_1", "cause_2"} {
			got, err := GrayTest(obs, group, k+1, s)
			require.NoError(t, err)
			c.Near(got.ChiSquare, name, cause)
		}
	}
}

// Where there is one cause only, nobody goes by another and the test is the
// log-rank test but for the variance, whose scores agree.
func TestGrayOneCause(t *testing.T) {
	d := statstest.LoadTable(t, "gehan_6mp")
	obs := exits(d.Floats("time"), d.Floats("event"))
	for i := range obs {
		if obs[i].Exact() {
			obs[i].Cause = 1
		}
	}
	group := whole(is1(d.Texts("treat"), "mp6"))
	gray, err := GrayTest(obs, group, 1, GraySettings{})
	require.NoError(t, err)
	rank, err := LogRank(obs, group, ComparisonSettings{})
	require.NoError(t, err)
	statstest.NearAll(t, rank.Observed, gray.Observed, 1e-12, "observed")
	statstest.NearAll(t, rank.Expected, gray.Expected, 1e-12, "expected")
}

// The scores add up to 0 over the groups, and so do the rows of their variance;
// neither the order nor the unit of time matters, nor which group comes first.
func TestGrayLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 2))
	var obs []Observation
	var group []int
	for range 200 {
		time := math.Ceil(30 * r.ExpFloat64())
		o := Observation{Span: Span{time, time}, Cause: 1 + r.IntN(3)}
		if r.IntN(5) == 0 {
			o.Hi, o.Cause = math.Inf(1), 0
		}
		obs, group = append(obs, o), append(group, r.IntN(3))
	}
	first, err := GrayTest(obs, group, 2, GraySettings{Rho: 0.5})
	require.NoError(t, err)
	var sum float64
	for g := range first.Groups {
		sum += first.Observed[g] - first.Expected[g]
		var row float64
		for h := range first.Groups {
			row += first.Variance.At(g, h)
		}
		require.InDelta(t, 0, row, 1e-9)
	}
	require.InDelta(t, 0, sum, 1e-9)
	order := r.Perm(len(obs))
	mixed, labels := make([]Observation, len(obs)), make([]int, len(obs))
	for to, from := range order {
		mixed[to], labels[to] = obs[from], group[from]
	}
	second, err := GrayTest(mixed, labels, 2, GraySettings{Rho: 0.5})
	require.NoError(t, err)
	require.Equal(t, first.ChiSquare, second.ChiSquare)
	for i := range mixed {
		mixed[i].Lo, mixed[i].Hi = 24*mixed[i].Lo, 24*mixed[i].Hi
		labels[i] = 5 - labels[i]
	}
	third, err := GrayTest(mixed, labels, 2, GraySettings{Rho: 0.5})
	require.NoError(t, err)
	statstest.Near(t, first.ChiSquare, third.ChiSquare, 1e-9, "relabelled")
}

func TestGrayDegenerate(t *testing.T) {
	one := []Observation{{Span: Span{3, 3}, Cause: 1}}
	two := []Observation{{Span: Span{3, math.Inf(1)}}, {Span: Span{4, 4}, Cause: 2}}
	for name, c := range map[string]struct {
		obs    []Observation
		group  []int
		status stats.Status
	}{
		"nothing":     {nil, nil, stats.TooLittle},
		"one":         {one, []int{1}, stats.TooLittle},
		"none of it":  {two, []int{1, 2}, stats.TooLittle},
		"not at once": {[]Observation{{Span: Span{3, math.Inf(1)}}, {Span: Span{4, 4}, Cause: 1}}, []int{1, 2}, stats.NotIdentifiable},
	} {
		got, err := GrayTest(c.obs, c.group, 1, GraySettings{})
		require.NoError(t, err, name)
		require.Equal(t, c.status, got.Status, name)
		require.True(t, math.IsNaN(got.P) && math.IsNaN(got.ChiSquare), name)
		require.NotEmpty(t, got.Warnings, name)
	}
	_, err := GrayTest([]Observation{{Span: Span{3, 3}}}, []int{1}, 1, GraySettings{})
	require.ErrorContains(t, err, "without a cause")
	_, err = GrayTest([]Observation{{Span: Span{3, 3}, Entry: 1, Cause: 1}}, []int{1}, 1, GraySettings{})
	require.ErrorContains(t, err, "late")
	_, err = GrayTest(one, []int{1}, 0, GraySettings{})
	require.Error(t, err)
	require.Panics(t, func() { _, _ = GrayTest(one, nil, 1, GraySettings{}) })
}
