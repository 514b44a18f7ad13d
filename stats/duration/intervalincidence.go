package duration

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sort"

	"gravid/stats"
)

// IntervalIncidenceSettings of FitIntervalIncidence; the zero value is ready to use.
type IntervalIncidenceSettings struct {
	Level      float64 // coverage asked for; 0 means 0.95
	Replicates int     // sets of records drawn for the limits; 0 means 499
	Seed       uint64  // of the draws; the same seed gives the same limits
}

// A CauseStretch is an innermost interval within which Mass went by one cause, but how
// is undetermined.
type CauseStretch struct {
	Cause int
	Span
	Mass float64
}

// An IntervalIncidence is the nonparametric maximum-likelihood estimate of how many went
// by each of several causes, from times known to spans. Use its numbers through At, which
// heeds its Status; Stretches is for drawing.
type IntervalIncidence struct {
	Causes    []int          // in ascending order
	Stretches []CauseStretch // by cause, in order of time
	Rest      float64        // share that went by none of the causes as far as the records reach
	LogLik    float64
	N, Events int
	ByCause   []int // events by cause
	Level     float64
	Status    stats.Status
	Warnings  []stats.Warning

	settings IntervalIncidenceSettings
	problem  *causeNPMLE
	drawn    [][]float64 // masses from each set of records drawn
}

// FitIntervalIncidence estimates the cumulative incidence of each cause from any mix of
// exact, left-, right- and interval-censored times, with weights, where the cause of
// every event is known (Hudgens, Satten & Longini 2001), by self-consistency (EM) up to
// the Kuhn-Tucker conditions. Limits are percentiles of estimates from sets of records
// drawn from those given; they need check times in common, and a warning says so where
// more than half of the spans differ.
//
// Status is NotConverged where the Kuhn-Tucker conditions do not hold to 1e-5 of the
// number of observations, Boundary if nothing happened to anyone, TooLittle for fewer than
// two observations. The error is an *stats.InputError for an observation that contradicts
// itself, enters late, has an origin that is not exact, an event without a cause or a
// weight that is not whole, and tells of settings out of range.
func FitIntervalIncidence(obs []Observation, s IntervalIncidenceSettings) (IntervalIncidence, error) {
	level, err := stats.LevelOrDefault(s.Level)
	if err != nil {
		return IntervalIncidence{}, err
	}
	s.Level = level
	if s.Replicates == 0 {
		s.Replicates = 499
	}
	if s.Replicates < 99 {
		return IntervalIncidence{}, fmt.Errorf("at least 99 replicates are needed, not %d", s.Replicates)
	}
	clean, err := sinceOrigin(obs, func(o Observation) string {
		switch {
		case o.late():
			return fmt.Sprintf("it came under observation late, at %v, which this method cannot use", o.Entry)
		case !o.RightCensored() && o.Cause == 0:
			return "it has an event without a cause"
		case o.Weight != math.Trunc(o.Weight):
			return fmt.Sprintf("its weight of %v is not whole", o.Weight)
		}
		return ""
	})
	if err != nil {
		return IntervalIncidence{}, err
	}
	a := IntervalIncidence{Causes: causesOf(clean), Level: level, LogLik: nan, Rest: nan, settings: s}
	a.N, a.Events = counts(clean)
	a.Status, a.Warnings = gate(a.N, a.Events)
	a.ByCause = make([]int, len(a.Causes))
	for _, o := range clean {
		if o.Cause > 0 {
			a.ByCause[sort.SearchInts(a.Causes, o.Cause)] += int(o.Weight)
		}
	}
	if len(clean) > 0 {
		a.solve(clean)
	}
	return a, nil
}

func (a *IntervalIncidence) solve(obs []Observation) {
	a.problem = newCauseNPMLE(obs, a.Causes)
	p := a.problem
	mass, ok := p.solve(p.weight, 1e-5)
	a.LogLik, _ = p.evaluate(mass, p.weight, nil)
	for c, cell := range p.cells {
		cell.Mass = mass[c]
		a.Stretches = append(a.Stretches, cell)
	}
	a.Rest = mass[len(p.cells)]
	if !a.Status.Usable() {
		return
	}
	if !ok {
		a.Status = stats.NotConverged
		a.Warnings = append(a.Warnings, stats.Warn("not-converged", "the search for the incidences did not come to rest"))
		return
	}
	if 2*len(p.rows) > a.N && a.N > 10 {
		a.Warnings = append(a.Warnings, stats.Warn("unlike-checks", "the %d observations have %d different spans; limits drawn from them are right only where check times are in common", a.N, len(p.rows)))
	}
	a.draw()
}

