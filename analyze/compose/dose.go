package compose

import (
	"fmt"
	"math"

	"gravid/analyze/answer"
	"gravid/analyze/report"
)

// rounded is a number out of 100 as people read it.
func rounded(n answer.Num) string { return number(math.Round(float64(n))) }

// doseFigure draws how many of 100 attempts spawn at each amount, with the records below
// and above; false where no chances follow.
func doseFigure(a answer.Answer, id string) (report.Figure, bool) {
	d := a.Dose
	if d == nil || len(d.Curve) < 2 {
		return report.Figure{}, false
	}
	f := report.Figure{
		ID: id, Kind: report.Curve, Title: fmt.Sprintf("%s: %s, and attempts that spawned", a.Question.Species, a.Question.TriggerName),
		Caption: "The line is how many of 100 attempts spawn, all else as on record; the band is what the records leave plausible. Both cover the middle 90 % of the amounts seen.",
		X:       report.Axis{Label: a.Question.TriggerName, Unit: d.Unit},
		Y:       report.Axis{Label: "attempts that spawned", Unit: "per 100", Format: report.Per100, Min: 0, Max: 100},
	}
	if d.Curved {
		f.Caption += " The records show that it bends."
	} else {
		f.Caption += " Whether it bends, the records can't tell."
	}
	s := report.Series{Name: "per 100 attempts"}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range d.Curve {
		q := report.At("", float64(p.Amount), float64(p.Per100))
		q.YLo, q.YHi, q.N = float64(p.Low), float64(p.High), p.Records
		s.Points = append(s.Points, q)
		lo, hi = min(lo, q.Y), max(hi, q.Y)
	}
	f.Series = []report.Series{s}
	for _, r := range d.Rug {
		f.Rug = append(f.Rug, report.RugMark{X: float64(r.Amount), Without: r.Attempts - r.Spawnings, With: r.Spawnings})
	}
	if len(f.Rug) > 0 {
		f.Caption += " Short lines are the records: at the foot those without a spawning, at the top those with one."
	}
	if from, to := float64(d.BestFrom), float64(d.BestTo); !math.IsNaN(from) && !math.IsNaN(to) && d.Curved {
		f.MarksX = []report.Mark{{At: from, Label: "best from"}, {At: to, Label: "to"}}
		f.Caption += fmt.Sprintf(" Amounts from %s to %s %s cannot be told from the best one.", number(from), number(to), d.Unit)
	}
	first, last := d.Curve[0], d.Curve[len(d.Curve)-1]
	f.Alt = fmt.Sprintf("From %s of 100 at %s %s to %s of 100 at %s %s, between %s and %s on the way.",
		rounded(first.Per100), number(float64(first.Amount)), d.Unit, rounded(last.Per100), number(float64(last.Amount)), d.Unit, rounded(answer.Num(lo)), rounded(answer.Num(hi)))
	return f, true
}
