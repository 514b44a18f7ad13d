package ingest

import (
	"bytes"
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"

	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// A Mapping is what a keeper, or the records secretary, says about a log: the
// decisions that the program would otherwise make, or refuse to make. It is TOML
// beside the log: ana.toml for ana.xlsx, or ingest.toml for all logs of a folder.
type Mapping struct {
	Version   int            `toml:"version"`
	Keeper    string         `toml:"keeper"`    // who kept the log
	System    string         `toml:"system"`    // the tank, where no column names it
	Species   string         `toml:"species"`   // the species, where no column names it
	Place     string         `toml:"place"`     // place that readings of the weather hold for
	TimeZone  string         `toml:"time_zone"` // IANA name
	Encoding  string         `toml:"encoding"`  // of a text file
	Delimiter string         `toml:"delimiter"` // of a text file: "," ";" "|" or "\t"
	Ignore    bool           `toml:"ignore"`    // the file is no log
	Tables    []TableMapping `toml:"table"`
}

// A TableMapping is about one table of a log.
type TableMapping struct {
	Sheet        string                   `toml:"sheet"`         // name or glob; empty = every sheet, or a text file
	HeaderRow    int                      `toml:"header_row"`    // as the program that made the file shows it
	FromColumn   string                   `toml:"from_column"`   // letter of the first column, of tables side by side
	Turned       bool                     `toml:"turned"`        // the headings stand in the first column
	Dates        string                   `toml:"dates"`         // dmy, mdy or ymd
	Decimal      string                   `toml:"decimal"`       // "," or "."
	SwappedDates *bool                    `toml:"swapped_dates"` // stored dates have day and month exchanged, or have not
	Year         int                      `toml:"year"`          // of dates that state none
	Ignore       bool                     `toml:"ignore"`
	Columns      map[string]ColumnMapping `toml:"columns"`
}

// A ColumnMapping is about one column, named by its heading as written.
type ColumnMapping struct {
	Is    string   `toml:"is"`    // column of the tables, or "notes", or "ignore"
	Unit  string   `toml:"unit"`  // UCUM code
	Yes   []string `toml:"yes"`   // words that mean yes
	No    []string `toml:"no"`    // words that mean no
	Zero  []string `toml:"zero"`  // words that mean 0
	Blank string   `toml:"blank"` // "no" where an empty cell means no
}

// parseMapping reads a mapping file. What is wrong in it is a problem with its
// line, and the log is then not read at all: a mapping that is only half followed
// would be a silent misreading.
func parseMapping(name string, doc []byte) (Mapping, []problem.Problem) {
	var m Mapping
	d := toml.NewDecoder(bytes.NewReader(bytes.TrimPrefix(doc, []byte("\ufeff")))).DisallowUnknownFields()
	err := d.Decode(&m)
	fault := func(line, column int, what, fix string) problem.Problem {
		return problem.Problem{Severity: problem.Error, Code: problem.MappingInvalid,
			Place:   problem.Place{File: name, Row: line},
			Message: fmt.Sprintf("%s (line %d, column %d)", what, line, column), Fix: fix}
	}
	var unknown *toml.StrictMissingError
	var wrong *toml.DecodeError
	switch {
	case errors.As(err, &unknown):
		var out []problem.Problem
		for _, e := range unknown.Errors {
			line, column := e.Position()
			out = append(out, fault(line, column, fmt.Sprintf("the mapping knows no key %q", strings.Join(e.Key(), ".")), "gravid ingest --explain writes a mapping with every key"))
		}
		return m, out
	case errors.As(err, &wrong):
		line, column := wrong.Position()
		return m, []problem.Problem{fault(line, column, strings.TrimPrefix(wrong.Error(), "toml: "), "mend the line")}
	case err != nil:
		return m, []problem.Problem{fault(0, 0, err.Error(), "mend the file")}
	}
	return m, m.check(func(what, fix string) problem.Problem {
		return problem.Problem{Severity: problem.Error, Code: problem.MappingInvalid, Place: problem.Place{File: name}, Message: what, Fix: fix}
	})
}

func (m Mapping) check(fault func(what, fix string) problem.Problem) []problem.Problem {
	var out []problem.Problem
	bad := func(fix, format string, args ...any) { out = append(out, fault(fmt.Sprintf(format, args...), fix)) }
	if m.Version != 1 {
		bad("write version = 1", "version is %d, and this program knows version 1", m.Version)
	}
	if m.TimeZone != "" {
		if _, err := time.LoadLocation(m.TimeZone); err != nil || m.TimeZone == "Local" {
			bad(`use a name such as "Europe/Vienna"`, "time_zone %q is not the name of a time zone", m.TimeZone)
		}
	}
	if len([]rune(m.Delimiter)) > 1 || strings.ContainsAny(m.Delimiter, "\"\r\n") {
		bad(`delimiter = ";", ",", "|" or "\t"`, "delimiter %q is not one character between cells", m.Delimiter)
	}
	for i, t := range m.Tables {
		if t.Dates != "" && !slices.Contains([]string{"dmy", "mdy", "ymd"}, t.Dates) {
			bad(`dates = "dmy", "mdy" or "ymd"`, "dates %q of table %d is no order of day, month and year", t.Dates, i+1)
		}
		if t.Decimal != "" && t.Decimal != "," && t.Decimal != "." {
			bad(`decimal = "," or "."`, "decimal %q of table %d is no decimal mark", t.Decimal, i+1)
		}
		if _, err := path.Match(t.Sheet, ""); err != nil {
			bad("mend the name of the sheet", "sheet %q of table %d is no pattern", t.Sheet, i+1)
		}
		for heading, c := range t.Columns {
			if c.Blank != "" && c.Blank != "no" {
				bad(`blank = "no", or leave it out`, "blank %q of column %q is not known", c.Blank, heading)
			}
		}
	}
	slices.SortFunc(out, func(a, b problem.Problem) int { return strings.Compare(a.Message, b.Message) })
	return out
}

// table returns what the mapping says of a table: of several on one sheet, the entry
// whose row of headings and first column lie in it.
func (m Mapping) table(s region) TableMapping {
	for _, t := range m.Tables {
		switch ok, _ := path.Match(t.Sheet, s.grid.Sheet); {
		case t.Sheet != "" && !ok:
		case !s.alone && t.HeaderRow > 0 && (t.HeaderRow < s.first || t.HeaderRow > s.last):
		case !s.alone && t.FromColumn != "" && !strings.EqualFold(t.FromColumn, source.ColumnName(s.column)):
		default:
			return t
		}
	}
	return TableMapping{}
}

// turned reports whether the mapping says that a sheet has its headings in the first
// column.
func (m Mapping) turned(sheet string) bool {
	return slices.ContainsFunc(m.Tables, func(t TableMapping) bool {
		ok, _ := path.Match(t.Sheet, sheet)
		return t.Turned && (t.Sheet == "" || ok)
	})
}

// settled are the headings whose meaning the mapping states.
func (m TableMapping) settled() []string {
	var out []string
	for text, c := range m.Columns {
		if c.Is != "" {
			out = append(out, text)
		}
	}
	slices.Sort(out)
	return out
}
