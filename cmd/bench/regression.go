package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"gravid/stats"
	"gravid/stats/logit"
	"gravid/stats/pool"
)

// regression is logistic regression in its kinds, and the pooling of estimates.
func regression() []comparison {
	return []comparison{
		{
			name: "glm", about: "logistic regression of 8 columns by maximum likelihood, with standard errors",
			sizes: []int{1e4, 1e5, 1e6}, make: wide(8), ours: fitTask(logit.Options{}),
			rival: "glm", script: `
fit <- clock(function() { f <- glm(y ~ ., data = d, family = binomial()); list(coef(f), sqrt(diag(vcov(f)))) })
say("coef", fit[[1]]); say("se", fit[[2]])
`,
			tolerance: 1e-5, floor: 0.1, least: 10, aimAt: 1e6,
		},
		{
			name: "glm-huge", about: "the same of ten million rows, checks included",
			sizes: []int{1e7}, make: wide(8), ours: fitTask(logit.Options{}),
			within: 3 * time.Second, aimAt: 1e7,
		},
		{
			name: "glm-patterns", about: "logistic regression of 8 columns of yes or no, where many rows are alike",
			sizes: []int{1e6}, make: yesNo(8), ours: fitTask(logit.Options{}),
			rival: "glm", script: `
fit <- clock(function() { f <- glm(y ~ ., data = d, family = binomial()); list(coef(f), sqrt(diag(vcov(f)))) })
say("coef", fit[[1]]); say("se", fit[[2]])
`,
			tolerance: 1e-5, floor: 0.1,
		},
		{
			name: "confint", about: "profile likelihood intervals of all 9 parameters of a fit",
			sizes: []int{1e4, 1e5}, make: wide(8), ours: profileTask,
			rival: "confint (MASS)", packages: []string{"MASS"}, script: `
f <- glm(y ~ ., data = d, family = binomial())
ci <- clock(function() suppressMessages(confint(f)))
say("low", ci[, 1]); say("high", ci[, 2])
`,
			tolerance: 1e-3, floor: 0.1, least: 50, aimAt: 1e5,
		},
		{
			name: "firth", about: "logistic regression of 8 columns with the penalty of Firth",
			sizes: []int{1e3, 1e5}, make: wide(8), ours: fitTask(logit.Options{Penalty: logit.Firth}),
			rival: "brglm2 MPL_Jeffreys", packages: []string{"brglm2"}, script: `
fit <- clock(function() { f <- glm(y ~ ., data = d, family = binomial(), method = brglm2::brglm_fit, type = "MPL_Jeffreys"); list(coef(f), sqrt(diag(vcov(f)))) })
say("coef", fit[[1]]); say("se", fit[[2]])
`,
			tolerance: 1e-4, floor: 0.1,
		},
		{
			name: "firth-profile", about: "the same with penalised profile intervals of all slopes",
			sizes: []int{1e3}, make: wide(8), ours: firthProfileTask,
			rival: "logistf", packages: []string{"logistf"}, script: `
f <- clock(function() logistf::logistf(y ~ ., data = d))
say("low", f$ci.lower[-1]); say("high", f$ci.upper[-1])
`,
			tolerance: 1e-3, floor: 0.1,
		},
		{
			name: "cr2", about: "cluster-robust standard errors CR2 with Satterthwaite's degrees of freedom, 12 clusters, root in the scale of the response",
			sizes: []int{2400, 6000}, make: clustered(12), ours: robustTask(logit.CR2Response),
			rival: "clubSandwich CR2", packages: []string{"clubSandwich"}, script: robustScript,
			tolerance: 1e-5, floor: 1e-3, least: 100, aimAt: 6000,
		},
		{
			name: "cr2-pearson", about: "the same with the root in the scale of Pearson residuals, as unbiased, other digits",
			sizes: []int{6000}, make: clustered(12), ours: robustTask(logit.CR2),
			rival: "clubSandwich CR2", packages: []string{"clubSandwich"}, script: robustScript,
			tolerance: 0.05, floor: 1e-3, least: 100, aimAt: 6000,
		},
		{
			name: "clogit", about: "exact conditional logistic regression, strata of 20 rows, 4 columns",
			sizes: []int{2e3, 2e4}, make: matched(20, 4, false), ours: conditionalTask,
			rival: "survival clogit exact", packages: []string{"survival"}, script: conditionalScript,
			tolerance: 1e-6, floor: 0.1, least: 5, aimAt: 2e4,
		},
		{
			name: "clogit-trigger", about: "the same with one column of yes or no, strata of 100 rows",
			sizes: []int{2e4}, make: matched(100, 1, true), ours: conditionalTask,
			rival: "survival clogit exact", packages: []string{"survival"}, script: conditionalScript,
			tolerance: 1e-6, floor: 0.1, least: 5, aimAt: 2e4,
		},
		{
			name: "glmer", about: "random intercept by Laplace's approximation, 12 groups, 4 columns",
			sizes: []int{1e4, 1e5}, make: clustered(12), ours: randomTask(1),
			rival: "lme4 glmer", packages: []string{"lme4"}, script: randomScript(1),
			tolerance: 5e-3, floor: 0.1, least: 5, aimAt: 1e5,
		},
		{
			name: "glmer-nagq", about: "random intercept by adaptive quadrature with 15 nodes, 2000 groups at most",
			sizes: []int{1e4}, make: clustered(2000), ours: randomTask(15),
			rival: "lme4 glmer, nAGQ = 15", packages: []string{"lme4"}, script: randomScript(15),
			tolerance: 5e-3, floor: 0.1, least: 5, aimAt: 1e4,
		},
		{
			name: "meta", about: "pooling of estimates: REML, Hartung-Knapp, prediction, Q-profile; rows are sources",
			sizes: []int{20, 500}, make: sources, ours: poolTask,
			rival: "metafor rma", packages: []string{"metafor"}, script: `
fit <- clock(function() {
  f <- metafor::rma(d$y, d$v, method = "REML", test = "knha")
  p <- predict(f); ci <- confint(f)
  c(f$b, f$se, f$ci.lb, f$ci.ub, f$tau2, f$I2, f$QE, p$pi.lb, p$pi.ub, ci$random[1, 2:3])
})
say("number", fit)
`,
			tolerance: 1e-3, floor: 0.1,
		},
	}
}

