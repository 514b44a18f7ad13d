package cell

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"gravid/ingest/cell/word"
	"gravid/ingest/source"
)

// Order is the order of day, month and year in dates of three numbers.
type Order uint8

const (
	OrderUnknown Order = iota
	DMY
	MDY
	YMD
)

var orders = []Order{DMY, MDY, YMD}

// String gives the order as mapping files write it.
func (o Order) String() string {
	return [...]string{"unknown", "dmy", "mdy", "ymd"}[min(int(o), 3)]
}

// ParseOrder reads an order from a mapping file: dmy, mdy or ymd.
func ParseOrder(text string) (Order, bool) {
	for _, o := range orders {
		if o.String() == text {
			return o, true
		}
	}
	return OrderUnknown, false
}

// An OrderStatus says how sure an order is.
type OrderStatus string

const (
	OrderNotNeeded OrderStatus = "not needed" // no date of the column depends on it
	OrderSure      OrderStatus = "sure"       // the only order in which every date is on the calendar
	OrderImplied   OrderStatus = "implied"    // the only order that keeps the dates in the window, or in sequence
	OrderAmbiguous OrderStatus = "ambiguous"  // several orders read every date: refuse the column
	OrderConflict  OrderStatus = "conflict"   // no order reads every date: refuse the column
)

// A DateOrder is the order of a column's dates and how it was found.
type DateOrder struct {
	Order  Order // OrderUnknown unless the status is sure or implied
	Status OrderStatus
	Dates  int     // dates that depend on an order
	Forces []Force // the dates that one order alone can read
	Why    string  // why the order is implied or ambiguous
}

// A Force is a date that only one order reads.
type Force struct {
	Index int // in the texts that were given
	Text  string
	Order Order
}

// SolveDates finds the order of day, month and year of a column from all its
// dates together. Texts that are no dates, or no dates under any order (31/04),
// do not vote. The year of dates without one counts as a leap year.
//
// An order is possible when every date is on the calendar under it, and agrees
// with its day of the week where one is written. Of several possible orders,
// those are dropped that put a date outside the window which another keeps
// inside; then, with ten dates or more, one wins that keeps 90 % of the steps
// from date to date from going back while each other keeps 50 % at most. Where
// one or two dates among twenty or more decide and the sequence speaks for
// another order, a slip of the pen may have decided: ambiguous.
func SolveDates(texts []string, w Window) DateOrder {
	c := newColumn(texts, w)
	r := DateOrder{Dates: len(c.dates), Forces: c.forces()}
	if r.Dates == 0 {
		r.Status = OrderNotNeeded
		return r
	}
	possible := c.possible()
	switch {
	case len(possible) == 0:
		r.Status = OrderConflict
		return r
	case len(possible) == 1:
		r.Order, r.Status = possible[0], OrderSure
		return c.doubt(r)
	}
	inside := c.insideWindow(possible)
	if len(inside) == 1 {
		r.Order, r.Status = inside[0], OrderImplied
		r.Why = fmt.Sprintf("every other order puts a date before %d or into the future", w.Earliest.Year())
		return c.doubt(r)
	}
	if o := c.sequence(inside); o != OrderUnknown {
		r.Order, r.Status, r.Why = o, OrderImplied, "only in this order do the dates run forwards"
		return r
	}
	r.Status, r.Why = OrderAmbiguous, fmt.Sprintf("all %d dates can be read in the orders %s", r.Dates, listOrders(inside))
	return r
}

// WithoutWeekdays writes dates without their days of the week; nil where none has one.
// Where one wrong day of the week leaves no order for a column, the numbers of all
// dates may still decide, and the cell with the slip is refused by itself.
func WithoutWeekdays(texts []string) []string {
	var out []string
	for i, text := range texts {
		tokens := strings.Fields(text)
		if len(tokens) < 2 {
			continue
		}
		if _, ok := weekdayNames[word.Fold(tokens[0])]; !ok {
			continue
		}
		if out == nil {
			out = slices.Clone(texts)
		}
		out[i] = strings.Join(tokens[1:], " ")
	}
	return out
}

func listOrders(list []Order) string {
	s := list[0].String()
	for i, o := range list[1:] {
		if i == len(list)-2 {
			s += " and " + o.String()
		} else {
			s += ", " + o.String()
		}
	}
	return s
}

// column holds the dates of a column that depend on an order.
type column struct {
	dates  []votingDate
	orders []Order // the orders that are considered
	window Window
}

// eachOrder holds the day of a date under each order; a zero Time where the order does
// not read it.
type eachOrder [4]time.Time

