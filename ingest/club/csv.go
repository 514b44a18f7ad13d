package club

import (
	"io"
	"regexp"
	"strings"
)

// CSVOptions says for whom a table is written. The zero value is for people and
// programs alike.
type CSVOptions struct {
	// Raw leaves out the guard against formulas, for programs that take text as
	// text.
	Raw bool
	// ForSpreadsheet puts a byte order mark first, by which spreadsheets know
	// that the file is UTF-8.
	ForSpreadsheet bool
}

// WriteCSV writes a table by RFC 4180: header, commas, CRLF, quotation marks
// where needed, UTF-8. An empty cell is "not recorded". Numbers have a decimal
// point and all their digits, times are ISO 8601 in UTC, yes and no are TRUE and
// FALSE.
//
// Unless Raw, GuardFormula guards the texts; UnguardFormula undoes it.
func WriteCSV(w io.Writer, s Schema, t *Tables, o CSVOptions) error {
	if o.ForSpreadsheet {
		if _, err := io.WriteString(w, "\ufeff"); err != nil {
			return err
		}
	}
	cells := make([]string, len(s.Columns))
	for i, c := range s.Columns {
		cells[i] = c.Name
	}
	if err := writeRecord(w, cells); err != nil {
		return err
	}
	for row := range s.Len(t) {
		s.rows.render(t, row, cells)
		for i, c := range s.Columns {
			if c.Kind == KindText && !o.Raw {
				cells[i] = GuardFormula(cells[i])
			}
		}
		if err := writeRecord(w, cells); err != nil {
			return err
		}
	}
	return nil
}

// writeRecord writes one line by RFC 4180. Line breaks inside a cell stay as
// they are, which the standard library's writer would change.
func writeRecord(w io.Writer, cells []string) error {
	var line strings.Builder
	for i, cell := range cells {
		if i > 0 {
			line.WriteByte(',')
		}
		alone := len(cells) == 1 && cell == "" // an empty line would be no record
		if !alone && !strings.ContainsAny(cell, ",\"\r\n") && strings.TrimSpace(cell) == cell {
			line.WriteString(cell)
			continue
		}
		line.WriteByte('"')
		line.WriteString(strings.ReplaceAll(cell, `"`, `""`))
		line.WriteByte('"')
	}
	line.WriteString("\r\n")
	_, err := io.WriteString(w, line.String())
	return err
}

// GuardFormula puts an apostrophe before a text that a spreadsheet would take
// for a formula: one that begins with = + - @, a tab or a line break, or with the
// full-width form of such a sign. So that every text comes back unchanged, a
// text that begins with apostrophes before such a character gets one more.
func GuardFormula(s string) string {
	if guardable(s) {
		return "'" + s
	}
	return s
}

// UnguardFormula undoes GuardFormula.
func UnguardFormula(s string) string {
	if rest, found := strings.CutPrefix(s, "'"); found && guardable(rest) {
		return rest
	}
	return s
}

func guardable(s string) bool {
	for _, r := range strings.TrimLeft(s, "'") {
		return strings.ContainsRune("=+-@\t\r\n＝＋－＠", r)
	}
	return false
}

var plainNumber = regexp.MustCompile(`^[+-]?[0-9]+([.,][0-9]+)?$`)

func isPlainNumber(s string) bool { return plainNumber.MatchString(s) }
