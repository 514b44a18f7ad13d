package tail

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// R 4.2.2 with mvtnorm 1.1-3, testdata/largest.R. The tolerance is three times the error
// that mvtnorm states for each line, and 5e-8 where it states less: the correlations are
// singular, and the error is itself an estimate.
func TestLargestAgainstR(t *testing.T) {
	f, err := os.Open("testdata/largest.csv")
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Len(t, lines, 101)
	for _, line := range lines[1:] {
		number := func(s string) float64 {
			v, err := strconv.ParseFloat(s, 64)
			require.NoError(t, err)
			return v
		}
		df := number(line[1])
		if df == 0 {
			df = math.Inf(1)
		}
		var angles []float64
		for _, q := range strings.Split(line[4], ";") {
			angles = append(angles, number(q)*math.Pi/8)
		}
		got := LargestUpper(number(line[0]), df, angles)
		require.InDelta(t, number(line[2]), got, max(5e-8, 3*number(line[3])), "%v", line)
	}
}

// One direction is Student's t, and all directions are Scheffé's law by F.
func TestLargestAtItsEnds(t *testing.T) {
	every := make([]float64, 400)
	for i := range every {
		every[i] = math.Pi * float64(i) / 400
	}
	for _, df := range []float64{1, 2, 11, 300} {
		for _, x := range []float64{0.1, 1, 2.5, 8} {
			require.InEpsilon(t, StudentTwoSided(x, df), LargestUpper(x, df, []float64{0.7}), 1e-7)
			require.InEpsilon(t, FUpper(x*x/2, 2, df), LargestUpper(x, df, every), 1e-3)
		}
	}
	require.InEpsilon(t, NormalTwoSided(5), LargestUpper(5, math.Inf(1), []float64{2}), 1e-9)
	require.Equal(t, 1.0, LargestUpper(0, 3, []float64{0, 1}))
	require.True(t, math.IsNaN(LargestUpper(1, 3, nil)))
	require.True(t, math.IsNaN(LargestUpper(1, 0, []float64{1})))
	require.True(t, math.IsNaN(LargestUpperQuantile(0.05, 3, []float64{math.NaN()})))
}

// The order of directions, and which of two opposite ones is named, do not matter.
func TestLargestLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 200 {
		angles := make([]float64, 1+rng.IntN(5))
		for i := range angles {
			angles[i] = 10 * rng.NormFloat64()
		}
		df := 1 + 30*rng.Float64()
		q := 0.001 + 0.9*rng.Float64()
		x := LargestUpperQuantile(q, df, angles)
		require.InDelta(t, q, LargestUpper(x, df, angles), 1e-9)
		other := make([]float64, 0, len(angles))
		for i := range angles {
			other = append(other, angles[len(angles)-1-i]+math.Pi*float64(rng.IntN(5)-2))
		}
		require.InDelta(t, q, LargestUpper(x, df, other), 1e-9)
		require.LessOrEqual(t, StudentTwoSided(x, df), q+1e-9, "not below one alone")
		require.GreaterOrEqual(t, float64(len(angles))*StudentTwoSided(x, df), q-1e-9, "not above Bonferroni")
	}
}
