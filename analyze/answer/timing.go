package answer

import (
	"fmt"
	"gravid/stats/count"
	"math"
	"slices"

	"gravid/analyze/exposure"
	"gravid/analyze/reference"
	"gravid/ingest/club"
	"gravid/stats"
	"gravid/stats/duration"
)

// A Stage is an event in the life of a clutch.
type Stage string

const (
	Lay          Stage = "lay"
	Hatch        Stage = "hatch"
	FreeSwimming Stage = "free-swimming"
)

// Words returns the stage as people read it.
func (s Stage) Words() string {
	return map[Stage]string{Lay: "laying", Hatch: "hatching", FreeSwimming: "free swimming"}[s]
}

// Timing is how long one stage of a species' clutches takes to the next, in days.
// The JSON names are fixed.
type Timing struct {
	Species   string             `json:"species"`
	From      Stage              `json:"from"`
	To        Stage              `json:"to"`
	Status    string             `json:"status"`
	Reason    string             `json:"reason,omitempty"`
	N         int                `json:"n"`
	Events    int                `json:"events"`
	Censored  int                `json:"censored"` // still running, removed deliberately, or no longer followed
	Lost      int                `json:"lost"`
	LeftOut   []exposure.LeftOut `json:"left_out"`
	Quantiles []TimeQuantile     `json:"quantiles"`
	At        []AtTemperature    `json:"at"`
	Incidence []IncidencePoint   `json:"incidence"`
	PerDegree Interval           `json:"time_ratio_per_degree"` // time per °C warmer; below 1 = faster
	Seen      [2]Num             `json:"temperature_seen_c"`    // lowest and highest temperature on record
	Methods   []string           `json:"methods,omitempty"`
	Notes     []string           `json:"notes,omitempty"`
	Curve     []CurvePoint       `json:"curve"`   // share of the clutches that have reached the stage
	Course    []CoursePoint      `json:"course"`  // what became of all clutches, step by step
	AtRisk    []DayCount         `json:"at_risk"` // where the clutches stood, at round days
	Grouped   *Grouped           `json:"by,omitempty"`
	Published []reference.Range  `json:"published,omitempty"` // from elsewhere, as a reference
}

// TimeQuantile is the time by which a share p of the clutches that get there has
// reached the stage.
type TimeQuantile struct {
	P        float64 `json:"p"`
	Estimate Num     `json:"estimate"`
	Low      Num     `json:"low"`
	High     Num     `json:"high"`
}

// AtTemperature is the time at one temperature: the median with its interval, and
// where the next clutch should fall. TemperatureC is null where temperature
// plays no part.
type AtTemperature struct {
	TemperatureC Num      `json:"temperature_c"`
	Median       Interval `json:"median"`
	Interval80   [2]Num   `json:"interval_80"`
	Interval90   [2]Num   `json:"interval_90"`
}

// IncidencePoint is the share of all clutches for which a cause had ended the
// waiting by a time.
type IncidencePoint struct {
	Cause    string `json:"cause"`
	AtDays   Num    `json:"at_days"`
	Estimate Num    `json:"estimate"`
	Low      Num    `json:"low"`
	High     Num    `json:"high"`
}

// CurvePoint is a step of the curve for a plot.
type CurvePoint struct {
	Days   Num `json:"days"`
	Share  Num `json:"share"`
	Low    Num `json:"low"`
	High   Num `json:"high"`
	AtRisk int `json:"at_risk"`
}

// fewestTimes is how many clutches must have reached a stage before times are
// worked out from a model.
const fewestTimes = 5

// slopeRange is the span of temperatures, in °C, that records must cover before a
// slope with temperature is estimated.
const slopeRange = 1.5

// waiting is one clutch on its way from one stage to another, in days since its
// earliest possible start.
type waiting struct {
	obs         duration.Observation
	middle      float64 // middle of the possible waiting times, or when it was last followed
	temperature float64 // NaN = not recorded
	cause       string  // empty: reached or still running
	reached     bool
}

