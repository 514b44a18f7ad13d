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
