package tail

import "math"

// logGammaTails returns the logarithms of the regularised incomplete gamma
// functions P(a, x) and Q(a, x) = 1 - P(a, x), for a > 0 and x >= 0. The
// smaller of the two has full relative accuracy, and so has the larger.
func logGammaTails(a, x float64) (lower, upper float64) {
	switch {
	case !(a > 0) || !(x >= 0) || math.IsInf(a, 1):
		return math.NaN(), math.NaN()
	case x == 0:
		return math.Inf(-1), 0
	case math.IsInf(x, 1):
		return 0, math.Inf(-1)
	case x < a+1:
		lower = math.Min(logPoisson(a, x)+math.Log(gammaSeries(a, x)), 0)
		return lower, log1mExp(lower)
	default:
		upper = math.Min(logPoisson(a, x)+math.Log(a*gammaFraction(a, x)), 0)
		return log1mExp(upper), upper
	}
}

// gammaSeries is P(a, x) divided by x^a exp(-x) / Gamma(a+1), by its power
// series (DLMF 8.7.1); all terms are positive.
func gammaSeries(a, x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; ; k++ {
		term *= x / (a + k)
		next := sum + term
		if next == sum {
			return sum
		}
		sum = next
	}
}

// gammaFraction is Q(a, x) divided by x^a exp(-x) / Gamma(a), by the even part
// of its continued fraction (DLMF 8.9.2), for x >= a+1.
func gammaFraction(a, x float64) float64 {
	b := x + 1 - a
	first := b
	return 1 / continuedFraction(first, func(k float64) (num, den float64) {
		return -k * (k - a), b + 2*k
	})
}

// continuedFraction evaluates b0 + a1/(b1 + a2/(b2 + ...)) by the modified
// method of Lentz (Thompson & Barnett 1986); term returns a_k and b_k.
func continuedFraction(b0 float64, term func(k float64) (num, den float64)) float64 {
	const tiny = 1e-300
	const ulp = 0x1p-52 // the factors come no nearer to 1 than rounding lets them
	f := b0
	if f == 0 {
		f = tiny
	}
	c, d := f, 0.0
	for k := 1.0; ; k++ {
		num, den := term(k)
		d = den + num*d
		if d == 0 {
			d = tiny
		}
		c = den + num/c
		if c == 0 {
			c = tiny
		}
		d = 1 / d
		delta := c * d
		f *= delta
		if math.Abs(delta-1) <= ulp || k > maxTerms || math.IsNaN(f) {
			return f
		}
	}
}

// maxTerms bounds a continued fraction. About the square root of the largest
// parameter is needed, so it is reached only beyond a parameter of 1e13.
const maxTerms = 1e7

// log1mExp is log(1 - exp(l)) for l <= 0 (Maechler 2012).
func log1mExp(l float64) float64 {
	if l > -math.Ln2 {
		return math.Log(-math.Expm1(l))
	}
	return math.Log1p(-math.Exp(l))
}

// GammaLower is P(X <= x) for the gamma distribution of the given shape and
// scale 1.
func GammaLower(x, shape float64) float64 {
	lower, _ := logGammaTails(shape, math.Max(x, 0))
	return math.Exp(lower)
}

// GammaUpper is P(X >= x) for the gamma distribution of the given shape and
// scale 1.
func GammaUpper(x, shape float64) float64 {
	_, upper := logGammaTails(shape, math.Max(x, 0))
	return math.Exp(upper)
}

// GammaQuantile is the x with P(X <= x) = p for the gamma distribution of the
// given shape and scale 1.
func GammaQuantile(p, shape float64) float64 {
	return positiveQuantile(p, 1-p, !(shape > 0) || math.IsInf(shape, 1), func(x float64) (float64, float64) { return logGammaTails(shape, x) })
}

// GammaUpperQuantile is the x with P(X >= x) = q.
func GammaUpperQuantile(q, shape float64) float64 {
	return positiveQuantile(1-q, q, !(shape > 0) || math.IsInf(shape, 1), func(x float64) (float64, float64) { return logGammaTails(shape, x) })
}
