package logit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// All patterns by brute force, for scores with ties.
func TestCountFlipsAgainstEveryPattern(t *testing.T) {
	rng := rand.New(rand.NewPCG(91, 92))
	for n := 2; n <= 10; n++ {
		scores := make([]float64, n)
		sum := 0.0
		for i := range scores {
			scores[i] = math.Round(2*rng.NormFloat64()) / 2
			sum += scores[i]
		}
		want := 0
		for pattern := range 1 << n {
			flipped := 0.0
			for i, s := range scores {
				if pattern>>i&1 == 1 {
					s = -s
				}
				flipped += s
			}
			if math.Abs(flipped) >= math.Abs(sum)-1e-9 {
				want++
			}
		}
		require.Equal(t, want, 2*countFlips(scores, math.Abs(sum)-1e-9), "%v", scores)
	}
}

// A keeper's score with nothing but keeper intercepts is sum (x - mean x)(y -
// mean y), worked out by hand. Three keepers of four tries each, trigger in two: the
// scores are 1 (both with, none without), 0.5 (one with) and -0.5 (one without);
// of the 4 patterns (1 + .5 - .5 = 1, 1 + .5 + .5 = 2, 1 - .5 - .5 = 0, 1 - .5 +
// .5 = 1) three reach 1.
func TestSignFlipByHand(t *testing.T) {
	d := Data{
		Y:     []float64{1, 1, 0, 0, 1, 0, 0, 0, 0, 0, 1, 0},
		X:     [][]float64{{1, 1, 0, 0, 1, 1, 0, 0, 1, 1, 0, 0}},
		Group: []int{1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3},
	}
	f, err := SignFlip(d, 0, d.Group, SignFlipOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.OK, f.Status)
	statstest.Near(t, 1, f.Score, 1e-9, "score")
	require.Equal(t, 0.75, f.P)
	require.Equal(t, 0.25, f.Smallest)
	require.Equal(t, 4, f.Patterns)
	require.True(t, f.Exact)
	require.Equal(t, "few-clusters", f.Warnings[len(f.Warnings)-1].Code)
}

// The sum of the scores is the efficient score: it vanishes where the slope of the
// column is held at its estimate by an offset.
func TestSignFlipScoreVanishesAtTheEstimate(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(93, 94)), 400, 3, 9)
	m := requireFit(t, d, Options{})
	at := d
	at.Offset = make([]float64, d.Rows())
	for i := range at.Offset {
		at.Offset[i] = m.Coef[1] * d.X[1][i]
	}
	f, err := SignFlip(at, 1, d.Group, SignFlipOptions{})
	require.NoError(t, err)
	require.InDelta(t, 0, f.Score, 1e-7)
	require.Equal(t, 1.0, f.P)
}

// Separation is no trouble; the trigger's complement gives the same P; draws come
// close to all patterns, the same for the same seed.
func TestSignFlipLaws(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(95, 96)), 200, 2, 10)
	for i, x := range d.X[0] {
		if x == 1 {
			d.Y[i] = 1
		}
	}
	f, err := SignFlip(d, 0, d.Group, SignFlipOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.OK, f.Status)
	require.Less(t, f.P, 0.01)
	require.Greater(t, f.Score, 0.0)

	flipped := d
	flipped.X = slices.Clone(d.X)
	flipped.X[0] = slices.Clone(d.X[0])
	for i := range flipped.X[0] {
		flipped.X[0][i] = 5 - 2*flipped.X[0][i]
	}
	g, err := SignFlip(flipped, 0, d.Group, SignFlipOptions{})
	require.NoError(t, err)
	require.Equal(t, f.P, g.P)
	statstest.Near(t, -2*f.Score, g.Score, 1e-9, "score of the complement")

	e := randomData(rand.New(rand.NewPCG(97, 98)), 300, 2, 12)
	exact, err := SignFlip(e, 0, e.Group, SignFlipOptions{})
	require.NoError(t, err)
	require.True(t, exact.Exact)
	drawn, err := SignFlip(e, 0, e.Group, SignFlipOptions{Enumerated: 2, Draws: 40000, Seed: 3})
	require.NoError(t, err)
	require.False(t, drawn.Exact)
	require.InDelta(t, exact.P, drawn.P, 0.015) // 6 standard errors
	again, err := SignFlip(e, 0, e.Group, SignFlipOptions{Enumerated: 2, Draws: 40000, Seed: 3})
	require.NoError(t, err)
	require.Equal(t, drawn, again)
}

// Under the null model P is below 0.05 in about 1 of 20 data sets, with rows of a
// cluster as alike as the effect differing by keeper makes them.
func TestSignFlipSize(t *testing.T) {
	rng := rand.New(rand.NewPCG(99, 100))
	const runs = 600
	rejected := 0
	for range runs {
		var d Data
		d.X = make([][]float64, 1)
		for g := range 10 {
			skill, effect := rng.NormFloat64(), 0.7*rng.NormFloat64()
			for range 12 {
				x := float64(rng.IntN(2))
				p := 1 / (1 + math.Exp(-(skill + effect*x)))
				y := 0.0
				if rng.Float64() < p {
					y = 1
				}
				d.Y, d.X[0], d.Group = append(d.Y, y), append(d.X[0], x), append(d.Group, g)
			}
		}
		f, err := SignFlip(d, 0, d.Group, SignFlipOptions{})
		require.NoError(t, err)
		if f.P <= 0.05 {
			rejected++
		}
	}
	// 600 runs at 5%: 30 expected, 3 standard errors are 16.
	require.InDelta(t, 30, rejected, 16)
}

func TestSignFlipRefusals(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(101, 102)), 40, 1, 1)
	f, err := SignFlip(d, 0, make([]int, 40), SignFlipOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, f.Status)
	require.True(t, math.IsNaN(f.P))
	_, err = SignFlip(d, 0, make([]int, 39), SignFlipOptions{})
	require.Error(t, err)
	bad := d
	bad.X = [][]float64{slices.Clone(d.X[0])}
	bad.X[0][3] = math.NaN()
	_, err = SignFlip(bad, 0, make([]int, 40), SignFlipOptions{})
	require.EqualError(t, err, `column "x1", row 4: NaN is not a finite number`)
	for i := range d.Y {
		d.Y[i] = 1
	}
	f, err = SignFlip(d, 0, stretches(40, 8), SignFlipOptions{})
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, f.Status)
}

func BenchmarkSignFlip(b *testing.B) {
	for _, clusters := range []int{12, 20, 40} {
		b.Run(fmt.Sprintf("clusters=%d", clusters), func(b *testing.B) {
			d := randomData(rand.New(rand.NewPCG(5, 6)), 1000, 3, clusters)
			for b.Loop() {
				if _, err := SignFlip(d, 0, d.Group, SignFlipOptions{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
