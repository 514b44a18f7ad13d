package power

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats/internal/statstest"
)

// Groups of unequal size. R 4.2.2, Hmisc 4.8-0: bsamsize(.3, .5, fraction = 1/3, alpha =
// .05, power = .8), bsamsize(.2, .25, fraction = .6, alpha = .01, power = .9), bpower(.3,
// .5, n1 = 40, n2 = 80). One-sided: power.prop.test(p1 = .3, p2 = .5, power = .8,
// alternative = "one.sided"), good to its search (1e-4).
func TestUnequalGroups(t *testing.T) {
	c := TwoProportions{P1: 0.3, P2: 0.5, Ratio: 2, Test: Test{Alpha: 0.05}}
	statstest.Near(t, 70.2776139035604, c.Size(0.8), 1e-10, "twice as many in the second group")
	statstest.Near(t, 0.551835058057014, c.PowerEitherWay(40), 1e-10, "power")
	statstest.Near(t, 0.8, c.Power(c.Size(0.8)), 1e-12, "there and back")
	d := TwoProportions{P1: 0.2, P2: 0.25, Ratio: 2. / 3, Test: Test{Alpha: 0.01}}
	statstest.Near(t, 2577.41180750837, d.Size(0.9), 1e-10, "fewer in the second group")
	// Naming the groups the other way round changes nothing.
	e := TwoProportions{P1: 0.25, P2: 0.2, Ratio: 1.5, Test: d.Test}
	statstest.Near(t, d.Size(0.9)*2/3, e.Size(0.9), 1e-12, "turned")
	statstest.Near(t, d.SizeCorrected(0.9)*2/3, e.SizeCorrected(0.9), 1e-12, "turned, corrected")
	require.Greater(t, d.SizeCorrected(0.9), d.Size(0.9))
	one := TwoProportions{P1: 0.3, P2: 0.5, Test: Test{Alpha: 0.05, Sides: 1}}
	statstest.Near(t, 73.136987420095, one.Size(0.8), 1e-4, "one-sided")
}

// Arguments of every odd kind give NaN or a number in range, and nothing panics.
func TestWildPlansAreAnswered(t *testing.T) {
	odd := []float64{math.NaN(), math.Inf(-1), -1, 0, 1e-300, 0.05, 0.5, 1, 2, 1e300, math.Inf(1)}
	numbers := 0
	check := func(v float64, size bool) {
		t.Helper()
		if math.IsNaN(v) {
			return
		}
		numbers++
		require.GreaterOrEqual(t, v, 0.0)
		if !size {
			require.LessOrEqual(t, v, 1+1e-12)
		}
	}
	for _, a := range odd {
		for _, b := range odd {
			for _, c := range odd {
				for _, sides := range []int{0, 1, 2, 3} {
					test := Test{Alpha: c, Sides: sides}
					two := TwoProportions{P1: a, P2: b, Test: test}
					check(two.Power(c), false)
					check(two.PowerEitherWay(a), false)
					check(two.PowerArcsine(b, c), false)
					check(two.Size(c), true)
					check(two.SizeCorrected(b), true)
					two.Ratio = a
					check(two.Size(0.8), true)
					check(two.Power(50), false)
					dose := LogisticDose{P: a, OddsRatio: b, R2: c, Test: test}
					check(dose.Power(100), false)
					check(dose.Size(0.8), true)
					trigger := LogisticTrigger{P0: a, P1: b, Share: c, Test: test}
					check(trigger.Power(100), false)
					check(trigger.Size(0.8), true)
					trigger = LogisticTrigger{P0: 0.2, P1: a, Share: 0.5, R2: b, Test: Test{Alpha: 0.05}}
					check(trigger.Size(c), true)
					check(Events(a, b, c, Test{Alpha: 0.05}), true)
					check(Events(2, 0.5, a, test), true)
				}
			}
		}
	}
	require.Greater(t, numbers, 1000)
}
