package template

import "github.com/xuri/excelize/v2"

// The colours, those of the season workbook.
const (
	face   = "Arial"
	accent = "00666B"
	ink    = "16232B"
	soft   = "4B5963"
	rule   = "C9D1D5"
	paler  = "DCE8E8"
	yellow = "FFE699"
	white  = "FFFFFF"
)

// A look says how a cell is shown.
type look struct {
	role   role
	group  string // of a heading: "who" and "attempt" are needed in every row
	number string
	side   string
}

type role int

const (
	field    role = iota // a cell to be filled in
	remark               // the same with room for sentences
	head                 // a heading
	body                 // a cell of a table that is read only
	name                 // the first cell of its row
	wrapped              // long text in a table
	prose                // a sentence
	band                 // the name of a group of rows
	heading1             // title of a sheet
	subtitle
	aside // small and pale
)

// format is the number format of a kind of column; dates are written so that day and
// month cannot be exchanged.
func format(k kind) string {
	switch k {
	case date, after:
		return "yyyy\\-mm\\-dd"
	case words, species, yesNo, lossList, method:
		return "@"
	}
	return ""
}

func side(k kind) string {
	switch k {
	case count, number, date, after:
		return "right"
	}
	return "left"
}

func (b *book) styled(l look) int {
	if id, ok := b.style[l]; ok {
		return id
	}
	s := &excelize.Style{Font: &excelize.Font{Family: face, Size: 10, Color: ink}, Alignment: &excelize.Alignment{Vertical: "top", Horizontal: l.side}}
	below := []excelize.Border{{Type: "bottom", Color: rule, Style: 1}}
	switch l.role {
	case field:
		s.Alignment.Indent = 1
	case remark:
		s.Alignment.Indent, s.Alignment.WrapText = 1, true
	case head:
		s.Alignment.Indent = 1
		colour := accent
		if l.group != "who" && l.group != "attempt" {
			colour = soft
		}
		s.Font.Bold, s.Font.Color = true, white
		s.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
		s.Alignment.WrapText, s.Alignment.Vertical = true, "center"
		s.Border = []excelize.Border{{Type: "right", Color: white, Style: 1}}
	case body:
		s.Border, s.Alignment.Horizontal = below, "left"
	case wrapped:
		s.Border, s.Alignment.WrapText = below, true
	case name:
		s.Border, s.Font.Bold = below, true
	case prose:
		s.Alignment.WrapText = true
	case band:
		s.Font.Bold = true
		s.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{paler}}
	case heading1:
		s.Font.Size, s.Font.Bold, s.Font.Color = 16, true, accent
	case subtitle:
		s.Font.Size, s.Font.Bold = 12, true
	case aside:
		s.Font.Size, s.Font.Color = 8, soft
	}
	if l.number != "" {
		s.CustomNumFmt = &l.number
	}
	id, err := b.f.NewStyle(s)
	b.check(err)
	b.style[l] = id
	return id
}