// draw fits sets of as many records drawn from those given.
func (a *IntervalIncidence) draw() {
	p := a.problem
	ends := make([]float64, len(p.weight)) // cumulative weights
	var total float64
	for i, w := range p.weight {
		total += w
		ends[i] = total
	}
	for b := range a.settings.Replicates {
		random := rand.New(rand.NewPCG(a.settings.Seed, uint64(b)))
		weight := make([]float64, len(p.weight))
		for range int(total) {
			weight[sort.SearchFloat64s(ends, math.Nextafter(total*random.Float64(), total+1))]++
		}
		mass, _ := p.solve(weight, 1e-3) // digits of a percent are enough for percentiles
		a.drawn = append(a.drawn, mass)
	}
}

// At returns the share that went by the cause up to time t. Inside a stretch with mass it
// has no value, and a warning gives the bounds. A cause nobody went by is an estimate of 0
// events with no limits.
func (a IntervalIncidence) At(cause int, t float64) stats.Estimate {
	k, known := slices.BinarySearch(a.Causes, cause)
	e := stats.Estimate{
		Level: a.Level, Attained: nan, N: a.N, Method: fmt.Sprintf("incidence from spans, percentiles of %d sets drawn with seed %d", a.settings.Replicates, a.settings.Seed),
		Status: a.Status, Warnings: slices.Clone(a.Warnings),
	}
	if known {
		e.Events = a.ByCause[k]
	}
	switch {
	case !e.Status.Usable():
		return e.Without(e.Status)
	case !known:
		e.Value, e.Lo, e.Hi = 0, nan, nan
		e.Warnings = append(e.Warnings, stats.Warn("none-yet", "nobody had gone by this cause; limits cannot be drawn from records without it"))
		return e
	case t > a.problem.last:
		return e.Without(e.Status, stats.Warn("beyond-records", "nobody was followed beyond %v", a.problem.last))
	}
	mass := make([]float64, len(a.Stretches))
	for c, s := range a.Stretches {
		mass[c] = s.Mass
	}
	least, most := a.problem.shares(mass, cause, t)
	e.Value = least
	if most-least > 1e-6 {
		e.Value = nan
		e.Warnings = append(e.Warnings, stats.Warn("undetermined", "the records only say that the share gone by this cause at %v is between %.3g and %.3g", t, least, most))
	}
	var lows, highs []float64
	for _, drawn := range a.drawn {
		lo, hi := a.problem.shares(drawn, cause, t)
		lows, highs = append(lows, lo), append(highs, hi)
	}
	slices.Sort(lows)
	slices.Sort(highs)
	e.Lo = math.Max(quantileOf(lows, (1-a.Level)/2), 0)
	e.Hi = math.Min(quantileOf(highs, (1+a.Level)/2), 1)
	if e.Lo == e.Hi {
		e.Warnings = append(e.Warnings, stats.Warn("no-width", "every set of records drawn gives the same share, so the limits have no width"))
	}
	return e
}

// A causeNPMLE has a cell for each innermost stretch of each cause, by cause, and a last
// one for the rest. An observation of a cause covers the cells [first, last] of it; one
// lost covers, for each cause k, the cells from after[k] on, and the rest.
type causeNPMLE struct {
	cells  []CauseStretch
	ends   []int // of the cells of each cause
	rows   []causeRow
	weight []float64
	last   float64 // finite time on record
}

type causeRow struct {
	first, last int
	after       []int // nil for an observation with an event
}

