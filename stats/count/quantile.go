package count

import (
	"math"
	"slices"
)

// Quantile returns the number below which a share p of x lies: linear between
// order statistics, with p = 0 the smallest and p = 1 the largest (type 7 of
// Hyndman & Fan 1996, R's default). It is NaN for an empty x, for an x with a
// NaN in it and for a p outside 0 to 1. x is left as it is.
func Quantile(x []float64, p float64) float64 {
	if len(x) == 0 || !(p >= 0 && p <= 1) || slices.ContainsFunc(x, math.IsNaN) {
		return math.NaN()
	}
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	at := p * float64(len(x)-1)
	below := math.Floor(at)
	i := int(below)
	if i == len(x)-1 || sorted[i] == sorted[i+1] {
		return sorted[i]
	}
	return sorted[i] + (at-below)*(sorted[i+1]-sorted[i])
}

// Median is the Quantile for one half.
func Median(x []float64) float64 { return Quantile(x, 0.5) }
