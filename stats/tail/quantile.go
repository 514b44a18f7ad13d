package tail

import (
	"math"

	"gravid/stats/internal/root"
)

// positiveQuantile finds the x >= 0 at which a distribution on the positive
// half-line has lower tail p and upper tail q = 1 - p, given the logarithms of
// its tails. bad says that a parameter is outside its domain.
//
// The root is looked for in log x and in the logarithm of the smaller tail,
// where every one of these distributions is nearly straight at both ends.
func positiveQuantile(p, q float64, bad bool, logTails func(x float64) (lower, upper float64)) float64 {
	switch {
	case bad || !(p >= 0 && p <= 1 && q >= 0 && q <= 1):
		return math.NaN()
	case p == 0:
		return 0
	case q == 0:
		return math.Inf(1)
	}
	gap := func(u float64) float64 { // rises with u, 0 at the quantile
		lower, upper := logTails(math.Exp(u))
		if p < q {
			return lower - math.Log(p)
		}
		return math.Log(q) - upper
	}
	const smallest, largest = -700.0, 709.0 // about the logarithms of the range of a float64
	lo, hi := -1.0, 1.0
	for gap(lo) > 0 {
		if lo == smallest {
			return 0
		}
		hi, lo = lo, math.Max(2*lo, smallest)
	}
	for gap(hi) < 0 {
		if hi == largest {
			return math.Inf(1)
		}
		lo, hi = hi, math.Min(2*hi, largest)
	}
	return math.Exp(root.Between(gap, lo, hi, 1e-16))
}
