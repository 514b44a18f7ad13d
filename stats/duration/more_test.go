package duration

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// The cases duration_more_* come from testdata/more.R: data sets and options that the
// other cases leave out. They hold their data.

// more is one of them.
type more struct {
	*statstest.Case
	t   *testing.T
	obs []Observation
}

// loadMore takes exact and right-censored times from two columns, or only exact ones
// where event is "".
func loadMore(t *testing.T, id, time, event string) more {
	m := more{Case: statstest.Load(t, "duration_more_"+id), t: t}
	times := m.column(time)
	ended := make([]float64, len(times))
	for i := range ended {
		ended[i] = 1
	}
	if event != "" {
		ended = m.column(event)
	}
	m.obs = exits(times, ended)
	return m
}

func (m more) column(name string) []float64 { return m.Floats("data", name) }

func (m more) labels(name string) []int { return whole(m.column(name)) }

func (m more) covariates(names ...string) []Covariate {
	var out []Covariate
	for _, n := range names {
		out = append(out, Covariate{n, m.column(n)})
	}
	return out
}

// matrix compares the first rows and columns of a matrix.
func (m more) matrix(got mat.Matrix, path ...string) {
	want := m.Matrix(path...).Data
	for i, row := range want {
		for j, w := range row {
			statstest.Near(m.t, w, got.At(i, j), m.Tol(path...), m.ID+" variance")
		}
	}
}

// weigh gives the observations their weights.
func (m more) weigh(weights []float64) {
	for i, w := range weights {
		m.obs[i].Weight = w
	}
}

func (m more) curves(level, tau float64) {
	for _, key := range m.Keys("curve") {
		c, err := KaplanMeier(m.obs, Settings{Level: level, Interval: intervalKeys[key]})
		require.NoError(m.t, err)
		require.Len(m.t, c.Steps, len(m.Floats("curve", key, "time")))
		var share, lo, hi []float64
		for _, s := range c.Steps {
			share, lo, hi = append(share, s.Survival), append(lo, s.Lo), append(hi, s.Hi)
		}
		m.NearAll(share, "curve", key, "share")
		m.NearAll(lo, "curve", key, "lower")
		m.NearAll(hi, "curve", key, "upper")
		var middle, from, to []float64
		for _, p := range []float64{0.05, 0.1, 0.25, 0.5, 0.6, 0.75} {
			q := c.Quantile(p)
			if math.IsInf(q.Hi, 1) {
				q.Hi = nan
			}
			middle, from, to = append(middle, q.Value), append(from, q.Lo), append(to, q.Hi)
		}
		m.NearAll(middle, "curve", key, "quantile")
		for name, got := range map[string][]float64{"quantile_lower": from, "quantile_upper": to} {
			if m.Has("curve", key, name) { // not where the limits rise again
				m.NearAll(got, "curve", key, name)
			}
		}
		_, se := c.area(tau)
		m.Near(c.RestrictedMean(tau).Value, "curve", key, "mean")
		m.Near(se, "curve", key, "mean_se")
	}
}

func (m more) rank(key string, group []int, s ComparisonSettings) {
	c, err := LogRank(m.obs, group, s)
	require.NoError(m.t, err)
	m.Near(c.ChiSquare, "rank", key)
}

func (m more) cox(x []Covariate, s CoxSettings, scale TimeScale, path ...string) Cox {
	f, err := FitCox(m.obs, x, s)
	require.NoError(m.t, err)
	require.Equal(m.t, stats.OK, f.Status, "%v", f.Warnings)
	at := func(key string) []string { return append(append([]string{}, path...), key) }
	m.NearAll(f.Coef, at("coef")...)
	m.matrix(f.Covariance, at("variance")...)
	m.Near(f.LogLik, at("loglik")...)
	m.Near(f.LogLikNull, at("loglik_null")...)
	m.Near(f.Score().ChiSquare, at("score")...)
	if m.Has(at("zph_chisq")...) {
		p := f.Proportional(scale)
		var got []float64
		for _, c := range append(p.Covariates, p.Global) {
			if c.DF > 0 {
				got = append(got, c.ChiSquare)
			}
		}
		m.NearAll(got[:len(m.Floats(at("zph_chisq")...))], at("zph_chisq")...)
	}
	return f
}

