package ingest

import (
	"cmp"
	"container/heap"
	"iter"
	"math"
	"slices"

	"gravid/ingest/club"
)

// A readingList gathers the readings of a run, and notices on the way which of them
// could be the same reading twice.
type readingList struct {
	*club.Readings
	streams []stream
	number  map[stream]int
	of      []int       // streams by the number of a series
	runs    [][]stretch // by stream, in the order of the list
}

// A stream is what readings of one instant must share to be the same reading.
type stream struct{ keeper, system, place, quantity string }

// A stretch is a part of the list in which the readings of one stream rise in time.
type stretch struct {
	from, to    int64 // times of the first and the last one
	first, last int   // their places in the list
}

func newReadingList(c *club.Change) *readingList {
	return &readingList{Readings: c.NewReadings(), number: map[stream]int{}}
}

// takeAll adds the readings of a table and empties it.
func (l *readingList) takeAll(list *[]club.Reading) {
	for _, x := range *list {
		l.take(x)
	}
	*list = nil
}

// take adds a reading.
func (l *readingList) take(x club.Reading) {
	l.Append(x)
	at := int64(club.NoTime)
	if x.At.OK {
		at = x.At.V.Unix()
	}
	l.rise(l.numberOf(seriesOf(&x)), at)
}

// add adds a reading of a series that numberOf has numbered.
func (l *readingList) add(e club.Entry) {
	l.Add(e)
	l.rise(e.Series, e.At)
}

// A readingMark is how far a list reached.
type readingMark struct {
	length int
	runs   [][]stretch
}

func (l *readingList) mark() readingMark {
	m := readingMark{length: l.Len(), runs: slices.Clone(l.runs)}
	for i := range m.runs {
		m.runs[i] = slices.Clone(m.runs[i])
	}
	return m
}

// backTo forgets the readings added since.
func (l *readingList) backTo(m readingMark) {
	l.Truncate(m.length)
	for i := range l.runs {
		l.runs[i] = nil
	}
	copy(l.runs, m.runs)
}

func seriesOf(x *club.Reading) club.Series {
	return club.Series{Keeper: x.Keeper, System: x.System, Place: x.Place, Quantity: x.Quantity, File: x.Source.File, Sheet: x.Source.Sheet}
}

// numberOf numbers a series and the stream that it belongs to.
func (l *readingList) numberOf(s club.Series) int {
	n := l.Number(s)
	for len(l.of) <= n {
		known := l.Series(len(l.of))
		key := stream{known.Keeper, known.System, known.Place, known.Quantity}
		i, seen := l.number[key]
		if !seen {
			i = len(l.streams)
			l.streams, l.number[key] = append(l.streams, key), i
			l.runs = append(l.runs, nil)
		}
		l.of = append(l.of, i)
	}
	return n
}

// rise notes the time of a reading of a series, which is the last of the list.
func (l *readingList) rise(series int, at int64) {
	place := l.Len() - 1
	runs := &l.runs[l.of[series]]
	if n := len(*runs); n > 0 && at > (*runs)[n-1].to {
		(*runs)[n-1].to, (*runs)[n-1].last = at, place
		return
	}
	*runs = append(*runs, stretch{at, at, place, place})
}

// twins gives the readings of one instant of a stream, where there are several, in
// the order of the list.
func (l *readingList) twins() iter.Seq[[]twin] {
	return func(yield func([]twin) bool) {
		for stream, runs := range l.runs {
			if meet(runs) && !l.merge(stream, runs, yield) {
				return
			}
		}
	}
}

// A twin is a reading with its place in the list.
type twin struct {
	place int
	club.Entry
}

// meet reports whether two of the stretches share a time.
func meet(runs []stretch) bool {
	byStart := slices.Clone(runs)
	slices.SortFunc(byStart, func(a, b stretch) int { return cmp.Compare(a.from, b.from) })
	reach := int64(math.MinInt64)
	for i, r := range byStart {
		if i > 0 && r.from <= reach {
			return true
		}
		reach = max(reach, r.to)
	}
	return false
}

// mergeAhead is how many readings are held, in all, while runs are merged.
const mergeAhead = 1 << 18

// merge walks the runs of a stream at once, in the order of time.
func (l *readingList) merge(stream int, runs []stretch, yield func([]twin) bool) bool {
	var walks runWalks
	for _, r := range runs {
		w := &runWalk{list: l, stream: stream, cursor: l.Cursor(r.first, r.last+1, min(r.last+1-r.first, max(8, mergeAhead/len(runs))))}
		if w.next() {
			walks = append(walks, w)
		}
	}
	heap.Init(&walks)
	var alike []twin
	for len(walks) > 0 {
		w := walks[0]
		if len(alike) > 0 && alike[0].At != w.cursor.At {
			if len(alike) > 1 && !yield(alike) {
				return false
			}
			alike = alike[:0]
		}
		alike = append(alike, twin{w.cursor.Place, w.cursor.Entry})
		if w.next() {
			heap.Fix(&walks, 0)
		} else {
			heap.Pop(&walks)
		}
	}
	return len(alike) < 2 || yield(alike)
}

// A runWalk walks the readings of one stream in a stretch of the list.
type runWalk struct {
	list   *readingList
	stream int
	cursor *club.Cursor
}

func (w *runWalk) next() bool {
	for w.cursor.Next() {
		if w.list.of[w.cursor.Series] == w.stream {
			return true
		}
	}
	return false
}

// runWalks is a heap of walks, the earliest reading first; of those of one instant,
// the first of the list.
type runWalks []*runWalk

func (w runWalks) Len() int { return len(w) }
func (w runWalks) Less(i, j int) bool {
	a, b := w[i].cursor, w[j].cursor
	return a.At < b.At || a.At == b.At && a.Place < b.Place
}
func (w runWalks) Swap(i, j int) { w[i], w[j] = w[j], w[i] }
func (w *runWalks) Push(x any)   { *w = append(*w, x.(*runWalk)) }
func (w *runWalks) Pop() any {
	last := (*w)[len(*w)-1]
	*w = (*w)[:len(*w)-1]
	return last
}
