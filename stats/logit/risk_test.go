package logit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// In a saturated two by two table the risks are the raw proportions; elsewhere
// they follow from the definition, written out.
func TestRisksByHand(t *testing.T) {
	d := Data{Y: []float64{9, 4}, N: []float64{20, 31}, X: [][]float64{{1, 0}}}
	r := requireFit(t, d, Options{}).Risks(0, 0, 1)
	statstest.NearAll(t, []float64{4. / 31, 9. / 20, 9./20 - 4./31}, []float64{r.P0, r.P1, r.Difference}, 1e-9, "raw proportions")

	rng := rand.New(rand.NewPCG(71, 72))
	d = randomData(rng, 150, 3, 4)
	d.Offset = make([]float64, d.Rows())
	d.Weights = make([]float64, d.Rows())
	for i := range d.Offset {
		d.Offset[i], d.Weights[i] = 0.4*rng.NormFloat64(), float64(rng.IntN(3))
	}
	m := requireFit(t, d, Options{Penalty: Firth})
	intercept := m.Recalibrate()
	var p0, p1, n float64
	for i := range d.Y {
		for g, label := range m.Groups {
			if label == d.Group[i] {
				eta := intercept[g] + d.Offset[i] + m.Coef[0]*d.X[0][i] + m.Coef[2]*d.X[2][i]
				p0 += d.Weights[i] / (1 + math.Exp(-(eta + m.Coef[1]*-1.5)))
				p1 += d.Weights[i] / (1 + math.Exp(-(eta + m.Coef[1]*2)))
				n += d.Weights[i]
			}
		}
	}
	r = m.Risks(1, -1.5, 2)
	statstest.NearAll(t, []float64{p0 / n, p1 / n}, []float64{r.P0, r.P1}, 1e-10, "definition")
	require.Equal(t, r.P1-r.P0, r.Difference)
}

// Recalibrated chances add up to the events of each group, offsets and all.
func TestRecalibrateEachGroup(t *testing.T) {
	rng := rand.New(rand.NewPCG(73, 74))
	d := randomData(rng, 40, 2, 10)
	d.Offset = make([]float64, d.Rows())
	for i := range d.Offset {
		d.Offset[i] = rng.NormFloat64()
	}
	m := requireFit(t, d, Options{Penalty: Firth})
	expected, observed := map[int]float64{}, map[int]float64{}
	for i, p := range m.RecalibratedProbabilities() {
		expected[d.Group[i]] += p
		observed[d.Group[i]] += d.Y[i]
	}
	require.NotEmpty(t, m.UninformativeGroups, "the test wants one of those")
	recalibrated := m.Recalibrate()
	for g, label := range m.Groups {
		if m.full.informative(g) {
			statstest.Near(t, observed[label], expected[label], 1e-10, "events of a group")
		} else {
			require.Equal(t, m.Intercept[g], recalibrated[g])
		}
	}
	ml := requireFit(t, randomData(rng, 200, 2, 2), Options{})
	require.Equal(t, ml.Intercept, ml.Recalibrate(), "maximum likelihood is calibrated as it is")
}

