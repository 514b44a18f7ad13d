package logit

import (
	"math"
	"slices"
)

// A table holds the data of a fit, collapsed to the patterns that differ in
// group, offset or any column. Patterns of a group lie next to each other,
// otherwise in the order in which the rows first show them.
//
// Columns are centred on the mean of the group and divided by their spread
// within groups, so that the unit and origin of a column do not matter to the
// computation. A column that does not vary within groups has scale 1.
type table struct {
	p      int
	x      []float64 // pattern i has columns x[i*p : (i+1)*p]
	s, n   []float64 // successes and trials, weights included; n > 0
	off    []float64
	start  []int // group g holds patterns start[g] to start[g+1]
	labels []int // of the groups, ascending

	center []float64 // of column j in group g at g*p+j, in units of the data
	scale  []float64 // of the columns

	segments []segment
	blocks   []block

	rowOf []int32 // pattern of each row of the data; -1 for a row without trials
}

// A segment is a stretch of at most blockRows patterns of one group, a block a
// run of segments of about blockRows patterns in all. Sums are taken within
// segments, then over the segments and blocks in order.
type segment struct{ group, lo, hi int }
type block struct{ lo, hi int } // segments

const blockRows = 2048

func (t *table) patterns() int { return len(t.s) }
func (t *table) groups() int   { return len(t.labels) }

func (t *table) row(i int) []float64 { return t.x[i*t.p : (i+1)*t.p] }

// newTable collapses valid data.
func newTable(d Data) *table {
	t := &table{p: len(d.X), rowOf: make([]int32, d.Rows())}
	t.labels = groupLabels(d)
	rows := patternRows(d, t.rowOf)
	order := t.sortByGroup(d, rows)
	t.fill(d, rows, order)
	t.standardise()
	t.cut()
	return t
}

func groupLabels(d Data) []int {
	seen := map[int]bool{}
	var labels []int
	for i := range d.Y {
		if g := d.group(i); d.trials(i)*d.weight(i) > 0 && !seen[g] {
			seen[g] = true
			labels = append(labels, g)
		}
	}
	slices.Sort(labels)
	return labels
}

// patternRows returns the first row of each pattern and fills in the pattern of
// each row, by a hash table with open addressing.
func patternRows(d Data, rowOf []int32) []int {
	size := 16
	for size < 2*len(rowOf) {
		size *= 2
	}
	slots := make([]int32, size) // pattern + 1, 0 where free
	hashes := make([]uint64, 0, 64)
	var rows []int
	for i := range rowOf {
		rowOf[i] = -1
		if d.trials(i)*d.weight(i) == 0 {
			continue
		}
		h := rowHash(d, i)
		for k := h & uint64(size-1); ; k = (k + 1) & uint64(size-1) {
			if slots[k] == 0 {
				rows, hashes = append(rows, i), append(hashes, h)
				slots[k] = int32(len(rows))
			}
			if u := slots[k] - 1; hashes[u] == h && sameRow(d, rows[u], i) {
				rowOf[i] = u
				break
			}
		}
	}
	return rows
}

func rowHash(d Data, i int) uint64 {
	h := mix(uint64(d.group(i)), math.Float64bits(d.offset(i)+0)) // +0 turns -0 into 0
	for j := range d.X {
		h = mix(h, math.Float64bits(d.X[j][i]+0))
	}
	return h
}

// mix folds a word into a hash: xor, multiply by an odd constant, xor-shift.
func mix(h, v uint64) uint64 {
	h = (h ^ v) * 0x9e3779b97f4a7c15
	return h ^ h>>29
}

func sameRow(d Data, a, b int) bool {
	if d.group(a) != d.group(b) || d.offset(a) != d.offset(b) {
		return false
	}
	for j := range d.X {
		if d.X[j][a] != d.X[j][b] {
			return false
		}
	}
	return true
}

// sortByGroup sets start and returns the new place of each pattern.
func (t *table) sortByGroup(d Data, rows []int) []int32 {
	place := make([]int32, len(rows))
	t.start = make([]int, len(t.labels)+1)
	group := make([]int, len(rows))
	for u, i := range rows {
		group[u], _ = slices.BinarySearch(t.labels, d.group(i))
		t.start[group[u]+1]++
	}
	for g := range t.labels {
		t.start[g+1] += t.start[g]
	}
	next := slices.Clone(t.start)
	for u, g := range group {
		place[u] = int32(next[g])
		next[g]++
	}
	return place
}

// fill copies the patterns to their places and adds up the counts.
func (t *table) fill(d Data, rows []int, place []int32) {
	u := len(rows)
	t.x, t.off = make([]float64, u*t.p), make([]float64, u)
	t.s, t.n = make([]float64, u), make([]float64, u)
	for k, i := range rows {
		at := int(place[k])
		t.off[at] = d.offset(i)
		for j := range d.X {
			t.x[at*t.p+j] = d.X[j][i]
		}
	}
	for i, k := range t.rowOf {
		if k < 0 {
			continue
		}
		at := place[k]
		t.rowOf[i] = at
		t.s[at] += d.weight(i) * d.Y[i]
		t.n[at] += d.weight(i) * d.trials(i)
	}
}

