package format

import (
	"math"
	"slices"

	"gravid/analyze/report"
)

// A Scale places the numbers of one axis: from Min to Max, with ticks at round
// numbers.
type Scale struct {
	Min, Max float64
	Log      bool
	Format   report.Format
	Ticks    []float64
	Step     float64 // between ticks; 0 on a log axis
}

// At is where x lies between the ends: 0 at Min, 1 at Max, never outside.
// Infinite and too-large numbers lie at an end; see Beyond. NaN is NaN.
func (s Scale) At(x float64) float64 {
	if math.IsNaN(x) {
		return x
	}
	lo, hi := s.Min, s.Max
	if s.Log {
		x, lo, hi = math.Log(max(x, math.SmallestNonzeroFloat64)), math.Log(lo), math.Log(hi)
	}
	return min(max(x/2-lo/2, 0)/(hi/2-lo/2), 1) // halves, since hi-lo may overflow
}

// Beyond is −1 for a number below the axis, +1 for one above it, else 0.
func (s Scale) Beyond(x float64) int {
	switch slack := (s.Max - s.Min) * 1e-9; {
	case x < s.Min-slack:
		return -1
	case x > s.Max+slack:
		return 1
	}
	return 0
}

// Label is the text of the tick at x.
func (s Scale) Label(x float64) string { return Tick(s.Format, x, s.Step) }

// XScale is the scale of a figure's X axis with about n ticks. For a Bars figure
// it is empty: bars stand side by side.
func XScale(f report.Figure, n int) Scale {
	if f.Kind == report.Bars {
		return Scale{}
	}
	values := marks(f.MarksX)
	if f.Kind == report.Funnel && !f.X.Log {
		values = append(values, 0)
	}
	var core []float64
	each(f, func(p report.Point) {
		core = append(core, p.X)
		if f.Kind == report.Forest || f.Kind == report.Dots {
			values = append(values, p.XLo, p.XHi)
		}
	})
	return newScale(f.X, core, values, n)
}

// YScale is the scale of a figure's Y axis with about n ticks. Bars, steps and
// funnels begin at 0; the rows of a Forest figure have none.
func YScale(f report.Figure, n int) Scale {
	if f.Kind == report.Forest {
		return Scale{}
	}
	values := marks(f.MarksY)
	if (f.Kind == report.Bars || f.Kind == report.Steps || f.Kind == report.Funnel) && !f.Y.Log {
		values = append(values, 0)
	}
	var core []float64
	each(f, func(p report.Point) {
		core = append(core, p.Y)
		values = append(values, p.YLo, p.YHi)
	})
	return newScale(f.Y, core, values, n)
}

// Strips are the strips of a Calendar in the order of their first series, each with the
// places of its series in the figure.
func Strips(f report.Figure) (axes []report.Axis, series [][]int) {
	for i, s := range f.Series {
		if s.Strip.Label == "" {
			continue
		}
		k := slices.Index(axes, s.Strip)
		if k < 0 {
			k = len(axes)
			axes, series = append(axes, s.Strip), append(series, nil)
		}
		series[k] = append(series[k], i)
	}
	return axes, series
}

// StripScale is the scale of one strip of a Calendar, with about n ticks.
func StripScale(f report.Figure, strip report.Axis, n int) Scale {
	var core, values []float64
	for _, s := range f.Series {
		if s.Strip != strip {
			continue
		}
		for _, p := range s.Points {
			core = append(core, p.Y)
			values = append(values, p.YLo, p.YHi)
		}
	}
	return newScale(strip, core, values, n)
}

// newScale makes a scale for the points in core and the interval ends and marks
// in values. On a log axis interval ends more than a hundredfold beyond the
// points do not stretch it: they run to the edge.
func newScale(a report.Axis, core, values []float64, n int) Scale {
	s := Scale{Log: a.Log, Format: AxisFormat(a)}
	usable := func(x float64) bool {
		return !math.IsNaN(x) && !math.IsInf(x, 0) && math.Abs(x) < 1e300 && (!a.Log || x > 0)
	}
	core = slices.DeleteFunc(core, func(x float64) bool { return !usable(x) })
	if a.Log && len(core) > 0 {
		lo, hi := slices.Min(core)/100, slices.Max(core)*100
		values = slices.DeleteFunc(values, func(x float64) bool { return x < lo || x > hi })
	}
	all := append(core, slices.DeleteFunc(values, func(x float64) bool { return !usable(x) })...)
	switch {
	case a.Min < a.Max && (!a.Log || a.Min > 0):
		s.Min, s.Max = a.Min, a.Max
	case len(all) == 0 && a.Log:
		s.Min, s.Max = 0.1, 10
	case len(all) == 0:
		s.Min, s.Max = 0, 1
	default:
		s.Min, s.Max = slices.Min(all), slices.Max(all)
	}
	fixed := a.Min < a.Max
	if a.Log {
		s.logTicks(n, fixed)
	} else {
		s.ticks(n, fixed)
	}
	return s
}

