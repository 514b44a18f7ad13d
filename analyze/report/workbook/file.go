package workbook

import (
	"encoding/xml"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

// file makes the file that a layout describes.
func (b *book) file() (*excelize.File, error) {
	f := excelize.NewFile()
	w := &writer{book: b, f: f, styles: map[look]int{}}
	w.defaultFont()
	for i, s := range b.sheets {
		w.do(w.newSheet(i, s.name))
	}
	for _, s := range b.sheets {
		w.sheet(s)
	}
	for _, n := range b.definedNames() {
		w.do(f.SetDefinedName(&n))
	}
	f.SetActiveSheet(0)
	w.do(f.SetAppProps(&excelize.AppProperties{Application: "gravid"}))
	if w.err != nil {
		f.Close()
		return nil, fmt.Errorf("workbook: %w", w.err)
	}
	return f, nil
}

// A writer carries a layout out. It keeps the first error and does nothing after.
type writer struct {
	*book
	f      *excelize.File
	styles map[look]int
	err    error
}

func (w *writer) do(err error) {
	if w.err == nil {
		w.err = err
	}
}

func (w *writer) newSheet(i int, name string) error {
	if i == 0 {
		return w.f.SetSheetName(w.f.GetSheetName(0), name)
	}
	_, err := w.f.NewSheet(name)
	return err
}

func (w *writer) style(l look) int {
	id, known := w.styles[l]
	if !known && w.err == nil {
		var err error
		id, err = w.f.NewStyle(l.style())
		w.do(err)
		w.styles[l] = id
	}
	return id
}

// defaultFont sets the face that column widths are counted in.
func (w *writer) defaultFont() {
	w.do(w.f.SetDefaultFont(face))
	if w.err == nil {
		*w.f.Styles.Fonts.Font[0].Sz.Val = 10
	}
}

// sheet writes one sheet. Widths and heights come before the charts, whose place
// the library works out from them.
func (w *writer) sheet(s *sheet) {
	fit, lines, height := true, false, rowSize
	w.do(w.f.SetSheetProps(s.name, &excelize.SheetPropsOptions{FitToPage: &fit, DefaultRowHeight: &height, CustomHeight: &fit}))
	w.do(w.f.SetSheetView(s.name, 0, &excelize.ViewOptions{ShowGridLines: &lines}))
	last := s.lastColumn()
	for col := range s.widths { // those of tables that are not printed
		last = max(last, col)
	}
	for col := 1; col <= last; col++ {
		name, err := excelize.ColumnNumberToName(col)
		w.do(err)
		w.do(w.f.SetColWidth(s.name, name, name, s.width(col)))
	}
	w.cells(s)
	for _, row := range slices.Sorted(maps.Keys(s.heights)) {
		w.do(w.f.SetRowHeight(s.name, row, s.heights[row]))
	}
	for _, m := range s.merged {
		w.do(w.f.MergeCell(s.name, m[0], m[1]))
	}
	for i := range s.tables {
		w.do(w.f.AddTable(s.name, &s.tables[i]))
	}
	for _, n := range s.notes {
		w.note(s.name, n)
	}
	for _, d := range s.charts {
		w.do(w.f.AddChart(s.name, cellName(d.row, 1), d.chart(s.name)))
	}
	rows, cols := 1, 1
	for _, c := range s.cells {
		rows, cols = max(rows, c.row), max(cols, c.col)
	}
	w.do(w.f.SetSheetDimension(s.name, "A1:"+cellName(rows, cols)))
	w.freeze(s)
	w.print(s)
}

func (w *writer) cells(s *sheet) {
	for _, c := range s.cells {
		name := cellName(c.row, c.col)
		id := w.style(c.look)
		switch {
		case c.text != "":
			w.do(w.f.SetCellStr(s.name, name, escaped(c.text)))
		case !math.IsNaN(c.number):
			w.do(w.f.SetCellFloat(s.name, name, c.number, -1, 64))
		}
		w.do(w.f.SetCellStyle(s.name, name, name, id))
		if w.err != nil {
			return
		}
	}
}

// note adds a note to a header, as large as its text needs.
func (w *writer) note(sheet string, n excelize.Comment) {
	high := 1 + lines(n.Text, 32)
	n.Author, n.Width, n.Height = " ", 240, uint(18*min(high, 20)+6)
	n.Paragraph = []excelize.RichTextRun{{Text: n.Text, Font: &excelize.Font{Family: face, Size: 9, Color: ink}}}
	n.Text = ""
	w.do(w.f.AddComment(sheet, n))
}

func (w *writer) freeze(s *sheet) {
	rows, cols := s.frozen[0], s.frozen[1]
	corner := cellName(rows+1, cols+1)
	pane := "bottomLeft"
	if cols > 0 {
		pane = "bottomRight"
	}
	w.do(w.f.SetPanes(s.name, &excelize.Panes{
		Freeze: true, XSplit: cols, YSplit: rows, TopLeftCell: corner, ActivePane: pane,
		Selection: []excelize.Selection{{SQRef: corner, ActiveCell: corner, Pane: pane}},
	}))
}

// print sets a sheet up for A4, lying, as wide as the page.
func (w *writer) print(s *sheet) {
	paper, lying, wide, high := 9, "landscape", 1, 0
	w.do(w.f.SetPageLayout(s.name, &excelize.PageLayoutOptions{Size: &paper, Orientation: &lying, FitToWidth: &wide, FitToHeight: &high}))
	side, end, edge := 0.5, 0.7, 0.3
	w.do(w.f.SetPageMargins(s.name, &excelize.PageLayoutMarginsOptions{Left: &side, Right: &side, Top: &end, Bottom: &end, Header: &edge, Footer: &edge}))
	plain := strings.ReplaceAll(cut(w.title, 80), "&", "&&")
	w.do(w.f.SetHeaderFooter(s.name, &excelize.HeaderFooterOptions{OddHeader: "&L&8" + spaced(plain) + "&R&8&A", OddFooter: "&C&8&P / &N"}))
	for _, row := range s.breaks {
		w.do(w.f.InsertPageBreak(s.name, cellName(row, 1)))
	}
}

// definedNames are the names by which the format knows print titles and areas.
func (b *book) definedNames() (out []excelize.DefinedName) {
	for _, s := range b.sheets {
		if s.repeat > 0 {
			out = append(out, excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: s.name,
				RefersTo: fmt.Sprintf("%s!$%d:$%d", quoted(s.name), s.repeat, s.repeat)})
		}
		if s.printed > 0 {
			out = append(out, excelize.DefinedName{Name: "_xlnm.Print_Area", Scope: s.name,
				RefersTo: absolute(s.name, 1, 1, s.printed, s.lastColumn())})
		}
	}
	return out
}