// Timing answers how long the clutches of a species take from one stage to
// another. at is a temperature in °C to answer for, NaN for the middle of those
// on record.
//
// Both ends are known only to lie between two checks, so the times are doubly
// interval-censored: a lognormal accelerated failure time model takes them as
// such, with clutches lost on the way taken as not followed further. The shares
// of what became of the clutches are Aalen-Johansen estimates at the middles of
// the intervals.
func (k Asker) Timing(species string, from, to Stage, at float64) Timing {
	k = k.withDefaults()
	t := Timing{Species: species, From: from, To: to, Status: "ok", PerDegree: NoInterval(), Seen: [2]Num{unknown, unknown},
		LeftOut: []exposure.LeftOut{}, Quantiles: []TimeQuantile{}, At: []AtTemperature{}, Incidence: []IncidencePoint{}, Curve: []CurvePoint{}, Course: []CoursePoint{}, AtRisk: []DayCount{}}
	t.Published = reference.Published(species, string(from)+"-"+string(to))
	list := k.waitings(&t, from, to)
	switch {
	case reference.IsLivebearing(species):
		t.Status, t.Reason = "not-asked", "the young of this species are born, so there are no eggs to time"
		return t
	case reference.IsAnnual(species) && from == Lay:
		t.Status, t.Reason = "not-asked", "the eggs of annual killifish hatch when the keeper wets them, so the time from laying measures the keeper"
		return t
	case t.N == 0:
		t.Status, t.Reason = "too-little", fmt.Sprintf("no clutch of %s has dates for %s and what came after", species, from.Words())
		return t
	case t.Events == 0:
		t.Status, t.Reason = "too-little", fmt.Sprintf("none of %d clutches is on record as having reached %s", t.N, to.Words())
		return t
	}
	k.incidence(&t, list)
	if t.Events < fewestTimes {
		t.Status, t.Reason = "too-little", fmt.Sprintf("%d of %d clutches reached %s; fewer than %d say little about the next one", t.Events, t.N, to.Words(), fewestTimes)
		t.singles(list)
		return t
	}
	k.model(&t, list, at)
	return t
}

// Timings answers for the three pairs of stages.
func (k Asker) Timings(species string, at float64) []Timing {
	return []Timing{
		k.Timing(species, Lay, Hatch, at),
		k.Timing(species, Hatch, FreeSwimming, at),
		k.Timing(species, Lay, FreeSwimming, at),
	}
}

// span is when an event of a clutch happened: after From, by To.
func (s Stage) span(c *club.Clutch) (from, to club.When) {
	switch s {
	case Lay:
		return c.LaidFrom, c.LaidTo
	case Hatch:
		return c.HatchFrom, c.HatchTo
	}
	return c.SwimFrom, c.SwimTo
}

func (k Asker) waitings(t *Timing, from, to Stage) []waiting {
	var list []waiting
	out := func(reason string) { t.LeftOut = addReason(t.LeftOut, reason) }
	for i := range k.Records.Clutches {
		c := &k.Records.Clutches[i]
		if c.Species != t.Species {
			continue
		}
		start0, start1 := from.span(c)
		if !start0.OK || !start1.OK {
			out("no date of " + from.Words())
			continue
		}
		days := func(w club.When) float64 { return w.V.Sub(start0.V).Hours() / 24 }
		w := waiting{temperature: recordedNumber(c.TemperatureC)}
		w.obs.Origin = duration.Span{Lo: 0, Hi: days(start1)}
		end0, end1 := to.span(c)
		last, lost := k.followed(c)
		switch {
		case end0.OK && end1.OK:
			w.reached = true
			w.obs.Span = duration.Span{Lo: max(days(end0), 0), Hi: days(end1)}
			w.middle = (days(end0)+days(end1))/2 - days(start1)/2
		case lost && last.OK:
			w.obs.Span = duration.Span{Lo: max(days(last), 0), Hi: math.Inf(1)}
			w.middle = days(last) - days(start1)/2
			if c.Loss != club.RemovedDeliberately {
				w.cause = c.Loss
				if w.cause == "" {
					w.cause = "unknown"
				}
			}
		case last.OK:
			w.obs.Span = duration.Span{Lo: max(days(last), 0), Hi: math.Inf(1)}
			w.middle = days(last) - days(start1)/2
		default:
			out("no date of " + to.Words() + ", of loss or of the last look")
			continue
		}
		if w.obs.Hi <= w.obs.Origin.Lo || w.reached && w.obs.Hi < w.obs.Lo {
			out(to.Words() + " dated before " + from.Words())
			continue
		}
		w.middle = max(w.middle, 0)
		t.N++
		switch {
		case w.reached:
			t.Events++
		case w.cause != "":
			t.Lost++
		default:
			t.Censored++
		}
		list = append(list, w)
	}
	return list
}

// followed returns when a clutch was last known to be alive or was lost.
func (k Asker) followed(c *club.Clutch) (last club.When, lost bool) {
	if c.LostAt.OK {
		return c.LostAt, true
	}
	last = c.LastSeen
	for _, w := range []club.When{c.LaidTo, c.HatchTo, c.SwimTo} {
		if w.OK && (!last.OK || w.V.After(last.V)) {
			last = w
		}
	}
	return last, c.Loss != ""
}

func recordedNumber(n club.Number) float64 {
	if !n.OK {
		return math.NaN()
	}
	return n.V
}

