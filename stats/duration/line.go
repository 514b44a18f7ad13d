package duration

import (
	"math"
	"math/bits"
	"slices"
)

// A line is times in order, each with a label, a small number. Time and label share the
// 64 bits of a key: times less the first of them and without the bits in which all of
// them end in zeros leave room, whole numbers more than others.
type line struct {
	keys  []uint64 // in order; those still to come
	first uint64   // bits of the first time
	drop  int      // bits that no two times differ in at the end
	label int      // bits of the label
}

// newLine puts times of 0 or more in order, given by their bits, which it overwrites.
// Labels, one for each time, are below n. It reports whether time and label have room.
func newLine(keys []uint64, labels []uint32, n int) (line, bool) {
	l := line{label: bits.Len(uint(n - 1))}
	if len(keys) == 0 {
		return l, true
	}
	var last, differ uint64
	l.first = keys[0]
	for _, k := range keys {
		l.first, last, differ = min(l.first, k), max(last, k), differ|(k^keys[0])
	}
	l.drop = bits.TrailingZeros64(differ) & 63 // 64 where all are equal
	width := bits.Len64((last-l.first)>>l.drop) + l.label
	if width > 64 {
		return line{}, false
	}
	for i, k := range keys {
		keys[i] = (k - l.first) >> l.drop << l.label
	}
	if n > 1 {
		for i, label := range labels {
			keys[i] |= uint64(label)
		}
	}
	l.keys = sortKeys(keys, make([]uint64, len(keys)), width)
	return l, true
}

func (l *line) time(k uint64) float64 {
	return math.Float64frombits(k>>l.label<<l.drop + l.first)
}

// distinct is the number of different times still to come.
func (l *line) distinct() int {
	n, before := 0, uint64(math.MaxUint64)
	for _, k := range l.keys {
		if k>>l.label != before {
			n++
		}
		before = k >> l.label
	}
	return n
}

// next takes all of the next time, adds one for each to the place of its label in
// counts, and returns how many there were. There are none left if it is not ok.
func (l *line) next(counts []float64) (time, gone float64, ok bool) {
	if len(l.keys) == 0 {
		return 0, 0, false
	}
	now, mask := l.keys[0]>>l.label, uint64(1)<<l.label-1
	i := 0
	for ; i < len(l.keys) && l.keys[i]>>l.label == now; i++ {
		counts[l.keys[i]&mask]++
	}
	time = l.time(l.keys[0])
	l.keys = l.keys[i:]
	return time, float64(i), true
}

// take takes the times up to t, or before it, and adds one for each to the place of its
// label in counts. It returns how many there were.
func (l *line) take(t float64, including bool, counts []float64) (taken float64) {
	mask := uint64(1)<<l.label - 1
	i := 0
	for ; i < len(l.keys); i++ {
		if at := l.time(l.keys[i]); at > t || at == t && !including {
			break
		}
		if counts != nil {
			counts[l.keys[i]&mask]++
		}
	}
	l.keys = l.keys[i:]
	return float64(i)
}

// tally adds one for each time still to come to the place of its label in counts.
func (l *line) tally(counts []float64) {
	mask := uint64(1)<<l.label - 1
	for _, k := range l.keys {
		counts[k&mask]++
	}
}

// sortKeys puts keys below 2^width in order and returns them, in the room of keys or of
// spare. The leading bits, as many as tell most keys apart, are sorted by radix from the
// last digit on; keys alike in them then among themselves.
func sortKeys(keys, spare []uint64, width int) []uint64 {
	const few, most = 64, 11 // keys for which a radix does not pay; bits of a digit
	if len(keys) < few || width == 0 {
		slices.Sort(keys)
		return keys
	}
	leading := min(width, bits.Len(uint(len(keys)))+2)
	passes := (leading + most - 1) / most
	digit := (leading + passes - 1) / passes
	rest := max(width-passes*digit, 0)
	for pass := range passes {
		var start [1 << most]uint32
		shift, mask := rest+pass*digit, uint64(1)<<digit-1
		for _, k := range keys {
			start[k>>shift&mask]++
		}
		sum := uint32(0)
		for d, n := range start[:1<<digit] {
			start[d] = sum
			sum += n
		}
		for _, k := range keys {
			d := k >> shift & mask
			spare[start[d]] = k
			start[d]++
		}
		keys, spare = spare, keys
	}
	if rest == 0 {
		return keys
	}
	for i := 0; i < len(keys); {
		j := i + 1
		for j < len(keys) && keys[j]>>rest == keys[i]>>rest {
			j++
		}
		if j-i > 1 {
			if part := sortKeys(keys[i:j], spare[i:j], rest); &part[0] != &keys[i] {
				copy(keys[i:j], part)
			}
		}
		i = j
	}
	return keys
}

// twoLines are observations of weight 1, clocks starting at the origin.
type twoLines struct {
	exits, entries line // late entries only
}

// newLines gives each of the observations, which were checked, a label below n. It is
// nil where weights differ, or time and label have no room in a line.
func newLines(obs []Observation, n int, label func(i int, o *Observation) int) *twoLines {
	keys, labels := make([]uint64, len(obs)), make([]uint32, len(obs))
	var entries []uint64
	var entryLabels []uint32
	for i := range obs {
		o := &obs[i]
		time, own := o.Lo, uint32(label(i, o))
		if !o.ordinary() {
			clean := o.fromOrigin()
			if clean.Weight != 1 {
				return nil
			}
			time = clean.Lo
			if !math.IsInf(clean.Entry, -1) {
				entries, entryLabels = append(entries, math.Float64bits(clean.Entry)), append(entryLabels, own)
			}
		}
		keys[i], labels[i] = math.Float64bits(time+0), own // -0 becomes 0
	}
	exits, room := newLine(keys, labels, n)
	late, lateRoom := newLine(entries, entryLabels, n)
	if !room || !lateRoom {
		return nil
	}
	return &twoLines{exits, late}
}

// places says where a number is in a list of different ones.
type places struct {
	small [64]int32
	other map[int]int
}

func newPlaces(list []int) *places {
	p := &places{}
	for i, v := range list {
		p.put(v, i)
	}
	return p
}

func (p *places) put(v, place int) {
	if uint(v) < uint(len(p.small)) {
		p.small[v] = int32(place) + 1
		return
	}
	if p.other == nil {
		p.other = map[int]int{}
	}
	p.other[v] = place + 1
}

// of is the place of v, -1 where it is not in the list.
func (p *places) of(v int) int {
	if uint(v) < uint(len(p.small)) {
		return int(p.small[v]) - 1
	}
	return p.other[v] - 1
}

// distinct returns the different ones of n numbers in ascending order.
func distinct(n int, number func(i int) int) []int {
	list, p := []int{}, &places{}
	for i := range n {
		if v := number(i); p.of(v) < 0 {
			p.put(v, len(list))
			list = append(list, v)
		}
	}
	slices.Sort(list)
	return list
}
