// Package score holds the tables that ingest made of a log against what a careful
// human makes of it, cell by cell, and counts what was read rightly, what was
// set aside, and the errors that nobody was told of.
//
// It knows nothing of how logs are read, and is not for use outside tests.
package score

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// A Finding is one cell or row that went another way than expected.
type Finding struct {
	Place string // file › sheet › row, table and column
	Want  string // null = not recorded
	Got   string
}

// String gives the finding as one line.
func (f Finding) String() string { return fmt.Sprintf("%s: want %s, got %s", f.Place, f.Want, f.Got) }

// A Score counts the cells of one log, or of several.
type Score struct {
	Readable int // cells of the tables that a careful human could fill from the log
	Right    int // those filled rightly
	Doubtful int // cells and rows of the log that a careful human would set aside
	SetAside int // those set aside: a problem of a fitting code, and no value

	Missed  []Finding // readable cells left empty, a problem says so
	Unsaid  []Finding // readable cells left empty without an error or warning at their place
	Flagged []Finding // wrong values with an error or warning at their place
	Silent  []Finding // wrong values without one
	Taken   []Finding // doubtful cells that were not set aside
}

// Add counts another log in.
func (s *Score) Add(o Score) {
	s.Readable += o.Readable
	s.Right += o.Right
	s.Doubtful += o.Doubtful
	s.SetAside += o.SetAside
	s.Missed = append(s.Missed, o.Missed...)
	s.Unsaid = append(s.Unsaid, o.Unsaid...)
	s.Flagged = append(s.Flagged, o.Flagged...)
	s.Silent = append(s.Silent, o.Silent...)
	s.Taken = append(s.Taken, o.Taken...)
}

// Recall is the share of readable cells read rightly; 1 where there are none.
func (s Score) Recall() float64 { return share(s.Right, s.Readable) }

// SetAsideShare is the share of doubtful cells set aside; 1 where there are none.
func (s Score) SetAsideShare() float64 { return share(s.SetAside, s.Doubtful) }

func share(n, of int) float64 {
	if of == 0 {
		return 1
	}
	return float64(n) / float64(of)
}

// String gives the counts as one line.
func (s Score) String() string {
	return fmt.Sprintf("read %d of %d (%.1f %%), silent errors %d, wrong but flagged %d, left out %d (%d of them unsaid), set aside %d of %d (%.1f %%)",
		s.Right, s.Readable, 100*s.Recall(), len(s.Silent), len(s.Flagged), len(s.Missed)+len(s.Unsaid), len(s.Unsaid), s.SetAside, s.Doubtful, 100*s.SetAsideShare())
}

// key names the row of a log that a row of the tables came from.
type key struct {
	file, sheet string
	row         int
}

func (k key) String() string {
	return problem.Place{File: k.file, Sheet: k.sheet, Row: k.row}.String()
}

// A line is one row of a table as texts, by column. Missing is the empty text.
type line map[string]string

// repeated are columns of clutches that say again what the attempt of the same
// row says: they are compared, and not counted twice.
var repeated = []string{"keeper", "system", "species", "females", "temperature_c"}

// marker are the columns by which rows of one table that came from the same row
// of a log are told apart.
var marker = map[string][]string{club.TableReadings: {"quantity", "system", "at", "value"}, club.TableActions: {"action", "system", "at", "amount"}}

// Compare holds tables against what was expected. zone is the club's.
func Compare(e Expected, t club.Tables, own []club.Column, zone *time.Location) (Score, error) {
	c := &comparison{expected: e, zone: zone, problems: map[key][]problem.Problem{}}
	for _, p := range t.Problems {
		k := key{p.Place.File, p.Place.Sheet, p.Place.Row}
		c.problems[k] = append(c.problems[k], p)
	}
	c.actual = map[string]map[key][]line{}
	for _, schema := range club.Schemas(own...) {
		if schema.Table == club.TableProblems || schema.Table == club.TableSources {
			continue
		}
		lines, err := linesOf(schema, &t)
		if err != nil {
			return Score{}, err
		}
		c.actual[schema.Table] = lines
		c.kinds = appendKinds(c.kinds, schema)
	}
	c.linkAttempts()
	for _, table := range []string{club.TableAttempts, club.TableClutches, club.TableReadings, club.TableActions} {
		c.compareTable(table)
	}
	for _, d := range e.Doubts {
		c.judgeDoubt(d)
	}
	return c.score, nil
}

