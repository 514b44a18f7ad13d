package workbook

import (
	"strings"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

// guide lays out the first sheet: what was read, what each sheet answers, how to
// read it, what to bear in mind.
func (b *book) guide(s *sheet, d *report.Document, others []*sheet) {
	s.widths = map[int]float64{1: 28, 2: 26, 3: 60}
	s.top(d.Title, "")
	s.prose(d.Subtitle, look{role: subtitle}, 11)
	s.frozen = [2]int{1, 0}

	if len(d.Facts) > 0 {
		s.list("What was read")
		for _, f := range d.Facts {
			v, _ := cellValue(f.Value)
			if v.text == "" && f.Value.Empty {
				v = text(format.Missing)
			}
			l := columnLook(f.Value.Format, []report.Cell{f.Value})
			if v.text != "" {
				l.number = ""
			}
			l.side = left
			s.put(s.next, 1, text(f.Label), look{role: label})
			s.putLink(s.next, 2, v, l, f.Value.Link)
			note := f.Note
			if f.Value.Format != report.Text && f.Value.Text != "" {
				note = strings.TrimPrefix(f.Value.Text+", "+note, ", ")
			}
			s.put(s.next, 3, text(note), look{})
			s.tall(f.Label, v.text, note)
			s.next++
		}
	}

	s.list("The sheets")
	for i, o := range others {
		lead := "Every column of every table, with its unit and meaning."
		if i < len(d.Sections) {
			lead = d.Sections[i].Lead
		}
		s.cells = append(s.cells, placed{row: s.next, col: 1, value: text(o.name), look: look{role: label, link: true}, to: o.name})
		s.pair(o.name, lead)
	}

	s.list("How to read it")
	for _, t := range append(append([]report.Term{}, d.Terms...), signs()...) {
		s.put(s.next, 1, text(t.Word), look{role: label})
		s.pair(t.Word, t.Meaning)
	}

	if len(d.Cautions) > 0 {
		s.list("Bear in mind")
		for _, c := range d.Cautions {
			s.prose("• "+c, look{role: prose}, 10)
		}
	}
}

// signs are the signs of package format as a workbook has them.
func signs() []report.Term {
	out := []report.Term{{Word: "empty cell", Meaning: "nobody recorded it, or it can't be known from the records"}}
	for _, t := range format.Signs() {
		switch t.Word {
		case format.Missing, "hollow dot":
		default:
			out = append(out, t)
		}
	}
	return append(out, report.Term{Word: "○ in a chart", Meaning: "the records can't tell; don't read a direction into it"})
}

// list begins a titled list.
func (s *sheet) list(name string) {
	s.next++
	s.keepTogether(6 * rowPixels)
	s.prose(name, look{role: heading}, 12)
}

// pair writes the second half of a row whose first cell is written.
func (s *sheet) pair(first, second string) {
	s.put(s.next, 2, text(second), look{})
	s.put(s.next, 3, text(""), look{})
	s.merged = append(s.merged, [2]string{cellName(s.next, 2), cellName(s.next, 3)})
	n := max(lines(first, s.width(1)-3), lines(second, s.width(2)+s.width(3)-2))
	s.heights[s.next] = min(float64(n)*lineSize+3, tallest)
	s.next++
}

// tall makes the next row high enough for texts in its first three columns.
func (s *sheet) tall(texts ...string) {
	n := 1
	for i, t := range texts {
		n = max(n, lines(t, s.width(i+1)-2))
	}
	s.heights[s.next] = min(float64(n)*lineSize+3, tallest)
}

// columns lays out the list of all columns; false where there is none.
func (b *book) columns(s *sheet, d *report.Document, names []string) bool {
	t := report.Table{ID: "columns", Title: "Every column with its meaning", Columns: []report.Column{
		{Name: "Sheet", Key: true}, {Name: "Table"}, {Name: "Column"}, {Name: "Unit"}, {Name: "Meaning"}}}
	for i, sec := range d.Sections {
		for _, tab := range sec.Tables {
			for _, c := range tab.Columns {
				at := report.T(names[i+1])
				at.Link = "#" + sec.ID + "/" + tab.ID
				t.Rows = append(t.Rows, []report.Cell{at, report.T(tab.Title), report.T(c.Name), report.T(c.Unit), report.T(c.Help)})
			}
		}
	}
	if len(t.Rows) == 0 {
		return false
	}
	g := layGrid(t)
	g.widen(s, widestCol)
	s.top(columnsName, names[0])
	s.table(t, g, "t__columns")
	s.freeze(true, []*grid{g})
	return true
}
