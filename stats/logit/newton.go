package logit

import (
	"math"
	"slices"
)

// Penalty says what is added to the log-likelihood.
type Penalty int

const (
	// None is plain maximum likelihood. It has no answer where the outcomes are
	// separated.
	None Penalty = iota
	// Firth adds half the log determinant of the information (Jeffreys' prior;
	// Firth 1993, Heinze & Schemper 2002). The estimates are always finite
	// (Kosmidis & Firth 2021) and have less bias.
	Firth
	// LogF adds beta/2 - log(1 + exp(beta)) for the slope beta of each column of
	// Options.LogFOn: the logF(1,1) prior (Greenland & Mansournia 2015), which puts
	// 95% of the odds ratios for one unit between 1/648 and 648. It depends on the
	// unit of the column: one unit should be a large but plausible step. Intercepts
	// are left alone.
	LogF
)

// String returns the penalty in a word or two.
func (p Penalty) String() string {
	switch p {
	case Firth:
		return "Firth penalty"
	case LogF:
		return "logF(1,1) penalty"
	}
	return "maximum likelihood"
}

// Options of a fit. The zero value is maximum likelihood with the usual limits.
type Options struct {
	Penalty Penalty
	LogFOn  []int   // columns with the LogF penalty; nil means all
	MaxIter int     // most iterations of one maximisation; 0 means 200
	Tol     float64 // see Fit; 0 means 1e-10
}

// logF reports whether column j has the LogF penalty, where that is chosen.
func (o Options) logF(j int) bool { return o.LogFOn == nil || slices.Contains(o.LogFOn, j) }

func (o Options) maxIter() int {
	if o.MaxIter <= 0 {
		return 200
	}
	return o.MaxIter
}

func (o Options) tol() float64 {
	if o.Tol <= 0 {
		return 1e-10
	}
	return o.Tol
}

// A hold keeps some parameters where they are while the others are fitted.
type hold struct {
	slope     map[int]bool
	intercept int // group whose intercept (in units of the data) is held; -1 for none
}

func holdNothing() hold        { return hold{intercept: -1} }
func holdIntercept(g int) hold { return hold{intercept: g} }
func holdSlopes(columns ...int) hold {
	h := hold{slope: map[int]bool{}, intercept: -1}
	for _, j := range columns {
		h.slope[j] = true
	}
	return h
}

// maxStep caps the change of any parameter in one iteration, maxHalvings says
// how often a step is halved before the fit gives up. The accelerator takes part
// in steps shorter than acceleratedLength that are not below slowFactor times the
// one before.
const (
	maxStep           = 5
	maxHalvings       = 40
	acceleratedLength = 1
	slowFactor        = 0.1
)

// maximise moves pt to the maximum of l over the parameters that are not held,
// by scoring: steps inv(X'WX) U, capped, and halved until the value does not
// fall. It stops when the score, in units of its standard deviation, and the
// step are both below the tolerance, and reports whether it got there.
func (l *likelihood) maximise(pt *point, held hold, o Options) (iterations int, ok bool) {
	s := newScoring(l, held)
	if !l.at(*pt) {
		return 0, false
	}
	for iterations = range o.maxIter() + 1 {
		l.finish()
		if !s.direction() {
			return iterations, false
		}
		if s.scaledScore() < o.tol() && s.relativeLength(*pt) < o.tol() {
			return iterations, true
		}
		if iterations == o.maxIter() || !s.advance(pt) {
			return iterations, false
		}
	}
	return iterations, false
}

// scoring holds the working memory of maximise.
type scoring struct {
	l    *likelihood
	held hold
	free []int // slopes

	chol   cholesky
	info   []float64 // of the free slopes
	score  []float64 // of the free slopes
	diag   []float64 // information about each free slope
	stepB  []float64 // all slopes
	stepA  []float64 // all groups
	trial  point
	speed  accelerator
	last   float64   // length of the last step
	center []float64 // of the group whose intercept is held, in the inner scale
	mean   []float64 // the same plus the mean of the step
}

func newScoring(l *likelihood, held hold) *scoring {
	t := l.t
	s := &scoring{l: l, held: held, stepB: make([]float64, t.p), stepA: make([]float64, t.groups())}
	for j := range t.p {
		if !held.slope[j] {
			s.free = append(s.free, j)
		}
	}
	f := len(s.free)
	s.info, s.score, s.diag = make([]float64, f*f), make([]float64, f), make([]float64, f)
	s.trial = point{make([]float64, t.p), make([]float64, t.groups())}
	if g := held.intercept; g >= 0 {
		s.center, s.mean = make([]float64, t.p), make([]float64, t.p)
		for j := range t.p {
			s.center[j] = t.center[g*t.p+j] / t.scale[j]
		}
	}
	return s
}

