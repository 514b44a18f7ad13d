package answer

import (
	"fmt"
	"math"

	"gravid/analyze/catalogue"
	"gravid/analyze/exposure"
	"gravid/stats"
	"gravid/stats/logit"
)

// conditionalData is the comparison for a conditional fit: the trigger first.
func (c *comparison) conditionalData(x []float64, adjust []column) logit.Data {
	d := logit.Data{Y: c.frame.Y, Group: c.frame.Keeper, X: [][]float64{x}, Names: []string{c.t.Code}}
	for _, a := range adjust {
		d.X = append(d.X, a.values)
		d.Names = append(d.Names, a.name)
	}
	return d
}

// mostExact is up to how many steps the exact conditional likelihood of whole keepers is
// worked out for, as a view: rows times spawnings, summed over keepers. Beyond it Efron's
// approximation stands in, which draws the odds ratio towards 1 where days with a spawning
// are many.
const mostExact = 200_000

// exactSteps is how many steps that takes.
func (c *comparison) exactSteps() int {
	rows, spawned := map[int]int{}, map[int]int{}
	for i, g := range c.frame.Keeper {
		rows[g]++
		spawned[g] += int(c.frame.Y[i])
	}
	steps := 0
	for g, n := range rows {
		steps += n * spawned[g]
	}
	return steps
}

// estimateMatched compares days within strata of the same tank: conditional logistic
// regression with the penalty of Firth (Heinze & Puhr 2010), and the envelope of its
// penalised profile interval and a jackknife over clusters. Nothing but the odds ratio can
// be told.
func (c *comparison) estimateMatched() {
	a := &c.answer
	o := logit.ConditionalOptions{Penalty: logit.Firth} // strata of 28 days at most: exact
	m, err := logit.FitConditional(c.conditionalData(c.x, c.adjust), o)
	if err != nil { // the frame holds finite numbers of equal length only
		panic("analyze/answer: " + err.Error())
	}
	if !m.Status.Usable() {
		a.Status, a.Verdict = FitFailed, CannotTell
		a.Reason, a.NextStep = "the comparison within stretches of days did not settle", "more spawnings, or [watched] in club.toml, would help"
		for _, w := range m.Warnings {
			a.Notes = append(a.Notes, w.Text)
		}
		return
	}
	env, err := matchedEnvelope(m, c.cluster, c.Level)
	if err != nil { // one cluster number a row
		panic("analyze/answer: " + err.Error())
	}
	log := env.Estimate
	if !log.Status.Usable() {
		c.refuseInterval(env)
		return
	}
	step := 1.0
	if c.t.Kind == catalogue.Dose {
		step = c.t.Step
	}
	a.Status = OK
	a.OddsRatio = oddsInterval(log, step)
	profile, jackknife := oddsInterval(env.Profile, step), oddsInterval(env.Jackknife, step)
	a.Checks.Profile, a.Checks.Jackknife = &profile, &jackknife
	p := max(m.LRTest(0).P, env.clusters.P)
	a.PValue, a.PAdjusted = Num(p), Num(p)
	c.judge(log)
	common := float64(m.Successes) > 0.15*float64(m.Trials)
	v := logit.EValueOf(log, common)
	a.Checks.EValue = &EValue{Num(v.Point), Num(v.Limit)}
	c.matchedPlacebo(o)
	for _, s := range m.Separation.Columns {
		a.Checks.Separated = append(a.Checks.Separated, s.Name)
	}
	c.nextStep()
	a.Methods = append(a.Methods,
		"Rows: one row a day of the stretches of 28 days that hold a spawn of the tank, less the days after a spawn. Comparison days assumed: nobody said when the keepers watched.",
		fmt.Sprintf("Estimate: conditional logistic regression within %d stretches with both kinds of days, ties by %s, penalty of Firth (Heinze & Puhr 2010).", m.Compared, o.Ties),
		fmt.Sprintf("Interval: the wider, at each end, of the penalised profile interval and a jackknife that leaves out one %s at a time (CV3, along the profile) with Student's t; p is the larger of the two.", a.Counts.ClusterOf),
	)
}

// matchedEnvelope is the interval of the trigger's log odds ratio within strata.
func matchedEnvelope(m *logit.Conditional, cluster []int, level float64) (envelope, error) {
	clusters, err := m.JackknifeProfile(cluster, 0, level)
	if err != nil {
		return envelope{}, err
	}
	return envelope{logit.Envelope(m.Profile(0, level), clusters.Estimate), clusters}, nil
}

// matchedPlacebo asks the same of the trigger shifted into the future.
func (c *comparison) matchedPlacebo(o logit.ConditionalOptions) {
	if c.t.Daily == nil || c.t.Daily.Quantity == "" {
		return
	}
	x := c.Records.Values(c.frame, c.t, placeboShift)
	f := *c.frame
	kept := f.Keep(func(i int) bool { return !math.IsNaN(x[i]) }, "")
	d := logit.Data{Y: f.Y, Group: f.Keeper, X: [][]float64{exposure.Pick(x, kept)}, Names: []string{c.t.Code}}
	for _, a := range c.adjust {
		d.X = append(d.X, exposure.Pick(a.values, kept))
		d.Names = append(d.Names, a.name)
	}
	m, err := logit.FitConditional(d, o)
	if err != nil || !m.Status.Usable() {
		return
	}
	env, err := matchedEnvelope(m, exposure.Pick(c.cluster, kept), c.Level)
	if err != nil || !env.Status.Usable() {
		return
	}
	p := &Placebo{ShiftDays: placeboShift, OddsRatio: oddsInterval(env.Estimate, 1), Passed: !env.Excludes(0)}
	c.answer.Checks.Placebo = p
	if !p.Passed {
		c.followsPlacebo()
	}
}

// followsPlacebo caps the verdict where the trigger shifted into the future shows a
// link too.
func (c *comparison) followsPlacebo() {
	c.answer.Status, c.answer.Verdict = FollowsPlacebo, CannotTell
	c.answer.Reason = fmt.Sprintf("the same trigger %d days later is linked with spawning too, so something else, such as the season, moves both", placeboShift)
}

// known reports whether an estimate and its interval can be shown.
func known(e stats.Estimate) bool { return e.Status.Usable() && !math.IsNaN(e.Value) }
