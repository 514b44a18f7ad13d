package newton

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// quadratic has its peak at peak with curvature diag(1, 4) plus a cross term.
func quadratic(peak []float64) Objective {
	return func(x, g []float64, h *mat.SymDense) float64 {
		a, b := x[0]-peak[0], x[1]-peak[1]
		if g != nil {
			g[0], g[1] = -a-0.5*b, -4*b-0.5*a
			h.SetSym(0, 0, -1)
			h.SetSym(1, 1, -4)
			h.SetSym(0, 1, -0.5)
		}
		return -a*a/2 - 2*b*b - a*b/2
	}
}

func TestQuadraticInOneStep(t *testing.T) {
	r := Maximise(quadratic([]float64{2, -3}), []float64{0, 0}, Settings{})
	require.True(t, r.Converged)
	require.InDeltaSlice(t, []float64{2, -3}, r.Theta, 1e-12)
	require.LessOrEqual(t, r.Steps, 2)
	// Inverse of [[1, .5], [.5, 4]], by hand: determinant 3.75.
	require.InDelta(t, 4/3.75, r.Covariance.At(0, 0), 1e-12)
	require.InDelta(t, -0.5/3.75, r.Covariance.At(0, 1), 1e-12)
	require.InDelta(t, 1/3.75, r.Covariance.At(1, 1), 1e-12)
}

// A log-likelihood that is not concave at the start: log density of a Cauchy.
func TestNotConcaveAtStart(t *testing.T) {
	cauchy := func(x, g []float64, h *mat.SymDense) float64 {
		d := x[0] - 1
		if g != nil {
			g[0] = -2 * d / (1 + d*d)
			h.SetSym(0, 0, 2*(d*d-1)/((1+d*d)*(1+d*d)))
		}
		return -math.Log1p(d * d)
	}
	r := Maximise(cauchy, []float64{30}, Settings{})
	require.True(t, r.Converged)
	require.InDelta(t, 1, r.Theta[0], 1e-9)
}

func TestNoPeakIsNotConverged(t *testing.T) {
	// Rises for ever: the log-likelihood of a probability that has only successes.
	rising := func(x, g []float64, h *mat.SymDense) float64 {
		p := 1 / (1 + math.Exp(-x[0]))
		if g != nil {
			g[0] = 1 - p
			h.SetSym(0, 0, -p*(1-p))
		}
		return -math.Log1p(math.Exp(-x[0]))
	}
	r := Maximise(rising, []float64{0}, Settings{MaxSteps: 15})
	require.False(t, r.Converged)
	falling := func(x, g []float64, h *mat.SymDense) float64 {
		v := rising([]float64{-x[0]}, g, h)
		if g != nil {
			g[0] = -g[0]
		}
		return v
	}
	r = Maximise(falling, []float64{0}, Settings{Lower: []float64{-3}})
	require.True(t, r.Below)
	require.False(t, r.Converged)
}

func TestFlatDirectionIsNotConverged(t *testing.T) {
	ridge := func(x, g []float64, h *mat.SymDense) float64 {
		d := x[0] + x[1] - 2
		if g != nil {
			g[0], g[1] = -d, -d
			h.SetSym(0, 0, -1)
			h.SetSym(0, 1, -1)
			h.SetSym(1, 1, -1)
		}
		return -d * d / 2
	}
	r := Maximise(ridge, []float64{0, 0}, Settings{})
	require.False(t, r.Converged, "x + y = 2 has no single peak")
}
