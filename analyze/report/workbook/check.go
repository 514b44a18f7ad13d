package workbook

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"gravid/analyze/report"
)

// Check reads a workbook back and compares it with the document that it should
// hold: every sheet, every cell with its kind of value, every table, note and
// link, what stays in view and repeats in print, every chart with its text for
// those who cannot see it, and that no chart lies over a cell. It returns all
// differences joined, of each kind on each sheet the first few.
func Check(r io.Reader, d *report.Document) error {
	b, err := plan(d)
	if err != nil {
		return err
	}
	raw, err := io.ReadAll(r)
	if err != nil {
		return fmt.Errorf("workbook: %w", err)
	}
	f, err := excelize.OpenReader(bytes.NewReader(raw), excelize.Options{RawCellValue: true})
	if err != nil {
		return fmt.Errorf("workbook: %w", err)
	}
	defer f.Close()
	p, err := openPackage(raw)
	if err != nil {
		return fmt.Errorf("workbook: %w", err)
	}
	c := &checker{book: b, f: f, pack: p, counts: map[string]int{}}
	var names []string
	for _, s := range b.sheets {
		names = append(names, s.name)
	}
	if got := f.GetSheetList(); !slices.Equal(got, names) {
		return fmt.Errorf("workbook: the sheets are %q, want %q", got, names)
	}
	for _, s := range b.sheets {
		c.cells(s)
		c.tables(s)
		c.notes(s)
		c.links(s)
		c.view(s)
		c.charts(s)
	}
	c.names()
	return errors.Join(c.faults...)
}

// readPrecision is how far a number may be off: the library cuts what it reads to
// 15 figures, as spreadsheet programs do.
const readPrecision = 1e-14

const shownFaults = 5 // of one kind on one sheet

type checker struct {
	*book
	f      *excelize.File
	pack   *pack
	faults []error
	counts map[string]int
}

// fault notes a difference of a kind on a sheet.
func (c *checker) fault(sheet, kind, format string, args ...any) {
	key := sheet + "\x00" + kind
	if c.counts[key]++; c.counts[key] <= shownFaults {
		c.faults = append(c.faults, fmt.Errorf("workbook: sheet %q: %s: %s", sheet, kind, fmt.Sprintf(format, args...)))
	}
}

// failed notes an error of the library.
func (c *checker) failed(sheet, kind string, err error) bool {
	if err != nil {
		c.fault(sheet, kind, "%v", err)
	}
	return err != nil
}

func (c *checker) cells(s *sheet) {
	rows, err := c.f.GetRows(s.name)
	if c.failed(s.name, "cells", err) {
		return
	}
	expected := map[[2]int]bool{}
	for _, p := range s.cells {
		if p.text == "" && math.IsNaN(p.number) {
			continue
		}
		expected[[2]int{p.row, p.col}] = true
		got := ""
		if p.row <= len(rows) && p.col <= len(rows[p.row-1]) {
			got = rows[p.row-1][p.col-1]
		}
		c.cell(s.name, p, got)
	}
	for i, row := range rows {
		for j, v := range row {
			if v != "" && !expected[[2]int{i + 1, j + 1}] {
				c.fault(s.name, "cells", "%s holds %.40q, want nothing", cellName(i+1, j+1), v)
			}
		}
	}
}

func (c *checker) cell(sheet string, p placed, got string) {
	name := cellName(p.row, p.col)
	kind, err := c.f.GetCellType(sheet, name)
	if c.failed(sheet, "cells", err) {
		return
	}
	if p.text == "" {
		x, err := strconv.ParseFloat(got, 64)
		if err != nil || math.Abs(x-p.number) > readPrecision*math.Abs(p.number) || kind != excelize.CellTypeUnset && kind != excelize.CellTypeNumber {
			c.fault(sheet, "cells", "%s holds %.40q, want the number %v", name, got, p.number)
		}
		return
	}
	if got != p.text || kind != excelize.CellTypeSharedString && kind != excelize.CellTypeInlineString {
		c.fault(sheet, "cells", "%s holds %.40q (kind %d), want the text %.40q", name, got, kind, p.text)
	}
	if !strings.ContainsAny(p.text[:1], "=+-@") {
		return // the kind of value says that it is no formula
	}
	formula, err := c.f.GetCellFormula(sheet, name)
	if !c.failed(sheet, "cells", err) && formula != "" {
		c.fault(sheet, "cells", "%s holds the formula %.40q, want text", name, formula)
	}
}

