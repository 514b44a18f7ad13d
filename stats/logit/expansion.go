package logit

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/floats"
)

// An expansion is the penalised score of a large table as a polynomial of the third
// degree in the distance from the estimate, group by group. A fit without some cluster
// is then found from it and from the rows of the cluster alone, without passing over all
// rows again.
//
// With z = (1, x) of a row, w1 = w its weight n p (1-p), and w2, w3, w4 the derivatives
// of w1 with respect to the linear predictor, the sums of w1 z z', w2 z z z, w3 z z z z
// give the score U, the information I and its derivative T at a distance d:
//
//	U - I d - T dd/2 - Q ddd/6,  I + T d + Q dd/2,  T + Q d
//
// and Firth's penalty adds 1/2 tr(inv(I) T_j) to the score, together with the term of
// the second degree that T lacks, for which inv(I) is that of the estimate.
type expansion struct {
	*expandedModel
	rows [][]leftRow // of each cluster
}

// An expandedModel is what the expansions about an estimate have in common.
type expandedModel struct {
	m      *Model
	q      int // the intercept of the group and the slopes
	groups []expanded
	w      []float64 // of the patterns, at the estimate
}

// expanded is the sums over one group, all about the inner scale: score, sums of w1 zz,
// w2 zzz and w3 zzzz, and that of w4 h zzz with h the leverage over the weight.
type expanded struct{ score, info, third, fourth, pull []float64 }

// A leftRow is what a cluster has of a pattern.
type leftRow struct {
	group, pattern int
	s, n           float64
}

// From expandFrom patterns on, an expansion is made instead of refitting. expandRoom is
// how many sums it may keep.
const (
	expandFrom = 20_000
	expandRoom = 8 << 20
)

// What is left out of the score may move a fit by at most expandError of its standard
// errors, and no linear predictor may move further than expandReach.
const (
	expandError = 1e-5
	expandReach = 0.25
)

// expander makes the expansion of a model when it is first asked for. It gives nil where
// a refit is to be preferred.
func (m *Model) expander(cluster, labels []int) func() *expansion {
	q := m.fitted.p + 1
	if m.Penalty != Firth || m.Separation.Separated() || m.full.patterns() < expandFrom || q*q*q*q*m.fitted.groups() > expandRoom {
		return func() *expansion { return nil }
	}
	return sync.OnceValue(func() *expansion { return m.expand(cluster, labels) })
}

// expandAtBest works out the sums of all groups.
func (m *Model) expandAtBest() *expandedModel {
	l := m.likelihood(m.fitted, nil)
	l.at(m.best)
	x := &expandedModel{m: m, q: m.fitted.p + 1, groups: make([]expanded, m.fitted.groups()), w: l.w}
	each(len(x.groups), func(g int) { x.groups[g] = x.group(l, g) })
	return x
}

func (m *Model) expand(cluster, labels []int) *expansion {
	x := &expansion{m.expanded(), make([][]leftRow, len(labels))}
	place := make(map[int]int, len(labels))
	for c, label := range labels {
		place[label] = c
	}
	groupOf := m.full.groupOf()
	for i, u := range m.full.rowOf {
		if u >= 0 {
			c, w := place[cluster[i]], m.data.weight(i)
			x.rows[c] = append(x.rows[c], leftRow{groupOf[u], int(u), w * m.data.Y[i], w * m.data.trials(i)})
		}
	}
	return x
}

// group adds up the rows of a group.
func (x *expandedModel) group(l *likelihood, g int) expanded {
	t, q := x.m.fitted, x.q
	e := expanded{make([]float64, q), make([]float64, q*q), make([]float64, q*q*q), make([]float64, q*q*q*q), make([]float64, q*q*q)}
	z, room := make([]float64, q), make([]float64, t.p)
	for i := t.start[g]; i < t.start[g+1]; i++ {
		t.shown(i, z)
		w := l.w[i] / t.n[i]
		w2, w3 := 2*l.w[i]*l.half[i], l.w[i]*(1-6*w)
		w4h := w2 * (1 - 12*w) * l.leverage(g, i, room)
		for j := range q {
			e.score[j] += l.r[i] * z[j]
			for k := range j + 1 {
				two := z[j] * z[k]
				e.info[j*q+k] += l.w[i] * two
				for n := range k + 1 {
					at, three := (j*q+k)*q+n, two*z[n]
					e.third[at] += w2 * three
					e.pull[at] += w4h * three
					row, f := e.fourth[at*q:at*q+n+1], w3*three
					for a, v := range z[:n+1] {
						row[a] += f * v
					}
				}
			}
		}
	}
	for order, sums := range map[int][]float64{2: e.info, 3: e.third, 4: e.fourth} {
		mirror(sums, q, order)
	}
	mirror(e.pull, q, 3)
	return e
}

// shown fills in z of pattern i.
func (t *table) shown(i int, z []float64) {
	z[0] = 1
	for j, column := range t.x {
		z[j+1] = column[i]
	}
}

