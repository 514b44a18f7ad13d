package club

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/bitutil"
	"github.com/apache/arrow/go/v15/arrow/memory"
)

// values is the way between one column of rows of type T and an Arrow array.
//
// Arrays are laid out by hand rather than by the library's builders, so that
// the bytes under a null are always zero and the same rows give the same bytes.
type values[T any] interface {
	// encode returns the column's array, which the caller releases, or the index
	// of the first row that cannot be stored and why.
	encode(mem memory.Allocator, rows []T, c Column) (column arrow.Array, bad int, err error)
	// decode sets the column of rows that are new. It panics where the array is
	// not laid out as its type demands.
	decode(column arrow.Array, rows []T, words *interner)
	// render returns the value as plain text, empty for null.
	render(row *T) string
}

// A bitmap marks the rows that hold a value.
type bitmap struct {
	*memory.Buffer
	nulls int
}

func newBits(mem memory.Allocator, n int) *memory.Buffer {
	return newZeros(mem, int(bitutil.BytesForBits(int64(n))))
}

func newZeros(mem memory.Allocator, bytes int) *memory.Buffer {
	b := newBuffer(mem, bytes)
	clear(b.Bytes())
	return b
}

// newBuffer makes a buffer that the caller fills to its end.
func newBuffer(mem memory.Allocator, bytes int) *memory.Buffer {
	b := memory.NewResizableBuffer(mem)
	b.Resize(bytes)
	return b
}

func newBitmap(mem memory.Allocator, n int) bitmap { return bitmap{newBits(mem, n), n} }

func (b *bitmap) set(i int) {
	bitutil.SetBit(b.Bytes(), i)
	b.nulls--
}

// newArray makes an array of buffers, the first of which marks the values, and
// lets go of the buffers.
func newArray(kind arrow.DataType, n int, valid bitmap, others ...*memory.Buffer) arrow.Array {
	data := array.NewData(kind, n, append([]*memory.Buffer{valid.Buffer}, others...), nil, valid.nulls, 0)
	defer data.Release()
	valid.Release()
	for _, b := range others {
		b.Release()
	}
	return array.MakeFromData(data)
}

// fixedValues are values of 8 bytes.
type fixedValues[T any, V int64 | float64] struct {
	kind fixedKind[V]
	get  func(*T) Maybe[V]
	set  func(*T, Maybe[V])
}

// A fixedKind is a kind of value of 8 bytes.
type fixedKind[V int64 | float64] struct {
	view   func([]byte) []V      // bytes as values
	array  func(arrow.Array) []V // values of an array
	check  func(V) error         // nil = every value can be stored
	render func(V) string
}

var (
	numberKind = fixedKind[float64]{
		view:  arrow.Float64Traits.CastFromBytes,
		array: func(a arrow.Array) []float64 { return a.(*array.Float64).Float64Values() },
		check: func(x float64) error {
			if !finite(x) {
				return fmt.Errorf("%v is not a finite number", x)
			}
			return nil
		},
		render: renderNumber,
	}
	integerKind = fixedKind[int64]{
		view:   arrow.Int64Traits.CastFromBytes,
		array:  func(a arrow.Array) []int64 { return a.(*array.Int64).Int64Values() },
		render: renderInteger,
	}
	whenKind = fixedKind[int64]{
		view: arrow.Int64Traits.CastFromBytes,
		array: func(a arrow.Array) []int64 {
			stamps := a.(*array.Timestamp).TimestampValues()
			return arrow.Int64Traits.CastFromBytes(arrow.TimestampTraits.CastToBytes(stamps))
		},
		check: func(n int64) error {
			if n < firstSecond || n > lastSecond {
				return errors.New("the time is outside the years 1 to 9999")
			}
			return nil
		},
		render: renderWhen,
	}
)

// The first and last second of the years 1 to 9999, which all programs can read.
const (
	firstSecond = -62135596800
	lastSecond  = 253402300799
)

func (f fixedValues[T, V]) encode(mem memory.Allocator, rows []T, c Column) (arrow.Array, int, error) {
	valid, data := newBitmap(mem, len(rows)), newZeros(mem, 8*len(rows))
	out := f.kind.view(data.Bytes())
	for i := range rows {
		v := f.get(&rows[i])
		if !v.OK {
			continue
		}
		if f.kind.check != nil {
			if err := f.kind.check(v.V); err != nil {
				valid.Release()
				data.Release()
				return nil, i, err
			}
		}
		out[i] = v.V
		valid.set(i)
	}
	return newArray(c.Kind.arrowType(), len(rows), valid, data), 0, nil
}

func (f fixedValues[T, V]) decode(column arrow.Array, rows []T, _ *interner) {
	in := f.kind.array(column)
	for i := range rows {
		if column.IsValid(i) {
			f.set(&rows[i], Some(in[i]))
		}
	}
}