func newCauseNPMLE(obs []Observation, causes []int) *causeNPMLE {
	sorted := slices.SortedFunc(slices.Values(obs), func(a, b Observation) int {
		return cmp.Or(cmp.Compare(a.Cause, b.Cause), cmp.Compare(a.Lo, b.Lo), cmp.Compare(a.Hi, b.Hi), cmp.Compare(a.Weight, b.Weight))
	})
	var distinct []Observation
	for _, o := range sorted {
		if n := len(distinct); n > 0 && distinct[n-1].Cause == o.Cause && distinct[n-1].Span == o.Span {
			distinct[n-1].Weight += o.Weight
			continue
		}
		distinct = append(distinct, Observation{Span: o.Span, Weight: o.Weight, Cause: o.Cause})
	}
	p := &causeNPMLE{rows: make([]causeRow, len(distinct))}
	for i, o := range distinct {
		p.weight = append(p.weight, o.Weight)
		p.last = math.Max(p.last, o.Lo)
		if o.RightCensored() {
			p.rows[i].after = make([]int, len(causes))
		} else {
			p.last = math.Max(p.last, o.Hi)
		}
	}
	for k, cause := range causes {
		var mine []Observation
		var from []int
		for i, o := range distinct {
			if o.Cause == cause || o.RightCensored() {
				mine, from = append(mine, o), append(from, i)
			}
		}
		spans, covers := innermost(mine)
		base := len(p.cells)
		for _, s := range spans {
			if !s.RightCensored() { // what lies beyond all is the rest's
				p.cells = append(p.cells, CauseStretch{Cause: cause, Span: s})
			}
		}
		for j, i := range from {
			if p.rows[i].after != nil {
				p.rows[i].after[k] = min(base+covers[j].first, len(p.cells))
			} else {
				p.rows[i].first, p.rows[i].last = base+covers[j].first, base+covers[j].last
			}
		}
		p.ends = append(p.ends, len(p.cells))
	}
	return p
}

// evaluate returns the log-likelihood and, in rise, its derivative by each mass.
func (p *causeNPMLE) evaluate(mass, weight, rise []float64) (loglik, total float64) {
	up := make([]float64, len(mass)+1)
	for c, m := range mass {
		up[c+1] = up[c] + m
	}
	rest := len(p.cells)
	clear(rise)
	spread := func(from, to int, w float64) { // differences, added up below
		rise[from] += w
		if to < len(rise) {
			rise[to] -= w
		}
	}
	for i, r := range p.rows {
		w := weight[i]
		if w == 0 {
			continue
		}
		total += w
		chance := 0.0
		switch {
		case r.after == nil && r.first == r.last:
			chance = mass[r.first]
		case r.after == nil:
			chance = up[r.last+1] - up[r.first]
		default:
			chance = mass[rest]
			for k, from := range r.after {
				chance += up[p.ends[k]] - up[from]
			}
		}
		loglik += w * math.Log(chance)
		if rise == nil {
			continue
		}
		if r.after == nil {
			spread(r.first, r.last+1, w/chance)
			continue
		}
		for k, from := range r.after {
			spread(from, p.ends[k], w/chance)
		}
		spread(rest, rest+1, w/chance)
	}
	for c := 1; c < len(rise); c++ {
		rise[c] += rise[c-1]
	}
	return loglik, total
}

// solve runs self-consistency until no derivative exceeds the total weight by more than a
// share tol, nor falls short of it where there is mass, and reports whether that was
// reached.
func (p *causeNPMLE) solve(weight []float64, tol float64) ([]float64, bool) {
	n := len(p.cells) + 1
	mass, rise := slices.Repeat([]float64{1 / float64(n)}, n), make([]float64, n)
	const most = 50000
	for range most {
		_, total := p.evaluate(mass, weight, rise)
		worst := 0.0
		for c := range mass {
			d := rise[c] / total
			worst = math.Max(worst, math.Max(d-1, mass[c]*(1-d)))
			mass[c] *= d
		}
		if worst <= tol {
			return mass, true
		}
	}
	return mass, false
}

// shares returns the least and most share gone by a cause at time t.
func (p *causeNPMLE) shares(mass []float64, cause int, t float64) (least, most float64) {
	for c, cell := range p.cells {
		if cell.Cause != cause {
			continue
		}
		switch {
		case cell.Hi <= t:
			least += mass[c]
			most += mass[c]
		case cell.Lo < t:
			most += mass[c]
		}
	}
	return least, most
}
