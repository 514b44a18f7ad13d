package answer

import (
	"fmt"
	"gravid/stats/count"
	"math"
	"slices"
	"strings"

	"gravid/analyze/catalogue"
	"gravid/analyze/exposure"
	"gravid/stats"
	"gravid/stats/logit"
	"gravid/stats/tail"
)

// placeboShift is how many days into the future the placebo moves a trigger's
// window.
const placeboShift = 7

// estimate fits the comparison and fills in the answer.
func (c *comparison) estimate() {
	c.compareAmounts()
	c.chooseAdjustment()
	c.setClusters()
	if c.matched {
		c.estimateMatched()
		return
	}
	fit := c.fit(c.frame, c.x, c.adjust)
	if !fit.model.Status.Usable() {
		c.refuse(fit)
		return
	}
	env := fit.envelope(c.cluster, c.Level)
	if !env.Status.Usable() {
		c.refuseInterval(env)
		return
	}
	a := &c.answer
	a.Status = OK
	c.odds(fit, env)
	f, curved := c.alongCurve()
	if curved {
		fit, env = f.fitted, envelope{Enveloped: f.env}
	}
	s := c.sides(fit, func() {
		if !curved {
			if !c.relative {
				c.perHundred(fit, env)
			}
			c.judge(env.Estimate)
			c.alongLine(env)
		}
		c.leaveKeepersOut(fit)
		if !c.relative {
			c.missingBounds()
		}
	})
	c.eValue(fit, env)
	if a.Checks.Placebo = s.placebo; s.placebo != nil && !s.placebo.Passed {
		c.followsPlacebo()
	}
	if s.dose != nil {
		a.Dose = s.dose
	}
	c.nameSeparation(fit)
	c.noteFewKeepers()
	if a.Verdict == CannotTell && !c.hidden && a.Status != BlanksDecide {
		c.moreNeeded(env)
	}
	c.nextStep()
	c.methods(fit)
	if c.Views {
		a.Checks.Views, a.Bands = s.views, s.bands
		c.noteViews()
	}
}

// A side is what is asked beside the question itself.
type side struct {
	placebo *Placebo
	dose    *Dose
	views   []View
	bands   []Band
}

// sides works out the rest of the answer and what is asked beside it, side by side. Only
// rest may change the comparison.
func (c *comparison) sides(f fitted, rest func()) side {
	var s side
	parts := []func(){rest, func() { s.placebo = c.placebo() }, func() { s.dose = c.pressureDose() }}
	if c.Views {
		parts = append([]func(){func() { s.views = c.views(f) }}, append(parts, func() { s.bands = c.bands() })...)
	}
	atOnce := len(parts)
	if c.oneByOne {
		atOnce = 1
	}
	eachOf(len(parts), atOnce, func(i int) { parts[i]() })
	return s
}

// fewKeepers is how many keepers a link may rest on and still be called an early sign only.
// With so few the jackknife has 1 to 3 degrees of freedom.
const fewKeepers = 4

// noteFewKeepers says so where a link rests on few keepers.
func (c *comparison) noteFewKeepers() {
	a := &c.answer
	if n := a.Counts.Informative; n <= fewKeepers && (a.Verdict == Matters || a.Verdict == Leans) {
		a.Notes = append(a.Notes, fmt.Sprintf("this rests on %d keepers who tried it both ways and saw both outcomes: an early sign, which more keepers have to bear out", n))
	}
}

// judge gives the verdict: from the difference per 100 attempts, or, where only
// relative results exist, from the odds ratio.
func (c *comparison) judge(log stats.Estimate) {
	a := &c.answer
	if c.relative {
		step := c.step()
		a.Verdict = Judge(step*log.Lo, step*log.Hi, math.Log(RelativeMargin))
		return
	}
	a.Verdict = Judge(lowOf(a.Per100.Difference), highOf(a.Per100.Difference), c.Margin)
}

