// Package template writes the workbook that members fill in: a log with one row an
// attempt, with drop-down lists, units in its headings and checks, worked examples and a
// guide, in the languages that logs are read in. What is filled in as meant is read
// without a problem.
//
// It is not the only shape that logs may have, and not for reports.
package template

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"gravid/ingest/heading"
	names "gravid/ingest/species"
)

// Options say how a template is written. The zero value is usable.
type Options struct {
	Language string   // en, de, fr or es; empty means en
	Species  []string // accepted names that stand first in the list, such as those a club keeps
	Examples bool     // the worked examples stand in the log as well, to try the reading of it
}

// Languages returns the languages in which a template can be written.
func Languages() []string { return slices.Clone(languages) }

// lastRow is the last row of the log that has lists and checks.
const lastRow = 2000

// A book is a template on its way into a file.
type book struct {
	*content
	f      *excelize.File
	style  map[look]int
	ranges map[kind]string // where the words of a list stand
	names  []string        // species
	err    error           // the first that the library gave
}

// Write writes a template as an Office Open XML workbook. The error is about a language
// that there is none in, or about w.
func Write(w io.Writer, o Options) error {
	if o.Language == "" {
		o.Language = "en"
	}
	c, ok := contents()[o.Language]
	if !ok {
		return fmt.Errorf("there is no template in %q: the languages are %s", o.Language, strings.Join(languages, ", "))
	}
	b := &book{content: c, f: excelize.NewFile(), style: map[look]int{}, ranges: map[kind]string{}, names: listed(o.Species)}
	b.check(b.f.SetSheetName(b.f.GetSheetName(0), c.text["sheet_guide"]))
	for _, s := range []string{"sheet_log", "sheet_example", "sheet_lists"} {
		_, err := b.f.NewSheet(c.text[s])
		b.check(err)
	}
	b.lists()
	b.log(o.Examples)
	b.example()
	b.guide()
	at, err := b.f.GetSheetIndex(c.text["sheet_log"])
	b.check(err)
	b.f.SetActiveSheet(at)
	b.check(b.f.SetDocProps(&excelize.DocProperties{Title: c.text["title"], Language: c.language}))
	var out bytes.Buffer
	_, err = b.f.WriteTo(&out)
	b.check(err)
	b.check(b.f.Close())
	if b.err != nil {
		return fmt.Errorf("template: %w", b.err)
	}
	_, err = w.Write(out.Bytes())
	return err
}

// listed is the species of the list, with those of a club before the rest.
func listed(first []string) []string {
	out := slices.Clone(first)
	for _, s := range names.New(nil).Species() {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	return out
}

func (b *book) check(err error) {
	if b.err == nil {
		b.err = err
	}
}

func wide(s string) float64 {
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic("template: columns.csv: " + err.Error())
	}
	return x
}

// log writes the sheet that is filled in.
func (b *book) log(examples bool) {
	sheet := b.text["sheet_log"]
	for i, c := range b.columns {
		col := columnName(i + 1)
		b.check(b.f.SetColWidth(sheet, col, col, c.width))
		b.check(b.f.SetColStyle(sheet, col, b.styled(look{role: filled(c), number: format(c.kind), side: side(c.kind)})))
		b.put(sheet, i+1, 1, c.heading, look{role: head, group: c.group, side: side(c.kind)})
		b.validate(sheet, col, c)
	}
	b.check(b.f.SetRowHeight(sheet, 1, 48))
	if examples {
		for k, e := range b.examples {
			for i, c := range b.columns {
				if v := e[c.field]; v != "" {
					b.put(sheet, i+1, k+2, typed(c.kind, v), look{role: filled(c), number: format(c.kind), side: side(c.kind)})
				}
			}
		}
	}
	b.check(b.f.SetPanes(sheet, &excelize.Panes{Freeze: true, XSplit: 3, YSplit: 1, TopLeftCell: "D2", ActivePane: "bottomRight", Selection: []excelize.Selection{{SQRef: "A2", ActiveCell: "A2", Pane: "bottomRight"}}}))
	b.contradictions(sheet)
	b.page(sheet, "$A:$C", "$1:$1")
}

