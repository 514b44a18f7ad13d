package logit

import (
	"math"
)

// A leaver works out, for each cluster, one scoring step away from the estimate
// towards the fit without that cluster (MacKinnon, Nielsen & Webb 2023). It needs
// the score and the information that each cluster adds, and touches no row again.
//
// The weights are those of a scoring step of the Firth penalty, as if h trials,
// half of them successes, had been added to each pattern; a cluster takes its
// added trials away with it. What is left out is how the leverages of the other
// rows grow.
type leaver struct {
	m    *Model
	k    *working
	sums []clusterSum
}

// newLeaver prepares the steps for the clusters with the given labels.
func (m *Model) newLeaver(cluster, labels []int) leaver {
	k := m.workingPoint(true)
	return leaver{m, k, m.clusterSums(k, cluster, labels)}
}

// A leave is a step: the change of the slopes and intercepts in the inner scale.
// length is how far it goes, in standard errors of the fit without the cluster.
type leave struct {
	point
	length float64
}

// emptied is the share of the weight of a group below which nothing of it is left.
const emptied = 1e-10

// step works out the step for cluster c. ok is false where the rest cannot tell
// the columns apart.
//
// Group g keeps the weight W_g - w and its mean moves by -wd/(W_g - w); the
// information about the slopes loses sum w d d' + wd wd'/(W_g - w).
func (v leaver) step(c int) (s leave, ok bool) {
	p := v.m.fitted.p
	sum := v.sums[c]
	info := make([]float64, p*p)
	for i, x := range v.k.info {
		info[i] = x - sum.info[i]
	}
	score := make([]float64, p)
	for _, part := range sum.parts {
		rest := v.rest(part)
		for j := range p {
			score[j] -= part.rd[j]
			if rest == 0 {
				continue
			}
			score[j] -= part.r * part.wd[j] / rest
			for k := range p {
				info[j*p+k] -= part.wd[j] * part.wd[k] / rest
			}
		}
	}
	var chol cholesky
	if !chol.factor(info, p) {
		return leave{}, false
	}
	b := append([]float64(nil), score...)
	chol.solve(b)
	s = leave{point{b, make([]float64, v.m.fitted.groups())}, dot(score, b)}
	v.intercepts(sum, &s)
	s.length = math.Sqrt(math.Max(0, s.length))
	return s, true
}

// rest is the weight that the group of a part keeps, 0 for none.
func (v leaver) rest(part clusterPart) float64 {
	whole := v.k.weight[part.group]
	if rest := whole - part.w; rest > emptied*whole {
		return rest
	}
	return 0
}

// intercepts fills in the change of the intercepts that goes with that of the
// slopes.
func (v leaver) intercepts(sum clusterSum, s *leave) {
	p := v.m.fitted.p
	for g := range s.a {
		s.a[g] = -dot(v.k.mean[g*p:(g+1)*p], s.b)
	}
	for _, part := range sum.parts {
		rest := v.rest(part)
		if rest == 0 {
			continue
		}
		s.a[part.group] += (dot(part.wd, s.b) - part.r) / rest
		s.length += part.r * part.r / rest
	}
}
