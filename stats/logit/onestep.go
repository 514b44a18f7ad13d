package logit

import "math"

// A leaver works out, for each cluster, one scoring step away from the estimate
// towards the fit without that cluster (MacKinnon, Nielsen & Webb 2023). It needs
// the score and the information that each cluster adds, and passes over the rows
// once for all clusters together.
//
// Under the Firth penalty the weights are those of a scoring step, as if h
// trials, half of them successes, had been added to each pattern: a cluster takes
// its added trials away with it, and the leverages of all other rows grow, see
// spread.
type leaver struct {
	m      *Model
	k      *working
	sums   []clusterSum
	spread *spread // nil without penalty
	bend []float64
}

// newLeaver prepares the steps for the clusters with the given labels.
func (m *Model) newLeaver(cluster, labels []int) leaver {
	k := m.workingPoint(true)
	v := leaver{m: m, k: k, sums: m.clusterSums(k, cluster, labels)}
	if m.Penalty == Firth {
		v.spread = m.newSpread(k, cluster, labels)
	v.bend = v.spread.bend()
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

// rest is the weight that a group keeps without a part of it, 0 for none.
func rest(whole float64, part clusterPart) float64 {
	if rest := whole - part.w; rest > emptied*whole {
		return rest
	}
	return 0
}

// infoWithout is the information about the slopes without a cluster. Group g
// keeps the weight W_g - w and its mean moves by -wd/(W_g - w), so that sum w d d'
// + wd wd'/(W_g - w) is lost.
func infoWithout(whole, weight []float64, sum clusterSum) []float64 {
	info := make([]float64, len(whole))
	for i, x := range whole {
		info[i] = x - sum.info[i]
	}
	for _, part := range sum.parts {
		rest := rest(weight[part.group], part)
		if rest == 0 {
			continue
		}
		p := len(part.wd)
		for j, x := range part.wd {
			for k, y := range part.wd {
				info[j*p+k] -= x * y / rest
			}
		}
	}
	return info
}

// step works out the step for cluster c. ok is false where the rest cannot tell
// the columns apart.
func (v leaver) step(c int) (s leave, ok bool) {
	p, sum := v.m.fitted.p, v.sums[c]
	var chol cholesky
	info:=infoWithout(v.k.info, v.k.weight, sum)
	if BEND { for i,x:=range v.bend { info[i]-=x } }
	if !chol.factor(info, p) {
		return leave{}, false
	}
	score, groups := make([]float64, p), make([]float64, len(sum.parts))
	if SPREAD && v.spread != nil && !v.spread.score(c, score, groups) {
		return leave{}, false
	}
	for n, part := range sum.parts {
		groups[n] -= part.r
		for j, x := range part.rd {
			score[j] -= x
		}
		if rest := rest(v.k.weight[part.group], part); rest > 0 {
			for j, x := range part.wd {
				score[j] += groups[n] * x / rest
			}
		}
	}
	b := append([]float64(nil), score...)
	chol.solve(b)
	s = leave{point{b, make([]float64, v.m.fitted.groups())}, dot(score, b)}
	v.intercepts(sum, groups, &s)
	s.length = math.Sqrt(math.Max(0, s.length))
	return s, true
}

// intercepts fills in the change of the intercepts that goes with that of the
// slopes.
func (v leaver) intercepts(sum clusterSum, groups []float64, s *leave) {
	p := v.m.fitted.p
	for g := range s.a {
		s.a[g] = -dot(v.k.mean[g*p:(g+1)*p], s.b)
	}
	for n, part := range sum.parts {
		if rest := rest(v.k.weight[part.group], part); rest > 0 {
			s.a[part.group] += (dot(part.wd, s.b) + groups[n]) / rest
			s.length += groups[n] * groups[n] / rest
		}
	}
}

// A spread knows how the penalty's part of the score, sum h_i (1/2 - p_i) x_i,
// changes when a cluster leaves and the leverages h_i of the other rows grow. With
// S' the information without the cluster, D = inv(S') - inv(S) and e_g the move
// of the mean of group g, the leverage of a row at distance d from the old mean
// grows by w (d'D d), and in a group that the cluster has rows in by
// w ((d+e)' inv(S') (d+e) - d' inv(S) d + 1/W'_g - 1/W_g).
// With kappa = w (1/2 - p), sums of kappa d d' x over all rows give the first
// without touching a row.
type spread struct {
	m     *Model
	l     *likelihood
	to    []float64    // means that the score is taken along, g*p+j
	sums  []clusterSum // with the weights n p (1-p)
	kappa []float64    // of a trial of each pattern

	zero  []float64 // sum of kappa of each group
	one   []float64 // sum of kappa d, g*p+j
	two   []float64 // sum of kappa d d', (g*p+j)*p+k
	cross []float64 // sum of kappa d (x-to)' of each group, likewise
	three []float64 // sum of kappa (x-to) d d' over all rows
	inv   [][]float64
}

func (m *Model) newSpread(k *working, cluster, labels []int) *spread {
	plain := m.workingPoint(false)
	t, p := m.fitted, m.fitted.p
	groups := t.groups()
	s := &spread{
		m: m, l: plain.l, to: k.mean, sums: m.clusterSums(plain, cluster, labels), kappa: plain.w,
		zero: make([]float64, groups), one: make([]float64, groups*p), two: make([]float64, groups*p*p), cross: make([]float64, groups*p*p),
		three: make([]float64, p*p*p), inv: plain.l.chol.inverse(),
	}
	d, to := make([]float64, p), make([]float64, p)
	for g := range groups {
		for i := t.start[g]; i < t.start[g+1]; i++ {
			s.kappa[i] *= plain.l.half[i]
			s.distance(g, i, d, to)
			s.add(g, s.kappa[i]*t.n[i], d, to)
		}
	}
	return s
}

// distance fills in the distance of pattern i of group g from its mean and from
// the mean that the score is taken along.
func (s *spread) distance(g, i int, d, to []float64) {
	p := len(d)
	for j, x := range s.m.fitted.row(i) {
		d[j], to[j] = x-s.l.mean[g*p+j], x-s.to[g*p+j]
	}
}

func (s *spread) add(g int, kappa float64, d, to []float64) {
	p := len(d)
	s.zero[g] += kappa
	for j, x := range d {
		s.one[g*p+j] += kappa * x
		for k := range p {
			s.two[(g*p+j)*p+k] += kappa * x * d[k]
			s.cross[(g*p+j)*p+k] += kappa * x * to[k]
		}
		three := s.three[j*p*p : (j+1)*p*p]
		f := kappa * to[j]
		for a, y := range d {
			fy := f * y
			for b, z := range d[:a+1] {
				three[a*p+b] += fy * z
			}
		}
	}
}

// score adds to score (of the slopes) and groups (of the intercepts of the parts
// of cluster c) what the growth of the leverages outside the cluster brings.
func (s *spread) score(c int, score, groups []float64) bool {
	p, sum := len(score), s.sums[c]
	var chol cholesky
	if !chol.factor(infoWithout(s.l.info, s.l.weight, sum), p) {
		return false
	}
	diff := chol.inverse()
	for j := range diff {
		for k := range diff[j] {
			diff[j][k] -= s.inv[j][k]
		}
	}
	for j := range score {
		score[j] += contract(diff, s.three[j*p*p:(j+1)*p*p])
	}
	tau, f := make([]float64, len(sum.parts)), make([][]float64, len(sum.parts))
	for n, part := range sum.parts {
		g := part.group
		groups[n] += dense(diff, s.two[g*p*p:(g+1)*p*p])
		f[n] = make([]float64, p)
		rest := rest(s.l.weight[g], part)
		if rest == 0 {
			continue
		}
		for j, x := range part.wd {
			f[n][j] = x / rest
		}
		e := append([]float64(nil), f[n]...)
		chol.solve(f[n])
		tau[n] = 1/rest - 1/s.l.weight[g] + dot(e, f[n])
		groups[n] += tau[n]*s.zero[g] + 2*dot(f[n], s.one[g*p:(g+1)*p])
		for j := range score {
			for k := range p {
				score[j] += 2 * f[n][k] * s.cross[(g*p+k)*p+j]
			}
			score[j] += tau[n] * (s.one[g*p+j] - s.zero[g]*(s.to[g*p+j]-s.l.mean[g*p+j]))
		}
	}
	s.ownRows(sum, diff, tau, f, score, groups)
	return true
}

// ownRows takes the rows of the cluster itself out again.
func (s *spread) ownRows(sum clusterSum, diff [][]float64, tau []float64, f [][]float64, score, groups []float64) {
	p := len(score)
	d, to := make([]float64, p), make([]float64, p)
	for _, r := range sum.rows {
		s.distance(sum.parts[r.part].group, r.pattern, d, to)
		v := r.trials * s.kappa[r.pattern] * (quadratic(d, diff, d) + tau[r.part] + 2*dot(f[r.part], d))
		groups[r.part] -= v
		for j, x := range to {
			score[j] -= v * x
		}
	}
}

// contract is the sum of a_jk b_jk, b symmetric with its lower triangle given.
func contract(a [][]float64, b []float64) float64 {
	p, v := len(a), 0.0
	for j := range a {
		for k := range j {
			v += 2 * a[j][k] * b[j*p+k]
		}
		v += a[j][j] * b[j*p+j]
	}
	return v
}

// dense is the sum of a_jk b_jk.
func dense(a [][]float64, b []float64) float64 {
	p, v := len(a), 0.0
	for j := range a {
		v += dot(a[j], b[j*p:(j+1)*p])
	}
	return v
}

var BEND,SPREAD=true,true
func (s *spread) bend() []float64 {
	t, p := s.m.fitted, s.m.fitted.p
	out := make([]float64, p*p)
	d, to := make([]float64, p), make([]float64, p)
	for g := range t.groups() {
		w := s.l.weight[g]
		for i := t.start[g]; i < t.start[g+1]; i++ {
			s.distance(g, i, d, to)
			lev := 1/w + quadratic(d, s.inv, d)
			f := 2 * s.kappa[i] * t.n[i] * s.l.half[i] * lev
			for j := range p { for k := range p { out[j*p+k] += f * d[j] * d[k] } }
		}
		for j := range p {
			for k := range p {
				out[j*p+k] -= 2 * s.one[g*p+j] * s.one[g*p+k] / w / w
				for a := range p { for b := range p {
					out[j*p+k] -= 4 / w * s.two[(g*p+j)*p+a] * s.inv[a][b] * s.two[(g*p+b)*p+k]
				}}
			}
		}
	}
	// 2 tr(S^-1 T_j S^-1 T_k)
	mats := make([][]float64, p)
	for j := range p {
		full := make([]float64, p*p)
		for a := range p { for b := range p { x:=a; y:=b; if y>x {x,y=y,x}; full[a*p+b]=s.three[j*p*p+x*p+y] } }
		m := make([]float64, p*p)
		for a := range p { for b := range p { for c := range p { m[a*p+b] += s.inv[a][c]*full[c*p+b] } } }
		mats[j] = m
	}
	for j := range p { for k := range p {
		for a := range p { for b := range p { out[j*p+k] -= 2*mats[j][a*p+b]*mats[k][b*p+a] } }
	}}
	return out
}
