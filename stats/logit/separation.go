package logit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gravid/stats"
)

// SeparationKind says how far the outcomes are split by the columns.
type SeparationKind int

const (
	// Overlap: every direction meets both outcomes, so maximum likelihood has a
	// finite answer.
	Overlap SeparationKind = iota
	// QuasiComplete: some combination of the columns puts no failure above a
	// success of its group; ties remain.
	QuasiComplete
	// Complete: some combination of the columns puts every success of a group
	// above every failure.
	Complete
	// Undecided: rounding errors kept the test from an answer.
	Undecided
)

var separationNames = [...]string{"none", "quasi-complete", "complete", "undecided"}

// String returns the kind as a word.
func (k SeparationKind) String() string {
	if k < 0 || int(k) >= len(separationNames) {
		return fmt.Sprintf("separation(%d)", int(k))
	}
	return separationNames[k]
}

// A SeparatedColumn is a column that takes part in separating the outcomes.
type SeparatedColumn struct {
	Column int
	Name   string
	// Direction is +1 or -1 where the maximum likelihood estimate runs off to
	// plus or minus infinity, and 0 where both are possible.
	Direction int
}

// Separation says whether and how the outcomes are separated (Albert & Anderson
// 1984). Groups with a single outcome are left out: their intercept is infinite,
// but they say nothing about the slopes.
type Separation struct {
	Kind    SeparationKind
	Columns []SeparatedColumn
	// UninformativeGroups have seen one outcome only, in ascending order.
	UninformativeGroups []int
}

// Separated reports whether maximum likelihood has no finite answer.
func (s Separation) Separated() bool { return s.Kind == QuasiComplete || s.Kind == Complete }

// Involves reports whether column j takes part.
func (s Separation) Involves(j int) bool {
	return slices.ContainsFunc(s.Columns, func(c SeparatedColumn) bool { return c.Column == j })
}

// Warnings puts the finding into words.
func (s Separation) Warnings() []stats.Warning {
	switch s.Kind {
	case Undecided:
		return []stats.Warning{{Code: "separation-undecided", Text: "rounding errors kept the test for separated outcomes from an answer"}}
	case QuasiComplete, Complete:
		parts := make([]string, len(s.Columns))
		for k, c := range s.Columns {
			parts[k] = c.Name + [...]string{" (downwards)", " (either way)", " (upwards)"}[c.Direction+1]
		}
		return []stats.Warning{{Code: "separated", Text: fmt.Sprintf("the outcomes are split (%s separation) by %s: the records set no bound on that side, and one attempt that goes the other way would change the figure a lot", s.Kind, strings.Join(parts, ", "))}}
	}
	return nil
}

// DetectSeparation looks, before any fit, for a combination of columns that
// splits the outcomes within every group, and names the columns and directions.
// Columns that Identify finds at fault are left out of the search.
//
// It decides the same question as the linear program of Konis (2007); cone.go
// says how, and why it needs no judgement about a small optimum.
func DetectSeparation(d Data) (Separation, error) {
	if err := d.Validate(); err != nil {
		return Separation{}, err
	}
	t := newTable(d)
	informative, _, left := t.onlyInformative()
	sep := separate(informative, identify(t, informative, d))
	sep.UninformativeGroups = left
	return sep, nil
}

// separate tests a table of informative groups.
func separate(t *table, id Identifiability) Separation {
	var columns []int
	for j := range t.p {
		if !slices.Contains(id.Faulty(), j) {
			columns = append(columns, j)
		}
	}
	if len(columns) == 0 || t.patterns() == 0 {
		return Separation{}
	}
	pairs := pairOracle{t: t, columns: columns}
	c := cone{p: len(columns), ask: pairs.slopes}
	var sep Separation
	for k, j := range columns {
		up, ok1 := c.reach(k, 1)
		down, ok2 := c.reach(k, -1)
		if !ok1 || !ok2 {
			return Separation{Kind: Undecided}
		}
		if up || down {
			direction := 0
			switch {
			case !down:
				direction = 1
			case !up:
				direction = -1
			}
			sep.Columns = append(sep.Columns, SeparatedColumn{j, id.names[j], direction})
		}
	}
	if len(sep.Columns) == 0 {
		return sep
	}
	sep.Kind = QuasiComplete
	margin := cone{p: len(columns) + 1, ask: pairs.margin}
	complete, ok := margin.reach(len(columns), 1)
	switch {
	case !ok:
		sep.Kind = Undecided
	case complete:
		sep.Kind = Complete
	}
	return sep
}

// reachTolerance is the share of a direction, taken at unit length, below which
// a column has no part in it.
const reachTolerance = 1e-7

// reach reports whether some direction of the cone has a positive (sign 1) or
// negative (sign -1) element k.
func (c *cone) reach(k int, sign float64) (found, ok bool) {
	target := make([]float64, c.p)
	target[k] = sign
	r, ok := c.project(target)
	return math.Sqrt(dot(r, r)) > reachTolerance, ok
}

