package logit

import "math"

// An end of a profile interval need not be searched for: Newton's method solves at once
// for the end and for all other parameters there (Venzon & Moolgavkar 1988). Each step
// costs one evaluation, where a search costs a fit. Where it does not settle quickly, the
// search takes over.

const (
	mostStrides  = 12    // then the search takes over
	strideError  = 1e-10 // of the end, in standard errors
	longestShare = 3.0   // a step of more standard errors than this is not to be trusted
	slowStride   = 0.3   // nor one of more than this share of the one before
)

// stride returns the end of the interval on one side. ok is false where the method does
// not apply or does not settle.
func (c *curve) stride(q, se, side float64) (end float64, ok bool) {
	pt, v := c.guess(q, se, side)
	held, free := newScoring(c.l, c.set(&pt, v)), newScoring(c.l, holdNothing())
	lowest := c.m.top - q/2
	last := math.NaN()
	for range min(mostStrides, c.m.options.maxIter()) {
		if !c.l.at(pt) {
			return 0, false
		}
		c.l.finish()
		if !held.direction() || !free.direction() {
			return 0, false
		}
		// The free step moves the parameter by move; with slope and curvature of the
		// profile here, that is slope/curvature.
		move := c.moved(free)
		gain, nearby := free.gain(), held.gain()
		curvature := (gain - nearby) / (move * move)
		slope := move * curvature
		root := slope*slope + 2*curvature*(c.l.value+nearby/2-lowest)
		if !(curvature > 0) || !(root >= 0) {
			return 0, false
		}
		x := (slope + side*math.Sqrt(root)) / curvature
		err := math.Max(math.Abs(x)*math.Sqrt(curvature), math.Sqrt(nearby))
		if !(err < longestShare) || err > slowStride*last {
			return 0, false
		}
		v += x
		for j := range pt.b {
			pt.b[j] += held.stepB[j] + x/move*(free.stepB[j]-held.stepB[j])
		}
		for g := range pt.a {
			pt.a[g] += held.stepA[g] + x/move*(free.stepA[g]-held.stepA[g])
		}
		left := c.left(err, last)
		if last = err; left < strideError {
			if !(side*(v-c.best) > 0) {
				return 0, false // the other end
			}
			c.learn(pt, v)
			return v, true
		}
	}
	return 0, false
}

// left is about how large the error is after a step, given that before it and before the
// last one. Errors are squared from step to step, times about the same number, on the
// other side too; until that is known it is taken to be 1, which is large. Under the Firth
// penalty second derivatives are not exact, and errors shrink by a factor.
func (c *curve) left(err, last float64) float64 {
	if c.m.Penalty == Firth {
		if math.IsNaN(last) {
			return err
		}
		return err * err / last
	}
	if !math.IsNaN(last) {
		c.pace = err / (last * last)
	}
	if c.pace > 0 {
		return 10 * c.pace * err * err
	}
	return err * err
}

// guess is where to start: as far as a parabola reaches, and further or less far by as
// much as the other side, where known, differed from that.
func (c *curve) guess(q, se, side float64) (pt point, v float64) {
	x := side * se * math.Sqrt(q)
	if known := len(c.met) > 1; known && c.bend.b != nil {
		if other := c.met[len(c.met)-1].v - c.best; other*x < 0 && math.Abs(other+2*x) > math.Abs(x)/4 {
			x = 2*x + other
		}
	}
	pt, v = c.m.best.clone(), c.best+x
	pt.shift(x, c.tangent)
	if c.bend.b != nil {
		pt.shift(x*x, c.bend)
	}
	c.set(&pt, v)
	return pt, v
}

// learn remembers an end.
func (c *curve) learn(pt point, v float64) {
	x := v - c.best
	c.bend = pt.clone()
	c.bend.shift(-1, c.m.best)
	c.bend.shift(-x, c.tangent)
	c.bend.scale(1 / (x * x))
	c.met = append(c.met, met{v, pt})
}

func (p point) scale(f float64) {
	for j := range p.b {
		p.b[j] *= f
	}
	for g := range p.a {
		p.a[g] *= f
	}
}

// moved is by how much a step changes the parameter, in units of the data.
func (c *curve) moved(s *scoring) float64 {
	return c.read(point{s.stepB, s.stepA})
}

// gain is the slope of the log-likelihood along the step, which is twice what a
// parabola gains by it.
func (s *scoring) gain() float64 {
	l, p, v := s.l, s.l.t.p, 0.0
	for j, b := range s.stepB {
		v += l.scoreB[j] * b
	}
	for g, a := range s.stepA {
		v += l.scoreA[g] * (a + dot(l.step.mean[g*p:(g+1)*p], s.stepB))
	}
	return v
}
