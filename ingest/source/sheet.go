package source

import (
	"cmp"
	"fmt"
	"iter"
	"slices"
	"strconv"
	"strings"

	"gravid/ingest/problem"
)

// The largest sheets of today's programs, for which "the whole sheet" stands.
const (
	fullColumns = 16_384
	fullRows    = 1_048_576
)

const fixSheet = "open the workbook, copy the sheet's cells into a new sheet, delete this one, and save"

func sheetDamaged(format string, args ...any) error {
	return refuse(problem.SheetDamaged, fixSheet, format, args...)
}

// A sheet is one sheet of a workbook: how to walk its rows, and what the first
// walk found besides them.
type sheet struct {
	name   string
	hidden bool
	// walk visits the rows that hold anything, from the first to the last, until
	// visit says no. It tells found what else it comes upon.
	walk func(found *findings, visit func(Row) bool) error

	findings
	lastRow, lastColumn int // last ones that hold anything; column from 0
	hiddenRows          int
}

// findings is what a walk comes upon besides cells.
type findings struct {
	merges        []Merge
	hiddenColumns []columnRange
	oddDates      map[int][]int // rows by column: shown as dates, but none
	remarks       map[int][]remark
	remarkRows    []int // ascending
}

// columnRange is from first to last, both counted from 0.
type columnRange struct{ first, last int }

// A remark is a comment that is kept apart from the cells.
type remark struct {
	column int
	text   string
}

func (f *findings) oddDate(row, column int) {
	if f.oddDates == nil {
		f.oddDates = make(map[int][]int)
	}
	f.oddDates[column] = append(f.oddDates[column], row)
}

func (f *findings) merge(m Merge, limits Limits) error {
	if len(f.merges) == limits.Merges {
		return tooLarge("unmerge the cells of the sheet", "the sheet has more than %d merged blocks", limits.Merges)
	}
	f.merges = append(f.merges, m)
	return nil
}

// survey walks the sheet for the first time, to the end. Errors are *refusal, and
// mean that no row of the sheet can be trusted.
func (s *sheet) survey(limits Limits) error {
	s.lastColumn = -1
	cells, bytes := 0, int64(0)
	err := s.walk(&s.findings, func(row Row) bool {
		for _, c := range row.Cells {
			if c.Kind != Blank {
				cells++
				bytes += int64(len(c.Text)) // of a text that many cells share, each time
			}
		}
		if row.Hidden {
			s.hiddenRows++
		}
		s.lastRow = row.Number
		s.lastColumn = max(s.lastColumn, len(row.Cells)-1)
		return cells <= limits.Cells && bytes <= limits.UnpackBytes
	})
	if err != nil {
		return err
	}
	if cells > limits.Cells {
		return tooLarge(fixExport, "the sheet holds more than %d cells", limits.Cells)
	}
	if bytes > limits.UnpackBytes {
		return tooLarge(fixExport, "the cells of the sheet hold more than %d bytes of text", limits.UnpackBytes)
	}
	for _, row := range s.remarkRows {
		s.lastRow = max(s.lastRow, row)
		for _, r := range s.remarks[row] {
			s.lastColumn = max(s.lastColumn, r.column)
		}
	}
	return s.settleMerges()
}

// settleMerges sorts the merged blocks, cuts them to what the sheet uses, and
// refuses those that cannot be.
func (s *sheet) settleMerges() error {
	kept := s.merges[:0]
	for _, m := range s.merges {
		if m.FirstColumn == 0 && m.FirstRow == 1 && m.LastColumn >= fullColumns-1 && m.LastRow >= fullRows {
			return refuse(problem.SheetDamaged, "unmerge the cells of the sheet", "all cells of the sheet are merged into one")
		}
		m.LastRow, m.LastColumn = min(m.LastRow, s.lastRow), min(m.LastColumn, s.lastColumn)
		if m.FirstRow <= m.LastRow && m.FirstColumn <= m.LastColumn {
			kept = append(kept, m)
		}
	}
	slices.SortFunc(kept, func(a, b Merge) int {
		return cmp.Or(cmp.Compare(a.FirstRow, b.FirstRow), cmp.Compare(a.FirstColumn, b.FirstColumn))
	})
	s.merges = kept
	covered := make([]int, s.lastColumn+1) // by column: last row that a block takes
	for _, m := range kept {
		for c := m.FirstColumn; c <= m.LastColumn; c++ {
			if covered[c] >= m.FirstRow {
				return sheetDamaged("merged blocks overlap in %s%d", ColumnName(c), m.FirstRow)
			}
			covered[c] = m.LastRow
		}
	}
	return nil
}

