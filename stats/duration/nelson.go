package duration

import (
	"math"

	"gravid/stats"
)

// A HazardStep is the cumulative hazard from one time to the next.
type HazardStep struct {
	Time   float64
	AtRisk float64
	Events float64
	Hazard float64 // sum of events over number at risk up to Time
	SE     float64
	Lo, Hi float64
}

// A Hazard is a Nelson-Aalen estimate. Use its numbers through At, which heeds
// its Status.
type Hazard struct {
	Steps    []HazardStep
	N        int
	Events   int
	Level    float64
	Status   stats.Status
	Warnings []stats.Warning
}

// NelsonAalen estimates the cumulative hazard, the sum of d/n over the times of
// events, with variance the sum of d/n^2 (Aalen 1978) and limits on the log
// scale. Settings.Interval plays no part. Input, status and errors are those of
// KaplanMeier.
func NelsonAalen(obs []Observation, s Settings) (Hazard, error) {
	s, err := s.withDefaults()
	if err != nil {
		return Hazard{}, err
	}
	n, events, err := checked(obs, refuseInterval)
	if err != nil {
		return Hazard{}, err
	}
	h := Hazard{Level: s.Level, N: n, Events: events}
	h.Status, h.Warnings = gate(h.N, h.Events)
	z := normalLimit(s.Level)
	rows := newRiskWalk(obs, nil)
	h.Steps = make([]HazardStep, 0, rows.len())
	var sum, variance float64
	for rows.next() {
		r := &rows.riskRow
		sum += r.events / r.atRisk
		variance += r.events / (r.atRisk * r.atRisk)
		step := HazardStep{Time: r.time, AtRisk: r.atRisk, Events: r.events, Hazard: sum, SE: math.Sqrt(variance)}
		if sum > 0 {
			spread := math.Exp(z * step.SE / sum)
			step.Lo, step.Hi = sum/spread, sum*spread
		}
		h.Steps = append(h.Steps, step)
	}
	return h, nil
}

// At returns the cumulative hazard at time t with its limits. After the last
// time on record it has no value; where it is still 0 the limits have no width
// and a warning says so.
func (h Hazard) At(t float64) stats.Estimate {
	e := stats.Estimate{
		Level: h.Level, Attained: nan, N: h.N, Events: h.Events, Method: "Nelson-Aalen, log limits",
		Status: h.Status, Warnings: append([]stats.Warning(nil), h.Warnings...),
	}
	if !e.Status.Usable() {
		return e.Without(e.Status)
	}
	i := lastAtOrBefore(len(h.Steps), func(i int) float64 { return h.Steps[i].Time }, t)
	if last := h.Steps[len(h.Steps)-1].Time; t > last {
		return e.Without(e.Status, stats.Warn("beyond-records", "nobody was followed beyond %v", last))
	}
	if i >= 0 {
		s := h.Steps[i]
		e.Value, e.Lo, e.Hi = s.Hazard, s.Lo, s.Hi
	}
	if e.Value == 0 {
		e.Warnings = append(e.Warnings, stats.Warn("no-event-yet", "nothing had happened by then, so the limits have no width"))
	}
	return e
}
