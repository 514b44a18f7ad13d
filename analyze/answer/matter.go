package answer

import (
	"fmt"
	"gravid/stats/count"
	"math"
	"slices"

	"gravid/analyze/catalogue"
	"gravid/analyze/exposure"
)

// An Asker holds what every question needs.
type Asker struct {
	Records  *exposure.Records
	Triggers []catalogue.Trigger
	Margin   float64 // difference per 100 attempts that is worth acting on; 0 = 10
	Level    float64 // coverage of intervals; 0 = 0.95
	Views    bool    // Matter looks at the question in other ways as well: Checks.Views

	// Progress is told how far many questions have come, one call at a time; nil = nobody
	// wants to know.
	Progress func(text string)

	oneByOne bool // what a question asks beside is not worked out side by side
}

// Level95 and Margin10 are what a zero Level and Margin stand for.
const (
	Level95  = 0.95
	Margin10 = 10.0
)

func (k Asker) withDefaults() Asker {
	if k.Margin == 0 {
		k.Margin = Margin10
	}
	if k.Level == 0 {
		k.Level = Level95
	}
	return k
}

// floorEvents is how many spawnings, and how many rows without one, a comparison
// needs before anything is fitted. The choice is ours.
const floorEvents = 5

// floorKeepers is how many keepers have to hold both sides of a comparison.
const floorKeepers = 2

// most of the missing values of something that is only adjusted for may be
// filled with the keeper's mean; beyond that it is not adjusted for.
const mostFilled = 0.2

// Matter answers whether a trigger goes with spawning in one species: within
// keepers, with season, temperature, day of the attempt and the other recorded
// triggers held alike.
//
// The estimate is a Firth-penalised logistic regression with one intercept a
// keeper; the interval is the wider, at each end, of the penalised profile
// interval and a jackknife over clusters with Student's t (package stats/logit
// has the sources). The difference per 100 attempts comes from the same
// interval, so that the two cannot contradict each other.
func (k Asker) Matter(species string, t catalogue.Trigger) Answer {
	k = k.withDefaults()
	c := k.newComparison(species, t)
	if c.stop() {
		return c.answer
	}
	c.estimate()
	return c.answer
}

// A comparison is one question on its way to its answer.
type comparison struct {
	Asker
	t        catalogue.Trigger
	frame    *exposure.Frame // rows with the trigger recorded
	x        []float64       // the trigger, one a row
	full     *exposure.Frame // rows before those without the trigger were dropped
	fullX    []float64
	relative bool // days at risk of keepers who write down spawnings only: no chances follow
	matched  bool // those are compared within strata of days
	adjust   []column
	noted    string   // what to know about where the trigger comes from
	filledIn []string // what was filled in to be held alike, with how often
	cluster  []int
	from,
	to float64 // the amounts compared
	curve  *doseModel // where amounts follow a curve, which takes the place of the line
	hidden bool       // a curve could hide a difference that the line does not see
	answer Answer
}

// A column is something adjusted for.
type column struct {
	name   string
	values []float64
}

func (k Asker) newComparison(species string, t catalogue.Trigger) *comparison {
	c := &comparison{Asker: k, t: t}
	c.answer = Answer{
		Question: Question{Trigger: t.Code, Species: species, Window: t.Window, TriggerName: t.Name, With: t.With, Without: t.Without, Exploration: t.Exploration},
		Verdict:  CannotTell, OddsRatio: NoInterval(), PValue: unknown, PAdjusted: unknown, LookedAt: 1,
		Per100:     Per100{With: unknown, Without: unknown, Difference: NoInterval()},
		MoreNeeded: MoreNeeded{unknown, unknown, unknown, unknown}, MarginPer100: k.Margin,
		Adjusted: []string{},
	}
	if t.Exploration {
		c.answer.Notes = append(c.answer.Notes, "this is an exploration: the window or the size of the change is not the one fixed beforehand, and whoever tries many finds one that fits by chance; ask the fixed question anew with next season's records")
	}
	if t.Caution.Text != "" {
		c.answer.Cautions = append(c.answer.Cautions, t.Caution.Text)
	}
	c.lay(species)
	return c
}

