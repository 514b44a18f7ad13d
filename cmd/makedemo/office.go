package main

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

// openDocument writes a log as a flat OpenDocument spreadsheet (ISO/IEC 26300),
// for LibreOffice to turn into a workbook.
func openDocument(sheets []sheet) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?>
<office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0" xmlns:number="urn:oasis:names:tc:opendocument:xmlns:datastyle:1.0" office:version="1.3" office:mimetype="application/vnd.oasis.opendocument.spreadsheet">
<office:automatic-styles>
<number:date-style style:name="N-date"><number:year number:style="long"/><number:text>-</number:text><number:month number:style="long"/><number:text>-</number:text><number:day number:style="long"/></number:date-style>
<number:date-style style:name="N-minute"><number:year number:style="long"/><number:text>-</number:text><number:month number:style="long"/><number:text>-</number:text><number:day number:style="long"/><number:text> </number:text><number:hours number:style="long"/><number:text>:</number:text><number:minutes number:style="long"/></number:date-style>
<number:number-style style:name="N-tenth"><number:number number:decimal-places="1" number:min-decimal-places="1" number:min-integer-digits="1"/></number:number-style>
<style:style style:name="date" style:family="table-cell" style:data-style-name="N-date"/>
<style:style style:name="minute" style:family="table-cell" style:data-style-name="N-minute"/>
<style:style style:name="tenth" style:family="table-cell" style:data-style-name="N-tenth"/>
</office:automatic-styles>
<office:body><office:spreadsheet>
`)
	for _, s := range sheets {
		fmt.Fprintf(&b, "<table:table table:name=\"%s\">\n", escaped(s.name))
		for _, row := range s.rows {
			b.WriteString("<table:table-row>")
			for _, c := range row {
				b.WriteString(openCell(c))
			}
			b.WriteString("</table:table-row>\n")
		}
		b.WriteString("</table:table>\n")
	}
	b.WriteString("</office:spreadsheet></office:body></office:document>\n")
	return b.Bytes(), nil
}

func openCell(c cell) string {
	switch c.kind {
	case text:
		return `<table:table-cell office:value-type="string"><text:p>` + escaped(c.text) + `</text:p></table:table-cell>`
	case number:
		style := ""
		if c.decimals == 1 {
			style = ` table:style-name="tenth"`
		}
		return fmt.Sprintf(`<table:table-cell%s office:value-type="float" office:value="%s"/>`, style, plain(c.number))
	case date:
		return fmt.Sprintf(`<table:table-cell table:style-name="date" office:value-type="date" office:date-value="%s"/>`, c.at.Format(time.DateOnly))
	case minute:
		return fmt.Sprintf(`<table:table-cell table:style-name="minute" office:value-type="date" office:date-value="%s"/>`, c.at.Format("2006-01-02T15:04:05"))
	case share:
		return fmt.Sprintf(`<table:table-cell office:value-type="percentage" office:value="%s"/>`, plain(c.number))
	case truth:
		return fmt.Sprintf(`<table:table-cell office:value-type="boolean" office:boolean-value="%t"/>`, c.yes)
	}
	return `<table:table-cell/>`
}

func escaped(s string) string {
	var b strings.Builder
	if err := xml.EscapeText(&b, []byte(s)); err != nil {
		panic("makedemo: " + err.Error()) // a strings.Builder takes everything
	}
	return b.String()
}

// convert lets LibreOffice turn an OpenDocument spreadsheet into a workbook.
func convert(document []byte) (out []byte, err error) {
	program, err := exec.LookPath("soffice")
	if err != nil {
		return nil, errors.New("LibreOffice (soffice) is not installed: one log of the demo has to be written by it")
	}
	dir, err := os.MkdirTemp("", "makedemo")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	from := filepath.Join(dir, "log.fods")
	if err := os.WriteFile(from, document, 0o644); err != nil {
		return nil, err
	}
	run := exec.Command(program, "-env:UserInstallation=file://"+filepath.Join(dir, "profile"), "--headless", "--convert-to", "xlsx", "--outdir", dir, from)
	if said, err := run.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("LibreOffice failed: %w: %s", err, said)
	}
	return os.ReadFile(filepath.Join(dir, "log.xlsx"))
}

// compare holds a workbook against the sheets that it is meant to hold, and says
// where they differ first. Formats are not compared.
func compare(workbook []byte, sheets []sheet) (err error) {
	f, err := excelize.OpenReader(bytes.NewReader(workbook))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	if have := f.GetSheetList(); len(have) != len(sheets) {
		return fmt.Errorf("the workbook has the sheets %q, meant are %d", have, len(sheets))
	}
	for _, s := range sheets {
		rows, err := f.GetRows(s.name, excelize.Options{RawCellValue: true})
		if err != nil {
			return err
		}
		if len(rows) > len(s.rows) {
			return fmt.Errorf("sheet %s has %d rows, meant are %d", s.name, len(rows), len(s.rows))
		}
		for r, row := range s.rows {
			var have []string
			if r < len(rows) {
				have = rows[r]
			}
			if len(have) > len(row) {
				return fmt.Errorf("sheet %s, row %d has %d cells, meant are %d", s.name, r+1, len(have), len(row))
			}
			for c, x := range row {
				got := ""
				if c < len(have) {
					got = have[c]
				}
				if !sameCell(got, x) {
					return fmt.Errorf("sheet %s, row %d, column %d holds %q, meant is %v", s.name, r+1, c+1, got, x)
				}
			}
		}
	}
	return nil
}

// sameCell compares the raw value of a stored cell with what is meant.
func sameCell(got string, x cell) bool {
	switch x.kind {
	case blank:
		return got == ""
	case text:
		return got == x.text
	case truth:
		return got == map[bool]string{true: "1", false: "0"}[x.yes]
	}
	want := x.number
	if x.kind == date || x.kind == minute {
		want = serial(x.at)
	}
	have, err := strconv.ParseFloat(got, 64)
	return err == nil && math.Abs(have-want) < 1e-6 // a tenth of a second
}
