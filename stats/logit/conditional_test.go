package logit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// conditionalData builds the rows of a case: strata by the named columns.
func conditionalData(t *testing.T, table *statstest.Table, outcome string, strata []string, columns []string) Data {
	t.Helper()
	d := Data{Y: table.Floats(outcome)}
	labels := make([]string, table.Len())
	for _, s := range strata {
		for i, v := range table.Texts(s) {
			labels[i] += v + "|"
		}
	}
	d.Group = numbered(labels)
	for _, name := range columns {
		d.Names = append(d.Names, name)
		d.X = append(d.X, table.Floats(name))
	}
	return d
}

var conditionalCases = map[string]struct {
	outcome string
	strata  []string
}{
	"bacteria": {"present", []string{"ID"}},
	"birthwt":  {"low", []string{"race", "smoke"}},
	"infert":   {"case", []string{"stratum"}},
	// airquality_daily comes with the sets made from it
	"airquality_casecrossover_sets": {"case", []string{"set"}},
}

// R 4.2.2, survival 3.5-3 (clogit): see stats/testdata/reference/SOURCES.md.
func TestConditionalReference(t *testing.T) {
	ids := append(statstest.IDs(t, "clogit_*"), statstest.IDs(t, "casecrossover_*")...)
	checked := 0
	for _, id := range ids {
		c := statstest.Load(t, id)
		if !c.Has("loglik") {
			continue
		}
		checked++
		names := c.Dataset()
		table := statstest.LoadTable(t, names[len(names)-1])
		spec, ok := conditionalCases[table.Name]
		require.True(t, ok, table.Name)
		d := conditionalData(t, table, spec.outcome, spec.strata, c.Keys("coef"))
		o := ConditionalOptions{}
		if ties, err := c.Options.Get("ties").Text(); err == nil {
			o.Ties = map[string]Ties{"exact": Exact, "efron": Efron, "breslow": Breslow}[ties]
			require.Equal(t, ties, o.Ties.String())
		}
		m, err := FitConditional(d, o)
		require.NoError(t, err)
		require.Equal(t, stats.OK, m.Status, id)
		require.Equal(t, int(c.Float("n_rows_used")), m.Trials)
		require.Equal(t, int(c.Float("n_cases")), m.Successes)
		c.NearAll(m.Coef, "coef")
		c.NearAll(m.SE, "se")
		c.NearMatrix(m.Cov, "vcov")
		c.Near(m.LogLik, "loglik")
		c.Near(m.LogLikNull, "loglik_null")
		all := make([]int, len(m.Coef))
		for j := range all {
			all[j] = j
			e := m.Wald(j, c.Float("level"))
			c.Near(e.Lo, "wald_ci", m.Names[j], "lower")
			c.Near(e.Hi, "wald_ci", m.Names[j], "upper")
			c.Near(m.WaldTest(j).P, "p_wald", m.Names[j])
		}
		for name, test := range map[string]Test{"lr_test": m.LRTest(all...), "wald_test": m.WaldTest(all...), "score_test": m.ScoreTest()} {
			c.Near(test.Statistic, name, "chisq")
			c.Near(test.P, name, "p")
			require.Equal(t, len(all), test.DF)
		}
	}
	require.GreaterOrEqual(t, checked, 10)
}

