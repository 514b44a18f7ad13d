package main

import (
	"math"
	"math/rand/v2"

	"gravid/stats/count"
)

// counts is numbers of eggs, shares that hatch, and drawing again.
func counts() []comparison {
	return []comparison{
		{
			name: "negbin", about: "negative binomial distribution, mean and size",
			sizes: []int{1e2, 1e4, 1e6}, make: clutches(false), ours: negbinTask,
			rival: "MASS glm.nb", packages: []string{"MASS"}, script: `
f <- clock(function() MASS::glm.nb(y ~ 1, data = d))
say("coef", coef(f)); say("size", f$theta); say("loglik", as.numeric(logLik(f)))
`,
			tolerance: 1e-4, floor: 0.1,
		},
		{
			name: "glm.nb", about: "negative binomial regression of 2 columns, one of them with hardly two values alike",
			sizes: []int{1e2, 1e4, 1e5}, make: clutches(true), ours: negbinRegressionTask,
			rival: "MASS glm.nb", packages: []string{"MASS"}, script: glmNBScript,
			tolerance: 1e-4, floor: 0.1,
		},
		{
			name: "glm.nb-alike", about: "the same with columns of few values, so that many rows are alike",
			sizes: []int{1e5}, make: clutches(false), ours: negbinRegressionTask,
			rival: "MASS glm.nb", packages: []string{"MASS"}, script: glmNBScript,
			tolerance: 1e-4, floor: 0.1,
		},
		{
			name: "quasipoisson", about: "quasi-Poisson regression of 2 columns with standard errors",
			sizes: []int{1e4, 1e5}, make: clutches(true), ours: quasiTask,
			rival: "glm", script: `
f <- clock(function() { f <- glm(y ~ x1 + x2, data = d, family = quasipoisson()); list(coef(f), sqrt(diag(vcov(f)))) })
say("coef", f[[1]]); say("se", f[[2]])
`,
			tolerance: 1e-4, floor: 0.1,
		},
		{
			name: "betabinomial", about: "beta-binomial regression of the share that hatched on 2 columns",
			sizes: []int{1e3, 1e4}, make: clutches(true), ours: betabinTask,
			rival: "VGAM vglm", packages: []string{"VGAM"}, script: `
suppressMessages(library(VGAM))
f <- clock(function() vglm(cbind(hatched, y - hatched) ~ x1 + x2, betabinomial, data = d[d$y > 0, ]))
say("coef", coef(f)[-2]); say("rho", plogis(coef(f)[2]))
`,
			tolerance: 1e-3, floor: 0.1,
		},
		{
			name: "bca", about: "BCa limits of a ratio of totals, the rows being clusters, 1999 draws",
			sizes: []int{1e2, 1e3, 1e4}, make: clutches(true), ours: ratioTask,
			rival: "boot boot.ci", packages: []string{"boot"}, script: `
a <- d$y; e <- d$exposure
ratio <- function(k, i) sum(a[i]) / sum(e[i])
` + bcaScript("ratio"),
			tolerance: 0.05, floor: 1, least: 20, aimAt: 1e3, // the draws differ
		},
		{
			name: "bca-median", about: "the same of the median, as a statistic of the caller's own",
			sizes: []int{1e3}, make: clutches(true), ours: medianTask,
			rival: "boot boot.ci", packages: []string{"boot"}, script: `
a <- d$y
middle <- function(k, i) median(a[i])
` + bcaScript("middle"),
			tolerance: 0.05, floor: 1, // the draws differ
		},
	}
}

const glmNBScript = `
f <- clock(function() MASS::glm.nb(y ~ x1 + x2, data = d))
say("coef", coef(f)); say("size", f$theta); say("loglik", as.numeric(logLik(f)))
`

// bcaScript draws again in R, with the acceleration from leaving one out, as ours is.
func bcaScript(statistic string) string {
	return `
set.seed(1)
b <- clock(function() {
  b <- boot::boot(seq_len(nrow(d)), ` + statistic + `, 1999)
  boot::boot.ci(b, type = "bca", L = boot::empinf(data = seq_len(nrow(d)), statistic = ` + statistic + `, type = "jack", stype = "i"))
})
say("value", b$t0); say("limit", b$bca[4:5])
`
}

// clutches makes numbers of eggs y of size 3 (variance mean + mean^2/3) and mean about
// 55, which x1 and x2 shift, how many of them hatched, with a correlation of 0.2 within
// a clutch, and an exposure. x1 is normal if fine, else one of four values.
func clutches(fine bool) func(int, *rand.Rand) frame {
	return func(rows int, rng *rand.Rand) frame {
		var f frame
		for _, name := range []string{"y", "hatched", "exposure", "x1", "x2"} {
			f.add(name, make([]float64, rows))
		}
		for i := range rows {
			x1, x2 := float64(rng.IntN(4)), trigger(rng, 0.4)
			if fine {
				x1 = rng.NormFloat64()
			}
			mean := math.Exp(4 - 0.1*x1 + 0.3*x2)
			y := poisson(rng, mean*waitFor(rng, 3)/3)
			a, b := waitFor(rng, 3), waitFor(rng, 1) // a/(a+b) is beta with parameters 3 and 1
			hatched := 0.0
			for range int(y) {
				hatched += trigger(rng, a/(a+b))
			}
			for j, v := range []float64{y, hatched, float64(1 + rng.IntN(30)), x1, x2} {
				f.columns[j][i] = v
			}
		}
		return f
	}
}

