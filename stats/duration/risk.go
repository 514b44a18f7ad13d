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

// lastAtOrBefore returns the index of the last of n times that is not after t,
// or -1.
func lastAtOrBefore(n int, time func(int) float64, t float64) int {
	return sort.Search(n, func(i int) bool { return time(i) > t }) - 1
}
