package tail_test

import (
	"fmt"
	"math"

	"gravid/stats/tail"
)

// A z of 9 is nothing to 1 - CDF, and a respectable p-value here.
func ExampleNormalTwoSided() {
	naive := 2 * (1 - 0.5*(1+math.Erf(9/math.Sqrt2)))
	fmt.Printf("%.3g %.3g\n", naive, tail.NormalTwoSided(9))
	// Output: 0 2.26e-19
}

// The 95% interval of a mean of 8 clutches uses the t distribution with 7
// degrees of freedom.
func ExampleStudentUpperQuantile() {
	fmt.Printf("%.4f\n", tail.StudentUpperQuantile(0.025, 7))
	// Output: 2.3646
}

// No spawn in 14 attempts: the largest spawning chance for which that happens
// in at least one series of 20.
func ExampleBetaQuantile() {
	fmt.Printf("%.3f\n", tail.BetaQuantile(0.95, 1, 14))
	// Output: 0.193
}
