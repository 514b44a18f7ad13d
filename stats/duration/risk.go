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
	if !slices.ContainsFunc(obs, func(o Observation) bool { return o.Weight != 1 }) {
		return countRows(obs, causes)
	}
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

// countRows is riskRows where every weight is 1, so that times can be sorted by
// themselves and counted.
func countRows(obs []Observation, causes []int) []riskRow {
	kinds := make([][]float64, 1+len(causes)) // the lost, then by cause
	if causes == nil {
		kinds = make([][]float64, 2)
	}
	var entries []float64
	for _, o := range obs {
		kind := 0
		if !o.RightCensored() {
			kind = 1
			if causes != nil {
				kind += sort.SearchInts(causes, o.Cause)
			}
		}
		kinds[kind] = append(kinds[kind], o.exit())
		if !math.IsInf(o.Entry, -1) {
			entries = append(entries, o.Entry)
		}
	}
	for _, times := range kinds {
		sortTimes(times)
	}
	sortTimes(entries)
	var rows []riskRow
	var slab []float64 // for byCause
	var gone, entered float64
	for {
		row := riskRow{time: math.Inf(-1)}
		for _, times := range kinds {
			if n := len(times); n > 0 {
				row.time = math.Max(row.time, times[n-1])
			}
		}
		if math.IsInf(row.time, -1) {
			break
		}
		if causes != nil {
			if len(slab) < len(causes) {
				slab = make([]float64, 1024*len(causes))
			}
			row.byCause, slab = slab[:len(causes):len(causes)], slab[len(causes):]
		}
		entered += dropWhile(&entries, func(t float64) bool { return t > row.time })
		row.left = gone - entered
		entered += dropWhile(&entries, func(t float64) bool { return t == row.time })
		for kind := range kinds {
			n := dropWhile(&kinds[kind], func(t float64) bool { return t == row.time })
			gone += n
			switch {
			case kind == 0:
				row.censored = n
			case causes != nil:
				row.byCause[kind-1] = n
				fallthrough
			default:
				row.events += n
			}
		}
		row.atRisk = gone - entered
		rows = append(rows, row)
	}
	slices.Reverse(rows)
	return rows
}

// dropWhile takes from the end of times those for which drop holds, and returns how
// many.
func dropWhile(times *[]float64, drop func(float64) bool) float64 {
	n := len(*times)
	for n > 0 && drop((*times)[n-1]) {
		n--
	}
	dropped := len(*times) - n
	*times = (*times)[:n]
	return float64(dropped)
}

// sortTimes puts times, none of them NaN, in order: by radix where there are many. The
// digits that all have in common, of which whole numbers have many, are passed over.
func sortTimes(times []float64) {
	const few, bits = 1 << 12, 11
	if len(times) < few {
		slices.Sort(times)
		return
	}
	keys, other := make([]uint64, len(times)), make([]uint64, len(times))
	var differ uint64
	for i, t := range times {
		k := math.Float64bits(t + 0) // -0 becomes 0
		if k>>63 != 0 {
			k = ^k
		} else {
			k |= 1 << 63
		}
		keys[i] = k
		differ |= k ^ keys[0]
	}
	for shift := 0; shift < 64; shift += bits {
		if differ>>shift&(1<<bits-1) == 0 {
			continue
		}
		var start [1 << bits]int
		for _, k := range keys {
			start[k>>shift&(1<<bits-1)]++
		}
		sum := 0
		for d, n := range start {
			start[d] = sum
			sum += n
		}
		for _, k := range keys {
			d := k >> shift & (1<<bits - 1)
			other[start[d]] = k
			start[d]++
		}
		keys, other = other, keys
	}
	for i, k := range keys {
		if k>>63 != 0 {
			k &^= 1 << 63
		} else {
			k = ^k
		}
		times[i] = math.Float64frombits(k)
	}
}