// The ends of the slope's interval become the ends of the difference.
func TestRiskDifference(t *testing.T) {
	rng := rand.New(rand.NewPCG(75, 76))
	d := randomData(rng, 150, 2, 3)
	for _, o := range bothPenalties {
		m := requireFit(t, d, o)
		slope := m.Profile(0, 0.95)
		r := m.RiskDifference(0, 0, 1, slope)
		require.Equal(t, stats.OK, r.Status)
		require.Equal(t, m.RisksAt(0, 0, 1, slope.Lo).Difference, r.Lo)
		require.Equal(t, m.RisksAt(0, 0, 1, slope.Hi).Difference, r.Hi)
		require.Equal(t, r.P1-r.P0, r.Value)
		require.True(t, r.Lo < r.Value && r.Value < r.Hi)
		require.Equal(t, "average over the records of "+slope.Method, r.Method)
		statstest.Near(t, r.Value, m.RisksAt(0, 0, 1, m.Coef[0]).Difference, 1e-8, "held at the estimate")
		statstest.Near(t, 0, m.RisksAt(0, 0, 1, 0).Difference, 1e-15, "no effect is no difference")
		back := m.RiskDifference(0, 1, 0, slope)
		statstest.NearAll(t, []float64{-r.Hi, -r.Value, -r.Lo}, []float64{back.Lo, back.Value, back.Hi}, 1e-12, "the other way round")
		// An infinite end has the value at the reach of the search.
		slope.Hi = math.Inf(1)
		require.Equal(t, m.RisksAt(0, 0, 1, 1e9).Difference, m.RiskDifference(0, 0, 1, slope).Hi)
		require.Equal(t, m.RisksAt(0, 0, 1, 15), m.RisksAt(0, 0, 1, 1e9))
	}
	// A restricted fit is recalibrated by the same rule.
	firth := requireFit(t, d, Options{Penalty: Firth})
	held := firth.Constrained(0, 0.4)
	require.Equal(t, 0.4, held.Coef[0])
	sum := 0.0
	for _, p := range logistic(firth.predict(held.Coef, firth.RecalibrateAt(held))) {
		sum += p
	}
	statstest.Near(t, firth.Successes, sum, 1e-10, "recalibrated with a slope held")
	// It never failed with the trigger: at an infinite slope all succeed with it.
	separated := Data{Y: []float64{12, 9}, N: []float64{12, 20}, X: [][]float64{{1, 0}}}
	m := requireFit(t, separated, Options{Penalty: Firth})
	statstest.NearAll(t, []float64{9. / 20, 1}, []float64{m.RisksAt(0, 0, 1, math.Inf(1)).P0, m.RisksAt(0, 0, 1, math.Inf(1)).P1}, 1e-5, "limit")
}

// VanderWeele & Ding (2017), Annals of Internal Medicine 167:268: a risk ratio of
// 3.9 (1.8 to 8.7) has E-values 7.26 and 3.0 (as printed, from memory).
func TestEValue(t *testing.T) {
	e := stats.Estimate{Status: stats.OK, Value: math.Log(3.9), Lo: math.Log(1.8), Hi: math.Log(8.7)}
	v := EValueOf(e, false)
	statstest.Near(t, 7.26, v.Point, 1e-3, "point")
	statstest.Near(t, 3.0, v.Limit, 1e-2, "limit")
	statstest.Near(t, 3.9+math.Sqrt(3.9*2.9), v.Point, 1e-14, "the formula")
	below := EValueOf(stats.Estimate{Status: stats.OK, Value: -e.Value, Lo: -e.Hi, Hi: -e.Lo}, false)
	statstest.NearAll(t, []float64{v.Point, v.Limit}, []float64{below.Point, below.Limit}, 1e-14, "turned over")
	common := EValueOf(e, true)
	root := math.Sqrt(3.9)
	statstest.Near(t, root+math.Sqrt(root*(root-1)), common.Point, 1e-14, "common outcome")
	e.Lo = -0.1
	require.Equal(t, 1.0, EValueOf(e, false).Limit, "an interval that holds no effect")
	require.Equal(t, 1.0, EValueOfRatio(1))
	require.True(t, math.IsInf(EValueOfRatio(0), 1))
	require.True(t, math.IsNaN(EValueOfRatio(math.NaN())))
}

// The ends of a profile beyond the search are infinite, and said to be.
func TestProfileWithoutLimit(t *testing.T) {
	// Four rows that leave nothing over for chance: the standard error is 8.7, and
	// the upper end lies far beyond 15.
	d := Data{Y: []float64{1, 1, 2, 1}, N: []float64{2, 1, 2, 1}, X: [][]float64{{0, -1, -1, 0}, {1, 0, -1, 0}, {-1, 1, 0, -1}}}
	m := requireFit(t, d, Options{Penalty: Firth})
	e := m.Profile(0, 0.95)
	require.Equal(t, stats.OK, e.Status)
	require.True(t, math.IsInf(e.Hi, 1) && !math.IsInf(e.Lo, -1))
	require.Contains(t, codes(e.Warnings), "no-upper-limit")
	require.NotContains(t, codes(e.Warnings), "no-lower-limit")
	for i := range d.X[0] {
		d.X[0][i] *= -1
	}
	e = requireFit(t, d, Options{Penalty: Firth}).Profile(0, 0.95)
	require.True(t, math.IsInf(e.Lo, -1) && !math.IsInf(e.Hi, 1))
	require.Contains(t, codes(e.Warnings), "no-lower-limit")
}
