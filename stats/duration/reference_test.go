package duration

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats/internal/statstest"
)

// The cases km_*, logrank_*, cif_*, turnbull_* and aft_* under
// stats/testdata/reference were computed with R; each file names the call.

// exits turns columns of times and events into observations.
func exits(time, event []float64) []Observation {
	obs := make([]Observation, len(time))
	for i, t := range time {
		obs[i] = Observation{Span: Span{t, math.Inf(1)}}
		if event[i] == 1 {
			obs[i].Hi = t
		}
	}
	return obs
}

// grouped splits observations by a label such as "sex=female".
func grouped(obs []Observation, prefix string, label []string) map[string][]Observation {
	groups := map[string][]Observation{}
	for i, o := range obs {
		groups[prefix+label[i]] = append(groups[prefix+label[i]], o)
	}
	return groups
}

// kmGroups builds the groups of a Kaplan-Meier case as its "call" says.
func kmGroups(t *testing.T, id string, d *statstest.Table) map[string][]Observation {
	switch id {
	case "km_aml_all":
		return map[string][]Observation{"all": exits(d.Floats("time"), d.Floats("event"))}
	case "km_aml_level90":
		return grouped(exits(d.Floats("time"), d.Floats("event")), "arm=", d.Texts("arm"))
	case "km_gehan_by_treat":
		return grouped(exits(d.Floats("time"), d.Floats("event")), "treat=", d.Texts("treat"))
	case "km_kidney_by_placement":
		return grouped(exits(d.Floats("time"), d.Floats("event")), "type=", d.Texts("type"))
	case "km_veteran_by_celltype":
		return grouped(exits(d.Floats("time"), d.Floats("status")), "celltype=", d.Texts("celltype"))
	case "km_bmt_frequency_weights":
		obs := exits(d.Floats("t_dfs"), d.Floats("dfs_event"))
		for i, age := range d.Floats("age_donor") {
			obs[i].Weight = 1 + math.Mod(age, 3)
		}
		return grouped(obs, "group=", d.Texts("group"))
	case "km_channing_left_truncated":
		return channing(d, 0)
	case "km_channing_conditional_on_age_68":
		return channing(d, 816)
	}
	t.Fatalf("no recipe for case %s", id)
	return nil
}

func channing(d *statstest.Table, from float64) map[string][]Observation {
	groups := map[string][]Observation{}
	sex, entry := d.Texts("sex"), d.Floats("entry_age")
	for i, o := range exits(d.Floats("exit_age"), d.Floats("death")) {
		o.Entry = math.Max(entry[i], from)
		if o.exit() > from {
			groups["sex="+sex[i]] = append(groups["sex="+sex[i]], o)
		}
	}
	return groups
}

var intervalKeys = map[string]Interval{"plain": Plain, "log": Log, "log_log": LogLog, "logit": Logit, "arcsin": ArcSine}

func TestKaplanMeierReference(t *testing.T) {
	compared := 0
	for _, id := range statstest.IDs(t, "km_*") {
		c := statstest.Load(t, id)
		groups := kmGroups(t, id, statstest.LoadTable(t, c.Dataset()[0]))
		require.Len(t, groups, len(c.Keys("groups")), id)
		for name, obs := range groups {
			for key, kind := range intervalKeys {
				compared += compareCurve(t, c, obs, key, kind, "groups", name)
			}
			compareHazard(t, c, obs, "groups", name)
		}
	}
	require.Equal(t, 42, compared, "curves with limits of one kind: 5+2*2+3*2+3*2+3*4+3+2*2+2 in the eight cases")
}

func compareCurve(t *testing.T, c *statstest.Case, obs []Observation, key string, kind Interval, path ...string) int {
	at := func(p ...string) []string { return append(append([]string{}, path...), p...) }
	if !c.Has(at("ci_" + key)...) {
		return 0
	}
	curve, err := KaplanMeier(obs, Settings{Level: c.Float("level"), Interval: kind})
	require.NoError(t, err)
	var steps []Step // the case may list the times of events only
	want := c.Floats(at("time")...)
	for _, s := range curve.Steps {
		if len(steps) < len(want) && s.Time == want[len(steps)] {
			steps = append(steps, s)
		}
	}
	require.Len(t, steps, len(want))
	column := func(of func(Step) float64) []float64 {
		out := make([]float64, len(steps))
		for i, s := range steps {
			out[i] = of(s)
		}
		return out
	}
	c.NearAll(column(func(s Step) float64 { return s.AtRisk }), at("n_risk")...)
	c.NearAll(column(func(s Step) float64 { return s.Events }), at("n_event")...)
	c.NearAll(column(func(s Step) float64 { return s.Censored }), at("n_censor")...)
	c.NearAll(column(func(s Step) float64 { return s.Survival }), at("surv")...)
	c.NearAll(column(func(s Step) float64 { return s.SE }), at("se_surv_greenwood")...)
	c.NearAll(column(func(s Step) float64 { return s.Lo }), at("ci_"+key, "lower")...)
	c.NearAll(column(func(s Step) float64 { return s.Hi }), at("ci_"+key, "upper")...)
	compareQuantiles(t, c, curve, at("quantiles", "probs"), at("quantiles", key))
	if c.Has(at("restricted_mean")...) {
		m := curve.RestrictedMean(c.Float(at("restricted_mean", "tau")...))
		c.Near(m.Value, at("restricted_mean", "rmst")...)
		_, se := curve.area(c.Float(at("restricted_mean", "tau")...))
		c.Near(se, at("restricted_mean", "se")...)
	}
	if c.Has(at("at_times", key)...) {
		var value, lo, hi []float64
		for _, time := range c.Floats(at("at_times", "time")...) {
			e := curve.At(time)
			value, lo, hi = append(value, e.Value), append(lo, e.Lo), append(hi, e.Hi)
		}
		c.NearAll(value, at("at_times", "surv")...)
		c.NearAll(lo, at("at_times", key, "lower")...)
		c.NearAll(hi, at("at_times", key, "upper")...)
	}
	return 1
}

