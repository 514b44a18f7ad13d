package duration

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"gravid/stats/tail"
)

// The gamma family is no shift and stretch of one curve: its shape k is the inverse
// square of the scale. It is handled as a time of mean exp(location), through
// u = k t / mean, which has the gamma distribution with shape k; its score is the
// normal quantile of the chance to have ended.

// shape is the shape of the gamma distribution with that scale.
func shape(scale float64) float64 { return 1 / (scale * scale) }

// score says how far y lies from the location, in scales, or for Gamma as the normal
// quantile of the chance of ending by then.
func (f Family) score(y, location, scale float64) float64 {
	if f != Gamma || math.IsInf(y, 0) {
		return (y - location) / scale
	}
	k := shape(scale)
	u := k * math.Exp(y-location)
	if u < k {
		return tail.NormalQuantile(tail.GammaLower(u, k))
	}
	return tail.NormalUpperQuantile(tail.GammaUpper(u, k))
}

// unscore is the y with the score z.
func (f Family) unscore(z, location, scale float64) float64 {
	if f != Gamma {
		return location + z*scale
	}
	k := shape(scale)
	if z < 0 {
		return location + math.Log(tail.GammaQuantile(tail.NormalLower(z), k)/k)
	}
	return location + math.Log(tail.GammaUpperQuantile(tail.NormalUpper(z), k)/k)
}

// gone is the share that has ended by y.
func (f Family) gone(y, location, scale float64) float64 {
	if f == Gamma {
		return tail.GammaLower(shape(scale)*math.Exp(y-location), shape(scale))
	}
	return f.lower((y - location) / scale)
}

// waiting is the share that has not ended by y.
func (f Family) waiting(y, location, scale float64) float64 {
	if f == Gamma {
		return tail.GammaUpper(shape(scale)*math.Exp(y-location), shape(scale))
	}
	return f.upper((y - location) / scale)
}

// scoreSlopes returns the derivatives of unscore by z and by the log of the scale.
func (f Family) scoreSlopes(z, scale float64) (byScore, bySigma float64) {
	if f != Gamma {
		return scale, z * scale
	}
	const h = 1e-4
	byScore = (f.unscore(z+h, 0, scale) - f.unscore(z-h, 0, scale)) / (2 * h)
	bySigma = (f.unscore(z, 0, scale*math.Exp(h)) - f.unscore(z, 0, scale*math.Exp(-h))) / (2 * h)
	return byScore, bySigma
}

// gammaDensity is density for Gamma.
func gammaDensity(y, eta, scale float64, derive bool) partials {
	k := shape(scale)
	log := math.Log(k) + y - eta // of u
	u := math.Exp(log)
	lg, _ := math.Lgamma(k)
	out := partials{value: k*log - u - lg - y}
	if !derive {
		return out
	}
	lead := log + 1 - mathext.Digamma(k)
	out.eta = u - k
	out.sigma = 2*u - 2*k*lead
	out.etaEta = -u + out.eta*out.eta
	out.etaSigma = 2*k - 2*u + out.eta*out.sigma
	out.sigmaSigma = 4*k*lead + 4*k - 4*k*k*mathext.Zeta(2, k) - 4*u + out.sigma*out.sigma
	return out
}

// gammaPart is part for Gamma and a span. The derivatives by the log of the scale,
// which have no closed form, are five-point differences.
func gammaPart(p part, eta, sigma float64, derive bool) partials {
	out := gammaSpan(p, eta, sigma, derive)
	if !derive || math.IsInf(out.value, -1) {
		return out
	}
	const h = 2e-3
	a, b := gammaSpan(p, eta, sigma-2*h, true), gammaSpan(p, eta, sigma-h, true)
	c, d := gammaSpan(p, eta, sigma+h, true), gammaSpan(p, eta, sigma+2*h, true)
	slope := func(a, b, c, d float64) float64 { return (a - 8*b + 8*c - d) / (12 * h) }
	out.sigma = slope(a.value, b.value, c.value, d.value)
	out.etaSigma = slope(a.eta, b.eta, c.eta, d.eta) + out.eta*out.sigma
	out.sigmaSigma = (-a.value+16*b.value-30*out.value+16*c.value-d.value)/(12*h*h) + out.sigma*out.sigma
	return out
}

// gammaSpan is the log of the chance to end within the span, and its derivatives by
// eta alone, relative to the chance.
func gammaSpan(p part, eta, sigma float64, derive bool) partials {
	k := math.Exp(-2 * sigma)
	lo, hi := k*math.Exp(p.lo-eta), k*math.Exp(p.hi-eta)
	chance := 0.0
	if lo > k { // above the middle the upper tails keep their digits
		chance = tail.GammaUpper(lo, k)
		if !math.IsInf(hi, 1) {
			chance -= tail.GammaUpper(hi, k)
		}
	} else if math.IsInf(hi, 1) {
		chance = tail.GammaUpper(lo, k)
	} else {
		chance = tail.GammaLower(hi, k) - tail.GammaLower(lo, k)
	}
	out := partials{value: math.Log(chance)}
	if !derive || !(chance > 0) {
		return out
	}
	lg, _ := math.Lgamma(k)
	for _, end := range [2]struct{ u, sign float64 }{{lo, 1}, {hi, -1}} {
		if end.u == 0 || math.IsInf(end.u, 1) {
			continue
		}
		d := end.sign * math.Exp(k*math.Log(end.u)-end.u-lg-out.value)
		out.eta += d
		out.etaEta -= d * (k - end.u)
	}
	return out
}
