// Package adjust corrects p-values for having looked at several questions.
//
// It knows nothing of how the p-values came about, and it is not for choosing
// among cut-points or lags, where the questions are not written down beforehand.
package adjust

import (
	"math"
	"slices"
)

// Holm returns the adjusted p-values of Holm (1979). To reject where they are at
// most alpha keeps the chance of any false rejection at alpha, whatever the
// dependence between the tests.
//
// Like the other functions of this package it returns values in the order given,
// capped at 1. A NaN stands for a test that was not made: it stays NaN and is
// not counted. It panics if a value is outside 0 to 1.
func Holm(p []float64) []float64 {
	out, order := begin(p)
	m := float64(len(order))
	largest := 0.0
	for k, i := range order { // from the smallest p up
		largest = math.Max(largest, math.Min(1, (m-float64(k))*p[i]))
		out[i] = largest
	}
	return out
}

// BenjaminiHochberg returns the adjusted p-values of Benjamini & Hochberg (1995).
// To reject where they are at most q keeps the expected share of false ones among
// the rejections at q, for independent or positively dependent tests.
func BenjaminiHochberg(p []float64) []float64 { return stepUp(p, 1) }

// BenjaminiYekutieli returns the adjusted p-values of Benjamini & Yekutieli
// (2001), which hold under any dependence, at a price of about log m.
func BenjaminiYekutieli(p []float64) []float64 {
	_, order := begin(p)
	harmonic := 0.0
	for k := range order {
		harmonic += 1 / float64(k+1)
	}
	return stepUp(p, harmonic)
}

// stepUp is the minimum of factor m/k p_(k) over the ranks from each p's up.
func stepUp(p []float64, factor float64) []float64 {
	out, order := begin(p)
	m := float64(len(order))
	least := 1.0
	for k := len(order) - 1; k >= 0; k-- {
		i := order[k]
		least = math.Min(least, factor*m/float64(k+1)*p[i])
		out[i] = least
	}
	return out
}

// begin returns a vector of NaN and the places of the p-values in rising order.
func begin(p []float64) (out []float64, order []int) {
	out = make([]float64, len(p))
	for i, v := range p {
		out[i] = math.NaN()
		switch {
		case math.IsNaN(v):
		case v < 0 || v > 1:
			panic("stats/adjust: a p-value must lie between 0 and 1")
		default:
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case p[a] < p[b]:
			return -1
		case p[a] > p[b]:
			return 1
		}
		return 0
	})
	return out, order
}
