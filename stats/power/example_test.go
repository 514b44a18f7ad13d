package power_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gravid/stats/power"
)

// Attempts needed to tell 25 from 45 spawnings in 100, when keepers use the trigger
// in four of ten attempts.
func ExampleLogisticTrigger() {
	plan := power.LogisticTrigger{P0: 0.25, P1: 0.45, Share: 0.4, Test: power.Test{Alpha: 0.05}}
	fmt.Println(math.Ceil(plan.Size(0.8)), "attempts")
	fmt.Printf("%.2f\n", plan.Power(80))
	// Output:
	// 182 attempts
	// 0.46
}

// Two groups, the second twice as large, in a one-sided plan.
func ExampleTwoProportions() {
	plan := power.TwoProportions{P1: 0.3, P2: 0.5, Ratio: 2, Test: power.Test{Alpha: 0.05, Sides: 1}}
	n := math.Ceil(plan.SizeCorrected(0.8))
	fmt.Printf("%.0f and %.0f attempts, power %.2f\n", n, 2*n, plan.Power(n))
	// Output:
	// 63 and 126 attempts, power 0.85
}

// A dose that about doubles the odds for each standard deviation, one quarter of it known
// from the other columns.
func ExampleLogisticDose() {
	plan := power.LogisticDose{P: 0.4, OddsRatio: 2, R2: 0.25, Test: power.Test{Alpha: 0.05}}
	fmt.Println(math.Ceil(plan.Size(0.9)), "attempts")
	// Output:
	// 122 attempts
}

// What the tests really do with so few attempts, over all outcomes.
func ExampleEnumerate() {
	e := power.Enumerate(12, 12, 0.2, 0.7, 0.05)
	fmt.Printf("chi-square %.2f, Fisher %.2f, Wald %.2f; an empty cell in %.2f\n", e.Pearson, e.Fisher, e.Wald, e.Empty)
	// Output:
	// chi-square 0.77, Fisher 0.61, Wald 0.69; an empty cell in 0.08
}

// The power of the analysis that is planned, whatever it is: here whether the chance of a
// spawning differs by more than two standard errors. A run without an answer counts as
// one that saw nothing.
func ExampleSimulate() {
	s, err := power.Simulate(2000, 1, 0.95, func(rng *rand.Rand) power.Outcome {
		const n = 30
		with, without := 0.0, 0.0
		for range n {
			if rng.Float64() < 0.6 {
				with++
			}
			if rng.Float64() < 0.3 {
				without++
			}
		}
		p, q := with/n, without/n
		se := math.Sqrt(p*(1-p)/n + q*(1-q)/n)
		switch {
		case se == 0:
			return power.Failed
		case math.Abs(p-q) > 2*se:
			return power.Seen
		}
		return power.NotSeen
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f (%.2f to %.2f), %d failed\n", s.Power.Value, s.Power.Lo, s.Power.Hi, s.Failed)
	// Output:
	// 0.66 (0.64 to 0.68), 0 failed
}
