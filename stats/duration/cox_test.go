package duration

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// The cases duration_cox_* were made by testdata/make.R; each file names the call.

func fitCox(t *testing.T, obs []Observation, x []Covariate, s CoxSettings) *Cox {
	t.Helper()
	m, err := FitCox(obs, x, s)
	require.NoError(t, err)
	return &m
}

func nearFit(c *statstest.Case, m *Cox, prefix ...string) {
	at := func(key string) []string { return append(slices.Clone(prefix), key) }
	c.NearAll(m.Coef, at("coef")...)
	c.NearMatrix(rows(m.Covariance), at("vcov")...)
	c.Near(m.LogLik, at("loglik")...)
}

func rows(m *mat.SymDense) [][]float64 {
	n := m.SymmetricDim()
	out := make([][]float64, n)
	for i := range out {
		for j := range n {
			out[i] = append(out[i], m.At(i, j))
		}
	}
	return out
}

func TestCoxWeightsOffsetStrata(t *testing.T) {
	d := statstest.LoadTable(t, "veteran")
	age, offset := d.Floats("age"), d.Floats("karno")
	obs := exits(d.Floats("time"), d.Floats("status"))
	for i := range obs {
		obs[i].Weight = 1 + math.Mod(age[i], 3)
		offset[i] = 0.02 * (60 - offset[i])
	}
	cells := codes(t, d.Texts("celltype"), []string{"squamous", "smallcell", "adeno", "large"})
	for name, ties := range map[string]Ties{"duration_cox_weighted_efron": Efron, "duration_cox_weighted_breslow": Breslow} {
		c := statstest.Load(t, name)
		m := fitCox(t, obs, []Covariate{column("trt", d.Floats("trt")), {"age", age}}, CoxSettings{Ties: ties, Strata: cells, Offset: offset})
		require.Equal(t, stats.OK, m.Status)
		compareExtra(t, c, m, PlainTime)
	}
}

func TestCoxResidualsWithLateEntry(t *testing.T) {
	c := statstest.Load(t, "duration_cox_heart_residuals")
	d := statstest.LoadTable(t, c.Dataset()[0])
	obs := withEntry(exits(d.Floats("stop"), d.Floats("event")), d.Floats("start"))
	compareExtra(t, c, fitCox(t, obs, []Covariate{column("age", d.Floats("age")), column("surgery", d.Floats("surgery")), column("transplant", d.Floats("transplant"))}, CoxSettings{}), RankTime)
}

func compareExtra(t *testing.T, c *statstest.Case, m *Cox, scale TimeScale) {
	nearFit(c, m)
	c.Near(m.LogLikNull, "loglik_null")
	c.Near(m.Score().ChiSquare, "score")
	r := m.Residuals()
	c.NearAll(r.Martingale, "martingale")
	c.NearAll(r.Deviance, "deviance")
	c.NearMatrix(r.Score, "score_residuals")
	c.NearMatrix(r.DFBeta, "dfbeta")
	if c.Has("zph") {
		p := m.Proportional(scale)
		var chi, tail []float64
		for _, test := range append(p.Covariates, p.Global) {
			chi, tail = append(chi, test.ChiSquare), append(tail, test.P)
		}
		c.NearAll(chi, "zph", "chisq")
		c.NearAll(tail, "zph", "p")
	}
	// the pack has Schoenfeld residuals by stratum and time, ties as in the data
	var order []int
	for i, s := range r.Schoenfeld {
		if s != nil {
			order = append(order, i)
		}
	}
	row := make([]int, len(m.data.given))
	for k, i := range m.data.given {
		row[i] = k
	}
	stratum := func(i int) int {
		return slices.IndexFunc(m.data.strata, func(g coxStratum) bool { return row[i] < g.to })
	}
	slices.SortStableFunc(order, func(a, b int) int {
		if s := stratum(a) - stratum(b); s != 0 {
			return s
		}
		return int(math.Copysign(1, m.data.time[row[a]]-m.data.time[row[b]])) * map[bool]int{true: 0, false: 1}[m.data.time[row[a]] == m.data.time[row[b]]]
	})
	var schoenfeld [][]float64
	for _, i := range order {
		schoenfeld = append(schoenfeld, r.Schoenfeld[i])
	}
	c.NearMatrix(schoenfeld, "schoenfeld")
	k := m.Concordance()
	c.Near(k.Value, "concordance")
	// the limits are value +- z se / (value (1 - value)) on the logit
	se := (logit(k.Hi) - logit(k.Lo)) / 2 / normalLimit(0.95) * k.Value * (1 - k.Value)
	c.Near(se*se, "concordance_var")
}

