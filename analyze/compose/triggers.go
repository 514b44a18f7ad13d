package compose

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gravid/analyze/answer"
	"gravid/analyze/catalogue"
	"gravid/analyze/reference"
	"gravid/analyze/report"
)

// Triggers is the document of every candidate trigger of one species, with what to try
// next.
func Triggers(t answer.TriggerTable, next answer.Plan) *report.Document {
	margin := next.Margin
	return &report.Document{
		Title:    "What goes with spawning in " + t.Species,
		Subtitle: capital(glance(t)) + ".",
		Sections: append(TriggerSections(t, margin), PlanSection(next)),
		Cautions: append(triggerCautions([]answer.TriggerTable{t}), catalogue.General...),
		Terms:    Terms(margin),
	}
}

// glance says in one sentence what stands out.
func glance(t answer.TriggerTable) string {
	linked := 0
	for _, a := range t.Answers {
		if a.Verdict == answer.Matters || a.Verdict == answer.Leans {
			linked++
		}
	}
	switch {
	case t.LookedAt == 0:
		return "no trigger could be compared in these records"
	case linked == 0:
		return fmt.Sprintf("none of %s stands out", plural(t.LookedAt, "trigger that could be compared", "triggers that could be compared"))
	}
	return fmt.Sprintf("%d of %s linked with spawning, after allowing for the number looked at", linked, plural(t.LookedAt, "trigger that could be compared is", "triggers that could be compared are"))
}

// TriggerSections are the sections on the triggers of one species.
func TriggerSections(t answer.TriggerTable, margin float64) []report.Section {
	s := report.Section{ID: "triggers", Title: "Triggers",
		Paragraphs: []string{"Each line holds keeper, season and the other recorded triggers alike. Links are seen in records; they do not say what made the fish spawn."}}
	if len(t.Answers) > 0 {
		s.Tables = append(s.Tables, triggerTable([]answer.TriggerTable{t}, false))
		s.Figures = append(s.Figures, differenceFigure(t.Answers, margin, "Difference each trigger goes with, in 100 attempts"))
	}
	sections := []report.Section{s}
	if len(t.NotCompared) > 0 {
		sections = append(sections, report.Section{ID: "not-compared", Title: "Not compared", Tables: []report.Table{notCompared([]answer.TriggerTable{t}, false)}})
	}
	return sections
}

func triggerTable(all []answer.TriggerTable, withSpecies bool) report.Table {
	t := report.Table{ID: "triggers", Title: "Every trigger that could be compared", Columns: []report.Column{
		{Name: "Trigger", Key: true, Help: "what was there or done"},
		{Name: "Verdict", Help: "what the interval says against the difference worth acting on"},
		{Name: "With", Unit: "per 100", Format: report.Per100, Help: "attempts in 100 that spawned with it (by days: if every day came with it)"},
		{Name: "Without", Unit: "per 100", Format: report.Per100, Help: "attempts in 100 that spawned without it"},
		{Name: "Difference", Unit: "per 100", Format: report.Per100, Help: "with less without"},
		{Name: "Low", Unit: "per 100", Format: report.Per100, Help: "lowest difference that these records leave plausible"},
		{Name: "High", Unit: "per 100", Format: report.Per100, Help: "highest difference that these records leave plausible"},
		{Name: "Odds ratio", Format: report.Ratio, Help: "for the technically minded; of amounts: between the two compared, or per natural step where the records carry no curve"},
		{Name: "p, adjusted", Format: report.P, Help: "after allowing for the number of triggers looked at (Holm)"},
		{Name: "Attempts", Format: report.Whole, Help: "attempts used"},
		{Name: "Keepers", Format: report.Whole, Help: "keepers used"},
		{Name: "More needed", Format: report.Whole, Help: "about how many more attempts would settle it"},
		{Name: "Compared", Help: "what against what"},
	}}
	if withSpecies {
		t.Columns = append([]report.Column{{Name: "Species", Key: true}}, t.Columns...)
	}
	for _, table := range all {
		for _, a := range table.Answers {
			d := a.Per100.Difference
			row := []report.Cell{
				report.T(a.Question.TriggerName), report.T(a.Verdict.Words()),
				report.N(report.Per100, float64(a.Per100.With)), report.N(report.Per100, float64(a.Per100.Without)),
				report.N(report.Per100, float64(d.Estimate)), report.N(report.Per100, low(d)), report.N(report.Per100, high(d)),
				report.N(report.Ratio, float64(a.OddsRatio.Estimate)), report.N(report.P, float64(a.PAdjusted)),
				report.I(a.Counts.Attempts), report.I(a.Counts.Keepers),
				report.N(report.Whole, float64(a.MoreNeeded.Attempts)),
				report.T(compared(a)),
			}
			if withSpecies {
				row = append([]report.Cell{report.T(table.Species)}, row...)
			}
			t.Rows = append(t.Rows, row)
		}
	}
	return t
}

