package logit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
)

// sound demands of an estimate a status, and numbers exactly where it is usable.
func sound(t *testing.T, e stats.Estimate, what string) {
	t.Helper()
	require.NotEqual(t, stats.NotComputed, e.Status, what)
	require.NotEmpty(t, e.Method, what)
	if !e.Status.Usable() {
		require.True(t, math.IsNaN(e.Value) && math.IsNaN(e.Lo) && math.IsNaN(e.Hi), "%s: %+v", what, e)
		return
	}
	require.False(t, math.IsNaN(e.Value) || math.IsInf(e.Value, 0), "%s: %+v", what, e)
	require.True(t, e.Lo <= e.Value && e.Value <= e.Hi, "%s: %+v", what, e)
	if math.IsInf(e.Lo, 0) || math.IsInf(e.Hi, 0) {
		require.NotEmpty(t, e.Warnings, "%s: an open end has a reason", what)
	}
}

// soundTest demands that of a test.
func soundTest(t *testing.T, x Test, what string) {
	t.Helper()
	require.NotEqual(t, stats.NotComputed, x.Status, what)
	if x.Status.Usable() {
		require.True(t, x.Statistic >= 0 && x.P >= 0 && x.P <= 1, "%s: %+v", what, x)
	} else {
		require.True(t, math.IsNaN(x.Statistic) && math.IsNaN(x.P), "%s: %+v", what, x)
	}
}

// numbers demands that all are finite where usable and all NaN elsewhere.
func numbers(t *testing.T, s stats.Status, what string, v ...float64) {
	t.Helper()
	require.NotEqual(t, stats.NotComputed, s, what)
	for _, x := range v {
		if s.Usable() {
			require.False(t, math.IsNaN(x) || math.IsInf(x, 0), "%s: %v", what, v)
		} else {
			require.True(t, math.IsNaN(x), "%s, %v: %v", what, s, v)
		}
	}
}

// wildData makes small records of every odd kind: no or one outcome, constant, repeated
// and collinear columns, more columns than rows, tiny and huge units, weights of 0,
// trials of 0, large offsets, one group or one each.
func wildData(rng *rand.Rand) (d Data, cluster []int) {
	n, p := 1+rng.IntN(14), rng.IntN(5)
	if rng.IntN(4) == 0 {
		n += 30
	}
	kind := rng.IntN(5)
	d.Y = make([]float64, n)
	cluster = make([]int, n)
	for i := range n {
		cluster[i] = rng.IntN(1 + rng.IntN(5))
		switch kind {
		case 0: // all alike
			d.Y[i] = float64(n % 2)
		case 1: // one that differs
			if i == 0 {
				d.Y[i] = 1
			}
		default:
			d.Y[i] = float64(rng.IntN(2))
		}
	}
	for j := range p {
		x := make([]float64, n)
		unit := []float64{1, 1, 1, 1e-9, 1e9, 1e60, 1e-60}[rng.IntN(7)]
		origin := []float64{0, 0, 5, 1e6}[rng.IntN(4)]
		shape := rng.IntN(7)
		for i := range x {
			switch shape {
			case 0: // constant
			case 1:
				x[i] = d.Y[i] // splits the outcomes
			case 2:
				x[i] = float64(cluster[i])
			case 3:
				if j > 0 {
					x[i] = 2*d.X[j-1][i] - 3
				}
			case 4:
				x[i] = rng.NormFloat64()
			default:
				x[i] = float64(rng.IntN(2))
			}
			if shape != 3 {
				x[i] = origin*unit + unit*x[i]
			}
		}
		d.X = append(d.X, x)
	}
	if rng.IntN(3) == 0 {
		d.Group = make([]int, n)
		for i := range d.Group {
			d.Group[i] = []int{cluster[i], i, rng.IntN(3) - 1}[n%3]
		}
	}
	if rng.IntN(4) == 0 {
		d.N = make([]float64, n)
		for i := range d.N {
			d.N[i] = d.Y[i] + float64(rng.IntN(4))
		}
	}
	if rng.IntN(4) == 0 {
		d.Weights = make([]float64, n)
		for i := range d.Weights {
			d.Weights[i] = float64(rng.IntN(3))
		}
	}
	if rng.IntN(4) == 0 {
		d.Offset = make([]float64, n)
		for i := range d.Offset {
			d.Offset[i] = []float64{0, 1, -1, 3, -30}[rng.IntN(5)]
		}
	}
	return d, cluster
}