func (c *comparison) refuse(f fitted) {
	c.answer.Status, c.answer.Verdict = FitFailed, CannotTell
	c.answer.Reason = "the estimate did not settle"
	c.answer.NextStep = "more attempts with and without the trigger would help"
	if f.model.Status == stats.NotIdentifiable && f.triggerFaulty() {
		c.answer.Status = Aliased
		c.answer.Reason = fmt.Sprintf("%s always came together with something else that is held alike, so the records can't tell them apart", c.t.Name)
		c.answer.NextStep = "try it once without the other"
	}
	for _, w := range f.model.Warnings {
		c.answer.Notes = append(c.answer.Notes, w.Text)
	}
}

// setClusters groups the rows that share a decision about the trigger.
func (c *comparison) setClusters() {
	c.answer.Counts.ClusterOf = "keeper"
	c.cluster = c.frame.Keeper
	weather := c.t.Assigned == catalogue.ByWeather && c.frame.ByDay
	switch {
	case weather && c.matched:
		c.cluster = c.Records.Stretches(c.frame)
		c.answer.Counts.ClusterOf = fmt.Sprintf("stretch of %d days under one sky", exposure.StratumDays)
	case weather:
		c.cluster = c.Records.Episodes(c.frame)
		c.answer.Counts.ClusterOf = fmt.Sprintf("weather episode of %d days", exposure.EpisodeDays)
	case c.matched: // Keeper numbers the strata, in place of keepers
		c.cluster = c.frame.KeeperNumbers()
	}
	seen := map[int]bool{}
	for _, g := range c.cluster {
		seen[g] = true
	}
	c.answer.Counts.Clusters = len(seen)
}

// A fitted is a model whose first column is the trigger.
type fitted struct {
	model   *logit.Model
	frame   *exposure.Frame
	x       []float64
	adjust  []column // those left in the model
	dropped []string // adjusting columns left out because others say the same
}

// fit estimates the trigger with the adjusting columns. Adjusting columns that
// the records cannot tell apart are left out; the trigger never is.
func (c *comparison) fit(f *exposure.Frame, x []float64, adjust []column) fitted {
	out := fitted{frame: f, x: x, adjust: adjust}
	for {
		d := logit.Data{Y: f.Y, Group: f.Keeper, X: [][]float64{x}, Names: []string{c.t.Code}}
		for _, a := range out.adjust {
			d.X = append(d.X, a.values)
			d.Names = append(d.Names, a.name)
		}
		m, err := logit.Fit(d, logit.Options{Penalty: logit.Firth})
		if err != nil { // the frame holds finite numbers of equal length only
			panic("analyze/answer: " + err.Error())
		}
		out.model = m
		if m.Status != stats.NotIdentifiable {
			return out
		}
		k := slices.IndexFunc(m.Identifiability.Faulty(), func(j int) bool { return j > 0 })
		if k < 0 {
			return out
		}
		j := m.Identifiability.Faulty()[k]
		out.dropped = append(out.dropped, out.adjust[j-1].name)
		out.adjust = slices.Delete(slices.Clone(out.adjust), j-1, j)
	}
}

func (f fitted) triggerFaulty() bool { return slices.Contains(f.model.Identifiability.Faulty(), 0) }

// An envelope is the interval of the trigger's log odds ratio: the wider, at each end, of
// the profile and of the jackknife over clusters along the profile.
type envelope struct {
	logit.Enveloped
	clusters logit.ClusterProfile
}

func (f fitted) envelope(cluster []int, level float64) envelope {
	clusters, err := f.model.JackknifeProfile(cluster, 0, level)
	if err != nil { // one cluster number a row
		panic("analyze/answer: " + err.Error())
	}
	return envelope{logit.Envelope(f.model.Profile(0, level), clusters.Estimate), clusters}
}

// p is the larger of the p-values that belong to the two parts.
func (e envelope) p(f fitted) float64 { return max(f.model.LRTest(0).P, e.clusters.P) }

// interval turns an estimate on the log scale into one of odds ratios for a
// difference of step.
func oddsInterval(e stats.Estimate, step float64) Interval {
	return newInterval(math.Exp(step*e.Value), math.Exp(step*e.Lo), math.Exp(step*e.Hi), e.Level, e.Method,
		math.IsInf(e.Lo, 0) || math.IsInf(e.Hi, 0))
}