// direction works out the step from the point last evaluated.
//
// To hold the intercept of group g in units of the data is to hold
// a_g - center_g'b: a_g then moves with the slopes, and the rows of the group
// count with their distance from the origin instead of that from m_g.
func (s *scoring) direction() bool {
	l, p, f := s.l, s.l.t.p, len(s.free)
	g := s.held.intercept
	if g >= 0 {
		for j := range s.mean {
			s.mean[j] = s.center[j] + l.step.mean[g*p+j]
		}
	}
	for a, j := range s.free {
		s.score[a] = l.scoreB[j]
		if g >= 0 {
			s.score[a] += s.mean[j] * l.scoreA[g]
		}
		for b, k := range s.free[:a+1] {
			v := l.step.info[j*p+k]
			if l.curvature != nil {
				v -= l.curvature[j*p+k]
			}
			if g >= 0 {
				v += l.step.weight[g] * s.mean[j] * s.mean[k]
			}
			s.info[a*f+b] = v
		}
		s.diag[a] = s.info[a*f+a]
	}
	if !s.chol.factor(s.info, f) {
		if l.curvature == nil {
			return false
		}
		l.curvature = nil // too far from where it was worked out
		return s.direction()
	}
	step := append(s.stepB[:0:0], s.score...)
	s.chol.solve(step)
	clear(s.stepB)
	for a, j := range s.free {
		s.stepB[j] = step[a]
	}
	for k := range s.stepA {
		center, rest := l.step.mean[k*p:(k+1)*p], l.scoreA[k]/l.step.weight[k]
		sign := -1.0
		if k == g {
			center, rest, sign = s.center, 0, 1
		}
		for j, b := range s.stepB {
			rest += sign * center[j] * b
		}
		s.stepA[k] = rest
	}
	return true
}

// scaledScore is the largest score in units of its standard deviation.
func (s *scoring) scaledScore() float64 {
	worst := 0.0
	for a, u := range s.score {
		worst = math.Max(worst, math.Abs(u)/math.Sqrt(s.diag[a]))
	}
	for g, u := range s.l.scoreA {
		if g != s.held.intercept {
			worst = math.Max(worst, math.Abs(u)/math.Sqrt(s.l.step.weight[g]))
		}
	}
	return worst
}

// length is the largest change of any parameter in the step.
func (s *scoring) length() float64 {
	longest := 0.0
	for _, v := range s.stepB {
		longest = math.Max(longest, math.Abs(v))
	}
	for _, v := range s.stepA {
		longest = math.Max(longest, math.Abs(v))
	}
	return longest
}

// relativeLength is the same with the change of a parameter beyond 1 taken
// relative to its size.
func (s *scoring) relativeLength(pt point) float64 {
	longest := 0.0
	for j, v := range s.stepB {
		longest = math.Max(longest, math.Abs(v)/math.Max(1, math.Abs(pt.b[j])))
	}
	for g, v := range s.stepA {
		longest = math.Max(longest, math.Abs(v)/math.Max(1, math.Abs(pt.a[g])))
	}
	return longest
}

// advance takes the step and leaves l evaluated at the new point. It reports
// whether one was found. With a penalty the weights of the step leave out how the
// leverages change, so that in the end steps shrink by a constant factor only;
// where that is slow, the accelerator helps.
func (s *scoring) advance(pt *point) bool {
	before := s.l.value
	b, a := s.stepB, s.stepA
	length := s.length()
	slow := length > slowFactor*s.last
	s.last = length
	if s.l.firth && length < acceleratedLength {
		p := len(b)
		at := append(append([]float64(nil), pt.b...), pt.a...)
		step := append(append([]float64(nil), b...), a...)
		if better := s.speed.improve(at, step); better != nil && slow {
			if s.move(pt, better[:p], better[p:], 1, before) {
				return true
			}
			s.speed.forget()
		}
	}
	scale := 1.0
	if length > maxStep {
		scale = maxStep / length
	}
	for range maxHalvings {
		if s.move(pt, b, a, scale, before) {
			return true
		}
		scale /= 2
	}
	return false
}

// move goes part of a step, unless the value falls below before.
func (s *scoring) move(pt *point, b, a []float64, scale, before float64) bool {
	for j, v := range b {
		s.trial.b[j] = pt.b[j] + scale*v
	}
	for g, v := range a {
		s.trial.a[g] = pt.a[g] + scale*v
	}
	if !s.l.at(s.trial) || !(s.l.value >= before-s.l.rounding()) {
		return false
	}
	copy(pt.b, s.trial.b)
	copy(pt.a, s.trial.a)
	return true
}
