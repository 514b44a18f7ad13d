package logit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"

	"gravid/stats/internal/statstest"
)

// randomData makes n rows with p columns (every second one binary) in k groups,
// whose intercepts differ and whose outcomes follow the model.
func randomData(rng *rand.Rand, n, p, k int) Data {
	d := Data{Y: make([]float64, n), Group: make([]int, n)}
	group, slope := make([]float64, k), make([]float64, p)
	for g := range group {
		group[g] = rng.NormFloat64()
	}
	for j := range p {
		slope[j] = 0.7 * rng.NormFloat64()
		d.X = append(d.X, make([]float64, n))
	}
	for i := range n {
		g := rng.IntN(k)
		d.Group[i] = 7*g - 3
		eta := group[g]
		for j := range p {
			d.X[j][i] = rng.NormFloat64() + group[g]
			if j%2 == 0 {
				d.X[j][i] = 0
				if rng.Float64() < 0.3+0.4/float64(g+1) {
					d.X[j][i] = 1
				}
			}
			eta += slope[j] * d.X[j][i]
		}
		if rng.Float64() < 1/(1+math.Exp(-eta)) {
			d.Y[i] = 1
		}
	}
	return d
}

// flat puts a point into one vector, slopes first.
func flat(pt point) []float64 { return append(append([]float64{}, pt.b...), pt.a...) }

func unflat(v []float64, p int) point { return point{v[:p:p], v[p:]} }

// Score and information against finite differences of the log-likelihood
// (gonum diff/fd, central, step 1e-4 to 6e-6: good to about 1e-8).
func TestScoreAndInformation(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 22))
	for trial := range 8 {
		d := randomData(rng, 80, 3, 1+trial%4)
		d.Offset = make([]float64, d.Rows())
		d.Weights = make([]float64, d.Rows())
		for i := range d.Offset {
			d.Offset[i], d.Weights[i] = 0.3*rng.NormFloat64(), float64(rng.IntN(3))
		}
		tb := newTable(d)
		pt := startPoint(tb)
		for j := range pt.b {
			pt.b[j] = 0.5 * rng.NormFloat64()
		}
		for g := range pt.a {
			pt.a[g] += 0.3 * rng.NormFloat64()
		}
		for _, firth := range []bool{false, true} {
			what := fmt.Sprintf("trial %d, firth %v", trial, firth)
			l := newLikelihood(tb, firth)
			value := func(v []float64) float64 {
				require.True(t, l.at(unflat(v, tb.p)))
				return l.value
			}
			gradient := fd.Gradient(nil, value, flat(pt), &fd.Settings{Formula: fd.Central})
			var hessian mat.SymDense
			fd.Hessian(&hessian, func(v []float64) float64 {
				require.True(t, l.at(unflat(v, tb.p)))
				return l.kernel
			}, flat(pt), &fd.Settings{Formula: fd.Central})

			require.True(t, l.at(pt))
			l.finish()
			for g, u := range l.scoreA {
				statstest.Near(t, gradient[tb.p+g], u, 1e-6, what+" score of an intercept")
			}
			for j, u := range l.scoreB {
				for g, r := range l.scoreA { // back from x - step.mean to x
					u += l.step.mean[g*tb.p+j] * r
				}
				statstest.Near(t, gradient[j], u, 1e-6, what+" score of a slope")
			}
			checkSchur(t, l, &hessian, what)
		}
	}
}

// checkSchur compares S, W_g, m_g and the determinant with the full information
// taken from the Hessian.
func checkSchur(t *testing.T, l *likelihood, hessian *mat.SymDense, what string) {
	t.Helper()
	p, n := l.t.p, l.t.p+l.t.groups()
	full := mat.NewSymDense(n, nil)
	for i := range n {
		for j := range i + 1 {
			full.SetSym(i, j, -hessian.At(i, j))
		}
	}
	for i := range p {
		for j := range i + 1 {
			schur := full.At(i, j)
			for g := range l.t.groups() {
				schur -= full.At(i, p+g) * full.At(j, p+g) / full.At(p+g, p+g)
			}
			statstest.Near(t, schur, l.info[i*p+j], 1e-3, what+" S")
		}
	}
	for g, w := range l.weight {
		statstest.Near(t, full.At(p+g, p+g), w, 1e-3, what+" W")
		for j := range p {
			statstest.Near(t, full.At(j, p+g)/full.At(p+g, p+g), l.mean[g*p+j], 3e-3, what+" m")
		}
	}
	var chol mat.Cholesky
	require.True(t, chol.Factorize(full))
	statstest.Near(t, chol.LogDet(), l.logDet, 1e-3, what+" log det")
}

// p, q and the log-likelihood at the far ends, against their leading terms.
func TestBernoulliFarOut(t *testing.T) {
	p, q, ll := bernoulli(-800, 0, 1)
	require.Equal(t, 0.0, p)
	require.Equal(t, 1.0, q)
	require.Equal(t, 0.0, ll)
	_, _, ll = bernoulli(-800, 1, 1)
	require.Equal(t, -800.0, ll)
	_, _, ll = bernoulli(800, 0, 3)
	require.Equal(t, -2400.0, ll)
	p, q, ll = bernoulli(40, 2, 2)
	require.Equal(t, 1.0, p)
	statstest.NearRel(t, math.Exp(-40), q, 1e-14, "q")
	statstest.NearRel(t, -2*math.Exp(-40), ll, 1e-14, "log-likelihood of two successes")
	p, q, ll = bernoulli(0, 1, 2)
	require.Equal(t, []float64{0.5, 0.5, -2 * math.Ln2}, []float64{p, q, ll})
}

func TestCholesky(t *testing.T) {
	rng := rand.New(rand.NewPCG(23, 24))
	for n := 1; n < 8; n++ {
		x := mat.NewDense(n+3, n, nil)
		x.Apply(func(_, _ int, _ float64) float64 { return rng.NormFloat64() }, x)
		var a mat.Dense
		a.Mul(x.T(), x)
		var c cholesky
		require.True(t, c.factor(a.RawMatrix().Data, n))
		statstest.Near(t, math.Log(mat.Det(&a)), c.logDet(), 1e-10, "log det")
		var want mat.Dense
		require.NoError(t, want.Inverse(&a))
		for i, row := range c.inverse() {
			statstest.NearAll(t, want.RawRowView(i), row, 1e-8, "inverse")
		}
		a.SetRow(n-1, make([]float64, n))
		require.False(t, c.factor(a.RawMatrix().Data, n))
	}
	var c cholesky
	require.True(t, c.factor(nil, 0), "no columns at all")
	require.False(t, c.factor([]float64{math.NaN()}, 1))
	require.False(t, c.factor([]float64{math.Inf(1)}, 1))
}