func newInterval(value, lo, hi, level float64, method string, unbounded bool) Interval {
	return Interval{Estimate: Num(value), Low: Num(lo), High: Num(hi), Level: Num(level), Method: method, Unbounded: unbounded}
}

func lowOf(i Interval) float64  { return float64(i.Low) }
func highOf(i Interval) float64 { return float64(i.High) }

// odds fills in the odds ratio, its two parts, and a p-value from the same
// procedure: the larger of the two that belong to the parts.
func (c *comparison) odds(f fitted, env envelope) {
	step := c.step()
	a := &c.answer
	a.OddsRatio = oddsInterval(env.Estimate, step)
	if a.Dose != nil {
		a.Dose.OddsRatio = a.OddsRatio
	}
	profile, jackknife := oddsInterval(env.Profile, step), oddsInterval(env.Jackknife, step)
	a.Checks.Profile, a.Checks.Jackknife = &profile, &jackknife
	p := env.p(f)
	a.PValue, a.PAdjusted = Num(p), Num(p)
}

// refuseInterval says why there is an estimate but no interval to trust.
func (c *comparison) refuseInterval(env envelope) {
	c.answer.Status, c.answer.Verdict = FitFailed, CannotTell
	c.answer.Reason = fmt.Sprintf("the records rest on a single %s: without it the figure cannot be worked out", c.answer.Counts.ClusterOf)
	c.answer.NextStep = "more keepers should try it both ways"
	for _, w := range env.Warnings {
		c.answer.Notes = append(c.answer.Notes, w.Text)
	}
}

// leaveKeepersOut fits anew without each keeper.
func (c *comparison) leaveKeepersOut(f fitted) {
	l, err := f.model.Jackknife(c.frame.Keeper, 0, c.Level)
	if err != nil {
		panic("analyze/answer: " + err.Error())
	}
	step := c.step()
	out := LeaveOut{Low: unknown, High: unknown}
	lo, hi, far := math.Inf(1), math.Inf(-1), -1.0
	for k, b := range l.Coef {
		if !l.Refit[k].Usable() {
			continue
		}
		lo, hi = min(lo, b), max(hi, b)
		if d := math.Abs(b - f.model.Coef[0]); d > far {
			far, out.MostChanged = d, c.frame.Keepers[l.Clusters[k]]
		}
		out.Flips = out.Flips || b*f.model.Coef[0] < 0
	}
	if far < 0 {
		return
	}
	ends := []float64{math.Exp(step * lo), math.Exp(step * hi)}
	slices.Sort(ends)
	out.Low, out.High = Num(ends[0]), Num(ends[1])
	c.answer.Checks.LeaveOut = &out
}