// standardise centres and scales the columns in place.
func (t *table) standardise() {
	t.center = make([]float64, t.groups()*t.p)
	t.scale = make([]float64, t.p)
	for j := range t.p {
		t.standardiseColumn(j)
	}
}

func (t *table) standardiseColumn(j int) {
	total, squares := 0.0, 0.0
	for g := range t.groups() {
		lo, hi := t.start[g], t.start[g+1]
		center, trials := t.x[lo*t.p+j], 0.0
		for i := lo; i < hi; i++ { // running mean: exact for a constant, no overflow
			trials += t.n[i]
			center += (t.x[i*t.p+j] - center) * (t.n[i] / trials)
		}
		t.center[g*t.p+j] = center
		for i := lo; i < hi; i++ {
			v := t.x[i*t.p+j]
			v -= center
			if math.Abs(v) <= rounding*math.Abs(center) {
				v = 0 // within the rounding of its own digits
			}
			t.x[i*t.p+j] = v
			squares += t.n[i] * v * v
		}
		total += trials
	}
	t.scale[j] = 1
	if squares > 0 {
		t.scale[j] = math.Sqrt(squares / total)
	}
	for i := range t.patterns() {
		t.x[i*t.p+j] /= t.scale[j]
	}
}

// rounding is the relative size below which a difference is the last digits of
// the numbers it came from.
const rounding = 1e-12

// cut divides the patterns into segments and blocks.
func (t *table) cut() {
	t.segments, t.blocks = nil, nil
	first, rows := 0, 0
	for g := range t.groups() {
		for lo := t.start[g]; lo < t.start[g+1]; lo += blockRows {
			hi := min(lo+blockRows, t.start[g+1])
			t.segments = append(t.segments, segment{g, lo, hi})
			if rows += hi - lo; rows >= blockRows {
				t.blocks = append(t.blocks, block{first, len(t.segments)})
				first, rows = len(t.segments), 0
			}
		}
	}
	if rows > 0 {
		t.blocks = append(t.blocks, block{first, len(t.segments)})
	}
}

// counts returns the successes and trials of group g.
func (t *table) counts(g int) (s, n float64) {
	for i := t.start[g]; i < t.start[g+1]; i++ {
		s += t.s[i]
		n += t.n[i]
	}
	return s, n
}

// informative reports whether group g has seen both outcomes. Only such a group
// compares anything within itself.
func (t *table) informative(g int) bool {
	success, failure := false, false
	for i := t.start[g]; i < t.start[g+1]; i++ {
		success = success || t.s[i] > 0
		failure = failure || t.s[i] < t.n[i]
	}
	return success && failure
}

// totals returns the successes and trials of the whole table.
func (t *table) totals() (s, n float64) {
	for i := range t.s {
		s += t.s[i]
		n += t.n[i]
	}
	return s, n
}

// with returns the table with other counts: patterns without trials and groups
// without patterns are left out, centres and scales stay. from[g] is the group
// of t that became group g.
func (t *table) with(s, n []float64) (sub *table, from []int) {
	sub = &table{p: t.p, scale: t.scale, start: []int{0}}
	u := t.patterns()
	sub.x, sub.s, sub.n, sub.off = make([]float64, 0, u*t.p), make([]float64, 0, u), make([]float64, 0, u), make([]float64, 0, u)
	for g := range t.groups() {
		for i := t.start[g]; i < t.start[g+1]; i++ {
			if n[i] > 0 {
				sub.x = append(sub.x, t.row(i)...)
				sub.s, sub.n, sub.off = append(sub.s, s[i]), append(sub.n, n[i]), append(sub.off, t.off[i])
			}
		}
		if last := sub.start[len(sub.start)-1]; sub.patterns() > last {
			sub.start = append(sub.start, sub.patterns())
			sub.labels = append(sub.labels, t.labels[g])
			sub.center = append(sub.center, t.center[g*t.p:(g+1)*t.p]...)
			from = append(from, g)
		}
	}
	sub.cut()
	return sub, from
}

// onlyInformative returns the table without the groups that have seen one
// outcome only, the group each one came from, and the labels of those left out.
func (t *table) onlyInformative() (sub *table, from, left []int) {
	n := slices.Clone(t.n)
	for g := range t.groups() {
		if !t.informative(g) {
			left = append(left, t.labels[g])
			clear(n[t.start[g]:t.start[g+1]])
		}
	}
	if left == nil {
		from = make([]int, t.groups())
		for g := range from {
			from[g] = g
		}
		return t, from, nil
	}
	sub, from = t.with(t.s, n)
	return sub, from, left
}
