package logit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// R 4.2.2, lme4 1.1-31 polished to the maximum: see
// stats/testdata/reference/SOURCES.md.
func TestRandomReference(t *testing.T) {
	checked := 0
	for _, id := range statstest.IDs(t, "glmm_*") {
		if strings.Contains(id, "boundary") {
			continue
		}
		checked++
		c := statstest.Load(t, id)
		d, group := clusterData(t, c, c.Texts("columns"))
		d.Group = group
		nodes, err := c.Options.Get("nAGQ").Float()
		require.NoError(t, err)
		r, err := FitRandom(d, RandomOptions{Nodes: int(nodes)})
		require.NoError(t, err)
		require.Equal(t, stats.OK, r.Status, "%s: %v", id, r.Warnings)
		require.Len(t, r.Groups, int(c.Float("n_groups")))
		c.NearAll(append([]float64{r.Intercept}, r.Coef...), "coef")
		c.NearAll(append([]float64{r.InterceptSE}, r.SE...), "se")
		c.Near(r.Sigma, "sigma")
		c.Near(r.SigmaSE, "se_sigma")
		c.Near(r.Kernel, "loglik_no_binomial_constant")
		c.Near(r.LogLik, "loglik_with_binomial_constant")
		c.Near(r.KernelFixed, "loglik_without_random_intercept")
		c.Near(r.ICC, "icc_latent")
		c.Near(r.Test.Statistic, "lr_sigma_zero", "chisq")
		c.Near(r.Test.P, "lr_sigma_zero", "p_half_chisq1")
		level := c.Float("level")
		for j, name := range r.Names {
			e := r.Wald(j, level)
			c.Near(e.Lo, "wald_ci", name, "lower")
			c.Near(e.Hi, "wald_ci", name, "upper")
		}
		labels := statstest.LoadTable(t, c.Dataset()[0]).Texts(clusterCases[c.Dataset()[0]].cluster)
		for _, label := range c.Keys("conditional_modes_first") {
			g := group[slices.Index(labels, label)]
			c.Near(r.Mode[slices.Index(r.Groups, g)], "conditional_modes_first", label)
		}
	}
	require.GreaterOrEqual(t, checked, 7)
}

// R 4.2.2: sigma is estimated at 0, and the fit is that of glm.
func TestRandomBoundaryReference(t *testing.T) {
	c := statstest.Load(t, "glmm_lizards_boundary_sigma_zero")
	d := referenceData(t, c, c.Keys("coef"))
	d.Group = stretches(d.Rows(), d.Rows())
	r, err := FitRandom(d, RandomOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, r.Status)
	require.Zero(t, r.Sigma)
	require.Equal(t, 1.0, r.Test.P)
	c.NearAll(append([]float64{r.Intercept}, r.Coef...), "coef")
	c.NearAll(append([]float64{r.InterceptSE}, r.SE...), "se_plain_ml")
	c.Near(r.Kernel, "loglik_no_binomial_constant")
	c.Near(r.SigmaScore, "score_for_sigma2_at_0")
}

// Derivatives against central differences, and many nodes against a plain sum over
// a fine grid.
func TestRandomLikelihood(t *testing.T) {
	rng := rand.New(rand.NewPCG(171, 172))
	d := randomData(rng, 120, 2, 6)
	pooled := d
	pooled.Group = nil
	base := requireFit(t, pooled, Options{})
	for _, nodes := range []int{1, 2, 7, 25} {
		l := newRandomLikelihood(d, base, nodes)
		theta := []float64{0.3, -0.5, 0.4, 0.9}
		grad := make([]float64, 4)
		value := l.value(theta, grad)
		want := fd.Gradient(nil, func(v []float64) float64 { return l.value(v, nil) }, theta, &fd.Settings{Formula: fd.Central})
		statstest.NearAll(t, want, grad, 1e-6, fmt.Sprintf("%d nodes", nodes))
		theta[3] = -0.9
		statstest.Near(t, value, l.value(theta, nil), 1e-12, "the sign of sigma does not matter")
		if nodes < 25 {
			continue
		}
		theta[3] = 0.9
		sum := 0.0
		s := newRandomSums(2)
		for g := range l.t.groups() {
			l.fixed(g, theta)
			total := 0.0
			for u := -12.0; u <= 12; u += 1e-3 {
				l.at(g, 0.9*u, &s, onlyTotals, l.newRoom())
				total += 1e-3 * math.Exp(s.loglik-u*u/2) / math.Sqrt(2*math.Pi)
			}
			sum += math.Log(total)
		}
		statstest.Near(t, sum, value, 1e-9, "integral")
	}
}

