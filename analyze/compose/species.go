package compose

import (
	"fmt"
	"strconv"

	"gravid/analyze/answer"
	"gravid/analyze/report"
)

// speciesSections are a part for each species with all that the season has on it.
func speciesSections(s answer.Season, o SeasonOptions) (list []report.Section) {
	for i, x := range s.Species {
		list = append(list, speciesSection(s, i, x, o))
	}
	return list
}

// speciesSection is the i-th species: its answers side by side, then its records.
func speciesSection(s answer.Season, i int, x answer.SpeciesSeason, o SeasonOptions) report.Section {
	sec := report.Section{ID: "species-" + strconv.Itoa(i+1), Title: x.Species, Lead: speciesLead(x, s.Years)}
	triggers, plan, times, eggs := s.Triggers[i], s.Plans[i], s.Timings[i], s.Eggs[i]
	sec.Paragraphs = append(sec.Paragraphs, "Triggers: "+glance(triggers)+".", "Next season: "+planLead(plan))
	if text, ok := food(times); ok {
		sec.Paragraphs = append(sec.Paragraphs, "First food: "+text)
	}
	for _, t := range times {
		sec.Paragraphs = append(sec.Paragraphs, elsewhere(t.Published)...)
	}
	sec.Paragraphs = append(append(sec.Paragraphs, "Eggs: "+eggsLead(eggs)), elsewhere(eggs.Published)...)
	if len(triggers.Answers) > 0 {
		sec.Tables = append(sec.Tables, triggerTable([]answer.TriggerTable{triggers}, false))
		if f := differenceFigure(triggers.Answers, s.Margin, "Difference each trigger goes with, in 100 attempts"); len(f.Series[0].Points) > 0 {
			sec.Figures = append(sec.Figures, f)
		}
		for k, a := range triggers.Answers {
			if f, ok := doseFigure(a, "dose-"+strconv.Itoa(k+1)); ok {
				sec.Figures = append(sec.Figures, f)
			}
		}
	}
	table := timeTable()
	for _, t := range times {
		table.Rows = append(table.Rows, timingRow(t))
		if len(t.Curve) > 2 {
			sec.Figures = append(sec.Figures, curveFigure(t))
		}
	}
	sec.Tables = append(sec.Tables, table)
	if t := waitingTable([][]answer.Timing{times}); len(t.Rows) > 0 {
		sec.Tables = append(sec.Tables, t)
	}
	numbers := eggTable()
	numbers.Rows = eggRows(eggs)
	sec.Tables = append(sec.Tables, numbers)
	if f, ok := eggFigure(eggs, "sizes"); ok {
		sec.Figures = append(sec.Figures, f)
	}
	if t := attemptTable(s, o, x.Species); len(t.Rows) > 0 {
		sec.Tables = append(sec.Tables, t)
	}
	return sec
}

func speciesLead(x answer.SpeciesSeason, years answer.Years) string {
	text := fmt.Sprintf("%s in %s", plural(x.Attempts, "attempt with a known outcome", "attempts with a known outcome"), years.Words())
	if x.Share.Known() {
		text += fmt.Sprintf(", %d of them spawned: %s in 100, plausible %s to %s", x.Spawned,
			about(100*x.Share.Estimate), about(100*x.Share.Low), about(100*x.Share.High))
	}
	if x.Running > 0 {
		text += fmt.Sprintf("; %d still running", x.Running)
	}
	if x.OnlyLog > 0 {
		text += fmt.Sprintf("; %s more by keepers who write down spawnings only", plural(x.OnlyLog, "spawning", "spawnings"))
	}
	return text + "."
}

// food is when to have first food ready, where that is known.
func food(times []answer.Timing) (string, bool) {
	for _, t := range times {
		if _, _, ok := t.FirstFoodReady(); ok {
			return timingLead(times), true
		}
	}
	return "", false
}