type comparison struct {
	expected Expected
	actual   map[string]map[key][]line
	kinds    map[string]club.Kind // by table.column
	problems map[key][]problem.Problem
	zone     *time.Location
	score    Score
}

// linkAttempts puts the row of the log in place of the name of a clutch's attempt.
func (c *comparison) linkAttempts() {
	at := map[string]string{}
	for k, lines := range c.actual[club.TableAttempts] {
		for _, l := range lines {
			at[l["attempt_id"]] = fmt.Sprintf("%s|%s|%d", k.file, k.sheet, k.row)
		}
	}
	for _, lines := range c.actual[club.TableClutches] {
		for _, l := range lines {
			l["attempt"] = at[l["attempt_id"]]
		}
	}
}

func (c *comparison) compareTable(table string) {
	want, got := c.expected.Tables[table], c.actual[table]
	for _, k := range sortedKeys(want) {
		matched := c.pair(table, want[k], got[k])
		for i, w := range want[k] {
			if matched[i] < 0 {
				c.missingLine(table, k, w)
				continue
			}
			c.compareLine(table, k, w, got[k][matched[i]])
		}
		for j, l := range got[k] {
			if !slices.Contains(matched, j) {
				c.extraLine(table, k, l)
			}
		}
	}
	for _, k := range sortedKeys(got) {
		if _, expected := want[k]; !expected {
			for _, l := range got[k] {
				c.extraLine(table, k, l)
			}
		}
	}
}

// pair finds for each wanted row the row that was made: equal ones first, then
// those that share the marker columns from the left, then the next.
func (c *comparison) pair(table string, want, got []line) []int {
	matched := make([]int, len(want))
	for i := range matched {
		matched[i] = -1
	}
	free := func(j int) bool { return !slices.Contains(matched, j) }
	columns := marker[table]
	for n := len(columns); n >= 0; n-- {
		for i, w := range want {
			for j, g := range got {
				same := !slices.ContainsFunc(columns[:n], func(column string) bool { return !c.same(table, column, w[column], g[column]) })
				if matched[i] < 0 && free(j) && same && (n > 0 || len(columns) == 0) {
					matched[i] = j
				}
			}
		}
	}
	return matched
}

func (c *comparison) missingLine(table string, k key, w line) {
	for _, column := range sortedColumns(w) {
		if !c.counts(table, k, column, w[column]) {
			continue
		}
		c.score.Readable++
		c.missed(table, k, column, w[column])
	}
}

func (c *comparison) missed(table string, k key, column, want string) {
	f := Finding{Place: fmt.Sprintf("%s, %s.%s", k, table, column), Want: want, Got: "nothing"}
	if c.said(table, k, column) || c.saidOfSheet(k) {
		c.score.Missed = append(c.score.Missed, f)
	} else {
		c.score.Unsaid = append(c.score.Unsaid, f)
	}
}

// extraLine counts a row that nobody should have made.
func (c *comparison) extraLine(table string, k key, l line) {
	var parts []string
	for _, column := range sortedColumns(l) {
		if l[column] != "" && !strings.HasSuffix(column, "_id") && !strings.HasPrefix(column, "source_") {
			parts = append(parts, column+"="+l[column])
		}
	}
	f := Finding{Place: fmt.Sprintf("%s, %s", k, table), Want: "no row", Got: strings.Join(parts, " ")}
	if c.saidOfRow(k) {
		c.score.Flagged = append(c.score.Flagged, f)
	} else {
		c.score.Silent = append(c.score.Silent, f)
	}
}

// counts reports whether a wanted value is one that a human could read, and is
// not counted elsewhere.
func (c *comparison) counts(table string, k key, column, want string) bool {
	if want == "" || want == either || column == "keeper" || column == "attempt" && want == "" {
		return false
	}
	if table == club.TableClutches && slices.Contains(repeated, column) {
		_, said := c.expected.Tables[club.TableAttempts][k]
		return !said
	}
	return true
}

func (c *comparison) compareLine(table string, k key, w, g line) {
	for _, column := range sortedColumns(w) {
		want, got := w[column], g[column]
		right := want == either || c.same(table, column, want, got)
		if c.counts(table, k, column, want) {
			c.score.Readable++
			if right {
				c.score.Right++
			}
		}
		switch {
		case right:
		case got == "" || column == "notes":
			if c.counts(table, k, column, want) {
				c.missed(table, k, column, want)
			}
		case c.said(table, k, column):
			c.score.Flagged = append(c.score.Flagged, c.wrong(table, k, column, want, got))
		default:
			c.score.Silent = append(c.score.Silent, c.wrong(table, k, column, want, got))
		}
	}
}

