package logit

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
)

func codes(ws []stats.Warning) []string {
	var out []string
	for _, w := range ws {
		out = append(out, w.Code)
	}
	return out
}

func TestIdentifyNamesEachFault(t *testing.T) {
	rng := rand.New(rand.NewPCG(51, 52))
	d := randomData(rng, 90, 2, 3)
	n := d.Rows()
	column := func(f func(i int) float64) []float64 {
		x := make([]float64, n)
		for i := range x {
			x[i] = f(i)
		}
		return x
	}
	d.Names = []string{"trigger", "temperature", "never", "keeper size", "fahrenheit", "sum"}
	d.X = append(d.X,
		column(func(int) float64 { return 0.1 }),
		column(func(i int) float64 { return float64(d.Group[i]) }),
		column(func(i int) float64 { return 1.8*d.X[1][i] + 32 }),
		column(func(i int) float64 { return d.X[0][i] + d.X[1][i] + float64(d.Group[i]) }),
	)
	id, err := Identify(d)
	require.NoError(t, err)
	require.False(t, id.OK())
	require.Equal(t, []int{2}, id.Constant)
	require.Equal(t, []int{3}, id.ConstantInGroups)
	require.Len(t, id.Aliased, 2)
	require.Contains(t, id.Aliased, []int{4, 1})
	require.Equal(t, []int{2, 3, 4, 5}, id.Faulty())
	require.Equal(t, []string{"constant", "constant-in-groups", "aliased", "aliased"}, codes(id.Warnings()))
	require.Equal(t, "never never varied in these records, so nothing can be said about it", id.Warnings()[0].Text)
	require.Equal(t, "fahrenheit and temperature always happened together, so the records cannot tell them apart", id.Warnings()[2].Text)

	m, err := Fit(d, Options{Penalty: Firth})
	require.NoError(t, err)
	require.Equal(t, stats.NotIdentifiable, m.Status)
	require.True(t, math.IsNaN(m.Coef[0]))
	rest := d.Drop(id.Faulty()...)
	require.Equal(t, []string{"trigger", "temperature"}, rest.Names)
	requireFit(t, rest, Options{Penalty: Firth})

	// Without groups the size of the keeper is an ordinary column.
	d.Group = nil
	id, err = Identify(d)
	require.NoError(t, err)
	require.Empty(t, id.ConstantInGroups)
	require.Contains(t, id.Aliased, []int{5, 0, 1, 3})
}

func TestIdentifyUncontrasted(t *testing.T) {
	// Column 0 varies only in group 2, which never failed.
	d := Data{
		Y:     []float64{1, 0, 1, 0, 1, 1, 1},
		X:     [][]float64{{0, 0, 0, 0, 0, 1, 1}, {1, 2, 1, 3, 5, 6, 4}},
		Group: []int{1, 1, 1, 1, 2, 2, 2},
	}
	for _, o := range bothPenalties {
		m, err := Fit(d, o)
		require.NoError(t, err)
		require.Equal(t, stats.NotIdentifiable, m.Status)
		require.Equal(t, []int{0}, m.Identifiability.Uncontrasted)
		require.Equal(t, []string{"uninformative-groups", "uncontrasted"}, codes(m.Warnings))
	}
}

func TestIdentifyMoreColumnsThanRows(t *testing.T) {
	rng := rand.New(rand.NewPCG(53, 54))
	d := randomData(rng, 6, 0, 1)
	d.Group, d.Y = nil, []float64{1, 0, 1, 0, 1, 0}
	for range 9 {
		x := make([]float64, 6)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		d.X = append(d.X, x)
	}
	id, err := Identify(d)
	require.NoError(t, err)
	require.Len(t, id.Faulty(), 4, "six rows and an intercept leave room for five columns")
	m, err := Fit(d, Options{Penalty: Firth})
	require.NoError(t, err)
	require.Equal(t, stats.NotIdentifiable, m.Status)
	// The separation test looks at the columns that are left.
	sep, err := DetectSeparation(d)
	require.NoError(t, err)
	require.Equal(t, Complete, sep.Kind)
}

// A condition index beyond 30 is said, and the pair named, but the fit goes
// ahead.
func TestIdentifyCollinear(t *testing.T) {
	rng := rand.New(rand.NewPCG(55, 56))
	d := randomData(rng, 300, 2, 2)
	near := make([]float64, d.Rows())
	for i := range near {
		near[i] = 3*d.X[1][i] + 0.02*rng.NormFloat64()
	}
	d.X = append(d.X, near)
	m := requireFit(t, d, Options{Penalty: Firth})
	require.Greater(t, m.Identifiability.ConditionIndex, 30.0)
	require.Equal(t, []int{1, 2}, m.Identifiability.Pair)
	require.Contains(t, codes(m.Warnings), "collinear")
	m = requireFit(t, d.Drop(2), Options{Penalty: Firth})
	require.Less(t, m.Identifiability.ConditionIndex, 30.0)
	require.Nil(t, m.Identifiability.Pair)
}

// The blocks of rows of the QR decomposition make no difference.
func TestIdentifyManyRows(t *testing.T) {
	rng := rand.New(rand.NewPCG(57, 58))
	d := randomData(rng, 3*blockRows+17, 3, 5)
	sum := slices.Clone(d.X[0])
	for i := range sum {
		sum[i] -= 2 * d.X[1][i]
	}
	d.X = append(d.X, sum)
	id, err := Identify(d)
	require.NoError(t, err)
	require.Len(t, id.Aliased, 1)
	set := slices.Clone(id.Aliased[0])
	slices.Sort(set)
	require.Equal(t, []int{0, 1, 3}, set)
}

// A time in seconds since 1970 varies, however little of it that is; the last
// digits of a repeated sum do not.
func TestIdentifyRounding(t *testing.T) {
	tenth := 0.1
	d := Data{Y: []float64{1, 0, 1, 0}, X: [][]float64{{1.7e9, 1.7e9 + 1, 1.7e9, 1.7e9 + 2}, {0.3, tenth + 2*tenth, 0.3, 0.3}}}
	require.NotEqual(t, d.X[1][0], d.X[1][1])
	id, err := Identify(d)
	require.NoError(t, err)
	require.Equal(t, []int{1}, id.Constant)
	require.Equal(t, []int{1}, id.Faulty())
}
