package logit_test

import (
	"fmt"
	"log"
	"math"

	"gravid/stats"
	"gravid/stats/logit"
)

// Tries with a weight (like rows counted), a factor of three foods, and an offset: the
// logarithm of how long each try lasted. The test of the food takes its columns
// together.
func ExampleFit() {
	names, food, err := logit.Factor("food ", []string{"dry", "dry", "live", "live", "frozen", "frozen"}, []string{"dry", "frozen", "live"})
	if err != nil {
		log.Fatal(err)
	}
	d := logit.Data{
		Names:   append([]string{"cool refill"}, names...),
		X:       append([][]float64{{0, 1, 0, 1, 0, 1}}, food...),
		Y:       []float64{2, 5, 5, 7, 3, 4},
		N:       []float64{10, 11, 9, 10, 8, 9},
		Offset:  []float64{0, math.Log(1.2), 0, 0, math.Log(0.9), 0},
		Weights: []float64{1, 1, 1, 2, 1, 1},
	}
	m, err := logit.Fit(d, logit.Options{})
	if err != nil {
		log.Fatal(err)
	}
	for j, name := range m.Names {
		e := m.Wald(j, 0.95)
		fmt.Printf("%-12s %5.2f (%5.2f to %4.2f)\n", name, e.Value, e.Lo, e.Hi)
	}
	test := m.LRTest(1, 2)
	fmt.Printf("food: chi-square %.2f with %d degrees of freedom, p = %.2f\n", test.Statistic, test.DF, test.P)
	fmt.Printf("deviance %.2f, AIC %.1f\n", m.Deviance, m.AIC)
	// Output:
	// cool refill   0.62 (-0.43 to 1.66)
	// food frozen   0.49 (-0.85 to 1.84)
	// food live     1.37 ( 0.16 to 2.57)
	// food: chi-square 5.44 with 2 degrees of freedom, p = 0.07
	// deviance 0.36, AIC 26.8
}

// A prior that shrinks slopes a little, for several triggers at once.
func ExampleOptions_logF() {
	m, err := logit.Fit(waterChanges, logit.Options{Penalty: logit.LogF})
	if err != nil {
		log.Fatal(err)
	}
	e := m.Profile(0, 0.95)
	fmt.Printf("%.2f (%.2f to %.2f)\n", e.Value, e.Lo, e.Hi)
	// Output:
	// 4.03 (1.85 to 8.93)
}

// Which columns split the outcomes, before any fit.
func ExampleDetectSeparation() {
	s, err := logit.DetectSeparation(waterChanges)
	if err != nil {
		log.Fatal(err)
	}
	for _, w := range s.Warnings() {
		fmt.Println(w.Text)
	}
	// Output:
	// the outcomes are split (quasi-complete separation) by water change (upwards): the records set no bound on that side, and one attempt that goes the other way would change the figure a lot
}

// A penalty pulls chances towards 1/2; with the intercepts set anew they add up to what
// was seen.
func ExampleModel_Recalibrate() {
	m, err := logit.Fit(waterChanges, logit.Options{Penalty: logit.Firth})
	if err != nil {
		log.Fatal(err)
	}
	sum := func(chances []float64) (all float64) {
		for i, p := range chances {
			all += p * waterChanges.N[i]
		}
		return all
	}
	fmt.Printf("spawned %.0f, foretold %.2f, recalibrated %.2f\n", m.Successes, sum(m.Probabilities()), sum(m.RecalibratedProbabilities()))
	// Output:
	// spawned 36, foretold 35.53, recalibrated 36.00
}

// Two levels of a factor set against each other, and two doses on a curve.
func ExampleModel_Contrast() {
	temperature := []float64{20, 21, 22, 23, 24, 25, 26, 27, 28, 29}
	s, err := logit.RestrictedSpline([]float64{21, 24.5, 28})
	if err != nil {
		log.Fatal(err)
	}
	m, err := logit.Fit(logit.Data{X: s.Basis(temperature), Y: []float64{1, 2, 3, 5, 6, 8, 7, 6, 4, 3}, N: []float64{9, 9, 10, 10, 9, 11, 10, 9, 8, 9}}, logit.Options{})
	if err != nil {
		log.Fatal(err)
	}
	c, err := m.Contrast(s.Difference(25, 20), 0.95)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("25 against 20 °C: log odds ratio %.2f (%.2f to %.2f)\n", c.Value, c.Lo, c.Hi)
	fmt.Printf("does the curve bend? p = %.4f\n", m.LRTest(1).P)
	// Output:
	// 25 against 20 °C: log odds ratio 3.25 (1.47 to 5.04)
	// does the curve bend? p = 0.0005
}

// Leaving one keeper out at a time: the interval, and who matters most.
func ExampleModel_Jackknife() {
	m, err := logit.Fit(drops, logit.Options{Penalty: logit.Firth})
	if err != nil {
		log.Fatal(err)
	}
	keepers, err := m.Jackknife(drops.Group, 0, 0.95)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.2f (%.2f to %.2f)\n", keepers.Value, keepers.Lo, keepers.Hi)
	for k, b := range keepers.Coef {
		fmt.Printf("without keeper %d: %.2f\n", keepers.Clusters[k], b)
	}
	// Output:
	// 1.06 (0.28 to 1.84)
	// without keeper 1: 1.08
	// without keeper 2: 0.97
	// without keeper 3: 1.32
	// without keeper 4: 0.89
	// without keeper 5: 1.11
	// without keeper 6: 1.00
}

