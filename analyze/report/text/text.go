// Package text writes a report for the terminal: plain lines that wrap to a
// width, tables that line up, forest plots made of characters. Colour, where
// asked for, only repeats what words and place already say, and what data holds
// of control characters is escaped before it reaches the terminal.
//
// It is not for machines: they read the JSON form.
package text

import (
	"bufio"
	"io"
	"strings"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

// Options say how to write. The zero value is right for a pipe.
type Options struct {
	Width     int  // columns of the terminal; 0 means 80; below 40 counts as 40
	MaxRows   int  // rows shown of a table; 0 means 200, below 0 all
	Technical bool // show the technical sections too
	Color     bool // use the terminal's bold, dim and colours
	ASCII     bool // use ASCII alone: for terminals without line-drawing characters
}

// Write writes d to w. It fails where d is not valid (see Document.Validate) or
// w does.
func Write(w io.Writer, d *report.Document, o Options) error {
	if err := d.Validate(); err != nil {
		return err
	}
	if o.Width == 0 {
		o.Width = 80
	}
	o.Width = max(o.Width, 40)
	if o.MaxRows == 0 {
		o.MaxRows = 200
	}
	p := &printer{out: bufio.NewWriter(w), o: o, glyphs: unicodeGlyphs}
	if o.ASCII {
		p.glyphs = asciiGlyphs
	}
	p.document(d)
	return p.out.Flush() // a bufio.Writer keeps its first error
}

const indent = "  "

// A printer lays a document out line by line.
type printer struct {
	out    *bufio.Writer
	o      Options
	glyphs glyphs
}

func (p *printer) document(d *report.Document) {
	p.heading(d.Title, p.glyphs.double)
	if d.Subtitle != "" {
		p.paragraph(d.Subtitle)
	}
	if len(d.Facts) > 0 {
		p.line("")
		p.pairs("", facts(d.Facts))
	}
	var hidden []string
	for _, s := range d.Sections {
		if s.Technical && !p.o.Technical {
			hidden = append(hidden, s.Title)
			continue
		}
		p.section(s)
	}
	if len(d.Terms) > 0 && p.o.Technical {
		p.line("")
		p.heading("How to read this", p.glyphs.line)
		var rows [][2]string
		for _, t := range d.Terms {
			rows = append(rows, [2]string{t.Word, t.Meaning})
		}
		p.pairs("", rows)
	}
	if len(d.Cautions) > 0 {
		p.line("")
		p.heading("Bear in mind", p.glyphs.line)
		for _, c := range d.Cautions {
			p.hanging(p.glyphs.bullet+" ", c)
		}
	}
	if len(hidden) > 0 {
		p.line("")
		p.dim("Not shown here: " + strings.Join(hidden, ", ") + ".")
	}
}

func facts(fs []report.Fact) (rows [][2]string) {
	for _, f := range fs {
		v := format.Cell(f.Value)
		if f.Note != "" {
			v += " " + format.Missing + " " + f.Note // the same dash, here as punctuation
		}
		rows = append(rows, [2]string{f.Label, v})
	}
	return rows
}

func (p *printer) section(s report.Section) {
	p.line("")
	p.heading(s.Title, p.glyphs.line)
	if s.Lead != "" {
		for _, l := range wrap(p.clean(s.Lead), p.o.Width) {
			p.line(p.paint(bold, l))
		}
	}
	for i, text := range s.Paragraphs {
		if i > 0 || s.Lead != "" {
			p.line("")
		}
		p.paragraph(text)
	}
	for _, f := range s.Figures {
		p.line("")
		p.figure(f)
	}
	for _, t := range s.Tables {
		p.line("")
		p.table(t)
	}
}

func (p *printer) heading(title, rule string) {
	lines := wrap(p.clean(title), p.o.Width)
	widest := 0
	for _, l := range lines {
		p.line(p.paint(accent, l))
		widest = max(widest, width(l))
	}
	p.line(p.paint(accent, strings.Repeat(rule, widest)))
}

func (p *printer) paragraph(text string) {
	for _, l := range wrap(p.clean(text), p.o.Width) {
		p.line(l)
	}
}

func (p *printer) dim(text string) {
	for _, l := range wrap(p.clean(text), p.o.Width) {
		p.line(p.paint(faint, l))
	}
}

// hanging writes text after a mark, its further lines set in as far as the first.
func (p *printer) hanging(mark, text string) {
	in := width(mark)
	for i, l := range wrap(p.clean(text), p.o.Width-in) {
		if i > 0 {
			mark = strings.Repeat(" ", in)
		}
		p.line(mark + l)
	}
}

// pairs writes labels and values in two columns, set in by margin.
func (p *printer) pairs(margin string, rows [][2]string) {
	left := 0
	for _, r := range rows {
		left = max(left, width(p.clean(r[0])))
	}
	left = min(left, p.o.Width/3)
	for _, r := range rows {
		labels := wrap(p.clean(r[0]), left)
		values := wrap(p.clean(r[1]), p.o.Width-len(margin)-left-2)
		for i := range max(len(labels), len(values)) {
			p.line(margin + p.paint(faint, pad(at(labels, i), left)) + "  " + at(values, i))
		}
	}
}

// line writes one line, without blanks at its end.
func (p *printer) line(s string) {
	p.out.WriteString(strings.TrimRight(s, " "))
	p.out.WriteByte('\n')
}

func at(lines []string, i int) string {
	if i < len(lines) {
		return lines[i]
	}
	return ""
}
