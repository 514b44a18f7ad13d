package logit_test

import (
	"fmt"
	"log"

	"gravid/stats/logit"
)

// Tries of six keepers with (1) and without (0) a pressure drop.
var drops = logit.Data{
	Names: []string{"pressure drop"},
	X:     [][]float64{{1, 0, 1, 0, 1, 0, 1, 0, 1, 0, 1, 0}},
	Y:     []float64{5, 3, 6, 2, 3, 4, 6, 3, 4, 2, 5, 4},
	N:     []float64{8, 8, 9, 7, 7, 9, 7, 8, 9, 8, 6, 8},
	Group: []int{1, 1, 2, 2, 3, 3, 4, 4, 5, 5, 6, 6},
}

// Standard errors and degrees of freedom for tries of a keeper that are alike.
func ExampleModel_Robust() {
	m, err := logit.Fit(drops, logit.Options{})
	if err != nil {
		log.Fatal(err)
	}
	r, err := m.Robust(drops.Group, logit.CR2)
	if err != nil {
		log.Fatal(err)
	}
	e := r.Interval(0, 0.95)
	fmt.Printf("%.2f (%.2f to %.2f), %.1f degrees of freedom\n", e.Value, e.Lo, e.Hi, r.DF[0])
	// Output:
	// 1.15 (0.30 to 2.00), 4.9 degrees of freedom
}

// A test that needs no estimate: how often would keepers' scores, each with its sign
// drawn by a coin, lie so far from 0?
func ExampleSignFlip() {
	f, err := logit.SignFlip(drops, 0, drops.Group, logit.SignFlipOptions{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("p = %.4f of %d patterns, at least %.4f\n", f.P, f.Patterns, f.Smallest)
	// Output:
	// p = 0.0625 of 32 patterns, at least 0.0312
}

// The same tries compared within keepers, without an intercept for each.
func ExampleFitConditional() {
	c, err := logit.FitConditional(drops, logit.ConditionalOptions{})
	if err != nil {
		log.Fatal(err)
	}
	e := c.Profile(0, 0.95)
	fmt.Printf("%d strata compared: %.2f (%.2f to %.2f)\n", c.Compared, e.Value, e.Lo, e.Hi)
	// Output:
	// 6 strata compared: 1.07 (0.25 to 1.93)
}

// And with keepers' intercepts from a normal distribution.
func ExampleFitRandom() {
	r, err := logit.FitRandom(drops, logit.RandomOptions{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%v: %.2f, keepers spread by %.2f\n", r.Status, r.Coef[0], r.Sigma)
	// Output:
	// boundary: 1.04, keepers spread by 0.00
}

// A dose with three knots: the second column is what bends the curve.
func ExampleRestrictedSpline() {
	s, err := logit.RestrictedSpline([]float64{20, 24, 28})
	if err != nil {
		log.Fatal(err)
	}
	for _, temperature := range []float64{18, 22, 26, 30} {
		fmt.Printf("%.3f\n", s.At(temperature))
	}
	// Output:
	// [18.000 0.000]
	// [22.000 0.125]
	// [26.000 3.125]
	// [30.000 9.000]
}
