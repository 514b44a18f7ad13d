// Package problem is the one vocabulary for everything in a log that could not
// be taken as written. A cell or row that is neither in a table nor in the
// notes of one is named by a Problem; nothing is dropped in silence.
//
// The package only describes. It decides nothing and prints nothing.
package problem

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
)

// Severity says what became of the value.
type Severity string

const (
	// Error: the value or row is not used.
	Error Severity = "error"
	// Warning: the value is used, and somebody should look.
	Warning Severity = "warning"
	// Note: decided by the program; the message says how.
	Note Severity = "note"
)

// Rank is 0 for errors, 1 for warnings and 2 for notes.
func (s Severity) Rank() int {
	switch s {
	case Error:
		return 0
	case Warning:
		return 1
	}
	return 2
}

// A Place leads back to where a value stands in a keeper's file.
type Place struct {
	File   string // path inside the club's logs folder, with forward slashes
	Sheet  string // empty for text files
	Row    int    // as the program that made the file shows it, from 1; 0 = the whole file or sheet
	Column string // column letters ("B"), empty = the whole row
	Head   string // heading of that column as written, empty when there is none
}

// String gives the place as people read it: file › sheet › cell.
func (p Place) String() string {
	s := p.File
	if p.Sheet != "" {
		s += " › " + p.Sheet
	}
	switch {
	case p.Row > 0 && p.Column != "":
		s += " › " + p.Column + strconv.Itoa(p.Row)
	case p.Row > 0:
		s += " › row " + strconv.Itoa(p.Row)
	case p.Column != "":
		s += " › column " + p.Column
	}
	if p.Head != "" {
		s += fmt.Sprintf(" (%s)", p.Head)
	}
	return s
}

// A Problem is one thing that could not be taken as written, with what to do.
type Problem struct {
	Severity Severity
	Code     Code
	Place    Place
	Value    string // as written; empty when the problem is not about one value
	Message  string // one sentence in lower case without full stop
	Fix      string // what to do, where possible a line to paste into the mapping file
	More     int    // how many further problems of this kind in the log this one stands for; see List
}

// String gives the problem as one line, without the severity.
func (p Problem) String() string {
	return fmt.Sprintf("%s: %s (%s)", p.Place, p.Message, p.Code)
}

// Sort orders problems by file, sheet, row, column, severity and code, so that
// the same logs always give the same list.
func Sort(ps []Problem) {
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(
			cmp.Compare(a.Place.File, b.Place.File),
			cmp.Compare(a.Place.Sheet, b.Place.Sheet),
			cmp.Compare(a.Place.Row, b.Place.Row),
			cmp.Compare(len(a.Place.Column), len(b.Place.Column)),
			cmp.Compare(a.Place.Column, b.Place.Column),
			cmp.Compare(a.Severity.Rank(), b.Severity.Rank()),
			cmp.Compare(a.Code, b.Code),
			cmp.Compare(a.Value, b.Value),
		)
	})
}
