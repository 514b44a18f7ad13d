package logit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// The estimate is where the log-likelihood plus beta/2 - log(1+exp(beta)) of the
// penalised columns is flat, and the standard errors are those of its curvature, by
// central differences in units of the data.
func TestLogFIsTheMaximum(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(151, 152)), 120, 3, 4)
	for _, on := range [][]int{nil, {0}, {1, 2}} {
		m := requireFit(t, d, Options{Penalty: LogF, LogFOn: on})
		penalised := map[int]bool{}
		for j := range 3 {
			penalised[j] = m.options.logF(j)
		}
		objective := func(v []float64) float64 {
			sum := 0.0
			for i, y := range d.Y {
				g := (d.Group[i] + 3) / 7
				eta := v[3+g]
				for j := range 3 {
					eta += v[j] * d.X[j][i]
				}
				sum += y*eta - math.Log1p(math.Exp(eta))
			}
			for j := range 3 {
				if penalised[j] {
					sum += v[j]/2 - math.Log1p(math.Exp(v[j]))
				}
			}
			return sum
		}
		at := append(append([]float64{}, m.Coef...), m.Intercept...)
		for j, g := range fd.Gradient(nil, objective, at, &fd.Settings{Formula: fd.Central}) {
			require.InDelta(t, 0, g, 1e-6, "parameter %d", j)
		}
		statstest.Near(t, objective(at), m.PenalizedLogLik, 1e-10, "penalised log-likelihood")
		var h mat.SymDense
		fd.Hessian(&h, objective, at, &fd.Settings{Formula: fd.Central, Step: 1e-4})
		var chol mat.Cholesky
		h.ScaleSym(-1, &h)
		require.True(t, chol.Factorize(&h))
		var inverse mat.SymDense
		require.NoError(t, chol.InverseTo(&inverse))
		for j := range 3 {
			statstest.Near(t, math.Sqrt(inverse.At(j, j)), m.SE[j], 1e-5, "standard error")
		}
	}
}

// A trigger that never failed has a finite estimate where it is penalised, and none
// where it is not; ends of the profile agree with the test there.
func TestLogFSeparated(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(153, 154)), 80, 2, 3)
	for i, x := range d.X[0] {
		if x == 1 {
			d.Y[i] = 1
		}
	}
	m := requireFit(t, d, Options{Penalty: LogF})
	require.True(t, m.Separation.Separated())
	require.Greater(t, m.Coef[0], 1.0)
	e := m.Profile(0, 0.95)
	require.Equal(t, stats.OK, e.Status)
	require.False(t, math.IsNaN(e.Lo) || math.IsInf(e.Lo, 0))
	at := m.Constrained(0, e.Lo)
	statstest.Near(t, 3.841458820694124, 2*(m.PenalizedLogLik-at.Value), 1e-6, "qchisq(.95, 1)")
	j, err := m.Jackknife(d.Group, 0, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.OK, j.Status)
	none, err := Fit(d, Options{Penalty: LogF, LogFOn: []int{1}})
	require.NoError(t, err)
	require.Equal(t, stats.Separated, none.Status)
	_, err = Fit(d, Options{Penalty: LogF, LogFOn: []int{2}})
	require.EqualError(t, err, "there is no column 2 to penalise")
	_, err = m.Robust(d.Group, CR2)
	require.ErrorContains(t, err, "logF")
}

// Refits and single steps under the penalty.
func TestLogFJackknife(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(155, 156)), 600, 3, 6)
	m := requireFit(t, d, Options{Penalty: LogF})
	cluster := stretches(600, 80)
	one, err := m.Jackknife(cluster, 0, 0.95)
	require.NoError(t, err)
	require.Greater(t, one.Approximated, 40)
	exact, err := m.JackknifeExact(cluster, 0, 0.95)
	require.NoError(t, err)
	statstest.NearRel(t, exact.SE, one.SE, 0.01, "one step")
	scratch := requireFit(t, rowsWithout(d, cluster, 7), Options{Penalty: LogF})
	statstest.Near(t, scratch.Coef[0], exact.Coef[7], 1e-8, "refit")
}

// Flipping the sign of a column flips the slope, whatever else is penalised.
func TestLogFLaws(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(157, 158)), 200, 2, 3)
	m := requireFit(t, d, Options{Penalty: LogF})
	flipped := d
	flipped.X = [][]float64{make([]float64, 200), d.X[1]}
	for i, x := range d.X[0] {
		flipped.X[0][i] = 3 - x
	}
	f := requireFit(t, flipped, Options{Penalty: LogF})
	statstest.Near(t, -m.Coef[0], f.Coef[0], 1e-8, "flipped")
	ml := requireFit(t, d, Options{})
	require.Less(t, math.Abs(m.Coef[0]), math.Abs(ml.Coef[0]), "drawn towards 0")
	require.Equal(t, "logF(1,1) penalty", fmt.Sprint(m.Penalty))
}
