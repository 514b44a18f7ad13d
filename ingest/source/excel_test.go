package source

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"gravid/ingest/problem"
)

// excelBytes writes a workbook by another library.
func excelBytes(t testing.TB, fill func(x *excelize.File)) []byte {
	t.Helper()
	x := excelize.NewFile()
	fill(x)
	var b bytes.Buffer
	require.NoError(t, x.Write(&b))
	require.NoError(t, x.Close())
	return b.Bytes()
}

// setCell sets a cell of the first sheet.
func setCell(t testing.TB, x *excelize.File, cell string, value any) {
	t.Helper()
	require.NoError(t, x.SetCellValue("Sheet1", cell, value))
}

// setFormat gives cells of the first sheet a number format.
func setFormat(t testing.TB, x *excelize.File, from, to, code string) {
	t.Helper()
	style, err := x.NewStyle(&excelize.Style{CustomNumFmt: &code})
	require.NoError(t, err)
	require.NoError(t, x.SetCellStyle("Sheet1", from, to, style))
}

// cellsOf gives the cells of a grid by their place, blank ones left out.
func cellsOf(g Grid) map[string]Cell {
	cells := make(map[string]Cell)
	for row := range g.Each {
		for i, c := range row.Cells {
			if c != (Cell{}) {
				cells[fmt.Sprintf("%s%d", ColumnName(i), row.Number)] = c
			}
		}
	}
	return cells
}

func day(year int, month time.Month, day, hour, minute int) time.Time {
	return time.Date(year, month, day, hour, minute, 0, 0, time.UTC)
}

func TestExcelCells(t *testing.T) {
	f := Read("log.xlsx", excelBytes(t, func(x *excelize.File) {
		for cell, value := range map[string]any{
			"A1": "Männchen \u00a0größer", "B1": 12, "C1": 24.6, "D1": true, "E1": false, "F1": "", "G1": " lead and trail ",
			"I1": "line\nbreak", "J1": "\U0001F41F", "K1": `<&">'`, "L1": "#N/A", "A3": "=1+1",
		} {
			setCell(t, x, cell, value)
		}
		require.NoError(t, x.SetCellRichText("Sheet1", "M1", []excelize.RichTextRun{{Text: "laid "}, {Text: "on", Font: &excelize.Font{Bold: true}}, {Text: " moss"}}))
		require.NoError(t, x.AddComment("Sheet1", excelize.Comment{Cell: "B1", Author: "Ana", Text: "counted twice"}))
		require.NoError(t, x.AddComment("Sheet1", excelize.Comment{Cell: "C5", Text: "on a blank cell"}))
	}), Limits{})
	require.Empty(t, f.Problems)
	require.Equal(t, map[string]Cell{
		"A1": {Kind: Text, Text: "Männchen  größer"},
		"B1": {Kind: Number, Text: "12", Number: 12, Comment: "counted twice"},
		"C1": {Kind: Number, Text: "24.6", Number: 24.6},
		"D1": {Kind: Bool, Text: "TRUE", Number: 1},
		"E1": {Kind: Bool, Text: "FALSE"},
		"G1": {Kind: Text, Text: " lead and trail "},
		"I1": {Kind: Text, Text: "line\nbreak"},
		"J1": {Kind: Text, Text: "\U0001F41F"},
		"K1": {Kind: Text, Text: `<&">'`},
		"L1": {Kind: Text, Text: "#N/A"},
		"M1": {Kind: Text, Text: "laid on moss"},
		"A3": {Kind: Text, Text: "=1+1"},
		"C5": {Comment: "on a blank cell"},
	}, cellsOf(onlyGrid(t, f)))
	require.Equal(t, []int{1, 2, 3, 4, 5}, rowNumbers(f.Grids[0]), "blank rows between are there")
}

