package logit

import (
	"math"
	"slices"
)

// A conditionalLikelihood evaluates the conditional log-likelihood of a table at
// one point at a time, with the score, the information and, under the Firth
// penalty, the derivative of the information.
//
// The logarithm of each stratum's denominator is the cumulant function of a sum of
// columns over a random set of rows, so its derivatives are that sum's mean,
// covariance and third central moment.
type conditionalLikelihood struct {
	t     *table
	ties  Ties
	firth bool

	loglik float64
	value  float64 // penalty included
	plain  []float64
	score  []float64 // of value
	info   []float64 // p by p
	third  []float64 // derivative of info with respect to slope a at a*p*p
	chol   cholesky  // of info

	states []moments // room for the recursion
}

// moments describe a random set of rows: the logarithm of its total weight, and the
// mean, covariance and third central moment of the sum of their columns. third
// stays nil where it is not needed.
type moments struct {
	log        float64
	mean       []float64
	cov, third []float64
	delta      []float64 // working room
}

func newConditionalLikelihood(t *table, o ConditionalOptions) *conditionalLikelihood {
	p := t.p
	l := &conditionalLikelihood{t: t, ties: o.Ties, firth: o.Penalty == Firth, plain: make([]float64, p), score: make([]float64, p), info: make([]float64, p*p)}
	if l.firth {
		l.third = make([]float64, p*p*p)
	}
	most := 1
	for g := range t.groups() {
		s, n := t.counts(g)
		most = max(most, int(math.Min(s, n-s)))
	}
	for range most + 2 {
		l.states = append(l.states, l.newMoments())
	}
	return l
}

func (l *conditionalLikelihood) newMoments() moments {
	p := l.t.p
	m := moments{mean: make([]float64, p), cov: make([]float64, p*p), delta: make([]float64, p)}
	if l.firth {
		m.third = make([]float64, p*p*p)
	}
	return m
}

// at evaluates everything at b and reports whether it exists there.
func (l *conditionalLikelihood) at(b []float64) bool {
	l.loglik = 0
	clear(l.plain)
	clear(l.info)
	clear(l.third)
	total := neumaier{}
	for g := range l.t.groups() {
		total.add(l.stratum(g, b))
	}
	l.loglik, l.value = total.total(), total.total()
	if math.IsNaN(l.loglik) || !l.chol.factor(l.info, l.t.p) {
		return false
	}
	copy(l.score, l.plain)
	if l.firth {
		l.value += l.chol.logDet() / 2
		l.penalise()
	}
	return true
}

// penalise adds half the trace of inv(info) times its derivative to the score.
func (l *conditionalLikelihood) penalise() {
	p := l.t.p
	inverse := byRows(l.chol.inverse())
	for a := range p {
		l.score[a] += dot(inverse, l.third[a*p*p:(a+1)*p*p]) / 2
	}
}

// stratum adds stratum g to the sums and returns its log-likelihood.
func (l *conditionalLikelihood) stratum(g int, b []float64) float64 {
	lo, hi := l.t.start[g], l.t.start[g+1]
	eta := make([]float64, hi-lo)
	value := 0.0
	for i := lo; i < hi; i++ {
		eta[i-lo] = l.t.off[i] + dot(b, l.t.row(i))
		value += l.t.s[i] * eta[i-lo]
		for j, x := range l.t.row(i) {
			l.plain[j] += l.t.s[i] * x
		}
	}
	if l.ties == Exact {
		return value - l.exact(lo, eta)
	}
	return value - l.approximate(lo, eta)
}

// take adds the moments of a denominator, times times, to the sums.
func (l *conditionalLikelihood) take(m *moments, times float64) {
	subtract(l.plain, times, m.mean)
	subtract(l.info, -times, m.cov)
	if l.firth {
		subtract(l.third, -times, m.third)
	}
}

// exact returns the logarithm of the sum, over all sets of as many rows as there
// are successes, of exp(sum of eta), by the recursion of Gail, Lubin & Rubinstein
// (1981): state j holds the sets of j rows among those met so far. Where failures
// are fewer, their sets are gone through instead, with the signs turned.
func (l *conditionalLikelihood) exact(lo int, eta []float64) float64 {
	sum, successes, failures := 0.0, 0, 0
	for i, e := range eta {
		n := int(l.t.n[lo+i])
		sum += float64(n) * e
		successes += int(l.t.s[lo+i])
		failures += n - int(l.t.s[lo+i])
	}
	size, sign := successes, 1.0
	if failures < successes {
		size, sign = failures, -1
	}
	states := l.states[:size+1]
	for j := range states {
		states[j].reset()
	}
	states[0].log = 0
	met := 0
	for i, e := range eta {
		for range int(l.t.n[lo+i]) {
			met++
			for j := min(met, size); j > 0; j-- {
				states[j].mix(&states[j-1], sign*e, sign, l.t.row(lo+i))
			}
		}
	}
	out := &states[size]
	l.take(out, 1)
	if sign < 0 {
		for i := range eta { // all rows, less those left out
			subtract(l.plain, l.t.n[lo+i], l.t.row(lo+i))
		}
		return sum + out.log
	}
	return out.log
}

// reset makes m the moments of nothing.
func (m *moments) reset() {
	m.log = math.Inf(-1)
	clear(m.mean)
	clear(m.cov)
	clear(m.third)
}