// Order, names and units; weights as counts.
func TestRandomLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(173, 174))
	d := randomRecords(rng)
	n := d.Rows()
	base, err := FitRandom(d, RandomOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.OK, base.Status)
	changed := Data{X: make([][]float64, 2)}
	for _, i := range rng.Perm(n) {
		changed.Y, changed.Group = append(changed.Y, d.Y[i]), append(changed.Group, -d.Group[i])
		changed.X[0] = append(changed.X[0], 900-30*d.X[0][i])
		changed.X[1] = append(changed.X[1], d.X[1][i])
	}
	r, err := FitRandom(changed, RandomOptions{})
	require.NoError(t, err)
	statstest.Near(t, -base.Coef[0]/30, r.Coef[0], 1e-7, "unit")
	statstest.Near(t, base.SE[0]/30, r.SE[0], 1e-6, "unit")
	statstest.Near(t, base.Sigma, r.Sigma, 1e-7, "sigma")
	statstest.Near(t, base.Mode[0], r.Mode[len(r.Mode)-1], 1e-6, "modes follow the names")
	weighted := d
	weighted.Weights = filled(n, 2)
	w, err := FitRandom(weighted, RandomOptions{})
	require.NoError(t, err)
	twice := Data{X: make([][]float64, 2)}
	for i := range 2 * n {
		twice.Y, twice.Group = append(twice.Y, d.Y[i/2]), append(twice.Group, d.Group[i/2])
		for j := range twice.X {
			twice.X[j] = append(twice.X[j], d.X[j][i/2])
		}
	}
	r, err = FitRandom(twice, RandomOptions{})
	require.NoError(t, err)
	statstest.NearAll(t, r.Coef, w.Coef, 1e-8, "weights as counts")
}

func TestRandomRefusals(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(175, 176)), 60, 1, 3)
	_, err := FitRandom(d, RandomOptions{Nodes: 101})
	require.EqualError(t, err, "101 nodes are outside 1 to 100")
	one := d
	one.Group = nil
	r, err := FitRandom(one, RandomOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, r.Status)
	require.True(t, math.IsNaN(r.Coef[0]) && math.IsNaN(r.Wald(0, 0.95).Lo) && math.IsNaN(r.Test.P))
	copy(d.Y, d.X[0])
	r, err = FitRandom(d, RandomOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.Separated, r.Status)
	for i := range d.Y {
		d.Y[i] = 0
	}
	r, err = FitRandom(d, RandomOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, r.Status)
}

func BenchmarkRandom(b *testing.B) {
	d := randomData(rand.New(rand.NewPCG(5, 6)), 1e4, 3, 12)
	for _, nodes := range []int{1, 15} {
		b.Run(fmt.Sprintf("rows=10000/nodes=%d", nodes), func(b *testing.B) {
			for b.Loop() {
				if r, err := FitRandom(d, RandomOptions{Nodes: nodes}); err != nil || r.Status != stats.OK {
					b.Fatal(err, r.Status)
				}
			}
		})
	}
}

// randomRecords makes rows of 12 groups that differ.
func randomRecords(rng *rand.Rand) Data {
	d := Data{X: make([][]float64, 2)}
	for g := range 12 {
		skill := 1.3 * rng.NormFloat64()
		for range 200 / 12 {
			x, z := float64(rng.IntN(2)), rng.NormFloat64()
			y := 0.0
			if rng.Float64() < 1/(1+math.Exp(-skill-0.8*x+0.5*z)) {
				y = 1
			}
			d.Y, d.Group = append(d.Y, y), append(d.Group, 5*g)
			d.X[0], d.X[1] = append(d.X[0], x), append(d.X[1], z)
		}
	}
	return d
}
