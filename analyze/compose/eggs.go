package compose

import (
	"fmt"
	"math"
	"strconv"

	"gravid/analyze/answer"
	"gravid/analyze/catalogue"
	"gravid/analyze/reference"
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
	if c := countingTable([]answer.Eggs{e}); len(c.Rows) > 0 {
		s.Tables = append(s.Tables, withoutSpecies(c))
	}
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
	w := wordsOf(e)
	text := fmt.Sprintf("A %s has %s %s on average (plausible %s to %s, from %s).",
		w.one, number(float64(p.Mean)), w.eggs, number(float64(p.Low)), number(float64(p.High)), plural(p.N, w.one, w.many))
	if n := e.Next; n.Known() {
		text += " A single next " + w.one + fmt.Sprintf(": 8 in 10 between %s and %s.", number(float64(n.Interval80[0])), number(float64(n.Interval80[1])))
	}
	return text
}

// eggWords are what the eggs and the clutches of a species are called.
type eggWords struct{ eggs, one, many string }

func wordsOf(e answer.Eggs) eggWords {
	if e.Livebearing {
		return eggWords{"young", "brood", "broods"}
	}
	return eggWords{"eggs", "clutch", "clutches"}
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
	w := wordsOf(e)
	mean(w.eggs+" per "+w.one, w.eggs, e.PerClutch)
	mean(w.eggs+" per female", w.eggs, e.PerFemale)
	mean(w.eggs+" per female and day", w.eggs+" a day", e.PerFemaleDay)
	if e.Collections > 0 {
		mean("eggs per collection, where tanks are collected from again and again", w.eggs, e.Collection)
	}
	if f := e.Females; f.Known() {
		rows = append(rows, []report.Cell{report.T("a " + w.one + " with twice the females"), report.T("times the " + w.eggs), report.N(report.Decimal, float64(f.Estimate)), limit(f.Low, f, -1), limit(f.High, f, 1), report.I(e.PerFemale.N), report.T("2 where eggs keep pace with females")})
	}
	share := func(name string, s answer.EggShare) {
		rows = append(rows, []report.Cell{report.T(name), report.T("% of " + w.eggs), report.N(report.Decimal, 100*float64(s.Share)), report.N(report.Decimal, 100*float64(s.Low)), report.N(report.Decimal, 100*float64(s.High)), report.I(s.N), report.T(s.Reason)})
	}
	if !e.Livebearing {
		share("fertile", e.Fertile)
		share("hatched", e.Hatched)
	}
	share("swimming freely", e.Swimming)
	if e.Next.Known() {
		rows = append(rows, []report.Cell{report.T("a single next " + w.one + ", 8 in 10"), report.T(w.eggs), report.N(report.Decimal, math.NaN()), report.N(report.Decimal, float64(e.Next.Interval80[0])), report.N(report.Decimal, float64(e.Next.Interval80[1])), report.I(e.PerClutch.N), report.T("limits for a single one, not for the average")})
	}
	return rows
}

