package tail

import "math"

// NormalUpper is P(Z >= z) for the standard normal distribution.
func NormalUpper(z float64) float64 { return 0.5 * math.Erfc(z/math.Sqrt2) }

// NormalLower is P(Z <= z).
func NormalLower(z float64) float64 { return NormalUpper(-z) }

// NormalTwoSided is P(|Z| >= |z|), the two-sided p-value of a z statistic.
func NormalTwoSided(z float64) float64 { return math.Erfc(math.Abs(z) / math.Sqrt2) }

// LogNormalUpper is the natural logarithm of NormalUpper, also where that is too
// small for a float64.
func LogNormalUpper(z float64) float64 {
	switch {
	case z < 0:
		return math.Log1p(-NormalUpper(-z))
	case z < 5:
		return math.Log(NormalUpper(z))
	case math.IsInf(z, 1):
		return math.Inf(-1)
	}
	// Laplace's continued fraction for Mills' ratio: 1/(z + 1/(z + 2/(z + ...))).
	mills := 1 / continuedFraction(z, func(k float64) (num, den float64) { return k, z })
	return -z*z/2 - halfLog2Pi + math.Log(mills)
}

// LogNormalTwoSided is the natural logarithm of NormalTwoSided.
func LogNormalTwoSided(z float64) float64 { return math.Ln2 + LogNormalUpper(math.Abs(z)) }

// NormalQuantile is the z with P(Z <= z) = p.
func NormalQuantile(p float64) float64 {
	if p > 0.5 {
		return NormalUpperQuantile(1 - p)
	}
	return -NormalUpperQuantile(p)
}

// NormalUpperQuantile is the z with P(Z >= z) = q; unlike NormalQuantile(1-q) it
// keeps a small q.
func NormalUpperQuantile(q float64) float64 {
	switch {
	case !(q >= 0 && q <= 1):
		return math.NaN()
	case q == 0:
		return math.Inf(1)
	case q == 0.5:
		return 0
	case q > 0.5:
		return -NormalUpperQuantile(1 - q)
	}
	// Newton on the logarithm of the tail, which is concave: from the bound
	// sqrt(-2 log 2q), beyond the root, the steps fall towards it and never jump
	// over to the far side for good.
	target := math.Log(q)
	z := math.Sqrt(-2 * math.Log(2*q))
	for range 100 {
		l := LogNormalUpper(z)
		slope := math.Exp(-z*z/2 - halfLog2Pi - l) // the hazard, minus the derivative of l
		step := (l - target) / slope
		z += step
		if math.Abs(step) <= 1e-16*math.Abs(z) {
			break
		}
	}
	return z
}
