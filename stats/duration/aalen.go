package duration

import (
	"fmt"
	"math"
	"slices"

	"gravid/stats"
)

// An IncidenceStep is the state of all subjects from one time to the next.
// Incidence, SE and Events are in the order of Incidence.Causes.
type IncidenceStep struct {
	Time      float64
	AtRisk    float64 // with entry < Time <= exit, weights counted
	Events    []float64
	Left      float64 // still at risk just after Time
	EventFree float64
	FreeSE    float64
	Incidence []float64
	SE        []float64
}

// An Incidence is the Aalen-Johansen estimate of how many went by each of
// several causes that rule each other out. Use its numbers through At and
// EventFree, which heed its Status.
type Incidence struct {
	Causes   []int // in ascending order
	Steps    []IncidenceStep
	N        int
	Events   int
	ByCause  []int // events by cause
	Level    float64
	Interval Interval
	Status   stats.Status
	Warnings []stats.Warning
}

// AalenJohansen estimates the cumulative incidence of each cause from exact and
// right-censored times with late entry and weights (Aalen & Johansen 1978).
// Every exact time needs a Cause of at least 1. At any time the incidences and
// the share free of events add up to 1; taking other causes for censored and
// one minus Kaplan-Meier would add up to more.
//
// The variance is the delta-method one (Greenwood type, as in R's etm), the
// same as Kaplan-Meier's where there is one cause, or that of Settings.Aalen.
// Limits are those of
// Settings.Interval for one minus the incidence, other than BetaProduct, which
// is not known for it and refused. Status and errors are those of KaplanMeier.
func AalenJohansen(obs []Observation, s Settings) (Incidence, error) {
	s, err := s.withDefaults()
	if err != nil {
		return Incidence{}, err
	}
	if s.Interval == BetaProduct {
		return Incidence{}, fmt.Errorf("beta product limits do not exist for competing causes")
	}
	n, events, err := checked(obs, func(o Observation) string {
		if o.Exact() && o.Cause == 0 {
			return "it has an event without a cause"
		}
		return refuseInterval(o)
	})
	if err != nil {
		return Incidence{}, err
	}
	a := Incidence{Level: s.Level, Interval: s.Interval, Causes: causesOf(obs), N: n, Events: events}
	a.Status, a.Warnings = gate(a.N, a.Events)
	a.ByCause = make([]int, len(a.Causes))
	a.accumulate(newRiskWalk(obs, a.Causes), s.Aalen)
	return a, nil
}

// causesOf are the causes in ascending order, 0 not being one.
func causesOf(obs []Observation) []int {
	causes := distinct(len(obs), func(i int) int { return obs[i].Cause })
	return slices.DeleteFunc(causes, func(c int) bool { return c <= 0 })
}

// covariances of one cause's incidence F and of the share free of events S.
type covariances struct{ ss, sf, ff float64 }

// after returns the covariances after a time with d events, dk of this cause,
// among n at risk, free being S just before: those of S(1-d/n) and F + S dk/n,
// with the multinomial covariances of d/n and dk/n.
func (v covariances) after(free, n, d, dk float64) covariances {
	q, qk, m := d/n, dk/n, free*free/n
	return covariances{
		ss: square(1-q)*v.ss + m*q*(1-q),
		sf: (1-q)*(v.sf+qk*v.ss) - m*qk*(1-q),
		ff: v.ff + 2*qk*v.sf + qk*qk*v.ss + m*qk*(1-qk),
	}
}

// An aalen holds the sums of the variance of one cause's incidence as Gray's test
// reckons it.
type aalen struct{ v1, v2, v3 float64 }

// add adds what a time has in the variance that d events have, by the cause if own. The
// share of the cause is that after it.
func (v *aalen) add(own bool, t *aalenTime, share, d float64) {
	if d == 0 || !own && t.after == 0 {
		return
	}
	size, part := t.size(d), 0.0
	if t.after > 0 {
		part = share / t.after
	}
	if own {
		part++
	}
	v.v1 += part * part * size
	v.v2 += t.rest * part * size
	v.v3 += t.restSquare * size
}

func (v *aalen) se(share float64) float64 {
	return math.Sqrt(max(v.v1+share*share*v.v3-2*share*v.v2, 0))
}

// An aalenTime is what all causes have in common at a time with n at risk: the share
// free of events before and after it.
type aalenTime struct {
	before, after, n float64
	rest, restSquare float64 // 1 over after, 0 where that is 0
	d, last          float64 // size of d, the last asked for
}

func newAalenTime(before, after, n float64) aalenTime {
	t := aalenTime{before: before, after: after, n: n}
	if after > 0 {
		t.rest = 1 / after
	}
	t.restSquare = t.rest * t.rest
	return t
}

// size is the variance of d events among those at risk, with a correction for ties.
func (t *aalenTime) size(d float64) float64 {
	if d != t.d {
		t.d, t.last = d, t.before*t.before*d/(t.n*t.n)
		if d > 1 {
			t.last *= 1 - (d-1)/(t.n-1)
		}
	}
	return t.last
}