// countingTable sets the ways of counting side by side, for species where more than one is
// on record.
func countingTable(all []answer.Eggs) report.Table {
	t := report.Table{ID: "counting", Title: "Ways of counting, side by side", Note: "Numbers that end in 0 or 5 more often than 1 in 5 were rounded. As a reference: " + reference.CountingBias + ".", Columns: []report.Column{
		{Name: "Species", Key: true}, {Name: "Counted how", Key: true}, {Name: "Clutches", Format: report.Whole},
		{Name: "Eggs", Format: report.Decimal, Help: "mean of a clutch"}, {Name: "Low", Format: report.Decimal}, {Name: "High", Format: report.Decimal},
		{Name: "Round", Format: report.Share, Help: "share of the numbers that end in 0 or 5; about 20 % where each egg is counted"},
		{Name: "Ratio", Format: report.Ratio, Help: "how many times the number counted one by one, among keepers who do both; what else differs between their clutches is not held alike"},
		{Name: "Ratio, low", Format: report.Ratio}, {Name: "Ratio, high", Format: report.Ratio},
		{Name: "Keepers", Format: report.Whole, Help: "who count in this way and one by one as well"}}}
	for _, e := range all {
		if len(e.Counting) < 2 {
			continue
		}
		for _, m := range e.Counting {
			keepers := report.I(m.Keepers)
			if m.Method == e.Counting[0].Method {
				keepers = report.N(report.Whole, math.NaN())
			}
			t.Rows = append(t.Rows, []report.Cell{report.T(e.Species), report.T(countingWords(m.Method)), report.I(m.N), report.N(report.Decimal, float64(m.Mean.Mean)), report.N(report.Decimal, float64(m.Mean.Low)), report.N(report.Decimal, float64(m.Mean.High)),
				report.N(report.Share, float64(m.Round)), report.N(report.Ratio, float64(m.Ratio.Estimate)), limit(m.Ratio.Low, m.Ratio, -1), limit(m.Ratio.High, m.Ratio, 1), keepers})
		}
	}
	return t
}

func countingWords(method string) string {
	switch method {
	case "counted":
		return "one by one"
	case "photo":
		return "on a photo"
	case "sample":
		return "worked out from a sample"
	case "estimated":
		return "estimated by eye"
	}
	return method
}

// eggFigure shows how many clutches fall into which range of egg numbers.
func eggFigure(e answer.Eggs, id string) (report.Figure, bool) {
	if len(e.Bins) < 2 {
		return report.Figure{}, false
	}
	w := wordsOf(e)
	f := report.Figure{ID: id, Kind: report.Bars, Title: "Sizes of the " + w.many + " of " + e.Species,
		Caption: fmt.Sprintf("Each bar counts the %s whose number of %s falls into the range below it.", w.many, w.eggs),
		X:       report.Axis{Label: w.eggs + " in a " + w.one}, Y: report.Axis{Label: w.many, Format: report.Whole},
	}
	s := report.Series{Name: w.many}
	most, at := 0, ""
	for i, b := range e.Bins {
		label := strconv.Itoa(b.From) + "–" + strconv.Itoa(b.To)
		s.Points = append(s.Points, report.Point{Label: label, X: float64(i), Y: float64(b.N), XLo: math.NaN(), XHi: math.NaN(), YLo: math.NaN(), YHi: math.NaN(), N: b.N})
		if b.N > most {
			most, at = b.N, label
		}
	}
	f.Series = []report.Series{s}
	f.Alt = fmt.Sprintf("Most %s, %d of %d, have %s %s.", w.many, most, e.PerClutch.N, at, w.eggs)
	return f, true
}

func eggsSheetLead(s answer.Season) string {
	var parts []string
	for _, e := range s.Eggs {
		if p := e.PerClutch; p.Known() {
			w := wordsOf(e)
			parts = append(parts, fmt.Sprintf("%s %s %s a %s (plausible %s to %s)", e.Species, number(float64(p.Mean)), w.eggs, w.one, number(float64(p.Low)), number(float64(p.High))))
		}
	}
	return inAll("On average: ", parts, "The records do not say yet how many eggs are normal.")
}

func eggsSheet(s answer.Season) report.Section {
	sec := report.Section{ID: "eggs", Title: "Eggs", Lead: eggsSheetLead(s),
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
	if c := countingTable(s.Eggs); len(c.Rows) > 0 {
		sec.Tables = append(sec.Tables, c)
	}
	var whats []string
	var list []reference.Range
	for _, e := range s.Eggs {
		for _, r := range e.Published {
			whats, list = append(whats, wordsOf(e).eggs+" of a "+wordsOf(e).one), append(list, r)
		}
	}
	if len(list) > 0 {
		sec.Tables = append(sec.Tables, publishedTable(whats, list))
	}
	return sec
}
