package tail

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// LargestUpper is the chance that the largest of several |t| exceeds x, where each t is
// the length of one random point of the plane along one direction, over a spread that all
// share: contrasts of two estimated slopes, with df degrees of freedom (infinite for the
// normal distribution). angles are those of the directions, in radians, where the two
// slopes have been scaled to be independent with the same spread; a direction and its
// opposite are one.
//
// The point's distance from the middle exceeds r with chance (1 + r²/df)^(-df/2), or
// exp(-r²/2), whatever its own angle; the largest |t| is that distance times the cosine
// of the angle to the nearest direction, so the chance is an integral over angles (the
// two-dimensional case of Dunnett & Sobel 1954).
func LargestUpper(x, df float64, angles []float64) float64 {
	if math.IsNaN(x) || !(df > 0) || len(angles) == 0 || slices.ContainsFunc(angles, math.IsNaN) {
		return math.NaN()
	}
	if x <= 0 {
		return 1
	}
	total := 0.0
	for _, half := range halfGaps(angles) {
		if half > 0 {
			total += 2 * quad.Fixed(func(phi float64) float64 { return beyond(x/math.Cos(phi), df) }, 0, half, 60, nil, 0)
		}
	}
	return total / math.Pi
}

// LargestUpperQuantile is the x that LargestUpper exceeds with chance q, of 0 to 1.
func LargestUpperQuantile(q, df float64, angles []float64) float64 {
	bad := len(angles) == 0 || slices.ContainsFunc(angles, math.IsNaN)
	return positiveQuantile(1-q, q, bad || !(df > 0), func(x float64) (float64, float64) {
		upper := LargestUpper(x, df, angles)
		return math.Log1p(-upper), math.Log(upper)
	})
}

// beyond is the chance of a distance above r.
func beyond(r, df float64) float64 {
	if math.IsInf(df, 1) {
		return math.Exp(-r * r / 2)
	}
	return math.Exp(-df / 2 * math.Log1p(r*r/df))
}

// halfGaps are half the angles between neighbouring directions, around half the circle.
func halfGaps(angles []float64) []float64 {
	turned := make([]float64, len(angles))
	for i, a := range angles {
		turned[i] = math.Mod(math.Mod(a, math.Pi)+math.Pi, math.Pi)
	}
	slices.Sort(turned)
	gaps := make([]float64, len(turned))
	for i, a := range turned {
		next := turned[0] + math.Pi
		if i+1 < len(turned) {
			next = turned[i+1]
		}
		gaps[i] = (next - a) / 2
	}
	return gaps
}