// ticks sets ticks at multiples of 1, 2 or 5 times a power of ten; unless the
// ends are fixed it widens them to the next tick.
func (s *Scale) ticks(n int, fixed bool) {
	if s.Max-s.Min <= 1e-12*math.Max(math.Abs(s.Min), math.Abs(s.Max)) || s.Max == s.Min {
		pad := math.Max(math.Abs(s.Min)/2, 0.5)
		if s.Format == report.Whole {
			pad = math.Max(pad, 1)
		}
		lo := s.Min - pad
		if s.Min >= 0 {
			lo = math.Max(lo, 0)
		}
		s.Min, s.Max = lo, s.Max+pad
	}
	s.Step = niceStep((s.Max - s.Min) / float64(max(n, 1)))
	if s.Format == report.Whole || s.Format == report.Per100 {
		s.Step = math.Max(s.Step, 1)
	}
	first, last := math.Floor(s.Min/s.Step+1e-9), math.Ceil(s.Max/s.Step-1e-9)
	if fixed {
		first, last = math.Ceil(s.Min/s.Step-1e-9), math.Floor(s.Max/s.Step+1e-9)
	} else {
		s.Min, s.Max = first*s.Step, last*s.Step
	}
	for k := first; k <= last; k++ {
		s.Ticks = append(s.Ticks, tidy(k*s.Step, s.Step))
	}
}

// tidy clears the last bits of a tick, so that 3×0.1 is 0.3.
func tidy(x, step float64) float64 {
	p := math.Pow(10, 3-math.Floor(math.Log10(step)))
	if r := math.Round(x*p) / p; !math.IsNaN(r) && !math.IsInf(r, 0) {
		return r
	}
	return x
}

func niceStep(rough float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(rough)))
	switch r := rough / p; {
	case r <= 1+1e-9:
		return p
	case r <= 2+1e-9:
		return 2 * p
	case r <= 5+1e-9:
		return 5 * p
	}
	return 10 * p
}

// logTicks sets ticks at 1, 2 and 5 times the powers of ten where that makes few
// enough, else at powers of ten; unless the ends are fixed it widens them to the
// next of those.
func (s *Scale) logTicks(n int, fixed bool) {
	candidates := func(leads []float64) (out []float64) {
		from, to := math.Floor(math.Log10(s.Min))-1, math.Ceil(math.Log10(s.Max))+1
		for k := from; k <= to; k++ {
			for _, l := range leads {
				out = append(out, tidy(l*math.Pow(10, k), math.Pow(10, k)))
			}
		}
		return out
	}
	if !fixed && s.Max/s.Min < 1.2 {
		s.Min, s.Max = s.Min/2, s.Max*2
	}
	for _, leads := range [][]float64{{1, 2, 5}, {1, 3}, {1}} {
		all := candidates(leads)
		lo, hi := s.Min, s.Max
		if !fixed {
			lo, hi = lastBelow(all, s.Min), firstAbove(all, s.Max)
		}
		s.Ticks = slices.DeleteFunc(all, func(x float64) bool { return x < lo*(1-1e-9) || x > hi*(1+1e-9) })
		if len(s.Ticks) <= n+1 || len(leads) == 1 {
			s.Min, s.Max = lo, hi
			break
		}
	}
	for every := 2; len(s.Ticks) > n+1; every++ {
		s.Ticks = thin(s.Ticks, every)
	}
}

func thin(ticks []float64, every int) (out []float64) {
	for i := 0; i < len(ticks); i += every {
		out = append(out, ticks[i])
	}
	return out
}

func lastBelow(all []float64, x float64) float64 {
	best := all[0]
	for _, t := range all {
		if t <= x*(1+1e-9) {
			best = t
		}
	}
	return best
}

func firstAbove(all []float64, x float64) float64 {
	for _, t := range all {
		if t >= x*(1-1e-9) {
			return t
		}
	}
	return all[len(all)-1]
}

func each(f report.Figure, do func(report.Point)) {
	for _, s := range f.Series {
		for _, p := range s.Points {
			do(p)
		}
	}
}

func marks(m []report.Mark) (at []float64) {
	for _, k := range m {
		at = append(at, k.At)
	}
	return at
}
