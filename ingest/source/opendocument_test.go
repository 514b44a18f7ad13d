package source

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/problem"
)

// openDocContent is the content of an OpenDocument spreadsheet with one sheet.
func openDocContent(rows string) string {
	return openDocSheets("", `<table:table table:name="log">`+rows+`</table:table>`)
}

func openDocSheets(styles, sheets string) string {
	return `<?xml version="1.0" encoding="UTF-8"?><office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0" xmlns:number="urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0" xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0">` +
		`<office:automatic-styles>` + styles + `</office:automatic-styles><office:body><office:spreadsheet>` + sheets + `</office:spreadsheet></office:body></office:document-content>`
}

func openDoc(t testing.TB, content string) []byte {
	t.Helper()
	return []byte(zipOf(t, "mimetype", openDocSheet, "META-INF/manifest.xml", "<manifest/>", "content.xml", content))
}

func readOpenDoc(t testing.TB, rows string) File {
	t.Helper()
	return Read("log.ods", openDoc(t, openDocContent(rows)), Limits{})
}

func TestOpenDocumentCells(t *testing.T) {
	f := readOpenDoc(t, `<table:table-row>`+
		`<table:table-cell office:value-type="float" office:value="24.5"><text:p>24,5</text:p></table:table-cell>`+
		`<table:table-cell office:value-type="percentage" office:value="0.07"><text:p>7%</text:p></table:table-cell>`+
		`<table:table-cell office:value-type="currency" office:currency="EUR" office:value="3"/>`+
		`<table:table-cell office:value-type="date" office:date-value="2024-03-04T07:30:00"/>`+
		`<table:table-cell office:value-type="time" office:time-value="PT07H30M00S"/>`+
		`<table:table-cell office:value-type="time" office:time-value="PT49H30M00S"/>`+
		`<table:table-cell office:value-type="boolean" office:boolean-value="true" table:formula="of:=TRUE()"/>`+
		`<table:table-cell office:value-type="string"><text:p>a<text:s text:c="3"/>b<text:tab/><text:span>c</text:span><text:line-break/>d</text:p></table:table-cell>`+
		`<table:table-cell office:value-type="string" office:string-value="stored"><text:p>shown</text:p></table:table-cell>`+
		`<table:table-cell table:formula="of:=[.A1]*2"/>`+
		`<table:table-cell office:value-type="string" calcext:value-type="error" table:formula="of:=NA()"><text:p>#N/A</text:p></table:table-cell>`+
		`<table:table-cell office:value-type="string" table:formula="of:=1/"><text:p>Err:510</text:p></table:table-cell>`+
		`<table:table-cell><text:p>untyped</text:p></table:table-cell>`+
		`<table:table-cell><office:annotation><text:p>one</text:p><text:p>two</text:p></office:annotation></table:table-cell>`+
		`</table:table-row>`)
	require.Empty(t, f.Problems)
	require.Equal(t, map[string]Cell{
		"A1": {Kind: Number, Text: "24.5", Number: 24.5},
		"B1": {Kind: Number, Text: "7", Number: 7, Unit: "%"},
		"C1": {Kind: Number, Text: "3", Number: 3, Unit: "EUR"},
		"D1": {Kind: Instant, Text: "2024-03-04T07:30:00", Time: day(2024, time.March, 4, 7, 30), Format: "General"},
		"E1": {Kind: Clock, Text: "07:30:00", Number: 0.3125, Format: "General"},
		"F1": {Kind: Span, Text: "49:30:00", Number: 2.0625, Format: "General"},
		"G1": {Kind: Bool, Text: "TRUE", Number: 1},
		"H1": {Kind: Text, Text: "a   b\tc\nd"},
		"I1": {Kind: Text, Text: "stored"},
		"J1": {Kind: Formula, Formula: "[.A1]*2"},
		"K1": {Kind: Fault, Text: "#N/A", Formula: "NA()"},
		"L1": {Kind: Fault, Text: "Err:510", Formula: "1/"},
		"M1": {Kind: Text, Text: "untyped"},
		"N1": {Comment: "one\ntwo"},
	}, cellsOf(onlyGrid(t, f)))
}

