package logit

import (
	"fmt"
	"slices"
)

// A clusterSum is what the rows of one cluster add to the score and the
// information of a likelihood.
type clusterSum struct {
	parts []clusterPart
	info  []float64 // sum of w d d', p by p
}

// A clusterPart is the rows that a cluster has in one group. d is the distance
// of a row from the weighted mean of the group.
type clusterPart struct {
	group     int // of the fitted table
	successes float64
	failures  float64
	w, r      float64
	wd, rd    []float64 // sums of w d and of r d
}

// A working point holds, at the estimate, the weight and the score residual that
// one trial of each pattern of the fitted table has, and the sums over all rows
// that go with them.
type working struct {
	l            *likelihood
	w            []float64 // a trial's share of the weight of its pattern
	p, q         []float64 // chance of success and of failure
	pull         []float64 // a trial's share of h (1/2 - p), 0 without penalty
	weight, mean []float64 // of the groups
	info         []float64 // S, p by p
}

// workingPoint evaluates the model at its estimate. With step the weights are
// those of a scoring step, see likelihood.finish; without they are n p (1-p).
func (m *Model) workingPoint(step bool) *working {
	l := m.likelihood(m.fitted, nil)
	l.keep()
	l.at(m.best)
	l.finish()
	t := m.fitted
	u := t.patterns()
	k := &working{l: l, w: make([]float64, u), p: make([]float64, u), q: make([]float64, u), pull: make([]float64, u), weight: l.weight, mean: l.mean, info: l.info}
	if step {
		k.weight, k.mean, k.info = l.step.weight, l.step.mean, l.step.info
	}
	d := make([]float64, t.p)
	for g := range t.groups() {
		for i := t.start[g]; i < t.start[g+1]; i++ {
			k.p[i], k.q[i] = 0.5-l.half[i], 0.5+l.half[i]
			k.w[i] = l.w[i] / t.n[i]
			if m.Penalty != Firth {
				continue
			}
			h := l.w[i] * l.leverage(g, i, d)
			k.pull[i] = h * l.half[i] / t.n[i]
			if step {
				k.w[i] *= 1 + h/t.n[i]
			}
		}
	}
	return k
}

// leverage is the diagonal element of the hat matrix for pattern i of group g,
// over its weight.
func (l *likelihood) leverage(g, i int, d []float64) float64 {
	mean := l.mean[g*l.t.p : (g+1)*l.t.p]
	for j, x := range l.t.x {
		d[j] = x[i] - mean[j]
	}
	l.chol.forward(d)
	v := 1 / l.weight[g]
	for _, z := range d {
		v += z * z
	}
	return v
}

// checkClusters refuses a list of clusters that does not fit the rows.
func (m *Model) checkClusters(cluster []int) error {
	if len(cluster) != m.data.Rows() {
		return fmt.Errorf("there are %d rows but %d of clusters", m.data.Rows(), len(cluster))
	}
	return nil
}

// fittedPatterns returns the pattern of the fitted table that each pattern of
// the full one became, -1 for those left out.
func (m *Model) fittedPatterns() []int32 {
	out := make([]int32, m.full.patterns())
	for i := range out {
		out[i] = -1
	}
	for k := range m.fitted.groups() {
		g := m.fullGroup(k)
		for i := m.full.start[g]; i < m.full.start[g+1]; i++ {
			out[i] = int32(m.fitted.start[k] + i - m.full.start[g])
		}
	}
	return out
}

// clusterSums adds up the rows of each of the given clusters (ascending). The parts
// of a cluster are in the order of the groups.
func (m *Model) clusterSums(k *working, cluster, labels []int) []clusterSum {
	t, p := m.fitted, m.fitted.p
	groupOf := t.groupOf()
	at := m.fittedPatterns()
	out := make([]clusterSum, len(labels))
	for c := range out {
		out[c].info = make([]float64, p*p)
	}
	where := map[[2]int]int{} // of the part of a cluster in a group
	d := make([]float64, p)
	for i, u := range m.full.rowOf {
		if u < 0 || at[u] < 0 {
			continue
		}
		c, _ := slices.BinarySearch(labels, cluster[i])
		v := int(at[u])
		g := groupOf[v]
		key := [2]int{c, g}
		n, ok := where[key]
		if !ok {
			n = len(out[c].parts)
			where[key] = n
			out[c].parts = append(out[c].parts, clusterPart{group: g, wd: make([]float64, p), rd: make([]float64, p)})
		}
		weight, trials, y := m.data.weight(i), m.data.trials(i), m.data.Y[i]
		out[c].parts[n].successes += weight * y
		out[c].parts[n].failures += weight * (trials - y)
		w := weight * trials * k.w[v]
		r := weight * (y*k.q[v] - (trials-y)*k.p[v] + trials*k.pull[v])
		for j, x := range t.x {
			d[j] = x[v] - k.mean[g*p+j]
		}
		out[c].add(n, d, w, r)
	}
	for c := range out {
		slices.SortFunc(out[c].parts, func(a, b clusterPart) int { return a.group - b.group })
	}
	return out
}

// add adds a row to part n.
func (s *clusterSum) add(n int, d []float64, w, r float64) {
	part := &s.parts[n]
	part.w += w
	part.r += r
	p := len(d)
	for j, x := range d {
		part.wd[j] += w * x
		part.rd[j] += r * x
		for k := range p {
			s.info[j*p+k] += w * x * d[k]
		}
	}
}

// groupOf returns the group of each pattern.
func (t *table) groupOf() []int {
	out := make([]int, t.patterns())
	for g := range t.groups() {
		for i := t.start[g]; i < t.start[g+1]; i++ {
			out[i] = g
		}
	}
	return out
}