// grid is the sheet as others see it.
func (s *sheet) grid(file string) Grid {
	g := Grid{File: file, Sheet: s.name, Hidden: s.hidden, Merges: s.merges, Each: s.rows()}
	for _, r := range s.hiddenColumns {
		for c := r.first; c <= min(r.last, s.lastColumn); c++ {
			g.HiddenColumns = append(g.HiddenColumns, c)
		}
	}
	slices.Sort(g.HiddenColumns)
	g.HiddenColumns = slices.Compact(g.HiddenColumns)
	return g
}

// rows gives all rows from 1 to the last that holds anything.
func (s *sheet) rows() iter.Seq[Row] {
	return func(yield func(Row) bool) {
		h := handout{sheet: s, yield: yield, covered: make([]int, s.lastColumn+1)}
		err := s.walk(&findings{}, h.row)
		if err != nil {
			panic("source: the bytes of " + s.name + " changed after they were read: " + err.Error())
		}
		h.gap(s.lastRow + 1)
	}
}

// handout hands rows on with the blank ones between them, and with the marks that
// are kept apart from cells.
type handout struct {
	*sheet
	yield   func(Row) bool
	last    int // row handed on last
	stopped bool

	merge     int   // next block of merges
	covered   []int // by column: last row of the block that covers it
	coveredTo int   // largest of covered
	blank     []Cell
}

func (h *handout) row(row Row) bool {
	h.gap(row.Number)
	h.hand(row)
	return !h.stopped
}

// gap hands on the rows before next, which hold no cells.
func (h *handout) gap(next int) {
	for !h.stopped && h.last+1 < next {
		h.hand(Row{Number: h.last + 1, Cells: h.blank[:0]})
	}
}

func (h *handout) hand(row Row) {
	if h.stopped {
		return
	}
	h.last = row.Number
	for _, r := range h.remarks[row.Number] {
		row.Cells = widen(row.Cells, r.column+1)
		row.Cells[r.column].Comment = r.text
	}
	row.Cells = h.mark(row.Number, row.Cells)
	h.stopped = !h.yield(row)
}

// mark sets Merged, also in blank cells behind the last one that holds anything.
func (h *handout) mark(number int, cells []Cell) []Cell {
	for ; h.merge < len(h.merges) && h.merges[h.merge].FirstRow <= number; h.merge++ {
		m := h.merges[h.merge]
		for c := m.FirstColumn; c <= m.LastColumn; c++ {
			h.covered[c] = m.LastRow
		}
		h.coveredTo = max(h.coveredTo, m.LastRow)
	}
	if number > h.coveredTo {
		return cells
	}
	for c, to := range h.covered {
		if number <= to {
			cells = widen(cells, c+1)
			cells[c].Merged = true
		}
	}
	return cells
}

func widen(cells []Cell, n int) []Cell {
	for len(cells) < n {
		cells = append(cells, Cell{})
	}
	return cells
}

// addSheet surveys a sheet and adds its grid, or says why there is none.
func (f *File) addSheet(s *sheet, limits Limits) {
	if err := s.survey(limits); err != nil {
		f.refuse(s.name, err)
		return
	}
	g := s.grid(f.Name)
	f.noteHidden(s, len(g.HiddenColumns))
	f.noteOddDates(s)
	f.Grids = append(f.Grids, g)
}