// mirror copies sums from indexes that do not rise to all others with the same ones.
func mirror(sums []float64, q, order int) {
	index := make([]int, order)
	for at := range sums {
		rest := at
		for k := order - 1; k >= 0; k-- {
			index[k] = rest % q
			rest /= q
		}
		for k := range index { // falling
			for n := k; n > 0 && index[n] > index[n-1]; n-- {
				index[n], index[n-1] = index[n-1], index[n]
			}
		}
		from := 0
		for _, v := range index {
			from = from*q + v
		}
		sums[at] = sums[from]
	}
}

// contract multiplies sums of one order more than out by d.
func contract(out, sums, d []float64) {
	q := len(d)
	for i := range out {
		v := 0.0
		for k, x := range sums[i*q : (i+1)*q] {
			v += x * d[k]
		}
		out[i] = v
	}
}

// A leftOut is the fit without one cluster on its way.
type leftOut struct {
	x     *expansion
	rows  []leftRow // of the cluster
	b     []float64 // how far the slopes have moved from the estimate
	parts []leftPart

	info, whole []float64 // about the slopes, p by p, without the cluster and with it
	chol        cholesky
}

// A leftPart is a group without the cluster.
type leftPart struct {
	left               bool    // something of it is
	a                  float64 // how far the intercept has moved
	score, info, third []float64
}

// without fits the rows outside cluster c, from a given start, with the curvature of the
// penalty at the estimate. It returns the slopes in the inner scale; ok is false where
// all rows are needed for that: the fit lies too far away, or the rest tells less than
// the whole.
func (x *expansion) without(c int, start point, curvature []float64) (b []float64, ok bool) {
	f := x.begin(c, start)
	if f == nil {
		return nil, false
	}
	for range mostSteps {
		for g := range f.parts {
			f.take(g)
		}
		f.leave()
		if !f.factor() {
			return nil, false
		}
		length := f.advance(curvature)
		if !(length < maxStep) {
			return nil, false
		}
		if length < settled {
			return f.end()
		}
	}
	return nil, false
}

// A fit has settled when its step is below settled; it gives up after mostSteps.
const (
	settled   = 1e-9
	mostSteps = 20
)

// begin returns nil where the rest has seen one outcome only.
func (x *expansion) begin(c int, start point) *leftOut {
	t, q, best := x.m.fitted, x.q, x.m.best
	f := &leftOut{x: x, rows: x.rows[c], b: difference(start.b, best.b), parts: make([]leftPart, len(x.groups))}
	f.info, f.whole = make([]float64, t.p*t.p), make([]float64, t.p*t.p)
	s, n := append([]float64(nil), t.successes...), append([]float64(nil), t.trials...)
	for _, r := range f.rows {
		s[r.group] -= r.s
		n[r.group] -= r.n
	}
	both := false
	for g := range f.parts {
		small := emptied * t.trials[g]
		both = both || s[g] > small && n[g]-s[g] > small
		if n[g] > small {
			f.parts[g] = leftPart{true, start.a[g] - best.a[g], make([]float64, q), make([]float64, q*q), make([]float64, q*q*q)}
		}
	}
	if !both {
		return nil
	}
	return f
}

// move is how far the parameters of a group have moved.
func (f *leftOut) move(g int) []float64 { return append([]float64{f.parts[g].a}, f.b...) }

// take works out the sums over a whole group at the point reached.
func (f *leftOut) take(g int) {
	e, part := &f.x.groups[g], &f.parts[g]
	if !part.left {
		return
	}
	q, d := f.x.q, f.move(g)
	contract(part.third, e.fourth, d) // Q d
	one, two := make([]float64, q*q), make([]float64, q)
	contract(one, part.third, d) // Q dd
	contract(two, one, d)        // Q ddd
	contract(part.info, e.third, d)
	contract(part.score, part.info, d) // T dd
	for j := range part.score {
		part.score[j] = e.score[j] - dot(e.info[j*q:(j+1)*q], d) - part.score[j]/2 - two[j]/6
	}
	for i := range part.info {
		part.info[i] += e.info[i] + one[i]/2
	}
	floats.Add(part.third, e.third)
	contract(one, e.pull, d)
	contract(two, one, d)
	floats.AddScaled(part.score, 0.25, two)
}

