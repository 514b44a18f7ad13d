package duration

import (
	"cmp"
	"container/heap"
	"math"
	"slices"
	"strings"
)

// A coxData holds the observations of a Cox regression in columns, stratum by
// stratum and within each from the last time back, in an order fixed by the
// values alone, so that the order given does not matter to the last bit.
type coxData struct {
	ties  Ties
	firth bool
	p     int // covariates

	time, weight, offset []float64
	event                []bool
	x                    []float64 // p for each row, standardised
	given                []int     // place of each row in the slice given
	strata               []coxStratum
	mean, sd             []float64 // of the covariates
	offsetMean           float64
	gone                 *goneRows // in a Fine-Gray regression, else nil
}

// A coxStratum is a run of rows. late lists those with late entry by entry time
// from the last back.
type coxStratum struct {
	label    int
	from, to int
	late     []coxEntry
}

type coxEntry struct {
	time float64
	row  int
}

func joined(names []string) string { return strings.Join(names, ", ") }

// A coxKey is what rows are sorted by first.
type coxKey struct {
	time    float64
	stratum int
	given   int
	event   bool
}

func newCoxData(obs []Observation, covariates []Covariate, s CoxSettings) *coxData {
	n, p := len(obs), len(covariates)
	d := &coxData{ties: s.Ties, firth: s.Firth, p: p}
	keys := make([]coxKey, n)
	for i, o := range obs {
		keys[i] = coxKey{time: o.exit(), given: i, event: o.Exact()}
		if s.Strata != nil {
			keys[i].stratum = s.Strata[i]
		}
	}
	slices.SortFunc(keys, func(a, b coxKey) int {
		switch {
		case a.stratum != b.stratum:
			return cmp.Compare(a.stratum, b.stratum)
		case a.time != b.time:
			return cmp.Compare(b.time, a.time)
		case a.event != b.event:
			if a.event {
				return -1
			}
			return 1
		}
		return tieBreak(obs, covariates, s, a.given, b.given)
	})
	d.time, d.weight, d.offset = make([]float64, n), make([]float64, n), make([]float64, n)
	d.event, d.given, d.x = make([]bool, n), make([]int, n), make([]float64, n*p)
	for r, k := range keys {
		o := obs[k.given]
		d.time[r], d.weight[r], d.event[r], d.given[r] = o.exit(), o.Weight, o.Exact(), k.given
		if s.Offset != nil {
			d.offset[r] = s.Offset[k.given]
		}
		for j, c := range covariates {
			d.x[r*p+j] = c.Values[k.given]
		}
		if last := len(d.strata) - 1; last < 0 || d.strata[last].label != k.stratum {
			d.strata = append(d.strata, coxStratum{label: k.stratum, from: r})
		}
		g := &d.strata[len(d.strata)-1]
		g.to = r + 1
		if !math.IsInf(o.Entry, -1) {
			g.late = append(g.late, coxEntry{o.Entry, r})
		}
	}
	for _, g := range d.strata {
		slices.SortFunc(g.late, func(a, b coxEntry) int {
			return cmp.Or(cmp.Compare(b.time, a.time), cmp.Compare(a.row, b.row))
		})
	}
	d.standardise()
	return d
}

// tieBreak puts observations of the same stratum, time and kind in order of
// whatever else tells them apart.
func tieBreak(obs []Observation, covariates []Covariate, s CoxSettings, a, b int) int {
	if c := cmp.Or(cmp.Compare(obs[a].Entry, obs[b].Entry), cmp.Compare(obs[a].Weight, obs[b].Weight)); c != 0 {
		return c
	}
	if s.Offset != nil && s.Offset[a] != s.Offset[b] {
		return cmp.Compare(s.Offset[a], s.Offset[b])
	}
	for _, c := range covariates {
		if c.Values[a] != c.Values[b] {
			return cmp.Compare(c.Values[a], c.Values[b])
		}
	}
	return 0
}

