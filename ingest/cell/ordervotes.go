package cell

import (
	"fmt"
	"math/bits"
	"time"
)

// OrderVotes is SolveDates for columns too long to be held: it takes one text after
// another, and costs the same memory however many there are.
type OrderVotes struct {
	window Window
	texts  int
	dates  int // that some order reads

	// kinds counts the dates by the orders that read them and, of those, the
	// orders that keep them in the window; forces is the first date of each set
	// of orders that read it.
	kinds  map[voteKind]int
	forces map[orderSet]Force
	course [4]course

	yearFirst bool // every date can be one that begins with a year of two digits
	hyphens   bool // hyphens stand between the numbers of all dates

	last written // the date before, and its vote
	vote votingDate
}

// An orderSet is a set of orders, a bit each.
type orderSet uint8

func (s orderSet) has(o Order) bool { return s>>o&1 != 0 }
func (s orderSet) len() int         { return bits.OnesCount8(uint8(s)) }

type voteKind struct{ readers, inside orderSet }

// A course is how the dates run under one order.
type course struct {
	dates, steps, forward int
	before, first, last   time.Time
}

// NewOrderVotes begins a column whose dates lie in w.
func NewOrderVotes(w Window) *OrderVotes {
	return &OrderVotes{window: w, kinds: map[voteKind]int{}, forces: map[orderSet]Force{}, yearFirst: true, hyphens: true}
}

// Add takes the next text of the column. It reports whether the text is a date whose
// reading depends on the order.
func (v *OrderVotes) Add(text string) bool {
	index := v.texts
	v.texts++
	if _, ok := parseISO(text); ok {
		return false
	}
	if w, ok := plainNumbers(tidy(text)); ok { // the fast path for loggers: voters gives the same
		v.add(w, index, text)
		return true
	}
	list := voters(text)
	for _, w := range list {
		v.add(w, index, text)
	}
	return len(list) > 0
}

func (v *OrderVotes) add(w written, index int, text string) {
	if v.vote.under.none() || w.numbers != v.last.numbers || w.form != v.last.form || w.shortYear != v.last.shortYear || w.sep != v.last.sep || w.weekday != v.last.weekday {
		v.last, v.vote.under = w, w.underEachOrder(v.window)
	}
	under := v.vote.under
	if under.none() {
		return
	}
	v.dates++
	var kind voteKind
	for _, o := range orders {
		if t := under[o]; !t.IsZero() {
			kind.readers |= 1 << o
			if v.window.holds(t, t.Add(24*time.Hour)) {
				kind.inside |= 1 << o
			}
			v.course[o].add(t)
		}
	}
	v.kinds[kind]++
	if _, seen := v.forces[kind.readers]; !seen {
		v.forces[kind.readers] = Force{Index: index, Text: text}
	}
	v.yearFirst = v.yearFirst && w.form == threeNumbers && w.shortYear && w.sep != '.' && kind.readers.has(YMD)
	v.hyphens = v.hyphens && w.sep == '-'
}

func (c *course) add(t time.Time) {
	if c.dates > 0 {
		c.steps++
		if !t.Before(c.before) {
			c.forward++
		}
	}
	if c.dates == 0 || t.Before(c.first) {
		c.first = t
	}
	if c.dates == 0 || t.After(c.last) {
		c.last = t
	}
	c.dates++
	c.before = t
}

func (c *course) spread() time.Duration { return c.last.Sub(c.first) }

