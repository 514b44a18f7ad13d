package logit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
)

// integerData makes a small set of rows with whole-number columns.
func integerData(rng *rand.Rand, p int) Data {
	n, groups, top := 3+rng.IntN(12), 1+rng.IntN(4), 1+rng.IntN(3)
	d := Data{Group: make([]int, n), Y: make([]float64, n), N: make([]float64, n)}
	slope := make([]float64, p)
	for j := range p {
		d.X = append(d.X, make([]float64, n))
		slope[j] = 3 * rng.NormFloat64()
	}
	for i := range n {
		d.Group[i] = rng.IntN(groups)
		eta := rng.NormFloat64()
		for j := range p {
			d.X[j][i] = float64(rng.IntN(2*top+1) - top)
			eta += slope[j] * d.X[j][i]
		}
		d.N[i] = float64(1 + rng.IntN(2))
		for range int(d.N[i]) {
			if rng.Float64() < 1/(1+math.Exp(-eta)) {
				d.Y[i]++
			}
		}
	}
	return d
}

// differences lists x_i - x_k for each success i and failure k of a group that
// has seen both outcomes.
func differences(d Data) [][]int {
	var out [][]int
	for i := range d.Y {
		for k := range d.Y {
			if d.group(i) != d.group(k) || d.Y[i] == 0 || d.Y[k] == d.trials(k) {
				continue
			}
			v := make([]int, len(d.X))
			for j := range v {
				v[j] = int(d.X[j][i] - d.X[j][k])
			}
			out = append(out, v)
		}
	}
	return out
}

// determinant of a small matrix of whole numbers, by expansion: exact.
func determinant(a [][]int) int {
	if len(a) == 0 {
		return 1
	}
	sum, sign := 0, 1
	for j := range a[0] {
		var minor [][]int
		for _, row := range a[1:] {
			minor = append(minor, append(append([]int{}, row[:j]...), row[j+1:]...))
		}
		sum += sign * a[0][j] * determinant(minor)
		sign = -sign
	}
	return sum
}

// extremeRays lists, exactly, the directions b with d'b >= 0 for all d that are
// at right angles to p-1 of them: the edges of the cone of separating directions,
// where the d span all of space.
func extremeRays(ds [][]int, p int) [][]int {
	seen := map[string]bool{}
	var unique, rays [][]int
	for _, d := range ds {
		if k := fmt.Sprint(d); !seen[k] {
			seen[k] = true
			unique = append(unique, d)
		}
	}
	rayed := map[string]bool{}
	var choose func(from int, chosen [][]int)
	choose = func(from int, chosen [][]int) {
		if len(chosen) == p-1 {
			ray := make([]int, p) // generalised cross product
			zero := true
			for j := range p {
				var minor [][]int
				for _, row := range chosen {
					minor = append(minor, append(append([]int{}, row[:j]...), row[j+1:]...))
				}
				ray[j] = determinant(minor)
				if j%2 == 1 {
					ray[j] = -ray[j]
				}
				zero = zero && ray[j] == 0
			}
			for _, sign := range []int{1, -1} {
				signed := make([]int, p)
				for j := range ray {
					signed[j] = sign * ray[j]
				}
				if k := fmt.Sprint(signed); !zero && !rayed[k] && weaklyPositive(unique, signed) {
					rayed[k] = true
					rays = append(rays, signed)
				}
			}
			return
		}
		for k := from; k < len(unique); k++ {
			choose(k+1, append(chosen, unique[k]))
		}
	}
	choose(0, nil)
	return rays
}

func weaklyPositive(ds [][]int, b []int) bool {
	for _, d := range ds {
		if inner(d, b) < 0 {
			return false
		}
	}
	return true
}

func inner(a, b []int) int {
	v := 0
	for i := range a {
		v += a[i] * b[i]
	}
	return v
}

// exactSeparation answers by enumerating the edges of the cone in whole numbers.
// A sum of all edges lies inside the cone, so it separates completely if
// anything does.
func exactSeparation(d Data) (SeparationKind, map[int]int) {
	ds := differences(d)
	rays := extremeRays(ds, len(d.X))
	if len(rays) == 0 {
		return Overlap, nil
	}
	sum := make([]int, len(d.X))
	up, down := make([]bool, len(sum)), make([]bool, len(sum))
	for _, r := range rays {
		for j, v := range r {
			sum[j] += v
			up[j], down[j] = up[j] || v > 0, down[j] || v < 0
		}
	}
	kind := Complete
	for _, v := range ds {
		if inner(v, sum) <= 0 {
			kind = QuasiComplete
		}
	}
	directions := map[int]int{}
	for j := range sum {
		switch {
		case up[j] && down[j]:
			directions[j] = 0
		case up[j]:
			directions[j] = 1
		case down[j]:
			directions[j] = -1
		}
	}
	return kind, directions
}

