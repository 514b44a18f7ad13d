package exposure

import (
	"cmp"
	"math"
)

// A Sky names the readings of one quantity that one logger took in one place.
type Sky struct {
	Keeper, System, Place string
}

// Longer compares two skies by how many readings they have, the longer first, then by
// name. It is the order in which SkyFor wants them.
func Longer(a Sky, readingsOfA int, b Sky, readingsOfB int) int {
	return cmp.Or(cmp.Compare(readingsOfB, readingsOfA), cmp.Compare(a.Keeper, b.Keeper),
		cmp.Compare(a.System, b.System), cmp.Compare(a.Place, b.Place))
}

// SkyFor is the place in a list of n skies, in the order of Longer, of the one whose
// readings hold for a tank: with atPlace (weather) the keeper's own, or else the one of
// the keeper's place, or, where the place is not known, the first; without, that of the
// keeper's tank. It is -1 where there is none.
func SkyFor(n int, sky func(int) Sky, keeper, system, place string, atPlace bool) int {
	for i := range n {
		if s := sky(i); s.Keeper == keeper && (atPlace || s.System == system) {
			return i
		}
	}
	for i := range n {
		if atPlace && (place == "" || sky(i).Place == place) {
			return i
		}
	}
	return -1
}

// widest is how far apart two readings may lie for a value between them to be
// worked out, and nearest how far a single reading may lie from the instant.
const (
	widest  = 6 * 3600
	nearest = 90 * 60
)

// A Measured is one reading. Of readings at the same second in one table, Row tells
// which came first.
type Measured struct {
	OK    bool // false: there is none
	At    int64
	Row   int64
	Value float64
}

// An Around is what is known of the value at one instant: the last reading before it,
// and the first one at or after it. The zero value knows nothing.
type Around struct {
	Before, After Measured
}

// Add puts in a reading that lies near the instant t.
func (a Around) Add(t int64, m Measured) Around {
	if m.At < t {
		return a.Merge(Around{Before: m})
	}
	return a.Merge(Around{After: m})
}

// Merge puts together what two parts of the same readings know of one instant: the later
// of the readings before it, and the earlier of those after it, as (second, row) order
// them. Nothing is added up: it picks by a total order, and so gives the same whatever
// the order, the number and the size of the parts, also where a part comes twice.
func (a Around) Merge(b Around) Around {
	if b.Before.OK && (!a.Before.OK || earlier(a.Before, b.Before)) {
		a.Before = b.Before
	}
	if b.After.OK && (!a.After.OK || earlier(b.After, a.After)) {
		a.After = b.After
	}
	return a
}

func earlier(a, b Measured) bool { return a.At < b.At || a.At == b.At && a.Row < b.Row }

// ValueAt is the value at the instant t: that of a reading at this second; between two
// readings at most 6 hours apart by straight line, else the nearest one within 90
// minutes. It is NaN and false where there is none.
func (a Around) ValueAt(t int64) (float64, bool) {
	before, after := a.Before, a.After
	switch {
	case after.OK && after.At == t:
		return after.Value, true
	case before.OK && after.OK && after.At-before.At <= widest:
		w := float64(t-before.At) / float64(after.At-before.At)
		return before.Value + w*(after.Value-before.Value), true
	case before.OK && t-before.At <= nearest:
		return before.Value, true
	case after.OK && after.At-t <= nearest:
		return after.Value, true
	}
	return math.NaN(), false
}
