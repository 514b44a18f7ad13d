package power

import (
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats/internal/statstest"
)

// R 4.2.2 (power.prop.test, pwr 1.3-0): see stats/testdata/reference/SOURCES.md.
func TestTwoProportionsReference(t *testing.T) {
	c := statstest.Load(t, "power_two_proportions")
	p1, p2, n, alpha, power := c.Floats("p1"), c.Floats("p2"), c.Floats("n"), c.Floats("alpha"), c.Floats("power")
	got := map[string][]float64{}
	for i := range p1 {
		two := TwoProportions{P1: p1[i], P2: p2[i], Test: Test{Alpha: alpha[i]}}
		one := TwoProportions{P1: p1[i], P2: p2[i], Test: Test{Alpha: alpha[i], Sides: 1}}
		for name, v := range map[string]float64{
			"power_two_sided": two.Power(n[i]), "power_two_sided_strict": two.PowerEitherWay(n[i]), "power_one_sided": one.Power(n[i]),
			"n_per_group": two.Size(power[i]), "n_per_group_continuity_fleiss": two.SizeCorrected(power[i]),
			"cohen_h": two.EffectSize(), "power_arcsine": two.PowerArcsine(n[i], n[i]), "power_arcsine_n2_half": two.PowerArcsine(n[i], math.Ceil(n[i]/2)),
		} {
			got[name] = append(got[name], v)
		}
		statstest.Near(t, power[i], two.Power(two.Size(power[i])), 1e-10, "power at that size")
		require.Equal(t, one.Power(n[i]), one.PowerEitherWay(n[i]))
	}
	for name, v := range got {
		c.NearAll(v, name)
	}
}

// R 4.2.2, the formulas of Hsieh, Bloch & Larsen (1998).
func TestHsiehReference(t *testing.T) {
	c := statstest.Load(t, "power_hsieh1998")
	dose := statstest.LoadTable(t, "power_hsieh_continuous")
	var size, one, power []float64
	for i := range dose.Len() {
		d := LogisticDose{dose.Floats("p1")[i], dose.Floats("or_per_sd")[i], dose.Floats("r2")[i], Test{Alpha: dose.Floats("alpha")[i]}}
		size, power = append(size, d.Size(dose.Floats("power")[i])), append(power, d.Power(dose.Floats("n")[i]))
		statstest.Near(t, dose.Floats("power")[i], d.Power(size[i]), 1e-10, "power at that size")
		d.Test.Sides = 1
		one = append(one, d.Size(dose.Floats("power")[i]))
	}
	c.NearAll(size, "continuous_n")
	c.NearAll(one, "continuous_n_one_sided")
	c.NearAll(power, "continuous_power_at_n")
	trigger := statstest.LoadTable(t, "power_hsieh_binary")
	size, power = nil, nil
	for i := range trigger.Len() {
		d := LogisticTrigger{trigger.Floats("p1")[i], trigger.Floats("p2")[i], trigger.Floats("B")[i], trigger.Floats("r2")[i], Test{Alpha: trigger.Floats("alpha")[i]}}
		size, power = append(size, d.Size(trigger.Floats("power")[i])), append(power, d.Power(trigger.Floats("n")[i]))
	}
	c.NearAll(size, "binary_n")
	c.NearAll(power, "binary_power_at_n")
}

// R 4.2.2, the formulas of Schoenfeld (1981) and Kish (1965).
func TestEventsReference(t *testing.T) {
	c := statstest.Load(t, "power_schoenfeld_design_effect")
	for _, i := range []string{"0", "1", "2"} {
		at := func(key string) float64 { return c.Float("schoenfeld", i, key) }
		c.Near(Events(at("hr"), at("allocation"), at("power"), Test{Alpha: at("alpha")}), "schoenfeld", i, "events")
	}
	for _, i := range []string{"0", "1"} {
		c.Near(DesignEffect(c.Float("design_effect", i, "cluster_size"), c.Float("design_effect", i, "icc")), "design_effect", i, "deff")
	}
}

// R 4.2.2, by enumeration with fisher.test.
func TestEnumerateReference(t *testing.T) {
	c := statstest.Load(t, "power_exact_enumeration")
	for _, i := range []string{"0", "1", "2"} {
		at := func(key string) float64 { return c.Float("cases", i, key) }
		e := Enumerate(int(at("n1")), int(at("n2")), at("p1"), at("p2"), at("alpha"))
		c.Near(e.Pearson, "cases", i, "pearson_chisq")
		c.Near(e.Fisher, "cases", i, "fisher_two_sided")
		c.Near(e.Wald, "cases", i, "wald_log_odds_not_counting_separated_tables")
		c.Near(e.Empty, "cases", i, "prob_separated_table")
	}
}

