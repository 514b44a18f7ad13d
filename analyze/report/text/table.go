package text

import (
	"fmt"
	"strings"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

const (
	gap      = 2  // columns between two columns
	fewest   = 14 // columns below which text is not squeezed
	headings = 12 // columns from which a heading wraps while there is room
)

// table writes a table as a grid where the width allows one, else row by row.
func (p *printer) table(t report.Table) {
	if t.Title != "" {
		for _, l := range wrap(p.clean(t.Title), p.o.Width) {
			p.line(p.paint(bold, l))
		}
	}
	if t.Note != "" {
		p.dim(t.Note)
	}
	if len(t.Rows) == 0 {
		p.line(indent + "none")
		return
	}
	all := len(t.Rows)
	if p.o.MaxRows > 0 && all > p.o.MaxRows {
		t.Rows = t.Rows[:p.o.MaxRows]
	}
	g := p.grid(t)
	if room := p.o.Width - len(indent); g.fit(room, headings) || g.fit(room, 0) {
		p.writeGrid(g)
	} else {
		p.blocks(t, g)
	}
	if len(t.Rows) < all {
		p.dim(fmt.Sprintf("%d of %d rows are shown here; the tables of the club hold them all.", len(t.Rows), all))
	}
}

// A grid is a table as characters: columns of cells, and how wide each column is.
type grid struct {
	heads   []string
	cells   [][]string // by column, then row
	numeric []bool
	widths  []int
}

func (p *printer) grid(t report.Table) *grid {
	g := &grid{}
	for j, c := range t.Columns {
		column := make([]report.Cell, len(t.Rows))
		for i, r := range t.Rows {
			column[i] = r[j]
		}
		cells := format.Column(column)
		for i := range cells {
			cells[i] = p.clean(cells[i])
		}
		g.heads = append(g.heads, p.clean(format.Heading(c)))
		g.cells = append(g.cells, cells)
		g.numeric = append(g.numeric, format.Numeric(c.Format))
	}
	return g
}

// fit settles the widths for a grid of at most w columns: text columns give way,
// the widest first, numbers never. Headings longer than head wrap at spaces. It
// reports whether that was enough.
func (g *grid) fit(w, head int) bool {
	total := gap * (len(g.heads) - 1)
	least := make([]int, len(g.heads))
	g.widths = make([]int, len(g.heads))
	for j, name := range g.heads {
		widest, word := 0, 0
		for _, c := range g.cells[j] {
			widest, word = max(widest, width(c)), max(word, longestWord(c))
		}
		headed := max(longestWord(name), min(width(name), head))
		g.widths[j] = max(widest, headed)
		least[j] = g.widths[j]
		if !g.numeric[j] {
			least[j] = min(g.widths[j], max(headed, fewest, min(word, 24)))
		}
		total += g.widths[j]
	}
	for ; total > w; total-- {
		widest := -1
		for j := range g.widths {
			if g.widths[j] > least[j] && (widest < 0 || g.widths[j] > g.widths[widest]) {
				widest = j
			}
		}
		if widest < 0 {
			return false
		}
		g.widths[widest]--
	}
	return true
}

func (p *printer) writeGrid(g *grid) {
	p.gridRow(g, func(j int) string { return g.heads[j] }, true, accent)
	rules := make([]string, len(g.widths))
	for j, w := range g.widths {
		rules[j] = strings.Repeat(p.glyphs.line, w)
	}
	p.line(indent + p.paint(faint, strings.Join(rules, strings.Repeat(" ", gap))))
	for i := range g.cells[0] {
		p.gridRow(g, func(j int) string { return g.cells[j][i] }, false, "")
	}
}

// gridRow writes one row of wrapped cells; headings stand at the bottom of
// theirs, cells at the top.
func (p *printer) gridRow(g *grid, cell func(j int) string, bottom bool, as style) {
	wrapped := make([][]string, len(g.widths))
	height := 0
	for j, w := range g.widths {
		wrapped[j] = wrap(cell(j), w)
		height = max(height, len(wrapped[j]))
	}
	for k := range height {
		var b strings.Builder
		b.WriteString(indent)
		for j, w := range g.widths {
			line := k
			if bottom {
				line = k - (height - len(wrapped[j]))
			}
			s := ""
			if line >= 0 {
				s = at(wrapped[j], line)
			}
			if g.numeric[j] {
				s = padLeft(s, w)
			} else {
				s = pad(s, w)
			}
			if as != "" {
				s = p.paint(as, s)
			}
			if j > 0 {
				b.WriteString(strings.Repeat(" ", gap))
			}
			b.WriteString(s)
		}
		p.line(b.String())
	}
}

// blocks writes each row as a heading made of its key columns, and a line for
// every other column that holds something.
func (p *printer) blocks(t report.Table, g *grid) {
	for i := range t.Rows {
		if i > 0 {
			p.line("")
		}
		var keys []string
		var rows [][2]string
		for j, c := range t.Columns {
			v := g.cells[j][i]
			switch {
			case c.Key && v != "":
				keys = append(keys, v)
			case v != "":
				rows = append(rows, [2]string{g.heads[j], v})
			}
		}
		head := strings.Join(keys, ", ")
		if head == "" {
			head = fmt.Sprintf("row %d", i+1)
		}
		for _, l := range wrap(head, p.o.Width-len(indent)) {
			p.line(indent + p.paint(bold, l))
		}
		p.pairs(indent+indent, rows)
	}
}
