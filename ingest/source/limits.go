package source

import (
	"fmt"

	"gravid/ingest/problem"
)

// Limits says how much of a file the package is willing to read. They keep one
// broken or hostile file from filling the memory; honest logs stay far below.
// A zero field stands for its default.
type Limits struct {
	FileBytes   int64 // size of a file as it lies in its folder; 512 MiB
	Parts       int   // files inside a workbook; 2,000
	PartBytes   int64 // unpacked size of one file inside a workbook; 256 MiB
	UnpackBytes int64 // unpacked size of a whole workbook, and of the texts in all cells of a sheet; 512 MiB
	Sheets      int   // sheets of a workbook; 1,000
	Columns     int   // columns that hold anything; 1,024
	Rows        int   // rows of a sheet of a workbook; 1,048,576
	Cells       int   // cells of a sheet of a workbook that hold anything; 20,000,000
	Strings     int   // texts a workbook keeps in common for all its sheets; 1,000,000
	CellBytes   int   // characters of one cell of a workbook, in bytes of UTF-8; 1 MiB
	Merges      int   // merged blocks of a sheet; 100,000
	Comments    int   // comments of a sheet; 100,000
	Styles      int   // cell styles, and number formats, of a workbook; 65,536
	Nesting     int   // depth of nesting of the XML of a workbook; 64
}

func (l Limits) filled() Limits {
	fill(&l.FileBytes, 512<<20)
	fill(&l.Parts, 2_000)
	fill(&l.PartBytes, 256<<20)
	fill(&l.UnpackBytes, 512<<20)
	fill(&l.Sheets, 1_000)
	fill(&l.Columns, 1_024)
	fill(&l.Rows, 1_048_576)
	fill(&l.Cells, 20_000_000)
	fill(&l.Strings, 1_000_000)
	fill(&l.CellBytes, 1<<20)
	fill(&l.Merges, 100_000)
	fill(&l.Comments, 100_000)
	fill(&l.Styles, 65_536)
	fill(&l.Nesting, 64)
	return l
}

func fill[T int | int64](field *T, usual T) {
	if *field == 0 {
		*field = usual
	}
}

// A refusal is why a file, a workbook or a sheet is not read.
type refusal struct {
	code problem.Code
	why  string
	fix  string
}

func (r *refusal) Error() string { return r.why }

func refuse(code problem.Code, fix, format string, args ...any) error {
	return &refusal{code: code, why: fmt.Sprintf(format, args...), fix: fix}
}

const fixExport = "copy the log into a workbook of its own, or export it as CSV"

// tooLarge refuses what goes beyond a limit.
func tooLarge(fix, format string, args ...any) error {
	return refuse(problem.Limit, fix, format, args...)
}