func (m more) aft(obs []Observation, x []Covariate, path ...string) {
	for _, family := range []string{"weibull", "exponential", "lognormal", "loglogistic"} {
		f, err := FitAFT(obs, x, AFTSettings{Family: familyKeys[family]})
		require.NoError(m.t, err)
		require.Equal(m.t, stats.OK, f.Status, "%v", f.Warnings)
		at := func(key string) []string { return append(append([]string{}, path...), family, key) }
		m.NearAll(f.Coef, at("coef")...)
		m.Near(f.Scale, at("scale")...)
		m.Near(f.LogLik, at("loglik")...)
		m.matrix(f.Covariance, at("variance")...)
	}
}

func TestMoreOvarian(t *testing.T) {
	m := loadMore(t, "ovarian", "futime", "fustat")
	m.curves(0.8, 700)
	rx, left := m.labels("rx"), m.labels("resid.ds")
	m.rank("plain", rx, ComparisonSettings{})
	m.rank("rho", rx, ComparisonSettings{Weight: Harrington, Rho: 1.5})
	m.rank("strata", rx, ComparisonSettings{Weight: Harrington, Rho: -0.5, Strata: left})
	m.cox(m.covariates("age", "rx", "resid.ds"), CoxSettings{}, ShareGone, "cox", "efron")
	m.cox(m.covariates("age"), CoxSettings{Strata: rx}, LogTime, "cox", "strata")
	m.aft(m.obs, m.covariates("age", "rx"), "aft")
}

func TestMoreLateEntry(t *testing.T) {
	m := loadMore(t, "mgus_late", "out", "death")
	withEntry(m.obs, m.column("age"))
	m.curves(0.95, 90)
	m.cox(m.covariates("male"), CoxSettings{}, RankTime, "cox")
	m.cox(m.covariates("male"), CoxSettings{Ties: Breslow}, RankTime, "breslow")
}

// causes sets the causes, 0 being a loss.
func (m more) causes() {
	for i, c := range m.labels("cause") {
		m.obs[i].Hi, m.obs[i].Cause = m.obs[i].Lo, c
		if c == 0 {
			m.obs[i].Hi = math.Inf(1)
		}
	}
}

func (m more) shares() {
	looks := m.Floats("share", "looks")
	for kind, s := range map[string]Settings{"_aalen": {Aalen: true}, "_states": {}} {
		a, err := AalenJohansen(m.obs, s)
		require.NoError(m.t, err)
		for k := range a.Causes {
			var share, se []float64
			for _, t := range looks {
				i := lastAtOrBefore(len(a.Steps), func(i int) float64 { return a.Steps[i].Time }, t)
				share, se = append(share, a.Steps[i].Incidence[k]), append(se, a.Steps[i].SE[k])
			}
			statstest.NearAll(m.t, m.Matrix("share", "share").Data[k], share, m.Tol(), m.ID+" share")
			statstest.NearAll(m.t, m.Matrix("share", "share_states").Data[k], share, m.Tol(), m.ID+" share")
			statstest.NearAll(m.t, m.Matrix("share", "se"+kind).Data[k], se, m.Tol(), m.ID+" se"+kind)
		}
	}
}

func (m more) gray(key string, group []int, s GraySettings) {
	var got []float64
	for k := range m.Floats(key) {
		c, err := GrayTest(m.obs, group, k+1, s)
		require.NoError(m.t, err)
		got = append(got, c.ChiSquare)
	}
	m.NearAll(got, key)
}

func TestMoreCauses(t *testing.T) {
	m := loadMore(t, "mgus2", "t", "")
	m.causes()
	m.shares()
	male, age := m.labels("male"), m.column("age")
	m.gray("gray", male, GraySettings{})
	m.gray("gray_rho", male, GraySettings{Rho: 0.7})
	var old, kept []int
	for i, a := range age {
		old = append(old, 0)
		if a > 70 {
			old[i] = 1
		}
		if !math.IsNaN(m.column("hgb")[i]) {
			kept = append(kept, i)
		}
	}
	m.gray("gray_strata", male, GraySettings{Strata: old})

	var obs []Observation
	x := []Covariate{{"age", nil}, {"male", nil}, {"hgb", nil}}
	for _, i := range kept {
		o := m.obs[i]
		if o.RightCensored() {
			o.Lo += 1e-5 // after what happened at the same time
		}
		obs = append(obs, o)
		for j := range x {
			x[j].Values = append(x[j].Values, m.column(x[j].Name)[i])
		}
	}
	for k, key := range []string{"fine_1", "fine_2"} {
		f, err := FitFineGray(obs, x, k+1, CoxSettings{})
		require.NoError(t, err)
		m.NearAll(f.Coef, key, "coef")
		m.matrix(f.Covariance, key, "variance")
		m.Near(f.LogLik, key, "loglik")
	}
}

