package exposure

import (
	"cmp"
	"math"
	"slices"
	"sort"
	"time"

	"gravid/analyze/catalogue"
)

const aDay = 24 * 3600

// A Window is what is known of the change of a quantity from one instant to a later one.
// The zero value knows nothing.
type Window struct {
	From, To Around

	// Near are the readings that the change may be told from where From and To do not
	// tell it, in order of second and row, each once; none where they do.
	Near []Measured
}

// nearBy is how early and how late a reading of Near may be.
func nearBy(from, to int64) (first, last int64) {
	reach := reachOf(to - from)
	return from - aDay - reach, from + reach
}

// reachOf is how far from the same clock hour a window earlier a reading may lie.
func reachOf(window int64) int64 {
	if window > aDay {
		return max(nearest, window/7)
	}
	return nearest
}

// settled reports whether the values at both instants are known. Once they are, no
// further reading can unsettle them.
func (w Window) settled(from, to int64) bool {
	_, ok := w.From.ValueAt(from)
	_, ok2 := w.To.ValueAt(to)
	return ok && ok2
}

// Merge puts together what two parts of the same readings know. Like Around.Merge it
// gives the same whatever the order, the number and the size of the parts.
func (w Window) Merge(other Window, from, to int64) Window {
	merged := Window{From: w.From.Merge(other.From), To: w.To.Merge(other.To)}
	if merged.settled(from, to) {
		return merged
	}
	merged.Near = make([]Measured, 0, len(w.Near)+len(other.Near))
	merged.Near = append(append(merged.Near, w.Near...), other.Near...)
	slices.SortFunc(merged.Near, func(a, b Measured) int { return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Row, b.Row)) })
	merged.Near = slices.CompactFunc(merged.Near, same)
	return merged
}

func same(a, b Measured) bool { return a.OK && b.OK && a.At == b.At && a.Row == b.Row }

// Change is the value at to less the value at from, and that as a share of the value at
// from. Where readings are too rare to tell the values at these instants, such as one a
// day, the change is that up to the last reading before to (earlier). It is NaN where
// neither can be told.
func (w Window) Change(from, to int64) (change, share float64) {
	before, ok := w.From.ValueAt(from)
	after, ok2 := w.To.ValueAt(to)
	if !ok || !ok2 {
		if before, after, ok = w.earlier(from, to); !ok {
			return math.NaN(), math.NaN()
		}
	}
	return after - before, (after - before) / before
}

// earlier gives the last reading before to, no older than a day, and the one nearest to
// the instant a window before it: within 90 minutes where the window is a day, so that
// both are of the same clock hour and the daily tide of the air cancels; within a seventh
// of the window where it is longer.
func (w Window) earlier(from, to int64) (before, after float64, ok bool) {
	last := w.To.Before
	if !last.OK || to-last.At > aDay || len(w.Near) == 0 {
		return math.NaN(), math.NaN(), false
	}
	want := last.At - (to - from)
	j := sort.Search(len(w.Near), func(i int) bool { return w.Near[i].At >= want })
	if j == len(w.Near) || j > 0 && want-w.Near[j-1].At <= w.Near[j].At-want {
		j--
	}
	m, reach := w.Near[j], reachOf(to-from)
	if d := m.At - want; same(m, last) || d > reach || d < -reach {
		return math.NaN(), math.NaN(), false
	}
	return m.Value, last.Value, true
}

// A Part is what some of the readings of one sky tell of the changes of a quantity up to
// the midnights near them. Parts of the same sky are put together by Merge; its size
// grows with days, not with readings.
type Part struct {
	Readings int64
	Days     []Day // in order of To
}

// A Day is the window that closes at one midnight, in Unix seconds.
type Day struct {
	To int64
	Window
}

// A PartMaker takes readings one by one and makes a Part of them.
type PartMaker struct {
	zone     *time.Location
	window   int64
	readings int64
	days     map[int64]*Window
	nights   map[int64][]int64 // UTC day -> midnights that its readings have a say in
}

// NewPartMaker begins a part for the windows of a rule (OfChange), which close at the
// midnights of a time zone.
func NewPartMaker(zone *time.Location, d *catalogue.Daily) *PartMaker {
	return &PartMaker{zone: zone, window: int64(d.WindowHours * 3600), days: map[int64]*Window{}, nights: map[int64][]int64{}}
}

// Add takes a reading. Its row orders it among those of the same second.
func (p *PartMaker) Add(at, row int64, value float64) {
	p.readings++
	m := Measured{OK: true, At: at, Row: row, Value: value}
	for _, to := range p.midnights(at) {
		from := to - p.window
		if at > to+widest {
			continue
		}
		w := p.days[to]
		if w == nil {
			w = &Window{}
			p.days[to] = w
		}
		w.add(m, from, to)
	}
}

// add puts in a reading. Near is put in order by Part.
func (w *Window) add(m Measured, from, to int64) {
	w.From, w.To = w.From.Add(from, m), w.To.Add(to, m)
	if first, last := nearBy(from, to); w.settled(from, to) {
		w.Near = nil
	} else if m.At >= first && m.At <= last {
		w.Near = append(w.Near, m)
	}
}

// midnights are those that a reading may have a say in, and some more.
func (p *PartMaker) midnights(at int64) []int64 {
	day := at / aDay
	if at%aDay < 0 {
		day--
	}
	list, known := p.nights[day]
	if !known {
		first, _ := nearBy(-p.window, 0)
		y, m, d := time.Unix(day*aDay-widest, 0).In(p.zone).Date()
		for n := 0; ; n++ {
			to := time.Date(y, m, d+n, 0, 0, 0, 0, p.zone).Unix()
			if to+first > (day+1)*aDay {
				break
			}
			list = append(list, to)
		}
		p.nights[day] = list
	}
	return list
}

// Part is what the readings taken so far tell.
func (p *PartMaker) Part() Part {
	out := Part{Readings: p.readings, Days: make([]Day, 0, len(p.days))}
	for to, w := range p.days {
		from := to - p.window
		out.Days = append(out.Days, Day{to, w.Merge(Window{}, from, to)})
	}
	slices.SortFunc(out.Days, func(a, b Day) int { return cmp.Compare(a.To, b.To) })
	return out
}

// Merge puts together two parts that share no readings, for windows of a rule.
func (p Part) Merge(other Part, d *catalogue.Daily) Part {
	out := Part{Readings: p.Readings + other.Readings, Days: make([]Day, 0, len(p.Days)+len(other.Days))}
	a, b := p.Days, other.Days
	for len(a) > 0 && len(b) > 0 {
		switch {
		case a[0].To < b[0].To:
			out.Days, a = append(out.Days, a[0]), a[1:]
		case a[0].To > b[0].To:
			out.Days, b = append(out.Days, b[0]), b[1:]
		default:
			to := a[0].To
			out.Days = append(out.Days, Day{to, a[0].Merge(b[0].Window, to-int64(d.WindowHours*3600), to)})
			a, b = a[1:], b[1:]
		}
	}
	out.Days = append(append(out.Days, a...), b...)
	return out
}

// Change is the change of the quantity up to a midnight, as Window.Change gives it.
func (p Part) Change(to int64, d *catalogue.Daily) (change, share float64) {
	i, found := slices.BinarySearchFunc(p.Days, to, func(x Day, to int64) int { return cmp.Compare(x.To, to) })
	if !found {
		return math.NaN(), math.NaN()
	}
	return p.Days[i].Change(to-int64(d.WindowHours*3600), to)
}