const robustScript = `
# epsilon: clubSandwich takes the weights of the last step but one
f <- glm(y ~ ., data = d[names(d) != "cluster"], family = binomial(), epsilon = 1e-14)
t <- clock(function() clubSandwich::coef_test(f, vcov = "CR2", cluster = d$cluster, test = "Satterthwaite"))
say("se", t$SE[-1]); say("df", t$df[-1])
`

const conditionalScript = `
library(survival)
f <- clock(function() clogit(y ~ . - stratum + strata(stratum), data = d, method = "exact"))
say("coef", coef(f)); say("se", sqrt(diag(vcov(f))))
`

func randomScript(nodes int) string {
	return fmt.Sprintf(`
names <- setdiff(names(d), c("y", "cluster"))
f <- clock(function() lme4::glmer(as.formula(paste("y ~", paste(names, collapse = " + "), "+ (1 | cluster)")), data = d, family = binomial(), nAGQ = %d))
say("coef", lme4::fixef(f)); say("sigma", sqrt(unlist(lme4::VarCorr(f))))
`, nodes)
}

// wide makes independent rows: x1, x3, ... normal, x2, x4, ... yes or no.
func wide(columns int) func(int, *rand.Rand) frame {
	return func(rows int, rng *rand.Rand) frame {
		return simulate(rows, columns, rng, func(j int) float64 {
			if j%2 == 0 {
				return rng.NormFloat64()
			}
			return trigger(rng, 0.3)
		})
	}
}

// yesNo makes independent rows of columns of yes or no.
func yesNo(columns int) func(int, *rand.Rand) frame {
	return func(rows int, rng *rand.Rand) frame {
		return simulate(rows, columns, rng, func(j int) float64 { return trigger(rng, 0.1+0.08*float64(j)) })
	}
}

