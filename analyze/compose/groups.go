package compose

import (
	"fmt"
	"math"

	"gravid/analyze/answer"
	"gravid/analyze/report"
)

// groupedSection sets groups of clutches side by side.
func groupedSection(g *answer.Grouped, id, title string, eggs bool) report.Section {
	s := report.Section{ID: id, Title: title}
	switch {
	case !math.IsNaN(float64(g.P)):
		s.Lead = fmt.Sprintf("If all groups were alike, differences as large as these would come up by chance in %s of 100 such sets of records.", number(100*float64(g.P)))
	case g.Note != "":
		s.Lead = capital(g.Note) + "."
	}
	t := report.Table{ID: id, Title: "Side by side", Columns: []report.Column{{Name: "Group", Key: true}, {Name: "Clutches", Format: report.Whole}}}
	if eggs {
		t.Columns = append(t.Columns, report.Column{Name: "Eggs", Format: report.Decimal, Help: "mean of a clutch"}, report.Column{Name: "Low", Format: report.Decimal}, report.Column{Name: "High", Format: report.Decimal})
	} else {
		t.Columns = append(t.Columns, report.Column{Name: "Reached", Format: report.Whole}, report.Column{Name: "Lost", Format: report.Whole},
			report.Column{Name: "Median", Unit: "days", Format: report.Decimal}, report.Column{Name: "Low", Unit: "days", Format: report.Decimal}, report.Column{Name: "High", Unit: "days", Format: report.Decimal})
	}
	for _, x := range g.Groups {
		row := []report.Cell{report.T(x.Name), report.I(x.N)}
		if eggs {
			row = append(row, report.N(report.Decimal, float64(x.Mean.Mean)), report.N(report.Decimal, float64(x.Mean.Low)), report.N(report.Decimal, float64(x.Mean.High)))
		} else {
			row = append(row, report.I(x.Events), report.I(x.Lost), report.N(report.Decimal, float64(x.Median.Estimate)), limit(x.Median.Low, x.Median, -1), limit(x.Median.High, x.Median, 1))
		}
		t.Rows = append(t.Rows, row)
	}
	s.Tables = []report.Table{t}
	s.Paragraphs = append(s.Paragraphs, "The groups are of records: keepers, temperatures and much else may differ between them as well.")
	if g.Method != "" {
		s.Paragraphs = append(s.Paragraphs, capital(g.Method)+".")
	}
	return s
}
