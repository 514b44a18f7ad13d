package logit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
)

// bigData is a table large enough for an expansion, with a weight and several trials in
// some rows where mixed.
func bigData(seed uint64, columns, groups int, mixed bool) Data {
	rng := rand.New(rand.NewPCG(41, seed))
	d := randomData(rng, expandFrom+500, columns, groups)
	if mixed {
		d.N, d.Weights = filled(d.Rows(), 1), filled(d.Rows(), 1)
		for i := range d.N {
			if i%3 == 0 {
				d.N[i], d.Y[i] = 3, float64(rng.IntN(4))
			}
			d.Weights[i] = 1 + float64(i%2)
		}
	}
	return d
}

// The fit without a cluster by expansion against the fit to all other rows: clusters that
// are groups, and clusters across the groups of which some are large.
func TestExpansionAgainstRefits(t *testing.T) {
	for _, s := range []struct {
		columns, groups int
		clusters        string
		mixed           bool
	}{{3, 20, "groups", false}, {5, 30, "groups", true}, {4, 12, "stretches", false}, {2, 1, "stretches", true}} {
		what := fmt.Sprint(s)
		d := bigData(uint64(s.columns), s.columns, s.groups, s.mixed)
		cluster := d.Group
		if s.clusters == "stretches" {
			cluster = stretches(d.Rows(), 25)
		}
		m := requireFit(t, d, Options{Penalty: Firth})
		labels := m.clusters(cluster)
		x := m.expander(cluster, labels)()
		require.NotNil(t, x, what)
		v := m.newLeaver(cluster, labels)
		exact, err := m.JackknifeExact(cluster, 0, 0.95)
		require.NoError(t, err)
		by, err := m.Jackknife(cluster, 0, 0.95)
		require.NoError(t, err)
		expanded, distance := 0, 0.0
		for k := range labels {
			step, ok := v.step(k)
			require.True(t, ok, what)
			start := m.best.clone()
			start.shift(1, step.point)
			if b, ok := x.without(k, start, v.curvature); ok {
				expanded++
				require.InDelta(t, exact.Coef[k], b[0]/m.full.scale[0], expandError*m.SE[0], what)
				require.Equal(t, b[0]/m.full.scale[0], by.Coef[k], what)
			} else {
				require.Equal(t, exact.Coef[k], by.Coef[k], what)
			}
			distance = max(distance, math.Abs(exact.Coef[k]-by.Coef[k])/m.SE[0])
		}
		require.Greater(t, expanded, len(labels)/2, what)
		t.Logf("%s: %d of %d by expansion, at most %.2g standard errors away", what, expanded, len(labels), distance)
		require.InEpsilon(t, exact.SE, by.SE, 1e-4, what)
		require.Zero(t, by.Approximated)
	}
}

// Where the expansion cannot serve, all rows are fitted: a cluster that holds nearly all
// there is to a column, one that holds all successes, and a fit that lies far away.
func TestExpansionGivesUp(t *testing.T) {
	d := bigData(7, 3, 4, false)
	cluster := stretches(d.Rows(), 4)
	for i := range d.Y {
		if cluster[i] == 0 {
			d.X[0][i] += 20 * float64(i%2) // tells nearly all
		} else {
			d.X[0][i] /= 100
		}
	}
	m := requireFit(t, d, Options{Penalty: Firth})
	labels := m.clusters(cluster)
	x := m.expander(cluster, labels)()
	require.NotNil(t, x)
	_, ok := x.without(0, m.best, make([]float64, 9))
	require.False(t, ok, "the first cluster holds nearly all there is to column 0")

	for i := range d.Y {
		d.Y[i] = 0
		if cluster[i] == 2 && i%2 == 0 {
			d.Y[i] = 1
		}
	}
	m = requireFit(t, d, Options{Penalty: Firth})
	if x := m.expander(cluster, labels)(); x != nil {
		_, ok = x.without(2, m.best, make([]float64, 9))
		require.False(t, ok, "no success is left")
	}
	l, err := m.Jackknife(cluster, 1, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, l.Refit[2])
}

// Small tables, other penalties and separated outcomes are refitted.
func TestNoExpansion(t *testing.T) {
	small := randomData(rand.New(rand.NewPCG(1, 9)), 500, 3, 6)
	big := bigData(8, 3, 6, false)
	for _, c := range []struct {
		d Data
		p Penalty
	}{{small, Firth}, {big, None}, {big, LogF}} {
		m := requireFit(t, c.d, Options{Penalty: c.p})
		require.Nil(t, m.expander(c.d.Group, m.clusters(c.d.Group))(), c.p)
	}
}
