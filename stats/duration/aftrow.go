package duration

import (
	"cmp"
	"math"
	"slices"
)

// partials are a log-likelihood and its derivatives by the location eta of one
// observation and by sigma, the log of the scale.
type partials struct {
	value                        float64
	eta, sigma                   float64
	etaEta, etaSigma, sigmaSigma float64
}

// A part is one piece of what an observation says, on the scale of the model:
// that e lies between the images of lo and hi, or, if they are equal, has its
// density there.
type part struct{ lo, hi float64 }

// An aftRow is an observation prepared for the likelihood. The parts stand for
// the places within its origin window, all equally likely; one if the origin is
// exact.
type aftRow struct {
	parts  []part
	entry  []part  // of still waiting at entry; nil if observed from the start
	extra  float64 // log of what the sum over parts is to be multiplied by
	weight float64
	x      []float64 // 1 and the covariates, standardised
}

// newRow lays nodes midpoints over the origin window (as far as the event allows
// it to reach) and measures the times from each.
func newRow(f Family, o Observation, nodes int) aftRow {
	r := aftRow{weight: o.weight()}
	if o.late() {
		o.Lo = math.Max(o.Lo, o.Entry)
	}
	origin := o.Origin
	if origin.Exact() {
		nodes = 1
	} else {
		origin.Hi = math.Min(origin.Hi, o.Hi)
		r.extra = math.Log((origin.Hi-origin.Lo)/(o.Origin.Hi-o.Origin.Lo)) - math.Log(float64(nodes))
	}
	for k := 0; k < nodes; k++ {
		u := origin.Lo + (float64(k)+0.5)/float64(nodes)*(origin.Hi-origin.Lo)
		p := part{f.scaledBelow(o.Lo - u), f.scaled(o.Hi - u)}
		if o.Exact() {
			p.lo = p.hi
		}
		r.parts = append(r.parts, p)
		if o.late() {
			r.entry = append(r.entry, part{f.scaledBelow(o.Entry - u), math.Inf(1)})
		}
	}
	return r
}

// logJacobian is the log of dy/dt, which turns a density on the scale of the
// model into one of time.
func (f Family) logJacobian(y float64) float64 {
	if f.logScale() {
		return -y
	}
	return 0
}

// at returns the log-likelihood of the row with its derivatives; only the value
// is filled in unless derive is set.
func (r *aftRow) at(f Family, eta, sigma float64, derive bool) partials {
	l := mix(f, r.parts, eta, sigma, derive)
	l.value += r.extra
	if r.entry == nil {
		return l
	}
	e := mix(f, r.entry, eta, sigma, derive)
	l.value -= e.value - math.Log(float64(len(r.entry)))
	l.eta -= e.eta
	l.sigma -= e.sigma
	l.etaEta -= e.etaEta
	l.etaSigma -= e.etaSigma
	l.sigmaSigma -= e.sigmaSigma
	return l
}

// mix returns the log of the sum of the likelihoods of the parts.
func mix(f Family, parts []part, eta, sigma float64, derive bool) partials {
	if !derive {
		if l, ok := f.plainSum(parts, eta, sigma); ok {
			return partials{value: l}
		}
	}
	if len(parts) == 1 {
		return f.part(parts[0], eta, sigma, derive).ofLog()
	}
	sum := partials{value: math.Inf(-1)} // derivatives relative to exp(value)
	for _, p := range parts {
		sum = sum.plus(f.part(p, eta, sigma, derive))
	}
	return sum.ofLog()
}

// plainSum is the log of the sum where no logs are needed on the way, which is
// faster by far; it reports false where the sum is too near to underflow.
func (f Family) plainSum(parts []part, eta, sigma float64) (l float64, ok bool) {
	if f == Gamma {
		return 0, false
	}
	scale := math.Exp(sigma)
	var sum float64
	for _, p := range parts {
		if p.lo == p.hi {
			sum += math.Exp(f.density(p.lo, eta, scale, false).value)
			continue
		}
		sum += f.between((p.lo-eta)/scale, (p.hi-eta)/scale)
	}
	return math.Log(sum), sum > 1e-250
}

