package tail

import "math"

// FUpper is P(F >= f) for the F distribution with d1 and d2 degrees of freedom;
// d2 may be infinite (chi-square over d1).
func FUpper(f, d1, d2 float64) float64 {
	_, upper := logFTails(f, d1, d2)
	return math.Exp(upper)
}

// FLower is P(F <= f) for the F distribution with d1 and d2 degrees of freedom;
// d2 may be infinite.
func FLower(f, d1, d2 float64) float64 {
	lower, _ := logFTails(f, d1, d2)
	return math.Exp(lower)
}

func logFTails(f, d1, d2 float64) (lower, upper float64) {
	f = math.Max(f, 0)
	if math.IsInf(d2, 1) {
		return logGammaTails(d1/2, f*d1/2)
	}
	x, y := shares(f, d2/d1)
	return logBetaTails(d1/2, d2/2, x, y)
}

// FQuantile is the f with P(F <= f) = p.
func FQuantile(p, d1, d2 float64) float64 { return fQuantile(p, 1-p, d1, d2) }

// FUpperQuantile is the f with P(F >= f) = q; unlike FQuantile(1-q, d1, d2) it
// keeps a small q.
func FUpperQuantile(q, d1, d2 float64) float64 { return fQuantile(1-q, q, d1, d2) }

func fQuantile(p, q, d1, d2 float64) float64 {
	return positiveQuantile(p, q, !(d1 > 0) || !(d2 > 0) || math.IsInf(d1, 1), func(f float64) (float64, float64) { return logFTails(f, d1, d2) })
}
