package ingest

import (
	"fmt"
	"strings"
)

// A Ledger accounts for every row and every non-empty cell of one sheet. The
// two sums are checked in code: a difference is a fault of the program, and the
// file is then refused as a whole rather than read in part.
type Ledger struct {
	File, Sheet string

	// Rows read = Header + Title + Blank + Repeated + Duplicate + Used + SetAside.
	Rows      int
	Header    int // heading, group and unit rows
	Title     int // rows above the headings and footnotes below the table
	Blank     int
	Repeated  int // headings again, totals and averages
	Duplicate int // the same row again
	Used      int // rows that are in a table
	SetAside  int // rows kept in set-aside/ to be mended

	// Cells that are not empty = CellsUsed + CellsNotes + CellsProblem.
	Cells        int
	CellsUsed    int // a value, or part of a heading
	CellsNotes   int // kept as text in the notes, or as a title
	CellsProblem int // named by a problem
}

// Check returns an error when the sums do not come out even.
func (l Ledger) Check() error {
	var faults []string
	if sum := l.Header + l.Title + l.Blank + l.Repeated + l.Duplicate + l.Used + l.SetAside; sum != l.Rows {
		faults = append(faults, fmt.Sprintf("%d rows read, %d accounted for", l.Rows, sum))
	}
	if sum := l.CellsUsed + l.CellsNotes + l.CellsProblem; sum != l.Cells {
		faults = append(faults, fmt.Sprintf("%d cells read, %d accounted for", l.Cells, sum))
	}
	if len(faults) == 0 {
		return nil
	}
	return fmt.Errorf("the ledger of %s %s does not balance: %s", l.File, l.Sheet, strings.Join(faults, "; "))
}

// Skipped is the number of rows that hold no record: headings, titles, blanks,
// repetitions and duplicates.
func (l Ledger) Skipped() int { return l.Header + l.Title + l.Blank + l.Repeated + l.Duplicate }

// fate is what became of one cell.
type fate uint8

const (
	fateUsed fate = iota
	fateNotes
	fateProblem
)

func (l *Ledger) cell(f fate) {
	l.Cells++
	switch f {
	case fateUsed:
		l.CellsUsed++
	case fateNotes:
		l.CellsNotes++
	default:
		l.CellsProblem++
	}
}
