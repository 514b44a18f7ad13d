package compose

import (
	"fmt"
	"math"
	"strconv"

	"gravid/analyze/answer"
	"gravid/analyze/catalogue"
	"gravid/analyze/report"
)

// Eggs is the document of the egg numbers of one species.
func Eggs(e answer.Eggs) *report.Document {
	d := &report.Document{Title: "Eggs of " + e.Species, Subtitle: eggsLead(e), Cautions: catalogue.General}
	s := report.Section{ID: "eggs", Title: "Eggs"}
	for _, l := range e.LeftOut {
		s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("Left out: %s (%s).", plural(l.N, "clutch", "clutches"), l.Reason))
	}
	for _, n := range e.Notes {
		s.Paragraphs = append(s.Paragraphs, capital(n)+".")
	}
	s.Paragraphs = append(s.Paragraphs, elsewhere(e.Published)...)
	t := eggTable()
	t.Rows = eggRows(e)
	s.Tables = []report.Table{t}
	if f, ok := eggFigure(e, "sizes"); ok {
		s.Figures = []report.Figure{f}
	}
	tech := report.Section{ID: "technical", Title: "Technical part", Technical: true, Paragraphs: e.Methods}
	d.Sections = []report.Section{s}
	if g := e.Grouped; g != nil {
		d.Sections = append(d.Sections, groupedSection(g, "eggs-by", "Eggs of a clutch, by "+g.By, true))
	}
	d.Sections = append(d.Sections, tech)
	return d
}

func eggsLead(e answer.Eggs) string {
	p := e.PerClutch
	if !p.Known() {
		return "The records do not say yet how many eggs are normal."
	}
	text := fmt.Sprintf("A clutch has %s eggs on average (plausible %s to %s, from %s).",
		number(float64(p.Mean)), number(float64(p.Low)), number(float64(p.High)), plural(p.N, "clutch", "clutches"))
	if n := e.Next; n.Known() {
		text += fmt.Sprintf(" A single next clutch: 8 in 10 between %s and %s.", number(float64(n.Interval80[0])), number(float64(n.Interval80[1])))
	}
	return text
}

func eggTable() report.Table {
	return report.Table{ID: "eggs", Title: "Eggs and what becomes of them", Columns: []report.Column{
		{Name: "Quantity", Key: true}, {Name: "Unit", Help: "what the number counts"}, {Name: "Value", Format: report.Decimal}, {Name: "Low", Format: report.Decimal}, {Name: "High", Format: report.Decimal},
		{Name: "Clutches", Format: report.Whole, Help: "clutches or attempts behind the number"}, {Name: "Remark"},
	}}
}

func eggRows(e answer.Eggs) [][]report.Cell {
	var rows [][]report.Cell
	mean := func(name, unit string, m answer.Mean) {
		rows = append(rows, []report.Cell{report.T(name), report.T(unit), report.N(report.Decimal, float64(m.Mean)), report.N(report.Decimal, float64(m.Low)), report.N(report.Decimal, float64(m.High)), report.I(m.N), report.T(m.Reason)})
	}
	mean("eggs per clutch", "eggs", e.PerClutch)
	mean("eggs per female", "eggs", e.PerFemale)
	mean("eggs per female and day", "eggs a day", e.PerFemaleDay)
	share := func(name string, s answer.EggShare) {
		rows = append(rows, []report.Cell{report.T(name), report.T("% of eggs"), report.N(report.Decimal, 100*float64(s.Share)), report.N(report.Decimal, 100*float64(s.Low)), report.N(report.Decimal, 100*float64(s.High)), report.I(s.N), report.T(s.Reason)})
	}
	share("fertile", e.Fertile)
	share("hatched", e.Hatched)
	share("swimming freely", e.Swimming)
	if e.Next.Known() {
		rows = append(rows, []report.Cell{report.T("a single next clutch, 8 in 10"), report.T("eggs"), report.N(report.Decimal, math.NaN()), report.N(report.Decimal, float64(e.Next.Interval80[0])), report.N(report.Decimal, float64(e.Next.Interval80[1])), report.I(e.PerClutch.N), report.T("limits for one clutch, not for the average")})
	}
	return rows
}

// eggFigure shows how many clutches fall into which range of egg numbers.
func eggFigure(e answer.Eggs, id string) (report.Figure, bool) {
	if len(e.Bins) < 2 {
		return report.Figure{}, false
	}
	f := report.Figure{ID: id, Kind: report.Bars, Title: "Sizes of the clutches of " + e.Species,
		Caption: "Each bar counts the clutches whose number of eggs falls into the range below it.",
		X:       report.Axis{Label: "eggs in a clutch"}, Y: report.Axis{Label: "clutches", Format: report.Whole},
	}
	s := report.Series{Name: "clutches"}
	most, at := 0, ""
	for i, b := range e.Bins {
		label := strconv.Itoa(b.From) + "–" + strconv.Itoa(b.To)
		s.Points = append(s.Points, report.Point{Label: label, X: float64(i), Y: float64(b.N), XLo: math.NaN(), XHi: math.NaN(), YLo: math.NaN(), YHi: math.NaN(), N: b.N})
		if b.N > most {
			most, at = b.N, label
		}
	}
	f.Series = []report.Series{s}
	f.Alt = fmt.Sprintf("Most clutches, %d of %d, have %s eggs.", most, e.PerClutch.N, at)
	return f, true
}

func eggsSheet(s answer.Season) report.Section {
	sec := report.Section{ID: "eggs", Title: "Eggs", Lead: "How many eggs a clutch has, and what becomes of them.",
		Paragraphs: []string{fmt.Sprintf("From all clutches up to the end of %d. Shares are of the eggs; the clutch is the unit, since eggs of a clutch share their fate.", s.Years.To)}}
	t := eggTable()
	t.Columns = append([]report.Column{{Name: "Species", Key: true}}, t.Columns...)
	for _, e := range s.Eggs {
		for _, row := range eggRows(e) {
			t.Rows = append(t.Rows, append([]report.Cell{report.T(e.Species)}, row...))
		}
		if f, ok := eggFigure(e, "eggs-"+strconv.Itoa(len(sec.Figures)+1)); ok {
			sec.Figures = append(sec.Figures, f)
		}
	}
	sec.Tables = []report.Table{t}
	return sec
}