// Row 37 of the list of hostile inputs: repeats of blank rows and cells cost
// nothing, those of others are what they say.
func TestRow37Repeats(t *testing.T) {
	f := readOpenDoc(t, `<table:table-row table:number-rows-repeated="3"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>`+
		`<table:table-row table:number-rows-repeated="2"><table:table-cell/><table:table-cell table:number-columns-repeated="3" office:value-type="float" office:value="7"/><table:table-cell table:number-columns-repeated="16380"/></table:table-row>`+
		`<table:table-row table:number-rows-repeated="1048571"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>`)
	seven := []string{"", "7", "7", "7"}
	require.Equal(t, [][]string{{}, {}, {}, seven, seven}, textRows(onlyGrid(t, f)))

	for rows, code := range map[string]problem.Code{
		`<table:table-row><table:table-cell table:number-columns-repeated="2000" office:value-type="float" office:value="7"/></table:table-row>`:           problem.Limit,
		`<table:table-row table:number-rows-repeated="2000000"><table:table-cell office:value-type="float" office:value="7"/></table:table-row>`:           problem.SheetDamaged,
		`<table:table-row table:number-rows-repeated="0"><table:table-cell office:value-type="float" office:value="7"/></table:table-row>`:                 problem.SheetDamaged,
		`<table:table-row><table:table-cell table:number-columns-repeated="-1"/></table:table-row>`:                                                        problem.SheetDamaged,
		`<table:table-row><table:table-cell office:value-type="float" office:value="x"/></table:table-row>`:                                                problem.SheetDamaged,
		`<table:table-row><table:table-cell office:value-type="date" office:date-value="2024-02-30"/></table:table-row>`:                                   problem.SheetDamaged,
		`<table:table-row><table:table-cell office:value-type="boolean" office:boolean-value="maybe"/></table:table-row>`:                                  problem.SheetDamaged,
		`<table:table-row><table:table-cell office:value-type="complex" office:value="1i"/></table:table-row>`:                                             problem.SheetDamaged,
		`<table:table-row><table:table-cell office:value-type="string"><text:p><text:s text:c="999999999"/></text:p></table:table-cell></table:table-row>`: problem.Limit,
	} {
		p := onlyError(t, readOpenDoc(t, rows), code)
		require.Equal(t, "log", p.Place.Sheet)
	}
	f = Read("log.ods", openDoc(t, openDocContent(`<table:table-row table:number-rows-repeated="1000"><table:table-cell table:number-columns-repeated="1000" office:value-type="float" office:value="7"/></table:table-row>`)), Limits{Cells: 100_000})
	onlyError(t, f, problem.Limit)
}

func TestOpenDocumentStyles(t *testing.T) {
	styles := `<number:number-style style:name="N1"><number:number number:decimal-places="1"/><number:text> °C</number:text></number:number-style>` +
		`<number:date-style style:name="N2"><number:month number:textual="true"/><number:text> </number:text><number:year number:style="long"/></number:date-style>` +
		`<style:style style:name="base" style:family="table-cell" style:data-style-name="N1"/>` +
		`<style:style style:name="derived" style:family="table-cell" style:parent-style-name="base"/>` +
		`<style:style style:name="month" style:family="table-cell" style:data-style-name="N2"/>` +
		`<style:style style:name="turn" style:family="table-cell" style:parent-style-name="turn"/>`
	sheet := `<table:table table:name="log"><table:table-column table:number-columns-repeated="2" table:default-cell-style-name="derived"/><table:table-column table:default-cell-style-name="month"/>` +
		`<table:table-header-rows><table:table-row><table:table-cell office:value-type="float" office:value="24"/><table:table-cell table:style-name="turn" office:value-type="float" office:value="24"/>` +
		`<table:table-cell office:value-type="date" office:date-value="2024-03-01"/></table:table-row></table:table-header-rows></table:table>`
	cells := cellsOf(onlyGrid(t, Read("log.ods", openDoc(t, openDocSheets(styles, sheet)), Limits{})))
	require.Equal(t, Cell{Kind: Number, Text: "24", Number: 24, Unit: "°C"}, cells["A1"])
	require.Equal(t, Cell{Kind: Number, Text: "24", Number: 24}, cells["B1"])
	_, month, day, _ := FormatParts(cells["C1"].Format)
	require.True(t, month && !day)
}

