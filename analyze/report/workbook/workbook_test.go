package workbook_test

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"gravid/analyze/report"
	"gravid/analyze/report/internal/reporttest"
	"gravid/analyze/report/workbook"
)

func write(t testing.TB, d *report.Document) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, workbook.Write(&b, d, workbook.Options{}))
	return b.Bytes()
}

func open(t testing.TB, raw []byte) *excelize.File {
	t.Helper()
	f, err := excelize.OpenReader(bytes.NewReader(raw))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, f.Close()) })
	return f
}

func samples() map[string]*report.Document {
	return map[string]*report.Document{
		"season": reporttest.Season(), "hostile": reporttest.Hostile(), "figures": reporttest.Figures(), "empty": {}, "large": reporttest.Huge(1000),
	}
}

func TestReopened(t *testing.T) {
	for name, d := range samples() {
		t.Run(name, func(t *testing.T) {
			raw := write(t, d)
			require.NoError(t, workbook.Check(bytes.NewReader(raw), d))
			require.Equal(t, raw, write(t, d), "the same document must give the same bytes")
		})
	}
}

// TestGolden compares what a reader sees of each sheet, as the library reads it.
func TestGolden(t *testing.T) {
	g := reporttest.OpenGoldens(t, "testdata")
	for name, d := range map[string]*report.Document{"season": reporttest.Season(), "empty": {}} {
		t.Run(name, func(t *testing.T) { g.Equal(t, name+".txt", []byte(dump(t, open(t, write(t, d))))) })
	}
}

// dump lists sheets, tables, notes and the shown value of every cell that holds one.
func dump(t *testing.T, f *excelize.File) string {
	var b strings.Builder
	for _, sheet := range f.GetSheetList() {
		fmt.Fprintf(&b, "== %s\n", sheet)
		tables, err := f.GetTables(sheet)
		require.NoError(t, err)
		slices.SortFunc(tables, func(a, b excelize.Table) int { return strings.Compare(a.Name, b.Name) })
		for _, table := range tables {
			fmt.Fprintf(&b, "table %s %s\n", table.Name, table.Range)
		}
		notes, err := f.GetComments(sheet)
		require.NoError(t, err)
		fmt.Fprintf(&b, "notes %d\n", len(notes))
		rows, err := f.GetRows(sheet)
		require.NoError(t, err)
		for i, row := range rows {
			if line := strings.TrimRight(strings.Join(row, "\t"), "\t"); line != "" {
				fmt.Fprintf(&b, "%d\t%s\n", i+1, line)
			}
		}
	}
	return b.String()
}

func TestSheets(t *testing.T) {
	f := open(t, write(t, reporttest.Season()))
	assert.Equal(t, []string{"Reading guide", "Season at a glance", "Triggers", "Timing", "Eggs", "Keepers", "Attempts", "Set aside", "Methods", "Calendar", "Columns"}, f.GetSheetList())
	assert.Equal(t, 0, f.GetActiveSheetIndex())
	panes, err := f.GetPanes("Attempts")
	require.NoError(t, err)
	assert.True(t, panes.Freeze)
	assert.Equal(t, 1, panes.XSplit, "the column that names the row stays in view")
	cell, err := f.GetCellValue("Attempts", fmt.Sprintf("A%d", panes.YSplit))
	require.NoError(t, err)
	assert.Equal(t, "Attempt", cell, "the header is the last row that stays in view")
	title, err := f.GetDocProps()
	require.NoError(t, err)
	assert.Equal(t, "Season 2026 of the river club", title.Title)
}

// TestSheetNames holds names to the rules of the format: at most 31 UTF-16 units,
// none of : \ / ? * [ ], no apostrophe at an end, not "History", none twice
// whatever the case.
func TestSheetNames(t *testing.T) {
	names := open(t, write(t, reporttest.Hostile())).GetSheetList()
	seen := map[string]bool{}
	for _, n := range names {
		assert.LessOrEqual(t, len(utf16.Encode([]rune(n))), 31, n)
		assert.NotEmpty(t, n)
		assert.False(t, strings.ContainsAny(n, `:\/?*[]`), n)
		assert.Equal(t, n, strings.Trim(n, "' "))
		assert.NotEqual(t, "history", strings.ToLower(n))
		assert.False(t, seen[strings.ToLower(n)], "%q twice", n)
		seen[strings.ToLower(n)] = true
	}
	assert.Equal(t, "Reading guide", names[0])
	assert.Contains(t, names, "Reading guide (2)")
}

