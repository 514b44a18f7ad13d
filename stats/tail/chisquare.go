package tail

import "math"

// ChiSquareUpper is P(X >= x) for chi-square with df degrees of freedom.
func ChiSquareUpper(x, df float64) float64 { return math.Exp(LogChiSquareUpper(x, df)) }

// LogChiSquareUpper is the natural logarithm of ChiSquareUpper.
func LogChiSquareUpper(x, df float64) float64 {
	_, upper := logGammaTails(df/2, math.Max(x, 0)/2)
	return upper
}

// ChiSquareLower is P(X <= x) for chi-square with df degrees of freedom.
func ChiSquareLower(x, df float64) float64 {
	lower, _ := logGammaTails(df/2, math.Max(x, 0)/2)
	return math.Exp(lower)
}

// ChiSquareQuantile is the x with P(X <= x) = p.
func ChiSquareQuantile(p, df float64) float64 { return 2 * GammaQuantile(p, df/2) }

// ChiSquareUpperQuantile is the x with P(X >= x) = q; unlike
// ChiSquareQuantile(1-q, df) it keeps a small q.
func ChiSquareUpperQuantile(q, df float64) float64 { return 2 * GammaUpperQuantile(q, df/2) }
