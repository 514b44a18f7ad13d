package club

import (
	"strconv"
	"strings"
	"time"

	"github.com/apache/arrow/go/v15/arrow"
)

// Kind is the kind of value that a column holds, named as Arrow names it. Every
// column may be null, which means "not recorded".
type Kind string

// The kinds of column.
const (
	KindText    Kind = "utf8"              // empty text is stored as null
	KindNumber  Kind = "float64"           // finite
	KindInteger Kind = "int64"             // counts, row numbers, sizes
	KindTruth   Kind = "bool"              // yes or no
	KindWhen    Kind = "timestamp[s, UTC]" // fractions of a second are cut off
)

// arrowType returns the Arrow type of a kind.
func (k Kind) arrowType() arrow.DataType {
	switch k {
	case KindText:
		return arrow.BinaryTypes.String
	case KindNumber:
		return arrow.PrimitiveTypes.Float64
	case KindInteger:
		return arrow.PrimitiveTypes.Int64
	case KindTruth:
		return arrow.FixedWidthTypes.Boolean
	case KindWhen:
		return &arrow.TimestampType{Unit: arrow.Second, TimeZone: "UTC"}
	}
	panic("club: no such kind of column: " + string(k))
}

// A Column describes one column of a table.
type Column struct {
	Name        string
	Kind        Kind
	Unit        string   // UCUM code; "1" for counts and shares; empty where a unit has no meaning
	Description string   // what the value says, in one sentence without full stop
	Term        string   // Darwin Core term ("dwc:eventDate") that means the same, else empty
	Values      []string // the only texts allowed besides "not recorded"; empty = any text
}

// darwinCore is the namespace that the prefix dwc: stands for.
const darwinCore = "http://rs.tdwg.org/dwc/terms/"

// TermIRI returns the full address of the column's Darwin Core term, or nothing.
func (c Column) TermIRI() string {
	name, found := strings.CutPrefix(c.Term, "dwc:")
	if !found {
		return ""
	}
	return darwinCore + name
}

// arrowField returns the column as Arrow describes it, with its unit,
// description and term as metadata.
func (c Column) arrowField() arrow.Field {
	var keys, values []string
	for _, m := range [][2]string{{"unit", c.Unit}, {"description", c.Description}, {"term", c.Term}} {
		if m[1] != "" {
			keys, values = append(keys, m[0]), append(values, m[1])
		}
	}
	return arrow.Field{Name: c.Name, Type: c.Kind.arrowType(), Nullable: true, Metadata: arrow.NewMetadata(keys, values)}
}

// A field is a column of a table whose rows are T, with the way to its value.
type field[T any] struct {
	Column
	values[T]
}

// text makes a column of text.
func text[T any](name, term, description string, at func(*T) *string) field[T] {
	return listed(name, term, description, nil, at)
}

// listed makes a column of text that allows only the texts of a list.
func listed[T any](name, term, description string, list []string, at func(*T) *string) field[T] {
	f := textBy(name, term, description,
		func(row *T) string { return *at(row) },
		func(row *T, s string) { *at(row) = s })
	if list != nil {
		f.Values = list
		f.Description += ": one of " + strings.Join(list, ", ")
	}
	return f
}

// textBy makes a column of text that a row keeps in a form of its own.
func textBy[T any](name, term, description string, get func(*T) string, set func(*T, string)) field[T] {
	return field[T]{
		Column{Name: name, Kind: KindText, Description: description, Term: term},
		textValues[T]{get, set},
	}
}

func number[T any](name, unit, term, description string, at func(*T) *Number) field[T] {
	return numberBy(name, unit, term, description,
		func(row *T) Number { return *at(row) },
		func(row *T, n Number) { *at(row) = n })
}

func numberBy[T any](name, unit, term, description string, get func(*T) Number, set func(*T, Number)) field[T] {
	return field[T]{
		Column{Name: name, Kind: KindNumber, Unit: unit, Description: description, Term: term},
		fixedValues[T, float64]{kind: numberKind, get: get, set: set},
	}
}

func count[T any](name, term, description string, at func(*T) *Count) field[T] {
	return integerBy(name, "1", term, description,
		func(row *T) Count { return *at(row) },
		func(row *T, n Count) { *at(row) = n })
}

// size makes a column of whole numbers that are always known: 0 is a value.
func size[T any, I int | int64](name, unit, description string, at func(*T) *I) field[T] {
	return integerBy(name, unit, "", description,
		func(row *T) Count { return Some(int64(*at(row))) },
		func(row *T, n Count) { *at(row) = I(n.V) })
}

// rowNumber makes a column of row numbers counted from 1, where 0 is "none".
func rowNumber[T any, I int | int64](name, description string, at func(*T) *I) field[T] {
	return integerBy(name, "1", "", description,
		func(row *T) Count { return Count{V: int64(*at(row)), OK: *at(row) != 0} },
		func(row *T, n Count) { *at(row) = I(n.V) })
}

func integerBy[T any](name, unit, term, description string, get func(*T) Count, set func(*T, Count)) field[T] {
	return field[T]{
		Column{Name: name, Kind: KindInteger, Unit: unit, Description: description, Term: term},
		fixedValues[T, int64]{kind: integerKind, get: get, set: set},
	}
}

func truth[T any](name, description string, at func(*T) *Truth) field[T] {
	return truthBy(name, description,
		func(row *T) Truth { return *at(row) },
		func(row *T, v Truth) { *at(row) = v })
}

func truthBy[T any](name, description string, get func(*T) Truth, set func(*T, Truth)) field[T] {
	return field[T]{
		Column{Name: name, Kind: KindTruth, Description: description},
		truthValues[T]{get: get, set: set},
	}
}

func when[T any](name, term, description string, at func(*T) *When) field[T] {
	return field[T]{
		Column{Name: name, Kind: KindWhen, Description: description, Term: term},
		fixedValues[T, int64]{
			kind: whenKind,
			get: func(row *T) Count {
				w := at(row)
				if !w.OK {
					return Count{}
				}
				return Some(w.V.Unix())
			},
			set: func(row *T, n Count) {
				if n.OK {
					*at(row) = Some(time.Unix(n.V, 0).UTC())
				}
			},
		},
	}
}

// Plain renderings of values, the same in every file that is written for
// people or other programs.

func renderNumber(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
func renderInteger(n int64) string  { return strconv.FormatInt(n, 10) }
func renderWhen(n int64) string     { return time.Unix(n, 0).UTC().Format(time.RFC3339) }