// Solve finds the order as SolveDates does. Of the dates that one order alone reads,
// Forces names the first of each kind.
func (v *OrderVotes) Solve() DateOrder {
	considered := orderSet(1<<DMY | 1<<MDY)
	if v.yearMayLead() {
		considered |= 1 << YMD
	}
	t := v.tally(considered)
	r := DateOrder{Dates: t.dates, Forces: t.forced(v.forces)}
	if r.Dates == 0 {
		r.Status = OrderNotNeeded
		return r
	}
	possible := t.possible()
	switch possible.len() {
	case 0:
		r.Status = OrderConflict
		return r
	case 1:
		r.Order, r.Status = possible.list()[0], OrderSure
		return t.doubt(r)
	}
	inside := t.insideWindow(possible)
	if inside.len() == 1 {
		r.Order, r.Status = inside.list()[0], OrderImplied
		r.Why = fmt.Sprintf("every other order puts a date before %d or into the future", v.window.Earliest.Year())
		return t.doubt(r)
	}
	if o := t.sequence(inside); o != OrderUnknown {
		r.Order, r.Status, r.Why = o, OrderImplied, "only in this order do the dates run forwards"
		return r
	}
	r.Status, r.Why = OrderAmbiguous, fmt.Sprintf("all %d dates can be read in the orders %s", r.Dates, listOrders(inside.list()))
	return r
}

func (s orderSet) list() []Order {
	var list []Order
	for _, o := range orders {
		if s.has(o) {
			list = append(list, o)
		}
	}
	return list
}

// yearMayLead is that of a column.
func (v *OrderVotes) yearMayLead() bool {
	if v.dates == 0 || !v.yearFirst {
		return false
	}
	lead := v.course[YMD].spread()
	closest := time.Duration(-1)
	for _, o := range []Order{DMY, MDY} {
		if c := &v.course[o]; c.dates == v.dates && (closest < 0 || c.spread() < closest) {
			closest = c.spread()
		}
	}
	switch {
	case closest < 0:
		return true
	case v.hyphens && v.dates >= 3:
		return lead <= 2*closest
	case v.hyphens:
		return true
	}
	return lead < closest
}

// A voteTally is the votes of the dates that some considered order reads.
type voteTally struct {
	*OrderVotes
	considered orderSet
	kinds      map[voteKind]int
	dates      int
}

func (v *OrderVotes) tally(considered orderSet) voteTally {
	t := voteTally{OrderVotes: v, considered: considered, kinds: map[voteKind]int{}}
	for k, n := range v.kinds {
		k = voteKind{k.readers & considered, k.inside & considered}
		if k.readers != 0 {
			t.kinds[k] += n
			t.dates += n
		}
	}
	return t
}

func (t voteTally) forced(first map[orderSet]Force) []Force {
	var list []Force
	for readers := range orderSet(1 << len(t.course)) {
		f, seen := first[readers]
		if readers &= t.considered; seen && readers.len() == 1 {
			f.Order = readers.list()[0]
			list = append(list, f)
		}
	}
	return list
}

func (t voteTally) possible() orderSet {
	possible := t.considered
	for k := range t.kinds {
		possible &= k.readers
	}
	return possible
}

// insideWindow is that of a column.
func (t voteTally) insideWindow(possible orderSet) orderSet {
	inside := possible
	for k := range t.kinds {
		if k.inside&possible != 0 {
			inside &= k.inside
		}
	}
	if inside == 0 {
		return possible
	}
	return inside
}

// sequence is that of a column.
func (t voteTally) sequence(list orderSet) Order {
	if t.dates < fewestForSequence {
		return OrderUnknown
	}
	winner := OrderUnknown
	for _, o := range list.list() {
		share := 0.0
		if c := &t.course[o]; c.steps > 0 {
			share = float64(c.forward) / float64(c.steps)
		}
		switch {
		case share >= mostlyForward && winner == OrderUnknown:
			winner = o
		case share > hardlyForward:
			return OrderUnknown
		}
	}
	return winner
}

// doubt is that of a column.
func (t voteTally) doubt(r DateOrder) DateOrder {
	deciding := 0
	for k, n := range t.kinds {
		if k.inside&^(1<<r.Order) == 0 {
			deciding += n
		}
	}
	if deciding > fewDeciding || t.dates < amongMany {
		return r
	}
	if o := t.sequence(t.considered); o != OrderUnknown && o != r.Order {
		r.Why = fmt.Sprintf("%d of %d dates speak for %s, but the dates run forwards in the order %s only: a slip of the pen may have decided", deciding, t.dates, r.Order, o)
		r.Order, r.Status = OrderUnknown, OrderAmbiguous
	}
	return r
}