// lay chooses between rows by day and rows by attempt and fills the frame.
func (c *comparison) lay(species string) {
	r := c.Records
	byDay := r.Rows(species, true)
	c.answer.Design = ByAttempt
	switch {
	case byDay.Attempts() == 0 && leftOut(byDay, "keeper writes down spawnings only") > 0 && r.Dated(c.t):
		c.layAtRisk(species)
	case r.Dated(c.t):
		c.answer.Design = ByTankDay
		c.frame = byDay
	case c.t.Daily != nil && c.t.FromAttempt != nil:
		c.frame = r.Rows(species, false)
		c.answer.Question.Window = "as the keeper noted it on the row of the attempt"
		c.noted = "no barometer log covers these attempts, so the change that keepers noted on the row is used; where it was noted because the fish spawned, the comparison is not fair"
	default:
		byAttempt := r.Rows(species, false)
		shortest, longest := byDay.Lengths()
		c.frame = byAttempt
		if longest > shortest && float64(byDay.Attempts()) >= 0.9*float64(byAttempt.Attempts()) {
			c.frame = byDay
		}
		if r.Beside(byDay, c.t) {
			c.frame = byDay
			c.noted = beside(c.t)
		}
	}
	c.fullX = r.Values(c.frame, c.t, 0)
	full := *c.frame
	c.full = &full
	c.answer.Counts.SpawnsOnly = len(r.SpawnsOnly)
	before := c.frame.Attempts()
	reason := "trigger not recorded"
	if c.answer.Design == ByTankDay {
		reason = "no reading near enough to tell the trigger"
	}
	c.x = exposure.Pick(c.fullX, c.frame.Keep(func(i int) bool { return !math.IsNaN(c.fullX[i]) }, reason))
	missing := before - c.frame.Attempts()
	if c.noted != "" && len(c.x) > 0 {
		c.answer.Notes = append(c.answer.Notes, c.noted)
	}
	if missing > 0 && len(c.x) > 0 {
		c.answer.Checks.Missing = c.blanks(missing)
		if b := c.answer.Checks.Missing; b.ByOutcome() {
			c.answer.Notes = append(c.answer.Notes, fmt.Sprintf("the trigger is blank for %d of %d attempts that spawned and for %d of %d that did not: what was written down seems to hang on what came of it, and then only the bounds under what would change this are sure; write it down before the outcome is known",
				b.SpawnedMissing, b.Spawned, b.FailedMissing, b.Failed))
		}
	}
}

// blanks counts attempts without the trigger by their outcome.
func (c *comparison) blanks(missing int) *Bounds {
	b := &Bounds{Missing: missing, AllWith: unknown, AllWithout: unknown, Least: unknown, Most: unknown}
	told, spawned := map[int]bool{}, map[int]bool{}
	for _, a := range c.frame.Attempt {
		told[a] = true
	}
	for i, a := range c.full.Attempt {
		spawned[a] = spawned[a] || c.full.Y[i] == 1
	}
	for a, did := range spawned {
		all, blank := &b.Failed, &b.FailedMissing
		if did {
			all, blank = &b.Spawned, &b.SpawnedMissing
		}
		*all++
		if !told[a] {
			*blank++
		}
	}
	return b
}

// beside says what tells a trigger where the row of an attempt does not.
func beside(t catalogue.Trigger) string {
	if t.Act != nil {
		return fmt.Sprintf("where the row of an attempt says nothing, acts written down in the %d days before each day count, for keepers who write such acts down", t.Act.Days)
	}
	return fmt.Sprintf("where the row of an attempt says nothing, the mean of the tank's readings over the %.0f hours before each day counts", t.Level.WindowHours)
}

// RelativeMargin is the odds ratio, either way, that is worth acting on where records of
// spawnings alone give relative results only.
const RelativeMargin = 1.5

// layAtRisk lays out days at risk of keepers who write down spawnings only.
func (c *comparison) layAtRisk(species string) {
	c.frame, c.matched = c.Records.AtRisk(species)
	c.relative = true
	c.answer.Design = AtRiskDays
	days := c.Records.RefractoryDays(species)
	c.answer.Notes = append(c.answer.Notes, fmt.Sprintf("all keepers of this species write down spawnings only, so days are compared and no chances can be told; %d days after each spawn are left out", days))
	if c.matched {
		c.answer.Design = MatchedDays
		c.answer.Notes = append(c.answer.Notes, fmt.Sprintf("nobody says when these keepers watched, so each day with a spawn is compared with the other days of the same %d in the same tank: comparison days assumed; [watched] in club.toml says it better", exposure.StratumDays))
	}
}

// count fills in what the answer stands on.
func (c *comparison) count() {
	f := c.frame
	n := &c.answer.Counts
	n.Total, n.Attempts, n.Spawned, n.Rows = f.Total, f.Attempts(), f.Spawned(), len(f.Y)
	n.LeftOut, n.LeftOutDays = f.Reasons()
	if n.LeftOut == nil {
		n.LeftOut = []exposure.LeftOut{}
	}
	present := map[int]bool{}
	for i, g := range f.Keeper {
		present[g] = true
		if c.t.Kind == catalogue.YesNo && c.x[i] == 1 {
			n.With++
			n.SpawnedWith += int(f.Y[i])
		}
	}
	n.Keepers = len(present)
	n.Informative = c.informative()
}

