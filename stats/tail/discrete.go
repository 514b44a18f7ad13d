package tail

import "math"

// BinomialLower is P(X <= k) for X successes in n trials of probability p.
func BinomialLower(k, n int, p float64) float64 {
	switch {
	case n < 0 || !(p >= 0 && p <= 1):
		return math.NaN()
	case k < 0:
		return 0
	case k >= n:
		return 1
	}
	_, upper := logBetaTails(float64(k)+1, float64(n-k), p, 1-p)
	return math.Exp(upper)
}

// BinomialUpper is P(X >= k) for X successes in n trials of probability p.
func BinomialUpper(k, n int, p float64) float64 {
	switch {
	case n < 0 || !(p >= 0 && p <= 1):
		return math.NaN()
	case k <= 0:
		return 1
	case k > n:
		return 0
	}
	lower, _ := logBetaTails(float64(k), float64(n-k)+1, p, 1-p)
	return math.Exp(lower)
}

// PoissonLower is P(X <= k) for a Poisson count with the given mean.
func PoissonLower(k int, mean float64) float64 {
	switch {
	case !(mean >= 0) || math.IsInf(mean, 1):
		return math.NaN()
	case k < 0:
		return 0
	case mean == 0:
		return 1
	}
	_, upper := logGammaTails(float64(k)+1, mean)
	return math.Exp(upper)
}

// PoissonUpper is P(X >= k) for a Poisson count with the given mean.
func PoissonUpper(k int, mean float64) float64 {
	switch {
	case !(mean >= 0) || math.IsInf(mean, 1):
		return math.NaN()
	case k <= 0:
		return 1
	case mean == 0:
		return 0
	}
	lower, _ := logGammaTails(float64(k), mean)
	return math.Exp(lower)
}