// spaced keeps a title that begins with a digit apart from the font size before it.
func spaced(s string) string {
	if s != "" && s[0] >= '0' && s[0] <= '9' {
		return " " + s
	}
	return s
}

// lastColumn is the last column that is printed: that tables, prose or charts lie over.
func (s *sheet) lastColumn() int {
	if s.across > 0 {
		return s.across
	}
	last, _ := s.span(proseSize)
	for _, c := range s.cells {
		if c.look.role != aid {
			last = max(last, c.col)
		}
	}
	for col := range s.widths {
		last = max(last, col)
	}
	wide := 0.0
	for col := 1; wide <= chartWidth && len(s.charts) > 0; col++ {
		wide += s.width(col) * 8 // as the library counts
		last = max(last, col)
	}
	return last
}

// edits are the changes to parts of the file that the library has no option for.
func (b *book) edits(o Options) map[string]edit {
	out := map[string]edit{"docProps/core.xml": func([]byte) ([]byte, error) { return b.properties(o), nil }}
	n := 0
	for _, s := range b.sheets {
		for _, d := range s.charts {
			n++
			out[fmt.Sprintf("xl/charts/chart%d.xml", n)] = d.edit
		}
	}
	b.linkEdits(out)
	return out
}

// properties are the file's properties: what the options say and no more. (The
// library would keep a date and a name of its own.)
func (b *book) properties(o Options) []byte {
	var p strings.Builder
	p.WriteString(xml.Header + `<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:dcterms="http://purl.org/dc/terms/" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">`)
	fmt.Fprintf(&p, "<dc:title>%s</dc:title>", attribute(b.title))
	if creator := cellText(o.Creator); creator != "" {
		fmt.Fprintf(&p, "<dc:creator>%s</dc:creator>", attribute(creator))
	}
	if !o.Made.IsZero() {
		made := o.Made.UTC().Format(time.RFC3339)
		for _, name := range []string{"created", "modified"} {
			fmt.Fprintf(&p, `<dcterms:%s xsi:type="dcterms:W3CDTF">%s</dcterms:%s>`, name, made, name)
		}
	}
	p.WriteString("</cp:coreProperties>")
	return []byte(p.String())
}