func logit(p float64) float64 { return math.Log(p / (1 - p)) }

func TestCoxDiscrete(t *testing.T) {
	c := statstest.Load(t, "duration_cox_exact_months")
	d := statstest.LoadTable(t, c.Dataset()[0])
	months := d.Floats("time")
	for i := range months {
		months[i] = math.Ceil(months[i] / 30)
	}
	m := fitCox(t, exits(months, d.Floats("status")), []Covariate{column("trt", d.Floats("trt")), column("karno", d.Floats("karno")), column("age", d.Floats("age"))}, CoxSettings{Ties: Discrete})
	nearFit(c, m)
	c.Near(m.LogLikNull, "loglik_null")
	c.Near(m.Score().ChiSquare, "score")

	c = statstest.Load(t, "duration_cox_exact_truncated")
	d = statstest.LoadTable(t, c.Dataset()[0])
	start, stop := d.Floats("start"), d.Floats("stop")
	for i := range start {
		start[i] = math.Floor(start[i] / 2)
		stop[i] = math.Max(math.Ceil(stop[i]/2), start[i]+1)
	}
	m = fitCox(t, withEntry(exits(stop, d.Floats("event")), start), []Covariate{column("age", d.Floats("age")), column("year", d.Floats("year"))}, CoxSettings{Ties: Discrete, Strata: whole(d.Floats("surgery"))})
	nearFit(c, m)
	c.Near(m.LogLikNull, "loglik_null")
	c.Near(m.Score().ChiSquare, "score")
}

// kept is a covariate at which nothing happened, so that the likelihood is
// monotone.
func kept(t *testing.T) (obs []Observation, x []Covariate) {
	d := statstest.LoadTable(t, "gehan_6mp")
	time, event := d.Floats("time"), d.Floats("event")
	k := make([]float64, len(time))
	for i := range k {
		if event[i] == 0 && time[i] > 15 {
			k[i] = 1
		}
	}
	return exits(time, event), []Covariate{{"mp6", is1(d.Texts("treat"), "mp6")}, {"kept", k}}
}

func TestCoxMonotoneLikelihood(t *testing.T) {
	obs, x := kept(t)
	m := fitCox(t, obs, x, CoxSettings{})
	require.Equal(t, stats.Separated, m.Status)
	require.Equal(t, "monotone", m.Warnings[0].Code)
	require.Contains(t, m.Warnings[0].Text, "lowest value of kept")
	require.True(t, math.IsNaN(m.Coefficient(1).Value) && math.IsNaN(m.PValue(1)))
	require.True(t, m.Score().Status.Usable(), "the score test needs no fit")
	// a cluster variance must not turn this into a tiny p-value (it does in R)
	m = fitCox(t, obs, x, CoxSettings{Cluster: ordinals(len(obs))})
	require.Equal(t, stats.Separated, m.Status)
	// a direction that is no single covariate: kept = (a + b) / 2
	a, b := slices.Clone(x[1].Values), slices.Clone(x[1].Values)
	for i := range a {
		a[i] += math.Mod(float64(i), 3)
		b[i] -= math.Mod(float64(i), 3)
	}
	m = fitCox(t, obs, []Covariate{{"a", a}, {"b", b}}, CoxSettings{})
	require.Equal(t, stats.Separated, m.Status)
	require.Contains(t, m.Warnings[0].Text, "a, b")
}