func (f fixedValues[T, V]) render(row *T) string {
	v := f.get(row)
	if !v.OK {
		return ""
	}
	return f.kind.render(v.V)
}

// truthValues are values of one bit.
type truthValues[T any] struct {
	get func(*T) Truth
	set func(*T, Truth)
}

func (b truthValues[T]) encode(mem memory.Allocator, rows []T, c Column) (arrow.Array, int, error) {
	valid, data := newBitmap(mem, len(rows)), newBits(mem, len(rows))
	for i := range rows {
		v := b.get(&rows[i])
		if !v.OK {
			continue
		}
		valid.set(i)
		if v.V {
			bitutil.SetBit(data.Bytes(), i)
		}
	}
	return newArray(c.Kind.arrowType(), len(rows), valid, data), 0, nil
}

func (b truthValues[T]) decode(column arrow.Array, rows []T, _ *interner) {
	in := column.(*array.Boolean)
	for i := range rows {
		if in.IsValid(i) {
			b.set(&rows[i], Some(in.Value(i)))
		}
	}
}

func (b truthValues[T]) render(row *T) string {
	switch v := b.get(row); {
	case !v.OK:
		return ""
	case v.V:
		return "TRUE" // in capitals, which R, spreadsheets and Table Schema all take for a truth value
	}
	return "FALSE"
}

// textValues are texts; the empty text is null.
type textValues[T any] struct {
	get func(*T) string
	set func(*T, string)
}

func (x textValues[T]) encode(mem memory.Allocator, rows []T, c Column) (arrow.Array, int, error) {
	length, alike := 0, true
	last := ""
	for i := range rows {
		s := x.get(&rows[i])
		if s != last {
			if err := checkText(s, c); err != nil {
				return nil, i, err
			}
			alike = alike && i == 0
			last = s
		}
		if length += len(s); length > math.MaxInt32 {
			return nil, i, fmt.Errorf("more than 2 GiB of text in %d rows", BatchRows)
		}
	}
	valid := newBitmap(mem, len(rows))
	offsets, data := newBuffer(mem, 4*(len(rows)+1)), newBuffer(mem, length)
	ends, bytes := arrow.Int32Traits.CastFromBytes(offsets.Bytes()), data.Bytes()
	if alike {
		repeatText(last, len(rows), &valid, ends, bytes)
		return newArray(c.Kind.arrowType(), len(rows), valid, offsets, data), 0, nil
	}
	end := 0
	ends[0] = 0
	for i := range rows {
		if s := x.get(&rows[i]); s != "" {
			end += copy(bytes[end:], s)
			valid.set(i)
		}
		ends[i+1] = int32(end)
	}
	return newArray(c.Kind.arrowType(), len(rows), valid, offsets, data), 0, nil
}

// repeatText fills the column of n rows that all hold the same text, as those of a
// logger do.
func repeatText(s string, n int, valid *bitmap, ends []int32, bytes []byte) {
	for i := range n + 1 {
		ends[i] = int32(i * len(s))
	}
	if s == "" {
		return
	}
	for done := copy(bytes, s); done < len(bytes); {
		done += copy(bytes[done:], bytes[:done])
	}
	bitutil.SetBitsTo(valid.Bytes(), 0, int64(n), true)
	valid.nulls = 0
}

// checkText says why a text cannot be stored.
func checkText(s string, c Column) error {
	if !utf8.ValidString(s) {
		return fmt.Errorf("%q is not valid UTF-8", s)
	}
	if s != "" && c.Values != nil && !slices.Contains(c.Values, s) {
		return fmt.Errorf("%q is not one of %s", s, strings.Join(c.Values, ", "))
	}
	return nil
}

func (x textValues[T]) decode(column arrow.Array, rows []T, words *interner) {
	in := column.(*array.String)
	for i := range rows {
		if in.IsValid(i) {
			x.set(&rows[i], words.copy(in.Value(i)))
		}
	}
}

func (x textValues[T]) render(row *T) string { return x.get(row) }

// An interner copies the texts of one column out of Arrow's memory. A text that
// comes again, as the names of keepers and files do, is copied once.
type interner struct {
	last  string
	known map[string]string
}

// internLimit bounds the texts kept, so that a column of remarks costs no more
// than its own size.
const internLimit = 1 << 12

func (n *interner) copy(s string) string {
	if s == n.last {
		return n.last
	}
	own, found := n.known[s]
	if !found {
		own = strings.Clone(s)
		if n.known == nil {
			n.known = map[string]string{}
		}
		if len(n.known) < internLimit {
			n.known[own] = own
		}
	}
	n.last = own
	return own
}
