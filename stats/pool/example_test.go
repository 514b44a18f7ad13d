package pool_test

import (
	"fmt"

	"gravid/stats/pool"
)

// Log odds ratios of one trigger in five species, with their variances.
func ExampleRandom() {
	p, err := pool.Random([]float64{0.9, 0.2, 0.6, 1.1, 0.4}, []float64{0.10, 0.08, 0.15, 0.20, 0.05}, pool.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("mean %.2f (%.2f to %.2f)\n", p.Modified.Value, p.Modified.Lo, p.Modified.Hi)
	fmt.Printf("a new species %.2f to %.2f\n", p.Prediction.HigginsT.Lo, p.Prediction.HigginsT.Hi)
	// Output:
	// mean 0.55 (0.13 to 0.97)
	// a new species -0.06 to 1.16
}

// The same estimate from four copies of the records, each with the missing values filled
// in anew; the complete records would give 30 degrees of freedom.
func ExampleImpute() {
	m, err := pool.Impute([]float64{0.52, 0.61, 0.44, 0.58}, []float64{0.040, 0.043, 0.039, 0.041}, 30, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f (%.2f to %.2f), %.0f %% of the variance through what is missing\n", m.Value, m.Lo, m.Hi, 100*m.MissingShare)
	// Output:
	// 0.54 (0.08 to 0.99), 16 % of the variance through what is missing
}

// From counts with and without a trigger in three species to estimates that can be
// pooled.
func ExampleLogOddsRatio() {
	var y, v []float64
	for _, c := range [][2]pool.Counts{{{12, 8}, {7, 13}}, {{9, 3}, {6, 9}}, {{15, 10}, {9, 12}}} {
		e, err := pool.LogOddsRatio(c[0], c[1])
		if err != nil {
			fmt.Println(err)
			return
		}
		y, v = append(y, e.Value), append(v, e.Variance)
	}
	p, err := pool.Random(y, v, pool.Options{Spread: pool.PauleMandel})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f, standard error %.2f, one-sided p = %.3f\n", p.Wald.Value, p.Wald.SE, p.Wald.OneSided(true))
	// Output:
	// 0.99, standard error 0.39, one-sided p = 0.006
}
