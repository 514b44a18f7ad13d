package logit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// sameFit requires that two models say the same about everything that does not
// depend on how the rows are written down.
func sameFit(t *testing.T, a, b *Model, tol float64, what string) {
	t.Helper()
	require.Equal(t, a.Status, b.Status, what)
	statstest.NearAll(t, a.Coef, b.Coef, tol, what+": slopes")
	statstest.NearAll(t, a.SE, b.SE, tol, what+": standard errors")
	statstest.Near(t, a.Kernel, b.Kernel, tol, what+": log-likelihood")
	statstest.Near(t, a.HalfLogDet, b.HalfLogDet, tol, what+": log det")
	pa, pb := a.Profile(0, 0.95), b.Profile(0, 0.95)
	require.Equal(t, pa.Status, pb.Status, what)
	statstest.NearAll(t, []float64{pa.Value, pa.Lo, pa.Hi}, []float64{pb.Value, pb.Lo, pb.Hi}, 10*tol, what+": profile")
	statstest.Near(t, a.LRTest(0).P, b.LRTest(0).P, tol, what+": p")
}

var bothPenalties = []Options{{Penalty: None}, {Penalty: Firth}}

// Keeper intercepts by Schur complement against columns of zeros and ones: the
// same model, whatever the penalty.
func TestGroupsEqualDummyColumns(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 32))
	for trial := range 12 {
		// With few rows some groups see one outcome only: only the Firth penalty
		// copes with their dummy columns.
		n, penalties := 800, bothPenalties
		if trial%2 == 1 {
			n, penalties = 40, bothPenalties[1:]
		}
		d := randomData(rng, n, 1+trial%3, 2+trial%5)
		dense := d
		dense.Group, dense.X = nil, slices.Clone(d.X)
		labels := newTable(d).labels
		for _, g := range labels[1:] {
			x := make([]float64, d.Rows())
			for i := range x {
				if d.Group[i] == g {
					x[i] = 1
				}
			}
			dense.X = append(dense.X, x)
		}
		for _, o := range penalties {
			what := fmt.Sprintf("trial %d, %v", trial, o.Penalty)
			a, b := requireFit(t, d, o), requireFit(t, dense, o)
			p := len(d.X)
			statstest.NearAll(t, a.Coef, b.Coef[:p], 1e-7, what+": slopes")
			statstest.NearAll(t, a.SE, b.SE[:p], 1e-7, what+": standard errors")
			statstest.Near(t, a.Kernel, b.Kernel, 1e-9, what+": log-likelihood")
			statstest.Near(t, a.HalfLogDet, b.HalfLogDet, 1e-7, what+": log det")
			x, y := a.Profile(0, 0.95), b.Profile(0, 0.95)
			statstest.NearAll(t, []float64{x.Lo, x.Hi}, []float64{y.Lo, y.Hi}, 1e-7, what+": profile")
			// The intercepts of the groups and their covariances.
			for g := range labels {
				want, variance := b.Intercept[0], b.CovIntercept(0, 0)
				if g > 0 {
					want += b.Coef[p+g-1]
					variance += b.Cov[p+g-1][p+g-1] + 2*b.CovInterceptSlopes(0)[p+g-1]
				}
				statstest.Near(t, want, a.Intercept[g], 1e-7, what+": intercept")
				statstest.Near(t, math.Sqrt(variance), a.InterceptSE[g], 1e-7, what+": its standard error")
			}
			cov := b.CovIntercept(0, 0) + b.CovInterceptSlopes(0)[p]
			statstest.Near(t, cov, a.CovIntercept(0, 1), 1e-6, what+": covariance of intercepts")
			statstest.Near(t, b.CovInterceptSlopes(0)[0]+b.Cov[p][0], a.CovInterceptSlopes(1)[0], 1e-6, what+": covariance with a slope")
			// The first group's intercept is a parameter of both.
			x, y = a.ProfileIntercept(0, 0.9), b.ProfileIntercept(0, 0.9)
			statstest.NearAll(t, []float64{y.Lo, y.Hi}, []float64{x.Lo, x.Hi}, 1e-6, what+": profile of the intercept")
			statstest.Near(t, b.LRTestIntercept(0).P, a.LRTestIntercept(0).P, 1e-6, what+": its test")
		}
	}
}