func (d eachOrder) none() bool { return d == eachOrder{} }

type votingDate struct {
	index int
	text  string
	under eachOrder // the day under each order
}

func newColumn(texts []string, w Window) column {
	c := column{window: w}
	var all []written
	for i, text := range texts {
		for _, one := range voters(text) {
			v := votingDate{index: i, text: text, under: one.underEachOrder(w)}
			if !v.under.none() {
				c.dates, all = append(c.dates, v), append(all, one)
			}
		}
	}
	c.orders = []Order{DMY, MDY}
	if c.yearMayLead(all) {
		c.orders = orders
	}
	// A date that only a dropped order reads is on no calendar.
	kept := c.dates[:0]
	for _, v := range c.dates {
		if len(c.readers(v)) > 0 {
			kept = append(kept, v)
		}
	}
	c.dates = kept
	return c
}

// voters returns the dates in a cell that depend on an order.
func voters(text string) []written {
	if IsMissing(text) {
		return nil
	}
	if _, ok := parseISO(text); ok {
		return nil
	}
	parts := []string{text}
	if first, second, ok := cutSpan(text); ok {
		parts = []string{first, second}
	}
	var list []written
	for _, part := range parts {
		w, fault := readWritten(part)
		if fault == nil && (w.form == threeNumbers || w.form == twoNumbers) {
			list = append(list, w)
		}
	}
	return list
}

// ordered puts the numbers into the places of an order and completes the year.
// It is false where the order cannot be meant: a year of four digits at the end
// is no day.
func (w written) ordered(order Order, o DateOptions) (y, m, d int, ok bool) {
	a, b, c := w.numbers[0], w.numbers[1], w.numbers[2]
	short := w.shortYear
	switch {
	case w.form == twoNumbers && order == DMY:
		return w.year, b, a, true
	case w.form == twoNumbers:
		return w.year, a, b, true
	case order == DMY:
		y, m, d = c, b, a
	case order == MDY:
		y, m, d = c, a, b
	case order == YMD && short:
		y, m, d = a, b, c
	default:
		return 0, 0, 0, false
	}
	if short {
		y, ok = o.Window.century(y)
		return y, m, d, ok
	}
	return y, m, d, true
}

func (w written) underEachOrder(window Window) eachOrder {
	var under eachOrder
	if w.form == twoNumbers {
		w.year = 2000 // a leap year
	}
	for _, order := range orders {
		y, m, d, ok := w.ordered(order, DateOptions{Window: window})
		if !ok || !onCalendar(y, m, d) {
			continue
		}
		t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
		if w.weekday >= 0 && w.form == threeNumbers && int(t.Weekday()) != w.weekday {
			continue
		}
		under[order] = t
	}
	return under
}

// onlyOrder returns the order under which alone the date lies on the calendar
// and in the window, or any when all give the same day, for a cell that stands
// alone.
func (w written) onlyOrder(o DateOptions) Order {
	under := w.underEachOrder(o.Window)
	if w.form == twoNumbers || w.sep == '.' {
		under[YMD] = time.Time{}
	}
	found := OrderUnknown
	var at time.Time
	for _, order := range orders {
		t := under[order]
		if t.IsZero() || w.form == threeNumbers && !o.Window.holds(t, t.AddDate(0, 0, 1)) {
			continue
		}
		if found != OrderUnknown && !t.Equal(at) {
			return OrderUnknown
		}
		found, at = order, t
	}
	return found
}

// yearMayLead reports whether dates such as 24-03-04 may begin with the year.
// Between full stops they never do. Between strokes they are thought to only
// when that brings the dates closer together than every other order, between
// hyphens unless it scatters three or more of them.
func (c column) yearMayLead(all []written) bool {
	hyphens := true
	for i, w := range all {
		if w.form != threeNumbers || !w.shortYear || w.sep == '.' || c.dates[i].under[YMD].IsZero() {
			return false
		}
		hyphens = hyphens && w.sep == '-'
	}
	if len(all) == 0 {
		return false
	}
	lead, ok := c.spread(YMD)
	closest := time.Duration(-1)
	for _, o := range []Order{DMY, MDY} {
		if s, ok := c.spread(o); ok && (closest < 0 || s < closest) {
			closest = s
		}
	}
	switch {
	case closest < 0:
		return ok
	case hyphens && len(all) >= 3:
		return lead <= 2*closest
	case hyphens:
		return true
	}
	return lead < closest
}