// R 4.2.2 with lpSolve: which strata of the air quality series are separated.
func TestConditionalSeparationReference(t *testing.T) {
	c := statstest.Load(t, "clogit_separation_detection")
	daily := statstest.LoadTable(t, "airquality_daily")
	columns := []string{"wind", "wind_lag1", "temp"}
	all := conditionalData(t, daily, "ozone", []string{"month", "dow"}, columns)
	var event Data
	event.X = make([][]float64, 3)
	for i, ozone := range all.Y {
		if math.IsNaN(ozone) || math.IsNaN(all.X[1][i]) {
			continue
		}
		y := 0.0
		if ozone > 70 {
			y = 1
		}
		event.Y, event.Group = append(event.Y, y), append(event.Group, all.Group[i])
		for j := range event.X {
			event.X[j] = append(event.X[j], all.X[j][i])
		}
	}
	sets := conditionalData(t, statstest.LoadTable(t, "airquality_casecrossover_sets"), "case", []string{"set"}, columns)
	infert := conditionalData(t, statstest.LoadTable(t, "infert"), "case", []string{"stratum"}, []string{"spontaneous", "induced"})
	for name, d := range map[string]Data{"airquality_stratum_level_n_to_m": event, "airquality_one_to_m_sets": sets, "infert": infert} {
		m, err := FitConditional(d, ConditionalOptions{})
		require.NoError(t, err)
		require.Equal(t, c.Bool(name, "separated"), m.Status == stats.Separated, name)
		require.Equal(t, c.Text(name, "kind"), m.Separation.Kind.String())
		for k, column := range c.Keys(name, "direction") {
			want := map[string]int{"Inf": 1, "-Inf": -1, "finite": 0}[c.Text(name, "direction", column)]
			got := 0
			for _, s := range m.Separation.Columns {
				if s.Column == k {
					got = s.Direction
				}
			}
			require.Equal(t, want, got, "%s %s", name, column)
		}
	}
	// The penalty gives finite numbers all the same.
	m, err := FitConditional(event, ConditionalOptions{Penalty: Firth})
	require.NoError(t, err)
	require.Equal(t, stats.OK, m.Status)
	require.Equal(t, stats.Separated, m.Wald(0, 0.95).Status)
	e := m.Profile(2, 0.95)
	require.Equal(t, stats.OK, e.Status)
	require.False(t, math.IsNaN(e.Lo) || math.IsNaN(e.Hi))
}

// bruteConditional is the exact log-likelihood by going through all sets.
func bruteConditional(d Data, b []float64) float64 {
	total := 0.0
	strata := slices.Clone(d.Group)
	slices.Sort(strata)
	for _, g := range slices.Compact(strata) {
		var eta []float64
		successes, own := 0, 0.0
		for i := range d.Y {
			if d.Group[i] != g {
				continue
			}
			v := 0.0
			for j := range b {
				v += b[j] * d.X[j][i]
			}
			eta = append(eta, v)
			if d.Y[i] == 1 {
				successes++
				own += v
			}
		}
		sum := 0.0
		for set := range 1 << len(eta) {
			size, v := 0, 0.0
			for i, e := range eta {
				if set>>i&1 == 1 {
					size++
					v += e
				}
			}
			if size == successes {
				sum += math.Exp(v)
			}
		}
		total += own - math.Log(sum)
	}
	return total
}

// The recursion against all sets, and the derivatives against central differences,
// in strata with more and with fewer successes than failures.
func TestConditionalDerivatives(t *testing.T) {
	rng := rand.New(rand.NewPCG(111, 112))
	for trial := range 6 {
		d := randomData(rng, 40, 3, 5)
		b := []float64{0.4 * rng.NormFloat64(), 0.4 * rng.NormFloat64(), 0.4 * rng.NormFloat64()}
		full := newTable(d)
		tb, _, _ := full.onlyInformative()
		inner := make([]float64, 3)
		for j := range inner {
			inner[j] = b[j] * tb.scale[j]
		}
		l := newConditionalLikelihood(tb, ConditionalOptions{})
		require.True(t, l.at(inner))
		statstest.Near(t, bruteConditional(d, b), l.loglik, 1e-11, "log-likelihood")

		for _, ties := range []Ties{Exact, Efron, Breslow} {
			for _, penalty := range []Penalty{None, Firth} {
				what := fmt.Sprintf("trial %d, %v, %v", trial, ties, penalty)
				l := newConditionalLikelihood(tb, ConditionalOptions{Ties: ties, Penalty: penalty})
				value := func(v []float64) float64 {
					require.True(t, l.at(v))
					return l.value
				}
				gradient := fd.Gradient(nil, value, inner, &fd.Settings{Formula: fd.Central})
				var hessian mat.SymDense
				fd.Hessian(&hessian, func(v []float64) float64 {
					require.True(t, l.at(v))
					return l.loglik
				}, inner, &fd.Settings{Formula: fd.Central})
				require.True(t, l.at(inner))
				statstest.NearAll(t, gradient, l.score, 1e-6, what+" score")
				for j := range 3 {
					for k := range 3 {
						statstest.Near(t, -hessian.At(j, k), l.info[j*3+k], 1e-4, what+" information")
					}
				}
			}
		}
	}
}

