package main

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gravid/stats/duration"
)

// durations is the time until something happens, in its kinds.
func durations() []comparison {
	return []comparison{
		{
			name: "km", about: "Kaplan-Meier curve with log(-log) limits, all times different",
			sizes: []int{1e2, 1e4, 1e6}, make: waits(0), ours: kaplanTask,
			rival: "survival survfit", packages: []string{"survival"}, script: kaplanScript,
			tolerance: 1e-8, floor: 0.01, least: 5, aimAt: 1e6,
		},
		{
			name: "km-days", about: "the same with times in whole days, so that many are alike",
			sizes: []int{1e6}, make: waits(1), ours: kaplanTask,
			rival: "survival survfit", packages: []string{"survival"}, script: kaplanScript,
			tolerance: 1e-8, floor: 0.01,
		},
		{
			name: "survdiff", about: "log-rank test of 4 groups",
			sizes: []int{1e4, 1e6}, make: waits(0), ours: logRankTask,
			rival: "survival survdiff", packages: []string{"survival"}, script: withSurv + `
f <- clock(function() survdiff(s ~ group, data = d))
say("observed", f$obs); say("expected", f$exp); say("chisq", f$chisq)
`,
			tolerance: 1e-4, floor: 0.01, // the rival takes times that differ by less than 1e-8 for the same
		},
		{
			name: "coxph", about: "Cox regression of 2 columns, all times different",
			sizes: []int{1e2, 1e4, 1e6}, make: waits(0), ours: coxTask,
			rival: "survival coxph", packages: []string{"survival"}, script: coxScript,
			tolerance: 1e-6, floor: 0.1, least: 2, aimAt: 1e6,
		},
		{
			name: "coxph-days", about: "the same with times in whole days and Efron's way with ties",
			sizes: []int{1e6}, make: waits(1), ours: coxTask,
			rival: "survival coxph", packages: []string{"survival"}, script: coxScript,
			tolerance: 1e-6, floor: 0.1,
		},
		{
			name: "survreg", about: "lognormal regression of 2 columns, exact and right-censored times",
			sizes: []int{1e3, 1e5}, make: waits(0), ours: survregTask(exactOnes),
			rival: "survival survreg", packages: []string{"survival"}, script: withSurv + survregScript,
			tolerance: 1e-5, floor: 0.01,
		},
		{
			name: "survreg-spans", about: "the same of spans between checks",
			sizes: []int{1e3, 1e5}, make: spans(0.5), ours: survregTask(spanOnes),
			rival: "survival survreg", packages: []string{"survival"}, script: withSpans + survregScript,
			tolerance: 1e-5, floor: 0.01,
		},
		{
			name: "turnbull", about: "Turnbull curve of spans between two checks a day of each one's own",
			sizes: []int{1e3, 5e4}, make: spans(0.5), ours: turnbullTask,
			rival: "survival survfit", packages: []string{"survival"}, script: withSpans + turnbullScript,
			tolerance: 0.02, floor: 1, least: 20, aimAt: 5e4, // the rival's EM stops early
		},
		{
			name: "turnbull-minutes", about: "the same with checks to the minute, so that hardly two are alike; the rival takes minutes for 1000",
			sizes: []int{200}, make: spans(1. / 1440), ours: turnbullTask,
			rival: "survival survfit", packages: []string{"survival"}, script: withSpans + turnbullScript,
			tolerance: 0.02, floor: 1,
		},
		{
			name: "turnbull-days", about: "Turnbull curve of spans between daily checks",
			sizes: []int{1e3, 5e4}, make: spans(1), ours: turnbullTask,
			rival: "survival survfit", packages: []string{"survival"}, script: withSpans + turnbullScript,
			tolerance: 0.01, floor: 1,
		},
		{
			name: "cuminc", about: "cumulative incidence of 3 causes with Aalen's variance",
			sizes: []int{1e3, 1e4, 1e5}, make: waits(0), ours: incidenceTask,
			rival: "cmprsk cuminc", packages: []string{"cmprsk"}, script: `
f <- clock(function() cmprsk::cuminc(d$time, d$cause))
p <- cmprsk::timepoints(f, ` + looksInR + `)
say("share", t(p$est)); say("se", sqrt(t(p$var)))
`,
			tolerance: 1e-6, floor: 0.01, least: 50, aimAt: 1e5,
		},
		{
			name: "gray", about: "Gray's test of one cause in 4 groups, with the curves",
			sizes: []int{1e3, 1e5}, make: waits(0), ours: grayTask,
			rival: "cmprsk cuminc", packages: []string{"cmprsk"}, script: `
f <- clock(function() cmprsk::cuminc(d$time, d$cause, d$group))
say("chisq", f$Tests[1, 1])
`,
			tolerance: 1e-6, floor: 0.01,
		},
		{
			name: "fine-gray", about: "Fine-Gray regression of 2 columns",
			sizes: []int{1e3, 5e3}, make: waits(0), ours: fineGrayTask,
			rival: "cmprsk crr", packages: []string{"cmprsk"}, script: `
x <- cbind(d$x1, d$x2)
f <- clock(function() cmprsk::crr(d$time, d$cause, x, failcode = 1))
say("coef", f$coef); say("se", sqrt(diag(f$var)))
`,
			tolerance: 1e-4, floor: 0.1,
		},
	}
}

