package duration

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"gravid/stats"
	"gravid/stats/internal/root"
	"gravid/stats/tail"
)

// A Stretch is an innermost interval of the records: within it the share still
// waiting falls by Mass, but how is undetermined. It is half-open, (Lo, Hi],
// or a single time if Lo == Hi. Hi may be +Inf.
type Stretch struct {
	Span
	Mass     float64
	Survival float64 // share still waiting just after Hi
}

// A TurnbullCurve is the nonparametric maximum-likelihood estimate from
// interval-censored times. Use its numbers through At and Quantile, which heed
// its Status; Stretches is for drawing (a box for each with Mass > 0).
type TurnbullCurve struct {
	Stretches []Stretch // in order, those without mass included
	LogLik    float64
	N, Events int // events are observations with a finite upper limit
	Level     float64
	Status    stats.Status
	Warnings  []stats.Warning

	records   []Observation // distinct intervals with their weights
	converged bool
}

// Turnbull estimates the share still waiting from any mix of exact, left-,
// right- and interval-censored times, with weights (Turnbull 1976; Peto 1973).
// Equal intervals are counted together first. The masses are found by EM and
// the iterative convex minorant in turn (Wellner & Zhan 1997), finished by
// Newton steps, and the search stops on the Kuhn-Tucker conditions.
//
// Settings.Interval plays no part: limits are those of the likelihood ratio,
// see At. Status is NotConverged where the Kuhn-Tucker conditions do not hold
// to 1e-6 of the number of observations, Boundary if nothing happened to
// anyone, TooLittle for fewer than two observations. The error is an
// *stats.InputError for an observation that contradicts itself, enters late or has an
// origin that is not exact, and tells of settings out of range.
func Turnbull(obs []Observation, s Settings) (TurnbullCurve, error) {
	s, err := s.withDefaults()
	if err != nil {
		return TurnbullCurve{}, err
	}
	clean, err := sinceOrigin(obs, func(o Observation) string {
		if o.late() {
			return fmt.Sprintf("it came under observation late, at %v, which this method cannot use", o.Entry)
		}
		return ""
	})
	if err != nil {
		return TurnbullCurve{}, err
	}
	c := TurnbullCurve{Level: s.Level, LogLik: nan}
	c.N, c.Events = counts(clean)
	c.Status, c.Warnings = gate(c.N, c.Events)
	if len(clean) == 0 {
		return c, nil
	}
	c.solve(clean)
	return c, nil
}

func (c *TurnbullCurve) solve(obs []Observation) {
	c.records = collapse(obs)
	spans, covers := innermost(c.records)
	p := newNPMLE(covers, len(spans))
	loglik, ok := p.solve()
	c.LogLik, c.converged = loglik, ok
	waiting := 1.0
	for j, s := range spans {
		waiting = math.Max(waiting-p.mass[j], 0)
		c.Stretches = append(c.Stretches, Stretch{Span: s, Mass: p.mass[j], Survival: waiting})
	}
	c.Stretches[len(spans)-1].Survival = 0
	if !ok && c.Status.Usable() {
		c.Status = stats.NotConverged
		c.Warnings = append(c.Warnings, stats.Warn("not-converged", "the search for the curve did not come to rest"))
	}
	if !p.unique() {
		c.Warnings = append(c.Warnings, stats.Warn("not-unique", "other curves fit the records just as well"))
	}
}

// collapse counts equal intervals together, in order.
func collapse(obs []Observation) []Observation {
	sorted := slices.SortedFunc(slices.Values(obs), func(a, b Observation) int { // weights too, so that sums do not depend on the order given
		return cmp.Or(cmp.Compare(a.Lo, b.Lo), cmp.Compare(a.Hi, b.Hi), cmp.Compare(a.Weight, b.Weight))
	})
	var out []Observation
	for _, o := range sorted {
		if n := len(out); n > 0 && out[n-1].Span == o.Span {
			out[n-1].Weight += o.Weight
			continue
		}
		out = append(out, Observation{Span: o.Span, Weight: o.Weight})
	}
	return out
}

// An endpoint of an interval, with its place among those of the same value:
// exact times open before limits that close, and those before limits that open.
type endpoint struct {
	value float64
	place int // opensAt, closes, opensAfter
}

const (
	opensAt = iota
	closes
	opensAfter
)