func addReason(list []exposure.LeftOut, reason string) []exposure.LeftOut {
	for i := range list {
		if list[i].Reason == reason {
			list[i].N++
			return list
		}
	}
	return append(list, exposure.LeftOut{Reason: reason, N: 1})
}

// incidence fills in what became of the clutches and the curve for a plot.
func (k Asker) incidence(t *Timing, list []waiting) {
	causes := []string{}
	for _, w := range list {
		if w.cause != "" && !slices.Contains(causes, w.cause) {
			causes = append(causes, w.cause)
		}
	}
	slices.Sort(causes)
	obs := make([]duration.Observation, len(list))
	end := 0.0
	ends := make([]float64, len(list))
	for i, w := range list {
		// Follow the resolution of the records: two middles of the same checks are ties.
		at := math.Round(w.middle*48) / 48
		end, ends[i] = max(end, at), at
		o := duration.Observation{Span: duration.Span{Lo: at, Hi: math.Inf(1)}}
		if w.reached || w.cause != "" {
			o.Hi = at
			o.Cause = 1
			if w.cause != "" {
				o.Cause = 2 + slices.Index(causes, w.cause)
			}
		}
		obs[i] = o
	}
	a, err := duration.AalenJohansen(obs, duration.Settings{Level: k.Level})
	if err != nil || !a.Status.Usable() {
		return
	}
	for _, cause := range a.Causes {
		e := a.At(cause, end)
		name := string(t.To)
		if cause > 1 {
			name = causes[cause-2]
		}
		t.Incidence = append(t.Incidence, IncidencePoint{name, Num(end), Num(e.Value), Num(e.Lo), Num(e.Hi)})
	}
	t.Curve = append(t.Curve, CurvePoint{Days: 0, Share: 0, Low: 0, High: 0, AtRisk: len(list)})
	for _, s := range a.Steps {
		if j := slices.Index(a.Causes, 1); j < 0 || s.Events[j] == 0 {
			continue
		}
		e := a.At(1, s.Time)
		t.Curve = append(t.Curve, CurvePoint{Num(s.Time), Num(e.Value), Num(e.Lo), Num(e.Hi), int(math.Round(s.AtRisk))})
	}
	k.course(t, list, ends)
	t.Methods = append(t.Methods, "What became of the clutches: Aalen-Johansen with log(-log) limits, at the middle of each interval between checks; clutches removed deliberately or still running count as not followed further.")
}

// singles notes the few times there are, as intervals.
func (t *Timing) singles(list []waiting) {
	for _, w := range list {
		if w.reached {
			t.Notes = append(t.Notes, fmt.Sprintf("one clutch: between %s and %s days", trim(max(w.obs.Lo-w.obs.Origin.Hi, 0)), trim(w.obs.Hi)))
		}
	}
}

// model fits the lognormal model, with temperature where the records span enough
// of it, and fills in quantiles and what to expect of the next clutch.
func (k Asker) model(t *Timing, list []waiting, at float64) {
	obs := make([]duration.Observation, len(list))
	temps := []float64{}
	for i, w := range list {
		obs[i] = w.obs
		if !math.IsNaN(w.temperature) {
			temps = append(temps, w.temperature)
		}
	}
	withTemperature := len(temps) >= len(list)*4/5 && len(temps) >= 8
	if len(temps) > 0 {
		t.Seen = [2]Num{Num(slices.Min(temps)), Num(slices.Max(temps))}
		withTemperature = withTemperature && slices.Max(temps)-slices.Min(temps) >= slopeRange
	}
	var covariates []duration.Covariate
	middle := math.NaN()
	if withTemperature {
		middle = count.Quantile(temps, 0.5)
		values := make([]float64, len(list))
		for i, w := range list {
			values[i] = w.temperature - middle
			if math.IsNaN(w.temperature) {
				values[i] = 0
			}
		}
		covariates = []duration.Covariate{{Name: "temperature", Values: values}}
		if n := len(list) - len(temps); n > 0 {
			t.Notes = append(t.Notes, fmt.Sprintf("the temperature of %d of %d clutches is not known; the middle one, %s °C, stands in", n, len(list), trim(middle)))
		}
	}
	m, err := duration.FitAFT(obs, covariates, duration.AFTSettings{Level: k.Level, PenaliseSpread: true})
	if err == nil && !m.Status.Usable() && covariates != nil {
		t.Notes = append(t.Notes, "a slope with temperature could not be told from these records")
		covariates, middle = nil, math.NaN()
		m, err = duration.FitAFT(obs, nil, duration.AFTSettings{Level: k.Level, PenaliseSpread: true})
	}
	if err != nil || !m.Status.Usable() {
		t.Status, t.Reason = "fit-failed", "the times could not be worked out"
		if err != nil {
			t.Reason = err.Error()
		} else {
			t.Status = m.Status.String()
		}
		for _, w := range m.Warnings {
			t.Notes = append(t.Notes, w.Text)
		}
		return
	}
	for _, w := range m.Warnings {
		text := w.Text
		if w.Code == "coarse-checks" {
			text += " (numbers in days)"
		}
		t.Notes = append(t.Notes, text)
	}
	t.Methods = append(t.Methods, "Times: lognormal accelerated failure time model; both ends known only to lie between two checks (doubly interval-censored), laying as likely at any hour of its interval: where fish lay at dawn and are looked at in the evening or the morning, times from laying come out up to half a day too long; clutches lost on the way taken as not followed further; a penalty keeps the spread off 0.",
		"The next clutch: limits for one more, the distribution of the model averaged over the middles and spreads that the records leave possible; the median and the shares by day have delta-method limits on the logarithmic scale.")
	base := func(temp float64) []float64 {
		if covariates == nil {
			return nil
		}
		return []float64{temp - middle}
	}
	for _, p := range []float64{0.1, 0.25, 0.5, 0.75, 0.9} {
		e := m.Quantile(base(middle), p)
		t.Quantiles = append(t.Quantiles, TimeQuantile{p, Num(e.Value), Num(e.Lo), Num(e.Hi)})
	}
	if covariates != nil {
		t.PerDegree = fromEstimate(m.TimeRatio(1))
	}
	for _, temp := range t.temperatures(at, middle, covariates != nil) {
		k.next(t, m, base, temp)
	}
}