// standardise brings the covariates to mean 0 and standard deviation 1 (but for
// constant ones, which stay at 0) and the offsets to mean 0.
func (d *coxData) standardise() {
	var total float64
	for i, w := range d.weight {
		total += w
		d.offsetMean += w * d.offset[i]
	}
	d.offsetMean /= total
	for i := range d.offset {
		d.offset[i] -= d.offsetMean
	}
	d.mean, d.sd = make([]float64, d.p), make([]float64, d.p)
	for i, w := range d.weight {
		for j, v := range d.row(i) {
			d.mean[j] += w * v / total
		}
	}
	for i, w := range d.weight {
		for j, v := range d.row(i) {
			d.sd[j] += w * square(v-d.mean[j]) / total
		}
	}
	for j := range d.sd {
		d.sd[j] = math.Sqrt(d.sd[j])
		if d.sd[j] <= 1e-12*math.Abs(d.mean[j]) { // constant but for rounding
			d.sd[j] = 0
		}
	}
	for i := range d.weight {
		x := d.row(i)
		for j := range x {
			if d.sd[j] > 0 {
				x[j] = (x[j] - d.mean[j]) / d.sd[j]
			} else {
				x[j] = 0
			}
		}
	}
}

func (d *coxData) row(i int) []float64 { return d.x[i*d.p : (i+1)*d.p : (i+1)*d.p] }

// logRisk is the log hazard of a row against the baseline.
func (d *coxData) logRisk(i int, theta []float64) float64 {
	eta := d.offset[i]
	for j, v := range d.row(i) {
		eta += theta[j] * v
	}
	return eta
}

// separates reports whether at every time of an event those with events have the
// highest value of direction times the covariates of all at risk, and not all
// at risk always have the same: then the likelihood rises for ever in that
// direction.
func (d *coxData) separates(direction []float64) bool {
	strict := false
	score := make([]float64, len(d.time))
	var scale float64
	for i := range score {
		for j, v := range d.row(i) {
			score[i] += direction[j] * v
		}
		scale = math.Max(scale, math.Abs(score[i]))
	}
	slack := 1e-10 * scale
	for _, g := range d.strata {
		extremes := newRiskExtremes(g, score)
		if d.gone != nil {
			for _, row := range d.gone.rows {
				extremes.add(row)
			}
		}
		for i := g.from; i < g.to; {
			t := d.time[i]
			next := i
			for ; next < g.to && d.time[next] == t; next++ {
				extremes.add(next)
			}
			if !d.event[i] {
				i = next
				continue
			}
			lowest, highest := extremes.at(t)
			for ; i < next && d.event[i]; i++ {
				if score[i] < highest-slack {
					return false
				}
			}
			strict = strict || lowest < highest-slack
			i = next
		}
	}
	return strict
}

// A riskExtremes keeps the lowest and highest score among those at risk. Where
// some enter late, two heaps hold the scores, and those who have left are thrown
// out as they come to the top.
type riskExtremes struct {
	score           []float64
	late            []coxEntry
	gone            map[int]bool
	low, high       scoreHeap
	lowest, highest float64 // where nobody enters late
}

func newRiskExtremes(g coxStratum, score []float64) *riskExtremes {
	return &riskExtremes{
		score: score, late: g.late, gone: map[int]bool{}, low: scoreHeap{sign: 1, score: score},
		high: scoreHeap{sign: -1, score: score}, lowest: math.Inf(1), highest: math.Inf(-1),
	}
}

func (r *riskExtremes) add(row int) {
	r.lowest, r.highest = math.Min(r.lowest, r.score[row]), math.Max(r.highest, r.score[row])
	if r.late != nil {
		heap.Push(&r.low, row)
		heap.Push(&r.high, row)
	}
}

// at takes out those who entered at t or later and returns the lowest and
// highest score of those left, of which there must be one.
func (r *riskExtremes) at(t float64) (lowest, highest float64) {
	if r.low.rows == nil {
		return r.lowest, r.highest
	}
	for ; len(r.late) > 0 && r.late[0].time >= t; r.late = r.late[1:] {
		r.gone[r.late[0].row] = true
	}
	for _, h := range []*scoreHeap{&r.low, &r.high} {
		for r.gone[h.rows[0]] {
			heap.Pop(h)
		}
	}
	return r.score[r.low.rows[0]], r.score[r.high.rows[0]]
}

// A scoreHeap has the row with the lowest sign times score on top.
type scoreHeap struct {
	sign  float64
	score []float64
	rows  []int
}

func (h *scoreHeap) Len() int { return len(h.rows) }
func (h *scoreHeap) Less(a, b int) bool {
	return h.sign*h.score[h.rows[a]] < h.sign*h.score[h.rows[b]]
}
func (h *scoreHeap) Swap(a, b int) { h.rows[a], h.rows[b] = h.rows[b], h.rows[a] }
func (h *scoreHeap) Push(row any)  { h.rows = append(h.rows, row.(int)) }
func (h *scoreHeap) Pop() any {
	last := len(h.rows) - 1
	row := h.rows[last]
	h.rows = h.rows[:last]
	return row
}
