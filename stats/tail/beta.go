package tail

import "math"

// logBetaTails returns the logarithms of the regularised incomplete beta
// function I_x(a, b) and of 1 - I_x(a, b) = I_y(b, a), for a, b > 0. Both x and
// y = 1 - x are given, so that neither loses digits near 1.
func logBetaTails(a, b, x, y float64) (lower, upper float64) {
	switch {
	case !(a > 0) || !(b > 0) || math.IsInf(a, 1) || math.IsInf(b, 1) || math.IsNaN(x) || math.IsNaN(y):
		return math.NaN(), math.NaN()
	case x <= 0:
		return math.Inf(-1), 0
	case y <= 0:
		return 0, math.Inf(-1)
	case x*(a+b+2) < a+1:
		lower = math.Min(logBetaPart(a, b, x, y), 0)
		return lower, log1mExp(lower)
	default:
		upper = math.Min(logBetaPart(b, a, y, x), 0)
		return log1mExp(upper), upper
	}
}

// logBetaPart is log I_x(a, b) by the continued fraction of DiDonato & Morris
// (1992, Algorithm 708), which converges fast for x < (a+1)/(a+b+2) and, unlike
// the textbook one, does not cancel where x is near 1.
func logBetaPart(a, b, x, y float64) float64 {
	gap := a*y - b*x + 1
	f := continuedFraction(a*gap/(a+1), func(m float64) (num, den float64) {
		u := a + 2*m - 1
		num = (a + m - 1) * (a + b + m - 1) * m * (b - m) * x * x / (u * u)
		den = m + m*(b-m)*x/u + (a+m)*(gap+m*(2-x))/(u+2)
		return num, den
	})
	return logBinomial(a, b, x, y) + math.Log(a*b/(a+b)) - math.Log(f)
}

// BetaLower is P(X <= x) for the beta distribution with shapes a and b.
func BetaLower(x, a, b float64) float64 {
	lower, _ := logBetaTails(a, b, x, 1-x)
	return math.Exp(lower)
}

// BetaUpper is P(X >= x) for the beta distribution with shapes a and b.
func BetaUpper(x, a, b float64) float64 {
	_, upper := logBetaTails(a, b, x, 1-x)
	return math.Exp(upper)
}

// BetaQuantile is the x with P(X <= x) = p for the beta distribution with shapes
// a and b.
func BetaQuantile(p, a, b float64) float64 { return betaFromOdds(betaOdds(p, 1-p, a, b)) }

// BetaUpperQuantile is the x with P(X >= x) = q. Where x is so near 1 that 1 - x
// loses its digits, BetaQuantile(q, b, a) gives 1 - x.
func BetaUpperQuantile(q, a, b float64) float64 { return betaFromOdds(betaOdds(1-q, q, a, b)) }

// betaOdds is the quantile of x/(1-x), which has a whole half-line to itself and
// so keeps its digits at either end.
func betaOdds(p, q, a, b float64) float64 {
	return positiveQuantile(p, q, !(a > 0) || !(b > 0) || math.IsInf(a, 1) || math.IsInf(b, 1), func(odds float64) (float64, float64) {
		x, y := shares(odds, 1)
		return logBetaTails(a, b, x, y)
	})
}

func betaFromOdds(odds float64) float64 {
	if math.IsNaN(odds) {
		return odds
	}
	x, _ := shares(odds, 1)
	return x
}

// shares returns u/(u+v) and v/(u+v) for non-negative u and v, one of which may
// be infinite.
func shares(u, v float64) (x, y float64) {
	if u > v {
		r := v / u
		return 1 / (1 + r), r / (1 + r)
	}
	r := u / v
	return r / (1 + r), 1 / (1 + r)
}