// temperatures are those to answer for: the one asked for, or low, middle and
// high of those on record. Half a degree beyond them is as far as records carry.
func (t *Timing) temperatures(at, middle float64, known bool) []float64 {
	if !known {
		if !math.IsNaN(at) {
			t.Notes = append(t.Notes, fmt.Sprintf("the records span too little of temperature to say what %s °C changes; the answer holds for the temperatures they were kept at", trim(at)))
		}
		return []float64{math.NaN()}
	}
	if math.IsNaN(at) {
		return []float64{math.Round(middle*2) / 2}
	}
	if at < float64(t.Seen[0])-0.5 || at > float64(t.Seen[1])+0.5 {
		t.Notes = append(t.Notes, fmt.Sprintf("%s °C lies outside the temperatures on record, %s to %s °C, so nothing is said for it", trim(at), trim(float64(t.Seen[0])), trim(float64(t.Seen[1]))))
		return []float64{math.Round(middle*2) / 2}
	}
	return []float64{at}
}

func (k Asker) next(t *Timing, m duration.AFT, base func(float64) []float64, temp float64) {
	row := AtTemperature{TemperatureC: Num(temp), Median: fromEstimate(m.Quantile(base(temp), 0.5)), Interval80: [2]Num{unknown, unknown}, Interval90: [2]Num{unknown, unknown}}
	both, err := m.PredictLevels(base(temp), 0.8, 0.9)
	for i, to := range []*[2]Num{&row.Interval80, &row.Interval90} {
		if err != nil {
			break
		}
		if e := both[i]; e.Status.Usable() {
			*to = [2]Num{Num(e.Lo), Num(e.Hi)}
		} else {
			for _, w := range e.Warnings {
				t.Notes = append(t.Notes, w.Text)
			}
		}
	}
	t.At = append(t.At, row)
}

// fromEstimate turns an estimate of the statistics into an interval.
func fromEstimate(e stats.Estimate) Interval {
	if !e.Status.Usable() {
		return NoInterval()
	}
	return newInterval(e.Value, e.Lo, e.Hi, e.Level, e.Method, math.IsInf(e.Lo, 0) || math.IsInf(e.Hi, 0))
}

// FirstFoodReady is the day after laying by which first food should be ready: the
// low end of the 90 % interval of the next clutch, rounded down. False when that
// is not known.
func (t Timing) FirstFoodReady() (day int, by float64, ok bool) {
	if t.From != Lay || t.To != FreeSwimming || len(t.At) == 0 || math.IsNaN(float64(t.At[0].Interval90[0])) {
		return 0, 0, false
	}
	return int(math.Floor(float64(t.At[0].Interval90[0]))), float64(t.At[0].Interval90[1]), true
}

// TimingReport is the JSON of the three pairs of stages: the fields of the pair
// asked for, with all pairs behind it.
type TimingReport struct {
	Timing
	Stages []Timing `json:"stages"`
}

// noTemperature asks for the middle of the temperatures on record.
var noTemperature = math.NaN()