// Ways of writing down the same records.
func TestSameRecordsSameAnswer(t *testing.T) {
	rng := rand.New(rand.NewPCG(33, 34))
	d := randomData(rng, 200, 3, 4)
	n := d.Rows()
	order := rng.Perm(n)
	pick := func(v []float64, at []int) []float64 {
		out := make([]float64, len(at))
		for i, k := range at {
			out[i] = v[k]
		}
		return out
	}
	rows := func(at []int) Data {
		out := Data{Y: pick(d.Y, at)}
		for j := range d.X {
			out.X = append(out.X, pick(d.X[j], at))
		}
		for _, k := range at {
			out.Group = append(out.Group, d.Group[k])
		}
		return out
	}
	shuffled := rows(order)

	relabelled := d
	relabelled.Group = make([]int, n)
	for i, g := range d.Group {
		relabelled.Group[i] = 1000 - 13*g
	}

	// Every row twice, against a weight of two, against two trials.
	twice := rows(append(slices.Clone(order), order...))
	weighted := d
	weighted.Weights = filled(n, 2)
	grouped := d
	grouped.N = filled(n, 2)
	grouped.Y = make([]float64, n)
	for i, y := range d.Y {
		grouped.Y[i] = 2 * y
	}

	padded := rows(append(slices.Clone(order), 0, 1, 2)) // rows that do not count
	padded.Weights = append(filled(n, 1), 0, 0, 0)

	for _, o := range bothPenalties {
		base := requireFit(t, d, o)
		sameFit(t, base, requireFit(t, shuffled, o), 1e-8, "row order")
		sameFit(t, base, requireFit(t, relabelled, o), 1e-8, "numbers of the groups")
		sameFit(t, base, requireFit(t, padded, o), 1e-8, "rows of weight 0")
		doubled := requireFit(t, twice, o)
		sameFit(t, doubled, requireFit(t, weighted, o), 1e-8, "weights as counts")
		sameFit(t, doubled, requireFit(t, grouped, o), 1e-8, "trials as counts")
		require.Equal(t, 2*base.Trials, doubled.Trials)
	}
}

// A change of unit and origin changes the slope by the unit, and the rest not at
// all.
func TestUnitChange(t *testing.T) {
	rng := rand.New(rand.NewPCG(35, 36))
	d := randomData(rng, 200, 3, 3)
	for _, o := range bothPenalties {
		base := requireFit(t, d, o)
		for _, unit := range []float64{1.8, -1, 1e9, 1e-9, 1e60, 1e-60} {
			origin := 32 * unit
			moved := d
			moved.X = slices.Clone(d.X)
			moved.X[1] = make([]float64, d.Rows())
			for i, x := range d.X[1] {
				moved.X[1][i] = unit*x + origin
			}
			m := requireFit(t, moved, o)
			what := fmt.Sprintf("%v, unit %g", o.Penalty, unit)
			statstest.NearRel(t, base.Coef[1], unit*m.Coef[1], 1e-8, what)
			statstest.NearRel(t, base.SE[1], math.Abs(unit)*m.SE[1], 1e-8, what)
			statstest.Near(t, base.Coef[0], m.Coef[0], 1e-8, what)
			statstest.Near(t, base.Kernel, m.Kernel, 1e-10, what)
			statstest.Near(t, base.HalfLogDet+math.Log(math.Abs(unit)), m.HalfLogDet, 1e-9, what)
			statstest.NearAll(t, base.Probabilities(), m.Probabilities(), 1e-8, what)
			statstest.NearAll(t, base.LinearPredictorSE(), m.LinearPredictorSE(), 1e-7, what)
			a, b := base.Profile(1, 0.95), m.Profile(1, 0.95)
			lo, hi := unit*b.Lo, unit*b.Hi
			if unit < 0 {
				lo, hi = hi, lo
			}
			statstest.NearAll(t, []float64{a.Lo, a.Hi}, []float64{lo, hi}, 1e-7, what)
		}
	}
}