// simulate draws columns and outcomes: the slope of column j is 0.5 in size, with
// signs in turn, the intercept -1.
func simulate(rows, columns int, rng *rand.Rand, draw func(j int) float64) frame {
	y, x := make([]float64, rows), make([][]float64, columns)
	for j := range x {
		x[j] = make([]float64, rows)
	}
	for i := range rows {
		eta := -1.0
		for j := range x {
			x[j][i] = draw(j)
			eta += slope(j) * x[j][i]
		}
		y[i] = trigger(rng, 1/(1+math.Exp(-eta)))
	}
	var f frame
	f.add("y", y)
	for j := range x {
		f.add(fmt.Sprintf("x%d", j+1), x[j])
	}
	return f
}

func slope(j int) float64 { return 0.5 - float64(j%2) }

// trigger is 1 with chance p, else 0.
func trigger(rng *rand.Rand, p float64) float64 {
	if rng.Float64() < p {
		return 1
	}
	return 0
}

// clustered makes rows in clusters of unequal size, at most one for each five rows,
// whose intercepts have a standard deviation of 0.8, with 4 columns.
func clustered(clusters int) func(int, *rand.Rand) frame {
	return func(rows int, rng *rand.Rand) frame {
		k := max(2, min(clusters, rows/5))
		level := make([]float64, k)
		for g := range level {
			level[g] = 0.8 * rng.NormFloat64()
		}
		cluster := make([]float64, rows)
		f := simulate(rows, 4, rng, func(j int) float64 {
			if j%2 == 0 {
				return rng.NormFloat64()
			}
			return trigger(rng, 0.4)
		})
		for i := range cluster {
			g := int(float64(k) * math.Sqrt(rng.Float64())) // later ones have more rows
			if i < 2*k {
				g = i % k
			}
			cluster[i] = float64(g + 1)
			eta := level[g] - 1
			for j, x := range f.columns[1:] {
				eta += slope(j) * x[i]
			}
			f.columns[0][i] = trigger(rng, 1/(1+math.Exp(-eta)))
		}
		f.add("cluster", cluster)
		return f
	}
}

// matched makes strata of the given number of rows, about three in ten of them
// successes, each with a level of its own.
func matched(size, columns int, yesNo bool) func(int, *rand.Rand) frame {
	return func(rows int, rng *rand.Rand) frame {
		f := simulate(rows, columns, rng, func(int) float64 {
			if yesNo {
				return trigger(rng, 0.4)
			}
			return rng.NormFloat64()
		})
		stratum, level := make([]float64, rows), 0.0
		for i := range stratum {
			if i%size == 0 {
				level = 0.5 * rng.NormFloat64()
			}
			stratum[i] = float64(i/size + 1)
			eta := level - 1
			for j, x := range f.columns[1:] {
				eta += slope(j) * x[i]
			}
			f.columns[0][i] = trigger(rng, 1/(1+math.Exp(-eta)))
		}
		f.add("stratum", stratum)
		return f
	}
}

// sources makes estimates y with variances v that scatter by 0.3 around 0.5.
func sources(rows int, rng *rand.Rand) frame {
	y, v := make([]float64, rows), make([]float64, rows)
	for i := range y {
		v[i] = 0.02 + 0.2*rng.Float64()
		y[i] = 0.5 + 0.3*rng.NormFloat64() + math.Sqrt(v[i])*rng.NormFloat64()
	}
	var f frame
	f.add("y", y)
	f.add("v", v)
	return f
}

func data(f frame) logit.Data { return logit.Data{Y: f.get("y"), X: f.begins("x")} }

// named numbers the values of a vector, as say does in the prelude.
func named(name string, v []float64) []value {
	if len(v) == 1 {
		return []value{{name, v[0]}}
	}
	var out []value
	for i, x := range v {
		out = append(out, value{fmt.Sprintf("%s%d", name, i+1), x})
	}
	return out
}

// usable turns a status that allows no number into an error.
func usable(s stats.Status, warnings []stats.Warning) error {
	if s.Usable() {
		return nil
	}
	return fmt.Errorf("the fit is %v: %v", s, warnings)
}

