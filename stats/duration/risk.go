package duration

import (
	"cmp"
	"math"
	"slices"
	"sort"
)

// A riskRow is one distinct time at which subjects left the risk set.
type riskRow struct {
	time     float64
	atRisk   float64 // entry < time <= exit
	events   float64
	byCause  []float64 // events by position in the list of causes; nil without one
	censored float64
	left     float64 // still at risk just after time: entry <= time < exit
}

// A move is an entry to the risk set or an exit from it.
type move struct {
	time, weight float64
	cause        int // position in the list of causes; none for an entry or without a list
	event        bool
}

const none = -1

func (a move) compare(b move) int {
	switch {
	case a.time != b.time:
		return cmp.Compare(a.time, b.time)
	case a.event != b.event:
		if a.event {
			return -1
		}
		return 1
	}
	return cmp.Or(cmp.Compare(a.cause, b.cause), cmp.Compare(a.weight, b.weight))
}

// moves lists all exits and the late entries, each in an order fixed by the
// values alone.
func moves(obs []Observation, causes []int) (exits, entries []move) {
	exits = make([]move, len(obs))
	for i, o := range obs {
		exits[i] = move{o.exit(), o.Weight, none, !o.RightCensored()}
		if causes != nil && exits[i].event {
			exits[i].cause = sort.SearchInts(causes, o.Cause)
		}
		if !math.IsInf(o.Entry, -1) {
			entries = append(entries, move{o.Entry, o.Weight, none, false})
		}
	}
	slices.SortFunc(exits, move.compare)
	slices.SortFunc(entries, move.compare)
	return exits, entries
}

// riskRows sorts exact and right-censored observations, clocks starting at the
// origin, into one row a time. causes is the sorted list of causes to be told
// apart, or nil.
//
// Sums run from the last time back in an order fixed by the values alone, so
// that the order of obs does not matter to the last bit.
func riskRows(obs []Observation, causes []int) []riskRow {
	w := newRiskWalk(obs, causes)
	rows := make([]riskRow, 0, w.len())
	for w.next() {
		row := w.riskRow
		row.byCause = slices.Clone(row.byCause)
		rows = append(rows, row)
	}
	return rows
}

// weighedRows is riskRows for any weights.
func weighedRows(obs []Observation, causes []int) []riskRow {
	exits, entries := moves(obs, causes)
	var rows []riskRow
	var gone, entered float64 // weights with exit >= time, entry >= time
	e := len(entries)
	for i := len(exits); i > 0; {
		row := riskRow{time: exits[i-1].time}
		if causes != nil {
			row.byCause = make([]float64, len(causes))
		}
		for ; e > 0 && entries[e-1].time > row.time; e-- {
			entered += entries[e-1].weight
		}
		row.left = gone - entered
		for ; e > 0 && entries[e-1].time == row.time; e-- {
			entered += entries[e-1].weight
		}
		for ; i > 0 && exits[i-1].time == row.time; i-- {
			gone += exits[i-1].weight
			row.add(exits[i-1])
		}
		row.atRisk = gone - entered
		rows = append(rows, row)
	}
	slices.Reverse(rows)
	return rows
}

func (r *riskRow) add(m move) {
	if !m.event {
		r.censored += m.weight
		return
	}
	r.events += m.weight
	if m.cause != none {
		r.byCause[m.cause] += m.weight
	}
}

// A riskWalk goes over the rows of riskRows in order. Where every weight is 1 no row
// is made before it is asked for.
type riskWalk struct {
	riskRow           // the one reached; byCause is valid until the next
	rows    []riskRow // still to come, where weights differ
	exits   line      // label 0 the lost, then by cause; or 1 for all events without causes
	entries line      // late ones
	labels  []float64 // how many of each label now
}

// newRiskWalk walks over observations that were checked; their clocks need not start
// at the origin.
func newRiskWalk(obs []Observation, causes []int) *riskWalk {
	w := &riskWalk{labels: make([]float64, max(2, 1+len(causes)))}
	place := newPlaces(causes)
	all := newLines(obs, len(w.labels), func(_ int, o *Observation) int {
		switch {
		case o.RightCensored():
			return 0
		case causes == nil:
			return 1
		}
		return 1 + place.of(o.Cause)
	})
	if all == nil {
		clean := make([]Observation, len(obs))
		for i, o := range obs {
			clean[i] = o.fromOrigin()
		}
		w.rows = weighedRows(clean, causes)
		return w
	}
	if causes != nil {
		w.byCause = w.labels[1 : 1+len(causes)]
	}
	w.exits, w.entries = all.exits, all.entries
	w.left = float64(len(w.exits.keys) - len(w.entries.keys))
	return w
}

// len is the number of rows.
func (w *riskWalk) len() int { return len(w.rows) + w.exits.distinct() }

// next goes to the next row and reports whether there is one.
func (w *riskWalk) next() bool {
	if len(w.rows) > 0 {
		w.riskRow, w.rows = w.rows[0], w.rows[1:]
		return true
	}
	clear(w.labels)
	time, gone, ok := w.exits.next(w.labels)
	if !ok {
		return false
	}
	w.time, w.atRisk = time, w.left
	if len(w.entries.keys) > 0 {
		w.atRisk += w.entries.take(time, false, nil)
		w.left = w.atRisk + w.entries.take(time, true, nil)
	} else {
		w.left = w.atRisk
	}
	w.left -= gone
	w.censored = w.labels[0]
	w.events = gone - w.censored
	return true
}

// lastAtOrBefore returns the index of the last of n times that is not after t,
// or -1.
func lastAtOrBefore(n int, time func(int) float64, t float64) int {
	return sort.Search(n, func(i int) bool { return time(i) > t }) - 1
}