// Every exported fit is given odd records: it answers with a status or with numbers,
// never with both or neither, and never panics.
func TestWildRecordsAreAnswered(t *testing.T) {
	rng := rand.New(rand.NewPCG(201, 202))
	statuses, undecided := map[stats.Status]int{}, 0
	trials := 1500
	if testing.Short() {
		trials = 200
	}
	for trial := range trials {
		d, cluster := wildData(rng)
		what := fmt.Sprintf("trial %d: %+v", trial, d)
		for _, o := range []Options{{}, {Penalty: Firth}, {Penalty: LogF}} {
			m, err := Fit(d, o)
			require.NoError(t, err, what)
			statuses[m.Status]++
			wildModel(t, m, cluster, what)
		}
		for _, o := range []ConditionalOptions{{}, {Ties: Efron}, {Ties: Breslow}, {Penalty: Firth}} {
			c, err := FitConditional(d, o)
			require.NoError(t, err, what)
			statuses[c.Status]++
			wildConditional(t, c, what)
		}
		for _, nodes := range []int{1, 5} {
			r, err := FitRandom(d, RandomOptions{Nodes: nodes})
			require.NoError(t, err, what)
			statuses[r.Status]++
			wildRandom(t, r, what)
		}
		if len(d.X) > 0 {
			f, err := SignFlip(d, rng.IntN(len(d.X)), cluster, SignFlipOptions{Draws: 50})
			require.NoError(t, err, what)
			numbers(t, f.Status, what, f.Score, f.P, f.Smallest)
		}
		sep, err := DetectSeparation(d)
		require.NoError(t, err, what)
		if sep.Kind == Undecided { // columns alike but for their last digits
			undecided++
		}
	}
	t.Log(statuses)
	require.Greater(t, statuses[stats.OK], trials)
	require.Greater(t, statuses[stats.Separated], trials/4)
	require.Greater(t, statuses[stats.NotIdentifiable], trials/4)
	require.Greater(t, statuses[stats.TooLittle], trials/4)
	require.Less(t, statuses[stats.NotConverged], trials/25)
	require.LessOrEqual(t, undecided, trials/100)
}

func wildModel(t *testing.T, m *Model, cluster []int, what string) {
	t.Helper()
	numbers(t, m.Status, what, append(append([]float64{m.Kernel, m.LogLik, m.AIC, m.BIC, m.Deviance}, m.Coef...), m.SE...)...)
	if len(m.Coef) > 0 {
		j := 0 // one column of each fit is enough
		sound(t, m.Wald(j, 0.9), what)
		e := m.Profile(j, 0.9)
		sound(t, e, what)
		soundTest(t, m.WaldTest(j), what)
		soundTest(t, m.LRTest(j), what)
		r := m.Risks(j, 0, 1)
		numbers(t, r.Status, what, r.P0, r.P1, r.Difference)
		require.False(t, r.P0 < 0 || r.P1 > 1, what)
		left, err := m.Jackknife(cluster, j, 0.9)
		require.NoError(t, err, what)
		sound(t, left.Estimate, what)
		sound(t, Envelope(e, left.Estimate).Estimate, what)
		difference := m.RiskDifference(j, 0, 1, e)
		if difference.Status.Usable() {
			require.True(t, difference.Lo <= difference.Value && difference.Value <= difference.Hi, "%s: %+v", what, difference)
		}
		held := m.Constrained(j, 0)
		numbers(t, held.Status, what, held.Coef...)
	}
	sound(t, m.WaldIntercept(0, 0.9), what)
	sound(t, m.ProfileIntercept(0, 0.9), what)
	if m.Penalty == LogF {
		_, err := m.Robust(cluster, CR2)
		require.Error(t, err)
		return
	}
	for _, kind := range []RobustKind{CR0, CR1S, CR2, CR2Response, CR3} {
		r, err := m.Robust(cluster, kind)
		require.NoError(t, err, what)
		numbers(t, r.Status, what, r.SE...)
		if len(m.Coef) > 0 && r.Status.Usable() && r.SE[0] > 0 && !math.IsNaN(r.DF[0]) {
			sound(t, r.Interval(0, 0.9), what)
		}
	}
	two, err := m.RobustTwoWay(cluster, stretches(len(cluster), 3), CR2)
	require.NoError(t, err, what)
	numbers(t, two.Status, what, two.SE...)
	for _, v := range m.VarianceInflation() {
		numbers(t, m.Status, what, v)
	}
}

