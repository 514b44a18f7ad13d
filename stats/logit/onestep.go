package logit

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// A leaver works out, for each cluster, one Newton step away from the estimate
// towards the fit without that cluster (MacKinnon, Nielsen & Webb 2023). It needs
// the score and the information that each cluster adds, and passes over the rows
// once for all clusters together.
//
// Under the Firth penalty the weights are those of a scoring step, as if h
// trials, half of them successes, had been added to each pattern, and a cluster
// takes its added trials away with it; the information is corrected by
// penaltyCurvature. What is left out is that the leverages of the other rows grow.
type leaver struct {
	m         *Model
	k         *working
	info      []float64 // about the slopes, p by p
	curvature []float64 // see Model.penaltyCurvature; nil without penalty
	sums      []clusterSum
}

// newLeaver prepares the steps for the clusters with the given labels.
func (m *Model) newLeaver(cluster, labels []int) leaver {
	k := m.workingPoint(true)
	v := leaver{m: m, k: k, info: append([]float64(nil), k.info...), sums: m.clusterSums(k, cluster, labels)}
	if m.Penalty == Firth {
		v.curvature = m.curvature()
		subtract(v.info, 1, v.curvature)
	}
	return v
}

// A leave is a step: the change of the slopes and intercepts in the inner scale.
// length is how far it goes, in standard errors of the fit without the cluster.
type leave struct {
	point
	length float64
}

// emptied is the share of the weight of a group below which nothing of it is left.
const emptied = 1e-10

// rest is the weight that the group of a part keeps without it, 0 for none.
func (v leaver) rest(part clusterPart) float64 {
	whole := v.k.weight[part.group]
	if rest := whole - part.w; rest > emptied*whole {
		return rest
	}
	return 0
}