// missingBounds fits anew with every missing trigger taken as there, as not there, as
// there where the attempt spawned, and as there where it did not: the last two are the
// ends that nothing recorded rules out (Manski). Only for yes/no: a missing amount has no
// such ends. Where the blanks hang on the outcome, a verdict stays only if all four
// give it. A link is not taken away by that: blanks that hang on the outcome alone, and not
// on the trigger as well, leave the odds ratio as it is.
func (c *comparison) missingBounds() {
	b := c.answer.Checks.Missing
	if b == nil || c.t.Kind != catalogue.YesNo {
		return
	}
	full := *c
	full.frame = c.full
	full.answer.Notes, full.answer.Adjusted, full.adjust = nil, nil, nil
	full.chooseAdjustment()
	full.setClusters()
	spawned := map[int]bool{}
	for i, a := range c.full.Attempt {
		spawned[a] = spawned[a] || c.full.Y[i] == 1
	}
	weakest := c.answer.Verdict
	bound := func(fill func(spawned bool) float64) Num {
		x := slices.Clone(c.fullX)
		for i := range x {
			if math.IsNaN(x[i]) {
				x[i] = fill(spawned[c.full.Attempt[i]])
			}
		}
		m := full.fit(c.full, x, full.adjust)
		if !m.model.Status.Usable() {
			weakest = CannotTell
			return unknown
		}
		at, ok := full.differenceAt(m, m.model.Coef[0])
		if !ok {
			weakest = CannotTell
			return unknown
		}
		if b.surelyByOutcome() && weakest != CannotTell {
			weakest = weaker(weakest, full.verdictOf(m), float64(c.answer.Per100.Difference.Estimate)*at.difference() > 0)
		}
		return Num(100 * at.difference())
	}
	b.AllWith, b.AllWithout = bound(func(bool) float64 { return 1 }), bound(func(bool) float64 { return 0 })
	all := []Num{b.AllWith, b.AllWithout, bound(func(spawned bool) float64 { return oneIf(spawned) }), bound(func(spawned bool) float64 { return oneIf(!spawned) })}
	if !slices.ContainsFunc(all, func(x Num) bool { return math.IsNaN(float64(x)) }) {
		b.Least, b.Most = slices.Min(all), slices.Max(all)
	}
	if !b.surelyByOutcome() || weakest == c.answer.Verdict {
		return
	}
	const may = "whether it was written down hangs on what came of it, and what the blanks may hold could change the answer"
	if linked(c.answer.Verdict) {
		c.answer.Verdict = Leans
		c.answer.Notes = append(c.answer.Notes, may+": of a link no more is said than that the records show one")
		return
	}
	c.answer.Status, c.answer.Verdict, c.answer.Reason = BlanksDecide, CannotTell, may
}

func linked(v Verdict) bool { return v == Matters || v == Leans }

// verdictOf is the verdict that a fit gives by itself.
func (c comparison) verdictOf(m fitted) Verdict {
	env := m.envelope(c.cluster, c.Level)
	if !env.Status.Usable() {
		return CannotTell
	}
	c.perHundred(m, env)
	if d := c.answer.Per100.Difference; c.answer.Status == OK && d.Known() {
		return Judge(lowOf(d), highOf(d), c.Margin)
	}
	return CannotTell
}

// weaker joins two verdicts on the same question, whose differences have the same sign or
// not: what both say of a link or the lack of one, and otherwise nothing.
func weaker(a, b Verdict, sameSign bool) Verdict {
	switch {
	case a == b && (sameSign || !linked(a)):
		return a
	case linked(a) && linked(b) && sameSign:
		return Leans
	}
	return CannotTell
}

