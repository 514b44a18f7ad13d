package power_test

import (
	"fmt"
	"math"

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