// Row 26 of the list of hostile inputs: days counted from 1904, and stretches of
// time beyond a day.
func TestRow26Calendar1904(t *testing.T) {
	for _, from1904 := range []bool{false, true} {
		raw := excelBytes(t, func(x *excelize.File) {
			require.NoError(t, x.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &from1904}))
			serial := 45355.3125
			if from1904 {
				serial -= 1462
			}
			setCell(t, x, "A1", math.Floor(serial))
			setCell(t, x, "B1", serial)
			setCell(t, x, "C1", 2.0625)
			setCell(t, x, "D1", 0.3125)
			setFormat(t, x, "A1", "A1", "yyyy-mm-dd")
			setFormat(t, x, "B1", "B1", "d.m.yy h:mm")
			setFormat(t, x, "C1", "C1", "[h]:mm")
			setFormat(t, x, "D1", "D1", "h:mm")
		})
		require.Equal(t, map[string]Cell{
			"A1": {Kind: Date, Text: "2024-03-04", Time: day(2024, time.March, 4, 0, 0), Format: "yyyy-mm-dd"},
			"B1": {Kind: Instant, Text: "2024-03-04T07:30:00", Time: day(2024, time.March, 4, 7, 30), Format: "d.m.yy h:mm"},
			"C1": {Kind: Span, Text: "49:30:00", Number: 2.0625, Format: "[h]:mm"},
			"D1": {Kind: Clock, Text: "07:30:00", Number: 0.3125, Format: "h:mm"},
		}, cellsOf(onlyGrid(t, Read("log.xlsx", raw, Limits{}))), "1904: %v", from1904)
	}
}

func TestDatesBefore1900MarchAreNumbersAndAProblem(t *testing.T) {
	f := Read("log.xlsx", excelBytes(t, func(x *excelize.File) {
		for i, serial := range []float64{0, 15, 60, 61, 45355, 3e6} {
			setCell(t, x, fmt.Sprintf("B%d", i+1), serial)
		}
		setFormat(t, x, "B1", "B6", "yyyy-mm-dd")
	}), Limits{})
	require.Len(t, f.Problems, 1)
	p := f.Problems[0]
	require.Equal(t, problem.DateOutOfRange, p.Code)
	require.Equal(t, problem.Error, p.Severity)
	require.Equal(t, "log.xlsx › Sheet1 › B1", p.Place.String())
	require.Contains(t, p.Message, "rows 1, 2, 3 and 6")
	requireSound(t, f)
	cells := cellsOf(f.Grids[0])
	require.Equal(t, Cell{Kind: Number, Text: "15", Number: 15, Format: "yyyy-mm-dd"}, cells["B2"])
	require.Equal(t, "1900-03-01", cells["B4"].Text)
}

// Row 35: formulas without a stored result, and errors.
func TestRow35Formulas(t *testing.T) {
	f := Read("log.xlsx", bookOf(t, map[string]string{"xl/worksheets/sheet1.xml": sheetXML(
		`<row r="1"><c r="A1"><f>SUM(B1:B9)</f></c><c r="B1" t="str"><f>A1&amp;"x"</f></c><c r="C1"><f>1+1</f><v>2</v></c><c r="D1" t="e"><f>NA()</f><v>#N/A</v></c>` +
			`<c r="E1" t="e"><v>#REF!</v></c><c r="F1" t="str"><f>IF(A2="","","x")</f><v></v></c><c r="G1" t="b"><f>TRUE()</f><v>1</v></c><c r="H1" t="str"><f>B2</f><v>moss</v></c></row>` +
			`<row r="2"><c r="A2"><f t="shared" ref="A2:A3" si="0">B2*2</f><v>4</v></c></row><row r="3"><c r="A3"><f t="shared" si="0"/><v>6</v></c><c r="B3"><f t="shared" si="9"/><v></v></c></row>`)}), Limits{})
	require.Empty(t, f.Problems)
	require.Equal(t, map[string]Cell{
		"A1": {Kind: Formula, Formula: "SUM(B1:B9)"},
		"B1": {Kind: Formula, Formula: `A1&"x"`},
		"C1": {Kind: Number, Text: "2", Number: 2, Formula: "1+1"},
		"D1": {Kind: Fault, Text: "#N/A", Formula: "NA()"},
		"E1": {Kind: Fault, Text: "#REF!"},
		"F1": {Formula: `IF(A2="","","x")`},
		"G1": {Kind: Bool, Text: "TRUE", Number: 1},
		"H1": {Kind: Text, Text: "moss", Formula: "B2"},
		"A2": {Kind: Number, Text: "4", Number: 4, Formula: "B2*2"},
		"A3": {Kind: Number, Text: "6", Number: 6, Formula: "B2*2 (filled from A2)"},
		"B3": {Kind: Formula, Formula: "filled from another cell"},
	}, cellsOf(onlyGrid(t, f)))

	written := onlyGrid(t, Read("log.xlsx", excelBytes(t, func(x *excelize.File) {
		require.NoError(t, x.SetCellFormula("Sheet1", "A1", "SUM(B1:B9)"))
	}), Limits{}))
	require.Equal(t, map[string]Cell{"A1": {Kind: Formula, Formula: "SUM(B1:B9)"}}, cellsOf(written))
}