func oneIf(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

func (c *comparison) eValue(f fitted, env envelope) {
	common := f.model.Successes > 0.15*f.model.Trials
	e := env.Estimate
	if c.t.Kind == catalogue.Dose && c.curve == nil {
		step := c.to - c.from
		e.Value, e.Lo, e.Hi = step*e.Value, step*e.Lo, step*e.Hi
	}
	v := logit.EValueOf(e, common)
	c.answer.Checks.EValue = &EValue{Num(v.Point), Num(v.Limit)}
}

// placebo asks the same of the trigger shifted into the future; nil where that cannot be
// asked. A link there caps the verdict: something else moves both.
func (c *comparison) placebo() *Placebo {
	if c.answer.Design != ByTankDay && !c.relative || c.t.Daily == nil || c.t.Daily.Quantity == "" {
		return nil
	}
	x := c.Records.Values(c.frame, c.t, placeboShift)
	f := *c.frame
	kept := f.Keep(func(i int) bool { return !math.IsNaN(x[i]) }, "")
	x = exposure.Pick(x, kept)
	if len(x) == 0 || slices.Min(x) == slices.Max(x) {
		return nil
	}
	var adjust []column
	for _, a := range c.adjust {
		adjust = append(adjust, column{a.name, exposure.Pick(a.values, kept)})
	}
	m := c.fit(&f, x, adjust)
	if !m.model.Status.Usable() {
		return nil
	}
	env := m.envelope(exposure.Pick(c.cluster, kept), c.Level)
	if !env.Status.Usable() {
		return nil
	}
	return &Placebo{ShiftDays: placeboShift, OddsRatio: oddsInterval(env.Estimate, 1), Passed: !env.Excludes(0)}
}

// pressureDose is the odds ratio per natural step for a yes/no trigger that is
// cut from a measured change; nil for others.
func (c *comparison) pressureDose() *Dose {
	if c.answer.Design != ByTankDay && !c.relative || c.t.Daily == nil || c.t.Daily.Rule != catalogue.Fall {
		return nil
	}
	amounts := c.Records.Amounts(c.frame, c.t)
	for i := range amounts {
		amounts[i] = -amounts[i]
	}
	if slices.ContainsFunc(amounts, math.IsNaN) {
		return nil
	}
	m := c.fit(c.frame, amounts, c.adjust)
	if !m.model.Status.Usable() {
		return nil
	}
	env := m.envelope(c.cluster, c.Level)
	if !env.Status.Usable() {
		return nil
	}
	return &Dose{
		Unit: c.t.UnitName, Step: Num(c.t.Step), OddsRatio: oddsInterval(env.Estimate, c.t.Step),
		From: Num(c.from), To: Num(c.to), At: unknown, Low: Num(count.Quantile(amounts, 0.05)), High: Num(count.Quantile(amounts, 0.95)),
		CurveP: unknown, BestFrom: unknown, BestTo: unknown, DiffersFrom: unknown,
	}
}

func (c *comparison) nameSeparation(f fitted) {
	for _, s := range f.model.Separation.Columns {
		c.answer.Checks.Separated = append(c.answer.Checks.Separated, s.Name)
	}
}

// reserve widens the number of attempts asked for, so that four in five sets of new
// records lead to a verdict and not one in two: the upper fifth of the normal
// distribution over its upper fortieth.
const reserve = 0.84 / 1.96

// moreNeeded works out how many more attempts would settle the question if they
// went on like these: n (w/w*)^2 - n, with w half the interval and w* the widest
// half that still leads to a verdict. The range comes from the places where the
// truth may lie (the middle four fifths of the estimate's spread).
func (c *comparison) moreNeeded(env envelope) {
	d := c.answer.Per100.Difference
	n := float64(c.answer.Counts.Attempts)
	half := (highOf(d) - lowOf(d)) / 2
	if !(half > 0) || math.IsInf(half, 0) || env.Excludes(0) {
		return
	}
	enough := func(truth float64) float64 {
		return max(math.Abs(truth), c.Margin-math.Abs(truth)) / (1 + reserve)
	}
	more := func(truth float64) float64 {
		ratio := half / enough(truth)
		return max(n*(ratio*ratio-1), n/10)
	}
	sd := half / tail.NormalUpperQuantile((1-c.Level)/2)
	var all []float64
	for k := 10; k <= 90; k += 2 {
		all = append(all, more(float64(d.Estimate)+sd*tail.NormalUpperQuantile(1-float64(k)/100)))
	}
	out := MoreNeeded{
		Attempts: Num(roundUp(more(float64(d.Estimate)))), Keepers: unknown,
		Low: Num(roundUp(slices.Min(all))), High: Num(roundUp(slices.Max(all))),
	}
	c.keepersNeeded(env, enough(float64(d.Estimate))/half, &out)
	c.answer.MoreNeeded = out
}

// keepersNeeded replaces attempts by keepers where keepers differ so much that
// more of the same cannot narrow the interval enough: the jackknife then is wider
// than what the number of spawnings accounts for.
func (c *comparison) keepersNeeded(env envelope, shrink float64, out *MoreNeeded) {
	if c.answer.Counts.ClusterOf != "keeper" {
		return
	}
	profile := (env.Profile.Hi - env.Profile.Lo) / 2
	jackknife := (env.Jackknife.Hi - env.Jackknife.Lo) / 2
	if math.IsInf(profile, 0) || jackknife <= profile {
		return
	}
	between := jackknife*jackknife - profile*profile
	target := shrink * jackknife
	if between <= target*target {
		return
	}
	g := float64(c.answer.Counts.Keepers)
	out.Keepers = Num(roundUp(g * between / (target * target)))
	out.Attempts, out.Low, out.High = unknown, unknown, unknown
}

// roundUp rounds up to two significant figures.
func roundUp(x float64) float64 {
	if !(x > 0) {
		return 0
	}
	scale := math.Pow(10, math.Floor(math.Log10(x))-1)
	if scale < 1 {
		scale = 1
	}
	return math.Ceil(x/scale) * scale
}

func (c *comparison) nextStep() {
	a := &c.answer
	switch {
	case a.Status == FollowsPlacebo:
		a.NextStep = "records of all seasons of the year, from more keepers, would help to tell it from the season"
	case a.Status == BlanksDecide:
		a.NextStep = "write it down for every attempt before the outcome is known, also when it was not done; what is blank now can perhaps still be asked for"
	case a.Verdict == Matters || a.Verdict == Leans:
		a.NextStep = "go on writing it down for every attempt, whatever comes of it; a trial in which chance decides who gets it would tell more"
	case c.hidden:
		a.NextStep = "more attempts at the lowest, the middle and the highest amounts, the same keeper with all of them, would tell a curve from a straight line"
	case a.Verdict == NoDifference:
		a.NextStep = "for this species, look at other triggers first"
	case !math.IsNaN(float64(a.MoreNeeded.Keepers)):
		a.NextStep = fmt.Sprintf("ask more keepers to try it both ways: about %.0f in all", float64(a.MoreNeeded.Keepers))
	case !math.IsNaN(float64(a.MoreNeeded.Attempts)):
		a.NextStep = fmt.Sprintf("about %.0f more attempts, with and without it, spread over several keepers, would settle it", float64(a.MoreNeeded.Attempts))
	default:
		a.NextStep = "more attempts with and without it, from several keepers, would help"
	}
}

func (c *comparison) methods(f fitted) {
	rows := "one row an attempt"
	switch {
	case c.relative:
		rows = "one row a day on which a tank could have spawned and somebody would have written it down"
	case c.frame.ByDay:
		rows = "one row a day at risk, from setting up to the spawning or the end"
	}
	c.answer.Methods = append(c.answer.Methods,
		"Rows: "+rows+". One intercept a keeper, so that each keeper is compared with himself or herself.",
		fmt.Sprintf("Estimate: logistic regression with the penalty of Firth (1993), %d rows, %d different ones, %d iterations; chances with intercepts recalibrated for each keeper (Puhr et al. 2017).", f.model.Rows, f.model.Patterns, f.model.Iterations),
		fmt.Sprintf("Interval: the wider, at each end, of the penalised profile interval and a jackknife that leaves out one %s at a time (CV3) with Student's t; p is the larger of the two.", c.answer.Counts.ClusterOf),
	)
	if c.curve != nil {
		k := c.curve.spline.Knots()
		c.answer.Methods = append(c.answer.Methods,
			fmt.Sprintf("Amounts: a restricted cubic spline with knots at %s, %s and %s %s (10, 50 and 90 %% of the rows; Harrell 2015). The bend is asked for by the larger p of the penalised likelihood ratio and of the jackknife with Student's t.", trim(k[0]), trim(k[1]), trim(k[2]), c.t.UnitName),
			fmt.Sprintf("Contrasts: the knots pair by pair, and the middle one against a straight line between the outer ones; intervals and p-values hold for all %d together, by the law of the largest |t| (Dunnett & Sobel 1954), for the likelihood and for the jackknife each with its own correlations. Best amounts, and the amount from which on all differ from the lowest, are those that Scheffé's intervals (1953) leave.", len(c.answer.Dose.Contrasts)))
	}
	if len(f.dropped) > 0 {
		c.answer.Methods = append(c.answer.Methods, "Not held alike because something else says the same: "+strings.Join(f.dropped, ", ")+".")
	}
	if c.frame.ByDay && !c.relative {
		c.answer.Methods = append(c.answer.Methods, fmt.Sprintf("Per 100 attempts: the chance to have spawned within %d days, the middle length of attempts that ended without spawning, if all of those days came with the trigger, or none.", c.answer.Per100.Days))
	}
}
