// Package compose puts answers into words: it turns the plain data of package
// answer into a Document of sentences, tables and figures. Every number it shows
// is one that an answer holds.
package compose

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gravid/analyze/answer"
	"gravid/analyze/catalogue"
	"gravid/analyze/report"
)

// Trigger is the document of one answer about one trigger.
func Trigger(a answer.Answer) *report.Document {
	d := &report.Document{
		Title:    fmt.Sprintf("Does %s matter for %s?", a.Question.TriggerName, a.Question.Species),
		Subtitle: capital(a.Verdict.Words()),
		Cautions: append(capitals(a.Cautions), catalogue.General...),
		Terms:    Terms(a.MarginPer100),
	}
	if a.Question.Exploration {
		d.Subtitle = "Exploration, no answer to the fixed question: " + a.Verdict.Words()
	}
	d.Facts = facts(a)
	d.Sections = append(d.Sections, answerSection(a))
	if s, ok := bandsSection(a); ok {
		d.Sections = append(d.Sections, s)
	}
	if s, ok := amountsSection(a); ok {
		d.Sections = append(d.Sections, s)
	}
	d.Sections = append(d.Sections, recordsSection(a))
	if s, ok := changeSection(a); ok {
		d.Sections = append(d.Sections, s)
	}
	d.Sections = append(d.Sections, nextSection(a), technicalSection(a))
	return d
}

func facts(a answer.Answer) []report.Fact {
	c := a.Counts
	return []report.Fact{
		{Label: "Understood as", Value: report.T(a.Question.Trigger + " for " + a.Question.Species)},
		{Label: "Window", Value: report.T(a.Question.Window)},
		{Label: "Records used", Value: report.T(fmt.Sprintf("%s with %s, from %s",
			plural(c.Attempts, "attempt", "attempts"), plural(c.Spawned, "spawning", "spawnings"), plural(c.Keepers, "keeper", "keepers")))},
	}
}

func answerSection(a answer.Answer) report.Section {
	s := report.Section{ID: "answer", Title: "The answer", Lead: Sentence(a)}
	if a.Per100.Difference.Known() {
		s.Figures = append(s.Figures, differenceFigure([]answer.Answer{a}, a.MarginPer100, "The difference and how sure it is"))
	}
	return s
}

// Sentence is the answer in words, with its numbers.
func Sentence(a answer.Answer) string {
	head := capital(a.Verdict.Words()) + ". "
	if relative(a) && a.OddsRatio.Known() {
		return head + relativeSentence(a)
	}
	if a.Status != answer.OK && !a.Per100.Difference.Known() {
		return head + capital(a.Reason) + "."
	}
	diff := a.Per100.Difference
	var b strings.Builder
	b.WriteString(head)
	over := ""
	if a.Per100.Days > 0 {
		over = fmt.Sprintf(" within %s", plural(a.Per100.Days, "day", "days"))
	}
	if pd := a.Per100.PerDay; pd != nil {
		fmt.Fprintf(&b, "In these records spawning went with %s of 100 %s, against %s of 100 %s. ",
			about(pd.With), strings.TrimPrefix(a.Question.With, "on "), about(pd.Without), strings.TrimPrefix(a.Question.Without, "on "))
		fmt.Fprintf(&b, "Over an attempt of %s that comes to %s of 100 attempts if every day is such a day, against %s if none is: ",
			plural(a.Per100.Days, "day", "days"), about(a.Per100.With), about(a.Per100.Without))
	} else {
		fmt.Fprintf(&b, "In these records %s of 100 attempts spawned%s %s, against %s %s: ",
			about(a.Per100.With), over, a.Question.With, about(a.Per100.Without), a.Question.Without)
	}
	fmt.Fprintf(&b, "%s, plausible %s. ", difference(diff.Estimate), span(diff))
	if len(a.Checks.Separated) > 0 {
		b.WriteString("One side of the comparison has no exception in these records, so one record more could change the figures a lot. ")
	}
	if a.Status == answer.FollowsPlacebo || a.Status == answer.BlanksDecide {
		b.WriteString(capital(a.Reason) + ". ")
	}
	switch a.Verdict {
	case answer.NoDifference:
		fmt.Fprintf(&b, "If there is a difference, it is probably smaller than %s per 100.", number(a.MarginPer100))
	case answer.CannotTell:
		b.WriteString(more(a))
	default:
		fmt.Fprintf(&b, "This is a link seen in the records of %s, not a demonstrated cause.", plural(a.Counts.Keepers, "keeper", "keepers"))
	}
	return strings.TrimSpace(b.String())
}

