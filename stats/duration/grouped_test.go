package duration

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// weekly puts times into spans of so many units; a loss counts at the look before it.
func weekly(obs []Observation, width float64) []Observation {
	var out []Observation
	for _, o := range obs {
		if o.Exact() {
			end := width * math.Ceil(o.Hi/width)
			o.Lo, o.Hi = end-width, end
		} else {
			o.Lo = width * math.Floor(o.Lo/width)
		}
		out = append(out, o)
	}
	return out
}

// The numbers are those of R's glm on one row for each subject and period at risk
// (testdata/make.R).
func TestGroupedReference(t *testing.T) {
	c := statstest.Load(t, "duration_grouped")
	d := statstest.LoadTable(t, c.Dataset()[0])
	obs := weekly(exits(d.Floats("time"), d.Floats("event")), 4)
	x := []Covariate{{"mp6", is1(d.Texts("treat"), "mp6")}}
	for name, link := range map[string]Link{"cloglog": Cloglog, "logit": LogitLink} {
		m, err := FitGrouped(obs, x, GroupedSettings{Link: link})
		require.NoError(t, err)
		require.Equal(t, stats.OK, m.Status, m.Warnings)
		c.Near(m.Coef[0], name, "coef")
		e := m.Coefficient(0)
		c.Near((e.Hi-e.Lo)/2/normalLimit(0.95), name, "se")
		c.Near(m.LogLik, name, "loglik")
		c.Near(m.LogLikNull, name, "loglik_null")
		var control, treated []float64
		for k := range 4 {
			control, treated = append(control, m.Survival([]float64{0}, k+1).Value), append(treated, m.Survival([]float64{1}, k+1).Value)
		}
		c.NearAll(control, name, "survival_control")
		c.NearAll(treated, name, "survival_mp6")
	}
}

// Without covariates it is the life table: the share ending among those at risk.
func TestGroupedIsLifeTable(t *testing.T) {
	d := statstest.LoadTable(t, "gehan_6mp")
	obs := weekly(exits(d.Floats("time"), d.Floats("event")), 5)
	m, err := FitGrouped(obs, nil, GroupedSettings{})
	require.NoError(t, err)
	exact := slices.Clone(obs) // ends of the periods as exact times, losses just after their look
	for i := range exact {
		if !exact[i].RightCensored() {
			exact[i].Lo = exact[i].Hi
		}
	}
	km, err := KaplanMeier(exact, Settings{})
	require.NoError(t, err)
	for k, cut := range m.Cuts {
		if cut > 0 && m.Survival(nil, k+1).Value > 0 {
			statstest.Near(t, km.At(cut).Value, m.Survival(nil, k+1).Value, 1e-9, "share waiting")
			statstest.Near(t, km.At(cut).Lo, m.Survival(nil, k+1).Lo, 1e-7, "its limit (Greenwood)")
		}
	}
	turnbull, err := Turnbull(obs, Settings{})
	require.NoError(t, err)
	statstest.Near(t, turnbull.LogLik, m.LogLik, 1e-9, "the likelihood is that of the spans")
}

// Grouped proportional hazards: cutting exponential times into periods keeps the hazard
// ratio, and spans over several periods are used too.
func TestGroupedKeepsTheRatio(t *testing.T) {
	obs, x, _ := wildCox(9, 400)
	x = x[1:]
	for i := range obs {
		obs[i].Weight, obs[i].Entry = 0, 0
		if math.IsInf(obs[i].Hi, 1) {
			obs[i].Lo = 5 * math.Floor(obs[i].Lo/5)
		} else {
			obs[i].Hi = 5 * math.Ceil(obs[i].Hi/5)
			obs[i].Lo = math.Max(obs[i].Hi-5*float64(1+i%2), 0)
		}
	}
	m, err := FitGrouped(obs, x, GroupedSettings{})
	require.NoError(t, err)
	require.Equal(t, stats.OK, m.Status, m.Warnings)
	e := m.Coefficient(0)
	require.True(t, e.Lo < 0.5 && 0.5 < e.Hi, e)
	require.InDelta(t, 0.5, e.Value, 0.3, "the planted log hazard ratio")
	require.Less(t, m.LikelihoodRatio().P, 0.01)
	slices.Reverse(obs)
	slices.Reverse(x[0].Values)
	again, err := FitGrouped(obs, x, GroupedSettings{})
	require.NoError(t, err)
	require.Equal(t, m.Coef, again.Coef)
	before := 1.0
	for k := range m.Cuts {
		s := m.Survival([]float64{1}, k+1)
		require.True(t, s.Value >= 0 && s.Value <= before)
		before = s.Value
	}
}

