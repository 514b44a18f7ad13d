package workbook

import (
	"fmt"
	"math"
	"strings"

	"github.com/xuri/excelize/v2"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

// section lays out the sheet of one section: title, answer, prose, charts and
// tables; then, outside the printed part, the charts' numbers and the blocks that
// the charts are drawn from.
func (b *book) section(s *sheet, sec report.Section, guide string) {
	tables, own := append([]report.Table{}, sec.Tables...), 0
	for _, f := range sec.Figures {
		if n := format.Numbers(f); len(n.Rows) > 0 {
			tables = append(tables, n)
		}
	}
	grids := make([]*grid, len(tables))
	for i, t := range tables {
		grids[i] = layGrid(t)
		most := float64(widestCol)
		if i > 0 { // the first table settles the columns, the others wrap
			most = 16
		}
		grids[i].widen(s, most)
		if i < len(sec.Tables) {
			own = max(own, len(grids[i].columns))
		}
	}
	if len(grids) > 0 {
		grids[0].fill(s)
	}
	s.across, _ = s.span(proseSize)
	s.across = max(s.across, own)
	for len(sec.Figures) > 0 && s.pixelsTo(s.across) < chartWidth {
		s.across++
	}
	b.anchors[sec.ID] = spot{s.name, 1}
	s.top(sec.Title, guide)
	s.prose(sec.Lead, look{role: answer}, 11)
	for _, p := range sec.Paragraphs {
		s.prose(p, look{role: prose}, 10)
	}
	for i := range sec.Figures {
		b.anchors[sec.ID+"/"+sec.Figures[i].ID] = spot{s.name, s.next + 1}
		s.figure(sec.Figures[i])
	}
	for i, t := range tables {
		if i == len(sec.Tables) {
			s.endPrint("The numbers of the charts (not printed)")
		}
		b.anchors[sec.ID+"/"+t.ID] = spot{s.name, s.next + 1}
		s.table(t, grids[i], tableName(sec.ID, t.ID))
	}
	s.freeze(len(sec.Figures) == 0 && len(sec.Tables) == 1, grids)
	s.aids()
}

// top writes a sheet's title and the way back to the guide.
func (s *sheet) top(name, guide string) {
	s.put(1, 1, text(name), look{role: title})
	s.heights[1] = 26
	if guide != "" {
		s.cells = append(s.cells, placed{row: 2, col: 1, value: text("‹ " + guide), look: look{role: back, link: true}, to: guide})
		s.next = 4
		return
	}
	s.next = 2
}

// freeze keeps a table's header in view where the sheet holds nothing but that
// table and little stands above it, else the title alone.
func (s *sheet) freeze(alone bool, grids []*grid) {
	s.frozen = [2]int{1, 0}
	if !alone || grids[0].row == 0 {
		return
	}
	above := 0.0
	for r := 1; r <= grids[0].row; r++ {
		above += max(s.heights[r], rowSize)
	}
	s.repeat = grids[0].row
	if above <= 240 {
		s.frozen = [2]int{grids[0].row, grids[0].keys}
	}
}

// A grid is a table as a sheet holds it: headers, and columns of values with one
// look each. A column of numbers with remarks gets a column for these beside it.
type grid struct {
	columns []gridColumn
	rows    int
	left    int // rows that found no room
	row     int // of the header, once laid out; 0 where there are no rows
	keys    int // columns that name the row, at the left
}

type gridColumn struct {
	name   string
	help   string
	look   look
	values []value
	links  []string // nil where there is none
	wide   float64  // characters
}

func layGrid(t report.Table) *grid {
	g := &grid{rows: min(len(t.Rows), maxRows)}
	g.left = len(t.Rows) - g.rows
	names := map[string]bool{}
	leading := true
	for j, c := range t.Columns {
		cells := make([]report.Cell, g.rows)
		for i := range cells {
			cells[i] = t.Rows[i][j]
		}
		leading = leading && c.Key && j < 3
		if leading {
			g.keys = j + 1
		}
		g.add(names, gridColumn{name: format.Heading(c), help: unescapable(cellText(c.Help)), look: columnLook(c.Format, cells)}, cells)
		if c.Format != report.Text && hasRemarks(cells) {
			g.add(names, gridColumn{name: format.Heading(c) + ", remark"}, remarks(cells))
		}
	}
	return g
}

// add adds a column under a name that no other has: tables want their headers
// filled and unlike, whatever the case.
func (g *grid) add(names map[string]bool, c gridColumn, cells []report.Cell) {
	c.name = unlike(names, unescapable(cellText(c.name)), len(g.columns)+1)
	c.wide = math.Max(headWidth(c.name), 8)
	c.values = make([]value, len(cells))
	for i, cell := range cells {
		v, wide := cellValue(cell)
		c.values[i] = v
		c.wide = math.Max(c.wide, math.Min(wide+3, widestCol))
		if cell.Link != "" {
			if c.links == nil {
				c.links = make([]string, len(cells))
			}
			c.links[i] = cell.Link
		}
	}
	g.columns = append(g.columns, c)
}

func unlike(names map[string]bool, name string, number int) string {
	if name == "" {
		name = fmt.Sprintf("Column %d", number)
	}
	base := cut(name, 240) // table columns are named with at most 255 units
	name = base
	for n := 2; names[strings.ToLower(name)]; n++ {
		name = fmt.Sprintf("%s (%d)", base, n)
	}
	names[strings.ToLower(name)] = true
	return name
}

const (
	boldly   = 1.1 // how much wider bold letters are
	headRoom = 4.5 // characters beside a header's text, for the filter's button
)

// headWidth is how wide a header wants to be: its longest word, or half of it
// where it is long, and room for the filter button.
func headWidth(name string) float64 {
	longest := 0.0
	for w := range strings.FieldsSeq(name) {
		longest = max(longest, textWidth(w))
	}
	return math.Min(math.Max(longest, textWidth(name)/2)*boldly+headRoom, 26)
}

// cellValue is a cell's value and about how many characters wide it shows. A
// number that is not known leaves the cell empty; an unbounded one is written in
// words.
func cellValue(c report.Cell) (value, float64) {
	nothing := value{number: math.NaN()}
	switch {
	case c.Format == report.Text:
		v := text(c.Text)
		return v, textWidth(v.text)
	case c.Empty:
		return nothing, 0
	case c.Format == report.Day:
		if n, ok := serial(c.Time); ok {
			return value{number: n}, 10
		}
		return text(c.Time.Format("2006-01-02")), 10
	case c.Format == report.Yes || math.IsInf(c.Number, 0):
		v := text(format.Number(c.Format, c.Number))
		return v, textWidth(v.text)
	case math.IsNaN(c.Number):
		return nothing, 0
	}
	return value{number: c.Number}, textWidth(format.Number(c.Format, c.Number)) + 1
}

func hasRemarks(cells []report.Cell) bool {
	for _, c := range cells {
		if c.Text != "" && c.Format != report.Text {
			return true
		}
	}
	return false
}

func remarks(cells []report.Cell) []report.Cell {
	out := make([]report.Cell, len(cells))
	for i, c := range cells {
		if c.Format != report.Text {
			out[i] = report.T(c.Text)
		}
	}
	return out
}

// columnLook chooses a column's number format, so that the program shows what
// package format would.
func columnLook(f report.Format, cells []report.Cell) look {
	l := look{}
	if format.Numeric(f) {
		l.side = right
	}
	switch f {
	case report.Whole:
		l.number = "#,##0"
	case report.Per100:
		l.number = "0"
	case report.Share:
		l.number = "[=0]0 %;[<0.01]0.0 %;0 %"
	case report.P:
		l.number = `[<0.001]"< 0.001";[<0.0995]0.000;0.00`
	case report.Day:
		l.number = "yyyy-mm-dd"
	case report.Decimal:
		l.number = decimalFormat(cells)
	case report.Ratio:
		l.number = "[<0.995]0.00;[<9.95]0.0;0"
		if smallest(cells) < 0.0995 {
			l.number = `[<0.0995]0.000;[<0.995]0.00;0.0`
		}
	}
	return l
}

// decimalFormat shows a column of measured numbers with as many decimals as the
// larger ones need; numbers below 0.1 keep two figures of their own, where the
// column has none below 0 (number formats know two conditions, not three).
func decimalFormat(cells []report.Cell) string {
	var large, all []report.Cell
	negative := false
	for _, c := range cells {
		if c.Empty || math.IsInf(c.Number, 0) {
			continue
		}
		all = append(all, c)
		negative = negative || c.Number < 0
		if math.Abs(c.Number) >= 0.0995 {
			large = append(large, c)
		}
	}
	small := smallest(all)
	switch {
	case negative || small >= 0.0995:
		return fixedFormat(format.Places(all))
	case small < 0.00095:
		return "[=0]0;[<0.0995]0.0E+00;" + fixedFormat(format.Places(large))
	}
	return "[=0]0;[<0.0995]0.0000;" + fixedFormat(format.Places(large))
}

func fixedFormat(places int) string {
	if places == 0 {
		return "#,##0"
	}
	return "#,##0." + strings.Repeat("0", places)
}

// smallest is the smallest number above 0 of a column; +Inf where there is none.
func smallest(cells []report.Cell) float64 {
	x := math.Inf(1)
	for _, c := range cells {
		if !c.Empty && c.Number > 0 {
			x = math.Min(x, c.Number)
		}
	}
	return x
}

// widen makes room for the grid's columns, each at most so many characters wide
// on its account.
func (g *grid) widen(s *sheet, most float64) {
	for j, c := range g.columns {
		s.widen(j+1, math.Min(c.wide, most))
	}
}

// fill gives what the columns of a narrow table leave of the width of prose to the last
// column, where its text would wrap.
func (g *grid) fill(s *sheet) {
	last := len(g.columns)
	if last == 0 || g.columns[last-1].wide < widestCol {
		return
	}
	taken := 0.0
	for col := 1; col <= last; col++ {
		taken += s.width(col)
	}
	if left := proseSize - taken; left > 0 {
		s.widths[last] = math.Round((s.width(last)+left)*10) / 10
	}
}

// table lays out a titled table from the row after the next.
func (s *sheet) table(t report.Table, g *grid, name string) {
	s.next++
	if len(s.charts) > 0 && s.printed == 0 {
		s.keepTogether(7 * rowPixels)
	}
	s.prose(t.Title, look{role: heading}, 12)
	s.prose(t.Note, look{role: caption}, 9)
	if g.left > 0 {
		s.prose(fmt.Sprintf("The first %d of %d rows: a sheet can hold no more; the club's tables hold them all.", g.rows, g.rows+g.left), look{role: caption}, 9)
	}
	if g.rows == 0 || len(g.columns) == 0 {
		s.prose("Nothing to list.", look{role: caption}, 9)
		return
	}
	g.row = s.next
	tall := 1
	for j, c := range g.columns {
		s.put(g.row, j+1, text(c.name), look{role: header, side: c.look.side})
		tall = max(tall, lines(c.name, (s.width(j+1)-headRoom)/boldly))
		if c.help != "" {
			s.notes = append(s.notes, excelize.Comment{Cell: cellName(g.row, j+1), Text: c.help})
		}
	}
	s.heights[g.row] = float64(tall)*lineSize + 6
	for i := range g.rows {
		s.gridRow(g, i)
	}
	s.next = g.row + 1 + g.rows
	stripes := false
	s.tables = append(s.tables, excelize.Table{
		Name: name, Range: cellName(g.row, 1) + ":" + cellName(g.row+g.rows, len(g.columns)), ShowRowStripes: &stripes,
	})
}

func (s *sheet) gridRow(g *grid, i int) {
	row, tall := g.row+1+i, 1
	for j, c := range g.columns {
		l := c.look
		v := c.values[i]
		if v.text != "" && l.number != "" {
			l.number = "" // words among numbers
		}
		if c.links != nil {
			s.putLink(row, j+1, v, l, c.links[i])
		} else {
			s.put(row, j+1, v, l)
		}
		if v.text != "" {
			tall = max(tall, lines(v.text, s.width(j+1)-2))
		}
	}
	if tall > 1 {
		s.heights[row] = math.Min(float64(tall)*lineSize, tallest)
	}
}
