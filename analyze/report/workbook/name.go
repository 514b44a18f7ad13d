package workbook

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf16"

	"github.com/xuri/excelize/v2"

	"gravid/analyze/report/format"
)

const (
	guideName   = "Reading guide"
	columnsName = "Columns"
)

// sheetNames makes names for sheets out of titles, in order: what the format
// forbids becomes a space, names are cut to 31 UTF-16 units, and a name that is
// taken, whatever its case, gets a number.
func sheetNames(titles []string) []string {
	taken := map[string]bool{"history": true} // reserved by spreadsheet programs
	names := make([]string, len(titles))
	for i, t := range titles {
		base := sheetName(t)
		name := base
		for n := 2; taken[strings.ToLower(name)]; n++ {
			end := fmt.Sprintf(" (%d)", n)
			name = cut(base, excelize.MaxSheetNameLength-len(end)) + end
		}
		taken[strings.ToLower(name)] = true
		names[i] = name
	}
	return names
}

func sheetName(title string) string {
	s := strings.Map(func(r rune) rune {
		if strings.ContainsRune(`:\/?*[]`, r) {
			return ' '
		}
		return r
	}, unescapable(format.Printable(title)))
	s = strings.Join(strings.Fields(s), " ")
	s = strings.Trim(cut(s, excelize.MaxSheetNameLength), "' ")
	if s == "" {
		return "Sheet"
	}
	return s
}

// cut is s cut to n UTF-16 units, the unit the format counts in, never inside a
// character.
func cut(s string, n int) string {
	units := 0
	for i, r := range s {
		units += max(utf16.RuneLen(r), 1)
		if units > n {
			return strings.TrimRight(s[:i], " ")
		}
	}
	return s
}

const cutMark = " … (cut: the cell can hold no more)"

// cellText is text as a cell holds it: printable, and cut with a mark where it
// is longer than a cell can be.
func cellText(s string) string {
	s = format.Printable(s)
	if short := cut(s, excelize.TotalCellChars-len(cutMark)); len(short) < len(s) && len(cut(s, excelize.TotalCellChars)) < len(s) {
		return short + cutMark
	}
	return s
}

var notInName = regexp.MustCompile(`[^A-Za-z0-9_]`)

// tableName is the name of a table in formulas. The prefix keeps it from looking
// like a cell reference.
func tableName(section, table string) string {
	return "t_" + notInName.ReplaceAllString(section+"_"+table, "_")
}

var escapes = regexp.MustCompile(`^_x[0-9A-Fa-f]{4}_`)

// escaped writes a text such that the format does not take _x0041_ in it for the
// letter A. (The library means to, and forgets: its shared strings go unescaped.)
func escaped(s string) string { return eachEscape(s, "_x005F_") }

// unescapable takes the first underscore out of such a text: for names, which
// stand in places of the file that escape differently.
func unescapable(s string) string { return eachEscape(s, "") }

// eachEscape puts with in the place of every underscore that begins an escape.
func eachEscape(s, with string) string {
	if !strings.Contains(s, "_x") {
		return s
	}
	var b strings.Builder
	for i := range len(s) {
		if s[i] == '_' && escapes.MatchString(s[i:]) {
			b.WriteString(with)
		} else {
			b.WriteByte(s[i])
		}
	}
	return b.String()
}

// quoted is a sheet's name as references write it.
func quoted(sheet string) string {
	return "'" + strings.ReplaceAll(sheet, "'", "''") + "'"
}

// cellName is the name of a cell, "B5"; its row and column count from 1.
func cellName(row, col int) string {
	name, err := excelize.CoordinatesToCellName(col, row)
	if err != nil {
		panic("workbook: " + err.Error()) // rows and columns come from plan, which keeps them in range
	}
	return name
}

// absolute is an absolute reference to a block of cells of a sheet.
func absolute(sheet string, row1, col1, row2, col2 int) string {
	a, errA := excelize.CoordinatesToCellName(col1, row1, true)
	b, errB := excelize.CoordinatesToCellName(col2, row2, true)
	if errA != nil || errB != nil {
		panic("workbook: a reference outside the sheet")
	}
	if a == b {
		return quoted(sheet) + "!" + a
	}
	return quoted(sheet) + "!" + a + ":" + b
}