// bandsSection answers how large a change must be.
func bandsSection(a answer.Answer) (report.Section, bool) {
	t := report.Table{ID: "bands", Title: "How large it was", Columns: []report.Column{
		{Name: "Change", Key: true, Help: "over the window of the trigger"},
		{Name: "Days", Format: report.Whole, Help: "days at risk with such a change"},
		{Name: "Spawned", Format: report.Whole, Help: "of them days with a spawning"},
		{Name: "Odds ratio", Format: report.Ratio, Help: "against days with a smaller change or none, all else alike"},
		{Name: "Low", Format: report.Ratio}, {Name: "High", Format: report.Ratio}, {Name: "Note"},
	}}
	for _, b := range a.Bands {
		t.Rows = append(t.Rows, []report.Cell{report.T(b.Label), report.I(b.Days), report.I(b.Spawned), report.N(report.Ratio, float64(b.Odds.Estimate)),
			limit(b.Odds.Low, b.Odds, -1), limit(b.Odds.High, b.Odds, 1), report.T(b.Note)})
	}
	return report.Section{ID: "size", Title: "How large must it be?", Lead: bandsSentence(a), Tables: []report.Table{t}}, len(t.Rows) > 0
}

// bandsSentence says which sizes stand out.
func bandsSentence(a answer.Answer) string {
	var linked, open []string
	for _, b := range a.Bands {
		switch {
		case !b.Odds.Known():
		case low(b.Odds) > 1 || high(b.Odds) < 1:
			linked = append(linked, b.Label)
		default:
			open = append(open, b.Label)
		}
	}
	switch {
	case len(linked) == 0:
		return "No size stands out from days with a smaller change or none: the records can't tell yet how large it must be."
	case len(open) == 0:
		return fmt.Sprintf("Every size seen often enough went with another chance of spawning than days with a smaller change or none: %s.", strings.Join(linked, "; "))
	}
	return fmt.Sprintf("Against days with a smaller change or none, these sizes went with another chance of spawning: %s. For these the records can't tell yet: %s.", strings.Join(linked, "; "), strings.Join(open, "; ")) + fromHowMuch(a)
}

// fromHowMuch says from which size on every size, each by itself, went with another
// chance in one direction; nothing where the largest did not.
func fromHowMuch(a answer.Answer) string {
	from, side := math.NaN(), 0
	for k := len(a.Bands) - 1; k >= 0; k-- {
		b := a.Bands[k]
		if !b.Odds.Known() {
			continue
		}
		s := 0
		switch {
		case low(b.Odds) > 1:
			s = 1
		case high(b.Odds) < 1:
			s = -1
		}
		if s == 0 || side != 0 && s != side {
			break
		}
		from, side = float64(b.From), s
	}
	if side == 0 || a.Dose == nil {
		return ""
	}
	word := "more"
	if side < 0 {
		word = "less"
	}
	return fmt.Sprintf(" From %s %s on, every size seen often enough went with %s spawning, each size by itself.", number(from), a.Dose.Unit, word)
}

// relative reports whether an answer stands on spawnings alone: it has no chances.
func relative(a answer.Answer) bool {
	return a.Design == answer.AtRiskDays || a.Design == answer.MatchedDays
}

// relativeSentence is the answer where nothing but a ratio can be told.
func relativeSentence(a answer.Answer) string {
	var b strings.Builder
	r := a.OddsRatio
	with, without := strings.TrimPrefix(a.Question.With, "on "), strings.TrimPrefix(a.Question.Without, "on ")
	if a.Dose != nil && a.Counts.With == 0 {
		fmt.Fprintf(&b, "For each %s %s, the odds of a spawning on a day went with a factor of %s, plausible %s. ", number(float64(a.Dose.Step)), a.Dose.Unit, number(float64(r.Estimate)), bounds(r))
	} else {
		fmt.Fprintf(&b, "In these records the odds of a spawning on %s were %s times those on %s, plausible %s. ", with, number(float64(r.Estimate)), without, bounds(r))
	}
	b.WriteString("These keepers write down spawnings only, so nobody can say how many in 100. ")
	if len(a.Checks.Separated) > 0 {
		b.WriteString("One side of the comparison has no exception in these records, so one record more could change the figures a lot. ")
	}
	switch {
	case a.Status == answer.FollowsPlacebo:
		b.WriteString(capital(a.Reason) + ".")
	case a.Verdict == answer.NoDifference:
		fmt.Fprintf(&b, "If there is a link, it is probably weaker than a factor of %s either way.", number(answer.RelativeMargin))
	case a.Verdict == answer.CannotTell:
		b.WriteString(capital(a.NextStep) + ".")
	default:
		fmt.Fprintf(&b, "This is a link seen in the records of %s, not a demonstrated cause.", plural(a.Counts.Keepers, "keeper", "keepers"))
	}
	return strings.TrimSpace(b.String())
}

