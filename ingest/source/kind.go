package source

import (
	"bytes"
	"path"
	"strings"
	"unicode/utf16"

	"gravid/ingest/problem"
)

// signature is the beginning of a kind of file that cannot be read.
type signature struct {
	offset int
	magic  string
	nul    bool // letters that a heading may begin with: a NUL must follow
	what   string
	fix    string
}

const (
	fixUnpack = "unpack it, and put the file that was inside into the logs folder"
	fixTable  = "open the log where it was made, and save it as .xlsx or .csv"
	fixWeb    = "open it in a spreadsheet program, and save it as .xlsx"
	fixTyped  = "type the log into a spreadsheet, and keep the picture beside it"
	fixTables = "export the table as CSV, and put that into the logs folder"
	fixOLE    = "open it in a spreadsheet program, and save it as .xlsx without a password"
)

func signatures() []signature {
	return []signature{
		{0, "\x1f\x8b", false, "a gzip archive", fixUnpack},
		{4, "1AY&SY", false, "a bzip2 archive", fixUnpack},
		{0, "\xfd7zXZ\x00", false, "an xz archive", fixUnpack},
		{0, "7z\xbc\xaf\x27\x1c", false, "a 7-Zip archive", fixUnpack},
		{0, "Rar!\x1a\x07", false, "a RAR archive", fixUnpack},
		{0, "\x28\xb5\x2f\xfd", false, "a Zstandard archive", fixUnpack},
		{257, "ustar", false, "a tar archive", fixUnpack},
		{0, "%PDF-", false, "a PDF document", fixTable},
		{0, `{\rtf`, false, "a text document (RTF)", fixTable},
		{0, "\x89PNG\r\n\x1a\n", false, "a picture (PNG)", fixTyped},
		{0, "\xff\xd8\xff", false, "a picture (JPEG)", fixTyped},
		{0, "GIF87a", false, "a picture (GIF)", fixTyped},
		{0, "GIF89a", false, "a picture (GIF)", fixTyped},
		{0, "II*\x00", false, "a picture (TIFF)", fixTyped},
		{0, "MM\x00*", false, "a picture (TIFF)", fixTyped},
		{8, "WEBPVP8", true, "a picture (WebP)", fixTyped},
		{4, "ftypheic", true, "a picture (HEIC)", fixTyped},
		{4, "ftyp", true, "a film or picture", fixTyped},
		{0, "ARROW1\x00\x00", false, "an Arrow table", fixTables},
		{0, "FEA1", true, "a Feather table", fixTables},
		{0, "\xff\xff\xff\xff", false, "an Arrow stream", fixTables},
		{0, "PAR1", true, "a Parquet table", fixTables},
		{0, "PARE", true, "an encrypted Parquet table", fixTables},
		{0, "SQLite format 3\x00", false, "an SQLite database", fixTables},
		{0, "\x09\x00\x04\x00", false, "a very old Excel workbook", fixOLE},
		{0, "\x09\x02\x06\x00", false, "a very old Excel workbook", fixOLE},
		{0, "\x09\x04\x06\x00", false, "a very old Excel workbook", fixOLE},
		{0, "\x7fELF", false, "a program", "take it out of the logs folder"},
		{0, "MZ\x90\x00", false, "a program", "take it out of the logs folder"},
	}
}

const (
	magicOLE = "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
	magicZip = "PK\x03\x04"
	emptyZip = "PK\x05\x06"
)

// foreign refuses a file whose first bytes show that it is neither text nor a
// zip archive. The ending of its name has no say.
func foreign(c content) error {
	raw := c.head(4096)
	if bytes.HasPrefix(raw, []byte(magicOLE)) {
		return refuseOLE(c)
	}
	binary := bytes.IndexByte(raw, 0) >= 0
	for _, s := range signatures() {
		if len(raw) >= s.offset && bytes.HasPrefix(raw[s.offset:], []byte(s.magic)) && (binary || !s.nul) {
			return refuse(problem.FileKind, s.fix, "this is %s, which is not read", s.what)
		}
	}
	return nil
}

// refuseOLE tells the three things apart that come in the old compound files of
// Microsoft by the names of the streams inside, which are in UTF-16.
func refuseOLE(c content) error {
	holds := func(name string) bool {
		var wide []byte
		for _, u := range utf16.Encode([]rune(name)) {
			wide = append(wide, byte(u), byte(u>>8))
		}
		return c.holds(wide)
	}
	switch {
	case holds("EncryptedPackage"):
		return refuse(problem.FileKind, fixOLE, "this workbook is protected by a password, so it cannot be read")
	case holds("Workbook"), holds("Book"):
		return refuse(problem.FileKind, fixOLE, "this is an Excel workbook of the old kind (.xls), which is not read")
	}
	return refuse(problem.FileKind, fixTable, "this is a document of an old Microsoft program, which is not read")
}

// markupText refuses web pages and XML that carry a spreadsheet's ending. text is
// the decoded file.
func markupText(text string) error {
	const enough = 4096
	head := strings.ToLower(strings.TrimSpace(text[:min(len(text), enough)]))
	starts := func(with ...string) bool {
		for _, w := range with {
			if strings.HasPrefix(head, w) {
				return true
			}
		}
		return false
	}
	switch {
	case starts("<!doctype html", "<html", "<table", "<head", "<body", "<meta"):
		return refuse(problem.FileKind, fixWeb, "this is a web page saved with the ending of a spreadsheet")
	case starts("mime-version:"):
		return refuse(problem.FileKind, fixWeb, "this is a web page (MHTML) saved with the ending of a spreadsheet")
	case starts("<?xml", "<!doctype", "<workbook", "<office:document"):
		what := "an XML file"
		if strings.Contains(head, "urn:schemas-microsoft-com:office:spreadsheet") {
			what = "an Excel workbook in the XML form of 2003"
		} else if strings.Contains(head, "opendocument") {
			what = "a spreadsheet in one XML file (.fods)"
		} else if strings.Contains(head, "<html") {
			what = "a web page"
		}
		return refuse(problem.FileKind, fixWeb, "this is %s, which is not read", what)
	}
	return nil
}

// oddEnding notes that the ending of a file's name promises something else than
// what the file is.
func oddEnding(name, is string) []problem.Problem {
	const text, excel, calc = "a text file", "an Excel workbook", "an OpenDocument spreadsheet"
	ending := strings.ToLower(path.Ext(name))
	promised := ""
	switch ending {
	case ".csv", ".tsv", ".tab", ".txt", ".log", ".asc", ".dat":
		promised = text
	case ".xlsx", ".xlsm":
		promised = excel
	case ".ods":
		promised = calc
	case ".xls", ".xlsb", ".pdf", ".html", ".htm", ".xml", ".doc", ".docx", ".odt", ".numbers", ".json", ".zip", ".gz", ".jpg", ".jpeg", ".png":
		promised = "a file of the kind " + ending
	}
	if promised == "" || promised == is {
		return nil
	}
	return []problem.Problem{{
		Severity: problem.Note, Code: problem.FileKind,
		Message: "the name ends in " + ending + ", but this is " + is + "; it was read as that",
		Fix:     "give the file the ending it should have",
	}}
}