// compared says what was set against what, and where amounts were best.
func compared(a answer.Answer) string {
	text := a.Question.With + ", against " + strings.TrimPrefix(strings.TrimPrefix(a.Question.Without, "on "), "at ")
	if best := bestAmounts(a); best != "" {
		text += "; best " + best
	}
	return text
}

// notCompared groups the triggers that could not be compared by what stopped
// them, one row a reason.
func notCompared(all []answer.TriggerTable, withSpecies bool) report.Table {
	out := report.Table{ID: "not-compared", Title: "Triggers that could not be compared, and why", Columns: []report.Column{
		{Name: "Why", Key: true}, {Name: "Triggers"}, {Name: "What would help"}}}
	if withSpecies { // narrow enough to stand below the table of those that could
		out.Columns = []report.Column{{Name: "Species", Key: true}, {Name: "Triggers"}, {Name: "Why, and what would help"}}
	}
	for _, t := range all {
		var order []answer.Status
		byStatus := map[answer.Status][]answer.NotCompared{}
		for _, n := range t.NotCompared {
			if byStatus[n.Status] == nil {
				order = append(order, n.Status)
			}
			byStatus[n.Status] = append(byStatus[n.Status], n)
		}
		for _, status := range order {
			group := byStatus[status]
			names := make([]string, len(group))
			for i, n := range group {
				names[i] = n.Name
			}
			why, help := group[0].Reason, group[0].NextStep
			if short, ok := whyInShort[status]; ok {
				why = short
			}
			if status == answer.NotRecorded { // the step of one trigger says what it is worked out from
				help = "write it down for every attempt, also where the answer is no"
			}
			row := []report.Cell{report.T(why), report.T(strings.Join(names, ", ")), report.T(help)}
			if withSpecies {
				row = []report.Cell{report.T(t.Species), report.T(strings.Join(names, ", ")), report.T(capital(why) + ": " + help)}
			}
			out.Rows = append(out.Rows, row)
		}
	}
	return out
}

// whyInShort are the gates in a few words, for several triggers at once.
var whyInShort = map[answer.Status]string{
	answer.NotRecorded:     "nobody wrote it down",
	answer.NeverVaried:     "always there, or never",
	answer.TooFewOutcomes:  "too few spawnings, or too few attempts without one",
	answer.TooFewKeepers:   "fewer than 2 keepers tried it both ways and saw both outcomes",
	answer.Aliased:         "always came together with something else",
	answer.FitFailed:       "the numbers could not be worked out",
	answer.SpawningsOnly:   "only keepers who write down spawnings alone",
	answer.SpeciesUnlogged: "no attempt with this species",
}

func triggerCautions(all []answer.TriggerTable) []string {
	var out []string
	seen := map[string]bool{}
	for _, t := range all {
		for _, a := range t.Answers {
			for _, c := range a.Cautions {
				if !seen[c] {
					seen[c] = true
					out = append(out, c)
				}
			}
		}
	}
	return capitals(out)
}

// Catalogue is the document of the triggers gravid knows.
func Catalogue(list []catalogue.Trigger) *report.Document {
	t := report.Table{ID: "catalogue", Title: "Candidate triggers", Columns: []report.Column{
		{Name: "Code", Key: true}, {Name: "Meaning"}, {Name: "Window"}, {Name: "Worked out from"}, {Name: "Usual dose"}}}
	for _, c := range list {
		t.Rows = append(t.Rows, []report.Cell{report.T(c.Code), report.T(c.Name), report.T(c.Window), report.T(c.Derived), report.T(c.UsualDose)})
	}
	return &report.Document{Title: "Candidate triggers", Sections: []report.Section{{ID: "catalogue", Title: "Triggers", Tables: []report.Table{t}}}}
}

