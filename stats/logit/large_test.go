package logit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/statstest"
	"gravid/stats/tail"
)

// The paths that only many rows take, against those that few rows take.

// Rows too many and too different to be collapsed, rows of few patterns in several
// chunks, and a single group without weights.
func TestRowsApartAndCollapsed(t *testing.T) {
	rng := rand.New(rand.NewPCG(181, 182))
	const n = collapsedAlways + 20000
	d := randomData(rng, n, 3, 5)
	whole := newTable(d)
	require.Equal(t, n, whole.patterns(), "nearly all rows differ, so none are looked at twice")
	for _, o := range bothPenalties {
		a := requireFit(t, d, o)
		require.Equal(t, n, a.Patterns)
		// Columns of yes or no: some 40 patterns, found in chunks of the rows.
		few := d
		few.X = [][]float64{d.X[0], d.X[2]}
		b := requireFit(t, few, o)
		require.LessOrEqual(t, b.Patterns, 20)
		require.Equal(t, n, b.Rows)
		counted := Data{X: make([][]float64, 2)}
		for u := range b.full.patterns() {
			i := slices.Index(b.full.rowOf, int32(u))
			counted.Y, counted.N = append(counted.Y, b.full.s[u]), append(counted.N, b.full.n[u])
			counted.X[0], counted.X[1] = append(counted.X[0], few.X[0][i]), append(counted.X[1], few.X[1][i])
			counted.Group = append(counted.Group, few.Group[i])
		}
		sameFit(t, b, requireFit(t, counted, o), 1e-8, "rows as counts")
		successes := 0.0
		for i, u := range b.full.rowOf { // every row has the pattern it is said to have
			if k := int(u); few.X[0][i] != counted.X[0][k] || few.X[1][i] != counted.X[1][k] || few.Group[i] != counted.Group[k] {
				t.Fatalf("row %d is not of pattern %d", i, k)
			}
			successes += few.Y[i]
		}
		require.Equal(t, successes, b.Successes)
		// One group and no weights is a path of its own.
		plain := d
		plain.Group = nil
		one := plain
		one.Group = make([]int, n)
		c, e := requireFit(t, plain, o), requireFit(t, one, o)
		require.Equal(t, c.Coef, e.Coef)
		trials := plain
		trials.N = filled(n, 1)
		sameFit(t, c, requireFit(t, trials, o), 1e-9, "one trial each")
		require.Equal(t, len(c.LinearPredictor()), n)
		statstest.Near(t, c.Successes, sumOf(requireFit(t, plain, Options{}).Probabilities()), 1e-9, "chances add up")
	}
}

func sumOf(v []float64) float64 {
	sum := neumaier{}
	for _, x := range v {
		sum.add(x)
	}
	return sum.total()
}

// A start from a sample of the rows, and one from nothing, lead to the same place.
func TestSampledStart(t *testing.T) {
	rng := rand.New(rand.NewPCG(183, 184))
	d := randomData(rng, 300000, 3, 1)
	m := requireFit(t, d, Options{})
	require.NotNil(t, m.fitted.sample())
	require.Less(t, m.Iterations, 5)
	pt := startPoint(m.fitted)
	l := newLikelihood(m.fitted, false)
	iterations, ok := l.maximise(&pt, holdNothing(), Options{})
	require.True(t, ok)
	require.Greater(t, iterations, m.Iterations)
	statstest.NearAll(t, pt.b, m.best.b, 1e-11, "slopes")

	// Outcomes sorted, so that the sample is lop-sided or has one outcome.
	order := make([]int, d.Rows())
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return int(d.Y[a] - d.Y[b]) })
	sorted := Data{Y: make([]float64, len(order)), X: make([][]float64, 3)}
	for j := range sorted.X {
		sorted.X[j] = make([]float64, len(order))
	}
	for k, i := range order {
		sorted.Y[k] = d.Y[i]
		for j := range sorted.X {
			sorted.X[j][k] = d.X[j][i]
		}
	}
	sameFit(t, m, requireFit(t, sorted, Options{}), 1e-8, "order of the rows")

	// Separation in a single row of many is found behind the sample.
	split := sorted
	split.X = append(slices.Clone(split.X), make([]float64, len(order)))
	split.X[3][0] = 1
	one, err := Fit(split, Options{})
	require.NoError(t, err)
	require.Equal(t, stats.Separated, one.Status)
	require.Equal(t, []SeparatedColumn{{3, "x4", -1}}, one.Separation.Columns)
}

