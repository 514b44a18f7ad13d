// Package page writes a report as one HTML file that needs nothing else: no
// network, no script, no font. It is made to be read on a phone, by a screen
// reader, on paper, in light and dark, and stays small: of a long table it shows
// the first rows and says where the rest is.
//
// It is not a web application and is not served by anything.
package page

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"
	"unicode/utf8"

	"gravid/analyze/report"
	"gravid/analyze/report/chart"
	"gravid/analyze/report/format"
)

// Options say how to write. The zero value is usable.
type Options struct {
	MaxRows int    // rows shown of a table; 0 means 500
	Rest    string // where the rows beyond are, as a sentence goes on: "the workbook season-2026.xlsx"; empty means "the club's tables"
	Lang    string // the document's language (BCP 47); empty means "en"
}

var (
	//go:embed page.css
	css string
	//go:embed page.html
	source string
	layout = template.Must(template.New("page").Parse(source))
)

// Write writes d to w as one HTML file. It fails where d is not valid (see
// Document.Validate) or w does.
func Write(w io.Writer, d *report.Document, o Options) error {
	if err := d.Validate(); err != nil {
		return err
	}
	if o.MaxRows == 0 {
		o.MaxRows = 500
	}
	if o.Rest == "" {
		o.Rest = "the club's tables"
	}
	if o.Lang == "" {
		o.Lang = "en"
	}
	return layout.Execute(w, o.view(d))
}

// The page's own anchors hold a colon, which no ID of a document can (see
// Document.Validate).

// The views below are what the template shows: all text printable, all numbers
// already in characters.
type view struct {
	Lang, Title, Subtitle string
	Style                 template.CSS
	Facts                 []fact
	Answers               []answer // the sections' leads; none where there is one alone, which would stand twice on a screen
	Links                 []answer // the sections that Answers does not link to
	Sections              []section
	Terms                 []report.Term
	Cautions              []string
}

type fact struct {
	Label, Note string
	Value       cell
}

type answer struct{ ID, Title, Lead string }

type section struct {
	ID, Title, Lead string
	Paragraphs      []string
	Figures         []figure
	Tables          []table
	Technical       bool
}

type figure struct {
	ID, Title, Caption string
	Records            string // where they are; empty for nowhere
	Wide, Narrow       template.HTML
	Numbers            table
}

type table struct {
	ID, Title, Note, More string
	Many                  bool // so many columns that paper is turned
	Long                  bool // so many rows that they are shown when asked for
	Columns               []column
	Rows                  [][]cell
}

const manyColumns, longTable = 10, 40

type column struct{ Name, Help, Class string }

type cell struct {
	Text, Href, Class string
	Key               bool // names the row
}

func (o Options) view(d *report.Document) view {
	v := view{
		Lang: o.Lang, Title: format.Printable(d.Title), Subtitle: format.Printable(d.Subtitle),
		Style: template.CSS(css + chart.Style), // both are files of ours
	}
	for _, f := range d.Facts {
		v.Facts = append(v.Facts, fact{Label: format.Printable(f.Label), Note: format.Printable(f.Note), Value: showCell(f.Value, format.Cell(f.Value))})
	}
	for _, s := range d.Sections {
		a := answer{ID: s.ID, Title: format.Printable(s.Title), Lead: format.Printable(s.Lead)}
		if a.Lead != "" && !s.Technical && leads(d) > 1 {
			v.Answers = append(v.Answers, a)
		} else {
			v.Links = append(v.Links, a)
		}
		v.Sections = append(v.Sections, o.section(s))
	}
	for _, t := range append(append([]report.Term{}, d.Terms...), format.Signs()...) {
		v.Terms = append(v.Terms, report.Term{Word: format.Printable(t.Word), Meaning: format.Printable(t.Meaning)})
	}
	v.Cautions = printable(d.Cautions)
	return v
}

// leads counts the sections that the first screen can sum up.
func leads(d *report.Document) (n int) {
	for _, s := range d.Sections {
		if s.Lead != "" && !s.Technical {
			n++
		}
	}
	return n
}

func (o Options) section(s report.Section) section {
	out := section{ID: s.ID, Title: format.Printable(s.Title), Lead: format.Printable(s.Lead), Paragraphs: printable(s.Paragraphs), Technical: s.Technical}
	for _, f := range s.Figures {
		id := s.ID + "/" + f.ID
		numbers := format.Numbers(f)
		numbers.Title = ""
		out.Figures = append(out.Figures, figure{
			ID: id, Title: format.Printable(f.Title), Caption: format.Printable(f.Caption),
			Records: showCell(report.Cell{Link: f.Records}, "").Href,
			// package chart escapes all text that it draws
			Wide:    template.HTML(chart.SVG(f, chart.Options{Width: 720, ID: id + ":w"})),
			Narrow:  template.HTML(chart.SVG(f, chart.Options{Width: 328, ID: id + ":n"})),
			Numbers: o.table(s.ID, numbers),
		})
	}
	for _, t := range s.Tables {
		out.Tables = append(out.Tables, o.table(s.ID, t))
	}
	return out
}

func (o Options) table(sectionID string, t report.Table) table {
	out := table{ID: sectionID + "/" + t.ID, Title: format.Printable(t.Title), Note: format.Printable(t.Note)}
	out.Many = len(t.Columns) >= manyColumns
	rows := t.Rows
	if len(rows) > o.MaxRows {
		rows = rows[:o.MaxRows]
		out.More = fmt.Sprintf("%d of %d rows are shown; the rest is in %s.", len(rows), len(t.Rows), format.Printable(o.Rest))
	}
	out.Long = len(rows) > longTable
	out.Rows = make([][]cell, len(rows))
	for j, c := range t.Columns {
		cells := make([]report.Cell, len(rows))
		for i := range rows {
			cells[i] = rows[i][j]
		}
		texts := format.Column(cells)
		class := classOf(c.Format, texts)
		out.Columns = append(out.Columns, column{Name: format.Heading(c), Help: format.Printable(c.Help), Class: class})
		for i, text := range texts {
			v := showCell(cells[i], text)
			v.Class, v.Key = class, c.Key && j == 0
			out.Rows[i] = append(out.Rows[i], v)
		}
	}
	return out
}

// classOf is the CSS class of a column: n for numbers, d for what must not break,
// w for text that wants room.
func classOf(f report.Format, texts []string) string {
	switch {
	case format.Numeric(f):
		return "n"
	case f != report.Text:
		return "d"
	}
	for _, s := range texts {
		if utf8.RuneCountInString(s) > 22 {
			return "w"
		}
	}
	return ""
}

// showCell adds a cell's link, if it has one that may be followed.
func showCell(c report.Cell, text string) cell {
	out := cell{Text: text}
	if c.Link == "" {
		return out
	}
	target, err := report.ParseLink(c.Link)
	switch {
	case err != nil: // a path that leads out of the club: text alone
	case target.Inside():
		out.Href = "#" + target.Anchor()
	default:
		out.Href = target.URL()
	}
	return out
}

func printable(in []string) (out []string) {
	for _, s := range in {
		if s = format.Printable(s); strings.TrimSpace(s) != "" {
			out = append(out, s)
		}
	}
	return out
}
