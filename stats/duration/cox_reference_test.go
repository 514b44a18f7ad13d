package duration

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats/internal/statstest"
)

// A coxRecipe builds the model of a case cox_* as its "call" says.
type coxRecipe struct {
	obs        []Observation
	covariates []Covariate
	settings   CoxSettings
}

func column(name string, values []float64) Covariate { return Covariate{name, values} }

// is1 is 1 where the text is the level.
func is1(text []string, level string) []float64 {
	out := make([]float64, len(text))
	for i, s := range text {
		if s == level {
			out[i] = 1
		}
	}
	return out
}

func product(a, b []float64) []float64 {
	out := make([]float64, len(a))
	for i := range a {
		out[i] = a[i] * b[i]
	}
	return out
}

// withEntry sets the entries of observations.
func withEntry(obs []Observation, entry []float64) []Observation {
	for i, e := range entry {
		obs[i].Entry = e
	}
	return obs
}

func coxCase(t *testing.T, id string, d *statstest.Table) coxRecipe {
	switch id {
	case "cox_gehan_efron", "cox_gehan_breslow", "cox_gehan_exact":
		ties := map[string]Ties{"cox_gehan_efron": Efron, "cox_gehan_breslow": Breslow, "cox_gehan_exact": Discrete}
		return coxRecipe{exits(d.Floats("time"), d.Floats("event")), []Covariate{{"mp6", is1(d.Texts("treat"), "mp6")}}, CoxSettings{Ties: ties[id]}}
	case "cox_veteran_efron", "cox_veteran_breslow":
		cell := d.Texts("celltype")
		r := coxRecipe{exits(d.Floats("time"), d.Floats("status")), []Covariate{
			column("trt", d.Floats("trt")), {"celltypesmallcell", is1(cell, "smallcell")}, {"celltypeadeno", is1(cell, "adeno")}, {"celltypelarge", is1(cell, "large")},
			column("karno", d.Floats("karno")), column("diagtime", d.Floats("diagtime")), column("age", d.Floats("age")), column("prior", d.Floats("prior"))}, CoxSettings{}}
		if id == "cox_veteran_breslow" {
			r.settings.Ties = Breslow
		}
		return r
	case "cox_heart_time_dependent":
		obs := withEntry(exits(d.Floats("stop"), d.Floats("event")), d.Floats("start"))
		return coxRecipe{obs, []Covariate{column("age", d.Floats("age")), column("year", d.Floats("year")), column("surgery", d.Floats("surgery")), column("transplant", d.Floats("transplant"))}, CoxSettings{}}
	case "cox_heart_interactions_breslow_level90":
		obs := withEntry(exits(d.Floats("stop"), d.Floats("event")), d.Floats("start"))
		age, surgery, transplant := d.Floats("age"), d.Floats("surgery"), d.Floats("transplant")
		return coxRecipe{obs, []Covariate{{"age", age}, {"surgery", surgery}, {"transplant", transplant}, {"age:transplant", product(age, transplant)}, {"surgery:transplant", product(surgery, transplant)}}, CoxSettings{Ties: Breslow, Level: 0.9}}
	case "cox_retinopathy_cluster":
		trt, adult := d.Floats("trt"), d.Floats("adult")
		return coxRecipe{exits(d.Floats("futime"), d.Floats("status")), []Covariate{{"trt", trt}, {"adult", adult}, column("risk", d.Floats("risk")), {"trt:adult", product(trt, adult)}}, CoxSettings{Cluster: whole(d.Floats("id")), NormalLimits: true}}
	case "cox_lung_stratified_sex":
		r := coxRecipe{covariates: []Covariate{{"age", nil}, {"ph_ecog", nil}}}
		age, ecog, sex := d.Floats("age"), d.Floats("ph_ecog"), d.Floats("sex")
		for i, o := range exits(d.Floats("time"), d.Floats("event")) {
			if !math.IsNaN(ecog[i]) {
				r.obs, r.settings.Strata = append(r.obs, o), append(r.settings.Strata, int(sex[i]))
				r.covariates[0].Values, r.covariates[1].Values = append(r.covariates[0].Values, age[i]), append(r.covariates[1].Values, ecog[i])
			}
		}
		return r
	case "cox_bmt_groups_breslow":
		group := d.Texts("group")
		return coxRecipe{exits(d.Floats("t_dfs"), d.Floats("dfs_event")), []Covariate{{"factor(group)2", is1(group, "2")}, {"factor(group)3", is1(group, "3")}}, CoxSettings{Ties: Breslow}}
	case "cox_channing_left_truncated":
		obs := withEntry(exits(d.Floats("exit_age"), d.Floats("death")), d.Floats("entry_age"))
		return coxRecipe{obs, []Covariate{{"male", is1(d.Texts("sex"), "male")}}, CoxSettings{}}
	}
	t.Fatalf("no recipe for case %s", id)
	return coxRecipe{}
}