func fitTask(o logit.Options) func(frame) (task, error) {
	return func(f frame) (task, error) {
		var m *logit.Model
		d := data(f)
		run := func() (err error) {
			if m, err = logit.Fit(d, o); err != nil {
				return err
			}
			return usable(m.Status, m.Warnings)
		}
		return task{run, func() []value {
			return append(named("coef", append([]float64{m.Intercept[0]}, m.Coef...)), named("se", append([]float64{m.InterceptSE[0]}, m.SE...))...)
		}}, nil
	}
}

func profileTask(f frame) (task, error) {
	m, err := logit.Fit(data(f), logit.Options{})
	if err != nil {
		return task{}, err
	}
	var low, high []float64
	run := func() error {
		low, high = nil, nil
		for j := -1; j < len(m.Coef); j++ {
			e := m.ProfileIntercept(0, 0.95)
			if j >= 0 {
				e = m.Profile(j, 0.95)
			}
			if err := usable(e.Status, e.Warnings); err != nil {
				return err
			}
			low, high = append(low, e.Lo), append(high, e.Hi)
		}
		return nil
	}
	return task{run, func() []value { return append(named("low", low), named("high", high)...) }}, nil
}

func firthProfileTask(f frame) (task, error) {
	d := data(f)
	var low, high []float64
	run := func() error {
		m, err := logit.Fit(d, logit.Options{Penalty: logit.Firth})
		if err != nil {
			return err
		}
		low, high = nil, nil
		for j := range m.Coef {
			e := m.Profile(j, 0.95)
			if err := usable(e.Status, e.Warnings); err != nil {
				return err
			}
			low, high = append(low, e.Lo), append(high, e.Hi)
		}
		return nil
	}
	return task{run, func() []value { return append(named("low", low), named("high", high)...) }}, nil
}

func robustTask(kind logit.RobustKind) func(frame) (task, error) {
	return func(f frame) (task, error) {
		m, err := logit.Fit(data(f), logit.Options{})
		if err != nil {
			return task{}, err
		}
		cluster := f.whole("cluster")
		var r *logit.Robust
		run := func() (err error) {
			if r, err = m.Robust(cluster, kind); err != nil {
				return err
			}
			return usable(r.Status, r.Warnings)
		}
		return task{run, func() []value { return append(named("se", r.SE), named("df", r.DF)...) }}, nil
	}
}

func conditionalTask(f frame) (task, error) {
	d := data(f)
	d.Group = f.whole("stratum")
	var c *logit.Conditional
	run := func() (err error) {
		if c, err = logit.FitConditional(d, logit.ConditionalOptions{}); err != nil {
			return err
		}
		return usable(c.Status, c.Warnings)
	}
	return task{run, func() []value { return append(named("coef", c.Coef), named("se", c.SE)...) }}, nil
}

func randomTask(nodes int) func(frame) (task, error) {
	return func(f frame) (task, error) {
		d := data(f)
		d.Group = f.whole("cluster")
		var r *logit.RandomIntercept
		run := func() (err error) {
			if r, err = logit.FitRandom(d, logit.RandomOptions{Nodes: nodes}); err != nil {
				return err
			}
			return usable(r.Status, r.Warnings)
		}
		return task{run, func() []value {
			return append(named("coef", append([]float64{r.Intercept}, r.Coef...)), value{"sigma", r.Sigma})
		}}, nil
	}
}

func poolTask(f frame) (task, error) {
	var p pool.Pooled
	run := func() (err error) {
		if p, err = pool.Random(f.get("y"), f.get("v"), pool.Options{}); err != nil {
			return err
		}
		return usable(p.HartungKnapp.Status, p.HartungKnapp.Warnings)
	}
	return task{run, func() []value {
		m, next := p.HartungKnapp, p.Prediction.HartungKnappT
		return named("number", []float64{m.Value, m.SE, m.Lo, m.Hi, p.Tau2.Value, p.I2.Value, p.Q, next.Lo, next.Hi, p.Tau2.Lo, p.Tau2.Hi})
	}}, nil
}
