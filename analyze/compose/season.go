package compose

import (
	"fmt"
	"math"
	"path"
	"slices"
	"strconv"
	"strings"

	"gravid/analyze/answer"
	"gravid/analyze/catalogue"
	"gravid/analyze/reference"
	"gravid/analyze/report"
	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// SeasonOptions say how the season's document reaches the logs.
type SeasonOptions struct {
	// Logs is the path from the document's folder to the club's logs. Empty leaves out
	// the links and the names of files, where keepers go by pseudonyms.
	Logs string
	// Workbook reports whether a log can be linked to by cell.
	Workbook func(file string) bool
	// SpeciesSheets adds a part for each species.
	SpeciesSheets bool
}

// Season is the document of one year or of several.
func Season(s answer.Season, o SeasonOptions) *report.Document {
	d := &report.Document{
		Title:    s.Club + ": season " + s.Years.Words(),
		Subtitle: seasonLead(s),
		Facts:    seasonFacts(s),
		Terms:    append(Terms(s.Margin), keeperTerms()...),
		Cautions: append(slices.Clone(catalogue.General), triggerCautions(s.Triggers)...),
	}
	d.Sections = []report.Section{
		glanceSection(s, o), calendarSection(s, o), triggersSection(s), nextSeasonSheet(s), timingSheet(s), eggsSheet(s),
		keepersSheet(s),
	}
	if o.SpeciesSheets {
		d.Sections = append(d.Sections, speciesSections(s, o)...)
	}
	d.Sections = append(d.Sections, attemptsSheet(s, o), asideSheet(s, o), methodsSheet(s))
	leadToRecords(d)
	return d
}

const (
	toAttempts = "#attempts/attempts"
	toSpawns   = "#calendar/spawns"
	toAside    = "#aside/aside"
)

// leadToRecords gives every figure a way to the records of the season: to the spawnings
// where it is about clutches, to the attempts else; each of them leads on to its log.
func leadToRecords(d *report.Document) {
	for i := range d.Sections {
		s := &d.Sections[i]
		to := toAttempts
		switch s.ID {
		case "calendar", "timing", "eggs":
			to = toSpawns
		}
		if slices.ContainsFunc(s.Tables, func(t report.Table) bool { return t.ID == "attempts" }) {
			to = "#" + s.ID + "/attempts"
		}
		for k := range s.Figures {
			s.Figures[k].Records = to
		}
	}
}

// leading is a cell that leads to a part of the document.
func leading(c report.Cell, to string) report.Cell {
	c.Link = to
	return c
}

// Terms are the words of the answers, explained once.
func Terms(margin float64) []report.Term {
	m := number(margin)
	return []report.Term{
		{Word: answer.Matters.Words(), Meaning: fmt.Sprintf("the whole interval lies beyond a difference of %s in 100 attempts", m)},
		{Word: answer.Leans.Words(), Meaning: fmt.Sprintf("the records show a link, but it may be smaller than %s in 100", m)},
		{Word: answer.NoDifference.Words(), Meaning: fmt.Sprintf("if there is a difference, it is probably smaller than %s in 100", m)},
		{Word: answer.CannotTell.Words(), Meaning: "the records fit a difference in either direction, or a check failed; more attempts or keepers are needed"},
		{Word: "plausible, low and high", Meaning: "the interval that a method with 95 % coverage leaves; the truth may lie anywhere in it, and in 1 of 20 such answers outside"},
		{Word: "per 100", Meaning: "out of 100 attempts like those on record; by days: had every day, or no day, of the attempt come with the trigger"},
		{Word: "went with", Meaning: "was seen together in records; not that one brought the other about"},
	}
}

func seasonLead(s answer.Season) string {
	linked := []string{}
	for _, t := range s.Triggers {
		for _, a := range t.Answers {
			if a.Verdict == answer.Matters || a.Verdict == answer.Leans {
				linked = append(linked, fmt.Sprintf("%s in %s", a.Question.TriggerName, t.Species))
			}
		}
	}
	if len(linked) == 0 {
		return "No trigger stands out in the records so far."
	}
	return "Linked with spawning in the records so far: " + strings.Join(linked, "; ") + "."
}

func seasonFacts(s answer.Season) []report.Fact {
	r := s.Read
	facts := []report.Fact{
		{Label: "Attempts this season", Value: leading(report.I(r.Attempts), toAttempts), Note: fmt.Sprintf("%d in all years", r.Total)},
		{Label: "Of them spawned", Value: leading(report.I(r.Spawned), toSpawns)},
		{Label: "Logs read", Value: report.I(r.Files), Note: plural(r.Sheets, "sheet", "sheets")},
		{Label: "Rows read", Value: report.I(r.Rows)},
		{Label: "Rows set aside", Value: leading(report.I(r.SetAside), toAside), Note: "kept in the folder set-aside, to be mended"},
		{Label: "Cells or columns not used", Value: leading(report.I(r.Errors), toAside), Note: "see Set aside"},
		{Label: "Dated readings", Value: report.I(r.Readings)},
	}
	if len(r.SpawnsOnly) > 0 {
		facts = append(facts, report.Fact{Label: "Write down spawnings only", Value: report.T(strings.Join(r.SpawnsOnly, ", ")), Note: "kept out of comparisons, since their attempts that came to nothing are not known"})
	}
	if r.NoYear > 0 {
		facts = append(facts, report.Fact{Label: "Attempts without a date", Value: report.I(r.NoYear), Note: "in no season"})
	}
	return facts
}

func glanceSection(s answer.Season, o SeasonOptions) report.Section {
	t := report.Table{ID: "species", Title: "Species in " + s.Years.Words(), Columns: []report.Column{
		{Name: "Species", Key: true}, {Name: "Keepers", Format: report.Whole, Help: "keepers who tried it this season"},
		{Name: "Attempts", Format: report.Whole, Help: "with a known outcome, by keepers who write down every attempt"},
		{Name: "Spawned", Format: report.Whole}, {Name: "Share", Format: report.Share, Help: "spawned of the attempts"},
		{Name: "Low", Format: report.Share, Help: "lowest plausible share (Wilson)"}, {Name: "High", Format: report.Share, Help: "highest plausible share (Wilson)"},
		{Name: "Years before", Format: report.Share, Help: "share in the years before"},
		{Name: "Running", Format: report.Whole, Help: "outcome not known yet"},
		{Name: "Spawnings only", Format: report.Whole, Help: "spawnings of keepers who write down nothing else"},
		{Name: "Clutches", Format: report.Whole}, {Name: "Eggs", Format: report.Whole, Help: "eggs counted or estimated in all clutches"},
	}}
	f := report.Figure{
		ID: "share", Kind: report.Forest, Title: "Share of attempts that spawned in " + s.Years.Words(),
		Caption: "The share of the attempts with a known outcome, with all that so few attempts leave plausible (95 % Wilson interval).",
		X:       report.Axis{Label: "attempts that spawned", Format: report.Share, Min: 0, Max: 1},
		Y:       report.Axis{Label: "Species"},
	}
	series := report.Series{Name: "share spawned"}
	var alt []string
	for i, x := range s.Species {
		name := report.T(x.Species)
		if o.SpeciesSheets {
			name.Link = "#species-" + strconv.Itoa(i+1)
		}
		t.Rows = append(t.Rows, []report.Cell{
			name, report.I(x.Keepers), leading(report.I(x.Attempts), toAttempts), report.I(x.Spawned),
			report.N(report.Share, float64(x.Share.Estimate)), report.N(report.Share, float64(x.Share.Low)), report.N(report.Share, float64(x.Share.High)),
			report.N(report.Share, float64(x.Earlier.Estimate)), report.I(x.Running), report.I(x.OnlyLog), leading(report.I(x.Clutches), toSpawns), report.I(x.Eggs),
		})
		if x.Share.Known() {
			series.Points = append(series.Points, report.Point{Label: x.Species, X: float64(x.Share.Estimate), XLo: float64(x.Share.Low), XHi: float64(x.Share.High), YLo: math.NaN(), YHi: math.NaN(), N: x.Attempts})
			alt = append(alt, fmt.Sprintf("%s %s per cent of %d", x.Species, number(100*float64(x.Share.Estimate)), x.Attempts))
		}
	}
	f.Series, f.Alt = []report.Series{series}, strings.Join(alt, "; ")+"."
	sec := report.Section{ID: "glance", Title: "Season at a glance", Lead: seasonLead(s), Tables: []report.Table{t},
		Paragraphs: []string{"Keepers and species differ, and so do the attempts they make: a higher share does not show a better method."}}
	if len(series.Points) > 0 {
		sec.Figures = []report.Figure{f}
	}
	return sec
}

func triggersSection(s answer.Season) report.Section {
	sec := report.Section{ID: "triggers", Title: "Triggers",
		Lead: triggersLead(s),
		Paragraphs: []string{
			fmt.Sprintf("From all records from %d to the end of %d, each species by itself.", s.First, s.Years.To),
			"Each line holds keeper, season of the year and the other recorded triggers alike, and allows for the number of triggers looked at in its species.",
			"Links are seen in records; they do not say what made the fish spawn.",
		}}
	sec.Tables = append(sec.Tables, triggerTable(s.Triggers, true))
	for i, t := range s.Triggers {
		if len(t.Answers) == 0 {
			continue
		}
		f := differenceFigure(t.Answers, s.Margin, t.Species+": difference each trigger goes with, in 100 attempts")
		f.ID = "differences-" + strconv.Itoa(i+1)
		if len(f.Series[0].Points) > 0 {
			sec.Figures = append(sec.Figures, f)
		}
		for k, a := range t.Answers {
			if a.Verdict == answer.CannotTell && (a.Dose == nil || !a.Dose.Curved) {
				continue // for all amounts there are the parts of the species
			}
			if f, ok := doseFigure(a, fmt.Sprintf("dose-%d-%d", i+1, k+1)); ok {
				sec.Figures = append(sec.Figures, f)
			}
		}
	}
	missing := notCompared(s.Triggers, true)
	if len(missing.Rows) > 0 {
		sec.Tables = append(sec.Tables, missing)
	}
	return sec
}

// triggersLead counts the verdicts of all species.
func triggersLead(s answer.Season) string {
	n, linked, none := 0, 0, 0
	for _, t := range s.Triggers {
		for _, a := range t.Answers {
			n++
			switch a.Verdict {
			case answer.Matters, answer.Leans:
				linked++
			case answer.NoDifference:
				none++
			}
		}
	}
	if n == 0 {
		return "No trigger can be compared yet: the table says what stopped each of them, and what would help."
	}
	return fmt.Sprintf("In %s, %d found linked with spawning and %d with little or no link; for the other %d the records can't tell yet.", plural(n, "comparison", "comparisons"), linked, none, n-linked-none)
}

// mostNamed is how many species a lead names.
const mostNamed = 8

// inAll joins what is said of each species, after some words; otherwise where nothing is.
func inAll(words string, parts []string, otherwise string) string {
	if len(parts) == 0 {
		return otherwise
	}
	if n := len(parts); n > mostNamed {
		parts = append(parts[:mostNamed:mostNamed], fmt.Sprintf("and %d species more", n-mostNamed))
	}
	return words + strings.Join(parts, "; ") + "."
}

func timingSheetLead(s answer.Season) string {
	var parts []string
	for _, all := range s.Timings {
		for _, t := range all {
			if day, _, ok := t.FirstFoodReady(); ok {
				parts = append(parts, fmt.Sprintf("%s from day %d", t.Species, day))
			}
		}
	}
	return inAll("First food should be ready, counted from laying: ", parts, "The records do not say yet when the next fry will swim.")
}

func timingSheet(s answer.Season) report.Section {
	sec := report.Section{ID: "timing", Title: "Timing", Lead: timingSheetLead(s),
		Paragraphs: []string{fmt.Sprintf("From all clutches up to the end of %d. Keepers see an event only at their next look, so both ends of each time are known as intervals.", s.Years.To)}}
	t := timeTable()
	fate := report.Table{ID: "fates", Title: "What became of the clutches", Columns: []report.Column{
		{Name: "Species", Key: true}, {Name: "From", Key: true}, {Name: "To", Key: true}, {Name: "What", Key: true},
		{Name: "Share", Format: report.Share}, {Name: "Low", Format: report.Share}, {Name: "High", Format: report.Share}, {Name: "By", Unit: "days", Format: report.Decimal}}}
	for _, all := range s.Timings {
		for _, x := range all {
			t.Rows = append(t.Rows, timingRow(x))
			for _, row := range incidenceTable(x).Rows {
				if x.From == answer.Lay {
					fate.Rows = append(fate.Rows, append([]report.Cell{report.T(x.Species), report.T(x.From.Words()), report.T(x.To.Words())}, row...))
				}
			}
			if x.From == answer.Lay && x.To == answer.FreeSwimming && len(x.Curve) > 2 {
				f := curveFigure(x)
				f.ID = "swim-" + strconv.Itoa(len(sec.Figures)+1)
				sec.Figures = append(sec.Figures, f)
			}
		}
	}
	if t := foodTable(s.Timings); len(t.Rows) > 0 {
		sec.Tables = append(sec.Tables, t)
	}
	sec.Tables = append(sec.Tables, t)
	if t := waitingTable(s.Timings); len(t.Rows) > 0 {
		sec.Tables = append(sec.Tables, t)
	}
	if len(fate.Rows) > 0 {
		sec.Tables = append(sec.Tables, fate)
	}
	var whats []string
	var list []reference.Range
	for _, all := range s.Timings {
		for _, x := range all {
			for _, r := range x.Published {
				whats, list = append(whats, x.From.Words()+" to "+x.To.Words()), append(list, r)
			}
		}
	}
	if len(list) > 0 {
		sec.Tables = append(sec.Tables, publishedTable(whats, list))
	}
	return sec
}

// timeTable has a row for each species and pair of stages: see timingRow.
func timeTable() report.Table {
	return report.Table{ID: "times", Title: "Days from one stage to the next", Columns: []report.Column{
		{Name: "Species", Key: true}, {Name: "From", Key: true}, {Name: "To", Key: true},
		{Name: "Clutches", Format: report.Whole}, {Name: "Reached", Format: report.Whole}, {Name: "Lost", Format: report.Whole}, {Name: "Open", Format: report.Whole, Help: "still running or not followed further"},
		{Name: "At", Unit: "°C", Format: report.Decimal, Help: "water temperature the days are for"},
		{Name: "Median", Unit: "days", Format: report.Decimal, Help: "half of those that get there need no longer"}, {Name: "Low", Unit: "days", Format: report.Decimal}, {Name: "High", Unit: "days", Format: report.Decimal},
		{Name: "Next from", Unit: "days", Format: report.Decimal, Help: "9 in 10 of the next clutches fall between here"}, {Name: "Next to", Unit: "days", Format: report.Decimal, Help: "and here"},
		{Name: "Per °C", Format: report.Ratio, Help: "time multiplied by this for each °C warmer"}, {Name: "Remark"},
	}}
}

func timingRow(x answer.Timing) []report.Cell {
	row := []report.Cell{report.T(x.Species), report.T(x.From.Words()), report.T(x.To.Words()), report.I(x.N), report.I(x.Events), report.I(x.Lost), report.I(x.Censored)}
	if len(x.At) == 0 {
		for range 6 {
			row = append(row, report.N(report.Decimal, math.NaN()))
		}
		return append(row, report.N(report.Ratio, math.NaN()), report.T(x.Reason))
	}
	a := x.At[0]
	for _, n := range []answer.Num{a.TemperatureC, a.Median.Estimate, a.Median.Low, a.Median.High, a.Interval90[0], a.Interval90[1]} {
		row = append(row, report.N(report.Decimal, float64(n)))
	}
	return append(row, report.N(report.Ratio, float64(x.PerDegree.Estimate)), report.T(x.Reason))
}

// clutchesByAttempt finds the clutch of an attempt. Where an attempt has several, it is one
// of all their eggs and fry, as far as those are counted.
func clutchesByAttempt(s answer.Season) map[string]club.Clutch {
	out := map[string]club.Clutch{}
	for _, c := range s.Clutches {
		before, several := out[c.AttemptID]
		if several {
			c.Eggs, c.FreeSwimming = plus(before.Eggs, c.Eggs), plus(before.FreeSwimming, c.FreeSwimming)
			if before.Loss != c.Loss {
				c.Loss = strings.Trim(before.Loss+", "+c.Loss, ", ")
			}
		}
		out[c.AttemptID] = c
	}
	return out
}

// plus adds what is counted.
func plus(a, b club.Count) club.Count {
	switch {
	case !a.OK:
		return b
	case !b.OK:
		return a
	}
	return club.Some(a.V + b.V)
}

func attemptTable(s answer.Season, o SeasonOptions) report.Table {
	t := report.Table{ID: "attempts", Title: "Attempts of " + s.Years.Words(), Columns: []report.Column{
		{Name: "Species", Key: true}, {Name: "Keeper"}, {Name: "Tank"}, {Name: "Began", Format: report.Day}, {Name: "Ended", Format: report.Day},
		{Name: "Spawned", Format: report.Yes}, {Name: "Spawned on", Format: report.Day}, {Name: "Males", Format: report.Whole}, {Name: "Females", Format: report.Whole}, {Name: "Unsexed", Format: report.Whole},
		{Name: "Temperature", Unit: "°C", Format: report.Decimal}, {Name: "pH", Format: report.Decimal},
		{Name: "Water change", Unit: "%", Format: report.Decimal}, {Name: "Refill", Unit: "°C against tank", Format: report.Decimal},
		{Name: "Live food", Format: report.Yes}, {Name: "Conditioning", Unit: "days", Format: report.Decimal}, {Name: "Eggs", Format: report.Whole}, {Name: "Swimming", Format: report.Whole},
		{Name: "Lost to"}, {Name: "Notes"}, {Name: "Source", Help: "file, sheet and row of the log; leads there"},
	}}
	clutchOf := clutchesByAttempt(s)
	for _, a := range s.Attempts {
		c := clutchOf[a.ID]
		t.Rows = append(t.Rows, []report.Cell{
			report.T(a.Species), report.T(a.Keeper), report.T(a.System), day(a.Began), day(a.Ended), yes(a.Spawned), day(a.SpawnedAt),
			whole(a.Males), whole(a.Females), whole(a.Unsexed), decimal(a.TemperatureC), decimal(a.PH), decimal(a.WaterChangePct), decimal(a.RefillDeltaC),
			yes(a.LiveFood), decimal(a.ConditioningDays), whole(c.Eggs), whole(c.FreeSwimming), report.T(c.Loss), report.T(a.Notes), sourceCell(a.Source, o),
		})
	}
	return t
}

func attemptsSheet(s answer.Season, o SeasonOptions) report.Section {
	sec := report.Section{ID: "attempts", Title: "Attempts", Tables: []report.Table{attemptTable(s, o)},
		Lead: "Every attempt that began in " + s.Years.Words() + ". An empty cell means that nothing was recorded; it never means no."}
	if o.Logs == "" {
		sec.Paragraphs = []string{"Keepers go by letters and tanks by numbers; remarks and the names of files are not shown, since they may tell who it is. With pseudonyms = false in club.toml they are, and each row leads to its cell in the log."}
	}
	return sec
}

// sourceCell names the row of the log that a row came from, and leads there.
func sourceCell(src club.Source, o SeasonOptions) report.Cell {
	if o.Logs == "" {
		return report.T(fmt.Sprintf("row %d", src.Row))
	}
	name := src.File
	if src.Sheet != "" {
		name += " › " + src.Sheet
	}
	c := report.T(fmt.Sprintf("%s › row %d", name, src.Row))
	c.Link = path.Join(o.Logs, src.File)
	if src.Sheet != "" && o.Workbook != nil && o.Workbook(src.File) {
		c.Link += "#" + src.Sheet + "!A" + strconv.FormatInt(src.Row, 10)
	}
	return c
}

func day(w club.When) report.Cell {
	if !w.OK {
		return report.Cell{Format: report.Day, Empty: true}
	}
	return report.D(w.V)
}

func yes(t club.Truth) report.Cell {
	if !t.OK {
		return report.Cell{Format: report.Yes, Empty: true}
	}
	if t.V {
		return report.N(report.Yes, 1)
	}
	return report.N(report.Yes, 0)
}

func whole(c club.Count) report.Cell {
	if !c.OK {
		return report.N(report.Whole, math.NaN())
	}
	return report.I(int(c.V))
}

func decimal(n club.Number) report.Cell {
	if !n.OK {
		return report.N(report.Decimal, math.NaN())
	}
	return report.N(report.Decimal, n.V)
}

// mostAside bounds the list of problems in a report; the rest is in the program.
const mostAside = 500

func asideSheet(s answer.Season, o SeasonOptions) report.Section {
	t := report.Table{ID: "aside", Title: "What could not be taken as written", Columns: asideColumns()}
	groups := problem.Groups(s.Problems)
	slices.SortStableFunc(groups, func(a, b problem.Group) int { return a.Severity.Rank() - b.Severity.Rank() })
	for _, g := range groups[:min(mostAside, len(groups))] {
		t.Rows = append(t.Rows, asideRow(g, o))
	}
	sec := report.Section{ID: "aside", Title: "Set aside", Tables: []report.Table{t},
		Lead: fmt.Sprintf("%s set aside, %s not used. Nothing of it is lost: rows are in the folder set-aside in the keeper's own columns, and every cell is named here or by gravid problems.",
			plural(s.Read.SetAside, "row was", "rows were"), plural(s.Read.Errors, "cell, row or column", "cells, rows or columns"))}
	if o.Logs == "" {
		sec.Paragraphs = []string{"Keepers go by letters, so what stands in the cells is not shown here: gravid problems, for those who keep the records, shows each with its log."}
	}
	if len(groups) > mostAside {
		sec.Paragraphs = append(sec.Paragraphs, fmt.Sprintf("%d more kinds are left out here: gravid problems shows all.", len(groups)-mostAside))
	}
	return sec
}

func methodsSheet(s answer.Season) report.Section {
	t := report.Table{ID: "methods", Title: "How each number is made", Columns: []report.Column{{Name: "Number", Key: true}, {Name: "Method"}}}
	add := func(what, how string) { t.Rows = append(t.Rows, []report.Cell{report.T(what), report.T(how)}) }
	add("share that spawned", "count with the Wilson score interval, 95 %")
	add("difference per 100, triggers", "logistic regression with Firth's penalty and one intercept a keeper; averaged over the records (g-computation); interval: the wider, at each end, of the penalised profile interval and a jackknife over keepers, or over 5-day weather episodes for the weather, with Student's t")
	add("p, adjusted", "the larger of the p-values that belong to the two intervals, adjusted by Holm's method for the triggers looked at in the species")
	add("verdict", fmt.Sprintf("the 95 %% interval against a difference of %s in 100, the smallest worth acting on (worth_acting_per_100 in club.toml); a link that the trigger shifted 7 days into the future shows as well is not called one", number(s.Margin)))
	add("days from stage to stage", "lognormal accelerated failure time model; both ends known as intervals between two looks; clutches lost on the way taken as not followed further")
	add("next clutch", "limits that take in how unsure the model's own numbers are")
	add("what became of the clutches", "Aalen-Johansen estimate with log(-log) limits")
	add("eggs per clutch", "mean with a t interval on the logarithmic scale that allows for spread beyond chance (quasi-likelihood)")
	for _, m := range s.Keepers.Methods {
		add("keepers", m)
	}
	add("shares of eggs", "beta-binomial with the clutch as the unit, since eggs of a clutch share their fate")
	for _, all := range s.Triggers {
		for _, a := range all.Answers {
			add(all.Species+", "+a.Question.TriggerName, a.Question.Window+"; "+triggerSource(a))
		}
	}
	return report.Section{ID: "methods", Title: "Methods", Tables: []report.Table{t},
		Lead: "Every number can be worked out again from the exported tables (gravid export) in R or Python."}
}

func triggerSource(a answer.Answer) string {
	return fmt.Sprintf("design %s, %d rows, %d clusters by %s, held alike: %s", a.Design, a.Counts.Rows, a.Counts.Clusters, a.Counts.ClusterOf, strings.Join(a.Adjusted, ", "))
}