func TestMoreThreeCauses(t *testing.T) {
	m := loadMore(t, "transplant", "futime", "")
	m.causes()
	m.shares()
	m.gray("gray", m.labels("blood"), GraySettings{})
	m.gray("gray_rho", m.labels("blood"), GraySettings{Rho: -1})
}

func TestMoreClusters(t *testing.T) {
	m := loadMore(t, "rats", "time", "status")
	rx := m.covariates("rx")
	f, err := FitCox(m.obs, rx, CoxSettings{Cluster: m.labels("litter")})
	require.NoError(t, err)
	m.NearAll(f.Coef, "coef")
	m.matrix(f.Robust, "variance")
	m.matrix(f.Covariance, "naive")
	m.cox(rx, CoxSettings{Ties: Discrete}, ShareGone, "exact")
	m.rank("strata", m.labels("rx"), ComparisonSettings{Strata: m.labels("litter")})
	m.rank("plain", m.labels("rx"), ComparisonSettings{Weight: Harrington, Rho: 1})
}

func TestMoreWeights(t *testing.T) {
	m := loadMore(t, "pbc", "time", "dead")
	m.weigh(m.column("w"))
	f := m.cox(m.covariates("age", "edema", "lb"), CoxSettings{Ties: Breslow, Strata: m.labels("trt")}, ShareGone, "cox")
	var share, lo, hi []float64
	for _, t := range m.Floats("looks") {
		e := f.Survival(1, []float64{50, 0, 1}, t)
		share, lo, hi = append(share, e.Value), append(lo, e.Lo), append(hi, e.Hi)
	}
	m.NearAll(share, "share")
	m.NearAll(lo, "lower")
	m.NearAll(hi, "upper")
	c, err := KaplanMeier(m.obs, Settings{Interval: Log})
	require.NoError(t, err)
	share, lo, hi = nil, nil, nil
	for _, s := range c.Steps {
		share, lo, hi = append(share, s.Survival), append(lo, s.Lo), append(hi, s.Hi)
	}
	m.NearAll(share, "curve", "share")
	m.NearAll(lo, "curve", "lower")
	m.NearAll(hi, "curve", "upper")
}

func TestMoreSpans(t *testing.T) {
	m := loadMore(t, "larynx", "time", "delta")
	stage := m.labels("stage")
	m.rank("plain", stage, ComparisonSettings{})
	m.rank("rho", stage, ComparisonSettings{Weight: Harrington, Rho: 0.3})
	age := m.column("age")
	x := []Covariate{{"s2", nil}, {"s3", nil}, {"s4", nil}, {"age", age}}
	for j := range 3 {
		for _, s := range stage {
			v := 0.0
			if s == j+2 {
				v = 1
			}
			x[j].Values = append(x[j].Values, v)
		}
	}
	m.aft(m.obs, x, "exact")

	const width = 1.5
	var spans []Observation
	late, ages := Covariate{"s4", nil}, Covariate{"age", nil}
	for i, o := range m.obs {
		lo := width * math.Floor(o.Lo/width)
		span := Observation{Span: Span{lo, math.Inf(1)}, Weight: m.column("w")[i]}
		if o.Exact() {
			span.Hi = lo + width
		} else if lo == 0 {
			continue
		}
		spans = append(spans, span)
		late.Values, ages.Values = append(late.Values, x[2].Values[i]), append(ages.Values, age[i])
	}
	m.aft(spans, []Covariate{late, ages}, "spans")
}

func TestMoreAllEnded(t *testing.T) {
	m := loadMore(t, "leuk", "time", "")
	present, lw := m.column("present"), m.column("lw")
	x := m.covariates("present", "lw")
	m.cox(append(x, Covariate{"both", product(present, lw)}), CoxSettings{}, PlainTime, "cox")
	m.aft(m.obs, x, "aft")
	m.curves(0.99, 100)
}