// informative counts the keepers whose rows hold more than one value of the
// trigger and both outcomes.
func (c *comparison) informative() int {
	type seen struct{ lo, hi, y0, y1 float64 }
	keepers := map[int]*seen{}
	for i, g := range c.frame.Keeper {
		s := keepers[g]
		if s == nil {
			s = &seen{lo: math.Inf(1), hi: math.Inf(-1)}
			keepers[g] = s
		}
		s.lo, s.hi = min(s.lo, c.x[i]), max(s.hi, c.x[i])
		if c.frame.Y[i] == 1 {
			s.y1++
		} else {
			s.y0++
		}
	}
	n := 0
	for _, s := range keepers {
		if s.lo < s.hi && s.y0 > 0 && s.y1 > 0 {
			n++
		}
	}
	return n
}

func (c *comparison) gate(s Status, reason, next string) bool {
	c.answer.Status, c.answer.Reason, c.answer.NextStep = s, reason, next
	return true
}

// stop goes through the gates before any fit, in their fixed order, and reports
// whether one of them ended the question.
func (c *comparison) stop() bool {
	c.count()
	f, n, t := c.frame, c.answer.Counts, c.t
	switch {
	case f.Total == 0:
		return c.gate(SpeciesUnlogged, "no attempt with this species is in the tables", "gravid problems shows whether its rows were set aside")
	case c.full.Attempts() == 0 && leftOut(f, "keeper writes down spawnings only") > 0:
		return c.gate(SpawningsOnly, "only keepers who write down spawnings alone have this species, so there is nothing to compare with",
			"ask them to write down attempts that came to nothing as well")
	case c.full.Attempts() == 0:
		return c.gate(NotRecorded, "no attempt has a known outcome and the dates it needs", "gravid problems shows what was set aside and how to mend it")
	case len(f.Y) == 0:
		return c.gate(NotRecorded, "nobody wrote down "+t.Name+" for this species", "write it down for every attempt next season, also where the answer is no; it is worked out from "+t.Derived)
	case slices.Min(c.x) == slices.Max(c.x):
		return c.gate(NeverVaried, fmt.Sprintf("%s never varied in these records", t.Name), "try it both ways, one keeper both with and without")
	case f.Spawned() < floorEvents || len(f.Y)-f.Spawned() < floorEvents:
		return c.gate(TooFewOutcomes, fmt.Sprintf("there are %d spawnings and %d rows without one; fewer than %d of either says nothing", f.Spawned(), len(f.Y)-f.Spawned(), floorEvents),
			"keep writing down every attempt, whatever comes of it")
	case n.Informative < floorKeepers:
		return c.gate(TooFewKeepers, fmt.Sprintf("%d of %d keepers tried it both ways and saw both outcomes; at least %d are needed, since keepers differ in much else", n.Informative, n.Keepers, floorKeepers),
			"more keepers should try it both ways")
	}
	return false
}

func leftOut(f *exposure.Frame, reason string) int {
	for _, l := range f.LeftOut {
		if l.Reason == reason {
			return l.N
		}
	}
	return 0
}

// compareAmounts sets the amounts that the difference per 100 is between.
func (c *comparison) compareAmounts() {
	if c.t.Kind == catalogue.YesNo {
		c.from, c.to = 0, 1
		return
	}
	lo, hi := count.Quantile(c.x, 0.05), count.Quantile(c.x, 0.95)
	c.from, c.to = count.Quantile(c.x, 0.25), count.Quantile(c.x, 0.75)
	if c.t.Zero && lo <= 0 && hi >= c.t.Usual {
		c.from, c.to = 0, c.t.Usual
	} else if c.from == c.to {
		c.from, c.to = lo, hi
	}
	if c.from == c.to {
		c.from, c.to = slices.Min(c.x), slices.Max(c.x)
	}
	c.answer.Dose = &Dose{Unit: c.t.UnitName, Step: Num(c.t.Step), OddsRatio: NoInterval(), From: Num(c.from), To: Num(c.to), At: unknown,
		Low: Num(lo), High: Num(hi), CurveP: unknown, BestFrom: unknown, BestTo: unknown, DiffersFrom: unknown}
	c.answer.Question.With = fmt.Sprintf("at %s %s", trim(c.to), c.t.UnitName)
	c.answer.Question.Without = fmt.Sprintf("at %s %s", trim(c.from), c.t.UnitName)
}

func trim(x float64) string { return fmt.Sprintf("%.3g", x) }