func (a *Incidence) accumulate(rows *riskWalk, byAalen bool) {
	free, freeVariance := 1.0, 0.0
	n := len(a.Causes)
	share, se, total := make([]float64, n), make([]float64, n), make([]float64, n)
	cov, sums := make([]covariances, n), make([]aalen, n)
	a.Steps = make([]IncidenceStep, rows.len())
	cells := make([]float64, 3*n*len(a.Steps)) // of all steps, Events, SE and Incidence in turn
	for i := range a.Steps {
		rows.next()
		r, step := &rows.riskRow, &a.Steps[i]
		step.Time, step.AtRisk, step.Left = r.time, r.atRisk, r.left
		step.Events, step.SE, step.Incidence = cells[:n:n], cells[n:2*n:2*n], cells[2*n:3*n:3*n]
		cells = cells[3*n:]
		copy(step.Events, r.byCause)
		if r.events > 0 {
			now := newAalenTime(free, free*(r.atRisk-r.events)/r.atRisk, r.atRisk)
			for k, d := range r.byCause {
				share[k] += free * d / r.atRisk
				total[k] += d
				if byAalen {
					sums[k].add(false, &now, share[k], r.events-d)
					sums[k].add(true, &now, share[k], d)
					se[k] = sums[k].se(share[k])
				} else {
					cov[k] = cov[k].after(free, r.atRisk, r.events, d)
					se[k] = math.Sqrt(max(cov[k].ff, 0))
				}
			}
			freeVariance = covariances{ss: freeVariance}.after(free, r.atRisk, r.events, 0).ss
			free *= (r.atRisk - r.events) / r.atRisk
		}
		step.EventFree, step.FreeSE = free, math.Sqrt(freeVariance)
		copy(step.SE, se)
		copy(step.Incidence, share)
	}
	for k, d := range total {
		a.ByCause[k] = int(math.Ceil(d - 0.5))
	}
}

func (a Incidence) estimate(what string, events int) stats.Estimate {
	return stats.Estimate{
		Level: a.Level, Attained: nan, N: a.N, Events: events,
		Method: what + ", " + a.Interval.String() + " limits", Status: a.Status,
		Warnings: slices.Clone(a.Warnings),
	}
}

// at finds the step that holds at time t (nil before the first) and reports
// false where nobody was followed so far.
func (a Incidence) at(t float64) (*IncidenceStep, bool) {
	i := lastAtOrBefore(len(a.Steps), func(i int) float64 { return a.Steps[i].Time }, t)
	if i < 0 {
		return nil, true
	}
	s := &a.Steps[i]
	return s, t == s.Time || i < len(a.Steps)-1 || s.EventFree == 0
}

// At returns the share that went by the cause up to time t with its limits.
//
// While the cause has not yet struck, the lower limit is 0 and the upper one
// that of "none of n" (Clopper & Pearson 1934) with n the number who were
// followed beyond t. After the last time on record the share has no value
// unless nobody is left. A cause nobody went by is an estimate of 0 events.
func (a Incidence) At(cause int, t float64) stats.Estimate {
	k, known := slices.BinarySearch(a.Causes, cause)
	events := 0
	if known {
		events = a.ByCause[k]
	}
	e := a.estimate("Aalen-Johansen", events)
	if !e.Status.Usable() {
		return e.Without(e.Status)
	}
	s, followed := a.at(t)
	if !followed {
		return e.Without(e.Status, stats.Warn("beyond-records", "nobody was followed beyond %v", s.Time))
	}
	if s == nil || !known || s.Incidence[k] == 0 {
		return a.noneSoFar(e, s)
	}
	e.Value = s.Incidence[k]
	e.Lo, e.Hi = a.around(e.Value, s.SE[k])
	if math.IsNaN(e.Lo) {
		e.Warnings = append(e.Warnings, stats.Warn("all-by-one-cause", "everyone had gone by this cause, and this kind of limits does not exist there"))
	}
	return e
}

// around puts limits round an incidence by those of one minus it.
func (a Incidence) around(share, se float64) (lo, hi float64) {
	lo, hi = a.Interval.limits(1-share, se, normalLimit(a.Level))
	return 1 - hi, 1 - lo
}

func (a Incidence) noneSoFar(e stats.Estimate, s *IncidenceStep) stats.Estimate {
	left := a.Steps[0].AtRisk
	if s != nil {
		left = s.Left
	}
	e.Value, e.Lo, e.Hi = 0, 0, 1
	if left > 0 {
		e.Hi = -math.Expm1(math.Log((1-a.Level)/2) / left)
	}
	e.Warnings = append(e.Warnings, stats.Warn("none-yet", "nobody had gone by this cause by then; the upper limit is that of none of the %v followed further", left))
	return e
}

// EventFree returns the share that had gone by no cause at time t: Kaplan-Meier
// for all causes together.
func (a Incidence) EventFree(t float64) stats.Estimate {
	e := a.estimate("Kaplan-Meier of all causes", a.Events)
	if !e.Status.Usable() {
		return e.Without(e.Status)
	}
	s, followed := a.at(t)
	switch {
	case !followed:
		return e.Without(e.Status, stats.Warn("beyond-records", "nobody was followed beyond %v", s.Time))
	case s == nil || s.EventFree == 1:
		e.Value, e.Lo, e.Hi = 1, 1, 1
		e.Warnings = append(e.Warnings, noWidth())
	default:
		e.Value = s.EventFree
		e.Lo, e.Hi = a.Interval.limits(s.EventFree, s.FreeSE, normalLimit(a.Level))
		if math.IsNaN(e.Lo) {
			e.Warnings = append(e.Warnings, stats.Warn("curve-at-zero", "everyone at risk had ended by then, and limits do not exist there"))
		}
	}
	return e
}