// Pairs: the conditional likelihood of one success and one failure is that of a
// logistic regression without intercept on the differences, every outcome 1.
func TestConditionalPairs(t *testing.T) {
	rng := rand.New(rand.NewPCG(113, 114))
	var d Data
	d.X = make([][]float64, 2)
	differences := make([][]float64, 2)
	for g := range 60 {
		for side := range 2 {
			d.Y, d.Group = append(d.Y, float64(side)), append(d.Group, g)
			for j := range d.X {
				d.X[j] = append(d.X[j], rng.NormFloat64()+0.4*float64(side))
			}
		}
		for j := range d.X {
			differences[j] = append(differences[j], d.X[j][2*g+1]-d.X[j][2*g])
		}
	}
	c, err := FitConditional(d, ConditionalOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.OK, c.Status)
	loglik := func(b []float64) float64 {
		sum := 0.0
		for i := range differences[0] {
			sum -= math.Log1p(math.Exp(-b[0]*differences[0][i] - b[1]*differences[1][i]))
		}
		return sum
	}
	statstest.Near(t, loglik(c.Coef), c.LogLik, 1e-12, "log-likelihood")
	gradient := fd.Gradient(nil, loglik, c.Coef, &fd.Settings{Formula: fd.Central})
	require.InDelta(t, 0, gradient[0], 1e-6)
	require.InDelta(t, 0, gradient[1], 1e-6)
	for _, ties := range []Ties{Efron, Breslow} {
		other, err := FitConditional(d, ConditionalOptions{Ties: ties})
		require.NoError(t, err)
		statstest.NearAll(t, c.Coef, other.Coef, 1e-8, "one success a stratum: all three agree")
	}
}

// Order and units of rows, weights as counts, rows of several trials, outcomes
// turned round; ends of the profile where the likelihood ratio says.
func TestConditionalLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(115, 116))
	d := randomData(rng, 150, 2, 12)
	for _, o := range []ConditionalOptions{{}, {Penalty: Firth}, {Ties: Efron}} {
		base, err := FitConditional(d, o)
		require.NoError(t, err)
		require.Equal(t, stats.OK, base.Status)

		changed := Data{X: make([][]float64, 2)}
		for _, i := range rng.Perm(150) {
			changed.Y, changed.Group = append(changed.Y, d.Y[i]), append(changed.Group, 500-d.Group[i])
			changed.X[0] = append(changed.X[0], 7-40*d.X[0][i])
			changed.X[1] = append(changed.X[1], d.X[1][i])
		}
		r, err := FitConditional(changed, o)
		require.NoError(t, err)
		statstest.Near(t, -base.Coef[0]/40, r.Coef[0], 1e-8, "unit")
		statstest.Near(t, base.SE[1], r.SE[1], 1e-8, "order")
		a, b := base.Profile(0, 0.9), r.Profile(0, 0.9)
		statstest.Near(t, a.Hi, -40*b.Lo, 1e-7, "limits swap")

		if o.Ties == Exact {
			turned := d
			turned.Y = make([]float64, 150)
			for i, y := range d.Y {
				turned.Y[i] = 1 - y
			}
			r, err = FitConditional(turned, o)
			require.NoError(t, err)
			statstest.Near(t, -base.Coef[0], r.Coef[0], 1e-8, "outcomes turned round")
		}
		// The end of the profile lies where the test at that value has P = 1 - level.
		at := d
		at.Offset = make([]float64, 150)
		for i := range at.Offset {
			at.Offset[i] = a.Hi * d.X[0][i]
		}
		r, err = FitConditional(at, o)
		require.NoError(t, err)
		statstest.Near(t, 0.1, r.LRTest(0).P, 1e-6, "test at the end of the interval")
	}
	rows := Data{Y: []float64{2, 1, 1, 0, 1}, N: []float64{3, 2, 4, 2, 1}, X: [][]float64{{1, 0, 1, 0, 2}}, Group: []int{1, 1, 2, 2, 2}}
	var single Data
	single.X = make([][]float64, 1)
	for i := range rows.Y {
		for k := range int(rows.N[i]) {
			y := 0.0
			if float64(k) < rows.Y[i] {
				y = 1
			}
			single.Y, single.Group, single.X[0] = append(single.Y, y), append(single.Group, rows.Group[i]), append(single.X[0], rows.X[0][i])
		}
	}
	a, err := FitConditional(rows, ConditionalOptions{})
	require.NoError(t, err)
	b, err := FitConditional(single, ConditionalOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.OK, a.Status)
	statstest.NearAll(t, b.Coef, a.Coef, 1e-10, "rows of several trials")
}