// Timing is the document of the times of one species.
func Timing(species string, all []answer.Timing) *report.Document {
	d := &report.Document{Title: "How long the young of " + species + " take", Subtitle: timingLead(all), Cautions: catalogue.General}
	technical := report.Section{ID: "technical", Title: "Technical part", Technical: true}
	for _, t := range all {
		for _, m := range t.Methods {
			if !slices.Contains(technical.Paragraphs, m) {
				technical.Paragraphs = append(technical.Paragraphs, m)
			}
		}
		d.Sections = append(d.Sections, TimingSection(t))
		if g := t.Grouped; g != nil {
			id := string(t.From) + "-" + string(t.To) + "-by"
			d.Sections = append(d.Sections, groupedSection(g, id, capital(t.From.Words())+" to "+t.To.Words()+", by "+g.By, false))
		}
	}
	if len(technical.Paragraphs) > 0 {
		d.Sections = append(d.Sections, technical)
	}
	return d
}

// timingLead is the answer that keepers wait for: when first food is needed.
func timingLead(all []answer.Timing) string {
	for _, t := range all {
		if day, by, ok := t.FirstFoodReady(); ok {
			at := ""
			if temp := float64(t.At[0].TemperatureC); !math.IsNaN(temp) {
				at = fmt.Sprintf(" at %s °C", number(temp))
			}
			return fmt.Sprintf("Have first food ready from day %d after laying%s; 19 in 20 clutches should swim by day %s, if they get that far. %s", day, at, number(math.Ceil(by)), cultureStart(day))
		}
	}
	return "The records do not say yet when the next fry will swim."
}

// cultures are first foods with the days that they need before they can be fed: common
// practice, no source.
var cultures = []struct {
	name string
	lead int
}{{"brine shrimp", 2}, {"infusoria", 5}}

// foodTable says when first food is needed and when to start it, species by species.
func foodTable(species [][]answer.Timing) report.Table {
	t := report.Table{ID: "first-food", Title: "When to have first food ready",
		Note: "Days after laying; 0 is the day of laying and a number below 0 a day before it. How long foods need before they can be fed is common practice, without a source.",
		Columns: []report.Column{{Name: "Species", Key: true}, {Name: "At", Unit: "°C", Format: report.Decimal, Help: "water temperature the days are for"},
			{Name: "Ready from", Unit: "day", Format: report.Whole, Help: "19 in 20 of the next clutches swim later"}, {Name: "Most swim by", Unit: "day", Format: report.Whole, Help: "19 in 20 of the next clutches, if they get that far"}}}
	for _, c := range cultures {
		t.Columns = append(t.Columns, report.Column{Name: "Start " + c.name, Unit: "day", Format: report.Whole, Help: fmt.Sprintf("%d days ahead", c.lead)})
	}
	for _, all := range species {
		for _, x := range all {
			day, by, ok := x.FirstFoodReady()
			if !ok {
				continue
			}
			row := []report.Cell{report.T(x.Species), report.N(report.Decimal, float64(x.At[0].TemperatureC)), report.I(day), report.I(int(math.Ceil(by)))}
			for _, c := range cultures {
				row = append(row, report.I(day-c.lead))
			}
			t.Rows = append(t.Rows, row)
			break
		}
	}
	return t
}

// cultureStart says when to start first foods for fry that may swim from a day on.
func cultureStart(day int) string {
	var parts []string
	for _, c := range cultures {
		when := fmt.Sprintf("on day %d", day-c.lead)
		switch {
		case day < c.lead:
			when = fmt.Sprintf("%s before laying", plural(c.lead-day, "day", "days"))
		case day == c.lead:
			when = "on the day of laying"
		}
		parts = append(parts, fmt.Sprintf("%s (%d days ahead) %s", c.name, c.lead, when))
	}
	return "To be in time, start " + strings.Join(parts, " and ") + "; the days ahead are common practice, without a source."
}

