package duration

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

func incidence(t *testing.T, obs []Observation, s IntervalIncidenceSettings) IntervalIncidence {
	t.Helper()
	a, err := FitIntervalIncidence(obs, s)
	require.NoError(t, err)
	return a
}

var few = IntervalIncidenceSettings{Replicates: 99, Seed: 1}

// The masses of plain self-consistency in R (testdata/make.R) on looks at intervals of
// the subjects' own.
func TestIntervalIncidenceReference(t *testing.T) {
	c := statstest.Load(t, "duration_interval_incidence")
	a := incidence(t, looksOfMelanoma(t), few)
	require.Equal(t, stats.OK, a.Status)
	for k, cause := range []string{"cause_1", "cause_2"} {
		for _, year := range []float64{2, 4, 6, 8} {
			least, most := a.problem.shares(massesOf(a), k+1, year)
			at := []string{"0", "1", "2", "3"}[int(year)/2-1]
			c.Near(least, cause, "least", at)
			c.Near(most, cause, "most", at)
		}
	}
	c.Near(a.LogLik, "loglik")
}

func massesOf(a IntervalIncidence) []float64 {
	var out []float64
	for _, s := range a.Stretches {
		out = append(out, s.Mass)
	}
	return out
}

// looksOfMelanoma has patients of odd and even rows looked at every year and every two
// years.
func looksOfMelanoma(t *testing.T) []Observation {
	d := statstest.LoadTable(t, "melanoma_denmark")
	status := d.Floats("status")
	var out []Observation
	for i, days := range d.Floats("time") {
		width := float64(1 + i%2)
		year := days / 365.25
		o := Observation{Span: Span{width * math.Floor(year/width), math.Inf(1)}}
		if status[i] != 2 {
			o.Hi, o.Cause = width*math.Floor(year/width)+width, map[float64]int{1: 1, 3: 2}[status[i]]
		}
		out = append(out, o)
	}
	return out
}

// With one cause it is Turnbull's curve; with exact and right-censored times it is
// Aalen-Johansen's; looked at by all on the same days and nobody lost it is the shares.
func TestIntervalIncidenceIsTheOthers(t *testing.T) {
	obs, _ := cosmesis(t)
	for i := range obs {
		if !obs[i].RightCensored() {
			obs[i].Cause = 3
		}
	}
	a := incidence(t, obs, few)
	curve, err := Turnbull(obs, Settings{})
	require.NoError(t, err)
	for _, time := range []float64{5, 10, 20, 34, 40} {
		least, most := a.problem.shares(massesOf(a), 3, time)
		lo, hi := curve.Bounds(time)
		require.InDelta(t, 1-hi, least, 2e-3, "at %v", time)
		require.InDelta(t, 1-lo, most, 2e-3, "at %v", time)
	}
	statstest.Near(t, curve.LogLik, a.LogLik, 1e-5, "log-likelihood")

	bmt := cifGroups(t, "cif_bmt_by_group", statstest.LoadTable(t, "bmt_leukemia"))["1"]
	exact := incidence(t, bmt, few)
	want, err := AalenJohansen(bmt, Settings{})
	require.NoError(t, err)
	for _, time := range []float64{100, 300, 700} {
		for cause := 1; cause <= 2; cause++ {
			require.InDelta(t, want.At(cause, time).Value, exact.At(cause, time).Value, 1e-4)
		}
	}

	var shared []Observation
	for i, n := range []float64{5, 9, 4, 2} {
		shared = append(shared, Observation{Span: Span{float64(i), float64(i) + 1}, Cause: 1 + i%2, Weight: n})
	}
	plain := incidence(t, shared, IntervalIncidenceSettings{Replicates: 999, Seed: 2})
	e := plain.At(1, 3)
	statstest.Near(t, 9.0/20, e.Value, 1e-4, "5 and 4 of 20")
	// binomial percentiles of 9 of 20: qbinom(c(.025, .975), 20, .45) / 20 = 0.25, 0.65 in R
	require.InDelta(t, 0.25, e.Lo, 0.051)
	require.InDelta(t, 0.65, e.Hi, 0.051)
	require.Equal(t, 20, plain.N)
	require.Equal(t, []int{9, 11}, plain.ByCause)
}

func TestIntervalIncidenceLaws(t *testing.T) {
	obs := looksOfMelanoma(t)
	a := incidence(t, obs, few)
	sum := a.Rest
	for _, s := range a.Stretches {
		require.GreaterOrEqual(t, s.Mass, 0.0)
		sum += s.Mass
	}
	statstest.Near(t, 1, sum, 1e-9, "shares and the rest")
	r := rand.New(rand.NewPCG(1, 1))
	r.Shuffle(len(obs), func(i, j int) { obs[i], obs[j] = obs[j], obs[i] })
	for i := range obs {
		obs[i].Lo, obs[i].Hi = 16*obs[i].Lo, 16*obs[i].Hi
	}
	b := incidence(t, obs, few)
	require.Equal(t, massesOf(a), massesOf(b))
	before := 0.0
	for year := 2.0; year < 9; year += 2 {
		x, y := a.At(1, year), b.At(1, 16*year)
		require.Equal(t, x.Lo, y.Lo)
		require.Equal(t, x.Hi, y.Hi)
		require.True(t, 0 <= x.Lo && x.Lo <= x.Hi && x.Hi <= 1)
		least, _ := a.problem.shares(massesOf(a), 1, year)
		require.GreaterOrEqual(t, least, before)
		before = least
	}
}

func TestIntervalIncidenceDegenerate(t *testing.T) {
	inf := math.Inf(1)
	for name, c := range map[string]struct {
		obs    []Observation
		status stats.Status
	}{
		"nothing":  {nil, stats.TooLittle},
		"one":      {[]Observation{{Span: Span{1, 2}, Cause: 1}}, stats.TooLittle},
		"all lost": {[]Observation{{Span: Span{1, inf}}, {Span: Span{2, inf}}}, stats.Boundary},
	} {
		a := incidence(t, c.obs, few)
		require.Equal(t, c.status, a.Status, name)
		require.NotEmpty(t, a.Warnings, name)
		e := a.At(1, 1.5)
		require.True(t, math.IsNaN(e.Lo) && math.IsNaN(e.Hi), name)
		require.True(t, math.IsNaN(e.Value) || e.Value == 0 && len(e.Warnings) > 0, name)
	}
	two := incidence(t, []Observation{{Span: Span{1, 2}, Cause: 1}, {Span: Span{1, 3}, Cause: 2}, {Span: Span{2, inf}}}, few)
	require.True(t, math.IsNaN(two.At(1, 4).Value), "beyond the records")
	require.Equal(t, "undetermined", two.At(2, 2.5).Warnings[0].Code)
	for _, bad := range []Observation{{Span: Span{1, 2}}, {Span: Span{1, 2}, Cause: 1, Entry: 0.5}, {Span: Span{1, 2}, Cause: 1, Weight: 1.5}} {
		_, err := FitIntervalIncidence([]Observation{bad}, few)
		require.Error(t, err)
	}
	_, err := FitIntervalIncidence(nil, IntervalIncidenceSettings{Replicates: 3})
	require.Error(t, err)
}
