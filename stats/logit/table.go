package logit

import (
	"math"
	"slices"
)

// A table holds the data of a fit, collapsed to the patterns that differ in
// group, offset or any column where that pays (see collapsePays). Patterns of a
// group lie next to each other, otherwise in the order in which the rows first show
// them.
//
// Columns are centred on the mean of the group and divided by their spread
// within groups, so that the unit and origin of a column do not matter to the
// computation. A column that does not vary within groups has scale 1.
type table struct {
	p      int
	x      [][]float64 // x[j][i] is column j of pattern i
	s, n   []float64   // successes and trials, weights included; n > 0
	off    []float64   // nil for none
	start  []int       // group g holds patterns start[g] to start[g+1]
	labels []int       // of the groups, ascending

	center []float64 // of column j in group g at g*p+j, in units of the data
	scale  []float64 // of the columns

	successes, trials []float64 // of the groups

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

func (t *table) offset(i int) float64 {
	if t.off == nil {
		return 0
	}
	return t.off[i]
}

// rows counts the rows of the data that have trials.
func (t *table) rows() int {
	n := 0
	for _, u := range t.rowOf {
		if u >= 0 {
			n++
		}
	}
	return n
}

// row copies the columns of pattern i to into and returns it.
func (t *table) row(i int, into []float64) []float64 {
	for j, column := range t.x {
		into[j] = column[i]
	}
	return into
}

// newTable collapses valid data.
func newTable(d Data) *table {
	t := &table{p: len(d.X), rowOf: make([]int32, d.Rows())}
	var group grouping
	t.labels, group = groupIndex(d)
	rows := patternRows(d, group, t.rowOf)
	if rows == nil {
		t.plain(d)
		return t
	}
	place := t.sortByGroup(group, rows)
	t.fillCounts(d, rows, place)
	t.fillColumns(d, rows, place)
	t.cut()
	t.addUp()
	return t
}

// plain makes the table of one group whose every row is one trial and a pattern of its
// own: nothing is moved.
func (t *table) plain(d Data) {
	u := d.Rows()
	t.start = []int{0, u}
	t.s, t.n, t.off = d.Y, filled(u, 1), d.Offset
	t.center, t.scale = make([]float64, t.p), make([]float64, t.p)
	t.x = make([][]float64, t.p)
	each(t.p, func(j int) {
		t.x[j] = slices.Clone(d.X[j])
		t.standardise(j)
	})
	t.cut()
	t.addUp()
}

// A grouping holds, for each row, the place of its group among those that have trials,
// -1 for a row without; nil puts all rows in one group.
type grouping []int32

func (g grouping) of(i int) int32 {
	if g == nil {
		return 0
	}
	return g[i]
}

// groupIndex returns the numbers of the groups that have trials, ascending, and where
// each row belongs.
func groupIndex(d Data) (labels []int, group grouping) {
	if d.Group == nil && d.N == nil && d.Weights == nil {
		return []int{0}, nil
	}
	group = make(grouping, d.Rows())
	seen := map[int]int32{} // the order in which groups come up
	last, at := 0, int32(-1)
	for i := range group {
		if d.trials(i)*d.weight(i) == 0 {
			group[i] = -1
			continue
		}
		if g := d.group(i); at < 0 || g != last {
			k, ok := seen[g]
			if !ok {
				k = int32(len(seen))
				seen[g] = k
				labels = append(labels, g)
			}
			last, at = g, k
		}
		group[i] = at
	}
	if len(labels) == 1 && d.N == nil && d.Weights == nil {
		return labels, nil
	}
	if slices.IsSorted(labels) {
		return labels, group
	}
	sorted := slices.Sorted(slices.Values(labels))
	for k, g := range sorted {
		seen[g] = int32(k)
	}
	for i, k := range group {
		if k >= 0 {
			group[i] = seen[labels[k]]
		}
	}
	return sorted, group
}

// fillCounts adds up the counts and offsets of the patterns, and turns rowOf into
// their places.
func (t *table) fillCounts(d Data, rows, place []int32) {
	u := len(rows)
	t.s, t.n = make([]float64, u), make([]float64, u)
	if d.Offset != nil {
		t.off = make([]float64, u)
		for k, i := range rows {
			t.off[place[k]] = d.Offset[i]
		}
	}
	add := func(lo, hi int) {
		for i := lo; i < hi; i++ {
			if k := t.rowOf[i]; k >= 0 {
				at := place[k]
				t.rowOf[i] = at
				w := d.weight(i)
				t.s[at] += w * d.Y[i]
				t.n[at] += w * d.trials(i)
			}
		}
	}
	all := len(t.rowOf)
	if u < all {
		add(0, all)
		return
	}
	each((all+stretch-1)/stretch, func(k int) { add(k*stretch, min((k+1)*stretch, all)) }) // a pattern each
}

// stretch is how many rows of a column are handled at a time.
const stretch = 4096

// fillColumns copies the columns to the places of the patterns, centres them on the
// means of their groups and scales them.
func (t *table) fillColumns(d Data, rows, place []int32) {
	u := len(rows)
	t.center, t.scale = make([]float64, t.groups()*t.p), make([]float64, t.p)
	t.x = make([][]float64, t.p)
	each(t.p, func(j int) {
		x, from := make([]float64, u), d.X[j]
		for k, i := range rows {
			x[place[k]] = from[i]
		}
		t.x[j] = x
		t.standardise(j)
	})
}

// standardise centres and scales column j in place.
func (t *table) standardise(j int) {
	total, squares := 0.0, 0.0
	for g := range t.groups() {
		var all spread
		for lo := t.start[g]; lo < t.start[g+1]; lo += stretch {
			hi := min(lo+stretch, t.start[g+1])
			all.join(spreadOf(t.x[j][lo:hi], t.n[lo:hi]))
		}
		t.center[g*t.p+j] = all.mean
		total += all.trials
		squares += all.squares
	}
	t.scale[j] = 1
	if squares > 0 {
		t.scale[j] = math.Sqrt(squares / total)
	}
	over := 1 / t.scale[j]
	for g := range t.groups() {
		center := t.center[g*t.p+j]
		small := rounding * math.Abs(center)
		x := t.x[j][t.start[g]:t.start[g+1]]
		for i, v := range x {
			if v -= center; math.Abs(v) <= small {
				v = 0 // within the rounding of its own digits
			}
			x[i] = v * over
		}
	}
}

// A spread is the weighted mean of numbers and their squared distances from it. A
// distance within the rounding of the mean counts as none.
type spread struct{ trials, mean, squares float64 }

// spreadOf takes the distances from the first number, so that a constant has exactly
// its own mean and no squares, and nothing overflows.
func spreadOf(x, n []float64) spread {
	first := x[0]
	s := spread{mean: first}
	sum := 0.0
	for i, v := range x {
		s.trials += n[i]
		sum += n[i] * (v - first)
	}
	s.mean += sum / s.trials
	small := rounding * math.Abs(s.mean)
	for i, v := range x {
		if v -= s.mean; math.Abs(v) > small {
			s.squares += n[i] * v * v
		}
	}
	return s
}

// join adds the numbers of another spread (Chan, Golub & LeVeque 1983).
func (s *spread) join(o spread) {
	if s.trials == 0 {
		*s = o
		return
	}
	all := s.trials + o.trials
	apart := o.mean - s.mean
	s.squares += o.squares
	if math.Abs(apart) > rounding*math.Abs(s.mean) {
		s.squares += apart * apart * (s.trials * (o.trials / all))
	}
	s.mean += apart * (o.trials / all)
	s.trials = all
}

// rounding is the relative size below which a difference is the last digits of
// the numbers it came from.
const rounding = 1e-12

// addUp fills in the successes and trials of the groups.
func (t *table) addUp() {
	t.successes, t.trials = make([]float64, t.groups()), make([]float64, t.groups())
	for g := range t.groups() {
		s, n := 0.0, 0.0
		for i := t.start[g]; i < t.start[g+1]; i++ {
			s += t.s[i]
			n += t.n[i]
		}
		t.successes[g], t.trials[g] = s, n
	}
}

// sortByGroup sets start and returns the new place of each pattern.
func (t *table) sortByGroup(group grouping, rows []int32) []int32 {
	place := make([]int32, len(rows))
	t.start = make([]int, len(t.labels)+1)
	for _, i := range rows {
		t.start[group.of(int(i))+1]++
	}
	for g := range t.labels {
		t.start[g+1] += t.start[g]
	}
	next := slices.Clone(t.start)
	for u, i := range rows {
		g := group.of(int(i))
		place[u] = int32(next[g])
		next[g]++
	}
	return place
}

// cut divides the patterns into segments and blocks.
func (t *table) cut() {
	t.segments = nil
	for g := range t.groups() {
		for lo := t.start[g]; lo < t.start[g+1]; lo += blockRows {
			t.segments = append(t.segments, segment{g, lo, min(lo+blockRows, t.start[g+1])})
		}
	}
	t.join()
}

// join makes blocks of the segments.
func (t *table) join() {
	t.blocks = nil
	first, rows := 0, 0
	for at, s := range t.segments {
		if rows += s.hi - s.lo; rows >= blockRows {
			t.blocks = append(t.blocks, block{first, at + 1})
			first, rows = at+1, 0
		}
	}
	if rows > 0 {
		t.blocks = append(t.blocks, block{first, len(t.segments)})
	}
}

// sample returns the table with one in so many segments of each group, about 32 in all
// or one in 64; nil where that is hardly less than the whole. Counts stay those of
// the whole.
func (t *table) sample() *table {
	every := min(64, len(t.segments)/32)
	if every < 4 || t.groups() > len(t.segments)/(2*every) {
		return nil
	}
	out := *t
	out.segments = nil
	group, met := -1, 0
	for _, s := range t.segments {
		if s.group != group {
			group, met = s.group, 0
		}
		if met%every == 0 {
			out.segments = append(out.segments, s)
		}
		met++
	}
	out.join()
	return &out
}

// counts returns the successes and trials of group g.
func (t *table) counts(g int) (s, n float64) { return t.successes[g], t.trials[g] }

// informative reports whether group g has seen both outcomes. Only such a group
// compares anything within itself.
func (t *table) informative(g int) bool {
	success, failure := false, false
	for i := t.start[g]; i < t.start[g+1] && !(success && failure); i++ {
		success = success || t.s[i] > 0
		failure = failure || t.s[i] < t.n[i]
	}
	return success && failure
}

// totals returns the successes and trials of the whole table.
func (t *table) totals() (s, n float64) {
	for g := range t.groups() {
		s += t.successes[g]
		n += t.trials[g]
	}
	return s, n
}

// with returns the table with other counts: patterns without trials and groups
// without patterns are left out, centres and scales stay. from[g] is the group
// of t that became group g.
func (t *table) with(s, n []float64) (sub *table, from []int) {
	sub = &table{p: t.p, scale: t.scale, start: []int{0}}
	u := t.patterns()
	sub.x, sub.s, sub.n = make([][]float64, t.p), make([]float64, 0, u), make([]float64, 0, u)
	for j, column := range t.x {
		sub.x[j] = make([]float64, 0, u)
		for i, x := range column {
			if n[i] > 0 {
				sub.x[j] = append(sub.x[j], x)
			}
		}
	}
	for g := range t.groups() {
		for i := t.start[g]; i < t.start[g+1]; i++ {
			if n[i] > 0 {
				sub.s, sub.n = append(sub.s, s[i]), append(sub.n, n[i])
				if t.off != nil {
					sub.off = append(sub.off, t.off[i])
				}
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
	sub.addUp()
	return sub, from
}

// onlyInformative returns the table without the groups that have seen one
// outcome only, the group each one came from, and the labels of those left out.
func (t *table) onlyInformative() (sub *table, from, left []int) {
	for g := range t.groups() {
		if t.informative(g) {
			from = append(from, g)
		} else {
			left = append(left, t.labels[g])
		}
	}
	if left == nil {
		return t, from, nil
	}
	n := slices.Clone(t.n)
	for g := range t.groups() {
		if _, in := slices.BinarySearch(from, g); !in {
			clear(n[t.start[g]:t.start[g+1]])
		}
	}
	sub, from = t.with(t.s, n)
	return sub, from, left
}
