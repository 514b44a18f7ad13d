package compose

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gravid/analyze/answer"
	"gravid/analyze/catalogue"
	"gravid/analyze/report"
	"gravid/ingest/problem"
)

// Keepers is the document of how each keeper's spawnings compare with those
// expected, with a part for each keeper. It names no log where o has no path to them.
func Keepers(k answer.Keepers, o SeasonOptions) *report.Document {
	title := "Keepers"
	if k.Species != "" {
		title += " of " + k.Species
	}
	if k.Season != 0 {
		title += fmt.Sprintf(", season %d", k.Season)
	}
	d := &report.Document{Title: title, Subtitle: "The spawnings of each keeper against those to expect if the attempts had gone as the club's do.", Terms: append(keeperTerms(),
		report.Term{Word: "plausible, low and high", Meaning: "the exact 95 % interval of the ratio; the fewer the attempts, the wider"},
		report.Term{Word: "went with", Meaning: "was seen together in records; not that one brought the other about"}),
		Cautions: append(capitals(k.Cautions), catalogue.General...)}
	all := report.Section{ID: "keepers", Title: "Keepers compared", Lead: keepersLead(k), Paragraphs: keepersParagraphs(k), Tables: []report.Table{keepersTable(k)}}
	if f, ok := funnelFigure(k); ok {
		all.Figures = []report.Figure{f}
	}
	d.Sections = append(d.Sections, all)
	for i, r := range k.Keepers {
		d.Sections = append(d.Sections, keeperSection(r, fmt.Sprintf("keeper-%d", i+1), k, o))
	}
	if a := k.Unassigned; len(a.Groups) > 0 {
		d.Sections = append(d.Sections, report.Section{ID: "shared", Title: "Logs of no single keeper",
			Lead: "Logs that hold records of several keepers, of the weather, or of nobody that could be told. " + asideSentence(a), Tables: []report.Table{asideTable(a, o)}})
	}
	d.Sections = append(d.Sections, report.Section{ID: "technical", Title: "Technical part", Technical: true, Paragraphs: k.Methods})
	return d
}

// keeperTerms are the words of comparisons of keepers, explained once.
func keeperTerms() []report.Term {
	return []report.Term{
		{Word: "expected", Meaning: "spawnings to expect of the same attempts if they had gone as the club's attempts do on the whole"},
		{Word: "ratio", Meaning: "spawnings seen over spawnings expected: 1 is as expected, 2 twice as many"},
		{Word: "95 % and 99.8 % limits", Meaning: "where chance alone leaves 19 in 20, and 998 in 1000, of keepers who are all alike"},
		{Word: "counts as", Meaning: "attempts of a species with the average share expected that would tell as much about the ratio: attempts whose outcome is nearly sure beforehand tell more about it, those that seldom succeed less"},
	}
}

// keepersLead says what stands out, and how much would by chance.
func keepersLead(k answer.Keepers) string {
	switch {
	case len(k.Keepers) == 0:
		return "No keeper has an attempt on record."
	case k.Compared == 0:
		return fmt.Sprintf("No keeper can be compared yet: that takes %d attempts with an outcome, and other keepers with the same species.", k.Floor)
	}
	text := fmt.Sprintf("%d of %s can be compared with the club on the whole. ", k.Compared, plural(len(k.Keepers), "keeper", "keepers"))
	if k.Outside == 0 {
		return text + "All of those lie within what chance leaves (95 % limits)."
	}
	verb := "lies"
	if k.Outside > 1 {
		verb = "lie"
	}
	return text + fmt.Sprintf("%d %s outside the 95 %% limits, where chance alone puts about 1 in 20.", k.Outside, verb)
}

func keepersParagraphs(k answer.Keepers) []string {
	out := []string{
		fmt.Sprintf("Expected is what would have spawned if the attempts had gone as the club's do on the whole, with %s held alike. The order is that of names: nobody is ranked.", list(k.Adjusted)),
		"Tanks, water, stock, what gets written down and luck all go into a ratio. It is about records, and a reason to ask one another, not a mark.",
	}
	var only, few, alone []string
	for _, r := range k.Keepers {
		switch r.Status {
		case answer.SpawningsOnly:
			only = append(only, r.Keeper)
		case answer.TooFewAttempts:
			few = append(few, r.Keeper)
		case answer.TooFewOthers:
			alone = append(alone, r.Keeper)
		}
	}
	if len(only) > 0 {
		out = append(out, "Not compared, since they write down spawnings only and their attempts that came to nothing are not known: "+strings.Join(only, ", ")+".")
	}
	if len(few) > 0 {
		out = append(out, fmt.Sprintf("Not compared, with fewer than %d attempts: %s.", k.Floor, strings.Join(few, ", ")))
	}
	if len(alone) > 0 {
		out = append(out, "Not compared, since too few others keep the same species: "+strings.Join(alone, ", ")+".")
	}
	for _, n := range k.Notes {
		out = append(out, capital(n)+".")
	}
	return out
}

