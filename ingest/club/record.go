package club

import (
	"errors"
	"fmt"
	"iter"
	"math"
	"slices"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/memory"
)

// BatchRows is the largest number of rows that one Arrow record holds.
const BatchRows = 64 << 10

// A Schema is one table's name and columns, and the way between its rows in
// Tables and Arrow records.
type Schema struct {
	Table       string
	Description string
	Columns     []Column

	rows rows
}

// rows is what the columns of one table can do with its rows in Tables.
type rows interface {
	count(*Tables) int
	grow(t *Tables, n int)
	truncate(*Tables)
	encode(mem memory.Allocator, t *Tables, from, to int) ([]arrow.Array, error)
	decode(t *Tables, rec arrow.Record, words []interner)
	render(t *Tables, row int, cells []string)
}

// list implements rows for the rows of type T.
type list[T any] struct {
	fields []field[T]
	at     func(*Tables) *[]T
	check  func(*T) error // of what no single column can see; may be nil
}

func schema[T any](name, description string, fields []field[T], at func(*Tables) *[]T, check func(*T) error) Schema {
	s := Schema{Table: name, Description: description, rows: &list[T]{fields, at, check}}
	for _, f := range fields {
		s.Columns = append(s.Columns, f.Column)
	}
	return s
}

// Find returns the schema of one table, or an error that names the nearest one.
func Find(schemas []Schema, table string) (Schema, error) {
	names := make([]string, len(schemas))
	for i, s := range schemas {
		if s.Table == table {
			return s, nil
		}
		names[i] = s.Table
	}
	return Schema{}, fmt.Errorf("there is no table %q%s", table, didYouMean(table, names))
}

// Arrow returns the schema as Arrow files carry it: the columns' units,
// descriptions and terms as metadata of the fields, the table's name and the
// version of the schema as metadata of the whole.
func (s Schema) Arrow() *arrow.Schema {
	fields := make([]arrow.Field, len(s.Columns))
	for i, c := range s.Columns {
		fields[i] = c.arrowField()
	}
	meta := arrow.NewMetadata(
		[]string{"table", "schema_version", "description"},
		[]string{s.Table, fmt.Sprint(SchemaVersion), s.Description})
	return arrow.NewSchema(fields, &meta)
}

// Len returns the number of rows of the table.
func (s Schema) Len(t *Tables) int { return s.rows.count(t) }

// Records walks the table's rows as Arrow records of up to BatchRows rows. A
// record is valid until the next one is asked for. A value that no file may
// hold, such as one that is not finite, is an error that names row and column
// and ends the walk.
func (s Schema) Records(mem memory.Allocator, t *Tables) iter.Seq2[arrow.Record, error] {
	return func(yield func(arrow.Record, error) bool) {
		into := s.Arrow()
		for from, n := 0, s.Len(t); from < n; from += BatchRows {
			to := min(from+BatchRows, n)
			columns, err := s.rows.encode(mem, t, from, to)
			if err != nil {
				yield(nil, fmt.Errorf("table %s: %w", s.Table, err))
				return
			}
			rec := array.NewRecord(into, columns, int64(to-from))
			release(columns)
			more := yield(rec, nil)
			rec.Release()
			if !more {
				return
			}
		}
	}
}

// Append adds the rows of an Arrow record to the table. A record with other
// columns than the schema's is an error and adds nothing.
func (s Schema) Append(t *Tables, rec arrow.Record) error {
	if err := s.matches(rec.Schema()); err != nil {
		return err
	}
	return recovered(func() error {
		s.rows.decode(t, rec, make([]interner, len(s.Columns)))
		return nil
	})
}

var errColumns = errors.New("the columns are not those of the table")

// matches reports whether an Arrow schema has the names and types of the
// columns, in their order. Descriptions may differ.
func (s Schema) matches(have *arrow.Schema) error {
	named := func(f arrow.Field) string { return f.Name + " " + f.Type.String() }
	fields := have.Fields()
	for i, c := range s.Columns {
		if want := c.arrowField(); i >= len(fields) || named(fields[i]) != named(want) {
			return fmt.Errorf("%w: there is no %s where it should be", errColumns, named(want))
		}
	}
	if len(fields) > len(s.Columns) {
		return fmt.Errorf("%w: %s is one too many", errColumns, fields[len(s.Columns)].Name)
	}
	return nil
}

func release(columns []arrow.Array) {
	for _, c := range columns {
		c.Release()
	}
}

// recovered runs f and turns a panic of the Arrow library into an error.
func recovered(f func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("not readable as Arrow data: %v", p)
		}
	}()
	return f()
}

func (l *list[T]) count(t *Tables) int   { return len(*l.at(t)) }
func (l *list[T]) grow(t *Tables, n int) { *l.at(t) = slices.Grow(*l.at(t), n) }
func (l *list[T]) truncate(t *Tables)    { *l.at(t) = (*l.at(t))[:0] }

func (l *list[T]) encode(mem memory.Allocator, t *Tables, from, to int) ([]arrow.Array, error) {
	part := (*l.at(t))[from:to]
	if l.check != nil {
		for i := range part {
			if err := l.check(&part[i]); err != nil {
				return nil, fmt.Errorf("row %d: %w", from+i+1, err)
			}
		}
	}
	columns := make([]arrow.Array, 0, len(l.fields))
	for _, f := range l.fields {
		column, bad, err := f.encode(mem, part, f.Column)
		if err != nil {
			release(columns)
			return nil, fmt.Errorf("row %d, column %s: %w", from+bad+1, f.Name, err)
		}
		columns = append(columns, column)
	}
	return columns, nil
}

func (l *list[T]) decode(t *Tables, rec arrow.Record, words []interner) {
	all := l.at(t)
	before := len(*all)
	*all = append(*all, make([]T, rec.NumRows())...)
	part := (*all)[before:]
	defer func() {
		if p := recover(); p != nil {
			*all = (*all)[:before]
			panic(p)
		}
	}()
	for i, f := range l.fields {
		f.decode(rec.Column(i), part, &words[i])
	}
}

func (l *list[T]) render(t *Tables, row int, cells []string) {
	for i, f := range l.fields {
		cells[i] = f.render(&(*l.at(t))[row])
	}
}

// undeclared returns a check that every own trigger of an attempt has a column,
// and that a yes or no is 1 or 0.
func undeclared(own []Column) func(*Attempt) error {
	kinds := map[string]Kind{}
	for _, c := range own {
		kinds[c.Name] = c.Kind
	}
	return func(a *Attempt) error {
		var worst string
		for name, n := range a.Own {
			kind, declared := kinds[name]
			wrong := !declared || kind == KindTruth && n.V != 0 && n.V != 1
			if n.OK && wrong && (worst == "" || name < worst) {
				worst = name
			}
		}
		if worst == "" {
			return nil
		}
		if _, declared := kinds[worst]; declared {
			return fmt.Errorf("trigger %s is yes or no but holds %v", worst, a.Own[worst].V)
		}
		return fmt.Errorf("trigger %s is not declared in %s", worst, ConfigFile)
	}
}

// finite reports whether x can be stored.
func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