// mix adds to m the sets of from with a further row, of weight exp(eta) and columns
// sign*x: the moments become those of a mixture of two, which all follow from the
// share w of the second and the distance of the means.
func (m *moments) mix(from *moments, eta, sign float64, x []float64) {
	add := from.log + eta
	if math.IsInf(add, -1) {
		return
	}
	log := logAdd(m.log, add)
	w := math.Exp(add - log)
	p := len(x)
	delta := m.delta
	for j := range delta {
		delta[j] = from.mean[j] + sign*x[j] - m.mean[j]
	}
	if m.third != nil {
		m.mixThird(from, w)
	}
	for j, d := range delta {
		for k := range j + 1 {
			at := j*p + k
			m.cov[at] += w*(from.cov[at]-m.cov[at]) + w*(1-w)*d*delta[k]
			m.cov[k*p+j] = m.cov[at]
		}
	}
	for j, d := range delta {
		m.mean[j] += w * d
	}
	m.log = log
}

// mixThird does so for the third central moment, before the others change.
func (m *moments) mixThird(from *moments, w float64) {
	p, d := len(m.delta), m.delta
	v := w * (1 - w)
	diff := func(a, b int) float64 { return from.cov[a*p+b] - m.cov[a*p+b] }
	for a := range p {
		for b := range p {
			for c := range p {
				at := (a*p+b)*p + c
				m.third[at] += w*(from.third[at]-m.third[at]) +
					v*(diff(a, b)*d[c]+diff(a, c)*d[b]+diff(b, c)*d[a]) +
					v*(1-2*w)*d[a]*d[b]*d[c]
			}
		}
	}
}

// logAdd is log(exp(a) + exp(b)).
func logAdd(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(b, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}

// approximate returns the logarithm of the denominator of Breslow, or that of
// Efron, in which the successes count less with each one taken.
func (l *conditionalLikelihood) approximate(lo int, eta []float64) float64 {
	successes := 0.0
	for i := range eta {
		successes += l.t.s[lo+i]
	}
	if successes == 0 {
		return 0
	}
	if l.ties == Breslow {
		m := l.choose(lo, eta, 0)
		l.take(m, successes)
		return successes * m.log
	}
	sum := 0.0
	for taken := range int(successes) {
		m := l.choose(lo, eta, float64(taken)/successes)
		l.take(m, 1)
		sum += m.log
	}
	return sum
}

// choose returns the moments of one row chosen with weight exp(eta), that of a
// success reduced by the given share.
func (l *conditionalLikelihood) choose(lo int, eta []float64, less float64) *moments {
	m, nothing := &l.states[1], &l.states[0]
	m.reset()
	nothing.reset()
	nothing.log = 0
	for i, e := range eta {
		if n := l.t.n[lo+i] - less*l.t.s[lo+i]; n > 0 {
			m.mix(nothing, e+math.Log(n), 1, l.t.row(lo+i))
		}
	}
	return m
}

// maximise moves b to the maximum of value over the slopes that are not held, by
// Newton's method (scoring, under the penalty), halving steps until value does not
// fall.
func (l *conditionalLikelihood) maximise(b []float64, held []int, o ConditionalOptions) (iterations int, ok bool) {
	limits := Options{MaxIter: o.MaxIter, Tol: o.Tol}
	var free []int
	for j := range b {
		if !slices.Contains(held, j) {
			free = append(free, j)
		}
	}
	if !l.at(b) {
		return 0, false
	}
	var chol cholesky
	var speed accelerator
	for iterations = range limits.maxIter() + 1 {
		step, decrement, ok := l.step(free, &chol)
		if !ok {
			return iterations, false
		}
		if decrement < limits.tol() && longest(step) < limits.tol()*math.Max(1, longest(b)) {
			return iterations, true
		}
		if iterations == limits.maxIter() || !l.advance(b, free, step, &speed) {
			return iterations, false
		}
	}
	return iterations, false
}

// step returns the scoring step of the free slopes and its length in standard
// errors.
func (l *conditionalLikelihood) step(free []int, chol *cholesky) (step []float64, decrement float64, ok bool) {
	f, p := len(free), l.t.p
	info, score := make([]float64, f*f), make([]float64, f)
	for a, j := range free {
		score[a] = l.score[j]
		for c, k := range free {
			info[a*f+c] = l.info[j*p+k]
		}
	}
	if !chol.factor(info, f) {
		return nil, 0, false
	}
	step = slices.Clone(score)
	chol.solve(step)
	return step, math.Sqrt(math.Max(0, dot(step, score))), true
}

// advance takes the step and leaves l evaluated at the new point; it reports
// whether one was found. Under the penalty steps shrink by a constant factor only,
// which the accelerator shortens.
func (l *conditionalLikelihood) advance(b []float64, free []int, step []float64, speed *accelerator) bool {
	before, scale, length := l.value, 1.0, longest(step)
	if l.firth && length < acceleratedLength {
		at := make([]float64, len(free))
		for a, j := range free {
			at[a] = b[j]
		}
		if better := speed.improve(at, step); better != nil {
			if l.move(b, free, better, 1, before) {
				return true
			}
			speed.forget()
		}
	}
	if length > maxStep {
		scale = maxStep / length
	}
	for range maxHalvings {
		if l.move(b, free, step, scale, before) {
			return true
		}
		scale /= 2
	}
	return false
}

// move goes part of a step, unless the value falls below before.
func (l *conditionalLikelihood) move(b []float64, free []int, step []float64, scale, before float64) bool {
	trial := slices.Clone(b)
	for a, j := range free {
		trial[j] = b[j] + scale*step[a]
	}
	if !l.at(trial) || !(l.value >= before-1e-13*(1+math.Abs(before))-1e-15*float64(l.t.p)*l.chol.loss) {
		return false
	}
	copy(b, trial)
	return true
}

func longest(v []float64) float64 {
	out := 0.0
	for _, x := range v {
		out = math.Max(out, math.Abs(x))
	}
	return out
}
