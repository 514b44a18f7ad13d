package logit

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// stretches numbers rows 0 to n-1 in consecutive clusters of nearly equal size,
// as weather episodes do.
func stretches(n, clusters int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i * clusters / n
	}
	return out
}

// One step against an exact refit for every cluster: clusters across the groups,
// clusters that are the groups, many columns, two rows to a cluster. The bands are
// what was found with these data, rounded up: the standard error within 1%, each
// fit within 1% of a standard error.
func TestOneStepAgainstExactRefits(t *testing.T) {
	for _, s := range []struct{ rows, columns, groups, clusters int }{
		{2000, 3, 12, 300}, {600, 3, 12, 60}, {300, 3, 6, 60}, {500, 3, 60, 60}, {400, 5, 12, 200}, {150, 3, 6, 75}, {1000, 5, 30, 200},
	} {
		d := randomData(rand.New(rand.NewPCG(9, uint64(s.rows))), s.rows, s.columns, s.groups)
		cluster := stretches(s.rows, s.clusters)
		if s.groups == s.clusters {
			cluster = d.Group
		}
		for _, o := range bothPenalties {
			what := fmt.Sprintf("%v, %v", s, o.Penalty)
			m := requireFit(t, d, o)
			one, err := m.Jackknife(cluster, 0, 0.95)
			require.NoError(t, err)
			exact, err := m.JackknifeExact(cluster, 0, 0.95)
			require.NoError(t, err)
			require.Equal(t, stats.OK, one.Status, what)
			require.Greater(t, one.Approximated, s.clusters/2, what)
			require.Zero(t, exact.Approximated)
			require.Equal(t, "leave one cluster out by one step, "+o.Penalty.String(), one.Method)
			require.Equal(t, "leave one cluster out, "+o.Penalty.String(), exact.Method)
			statstest.NearRel(t, exact.SE, one.SE, 0.01, what)
			for k := range one.Coef {
				require.InDelta(t, exact.Coef[k], one.Coef[k], 0.01*exact.SE, what)
			}
		}
	}
}

// The curvature of the penalised log-likelihood along the slopes, the intercepts
// moving as the means of their groups do, against central differences of the
// score.
func TestPenaltyCurvature(t *testing.T) {
	rng := rand.New(rand.NewPCG(71, 72))
	for _, groups := range []int{1, 4} {
		d := randomData(rng, 90, 3, groups)
		m := requireFit(t, d, Options{Penalty: Firth})
		k := m.workingPoint(true)
		p, tb := m.fitted.p, m.fitted
		mean := slices.Clone(k.l.mean)
		want := make([][]float64, p)
		for j := range p {
			const h = 1e-5
			ends := [2][]float64{}
			for e, side := range []float64{1, -1} {
				pt := m.best.clone()
				pt.b[j] += side * h
				for g := range pt.a {
					pt.a[g] -= side * h * mean[g*p+j]
				}
				l := newLikelihood(tb, true)
				require.True(t, l.at(pt))
				l.finish()
				ends[e] = slices.Clone(l.scoreB)
				for c := range p { // from x - step.mean to x - mean
					for g, r := range l.scoreA {
						ends[e][c] += (l.step.mean[g*p+c] - mean[g*p+c]) * r
					}
				}
			}
			for c := range p {
				want[j] = append(want[j], (ends[1][c]-ends[0][c])/(2*h))
			}
		}
		curvature := m.penaltyCurvature(k.l)
		for j := range p {
			for c := range p {
				got := k.info[j*p+c] - curvature[j*p+c]
				if c > j { // only the lower triangle is kept
					got = k.info[c*p+j] - curvature[j*p+c]
				}
				for g, w := range k.weight { // from the mean of the step to the other
					got += w * (k.mean[g*p+j] - mean[g*p+j]) * (k.mean[g*p+c] - mean[g*p+c])
				}
				statstest.Near(t, want[j][c], got, 1e-6, fmt.Sprintf("%d groups, element %d,%d", groups, j, c))
			}
		}
	}
}

// Where the outcomes are separated every fit is exact, however many clusters.
func TestJackknifeRefitsSeparated(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(73, 74)), 240, 1, 1)
	for i, x := range d.X[0] {
		if x == 1 {
			d.Y[i] = 1
		}
	}
	m := requireFit(t, d, Options{Penalty: Firth})
	require.True(t, m.Separation.Separated())
	j, err := m.Jackknife(stretches(240, 80), 0, 0.95)
	require.NoError(t, err)
	require.Zero(t, j.Approximated)
	require.Equal(t, stats.OK, j.Status)
}

// The cluster that all successes of a group lie in is refitted, and found out.
func TestJackknifeRefitsWhatOneStepCannot(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(75, 76)), 320, 2, 4)
	cluster := stretches(320, 80)
	for i := range d.Y {
		if d.Group[i] == 4 {
			d.Y[i] = 0
			if cluster[i] == 40 || cluster[i] == 41 {
				d.Y[i], cluster[i] = 1, 40
			}
		}
	}
	m := requireFit(t, d, Options{})
	one, err := m.Jackknife(cluster, 0, 0.95)
	require.NoError(t, err)
	exact, err := m.JackknifeExact(cluster, 0, 0.95)
	require.NoError(t, err)
	k := slices.Index(one.Clusters, 40)
	require.Equal(t, math.Float64bits(exact.Coef[k]), math.Float64bits(one.Coef[k]))
	require.Less(t, one.Approximated, len(one.Clusters))

	// All successes in one cluster: nothing is left to compare.
	for i := range d.Y {
		d.Y[i] = 0
		if cluster[i] == 40 {
			d.Y[i] = float64(i % 2)
		}
	}
	m = requireFit(t, d, Options{Penalty: Firth})
	one, err = m.Jackknife(cluster, 0, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, one.Status)
	require.Equal(t, 1, one.Failed)
}

// The same bytes on any number of cores, and in whatever order the clusters are
// numbered.
func TestOneStepDeterminism(t *testing.T) {
	d := randomData(rand.New(rand.NewPCG(77, 78)), 6000, 3, 10)
	m := requireFit(t, d, Options{Penalty: Firth})
	cluster := stretches(6000, 500)
	run := func(procs int) string {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(procs))
		j, err := m.Jackknife(cluster, 0, 0.95)
		require.NoError(t, err)
		require.NotZero(t, j.Approximated)
		return fmt.Sprintf("%b %b %d", j.Coef, j.SE, j.Approximated)
	}
	require.Equal(t, run(1), run(8))
	j, err := m.Jackknife(cluster, 0, 0.95)
	require.NoError(t, err)
	renamed := slices.Clone(cluster)
	for i := range renamed {
		renamed[i] = -3 * renamed[i]
	}
	r, err := m.Jackknife(renamed, 0, 0.95)
	require.NoError(t, err)
	slices.Reverse(r.Coef)
	require.Equal(t, j.Coef, r.Coef)
}

// Weather episodes across keepers.
func BenchmarkJackknifeManyClusters(b *testing.B) {
	for _, s := range []struct{ rows, clusters int }{{2000, 300}, {10000, 2000}} {
		b.Run(fmt.Sprintf("rows=%d/clusters=%d", s.rows, s.clusters), func(b *testing.B) {
			d := randomData(rand.New(rand.NewPCG(5, 6)), s.rows, 5, 30)
			m := requireFit(b, d, Options{Penalty: Firth})
			cluster := stretches(s.rows, s.clusters)
			for b.Loop() {
				if _, err := m.Jackknife(cluster, 0, 0.95); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
