package answer

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

// tenAlike are ten keepers with the same records: of n attempts with live food s spawned,
// of m without r. With fewer keepers the jackknife would have its word.
func tenAlike(s, n, r, m int) []club.Attempt {
	var list []club.Attempt
	for _, keeper := range "abcdefghij" {
		add := func(food bool, spawned, all int) {
			for i := range all {
				list = append(list, club.Attempt{ID: fmt.Sprint(len(list)), Keeper: string(keeper), System: "T", Species: "Danio rerio",
					Began: club.Some(time.Date(2024, 3, 1, 0, 0, 0, 0, time.UTC)), Spawned: club.Some(i < spawned), LiveFood: club.Some(food)})
			}
		}
		add(true, s, n)
		add(false, r, m)
	}
	return list
}

// newcombe is the interval of a difference of two shares by method 10 of Newcombe (1998,
// Statistics in Medicine 17:873): the limits of Wilson, put together. Its example of 56 of
// 70 against 48 of 80 is 0.0524 to 0.3339 (as printed, from memory).
func newcombe(s, n, r, m int) (lo, hi float64) {
	wilson := func(s, n int) (p, lo, hi float64) {
		const z = 1.959963984540054
		p, k := float64(s)/float64(n), float64(n)
		half := z * math.Sqrt(p*(1-p)/k+z*z/(4*k*k))
		middle := p + z*z/(2*k)
		return p, (middle - half) / (1 + z*z/k), (middle + half) / (1 + z*z/k)
	}
	p1, l1, u1 := wilson(s, n)
	p0, l0, u0 := wilson(r, m)
	return p1 - p0 - math.Hypot(p1-l1, u0-p0), p1 - p0 + math.Hypot(u1-p1, p0-l0)
}

// Where keepers are alike the interval of the difference is that of two shares, to two or
// three points (the penalty draws chances towards one half); also where nothing failed,
// and either way round.
func TestDifferenceOfTwoShares(t *testing.T) {
	lo, hi := newcombe(56, 70, 48, 80)
	require.InDelta(t, 0.0524, lo, 5e-5)
	require.InDelta(t, 0.3339, hi, 5e-5)
	for _, c := range [][4]int{{6, 7, 5, 8}, {5, 8, 6, 7}, {6, 12, 5, 11}, {5, 5, 3, 6}, {8, 8, 2, 8}} {
		s, n, r, m := c[0], c[1], c[2], c[3]
		lo, hi := newcombe(10*s, 10*n, 10*r, 10*m)
		d := askFood(tenAlike(s, n, r, m)).Per100.Difference
		require.InDelta(t, 100*(float64(s)/float64(n)-float64(r)/float64(m)), float64(d.Estimate), 2.5, "%v", c)
		require.InDelta(t, 100*lo, float64(d.Low), 2.5, "%v: %v to %v", c, lo, hi)
		require.InDelta(t, 100*hi, float64(d.High), 2.5, "%v: %v to %v", c, lo, hi)
	}
}

// The difference is on the side of 0 where the odds ratio is, with both ends, and an end
// never lies beyond what a difference can be.
func TestDifferenceStaysOnItsSide(t *testing.T) {
	for seed := range uint64(40) {
		a := askFood(fed(100+seed, func(*rand.Rand, bool) bool { return false }))
		if a.Status != OK {
			continue
		}
		or, d := a.OddsRatio, a.Per100.Difference
		require.Equal(t, or.Low > 1, d.Low > 0, "seed %d: %v, %v", seed, or, d)
		require.Equal(t, or.High < 1, d.High < 0, "seed %d: %v, %v", seed, or, d)
		require.True(t, -100 <= d.Low && d.Low <= d.Estimate && d.Estimate <= d.High && d.High <= 100)
	}
}

// The top of a parabola through three points of y = 3 - (x-0.3)^2.
func TestTopOfTheParabola(t *testing.T) {
	y := func(x float64) float64 { return 3 - (x-0.3)*(x-0.3) }
	at := []float64{-1, 0, 0.5, 2}
	values := []float64{y(-1), y(0), y(0.5), y(2)}
	require.InDelta(t, 3, most(at, values), 1e-12)
	require.Equal(t, 9.0, most(at, []float64{9, 1, 0, 2}), "an end")
	require.Equal(t, 2.0, most([]float64{1, 1, 2}, []float64{1, 2, 1}), "two of the same")
}
