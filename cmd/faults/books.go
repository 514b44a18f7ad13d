//go:build linux

package main

import (
	"bytes"
	"fmt"
	"os"
	"slices"
	"strings"
)

const (
	mainNS  = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"`
	relType = `http://schemas.openxmlformats.org/officeDocument/2006/relationships/`
	odsKind = `application/vnd.oasis.opendocument.spreadsheet`
	odsNS   = `xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"`
)

const odsManifest = `<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"><manifest:file-entry manifest:full-path="/" manifest:media-type="` + odsKind +
	`"/><manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/></manifest:manifest>`

// book is an Excel workbook of one sheet, with further or other parts.
func book(sheet func(*streams), others ...part) maker {
	return bookOf([]string{"log"}, append([]part{{"xl/worksheets/sheet1.xml", sheet}}, others...)...)
}

// bookOf is an Excel workbook with sheets of those names and the parts given; a
// part given takes the place of the usual one.
func bookOf(sheets []string, others ...part) maker {
	var list, rels strings.Builder
	for i, name := range sheets {
		fmt.Fprintf(&list, `<sheet name="%s" sheetId="%d" r:id="rId%d"/>`, name, i+1, i+1)
		fmt.Fprintf(&rels, `<Relationship Id="rId%d" Type="%sworksheet" Target="worksheets/sheet%d.xml"/>`, i+1, relType, i+1)
	}
	const strs = `<Relationship Id="s" Type="` + relType + `sharedStrings" Target="sharedStrings.xml"/><Relationship Id="y" Type="` + relType + `styles" Target="styles.xml"/>`
	usual := []part{
		{"[Content_Types].xml", fixed(`<Types/>`)},
		{"_rels/.rels", fixed(`<Relationships><Relationship Id="rId1" Type="` + relType + `officeDocument" Target="xl/workbook.xml"/></Relationships>`)},
		{"xl/workbook.xml", fixed(`<workbook ` + mainNS + `><sheets>` + list.String() + `</sheets></workbook>`)},
		{"xl/_rels/workbook.xml.rels", fixed(`<Relationships>` + rels.String() + strs + `</Relationships>`)},
		{"xl/styles.xml", fixed(`<styleSheet ` + mainNS + `><cellXfs><xf numFmtId="0"/></cellXfs></styleSheet>`)},
		{"xl/sharedStrings.xml", fixed(`<sst ` + mainNS + `><si><t>tank</t></si></sst>`)},
	}
	usual = slices.DeleteFunc(usual, func(p part) bool {
		return slices.ContainsFunc(others, func(o part) bool { return o.name == p.name })
	})
	return zipped(append(usual, others...)...)
}

// sheet is a worksheet whose rows fill writes.
func sheet(fill func(*streams)) func(*streams) {
	return func(s *streams) {
		s.repeat(`<worksheet `+mainNS+`><sheetData>`, 1)
		fill(s)
		s.repeat(`</sheetData></worksheet>`, 1)
	}
}

// openDocument is an .ods workbook with that content of its only table.
func openDocument(table string) maker {
	return zipped(
		part{"mimetype", fixed(odsKind)}, part{"META-INF/manifest.xml", fixed(odsManifest)},
		part{"content.xml", fixed(`<office:document-content ` + odsNS + `><office:body><office:spreadsheet><table:table table:name="log">` + table + `</table:table></office:spreadsheet></office:body></office:document-content>`)},
	)
}

// laughs is an XML document type whose entity l9 stands for 10^9 texts.
func laughs() string {
	var b strings.Builder
	b.WriteString(`<?xml version="1.0"?><!DOCTYPE x [<!ENTITY l0 "ha">`)
	for i := 1; i <= 9; i++ {
		fmt.Fprintf(&b, `<!ENTITY l%d "%s">`, i, strings.Repeat(fmt.Sprintf("&l%d;", i-1), 10))
	}
	return b.String() + `]>`
}

func inlineCell(ref, text string) string {
	return `<c r="` + ref + `" t="inlineStr"><is><t>` + text + `</t></is></c>`
}

var refusedBook = []string{"workbook-damaged", "sheet-damaged", "limit", "file-kind"}