// leave takes away what the rows of the cluster have at the point reached.
func (f *leftOut) leave() {
	t, q := f.x.m.fitted, f.x.q
	clear(f.whole)
	for g := range f.parts {
		f.addInfo(f.whole, g)
	}
	z := make([]float64, q)
	for _, row := range f.rows {
		part := &f.parts[row.group]
		if !part.left {
			continue
		}
		t.shown(row.pattern, z)
		eta := f.x.m.best.a[row.group] + part.a + t.offset(row.pattern)
		for j, b := range f.b {
			eta += (f.x.m.best.b[j] + b) * z[j+1]
		}
		p, o := chance(eta)
		r, w := row.s*o-(row.n-row.s)*p, row.n*p*o
		for j, v := range z {
			part.score[j] -= r * v
			for k, u := range z[:j+1] {
				two := w * v * u
				part.info[j*q+k] -= two
				floats.AddScaled(part.third[(j*q+k)*q:(j*q+k)*q+k+1], -two*(o-p), z[:k+1])
			}
		}
	}
	for g := range f.parts {
		if part := &f.parts[g]; part.left {
			part.mirror(q)
		}
	}
}

// mirror copies the sums from indexes that do not rise to all others with the same ones.
func (part *leftPart) mirror(q int) {
	for j := range q {
		for k := range j + 1 {
			part.info[k*q+j] = part.info[j*q+k]
			for n := range k + 1 {
				v := part.third[(j*q+k)*q+n]
				part.third[(j*q+n)*q+k] = v
				part.third[(k*q+j)*q+n] = v
				part.third[(k*q+n)*q+j] = v
				part.third[(n*q+j)*q+k] = v
				part.third[(n*q+k)*q+j] = v
			}
		}
	}
}

// addInfo adds what a group tells of the slopes.
func (f *leftOut) addInfo(info []float64, g int) {
	p, q, part := f.x.q-1, f.x.q, &f.parts[g]
	if !part.left {
		return
	}
	for j := range p {
		for k := range p {
			info[j*p+k] += part.info[(j+1)*q+k+1] - part.info[j+1]*part.info[k+1]/part.info[0]
		}
	}
}

// factor works out the information and reports whether the rest tells the slopes apart
// about as well as the whole does.
func (f *leftOut) factor() bool {
	p := f.x.q - 1
	clear(f.info)
	for g := range f.parts {
		if f.parts[g].left && !(f.parts[g].info[0] > 0) {
			return false
		}
		f.addInfo(f.info, g)
	}
	for j := range p {
		if !(f.info[j*p+j] > 1e-3*f.whole[j*p+j]) {
			return false
		}
	}
	return f.chol.factor(f.info, p)
}

// advance adds the penalty to the score and takes a step, whose length it returns.
func (f *leftOut) advance(curvature []float64) float64 {
	p, q := f.x.q-1, f.x.q
	inverse := f.chol.inverse()
	score, mean := make([]float64, p), make([]float64, p)
	block := make([]float64, q*q) // of the inverse of the whole information
	for g := range f.parts {
		part := &f.parts[g]
		if !part.left {
			continue
		}
		over := 1 / part.info[0]
		for j := range mean {
			mean[j] = part.info[j+1] * over
		}
		block[0] = over + quadratic(mean, inverse, mean)
		for j := range p {
			v := -dot(inverse[j], mean)
			block[j+1], block[(j+1)*q] = v, v
			copy(block[(j+1)*q+1:(j+2)*q], inverse[j])
		}
		for j := range q {
			part.score[j] += dot(part.third[j*q*q:(j+1)*q*q], block) / 2
		}
		for j := range p {
			score[j] += part.score[j+1] - mean[j]*part.score[0]
		}
	}
	info := difference(f.info, curvature)
	var chol cholesky
	if !chol.factor(info, p) {
		chol = f.chol
	}
	chol.solve(score) // now the step
	length := floats.Norm(score, math.Inf(1))
	floats.Add(f.b, score)
	for g := range f.parts {
		part := &f.parts[g]
		if !part.left {
			continue
		}
		step := part.score[0] / part.info[0]
		for j, v := range score {
			step -= part.info[j+1] / part.info[0] * v
		}
		part.a += step
		length = math.Max(length, math.Abs(step))
	}
	return length
}

// end returns the slopes, unless they lie too far away: the part of the score of the
// fourth degree is at most sum w |move|^4 |z| / 24, which moves the fit by at most
// sqrt(sum w move^8) / 24 of its standard errors.
func (f *leftOut) end() (b []float64, ok bool) {
	t := f.x.m.fitted
	sum := 0.0
	room := make([]float64, tileRows)
	for _, s := range t.segments {
		if !f.parts[s.group].left {
			continue
		}
		for lo := s.lo; lo < s.hi; lo += tileRows {
			hi := min(lo+tileRows, s.hi)
			move := room[:hi-lo]
			for i := range move {
				move[i] = f.parts[s.group].a
			}
			for j, v := range f.b {
				floats.AddScaled(move, v, t.x[j][lo:hi])
			}
			for i, v := range move {
				if math.Abs(v) > expandReach {
					return nil, false
				}
				v *= v
				v *= v
				sum += f.x.w[lo+i] * v * v
			}
		}
	}
	if !(math.Sqrt(sum)/24 < expandError) {
		return nil, false
	}
	b = append([]float64(nil), f.b...)
	floats.Add(b, f.x.m.best.b)
	return b, true
}