// Rows alike within keepers and within weeks of weather.
func ExampleModel_RobustTwoWay() {
	m, err := logit.Fit(drops, logit.Options{})
	if err != nil {
		log.Fatal(err)
	}
	weather := []int{1, 2, 1, 2, 3, 4, 3, 4, 1, 4, 3, 2}
	r, err := m.RobustTwoWay(drops.Group, weather, logit.CR1)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%v: standard error %.2f from the %d clusters of the smaller set\n", r.Status, r.SE[0], r.Clusters)
	// Output:
	// ok: standard error 0.26 from the 4 clusters of the smaller set
}

// The profile interval of a slope and of the spread of the keepers.
func ExampleRandomIntercept_Profile() {
	r, err := logit.FitRandom(logit.Data{
		X:     [][]float64{{1, 0, 1, 0, 1, 0, 1, 0, 1, 0}},
		Y:     []float64{7, 5, 3, 1, 8, 6, 4, 1, 6, 2},
		N:     []float64{8, 8, 8, 8, 9, 8, 9, 9, 8, 7},
		Group: []int{1, 1, 2, 2, 3, 3, 4, 4, 5, 5},
	}, logit.RandomOptions{})
	if err != nil {
		log.Fatal(err)
	}
	e, s := r.Profile(0, 0.95), r.ProfileSigma(0.95)
	fmt.Printf("slope %.2f (%.2f to %.2f)\n", e.Value, e.Lo, e.Hi)
	fmt.Printf("spread of keepers %.2f (%.2f to %.2f)\n", s.Value, s.Lo, s.Hi)
	// Output:
	// slope 1.48 (0.46 to 2.60)
	// spread of keepers 1.06 (0.41 to 2.64)
}

// Steps that only rise with the dose.
func ExampleMonotone() {
	steps, err := logit.Monotone([]float64{1, 2, 3, 4}, []float64{2, 1, 5, 7}, []float64{10, 10, 10, 10}, false)
	if err != nil {
		log.Fatal(err)
	}
	for _, s := range steps {
		fmt.Printf("%g to %g: %.2f\n", s.From, s.To, s.Chance)
	}
	// Output:
	// 1 to 2: 0.15
	// 3 to 3: 0.50
	// 4 to 4: 0.70
}

// Whatever the unrecorded triggers were, the difference lies between these bounds.
func ExampleMissingTriggerBounds() {
	b, err := logit.MissingTriggerBounds(logit.TriggerCounts{WithSuccess: 12, WithFailure: 6, WithoutSuccess: 7, WithoutFailure: 15, MissingSuccess: 2, MissingFailure: 1})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("complete %.2f, bounds %.2f to %.2f\n", b.Complete, b.Lo, b.Hi)
	// Output:
	// complete 0.35, bounds 0.26 to 0.40
}

// How well chances tell successes from failures, and how near they come.
func ExampleAUC() {
	chance := []float64{0.9, 0.8, 0.7, 0.6, 0.55, 0.5, 0.4, 0.3, 0.2, 0.1}
	spawned := []float64{1, 1, 0, 1, 1, 0, 1, 0, 0, 0}
	a, err := logit.AUC(chance, spawned, 0.95)
	if err != nil {
		log.Fatal(err)
	}
	s, err := logit.Score(chance, spawned)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("AUC %.2f (%.2f to %.2f), Brier %.3f\n", a.Value, a.Lo, a.Hi, s.Brier)
	c, err := logit.Calibrate(chance, spawned, 3, logit.Type7)
	if err != nil {
		log.Fatal(err)
	}
	for _, g := range c.Groups {
		fmt.Printf("%.2f to %.2f: %.0f of %d, foretold %.1f\n", g.From, g.To, g.Observed, g.N, g.Expected)
	}
	// Output:
	// AUC 0.84 (0.57 to 1.11), Brier 0.165
	// 0.10 to 0.40: 1 of 4, foretold 1.0
	// 0.40 to 0.60: 2 of 3, foretold 1.6
	// 0.60 to 0.90: 2 of 3, foretold 2.4
}

// How strongly something unrecorded would have to be linked with both.
func ExampleEValueOf() {
	e := logit.EValueOf(stats.Estimate{Value: math.Log(4), Lo: math.Log(1.5), Hi: math.Log(10.7), Status: stats.OK}, true)
	fmt.Printf("%.2f for the estimate, %.2f for the nearer end\n", e.Point, e.Limit)
	// Output:
	// 3.41 for the estimate, 1.75 for the nearer end
}

// How much wider an interval is for columns that move together.
func ExampleModel_VarianceInflation() {
	m, err := logit.Fit(logit.Data{
		Names: []string{"temperature", "month"},
		X:     [][]float64{{20, 21, 23, 24, 26, 27, 25, 23}, {1, 2, 3, 4, 5, 6, 7, 8}},
		Y:     []float64{2, 3, 3, 5, 6, 6, 7, 5}, N: []float64{8, 8, 8, 8, 8, 8, 8, 8},
	}, logit.Options{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.2f, condition index %.1f\n", m.VarianceInflation(), m.Identifiability.ConditionIndex)
	// Output:
	// [1.75 1.75], condition index 2.3
}
