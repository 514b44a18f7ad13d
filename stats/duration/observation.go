package duration

import (
	"fmt"
	"math"

	"gravid/stats"
)

// A Span brackets when something happened: after Lo, by Hi.
//
// Hi is +Inf if it had not happened when last looked for (right-censored).
// Lo == Hi if it was seen to happen. Lo of 0 or -Inf means that it had already
// happened at the first look (left-censored). The span is half-open, (Lo, Hi].
type Span struct{ Lo, Hi float64 }

// Exact reports whether the moment itself is known.
func (s Span) Exact() bool { return s.Lo == s.Hi }

// RightCensored reports whether nothing had happened when last looked for.
func (s Span) RightCensored() bool { return math.IsInf(s.Hi, 1) }

// An Observation is one subject (a clutch, a batch of fry) and what is known of
// its waiting time.
type Observation struct {
	// Span is when the event happened, on a clock of the caller's.
	Span
	// Origin is when the waiting began, on the same clock. The zero value
	// means that the clock starts with it. An Origin with Lo < Hi makes the
	// observation doubly interval-censored; only FitAFT takes that.
	Origin Span
	// Entry is when the subject came under observation, on the same clock. It
	// was then still waiting, and would not have been recorded otherwise (left
	// truncation). An Entry at or before the origin means from the start.
	Entry float64
	// Weight is the number of subjects the observation stands for. 0 (unset)
	// counts as 1.
	Weight float64
	// Cause numbers the kind of event, from 1. 0 means that there was no event,
	// or that its kind does not matter to the method.
	Cause int
}

// Check returns an *stats.InputError (with Index 0) if the observation contradicts
// itself, and nil otherwise.
func (o Observation) Check() error {
	if reason := o.contradiction(); reason != "" {
		return &stats.InputError{Reason: reason}
	}
	return nil
}

func (o Observation) contradiction() string {
	switch {
	case math.IsNaN(o.Lo) || math.IsNaN(o.Hi):
		return "a limit of the time is not a number"
	case o.Lo > o.Hi:
		return fmt.Sprintf("it cannot have happened after %v and by %v", o.Lo, o.Hi)
	case math.IsInf(o.Lo, 1) || math.IsInf(o.Hi, -1):
		return "the time is infinite"
	case !(o.Origin.Lo <= o.Origin.Hi) || math.IsInf(o.Origin.Lo, 0) || math.IsInf(o.Origin.Hi, 0):
		return fmt.Sprintf("the origin cannot lie between %v and %v", o.Origin.Lo, o.Origin.Hi)
	case o.Hi < o.Origin.Lo:
		return fmt.Sprintf("it happened by %v, before the origin at %v", o.Hi, o.Origin.Lo)
	case math.IsNaN(o.Entry) || math.IsInf(o.Entry, 1):
		return "the entry is not a number"
	case !(o.Weight >= 0) || math.IsInf(o.Weight, 1):
		return fmt.Sprintf("the weight cannot be %v", o.Weight)
	case o.Cause < 0:
		return fmt.Sprintf("the cause cannot be %d", o.Cause)
	case o.RightCensored() && o.Cause != 0:
		return fmt.Sprintf("it has cause %d but no event", o.Cause)
	case o.late() && o.Entry >= o.Hi:
		return fmt.Sprintf("it came under observation at %v, not before the event at %v", o.Entry, o.Hi)
	case o.late() && o.RightCensored() && o.Entry >= o.Lo:
		return fmt.Sprintf("it came under observation at %v, not before it was last looked at, at %v", o.Entry, o.Lo)
	}
	return ""
}

// late reports whether the subject came under observation after its origin.
func (o Observation) late() bool { return o.Entry > o.Origin.Lo }

// weight is Weight with its zero value filled in.
func (o *Observation) weight() float64 {
	if o.Weight == 0 {
		return 1
	}
	return o.Weight
}

// fromOrigin moves the clock so that it starts with the origin, which must be
// exact. An entry from the start becomes -Inf, and a lower limit of no
// information 0.
func (o Observation) fromOrigin() Observation {
	u := o.Origin.Lo
	if !o.late() {
		o.Entry = math.Inf(-1)
	}
	o.Lo, o.Hi, o.Entry = math.Max(o.Lo-u, 0), o.Hi-u, o.Entry-u
	o.Origin = Span{}
	o.Weight = o.weight()
	return o
}

// sinceOrigin checks every observation, refuses an origin that is not exact and
// whatever refuse objects to (it returns "" if it does not), and moves all
// clocks to the origin.
func sinceOrigin(obs []Observation, refuse func(Observation) string) ([]Observation, error) {
	out := make([]Observation, len(obs))
	for i, o := range obs {
		if reason := o.refused(refuse); reason != "" {
			return nil, &stats.InputError{Index: i, Reason: reason}
		}
		out[i] = o.fromOrigin()
	}
	return out, nil
}

// refused is what sinceOrigin has against the observation, "" if nothing.
func (o Observation) refused(refuse func(Observation) string) string {
	if reason := o.contradiction(); reason != "" {
		return reason
	}
	if !o.Origin.Exact() {
		return fmt.Sprintf("the origin is known only to lie between %v and %v, which only the regression can use", o.Origin.Lo, o.Origin.Hi)
	}
	return refuse(o)
}

// checked is sinceOrigin without moving clocks. It returns the numbers of counts. What
// refuse objects to must be a span that is neither exact nor right-censored, a late entry
// or an event without a cause; it is not asked where there is none of these.
func checked(obs []Observation, refuse func(Observation) string) (n, events int, err error) {
	var total, happened float64
	for i := range obs {
		o := &obs[i]
		if !o.ordinary() || o.Cause == 0 && o.Hi == o.Lo {
			if reason := o.refused(refuse); reason != "" {
				return 0, 0, &stats.InputError{Index: i, Reason: reason}
			}
		}
		weight := o.weight()
		total += weight
		if !o.RightCensored() {
			happened += weight
		}
	}
	n, events = roundCounts(len(obs), total, happened)
	return n, events, nil
}

// ordinary reports whether nothing contradicts itself, the clock starts with the origin,
// the time is exact or right-censored and the weight is 1, as it mostly is.
func (o *Observation) ordinary() bool {
	return o.Origin == Span{} && o.Entry <= 0 && (o.Weight == 0 || o.Weight == 1) &&
		o.Lo >= 0 && o.Lo <= math.MaxFloat64 && o.Cause >= 0 &&
		(o.Hi == o.Lo || o.Hi > math.MaxFloat64 && o.Cause == 0)
}

// refuseInterval objects to a time that is neither exact nor right-censored.
func refuseInterval(o Observation) string {
	if o.Exact() || o.RightCensored() {
		return ""
	}
	return fmt.Sprintf("the time is known only to lie between %v and %v, and this method needs exact or right-censored times; use Turnbull or FitAFT", o.Lo, o.Hi)
}

// exit is when an exact or right-censored observation leaves the risk set.
func (o Observation) exit() float64 { return o.Lo }

// counts returns the number of subjects and of events, weights included; any
// observation at all counts as one subject at least.
func counts(obs []Observation) (n, events int) {
	var total, happened float64
	for _, o := range obs {
		total += o.weight()
		if !o.RightCensored() {
			happened += o.weight()
		}
	}
	return roundCounts(len(obs), total, happened)
}

func roundCounts(rows int, total, happened float64) (n, events int) {
	return max(int(math.Round(total)), min(rows, 1)), int(math.Ceil(happened - 0.5))
}