// timefix: the rival would take times that differ by less than 1e-8 for the same.
const (
	withSurv  = "library(survival); s <- with(d, Surv(time, cause > 0))\n"
	withSpans = "library(survival); s <- with(d, Surv(lo, hi, type = \"interval2\"))\n"

	kaplanScript = withSurv + `
f <- clock(function() survfit(s ~ 1, conf.type = "log-log", timefix = FALSE))
p <- summary(f, times = ` + looksInR + `)
say("share", p$surv); say("se", p$std.err); say("low", p$lower); say("high", p$upper)
`
	coxScript = withSurv + `
f <- clock(function() coxph(s ~ x1 + x2, data = d, control = coxph.control(timefix = FALSE)))
say("coef", coef(f)); say("se", sqrt(diag(vcov(f))))
`
	survregScript = `
f <- clock(function() survreg(s ~ x1 + x2, data = d, dist = "lognormal"))
say("coef", coef(f)); say("scale", f$scale); say("se", sqrt(diag(vcov(f))))
`
	turnbullScript = `
f <- clock(function() survfit(s ~ 1))
say("share", approx(f$time, f$surv, ` + looksInR + `, method = "constant", yleft = 1, rule = 2)$y)
`
)

// looks are the times at which curves are compared, and looksInR the same for R: a quarter, the half and three
// quarters of the waits are about as long.
var looks = []float64{16, 18, 20}

const looksInR = "c(16, 18, 20)"

// waits makes waiting times of about 18 days by one of three causes, a fifth of them
// right-censored (cause 0), with two columns that hasten them and a group. Times are
// rounded up to the grain; 0 leaves them as they are.
func waits(grain float64) func(int, *rand.Rand) frame {
	return func(rows int, rng *rand.Rand) frame {
		var f frame
		for _, name := range []string{"time", "cause", "x1", "x2", "group"} {
			f.add(name, make([]float64, rows))
		}
		for i := range rows {
			x1, x2 := rng.NormFloat64(), trigger(rng, 0.4)
			t := wait(rng, x1, x2)
			if grain > 0 {
				t = grain * math.Ceil(t/grain)
			}
			cause := float64(1 + rng.IntN(3))
			if rng.IntN(5) == 0 {
				cause = 0
			}
			for j, v := range []float64{t, cause, x1, x2, float64(1 + rng.IntN(4))} {
				f.columns[j][i] = v
			}
		}
		return f
	}
}

func wait(rng *rand.Rand, x1, x2 float64) float64 {
	return 18 * math.Exp(-0.05*x1+0.1*x2+0.2*rng.NormFloat64())
}

// spans makes the same times known only to lie between two checks a day or so apart, a
// tenth of them not yet over at the last check (hi is +Inf). Checks are at multiples of
// the grain; a grain of a day has all check at the same times.
func spans(grain float64) func(int, *rand.Rand) frame {
	return func(rows int, rng *rand.Rand) frame {
		var f frame
		for _, name := range []string{"lo", "hi", "x1", "x2"} {
			f.add(name, make([]float64, rows))
		}
		for i := range rows {
			x1, x2 := rng.NormFloat64(), trigger(rng, 0.4)
			t := wait(rng, x1, x2)
			hi := grain * math.Ceil((t+rng.Float64()*(1-grain))/grain)
			lo := hi - grain*math.Round(1/grain)
			if lo >= t { // rounding may have put it past the time
				lo = grain * (math.Ceil(t/grain) - 1)
			}
			if rng.IntN(10) == 0 {
				hi = math.Inf(1)
			}
			for j, v := range []float64{lo, hi, x1, x2} {
				f.columns[j][i] = v
			}
		}
		return f
	}
}

// exactOnes are the observations of a frame of waits.
func exactOnes(f frame) []duration.Observation {
	time, cause := f.get("time"), f.get("cause")
	out := make([]duration.Observation, len(time))
	for i, t := range time {
		out[i] = duration.Observation{Span: duration.Span{Lo: t, Hi: t}, Cause: int(cause[i])}
		if cause[i] == 0 {
			out[i].Hi = math.Inf(1)
		}
	}
	return out
}

// spanOnes are those of a frame of spans.
func spanOnes(f frame) []duration.Observation {
	lo, hi := f.get("lo"), f.get("hi")
	out := make([]duration.Observation, len(lo))
	for i := range lo {
		out[i].Span = duration.Span{Lo: lo[i], Hi: hi[i]}
	}
	return out
}

func covariates(f frame) []duration.Covariate {
	return []duration.Covariate{{Name: "x1", Values: f.get("x1")}, {Name: "x2", Values: f.get("x2")}}
}