// waitFor is gamma distributed with a whole number for its shape.
func waitFor(rng *rand.Rand, shape int) float64 {
	sum := 0.0
	for range shape {
		sum += rng.ExpFloat64()
	}
	return sum
}

// poisson counts arrivals within the mean.
func poisson(rng *rand.Rand, mean float64) float64 {
	n := -1.0
	for t := 0.0; t < mean; t += rng.ExpFloat64() {
		n++
	}
	return math.Max(n, 0)
}

// countsOf and rowsOf are the numbers of a frame of clutches, alone and with columns.
func countsOf(f frame) []count.Count {
	y := f.get("y")
	out := make([]count.Count, len(y))
	for i, v := range y {
		out[i] = count.Exactly(int(v))
	}
	return out
}

func rowsOf(f frame) []count.CountRow {
	out := make([]count.CountRow, f.rows())
	for i, c := range countsOf(f) {
		out[i] = count.CountRow{Count: c, X: []float64{f.get("x1")[i], f.get("x2")[i]}}
	}
	return out
}

func negbinTask(f frame) (task, error) {
	numbers := countsOf(f)
	var m count.NegativeBinomial
	run := func() (err error) {
		if m, err = count.FitNegativeBinomial(numbers, 0); err != nil {
			return err
		}
		return usable(m.Status, m.Warnings)
	}
	return task{run, func() []value {
		return []value{{"coef", math.Log(m.Mean(count.Wald).Value)}, {"size", m.Size}, {"loglik", m.LogLik}}
	}}, nil
}

func negbinRegressionTask(f frame) (task, error) {
	rows := rowsOf(f)
	var m count.CountRegression
	run := func() (err error) {
		if m, err = count.FitCountRegression(rows, 0); err != nil {
			return err
		}
		return usable(m.Status, m.Warnings)
	}
	return task{run, func() []value {
		return join(named("coef", m.Coef), []value{{"size", m.Size}, {"loglik", m.LogLik}})
	}}, nil
}

func quasiTask(f frame) (task, error) {
	rows := rowsOf(f)
	var m count.QuasiPoisson
	run := func() (err error) {
		if m, err = count.FitQuasiPoisson(rows, count.QuasiSettings{}); err != nil {
			return err
		}
		return usable(m.Status, m.Warnings)
	}
	return task{run, func() []value { return join(named("coef", m.Coef), named("se", roots(m.Covariance, len(m.Coef)))) }}, nil
}

func betabinTask(f frame) (task, error) {
	hatched, y := f.get("hatched"), f.get("y")
	var rows []count.Clutch
	for i := range y {
		rows = append(rows, count.Clutch{Hits: int(hatched[i]), Trials: int(y[i]), X: []float64{f.get("x1")[i], f.get("x2")[i]}})
	}
	var m count.BetaBinomial
	run := func() (err error) {
		if m, err = count.FitBetaBinomial(rows, 0); err != nil {
			return err
		}
		return usable(m.Status, m.Warnings)
	}
	return task{run, func() []value { return join(named("coef", m.Coef), []value{{"rho", m.Rho}}) }}, nil
}

func ratioTask(f frame) (task, error) {
	parts := make([]count.Part, f.rows())
	for i := range parts {
		parts[i] = count.Part{Amount: f.get("y")[i], Exposure: f.get("exposure")[i], Cluster: i}
	}
	return bcaTask(func() (count.Bootstrap, error) { return count.BootstrapRatio(parts, count.BootstrapSettings{}) })
}

func medianTask(f frame) (task, error) {
	y := f.get("y")
	median := func(drawn []int) float64 {
		part := make([]float64, len(drawn))
		for i, k := range drawn {
			part[i] = y[k]
		}
		return count.Median(part)
	}
	return bcaTask(func() (count.Bootstrap, error) {
		return count.NewBootstrap(len(y), median, count.BootstrapSettings{})
	})
}

func bcaTask(draw func() (count.Bootstrap, error)) (task, error) {
	var centre, low, high float64
	run := func() error {
		b, err := draw()
		if err != nil {
			return err
		}
		e := b.BCa()
		centre, low, high = e.Value, e.Lo, e.Hi
		return usable(e.Status, e.Warnings)
	}
	return task{run, func() []value { return join([]value{{"value", centre}}, named("limit", []float64{low, high})) }}, nil
}
