package duration

import (
	"fmt"
	"math"

	"gravid/stats/tail"
)

// An Interval is a way of putting limits round a share still waiting.
type Interval int

const (
	// LogLog works on log(-log S) and stays within 0 to 1 by itself.
	LogLog Interval = iota
	// Log works on log S; the upper limit is cut at 1.
	Log
	// Plain is S plus and minus, cut at 0 and 1.
	Plain
	// Logit works on log(S/(1-S)).
	Logit
	// ArcSine works on arcsin(sqrt(S)).
	ArcSine
	// BetaProduct is the confidence procedure of Fay, Brittain & Proschan
	// (2013) with moments matched: the one for fewer than about 20
	// observations. Without censoring it is the exact Clopper-Pearson
	// interval, and it keeps its width where S is 0 or 1. It needs weights
	// that are counts.
	BetaProduct
)

var intervalNames = [...]string{"log(-log)", "log", "plain", "logit", "arcsine", "beta product"}

// String names the interval as it appears in the Method of an Estimate.
func (k Interval) String() string {
	if k < 0 || int(k) >= len(intervalNames) {
		return fmt.Sprintf("interval(%d)", int(k))
	}
	return intervalNames[k]
}

// limits transforms a share and its standard error into limits, z standard
// errors away on the scale of the interval. At S = 1 the standard error is 0
// and the limits have no width; at S = 0 there are none.
func (k Interval) limits(s, se, z float64) (lo, hi float64) {
	switch {
	case s <= 0 || math.IsNaN(s) || math.IsNaN(se):
		return nan, nan
	case s >= 1:
		return 1, 1
	}
	switch k {
	case Log:
		return math.Exp(math.Log(s) - z*se/s), math.Min(math.Exp(math.Log(s)+z*se/s), 1)
	case Plain:
		return math.Max(s-z*se, 0), math.Min(s+z*se, 1)
	case Logit:
		l, d := math.Log(s/(1-s)), z*se/(s*(1-s))
		return expit(l - d), expit(l + d)
	case ArcSine:
		a, d := math.Asin(math.Sqrt(s)), z*se/(2*math.Sqrt(s*(1-s)))
		return square(math.Sin(math.Max(a-d, 0))), square(math.Sin(math.Min(a+d, math.Pi/2)))
	default: // LogLog
		l := math.Log(s)
		d := z * se / (s * l) // negative
		return math.Exp(l * math.Exp(-d)), math.Exp(l * math.Exp(d))
	}
}

func expit(x float64) float64  { return 1 / (1 + math.Exp(-x)) }
func square(x float64) float64 { return x * x }

// A betaProduct follows the product of the beta variables of the procedure by
// its first two moments. The zero value is the empty product; call times for
// each time with events.
type betaProduct struct{ log1, log2 float64 } // logs of the moments

// times multiplies by Beta(n-d+1, d), the chance of d events among n at risk.
func (b betaProduct) times(n, d float64) betaProduct {
	if d > 0 {
		b.log1 += math.Log1p(-d / (n + 1))
		b.log2 += math.Log1p(-d/(n+1)) + math.Log1p(-d/(n+2))
	}
	return b
}

// limits returns the limits where left subjects are still at risk.
func (b betaProduct) limits(left, level float64) (lo, hi float64) {
	q := (1 - level) / 2
	hi = 1
	if b.log1 < 0 {
		hi = b.quantile(q, tail.BetaUpperQuantile)
	}
	if left <= 0 {
		return 0, hi
	}
	return b.times(left, 1).quantile(q, tail.BetaQuantile), hi
}

// quantile matches a beta distribution to the moments m1 and m2.
func (b betaProduct) quantile(q float64, of func(q, a, b float64) float64) float64 {
	mean, rest := math.Exp(b.log1), -math.Expm1(b.log1)
	total := rest/(mean*math.Expm1(b.log2-2*b.log1)) - 1
	return of(q, mean*total, rest*total)
}