func kaplanTask(f frame) (task, error) {
	obs := exactOnes(f)
	var c duration.Curve
	run := func() (err error) {
		if c, err = duration.KaplanMeier(obs, duration.Settings{}); err != nil {
			return err
		}
		return usable(c.Status, c.Warnings)
	}
	return task{run, func() []value {
		var share, se, low, high []float64
		for _, t := range looks {
			e := c.At(t)
			share, low, high = append(share, e.Value), append(low, e.Lo), append(high, e.Hi)
			se = append(se, c.Steps[lastStep(c, t)].SE)
		}
		return join(named("share", share), named("se", se), named("low", low), named("high", high))
	}}, nil
}

// lastStep is the last one at or before a time.
func lastStep(c duration.Curve, t float64) int {
	k := 0
	for i, s := range c.Steps {
		if s.Time <= t {
			k = i
		}
	}
	return k
}

// join puts lists of values one after the other.
func join(lists ...[]value) []value {
	var out []value
	for _, l := range lists {
		out = append(out, l...)
	}
	return out
}

func logRankTask(f frame) (task, error) {
	obs, group := exactOnes(f), f.whole("group")
	var c duration.Comparison
	run := func() (err error) {
		if c, err = duration.LogRank(obs, group, duration.ComparisonSettings{}); err != nil {
			return err
		}
		return usable(c.Status, c.Warnings)
	}
	return task{run, func() []value {
		return join(named("observed", c.Observed), named("expected", c.Expected), named("chisq", []float64{c.ChiSquare}))
	}}, nil
}

func coxTask(f frame) (task, error) {
	obs, x := exactOnes(f), covariates(f)
	var m duration.Cox
	run := func() (err error) {
		if m, err = duration.FitCox(obs, x, duration.CoxSettings{}); err != nil {
			return err
		}
		return usable(m.Status, m.Warnings)
	}
	return task{run, func() []value { return join(named("coef", m.Coef), named("se", roots(m.Covariance, 2))) }}, nil
}

// roots are the roots of the first n numbers on the diagonal.
func roots(covariance interface{ At(i, j int) float64 }, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.Sqrt(covariance.At(i, i))
	}
	return out
}

func survregTask(observations func(frame) []duration.Observation) func(frame) (task, error) {
	return func(f frame) (task, error) {
		obs, x := observations(f), covariates(f)
		var m duration.AFT
		run := func() (err error) {
			if m, err = duration.FitAFT(obs, x, duration.AFTSettings{}); err != nil {
				return err
			}
			return usable(m.Status, m.Warnings)
		}
		return task{run, func() []value {
			return join(named("coef", m.Coef), named("scale", []float64{m.Scale}), named("se", roots(m.Covariance, len(m.Coef)+1)))
		}}, nil
	}
}

func turnbullTask(f frame) (task, error) {
	obs := spanOnes(f)
	var c duration.TurnbullCurve
	run := func() (err error) {
		if c, err = duration.Turnbull(obs, duration.Settings{}); err != nil {
			return err
		}
		return usable(c.Status, c.Warnings)
	}
	return task{run, func() []value {
		share := make([]float64, len(looks))
		for k, t := range looks {
			share[k] = 1
			for _, s := range c.Stretches {
				if (s.Lo+s.Hi)/2 <= t { // where survfit puts the fall
					share[k] = s.Survival
				}
			}
		}
		return named("share", share)
	}}, nil
}

func incidenceTask(f frame) (task, error) {
	obs := exactOnes(f)
	var a duration.Incidence
	run := func() (err error) {
		if a, err = duration.AalenJohansen(obs, duration.Settings{Aalen: true}); err != nil {
			return err
		}
		return usable(a.Status, a.Warnings)
	}
	return task{run, func() []value {
		var share, se []float64
		for k := range a.Causes {
			for _, t := range looks {
				at := 0
				for i, s := range a.Steps {
					if s.Time <= t {
						at = i
					}
				}
				share, se = append(share, a.Steps[at].Incidence[k]), append(se, a.Steps[at].SE[k])
			}
		}
		return join(named("share", share), named("se", se))
	}}, nil
}

// grayTask works out the curves of every group too, as cuminc does.
func grayTask(f frame) (task, error) {
	obs, group := exactOnes(f), f.whole("group")
	var c duration.Comparison
	run := func() (err error) {
		if c, err = duration.GrayTest(obs, group, 1, duration.GraySettings{}); err != nil {
			return err
		}
		byGroup := map[int][]duration.Observation{}
		for i, g := range group {
			byGroup[g] = append(byGroup[g], obs[i])
		}
		for _, g := range c.Groups {
			if _, err := duration.AalenJohansen(byGroup[g], duration.Settings{Aalen: true}); err != nil {
				return fmt.Errorf("group %d: %w", g, err)
			}
		}
		return usable(c.Status, c.Warnings)
	}
	return task{run, func() []value { return named("chisq", []float64{c.ChiSquare}) }}, nil
}

func fineGrayTask(f frame) (task, error) {
	obs, x := exactOnes(f), covariates(f)
	var m duration.FineGray
	run := func() (err error) {
		if m, err = duration.FitFineGray(obs, x, 1, duration.CoxSettings{}); err != nil {
			return err
		}
		return usable(m.Status, m.Warnings)
	}
	return task{run, func() []value { return join(named("coef", m.Coef), named("se", roots(m.Covariance, 2))) }}, nil
}