// filled is how a cell of a column to be filled in is shown.
func filled(c column) role {
	if c.kind == words && c.width > 20 {
		return remark
	}
	return field
}

// contradictions marks cells that another of their row contradicts.
func (b *book) contradictions(sheet string) {
	cell := func(f heading.Field) string { return "$" + columnName(b.at(f)) + "2" }
	no := `"` + b.written(yesNo, "no") + `"`
	shown := "OR(" + strings.Join([]string{cell(heading.SpawnedAt) + `<>""`, `N(` + cell(heading.Eggs) + ")>0", cell(heading.HatchDate) + `<>""`, cell(heading.SwimDate) + `<>""`}, ",") + ")"
	more := func(f heading.Field) string {
		return fmt.Sprintf(`AND(ISNUMBER(%[1]s),ISNUMBER(%[2]s),%[1]s>%[2]s)`, cell(f), cell(heading.Eggs))
	}
	b.mark(sheet, heading.Spawned, "AND("+cell(heading.Spawned)+"="+no+","+shown+")")
	b.mark(sheet, heading.Fertile, more(heading.Fertile))
	b.mark(sheet, heading.Hatched, more(heading.Hatched))
	b.mark(sheet, heading.FreeSwimming, more(heading.FreeSwimming))
}

func (b *book) mark(sheet string, f heading.Field, formula string) {
	style, err := b.f.NewConditionalStyle(&excelize.Style{Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{yellow}}, Font: &excelize.Font{Bold: true}})
	b.check(err)
	col := columnName(b.at(f))
	b.check(b.f.SetConditionalFormat(sheet, fmt.Sprintf("%s2:%s%d", col, col, lastRow), []excelize.ConditionalFormatOptions{{Type: "formula", Criteria: formula, Format: &style}}))
}

// validate puts lists, limits and help on a column.
func (b *book) validate(sheet, col string, c column) {
	v := excelize.NewDataValidation(true)
	v.SetSqref(fmt.Sprintf("%s2:%s%d", col, col, lastRow))
	v.SetInput(cut(c.heading, 32), c.help)
	refuse := func(text string) { v.SetError(excelize.DataValidationErrorStyleStop, cut(c.heading, 32), text) }
	today := "TODAY()"
	switch c.kind {
	case species:
		v.SetSqrefDropList(b.ranges[species]) // another species may be written
	case yesNo, lossList, method:
		v.SetSqrefDropList(b.ranges[c.kind])
		refuse(b.text["error_list"])
	case date:
		b.check(v.SetRange(firstDay, today, excelize.DataValidationTypeDate, excelize.DataValidationOperatorBetween))
		refuse(b.text["error_date"])
	case after:
		before := columnName(b.at(c.after))
		b.check(v.SetRange(fmt.Sprintf("MAX(%d,N($%s2))", firstDay, before), today, excelize.DataValidationTypeDate, excelize.DataValidationOperatorBetween))
		refuse(fmt.Sprintf(b.text["error_after"], b.columns[b.at(c.after)-1].heading))
	case count:
		b.check(v.SetRange(int(c.limits.HardMin), int(c.limits.HardMax), excelize.DataValidationTypeWhole, excelize.DataValidationOperatorBetween))
		refuse(fmt.Sprintf(b.text["error_whole"], plain(c.limits.HardMin), plain(c.limits.HardMax)))
	case number:
		b.check(v.SetRange(c.limits.HardMin, c.limits.HardMax, excelize.DataValidationTypeDecimal, excelize.DataValidationOperatorBetween))
		refuse(fmt.Sprintf(b.text["error_number"], plain(c.limits.HardMin), plain(c.limits.HardMax)))
	}
	b.check(b.f.AddDataValidation(sheet, v))
}

// firstDay is 1 January 1990 as workbooks count days: no log of a member is older.
const firstDay = 32874