// TimingSection is one pair of stages.
func TimingSection(t answer.Timing) report.Section {
	s := report.Section{ID: string(t.From) + "-" + string(t.To), Title: capital(t.From.Words()) + " to " + t.To.Words()}
	if t.Reason != "" {
		s.Lead = capital(t.Reason) + "."
	}
	if len(t.At) > 0 {
		s.Lead = timingSentence(t)
	}
	s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("%s: %d reached %s, %d were lost on the way, %d are still running or were not followed further.",
		plural(t.N, "clutch", "clutches"), t.Events, t.To.Words(), t.Lost, t.Censored))
	for _, l := range t.LeftOut {
		s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("Left out: %s (%s).", plural(l.N, "clutch", "clutches"), l.Reason))
	}
	if t.PerDegree.Known() {
		s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("Each °C warmer goes with %s times the time (plausible %s), between %s and %s °C.",
			number(float64(t.PerDegree.Estimate)), bounds(t.PerDegree), number(float64(t.Seen[0])), number(float64(t.Seen[1]))))
	}
	for _, n := range t.Notes {
		s.Paragraphs = append(s.Paragraphs, capital(n)+".")
	}
	s.Paragraphs = append(s.Paragraphs, elsewhere(t.Published)...)
	if len(t.Quantiles) > 0 {
		s.Tables = append(s.Tables, quantileTable(t))
	}
	if len(t.Incidence) > 0 {
		s.Tables = append(s.Tables, incidenceTable(t))
	}
	if len(t.Curve) > 2 {
		s.Figures = append(s.Figures, curveFigure(t))
	}
	return s
}

// elsewhere sets what is published beside the club's own figures.
func elsewhere(list []reference.Range) []string {
	if len(list) == 0 {
		return nil
	}
	var parts []string
	for _, r := range list {
		parts = append(parts, r.String())
	}
	return []string{"Published elsewhere, as a reference and not as the truth for your water: " + strings.Join(parts, "; ") + "."}
}

// publishedTable sets ranges from elsewhere out in columns. whats are what each is of.
func publishedTable(whats []string, list []reference.Range) report.Table {
	t := report.Table{ID: "published", Title: "Published elsewhere", Note: "As a reference and not as the truth for your water: sources differ from each other by a third and more.", Columns: []report.Column{
		{Name: "Species", Key: true}, {Name: "What", Key: true}, {Name: "Low", Format: report.Decimal}, {Name: "High", Format: report.Decimal}, {Name: "Unit"},
		{Name: "At", Unit: "°C", Format: report.Decimal, Help: "empty where the source names no temperature"}, {Name: "Seen how", Help: "how far the source was seen"}, {Name: "Source"}}}
	for i, r := range list {
		t.Rows = append(t.Rows, []report.Cell{report.T(r.Species), report.T(whats[i]), report.N(report.Decimal, r.Low), report.N(report.Decimal, r.High), report.T(r.Unit),
			report.N(report.Decimal, r.Temperature), report.T(r.Strength), report.T(r.Source)})
	}
	return t
}

func timingSentence(t answer.Timing) string {
	a := t.At[0]
	where := ""
	if temp := float64(a.TemperatureC); !math.IsNaN(temp) {
		where = fmt.Sprintf(" at %s °C", number(temp))
	}
	text := fmt.Sprintf("Half of the clutches that get there need %s days or less%s (plausible %s to %s).",
		number(float64(a.Median.Estimate)), where, number(float64(a.Median.Low)), number(float64(a.Median.High)))
	if !math.IsNaN(float64(a.Interval80[0])) {
		text += fmt.Sprintf(" The next one: 8 in 10 between %s and %s days, 9 in 10 between %s and %s.",
			number(float64(a.Interval80[0])), number(float64(a.Interval80[1])), number(float64(a.Interval90[0])), number(float64(a.Interval90[1])))
	}
	return text
}

func quantileTable(t answer.Timing) report.Table {
	out := report.Table{ID: "quantiles", Title: "Days by which a share of the clutches is there", Columns: []report.Column{
		{Name: "Share", Format: report.Share, Key: true}, {Name: "Days", Unit: "days", Format: report.Decimal},
		{Name: "Low", Unit: "days", Format: report.Decimal}, {Name: "High", Unit: "days", Format: report.Decimal}}}
	for _, q := range t.Quantiles {
		out.Rows = append(out.Rows, []report.Cell{report.N(report.Share, q.P), report.N(report.Decimal, float64(q.Estimate)), report.N(report.Decimal, float64(q.Low)), report.N(report.Decimal, float64(q.High))})
	}
	return out
}

