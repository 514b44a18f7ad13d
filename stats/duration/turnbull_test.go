package duration

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// turnbullGroups builds the groups of a Turnbull case as its "call" says.
func turnbullGroups(t *testing.T, id string, d *statstest.Table) map[string][]Observation {
	switch id {
	case "turnbull_breast_cosmesis":
		groups := grouped(between(d.Floats("left"), d.Floats("right")), "", d.Texts("treat"))
		groups["pooled"] = between(d.Floats("left"), d.Floats("right"))
		return groups
	case "turnbull_baboon_left_censored":
		var obs []Observation
		observed := d.Floats("observed")
		for i, time := range d.Floats("time") {
			obs = append(obs, Observation{Span: Span{observed[i] * time, time}})
		}
		return map[string][]Observation{"all": obs}
	case "turnbull_turbine_current_status":
		return map[string][]Observation{"all": turbines(d)}
	}
	t.Fatalf("no recipe for case %s", id)
	return nil
}

// between makes intervals; an empty right end is NaN and means right-censored.
func between(left, right []float64) []Observation {
	obs := make([]Observation, len(left))
	for i := range left {
		obs[i].Span = Span{left[i], right[i]}
		if math.IsNaN(right[i]) {
			obs[i].Hi = math.Inf(1)
		}
	}
	return obs
}

// turbines are wheels inspected once, failed or not.
func turbines(d *statstest.Table) []Observation {
	var obs []Observation
	inspected, failed := d.Floats("inspected"), d.Floats("failed")
	for i, h := range d.Floats("hours") {
		if failed[i] > 0 {
			obs = append(obs, Observation{Span: Span{0, h}, Weight: failed[i]})
		}
		if inspected[i] > failed[i] {
			obs = append(obs, Observation{Span: Span{h, math.Inf(1)}, Weight: inspected[i] - failed[i]})
		}
	}
	return obs
}

func TestTurnbullReference(t *testing.T) {
	for _, id := range statstest.IDs(t, "turnbull_*") {
		c := statstest.Load(t, id)
		groups := turnbullGroups(t, id, statstest.LoadTable(t, c.Dataset()[0]))
		require.Len(t, groups, len(c.Keys("groups")), id)
		for name, obs := range groups {
			got, err := Turnbull(obs, Settings{})
			require.NoError(t, err)
			require.Equal(t, stats.OK, got.Status, name)
			c.Near(float64(got.N), "groups", name, "n")
			var lo, hi, mass, after []float64
			for _, s := range got.Stretches {
				lo, hi, mass, after = append(lo, s.Lo), append(hi, s.Hi), append(mass, s.Mass), append(after, s.Survival)
			}
			c.NearAll(lo, "groups", name, "innermost_left")
			c.NearAll(hi, "groups", name, "innermost_right")
			c.NearAll(mass, "groups", name, "mass")
			c.NearAll(after, "groups", name, "surv_after_interval")
			c.Near(got.LogLik, "groups", name, "loglik")
			require.Equal(t, c.Bool("groups", name, "mass_unique"), len(got.Warnings) == 0)
			var at []float64
			for _, time := range c.Floats("groups", name, "surv_at", "time") {
				at = append(at, got.At(time).Value)
			}
			c.NearAll(at, "groups", name, "surv_at", "surv")
		}
	}
}