func TestValuesKeepTheirKind(t *testing.T) {
	f := open(t, write(t, reporttest.Season()))
	find := func(sheet, want string) (row int) {
		rows, err := f.GetRows(sheet, excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		for i, r := range rows {
			if len(r) > 1 && r[0] == want && r[1] != "" {
				return i + 1
			}
		}
		t.Fatalf("no row %q", want)
		return 0
	}
	row := find("Season at a glance", "Corydoras paleatus")
	for cell, want := range map[string]string{"B": "6", "E": "49%", "F": "61.3", "H": "2026-09-12", "I": "no"} {
		got, err := f.GetCellValue("Season at a glance", fmt.Sprintf("%s%d", cell, row))
		require.NoError(t, err)
		assert.Equal(t, want, strings.ReplaceAll(got, " ", ""), cell)
	}
	raw, err := f.GetCellValue("Season at a glance", fmt.Sprintf("H%d", row), excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	assert.Equal(t, "46277", raw, "2026-09-12 as days since 1899-12-30; derivation: 126 years of 365 days, 31 leap days, 254 days of 2026, 1 day to 1900, 1 for the day that never was")
	raw, err = f.GetCellValue("Triggers", fmt.Sprintf("D%d", find("Triggers", "Tank mates removed")))
	require.NoError(t, err)
	assert.Equal(t, "no limit", raw)
}

func TestNothingBecomesAFormula(t *testing.T) {
	raw := write(t, reporttest.Hostile())
	f := open(t, raw)
	texts := map[string]bool{}
	for _, sheet := range f.GetSheetList() {
		rows, err := f.GetRows(sheet)
		require.NoError(t, err)
		for i, row := range rows {
			for j, v := range row {
				texts[v] = true
				name, err := excelize.CoordinatesToCellName(j+1, i+1)
				require.NoError(t, err)
				formula, err := f.GetCellFormula(sheet, name)
				require.NoError(t, err)
				require.Empty(t, formula, "%s!%s", sheet, name)
			}
		}
	}
	for _, want := range []string{`=HYPERLINK("http://example.invalid","click")`, "+1+1", "-2+3", "@SUM(A1:A9)", "=1+1", "_x0041_", "_x005F_x0041_x000D_", `\x1b[31mred\x1b[0m\x07\x00`, `invoice\u202efdp.exe`, "<script>alert(1)</script>"} {
		assert.True(t, texts[want], "%q must be there as text", want)
	}
	for name, part := range parts(t, raw) {
		assert.NotContains(t, part, "<f>=", name)
		assert.NotContains(t, part, "javascript:", name)
		assert.NotContains(t, part, "https://example.invalid", name)
		assert.NotContains(t, part, "\u202e", name)
	}
}

func TestLongTextIsCutWithAMark(t *testing.T) {
	f := open(t, write(t, reporttest.Hostile()))
	rows, err := f.GetRows("Long text")
	require.NoError(t, err)
	cutRows := 0
	for _, r := range rows {
		if len(r) > 0 && strings.HasSuffix(r[0], "(cut: the cell can hold no more)") {
			units := len(utf16.Encode([]rune(r[0])))
			assert.LessOrEqual(t, units, 32767)
			assert.Greater(t, units, 32700)
			cutRows++
		}
	}
	assert.Equal(t, 2, cutRows)
}

func TestLinks(t *testing.T) {
	raw := write(t, reporttest.Season())
	f := open(t, raw)
	ok, target, err := f.GetCellHyperLink("Triggers", "A2")
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Equal(t, "'Reading guide'!A1", target)
	rels := parts(t, raw)["xl/worksheets/_rels/sheet7.xml.rels"]
	assert.Contains(t, rels, `Target="logs/keeper%20a/log-a.xlsx" TargetMode="External"`)
	assert.Equal(t, 7, strings.Count(rels, `TargetMode="External"`), "7 logs, each named once")
	assert.Contains(t, parts(t, raw)["xl/worksheets/sheet7.xml"], `location="&#39;2026&#39;!B2"`)
}

func TestManyLinksStayWithinTheFormat(t *testing.T) {
	table := report.Table{ID: "t", Columns: []report.Column{{Name: "Source"}}}
	for i := range 66000 {
		c := report.T("x")
		c.Link = fmt.Sprintf("logs/%d.csv", i%9)
		table.Rows = append(table.Rows, []report.Cell{c})
	}
	raw := write(t, &report.Document{Sections: []report.Section{{ID: "a", Title: "A", Tables: []report.Table{table}}}})
	n := strings.Count(parts(t, raw)["xl/worksheets/sheet2.xml"], "<hyperlink ")
	assert.LessOrEqual(t, n, 65530)
	assert.Greater(t, n, 64000)
}

func TestPrint(t *testing.T) {
	f := open(t, write(t, reporttest.Season()))
	names := map[string]string{}
	for _, n := range f.GetDefinedName() {
		names[n.Scope+" "+n.Name] = n.RefersTo
	}
	assert.Regexp(t, `^'Attempts'!\$\d+:\$\d+$`, names["Attempts _xlnm.Print_Titles"])
	assert.Regexp(t, `^'Triggers'!\$A\$1:`, names["Triggers _xlnm.Print_Area"])
	for _, s := range f.GetSheetList() {
		page, err := f.GetPageLayout(s)
		require.NoError(t, err)
		assert.Equal(t, 9, *page.Size, "A4 in the list of paper sizes of ECMA-376")
		assert.Equal(t, "landscape", *page.Orientation)
		assert.Equal(t, 1, *page.FitToWidth)
		assert.Equal(t, 0, *page.FitToHeight)
	}
}

// TestChartsDrawTheFiguresNumbers adds the pieces of floating bars up again.
func TestChartsDrawTheFiguresNumbers(t *testing.T) {
	f := open(t, write(t, reporttest.Season()))
	rows, err := f.GetRows("Triggers", excelize.Options{RawCellValue: true})
	require.NoError(t, err)
	number := func(s string) float64 {
		var x float64
		if s != "" {
			_, err := fmt.Sscan(s, &x)
			require.NoError(t, err)
		}
		return x
	}
	checked := 0
	for _, p := range reporttest.Season().Sections[1].Figures[0].Series[0].Points {
		name := p.Label
		if p.Faint {
			name = "○ " + name
		}
		for _, r := range slices.Backward(rows) {
			if len(r) == 0 || r[0] != name {
				continue
			}
			for len(r) < 10 {
				r = append(r, "")
			}
			up, down := math.Max(number(r[1]), 0), math.Min(number(r[1]), 0)
			for _, v := range r[2:10] {
				up += math.Max(number(v), 0)
				down += math.Min(number(v), 0)
			}
			lo, hi := math.Max(p.XLo, -30), math.Min(p.XHi, 50) // the axis ends that the unbounded one is drawn to
			if hi > 0 {
				assert.InDelta(t, hi, up, 1e-9, name)
			}
			if lo < 0 {
				assert.InDelta(t, lo, down, 1e-9, name)
			}
			checked++
			break
		}
	}
	assert.Equal(t, 11, checked)
}

func TestRemarksGetAColumn(t *testing.T) {
	estimated := report.N(report.Decimal, 24.5)
	estimated.Text = "estimated"
	d := &report.Document{Sections: []report.Section{{ID: "a", Title: "A", Tables: []report.Table{{ID: "t", Columns: []report.Column{{Name: "Temperature", Unit: "°C", Format: report.Decimal}, {Name: "temperature (°C)"}},
		Rows: [][]report.Cell{{estimated, report.T("x")}, {report.N(report.Decimal, 22), report.T("")}}}}}}}
	f := open(t, write(t, d))
	rows, err := f.GetRows("A")
	require.NoError(t, err)
	require.Contains(t, rows, []string{"Temperature (°C)", "Temperature (°C), remark", "temperature (°C) (2)"}, "headers of a table must differ, whatever the case")
	require.Contains(t, rows, []string{"24.5", "estimated", "x"})
}

func TestPropertiesComeFromTheOptionsAlone(t *testing.T) {
	var b bytes.Buffer
	made := time.Date(2026, 10, 1, 12, 0, 0, 0, time.FixedZone("", 7200))
	require.NoError(t, workbook.Write(&b, reporttest.Season(), workbook.Options{Made: made, Creator: "The river club"}))
	p, err := open(t, b.Bytes()).GetDocProps()
	require.NoError(t, err)
	assert.Equal(t, "2026-10-01T10:00:00Z", p.Created)
	assert.Equal(t, "The river club", p.Creator)
	r, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	require.NoError(t, err)
	for _, f := range r.File {
		assert.True(t, f.Modified.Equal(time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)), f.Name)
	}
}

// TestCheckFinds breaks a sound file in one way after the other.
func TestCheckFinds(t *testing.T) {
	d := reporttest.Season()
	raw := write(t, d)
	change := func(part, from, to string) []byte {
		t.Helper()
		ps := parts(t, raw)
		require.Contains(t, ps[part], from, part)
		ps[part] = strings.Replace(ps[part], from, to, 1)
		return pack(t, ps)
	}
	for want, broken := range map[string][]byte{
		"the sheets are":         change("xl/workbook.xml", `name="Eggs"`, `name="Egg"`),
		"want the text":          change("xl/sharedStrings.xml", "Keeper A", "Keeper Z"),
		"want the number":        change("xl/worksheets/sheet3.xml", "<v>0.034</v>", "<v>0.035</v>"),
		"links: A2 leads to":     change("xl/worksheets/sheet3.xml", `<hyperlink ref="A2" location="&#39;Reading`, `<hyperlink ref="A2" location="&#39;Writing`),
		"links: there are 62":    change("xl/worksheets/sheet7.xml", `</hyperlinks>`, `<hyperlink ref="Z9" location="A1"/></hyperlinks>`),
		"want \"A":               change("xl/tables/table1.xml", `ref="A`, `ref="B`),
		"its text is":            change("xl/drawings/drawing1.xml", `descr="Bars`, `descr="Cars`),
		"lies over rows":         change("xl/drawings/drawing1.xml", `<xdr:row>`, `<xdr:row>9`),
		"draws 8 series, want 9": change("xl/charts/chart2.xml", `</ser><ser>`, ``),
		"stay in view":           change("xl/worksheets/sheet7.xml", `xSplit="1"`, `xSplit="2"`),
		"not fitted to the page": change("xl/worksheets/sheet2.xml", `fitToPage="true"`, `fitToPage="false"`),
		"_xlnm.Print_Titles":     change("xl/workbook.xml", "_xlnm.Print_Titles", "_xlnm.Print_Tables"),
		"notes: ":                change("xl/comments1.xml", "Accepted scientific name.", "Accepted name."),
	} {
		t.Run(want, func(t *testing.T) {
			require.ErrorContains(t, workbook.Check(bytes.NewReader(broken), d), want)
		})
	}
	assert.Error(t, workbook.Check(strings.NewReader("no workbook"), d))
	assert.Error(t, workbook.Check(bytes.NewReader(raw), reporttest.Figures()))
}

func parts(t testing.TB, raw []byte) map[string]string {
	t.Helper()
	r, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	require.NoError(t, err)
	out := map[string]string{}
	for _, f := range r.File {
		p, err := f.Open()
		require.NoError(t, err)
		b, err := io.ReadAll(p)
		require.NoError(t, err)
		out[f.Name] = string(b)
	}
	return out
}

func pack(t testing.TB, ps map[string]string) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for name, part := range ps {
		p, err := w.Create(name)
		require.NoError(t, err)
		_, err = io.WriteString(p, part)
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return b.Bytes()
}

func TestFaultsAreErrors(t *testing.T) {
	bad := &report.Document{Sections: []report.Section{{ID: "a"}, {ID: "a"}}}
	assert.ErrorContains(t, workbook.Write(io.Discard, bad, workbook.Options{}), "used twice")
	assert.ErrorContains(t, workbook.Check(strings.NewReader(""), bad), "used twice")
	broken := errors.New("disk full")
	assert.ErrorIs(t, workbook.Write(failing{broken}, reporttest.Season(), workbook.Options{}), broken)
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

func BenchmarkWrite20k(b *testing.B) {
	d := reporttest.Huge(20000)
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, workbook.Write(io.Discard, d, workbook.Options{}))
	}
}

func BenchmarkWriteSeason(b *testing.B) {
	d := reporttest.Season()
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, workbook.Write(io.Discard, d, workbook.Options{}))
	}
}

func BenchmarkCheck20k(b *testing.B) {
	d := reporttest.Huge(20000)
	raw := write(b, d)
	b.ReportAllocs()
	for b.Loop() {
		require.NoError(b, workbook.Check(bytes.NewReader(raw), d))
	}
}