// list joins names as people write a list.
func list(names []string) string {
	switch n := len(names); n {
	case 0:
		return "nothing"
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}

func keepersTable(k answer.Keepers) report.Table {
	t := report.Table{ID: "keepers", Title: "Spawnings seen and expected", Note: fmt.Sprintf("In order of name. Below %d attempts nothing is compared.", k.Floor), Columns: []report.Column{
		{Name: "Keeper", Key: true}, {Name: "Attempts", Format: report.Whole, Help: "with an outcome; where compared, of species that enough others keep"},
		{Name: "Spawned", Format: report.Whole}, {Name: "Expected", Format: report.Decimal, Help: "spawnings to expect of these attempts if they had gone as the club's do"},
		{Name: "Ratio", Format: report.Decimal, Help: "spawned over expected"}, {Name: "Low", Format: report.Decimal, Help: "lowest plausible ratio (exact, 95 %)"}, {Name: "High", Format: report.Decimal, Help: "highest plausible ratio (exact, 95 %)"},
		{Name: "Against the limits", Help: "whether chance alone leaves as much"},
		{Name: "Counts as", Unit: "attempts", Format: report.Whole, Help: "attempts of a species with the average share expected that would tell as much"},
		{Name: "Others' attempts", Format: report.Whole, Help: "attempts of other keepers, of the same species"}, {Name: "Remark"},
	}}
	for _, r := range k.Keepers {
		others := report.N(report.Whole, math.NaN())
		if r.Status == answer.OK {
			others = report.I(r.Others.Attempts)
		}
		remarks := []string{}
		if r.Reason != "" {
			remarks = append(remarks, r.Reason)
		}
		t.Rows = append(t.Rows, []report.Cell{
			report.T(r.Keeper), report.I(r.Attempts), report.I(r.Spawned), report.N(report.Decimal, float64(r.Expected)),
			report.N(report.Decimal, float64(r.Ratio.Estimate)), report.N(report.Decimal, float64(r.Ratio.Low)), report.N(report.Decimal, float64(r.Ratio.High)),
			report.T(standingWords(r)), report.N(report.Whole, math.Round(float64(r.CountsAs))), others, report.T(strings.Join(append(remarks, r.Notes...), "; ")),
		})
	}
	return t
}

// standingWords says where a keeper lies; nothing where that is not known.
func standingWords(r answer.KeeperRecord) string {
	beyond := "95 %"
	if r.Beyond > 0.99 {
		beyond = "99.8 %"
	}
	switch r.Standing {
	case answer.AsExpected:
		return "within what chance leaves"
	case answer.More:
		return "more than expected, outside the " + beyond + " limits"
	case answer.Fewer:
		return "fewer than expected, outside the " + beyond + " limits"
	}
	return ""
}

// keeperSection is one keeper's own part.
func keeperSection(r answer.KeeperRecord, id string, k answer.Keepers, o SeasonOptions) report.Section {
	s := report.Section{ID: id, Title: r.Keeper, Lead: keeperSentence(r, k)}
	if r.Status == answer.OK && r.CountsAs < smallNumbers {
		s.Paragraphs = append(s.Paragraphs, "These are few attempts: only a large difference could show.")
	}
	for _, n := range r.Notes {
		s.Paragraphs = append(s.Paragraphs, capital(n)+".")
	}
	for _, l := range r.LeftOut {
		s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("Left out: %s (%s).", plural(l.N, "attempt", "attempts"), l.Reason))
	}
	if r.Status == answer.SpawningsOnly {
		s.Paragraphs = append(s.Paragraphs, "What would help: write down attempts that came to nothing as well; they are worth as much as the others.")
	}
	if len(r.Species) > 0 {
		t := keeperSpeciesTable()
		t.Rows = keeperSpeciesRows(r)
		s.Tables = append(s.Tables, t)
	}
	s.Paragraphs = append(s.Paragraphs, asideSentence(r.SetAside))
	if len(r.SetAside.Groups) > 0 {
		s.Tables = append(s.Tables, asideTable(r.SetAside, o))
	}
	return s
}

// smallNumbers is the number of attempts below which a keeper is told that only a
// large difference can show: with 20 attempts and half of them expected, the limits
// lie at 0.5 and 1.5.
const smallNumbers = 20