var hostileBooks = []hostileFile{
	{"zip bomb, one part", "bomb.xlsx", "a workbook whose sheet unpacks to 300 MB of spaces",
		book(sheet(func(s *streams) { s.repeat(" ", 300<<20) })), []string{"limit"}, ""},
	{"zip bomb, many parts", "bomb.xlsx", "a workbook with 60 pictures that unpack to 10 MB each",
		book(sheet(fixed("")), manyParts(60, func(s *streams) { s.repeat("\x00", 10<<20) })...), []string{"limit"}, ""},
	{"zip bomb, rows", "bomb.xlsx", "a workbook that unpacks to 3,000,000 rows of one cell",
		book(sheet(func(s *streams) { s.repeat(`<row><c><v>1</v></c></row>`, 3_000_000) })), refusedBook, ""},
	{"zip bomb, one part named twice", "bomb.xlsx", "an archive whose directory names the same bytes as two parts", overlapping, refusedBook, ""},
	{"many parts", "parts.xlsx", "a workbook with 20,000 empty parts", book(sheet(fixed("")), manyParts(20_000, fixed(""))...), []string{"limit"}, ""},
	{"many sheets", "sheets.xlsx", "a workbook that lists 20,000 sheets", bookOf(sheetNames(20_000), part{"xl/worksheets/sheet1.xml", sheet(fixed(""))}), []string{"limit", "workbook-damaged"}, ""},
	{"XML bomb", "laughs.xlsx", "a worksheet with entities that grow tenfold nine times", book(fixed(laughs() + `<worksheet ` + mainNS + `><sheetData><row r="1">` + inlineCell("A1", "&l9;") + `</row></sheetData></worksheet>`)), refusedBook, "haha"},
	{"XML bomb in OpenDocument", "laughs.ods", "the same in an .ods workbook", zipped(
		part{"mimetype", fixed(odsKind)}, part{"META-INF/manifest.xml", fixed(odsManifest)},
		part{"content.xml", fixed(laughs() + `<office:document-content ` + odsNS + `><office:body><office:spreadsheet><table:table table:name="log"><table:table-row><table:table-cell><text:p>&l9;</text:p></table:table-cell></table:table-row></table:table></office:spreadsheet></office:body></office:document-content>`)},
	), refusedBook, "haha"},
	{"XML from outside", "outside.xlsx", "a worksheet with an entity that stands for /etc/passwd",
		book(fixed(`<?xml version="1.0"?><!DOCTYPE x [<!ENTITY e SYSTEM "file:///etc/passwd">]><worksheet ` + mainNS + `><sheetData><row r="1">` + inlineCell("A1", "&e;") + `</row></sheetData></worksheet>`)), refusedBook, "root:"},
	{"deep XML", "deep.xlsx", "a worksheet with 1,000,000 elements inside each other",
		book(sheet(func(s *streams) { s.repeat("<a>", 1_000_000); s.repeat("</a>", 1_000_000) })), refusedBook, ""},
	{"deep XML in OpenDocument", "deep.ods", "an .ods workbook with 100,000 elements inside each other",
		openDocument(strings.Repeat("<text:span>", 100_000) + strings.Repeat("</text:span>", 100_000)), refusedBook, ""},
	{"many attributes", "attributes.xlsx", "a worksheet with an element of 300,000 attributes", book(sheet(func(s *streams) {
		s.repeat("<row", 1)
		for i := range 300_000 {
			s.repeat(fmt.Sprintf(` a%d=""`, i), 1)
		}
		s.repeat("/>", 1)
	})), nil, ""},
	{"gigantic dimensions", "far.xlsx", "a worksheet that claims A1:XFD1048576 and has cells in its corners", book(fixed(`<worksheet ` + mainNS + `><dimension ref="A1:XFD1048576"/><sheetData><row r="1">` + inlineCell("A1", "tank") +
		inlineCell("XFD1", "species") + `</row><row r="1048576">` + inlineCell("A1048576", "1") + inlineCell("XFD1048576", "2") + `</row></sheetData></worksheet>`)), refusedBook, ""},
	{"rows beyond counting", "beyond.xlsx", "a worksheet with the row 4000000000 and a cell in column ZZZZZZZZ", book(sheet(fixed(`<row r="4000000000"><c r="A4000000000"><v>1</v></c><c r="ZZZZZZZZ1"><v>1</v></c></row>`))), refusedBook, ""},
	{"repeated cells", "repeated.ods", "an .ods workbook with a cell repeated over 16,384 columns and 1,048,576 rows",
		openDocument(`<table:table-row table:number-rows-repeated="1048576"><table:table-cell table:number-columns-repeated="16384" office:value-type="float" office:value="1"><text:p>1</text:p></table:table-cell></table:table-row>`), refusedBook, ""},
	{"repeated rows", "repeated.ods", "an .ods workbook with a row of 1,000 cells repeated 1,048,576 times",
		openDocument(`<table:table-row table:number-rows-repeated="1048576"><table:table-cell table:number-columns-repeated="1000" office:value-type="float" office:value="1"><text:p>1</text:p></table:table-cell></table:table-row>`), refusedBook, ""},
	{"repeated beyond counting", "repeated.ods", "an .ods workbook with a cell repeated 99999999999999999999 times",
		openDocument(`<table:table-row><table:table-cell table:number-columns-repeated="99999999999999999999" office:value-type="string"><text:p>1</text:p></table:table-cell></table:table-row>`), refusedBook, ""},
	{"repeated spaces", "spaces.ods", "an .ods workbook with 2,000,000,000 spaces in a cell",
		openDocument(`<table:table-row><table:table-cell office:value-type="string"><text:p>a<text:s text:c="2000000000"/>b</text:p></table:table-cell></table:table-row>`), refusedBook, ""},
	{"a long text", "text.xlsx", "a workbook with a cell of 50 MB", book(sheet(func(s *streams) {
		s.repeat(`<row r="1"><c r="A1" t="inlineStr"><is><t>`, 1)
		s.repeat("long ", 10<<20)
		s.repeat(`</t></is></c></row>`, 1)
	})), refusedBook, ""},
	{"a text used many times", "shared.xlsx", "a workbook with one shared text of 1 MB in 3,000 cells", book(sheet(func(s *streams) {
		for i := range 150 * s.scale {
			s.repeat(fmt.Sprintf(`<row r="%d"><c r="A%d" t="s"><v>0</v></c></row>`, i+1, i+1), 1)
		}
	}), part{"xl/sharedStrings.xml", func(s *streams) {
		s.repeat(`<sst `+mainNS+`><si><t>`, 1)
		s.repeat("long ", 200_000)
		s.repeat(`</t></si></sst>`, 1)
	}}), nil, ""},
	{"many merged cells", "merged.xlsx", "a worksheet with 1,000,000 merged blocks", book(func(s *streams) {
		s.repeat(`<worksheet `+mainNS+`><sheetData><row r="1">`+inlineCell("A1", "tank")+`</row></sheetData><mergeCells>`, 1)
		s.repeat(`<mergeCell ref="A1:XFD1048576"/>`, 1_000_000)
		s.repeat(`</mergeCells></worksheet>`, 1)
	}), refusedBook, ""},
	{"10^6 columns", "wide.xlsx", "a worksheet with a row of 1,000,000 cells without places", book(sheet(func(s *streams) {
		s.repeat("<row>", 1)
		s.repeat("<c><v>1</v></c>", 1_000_000)
		s.repeat("</row>", 1)
	})), refusedBook, ""},
	{"parts with paths upwards", "up.xlsx", "a workbook with the parts ../../up.csv and /up.csv", book(sheet(fixed("")), part{"../../up.csv", fixed("x")}, part{"/up.csv", fixed("x")}), refusedBook, ""},
	{"sheets with paths upwards", "up.xlsx", "a workbook whose sheet is said to be at ../../../../etc/passwd", book(sheet(fixed("")), part{"xl/_rels/workbook.xml.rels", fixed(`<Relationships><Relationship Id="rId1" Type="` + relType + `worksheet" Target="../../../../etc/passwd"/></Relationships>`)}), refusedBook, "root:"},
}

func manyParts(n int, fill func(*streams)) []part {
	parts := make([]part, n)
	for i := range parts {
		parts[i] = part{fmt.Sprintf("xl/media/image%d.png", i), fill}
	}
	return parts
}

func sheetNames(n int) []string {
	names := make([]string, n)
	for i := range names {
		names[i] = fmt.Sprintf("s%d", i)
	}
	return names
}

// overlapping makes a workbook whose directory names the place of one part for
// another too.
func overlapping(path string, scale int) error {
	make := book(sheet(fixed("")), part{"xl/media/a.png", fixed(strings.Repeat("a", 1000))}, part{"xl/media/b.png", fixed(strings.Repeat("a", 1000))})
	if err := make(path, scale); err != nil {
		return err
	}
	raw, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	entry := func(name string) int { return bytes.LastIndex(raw, []byte(name)) - 46 }
	const offset, size = 42, 4 // of the place of a part within its entry
	a, b := entry("xl/media/a.png"), entry("xl/media/b.png")
	copy(raw[b+offset:b+offset+size], raw[a+offset:a+offset+size])
	return os.WriteFile(path, raw, 0o644)
}