func more(a answer.Answer) string {
	m := a.MoreNeeded
	switch {
	case !math.IsNaN(float64(m.Keepers)):
		return fmt.Sprintf("Keepers differ so much that more attempts of the same keepers would not settle it: about %s keepers in all would.", number(float64(m.Keepers)))
	case !math.IsNaN(float64(m.Attempts)):
		return fmt.Sprintf("About %s more attempts would settle it (likely between %s and %s).", number(float64(m.Attempts)), number(float64(m.Low)), number(float64(m.High)))
	case a.NextStep != "":
		return capital(a.NextStep) + "."
	}
	return ""
}

func recordsSection(a answer.Answer) report.Section {
	t := report.Table{ID: "records", Title: "Attempts used and left out", Columns: []report.Column{
		{Name: "What", Key: true}, {Name: "Attempts", Format: report.Whole},
	}}
	t.Rows = append(t.Rows, []report.Cell{report.T("attempts of this species in the tables"), report.I(a.Counts.Total)})
	for _, l := range a.Counts.LeftOut {
		t.Rows = append(t.Rows, []report.Cell{report.T("left out: " + l.Reason), report.I(l.N)})
	}
	t.Rows = append(t.Rows, []report.Cell{report.T("used"), report.I(a.Counts.Attempts)})
	s := report.Section{ID: "records", Title: "What it stands on", Tables: []report.Table{t}}
	c := a.Counts
	if c.Rows > 0 {
		unit := "attempts"
		if relative(a) {
			unit = "days at risk"
		}
		if a.Design == answer.ByTankDay || c.Rows != c.Attempts {
			unit = "days at risk"
		}
		if c.With > 0 {
			s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("Compared within each keeper: %d %s with the trigger (%s), %d without (%s). %s.",
				c.With, unit, plural(c.SpawnedWith, "spawning", "spawnings"), c.Rows-c.With, plural(c.Spawned-c.SpawnedWith, "spawning", "spawnings"),
				capital(plural(c.Informative, "keeper has", "keepers have")+" records of both kinds and both outcomes")))
		} else {
			s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("Compared within each keeper over %d %s with %s; amounts from %s to %s %s were seen (middle 90 %%).",
				c.Rows, unit, plural(c.Spawned, "spawning", "spawnings"), number(float64(a.Dose.Low)), number(float64(a.Dose.High)), a.Dose.Unit))
		}
	}
	for _, l := range a.Counts.LeftOutDays {
		s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("Of attempts that stay, %s left out: %s.", plural(l.N, "day was", "days were"), l.Reason))
	}
	for _, n := range a.Notes {
		s.Paragraphs = append(s.Paragraphs, capital(n)+".")
	}
	return s
}

