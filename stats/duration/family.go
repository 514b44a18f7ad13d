package duration

import (
	"fmt"
	"math"

	"gravid/stats/tail"
)

// A Family is a distribution of waiting times: log T (T itself for Normal) is
// location + scale * e, with e of the distribution named, but for Gamma.
type Family int

const (
	// Lognormal: e is standard normal.
	Lognormal Family = iota
	// Weibull: e is the smallest-extreme-value distribution; the Weibull shape
	// is 1/scale, and the model is one of proportional hazards too.
	Weibull
	// LogLogistic: e is logistic.
	LogLogistic
	// Exponential: Weibull with the scale held at 1.
	Exponential
	// Normal: T itself is normal.
	Normal
	// Gamma: T has a gamma distribution of mean exp(location) whose shape is one
	// over the square of the scale; the scale is its coefficient of variation.
	Gamma
)

var familyNames = [...]string{"lognormal", "weibull", "log-logistic", "exponential", "normal", "gamma"}

// String returns the name in lower case.
func (f Family) String() string {
	if f < 0 || int(f) >= len(familyNames) {
		return fmt.Sprintf("family(%d)", int(f))
	}
	return familyNames[f]
}

// logScale reports whether the model is for the logarithm of the time.
func (f Family) logScale() bool { return f != Normal }

// scaled brings a time to the scale of the model; one before the origin, which
// nothing can fall on, is -Inf.
func (f Family) scaled(t float64) float64 {
	switch {
	case t < 0:
		return math.Inf(-1)
	case f.logScale():
		return math.Log(t)
	}
	return t
}

// scaledBelow is scaled for a lower limit, where an origin says nothing.
func (f Family) scaledBelow(t float64) float64 {
	if t <= 0 {
		return math.Inf(-1)
	}
	return f.scaled(t)
}

// time is the inverse of scaled.
func (f Family) time(y float64) float64 {
	if f.logScale() {
		return math.Exp(y)
	}
	return y
}

const logRootTwoPi = 0.91893853320467274178

// logDensity is the log density of e at z.
func (f Family) logDensity(z float64) float64 {
	switch f {
	case Lognormal, Normal, Gamma:
		return -z*z/2 - logRootTwoPi
	case LogLogistic:
		return -math.Abs(z) - 2*math.Log1p(math.Exp(-math.Abs(z)))
	default:
		return z - math.Exp(z)
	}
}

// slopes returns the first and second derivative of the density of e at z, each
// over the density.
func (f Family) slopes(z float64) (first, second float64) {
	switch f {
	case Lognormal, Normal:
		return -z, z*z - 1
	case LogLogistic:
		first = -math.Tanh(z / 2)
		return first, first*first - 2*expit(z)*expit(-z)
	default:
		e := math.Exp(z)
		return 1 - e, (1-e)*(1-e) - e
	}
}

// logTails returns the logs of P(e <= z) and P(e > z).
func (f Family) logTails(z float64) (lower, upper float64) {
	switch {
	case math.IsInf(z, -1):
		return z, 0
	case math.IsInf(z, 1):
		return 0, -z
	}
	switch f {
	case Lognormal, Normal, Gamma: // of Gamma the score
		if math.Abs(z) < 5 { // within reach of Erfc without loss
			return math.Log(math.Erfc(-z/math.Sqrt2) / 2), math.Log(math.Erfc(z/math.Sqrt2) / 2)
		}
		return tail.LogNormalUpper(-z), tail.LogNormalUpper(z)
	case LogLogistic:
		return logExpit(z), logExpit(-z)
	default:
		e := math.Exp(z)
		if z < -40 { // there F(z) = e to the last digit, and e may underflow
			return z, -e
		}
		return math.Log(-math.Expm1(-e)), -e
	}
}

func logExpit(z float64) float64 {
	if z > 0 {
		return -math.Log1p(math.Exp(-z))
	}
	return z - math.Log1p(math.Exp(z))
}

// logBetween is the log of P(a < e <= b), from the smaller tails.
func (f Family) logBetween(a, b float64) float64 {
	lowA, upA := f.logTails(a)
	lowB, upB := f.logTails(b)
	if upA < lowB { // above the median the upper tails keep their digits
		return upA + math.Log(-math.Expm1(upB-upA))
	}
	return lowB + math.Log(-math.Expm1(lowA-lowB))
}

// between is P(a < e <= b), worked out from the side of the smaller tail.
func (f Family) between(a, b float64) float64 {
	if a > 0 {
		return f.upper(a) - f.upper(b)
	}
	return f.lower(b) - f.lower(a)
}

// lower is P(e <= z).
func (f Family) lower(z float64) float64 {
	switch f {
	case Lognormal, Normal, Gamma:
		return math.Erfc(-z/math.Sqrt2) / 2
	case LogLogistic:
		return expit(z)
	default:
		return -math.Expm1(-math.Exp(z))
	}
}

// upper is P(e > z).
func (f Family) upper(z float64) float64 {
	switch f {
	case Lognormal, Normal, LogLogistic, Gamma:
		return f.lower(-z)
	default:
		return math.Exp(-math.Exp(z))
	}
}

// quantile is the z with P(e <= z) = p.
func (f Family) quantile(p float64) float64 {
	switch f {
	case Lognormal, Normal, Gamma:
		return tail.NormalQuantile(p)
	case LogLogistic:
		return math.Log(p) - math.Log1p(-p)
	default:
		return math.Log(-math.Log1p(-p))
	}
}

// moments returns the mean and standard deviation of e.
func (f Family) moments() (mean, sd float64) {
	const eulerGamma = 0.57721566490153286061
	switch f {
	case Lognormal, Normal, Gamma: // of Gamma nearly, for a small scale
		return 0, 1
	case LogLogistic:
		return 0, math.Pi / math.Sqrt(3)
	default:
		return -eulerGamma, math.Pi / math.Sqrt(6)
	}
}
