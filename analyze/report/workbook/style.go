package workbook

import "github.com/xuri/excelize/v2"

// The look: one accent on black and white, a face that every office has.
const (
	face   = "Arial" // with metric-compatible stand-ins everywhere
	accent = "00666B"
	tone   = "5B9B9E"
	pale   = "A9C7C8"
	paler  = "DCE8E8"
	ink    = "16232B"
	soft   = "4B5963"
	rule   = "C9D1D5"
	white  = "FFFFFF"
)

// A look says how a cell is shown. It is comparable, so that equal looks share a
// style of the file.
type look struct {
	role   role
	number string // number format; empty for text
	side   side
	link   bool
}

type side int

const (
	left side = iota
	right
)

type role int

const (
	body     role = iota
	title         // the sheet's title
	subtitle      // the report's subtitle
	answer        // the section's answer in words
	prose
	caption // of a figure or table
	back    // the way back to the guide
	heading // the title of a table, figure or list
	header  // of a table's column
	label   // of a fact or term
	aid     // what charts are drawn from
)

// style is the file's description of a look.
func (l look) style() *excelize.Style {
	font := &excelize.Font{Family: face, Size: 10, Color: ink}
	s := &excelize.Style{Font: font, Alignment: &excelize.Alignment{Vertical: "top", WrapText: true}}
	s.Alignment.Horizontal = "left"
	if l.side == right {
		s.Alignment.Horizontal = "right"
	}
	if l.number != "" {
		s.CustomNumFmt = &l.number
		s.Alignment.WrapText = false
	}
	switch l.role {
	case body:
		if l.side != right { // LibreOffice sets numbers in or not, as it happens, cell by cell
			s.Alignment.Indent = 1
		}
		s.Border = []excelize.Border{{Type: "bottom", Style: 1, Color: rule}}
	case title:
		font.Size, font.Bold, font.Color = 16, true, accent
		s.Alignment.WrapText, s.Alignment.Vertical = false, "center"
	case subtitle:
		font.Size, font.Color = 11, soft
	case answer:
		font.Size, font.Bold = 11, true
	case caption:
		font.Size, font.Color = 9, soft
	case back:
		font.Size = 9
		s.Alignment.WrapText = false
	case heading:
		font.Size, font.Bold = 12, true
	case header:
		font.Bold, font.Color = true, white
		s.Fill = excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{accent}}
		s.Alignment.Vertical, s.Alignment.Indent = "center", 1
		if l.side == right {
			s.Alignment.Indent = 2 // clear of the filter's button
		}
	case label:
		font.Bold = true
		s.Border = []excelize.Border{{Type: "bottom", Style: 1, Color: rule}}
	case aid:
		font.Size, font.Color = 8, soft
		s.Alignment.WrapText = false
	}
	if l.link {
		font.Underline = "single"
		if l.role != header {
			font.Color = accent
		}
	}
	return s
}
