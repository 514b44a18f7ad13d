// Package root finds where a function of one number crosses zero, for the
// quantiles and the profile-likelihood limits of gravid's statistical packages.
//
// It is not for several unknowns, nor for a function that touches zero without
// crossing it.
package root

import "math"

// maxSteps is far more than bisection needs to exhaust the digits of a float64.
const maxSteps = 200

// Between returns an x in [a, b] at which f crosses zero, to within tol or to
// the last digit if tol is 0. f(a) and f(b) must have opposite signs or one of
// them be zero; otherwise, or where f gives NaN, it returns NaN.
//
// It is Brent's method (Brent 1973, Algorithms for Minimization without
// Derivatives, chapter 4): inverse quadratic interpolation and the secant rule,
// with bisection whenever they do not shrink the bracket fast enough.
func Between(f func(float64) float64, a, b, tol float64) float64 {
	fa, fb := f(a), f(b)
	switch {
	case fa == 0:
		return a
	case fb == 0:
		return b
	case math.IsNaN(fa) || math.IsNaN(fb) || math.Signbit(fa) == math.Signbit(fb):
		return math.NaN()
	}
	c, fc := a, fa // [b, c] brackets the root, b is the best point so far
	step := b - a
	last := step
	for i := 0; i < maxSteps; i++ {
		if math.Abs(fc) < math.Abs(fb) {
			a, b, c = b, c, b
			fa, fb, fc = fb, fc, fb
		}
		half := (c - b) / 2
		close := 2*epsilon*math.Abs(b) + tol/2 + math.SmallestNonzeroFloat64
		if math.Abs(half) <= close || fb == 0 {
			return b
		}
		if math.IsNaN(fb) {
			return math.NaN()
		}
		last, step = nextStep(a, b, c, fa, fb, fc, half, close, last, step)
		a, fa = b, fb
		if math.Abs(step) > close {
			b += step
		} else {
			b += math.Copysign(close, half)
		}
		fb = f(b)
		if math.Signbit(fb) == math.Signbit(fc) {
			c, fc = a, fa
			step = b - a
			last = step
		}
	}
	return b
}

const epsilon = 2.220446049250313e-16

// nextStep proposes an interpolated step from b and falls back on half the
// bracket. It returns the step before and the new one.
func nextStep(a, b, c, fa, fb, fc, half, close, last, step float64) (before, next float64) {
	if math.Abs(last) < close || math.Abs(fa) <= math.Abs(fb) || math.IsInf(fa, 0) || math.IsInf(fb, 0) || math.IsInf(fc, 0) {
		return half, half
	}
	var p, q float64
	if s := fb / fa; a == c {
		p, q = 2*half*s, 1-s
	} else {
		u, r := fa/fc, fb/fc
		p = s * (2*half*u*(u-r) - (b-a)*(r-1))
		q = (u - 1) * (r - 1) * (s - 1)
	}
	if p > 0 {
		q = -q
	}
	p = math.Abs(p)
	if 2*p < math.Min(3*half*q-math.Abs(close*q), math.Abs(last*q)) {
		return step, p / q
	}
	return half, half
}

// Walk goes from a in steps that double, at most to limit, until f changes
// sign, and returns the crossing. Where there is none before limit it returns
// an infinity with the sign of first. first may be negative (walking down);
// limit lies on the same side.
func Walk(f func(float64) float64, a, first, limit, tol float64) float64 {
	sign := math.Signbit(f(a))
	step := first
	for lo := a; lo != limit; step *= 2 {
		hi := lo + step
		if (hi-limit)*first > 0 {
			hi = limit
		}
		if v := f(hi); math.IsNaN(v) {
			return math.NaN()
		} else if math.Signbit(v) != sign || v == 0 {
			return Between(f, math.Min(lo, hi), math.Max(lo, hi), tol)
		}
		lo = hi
	}
	return math.Copysign(math.Inf(1), first)
}
