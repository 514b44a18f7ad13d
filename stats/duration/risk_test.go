package duration

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestLine(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for name, draw := range map[string]func() float64{
		"any":      func() float64 { return math.Exp(5 * r.NormFloat64()) },
		"near":     func() float64 { return 18 * math.Exp(0.2*r.NormFloat64()) },
		"whole":    func() float64 { return float64(r.IntN(5000)) },
		"equal":    func() float64 { return 7 },
		"far off":  func() float64 { return []float64{1e300, 1 + 1e-9*r.Float64(), 1 + 1e-9*r.Float64()}[r.IntN(3)] },
		"two":      func() float64 { return []float64{2.5, 3}[r.IntN(2)] },
		"and zero": func() float64 { return []float64{0, float64(r.Float32())}[r.IntN(2)] },
	} {
		for _, n := range []int{0, 1, 2, 100, 20000} {
			for _, labels := range []int{1, 2, 5} {
				bits, label := make([]uint64, n), make([]uint32, n)
				want := map[float64][]float64{}
				for i := range bits {
					time := draw()
					bits[i], label[i] = math.Float64bits(time), uint32(r.IntN(labels))
					if want[time] == nil {
						want[time] = make([]float64, labels)
					}
					want[time][label[i]]++
				}
				l, ok := newLine(bits, label, labels)
				if !ok {
					require.Equal(t, "far off, 5 labels", fmt.Sprintf("%s, %d labels", name, labels))
					continue
				}
				require.Equal(t, len(want), l.distinct(), "%s, n = %d", name, n)
				before := math.Inf(-1)
				for range want {
					got := make([]float64, labels)
					time, gone, ok := l.next(got)
					require.True(t, ok)
					require.Greater(t, time, before)
					require.Equal(t, want[time], got, "%s, n = %d, time %v", name, n, time)
					require.Equal(t, total(got), gone)
					before = time
				}
				_, _, ok = l.next(make([]float64, labels))
				require.False(t, ok)
			}
		}
	}
}

// Times of all sizes and many labels do not go into 64 bits together.
func TestLineWithoutRoom(t *testing.T) {
	times := []float64{0, 0x1.fffffffffffffp1000, 1.0 / 3}
	var bits []uint64
	for _, time := range times {
		bits = append(bits, math.Float64bits(time))
	}
	_, ok := newLine(bits, make([]uint32, 3), 9)
	require.False(t, ok)

	var obs []Observation
	for i := range 9 {
		time := times[i%3]
		obs = append(obs, Observation{Span: Span{time, time}, Cause: 1 + i})
	}
	rows := riskRows(obs, []int{1, 2, 3, 4, 5, 6, 7, 8, 9})
	require.Len(t, rows, 3)
	require.Equal(t, riskRow{time: 1.0 / 3, atRisk: 6, events: 3, byCause: []float64{0, 0, 1, 0, 0, 1, 0, 0, 1}, left: 3}, rows[1])
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