func (a endpoint) compare(b endpoint) int {
	return cmp.Or(cmp.Compare(a.value, b.value), cmp.Compare(a.place, b.place))
}

func (o Observation) endpoints() (open, end endpoint) {
	if o.Exact() {
		return endpoint{o.Lo, opensAt}, endpoint{o.Hi, closes}
	}
	return endpoint{o.Lo, opensAfter}, endpoint{o.Hi, closes}
}

// innermost finds the stretches that run from an opening endpoint to the next
// closing one, and which of them each observation covers. No stretch reaches
// across a time in cuts.
func innermost(obs []Observation, cuts ...float64) ([]Span, []cover) {
	ends := make([]endpoint, 0, 2*(len(obs)+len(cuts)))
	for _, o := range obs {
		open, end := o.endpoints()
		ends = append(ends, open, end)
	}
	for _, t := range cuts {
		ends = append(ends, endpoint{t, closes}, endpoint{t, opensAfter})
	}
	slices.SortFunc(ends, endpoint.compare)
	var spans []Span
	var opens []endpoint
	for i := 1; i < len(ends); i++ {
		if ends[i-1].place != closes && ends[i].place == closes {
			spans = append(spans, Span{ends[i-1].value, ends[i].value})
			opens = append(opens, ends[i-1])
		}
	}
	covers := make([]cover, len(obs))
	for i, o := range obs {
		open, _ := o.endpoints()
		covers[i] = cover{
			first:  sort.Search(len(opens), func(j int) bool { return opens[j].compare(open) >= 0 }),
			last:   sort.Search(len(spans), func(j int) bool { return spans[j].Hi > o.Hi }) - 1,
			weight: o.Weight,
		}
	}
	return spans, covers
}

func (c TurnbullCurve) estimate(what string) stats.Estimate {
	return stats.Estimate{
		Level: c.Level, Attained: nan, N: c.N, Events: c.Events,
		Method: what + ", likelihood-ratio limits", Status: c.Status, Warnings: slices.Clone(c.Warnings),
	}
}

// Bounds returns the lowest and highest share still waiting at time t that the
// curve allows. They differ only inside a stretch with mass.
func (c TurnbullCurve) Bounds(t float64) (lo, hi float64) {
	by := sort.Search(len(c.Stretches), func(j int) bool { return c.Stretches[j].Hi > t })
	hi = 1
	if by > 0 {
		hi = c.Stretches[by-1].Survival
	}
	if by < len(c.Stretches) && c.Stretches[by].Lo < t {
		return c.Stretches[by].Survival, hi
	}
	return hi, hi
}

// At returns the share still waiting at time t. Inside a stretch with mass it
// has no value, and a warning gives the bounds.
//
// The limits are the shares whose likelihood ratio against the curve stays
// below the chi-square quantile with one degree of freedom. That is right where
// everybody is checked at the same times, and wider than need be where check
// times all differ (Banerjee & Wellner 2001).
func (c TurnbullCurve) At(t float64) stats.Estimate {
	e := c.estimate("Turnbull")
	if !e.Status.Usable() {
		return e.Without(e.Status)
	}
	if t <= 0 {
		e.Value, e.Lo, e.Hi = 1, 1, 1
		return e
	}
	least, most := c.Bounds(t)
	e.Value = most
	if least != most {
		e.Value = nan
		e.Warnings = append(e.Warnings, stats.Warn("undetermined", "the records only say that the share still waiting at %v is between %.3g and %.3g", t, least, most))
	}
	h := c.holdAt(t)
	e.Lo, e.Hi = h.limit(least, -1), h.limit(most, 1)
	return e
}

// A held is the problem of the best curve with a given share still waiting at
// one time.
type held struct {
	covers    []cover
	stretches int
	cut       int     // stretches before the time
	weight    float64 // of all covers
	best      float64 // log-likelihood without the condition
	allowed   float64 // the chi-square quantile
}

func (c TurnbullCurve) holdAt(t float64) held {
	spans, covers := innermost(c.records, t)
	var weight float64
	for _, o := range c.records {
		weight += o.Weight
	}
	return held{
		covers: covers, stretches: len(spans), best: c.LogLik, weight: weight,
		cut:     sort.Search(len(spans), func(j int) bool { return spans[j].Hi > t }),
		allowed: tail.ChiSquareUpperQuantile(1-c.Level, 1),
	}
}

