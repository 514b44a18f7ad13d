// Package workbook writes a report as a spreadsheet (Office Open XML): a reading
// guide, then one sheet a section with its answer in words, its tables as real
// tables that can be filtered, its figures as native charts with the numbers they
// are drawn from, and at last a list of all columns with their meaning.
//
// Numbers are numbers, dates are dates, and text is text whatever it begins with:
// nothing from a log becomes a formula. The same document gives the same bytes.
//
// A workbook is laid out before anything is written: Check lays the document out
// again and compares what a file really holds.
//
// The package is not for reading keepers' logs.
package workbook

import (
	"bytes"
	"io"
	"time"

	"gravid/analyze/report"
)

// Options say how to write. The zero value is usable.
type Options struct {
	Made    time.Time // when the report was made, kept in the file's properties; zero means not stated
	Creator string    // who made it, likewise
}

// Write writes d to w. It fails where d is not valid (see Document.Validate),
// where a sheet would hold more rows than the format allows, or where w does.
func Write(w io.Writer, d *report.Document, o Options) error {
	b, err := plan(d)
	if err != nil {
		return err
	}
	f, err := b.file()
	if err != nil {
		return err
	}
	defer f.Close()
	var raw bytes.Buffer
	if _, err := f.WriteTo(&raw); err != nil {
		return err
	}
	return canonical(w, raw.Bytes(), b.edits(o))
}
