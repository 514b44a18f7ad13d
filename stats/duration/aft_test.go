package duration

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// aftModel builds the data of an AFT case as its "call" says.
func aftModel(t *testing.T, c *statstest.Case, d *statstest.Table) (obs []Observation, covariates []Covariate) {
	indicator := func(name, column, level string) Covariate {
		v := Covariate{Name: name}
		for _, s := range d.Texts(column) {
			x := 0.0
			if s == level {
				x = 1
			}
			v.Values = append(v.Values, x)
		}
		return v
	}
	switch c.ID {
	case "aft_gehan_exponential", "aft_gehan_loglogistic", "aft_gehan_lognormal", "aft_gehan_weibull", "aft_gehan_weibull_fixed_scale":
		return exits(d.Floats("time"), d.Floats("event")), []Covariate{indicator("mp6", "treat", "mp6")}
	case "aft_lung_loglogistic", "aft_lung_lognormal", "aft_lung_weibull":
		return complete(exits(d.Floats("time"), d.Floats("event")), d, "age", "sex", "ph_ecog")
	case "aft_lung_weibull_ecog_sex":
		return complete(exits(d.Floats("time"), d.Floats("event")), d, "ph_ecog", "sex")
	case "aft_breast_cosmesis_interval_exponential", "aft_breast_cosmesis_interval_loglogistic", "aft_breast_cosmesis_interval_lognormal", "aft_breast_cosmesis_interval_weibull":
		return between(d.Floats("left"), d.Floats("right")), []Covariate{indicator("chemo", "treat", "radio_chemo")}
	case "aft_tobin_left_censored_gaussian":
		for _, y := range d.Floats("durable") {
			o := Observation{Span: Span{y, y}}
			if y == 0 {
				o.Lo = math.Inf(-1)
			}
			obs = append(obs, o)
		}
		return obs, []Covariate{{"age", d.Floats("age")}, {"quant", d.Floats("quant")}}
	case "aft_turbine_current_status_weighted_weibull":
		return turbines(d), nil
	case "aft_alloauto_weibull_one_group":
		return grouped(exits(d.Floats("time"), d.Floats("event")), "", d.Texts("type"))["allogeneic"], nil
	case "aft_alloauto_loglogistic_both":
		return exits(d.Floats("time"), d.Floats("event")), []Covariate{indicator("auto", "type", "autologous")}
	}
	t.Fatalf("no recipe for case %s", c.ID)
	return nil, nil
}

// complete drops the rows in which a covariate is missing.
func complete(all []Observation, d *statstest.Table, names ...string) ([]Observation, []Covariate) {
	var obs []Observation
	covariates := make([]Covariate, len(names))
	for i, o := range all {
		missing := false
		for _, n := range names {
			missing = missing || math.IsNaN(d.Floats(n)[i])
		}
		if missing {
			continue
		}
		obs = append(obs, o)
		for j, n := range names {
			covariates[j].Name = n
			covariates[j].Values = append(covariates[j].Values, d.Floats(n)[i])
		}
	}
	return obs, covariates
}

var familyKeys = map[string]Family{"weibull": Weibull, "exponential": Exponential, "lognormal": Lognormal, "loglogistic": LogLogistic, "gaussian": Normal}