func changeSection(a answer.Answer) (report.Section, bool) {
	s := report.Section{ID: "change", Title: "What would change this"}
	c := a.Checks
	if p := c.Placebo; p != nil && p.OddsRatio.Known() {
		word := "shows no link of its own, as it should"
		if !p.Passed {
			word = "shows a link too, though the future cannot have brought the spawning about: something else, such as the season, moves both"
		}
		s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("The same comparison with the trigger %d days later %s (odds ratio %s, plausible %s).",
			p.ShiftDays, word, number(float64(p.OddsRatio.Estimate)), bounds(p.OddsRatio)))
	}
	if l := c.LeaveOut; l != nil && l.MostChanged != "" {
		turn := "the direction stays the same"
		if l.Flips {
			turn = "leaving that keeper out turns the direction round"
		}
		s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("Leaving out one keeper at a time moves the odds ratio between %s and %s; %s moves it most, and %s.",
			number(float64(l.Low)), number(float64(l.High)), l.MostChanged, turn))
	}
	if m := c.Missing; m != nil && m.Missing > 0 && !math.IsNaN(float64(m.AllWith)) {
		where := ""
		if m.ByOutcome() {
			where = fmt.Sprintf(" (%d of %d that spawned, %d of %d that did not)", m.SpawnedMissing, m.Spawned, m.FailedMissing, m.Failed)
		}
		s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("The trigger was not recorded for %s%s. If all of them had it, the difference would be %s per 100; if none had, %s. Whatever it was for each of them, the difference lies between %s and %s.",
			plural(m.Missing, "attempt", "attempts"), where, signed(float64(m.AllWith)), signed(float64(m.AllWithout)), signed(float64(m.Least)), signed(float64(m.Most))))
	}
	if e := c.EValue; e != nil && !math.IsNaN(float64(e.Estimate)) {
		s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("To explain the whole link, something unrecorded would have to go about %s-fold both with the trigger and with spawning (%s-fold for the near end of the interval).",
			number(float64(e.Estimate)), number(float64(e.Limit))))
	}
	if a.LookedAt > 1 {
		s.Paragraphs = append(s.Paragraphs, fmt.Sprintf("%d triggers were looked at together; the more one looks at, the more chance finds. The p-value after allowing for that is %s.", a.LookedAt, number(float64(a.PAdjusted))))
	}
	if t, ok := viewsTable(a); ok {
		s.Tables = append(s.Tables, t)
	}
	return s, len(s.Paragraphs)+len(s.Tables) > 0
}

// viewsTable sets other ways to look at the question beside the answer.
func viewsTable(a answer.Answer) (report.Table, bool) {
	t := report.Table{ID: "views", Title: "The same question looked at in other ways", Columns: []report.Column{
		{Name: "View", Key: true, Help: "what was done otherwise; the verdict stands on the first line alone"},
		{Name: "Odds ratio", Format: report.Ratio, Help: "1 means no link; the further the lines lie apart, the more hangs on a choice"},
		{Name: "Low", Format: report.Ratio}, {Name: "High", Format: report.Ratio}, {Name: "Note"},
	}}
	row := func(name string, i answer.Interval, note string) {
		t.Rows = append(t.Rows, []report.Cell{report.T(name), report.N(report.Ratio, float64(i.Estimate)), limit(i.Low, i, -1), limit(i.High, i, 1), report.T(note)})
	}
	row("the answer", a.OddsRatio, "")
	for _, v := range a.Checks.Views {
		row(v.Name, v.OddsRatio, v.Note)
	}
	return t, len(a.Checks.Views) > 0
}

func nextSection(a answer.Answer) report.Section {
	return report.Section{ID: "next", Title: "What to do next", Paragraphs: []string{capital(a.NextStep) + "."}}
}

func technicalSection(a answer.Answer) report.Section {
	t := report.Table{ID: "numbers", Title: "Every number with its method", Columns: []report.Column{
		{Name: "Quantity", Key: true}, {Name: "Value", Format: report.Decimal}, {Name: "Low", Format: report.Decimal},
		{Name: "High", Format: report.Decimal}, {Name: "Method"},
	}}
	row := func(name string, i answer.Interval) {
		t.Rows = append(t.Rows, []report.Cell{report.T(name), report.N(report.Decimal, float64(i.Estimate)),
			limit(i.Low, i, -1), limit(i.High, i, 1), report.T(i.Method)})
	}
	row("odds ratio", a.OddsRatio)
	row("difference per 100", a.Per100.Difference)
	if a.Dose != nil {
		row(fmt.Sprintf("odds ratio per %s %s, straight line", number(float64(a.Dose.Step)), a.Dose.Unit), a.Dose.OddsRatio)
	}
	if c := a.Checks.Profile; c != nil {
		row("odds ratio, likelihood part", *c)
	}
	if c := a.Checks.Jackknife; c != nil {
		row("odds ratio, clusters part", *c)
	}
	if p := a.Checks.Placebo; p != nil {
		row("odds ratio, placebo", p.OddsRatio)
	}
	s := report.Section{ID: "technical", Title: "Technical part", Technical: true, Tables: []report.Table{t}}
	s.Paragraphs = append(s.Paragraphs,
		fmt.Sprintf("Design: %s. Status: %s. Clusters: %d, by %s. p-value: %s.", a.Design, a.Status, a.Counts.Clusters, a.Counts.ClusterOf, number(float64(a.PValue))),
		"Adjusted for: "+strings.Join(a.Adjusted, ", ")+".")
	s.Paragraphs = append(s.Paragraphs, a.Methods...)
	return s
}

