package compose

import (
	"fmt"
	"math"
	"strings"

	"gravid/analyze/answer"
	"gravid/analyze/report"
)

// amountsSection answers how much it must be, for a trigger that comes in amounts.
func amountsSection(a answer.Answer) (report.Section, bool) {
	d := a.Dose
	if d == nil || len(d.Curve) == 0 {
		return report.Section{}, false
	}
	s := report.Section{ID: "amount", Title: "How much must it be?", Lead: amountsSentence(a)}
	if f, ok := doseFigure(a, "amount-curve"); ok {
		s.Figures = append(s.Figures, f)
	}
	if len(d.Contrasts) > 0 {
		s.Tables = append(s.Tables, contrastsTable(d))
	}
	return s, true
}

// linked reports a verdict of a link.
func linked(a answer.Answer) bool {
	return a.Verdict == answer.Matters || a.Verdict == answer.Leans
}

// bestAmounts are the amounts that can't be told from the best one: "between 22 and
// 25 °C"; empty where nothing is told.
func bestAmounts(a answer.Answer) string {
	d := a.Dose
	if d == nil || !linked(a) || !d.Curved || math.IsNaN(float64(d.BestFrom)) {
		return ""
	}
	from, to := amount(d.BestFrom), amount(d.BestTo)
	switch {
	case d.BestFrom <= d.Low:
		return fmt.Sprintf("up to %s %s", to, d.Unit)
	case d.BestTo >= d.High:
		return fmt.Sprintf("from %s %s on", from, d.Unit)
	}
	return fmt.Sprintf("between %s and %s %s", from, to, d.Unit)
}

// amount rounds to 3 significant figures.
func amount(n answer.Num) string { return fmt.Sprintf("%.3g", float64(n)) }

// amountsSentence says from how much on, where it was best, or that the records can't
// tell.
func amountsSentence(a answer.Answer) string {
	d := a.Dose
	seen := fmt.Sprintf("Amounts from %s to %s %s were seen (middle 90 %%); beyond them nothing is said.", amount(d.Low), amount(d.High), d.Unit)
	switch {
	case a.Verdict == answer.NoDifference:
		return "It hardly mattered how much it was. " + seen
	case !linked(a):
		return "No two amounts are told apart: the records can't tell yet how much it must be. " + shape(d) + seen
	}
	var b strings.Builder
	if best := bestAmounts(a); best != "" {
		fmt.Fprintf(&b, "More was not always better or worse: the chance of spawning was best %s, as far as these records can tell. ", best)
	} else if d.Curved {
		b.WriteString("The chance of spawning did not move evenly with the amount, but the records can't tell yet which amount is best. ")
	}
	if from := float64(d.DiffersFrom); !math.IsNaN(from) {
		word := "fewer"
		if d.Curve[len(d.Curve)-1].Per100 > d.Curve[0].Per100 {
			word = "more"
		}
		fmt.Fprintf(&b, "From about %s %s on, %s attempts spawned than at %s %s. ", amount(d.DiffersFrom), d.Unit, word, amount(d.Low), d.Unit)
	} else if !d.Curved {
		b.WriteString("From how much on it makes a difference, the records can't tell yet. ")
	}
	b.WriteString(shape(d))
	return b.String() + seen
}

// shape says on what a straight line or a curve stands.
func shape(d *answer.Dose) string {
	switch {
	case d.Curved:
		return ""
	case d.CurveNote != "":
		return fmt.Sprintf("Each step is taken to count alike, since no curve could be told: %s. ", d.CurveNote)
	case d.OddsRatio.Known():
		return fmt.Sprintf("The records show no bend; on a straight line each %s %s more went with the odds of a spawning times %s, plausible %s. ",
			number(float64(d.Step)), d.Unit, number(float64(d.OddsRatio.Estimate)), bounds(d.OddsRatio))
	}
	return ""
}

func contrastsTable(d *answer.Dose) report.Table {
	t := report.Table{ID: "contrasts", Title: "Amounts set against each other, in " + d.Unit, Columns: []report.Column{
		{Name: "Compared", Key: true, Help: "the intervals hold for all rows together"},
		{Name: "Difference", Unit: "per 100", Format: report.Per100, Help: "the first less the second"},
		{Name: "Low", Unit: "per 100", Format: report.Per100}, {Name: "High", Unit: "per 100", Format: report.Per100},
		{Name: "Odds ratio", Format: report.Ratio},
	}}
	for _, c := range d.Contrasts {
		text := fmt.Sprintf("%s against %s", amount(c.To), amount(c.From))
		if !math.IsNaN(float64(c.At)) {
			text = fmt.Sprintf("%s against a straight line from %s to %s", amount(c.At), amount(c.From), amount(c.To))
		}
		t.Rows = append(t.Rows, []report.Cell{report.T(text), report.N(report.Per100, float64(c.Difference.Estimate)), report.N(report.Per100, low(c.Difference)), report.N(report.Per100, high(c.Difference)),
			report.N(report.Ratio, float64(c.OddsRatio.Estimate))})
	}
	return t
}
