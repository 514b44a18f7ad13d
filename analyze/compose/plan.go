package compose

import (
	"fmt"
	"math"
	"strings"

	"gravid/analyze/answer"
	"gravid/analyze/catalogue"
	"gravid/analyze/report"
)

// Plans is the document of what to try next season, in one species or in several.
func Plans(all []answer.Plan) *report.Document {
	d := &report.Document{Title: "What to try next season", Subtitle: "What the records so far suggest, species by species: an order to look at things in, and no promise."}
	var cautions []string
	for _, p := range all {
		s := PlanSection(p)
		s.ID, s.Title = "plan-"+strings.ReplaceAll(strings.ToLower(p.Species), " ", "-"), p.Species
		d.Sections = append(d.Sections, s)
		for _, step := range append(append([]answer.Step{}, p.GoOn...), p.Try...) {
			cautions = append(cautions, step.Cautions...)
		}
	}
	d.Cautions = append(capitals(distinct(cautions)), catalogue.General...)
	if len(all) > 0 {
		d.Terms = Terms(all[0].Margin)
	}
	return d
}

func distinct(list []string) []string {
	var out []string
	seen := map[string]bool{}
	for _, s := range list {
		if !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	return out
}

// PlanSection is what to do next season with one species.
func PlanSection(p answer.Plan) report.Section {
	s := report.Section{ID: "plan", Title: "What to try next season", Lead: planLead(p)}
	if len(p.Try) > 0 {
		s.Paragraphs = append(s.Paragraphs, howToTry+trialSize(p.Trial))
	}
	if names := stepNames(p.WriteDown, answer.NotRecorded); names != "" {
		s.Paragraphs = append(s.Paragraphs, "Not written down so far, or too rarely: "+names+". A yes or no for each attempt costs nothing and opens the question.")
	}
	if names := stepNames(p.WriteDown, answer.NeverVaried, answer.TooFewKeepers); names != "" {
		s.Paragraphs = append(s.Paragraphs, "Always done the same way, or by one keeper only: "+names+". To tell, keepers would have to do it both ways.")
	}
	if t := planTable(p); len(t.Rows) > 0 {
		s.Tables = append(s.Tables, t)
	}
	return s
}

func planLead(p answer.Plan) string {
	var parts []string
	if len(p.GoOn) > 0 {
		parts = append(parts, "Go on with what went with spawning, and write it down: "+names(p.GoOn)+".")
	}
	if len(p.Try) > 0 {
		parts = append(parts, "Most worth a trial: "+names(p.Try)+".")
	}
	if len(p.Leave) > 0 {
		parts = append(parts, "Little or no link, so no need to change it for this species: "+names(p.Leave)+".")
	}
	if len(parts) == 0 {
		return "There are too few records to put one thing before another: write down every attempt, whatever comes of it."
	}
	return strings.Join(parts, " ")
}

func names(steps []answer.Step) string {
	list := make([]string, len(steps))
	for i, s := range steps {
		list[i] = s.Name
	}
	return strings.Join(list, ", ")
}

// stepNames names the steps that stopped at one of some gates.
func stepNames(steps []answer.Step, at ...answer.Status) string {
	var in []answer.Step
	for _, s := range steps {
		for _, status := range at {
			if s.Status == status {
				in = append(in, s)
			}
		}
	}
	return names(in)
}

// nextSeasonSheet is what to do next season with every species.
func nextSeasonSheet(s answer.Season) report.Section {
	sec := report.Section{ID: "next-season", Title: "Next season", Lead: "What the records so far suggest to go on with, to try, and to leave alone: an order to look at things in, and no promise."}
	all := report.Table{}
	size := report.Table{ID: "trial", Title: "How large a trial would have to be", Columns: []report.Column{
		{Name: "Species", Key: true}, {Name: "Keepers", Format: report.Whole, Help: "who have the species now"},
		{Name: "Spawned so far", Unit: "per 100", Format: report.Per100},
		{Name: "Difference", Unit: "per 100", Format: report.Per100, Help: "that the trial would show as a link"},
		{Name: "Attempts", Format: report.Whole, Help: "in all, half of them with the trigger"},
		{Name: "Chance", Format: report.Share, Help: "that the trial shows such a difference, if there is one"}}}
	for _, p := range s.Plans {
		sec.Paragraphs = append(sec.Paragraphs, p.Species+": "+planLead(p))
		t := planTable(p)
		if len(all.Columns) == 0 {
			all = t
			all.Columns, all.Rows = append([]report.Column{{Name: "Species", Key: true}}, t.Columns...), nil
		}
		for _, row := range t.Rows {
			all.Rows = append(all.Rows, append([]report.Cell{report.T(p.Species)}, row...))
		}
		if math.IsNaN(float64(p.Trial.Attempts)) {
			continue
		}
		size.Rows = append(size.Rows, []report.Cell{report.T(p.Species), report.I(p.Trial.Keepers), report.N(report.Per100, float64(p.Trial.Baseline)),
			report.N(report.Per100, float64(p.Trial.Difference)), report.N(report.Whole, float64(p.Trial.Attempts)), report.N(report.Share, float64(p.Trial.Power))})
	}
	sec.Paragraphs = append(sec.Paragraphs, howToTry)
	for _, t := range []report.Table{all, size} {
		if len(t.Rows) > 0 {
			sec.Tables = append(sec.Tables, t)
		}
	}
	return sec
}

// howToTry is how to make a trial of one trigger.
const howToTry = "How to try: one thing at a time, within what is good for the fish. Before each attempt toss a coin, with it or without it, each keeper for himself or herself; write down what the coin said and what came of it, also when nothing did."

func trialSize(t answer.Trial) string {
	if math.IsNaN(float64(t.Attempts)) {
		return ""
	}
	return fmt.Sprintf(" With %s, about %s attempts in all would show a difference of %s in 100 as a link in %s of 10 cases; with fewer the records may stay silent, and more keepers help more than more attempts of one.",
		plural(t.Keepers, "keeper", "keepers"), number(float64(t.Attempts)), number(float64(t.Difference)), number(10*float64(t.Power)))
}

func planTable(p answer.Plan) report.Table {
	t := report.Table{ID: "plan", Title: "Triggers in the order to look at them", Columns: []report.Column{
		{Name: "Next season", Key: true}, {Name: "Trigger", Key: true},
		{Name: "Difference", Unit: "per 100", Format: report.Per100, Help: "seen so far, with less without"},
		{Name: "Low", Unit: "per 100", Format: report.Per100, Help: "lowest difference that these records leave plausible"},
		{Name: "High", Unit: "per 100", Format: report.Per100, Help: "highest difference that these records leave plausible"},
	}}
	for _, part := range []struct {
		what  string
		steps []answer.Step
	}{{"go on", p.GoOn}, {"try", p.Try}, {"later", p.Open}, {"only watch", p.Watch}, {"leave", p.Leave}} {
		for _, s := range part.steps {
			t.Rows = append(t.Rows, []report.Cell{
				report.T(part.what), report.T(s.Name), report.N(report.Per100, float64(s.Difference.Estimate)),
				report.N(report.Per100, low(s.Difference)), report.N(report.Per100, high(s.Difference)),
			})
		}
	}
	return t
}
