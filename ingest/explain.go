package ingest

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"gravid/ingest/cell"
	"gravid/ingest/heading"
	"gravid/ingest/printable"
	"gravid/ingest/source"
	"gravid/ingest/unit"
)

// Explained is every decision about one table, as a mapping says it.
type Explained struct {
	File    string
	Sheet   string
	Layout  string
	Keeper  string
	Header  int
	From    string // letter of the first column, of tables side by side
	Turned  bool   // the headings stand in the first column
	Dates   string // empty where no date depends on an order
	Swapped *bool  // what the mapping says of exchanged days and months
	Decimal string
	Columns []ExplainedColumn
}

// ExplainedColumn is every decision about one column.
type ExplainedColumn struct {
	Heading string // or "column G", where another column has the same heading
	Is      string
	Unit    string
}

func (t *table) explain() Explained {
	e := Explained{File: t.grid.File, Sheet: t.grid.Sheet, Layout: t.layout, Keeper: t.keeper, Header: t.header.Row, Turned: t.region.turned, Swapped: t.mapping.SwappedDates}
	if !t.region.alone {
		e.From = source.ColumnName(t.region.column)
	}
	marks := map[cell.Decimal]bool{}
	for _, c := range t.columns {
		if c.day != nil || slices.Contains(t.tanks, c) { // found by its heading each time
			continue
		}
		is := c.field.String()
		if c.field == heading.None {
			is = "notes"
		}
		if c.own != "" {
			is = c.own
		}
		x := ExplainedColumn{Heading: c.head, Is: is}
		if slices.ContainsFunc(t.columns, func(o *column) bool { return o != c && o.head == c.head }) {
			x.Heading = byLetter(c.letter)
		}
		if c.unit != (unit.Unit{}) {
			x.Unit = c.unit.Code
		}
		if c.field.Kind() == heading.KindDate && c.order != cell.OrderUnknown {
			e.Dates = c.order.String()
		}
		if numeric(c.field) {
			marks[c.decimal] = true
			e.Decimal = c.decimal.String()
		}
		e.Columns = append(e.Columns, x)
	}
	if len(marks) != 1 || marks[cell.Open] { // a mapping has one mark for a table
		e.Decimal = ""
	}
	return e
}

// WriteMapping writes the decisions about the tables of one file as a mapping, each
// as a line that can be changed. Saved beside the log under the log's name with
// the ending .toml, it makes the same decisions again.
func WriteMapping(w io.Writer, tables []Explained) error {
	var b strings.Builder
	fmt.Fprintf(&b, "# How %s was read. Save this beside the log, as the same name with the\n# ending .toml, and change what is wrong.\nversion = 1\n", printable.Line(tables[0].File))
	if tables[0].Keeper != "" {
		fmt.Fprintf(&b, "keeper = %s\n", tomlText(tables[0].Keeper))
	}
	for _, t := range tables {
		fmt.Fprintf(&b, "\n# layout: %s\n[[table]]\n", t.Layout)
		if t.Sheet != "" {
			fmt.Fprintf(&b, "sheet = %s\n", tomlText(t.Sheet))
		}
		if t.Turned {
			b.WriteString("turned = true\n")
		} else {
			fmt.Fprintf(&b, "header_row = %d\n", t.Header)
		}
		if t.From != "" {
			fmt.Fprintf(&b, "from_column = %q\n", t.From)
		}
		if t.Dates != "" {
			fmt.Fprintf(&b, "dates = %q\n", t.Dates)
		}
		if t.Swapped != nil {
			fmt.Fprintf(&b, "swapped_dates = %v\n", *t.Swapped)
		}
		if t.Decimal != "" {
			fmt.Fprintf(&b, "decimal = %q\n", t.Decimal)
		}
		for _, c := range t.Columns {
			fmt.Fprintf(&b, "[table.columns.%s]\nis = %q\n", tomlText(c.Heading), c.Is)
			if c.Unit != "" {
				fmt.Fprintf(&b, "unit = %q\n", c.Unit)
			}
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// tomlText is a text in quotes as TOML 1.0 writes it, with everything escaped that acts
// on a terminal: TOML knows fewer escapes than Go.
func tomlText(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r > 0xffff && printable.Acting(r):
			fmt.Fprintf(&b, `\U%08X`, r)
		case printable.Acting(r):
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	return `"` + b.String() + `"`
}