func (c *checker) tables(s *sheet) {
	tables, err := c.f.GetTables(s.name)
	if c.failed(s.name, "tables", err) {
		return
	}
	got := map[string]string{}
	for _, t := range tables {
		got[t.Name] = t.Range
	}
	for _, t := range s.tables {
		if got[t.Name] != t.Range {
			c.fault(s.name, "tables", "%s lies over %q, want %q", t.Name, got[t.Name], t.Range)
		}
		delete(got, t.Name)
	}
	for _, name := range slices.Sorted(maps.Keys(got)) {
		c.fault(s.name, "tables", "%s is not meant to be there", name)
	}
}

func (c *checker) notes(s *sheet) {
	notes, err := c.f.GetComments(s.name)
	if c.failed(s.name, "notes", err) {
		return
	}
	got := map[string]string{}
	for _, n := range notes {
		text := n.Text
		for _, run := range n.Paragraph {
			text += run.Text
		}
		got[n.Cell] = text
	}
	if len(got) != len(s.notes) {
		c.fault(s.name, "notes", "there are %d, want %d", len(got), len(s.notes))
	}
	for _, n := range s.notes {
		if got[n.Cell] != n.Text {
			c.fault(s.name, "notes", "%s says %.40q, want %.40q", n.Cell, got[n.Cell], n.Text)
		}
	}
}

func (c *checker) links(s *sheet) {
	got, err := c.pack.links(s.name)
	if c.failed(s.name, "links", err) {
		return
	}
	want := map[string]target{}
	for _, p := range s.cells {
		if t, ok := c.target(p); ok {
			want[cellName(p.row, p.col)] = t
		}
	}
	for _, cell := range slices.Sorted(maps.Keys(want)) {
		if got[cell] != want[cell] {
			c.fault(s.name, "links", "%s leads to %v, want %v", cell, got[cell], want[cell])
		}
	}
	if len(got) != len(want) {
		c.fault(s.name, "links", "there are %d, want %d", len(got), len(want))
	}
}

// view checks what stays in view and how the sheet prints.
func (c *checker) view(s *sheet) {
	panes, err := c.f.GetPanes(s.name)
	if !c.failed(s.name, "view", err) && (!panes.Freeze || panes.YSplit != s.frozen[0] || panes.XSplit != s.frozen[1]) {
		c.fault(s.name, "view", "%d rows and %d columns stay in view, want %d and %d", panes.YSplit, panes.XSplit, s.frozen[0], s.frozen[1])
	}
	props, err := c.f.GetSheetProps(s.name)
	if !c.failed(s.name, "print", err) && (props.FitToPage == nil || !*props.FitToPage) {
		c.fault(s.name, "print", "the sheet is not fitted to the page")
	}
	page, err := c.f.GetPageLayout(s.name)
	if !c.failed(s.name, "print", err) && (page.Orientation == nil || *page.Orientation != "landscape" || page.FitToWidth == nil || *page.FitToWidth != 1) {
		c.fault(s.name, "print", "the page is not lying and one page wide")
	}
}

// names checks the names that print titles and print areas are.
func (c *checker) names() {
	got := map[[2]string]string{}
	for _, n := range c.f.GetDefinedName() {
		got[[2]string{n.Scope, n.Name}] = n.RefersTo
	}
	for _, n := range c.definedNames() {
		if refers := got[[2]string{n.Scope, n.Name}]; refers != n.RefersTo {
			c.fault(n.Scope, "print", "%s is %q, want %q", n.Name, refers, n.RefersTo)
		}
	}
}

func (c *checker) charts(s *sheet) {
	got, err := c.pack.charts(s.name)
	if c.failed(s.name, "charts", err) {
		return
	}
	if len(got) != len(s.charts) {
		c.fault(s.name, "charts", "there are %d, want %d", len(got), len(s.charts))
		return
	}
	for i, d := range s.charts {
		a := got[i]
		if a.alt != d.alt() {
			c.fault(s.name, "charts", "chart %d: its text is %.60q, want %.60q", i+1, a.alt, d.alt())
		}
		if a.from != d.row || a.to > d.row+d.rows-1 {
			c.fault(s.name, "charts", "chart %d lies over rows %d to %d, want %d to %d", i+1, a.from, a.to, d.row, d.row+d.rows-1)
		}
		if last := s.lastColumn(); a.toCol > last {
			c.fault(s.name, "charts", "chart %d reaches column %d, beyond the last that is printed, %d", i+1, a.toCol, last)
		}
		if a.series != len(d.lines) {
			c.fault(s.name, "charts", "chart %d draws %d series, want %d", i+1, a.series, len(d.lines))
		}
		for _, p := range s.cells {
			if p.row >= a.from && p.row <= a.to && p.col <= a.toCol {
				c.fault(s.name, "charts", "chart %d covers %s", i+1, cellName(p.row, p.col))
			}
		}
	}
}