func TestSeparationAgainstExactEnumeration(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	tested := map[SeparationKind]int{}
	for trial := range 2400 {
		p := 1 + trial%3
		if trial%30 == 0 {
			p = 4 // the enumeration takes its time
		}
		d := integerData(rng, p)
		id, err := Identify(d)
		require.NoError(t, err)
		if !id.OK() || len(differences(d)) == 0 {
			continue // the cone would not be pointed
		}
		kind, directions := exactSeparation(d)
		sep, err := DetectSeparation(d)
		require.NoError(t, err)
		what := fmt.Sprintf("trial %d: %+v", trial, d)
		require.Equal(t, kind, sep.Kind, what)
		require.Len(t, sep.Columns, len(directions), what)
		for _, c := range sep.Columns {
			want, ok := directions[c.Column]
			require.True(t, ok, what)
			require.Equal(t, want, c.Direction, what)
		}
		tested[kind]++
	}
	for _, kind := range []SeparationKind{Overlap, QuasiComplete, Complete} {
		require.Greater(t, tested[kind], 150, kind.String())
	}
}

// Rounding must not decide: columns mixed, moved and rescaled give the same
// answer as the whole numbers they were made from.
func TestSeparationSurvivesMixedColumns(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 14))
	tested := map[SeparationKind]int{}
	for trial := range 1200 {
		p := 1 + trial%3
		d := integerData(rng, p)
		if id, err := Identify(d); err != nil || !id.OK() || len(differences(d)) == 0 {
			continue
		}
		kind, _ := exactSeparation(d)
		mixed := d
		mixed.X = make([][]float64, p)
		for j := range p {
			mixed.X[j] = make([]float64, d.Rows())
			unit, origin := math.Pow(10, 12*rng.Float64()-6), 100*rng.NormFloat64()
			for k := range p {
				f := rng.NormFloat64()
				for i := range d.Y {
					mixed.X[j][i] += unit * f * d.X[k][i]
				}
			}
			for i := range d.Y {
				mixed.X[j][i] += unit * origin
			}
		}
		sep, err := DetectSeparation(mixed)
		require.NoError(t, err)
		require.Equal(t, kind, sep.Kind, "trial %d: %+v", trial, d)
		tested[kind]++
	}
	require.Greater(t, tested[Overlap], 100)
	require.Greater(t, tested[QuasiComplete], 100)
	require.Greater(t, tested[Complete], 100)
}

// A binary column separates exactly if the discordant pairs of every group, one
// row with and one without it and different outcomes, all go the same way.
func TestBinaryColumnNeedsDiscordantPairsBothWays(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 16))
	for range 2000 {
		d := integerData(rng, 1)
		for i, x := range d.X[0] {
			d.X[0][i] = math.Max(0, math.Min(1, x))
		}
		up, down := false, false
		for _, v := range differences(d) {
			up, down = up || v[0] > 0, down || v[0] < 0
		}
		sep, err := DetectSeparation(d)
		require.NoError(t, err)
		require.Equal(t, up != down, sep.Separated(), "%+v", d)
	}
}

func TestManyColumns(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 18))
	for trial := range 12 {
		n, p := 400, 20
		d := Data{Y: make([]float64, n), X: make([][]float64, p), Group: make([]int, n)}
		hidden := make([]float64, p)
		for j := range p {
			d.X[j] = make([]float64, n)
			hidden[j] = rng.NormFloat64()
		}
		for i := range n {
			d.Group[i] = i % 10
			eta := 0.0
			for j := range p {
				d.X[j][i] = rng.NormFloat64()
				eta += hidden[j] * d.X[j][i]
			}
			if eta > 0 {
				d.Y[i] = 1
			}
		}
		sep, err := DetectSeparation(d)
		require.NoError(t, err)
		require.Equal(t, Complete, sep.Kind, "trial %d", trial)
		// A few rows on the wrong side, in one group, undo it.
		for i := 0; i < n; i += 10 {
			d.Y[i] = float64(rng.IntN(2))
		}
		sep, err = DetectSeparation(d)
		require.NoError(t, err)
		m, err := Fit(d, Options{})
		require.NoError(t, err)
		if sep.Kind == Overlap {
			require.Equal(t, stats.OK, m.Status)
		} else {
			require.Equal(t, stats.Separated, m.Status)
		}
	}
}
