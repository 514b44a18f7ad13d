package club

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"iter"
	"math"
	"math/bits"
	"os"
	"path"
	"time"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"

	"gravid/ingest/club/atomicfile"
)

// Readings are the readings of a run on their way into their table, in order. They
// wait in a file of the club's folder, so that millions of them cost no memory, and
// are of no use after Replace or Close of the Change that they belong to.
//
// What readings of one logger share is kept once, as a Series. A failure to write is
// kept until Err is asked for it.
type Readings struct {
	change *Change
	series []Series
	number map[Series]int
	last   int // series of the reading before

	chunk []byte // entries that are not in the file yet
	file  *os.File
	name  string
	moved int // entries in the file
	drop  Marks
	err   error
}

// A Series is what readings of one quantity by one logger share.
type Series struct {
	Keeper, System, Place, Quantity string
	File, Sheet                     string // of the log
}

// An Entry is one reading as Readings keeps it.
type Entry struct {
	Series int     // place in Readings.Series
	At     int64   // seconds since 1970 in UTC; NoTime where none was recorded
	Value  float64 // NoValue where none was recorded, told by its bits
	Row    int64
}

// entryBytes is the size of an entry in the file.
const entryBytes = 24

// NoTime is the time of a reading that has none.
const NoTime = math.MinInt64

// noValue are the bits of the value of a reading that has none: a NaN, which no
// table may hold.
const noValue = 0x7ff8_6772_6176_6964

// NewReadings begins a list of readings for Replace.
func (x *Change) NewReadings() *Readings {
	return &Readings{change: x, number: map[Series]int{}, last: -1}
}

// Len is how many readings there are, dropped ones included.
func (r *Readings) Len() int { return r.moved + len(r.chunk)/entryBytes }

// Kept is how many readings were not dropped.
func (r *Readings) Kept() int { return r.Len() - r.drop.n }

// Err is the first failure to keep a reading.
func (r *Readings) Err() error { return r.err }

// Series returns a series by its number.
func (r *Readings) Series(number int) Series { return r.series[number] }

// Number returns the number of a series.
func (r *Readings) Number(s Series) int {
	if r.last >= 0 && r.series[r.last] == s {
		return r.last
	}
	n, known := r.number[s]
	if !known {
		r.check(s)
		n = len(r.series)
		r.series = append(r.series, s)
		r.number[s] = n
	}
	r.last = n
	return n
}

// check holds what a table may hold of the texts of a series.
func (r *Readings) check(s Series) {
	for _, text := range []string{s.Keeper, s.System, s.Place, s.Quantity, s.File, s.Sheet} {
		if err := checkText(text, Column{}); err != nil {
			r.fail(fmt.Errorf("table %s: row %d: %w", TableReadings, r.Len()+1, err))
		}
	}
}

func (r *Readings) fail(err error) {
	if r.err == nil {
		r.err = err
	}
}

// Append adds a reading.
func (r *Readings) Append(x Reading) {
	e := Entry{At: NoTime, Value: math.Float64frombits(noValue), Row: x.Source.Row}
	e.Series = r.Number(Series{x.Keeper, x.System, x.Place, x.Quantity, x.Source.File, x.Source.Sheet})
	if x.At.OK {
		e.At = x.At.V.Unix()
	}
	if x.Value.OK {
		e.Value = x.Value.V
		if !finite(x.Value.V) {
			r.fail(fmt.Errorf("table %s: row %d, column value: %v is not a finite number", TableReadings, r.Len()+1, x.Value.V))
		}
	}
	r.Add(e)
}

// Add adds a reading as an entry of a series that Number has numbered. Its value
// must be finite, or none.
func (r *Readings) Add(e Entry) {
	if e.Row < 0 || e.Row > math.MaxUint32 || e.At != NoTime && (e.At < firstSecond || e.At > lastSecond) {
		r.fail(fmt.Errorf("table %s: row %d: time or row number is outside what can be kept", TableReadings, r.Len()+1))
	}
	if len(r.chunk) == cap(r.chunk) {
		r.move()
	}
	r.chunk = binary.LittleEndian.AppendUint64(r.chunk, uint64(e.At))
	r.chunk = binary.LittleEndian.AppendUint64(r.chunk, math.Float64bits(e.Value))
	r.chunk = binary.LittleEndian.AppendUint32(r.chunk, uint32(e.Row))
	r.chunk = binary.LittleEndian.AppendUint32(r.chunk, uint32(e.Series))
}