func (c *comparison) wrong(table string, k key, column, want, got string) Finding {
	if want == "" {
		want = "null"
	}
	return Finding{Place: fmt.Sprintf("%s, %s.%s", k, table, column), Want: want, Got: got}
}

// said reports whether an error or a warning stands at the cell that tells a
// column, at its row, or at its column as a whole. A note is not enough: it says
// that nothing need be done.
func (c *comparison) said(table string, k key, column string) bool {
	header, letters := c.expected.lettersOf(k, table+"."+column)
	for _, p := range c.problems[k] {
		if loud(p) && (p.Place.Column == "" || len(letters) == 0 || slices.Contains(letters, p.Place.Column)) {
			return true
		}
	}
	for _, row := range []int{0, header} {
		for _, p := range c.problems[key{k.file, k.sheet, row}] {
			if loud(p) && slices.Contains(letters, p.Place.Column) {
				return true
			}
		}
	}
	return false
}

// saidOfRow reports whether an error or a warning stands at a row as a whole or
// at any of its cells.
func (c *comparison) saidOfRow(k key) bool {
	return slices.ContainsFunc(c.problems[k], func(p problem.Problem) bool { return loud(p) && p.Code != problem.Unusual })
}

// saidOfSheet reports whether the sheet or the file as a whole was refused.
func (c *comparison) saidOfSheet(k key) bool {
	refused := func(p problem.Problem) bool { return p.Severity == problem.Error && p.Place.Column == "" }
	return slices.ContainsFunc(c.problems[key{k.file, k.sheet, 0}], refused) || slices.ContainsFunc(c.problems[key{k.file, "", 0}], refused)
}

func loud(p problem.Problem) bool { return p.Severity != problem.Note }

// judgeDoubt looks whether a doubtful cell or row was set aside.
func (c *comparison) judgeDoubt(d Doubt) {
	c.score.Doubtful++
	var codes []string
	fits := false
	for row := d.From; row <= d.To; row++ {
		k := key{d.File, d.Sheet, row}
		header, _ := c.expected.lettersOf(k, "")
		places := map[key]bool{k: true, {d.File, d.Sheet, 0}: true, {d.File, d.Sheet, header}: true}
		for at := range places {
			for _, p := range c.problems[at] {
				here := at == k && (p.Place.Column == d.Column || p.Place.Column == "" || d.Column == "")
				ofColumn := at != k && p.Place.Column == d.Column && d.Column != ""
				if !here && !ofColumn {
					continue
				}
				codes = append(codes, string(p.Code))
				fits = fits || slices.Contains(d.Codes, string(p.Code))
			}
		}
	}
	slices.Sort(codes)
	got := "no problem"
	if len(codes) > 0 {
		got = strings.Join(slices.Compact(codes), ", ")
	}
	value, present := c.valueOf(d)
	if present {
		got += ", value " + value
	}
	if fits && !present {
		c.score.SetAside++
		return
	}
	place := problem.Place{File: d.File, Sheet: d.Sheet, Row: d.From, Column: d.Column}
	c.score.Taken = append(c.score.Taken, Finding{Place: place.String(), Want: strings.Join(d.Codes, " or "), Got: got})
}

// valueOf returns a value that was taken from a doubtful cell although none must.
func (c *comparison) valueOf(d Doubt) (string, bool) {
	if !d.Absent {
		return "", false
	}
	k := key{d.File, d.Sheet, d.From}
	if d.Column == "" {
		for _, table := range []string{club.TableAttempts, club.TableClutches, club.TableReadings, club.TableActions} {
			if len(c.actual[table][k]) > len(c.expected.Tables[table][k]) {
				return "a row of " + table, true
			}
		}
		return "", false
	}
	for _, field := range d.Fields {
		table, column, _ := strings.Cut(field, ".")
		for i, w := range c.expected.Tables[table][k] {
			if w[column] == "" && i < len(c.actual[table][k]) && c.actual[table][k][i][column] != "" {
				return field + "=" + c.actual[table][k][i][column], true
			}
		}
	}
	return "", false
}