// A stratum of 4,000 rows with 500 successes stays within range (a product of
// weights would not), and agrees with the group intercept as strata grow.
func TestConditionalLargeStratum(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(117, 118)), 4000, 2, 1)
	c, err := FitConditional(d, ConditionalOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.OK, c.Status)
	m := requireFit(t, d, Options{})
	require.InDelta(t, m.Coef[0], c.Coef[0], 0.01*m.SE[0])
	require.InDelta(t, m.SE[0], c.SE[0], 0.01*m.SE[0])
}

func TestConditionalRefusals(t *testing.T) {
	d := Data{Y: []float64{1, 0, 0, 0, 1, 1}, X: [][]float64{{1, 2, 1, 4, 0, 1}}, Group: []int{1, 1, 2, 2, 3, 3}}
	c, err := FitConditional(d, ConditionalOptions{Penalty: Firth})
	require.NoError(t, err)
	require.Equal(t, []int{3, 1, 2, 1}, []int{c.Strata, c.Compared, c.OneOutcome, c.SomeCase})
	require.Equal(t, "uninformative-strata", c.Warnings[0].Code)
	none := d
	none.Y = make([]float64, 6)
	c, err = FitConditional(none, ConditionalOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, c.Status)
	require.True(t, math.IsNaN(c.Coef[0]) && math.IsNaN(c.Profile(0, 0.95).Lo) && math.IsNaN(c.LRTest(0).P) && math.IsNaN(c.ScoreTest().P))
	half := d
	half.Weights = []float64{1, 1, 0.5, 1, 1, 1}
	_, err = FitConditional(half, ConditionalOptions{})
	require.EqualError(t, err, "row 3: 0.5 is not a whole number below a million, which a conditional likelihood needs")
	level := d
	level.X = [][]float64{{1, 1, 2, 2, 3, 3}}
	c, err = FitConditional(level, ConditionalOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.NotIdentifiable, c.Status)
	c, err = FitConditional(randomData(rand.New(rand.NewPCG(1, 1)), 60, 2, 4), ConditionalOptions{MaxIter: 1})
	require.NoError(t, err)
	require.Equal(t, stats.NotConverged, c.Status)
	require.True(t, math.IsNaN(c.LogLik))
}

func BenchmarkConditional(b *testing.B) {
	for _, s := range []struct{ rows, strata int }{{248, 83}, {4000, 100}, {4000, 1}} {
		b.Run(fmt.Sprintf("rows=%d/strata=%d", s.rows, s.strata), func(b *testing.B) {
			d := randomData(rand.New(rand.NewPCG(5, 6)), s.rows, 3, s.strata)
			for b.Loop() {
				c, err := FitConditional(d, ConditionalOptions{})
				if err != nil || c.Status != stats.OK {
					b.Fatal(err, c.Status)
				}
			}
		})
	}
}
