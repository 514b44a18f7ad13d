package duration

import (
	"math"

	"gravid/stats"
)

// A Step is the product-limit curve from one time to the next.
type Step struct {
	Time     float64
	AtRisk   float64 // with entry < Time <= exit, weights counted
	Events   float64
	Censored float64
	Survival float64 // share still waiting from Time on
	SE       float64 // Greenwood; NaN where Survival is 0
	Lo, Hi   float64 // limits of Survival; NaN where there are none
}

// A Curve is a Kaplan-Meier estimate. Use its numbers through At, Quantile and
// RestrictedMean, which heed its Status; Steps is for drawing and is filled in
// whatever the status.
type Curve struct {
	Steps    []Step // one for each distinct time, in order
	N        int    // observations, weights counted
	Events   int
	Level    float64
	Interval Interval
	Status   stats.Status
	Warnings []stats.Warning
}

// KaplanMeier estimates the share still waiting, from exact and right-censored
// times with late entry and weights (Kaplan & Meier 1958). Observations
// censored at the time of an event count as at risk then; one entering at
// exactly that time does not. The variance is Greenwood's, as for counts if
// there are weights.
//
// Status is Boundary if nothing happened to anyone, and TooLittle for fewer
// than two observations. The error is an *stats.InputError for an observation that
// contradicts itself, is interval-censored or has an origin that is not exact,
// and tells of settings out of range.
func KaplanMeier(obs []Observation, s Settings) (Curve, error) {
	s, err := s.withDefaults()
	if err != nil {
		return Curve{}, err
	}
	n, events, err := checked(obs, refuseInterval)
	if err != nil {
		return Curve{}, err
	}
	c := Curve{Level: s.Level, Interval: s.Interval, N: n, Events: events}
	c.Status, c.Warnings = gate(c.N, c.Events)
	c.climbDown(newRiskWalk(obs, nil))
	return c, nil
}

// gate is the status and warning that the numbers of observations and events
// alone call for.
func gate(n, events int) (stats.Status, []stats.Warning) {
	switch {
	case n == 0:
		return stats.TooLittle, []stats.Warning{stats.Warn("no-observations", "there are no observations")}
	case n == 1:
		return stats.TooLittle, []stats.Warning{stats.Warn("one-observation", "there is one observation only, so nothing can be said of the spread between one and the next")}
	case events == 0:
		return stats.Boundary, []stats.Warning{stats.Warn("no-events", "none of the %d observations had ended when it was last looked at, so there is no upper limit to the time it takes", n)}
	}
	return stats.OK, nil
}

func (c *Curve) climbDown(rows *riskWalk) {
	share, greenwood := 1.0, 0.0
	var beta betaProduct
	c.Steps = make([]Step, 0, rows.len())
	for rows.next() {
		r := &rows.riskRow
		if r.events > 0 {
			share *= (r.atRisk - r.events) / r.atRisk
			greenwood += r.events / (r.atRisk * (r.atRisk - r.events))
			beta = beta.times(r.atRisk, r.events)
		}
		step := Step{Time: r.time, AtRisk: r.atRisk, Events: r.events, Censored: r.censored, Survival: share, SE: nan}
		if share > 0 {
			step.SE = share * math.Sqrt(greenwood)
		}
		if c.Interval == BetaProduct {
			step.Lo, step.Hi = beta.limits(r.left, c.Level)
		}
		c.Steps = append(c.Steps, step)
	}
	if c.Interval == BetaProduct {
		return
	}
	z := normalLimit(c.Level)
	inParallel((len(c.Steps)+rowsTogether-1)/rowsTogether, func(k int) {
		for i := k * rowsTogether; i < min((k+1)*rowsTogether, len(c.Steps)); i++ {
			s := &c.Steps[i]
			s.Lo, s.Hi = c.Interval.limits(s.Survival, s.SE, z)
		}
	})
}

func (c Curve) estimate(what string) stats.Estimate {
	return stats.Estimate{
		Level: c.Level, Attained: nan, N: c.N, Events: c.Events,
		Method: what + ", " + c.Interval.String() + " limits", Status: c.Status,
		Warnings: append([]stats.Warning(nil), c.Warnings...),
	}
}

// At returns the share still waiting at time t with its limits.
//
// After the last time on record it has no value unless the curve has come down
// to 0. Where the curve is still at 1 the limits have no width (but for
// BetaProduct) and a warning says so; where it is 0 they are NaN.
func (c Curve) At(t float64) stats.Estimate {
	e := c.estimate("Kaplan-Meier")
	if !e.Status.Usable() {
		return e.Without(e.Status)
	}
	i := lastAtOrBefore(len(c.Steps), func(i int) float64 { return c.Steps[i].Time }, t)
	if i < 0 {
		return c.beforeFirst(e)
	}
	s := c.Steps[i]
	if end := len(c.Steps) - 1; i == end && t > s.Time && s.Survival > 0 {
		return e.Without(e.Status, stats.Warn("beyond-records", "nobody was followed beyond %v", s.Time))
	}
	e.Value, e.Lo, e.Hi = s.Survival, s.Lo, s.Hi
	switch {
	case s.Survival == 1 && c.Interval != BetaProduct:
		e.Warnings = append(e.Warnings, noWidth())
	case math.IsNaN(s.Lo):
		e.Warnings = append(e.Warnings, stats.Warn("curve-at-zero", "everyone at risk had ended by then, and this kind of limits does not exist there; the beta product limits do"))
	}
	return e
}