func TestAFTReference(t *testing.T) {
	for _, id := range statstest.IDs(t, "aft_*") {
		c := statstest.Load(t, id)
		obs, covariates := aftModel(t, c, statstest.LoadTable(t, c.Dataset()[0]))
		s := AFTSettings{Level: c.Float("level"), Family: familyKeys[c.Text("dist")]}
		if c.Bool("scale_fixed") {
			s.FixedScale = c.Float("scale")
		}
		m, err := FitAFT(obs, covariates, s)
		require.NoError(t, err)
		require.Equal(t, stats.OK, m.Status, "%s: %v", id, m.Warnings)
		c.NearAll(m.Coef, "coef")
		c.Near(m.Scale, "scale")
		c.Near(m.LogLik, "loglik")
		c.Near(m.AIC(), "aic")
		params := c.Matrix("wald_ci").Rows
		for i, a := range params {
			for j, b := range params {
				c.Near(m.Covariance.At(i, j), "vcov", a, b)
			}
			lo, hi := waldLimits(m, i)
			c.Near(lo, "wald_ci", a, "lower")
			c.Near(hi, "wald_ci", a, "upper")
		}
		for i, name := range c.Texts("columns") {
			c.Near(m.PValue(i), "p_wald", name)
		}
		compareLRTest(t, c, obs, m, s)
		comparePredictions(c, m)
	}
}

// waldLimits are those of a coefficient or, after the last, the log of the scale.
func waldLimits(m AFT, i int) (lo, hi float64) {
	if i < len(m.Coef) {
		e := m.Coefficient(i)
		return e.Lo, e.Hi
	}
	e := m.Spread()
	return math.Log(e.Lo), math.Log(e.Hi)
}

func compareLRTest(t *testing.T, c *statstest.Case, obs []Observation, m AFT, s AFTSettings) {
	if !c.Has("lr_test") {
		return
	}
	null, err := FitAFT(obs, nil, s)
	require.NoError(t, err)
	c.Near(null.LogLik, "loglik_intercept_only")
	c.Near(2*(m.LogLik-null.LogLik), "lr_test", "chisq")
}

func comparePredictions(c *statstest.Case, m AFT) {
	if !c.Has("predicted_quantiles") {
		return
	}
	q := []string{"predicted_quantiles"}
	var xs [][]float64
	for i := range c.Matrix("predicted_quantiles", "time").Data {
		x := make([]float64, len(m.Names)-1)
		for j := range x {
			x[j] = c.Floats("predicted_quantiles", "newdata", m.Names[j+1])[i]
		}
		xs = append(xs, x)
	}
	f := m.Settings.Family
	probs := c.Floats("predicted_quantiles", "probs")
	table := func(of func(x []float64, p float64) float64) (out [][]float64) {
		for _, x := range xs {
			var row []float64
			for _, p := range probs {
				row = append(row, of(x, p))
			}
			out = append(out, row)
		}
		return out
	}
	se := func(x []float64, p float64) float64 {
		_, se := m.combination(x, f.quantile(p))
		return se
	}
	onLog := func(t float64) float64 { // the pack takes exp of the limits of the normal family too
		if f.logScale() {
			return t
		}
		return math.Exp(t)
	}
	c.NearMatrix(table(func(x []float64, p float64) float64 { return m.Quantile(x, p).Value }), append(q, "time")...)
	c.NearMatrix(table(func(x []float64, p float64) float64 { return f.scaledOrSame(m.Quantile(x, p).Value) }), append(q, "log_time")...)
	c.NearMatrix(table(se), append(q, "se_log_time")...)
	c.NearMatrix(table(func(x []float64, p float64) float64 { return onLog(m.Quantile(x, p).Lo) }), append(q, "lower_via_log")...)
	c.NearMatrix(table(func(x []float64, p float64) float64 { return onLog(m.Quantile(x, p).Hi) }), append(q, "upper_via_log")...)
	if !c.Has("predicted_survival") {
		return
	}
	probs = c.Floats("predicted_survival", "time") // the columns are times now
	c.NearMatrix(table(func(x []float64, t float64) float64 { return m.Survival(x, t).Value }), "predicted_survival", "surv")
	c.NearMatrix(table(func(x []float64, t float64) float64 {
		z, se := m.standardised(x, f.scaled(t))
		return math.Exp(f.logDensity(z)) * se
	}), "predicted_survival", "se_delta")
}

func (f Family) scaledOrSame(t float64) float64 {
	if f.logScale() {
		return math.Log(t)
	}
	return t
}
