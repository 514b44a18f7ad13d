package compose

import (
	"fmt"
	"math"
	"strings"

	"gravid/analyze/answer"
	"gravid/analyze/catalogue"
	"gravid/analyze/report"
)

// Across is the document of one trigger asked of every species.
func Across(a answer.Across) *report.Document {
	d := &report.Document{
		Title:    fmt.Sprintf("Does %s matter, species by species?", a.TriggerName),
		Subtitle: acrossSentence(a),
		Cautions: append(capitals(a.Cautions), catalogue.General...),
		Terms:    Terms(answer.Margin10),
	}
	s := report.Section{ID: "species", Title: "Species side by side",
		Paragraphs: []string{"Each line is one species of this club, its keepers each compared with themselves. Links are seen in records; they do not say what made the fish spawn."}}
	if len(a.Answers) > 0 {
		s.Tables = append(s.Tables, acrossTable(a))
		s.Figures = append(s.Figures, acrossFigure(a))
	}
	d.Sections = append(d.Sections, s)
	if len(a.NotCompared) > 0 {
		t := report.Table{ID: "not-compared", Title: "Species that could not be compared", Columns: []report.Column{{Name: "Species", Key: true}, {Name: "Why"}}}
		for _, n := range a.NotCompared {
			t.Rows = append(t.Rows, []report.Cell{report.T(n.Species), report.T(n.Reason)})
		}
		d.Sections = append(d.Sections, report.Section{ID: "not-compared", Title: "Not compared", Tables: []report.Table{t}})
	}
	if len(a.Methods) > 0 {
		d.Sections = append(d.Sections, report.Section{ID: "technical", Title: "Technical part", Technical: true, Paragraphs: append(a.Methods,
			fmt.Sprintf("Standard deviation of the log odds ratio between species: %s, plausible %s. Share of the scatter that lies between species: %s %%.", number(float64(a.Spread.Estimate)), bounds(a.Spread), number(float64(a.I2))))})
	}
	return d
}

func acrossSentence(a answer.Across) string {
	if !a.Pooled.Known() {
		return capital(a.Reason) + "."
	}
	s := fmt.Sprintf("%s. Over the %d species of this club that could be compared, the odds of spawning with it were %s times those without, plausible %s.",
		capital(a.Verdict.Words()), a.Species, number(float64(a.Pooled.Estimate)), bounds(a.Pooled))
	if a.Next.Known() {
		s += fmt.Sprintf(" For another species the ratio is expected between %s and %s: look at the species, not at the average.", number(float64(a.Next.Low)), number(float64(a.Next.High)))
	}
	return s
}

func acrossTable(a answer.Across) report.Table {
	t := report.Table{ID: "species", Title: "Every species that could be compared", Columns: []report.Column{
		{Name: "Species", Key: true}, {Name: "Verdict"},
		{Name: "Odds ratio", Format: report.Ratio, Help: "1 means no link"}, {Name: "Low", Format: report.Ratio}, {Name: "High", Format: report.Ratio},
		{Name: "Attempts", Format: report.Whole}, {Name: "Keepers", Format: report.Whole},
	}}
	for _, x := range a.Answers {
		t.Rows = append(t.Rows, []report.Cell{report.T(x.Question.Species), report.T(x.Verdict.Words()), report.N(report.Ratio, float64(x.OddsRatio.Estimate)),
			limit(x.OddsRatio.Low, x.OddsRatio, -1), limit(x.OddsRatio.High, x.OddsRatio, 1), report.I(x.Counts.Attempts), report.I(x.Counts.Keepers)})
	}
	total := func(name, verdict string, i answer.Interval) {
		if i.Known() {
			t.Rows = append(t.Rows, []report.Cell{report.T(name), report.T(verdict), report.N(report.Ratio, float64(i.Estimate)), limit(i.Low, i, -1), limit(i.High, i, 1), report.N(report.Whole, math.NaN()), report.N(report.Whole, math.NaN())})
		}
	}
	total("these species together", a.Verdict.Words(), a.Pooled)
	total("another species (expected)", "", a.Next)
	return t
}

// acrossFigure draws the ratios as powers of two: halved and doubled are equally far
// from 1.
func acrossFigure(a answer.Across) report.Figure {
	f := report.Figure{
		ID: "species-ratios", Kind: report.Forest, Title: "How much more often, species by species",
		Caption: "Doublings of the odds of spawning with the trigger, with all that the records leave plausible (95 % interval): 0 is no link, 1 twice the odds, -1 half.",
		X:       report.Axis{Label: "doublings of the odds", Format: report.Decimal},
		Y:       report.Axis{Label: "Species"},
		MarksX:  []report.Mark{{At: 0, Label: "no link"}},
	}
	s := report.Series{Name: "doublings of the odds"}
	var alt []string
	add := func(label string, i answer.Interval, n int, faint bool) {
		if !i.Known() {
			return
		}
		s.Points = append(s.Points, report.Point{Label: label, X: math.Log2(float64(i.Estimate)), XLo: math.Log2(low(i)), XHi: math.Log2(high(i)), YLo: math.NaN(), YHi: math.NaN(), N: n, Faint: faint})
		alt = append(alt, fmt.Sprintf("%s: odds ratio %s, plausible %s", label, number(float64(i.Estimate)), bounds(i)))
	}
	for _, x := range a.Answers {
		add(x.Question.Species, x.OddsRatio, x.Counts.Attempts, x.Verdict == answer.CannotTell)
	}
	add("these species together", a.Pooled, 0, false)
	f.Series = []report.Series{s}
	f.Alt = strings.Join(alt, ". ") + "."
	return f
}
