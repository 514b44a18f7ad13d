package logit

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"

	"gravid/stats"
)

// SignFlipOptions of SignFlip. The zero value fits the null model by maximum
// likelihood, enumerates up to 20 clusters and draws 9999 patterns beyond, with
// seed 0.
type SignFlipOptions struct {
	Fit        Options // of the null model
	Draws      int     // sign patterns drawn where there are too many to enumerate; 0 means 9999
	Seed       uint64  // of the draws
	Enumerated int     // most clusters whose sign patterns are all gone through; 0 means 20, at most 30
}

// A SignFlipTest is the result of SignFlip. Numbers are NaN where Status is not
// usable.
type SignFlipTest struct {
	Score    float64 // of slope j at 0; its sign is the direction of the link
	P        float64 // two-sided
	Smallest float64 // the least P that so many clusters can give
	Clusters int     // that have a score other than 0
	Patterns int     // of signs gone through, the one observed included
	Exact    bool    // all patterns were gone through
	Seed     uint64  // of the draws, where it is not exact
	Status   stats.Status
	Warnings []stats.Warning
}

// SignFlip tests slope j against 0 by flipping the signs of the clusters' scores
// (Hemerik, Goeman & Finos 2020; the cluster version is the wild score bootstrap of
// Kline & Santos 2012 with all patterns enumerated). If the slope is 0 the score
// of a cluster is as likely to be so much above 0 as below, whatever the
// correlation within it. P is the share of sign patterns whose sum is at least as
// far from 0 as the one observed.
//
// With p the chances under the model without column j and w = n p (1-p), cluster c
// has the score sum x~_i (y_i - n_i p_i), where x~ is column j less its w-weighted
// regression on the group intercepts and the other columns. Only the model without
// column j is fitted, so that a column that separates the outcomes is no trouble.
//
// With fewer than 6 clusters P cannot fall to 0.05, and the warning few-clusters
// says so.
func SignFlip(d Data, j int, cluster []int, o SignFlipOptions) (SignFlipTest, error) {
	nan := math.NaN()
	out := SignFlipTest{Score: nan, P: nan, Smallest: nan}
	null, err := Fit(d.Drop(j), o.Fit)
	if err != nil {
		return out, err
	}
	if err := d.Validate(); err != nil {
		return out, err
	}
	if err := null.checkClusters(cluster); err != nil {
		return out, err
	}
	out.Status, out.Warnings = null.Status, slices.Clone(null.Warnings)
	if !out.Status.Usable() {
		return out, nil
	}
	scores := null.clusterScores(d.X[j], cluster)
	out.Clusters = len(scores)
	if out.Clusters < 2 {
		out.Status = stats.TooLittle
		out.Warnings = append(out.Warnings, stats.Warn("few-clusters", "%d clusters compare anything, so there is nothing to flip", out.Clusters))
		return out, nil
	}
	out.flip(scores, o)
	if out.Smallest > 0.05 {
		out.Warnings = append(out.Warnings, stats.Warn("few-clusters", "%d clusters cannot give a p-value below %.3g", out.Clusters, out.Smallest))
	}
	return out, nil
}

// clusterScores returns the scores of a further column x, of the clusters in
// ascending order, without those of size 0.
func (m *Model) clusterScores(x []float64, cluster []int) []float64 {
	k := m.workingPoint(false)
	t, p := m.fitted, m.fitted.p
	groupOf, at := t.groupOf(), m.fittedPatterns()
	mean := m.weightedMeans(k, x, groupOf, at)
	// The regression on the other columns, with the intercepts partialled out.
	gamma, d := make([]float64, p), make([]float64, p)
	m.eachRow(at, func(i, v int) {
		w := m.data.weight(i) * m.data.trials(i) * k.w[v]
		for j, z := range t.x {
			gamma[j] += w * (z[v] - k.mean[groupOf[v]*p+j]) * (x[i] - mean[groupOf[v]])
		}
	})
	k.l.chol.solve(gamma)
	labels := m.clusters(cluster)
	score, size := make([]float64, len(labels)), make([]float64, len(labels))
	m.eachRow(at, func(i, v int) {
		for j, z := range t.x {
			d[j] = z[v] - k.mean[groupOf[v]*p+j]
		}
		rest := x[i] - mean[groupOf[v]] - dot(gamma, d)
		y, n := m.data.Y[i], m.data.trials(i)
		r := m.data.weight(i) * (y*k.q[v] - (n-y)*k.p[v])
		c, _ := slices.BinarySearch(labels, cluster[i])
		score[c] += rest * r
		size[c] += math.Abs(x[i]-mean[groupOf[v]]) * math.Abs(r)
	})
	largest := slices.Max(size)
	var out []float64
	for _, s := range score {
		if math.Abs(s) > rounding*largest {
			out = append(out, s)
		}
	}
	return out
}