func plain(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// typed is a value of an example as the cell holds it.
func typed(k kind, s string) any {
	switch k {
	case date, after:
		if t, err := time.Parse("2006-01-02", s); err == nil {
			return t
		}
	case count, number:
		if x, err := strconv.ParseFloat(s, 64); err == nil && !math.IsNaN(x) {
			return x
		}
	}
	return s
}

// written is how a value of a list is written.
func (b *book) written(k kind, value string) string {
	for _, e := range b.content.lists[k] {
		if e.value == value {
			return e.written
		}
	}
	panic("template: words.csv has no " + value)
}

// lists writes the words of the drop-down lists.
func (b *book) lists() {
	sheet := b.text["sheet_lists"]
	b.head(sheet, "lists_title")
	const top = 4
	column := func(col int, title string, width float64, list []string) string {
		name := columnName(col)
		b.check(b.f.SetColWidth(sheet, name, name, width))
		b.put(sheet, col, top, title, look{role: head, group: "who"})
		for i, s := range list {
			b.put(sheet, col, top+1+i, s, look{role: body})
		}
		return fmt.Sprintf("%s!$%s$%d:$%s$%d", quoted(sheet), name, top+1, name, top+len(list))
	}
	common := make([]string, len(b.names))
	for i, s := range b.names {
		common[i] = names.CommonName(s, b.language)
	}
	written := func(k kind) (out []string) {
		for _, e := range b.content.lists[k] {
			out = append(out, e.written)
		}
		return out
	}
	b.ranges[species] = column(1, b.text["list_species"], 30, b.names)
	column(2, b.text["list_common"], 30, common)
	b.ranges[yesNo] = column(4, b.text["list_yesno"], 14, written(yesNo))
	b.ranges[method] = column(6, b.text["list_method"], 20, written(method))
	b.ranges[lossList] = column(8, b.text["list_loss"], 26, written(lossList))
	b.check(b.f.SetPanes(sheet, &excelize.Panes{Freeze: true, YSplit: top, TopLeftCell: "A5", ActivePane: "bottomLeft"}))
	b.page(sheet, "$4:$4")
}

// example writes the worked examples, each a column, so that they fit a page.
func (b *book) example() {
	sheet := b.text["sheet_example"]
	b.head(sheet, "example_title")
	b.check(b.f.MergeCell(sheet, "A3", "E3"))
	b.put(sheet, 1, 3, b.text["example_lead"], look{role: prose})
	b.check(b.f.SetColWidth(sheet, "A", "A", 30))
	b.check(b.f.SetColWidth(sheet, "B", "E", 27))
	const top = 5
	b.put(sheet, 1, top, b.text["heading"], look{role: head, group: "who"})
	for k, e := range b.examples {
		b.put(sheet, k+2, top, fmt.Sprintf(b.text["example"], k+1), look{role: head, group: "who"})
		row := top
		for _, c := range b.columns {
			row++
			if k == 0 {
				b.put(sheet, 1, row, c.heading, look{role: name})
			}
			if v := e[c.field]; v != "" {
				l := look{role: body, number: format(c.kind)}
				if c.field == heading.Notes {
					l.role = wrapped
					b.check(b.f.SetRowHeight(sheet, row, 62))
				}
				b.put(sheet, k+2, row, typed(c.kind, v), l)
			} else {
				b.put(sheet, k+2, row, nil, look{role: body})
			}
		}
	}
	b.check(b.f.SetPanes(sheet, &excelize.Panes{Freeze: true, XSplit: 1, YSplit: top, TopLeftCell: "B6", ActivePane: "bottomRight"}))
	b.page(sheet, "$5:$5")
}

// guide writes how to fill the log in, and what each column holds.
func (b *book) guide() {
	sheet := b.text["sheet_guide"]
	b.head(sheet, "title")
	b.check(b.f.SetColWidth(sheet, "A", "A", 32))
	b.check(b.f.SetColWidth(sheet, "B", "B", 78))
	b.check(b.f.SetColWidth(sheet, "C", "C", 26))
	row := 3
	for _, s := range b.content.guide {
		row++
		b.check(b.f.MergeCell(sheet, cellName(1, row), cellName(3, row)))
		b.put(sheet, 1, row, "• "+s, look{role: prose})
		b.check(b.f.SetRowHeight(sheet, row, lines(s, 165)*15+3))
	}
	row += 2
	b.put(sheet, 1, row, b.text["columns"], look{role: subtitle})
	row++
	for i, s := range []string{"heading", "what", "values"} {
		b.put(sheet, i+1, row, b.text[s], look{role: head, group: "who"})
	}
	first, group := row, ""
	for _, c := range b.columns {
		if c.group != group {
			group = c.group
			row++
			for col := 1; col <= 3; col++ {
				b.put(sheet, col, row, nil, look{role: band})
			}
			b.put(sheet, 1, row, b.text["group_"+group], look{role: band})
		}
		row++
		b.put(sheet, 1, row, c.heading, look{role: name})
		b.put(sheet, 2, row, c.help, look{role: wrapped})
		b.put(sheet, 3, row, b.values(c), look{role: wrapped})
		b.check(b.f.SetRowHeight(sheet, row, max(lines(c.help, 100), lines(b.values(c), 32))*15+2))
	}
	b.page(sheet, fmt.Sprintf("$%d:$%d", first, first))
}

// values says what a column may hold.
func (b *book) values(c column) string {
	span := fmt.Sprintf(b.text["from_to"], plain(c.limits.HardMin), plain(c.limits.HardMax))
	switch c.kind {
	case date, after:
		return b.text["date"]
	case yesNo:
		return b.written(yesNo, "yes") + ", " + b.written(yesNo, "no")
	case count:
		return b.text["whole"]
	case number:
		return span
	case species, lossList, method:
		return b.text["list"]
	}
	return b.text["words"]
}

// head writes the words by which a sheet is known to be no log, and its title.
func (b *book) head(sheet, title string) {
	b.put(sheet, 1, 1, b.text["mark"], look{role: aside})
	b.put(sheet, 1, 2, b.text[title], look{role: heading1})
	b.check(b.f.SetRowHeight(sheet, 2, 26))
}

// page sets a sheet up for print: lying, as wide as a page or, for the log, three, with
// its headings on each.
func (b *book) page(sheet string, titles ...string) {
	for i, t := range titles {
		titles[i] = quoted(sheet) + "!" + t
	}
	landscape, a4, pages, high := "landscape", 9, 1, 0
	switch sheet {
	case b.text["sheet_log"]: // too wide for one
		pages = 3
	case b.text["sheet_example"]:
		high = 1
	}
	yes, off := true, false
	b.check(b.f.SetPageLayout(sheet, &excelize.PageLayoutOptions{Orientation: &landscape, Size: &a4, FitToWidth: &pages, FitToHeight: &high}))
	b.check(b.f.SetSheetProps(sheet, &excelize.SheetPropsOptions{FitToPage: &yes}))
	b.check(b.f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: strings.Join(titles, ","), Scope: sheet}))
	if sheet != b.text["sheet_log"] {
		b.check(b.f.SetSheetView(sheet, 0, &excelize.ViewOptions{ShowGridLines: &off}))
	}
}

// quoted is a sheet's name as references write it.
func quoted(sheet string) string { return "'" + strings.ReplaceAll(sheet, "'", "''") + "'" }

func (b *book) put(sheet string, col, row int, v any, l look) {
	name := cellName(col, row)
	if v != nil && v != "" {
		b.check(b.f.SetCellValue(sheet, name, v))
	}
	b.check(b.f.SetCellStyle(sheet, name, name, b.styled(l)))
}

func cellName(col, row int) string {
	s, err := excelize.CoordinatesToCellName(col, row)
	if err != nil {
		panic("template: " + err.Error()) // columns and rows are counted from 1
	}
	return s
}

func columnName(col int) string {
	s, err := excelize.ColumnNumberToName(col)
	if err != nil {
		panic("template: " + err.Error())
	}
	return s
}

// lines is about how many lines a text takes in a cell so many characters wide.
func lines(s string, wide int) float64 {
	return math.Ceil(float64(len([]rune(s))) / float64(wide))
}

// cut is a text of at most n characters.
func cut(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return s
}