// step works out the step for cluster c. ok is false where the rest cannot tell
// the columns apart.
//
// Group g keeps the weight W_g - w and its mean moves by -wd/(W_g - w); the
// information about the slopes loses sum w d d' + wd wd'/(W_g - w).
func (v leaver) step(c int) (s leave, ok bool) {
	p, sum := v.m.fitted.p, v.sums[c]
	info, score := make([]float64, p*p), make([]float64, p)
	for i, x := range v.info {
		info[i] = x - sum.info[i]
	}
	for _, part := range sum.parts {
		rest := v.rest(part)
		for j, x := range part.wd {
			score[j] -= part.rd[j]
			if rest == 0 {
				continue
			}
			score[j] -= part.r * x / rest
			for k, y := range part.wd {
				info[j*p+k] -= x * y / rest
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

// intercepts fills in the change of the intercepts that goes with that of the
// slopes.
func (v leaver) intercepts(sum clusterSum, s *leave) {
	p := v.m.fitted.p
	for g := range s.a {
		s.a[g] = -dot(v.k.mean[g*p:(g+1)*p], s.b)
	}
	for _, part := range sum.parts {
		if rest := v.rest(part); rest > 0 {
			s.a[part.group] += (dot(part.wd, s.b) - part.r) / rest
			s.length += part.r * part.r / rest
		}
	}
}

// leavesOneOutcome reports whether the rest without cluster c has seen one outcome
// only: as a whole or, under maximum likelihood, in one of the groups.
func (v leaver) leavesOneOutcome(c int) bool {
	none := func(whole, part float64) bool { return whole-part <= rounding*whole }
	t := v.m.fitted
	s, n := t.totals()
	successes, failures := 0.0, 0.0
	for _, part := range v.sums[c].parts {
		successes, failures = successes+part.successes, failures+part.failures
		if v.m.Penalty == Firth {
			continue
		}
		gs, gn := t.counts(part.group)
		if none(gs, part.successes) != none(gn-gs, part.failures) {
			return true
		}
	}
	return none(s, successes) || none(n-s, failures)
}

// curvatureAtBest is penaltyCurvature at the estimate; nil without the Firth penalty.
func (m *Model) curvatureAtBest() []float64 {
	l := m.likelihood(m.fitted, nil)
	if m.Penalty != Firth || !l.at(m.best) {
		return nil
	}
	return m.penaltyCurvature(l)
}

// penaltyCurvature is what the information of a scoring step overstates: with
// kappa = w (1/2 - p) and d the distance of a row from the mean of its group, the
// derivative of sum h_i (1/2 - p_i) d_i with respect to the slopes, less that part
// of it which the weights (n + h) p (1-p) hold already:
//
//	sum 2 kappa_i (1/2 - p_i) d_i d_i' h_i/w_i - sum_g (2 u_g u_g'/W_g^2 + 4 V_g inv(S) V_g/W_g) - Z
//
// where u_g = sum kappa d and V_g = sum kappa d d' in group g, Z_jk is 2 tr(inv(S) T_j
// inv(S) T_k) and T_j = sum kappa d_j d d'. The intercepts are taken to move as the
// means of their groups do.
func (m *Model) penaltyCurvature(l *likelihood) []float64 {
	t, p := m.fitted, m.fitted.p
	inverse := byRows(l.chol.inverse())
	const parts = 32
	outs, thirds := make([][]float64, parts), make([][]float64, parts)
	each(parts, func(k int) {
		outs[k], thirds[k] = make([]float64, p*p), make([]float64, p*p*p)
		for g := k * t.groups() / parts; g < (k+1)*t.groups()/parts; g++ {
			m.addCurvature(outs[k], thirds[k], l, g, inverse)
		}
	})
	out, third := outs[0], thirds[0] // T_j, lower triangles
	for k := 1; k < parts; k++ {
		floats.Add(out, outs[k])
		floats.Add(third, thirds[k])
	}
	subtractTraces(out, third, inverse, p)
	return out
}

// addCurvature adds the rows of a group to penaltyCurvature and to T.
func (m *Model) addCurvature(out, third []float64, l *likelihood, g int, inverse []float64) {
	t, p := m.fitted, m.fitted.p
	d, room := make([]float64, p), make([]float64, p)
	one, two := make([]float64, p), make([]float64, p*p)
	for i := t.start[g]; i < t.start[g+1]; i++ {
		kappa := l.w[i] * l.half[i]
		f := 2 * kappa * l.half[i] * l.leverage(g, i, room)
		for j, x := range t.x {
			d[j] = x[i] - l.mean[g*p+j]
		}
		addThird(third, kappa, d)
		for j, x := range d {
			one[j] += kappa * x
			for k, y := range d {
				two[j*p+k] += kappa * x * y
				out[j*p+k] += f * x * y
			}
		}
	}
	w := l.weight[g]
	middle := product(product(two, inverse, p), two, p)
	for j := range p {
		for k := range p {
			out[j*p+k] -= 2*one[j]*one[k]/w/w + 4*middle[j*p+k]/w
		}
	}
}

// addThird adds kappa d_j d d' to the lower triangle of each T_j.
func addThird(third []float64, kappa float64, d []float64) {
	p := len(d)
	for j, x := range d {
		for a, y := range d {
			f := kappa * x * y
			row := third[(j*p+a)*p : (j*p+a)*p+a+1]
			for b := range row {
				row[b] += f * d[b]
			}
		}
	}
}

// subtractTraces takes 2 tr(inv(S) T_j inv(S) T_k) from out.
func subtractTraces(out, third, inverse []float64, p int) {
	solved := make([][]float64, p)
	for j := range solved {
		whole := third[j*p*p : (j+1)*p*p]
		for a := range p {
			for b := range a {
				whole[b*p+a] = whole[a*p+b]
			}
		}
		solved[j] = product(inverse, whole, p)
	}
	for j := range p {
		for k := range p {
			for a := range p {
				for b := range p {
					out[j*p+k] -= 2 * solved[j][a*p+b] * solved[k][b*p+a]
				}
			}
		}
	}
}

// byRows stores a square matrix by rows.
func byRows(a [][]float64) []float64 {
	out := make([]float64, 0, len(a)*len(a))
	for _, row := range a {
		out = append(out, row...)
	}
	return out
}

// product multiplies two p by p matrices.
func product(a, b []float64, p int) []float64 {
	out := make([]float64, p*p)
	for i := range p {
		for k := range p {
			f := a[i*p+k]
			for j, x := range b[k*p : (k+1)*p] {
				out[i*p+j] += f * x
			}
		}
	}
	return out
}