func incidenceTable(t answer.Timing) report.Table {
	out := report.Table{ID: "incidence", Title: "What became of the clutches", Columns: []report.Column{
		{Name: "What", Key: true}, {Name: "Share", Format: report.Share}, {Name: "Low", Format: report.Share}, {Name: "High", Format: report.Share}, {Name: "By", Unit: "days", Format: report.Decimal}}}
	for _, i := range t.Incidence {
		name := i.Cause
		if name == string(t.To) {
			name = "reached " + t.To.Words()
		} else {
			name = "lost: " + name
		}
		out.Rows = append(out.Rows, []report.Cell{report.T(name), report.N(report.Share, float64(i.Estimate)), report.N(report.Share, float64(i.Low)), report.N(report.Share, float64(i.High)), report.N(report.Decimal, float64(i.AtDays))})
	}
	return out
}

// waitingTable counts where clutches stood at round days.
func waitingTable(species [][]answer.Timing) report.Table {
	t := report.Table{ID: "waiting", Title: "Where the clutches stood, day by day", Columns: []report.Column{
		{Name: "Species", Key: true}, {Name: "From", Key: true}, {Name: "To", Key: true}, {Name: "Day", Unit: "days", Format: report.Whole, Key: true},
		{Name: "On the way", Format: report.Whole, Help: "neither there nor lost nor out of sight by then: at risk"}, {Name: "Reached", Format: report.Whole}, {Name: "Lost", Format: report.Whole},
		{Name: "Not followed", Format: report.Whole, Help: "removed deliberately, still running, or no longer looked at"}}}
	for _, all := range species {
		for _, x := range all {
			for _, c := range x.AtRisk {
				t.Rows = append(t.Rows, []report.Cell{report.T(x.Species), report.T(x.From.Words()), report.T(x.To.Words()), report.I(c.Day),
					report.I(c.Waiting), report.I(c.Reached), report.I(c.Lost), report.I(c.Stopped)})
			}
		}
	}
	return t
}

// curveFigure draws what became of the clutches: there, lost, or still on the way.
func curveFigure(t answer.Timing) report.Figure {
	f := report.Figure{
		ID: string(t.From) + "-" + string(t.To), Kind: report.Steps,
		Title:   fmt.Sprintf("%s: from %s to %s", t.Species, t.From.Words(), t.To.Words()),
		Caption: "The lines share out all clutches: those there, those lost, and those still on the way. Bands are what the records leave plausible. Steps stand at the middle between two checks.",
		X:       report.Axis{Label: "days since " + t.From.Words()},
		Y:       report.Axis{Label: "share of the clutches", Format: report.Share, Min: 0, Max: 1},
	}
	there, lost, waiting := report.Series{Name: t.To.Words()}, report.Series{Name: "lost"}, report.Series{Name: "on the way"}
	for _, p := range t.Curve {
		q := report.At("", float64(p.Days), float64(p.Share))
		q.YLo, q.YHi, q.N = float64(p.Low), float64(p.High), p.AtRisk
		there.Points = append(there.Points, q)
	}
	for _, p := range t.Course {
		q := report.At("", float64(p.Days), float64(p.Lost))
		q.YLo, q.YHi = float64(p.LostLow), float64(p.LostHigh)
		lost.Points = append(lost.Points, q)
		waiting.Points = append(waiting.Points, report.At("", float64(p.Days), float64(p.Waiting)))
	}
	f.Series = []report.Series{there}
	if t.Lost > 0 {
		f.Series = append(f.Series, lost)
	}
	if len(t.Course) > 0 {
		f.Series = append(f.Series, waiting)
	}
	row := report.CountRow{Name: "clutches still on the way"}
	for _, c := range t.AtRisk {
		row.X, row.N = append(row.X, float64(c.Day)), append(row.N, c.Waiting)
	}
	if len(row.X) > 0 {
		f.Below = []report.CountRow{row}
	}
	last := t.Curve[len(t.Curve)-1]
	f.Alt = fmt.Sprintf("The share of clutches at %s rises from 0 to %s per cent by day %s.", t.To.Words(), number(100*float64(last.Share)), number(float64(last.Days)))
	if n := len(t.Course); n > 0 && t.Lost > 0 {
		f.Alt += fmt.Sprintf(" Lost by then: %s per cent.", number(100*float64(t.Course[n-1].Lost)))
	}
	return f
}