// limit shows a bound; an unbounded one as an infinite number, which renderers
// write as "no limit".
func limit(n answer.Num, i answer.Interval, sign int) report.Cell {
	if math.IsNaN(float64(n)) && i.Unbounded {
		return report.N(report.Decimal, math.Inf(sign))
	}
	return report.N(report.Decimal, float64(n))
}

// differenceFigure draws the differences of several answers one below the other.
func differenceFigure(as []answer.Answer, margin float64, title string) report.Figure {
	f := report.Figure{
		ID: "differences", Kind: report.Forest, Title: title,
		Caption: fmt.Sprintf("The difference in 100 attempts, with all that the records leave plausible (95 %% interval). Between −%[1]s and +%[1]s a difference is not worth acting on.", number(margin)),
		X:       report.Axis{Label: "more or fewer attempts that spawned", Unit: "per 100", Format: report.Per100},
		Y:       report.Axis{Label: "Trigger"},
		MarksX:  []report.Mark{{At: 0, Label: "no difference"}, {At: -margin}, {At: margin, Label: "worth acting on"}},
	}
	var alt []string
	s := report.Series{Name: "difference per 100 attempts"}
	for _, a := range as {
		d := a.Per100.Difference
		label := a.Question.TriggerName
		if !d.Known() {
			continue
		}
		s.Points = append(s.Points, report.Point{
			Label: label, X: float64(d.Estimate), XLo: low(d), XHi: high(d),
			YLo: math.NaN(), YHi: math.NaN(), N: a.Counts.Attempts, Note: a.Verdict.Words(), Faint: a.Verdict == answer.CannotTell,
		})
		alt = append(alt, fmt.Sprintf("%s: %s, plausible %s, %s", label, difference(d.Estimate), span(d), a.Verdict.Words()))
	}
	f.Series = []report.Series{s}
	f.Alt = strings.Join(alt, ". ") + "."
	return f
}

func low(i answer.Interval) float64 {
	if math.IsNaN(float64(i.Low)) && i.Unbounded {
		return math.Inf(-1)
	}
	return float64(i.Low)
}

func high(i answer.Interval) float64 {
	if math.IsNaN(float64(i.High)) && i.Unbounded {
		return math.Inf(1)
	}
	return float64(i.High)
}

func difference(n answer.Num) string {
	x := math.Round(float64(n))
	switch {
	case x > 0:
		return number(x) + " more per 100"
	case x < 0:
		return number(-x) + " fewer per 100"
	}
	return "less than 1 per 100 apart"
}

// span says an interval of a difference in words: "9 fewer to 21 more".
func span(i answer.Interval) string {
	side := func(x float64) string {
		r := math.Round(x)
		switch {
		case math.IsInf(x, 0) || math.IsNaN(x):
			return "no limit"
		case r < 0:
			return number(-r) + " fewer"
		case r > 0:
			return number(r) + " more"
		}
		return "0"
	}
	return side(low(i)) + " to " + side(high(i))
}

func bounds(i answer.Interval) string {
	word := func(x float64) string {
		if math.IsInf(x, 0) || math.IsNaN(x) {
			return "no limit"
		}
		return number(x)
	}
	return word(low(i)) + " to " + word(high(i))
}

func about(n answer.Num) string {
	x := float64(n)
	if math.IsNaN(x) {
		return "an unknown number"
	}
	if x > 0 && x < 1 {
		return "fewer than 1"
	}
	return "about " + strconv.FormatFloat(math.Round(x), 'f', -1, 64)
}

func signed(x float64) string {
	if math.IsNaN(x) {
		return "unknown"
	}
	return fmt.Sprintf("%+.0f", x)
}

// number rounds to what a reader can use: 2 significant figures below 10, whole
// numbers from 10 on.
func number(x float64) string {
	switch {
	case math.IsNaN(x):
		return "unknown"
	case math.IsInf(x, 0):
		return "no limit"
	case x != 0 && math.Abs(x) < 0.001:
		return "less than 0.001"
	case math.Abs(x) >= 10:
		return strconv.FormatFloat(math.Round(x), 'f', -1, 64)
	}
	r, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 2, 64), 64)
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// capitals starts every sentence with a capital and ends it with a full stop.
func capitals(sentences []string) []string {
	out := make([]string, len(sentences))
	for i, s := range sentences {
		out[i] = capital(s) + "."
	}
	return out
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