func keeperSentence(r answer.KeeperRecord, k answer.Keepers) string {
	if r.Status != answer.OK {
		return fmt.Sprintf("%s on record. Not compared: %s.", plural(r.Total, "attempt", "attempts"), r.Reason)
	}
	return fmt.Sprintf("%d of %s spawned; %s would be expected if they had gone as the attempts of the club do, with %s held alike (%s). That is %s times as many (plausible %s): %s.",
		r.Spawned, plural(r.Attempts, "attempt", "attempts"), number(float64(r.Expected)), list(k.Adjusted), plural(r.Others.Keepers, "other keeper", "other keepers"),
		times(r.Ratio.Estimate), times(r.Ratio.Low)+" to "+times(r.Ratio.High), standingWords(r))
}

// times is a ratio in words: two decimals, since 1 times as many says nothing.
func times(n answer.Num) string { return strconv.FormatFloat(float64(n), 'f', 2, 64) }

func keeperSpeciesTable() report.Table {
	return report.Table{ID: "species", Title: "By species", Columns: []report.Column{
		{Name: "Species", Key: true}, {Name: "Attempts", Format: report.Whole}, {Name: "Spawned", Format: report.Whole},
		{Name: "Expected", Format: report.Decimal, Help: "empty where the others have too few attempts of it"},
		{Name: "Others' attempts", Format: report.Whole}, {Name: "Others' spawnings", Format: report.Whole}, {Name: "Other keepers", Format: report.Whole},
	}}
}

func keeperSpeciesRows(r answer.KeeperRecord) (rows [][]report.Cell) {
	for _, s := range r.Species {
		rows = append(rows, []report.Cell{report.T(s.Species), report.I(s.Attempts), report.I(s.Spawned), report.N(report.Decimal, float64(s.Expected)),
			report.I(s.Others.Attempts), report.I(s.Others.Spawned), report.I(s.Others.Keepers)})
	}
	return rows
}

// asideSentence says how much of some logs was not taken as written.
func asideSentence(a answer.Aside) string {
	if a.Logs == 0 {
		return "No log is known to be this keeper's alone."
	}
	read := fmt.Sprintf("%s in %s read", plural(a.Rows, "row", "rows"), plural(a.Logs, "log", "logs"))
	if len(a.Groups) == 0 {
		return read + "; nothing was set aside."
	}
	if a.SetAside > 0 {
		read += fmt.Sprintf(", %d of them set aside", a.SetAside)
	}
	var parts []string
	for _, p := range []struct {
		n         int
		one, many string
	}{{a.Errors, "cell, row or column not used", "cells, rows or columns not used"}, {a.Warnings, "warning", "warnings"}, {a.Notes, "note", "notes"}} {
		if p.n > 0 {
			parts = append(parts, plural(p.n, p.one, p.many))
		}
	}
	return fmt.Sprintf("%s; %s, listed below with what to do.", read, list(parts))
}

func asideColumns() []report.Column {
	return []report.Column{
		{Name: "Severity", Key: true, Help: "error: not used; warning: used, look; note: decided by the program"}, {Name: "Code"}, {Name: "Where"}, {Name: "As written"}, {Name: "What"}, {Name: "What to do"}, {Name: "Times", Format: report.Whole}}
}

func asideRow(g problem.Group, o SeasonOptions) []report.Cell {
	return []report.Cell{report.T(string(g.Severity)), report.T(string(g.Code)), report.T(where(g.Place, o)), report.T(g.Value), report.T(g.Message), report.T(g.Fix), report.I(g.Count)}
}

func asideTable(a answer.Aside, o SeasonOptions) report.Table {
	t := report.Table{ID: "aside", Title: "What was set aside or decided, and how to mend it", Columns: asideColumns()}
	for _, g := range a.Groups[:min(mostAside, len(a.Groups))] {
		t.Rows = append(t.Rows, asideRow(g, o))
	}
	return t
}

// where names a place in a log, without the log where no log may be named.
func where(p problem.Place, o SeasonOptions) string {
	if o.Logs == "" {
		p.File = "a log"
	}
	return p.String()
}