// Products of columns and an orthogonal decomposition give the same triangle; where the
// columns are nearly collinear the second one decides.
func TestTriangle(t *testing.T) {
	rng := rand.New(rand.NewPCG(185, 186))
	d := randomData(rng, 5000, 4, 3)
	tb := newTable(d)
	columns := []int{0, 1, 3}
	a, b := tb.triangle(columns), tb.orthogonalTriangle(columns)
	for i := range columns {
		for j := i; j < len(columns); j++ {
			statstest.Near(t, math.Abs(b.At(i, j)), math.Abs(a.At(i, j)), 1e-10, "triangle")
		}
	}
	near := d
	near.X = slices.Clone(d.X)
	near.X[3] = slices.Clone(d.X[1])
	for i := range near.X[3] {
		near.X[3][i] += 1e-7 * rng.NormFloat64()
	}
	tb = newTable(near)
	require.Equal(t, mat.Formatted(tb.orthogonalTriangle(columns)), mat.Formatted(tb.triangle(columns)))
	id, err := Identify(near)
	require.NoError(t, err)
	require.True(t, id.OK())
	require.Equal(t, []int{1, 3}, id.Pair)
}

// Ends of profiles by strides and by a search.
func TestStridesEqualSearch(t *testing.T) {
	rng := rand.New(rand.NewPCG(187, 188))
	for trial := range 20 {
		d := randomData(rng, 40+20*trial, 1+trial%4, 1+trial%5)
		for _, o := range []Options{{}, {Penalty: LogF}, {Penalty: Firth}} {
			m, err := Fit(d, o)
			require.NoError(t, err)
			if !m.Status.Usable() {
				continue
			}
			for j := range m.Coef {
				level := 0.5 + 0.49*rng.Float64()
				e := m.Profile(j, level)
				scale := m.fitted.scale[j]
				c := m.newCurve(m.Coef[j], m.Cov[j][j], m.Cov[j], func(pt *point, v float64) hold {
					pt.b[j] = v * scale
					return holdSlopes(j)
				}, func(pt point) float64 { return pt.b[j] / scale })
				q := quantileOf(level)
				for _, end := range []float64{e.Lo, e.Hi} {
					if !math.IsInf(end, 0) {
						statstest.Near(t, q, c.drop(end), 1e-8, fmt.Sprintf("trial %d, drop at the end", trial))
					}
				}
			}
		}
	}
}

// The root of a diagonal matrix less one of low rank, by nodes and by all eigenvalues,
// with and without directions of eigenvalue 0.
func TestInverseRootByNodes(t *testing.T) {
	rng := rand.New(rand.NewPCG(189, 190))
	for _, full := range []int{0, 1, 3} {
		const n, q = 60, 4
		b := lowered{make([]float64, n), mat.NewDense(n, q, nil)}
		var qr mat.QR
		random := mat.NewDense(n, q, nil)
		for i := range n {
			b.v[i] = 0.01 + 0.24*rng.Float64()
			for j := range q {
				random.Set(i, j, rng.NormFloat64())
			}
		}
		qr.Factorize(random)
		var basis mat.Dense
		qr.QTo(&basis)
		for j := range q {
			length := 0.3 + 0.6*rng.Float64()
			if j < full {
				length = 1
			}
			for i := range n {
				b.f.Set(i, j, length*basis.At(i, j))
			}
		}
		d := mat.NewDense(n, 3, nil)
		for i := range n {
			d.SetRow(i, []float64{rng.NormFloat64(), rng.NormFloat64(), 1})
		}
		got, ok := b.inverseRootByNodes(d)
		require.True(t, ok)
		whole := mat.NewSymDense(n, nil)
		for i := range n {
			for k := range i + 1 {
				h := -mat.Dot(b.f.RowView(i), b.f.RowView(k))
				if i == k {
					h++
				}
				whole.SetSym(i, k, b.v[i]*h*b.v[k])
			}
		}
		var want mat.Dense
		want.Mul(spectrum(whole, func(x float64) float64 { return inverseRoot(x, nothing) }), d)
		for i := range n {
			statstest.NearAll(t, want.RawRowView(i), got.RawRowView(i), 1e-9, fmt.Sprintf("%d directions of eigenvalue 0", full))
		}
	}
	// Abramowitz & Stegun (1964), table 16.1 and 17.1 at modulus^2 = 0.5: K = 1.85407 46773.
	statstest.Near(t, 1.8540746773, quarterPeriod(math.Sqrt(0.5)), 1e-10, "quarter period")
	sn, cn, dn := jacobi(quarterPeriod(0.6)/2, 0.6) // at K/2: sn^2 = 1/(1+k'), dn^2 = k'
	statstest.NearAll(t, []float64{1 / 1.6, 0.6 / 1.6, 0.6}, []float64{sn * sn, cn * cn, dn * dn}, 1e-13, "elliptic functions")
}

