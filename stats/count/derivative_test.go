package count

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"

	"gravid/stats/internal/statstest"
)

var inf = math.Inf(1)

// The log-likelihood of a range is the log of a sum of probabilities, and its
// derivatives match differences.
func TestNegativeBinomialDerivatives(t *testing.T) {
	counts := []Count{{Lo: 0, Hi: 0}, {Lo: 7, Hi: 7}, {Lo: 300, Hi: 300}, {Lo: 0, Hi: 5}, {Lo: 100, Hi: 200}, {Lo: 90, Hi: inf}, {Lo: 700, Hi: inf}, {Lo: 0, Hi: inf}}
	for _, c := range counts {
		for _, p := range [][2]float64{{math.Log(150), -math.Log(2)}, {math.Log(12), -math.Log(0.3)}, {math.Log(600), -math.Log(80)}} {
			at := func(x []float64) partials {
				return negBinomial{math.Exp(x[0]), math.Exp(-x[1])}.logLikelihood(c, true)
			}
			got := at(p[:])
			what := fmt.Sprintf("%v to %v at %v", c.Lo, c.Hi, p)
			statstest.Near(t, negBinomial{math.Exp(p[0]), math.Exp(-p[1])}.logLikelihood(c, false).value, got.value, 1e-12, what+", value with and without derivatives")
			statstest.NearAll(t, fd.Gradient(nil, func(x []float64) float64 { return at(x).value }, p[:], &fd.Settings{Formula: fd.Central}), []float64{got.b, got.q}, 1e-5, what+", gradient")
			slopes := mat.NewDense(2, 2, nil)
			fd.Jacobian(slopes, func(y, x []float64) { d := at(x); y[0], y[1] = d.b, d.q }, p[:], &fd.JacobianSettings{Formula: fd.Central})
			statstest.NearAll(t, slopes.RawMatrix().Data, []float64{got.bb, got.bq, got.bq, got.qq}, 1e-4, what+", second derivatives")
		}
	}
}

func TestRangesAddUp(t *testing.T) {
	for _, d := range []negBinomial{{150, 2}, {3, 0.2}, {40, inf}, {80, 1e5}} {
		var sum float64
		for y := 0.0; y <= 60; y++ {
			sum += math.Exp(d.logProb(y, false).value)
		}
		statstest.Near(t, sum, math.Exp(d.logLikelihood(Count{Lo: 0, Hi: 60}, false).value), 1e-12, "probability of 0 to 60")
		statstest.Near(t, sum, d.lower(60), 1e-6, "distribution function at 60")
		statstest.Near(t, 1-sum, math.Exp(d.logLikelihood(Count{Lo: 61, Hi: inf}, false).value), 1e-9, "probability of 61 or more")
	}
	// Far out the sum must be worked out upwards and not from 1 minus the rest:
	// of a Poisson count with mean 1, P(Y >= 40) is 1/(e 40!) (1 + 1/41 + 1/(41*42) + ...).
	lg, _ := math.Lgamma(41)
	statstest.NearRel(t, -1-lg+math.Log(1+1.0/41+1.0/(41*42)+1.0/(41*42*43)), negBinomial{1, inf}.logLikelihood(Count{Lo: 40, Hi: inf}, false).value, 1e-6, "log P(Y >= 40)")
}

func TestNegativeBinomialApproachesPoisson(t *testing.T) {
	for _, y := range []float64{0, 1, 5, 31, 32, 300} {
		near, limit := negBinomial{40, 1e9}.logProb(y, true), negBinomial{40, inf}.logProb(y, true)
		statstest.Near(t, limit.value, near.value, 1e-4, "log probability")
		statstest.Near(t, limit.b, near.b, 1e-6, "derivative")
		statstest.Near(t, limit.bb, near.bb, 1e-6, "second derivative")
	}
	for _, k := range []float64{0.3, 5, 11.9, 12.1, 1e4} { // both forms of a rung, at their seam
		a, _ := math.Lgamma(k + 32)
		b, _ := math.Lgamma(k)
		statstest.NearRel(t, a-b-32*math.Log(k), rising(k, 32), 1e-7, "log rising factorial")
		statstest.NearRel(t, rising(k, 31)+math.Log1p(31/k), rising(k, 32), 1e-10, "recurrence")
	}
}

func rising(k, y float64) float64 {
	up := ladder{k: k}
	return up.rung(y, 0).value
}

// The differences of psi and psi' are sums of 1/(k+j) and -1/(k+j)^2 over j below y.
// gonum's digamma is good to ten digits.
func TestLadder(t *testing.T) {
	for _, k := range []float64{0.02, 0.7, 5, 11.99, 12.01, 40, 1e4} {
		up := ladder{k: k, derive: true}
		for _, y := range []float64{0, 1, 2, 31, 32, 33, 500, 5, 1e5, 30} {
			r, what := up.rung(y, 0), fmt.Sprintf("k = %v, y = %v", k, y)
			require.Equal(t, rising(k, y), r.value, what)
			var psi, psi1 float64
			for j := y - 1; j >= 0; j-- {
				psi += 1 / (k + j)
				psi1 -= 1 / ((k + j) * (k + j))
			}
			require.InDelta(t, psi, r.psi, 1e-14*(1+psi), what)
			require.InDelta(t, psi1, r.psi1, 2e-15*(1/k-psi1), what)
			require.InDelta(t, mathext.Digamma(y+k)-mathext.Digamma(k), r.psi, 1e-10, what)
		}
	}
}

func TestBetaBinomialDerivatives(t *testing.T) {
	s, err := newShares([]Clutch{{3, 10, []float64{0.5}}, {0, 7, []float64{-1}}, {12, 12, []float64{2}}, {1, 1, []float64{0}}, {40, 90, []float64{0.1}}})
	require.NoError(t, err)
	for _, theta := range [][]float64{{-0.3, 0.4, -1.5}, {1, -0.5, 1}, {0.2, 0.1, -11}} {
		grad, hess := make([]float64, 3), mat.NewSymDense(3, nil)
		v := s.objective(theta, grad, hess)
		value := func(x []float64) float64 { return s.objective(x, nil, nil) }
		require.Equal(t, value(theta), v)
		statstest.NearAll(t, fd.Gradient(nil, value, theta, &fd.Settings{Formula: fd.Central}), grad, 1e-5, "gradient")
		want := mat.NewDense(3, 3, nil)
		fd.Jacobian(want, func(y, x []float64) {
			clear(y)
			s.objective(x, y, mat.NewSymDense(3, nil))
		}, theta, &fd.JacobianSettings{Formula: fd.Central})
		for i := range 3 {
			for j := range 3 {
				statstest.Near(t, want.At(i, j), hess.At(i, j), 1e-5, "second derivative")
			}
		}
		for i := range 3 { // one parameter held
			rest := append(append([]float64{}, theta[:i]...), theta[i+1:]...)
			g, h := make([]float64, 2), mat.NewSymDense(2, nil)
			require.Equal(t, v, holding(s.objective, i, theta[i])(rest, g, h))
			k := 0
			for j := range 3 {
				if j != i {
					require.Equal(t, grad[j], g[k])
					require.Equal(t, hess.At(j, j), h.At(k, k))
					k++
				}
			}
		}
	}
}
