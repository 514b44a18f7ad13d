package logit

import (
	"math"
	"slices"
)

// A conditionalLikelihood evaluates the conditional log-likelihood of a table at
// one point at a time, with the score, the information and, under the Firth
// penalty, the derivative of the information. Strata are spread over the processors in
// chunks whose borders follow from the table alone.
type conditionalLikelihood struct {
	t     *table
	ties  Ties
	firth bool

	loglik float64
	value  float64 // penalty included
	strataSum
	score []float64 // of value
	chol  cholesky  // of info

	x      []float64 // pattern i has columns x[i*p : (i+1)*p]
	chunks []strataChunk
	rooms  []*strataRoom // one for each processor
}

// A strataSum holds sums over strata.
type strataSum struct {
	plain []float64 // score without penalty
	info  []float64 // p by p, lower triangle until all is added up
	third []float64 // derivative of info with respect to slope a at a*p*p; nil without penalty
}

// A strataChunk is a run of strata.
type strataChunk struct {
	lo, hi int
	loglik float64
	strataSum
}

// chunkPatterns is about how many patterns a chunk holds.
const chunkPatterns = 256

func newConditionalLikelihood(t *table, o ConditionalOptions) *conditionalLikelihood {
	p := t.p
	l := &conditionalLikelihood{t: t, ties: o.Ties, firth: o.Penalty == Firth, score: make([]float64, p), x: make([]float64, t.patterns()*p)}
	for i := range t.patterns() {
		t.row(i, l.row(i))
	}
	l.strataSum = l.newSum()
	for lo := 0; lo < t.groups(); {
		hi := lo + 1
		for hi < t.groups() && t.start[hi]-t.start[lo] < chunkPatterns {
			hi++
		}
		l.chunks = append(l.chunks, strataChunk{lo: lo, hi: hi, strataSum: l.newSum()})
		lo = hi
	}
	return l
}

func (l *conditionalLikelihood) newSum() strataSum {
	p := l.t.p
	s := strataSum{plain: make([]float64, p), info: make([]float64, p*p)}
	if l.firth {
		s.third = make([]float64, p*p*p)
	}
	return s
}

func (s strataSum) clear() {
	clear(s.plain)
	clear(s.info)
	clear(s.third)
}

func (l *conditionalLikelihood) row(i int) []float64 { return l.x[i*l.t.p : (i+1)*l.t.p] }

// at evaluates everything at b and reports whether it exists there.
func (l *conditionalLikelihood) at(b []float64) bool {
	for len(l.rooms) < workers(len(l.chunks)) {
		l.rooms = append(l.rooms, newStrataRoom(l))
	}
	eachBy(len(l.chunks), func(worker, k int) {
		c := &l.chunks[k]
		c.clear()
		c.loglik = 0
		for g := c.lo; g < c.hi; g++ {
			c.loglik += l.rooms[worker].stratum(g, b, c.strataSum)
		}
	})
	l.clear()
	total := neumaier{}
	for k := range l.chunks {
		c := &l.chunks[k]
		total.add(c.loglik)
		subtract(l.plain, -1, c.plain)
		subtract(l.info, -1, c.info)
		subtract(l.third, -1, c.third)
	}
	p := l.t.p
	for j := range p {
		for k := range j {
			l.info[k*p+j] = l.info[j*p+k]
		}
	}
	l.loglik, l.value = total.total(), total.total()
	if math.IsNaN(l.loglik) || !l.chol.factor(l.info, p) {
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