func (f *File) noteHidden(s *sheet, columns int) {
	var parts []string
	if s.hidden {
		parts = append(parts, "the sheet is hidden")
	}
	if s.hiddenRows > 0 {
		parts = append(parts, counted(s.hiddenRows, "row is hidden", "rows are hidden"))
	}
	if columns > 0 {
		parts = append(parts, counted(columns, "column is hidden", "columns are hidden"))
	}
	if parts == nil {
		return
	}
	f.Problems = append(f.Problems, problem.Problem{
		Severity: problem.Note, Code: problem.Hidden, Place: problem.Place{Sheet: s.name},
		Message: strings.Join(parts, ", ") + ", and all of it was read",
		Fix:     "if they are not to count, delete them from a copy of the workbook",
	})
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// noteOddDates reports, once a column, numbers that are shown as dates but lie
// where the calendars of spreadsheet programs disagree or end.
func (f *File) noteOddDates(s *sheet) {
	for column, rows := range s.oddDates {
		var lines lineSet
		for _, row := range rows {
			lines.add(row)
		}
		f.Problems = append(f.Problems, problem.Problem{
			Severity: problem.Error, Code: problem.DateOutOfRange,
			Place: problem.Place{Sheet: s.name, Row: lines.first(), Column: ColumnName(column)},
			Message: fmt.Sprintf("the date stored in %s is before March 1900, where programs disagree, or after the year 9999; "+
				"it was read as a plain number", strings.Replace(lines.String(), "line", "row", 1)),
			Fix: "type the date again, or clear the cell",
		})
	}
}

// ColumnName gives the letters of a column counted from 0: A, B, ... Z, AA.
func ColumnName(column int) string {
	var letters []byte
	for n := column + 1; n > 0; n = (n - 1) / 26 {
		letters = append(letters, byte('A'+(n-1)%26))
	}
	slices.Reverse(letters)
	return string(letters)
}

// ColumnIndex is the inverse of ColumnName; -1 where the text is no name of a column.
func ColumnIndex(letters string) int {
	n := 0
	for _, r := range letters {
		if r < 'A' || r > 'Z' || n > 1<<20 {
			return -1
		}
		n = 26*n + int(r-'A') + 1
	}
	return n - 1
}

// A cellRow gathers the cells of one row. Their texts lie in one buffer until the
// row is complete, so that a row costs one allocation and not one a cell.
type cellRow struct {
	limits Limits
	cells  []Cell
	buffer []byte
	spans  []textSpan
	filled bool // a cell holds something
}

// textSpan is a stretch of the buffer that belongs to a cell.
type textSpan struct {
	cell, from, to int
	formula        bool
}

func (r *cellRow) reset() {
	r.cells, r.buffer, r.spans, r.filled = r.cells[:0], r.buffer[:0], r.spans[:0], false
}

// add puts a cell that holds something into the column, which must be behind the
// last one.
func (r *cellRow) add(column int, cell Cell) error {
	if column >= r.limits.Columns {
		return tooLarge("delete what stands far out to the right",
			"something stands in column %s, and %d columns are the most that are read", ColumnName(column), r.limits.Columns)
	}
	r.cells = append(widen(r.cells, column), cell)
	r.filled = true
	return nil
}

// text says that the buffer from that place on is the text, or the formula, of
// the last cell.
func (r *cellRow) text(from int, formula bool) {
	r.spans = append(r.spans, textSpan{cell: len(r.cells) - 1, from: from, to: len(r.buffer), formula: formula})
}

// done gives the cells. They are valid until the next reset, their texts for ever.
func (r *cellRow) done() []Cell {
	all := string(r.buffer)
	for _, s := range r.spans {
		if s.formula {
			r.cells[s.cell].Formula = all[s.from:s.to]
		} else {
			r.cells[s.cell].Text = all[s.from:s.to]
		}
	}
	return r.cells
}
