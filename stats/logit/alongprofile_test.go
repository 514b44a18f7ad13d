package logit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// t5 is the t quantile with 5 degrees of freedom: R's qt(.975, 5).
const t5 = 2.5705818366147395

// The interval by its definition: the signed root at each slope that leaving out a cluster
// gives, from fits with that slope held, and its size at both ends.
func TestJackknifeAlongTheProfile(t *testing.T) {
	rng := rand.New(rand.NewPCG(161, 162))
	d := randomData(rng, 240, 3, 6)
	for _, o := range bothPenalties {
		m := requireFit(t, d, o)
		top := m.Constrained(0, m.Coef[0]).Value
		root := func(v float64) float64 {
			return math.Copysign(math.Sqrt(2*(top-m.Constrained(0, v).Value)), v-m.Coef[0])
		}
		e, err := m.JackknifeProfile(d.Group, 0, 0.95)
		require.NoError(t, err)
		require.Equal(t, stats.OK, e.Status)
		squares := 0.0
		for _, b := range e.LeaveOneOut.Coef {
			squares += math.Pow(root(b), 2)
		}
		se := math.Sqrt(5. / 6 * squares)
		statstest.Near(t, se, e.SE, 2e-4, "standard error of the root, straight near the top")
		statstest.Near(t, t5*e.SE, root(e.Hi), 1e-7, "upper end")
		statstest.Near(t, -t5*e.SE, root(e.Lo), 1e-7, "lower end")
		statstest.Near(t, root(0), e.Root, 1e-8, "root at 0")
		require.Equal(t, e.P < 0.05, e.Lo > 0 || e.Hi < 0, "p and interval are of one procedure")
	}
	_, err := requireFit(t, d, Options{}).JackknifeProfile(d.Group[1:], 0, 0.95)
	require.Error(t, err)
}

// The same for the conditional likelihood, by enumeration: with one column the profile is
// the likelihood itself. Clusters go through the strata.
func TestConditionalJackknifeAlongTheProfile(t *testing.T) {
	rng := rand.New(rand.NewPCG(163, 164))
	d := randomData(rng, 60, 1, 8)
	weather := make([]int, d.Rows())
	for i := range weather {
		weather[i] = 5 - i%6
	}
	m, err := FitConditional(d, ConditionalOptions{})
	require.NoError(t, err)
	e, err := m.JackknifeProfile(weather, 0, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.OK, e.Status, "%v", e.Warnings)
	require.Equal(t, []int{0, 1, 2, 3, 4, 5}, e.LeaveOneOut.Clusters)
	top := bruteConditional(d, m.Coef)
	root := func(v float64) float64 {
		return math.Copysign(math.Sqrt(2*(top-bruteConditional(d, []float64{v}))), v-m.Coef[0])
	}
	squares := 0.0
	for k, c := range e.LeaveOneOut.Clusters {
		scratch, err := FitConditional(rowsWithout(d, weather, c), ConditionalOptions{})
		require.NoError(t, err)
		statstest.Near(t, scratch.Coef[0], e.LeaveOneOut.Coef[k], 1e-9, "refit")
		squares += math.Pow(root(scratch.Coef[0]), 2)
	}
	statstest.Near(t, math.Sqrt(5./6*squares), e.SE, 2e-4, "standard error of the root")
	statstest.Near(t, t5*e.SE, root(e.Hi), 1e-7, "upper end")
	statstest.Near(t, -t5*e.SE, root(e.Lo), 1e-7, "lower end")
	statstest.Near(t, root(0), e.Root, 1e-9, "root at 0")
}

// What stands in the way of an interval is said, and a column that no longer varies is
// left out as it would be by hand.
func TestConditionalJackknifeRefusals(t *testing.T) {
	rng := rand.New(rand.NewPCG(165, 166))
	d := randomData(rng, 90, 1, 6)
	own := make([]float64, d.Rows())
	for i := range own {
		if d.Group[i] == 4 {
			own[i] = rng.NormFloat64()
		}
	}
	d.X = append(d.X, own)
	m, err := FitConditional(d, ConditionalOptions{Penalty: Firth})
	require.NoError(t, err)
	require.Equal(t, stats.OK, m.Status)
	e, err := m.JackknifeProfile(d.Group, 0, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.OK, e.Status)
	scratch, err := FitConditional(rowsWithout(d, d.Group, 4).Drop(1), ConditionalOptions{Penalty: Firth})
	require.NoError(t, err)
	for k, c := range e.LeaveOneOut.Clusters {
		if c == 4 {
			statstest.Near(t, scratch.Coef[0], e.LeaveOneOut.Coef[k], 1e-8, "refit without the column")
		}
	}
	e, err = m.JackknifeProfile(d.Group, 1, 0.95)
	require.NoError(t, err)
	require.False(t, e.Status.Usable(), "the column rests on that stratum")
	require.True(t, math.IsNaN(e.Lo) && math.IsNaN(e.Hi))
	e, err = m.JackknifeProfile(make([]int, d.Rows()), 0, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, e.Status)
	_, err = m.JackknifeProfile(nil, 0, 0.95)
	require.EqualError(t, err, "there are 0 cluster numbers for 90 rows")
}

