package logit_test

import (
	"fmt"
	"log"

	"gravid/stats/logit"
)

// Spawning attempts of four keepers, with (1) and without (0) a water change the
// day before. After a water change no attempt failed.
var waterChanges = logit.Data{
	Names: []string{"water change"},
	X:     [][]float64{{1, 0, 1, 0, 1, 0, 1, 0}},
	Y:     []float64{5, 3, 6, 2, 4, 4, 7, 5}, // spawned
	N:     []float64{5, 8, 6, 7, 4, 6, 7, 9}, // attempts
	Group: []int{1, 1, 2, 2, 3, 3, 4, 4},     // keeper
}

// Maximum likelihood has no answer to a trigger that never failed, and says so
// before it fits anything.
func ExampleFit_separated() {
	m, err := logit.Fit(waterChanges, logit.Options{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(m.Status, m.Coef[0])
	for _, c := range m.Separation.Columns {
		fmt.Println(m.Separation.Kind, c.Name, c.Direction)
	}
	// Output:
	// separated NaN
	// quasi-complete water change 1
}

// The penalty gives a finite estimate, and the profile an interval for it.
func ExampleModel_Profile() {
	m, err := logit.Fit(waterChanges, logit.Options{Penalty: logit.Firth})
	if err != nil {
		log.Fatal(err)
	}
	e := m.Profile(0, 0.95)
	fmt.Printf("%v: %.2f (%.2f to %.2f), p = %.2g\n", e.Status, e.Value, e.Lo, e.Hi, m.LRTest(0).P)
	// Output: ok: 3.91 (1.77 to 8.79), p = 1.1e-05
}

// From the log odds ratio to attempts in a hundred: the wider of the profile and
// the leave-one-keeper-out interval, averaged over the attempts as recorded.
func ExampleModel_RiskDifference() {
	m, err := logit.Fit(waterChanges, logit.Options{Penalty: logit.Firth})
	if err != nil {
		log.Fatal(err)
	}
	keepers, err := m.Jackknife(waterChanges.Group, 0, 0.95)
	if err != nil {
		log.Fatal(err)
	}
	slope := logit.Envelope(m.Profile(0, 0.95), keepers.Estimate)
	r := m.RiskDifference(0, 0, 1, slope.Estimate)
	fmt.Printf("%.0f of 100 with a water change, %.0f without: %.0f more (%.0f to %.0f)\n",
		100*r.P1, 100*r.P0, 100*r.Value, 100*r.Lo, 100*r.Hi)
	// Output: 98 of 100 with a water change, 48 without: 49 more (32 to 54)
}

// A column that repeats another in a different unit is named.
func ExampleIdentify() {
	d := logit.Data{
		Names: []string{"celsius", "fahrenheit", "keeper"},
		X:     [][]float64{{24, 25, 26, 25}, {75.2, 77, 78.8, 77}, {3, 3, 3, 3}},
		Y:     []float64{1, 0, 1, 0},
	}
	id, err := logit.Identify(d)
	if err != nil {
		log.Fatal(err)
	}
	for _, w := range id.Warnings() {
		fmt.Printf("%s: %s\n", w.Code, w.Text)
	}
	// Output:
	// constant: keeper never varied in these records, so nothing can be said about it
	// aliased: fahrenheit and celsius always happened together, so the records cannot tell them apart
}

// An odds ratio of 4 (1.5 to 10.7) for an outcome that is common.
func ExampleEValueOfRatio() {
	fmt.Printf("%.2f\n", logit.EValueOfRatio(2)) // the square root of 4
	// Output: 3.41
}