// A stratum by ratios of weights, by logarithms, and, with two patterns, by the
// hypergeometric distribution: one log-likelihood, score, information and third moment.
func TestStrataThreeWays(t *testing.T) {
	rng := rand.New(rand.NewPCG(191, 192))
	d := Data{X: make([][]float64, 2)}
	for g := range 6 {
		for i := range 9 {
			x := float64(rng.IntN(2))
			d.X[0], d.X[1] = append(d.X[0], x), append(d.X[1], 2*x+float64(g))
			d.Y, d.Group = append(d.Y, float64(rng.IntN(2))), append(d.Group, g)
			if i == 0 {
				d.Y[len(d.Y)-1] = 1
			}
		}
	}
	d.X[1][1]++ // lets the columns be told apart
	tb, _, _ := newTable(d).onlyInformative()
	l := newConditionalLikelihood(tb, ConditionalOptions{Penalty: Firth})
	room := newStrataRoom(l)
	b := []float64{0.7, -0.3}
	for g := range tb.groups() {
		successes, n := tb.counts(g)
		for _, sign := range []float64{1, -1} {
			size := int(successes)
			if sign < 0 {
				size = int(n - successes)
			}
			if size >= len(room.states) {
				continue
			}
			room.stratum(g, b, l.newSum()) // fills in eta
			sums := func(work func(strataSum) float64) []float64 {
				s := l.newSum()
				return append(append(append([]float64{work(s)}, s.plain...), s.info...), s.third...)
			}
			byRatio := sums(func(s strataSum) float64 {
				m := room.recursion(tb.start[g], size, int(n), sign, 0.2)
				s.take(m, 1)
				return m.log
			})
			byLog := sums(func(s strataSum) float64 {
				m := room.logRecursion(tb.start[g], size, sign)
				s.take(m, 1)
				return m.log
			})
			statstest.NearAll(t, byLog, byRatio, 1e-10, "ratios")
			if tb.start[g+1]-tb.start[g] == 2 {
				statstest.NearAll(t, byLog, sums(func(s strataSum) float64 { return room.twoPatterns(tb.start[g], size, sign, s) }), 1e-10, "two patterns")
			}
		}
	}
}

// Rows so far apart that their weights leave the range of numbers.
func TestStrataFarApart(t *testing.T) {
	d := Data{Y: []float64{1, 0, 0, 1, 0, 1}, X: [][]float64{{0, 1, 2, 0, 1, 3}}, Group: []int{1, 1, 1, 2, 2, 2}}
	l := newConditionalLikelihood(newTable(d), ConditionalOptions{})
	scale := l.t.scale[0]
	room := newStrataRoom(l)
	b := []float64{2000 * scale}
	got := room.stratum(0, b, l.newSum()) + room.stratum(1, b, l.newSum())
	// As the slope grows the sums are those of their largest term: stratum 1 has its
	// success 2 steps below the top, stratum 2 has 1 and 3 at the top, 0 and 3 seen.
	statstest.Near(t, -2000*2-2000*1, got, 1e-12, "by the largest terms")
}

// Conditional and robust results have the same bits on any number of processors.
func TestProcessorsDoNotMatterElsewhere(t *testing.T) {
	rng := rand.New(rand.NewPCG(193, 194))
	d := randomData(rng, 3000, 2, 60)
	cluster := make([]int, d.Rows())
	for i := range cluster {
		cluster[i] = i % 9
	}
	run := func(procs int) string {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(procs))
		out := ""
		for _, o := range []ConditionalOptions{{}, {Penalty: Firth}, {Ties: Efron}} {
			c, err := FitConditional(d, o)
			require.NoError(t, err)
			require.Equal(t, stats.OK, c.Status)
			require.GreaterOrEqual(t, len(newConditionalLikelihood(c.table, o).chunks), 4)
			e := c.Profile(0, 0.9)
			out += fmt.Sprintf("%b %b %b %b\n", c.Coef, c.Cov, c.LogLik, []float64{e.Lo, e.Hi})
		}
		pooled := d
		pooled.Group = nil
		m := requireFit(t, pooled, Options{})
		for _, kind := range []RobustKind{CR1S, CR2, CR2Response, CR3} {
			r, err := m.Robust(cluster, kind)
			require.NoError(t, err)
			out += fmt.Sprintf("%b %b\n", r.Cov, r.DF)
		}
		id, err := Identify(d)
		require.NoError(t, err)
		return out + fmt.Sprintf("%b\n", id.ConditionIndex)
	}
	require.Equal(t, run(1), run(8))
}

// quantileOf is the chi-square quantile with one degree of freedom.
func quantileOf(level float64) float64 { return tail.ChiSquareQuantile(level, 1) }