// The variance with a slope held is that of the other parameters by the delta method, and
// the influences are what each row adds to the score, from the whole design with its
// dummies.
func TestVarianceHeld(t *testing.T) {
	rng := rand.New(rand.NewPCG(167, 168))
	d := randomData(rng, 150, 3, 4)
	m := requireFit(t, d, Options{Penalty: Firth})
	r := m.Constrained(0, 0.3)
	r.Intercept = m.RecalibrateAt(r)
	p := logistic(m.predict(r.Coef, r.Intercept))
	byCoef, byIntercept := []float64{9, 0.4, -0.7}, []float64{0.2, -0.1, 0.5, 0.3}
	n, k := d.Rows(), 2+len(m.Groups)
	z, want := mat.NewDense(n, k, nil), mat.NewVecDense(k, append([]float64{0.4, -0.7}, byIntercept...))
	weighted := mat.NewDense(n, k, nil)
	for i := range n {
		z.Set(i, 0, d.X[1][i])
		z.Set(i, 1, d.X[2][i])
		for g, label := range m.Groups {
			if d.Group[i] == label {
				z.Set(i, 2+g, 1)
			}
		}
		for j := range k {
			weighted.Set(i, j, p[i]*(1-p[i])*z.At(i, j))
		}
	}
	var info mat.Dense
	info.Mul(z.T(), weighted)
	var solved mat.VecDense
	require.NoError(t, solved.SolveVec(&info, want))
	v := m.VarianceHeld(0, r.Coef, r.Intercept, byCoef, byIntercept)
	require.Equal(t, stats.OK, v.Status)
	statstest.Near(t, mat.Dot(want, &solved), v.Variance, 1e-9, "variance")
	for i := range n {
		row := mat.NewVecDense(k, z.RawRowView(i))
		require.InDelta(t, (d.Y[i]-p[i])*mat.Dot(row, &solved), v.Influence[i], 1e-10, "influence of row %d", i)
	}
}

// Many clusters: the root at their slopes comes from a polynomial, and is that of fits
// with the slope held. Where slopes lie too far apart for that, each has its own fit.
func TestRootsOfManyClusters(t *testing.T) {
	rng := rand.New(rand.NewPCG(165, 166))
	d := randomData(rng, 3000, 3, 6)
	cluster := make([]int, d.Rows())
	for i := range cluster {
		cluster[i] = i % 60
	}
	for _, o := range bothPenalties {
		m := requireFit(t, d, o)
		l, err := m.Jackknife(cluster, 0, 0.95)
		require.NoError(t, err)
		c := m.slopeCurve(0)
		root := c.roots(l.Coef, m.SE[0])
		require.Less(t, len(c.met), 20, "fewer fits than clusters")
		fits := len(c.met)
		alone := m.slopeCurve(0)
		for _, b := range l.Coef {
			statstest.Near(t, alone.root(b, m.SE[0]), root(b), 1e-8, "root at a slope")
		}
		require.Len(t, c.met, fits, "no slope took a fit of its own")
		e, err := m.JackknifeProfile(cluster, 0, 0.95)
		require.NoError(t, err)
		squares := 0.0
		for _, b := range l.Coef {
			squares += math.Pow(alone.root(b, m.SE[0]), 2)
		}
		statstest.Near(t, math.Sqrt(59./60*squares), e.SE, 1e-9, "standard error of the root")

		wide := append([]float64{m.Coef[0] + 3.1*m.SE[0]}, l.Coef...)
		c = m.slopeCurve(0)
		root = c.roots(wide, m.SE[0])
		require.Len(t, c.met, 1, "no polynomial")
		statstest.Near(t, alone.root(wide[0], m.SE[0]), root(wide[0]), 1e-8, "root far away")
	}
}

// A polynomial of degree 7 goes through all values of one.
func TestPolynomial(t *testing.T) {
	f := func(x float64) float64 { return 2 - x + 3*math.Pow(x, 4) - math.Pow(x, 7) }
	var p polynomial
	for k := range curveNodes {
		x := float64(k)/4 - 1
		p.node, p.value = append(p.node, x), append(p.value, f(x))
	}
	for _, x := range []float64{-1, -0.9, 0, 0.3, 0.74} {
		statstest.Near(t, f(x), p.at(x), 1e-12, "value")
	}
	require.Equal(t, -0.875, p.between(0))
}
