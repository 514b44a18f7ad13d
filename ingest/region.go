package ingest

import (
	"slices"
	"strings"
	"unicode"

	"gravid/ingest/heading"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// A region is the part of a grid that holds one table. Its grid keeps the numbers
// of rows and the places of columns of the whole, but for a turned one: there the
// rows of the table are the columns of the grid.
type region struct {
	grid        source.Grid
	first, last int          // rows of the grid
	column      int          // first column, of tables side by side
	turned      bool         // the headings stand in the first column
	titles      []source.Row // above a turned table
	whole       *source.Grid // that the region is a part of
	alone       bool         // the only table of its grid
	noLog       bool         // the grid says of itself that it is no log
}

// Turned tables are held in memory, so both sides have an end.
const mostTurnedRows, mostTurnedColumns = 400, 5000

// regions takes a grid apart into its tables: those that stand below each other,
// each with headings of its own, and those that stand side by side with an empty
// column between them. A grid that is one table, or none, is one region.
func regions(g *source.Grid, own heading.Counter, turn bool) []region {
	var out []region
	for _, s := range stacks(g, own) {
		out = append(out, s.sides(own)...)
	}
	if len(out) == 1 {
		if t, ok := out[0].turn(own, turn); ok {
			out[0] = t
		}
	}
	for i := range out {
		out[i].alone = len(out) == 1
	}
	return out
}

// stacks finds the tables that stand below each other. A row is the beginning of
// another table when it holds headings that are not those of the table before, or the
// same below a title of their own, and that table had rows.
func stacks(g *source.Grid, own heading.Counter) []region {
	var starts []int
	var heads []string // of the table before
	last, blankAfter, body, before := 0, 0, 0, 0
	titled := false // words stand alone since the last row of several cells
	for r := range g.Each {
		if g.Wordless > 0 && r.Number >= g.Wordless {
			break // no more headings
		}
		n := filled(r.Cells)
		switch {
		case n == 0:
			if blankAfter == 0 {
				blankAfter = r.Number
			}
		case n > 1 && (before < 2 || wordsFirst(r.Cells)) && holdsHeadings(r.Cells, own, before < 2):
			now := foldedHeads(r.Cells)
			if same := sameHeads(heads, now); heads != nil && body > 0 && (!same || titled) {
				start := last + 1
				if blankAfter > 0 && !same {
					start = blankAfter + 1
				}
				starts = append(starts, start)
				body = 0
			}
			if heads == nil || body == 0 {
				heads = now
			}
			last, blankAfter, titled = r.Number, 0, false
		case n > 1:
			body++
			last, blankAfter, titled = r.Number, 0, false
		default:
			titled = titled || aTitle(r.Cells)
		}
		before = n
	}
	if len(starts) == 0 {
		return []region{{grid: *g, whole: g, first: 1, last: int(^uint(0) >> 1)}}
	}
	var out []region
	from := 1
	for _, start := range append(starts, int(^uint(0)>>1)) {
		part := *g
		part.Each = between(g, from, start-1)
		out = append(out, region{grid: part, whole: g, first: from, last: start - 1})
		from = start
	}
	return out
}

// aTitle reports whether the only cell of a row is words.
func aTitle(cells []source.Cell) bool {
	i := slices.IndexFunc(cells, func(c source.Cell) bool { return c.Kind != source.Blank })
	return i >= 0 && cells[i].Kind == source.Text && strings.ContainsFunc(cells[i].Text, unicode.IsLetter)
}

// between gives the rows of a grid from one number to another.
func between(g *source.Grid, from, to int) func(func(source.Row) bool) {
	return func(yield func(source.Row) bool) {
		for r := range g.Each {
			if r.Number > to {
				return
			}
			if r.Number >= from && !yield(r) {
				return
			}
		}
	}
}

func filled(cells []source.Cell) int {
	n := 0
	for _, c := range cells {
		if c.Kind != source.Blank {
			n++
		}
	}
	return n
}

// wordsFirst reports whether the first cell of a row is words without a digit, as
// headings are and most records are not.
func wordsFirst(cells []source.Cell) bool {
	for _, c := range cells {
		if c.Kind != source.Blank {
			return c.Kind == source.Text && !strings.ContainsAny(c.Text, "0123456789")
		}
	}
	return false
}

// holdsHeadings reports whether a row can be headings: two known ones, and half of
// all; three and two thirds where nothing sets the row apart from the one before.
func holdsHeadings(cells []source.Cell, own heading.Counter, apart bool) bool {
	known, all := own.Count(cells)
	if apart {
		return known >= 2 && 2*known >= all
	}
	return known >= 3 && 3*known >= 2*all
}

func foldedHeads(cells []source.Cell) []string {
	out := make([]string, len(cells))
	for i, c := range cells {
		out[i] = strings.ToLower(strings.TrimSpace(c.Text))
	}
	return out
}

// sameHeads reports whether most of the headings stand again in the same places.
func sameHeads(a, b []string) bool {
	same, all := 0, 0
	for i, text := range b {
		if text == "" {
			continue
		}
		all++
		if i < len(a) && a[i] == text {
			same++
		}
	}
	return 2*same > all
}

// firstRows are the rows at the head of the region, as far as headings can stand.
func (s region) firstRows() []source.Row {
	var out []source.Row
	for r := range s.grid.Each {
		r.Cells = slices.Clone(r.Cells)
		out = append(out, r)
		if len(out) == head {
			break
		}
	}
	return out
}

// mostHeadings is the largest number of known headings in a row at the head of the
// region.
func (s region) mostHeadings(own heading.Counter) int {
	most := 0
	for _, r := range s.firstRows() {
		known, _ := own.Count(r.Cells)
		most = max(most, known)
	}
	return most
}

// sides takes a region apart where an empty column parts two tables: at least two
// of the headings stand on both sides of it.
func (s region) sides(own heading.Counter) []region {
	rows := s.firstRows()
	at := slices.IndexFunc(rows, func(r source.Row) bool { return holdsHeadings(r.Cells, own, true) })
	if at < 0 {
		return []region{s}
	}
	heads := foldedHeads(rows[at].Cells)
	for gap := range heads {
		if gap < 2 || heads[gap] != "" || !emptyColumn(rows, gap) {
			continue
		}
		shared := 0
		for _, text := range heads[gap+1:] {
			if text != "" && slices.Contains(heads[:gap], text) {
				shared++
			}
		}
		if shared < 2 {
			continue
		}
		left, right := s, s
		left.grid.Each, right.grid.Each = s.columns(0, gap), s.columns(gap+1, int(^uint(0)>>1))
		right.column = max(s.column, gap+1)
		return append([]region{left}, right.sides(own)...)
	}
	return []region{s}
}

func emptyColumn(rows []source.Row, at int) bool {
	return !slices.ContainsFunc(rows, func(r source.Row) bool {
		return at < len(r.Cells) && r.Cells[at].Kind != source.Blank && filled(r.Cells) > 1
	})
}

// columns gives the rows with nothing but some of their columns, each in its place.
// What stands alone in a row, such as a title, goes with the first.
func (s region) columns(from, to int) func(func(source.Row) bool) {
	return func(yield func(source.Row) bool) {
		for r := range s.grid.Each {
			cells := r.Cells
			if from > 0 {
				cells = slices.Clone(cells)
				for i := range min(from, len(cells)) {
					cells[i] = source.Cell{}
				}
			}
			r.Cells = cells[:min(to, len(cells))]
			if !yield(r) {
				return
			}
		}
	}
}

// turn exchanges rows and columns of a region that has its headings down the first
// column. It reports false where that column holds none.
func (s region) turn(own heading.Counter, forced bool) (region, bool) {
	var rows []source.Row
	for r := range s.grid.Each {
		if len(rows) == mostTurnedRows || len(r.Cells) > mostTurnedColumns {
			return s, false
		}
		r.Cells = slices.Clone(r.Cells)
		rows = append(rows, r)
	}
	if len(rows) == 0 {
		return s, false
	}
	at := slices.IndexFunc(rows, func(r source.Row) bool { return filled(r.Cells) > 1 })
	if at < 0 {
		return s, false
	}
	body := rows[at:]
	var heads []source.Cell
	width := 0
	for _, r := range body {
		x := source.Cell{}
		if len(r.Cells) > 0 {
			x = r.Cells[0]
		}
		heads = append(heads, x)
		width = max(width, len(r.Cells))
	}
	if known, all := own.Count(heads); !forced && (known < 3 || 2*known < all || known <= s.mostHeadings(own)) {
		return s, false
	}
	turned := make([]source.Row, width)
	for i := range turned {
		turned[i].Number = i + 1
		for _, r := range body {
			x := source.Cell{}
			if i < len(r.Cells) {
				x = r.Cells[i]
			}
			turned[i].Cells = append(turned[i].Cells, x)
		}
	}
	s.turned, s.titles, s.first, s.last = true, rows[:at], body[0].Number, body[len(body)-1].Number
	s.grid.Merges, s.grid.HiddenColumns = nil, nil
	s.grid.Each = slices.Values(turned)
	return s, true
}

// place puts a place of a turned table where it is in the file.
func (s region) place(p problem.Place) problem.Place {
	row, column := p.Row, p.Column
	p.Row, p.Column = s.first, ""
	if column != "" {
		p.Row = s.first + source.ColumnIndex(column)
	}
	if row > 0 {
		p.Column = source.ColumnName(row - 1)
	}
	return p
}