// funnelFigure shows the keepers compared among their limits.
func funnelFigure(k answer.Keepers) (report.Figure, bool) {
	if k.Compared == 0 {
		return report.Figure{}, false
	}
	f := report.Figure{
		ID: "funnel", Kind: report.Funnel, Title: "Spawnings seen over those expected, by number of attempts",
		Caption: "Inside the dashed lines lie 19 in 20 keepers, and inside the dotted ones 998 in 1000, when chance alone makes the difference. Keepers with several species stand at the number of attempts that theirs count as.",
		X:       report.Axis{Label: "attempts, as they count", Format: report.Decimal},
		Y:       report.Axis{Label: "spawned over expected", Format: report.Decimal},
		MarksY:  []report.Mark{{At: 1, Label: "as expected"}},
		Series:  []report.Series{{Name: "keepers"}, {Name: "95 % limits"}, {Name: "99.8 % limits"}},
	}
	highest := 1.5
	fewest := math.Inf(1)
	var outside []string
	for _, r := range k.Keepers {
		if r.Status != answer.OK {
			continue
		}
		p := report.At(r.Keeper, float64(r.CountsAs), float64(r.Ratio.Estimate))
		p.N = r.Attempts
		if r.Standing != answer.AsExpected {
			p.Note = standingWords(r)
			outside = append(outside, fmt.Sprintf("%s (%s times as many as expected)", r.Keeper, times(r.Ratio.Estimate)))
		}
		f.Series[0].Points = append(f.Series[0].Points, p)
		highest, fewest = max(highest, p.Y), min(fewest, p.X)
	}
	for _, at := range k.Funnel {
		for i, ends := range [][2]answer.Num{{at.Low95, at.High95}, {at.Low998, at.High998}} {
			p := report.At("", float64(at.Attempts), math.NaN())
			p.YLo, p.YHi = float64(ends[0]), float64(ends[1])
			f.Series[i+1].Points = append(f.Series[i+1].Points, p)
			if p.X >= fewest && i == 0 && !math.IsNaN(p.YHi) {
				highest = max(highest, p.YHi)
			}
		}
	}
	f.Y.Max = math.Ceil(4*1.05*highest) / 4
	f.Alt = fmt.Sprintf("%s; all lie within the 95 %% limits.", plural(k.Compared, "keeper", "keepers"))
	if len(outside) > 0 {
		f.Alt = fmt.Sprintf("%s; outside the 95 %% limits: %s.", plural(k.Compared, "keeper", "keepers"), strings.Join(outside, ", "))
	}
	return f, true
}

// keepersSheet is the part of the season's document on keepers.
func keepersSheet(s answer.Season) report.Section {
	k := s.Keepers
	sec := report.Section{ID: "keepers", Title: "Keepers", Lead: keepersLead(k)}
	sec.Paragraphs = append([]string{fmt.Sprintf("From all attempts up to the end of %d; gravid keepers --season %d looks at that season alone, and has a part for each keeper.", s.Years.To, s.Years.To)}, keepersParagraphs(k)...)
	sec.Tables = []report.Table{keepersTable(k)}
	if f, ok := funnelFigure(k); ok {
		sec.Figures = []report.Figure{f}
	}
	species := keeperSpeciesTable()
	species.Columns = append([]report.Column{{Name: "Keeper", Key: true}}, species.Columns...)
	aside := report.Table{ID: "aside", Title: "Rows read and set aside, by keeper", Note: "What and where is on the sheet Set aside, and for one keeper in gravid keepers.", Columns: []report.Column{
		{Name: "Keeper", Key: true}, {Name: "Logs", Format: report.Whole}, {Name: "Rows read", Format: report.Whole}, {Name: "Rows set aside", Format: report.Whole},
		{Name: "Not used", Format: report.Whole, Help: "cells, rows or columns"}, {Name: "Warnings", Format: report.Whole}, {Name: "Notes", Format: report.Whole}, {Name: "Most often"}}}
	for _, r := range k.Keepers {
		for _, row := range keeperSpeciesRows(r) {
			species.Rows = append(species.Rows, append([]report.Cell{report.T(r.Keeper)}, row...))
		}
		a := r.SetAside
		aside.Rows = append(aside.Rows, []report.Cell{report.T(r.Keeper), report.I(a.Logs), report.I(a.Rows), report.I(a.SetAside), report.I(a.Errors), report.I(a.Warnings), report.I(a.Notes), report.T(mostOften(a))})
	}
	if a := k.Unassigned; a.Logs > 0 {
		aside.Rows = append(aside.Rows, []report.Cell{report.T("logs of no single keeper"), report.I(a.Logs), report.I(a.Rows), report.I(a.SetAside), report.I(a.Errors), report.I(a.Warnings), report.I(a.Notes), report.T(mostOften(a))})
	}
	sec.Tables = append(sec.Tables, species, aside)
	return sec
}

// mostOften names the kind of problem, but for notes, that a keeper's logs have most
// often.
func mostOften(a answer.Aside) string {
	best, most := "", 0
	for _, g := range a.Groups {
		if g.Severity != problem.Note && g.Count > most {
			best, most = g.Message, g.Count
		}
	}
	if most > 1 {
		best += " (" + strconv.Itoa(most) + " times)"
	}
	return best
}