// A pairOracle knows the differences x_i - x_k between a success i and a failure
// k of the same group. A direction b separates if it gives none of them a
// negative sign: then an intercept fits between the successes and the failures
// of each group. Only the lowest success and the highest failure matter, so no
// list of pairs is needed.
type pairOracle struct {
	t       *table
	columns []int
}

// slopes is the oracle for the directions themselves.
func (o pairOracle) slopes(r []float64, slack float64) [][]float64 {
	return o.violations(r, 0, slack, func(d []float64) []float64 { return d })
}

// margin is the oracle for directions with a margin, the last element of r: every
// pair must differ by at least that much. A margin above 0 means that they
// separate completely.
func (o pairOracle) margin(r []float64, slack float64) [][]float64 {
	p := len(o.columns)
	return o.violations(r[:p], r[p], slack, func(d []float64) []float64 { return append(d, -1) })
}

// mostPairs bounds how many differences one call returns.
const mostPairs = 64

type pair struct {
	success, failure int
	gap              float64
}

// violations returns the worst pairs with d'b < margin - slack, each passed
// through shape. Every segment offers its best pair, and so does every group
// across its segments.
func (o pairOracle) violations(b []float64, margin, slack float64, shape func([]float64) []float64) [][]float64 {
	t := o.t
	if out := o.shaped(o.sample(b), margin-slack, shape); len(out) > 0 {
		return out
	}
	local := make([]pair, len(t.segments))
	each(len(t.blocks), func(k int) {
		for at := t.blocks[k].lo; at < t.blocks[k].hi; at++ {
			local[at] = o.scan(b, t.segments[at])
		}
	})
	found := slices.Clone(local)
	for lo := 0; lo < len(t.segments); {
		hi := lo + 1
		for hi < len(t.segments) && t.segments[hi].group == t.segments[lo].group {
			hi++
		}
		if hi > lo+1 {
			found = append(found, o.across(b, local[lo:hi]))
		}
		lo = hi
	}
	return o.shaped(found, margin-slack, shape)
}

// sample looks at a few blocks, spread evenly: with many rows, they mostly hold enough
// pairs to rule every direction out.
func (o pairOracle) sample(b []float64) []pair {
	const few = 8
	blocks := o.t.blocks
	if len(blocks) < 4*few {
		return nil
	}
	var out []pair
	for k := range few {
		at := blocks[k*len(blocks)/few]
		for s := at.lo; s < at.hi; s++ {
			out = append(out, o.scan(b, o.t.segments[s]))
		}
	}
	return out
}

// shaped returns the differences of the worst pairs among those with a gap below most.
func (o pairOracle) shaped(found []pair, most float64, shape func([]float64) []float64) [][]float64 {
	t := o.t
	found = slices.DeleteFunc(found, func(p pair) bool { return !(p.gap < most) })
	slices.SortStableFunc(found, func(a, b pair) int {
		switch {
		case a.gap < b.gap:
			return -1
		case a.gap > b.gap:
			return 1
		}
		return 0
	})
	var out [][]float64
	for _, p := range found[:min(len(found), mostPairs)] {
		d := make([]float64, len(o.columns), len(o.columns)+1)
		for k, j := range o.columns {
			d[k] = t.x[j][p.success] - t.x[j][p.failure]
		}
		out = append(out, shape(d))
	}
	return out
}

// scan finds the lowest success and the highest failure of a segment; -1 where
// there is none. A pair that lacks one has an infinite gap.
func (o pairOracle) scan(b []float64, s segment) pair {
	p := pair{success: -1, failure: -1}
	least, most := math.Inf(1), math.Inf(-1)
	for i := s.lo; i < s.hi; i++ {
		v := o.value(b, i)
		if o.t.s[i] > 0 && v < least {
			p.success, least = i, v
		}
		if o.t.s[i] < o.t.n[i] && v > most {
			p.failure, most = i, v
		}
	}
	p.gap = least - most
	return p
}

// across joins the pairs of the segments of one group.
func (o pairOracle) across(b []float64, local []pair) pair {
	p := pair{success: -1, failure: -1}
	least, most := math.Inf(1), math.Inf(-1)
	for _, q := range local {
		if q.success >= 0 {
			if v := o.value(b, q.success); v < least {
				p.success, least = q.success, v
			}
		}
		if q.failure >= 0 {
			if v := o.value(b, q.failure); v > most {
				p.failure, most = q.failure, v
			}
		}
	}
	p.gap = least - most
	return p
}

func (o pairOracle) value(b []float64, i int) float64 {
	v := 0.0
	for k, j := range o.columns {
		v += b[k] * o.t.x[j][i]
	}
	return v
}
