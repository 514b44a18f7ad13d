package workbook

import (
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"

	"github.com/xuri/excelize/v2"

	"gravid/analyze/report"
)

// A book is a workbook laid out: what stands in which cell of which sheet.
type book struct {
	title   string
	sheets  []*sheet
	anchors map[string]spot // by report.Target.Anchor
}

// A spot is a cell of a sheet.
type spot struct {
	sheet string
	row   int
}

// A sheet is one sheet laid out. Rows and columns count from 1.
type sheet struct {
	name    string
	next    int             // the next free row
	widths  map[int]float64 // of columns, in characters
	heights map[int]float64 // of rows, in points
	cells   []placed
	merged  [][2]string
	tables  []excelize.Table
	charts  []*drawing
	notes   []excelize.Comment
	breaks  []int  // rows that begin a printed page
	frozen  [2]int // rows and columns that stay in view
	repeat  int    // the row repeated on each printed page; 0 for none
	links   int
	printed int // the last row that is printed; 0 means all
	across  int // columns that are printed; 0 means all
}

// A value is what a cell holds: a text, or a number where text is empty and
// number is not NaN, else nothing.
type value struct {
	text   string
	number float64
}

type placed struct {
	row, col int
	value
	look look
	link string // a report.Cell's link that may be followed; empty for none
	to   string // the sheet of this book that the cell leads to; empty for none
}

const (
	maxLinks  = 65000 // spreadsheet programs refuse a sheet with more than 65,530
	maxRows   = 1_000_000
	lineSize  = 14.5 // points from one line of 10 point text to the next
	rowSize   = 15.0 // points: the height of a row of one line
	rowPixels = 20   // the same in pixels
	tallest   = 200  // points: no wrapped row is higher
	proseSize = 105  // characters: the width that prose is merged over
	widestCol = 44   // characters
)

func newSheet(name string) *sheet {
	return &sheet{name: name, next: 1, widths: map[int]float64{}, heights: map[int]float64{}}
}

func text(s string) value { return value{text: cellText(s), number: math.NaN()} }

func (s *sheet) put(row, col int, v value, l look) {
	s.cells = append(s.cells, placed{row: row, col: col, value: v, look: l})
}

// putLink is put for a cell that leads somewhere. A link that may not be followed,
// or that would be one too many, is left out; the text stays.
func (s *sheet) putLink(row, col int, v value, l look, link string) {
	if _, err := report.ParseLink(link); link == "" || err != nil || s.links >= maxLinks {
		s.put(row, col, v, l)
		return
	}
	s.links++
	l.link = true
	s.cells = append(s.cells, placed{row: row, col: col, value: v, look: l, link: link})
}

// width is a column's width in characters.
func (s *sheet) width(col int) float64 {
	if w, set := s.widths[col]; set {
		return w
	}
	return 11
}

// widen makes a column at least w characters wide.
func (s *sheet) widen(col int, w float64) {
	w = math.Min(math.Max(s.width(col), w), widestCol)
	s.widths[col] = math.Round(w*10) / 10
}

// span is how many columns make up at least w characters, and how many they make.
func (s *sheet) span(w float64) (cols int, chars float64) {
	for chars < w {
		cols++
		chars += s.width(cols)
	}
	return cols, chars
}

// prose writes text over the width that prose takes, as many lines high as it
// needs, and goes to the next row.
func (s *sheet) prose(str string, l look, size float64) {
	if strings.TrimSpace(str) == "" {
		return
	}
	v := text(str)
	cols, chars := s.span(proseSize)
	s.put(s.next, 1, v, l)
	if cols > 1 {
		s.merged = append(s.merged, [2]string{cellName(s.next, 1), cellName(s.next, cols)})
	}
	if l.role == answer || l.role == heading {
		chars /= 1.08 // bold runs wide
	}
	s.heights[s.next] = math.Min(math.Max(float64(lines(v.text, chars*10/size))*size*1.4+3, rowSize), 400)
	s.next++
}

// lines is how many lines a text takes in a column of w characters.
func lines(s string, w float64) int {
	n, used := 1, 0.0
	for word := range strings.FieldsSeq(s) {
		l := textWidth(word)
		switch {
		case used == 0:
			used = l
		case used+spaceWidth+l <= w:
			used += spaceWidth + l
			continue
		default:
			n, used = n+1, l
		}
		if used > w { // a word longer than the line goes on
			extra := math.Ceil(used/w) - 1
			n += int(extra)
			used -= extra * w
		}
	}
	return n
}

const spaceWidth = 0.53

// textWidth is about how wide a text in the book's face at 10 points is, in the
// characters that column widths are counted in.
func textWidth(s string) (w float64) {
	for _, r := range s {
		switch {
		case strings.ContainsRune("ijlI.,:;'|! ", r):
			w += 0.5
		case strings.ContainsRune("ftr()[]{}-/\"", r):
			w += 0.6
		case strings.ContainsRune("mwMW%@", r):
			w += 1.6
		case r < 0x80 && unicode.IsUpper(r):
			w += 1.32
		case r < 0x1100:
			w += 1.05
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		default:
			w += 2
		}
	}
	return w
}

// pixels is a column's width on the screen.
func (s *sheet) pixels(col int) int { return int(s.width(col)*7 + 5) }

// serial is a date as spreadsheets count days; false for dates they cannot hold.
func serial(t time.Time) (float64, bool) {
	day := time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
	n := day.Sub(time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)).Hours() / 24
	return n, t.Year() < 10000 && n > 60 // earlier days are counted wrongly by custom
}

// plan lays a document out.
func plan(d *report.Document) (*book, error) {
	if err := d.Validate(); err != nil {
		return nil, err
	}
	titles := []string{guideName}
	for _, s := range d.Sections {
		titles = append(titles, s.Title)
	}
	names := sheetNames(append(titles, columnsName))
	b := &book{title: cellText(d.Title), anchors: map[string]spot{}}
	guide := newSheet(names[0])
	b.sheets = append(b.sheets, guide)
	for i, s := range d.Sections {
		sh := newSheet(names[i+1])
		b.sheets = append(b.sheets, sh)
		b.section(sh, s, names[0])
	}
	if columns := newSheet(names[len(names)-1]); b.columns(columns, d, names) {
		b.sheets = append(b.sheets, columns)
	}
	b.guide(guide, d, b.sheets[1:])
	for _, s := range b.sheets {
		if s.next > excelize.TotalRows {
			return nil, fmt.Errorf("workbook: sheet %q needs %d rows, more than the %d a sheet can hold; leave rows out or make two sections of it", s.name, s.next, excelize.TotalRows)
		}
	}
	return b, nil
}