// spread returns the time from the first to the last date under an order.
func (c column) spread(o Order) (time.Duration, bool) {
	var first, last time.Time
	for i, v := range c.dates {
		t := v.under[o]
		if t.IsZero() {
			return 0, false
		}
		if i == 0 || t.Before(first) {
			first = t
		}
		if i == 0 || t.After(last) {
			last = t
		}
	}
	return last.Sub(first), true
}

// readers returns the considered orders that read a date.
func (c column) readers(v votingDate) []Order {
	list := make([]Order, 0, len(orders))
	for _, o := range c.orders {
		if !v.under[o].IsZero() {
			list = append(list, o)
		}
	}
	return list
}

func (c column) forces() []Force {
	var list []Force
	for _, v := range c.dates {
		if readers := c.readers(v); len(readers) == 1 {
			list = append(list, Force{v.index, v.text, readers[0]})
		}
	}
	return list
}

func (c column) possible() []Order {
	var list []Order
	for _, o := range c.orders {
		if !slices.ContainsFunc(c.dates, func(v votingDate) bool { return v.under[o].IsZero() }) {
			list = append(list, o)
		}
	}
	return list
}

// insideWindow drops the orders that put a date outside the window which
// another order keeps inside. It never drops all.
func (c column) insideWindow(possible []Order) []Order {
	inside := slices.DeleteFunc(slices.Clone(possible), func(o Order) bool {
		return slices.ContainsFunc(c.dates, func(v votingDate) bool {
			return !c.holds(v.under[o]) && slices.ContainsFunc(possible, func(other Order) bool { return c.holds(v.under[other]) })
		})
	})
	if len(inside) == 0 {
		return possible
	}
	return inside
}

func (c column) holds(t time.Time) bool { return c.window.holds(t, t.Add(24*time.Hour)) }

// The sequence rule: with so many dates, so large a share of forward steps.
const (
	fewestForSequence = 10
	mostlyForward     = 0.9
	hardlyForward     = 0.5
)

// sequence returns the one order in which the dates run forwards.
func (c column) sequence(list []Order) Order {
	if len(c.dates) < fewestForSequence {
		return OrderUnknown
	}
	winner := OrderUnknown
	for _, o := range list {
		switch share := c.forward(o); {
		case share >= mostlyForward && winner == OrderUnknown:
			winner = o
		case share > hardlyForward:
			return OrderUnknown
		}
	}
	return winner
}

// forward returns the share of steps from date to date that do not go back.
// Dates that the order does not read are passed over.
func (c column) forward(o Order) float64 {
	steps, forward := 0, 0
	var before time.Time
	for _, v := range c.dates {
		t := v.under[o]
		if t.IsZero() {
			continue
		}
		if !before.IsZero() {
			steps++
			if !t.Before(before) {
				forward++
			}
		}
		before = t
	}
	if steps == 0 {
		return 0
	}
	return float64(forward) / float64(steps)
}

// Where this few dates among this many decide, a slip of the pen could have.
const (
	fewDeciding = 2
	amongMany   = 20
)

// doubt takes an order back that one or two dates of many decided against the
// sequence of the others.
func (c column) doubt(r DateOrder) DateOrder {
	deciding := 0
	for _, v := range c.dates {
		others := slices.DeleteFunc(c.readers(v), func(o Order) bool { return o == r.Order || !c.holds(v.under[o]) })
		if len(others) == 0 {
			deciding++
		}
	}
	if deciding > fewDeciding || len(c.dates) < amongMany {
		return r
	}
	if o := c.sequence(c.orders); o != OrderUnknown && o != r.Order {
		r.Why = fmt.Sprintf("%d of %d dates speak for %s, but the dates run forwards in the order %s only: a slip of the pen may have decided", deciding, len(c.dates), r.Order, o)
		r.Order, r.Status = OrderUnknown, OrderAmbiguous
	}
	return r
}

// SwappedDates reports whether a spreadsheet that expected another order seems
// to have read a column's dates: it stores those that it could read with day
// and month exchanged, all on the 12th or before, and leaves the others as text
// with a number above 12. Three of each are needed. Eight honest dates lie on the
// 12th or before by chance once in 1,700 columns.
func SwappedDates(cells []source.Cell) bool {
	stored, texts := 0, 0
	for _, c := range cells {
		switch c.Kind {
		case source.Date, source.Instant:
			if c.Time.Day() > 12 {
				return false
			}
			stored++
		case source.Text:
			for _, w := range voters(c.Text) {
				if w.numbers[0] <= 12 && w.numbers[1] <= 12 {
					return false
				}
				texts++
			}
		}
	}
	return stored >= 3 && texts >= 3
}
