package score

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"gravid/ingest/club"
)

// either stands in an expected table where a careful human could go either way.
const either = "*"

// null stands in an expected table where nothing is recorded.
const null = "null"

// Expected is what a careful human makes of a log.
type Expected struct {
	Tables  map[string]map[key][]line
	Doubts  []Doubt
	columns []toldBy
}

// A Doubt is a cell, or a row, that must be set aside.
type Doubt struct {
	File, Sheet string
	From, To    int    // rows; the same for one row
	Column      string // letters; empty = the row as a whole
	Codes       []string
	Absent      bool     // no value may come of it
	Fields      []string // table.column of the values that it would give
}

// toldBy says which column of a log tells which columns of the tables.
type toldBy struct {
	file, sheet string
	header      int
	column      string
	fields      []string
}

// Load reads the folder expected of a case of the corpus.
func Load(dir fs.FS) (Expected, error) {
	e := Expected{Tables: map[string]map[key][]line{}}
	for _, table := range []string{club.TableAttempts, club.TableClutches, club.TableReadings, club.TableActions} {
		doc, err := fs.ReadFile(dir, table+".csv")
		if err != nil {
			return e, err
		}
		rows, err := parse(doc)
		if err != nil {
			return e, fmt.Errorf("%s.csv: %w", table, err)
		}
		e.Tables[table] = byRow(rows)
	}
	if err := e.loadDoubts(dir); err != nil {
		return e, err
	}
	return e, e.loadColumns(dir)
}

func (e *Expected) loadDoubts(dir fs.FS) error {
	rows, err := load(dir, "problems.csv")
	if err != nil {
		return err
	}
	for _, r := range rows {
		d := Doubt{File: r["file"], Sheet: r["sheet"], Column: r["column"], Codes: strings.Split(r["codes"], "|"), Absent: r["absent"] == "yes", Fields: strings.Fields(r["fields"])}
		from, to, stretch := strings.Cut(r["row"], "-")
		if !stretch {
			to = from
		}
		if d.From, err = strconv.Atoi(from); err != nil {
			return fmt.Errorf("problems.csv: row %q is no number", r["row"])
		}
		if d.To, err = strconv.Atoi(to); err != nil {
			return fmt.Errorf("problems.csv: row %q is no number", r["row"])
		}
		e.Doubts = append(e.Doubts, d)
	}
	return nil
}

func (e *Expected) loadColumns(dir fs.FS) error {
	rows, err := load(dir, "columns.csv")
	if err != nil {
		return err
	}
	for _, r := range rows {
		header, err := strconv.Atoi(r["header_row"])
		if err != nil {
			return fmt.Errorf("columns.csv: row %q is no number", r["header_row"])
		}
		e.columns = append(e.columns, toldBy{r["file"], r["sheet"], header, r["column"], strings.Fields(r["fields"])})
	}
	return nil
}

// lettersOf returns the columns of a log that tell a column of the tables, and
// the row of their headings.
func (e Expected) lettersOf(k key, field string) (header int, letters []string) {
	for _, c := range e.columns {
		if c.file == k.file && c.sheet == k.sheet && c.header <= k.row {
			header = max(header, c.header)
		}
	}
	for _, c := range e.columns {
		if c.file == k.file && c.sheet == k.sheet && c.header == header && slices.Contains(c.fields, field) {
			letters = append(letters, c.column)
		}
	}
	return header, letters
}

func load(dir fs.FS, name string) ([]line, error) {
	doc, err := fs.ReadFile(dir, name)
	if err != nil {
		return nil, err
	}
	rows, err := parse(doc)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return rows, nil
}

// parse reads a CSV with headings. null becomes the empty text.
func parse(doc []byte) ([]line, error) {
	records, err := csv.NewReader(bytes.NewReader(doc)).ReadAll()
	if err != nil {
		return nil, err
	}
	if len(records) == 0 {
		return nil, fmt.Errorf("there are no headings")
	}
	var out []line
	for _, r := range records[1:] {
		l := line{}
		for i, head := range records[0] {
			if r[i] == null {
				r[i] = ""
			}
			l[head] = r[i]
		}
		out = append(out, l)
	}
	return out, nil
}

// byRow sorts the rows of a table by the rows of the log that they came from. The
// columns that say so are taken out.
func byRow(rows []line) map[key][]line {
	out := map[key][]line{}
	for _, l := range rows {
		n, _ := strconv.Atoi(l["source_row"]) // 0 where it is missing, which no row of a log has
		k := key{l["source_file"], l["source_sheet"], n}
		for _, column := range []string{"source_file", "source_sheet", "source_row"} {
			delete(l, column)
		}
		out[k] = append(out[k], l)
	}
	return out
}

// linesOf renders a table of the club as texts.
func linesOf(s club.Schema, t *club.Tables) (map[key][]line, error) {
	var doc bytes.Buffer
	if err := club.WriteCSV(&doc, s, t, club.CSVOptions{Raw: true}); err != nil {
		return nil, err
	}
	rows, err := parse(doc.Bytes())
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s.Table, err)
	}
	return byRow(rows), nil
}

func appendKinds(kinds map[string]club.Kind, s club.Schema) map[string]club.Kind {
	if kinds == nil {
		kinds = map[string]club.Kind{}
	}
	for _, c := range s.Columns {
		kinds[s.Table+"."+c.Name] = c.Kind
	}
	return kinds
}

// same reports whether a value is the one wanted, by the kind of its column.
func (c *comparison) same(table, column, want, got string) bool {
	switch {
	case want == "" || got == "":
		return want == got || column == "notes" && want == ""
	case column == "notes":
		return strings.Contains(flat(got), flat(want))
	}
	switch c.kinds[table+"."+column] {
	case club.KindNumber, club.KindInteger:
		w, err := strconv.ParseFloat(want, 64)
		g, fault := strconv.ParseFloat(got, 64)
		return err == nil && fault == nil && math.Abs(w-g) <= 1e-6*max(1, math.Abs(w))
	case club.KindTruth:
		return strings.EqualFold(want, got)
	case club.KindWhen:
		return c.sameMoment(want, got)
	}
	return strings.TrimSpace(want) == strings.TrimSpace(got)
}

// sameMoment compares what was written, a day or a minute of the club's zone,
// with an instant. A day may be kept as its beginning or its end.
func (c *comparison) sameMoment(want, got string) bool {
	at, err := time.Parse(time.RFC3339, got)
	if err != nil {
		return false
	}
	if day, err := time.ParseInLocation("2006-01-02", want, c.zone); err == nil {
		return !at.Before(day) && !at.After(day.AddDate(0, 0, 1))
	}
	minute, err := time.ParseInLocation("2006-01-02T15:04", want, c.zone)
	return err == nil && !at.Before(minute) && at.Before(minute.Add(time.Minute))
}

// flat folds the white space of a text to single spaces.
func flat(s string) string { return strings.Join(strings.Fields(s), " ") }

func sortedKeys(m map[key][]line) []key {
	return slices.SortedFunc(maps.Keys(m), func(a, b key) int {
		if a.file != b.file {
			return strings.Compare(a.file, b.file)
		}
		if a.sheet != b.sheet {
			return strings.Compare(a.sheet, b.sheet)
		}
		return a.row - b.row
	})
}

func sortedColumns(l line) []string { return slices.Sorted(maps.Keys(l)) }
