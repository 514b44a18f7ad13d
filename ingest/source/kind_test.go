package source

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"gravid/ingest/problem"
)

// Row 1 of the list of hostile inputs.
func TestRow1Empty(t *testing.T) {
	for _, raw := range []string{"", "\xef\xbb\xbf", "  \t\r\n \n", "\xff\xfe", "\xfe\xff\x00 \x00\n", "\u00a0\n", "\xef\xbb\xbf\n\n"} {
		f := Read("ana/log.csv", []byte(raw), Limits{})
		require.Empty(t, f.Grids, "%q", raw)
		require.Len(t, f.Problems, 1, "%q", raw)
		require.Equal(t, problem.FileEmpty, f.Problems[0].Code, "%q", raw)
		require.Equal(t, problem.Note, f.Problems[0].Severity, "%q", raw)
		requireSound(t, f)
	}
}

// Row 2: what a file is shows in its first bytes, and not in its name.
func TestRow2KindsByContent(t *testing.T) {
	for says, raw := range map[string]string{
		"gzip":         "\x1f\x8b\x08\x00\x00",
		"bzip2":        "BZh91AY&SY\x00",
		"PDF":          "%PDF-1.7\n%\xe2\xe3",
		"PNG":          "\x89PNG\r\n\x1a\n\x00\x00",
		"JPEG":         "\xff\xd8\xff\xe0\x00\x10JFIF",
		"GIF":          "GIF89a\x01\x00",
		"TIFF":         "II*\x00\x08",
		"WebP":         "RIFF\x24\x00\x00\x00WEBPVP8 ",
		"HEIC":         "\x00\x00\x00\x18ftypheic\x00",
		"Arrow table":  "ARROW1\x00\x00\xff\xff\xff\xff",
		"Arrow stream": "\xff\xff\xff\xff\x10\x00",
		"Parquet":      "PAR1\x15\x04\x15\x00PAR1",
		"SQLite":       "SQLite format 3\x00\x10",
		"RTF":          `{\rtf1\ansi`,
		"web page":     "<html><table><tr><td>date",
		"web page saved with the ending of a spreadsheet": "\xef\xbb\xbf\r\n <!DOCTYPE HTML>\n<html>",
		"MHTML":              "MIME-Version: 1.0\r\nContent-Type: multipart/related",
		"XML form of 2003":   `<?xml version="1.0"?><Workbook xmlns="urn:schemas-microsoft-com:office:spreadsheet">`,
		".fods":              `<?xml version="1.0"?><office:document xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0">`,
		"an XML file":        `<?xml version="1.0"?><logs/>`,
		"very old Excel":     "\x09\x04\x06\x00\x00\x00\x10\x00",
		"without a workbook": zipOf(t, "readme.txt", "hello"),
		".xlsb":              zipOf(t, "[Content_Types].xml", "<Types/>", "xl/workbook.bin", "x"),
		"Numbers":            zipOf(t, "Index/Document.iwa", "x"),
		"presentation":       zipOf(t, "[Content_Types].xml", "<Types/>", "_rels/.rels", `<Relationships><Relationship Id="r1" Type="x/officeDocument" Target="word/document.xml"/></Relationships>`),
		"no spreadsheet":     zipOf(t, "mimetype", "application/vnd.oasis.opendocument.text"),
	} {
		p := onlyError(t, Read("ana/log.csv", []byte(raw), Limits{}), problem.FileKind)
		require.Contains(t, p.Message, says)
	}
	html := Read("log.xls", encodeUTF16("\ufeff<table><tr>", binary.LittleEndian), Limits{})
	onlyError(t, html, problem.FileKind)
}

// zipOf makes an archive of pairs of name and content.
func zipOf(t testing.TB, pairs ...string) string {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(pairs); i += 2 {
		w, err := z.Create(pairs[i])
		require.NoError(t, err)
		_, err = w.Write([]byte(pairs[i+1]))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.String()
}

// Letters that begin a binary file may also begin a heading.
func TestHeadingsThatLookLikeMagic(t *testing.T) {
	for _, text := range []string{"PAR1;PAR2\n1;2\n", "FEA1,b\n1,2\n", "BZh;b\n1;2", "MZ;b\n1;2", "PKs;b\n1;2\n", "datefty;ftyp\n1;2\n"} {
		f := Read("log.csv", []byte(text), Limits{})
		require.Len(t, textRows(onlyGrid(t, f)), 2, text)
		require.Empty(t, f.Problems, text)
	}
}

// The ending of a name that promises something else is noted, and the file read.
func TestOddEndings(t *testing.T) {
	book := excelBytes(t, func(x *excelize.File) { setCell(t, x, "A1", "date") })
	for name, c := range map[string]struct {
		raw   []byte
		notes int
	}{
		"log.csv": {book, 1}, "log.XLSX": {book, 0}, "log.xlsm": {book, 0}, "log.ods": {book, 1}, "log": {book, 0}, "log.xls": {book, 1},
		"a/log.xlsx": {[]byte("a;b\n"), 1}, "log.TXT": {[]byte("a;b\n"), 0}, "log.2024": {[]byte("a;b\n"), 0},
	} {
		f := Read(name, c.raw, Limits{})
		onlyGrid(t, f)
		require.Len(t, f.Problems, c.notes, name)
		for _, p := range f.Problems {
			require.Equal(t, problem.Note, p.Severity)
		}
		requireSound(t, f)
	}
}

// Row 3: old workbooks and locked ones. The first is one of LibreOffice, the
// second is locked by another library.
func TestRow3OldAndLockedWorkbooks(t *testing.T) {
	raw, err := os.ReadFile("testdata/log-libreoffice.xls")
	require.NoError(t, err)
	p := onlyError(t, Read("log.xlsx", raw, Limits{}), problem.FileKind)
	require.Contains(t, p.Message, ".xls")
	require.Contains(t, p.Fix, "save it as .xlsx")

	x := excelize.NewFile()
	setCell(t, x, "A1", "date")
	var b bytes.Buffer
	require.NoError(t, x.Write(&b, excelize.Options{Password: "moss"}))
	p = onlyError(t, Read("log.xlsx", b.Bytes(), Limits{}), problem.FileKind)
	require.Contains(t, p.Message, "password")
	require.Contains(t, p.Fix, "without a password")

	p = onlyError(t, Read("log.ods", []byte(zipOf(t, "mimetype", openDocSheet, "META-INF/manifest.xml",
		`<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"><manifest:file-entry manifest:full-path="content.xml"><manifest:encryption-data/></manifest:file-entry></manifest:manifest>`,
		"content.xml", "locked")), Limits{}), problem.FileKind)
	require.Contains(t, p.Message, "password")
}
