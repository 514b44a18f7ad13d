package count

import (
	"fmt"
	"math"
	"slices"
)

// Quantile returns the number below which a share p of x lies: linear between
// order statistics, with p = 0 the smallest and p = 1 the largest (type 7 of
// Hyndman & Fan 1996, R's default). It is NaN for an empty x, for an x with a
// NaN in it and for a p outside 0 to 1. x is left as it is.
func Quantile(x []float64, p float64) float64 { return QuantileOfType(x, p, 7) }

// QuantileOfType is Quantile by any of the nine definitions of Hyndman & Fan
// (1996): 1 to 3 give numbers that occur (2 the mean of two), 4 to 9 lie between
// them; 6 makes expected shares right, 8 medians whatever the distribution. It
// panics if there is no such type.
func QuantileOfType(x []float64, p float64, kind int) float64 {
	if kind < 1 || kind > 9 {
		panic(fmt.Sprintf("count: quantile type %d", kind))
	}
	if len(x) == 0 || !(p >= 0 && p <= 1) || slices.ContainsFunc(x, math.IsNaN) {
		return math.NaN()
	}
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	rank, share := quantileRank(float64(len(x)), p, kind)
	at := func(k float64) float64 { return sorted[int(math.Min(math.Max(k, 1), float64(len(x))))-1] }
	if lo, hi := at(rank), at(rank+1); share > 0 && lo != hi {
		return lo + share*(hi-lo)
	}
	return at(rank)
}

// quantileRank returns the order statistic, from 1, and how far on the way to
// the next the quantile lies.
func quantileRank(n, p float64, kind int) (rank, share float64) {
	const fuzz = 4 * 2.220446049250313e-16 // a product that misses a whole number by a rounding error is one
	if kind <= 3 {
		at := n * p
		if kind == 3 {
			at -= 0.5
		}
		rank = math.Floor(at + fuzz)
		above := at-rank > fuzz
		switch {
		case above && kind < 3, kind == 3 && (above || math.Mod(rank, 2) == 1):
			share = 1
		case kind == 2:
			share = 0.5
		}
		return rank, share
	}
	a := [...]float64{4: 0, 5: 0.5, 6: 0, 7: 1, 8: 1.0 / 3, 9: 3.0 / 8}[kind]
	b := a
	if kind == 4 {
		b = 1
	}
	at := a + p*(n+1-a-b)
	rank = math.Floor(at + fuzz)
	if share = at - rank; math.Abs(share) < fuzz {
		share = 0
	}
	return rank, share
}

// Median is the Quantile for one half.
func Median(x []float64) float64 { return Quantile(x, 0.5) }