func compareQuantiles(t *testing.T, c *statstest.Case, curve Curve, probs, path []string) {
	var value, lo, hi []float64
	for _, p := range c.Floats(probs...) {
		q := curve.Quantile(p)
		if math.IsInf(q.Hi, 1) { // "never reached" is null in the pack
			q.Hi = nan
		}
		value, lo, hi = append(value, q.Value), append(lo, q.Lo), append(hi, q.Hi)
	}
	c.NearAll(value, append(path, "quantile")...)
	c.NearAll(lo, append(path, "lower")...)
	c.NearAll(hi, append(path, "upper")...)
}

func compareHazard(t *testing.T, c *statstest.Case, obs []Observation, path ...string) {
	at := func(p ...string) []string { return append(append([]string{}, path...), p...) }
	h, err := NelsonAalen(obs, Settings{})
	require.NoError(t, err)
	want := c.Floats(at("time")...)
	var sum, se []float64
	for _, s := range h.Steps {
		if len(sum) < len(want) && s.Time == want[len(sum)] {
			sum, se = append(sum, s.Hazard), append(se, s.SE)
		}
	}
	c.NearAll(sum, at("nelson_aalen")...)
	c.NearAll(se, at("se_nelson_aalen")...)
}

// logRankData builds the observations, groups and strata of a case. levels are
// the names of the groups in ascending order of label.
func logRankData(t *testing.T, id string, d *statstest.Table) (obs []Observation, group, strata []int, levels []string) {
	switch id {
	case "logrank_gehan", "logrank_gehan_stratified_by_pair":
		obs, levels = exits(d.Floats("time"), d.Floats("event")), []string{"control", "mp6"}
		group = codes(t, d.Texts("treat"), levels)
		if id != "logrank_gehan" {
			strata = whole(d.Floats("pair"))
		}
	case "logrank_kidney":
		obs, levels = exits(d.Floats("time"), d.Floats("event")), []string{"1", "2"}
		group = codes(t, d.Texts("type"), levels)
	case "logrank_veteran_4groups":
		obs, levels = exits(d.Floats("time"), d.Floats("status")), []string{"squamous", "smallcell", "adeno", "large"}
		group = codes(t, d.Texts("celltype"), levels)
	case "logrank_channing_left_truncated":
		obs, levels = exits(d.Floats("exit_age"), d.Floats("death")), []string{"female", "male"}
		for i, e := range d.Floats("entry_age") {
			obs[i].Entry = e
		}
		group = codes(t, d.Texts("sex"), levels)
	case "logrank_lung_sex_stratified_ecog":
		levels = []string{"1", "2"}
		obs, group, strata = lungStrata(d, "sex", "ph_ecog")
	case "logrank_lung_patkarno_stratified_inst":
		levels = []string{"30", "40", "50", "60", "70", "80", "90", "100"}
		obs, group, strata = lungStrata(d, "pat_karno", "inst")
	default:
		t.Fatalf("no recipe for case %s", id)
	}
	return obs, group, strata, levels
}

// lungStrata drops the rows in which the group or the stratum is missing.
func lungStrata(d *statstest.Table, by, within string) (obs []Observation, group, strata []int) {
	g, s := d.Floats(by), d.Floats(within)
	for i, o := range exits(d.Floats("time"), d.Floats("event")) {
		if !math.IsNaN(g[i]) && !math.IsNaN(s[i]) {
			obs, group, strata = append(obs, o), append(group, int(g[i])), append(strata, int(s[i]))
		}
	}
	return obs, group, strata
}