// limit walks from a share the curve allows down (towards -1) or up until the
// loss is too great, on the logit scale.
func (h held) limit(from, towards float64) float64 {
	if end := math.Max(towards, 0); from == end {
		return end
	}
	const edge = 20                  // logit of 1 - 2e-9
	near := math.Log(100 * h.weight) // so near to 0 or 1 that nothing is lost yet
	start := math.Max(-near, math.Min(near, math.Log(from/(1-from))))
	return expit(root.Walk(func(x float64) float64 { return h.loss(expit(x)) }, start, 0.5*towards, edge*towards, 1e-9))
}

// loss is twice the log-likelihood lost if waiting is the share still waiting,
// beyond what is allowed: positive outside the limits.
func (h held) loss(waiting float64) float64 {
	p := newNPMLE(h.covers, h.stretches)
	p.cut, p.share = h.cut, 1-waiting
	p.rescale()
	loglik, _ := p.solve()
	if math.IsNaN(loglik) {
		loglik = math.Inf(-1)
	}
	return 2*(h.best-loglik) - h.allowed
}

// Quantile returns the time by which the share p is no longer waiting. The
// value is the middle of the stretch it lies in, and a warning gives the
// stretch; it is NaN if that has no end. The limits enclose the times at which a
// share p gone by has a likelihood ratio within the chi-square quantile. p lies
// between 0 and 1.
func (c TurnbullCurve) Quantile(p float64) stats.Estimate {
	e := c.estimate("Turnbull quantile")
	if !(p > 0 && p < 1) {
		return e.Without(stats.NotComputed, stats.Warn("bad-share", "the share must lie between 0 and 1, not %v", p))
	}
	if !e.Status.Usable() {
		return e.Without(e.Status)
	}
	within := c.quantileSpan(p)
	e.Value = (within.Lo + within.Hi) / 2
	switch {
	case within.RightCensored():
		e.Value = nan
		e.Warnings = append(e.Warnings, stats.Warn("not-reached", "fewer than %g of 100 had ended by the last check, at %v", 100*p, within.Lo))
	case !within.Exact():
		e.Warnings = append(e.Warnings, stats.Warn("undetermined", "the records only say that it lies between %v and %v", within.Lo, within.Hi))
	}
	places := c.places()
	rejected := func(t float64) bool { return c.holdAt(t).loss(1-p) > 0 }
	first := sort.Search(len(places), func(i int) bool {
		t := places[i].at
		return t > within.Lo || t == within.Hi || !rejected(t)
	})
	after := sort.Search(len(places), func(i int) bool {
		t := places[i].at
		return t > within.Lo && t >= within.Hi && !(within.Exact() && t == within.Hi) && rejected(t)
	})
	e.Lo, e.Hi = places[first].Lo, places[after-1].Hi
	if math.IsInf(e.Hi, 1) {
		e.Warnings = append(e.Warnings, stats.Warn("no-upper-limit", "the records set no upper limit; more observations followed to their end would"))
	}
	return e
}

// A place is a time on record, or a time at between two that follow each other.
type place struct {
	Span
	at float64
}

// places returns the times on record and the gaps around them in order.
func (c TurnbullCurve) places() []place {
	var out []place
	before := 0.0
	for _, t := range c.times() {
		if t > before {
			out = append(out, place{Span{before, t}, (before + t) / 2})
		}
		if t > 0 {
			out = append(out, place{Span{t, t}, t})
		}
		before = t
	}
	return append(out, place{Span{before, math.Inf(1)}, 2*before + 1})
}

// quantileSpan is where the curve itself puts the quantile: one stretch, or from
// one to the next with mass where the curve equals 1-p in between.
func (c TurnbullCurve) quantileSpan(p float64) Span {
	const same = 1e-9
	j := slices.IndexFunc(c.Stretches, func(s Stretch) bool { return 1-s.Survival >= p-same })
	span := c.Stretches[j].Span
	if 1-c.Stretches[j].Survival <= p+same {
		for _, s := range c.Stretches[j+1:] {
			if s.Mass > 0 {
				span.Hi = s.Hi
				break
			}
		}
	}
	return span
}

// times returns every finite time on record in order.
func (c TurnbullCurve) times() []float64 {
	var times []float64
	for _, o := range c.records {
		times = append(times, o.Lo)
		if !o.RightCensored() {
			times = append(times, o.Hi)
		}
	}
	slices.Sort(times)
	return slices.Compact(times)
}
