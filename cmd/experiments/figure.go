package main

import (
	"encoding/json"
	"math"
	"slices"
)

// allowance is how many standard errors of the simulation a figure may miss its band
// by: the upper 0.5% point of the normal distribution, rounded up.
const allowance = 2.6

// A role says what is asked of a figure.
type role string

const (
	ours  role = "ours"  // has to lie in the band
	rival role = "rival" // has to lie outside: it must fail visibly
	shown role = "shown" // is printed for comparison
)

// A verdict says how a figure stands to its band.
type verdict string

const (
	inBand   verdict = "in"         // ours, in the band
	nearBand verdict = "near"       // ours, outside by no more than the allowance
	outBand  verdict = "OUT"        // ours, outside: the check fails
	failsAs  verdict = "fails"      // a rival, outside as it must be: the check passes
	noFail   verdict = "NO FAILURE" // a rival that did not fail visibly: the check fails
	noCheck  verdict = ""
)

func (v verdict) fails() bool { return v == outBand || v == noFail }

// A band is where a figure has to lie. Infinite ends are open.
type band struct {
	Lo, Hi float64
	// Exact bands allow no error of the simulation: they are about what must never,
	// or always, happen.
	Exact bool
}

func between(lo, hi float64) band { return band{Lo: lo, Hi: hi} }
func atMost(hi float64) band      { return band{Lo: math.Inf(-1), Hi: hi} }
func atLeast(lo float64) band     { return band{Lo: lo, Hi: math.Inf(1)} }
func within(half float64) band    { return band{Lo: -half, Hi: half} }
func exactly(x float64) band      { return band{Lo: x, Hi: x, Exact: true} }

// miss is how far x lies outside.
func (b band) miss(x float64) float64 { return max(b.Lo-x, x-b.Hi, 0) }

// A figure is one number of an experiment.
type figure struct {
	Procedure string
	Measure   string
	Role      role
	Percent   bool // a share, to be printed in per cent
	Value     float64
	SE        float64 // Monte-Carlo standard error
	N         int     // replicates it stands on
	Band      band
	Verdict   verdict
}

// MarshalJSON writes null for what is not a number and for open ends of a band.
func (f figure) MarshalJSON() ([]byte, error) {
	number := func(x float64) *float64 {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return nil
		}
		return &x
	}
	return json.Marshal(struct {
		Procedure string   `json:"procedure"`
		Measure   string   `json:"measure"`
		Role      role     `json:"role"`
		Value     *float64 `json:"value"`
		SE        *float64 `json:"monte_carlo_se"`
		N         int      `json:"replicates"`
		Low       *float64 `json:"band_low"`
		High      *float64 `json:"band_high"`
		Exact     bool     `json:"band_exact"`
		Verdict   verdict  `json:"verdict"`
	}{f.Procedure, f.Measure, f.Role, number(f.Value), number(f.SE), f.N, number(f.Band.Lo), number(f.Band.Hi), f.Band.Exact, f.Verdict})
}

// An estimate is a number worked out from all replicates.
type estimate struct {
	value, se float64
	n         int
	percent   bool
}

// ours makes a figure that has to lie in the band. A figure that could not be worked
// out lies outside.
func (e estimate) ours(procedure, measure string, b band) figure {
	f := e.shown(procedure, measure)
	f.Role, f.Band = ours, b
	switch miss := b.miss(e.value); {
	case miss == 0:
		f.Verdict = inBand
	case !b.Exact && miss <= allowance*e.se:
		f.Verdict = nearBand
	default:
		f.Verdict = outBand
	}
	return f
}

// rival makes a figure that has to miss the band by more than the allowance.
func (e estimate) rival(procedure, measure string, b band) figure {
	f := e.shown(procedure, measure)
	f.Role, f.Band, f.Verdict = rival, b, noFail
	if b.miss(e.value) > allowance*e.se {
		f.Verdict = failsAs
	}
	return f
}

// shown makes a figure that is printed and not judged.
func (e estimate) shown(procedure, measure string) figure {
	return figure{Procedure: procedure, Measure: measure, Role: shown, Percent: e.percent, Value: e.value, SE: e.se, N: e.n, Band: band{Lo: math.Inf(-1), Hi: math.Inf(1)}, Verdict: noCheck}
}

// share is the share of the results for which holds is true. Its standard error is
// that of (k+1)/(n+2), so that it is not 0 where none or all do.
func share[T any](results []T, holds func(T) bool) estimate {
	k := 0
	for _, r := range results {
		if holds(r) {
			k++
		}
	}
	n := float64(len(results))
	p := (float64(k) + 1) / (n + 2)
	return estimate{value: float64(k) / n, se: math.Sqrt(p * (1 - p) / n), n: len(results), percent: true}
}

// mean is the mean of what of gives for each result; NaNs make it NaN.
func mean[T any](results []T, of func(T) float64) estimate {
	x := values(results, of)
	m, sd := moments(x)
	return estimate{value: m, se: sd / math.Sqrt(float64(len(x))), n: len(x)}
}

// median is the middle of what of gives, infinities included. Its standard error
// comes from the order statistics one binomial standard deviation either side.
func median[T any](results []T, of func(T) float64) estimate {
	x := values(results, of)
	slices.Sort(x)
	n := float64(len(x))
	at := func(rank float64) float64 { return x[int(max(0, min(n-1, math.Round(rank))))] }
	step := math.Sqrt(n) / 2
	return estimate{value: (at(math.Floor((n-1)/2)) + at(math.Ceil((n-1)/2))) / 2, se: (at((n-1)/2+step) - at((n-1)/2-step)) / 2, n: len(x)}
}

// spread is the standard deviation of what of gives, with the standard error it has
// for normal numbers.
func spread[T any](results []T, of func(T) float64) estimate {
	x := values(results, of)
	_, sd := moments(x)
	return estimate{value: sd, se: sd / math.Sqrt(2*float64(len(x)-1)), n: len(x)}
}

// over is e divided by a number.
func (e estimate) over(x float64) estimate {
	e.value, e.se = e.value/x, e.se/math.Abs(x)
	return e
}

// less is e less a number.
func (e estimate) less(x float64) estimate {
	e.value -= x
	return e
}

// ratio is a over b, the two taken as independent.
func ratio(a, b estimate) estimate {
	v := a.value / b.value
	return estimate{value: v, se: math.Abs(v) * math.Hypot(a.se/a.value, b.se/b.value), n: a.n}
}

// asPercent marks a number between 0 and 1 to be printed in per cent.
func (e estimate) asPercent() estimate {
	e.percent = true
	return e
}

func values[T any](results []T, of func(T) float64) []float64 {
	x := make([]float64, len(results))
	for i, r := range results {
		x[i] = of(r)
	}
	return x
}

func moments(x []float64) (mean, sd float64) {
	n := float64(len(x))
	for _, v := range x {
		mean += v
	}
	mean /= n
	for _, v := range x {
		sd += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(sd / (n - 1))
}

// only picks the results for which keep is true.
func only[T any](results []T, keep func(T) bool) []T {
	var out []T
	for _, r := range results {
		if keep(r) {
			out = append(out, r)
		}
	}
	return out
}
