package ingest

import (
	"regexp"
	"strings"

	"gravid/ingest/cell"
	"gravid/ingest/entry"
	"gravid/ingest/heading"
	"gravid/ingest/source"
)

// dated is a line that begins with a date and goes on in words.
var dated = regexp.MustCompile(`^\s*((?:[0-9]{1,4}[./-][0-9]{1,2}[./-][0-9]{2,4})|(?:[0-9]{1,2}\.?\s+\pL{3,10}\.?,?\s+[0-9]{4})|(?:\pL{3,10}\.?\s+[0-9]{1,2}(?:st|nd|rd|th)?,?\s+[0-9]{4}))\s*[:,;–-]?\s+(\S.*)$`)

// mostLines is how many lines of a diary without headings are read; keepers write
// fewer. Above its first entry stand no more than above headings (head).
const mostLines = 20000

// linesOfDiary reads a grid without headings as a diary in lines: each begins with a
// date, and what follows tells what happened. A line without a date goes on with the
// one before. It reports false where the lines are no diary.
func (t *table) linesOfDiary() (source.Grid, heading.Header, bool) {
	var titles, rows []source.Row
	var last *source.Cell // the entry that a line without a date goes on with
	n, told := 0, 0
	for r := range t.grid.Each {
		line := joinedCells(t.grid, r.Cells)
		m := dated.FindStringSubmatch(line)
		switch {
		case len(rows) > mostLines, len(titles) > head:
			return source.Grid{}, heading.Header{}, false
		case m != nil:
			n++
			if len(entry.Parse(m[2], t.entryOptions(cell.Open)).Events) > 0 {
				told++
			}
			rows = append(rows, source.Row{Number: r.Number, Hidden: r.Hidden, Cells: []source.Cell{{Kind: source.Text, Text: m[1]}, {Kind: source.Text, Text: m[2]}}})
			last = &rows[len(rows)-1].Cells[1]
		case len(rows) == 0:
			titles = append(titles, source.Row{Number: r.Number, Cells: append([]source.Cell(nil), r.Cells...)})
		case strings.TrimSpace(line) != "":
			last.Text += "\n" + strings.TrimSpace(line)
			rows = append(rows, source.Row{Number: r.Number}) // counted as blank: its text stands above
		default:
			rows = append(rows, source.Row{Number: r.Number})
		}
	}
	if n < 3 || float64(told) < entriesFloor*float64(n) {
		return source.Grid{}, heading.Header{}, false
	}
	g := *t.grid
	g.Merges = nil
	g.Each = func(yield func(source.Row) bool) {
		for _, list := range [][]source.Row{titles, rows} {
			for _, r := range list {
				if !yield(r) {
					return
				}
			}
		}
	}
	h := heading.Header{First: rows[0].Number, Titles: heading.Titles(titles), Columns: []heading.Column{
		{At: 0, Text: "date", Field: heading.Date}, {At: 1, Text: "entry", Field: heading.Action}}}
	return g, h, true
}

// joinedCells is a row as it stood in its file, as far as its cells tell.
func joinedCells(g *source.Grid, cells []source.Cell) string {
	var parts []string
	for _, c := range cells {
		parts = append(parts, c.Text)
	}
	between := " "
	if g.Text && g.Delimiter != "" && g.Delimiter != "\t" {
		between = g.Delimiter
	}
	return strings.TrimRight(strings.Join(parts, between), " "+between)
}