func TestCoxReference(t *testing.T) {
	scales := map[string]TimeScale{"transform_km": ShareGone, "transform_identity": PlainTime, "transform_rank": RankTime, "transform_log": LogTime}
	for _, id := range statstest.IDs(t, "cox_*") {
		c := statstest.Load(t, id)
		r := coxCase(t, id, statstest.LoadTable(t, c.Dataset()[0]))
		m, err := FitCox(r.obs, r.covariates, r.settings)
		require.NoError(t, err)
		require.Empty(t, m.Warnings, id)
		require.True(t, m.Status.Usable(), id)
		c.Near(float64(m.Events), "n_event")
		c.Near(float64(m.N), "n")
		for i, name := range m.Names {
			c.Near(m.Coef[i], "coef", name)
			c.Near(math.Sqrt(m.Covariance.At(i, i)), "se", name)
			for j, other := range m.Names {
				c.Near(m.Covariance.At(i, j), "vcov", name, other)
			}
			e := m.Coefficient(i)
			limits, p := "wald_ci", "p_wald"
			if m.Robust != nil {
				limits, p = "robust_wald_ci", "robust_p"
				for j, other := range m.Names {
					c.Near(m.Robust.At(i, j), "robust_vcov", name, other)
				}
				c.Near(math.Sqrt(m.Robust.At(i, i)), "robust_se", name)
				c.Near(float64(m.Clusters), "n_clusters")
			}
			c.Near(e.Value, "coef", name)
			c.Near(e.Lo, limits, name, "lower")
			c.Near(e.Hi, limits, name, "upper")
			c.Near(m.PValue(i), p, name)
			c.Near(m.HazardRatio(i).Value, "hazard_ratio", name)
		}
		c.Near(m.LogLik, "loglik")
		c.Near(m.LogLikNull, "loglik_null")
		lr, score := m.LikelihoodRatio(), m.Score()
		c.Near(lr.ChiSquare, "lr_test", "chisq")
		c.Near(lr.P, "lr_test", "p")
		c.Near(score.ChiSquare, "score_test", "chisq")
		c.Near(score.P, "score_test", "p")
		if m.Robust == nil {
			c.Near(m.Wald().ChiSquare, "wald_test", "chisq")
		}
		if c.Has("zph") {
			for _, transform := range c.Keys("zph") {
				got := m.Proportional(scales[transform])
				var chi, p []float64
				for _, test := range append(got.Covariates, got.Global) {
					chi, p = append(chi, test.ChiSquare), append(p, test.P)
				}
				c.NearAll(chi, "zph", transform, "chisq")
				c.NearAll(p, "zph", transform, "p")
			}
		}
		compareBaseline(t, c, &m)
		comparePredicted(t, c, &m)
		if c.Has("residuals_first") {
			res := m.Residuals()
			c.NearAll(res.Martingale[:6], "residuals_first", "martingale")
			c.NearAll(res.Deviance[:6], "residuals_first", "deviance")
		}
		if c.Has("concordance") {
			k := m.Concordance()
			c.Near(k.Value, "concordance", "c")
		}
	}
}

func compareBaseline(t *testing.T, c *statstest.Case, m *Cox) {
	if !c.Has("baseline_cumhaz_at_x0") {
		return
	}
	var times, hazard []float64
	strata := []int{0}
	if m.Settings.Strata != nil {
		strata = labels(m.Settings.Strata)
	}
	for _, s := range strata {
		for _, step := range m.Baseline(s, make([]float64, len(m.Names))) {
			times, hazard = append(times, step.Time), append(hazard, step.Hazard)
		}
	}
	var wantTime, wantHazard []float64
	for i, h := range c.Floats("baseline_cumhaz_at_x0", "hazard") { // the pack has rows of 0 before the first event
		if h > 0 {
			wantTime, wantHazard = append(wantTime, c.Floats("baseline_cumhaz_at_x0", "time")[i]), append(wantHazard, h)
		}
	}
	require.Equal(t, wantTime, times)
	statstest.NearAll(t, wantHazard, hazard, c.Tol("baseline_cumhaz_at_x0", "hazard"), c.ID+" baseline")
}

func comparePredicted(t *testing.T, c *statstest.Case, m *Cox) {
	if !c.Has("predicted_survival") {
		return
	}
	m.Settings.Interval = Log
	new := c.Keys("predicted_survival", "newdata")
	for row := range 2 {
		x := make([]float64, len(m.Names))
		for j, covariate := range m.Names {
			switch {
			case len(covariate) > 8 && covariate[:8] == "celltype":
				levels := []string{"squamous", "smallcell", "adeno", "large"} // the case gives the number of the level
				if levels[int(c.Floats("predicted_survival", "newdata", "celltype")[row])-1] == covariate[8:] {
					x[j] = 1
				}
			case covariate == "trt:adult": // both rows have adult = 0
			default:
				require.Contains(t, new, covariate)
				x[j] = c.Floats("predicted_survival", "newdata", covariate)[row]
			}
		}
		var value, lo, hi, se []float64
		for _, time := range c.Floats("predicted_survival", "time") {
			e := m.Survival(0, x, time)
			value, lo, hi = append(value, e.Value), append(lo, e.Lo), append(hi, e.Hi)
			steps := m.Baseline(0, x)
			i := lastAtOrBefore(len(steps), func(i int) float64 { return steps[i].Time }, time)
			se = append(se, e.Value*steps[i].SE)
		}
		for i := range value {
			at := []string{"0", "1", "2", "3"}[i]
			path := func(key string) []string {
				return []string{"predicted_survival", key, "data", at, []string{"0", "1"}[row]}
			}
			c.Near(value[i], path("surv")...)
			c.Near(lo[i], path("lower_log")...)
			c.Near(hi[i], path("upper_log")...)
			c.Near(se[i], path("se_surv")...)
		}
	}
}
