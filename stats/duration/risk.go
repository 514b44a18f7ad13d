package duration

import (
	"cmp"
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

// riskRows sorts exact and right-censored observations, clocks starting at the
// origin, into one row a time. causes is the sorted list of causes to be told
// apart, or nil.
//
// Sums run from the last time back in an order fixed by the values alone, so
// that the order of obs does not matter to the last bit.
func riskRows(obs []Observation, causes []int) []riskRow {
	exits := slices.Clone(obs)
	slices.SortFunc(exits, func(a, b Observation) int {
		return cmp.Or(cmp.Compare(a.exit(), b.exit()), cmp.Compare(a.Hi, b.Hi), cmp.Compare(a.Cause, b.Cause), cmp.Compare(a.Weight, b.Weight))
	})
	entries := slices.Clone(obs)
	slices.SortFunc(entries, func(a, b Observation) int {
		return cmp.Or(cmp.Compare(a.Entry, b.Entry), cmp.Compare(a.Weight, b.Weight))
	})
	var rows []riskRow
	var gone, entered float64 // weights with exit >= time, entry >= time
	e := len(entries)
	for i := len(exits); i > 0; {
		row := riskRow{time: exits[i-1].exit()}
		if causes != nil {
			row.byCause = make([]float64, len(causes))
		}
		for ; e > 0 && entries[e-1].Entry > row.time; e-- {
			entered += entries[e-1].Weight
		}
		row.left = gone - entered
		for ; e > 0 && entries[e-1].Entry >= row.time; e-- {
			entered += entries[e-1].Weight
		}
		for ; i > 0 && exits[i-1].exit() == row.time; i-- {
			gone += exits[i-1].Weight
			row.add(exits[i-1], causes)
		}
		row.atRisk = gone - entered
		rows = append(rows, row)
	}
	slices.Reverse(rows)
	return rows
}

func (r *riskRow) add(o Observation, causes []int) {
	switch {
	case o.RightCensored():
		r.censored += o.Weight
	default:
		r.events += o.Weight
		if causes != nil {
			r.byCause[sort.SearchInts(causes, o.Cause)] += o.Weight
		}
	}
}

// lastAtOrBefore returns the index of the last of n times that is not after t,
// or -1.
func lastAtOrBefore(n int, time func(int) float64, t float64) int {
	return sort.Search(n, func(i int) bool { return time(i) > t }) - 1
}