func codes(t *testing.T, text, levels []string) []int {
	out := make([]int, len(text))
	for i, s := range text {
		out[i] = -1
		for k, l := range levels {
			if s == l {
				out[i] = k
			}
		}
		require.GreaterOrEqual(t, out[i], 0, s)
	}
	return out
}

func whole(x []float64) []int {
	out := make([]int, len(x))
	for i, v := range x {
		out[i] = int(v)
	}
	return out
}

func TestLogRankReference(t *testing.T) {
	kinds := map[string]ComparisonSettings{
		"G_rho_0": {}, "G_rho_0.5": {Weight: Harrington, Rho: 0.5}, "G_rho_1": {Weight: Harrington, Rho: 1},
		"gehan_breslow_weight_n": {Weight: Gehan}, "tarone_ware_weight_sqrt_n": {Weight: Tarone}, "logrank_left_truncated": {},
	}
	for _, id := range statstest.IDs(t, "logrank_*") {
		c := statstest.Load(t, id)
		obs, group, strata, levels := logRankData(t, id, statstest.LoadTable(t, c.Dataset()[0]))
		for _, test := range c.All.Get("values").Keys() {
			s, known := kinds[test]
			require.True(t, known, "%s in %s", test, id)
			s.Strata = strata
			got, err := LogRank(obs, group, s)
			require.NoError(t, err)
			for g, level := range levels {
				c.Near(got.Observed[g], test, "observed", level)
				c.Near(got.Expected[g], test, "expected", level)
				for h, other := range levels {
					c.Near(got.Variance.At(g, h), test, "variance", level, other)
				}
			}
			c.Near(got.ChiSquare, test, "chisq")
			c.Near(got.P, test, "p")
			c.Near(float64(got.DF), test, "df")
		}
	}
}

// cifGroups builds the groups of a competing-risks case as "event_code" says.
func cifGroups(t *testing.T, id string, d *statstest.Table) map[string][]Observation {
	melanoma := func() []Observation {
		obs := exits(d.Floats("time"), make([]float64, d.Len()))
		for i, status := range d.Floats("status") {
			obs[i].Cause = map[float64]int{1: 1, 2: 0, 3: 2}[status]
			if obs[i].Cause > 0 {
				obs[i].Hi = obs[i].Lo
			}
		}
		return obs
	}
	switch id {
	case "cif_melanoma_all":
		return map[string][]Observation{"all": melanoma()}
	case "cif_melanoma_by_ulcer", "cif_melanoma_ulcer_stratified_sex":
		return grouped(melanoma(), "", d.Texts("ulcer"))
	case "cif_bmt_by_group":
		obs := exits(d.Floats("t_dfs"), d.Floats("dfs_event"))
		for i, relapse := range d.Floats("relapse") {
			if obs[i].Exact() {
				obs[i].Cause = 2 - int(relapse)
			}
		}
		return grouped(obs, "", d.Texts("group"))
	}
	t.Fatalf("no recipe for case %s", id)
	return nil
}

func TestAalenJohansenReference(t *testing.T) {
	for _, id := range statstest.IDs(t, "cif_*") {
		c := statstest.Load(t, id)
		groups := cifGroups(t, id, statstest.LoadTable(t, c.Dataset()[0]))
		require.Len(t, groups, len(c.Keys("groups")), id)
		for name, obs := range groups {
			a, err := AalenJohansen(obs, Settings{})
			require.NoError(t, err)
			require.Equal(t, []int{1, 2}, a.Causes)
			c.Near(float64(a.N), "groups", name, "n")
			for k, cause := range []string{"cause_1", "cause_2"} {
				var share, se, free, risk []float64
				for _, time := range c.Floats("groups", name, "time") {
					share = append(share, a.At(k+1, time).Value)
					free = append(free, a.EventFree(time).Value)
					s, _ := a.at(time)
					se = append(se, s.SE[k])
					next := *s
					if s.Time < time { // the pack counts those still at risk at the time asked for
						i := lastAtOrBefore(len(a.Steps), func(i int) float64 { return a.Steps[i].Time }, time)
						next = a.Steps[i+1]
					}
					risk = append(risk, next.AtRisk)
				}
				c.NearAll(share, "groups", name, cause, "cif")
				c.NearAll(se, "groups", name, cause, "se_delta_greenwood")
				c.NearAll(se, "groups", name, cause, "se_infinitesimal_jackknife")
				c.NearAll(aalenSE(t, obs, k, c.Floats("groups", name, "time")), "groups", name, cause, "se_aalen_cmprsk")
				c.NearAll(free, "groups", name, "event_free")
				c.NearAll(risk, "groups", name, "n_risk")
			}
		}
	}
}

func aalenSE(t *testing.T, obs []Observation, k int, times []float64) []float64 {
	a, err := AalenJohansen(obs, Settings{Aalen: true})
	require.NoError(t, err)
	var se []float64
	for _, time := range times {
		s, _ := a.at(time)
		se = append(se, s.SE[k])
	}
	return se
}
