package logit

import (
	"math"

	"gravid/stats"
	"gravid/stats/internal/root"
	"gravid/stats/tail"
)

// The profile of a parameter is the log-likelihood with that parameter held and
// all others fitted. The interval holds the values at which twice its distance
// from the maximum stays below the chi-square quantile. With a penalty, the
// penalty stays that of the full design throughout (Heinze & Schemper 2002).

// Limits of the search: a column with two values is followed to a log odds ratio
// of 15 between them (odds of three million to one), any other column to 100 per
// unit of spread, an intercept to 1e4.
const (
	capTwoValued = 15
	capSpread    = 100
	capIntercept = 1e4
)

// Profile returns slope j with its profile likelihood interval. An end that the
// search does not reach is infinite, with a warning.
func (m *Model) Profile(j int, level float64) stats.Estimate {
	e := m.estimate(level, "profile, "+m.Penalty.String())
	checkLevel(level)
	if !e.Status.Usable() {
		return e
	}
	e.Value = m.Coef[j]
	m.interval(&e, m.slopeCurve(j), tail.ChiSquareQuantile(level, 1), m.SE[j], m.slopeLimit(j), m.Names[j])
	return e
}

// slopeCurve evaluates the profile of slope j.
func (m *Model) slopeCurve(j int) *curve {
	scale := m.fitted.scale[j]
	return m.newCurve(m.Coef[j], m.Cov[j][j], m.Cov[j], func(pt *point, v float64) hold {
		pt.b[j] = v * scale
		return holdSlopes(j)
	}, func(pt point) float64 { return pt.b[j] / scale })
}

// slopeLimit is how far the search for an end of the interval of slope j goes.
func (m *Model) slopeLimit(j int) float64 {
	if span, two := twoValued(m.data, j); two {
		return capTwoValued / span
	}
	return capSpread / m.fitted.scale[j]
}

// ProfileIntercept returns the intercept of Groups[g] with its profile
// likelihood interval.
func (m *Model) ProfileIntercept(g int, level float64) stats.Estimate {
	e := m.estimate(level, "profile, "+m.Penalty.String())
	checkLevel(level)
	if !e.Status.Usable() {
		return e
	}
	k := m.fittedGroup(g)
	if k < 0 {
		e.Status = stats.TooLittle
		return e
	}
	c := m.newCurve(m.Intercept[g], m.CovIntercept(g, g), m.CovInterceptSlopes(g), m.holdInterceptAt(k), func(pt point) float64 {
		return pt.a[k] - m.inward(k, pt.b)
	})
	e.Value = m.Intercept[g]
	m.interval(&e, c, tail.ChiSquareQuantile(level, 1), m.InterceptSE[g], capIntercept, "the intercept")
	return e
}

// holdInterceptAt returns the function that moves a point to where the intercept
// of group k of the fitted table, in units of the data, has a given value.
func (m *Model) holdInterceptAt(k int) func(pt *point, v float64) hold {
	return func(pt *point, v float64) hold {
		pt.a[k] = v + m.inward(k, pt.b)
		return holdIntercept(k)
	}
}

// inward is by how much the intercept of group k of the fitted table is larger in the
// inner scale than in units of the data, with slopes b.
func (m *Model) inward(k int, b []float64) float64 {
	t, v := m.fitted, 0.0
	for j := range t.p {
		v += b[j] * (t.center[k*t.p+j] / t.scale[j])
	}
	return v
}

// twoValued returns the distance between the two values of a column that has
// just two.
func twoValued(d Data, j int) (span float64, ok bool) {
	first, second, found := d.X[j][0], 0.0, false
	for _, x := range d.X[j] {
		switch {
		case x == first || found && x == second:
		case found:
			return 0, false
		default:
			second, found = x, true
		}
	}
	return math.Abs(second - first), found
}

// A curve evaluates the profile of one parameter. Each fit starts from those
// before it.
type curve struct {
	m       *Model
	l       *likelihood
	set     func(pt *point, v float64) hold
	read    func(pt point) float64 // the parameter at a point, or its part in a step
	best    float64                // estimate of the parameter
	tangent point                  // how the others move with it at the estimate
	bend    point                  // how much more, for its square, as the end found first shows

	pace float64 // how quickly stride settles, see there; 0 where not known

	met    []met
	failed bool
}

type met struct {
	v  float64
	pt point
}

// newCurve prepares the profile of a parameter with the given estimate, variance
// and covariances with the slopes (in units of the data).
func (m *Model) newCurve(best, variance float64, cov []float64, set func(pt *point, v float64) hold, read func(pt point) float64) *curve {
	t := m.fitted
	c := &curve{m: m, l: m.likelihood(t, nil), set: set, read: read, best: best}
	c.tangent = point{make([]float64, t.p), make([]float64, t.groups())}
	for j := range t.p {
		c.tangent.b[j] = cov[j] / variance * t.scale[j]
	}
	for g := range c.tangent.a {
		c.tangent.a[g] = -dot(m.means[g*t.p:(g+1)*t.p], c.tangent.b)
	}
	c.met = []met{{best, m.best}}
	c.l.curvature = m.curvature()
	return c
}