// Calling success failure, or the trigger its absence, turns the estimate and its
// limits over.
func TestFlips(t *testing.T) {
	rng := rand.New(rand.NewPCG(37, 38))
	d := randomData(rng, 120, 2, 3)
	trigger, outcome := d, d
	trigger.X = slices.Clone(d.X)
	trigger.X[0] = make([]float64, d.Rows())
	outcome.Y = make([]float64, d.Rows())
	for i := range d.Y {
		trigger.X[0][i] = 1 - d.X[0][i]
		outcome.Y[i] = 1 - d.Y[i]
	}
	for _, o := range bothPenalties {
		base := requireFit(t, d, o)
		a := base.Profile(0, 0.95)
		for what, flipped := range map[string]Data{"trigger": trigger, "outcome": outcome} {
			m := requireFit(t, flipped, o)
			b := m.Profile(0, 0.95)
			statstest.NearAll(t, []float64{a.Value, a.Lo, a.Hi}, []float64{-b.Value, -b.Hi, -b.Lo}, 1e-8, what)
			statstest.Near(t, base.SE[0], m.SE[0], 1e-8, what)
			ja, err := base.Jackknife(d.Group, 0, 0.9)
			require.NoError(t, err)
			jb, err := m.Jackknife(d.Group, 0, 0.9)
			require.NoError(t, err)
			statstest.NearAll(t, []float64{ja.Lo, ja.Hi}, []float64{-jb.Hi, -jb.Lo}, 1e-7, what)
		}
		m := requireFit(t, trigger, o)
		statstest.Near(t, base.Risks(0, 0, 1).Difference, -m.Risks(0, 0, 1).Difference, 1e-8, "risk difference")
		m = requireFit(t, outcome, o)
		statstest.Near(t, base.Risks(0, 0, 1).P1, 1-m.Risks(0, 0, 1).P1, 1e-8, "risk")
	}
}

// The same bits whatever the number of processors.
func TestProcessorsDoNotMatter(t *testing.T) {
	rng := rand.New(rand.NewPCG(39, 40))
	d := randomData(rng, 12000, 4, 7)
	cluster := make([]int, d.Rows())
	for i := range cluster {
		cluster[i] = i % 5
	}
	run := func(procs int) string {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(procs))
		out := ""
		for _, o := range bothPenalties {
			m := requireFit(t, d, o)
			require.GreaterOrEqual(t, len(m.full.blocks), 4)
			j, err := m.Jackknife(cluster, 1, 0.95)
			require.NoError(t, err)
			p := m.Profile(1, 0.95)
			r := m.RiskDifference(0, 0, 1, m.Profile(0, 0.95))
			out += fmt.Sprintf("%b %b %b %b %b %b %b\n", m.Coef, m.Cov, m.Intercept, m.Kernel, j.Coef, []float64{p.Lo, p.Hi}, []float64{r.Lo, r.Value, r.Hi})
		}
		return out
	}
	require.Equal(t, run(1), run(8))
}

// Adding to the offset what a column would add is the same as holding its slope,
// as far as maximum likelihood goes; and a constrained fit at the estimate is the
// estimate.
func TestConstrained(t *testing.T) {
	rng := rand.New(rand.NewPCG(41, 42))
	d := randomData(rng, 150, 3, 3)
	m := requireFit(t, d, Options{})
	held := m.Constrained(2, 0.8)
	offset := d.Drop(2)
	offset.Offset = make([]float64, d.Rows())
	for i := range offset.Offset {
		offset.Offset[i] = 0.8 * d.X[2][i]
	}
	without := requireFit(t, offset, Options{})
	statstest.NearAll(t, without.Coef, held.Coef[:2], 1e-8, "slopes")
	statstest.NearAll(t, without.Intercept, held.Intercept, 1e-8, "intercepts")
	statstest.Near(t, without.Kernel, held.Value, 1e-10, "log-likelihood")
	require.Equal(t, 0.8, held.Coef[2])

	for _, o := range bothPenalties {
		m := requireFit(t, d, o)
		at := m.Constrained(1, m.Coef[1])
		statstest.NearAll(t, m.Coef, at.Coef, 1e-8, "slopes")
		statstest.NearAll(t, m.Intercept, at.Intercept, 1e-8, "intercepts")
		top := m.Kernel
		if o.Penalty == Firth {
			top = m.PenalizedLogLik
		}
		statstest.Near(t, top, at.Value, 1e-10, "value")
		// The end of a profile interval is where twice the drop is the quantile
		// 3.841458820694124 of chi-square with 1 df at 95% (R: qchisq(.95, 1)).
		e := m.Profile(1, 0.95)
		for _, end := range []float64{e.Lo, e.Hi} {
			statstest.Near(t, 3.841458820694124, 2*(top-m.Constrained(1, end).Value), 1e-8, "drop at the end")
		}
		// The test of a value at the end of the interval has p = 1 - level.
		moved := d
		moved.Offset = make([]float64, d.Rows())
		for i := range moved.Offset {
			moved.Offset[i] = e.Hi * d.X[1][i]
		}
		statstest.Near(t, 0.05, requireFit(t, moved, o).LRTest(1).P, 1e-7, "p at the end")
	}
}