// A sheet that cannot be read leaves the others, and tracked changes are no cells.
func TestOpenDocumentSheetsApart(t *testing.T) {
	good := `<table:table-row><table:table-cell office:value-type="float" office:value="7"/></table:table-row>`
	bad := `<table:table-row><table:table-cell office:value-type="float" office:value="seven"/></table:table-row>`
	changes := `<table:tracked-changes><table:cell-content-change><table:previous><table:change-track-table-cell office:value-type="float" office:value="1"/></table:previous></table:cell-content-change></table:tracked-changes>`
	f := Read("log.ods", openDoc(t, openDocSheets("", changes+`<table:table table:name="a">`+bad+`</table:table><table:table table:name="b">`+good+`</table:table><table:table table:name="B">`+good+`</table:table>`)), Limits{})
	require.Equal(t, "b", onlyGrid(t, f).Sheet)
	require.Equal(t, [][]string{{"7"}}, textRows(f.Grids[0]))
	require.Len(t, f.Problems, 2)
	require.Equal(t, "B", f.Problems[0].Place.Sheet)
	require.Equal(t, "a", f.Problems[1].Place.Sheet)
}

func TestOpenDocumentDamage(t *testing.T) {
	whole := openDocContent(`<table:table-row/>`)
	for name, content := range map[string]string{
		"cut":            whole[:len(whole)/2],
		"document type":  "<!DOCTYPE x>" + whole,
		"no sheets":      openDocSheets("", ""),
		"other prefixes": `<o:document-content xmlns:o="urn:oasis:names:tc:opendocument:xmlns:office:1.0"/>`,
		"false prefixes": `<office:document-content xmlns:office="urn:x"/>`,
	} {
		onlyError(t, Read("log.ods", openDoc(t, content), Limits{}), problem.WorkbookDamaged)
		_ = name
	}
	onlyError(t, Read("log.ods", []byte(zipOf(t, "mimetype", openDocSheet, "META-INF/manifest.xml", "<manifest/>")), Limits{}), problem.WorkbookDamaged)
	onlyError(t, Read("log.ods", []byte(zipOf(t, "mimetype", openDocSheet, "content.xml", whole)), Limits{}), problem.WorkbookDamaged)
}

func TestOpenDocumentCalendar(t *testing.T) {
	settings := `<table:calculation-settings><table:null-date table:date-value="1904-01-01"/></table:calculation-settings>`
	clock := `<number:time-style style:name="N1"><number:hours/><number:text>:</number:text><number:minutes number:style="long"/></number:time-style><style:style style:name="clock" style:family="table-cell" style:data-style-name="N1"/>`
	sheet := `<table:table table:name="log"><table:table-row><table:table-cell table:style-name="clock" office:value-type="time" office:time-value="PT1053439H30M00S"/></table:table-row></table:table>`
	cells := cellsOf(onlyGrid(t, Read("log.ods", openDoc(t, openDocSheets(clock, settings+sheet)), Limits{})))
	// 1,053,439.5 h are 43,893.3125 days, 45,355.3125 less the 1,462 of 1904.
	require.Equal(t, Cell{Kind: Instant, Text: "2024-03-04T07:30:00", Time: day(2024, time.March, 4, 7, 30), Format: `h\:mm`}, cells["A1"])
}
