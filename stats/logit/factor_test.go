package logit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// The columns of a factor are those of the reference fit, and its test is R's for the
// term.
func TestFactorReference(t *testing.T) {
	c := statstest.Load(t, "logistic_birthwt_lwt_race")
	table := statstest.LoadTable(t, c.Dataset()[0])
	names, columns, err := Factor("race", table.Texts("race"), nil)
	require.NoError(t, err)
	require.Equal(t, []string{"race2", "race3"}, names)
	d := Data{Y: table.Floats("low"), Names: append([]string{"lwt"}, names...), X: append([][]float64{table.Floats("lwt")}, columns...)}
	m := requireFit(t, d, Options{})
	c.NearAll(append([]float64{m.Intercept[0]}, m.Coef...), "coef")
	test := m.LRTest(1, 2)
	statstest.Near(t, c.Floats("lr_drop_each_term", "chisq")[1], test.Statistic, 1e-8, "race")

	// Another first level turns the contrasts round and leaves the test alone.
	_, columns, err = Factor("race", table.Texts("race"), []string{"3", "1", "2"})
	require.NoError(t, err)
	d.X = append([][]float64{table.Floats("lwt")}, columns...)
	other := requireFit(t, d, Options{})
	statstest.Near(t, -m.Coef[2], other.Coef[1], 1e-9, "1 against 3")
	statstest.Near(t, m.WaldTest(1, 2).Statistic, other.WaldTest(1, 2).Statistic, 1e-9, "Wald test of all levels")
	contrast, err := m.Contrast([]float64{0, 1, -1}, 0.95)
	require.NoError(t, err)
	statstest.Near(t, other.Coef[2], contrast.Value, 1e-9, "2 against 3")
	statstest.Near(t, other.SE[2], contrast.SE, 1e-9, "2 against 3")
}

func TestFactorRefusals(t *testing.T) {
	_, _, err := Factor("tank", []string{"a", "b"}, []string{"a"})
	require.EqualError(t, err, `tank, row 2: "b" is none of the levels`)
	_, _, err = Factor("tank", []string{"a"}, []string{"a", "a"})
	require.EqualError(t, err, `tank: the level "a" is there twice`)
	names, columns, err := Factor("tank", []string{"a", "a"}, nil)
	require.NoError(t, err)
	require.Empty(t, names)
	require.Empty(t, columns)
}

func TestContrastRefusals(t *testing.T) {
	m := requireFit(t, Data{Y: []float64{4, 2}, N: []float64{5, 7}, X: [][]float64{{1, 0}}}, Options{})
	_, err := m.Contrast([]float64{1, 2}, 0.95)
	require.EqualError(t, err, "there are 1 columns but 2 weights")
	_, err = m.Contrast([]float64{math.NaN()}, 0.95)
	require.EqualError(t, err, "the weight of x1, NaN, is not a finite number")
	none, err := m.Contrast([]float64{0}, 0.95)
	require.NoError(t, err)
	require.Equal(t, []float64{0, 0, 1}, []float64{none.Value, none.SE, none.P})
	separated := requireFit(t, Data{Y: []float64{5, 2}, N: []float64{5, 7}, X: [][]float64{{1, 0}}}, Options{Penalty: Firth})
	c, err := separated.Contrast([]float64{1}, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.Separated, c.Status)
	require.True(t, math.IsNaN(c.Value))
}

// One side of a test of one slope is half of both, on the side of the estimate; that of
// the signed root of the statistic (R: pnorm).
func TestOneSided(t *testing.T) {
	m := requireFit(t, Data{Y: []float64{4, 2}, N: []float64{5, 7}, X: [][]float64{{1, 0}}}, Options{})
	require.Positive(t, m.Coef[0])
	for _, x := range []Test{m.WaldTest(0), m.LRTest(0)} {
		above, below := x.OneSided(m.Coef[0], true), x.OneSided(m.Coef[0], false)
		statstest.Near(t, 1, above+below, 1e-14, "both sides")
		statstest.Near(t, math.Erfc(math.Sqrt(x.Statistic/2))/2, above, 1e-12, "signed root")
		require.Equal(t, below, x.OneSided(-m.Coef[0], true))
	}
	r, err := m.Robust([]int{1, 2}, CR1)
	require.NoError(t, err)
	if w := r.WaldTest(ChiSquare, 0); w.Status.Usable() {
		statstest.Near(t, w.P/2, w.OneSided(m.Coef[0], true), 1e-14, "robust")
	}
	require.True(t, math.IsNaN(Test{DF: 2, Status: stats.OK}.OneSided(1, true)))
	require.True(t, math.IsNaN(RobustTest{DF1: 2, Status: stats.OK}.OneSided(1, true)))
}