// eachRow calls do for each row of the data that the fit is made of, with its
// pattern.
func (m *Model) eachRow(at []int32, do func(row, pattern int)) {
	for i, u := range m.full.rowOf {
		if u >= 0 && at[u] >= 0 {
			do(i, int(at[u]))
		}
	}
}

// weightedMeans returns the mean of x in each group, by the weights n p (1-p).
func (m *Model) weightedMeans(k *working, x []float64, groupOf []int, at []int32) []float64 {
	mean, total := make([]float64, m.fitted.groups()), make([]float64, m.fitted.groups())
	m.eachRow(at, func(i, v int) {
		g, w := groupOf[v], m.data.weight(i)*m.data.trials(i)*k.w[v]
		if w > 0 {
			total[g] += w
			mean[g] += (x[i] - mean[g]) * (w / total[g])
		}
	})
	return mean
}

// tieTolerance is how much, relative to the sum of the sizes, a flipped sum may
// fall short of the one observed and still count as equal.
const tieTolerance = 1e-10

// flip goes through the sign patterns.
func (t *SignFlipTest) flip(scores []float64, o SignFlipOptions) {
	sum, size := neumaier{}, 0.0
	for _, s := range scores {
		sum.add(s)
		size += math.Abs(s)
	}
	t.Score = sum.total()
	bar := math.Abs(t.Score) - tieTolerance*size
	most := min(o.Enumerated, 30)
	if most <= 0 {
		most = 20
	}
	if len(scores) <= most {
		t.Exact = true
		t.Patterns = 1 << (len(scores) - 1) // the other half mirrors these
		t.P = float64(countFlips(scores, bar)) / float64(t.Patterns)
		t.Smallest = 1 / float64(t.Patterns)
		return
	}
	draws := o.Draws
	if draws <= 0 {
		draws = 9999
	}
	t.Patterns, t.Seed = draws+1, o.Seed
	t.P = float64(1+drawFlips(scores, bar, draws, o.Seed)) / float64(draws+1)
	t.Smallest = 1 / float64(draws+1)
}

// countFlips counts the sign patterns, the sign of the first score held, whose sum
// reaches bar in size. Patterns follow a Gray code, so that one sign changes at a
// time (Knuth, The Art of Computer Programming 4A, 7.2.1.1).
func countFlips(scores []float64, bar float64) int {
	signed := slices.Clone(scores)
	sum := neumaier{}
	for _, s := range signed {
		sum.add(s)
	}
	count := 0
	for k := uint64(1); ; k++ {
		if math.Abs(sum.total()) >= bar {
			count++
		}
		if k == 1<<(len(scores)-1) {
			return count
		}
		i := 1 + bits.TrailingZeros64(k)
		sum.add(-2 * signed[i])
		signed[i] = -signed[i]
	}
}

// drawFlips counts, among patterns drawn at random, those that reach bar.
func drawFlips(scores []float64, bar float64, draws int, seed uint64) int {
	rng := rand.New(rand.NewPCG(seed, 0x5167_6e46_6c69_7073))
	count := 0
	for range draws {
		sum, word := 0.0, uint64(0)
		for i, s := range scores {
			if i%64 == 0 {
				word = rng.Uint64()
			}
			if word&1 == 0 {
				s = -s
			}
			word >>= 1
			sum += s
		}
		if math.Abs(sum) >= bar {
			count++
		}
	}
	return count
}