// Row 36: what a format rounds away or adds.
func TestRow36Formats(t *testing.T) {
	f := Read("log.xlsx", excelBytes(t, func(x *excelize.File) {
		setCell(t, x, "A1", 24.6789)
		setCell(t, x, "B1", 0.935)
		setCell(t, x, "C1", 24.6789)
		setCell(t, x, "D1", 45355)
		setFormat(t, x, "A1", "A1", "0.0")
		setFormat(t, x, "B1", "B1", "0%")
		setFormat(t, x, "C1", "C1", `0.0" °C"`)
		setFormat(t, x, "D1", "D1", "mmm-yy")
	}), Limits{})
	require.Equal(t, map[string]Cell{
		"A1": {Kind: Number, Text: "24.6789", Number: 24.6789, Format: "0.0"},
		"B1": {Kind: Number, Text: "93.5", Number: 93.5, Unit: "%"},
		"C1": {Kind: Number, Text: "24.6789", Number: 24.6789, Unit: "°C"},
		"D1": {Kind: Date, Text: "2024-03-04", Time: day(2024, time.March, 4, 0, 0), Format: "mmm-yy"},
	}, cellsOf(onlyGrid(t, f)))
}

// Row 37: the same log written by LibreOffice in two forms and by another library
// reads the same, though LibreOffice repeats blank rows up to 1,048,576.
func TestRow37SameLogFromThreeWriters(t *testing.T) {
	want := logCells()
	for _, name := range []string{"log-libreoffice.xlsx", "log-libreoffice.ods"} {
		raw, err := os.ReadFile("testdata/" + name)
		require.NoError(t, err)
		var f File
		require.Less(t, allocated(func() { f = Read(name, raw, Limits{}) }), uint64(50<<20))
		requireLog(t, f, name)
		got := cellsOf(f.Grids[0])
		for place, c := range got { // the two forms write formulas and formats in two ways
			c.Formula, c.Format = strings.NewReplacer("[.", "", "]", "").Replace(c.Formula), strings.ReplaceAll(c.Format, `\`, "")
			got[place] = c
		}
		require.Equal(t, want, got, name)
		require.Equal(t, map[string]Cell{"A1": {Kind: Text, Text: "°µß"}}, cellsOf(f.Grids[1]), name)
	}
	f := Read("log.xlsx", excelBytes(t, writeLog(t)), Limits{})
	requireLog(t, f, "excel")
	got := cellsOf(f.Grids[0])
	require.Equal(t, Cell{Kind: Formula, Formula: "I5/4"}, got["J5"], "the library stores no results")
	require.Equal(t, Cell{Kind: Formula, Formula: "I6/0"}, got["J6"])
	got["J5"], got["J6"] = want["J5"], want["J6"]
	require.Equal(t, want, got)
}

// requireLog holds what the log in testdata/log.fods has besides cells.
func requireLog(t *testing.T, f File, name string) {
	t.Helper()
	require.Len(t, f.Grids, 2, "%s: %v", name, f.Problems)
	first, second := f.Grids[0], f.Grids[1]
	require.Equal(t, "2024", first.Sheet, name)
	require.Equal(t, []int{1, 2, 3, 4, 5, 6, 7, 8, 9}, rowNumbers(first), name)
	require.Equal(t, []Merge{{FirstRow: 1, LastRow: 1, FirstColumn: 0, LastColumn: 1}}, first.Merges, name)
	require.Equal(t, []int{1}, first.HiddenColumns, name)
	require.False(t, first.Hidden || first.Text, name)
	require.True(t, second.Hidden, name)
	for row := range first.Each {
		require.Equal(t, row.Number == 6, row.Hidden, "%s, row %d", name, row.Number)
	}
	require.Len(t, withCode(f.Problems, problem.Hidden), 2, name)
	require.Len(t, f.Problems, 2, name)
	requireSound(t, f)
}

// logCells is what testdata/log.fods holds on its first sheet.
func logCells() map[string]Cell {
	cells := map[string]Cell{
		"A1": {Kind: Text, Text: "Keeper: Ana & Jörg", Merged: true}, "B1": {Merged: true},
		"A5": {Kind: Date, Text: "2024-03-04", Time: day(2024, time.March, 4, 0, 0), Format: "yyyy-mm-dd"},
		"B5": {Kind: Instant, Text: "2024-03-04T07:30:00", Time: day(2024, time.March, 4, 7, 30), Format: "yyyy-mm-dd hh:mm"},
		"C5": {Kind: Date, Text: "2024-03-01", Time: day(2024, time.March, 1, 0, 0), Format: "mmm yyyy"},
		"D5": {Kind: Clock, Text: "07:30:00", Number: 0.3125, Format: "hh:mm"},
		"E5": {Kind: Span, Text: "49:30:00", Number: 2.0625, Format: "[hh]:mm"},
		"F5": {Kind: Number, Text: "93.5", Number: 93.5, Unit: "%"},
		"G5": {Kind: Number, Text: "24.6789", Number: 24.6789, Unit: "°C"},
		"H5": {Kind: Bool, Text: "TRUE", Number: 1},
		"I5": {Kind: Number, Text: "120", Number: 120, Comment: "counted twice"},
		"J5": {Kind: Number, Text: "30", Number: 30, Formula: "I5/4"},
		"K5": {Kind: Text, Text: "laid  on moss\nsecond line"},
		"A6": {Kind: Date, Text: "2024-03-05", Time: day(2024, time.March, 5, 0, 0), Format: "yyyy-mm-dd"},
		"H6": {Kind: Bool, Text: "FALSE"},
		"I6": {Kind: Number, Text: "0"},
		"J6": {Kind: Fault, Text: "#DIV/0!", Formula: "I6/0"},
		"K6": {Kind: Text, Text: "=cmd|' /C calc'!A0"},
	}
	for i, heading := range []string{"Date", "Seen", "Month", "Lights on", "Away", "Hatched", "Temp", "Spawned", "Eggs", "Per female", "Notes"} {
		cells[ColumnName(i)+"4"] = Cell{Kind: Text, Text: heading}
	}
	for _, row := range []string{"7", "8", "9"} {
		cells["A"+row] = Cell{Kind: Date, Text: "2024-03-06", Time: day(2024, time.March, 6, 0, 0), Format: "yyyy-mm-dd"}
		cells["I"+row] = Cell{Kind: Number, Text: "7", Number: 7}
	}
	return cells
}

// writeLog writes the log of testdata/log.fods by another library.
func writeLog(t testing.TB) func(x *excelize.File) {
	return func(x *excelize.File) {
		for place, c := range logCells() {
			switch {
			case c.Formula != "":
				require.NoError(t, x.SetCellFormula("Sheet1", place, c.Formula))
			case c.Kind == Text:
				setCell(t, x, place, c.Text)
			case c.Kind == Date || c.Kind == Instant:
				setCell(t, x, place, c.Time)
			case c.Kind == Bool:
				setCell(t, x, place, c.Number == 1)
			case c.Kind != Blank:
				setCell(t, x, place, c.Number)
			}
			if c.Format != "" {
				setFormat(t, x, place, place, c.Format)
			}
		}
		setCell(t, x, "F5", 0.935)
		setFormat(t, x, "F5", "F5", "0%")
		setFormat(t, x, "G5", "G5", `0.0" °C"`)
		require.NoError(t, x.AddComment("Sheet1", excelize.Comment{Cell: "I5", Paragraph: []excelize.RichTextRun{{Text: "counted twice"}}}))
		require.NoError(t, x.MergeCell("Sheet1", "A1", "B1"))
		require.NoError(t, x.SetRowVisible("Sheet1", 6, false))
		require.NoError(t, x.SetColVisible("Sheet1", "B", false))
		require.NoError(t, x.SetSheetName("Sheet1", "2024"))
		_, err := x.NewSheet("scratch")
		require.NoError(t, err)
		require.NoError(t, x.SetCellValue("scratch", "A1", "°µß"))
		require.NoError(t, x.SetSheetVisible("scratch", false))
	}
}

// Row 38: what is hidden is read and counted, also when nobody can unhide it.
func TestRow38Hidden(t *testing.T) {
	raw := excelBytes(t, func(x *excelize.File) {
		for row := 1; row <= 10; row++ {
			setCell(t, x, fmt.Sprintf("A%d", row), row)
			setCell(t, x, fmt.Sprintf("C%d", row), row)
		}
		for _, row := range []int{3, 4, 20} { // the last one is blank
			require.NoError(t, x.SetRowVisible("Sheet1", row, false))
		}
		require.NoError(t, x.SetColVisible("Sheet1", "B:XFD", false))
		for _, name := range []string{"gone", "deeply gone"} {
			_, err := x.NewSheet(name)
			require.NoError(t, err)
			require.NoError(t, x.SetCellValue(name, "A1", 1))
			require.NoError(t, x.SetSheetVisible(name, false, name == "deeply gone"))
		}
	})
	f := Read("log.xlsx", raw, Limits{})
	require.Len(t, f.Grids, 3)
	require.Equal(t, []int{1, 2}, f.Grids[0].HiddenColumns, "columns behind the last used one don't matter")
	require.True(t, f.Grids[1].Hidden && f.Grids[2].Hidden)
	notes := withCode(f.Problems, problem.Hidden)
	require.Len(t, notes, 3)
	require.Equal(t, "2 rows are hidden, 2 columns are hidden, and all of it was read", notes[0].Message)
	require.Equal(t, "the sheet is hidden, and all of it was read", notes[1].Message)
}

func TestMergedCells(t *testing.T) {
	f := Read("log.xlsx", excelBytes(t, func(x *excelize.File) {
		setCell(t, x, "A1", "Water")
		setCell(t, x, "C2", "last")
		setCell(t, x, "A3", "2024-03-04")
		setCell(t, x, "B5", 1)
		for _, block := range [][2]string{{"A1", "C1"}, {"A3", "A5"}, {"B6", "C9"}} {
			require.NoError(t, x.MergeCell("Sheet1", block[0], block[1]))
		}
	}), Limits{})
	g := onlyGrid(t, f)
	require.Equal(t, []Merge{{1, 1, 0, 2}, {3, 5, 0, 0}}, g.Merges, "a block beyond what is used does not matter")
	merged := map[string]bool{}
	for place, c := range cellsOf(g) {
		if c.Merged {
			merged[place] = true
		}
	}
	require.Equal(t, map[string]bool{"A1": true, "B1": true, "C1": true, "A3": true, "A4": true, "A5": true}, merged)
}

// writeFormats writes what LibreOffice then converted to
// testdata/formats-libreoffice.xlsx and .ods.
func writeFormats(t testing.TB) func(x *excelize.File) {
	return func(x *excelize.File) {
		yes := true
		require.NoError(t, x.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &yes}))
		for place, c := range map[string]struct {
			value  any
			format string
		}{
			"A1": {43893, "yyyy-mm-dd"}, "B1": {43893.3125, "d.m.yy h:mm"}, "C1": {2.0625, "[h]:mm"}, "D1": {0.3125, "h:mm AM/PM"},
			"E1": {43893.3125, "h:mm"}, "F1": {43862, "mmm-yy"},
			"A2": {1234.5, `[>=1000]0.0," mS";0" µS"`}, "B2": {-3.25, `+0.0" °C";-0.0" °C"`}, "C2": {0.0725, "0.0%"},
			"D2": {12.5, "#,##0.00 [$€-407]"}, "E2": {3.5, "# ?/?"}, "F2": {1.5e-9, "0.00E+00"},
			"A3": {`<tag> & "q"`, "@"}, "B3": {"a\nb", "@"}, "C3": {"  two  spaces  ", "@"}, "D3": {true, "General"},
			"A4": {"tank 4", "General"}, "B4": {4, "0"}, "B5": {5, "0"}, "B6": {6, "0"},
			"A8": {8, "0.0"}, "A9": {9, "0.0"},
		} {
			setCell(t, x, place, c.value)
			setFormat(t, x, place, place, c.format)
		}
		for place, formula := range map[string]string{"E3": "SUM(A2:B2)", "F3": `IF(A3="","x","")`, "G3": "NA()", "H3": "A2>1", "I3": `"a"&"b"`} {
			require.NoError(t, x.SetCellFormula("Sheet1", place, formula))
		}
		require.NoError(t, x.MergeCell("Sheet1", "A4", "A6"))
		require.NoError(t, x.SetCellRichText("Sheet1", "C4", []excelize.RichTextRun{{Text: "laid "}, {Text: "on", Font: &excelize.Font{Bold: true}}, {Text: " moss"}}))
		require.NoError(t, x.AddComment("Sheet1", excelize.Comment{Cell: "D5", Paragraph: []excelize.RichTextRun{{Text: "first\nsecond"}}}))
		require.NoError(t, x.SetRowVisible("Sheet1", 9, false))
		require.NoError(t, x.SetColVisible("Sheet1", "D", false))
	}
}

// What another library wrote and LibreOffice converted reads the same; but
// LibreOffice has worked out the formulas. FIXTURES names a folder to put the
// workbook in, from which testdata was made.
func TestFormatsThroughLibreOffice(t *testing.T) {
	raw := excelBytes(t, writeFormats(t))
	if dir := os.Getenv("FIXTURES"); dir != "" {
		require.NoError(t, os.WriteFile(dir+"/formats.xlsx", raw, 0o644))
	}
	want := cellsOf(onlyGrid(t, Read("formats.xlsx", raw, Limits{})))
	results := map[string]Cell{
		"E3": {Kind: Number, Text: "1231.25", Number: 1231.25}, "F3": {}, "G3": {Kind: Fault, Text: "#N/A"},
		"H3": {Kind: Bool, Text: "TRUE", Number: 1}, "I3": {Kind: Text, Text: "ab"},
	}
	for place, c := range results {
		require.Equal(t, Formula, want[place].Kind)
		want[place] = c
	}
	require.Equal(t, Cell{Kind: Number, Text: "1.2345", Number: 1.2345, Unit: "mS"}, want["A2"])
	require.Equal(t, Cell{Kind: Number, Text: "-3.25", Number: -3.25, Unit: "°C"}, want["B2"])
	require.Equal(t, Cell{Comment: "first\nsecond"}, want["D5"])
	for _, name := range []string{"formats-libreoffice.xlsx", "formats-libreoffice.ods"} {
		raw, err := os.ReadFile("testdata/" + name)
		require.NoError(t, err)
		f := Read(name, raw, Limits{})
		grid := onlyGrid(t, f)
		require.Equal(t, []Merge{{4, 6, 0, 0}}, grid.Merges, name)
		require.Equal(t, []int{3}, grid.HiddenColumns, name)
		got := cellsOf(grid)
		for place, w := range want {
			c := got[place]
			if w.Kind != Number { // programs write the decimals of a plain number each in their own way
				require.Equal(t, w.Format != "", c.Format != "", "%s, %s", name, place)
			}
			wantParts, gotParts := fmt.Sprint(FormatParts(w.Format)), fmt.Sprint(FormatParts(c.Format))
			require.Equal(t, wantParts, gotParts, "%s, %s", name, place)
			if _, calculated := results[place]; calculated {
				require.NotEmpty(t, c.Formula, "%s, %s", name, place)
				c.Formula = ""
			}
			w.Format, c.Format = "", ""
			require.Equal(t, w, c, "%s, %s", name, place)
		}
		require.Len(t, got, len(want), name)
	}
}

// What two readers make of the same workbook must agree where both can read it.
func TestAgainstAnotherReader(t *testing.T) {
	raw := excelBytes(t, func(x *excelize.File) {
		for row := 1; row <= 200; row++ {
			for column := range 12 {
				if (row+column)%5 == 0 {
					continue
				}
				place, err := excelize.CoordinatesToCellName(column+1, row)
				require.NoError(t, err)
				setCell(t, x, place, []any{row, fmt.Sprintf("note %d", row), float64(row) / 8, "ä" + strings.Repeat("b", column)}[(row*column)%4])
			}
		}
	})
	grid := onlyGrid(t, Read("log.xlsx", raw, Limits{}))
	x, err := excelize.OpenReader(bytes.NewReader(raw))
	require.NoError(t, err)
	defer x.Close()
	want, err := x.GetRows("Sheet1", excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	got := textRows(grid)
	require.Len(t, got, len(want))
	for i := range want {
		require.Equal(t, want[i], got[i], "row %d", i+1)
	}
}

// The stream writer and the normal one of the other library, and its tables,
// styles, charts and links, leave sheets that can be read.
func TestWhatTheOtherLibraryWrites(t *testing.T) {
	raw := excelBytes(t, func(x *excelize.File) {
		setCell(t, x, "A1", "date")
		setCell(t, x, "B1", "eggs")
		for row := 2; row < 20; row++ {
			setCell(t, x, fmt.Sprintf("A%d", row), day(2024, time.March, row, 0, 0))
			setCell(t, x, fmt.Sprintf("B%d", row), row)
		}
		require.NoError(t, x.AddTable("Sheet1", &excelize.Table{Range: "A1:B19"}))
		require.NoError(t, x.AddChart("Sheet1", "D2", &excelize.Chart{Type: excelize.Col, Series: []excelize.ChartSeries{{Values: "Sheet1!$B$2:$B$19"}}}))
		require.NoError(t, x.SetCellHyperLink("Sheet1", "A1", "https://example.invalid", "External"))
		require.NoError(t, x.SetPanes("Sheet1", &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
		require.NoError(t, x.AddDataValidation("Sheet1", &excelize.DataValidation{Sqref: "B2:B19", Type: "whole", Formula1: "0", Formula2: "9"}))
		_, err := x.NewSheet("stream")
		require.NoError(t, err)
		stream, err := x.NewStreamWriter("stream")
		require.NoError(t, err)
		for row := 1; row < 50; row++ {
			require.NoError(t, stream.SetRow(fmt.Sprintf("A%d", row), []any{row, "text", nil, 1.5, true, day(2024, time.March, 4, 0, 0)}))
		}
		require.NoError(t, stream.Flush())
		require.NoError(t, x.AddChartSheet("chart", &excelize.Chart{Type: excelize.Line, Series: []excelize.ChartSeries{{Values: "Sheet1!$B$2:$B$19"}}}))
	})
	f := Read("log.xlsx", raw, Limits{})
	require.Len(t, f.Grids, 2, "%v", f.Problems)
	require.Len(t, f.Problems, 1, "the chart sheet is named")
	require.Equal(t, problem.Note, f.Problems[0].Severity)
	require.Equal(t, "chart", f.Problems[0].Place.Sheet)
	require.Len(t, rowNumbers(f.Grids[0]), 19)
	require.Equal(t, "2024-03-04", cellsOf(f.Grids[0])["A4"].Text)
	stream := cellsOf(f.Grids[1])
	require.Equal(t, Cell{Kind: Text, Text: "text"}, stream["B7"])
	require.Equal(t, Cell{Kind: Bool, Text: "TRUE", Number: 1}, stream["E7"])
	require.Equal(t, day(2024, time.March, 4, 0, 0), stream["F7"].Time)
}

func BenchmarkWorksheet(b *testing.B) {
	raw := excelBytes(b, func(x *excelize.File) {
		stream, err := x.NewStreamWriter("Sheet1")
		require.NoError(b, err)
		for row := 1; row <= 100_000; row++ {
			require.NoError(b, stream.SetRow(fmt.Sprintf("A%d", row), []any{row, "2024-03-04", float64(row) / 7, "laid on moss", true, 6.8, 24.5, 180, "Ana", 1013.2}))
		}
		require.NoError(b, stream.Flush())
	})
	f := Read("log.xlsx", raw, Limits{})
	grid := onlyGrid(b, f)
	b.Run("read", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			onlyGrid(b, Read("log.xlsx", raw, Limits{}))
		}
	})
	b.Run("each", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			cells := 0
			for row := range grid.Each {
				cells += len(row.Cells)
			}
			if cells != 1_000_000 {
				b.Fatal(cells)
			}
		}
	})
}