// Swapping the groups or the outcomes changes nothing; the exact test holds its
// level whatever the chance.
func TestEnumerateLaws(t *testing.T) {
	a, b, c := Enumerate(9, 14, 0.2, 0.6, 0.05), Enumerate(14, 9, 0.6, 0.2, 0.05), Enumerate(9, 14, 0.8, 0.4, 0.05)
	for _, other := range []Exact{b, c} {
		statstest.Near(t, a.Pearson, other.Pearson, 1e-10, "pearson")
		statstest.Near(t, a.Fisher, other.Fisher, 1e-10, "fisher")
		statstest.Near(t, a.Wald, other.Wald, 1e-10, "wald")
	}
	for p := 0.0; p <= 1; p += 0.05 {
		require.LessOrEqual(t, Enumerate(12, 7, p, p, 0.05).Fisher, 0.05)
	}
	require.Panics(t, func() { Enumerate(0, 3, 0.1, 0.2, 0.05) })
	require.True(t, math.IsNaN(Enumerate(3, 3, 0.1, 2, 0.05).Fisher))
}

func TestOutsideTheRange(t *testing.T) {
	for _, v := range []float64{
		TwoProportions{P1: 0.2, P2: 0.2, Test: Test{Alpha: 0.05}}.Size(0.8), TwoProportions{P1: 0, P2: 0.2, Test: Test{Alpha: 0.05}}.Power(10), TwoProportions{P1: 0.1, P2: 0.2, Test: Test{Alpha: 0.05, Sides: 3}}.Power(10),
		TwoProportions{P1: 0.1, P2: 0.2, Test: Test{Alpha: 0.05}}.Size(1), LogisticDose{P: 0.2, OddsRatio: 1, Test: Test{Alpha: 0.05}}.Size(0.8),
		LogisticDose{P: 0.2, OddsRatio: 2, R2: 1, Test: Test{Alpha: 0.05}}.Power(50), LogisticTrigger{P0: 0.2, P1: 0.2, Share: 0.5, Test: Test{Alpha: 0.05}}.Size(0.8),
		Events(1, 0.5, 0.8, Test{Alpha: 0.05}), DesignEffect(0, 0.1), TwoProportions{P1: 0.1, P2: 0.2, Test: Test{Alpha: 0.05}}.PowerArcsine(0, 3),
	} {
		require.True(t, math.IsNaN(v))
	}
}

// A simulation of Pearson's test finds the power that enumeration gives, counts
// failures against it, and does not depend on the number of processors.
func TestSimulate(t *testing.T) {
	run := func(rng *rand.Rand) Outcome {
		draw := func(n int, p float64) int {
			k := 0
			for range n {
				if rng.Float64() < p {
					k++
				}
			}
			return k
		}
		x, y := draw(15, 0.1), draw(20, 0.4)
		switch {
		case x == 0 || x == 15 || y == 0 || y == 20:
			return Failed
		case math.Abs(wald(float64(x), float64(15-x), float64(y), float64(20-y))) > 1.959963984540054:
			return Seen
		}
		return NotSeen
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	s, err := Simulate(20000, 7, 0.999, run)
	require.NoError(t, err)
	exact := Enumerate(15, 20, 0.1, 0.4, 0.05)
	require.LessOrEqual(t, s.Power.Lo, exact.Wald)
	require.GreaterOrEqual(t, s.Power.Hi, exact.Wald)
	require.InDelta(t, exact.Empty, float64(s.Failed)/20000, 0.012)
	require.Equal(t, "failed-runs", s.Power.Warnings[0].Code)
	runtime.GOMAXPROCS(8)
	again, err := Simulate(20000, 7, 0.999, run)
	require.NoError(t, err)
	s.Power.Attained, again.Power.Attained = 0, 0 // NaN, which equals nothing
	require.Equal(t, s, again)
	_, err = Simulate(0, 1, 0, run)
	require.EqualError(t, err, "the number of runs must be positive, not 0")
	none, err := Simulate(5, 1, 0, func(*rand.Rand) Outcome { return Failed })
	require.NoError(t, err)
	require.Zero(t, none.Power.Value)
	// Clopper-Pearson, 0 of 5: 1 - .025^(1/5)
	statstest.Near(t, 1-math.Pow(0.025, 0.2), none.Power.Hi, 1e-12, "upper end")
}

func BenchmarkEnumerate(b *testing.B) {
	for b.Loop() {
		Enumerate(60, 60, 0.2, 0.4, 0.05)
	}
}
