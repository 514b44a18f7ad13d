package logit

import (
	"math"
	"slices"
)

// collapsedAlways is the number of rows up to which like rows are always put
// together. Beyond, that is done where it pays: where, of sampledRows rows spread
// evenly, at most three in four differ. Without it every row is a pattern of its own,
// which costs less than a hash table of millions of rows that do not fit the cache.
const (
	collapsedAlways = 1 << 17
	sampledRows     = 1 << 14
)

// patternRows returns the first row of each pattern and fills in the pattern of
// each row, -1 for a row without trials; nil where every row is its own pattern in the
// one group there is.
func patternRows(d Data, group grouping, rowOf []int32) []int32 {
	if len(rowOf) > collapsedAlways && !collapsePays(d, group) {
		return rowsApart(group, rowOf)
	}
	// Each chunk of rows is collapsed by itself, then the patterns of the chunks are put
	// together in order.
	chunks := (len(rowOf) + collapsedAlways - 1) / collapsedAlways
	found := make([][]int32, chunks)
	each(chunks, func(k int) {
		lo, hi := k*collapsedAlways, min((k+1)*collapsedAlways, len(rowOf))
		s := newSet(d, group)
		for i := lo; i < hi; i++ {
			rowOf[i] = -1
			if group.of(i) >= 0 {
				rowOf[i] = s.place(i)
			}
		}
		found[k] = s.rows
	})
	if chunks == 1 {
		return found[0]
	}
	all, place := newSet(d, group), make([][]int32, chunks)
	for k, rows := range found {
		place[k] = make([]int32, len(rows))
		for u, i := range rows {
			place[k][u] = all.place(int(i))
		}
	}
	each(chunks, func(k int) {
		lo, hi := k*collapsedAlways, min((k+1)*collapsedAlways, len(rowOf))
		for i := lo; i < hi; i++ {
			if rowOf[i] >= 0 {
				rowOf[i] = place[k][rowOf[i]]
			}
		}
	})
	return all.rows
}

// rowsApart makes every row a pattern of its own.
func rowsApart(group grouping, rowOf []int32) []int32 {
	if group == nil {
		for i := range rowOf {
			rowOf[i] = int32(i)
		}
		return nil
	}
	rows := make([]int32, 0, len(rowOf))
	for i, g := range group {
		rowOf[i] = -1
		if g >= 0 {
			rowOf[i] = int32(len(rows))
			rows = append(rows, int32(i))
		}
	}
	return rows
}

// collapsePays looks at a sample of the rows.
func collapsePays(d Data, group grouping) bool {
	s, sampled := newSet(d, group), 0
	for k := range sampledRows {
		if i := k * (d.Rows() / sampledRows); group.of(i) >= 0 {
			s.place(i)
			sampled++
		}
	}
	return 4*len(s.rows) <= 3*sampled
}

// A set holds rows that differ in group, offset or any column, in a hash table with
// open addressing.
type set struct {
	d      Data
	group  grouping
	slots  []int32 // place among rows, plus 1; 0 where free
	hashes []uint64
	rows   []int32
}

func newSet(d Data, group grouping) *set {
	return &set{d: d, group: group, slots: make([]int32, 64)}
}

// place returns the place of the row that is like row i, which is i itself where it is
// the first of its kind.
func (s *set) place(i int) int32 {
	h := s.hash(i)
	for k := h & uint64(len(s.slots)-1); ; k = (k + 1) & uint64(len(s.slots)-1) {
		u := s.slots[k] - 1
		if u < 0 {
			s.rows, s.hashes = append(s.rows, int32(i)), append(s.hashes, h)
			s.slots[k] = int32(len(s.rows))
			if 2*len(s.rows) > len(s.slots) {
				s.grow()
			}
			return int32(len(s.rows) - 1)
		}
		if s.hashes[u] == h && s.same(int(s.rows[u]), i) {
			return u
		}
	}
}

func (s *set) grow() {
	s.slots = make([]int32, 4*len(s.slots))
	for u, h := range s.hashes {
		k := h & uint64(len(s.slots)-1)
		for s.slots[k] != 0 {
			k = (k + 1) & uint64(len(s.slots)-1)
		}
		s.slots[k] = int32(u + 1)
	}
}

func (s *set) hash(i int) uint64 {
	h := mix(uint64(s.group.of(i)), math.Float64bits(s.d.offset(i)+0)) // +0 turns -0 into 0
	for _, x := range s.d.X {
		h = mix(h, math.Float64bits(x[i]+0))
	}
	return h
}

// mix folds a word into a hash: xor, multiply by an odd constant, xor-shift.
func mix(h, v uint64) uint64 {
	h = (h ^ v) * 0x9e3779b97f4a7c15
	return h ^ h>>29
}

func (s *set) same(a, b int) bool {
	return s.group.of(a) == s.group.of(b) && s.d.offset(a) == s.d.offset(b) &&
		!slices.ContainsFunc(s.d.X, func(x []float64) bool { return x[a] != x[b] })
}
