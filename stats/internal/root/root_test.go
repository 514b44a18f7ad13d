package root

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestBetweenKnownRoots(t *testing.T) {
	for _, c := range []struct {
		name string
		f    func(float64) float64
		a, b float64
		want float64
	}{
		{"square root of two", func(x float64) float64 { return x*x - 2 }, 0, 2, math.Sqrt2},
		{"cosine meets x (Dottie number, OEIS A003957)", func(x float64) float64 { return math.Cos(x) - x }, 0, 1, 0.7390851332151607},
		{"flat cubic", func(x float64) float64 { return math.Pow(x-1, 3) }, -3, 5, 1},
		{"falling", func(x float64) float64 { return 3 - x }, 0, 10, 3},
		{"step", func(x float64) float64 { return math.Copysign(1, x-0.3) }, 0, 1, 0.3},
		{"infinite at one end", func(x float64) float64 { return math.Log(x) }, 0, 4, 1},
		{"root at an end", func(x float64) float64 { return x }, 0, 4, 0},
		{"far away", func(x float64) float64 { return math.Atan(x - 1e8) }, -1e9, 1e9, 1e8},
	} {
		require.InDelta(t, c.want, Between(c.f, c.a, c.b, 0), 1e-5*math.Max(1, c.want*1e-5), c.name)
	}
}

func TestBetweenRefuses(t *testing.T) {
	require.True(t, math.IsNaN(Between(func(x float64) float64 { return x*x + 1 }, -1, 1, 0)), "no change of sign")
	require.True(t, math.IsNaN(Between(func(float64) float64 { return math.NaN() }, -1, 1, 0)), "NaN")
}

func TestBetweenIsFast(t *testing.T) {
	n := 0
	Between(func(x float64) float64 { n++; return math.Exp(x) - 7 }, -50, 50, 1e-12)
	require.Less(t, n, 80, "evaluations; bisection would need 47 for this tolerance, Brent at most its square in theory")
}

func TestWalk(t *testing.T) {
	f := func(x float64) float64 { return x*x - 100 }
	require.InDelta(t, 10, Walk(f, 0, 0.1, 1e6, 0), 1e-12)
	require.InDelta(t, -10, Walk(f, 0, -0.1, -1e6, 0), 1e-12)
	require.Equal(t, math.Inf(1), Walk(f, 0, 0.1, 9, 0))
	require.Equal(t, math.Inf(-1), Walk(f, 0, -0.1, -9, 0))
	require.InDelta(t, 10, Walk(f, 0, 0.1, 10, 0), 1e-12, "crossing exactly at the limit")
}
