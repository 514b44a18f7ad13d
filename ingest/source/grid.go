// Package source turns the bytes of a keeper's file into grids of cells as they
// were written, each cell with its file, sheet, row and column.
//
// It knows encodings, delimiters and workbooks. It knows nothing of fish, of
// headings, or of what a cell means.
package source

import (
	"iter"
	"time"

	"gravid/ingest/problem"
)

// Kind says what a cell held in its file. Text files hold Blank and Text only.
type Kind uint8

const (
	Blank   Kind = iota
	Text         // characters as written
	Number       // a stored number; Cell.Number
	Date         // a stored date without clock; Cell.Time
	Instant      // a stored date with clock; Cell.Time
	Clock        // a stored time of day; Cell.Number is the fraction of a day
	Span         // a stored duration; Cell.Number is in days
	Bool         // a stored truth value; Cell.Number is 0 or 1
	Fault        // an error value such as #N/A; Cell.Text names it
	Formula      // a formula whose result was never stored; Cell.Formula
)

// A Cell is one cell as written.
type Cell struct {
	Kind    Kind
	Text    string    // as written; for stored numbers and dates a plain rendering that loses nothing
	Number  float64   // see Kind; for percent formats already multiplied by 100
	Time    time.Time // see Kind; wall clock of the file, in UTC because a file names no zone
	Unit    string    // unit written in the number format ("°C", "%"), else empty
	Format  string    // number format of a stored number, date or time, else empty; see FormatParts
	Formula string    // the formula, also where its result was stored
	Comment string    // a remark attached to the cell
	Merged  bool      // part of a merged block (the top left cell carries the value)
}

// A Row is one row of a grid. Cells is valid until the next row is asked for.
type Row struct {
	Number int // as the program that made the file shows it, from 1
	Hidden bool
	Cells  []Cell // leading cells present even when blank; trailing blanks may be absent
}

// A Merge is a block of merged cells, columns and rows counted from 0 and 1 like
// Cells and Row.Number; the last ones belong to it.
type Merge struct{ FirstRow, LastRow, FirstColumn, LastColumn int }

// A Grid is one sheet of a workbook, or a text file.
type Grid struct {
	File          string // path inside the club's logs folder, forward slashes
	Sheet         string // empty for text files
	Hidden        bool   // a hidden sheet
	HiddenColumns []int  // columns counted from 0
	Merges        []Merge
	Text          bool   // from a text file: numbers and dates are still characters
	Delimiter     string // text files: the delimiter found
	Encoding      string // text files: the encoding found
	Wordless      int    // long text files: no cell of this row and of later ones holds a letter or #; 0 = not known

	// Each walks the rows from the first to the last that holds anything, blank
	// ones between them included. It may be called again, and gives the same rows
	// each time. A text row over several lines has the number of its first line; a
	// line "sep=;" is no row.
	Each iter.Seq[Row]
}

// A File is everything read from one file.
type File struct {
	Name     string // as Grid.File
	SHA256   string // lower-case hexadecimal
	Bytes    int64
	Grids    []Grid
	Problems []problem.Problem
	Raw      []byte // the file as it came; nil for a long text, which is not held

	content content // where the bytes of a long text lie
}

// Err returns the first failure to read the rows of a long text again from where its
// bytes are kept. Rows that were given before are right; others are missing.
func (f *File) Err() error { return f.content.err() }
