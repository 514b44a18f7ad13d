package duration

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSortTimes(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for name, draw := range map[string]func() float64{
		"any":    func() float64 { return r.NormFloat64() * math.Exp(20*r.NormFloat64()) },
		"whole":  func() float64 { return float64(r.IntN(5000) - 100) },
		"equal":  func() float64 { return 7 },
		"zeros":  func() float64 { return []float64{0, math.Copysign(0, -1), 1}[r.IntN(3)] },
		"at all": func() float64 { return []float64{math.Inf(-1), -1, 2.5, math.Inf(1)}[r.IntN(4)] },
	} {
		for _, n := range []int{0, 1, 100, 20000} {
			times := make([]float64, n)
			for i := range times {
				times[i] = draw()
			}
			want := slices.Clone(times)
			slices.Sort(want)
			sortTimes(times)
			require.Equal(t, len(want), len(times))
			for i := range want {
				require.True(t, want[i] == times[i], "%s, n = %d, place %d", name, n, i)
			}
		}
	}
}

// No causes at all, which is not the same as not telling them apart.
func TestRiskRowsWithoutEvents(t *testing.T) {
	rows := riskRows([]Observation{{Span: Span{3, math.Inf(1)}, Entry: math.Inf(-1), Weight: 1}}, []int{})
	require.Len(t, rows, 1)
	require.Empty(t, rows[0].byCause)
	require.Equal(t, 1.0, rows[0].censored)
}

// The way for weights of 1 and the way for any weights make the same rows.
func TestRiskRowsBothWays(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 2))
	for range 50 {
		var obs []Observation
		for range r.IntN(40) {
			time := float64(1 + r.IntN(10))
			o := Observation{Span: Span{time, time}, Entry: math.Inf(-1), Weight: 1, Cause: 1 + r.IntN(2)}
			if r.IntN(3) == 0 {
				o.Entry = time * 0.5
			}
			if r.IntN(3) == 0 {
				o.Hi, o.Cause = math.Inf(1), 0
			}
			obs = append(obs, o)
		}
		double := slices.Clone(obs)
		for i := range double {
			double[i].Weight = 2
		}
		for _, causes := range [][]int{nil, {1, 2}, {1, 2, 9}} {
			one, two := riskRows(obs, causes), riskRows(double, causes)
			require.Equal(t, len(two), len(one))
			for i, row := range one {
				row.atRisk *= 2
				row.events *= 2
				row.censored *= 2
				row.left *= 2
				for k := range row.byCause {
					row.byCause[k] *= 2
				}
				require.Equal(t, two[i], row)
			}
		}
	}
}