func TestGroupedDerivatives(t *testing.T) {
	rows := []groupedRow{{0, 1, 2, 1, []float64{0.3}}, {0, 0, 3, 2, []float64{-1}}, {1, 2, 2, 1, []float64{0.5}}, {0, 2, 3, 1, []float64{2}}, {0, 3, 3, 1, []float64{0}}}
	for _, link := range []Link{Cloglog, LogitLink} {
		l := newGroupedLikelihood(link, rows, 3, 1)
		theta := []float64{-1, -0.5, 0.2, 0.4}
		got := at(l.objective, theta)
		const h = 1e-5
		for j := range theta {
			up, down := slices.Clone(theta), slices.Clone(theta)
			up[j] += h
			down[j] -= h
			require.InDelta(t, (l.objective(up, nil, nil)-l.objective(down, nil, nil))/(2*h), got.Grad[j], 1e-7)
			a, b := at(l.objective, up), at(l.objective, down)
			for k := range theta {
				require.InDelta(t, (a.Grad[k]-b.Grad[k])/(2*h), got.Hess.At(j, k), 1e-7)
			}
		}
	}
}

func TestGroupedDegenerate(t *testing.T) {
	inf := math.Inf(1)
	x := func(v ...float64) []Covariate { return []Covariate{{"x", v}} }
	spans := func(s ...Span) (out []Observation) {
		for _, p := range s {
			out = append(out, Observation{Span: p})
		}
		return out
	}
	for name, c := range map[string]struct {
		obs    []Observation
		x      []Covariate
		status stats.Status
	}{
		"nothing":    {nil, x(), stats.TooLittle},
		"one":        {spans(Span{1, 2}), x(1), stats.TooLittle},
		"all lost":   {spans(Span{1, inf}, Span{2, inf}), x(1, 2), stats.TooLittle},
		"one period": {spans(Span{0, 2}, Span{0, 2}), x(1, 2), stats.NotIdentifiable},
		"constant":   {spans(Span{0, 1}, Span{1, 2}), x(3, 3), stats.NotIdentifiable},
		"in order":   {spans(Span{0, 1}, Span{0, 1}, Span{1, 2}, Span{1, inf}), x(1, 1, 0, 0), stats.Separated},
	} {
		m, err := FitGrouped(c.obs, c.x, GroupedSettings{})
		require.NoError(t, err, name)
		require.Equal(t, c.status, m.Status, name)
		require.NotEmpty(t, m.Warnings, name)
		require.True(t, math.IsNaN(m.Ratio(0).Value) && math.IsNaN(m.PValue(0)) && math.IsNaN(m.LikelihoodRatio().P), name)
		require.True(t, math.IsNaN(m.Survival([]float64{1}, 0).Value), name)
	}
	_, err := FitGrouped(spans(Span{1, 2}, Span{1, 2.5}), nil, GroupedSettings{Cuts: []float64{1, 2, 3}})
	require.ErrorContains(t, err, "observation 2: the look after at 2.5 is no end of a period")
	_, err = FitGrouped(nil, nil, GroupedSettings{Cuts: []float64{2, 1}})
	require.Error(t, err)
	_, err = FitGrouped(nil, nil, GroupedSettings{Link: 7})
	require.Error(t, err)
	_, err = FitGrouped(spans(Span{1, 2}), x(math.NaN()), GroupedSettings{})
	require.Error(t, err)
}