func ordinals(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func TestCoxFirth(t *testing.T) {
	c := statstest.Load(t, "duration_cox_firth")
	obs, x := kept(t)
	for name, ties := range map[string]Ties{"breslow": Breslow, "efron": Efron} {
		m := fitCox(t, obs, x, CoxSettings{Ties: ties, Firth: true})
		require.Equal(t, stats.OK, m.Status)
		require.Equal(t, "monotone", m.Warnings[0].Code)
		nearFit(c, m, name)
		c.Near(m.peak.Value+math.Log(1/(m.data.sd[0]*m.data.sd[1]))*-1, name, "penalised") // the information of standardised covariates is larger by their variances
		for i := range x {
			p := m.Profile(i)
			statstest.Near(t, c.Floats(name, "lower")[i], p.Lo, 1e-6, "lower limit")
			statstest.Near(t, c.Floats(name, "upper")[i], p.Hi, 1e-6, "upper limit")
		}
	}
}

func TestCoxRobustWeighted(t *testing.T) {
	c := statstest.Load(t, "duration_cox_weighted_cluster")
	d := statstest.LoadTable(t, c.Dataset()[0])
	obs := exits(d.Floats("time"), d.Floats("event"))
	for i := range obs {
		obs[i].Weight = 1 + math.Mod(obs[i].Lo, 3)
	}
	m := fitCox(t, obs, []Covariate{{"mp6", is1(d.Texts("treat"), "mp6")}}, CoxSettings{Cluster: whole(d.Floats("pair"))})
	c.NearAll(m.Coef, "coef")
	c.NearAll([]float64{m.Robust.At(0, 0)}, "robust_var")
	c.NearAll([]float64{m.Covariance.At(0, 0)}, "naive_var")
	// Student's t with 20 degrees of freedom (qt(.975, 20) = 2.0859634 in R)
	e := m.Coefficient(0)
	statstest.Near(t, 2.0859634472658364*math.Sqrt(m.Robust.At(0, 0)), e.Hi-e.Value, 1e-9, "limits")
	require.Contains(t, e.Method, "21 clusters")
}

// wildCox makes observations with everything a Cox regression takes.
func wildCox(seed uint64, n int) (obs []Observation, x []Covariate, s CoxSettings) {
	r := rand.New(rand.NewPCG(seed, 7))
	x = []Covariate{{"warm", make([]float64, n)}, {"aid", make([]float64, n)}}
	s.Strata, s.Offset = make([]int, n), make([]float64, n)
	for i := range n {
		x[0].Values[i], x[1].Values[i] = 20+3*r.NormFloat64(), float64(r.IntN(2))
		s.Strata[i], s.Offset[i] = r.IntN(3), 0.3*r.NormFloat64()
		t := math.Ceil(20 * r.ExpFloat64() * math.Exp(-0.1*x[0].Values[i]+2-0.5*x[1].Values[i]))
		o := Observation{Span: Span{t, t}, Entry: math.Floor(t * r.Float64() * 0.5), Weight: float64(1 + r.IntN(2))}
		if r.IntN(4) == 0 {
			o.Hi = math.Inf(1)
		}
		obs = append(obs, o)
	}
	return obs, x, s
}

func TestCoxDerivatives(t *testing.T) {
	obs, x, s := wildCox(1, 60)
	for _, ties := range []Ties{Efron, Breslow, Discrete} {
		for _, firth := range []bool{false, true} {
			if firth && ties == Discrete {
				continue
			}
			s.Ties, s.Firth = ties, firth
			clean, err := CoxSettings{Ties: Efron}.rows(obs, x)
			require.NoError(t, err)
			d := newCoxData(clean, x, s)
			theta := []float64{0.3, -0.4}
			got := at(d.objective, theta)
			const h = 1e-5
			for j := range theta {
				up, down := slices.Clone(theta), slices.Clone(theta)
				up[j] += h
				down[j] -= h
				slope := (d.objective(up, nil, nil) - d.objective(down, nil, nil)) / (2 * h)
				require.InDelta(t, slope, got.Grad[j], 1e-6*math.Max(1, math.Abs(slope)), "%v firth %v: slope %d", ties, firth, j)
				a, b := at(d.plain, up), at(d.plain, down)
				for k := range theta {
					require.InDelta(t, (a.Grad[k]-b.Grad[k])/(2*h), got.Hess.At(j, k), 1e-5, "%v firth %v: curvature %d %d", ties, firth, j, k)
				}
			}
		}
	}
}

// The same answer for any order of the rows, to the last bit, and for any unit
// of time.
func TestCoxOrderAndUnits(t *testing.T) {
	obs, x, s := wildCox(2, 80)
	first := fitCox(t, obs, x, s)
	r := rand.New(rand.NewPCG(3, 3))
	order := r.Perm(len(obs))
	obs2, s2 := make([]Observation, len(obs)), s
	s2.Strata, s2.Offset = make([]int, len(obs)), make([]float64, len(obs))
	x2 := []Covariate{{"warm", make([]float64, len(obs))}, {"aid", make([]float64, len(obs))}}
	for to, from := range order {
		obs2[to], s2.Strata[to], s2.Offset[to] = obs[from], s.Strata[from], s.Offset[from]
		for j := range x {
			x2[j].Values[to] = x[j].Values[from]
		}
	}
	second := fitCox(t, obs2, x2, s2)
	require.Equal(t, first.Coef, second.Coef)
	require.Equal(t, first.LogLik, second.LogLik)
	require.Equal(t, first.Baseline(1, []float64{20, 1}), second.Baseline(1, []float64{20, 1}))
	for i := range obs2 {
		obs2[i].Lo, obs2[i].Hi, obs2[i].Entry = 1440*obs2[i].Lo, 1440*obs2[i].Hi, 1440*obs2[i].Entry
	}
	third := fitCox(t, obs2, x2, s2)
	require.Equal(t, first.Coef, third.Coef)
	require.Equal(t, first.Survival(1, []float64{20, 1}, 10).Value, third.Survival(1, []float64{20, 1}, 14400).Value)
}

// With Breslow ties a weight of 2 is two observations; a covariate in other
// units has a coefficient in other units; a stratum of its own data adds nothing.
func TestCoxLaws(t *testing.T) {
	obs, x, s := wildCox(4, 70)
	s.Ties = Breslow
	first := fitCox(t, obs, x, s)
	var obs2 []Observation
	s2 := CoxSettings{Ties: Breslow}
	x2 := []Covariate{{"warm", nil}, {"aid", nil}}
	for i, o := range obs {
		for range int(o.weight()) {
			o.Weight = 1
			obs2 = append(obs2, o)
			s2.Strata, s2.Offset = append(s2.Strata, s.Strata[i]), append(s2.Offset, s.Offset[i])
			x2[0].Values, x2[1].Values = append(x2[0].Values, 1.8*x[0].Values[i]+32), append(x2[1].Values, x[1].Values[i])
		}
	}
	second := fitCox(t, obs2, x2, s2)
	statstest.Near(t, first.Coef[0], 1.8*second.Coef[0], 1e-9, "warm")
	statstest.Near(t, first.Coef[1], second.Coef[1], 1e-9, "aid")
	require.Equal(t, first.N, second.N)
	a, b := first.Survival(0, []float64{20, 0}, 15), second.Survival(0, []float64{68, 0}, 15)
	statstest.Near(t, a.Value, b.Value, 1e-9, "predicted")
	statstest.Near(t, a.Lo, b.Lo, 1e-9, "its limit")
	p, q := first.Proportional(ShareGone), second.Proportional(ShareGone)
	statstest.Near(t, p.Global.ChiSquare, q.Global.ChiSquare, 1e-8, "proportionality")
	statstest.Near(t, first.Proportional(RankTime).Global.ChiSquare, second.Proportional(RankTime).Global.ChiSquare, 1e-8, "proportionality by rank")
	statstest.Near(t, first.Concordance().Value, second.Concordance().Value, 1e-12, "concordance")
}

// The score test of a group with Breslow or discrete ties: the log-rank test for
// the discrete ones (Cox 1972), exactly. Its numbers come from another function.
func TestCoxScoreIsLogRank(t *testing.T) {
	d := statstest.LoadTable(t, "gehan_6mp")
	obs := exits(d.Floats("time"), d.Floats("event"))
	group := is1(d.Texts("treat"), "mp6")
	m := fitCox(t, obs, []Covariate{{"mp6", group}}, CoxSettings{Ties: Discrete})
	test, err := LogRank(obs, whole(group), ComparisonSettings{})
	require.NoError(t, err)
	statstest.Near(t, test.ChiSquare, m.Score().ChiSquare, 1e-10, "log-rank")
}

// Without covariates the baseline is Nelson-Aalen, and survival is monotone in
// [0, 1] for any covariates.
func TestCoxBaselineLaws(t *testing.T) {
	obs, x, _ := wildCox(5, 90)
	h, err := NelsonAalen(obs, Settings{})
	require.NoError(t, err)
	for _, m := range []*Cox{fitCox(t, obs, nil, CoxSettings{Ties: Breslow})} {
		require.Equal(t, stats.OK, m.Status)
		steps := m.Baseline(0, nil)
		i := 0
		for _, s := range h.Steps {
			if s.Events > 0 {
				statstest.Near(t, s.Hazard, steps[i].Hazard, 1e-12, "hazard")
				i++
			}
		}
		require.Len(t, steps, i)
	}
	for _, ties := range []Ties{Efron, Breslow} {
		m := fitCox(t, obs, x, CoxSettings{Ties: ties})
		before := 1.0
		for time := 0.0; time < 100; time++ {
			e := m.Survival(0, []float64{25, 1}, time)
			if math.IsNaN(e.Value) {
				require.Equal(t, "beyond-records", e.Warnings[len(e.Warnings)-1].Code)
				break
			}
			require.True(t, e.Value >= 0 && e.Value <= before)
			require.True(t, e.Lo <= e.Value && e.Value <= e.Hi)
			before = e.Value
		}
		r := m.Residuals()
		var sum, scores float64
		for i, v := range r.Martingale {
			sum += obs[i].weight() * v
			scores += obs[i].weight() * r.Score[i][0]
		}
		require.InDelta(t, 0, sum, 1e-9, "martingale residuals add up to 0")
		require.InDelta(t, 0, scores, 1e-7, "score residuals add up to 0")
	}
}

// The cause-specific regression takes other causes for censored, and with one
// cause is the regression itself.
func TestCoxCause(t *testing.T) {
	d := statstest.LoadTable(t, "melanoma_denmark")
	var cause, censored []Observation
	for i, time := range d.Floats("time") {
		status := d.Floats("status")[i]
		o := Observation{Span: Span{time, math.Inf(1)}}
		censored = append(censored, o)
		if status == 1 {
			censored[i].Hi = time
		}
		if status != 2 {
			o.Hi, o.Cause = time, int(status)
		}
		cause = append(cause, o)
	}
	x := []Covariate{column("ulcer", d.Floats("ulcer")), column("thickness", d.Floats("thickness"))}
	a, b := fitCox(t, cause, x, CoxSettings{Cause: 1}), fitCox(t, censored, x, CoxSettings{})
	require.Equal(t, b.Coef, a.Coef)
	require.Equal(t, 57, a.Events, "deaths from melanoma in the data set")
}

func TestCoxDegenerate(t *testing.T) {
	at := func(times ...float64) []Observation {
		var out []Observation
		for _, time := range times {
			out = append(out, Observation{Span: Span{time, time}})
		}
		return out
	}
	lost := []Observation{{Span: Span{3, math.Inf(1)}}, {Span: Span{4, math.Inf(1)}}}
	for name, c := range map[string]struct {
		obs    []Observation
		x      []Covariate
		s      CoxSettings
		status stats.Status
		code   string
	}{
		"nothing":               {nil, []Covariate{{"x", nil}}, CoxSettings{}, stats.TooLittle, "no-observations"},
		"one":                   {at(3), []Covariate{{"x", []float64{1}}}, CoxSettings{}, stats.TooLittle, "one-observation"},
		"all lost":              {lost, []Covariate{{"x", []float64{1, 2}}}, CoxSettings{}, stats.TooLittle, "no-events"},
		"constant":              {at(1, 2, 3), []Covariate{{"x", []float64{1, 1, 1}}}, CoxSettings{}, stats.NotIdentifiable, "constant"},
		"constant in strata":    {at(1, 2, 3, 4), []Covariate{{"x", []float64{1, 1, 2, 2}}}, CoxSettings{Strata: []int{1, 1, 2, 2}}, stats.NotIdentifiable, "constant"},
		"sum of others":         {at(1, 2, 3, 4, 5), []Covariate{{"a", []float64{1, 5, 2, 3, 3}}, {"b", []float64{3, 2, 8, 1, 1}}, {"c", []float64{4, 7, 10, 4, 4}}}, CoxSettings{}, stats.NotIdentifiable, "aliased"},
		"all at once":           {at(2, 2, 2), []Covariate{{"x", []float64{1, 2, 4}}}, CoxSettings{Ties: Discrete}, stats.NotIdentifiable, "constant"},
		"in order":              {at(1, 2, 3, 4), []Covariate{{"x", []float64{1, 2, 3, 4}}}, CoxSettings{}, stats.Separated, "monotone"},
		"one cluster":           {at(1, 2, 3, 4), []Covariate{{"x", []float64{1, 3, 2, 2}}}, CoxSettings{Cluster: []int{1, 1, 1, 1}}, stats.TooLittle, "one-cluster"},
		"as many coefficients":  {at(1, 2, 3, 4, 5, 6), []Covariate{{"x", []float64{1, 3, 2, 2, 1, 3}}, {"y", []float64{4, 1, 2, 5, 3, 3}}}, CoxSettings{Cluster: []int{1, 1, 1, 2, 2, 2}}, stats.TooLittle, "few-clusters"},
		"never at risk as pair": {[]Observation{{Span: Span{1, 1}}, {Span: Span{3, 3}, Entry: 2}}, []Covariate{{"x", []float64{1, 2}}}, CoxSettings{}, stats.NotIdentifiable, "constant"},
	} {
		m := fitCox(t, c.obs, c.x, c.s)
		require.Equal(t, c.status, m.Status, name)
		require.Equal(t, c.code, m.Warnings[0].Code, name)
		for i := range c.x {
			e := m.HazardRatio(i)
			require.True(t, math.IsNaN(e.Value) && math.IsNaN(e.Lo) && math.IsNaN(e.Hi) && math.IsNaN(m.PValue(i)), name)
			require.True(t, math.IsNaN(m.Profile(i).Value), name)
		}
		require.True(t, math.IsNaN(m.LikelihoodRatio().P) && math.IsNaN(m.Wald().P), name)
		require.True(t, math.IsNaN(m.Survival(0, make([]float64, len(c.x)), 2).Value), name)
		require.True(t, math.IsNaN(m.Concordance().Value), name)
		require.True(t, math.IsNaN(m.Proportional(ShareGone).Global.P), name)
		require.Len(t, m.Residuals().Martingale, map[bool]int{true: len(c.obs), false: 0}[m.data != nil], name)
	}
	// the log of time does not exist at 0
	zero := append(at(0, 1, 2, 3), Observation{Span: Span{4, math.Inf(1)}})
	m := fitCox(t, zero, []Covariate{{"x", []float64{1, 3, 2, 4, 1}}}, CoxSettings{})
	require.Equal(t, stats.OK, m.Status)
	require.Equal(t, stats.NotComputed, m.Proportional(LogTime).Global.Status)
}

func TestCoxWarnsOfFewEvents(t *testing.T) {
	obs := []Observation{{Span: Span{1, 1}}, {Span: Span{2, 2}}, {Span: Span{3, 3}}, {Span: Span{4, math.Inf(1)}}}
	m := fitCox(t, obs, []Covariate{{"x", []float64{2, 1, 3, 2}}}, CoxSettings{})
	require.Equal(t, stats.OK, m.Status)
	require.Equal(t, "few-events", m.Warnings[0].Code)
}

func TestCoxRefuses(t *testing.T) {
	obs := []Observation{{Span: Span{1, 1}}, {Span: Span{2, 2}, Weight: 2}}
	x := []Covariate{{"x", []float64{1, 2}}}
	for name, s := range map[string]CoxSettings{
		"a level": {Level: 1.5}, "an interval": {Interval: BetaProduct}, "ties": {Ties: 9}, "firth": {Firth: true, Ties: Discrete},
		"a cause": {Cause: -1}, "a weight": {Ties: Discrete}, "an offset": {Offset: []float64{0, math.NaN()}},
	} {
		_, err := FitCox(obs, x, s)
		require.Error(t, err, name)
	}
	_, err := FitCox(obs, []Covariate{{"x", []float64{1, math.Inf(1)}}}, CoxSettings{})
	require.ErrorContains(t, err, "observation 2: x is not a number")
	_, err = FitCox([]Observation{{Span: Span{1, 2}}}, nil, CoxSettings{})
	require.ErrorContains(t, err, "known only to lie between")
	require.Panics(t, func() { _, _ = FitCox(obs, []Covariate{{"x", nil}}, CoxSettings{}) })
	require.Panics(t, func() { _, _ = FitCox(obs, x, CoxSettings{Strata: []int{1}}) })
}