// beforeFirst is the estimate before anything is on record.
func (c Curve) beforeFirst(e stats.Estimate) stats.Estimate {
	e.Value, e.Lo, e.Hi = 1, 1, 1
	if c.Interval == BetaProduct {
		e.Lo, e.Hi = betaProduct{}.limits(c.Steps[0].AtRisk, c.Level)
		return e
	}
	e.Warnings = append(e.Warnings, noWidth())
	return e
}

func noWidth() stats.Warning {
	return stats.Warn("no-event-yet", "nothing had happened by then, and this kind of limits has no width there; the beta product limits do")
}

// sameShare is how near a curve must come to a share to count as equal to it,
// as in R's survfit.
const sameShare = 1.5e-8

// Quantile returns the time by which the share p is no longer waiting, with
// limits read off the limits of the curve (Brookmeyer & Crowley 1982).
//
// It is the first time at which the curve is at or below 1-p, and the middle of
// the flat stretch if the curve equals 1-p there, as in R's survfit. Where the
// curve or a limit does not come down so far the number is NaN (Value, Lo) or
// +Inf (Hi), and a warning says so. p lies between 0 and 1.
func (c Curve) Quantile(p float64) stats.Estimate {
	e := c.estimate("Kaplan-Meier quantile")
	if !(p > 0 && p < 1) {
		return e.Without(stats.NotComputed, stats.Warn("bad-share", "the share must lie between 0 and 1, not %v", p))
	}
	if !e.Status.Usable() {
		return e.Without(e.Status)
	}
	e.Value = c.crossing(p, func(s Step) float64 { return s.Survival })
	e.Lo = c.crossing(p, func(s Step) float64 { return s.Lo })
	e.Hi = c.crossing(p, func(s Step) float64 { return s.Hi })
	if math.IsNaN(e.Value) {
		e.Warnings = append(e.Warnings, stats.Warn("not-reached", "fewer than %g of 100 had ended by the end of the records at %v", 100*p, c.Steps[len(c.Steps)-1].Time))
	}
	if math.IsNaN(e.Hi) {
		e.Hi = math.Inf(1)
		e.Warnings = append(e.Warnings, stats.Warn("no-upper-limit", "the records set no upper limit; more observations followed to their end would"))
	}
	return e
}

// crossing is the rule of Quantile for one of the curves, skipping steps where
// it is undefined.
func (c Curve) crossing(p float64, of func(Step) float64) float64 {
	reached, passed, most := nan, nan, 0.0
	for _, s := range c.Steps {
		gone := 1 - of(s)
		if math.IsNaN(gone) {
			continue
		}
		most = math.Max(most, gone)
		if math.IsNaN(reached) && gone >= p-sameShare {
			reached = s.Time
		}
		if gone >= p+sameShare {
			passed = s.Time
			break
		}
	}
	if math.IsNaN(passed) && math.Abs(most-p) < sameShare {
		passed = c.Steps[len(c.Steps)-1].Time
	}
	return (reached + passed) / 2
}

// RestrictedMean returns the mean waiting time up to tau: the area under the
// curve from 0 to tau, with normal limits cut at 0 and tau. Beyond the end of
// the records the curve is carried on flat, and a warning says so.
func (c Curve) RestrictedMean(tau float64) stats.Estimate {
	e := c.estimate("Kaplan-Meier restricted mean")
	e.Method = "area under Kaplan-Meier, normal limits"
	if !(tau > 0) || math.IsInf(tau, 1) {
		return e.Without(stats.NotComputed, stats.Warn("bad-time", "the end of the restricted mean must be positive and finite, not %v", tau))
	}
	if !e.Status.Usable() {
		return e.Without(e.Status)
	}
	var se float64
	e.Value, se = c.area(tau)
	z := normalLimit(c.Level)
	e.Lo, e.Hi = math.Max(e.Value-z*se, 0), math.Min(e.Value+z*se, tau)
	if last := c.Steps[len(c.Steps)-1]; tau > last.Time && last.Survival > 0 {
		e.Warnings = append(e.Warnings, stats.Warn("beyond-records", "nobody was followed beyond %v; from there to %v the share still waiting is taken not to change", last.Time, tau))
	}
	if se == 0 {
		e.Warnings = append(e.Warnings, stats.Warn("no-event-yet", "nothing had happened by then, so the limits have no width"))
	}
	return e
}

// area returns the area under the curve up to tau and its standard error, the
// root of the sum of d A^2 / (n (n-d)) with A the area from the event on.
func (c Curve) area(tau float64) (area, se float64) {
	end, below := tau, 0.0
	var variance float64
	for i := len(c.Steps) - 1; i >= 0; i-- {
		s := c.Steps[i]
		if s.Time >= tau {
			continue
		}
		below += (end - s.Time) * s.Survival
		end = s.Time
		if s.AtRisk > s.Events {
			variance += s.Events * below * below / (s.AtRisk * (s.AtRisk - s.Events))
		}
	}
	return below + end, math.Sqrt(variance)
}
