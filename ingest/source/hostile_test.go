package source

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"io"
	"maps"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"gravid/ingest/problem"
)

// sheetXML is a worksheet with those rows.
func sheetXML(rows string, rest ...string) string {
	return `<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheetData>` +
		rows + `</sheetData>` + strings.Join(rest, "") + `</worksheet>`
}

// bookParts is a workbook of two sheets, "log" and "other".
func bookParts() map[string]string {
	const ns = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"`
	const rel = `http://schemas.openxmlformats.org/officeDocument/2006/relationships/`
	return map[string]string{
		"[Content_Types].xml": `<Types/>`,
		"_rels/.rels":         `<Relationships><Relationship Id="rId1" Type="` + rel + `officeDocument" Target="xl/workbook.xml"/></Relationships>`,
		"xl/workbook.xml":     `<workbook ` + ns + `><sheets><sheet name="log" sheetId="1" r:id="rId1"/><sheet name="other" sheetId="2" r:id="rId2"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels": `<Relationships><Relationship Id="rId1" Type="` + rel + `worksheet" Target="worksheets/sheet1.xml"/>` +
			`<Relationship Id="rId2" Type="` + rel + `worksheet" Target="/xl/worksheets/sheet2.xml"/>` +
			`<Relationship Id="rId3" Type="` + rel + `styles" Target="styles.xml"/><Relationship Id="rId4" Type="` + rel + `sharedStrings" Target="sharedStrings.xml"/></Relationships>`,
		"xl/styles.xml":            `<styleSheet ` + ns + `><numFmts><numFmt numFmtId="164" formatCode="0.0&quot; °C&quot;"/></numFmts><cellXfs><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="164"/></cellXfs></styleSheet>`,
		"xl/sharedStrings.xml":     `<sst ` + ns + `><si><t>date</t></si><si><r><t>la</t></r><r><t>id</t></r><rPh><t>no</t></rPh></si></sst>`,
		"xl/worksheets/sheet1.xml": sheetXML(`<row r="1"><c r="A1" t="s"><v>0</v></c></row>`),
		"xl/worksheets/sheet2.xml": sheetXML(`<row r="1"><c r="A1" t="s"><v>1</v></c></row>`),
	}
}

// bookOf is that workbook with some parts replaced, or left out where empty.
func bookOf(t testing.TB, replace map[string]string) []byte {
	t.Helper()
	parts := bookParts()
	if replace["xl/worksheets/sheet2.xml"] == "" {
		parts["xl/workbook.xml"] = strings.Replace(parts["xl/workbook.xml"], `<sheet name="other" sheetId="2" r:id="rId2"/>`, "", 1)
	}
	return zipParts(t, parts, replace)
}

// bookOfTwo is bookOf with both sheets.
func bookOfTwo(t testing.TB, replace map[string]string) []byte {
	t.Helper()
	return zipParts(t, bookParts(), replace)
}

func zipParts(t testing.TB, parts, replace map[string]string) []byte {
	t.Helper()
	for name, content := range replace {
		parts[name] = content
	}
	var pairs []string
	for name, content := range parts {
		if content != "" {
			pairs = append(pairs, name+"\x00"+content)
		}
	}
	slices.Sort(pairs)
	var flat []string
	for _, pair := range pairs {
		name, content, _ := strings.Cut(pair, "\x00")
		flat = append(flat, name, content)
	}
	return []byte(zipOf(t, flat...))
}

// allocated is how many bytes do allocates in all, which is never less than what
// it holds at once.
func allocated(do func()) uint64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	do()
	runtime.ReadMemStats(&after)
	return after.TotalAlloc - before.TotalAlloc
}

// requireSheetRefused requires that the sheet "log" is refused by name with a
// message, and the other one read.
func requireSheetRefused(t testing.TB, raw []byte, code problem.Code, says string) {
	t.Helper()
	var f File
	require.Less(t, allocated(func() { f = Read("log.xlsx", raw, Limits{}) }), uint64(50<<20))
	require.Len(t, f.Problems, 1, "%s: %v", says, f.Problems)
	p := f.Problems[0]
	require.Equal(t, problem.Error, p.Severity)
	require.Equal(t, code, p.Code, "%v", p)
	require.Equal(t, "log", p.Place.Sheet, "%v", p)
	require.Contains(t, p.Message, says)
	requireSound(t, f)
	require.Equal(t, "other", onlyGrid(t, f).Sheet)
	require.Equal(t, [][]string{{"laid"}}, textRows(f.Grids[0]))
}

// Row 39 of the list of hostile inputs: cells far out to the right.
func TestRow39CellsFarOut(t *testing.T) {
	var rows strings.Builder
	for row := 1; row <= 2000; row++ {
		fmt.Fprintf(&rows, `<row r="%d"><c r="XFD%d"><v>1</v></c></row>`, row, row)
	}
	requireSheetRefused(t, bookOfTwo(t, map[string]string{"xl/worksheets/sheet1.xml": sheetXML(rows.String())}), problem.Limit, "column XFD")
	styled := strings.ReplaceAll(rows.String(), "<v>1</v>", "") + `<row r="2001"><c r="B2001"><v>1</v></c></row>`
	f := Read("log.xlsx", bookOf(t, map[string]string{"xl/worksheets/sheet1.xml": sheetXML(styled)}), Limits{})
	require.Equal(t, 1, len(cellsOf(onlyGrid(t, f))), "blank cells out there are nothing")
	comment := map[string]string{
		"xl/worksheets/_rels/sheet1.xml.rels": `<Relationships><Relationship Id="r1" Type="x/comments" Target="../comments1.xml"/></Relationships>`,
		"xl/comments1.xml":                    `<comments><commentList><comment ref="XFD1"><text><t>far</t></text></comment></commentList></comments>`,
	}
	requireSheetRefused(t, bookOfTwo(t, comment), problem.Limit, "column XFD")
}

// spacesBook is a workbook whose first sheet has so many MiB of spaces in its
// middle. They are packed once and put together, as packing them all takes long.
func spacesBook(t testing.TB, mebibytes int) []byte {
	t.Helper()
	parts := bookParts()
	const name = "xl/worksheets/sheet1.xml"
	head, tail, _ := strings.Cut(parts[name], "<sheetData>")
	tail = "<sheetData>" + tail
	spaces := strings.Repeat(" ", 1<<20)
	sum := crc32.NewIEEE()
	var packed bytes.Buffer
	add := func(text string, times int) {
		var block bytes.Buffer
		w, err := flate.NewWriter(&block, flate.BestCompression)
		require.NoError(t, err)
		_, err = io.WriteString(w, text)
		require.NoError(t, err)
		require.NoError(t, w.Flush())
		for range times {
			packed.Write(block.Bytes())
			_, err = io.WriteString(sum, text)
			require.NoError(t, err)
		}
	}
	add(head, 1)
	add(spaces, mebibytes)
	add(tail, 1)
	packed.WriteString("\x03\x00") // the last block, empty
	delete(parts, name)

	var b bytes.Buffer
	z := zip.NewWriter(&b)
	w, err := z.CreateRaw(&zip.FileHeader{
		Name: name, Method: zip.Deflate, CRC32: sum.Sum32(), CompressedSize64: uint64(packed.Len()),
		UncompressedSize64: uint64(len(head) + mebibytes<<20 + len(tail)),
	})
	require.NoError(t, err)
	_, err = packed.WriteTo(w)
	require.NoError(t, err)
	for _, name := range slices.Sorted(maps.Keys(parts)) {
		w, err := z.Create(name)
		require.NoError(t, err)
		_, err = io.WriteString(w, parts[name])
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.Bytes()
}

// Row 40: parts that unpack to more than is read, and too many texts.
func TestRow40InflateBombs(t *testing.T) {
	raw := spacesBook(t, 300)
	var f File
	require.Less(t, allocated(func() { f = Read("log.xlsx", raw, Limits{}) }), uint64(50<<20))
	onlyError(t, f, problem.Limit)

	raw = spacesBook(t, 20) // within the limits, and read without keeping it
	require.Less(t, allocated(func() { f = Read("log.xlsx", raw, Limits{}) }), uint64(2<<20))
	require.Len(t, f.Grids, 2)
	onlyError(t, Read("log.xlsx", raw, Limits{UnpackBytes: 10 << 20}), problem.Limit)

	texts := "<sst>" + strings.Repeat("<si/>", 6_000_000) + "</sst>"
	raw = bookOf(t, map[string]string{"xl/sharedStrings.xml": texts})
	require.Less(t, allocated(func() { f = Read("log.xlsx", raw, Limits{}) }), uint64(50<<20))
	onlyError(t, f, problem.Limit)

	raw = bookOf(t, map[string]string{"xl/sharedStrings.xml": "<sst><si><t>" + strings.Repeat("x", 2<<20) + "</t></si></sst>"})
	onlyError(t, Read("log.xlsx", raw, Limits{}), problem.Limit)

	many := bookParts()
	for i := range 2000 {
		many[fmt.Sprintf("xl/media/%d.png", i)] = "x"
	}
	onlyError(t, Read("log.xlsx", zipParts(t, many, nil), Limits{}), problem.Limit)
}

func TestCellAndMergeLimits(t *testing.T) {
	cells := sheetXML(`<row r="1"><c r="A1"><v>1</v></c><c r="B1"><v>1</v></c><c r="C1"><v>1</v></c></row>`)
	f := Read("log.xlsx", bookOf(t, map[string]string{"xl/worksheets/sheet1.xml": cells}), Limits{Cells: 2})
	onlyError(t, f, problem.Limit)
	shared := func(cells int) []byte { // so many cells with one text of 20,000 characters
		var rows strings.Builder
		for i := range cells {
			fmt.Fprintf(&rows, `<row r="%d"><c r="A%d" t="s"><v>0</v></c></row>`, i+1, i+1)
		}
		return bookOf(t, map[string]string{"xl/worksheets/sheet1.xml": sheetXML(rows.String()), "xl/sharedStrings.xml": "<sst><si><t>" + strings.Repeat("long ", 4000) + "</t></si></sst>"})
	}
	require.Empty(t, Read("log.xlsx", shared(4), Limits{UnpackBytes: 100_000}).Problems)
	onlyError(t, Read("log.xlsx", shared(6), Limits{UnpackBytes: 100_000}), problem.Limit)
	merges := sheetXML(`<row r="1"><c r="A1"><v>1</v></c></row>`, `<mergeCells><mergeCell ref="A1:B1"/><mergeCell ref="A2:B2"/></mergeCells>`)
	f = Read("log.xlsx", bookOf(t, map[string]string{"xl/worksheets/sheet1.xml": merges}), Limits{Merges: 1})
	onlyError(t, f, problem.Limit)
}

// Row 41: archives that lie or are damaged.
func TestRow41DamagedArchives(t *testing.T) {
	good := bookOf(t, nil)
	require.Empty(t, Read("log.xlsx", good, Limits{}).Problems)
	for name, raw := range map[string][]byte{
		"cut in half":        good[:len(good)/2],
		"cut by one byte":    good[:len(good)-1],
		"two of one name":    []byte(zipOf(t, append(flatParts(), "xl/Workbook.XML", "<workbook/>")...)),
		"path upwards":       []byte(zipOf(t, append(flatParts(), "../evil.xml", "x")...)),
		"absolute path":      []byte(zipOf(t, append(flatParts(), "/evil.xml", "x")...)),
		"backslash":          []byte(zipOf(t, append(flatParts(), `xl\evil.xml`, "x")...)),
		"no workbook part":   bookOf(t, map[string]string{"xl/workbook.xml": ""}),
		"no relations":       bookOf(t, map[string]string{"xl/_rels/workbook.xml.rels": "<Relationships/>"}),
		"no main relation":   bookOf(t, map[string]string{"_rels/.rels": ""}),
		"no styles":          bookOf(t, map[string]string{"xl/styles.xml": ""}),
		"no texts":           bookOf(t, map[string]string{"xl/sharedStrings.xml": ""}),
		"no sheet":           bookOf(t, map[string]string{"xl/worksheets/sheet1.xml": ""}),
		"size stated small":  withSizes(good, -10),
		"size stated large":  withSizes(good, 1<<20),
		"wrong check sum":    withCRC(good, 0xDEADBEEF),
		"check sum stated 0": withCRC(good, 0),
		"unknown packing":    withMethod(good, 99),
		"other local name":   bytes.Replace(good, []byte("xl/sharedStrings.xml"), []byte("xl/sharedStringz.xml"), 1),
	} {
		f := Read("log.xlsx", raw, Limits{})
		require.Empty(t, f.Grids, name)
		require.NotEmpty(t, f.Problems, name)
		for _, p := range f.Problems {
			require.Equal(t, problem.Error, p.Severity, "%s: %v", name, p)
			require.Contains(t, []problem.Code{problem.WorkbookDamaged, problem.SheetDamaged}, p.Code, "%s: %v", name, p)
		}
		requireSound(t, f)
	}
	locked := bytes.Clone(good)
	eachEntry(locked, func(entry []byte) { entry[8] |= 1 })
	onlyError(t, Read("log.xlsx", locked, Limits{}), problem.FileKind)
}

func flatParts() []string {
	var flat []string
	parts := bookParts()
	for _, name := range slices.Sorted(maps.Keys(parts)) {
		flat = append(flat, name, parts[name])
	}
	return flat
}

// eachEntry visits the entries of a zip archive's directory.
func eachEntry(raw []byte, visit func(entry []byte)) {
	const signature = "PK\x01\x02"
	for i := bytes.Index(raw, []byte(signature)); i >= 0; {
		visit(raw[i:])
		next := bytes.Index(raw[i+4:], []byte(signature))
		if next < 0 {
			return
		}
		i += 4 + next
	}
}

func withSizes(good []byte, by int32) []byte {
	raw := bytes.Clone(good)
	eachEntry(raw, func(entry []byte) {
		size := binary.LittleEndian.Uint32(entry[24:])
		binary.LittleEndian.PutUint32(entry[24:], uint32(int32(size)+by))
	})
	return raw
}

func withCRC(good []byte, sum uint32) []byte {
	raw := bytes.Clone(good)
	eachEntry(raw, func(entry []byte) { binary.LittleEndian.PutUint32(entry[16:], sum) })
	return raw
}

func withMethod(good []byte, method uint16) []byte {
	raw := bytes.Clone(good)
	eachEntry(raw, func(entry []byte) { binary.LittleEndian.PutUint16(entry[10:], method) })
	return raw
}

// Row 42: XML that is cut, entities, document types, nesting.
func TestRow42HostileXML(t *testing.T) {
	whole := sheetXML(`<row r="1"><c r="A1"><v>1</v></c></row><row r="2"><c r="A2"><v>2</v></c></row>`)
	for _, c := range map[string]struct{ xml, says string }{
		"cut in half":     {whole[:len(whole)/2], "ends"},
		"cut at the end":  {strings.TrimSuffix(whole, "</worksheet>"), "ends within <worksheet>"},
		"bad entity":      {strings.Replace(whole, "<v>1", "<v>&nbsp;1", 1), "unknown entity"},
		"entity bomb":     {`<!DOCTYPE w [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;">]>` + strings.Replace(whole, "<v>1", "<v>&b;", 1), "document type"},
		"external entity": {`<!DOCTYPE w SYSTEM "file:///etc/passwd">` + whole, "document type"},
		"nesting":         {sheetXML(strings.Repeat("<row>", 100_000)), "nested more than 64 deep"},
		"wrong nesting":   {strings.Replace(whole, "</v></c>", "</c></v>", 1), "closes what is not open"},
		"no sheet data":   {`<worksheet></worksheet>`, "cells are missing"},
		"data twice":      {strings.Replace(whole, "</worksheet>", "<sheetData/></worksheet>", 1), "twice"},
		"another root":    {`<chartsheet/>`, "<chartsheet>"},
		"trailing text":   {whole + "x", "outside its root"},
		"UTF-16":          {string(encodeUTF16("\ufeff"+whole, binary.LittleEndian)), "no sound XML"},
		"empty":           {" ", "it is empty"},
	} {
		c.xml = strings.Replace(c.xml, `<?xml version="1.0" encoding="UTF-8"?>`, "", 1)
		requireSheetRefused(t, bookOfTwo(t, map[string]string{"xl/worksheets/sheet1.xml": c.xml}), problem.SheetDamaged, c.says)
	}
}

// Row 43: places, orders and references that cannot be.
func TestRow43ImpossibleSheets(t *testing.T) {
	for rows, says := range map[string]string{
		`<row r="2000000000"><c r="A2000000000"><v>1</v></c></row>`: "row 2000000000",
		`<row r="99999999999"/>`:                                    `row "99999999999"`,
		`<row r="0"/>`:                                              `row "0"`,
		`<row r="-1"/>`:                                             `row "-1"`,
		`<row r="2"/><row r="1"/>`:                                  `row "1" comes after row 2`,
		`<row r="2"/><row r="2"/>`:                                  `row "2" comes after row 2`,
		`<row r="1"><c r="B1"/><c r="A1"/></row>`:                   `cell "A1" comes after column B of row 1`,
		`<row r="1"><c r="A1"/><c r="A1"/></row>`:                   `cell "A1" comes after`,
		`<row r="1"><c r="A2"/></row>`:                              `cell "A2"`,
		`<row r="1"><c r="1A"/></row>`:                              `cell "1A"`,
		`<row r="1"><c r="XFE1"/></row>`:                            `cell "XFE1"`,
		`<row r="1"><c r="A1" t="s"><v>-5</v></c></row>`:            `text number "-5"`,
		`<row r="1"><c r="A1" t="s"><v>2</v></c></row>`:             `text number "2"`,
		`<row r="1"><c r="A1" t="s"><v>x</v></c></row>`:             `text number "x"`,
		`<row r="1"><c r="A1" t="s"/></row>`:                        `text number ""`,
		`<row r="1"><c r="A1" s="-1"><v>1</v></c></row>`:            `style "-1"`,
		`<row r="1"><c r="A1" s="3"><v>1</v></c></row>`:             `style "3"`,
		`<row r="1"><c r="A1" t="z"><v>1</v></c></row>`:             `type "z"`,
		`<row r="1"><c r="A1"><v>twelve</v></c></row>`:              `"twelve" where a number should be`,
		`<row r="1"><c r="A1"><v>0x1F</v></c></row>`:                `"0x1F"`,
		`<row r="1"><c r="A1"><v>NaN</v></c></row>`:                 `"NaN"`,
		`<row r="1"><c r="A1"><v>Inf</v></c></row>`:                 `"Inf"`,
		`<row r="1"><c r="A1"><v>1</v><v>2</v></c></row>`:           "two values",
		`<row r="1"><c r="A1" t="b"><v>2</v></c></row>`:             "truth value",
		`<row r="1"><c r="A1" t="d"><v>4.3.2024</v></c></row>`:      "a date should be",
	} {
		requireSheetRefused(t, bookOfTwo(t, map[string]string{"xl/worksheets/sheet1.xml": sheetXML(rows)}), problem.SheetDamaged, says)
	}
	one := `<row r="1"><c r="A1"><v>1</v></c><c r="B1"><v>1</v></c></row>`
	for rest, says := range map[string]string{
		`<mergeCells><mergeCell ref=""/></mergeCells>`:                              "merges cells that cannot be",
		`<mergeCells><mergeCell/></mergeCells>`:                                     "merges cells that cannot be",
		`<mergeCells><mergeCell ref="B1:A1"/></mergeCells>`:                         "merges cells that cannot be",
		`<mergeCells><mergeCell ref="A1:XFD1048576"/></mergeCells>`:                 "merged into one",
		`<mergeCells><mergeCell ref="A1:B1"/><mergeCell ref="B1:C2"/></mergeCells>`: "overlap in B1",
		`<cols><col min="0" max="2" hidden="1"/></cols>`:                            "hides columns that cannot be",
		`<legacyDrawing r:id="rId7"/>`:                                              "part of the workbook that is missing",
	} {
		requireSheetRefused(t, bookOfTwo(t, map[string]string{"xl/worksheets/sheet1.xml": sheetXML(one, rest)}), problem.SheetDamaged, says)
	}
	f := Read("log.xlsx", bookOf(t, map[string]string{"xl/worksheets/sheet1.xml": sheetXML(`<row r="1"><c r="A1"><v>1e999</v></c></row>`)}), Limits{})
	require.Equal(t, map[string]Cell{"A1": {Kind: Text, Text: "1e999"}}, cellsOf(onlyGrid(t, f)), "no float64 is infinite")
}

func TestSheetsListedTwice(t *testing.T) {
	parts := bookParts()
	parts["xl/workbook.xml"] = strings.ReplaceAll(parts["xl/workbook.xml"], `"other"`, `"LOG"`)
	f := Read("log.xlsx", zipParts(t, parts, nil), Limits{})
	require.Equal(t, "log", onlyGrid(t, f).Sheet)
	require.Equal(t, "LOG", f.Problems[0].Place.Sheet)
	parts["xl/workbook.xml"] = strings.ReplaceAll(bookParts()["xl/workbook.xml"], `rId2`, `rId1`)
	f = Read("log.xlsx", zipParts(t, parts, nil), Limits{})
	require.Equal(t, "log", onlyGrid(t, f).Sheet)
	require.Equal(t, problem.SheetDamaged, f.Problems[0].Code)
}

// Sheets may leave places out, have prefixes, text in place, and ISO dates.
func TestUnusualButSoundSheets(t *testing.T) {
	for name, rows := range map[string]string{
		"places left out": `<row><c><v>1</v></c><c t="inlineStr"><is><t>a</t></is></c></row><row/><row><c><v> 3 </v></c></row>`,
		"gaps":            `<row r="1" spans="1:2"><c r="A1"><v>1</v></c><c r="B1" t="str"><v>a</v></c></row><row r="3"><c r="A3"><v>3.0</v></c></row>`,
		"prefixes":        `<x:row xmlns:x="u"><x:c><x:v>1</x:v></x:c><x:c t="inlineStr"><x:is><x:r><x:t>a</x:t></x:r></x:is></x:c></x:row><x:row xmlns:x="u" r="3"><x:c><x:v>3</x:v></x:c></x:row>`,
		"extensions":      `<row r="1"><c r="A1"><v>1</v><extLst><ext><v>9</v></ext></extLst></c><c r="B1" t="inlineStr"><is><t>_x0061_</t></is></c><x/></row><row r="3"><c r="A3"><!-- 7 --><v><![CDATA[3]]></v></c></row>`,
	} {
		grid := onlyGrid(t, Read("log.xlsx", bookOf(t, map[string]string{"xl/worksheets/sheet1.xml": sheetXML(rows)}), Limits{}))
		require.Equal(t, [][]string{{"1", "a"}, {}, {"3"}}, textRows(grid), name)
	}
	dates := onlyGrid(t, Read("log.xlsx", bookOf(t, map[string]string{"xl/worksheets/sheet1.xml": sheetXML(
		`<row><c t="d" s="1"><v>2024-03-04</v></c><c t="d"><v>2024-03-04T07:30:00</v></c><c t="d"><v>2024-03-04T07:30:00Z</v></c></row>`)}), Limits{}))
	cells := cellsOf(dates)
	require.Equal(t, Date, cells["A1"].Kind)
	require.Equal(t, "mm-dd-yy", cells["A1"].Format)
	require.Equal(t, Instant, cells["B1"].Kind)
	require.Equal(t, Text, cells["C1"].Kind, "a time with a zone is left to the reader of dates")
}

func TestEscapesOfText(t *testing.T) {
	for in, want := range map[string]string{
		"_x0041_": "A", "_x005F_x0041_": "_x0041_", "a_x000D_b": "a\rb", "_xD83D__xDC1F_": "\U0001F41F", "_xD83D_": "_xD83D_", "_xDC1F_": "_xDC1F_",
		"_x0000_": "_x0000_", "_x41_": "_x41_", "_xZZZZ_": "_xZZZZ_", "_x0041": "_x0041", "plain": "plain", "_xD83D__x0041_": "_xD83D_A",
	} {
		require.Equal(t, want, string(finishText([]byte("before"+in), len("before"))[len("before"):]), in)
	}
}

func TestThreadedComments(t *testing.T) {
	f := Read("log.xlsx", bookOf(t, map[string]string{
		"xl/worksheets/_rels/sheet1.xml.rels": `<Relationships><Relationship Id="r1" Type="x/comments" Target="../comments1.xml"/>` +
			`<Relationship Id="r2" Type="http://schemas.microsoft.com/office/2017/10/relationships/threadedComment" Target="../threadedComments/threadedComment1.xml"/></Relationships>`,
		"xl/comments1.xml": `<comments><commentList><comment ref="A1"><text><t>[Threaded comment] Your version…</t></text></comment>` +
			`<comment ref="C2"><text><r><t>pla</t></r><r><t>in</t></r></text></comment></commentList></comments>`,
		"xl/threadedComments/threadedComment1.xml": `<ThreadedComments><threadedComment ref="A1"><text>counted?</text></threadedComment><threadedComment ref="A1"><text>twice</text></threadedComment></ThreadedComments>`,
	}), Limits{})
	require.Empty(t, f.Problems)
	require.Equal(t, map[string]Cell{"A1": {Kind: Text, Text: "date", Comment: "counted?\ntwice"}, "C2": {Comment: "plain"}}, cellsOf(onlyGrid(t, f)))
}

// Row 44 for workbooks: notes stay as they are.
func TestRow44HostileNotesInWorkbooks(t *testing.T) {
	notes := []string{"=cmd|' /C calc'!A0", "@SUM(A1)", "+1", "\u202eabc\u202c", "a\tb", strings.Repeat("long ", 6000)}
	raw := excelBytes(t, func(x *excelize.File) {
		for i, note := range notes {
			setCell(t, x, fmt.Sprintf("A%d", i+1), note)
		}
	})
	for i, row := range textRows(onlyGrid(t, Read("log.xlsx", raw, Limits{}))) {
		require.Equal(t, []string{notes[i]}, row)
	}
	control := bookOf(t, map[string]string{"xl/sharedStrings.xml": `<sst><si><t>a_x001B_[31m` + strings.Repeat("x", 40_000) + `</t></si></sst>`})
	require.Equal(t, "a\x1b[31m"+strings.Repeat("x", 40_000), textRows(onlyGrid(t, Read("log.xlsx", control, Limits{})))[0][0])
}

// FuzzWorkbook holds that no bytes make the reader panic, that rows ascend, and
// that whatever is refused is named. Parts are fuzzed rather than the archive,
// whose check sums would stop nearly everything.
func FuzzWorkbook(f *testing.F) {
	parts := bookParts()
	f.Add(parts["xl/worksheets/sheet1.xml"], parts["xl/sharedStrings.xml"], parts["xl/styles.xml"])
	f.Add(sheetXML(`<row r="3" hidden="1"><c r="B3" s="1"><v>45355</v></c><c t="b"><f>TRUE()</f><v>1</v></c></row>`, `<mergeCells><mergeCell ref="B3:C4"/></mergeCells>`), parts["xl/sharedStrings.xml"], parts["xl/styles.xml"])
	f.Add(sheetXML(`<row><c t="inlineStr"><is><t>_x0041_</t></is></c><c s="2"><v>1e3</v></c></row>`), `<sst/>`, parts["xl/styles.xml"])
	f.Fuzz(func(t *testing.T, sheet, texts, styles string) {
		raw := bookOf(t, map[string]string{"xl/worksheets/sheet1.xml": sheet + " ", "xl/sharedStrings.xml": texts + " ", "xl/styles.xml": styles + " "})
		requireLaws(t, Read("log.xlsx", raw, Limits{}))
	})
}

// FuzzArchive is FuzzWorkbook for the bytes of the archive and of OpenDocument.
func FuzzArchive(f *testing.F) {
	f.Add(bookOf(f, nil))
	f.Add([]byte(zipOf(f, "mimetype", openDocSheet, "META-INF/manifest.xml", "<manifest/>", "content.xml", openDocContent(`<table:table-row><table:table-cell office:value-type="float" office:value="1"/></table:table-row>`))))
	f.Fuzz(func(t *testing.T, raw []byte) {
		requireLaws(t, Read("log.xlsx", raw, Limits{PartBytes: 1 << 20}))
	})
}

// requireLaws holds what is true of everything that was read.
func requireLaws(t *testing.T, f File) {
	requireSound(t, f)
	if len(f.Grids) == 0 {
		require.NotEmpty(t, f.Problems, "nothing is refused in silence")
	}
	for _, g := range f.Grids {
		last := 0
		for row := range g.Each {
			require.Greater(t, row.Number, last)
			if !g.Text {
				require.Equal(t, last+1, row.Number)
			}
			last = row.Number
			for _, c := range row.Cells {
				if c.Kind == Blank {
					require.Empty(t, c.Text)
				} else if c.Kind != Formula {
					require.NotEmpty(t, c.Text)
				}
			}
		}
	}
}

// What a workbook may have too many of, besides cells.
func TestWorkbookLimits(t *testing.T) {
	parts := bookParts()
	manySheets := strings.Replace(parts["xl/workbook.xml"], "</sheets>", strings.Repeat(`<sheet name="x" r:id="rId1"/>`, 1000)+"</sheets>", 1)
	onlyError(t, Read("log.xlsx", bookOf(t, map[string]string{"xl/workbook.xml": manySheets}), Limits{}), problem.Limit)
	manyStyles := `<styleSheet><cellXfs>` + strings.Repeat(`<xf/>`, 70_000) + `</cellXfs></styleSheet>`
	onlyError(t, Read("log.xlsx", bookOf(t, map[string]string{"xl/styles.xml": manyStyles}), Limits{}), problem.Limit)
	comments := map[string]string{
		"xl/worksheets/_rels/sheet1.xml.rels": `<Relationships><Relationship Id="r1" Type="x/comments" Target="../comments1.xml"/></Relationships>`,
		"xl/comments1.xml":                    `<comments><commentList><comment ref="A1"><text/></comment><comment ref="A2"><text/></comment></commentList></comments>`,
	}
	onlyError(t, Read("log.xlsx", bookOf(t, comments), Limits{Comments: 1}), problem.Limit)
	comments["xl/worksheets/_rels/sheet2.xml.rels"] = comments["xl/worksheets/_rels/sheet1.xml.rels"]
	f := Read("log.xlsx", bookOfTwo(t, comments), Limits{})
	require.Equal(t, "log", onlyGrid(t, f).Sheet)
	require.Equal(t, problem.SheetDamaged, f.Problems[0].Code)

	manySheets = openDocSheets("", strings.Repeat(`<table:table table:name="x"/>`, 1001))
	onlyError(t, Read("log.ods", openDoc(t, manySheets), Limits{}), problem.Limit)
	few := openDocSheets("", strings.Repeat(`<table:table table:name="x"/>`, 100)+strings.Repeat(" ", 100_000))
	onlyError(t, Read("log.ods", openDoc(t, few), Limits{UnpackBytes: 1 << 20}), problem.Limit)
}