// curveTol is what the tolerance of a fit along the profile need not be below: only the
// height reached is asked for, which at the top lacks about the square of it.
const curveTol = 1e-7

// drop returns twice the distance of the profile at v from the maximum, NaN if
// the fit there fails.
func (c *curve) drop(v float64) float64 {
	if !c.fit(v, 5) {
		c.failed = true
		return math.NaN()
	}
	return math.Max(0, 2*(c.m.top-c.l.value))
}

// fit leaves l at the fit with the parameter held at v. If that fails, it goes
// there by way of the middle, up to depth times.
func (c *curve) fit(v float64, depth int) bool {
	near, pt := c.start(v)
	held := c.set(&pt, v)
	o := c.m.options
	o.Tol = max(o.tol(), curveTol)
	if _, ok := c.l.maximise(&pt, held, o); ok {
		c.met = append(c.met, met{v, pt})
		return true
	}
	return depth > 0 && c.fit(near+(v-near)/2, depth-1) && c.fit(v, depth-1)
}

// start extrapolates along the line through the two fits nearest to v, or along
// the tangent where there is only the estimate. It returns the nearest too.
func (c *curve) start(v float64) (at float64, pt point) {
	near, next := c.met[0], met{v: math.Inf(1)}
	for _, k := range c.met[1:] {
		switch d := math.Abs(k.v - v); {
		case d < math.Abs(near.v-v):
			near, next = k, near
		case d < math.Abs(next.v-v):
			next = k
		}
	}
	pt = near.pt.clone()
	switch {
	case math.IsInf(next.v, 1):
		pt.shift(v-near.v, c.tangent)
	case next.v != near.v:
		f := (v - near.v) / (near.v - next.v)
		f = math.Max(-2, math.Min(2, f))
		pt.shift(f, near.pt)
		pt.shift(-f, next.pt)
	}
	return near.v, pt
}

// shift adds f times q.
func (p point) shift(f float64, q point) {
	subtract(p.b, -f, q.b)
	subtract(p.a, -f, q.a)
}

// end looks for the end of the interval on one side: where the square root of
// drop, which is nearly a straight line, crosses that of q.
func (c *curve) end(q, se, limit, side float64) float64 {
	if v, ok := c.stride(q, se, side); ok && math.Abs(v) <= limit {
		return v
	}
	f := func(v float64) float64 {
		if v == c.best {
			return -math.Sqrt(q)
		}
		return math.Sqrt(c.drop(v)) - math.Sqrt(q)
	}
	limit = math.Max(limit, 2*math.Abs(c.best))
	return root.Walk(f, c.best, side*se*math.Sqrt(q), side*limit, 1e-11*math.Max(se, math.Abs(c.best)))
}

// interval fills in the ends of e, where drop crosses q.
func (m *Model) interval(e *stats.Estimate, c *curve, q, se, limit float64, name string) {
	e.Hi = c.end(q, se, limit, 1)
	e.Lo = c.end(q, se, limit, -1)
	if c.failed || math.IsNaN(e.Lo) || math.IsNaN(e.Hi) {
		nan := math.NaN()
		e.Status, e.Value, e.Lo, e.Hi = stats.NotConverged, nan, nan, nan
		e.Warnings = append(e.Warnings, stats.Warning{Code: "not-converged", Text: "a fit along the profile of " + name + " did not settle, so no interval is given"})
		return
	}
	e.Warnings = append(e.Warnings, unboundedWarnings(e.Lo, e.Hi, name)...)
}

// unboundedWarnings says which ends of an interval the records leave open.
func unboundedWarnings(lo, hi float64, name string) []stats.Warning {
	var out []stats.Warning
	if math.IsInf(hi, 1) {
		out = append(out, stats.Warn("no-upper-limit", "these records set no upper limit for %s; attempts that go the other way would", name))
	}
	if math.IsInf(lo, -1) {
		out = append(out, stats.Warn("no-lower-limit", "these records set no lower limit for %s; attempts that go the other way would", name))
	}
	return out
}

// LRTest tests by the likelihood ratio that all the given slopes are 0, with the
// penalty of the full design where there is one: the test that belongs to
// Profile.
func (m *Model) LRTest(columns ...int) Test {
	t := m.newTest(len(columns), "likelihood ratio")
	if !t.Status.Usable() {
		return t
	}
	pt := m.best.clone()
	for _, j := range columns {
		pt.b[j] = 0
	}
	m.lrTest(&t, pt, holdSlopes(columns...))
	return t
}

// LRTestIntercept tests by the likelihood ratio that the intercept of Groups[g]
// is 0.
func (m *Model) LRTestIntercept(g int) Test {
	t := m.newTest(1, "likelihood ratio")
	if !t.Status.Usable() {
		return t
	}
	k := m.fittedGroup(g)
	if k < 0 {
		t.Status = stats.TooLittle
		return t
	}
	pt := m.best.clone()
	held := m.holdInterceptAt(k)(&pt, 0)
	m.lrTest(&t, pt, held)
	return t
}

func (m *Model) lrTest(t *Test, pt point, held hold) {
	l := m.likelihood(m.fitted, nil)
	if _, ok := l.maximise(&pt, held, m.options); !ok {
		t.Status = stats.NotConverged
		return
	}
	t.compare(2 * (m.top - l.value))
}