// plus adds likelihoods given by their logs, with derivatives relative to them.
func (p partials) plus(q partials) partials {
	switch {
	case math.IsInf(p.value, -1):
		return q
	case math.IsInf(q.value, -1):
		return p
	}
	top := math.Max(p.value, q.value)
	a, b := math.Exp(p.value-top), math.Exp(q.value-top)
	total := a + b
	a, b = a/total, b/total
	return partials{
		value: top + math.Log(total),
		eta:   a*p.eta + b*q.eta, sigma: a*p.sigma + b*q.sigma,
		etaEta: a*p.etaEta + b*q.etaEta, etaSigma: a*p.etaSigma + b*q.etaSigma, sigmaSigma: a*p.sigmaSigma + b*q.sigmaSigma,
	}
}

// ofLog turns second derivatives relative to a likelihood into those of its log.
func (p partials) ofLog() partials {
	p.etaEta -= p.eta * p.eta
	p.etaSigma -= p.eta * p.sigma
	p.sigmaSigma -= p.sigma * p.sigma
	return p
}

// part returns the log of the probability (or density of time) of one part and
// the derivatives of that probability relative to it.
func (f Family) part(p part, eta, sigma float64, derive bool) partials {
	scale := math.Exp(sigma)
	if p.lo == p.hi {
		return f.density(p.lo, eta, scale, derive)
	}
	if f == Gamma {
		return gammaPart(p, eta, sigma, derive)
	}
	a, b := (p.lo-eta)/scale, (p.hi-eta)/scale
	out := partials{value: f.logBetween(a, b)}
	if !derive || math.IsInf(out.value, -1) {
		return out
	}
	lo, hi := f.edge(a, out.value), f.edge(b, out.value)
	out.eta = -(hi.density - lo.density) / scale
	out.sigma = -(hi.first - lo.first)
	out.etaEta = (hi.slope - lo.slope) / (scale * scale)
	out.etaSigma = (hi.density - lo.density + hi.slopeFirst - lo.slopeFirst) / scale
	out.sigmaSigma = hi.first - lo.first + hi.slopeSecond - lo.slopeSecond
	return out
}

// An edge holds, at one end z of an interval, the density f, z f, f', z f' and
// z^2 f', all over the probability of the interval.
type edge struct{ density, first, slope, slopeFirst, slopeSecond float64 }

func (f Family) edge(z, logProb float64) edge {
	if math.IsInf(z, 0) {
		return edge{}
	}
	d := math.Exp(f.logDensity(z) - logProb)
	slope, _ := f.slopes(z)
	slope *= d
	if d == 0 { // far out: 0 times an infinite slope
		slope = 0
	}
	return edge{d, z * d, slope, z * slope, z * z * slope}
}

func (f Family) density(y, eta, scale float64, derive bool) partials {
	if math.IsInf(y, -1) {
		return partials{value: y} // the moment of the origin itself
	}
	if f == Gamma {
		return gammaDensity(y, eta, scale, derive)
	}
	z := (y - eta) / scale
	out := partials{value: f.logDensity(z) - math.Log(scale) + f.logJacobian(y)}
	if !derive {
		return out
	}
	first, second := f.slopes(z)
	out.eta = -first / scale
	out.sigma = -(z*first + 1)
	out.etaEta = second / (scale * scale)
	out.etaSigma = (z*second + 2*first) / scale
	out.sigmaSigma = z*z*second + 3*z*first + 1
	return out
}

// A record is an observation with the constant 1 and its covariates.
type record struct {
	Observation
	x []float64
}

func (a record) compare(b record) int {
	for _, d := range [...]float64{a.Lo - b.Lo, a.Hi - b.Hi, a.Origin.Lo - b.Origin.Lo, a.Origin.Hi - b.Origin.Hi, a.Entry - b.Entry} {
		if d != 0 && !math.IsNaN(d) { // the difference of equal infinities is NaN
			return cmp.Compare(d, 0)
		}
	}
	return slices.Compare(a.x, b.x)
}

// merge counts equal records together and puts all in an order that does not
// depend on the one given.
func merge(records []record) []record {
	slices.SortFunc(records, func(a, b record) int {
		if c := a.compare(b); c != 0 {
			return c
		}
		return cmp.Compare(a.Weight, b.Weight)
	})
	out := records[:0]
	for _, r := range records {
		if n := len(out); n > 0 && out[n-1].compare(r) == 0 {
			out[n-1].Weight += r.Weight
			continue
		}
		out = append(out, r)
	}
	return out
}
