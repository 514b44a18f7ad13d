package tail

import "math"

// The functions of this file write a binomial or Poisson probability, for real
// arguments, as exp(-deviance) times a slowly varying factor (Loader 2000, Fast
// and accurate computation of binomial probabilities). A sum of log-gammas of
// the size of n loses about log10(n) digits; this form does not.

const halfLog2Pi = 0.918938533204672741780329736406 // log(2 pi) / 2

// stirlingError is log Gamma(n+1) less Stirling's approximation
// (n+1/2) log n - n + log(2 pi)/2, for n > 0.
func stirlingError(n float64) float64 {
	if n < 16 {
		lg, _ := math.Lgamma(n + 1)
		return lg - (n+0.5)*math.Log(n) + n - halfLog2Pi
	}
	// The asymptotic series in 1/n, terms B_2k / (2k (2k-1)); the first one left
	// out is below 1e-17 at n = 16.
	r := 1 / (n * n)
	return (1./12 - r*(1./360-r*(1./1260-r*(1./1680-r*(1./1188-r*(691./360360-r/156)))))) / n
}

// deviance is x log(x/m) + m - x, the Poisson deviance by half, without the
// cancellation of that formula where x is near m. Both are positive.
func deviance(x, m float64) float64 {
	d := x - m
	if math.Abs(d) >= 0.1*(x+m) {
		return x*math.Log(x/m) + m - x
	}
	// With v = (x-m)/(x+m), log(x/m) = 2 (v + v^3/3 + v^5/5 + ...).
	v := d / (x + m)
	sum, term := d*v, 2*x*v
	for k := 3.0; ; k += 2 {
		term *= v * v
		next := sum + term/k
		if next == sum {
			return sum
		}
		sum = next
	}
}

// logBinomial is the logarithm of Gamma(a+b+1)/(Gamma(a+1) Gamma(b+1)) x^a y^b
// for a, b > 0 and x + y = 1, both positive.
func logBinomial(a, b, x, y float64) float64 {
	n := a + b
	return stirlingError(n) - stirlingError(a) - stirlingError(b) -
		deviance(a, n*x) - deviance(b, n*y) +
		0.5*math.Log(n/(a*b)) - halfLog2Pi
}

// logPoisson is the logarithm of m^a exp(-m) / Gamma(a+1) for a, m > 0.
func logPoisson(a, m float64) float64 {
	return -stirlingError(a) - deviance(a, m) - 0.5*math.Log(a) - halfLog2Pi
}
