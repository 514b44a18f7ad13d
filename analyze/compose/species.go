package compose

import (
	"fmt"
	"path"
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
		t := triggerTable([]answer.TriggerTable{triggers}, false)
		t.Note = "What was compared with what is told under Triggers."
		n := len(t.Columns) - 1 // the last column, which would make the sheet too wide to print well
		t.Columns = t.Columns[:n]
		for i, row := range t.Rows {
			t.Rows[i] = row[:n]
		}
		sec.Tables = append(sec.Tables, t)
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
	sec.Tables = append(sec.Tables, withoutSpecies(table))
	if t := waitingTable([][]answer.Timing{times}); len(t.Rows) > 0 {
		sec.Tables = append(sec.Tables, withoutSpecies(t))
	}
	numbers := eggTable()
	numbers.Rows = eggRows(eggs)
	sec.Tables = append(sec.Tables, numbers)
	if c := countingTable([]answer.Eggs{eggs}); len(c.Rows) > 0 {
		sec.Tables = append(sec.Tables, withoutSpecies(c))
	}
	if f, ok := eggFigure(eggs, "sizes"); ok {
		sec.Figures = append(sec.Figures, f)
	}
	if t := recordTable(s, o, x.Species); len(t.Rows) > 0 {
		sec.Tables = append(sec.Tables, t)
	}
	return sec
}

// withoutSpecies leaves out the first column, which would say the same in every row.
func withoutSpecies(t report.Table) report.Table {
	t.Columns = t.Columns[1:]
	for i, row := range t.Rows {
		t.Rows[i] = row[1:]
	}
	return t
}

// recordTable lists the attempts of one species with what came of them; all that is
// written down for them is in the table of all attempts.
func recordTable(s answer.Season, o SeasonOptions, species string) report.Table {
	t := report.Table{ID: "attempts", Title: "Attempts of " + s.Years.Words(), Note: "With all that is written down for them under Attempts.", Columns: []report.Column{
		{Name: "Keeper", Key: true}, {Name: "Source", Help: "file and row of the log; leads there"}, {Name: "Tank"}, {Name: "Began", Format: report.Day}, {Name: "Spawned", Format: report.Yes}, {Name: "Spawned on", Format: report.Day},
		{Name: "Temperature", Unit: "°C", Format: report.Decimal}, {Name: "Eggs", Format: report.Whole}, {Name: "Swimming", Format: report.Whole}, {Name: "Lost to"}}}
	clutches := clutchesByAttempt(s)
	for _, a := range s.Attempts {
		if a.Species != species {
			continue
		}
		c, source := clutches[a.ID], sourceCell(a.Source, o)
		if o.Logs != "" {
			source.Text = fmt.Sprintf("%s › row %d", path.Base(a.Source.File), a.Source.Row) // the keeper stands beside it
		}
		t.Rows = append(t.Rows, []report.Cell{report.T(a.Keeper), source, report.T(a.System), day(a.Began), yes(a.Spawned), day(a.SpawnedAt), decimal(a.TemperatureC),
			whole(c.Eggs), whole(c.FreeSwimming), report.T(c.Loss)})
	}
	return t
}

func speciesLead(x answer.SpeciesSeason, years answer.Years) string {
	text := fmt.Sprintf("%s in %s", plural(x.Attempts, "attempt with a known outcome", "attempts with a known outcome"), years.Words())
	if x.Share.Known() {
		text += fmt.Sprintf(", %d of them spawned: %s in 100, plausible %s to %s", x.Spawned,
			rounded(100*x.Share.Estimate), rounded(100*x.Share.Low), rounded(100*x.Share.High))
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