func wildConditional(t *testing.T, c *Conditional, what string) {
	t.Helper()
	numbers(t, c.Status, what, append(append([]float64{c.LogLik, c.LogLikNull}, c.Coef...), c.SE...)...)
	if len(c.Coef) > 0 {
		sound(t, c.Wald(0, 0.9), what)
		sound(t, c.Profile(0, 0.9), what)
		soundTest(t, c.WaldTest(0), what)
		soundTest(t, c.LRTest(0), what)
		soundTest(t, c.ScoreTest(), what)
	}
}

func wildRandom(t *testing.T, r *RandomIntercept, what string) {
	t.Helper()
	numbers(t, r.Status, what, append(append([]float64{r.Intercept, r.InterceptSE, r.Sigma, r.Kernel}, r.Coef...), r.SE...)...)
	if len(r.Coef) > 0 {
		sound(t, r.Wald(0, 0.9), what)
		sound(t, r.Profile(0, 0.9), what)
	}
	sound(t, r.ProfileSigma(0.9), what)
}

// Numbers that make no sense are refused with the place where they stand.
func TestNonsenseIsRefusedEverywhere(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	bad := map[string]Data{
		"successes, row 2: NaN is not a finite number":                                          {Y: []float64{0, nan}},
		"successes, row 1: +Inf is not a finite number":                                         {Y: []float64{inf, 1}},
		"trials, row 2: NaN is not a finite number":                                             {Y: []float64{0, 1}, N: []float64{1, nan}},
		"weights, row 1: -1 is negative":                                                        {Y: []float64{0, 1}, Weights: []float64{-1, 1}},
		"weights, row 2: +Inf is not a finite number":                                           {Y: []float64{0, 1}, Weights: []float64{1, inf}},
		"offset, row 2: -Inf is not a finite number":                                            {Y: []float64{0, 1}, Offset: []float64{0, -inf}},
		"successes, row 1: 2 successes in 1 trials":                                             {Y: []float64{2, 1}},
		"successes, row 1: -1 is negative":                                                      {Y: []float64{-1, 1}},
		`column "x1", row 2: NaN is not a finite number`:                                        {Y: []float64{0, 1}, X: [][]float64{{1, nan}}},
		`column "x1", row 1: -Inf is not a finite number`:                                       {Y: []float64{0, 1}, X: [][]float64{{-inf, 1}}},
		`column "x1", row 1: 1e+200 is too large to compute with; use another unit`:             {Y: []float64{0, 1}, X: [][]float64{{1e200, 1}}},
		`column "x1": all values are below 1e-100, too small to compute with; use another unit`: {Y: []float64{0, 1}, X: [][]float64{{1e-200, 0}}},
		"there are no rows": {},
	}
	for want, d := range bad {
		for name, fit := range map[string]func() error{
			"Fit":              func() error { _, err := Fit(d, Options{}); return err },
			"FitConditional":   func() error { _, err := FitConditional(d, ConditionalOptions{}); return err },
			"FitRandom":        func() error { _, err := FitRandom(d, RandomOptions{}); return err },
			"Identify":         func() error { _, err := Identify(d); return err },
			"DetectSeparation": func() error { _, err := DetectSeparation(d); return err },
		} {
			require.EqualError(t, fit(), want, name)
		}
	}
}
