package duration

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"gravid/stats"
)

// A Reading is a temperature at a time.
type Reading struct{ Time, Temperature float64 }

// A Trace is a temperature over time, in straight lines from one reading to the
// next. Two readings further apart than its greatest gap leave open what was in
// between.
type Trace struct {
	readings []Reading
	gap      float64
}

// NewTrace puts readings in order of time. Gaps longer than gap widen the sums of
// heat across them; 0 lets any pass. The error is an *stats.InputError for a
// reading that is not a number or has the time of another with a different
// temperature, and tells of a trace without readings or a gap below 0.
func NewTrace(readings []Reading, gap float64) (Trace, error) {
	switch {
	case len(readings) == 0:
		return Trace{}, fmt.Errorf("there are no readings of the temperature")
	case !(gap >= 0):
		return Trace{}, fmt.Errorf("the greatest gap between readings cannot be %v", gap)
	}
	if gap == 0 {
		gap = math.Inf(1)
	}
	order := make([]int, len(readings))
	for i, r := range readings {
		order[i] = i
		if math.IsNaN(r.Time+r.Temperature) || math.IsInf(r.Time, 0) || math.IsInf(r.Temperature, 0) {
			return Trace{}, &stats.InputError{Index: i, Reason: fmt.Sprintf("a reading of %v at time %v is no number", r.Temperature, r.Time)}
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(readings[a].Time, readings[b].Time) })
	t := Trace{gap: gap}
	for _, i := range order {
		r := readings[i]
		if last := len(t.readings) - 1; last >= 0 && t.readings[last].Time == r.Time {
			if t.readings[last].Temperature != r.Temperature {
				return Trace{}, &stats.InputError{Index: i, Reason: fmt.Sprintf("there are readings of %v and %v at time %v", t.readings[last].Temperature, r.Temperature, r.Time)}
			}
			continue
		}
		t.readings = append(t.readings, r)
	}
	return t, nil
}

// Steady is a temperature that is the same at all times.
func Steady(temperature float64) Trace {
	return Trace{readings: []Reading{{math.Inf(-1), temperature}, {math.Inf(1), temperature}}, gap: math.Inf(1)}
}

// steady reports whether the trace is one of Steady, or the zero value.
func (t Trace) steady() bool { return len(t.readings) == 2 && math.IsInf(t.readings[0].Time, -1) }

// Covers reports whether there are readings at or before from and at or after to.
func (t Trace) Covers(from, to float64) bool {
	return len(t.readings) > 0 && t.readings[0].Time <= from && to <= t.readings[len(t.readings)-1].Time
}

// At returns the temperature at a time the trace covers, NaN at another.
func (t Trace) At(time float64) float64 {
	switch {
	case !t.Covers(time, time):
		return nan
	case t.steady():
		return t.readings[0].Temperature
	}
	i := sort.Search(len(t.readings), func(i int) bool { return t.readings[i].Time >= time })
	b := t.readings[i]
	if b.Time == time {
		return b.Temperature
	}
	a := t.readings[i-1]
	return a.Temperature + (time-a.Time)/(b.Time-a.Time)*(b.Temperature-a.Temperature)
}

// A Heat is a sum of temperature above a base over time, in degrees times the unit
// of the clock (degree-days if that counts days), with the least and most it can
// have been where readings are far apart.
type Heat struct{ Value, Lo, Hi float64 }

// Heat adds up the temperature above base between two times. Cold spells below the
// base add nothing and take nothing away. Across a gap longer than the trace's
// greatest, Lo and Hi take the lowest and highest temperature of the stretch asked
// for. All are NaN if the trace does not cover the stretch.
func (t Trace) Heat(from, to, base float64) Heat {
	if !t.Covers(from, to) || from > to {
		return Heat{nan, nan, nan}
	}
	if t.steady() {
		h := math.Max(t.readings[0].Temperature-base, 0) * (to - from)
		return Heat{h, h, h}
	}
	points := t.between(from, to)
	next := sort.Search(len(t.readings), func(i int) bool { return t.readings[i].Time > from }) // the reading that ends the first piece
	lowest, highest := math.Inf(1), math.Inf(-1)
	for _, p := range points {
		lowest, highest = math.Min(lowest, p.Temperature), math.Max(highest, p.Temperature)
	}
	var h Heat
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		piece := above(a, b, base)
		h.Value += piece
		if k := next + i - 1; k > 0 && k < len(t.readings) && t.readings[k].Time-t.readings[k-1].Time > t.gap {
			h.Lo += math.Max(lowest-base, 0) * (b.Time - a.Time)
			h.Hi += math.Max(highest-base, 0) * (b.Time - a.Time)
			continue
		}
		h.Lo += piece
		h.Hi += piece
	}
	return h
}

// between lists the temperatures at both ends and all readings between.
func (t Trace) between(from, to float64) []Reading {
	out := []Reading{{from, t.At(from)}}
	i := sort.Search(len(t.readings), func(i int) bool { return t.readings[i].Time > from })
	for ; i < len(t.readings) && t.readings[i].Time < to; i++ {
		out = append(out, t.readings[i])
	}
	return append(out, Reading{to, t.At(to)})
}

// above is the area of the straight line from a to b above base.
func above(a, b Reading, base float64) float64 {
	x, y := a.Temperature-base, b.Temperature-base
	width := b.Time - a.Time
	switch {
	case x >= 0 && y >= 0:
		return width * (x + y) / 2
	case x <= 0 && y <= 0:
		return 0
	}
	top := math.Max(x, y)
	return width * top / math.Abs(x-y) * top / 2
}

// Mean is the average temperature between two times the trace covers, NaN
// otherwise.
func (t Trace) Mean(from, to float64) float64 {
	if !t.Covers(from, to) || from > to {
		return nan
	}
	if from == to || t.steady() {
		return t.At(from)
	}
	points := t.between(from, to)
	var sum float64
	for i := 1; i < len(points); i++ {
		sum += (points[i].Time - points[i-1].Time) * (points[i].Temperature + points[i-1].Temperature) / 2
	}
	return sum / (to - from)
}

// When returns the time at which the heat above base, added up from a time on,
// reaches sum: NaN if the trace does not cover the start, +Inf if it ends before.
func (t Trace) When(from, sum, base float64) float64 {
	if !t.Covers(from, from) || math.IsNaN(sum) {
		return nan
	}
	if t.steady() {
		if rate := t.readings[0].Temperature - base; rate > 0 {
			return from + sum/rate
		}
		return math.Inf(1)
	}
	points := t.between(from, t.readings[len(t.readings)-1].Time)
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		piece := above(a, b, base)
		if piece < sum {
			sum -= piece
			continue
		}
		if sum <= 0 {
			return a.Time
		}
		return reached(a, b, base, sum)
	}
	return math.Inf(1)
}

// reached is when the area above base of the line from a to b comes to sum, which
// is no more than all of it.
func reached(a, b Reading, base, sum float64) float64 {
	slope := (b.Temperature - a.Temperature) / (b.Time - a.Time)
	start, x := a.Time, a.Temperature-base
	if x < 0 { // the line crosses the base on the way up
		start, x = a.Time-x/slope, 0
	}
	// x w + slope w^2 / 2 = sum, in the form that keeps its digits where slope is 0
	return math.Min(start+2*sum/(x+math.Sqrt(math.Max(x*x+2*slope*sum, 0))), b.Time)
}