// A saturated model of one binary column has its estimate in closed form: the log
// odds ratio of the 2 by 2 table, and with the Firth penalty that of the table
// with 1/2 added to each cell (Firth 1993, section 3.3).
func TestTwoByTwoTable(t *testing.T) {
	d := Data{Y: []float64{9, 4}, N: []float64{20, 31}, X: [][]float64{{1, 0}}}
	m := requireFit(t, d, Options{})
	statstest.Near(t, math.Log(9.0/11/(4.0/27)), m.Coef[0], 1e-10, "log odds ratio")
	statstest.Near(t, math.Sqrt(1./9+1./11+1./4+1./27), m.SE[0], 1e-10, "Woolf's standard error")
	statstest.Near(t, 0, m.Deviance, 1e-10, "deviance of a saturated model")
	m = requireFit(t, d, Options{Penalty: Firth})
	statstest.Near(t, math.Log(9.5/11.5/(4.5/27.5)), m.Coef[0], 1e-9, "log odds ratio with halves")
	statstest.Near(t, math.Log(4.5/27.5), m.Intercept[0], 1e-9, "intercept with halves")
}

// Without columns the model is one proportion a group.
func TestNoColumns(t *testing.T) {
	d := Data{Y: []float64{3, 7, 2, 0}, N: []float64{10, 9, 8, 5}, Group: []int{2, 2, 5, 9}}
	m := requireFit(t, d, Options{})
	statstest.NearAll(t, []float64{math.Log(10. / 9), math.Log(2. / 6), math.Inf(-1)}, m.Intercept, 1e-10, "intercepts")
	require.Equal(t, []int{9}, m.UninformativeGroups)
	require.True(t, math.IsNaN(m.InterceptSE[2]))
	require.True(t, math.IsNaN(m.CovIntercept(2, 0)))
	require.True(t, math.IsNaN(m.LinearPredictorSE()[3]))
	require.Equal(t, 0.0, m.Probabilities()[3])
	require.Equal(t, stats.TooLittle, m.ProfileIntercept(2, 0.95).Status)
	require.Equal(t, stats.TooLittle, m.LRTestIntercept(2).Status)
	m = requireFit(t, d, Options{Penalty: Firth})
	// Jeffreys' prior for a proportion: (s + 1/2) / (n + 1).
	statstest.NearAll(t, []float64{math.Log(10.5 / 9.5), math.Log(2.5 / 6.5), math.Log(0.5 / 5.5)}, m.Intercept, 1e-9, "intercepts")
}

// One-outcome groups change no slope under maximum likelihood, nor its
// likelihood.
func TestUninformativeGroupsChangeNoSlope(t *testing.T) {
	rng := rand.New(rand.NewPCG(43, 44))
	d := randomData(rng, 120, 2, 3)
	with := d
	with.X = [][]float64{append(slices.Clone(d.X[0]), 1, 0, 1, 0), append(slices.Clone(d.X[1]), 3, -1, 0, 2)}
	with.Y = append(slices.Clone(d.Y), 1, 1, 0, 0)
	with.Group = append(slices.Clone(d.Group), 100, 100, -100, -100)
	a, b := requireFit(t, d, Options{}), requireFit(t, with, Options{})
	sameFit(t, a, b, 1e-9, "with one-outcome groups")
	require.Equal(t, []int{-100, 100}, b.UninformativeGroups)
	require.Equal(t, []float64{math.Inf(-1), math.Inf(1)}, []float64{b.Intercept[0], b.Intercept[len(b.Intercept)-1]})
	require.Equal(t, "uninformative-groups", b.Warnings[0].Code)
	f := requireFit(t, with, Options{Penalty: Firth})
	require.False(t, math.IsInf(f.Intercept[0], 0), "a penalty keeps every intercept finite")
	require.Equal(t, []int{-100, 100}, f.UninformativeGroups)
}