// move makes room in the chunk.
func (r *Readings) move() {
	if r.chunk == nil {
		r.chunk = make([]byte, 0, BatchRows*entryBytes)
		return
	}
	if r.err != nil { // they are of no use any more
		r.chunk = r.chunk[:0]
		return
	}
	if r.file == nil {
		r.name = path.Join(TablesDir, fmt.Sprintf("%sreadings-%d", atomicfile.TempPrefix, len(r.change.pending)))
		r.change.pending = append(r.change.pending, r)
		var err error
		if r.file, err = r.change.club.root.OpenFile(r.name, os.O_RDWR|os.O_CREATE|os.O_TRUNC, 0o666); err != nil {
			r.fail(err)
			return
		}
	}
	if _, err := r.file.Write(r.chunk); err != nil {
		r.fail(err)
		return
	}
	r.moved += len(r.chunk) / entryBytes
	r.chunk = r.chunk[:0]
}

// All walks all readings with their places in the list, dropped ones included.
func (r *Readings) All() iter.Seq2[int, Entry] {
	return func(yield func(int, Entry) bool) {
		c := r.Cursor(0, r.Len(), BatchRows)
		for c.Next() {
			if !yield(c.Place, c.Entry) {
				return
			}
		}
	}
}

// A Cursor walks a stretch of Readings, while none are added.
type Cursor struct {
	Place int // of the reading in the list
	Entry

	readings *Readings
	end      int
	buf      []byte // for readings of the file
	part     []byte // what was read and not walked
}

// Cursor begins to walk the readings from one place up to, and without, another.
// ahead is how many are read at once.
func (r *Readings) Cursor(from, to, ahead int) *Cursor {
	ahead = min(ahead, max(0, min(to, r.moved)-from)) // the rest is in the memory
	return &Cursor{Place: from - 1, readings: r, end: to, buf: make([]byte, ahead*entryBytes)}
}

// Next goes on to the next reading. It reports false at the end, and where the
// readings cannot be read again, which Err then tells.
func (c *Cursor) Next() bool {
	c.Place++
	if c.Place >= c.end || c.readings.err != nil {
		return false
	}
	if len(c.part) == 0 && !c.fetch() {
		return false
	}
	c.Entry = entryOf(c.part)
	c.part = c.part[entryBytes:]
	return true
}

func (c *Cursor) fetch() bool {
	r := c.readings
	if c.Place >= r.moved {
		c.part = r.chunk[(c.Place-r.moved)*entryBytes:]
		return true
	}
	c.part = c.buf[:min(len(c.buf), (min(c.end, r.moved)-c.Place)*entryBytes)]
	_, err := r.file.ReadAt(c.part, int64(c.Place)*entryBytes)
	if err != nil {
		r.fail(err)
	}
	return err == nil
}

func entryOf(b []byte) Entry {
	return Entry{
		At:     int64(binary.LittleEndian.Uint64(b)),
		Value:  math.Float64frombits(binary.LittleEndian.Uint64(b[8:])),
		Row:    int64(binary.LittleEndian.Uint32(b[16:])),
		Series: int(binary.LittleEndian.Uint32(b[20:])),
	}
}

// Truncate forgets all readings but the first n. It panics where there are fewer.
func (r *Readings) Truncate(n int) {
	switch {
	case n > r.Len():
		panic("club: a list of readings cannot be cut to more than it has")
	case n >= r.moved:
		r.chunk = r.chunk[:(n-r.moved)*entryBytes]
		return
	}
	r.chunk, r.moved = r.chunk[:0], n
	if _, err := r.file.Seek(int64(n)*entryBytes, io.SeekStart); err != nil {
		r.fail(err)
	}
}

// Reading is an entry as the table has it.
func (r *Readings) Reading(e Entry) Reading {
	s := &r.series[e.Series]
	x := Reading{Keeper: s.Keeper, System: s.System, Place: s.Place, Quantity: s.Quantity, Source: Source{File: s.File, Sheet: s.Sheet, Row: e.Row}}
	if e.At != NoTime {
		x.At = Some(time.Unix(e.At, 0).UTC())
	}
	if math.Float64bits(e.Value) != noValue {
		x.Value = Some(e.Value)
	}
	return x
}

// Drop leaves out the readings at the marked places.
func (r *Readings) Drop(places Marks) { r.drop = places }

// close clears away the file.
func (r *Readings) close() error {
	if r.file == nil {
		return nil
	}
	err := errors.Join(r.file.Close(), r.change.club.root.Remove(r.name))
	r.file = nil
	return err
}

// writeArrow writes the readings as WriteArrow writes those of Tables.
func (r *Readings) writeArrow(w io.Writer, mem memory.Allocator, s Schema) error {
	return writeRecords(w, mem, s, recordsAhead(r.records(mem, s)))
}

// records is Schema.Records of the readings that were not dropped.
func (r *Readings) records(mem memory.Allocator, s Schema) iter.Seq2[arrow.Record, error] {
	return func(yield func(arrow.Record, error) bool) {
		into := s.Arrow()
		batch := &Tables{Readings: make([]Reading, 0, min(BatchRows, r.Kept()))}
		put := func() bool {
			columns, err := s.rows.encode(mem, batch, 0, len(batch.Readings))
			if err != nil {
				yield(nil, fmt.Errorf("table %s: %w", s.Table, err))
				return false
			}
			rec := array.NewRecord(into, columns, int64(len(batch.Readings)))
			release(columns)
			defer rec.Release()
			batch.Readings = batch.Readings[:0]
			return yield(rec, nil)
		}
		for i, e := range r.All() {
			if r.drop.Has(i) {
				continue
			}
			batch.Readings = append(batch.Readings, r.Reading(e))
			if len(batch.Readings) == BatchRows && !put() {
				return
			}
		}
		if r.err != nil {
			yield(nil, r.err)
			return
		}
		if len(batch.Readings) > 0 {
			put()
		}
	}
}

// recordsAhead gives the same records, the next one of which is made while one is
// looked at.
func recordsAhead(records iter.Seq2[arrow.Record, error]) iter.Seq2[arrow.Record, error] {
	type made struct {
		rec arrow.Record
		err error
	}
	return func(yield func(arrow.Record, error) bool) {
		out, stop := make(chan made), make(chan struct{})
		put := func(m made) bool {
			select {
			case out <- m:
				return true
			case <-stop:
				return false
			}
		}
		go func() {
			defer close(out)
			err := recovered(func() error {
				for rec, err := range records {
					if err != nil {
						return err
					}
					rec.Retain()
					if !put(made{rec: rec}) {
						rec.Release()
						break
					}
				}
				return nil
			})
			if err != nil {
				put(made{err: err})
			}
		}()
		defer func() { // nothing is read any more afterwards
			close(stop)
			for range out {
			}
		}()
		for m := range out {
			more := yield(m.rec, m.err)
			if m.rec != nil {
				m.rec.Release()
			}
			if !more {
				return
			}
		}
	}
}

// Marks are marks at places of a list. The zero value has none.
type Marks struct {
	bits []uint64
	n    int
}

// Set marks a place.
func (m *Marks) Set(place int) {
	for place/64 >= len(m.bits) {
		m.bits = append(m.bits, 0)
	}
	if !m.Has(place) {
		m.bits[place/64] |= 1 << (place % 64)
		m.n++
	}
}

// Has tells whether a place is marked.
func (m *Marks) Has(place int) bool {
	return place/64 < len(m.bits) && m.bits[place/64]>>(place%64)&1 != 0
}

// Len is how many places are marked.
func (m *Marks) Len() int { return m.n }

// Add marks all places that other marks.
func (m *Marks) Add(other *Marks) {
	for len(m.bits) < len(other.bits) {
		m.bits = append(m.bits, 0)
	}
	m.n = 0
	for i := range m.bits {
		if i < len(other.bits) {
			m.bits[i] |= other.bits[i]
		}
		m.n += bits.OnesCount64(m.bits[i])
	}
}

// Without is how many places are marked that other does not mark.
func (m *Marks) Without(other *Marks) int {
	n := 0
	for i, b := range m.bits {
		if i < len(other.bits) {
			b &^= other.bits[i]
		}
		n += bits.OnesCount64(b)
	}
	return n
}
