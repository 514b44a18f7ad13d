package count

import "math"

// partials are a log-likelihood and its derivatives by b, the log of the mean
// for an exposure of 1, and by q = -log k, the log of the dispersion.
type partials struct{ value, b, q, bb, bq, qq float64 }

func (p *partials) add(times float64, o partials) {
	p.value += times * o.value
	p.b += times * o.b
	p.q += times * o.q
	p.bb += times * o.bb
	p.bq += times * o.bq
	p.qq += times * o.qq
}

// negBinomial is a negative binomial distribution with mean mu and size k:
// variance mu + mu^2/k. A size of +Inf is the Poisson distribution.
type negBinomial struct{ mu, k float64 }

// logProb is the log of the probability of y with its derivatives.
func (d negBinomial) logProb(y float64, derive bool) partials {
	up, s := ladder{k: d.k, derive: derive}, d.slopes()
	return s.logProb(up.rung(y, logFactorial(y)), derive)
}

func logFactorial(y float64) float64 {
	lg, _ := math.Lgamma(y + 1)
	return lg
}

// slopes holds what the probabilities of all y, and their derivatives, have in common.
type slopes struct{ size, mean, logMean, log1, inverse, product, rest float64 }

func (d negBinomial) slopes() slopes { return slopesAt(d.mu, math.Log(d.mu), d.k) }

func slopesAt(mean, logMean, size float64) slopes {
	if math.IsInf(size, 1) {
		return slopes{size: size, mean: mean, logMean: logMean}
	}
	inverse := 1 / (size + mean)
	ratio := mean / size
	return slopes{
		size: size, mean: mean, logMean: logMean, log1: math.Log1p(ratio), inverse: inverse,
		product: size * mean * inverse * inverse, rest: ratio * inverse,
	}
}

// logProb is the log of the probability of the rung's y, which must be for the same
// size, with its derivatives.
func (s *slopes) logProb(r rung, derive bool) (out partials) {
	value := r.value
	if r.y > 0 {
		value += r.y * s.logMean
	}
	switch {
	case math.IsInf(s.size, 1):
		value -= s.mean
		if derive {
			out.b, out.bb = r.y-s.mean, -s.mean
		}
	default:
		value -= (r.y + s.size) * s.log1
		if derive {
			out = s.at(r.y, r.psi, r.psi1)
		}
	}
	out.value = value
	return out
}

// at returns the derivatives at y from psi(y+k) - psi(k) and psi'(y+k) -
// psi'(k).
func (s *slopes) at(y, psi, psi1 float64) partials {
	over := (y - s.mean) * s.inverse
	bySize := s.size * (psi - s.log1 - over) // derivative by log k = -q
	return partials{
		b: s.size * over, bb: -s.product * (s.size + y),
		q: -bySize, bq: -s.product * (y - s.mean),
		qq: bySize + s.size*s.size*(psi1+s.rest+over*s.inverse),
	}
}

func xlogy(x, y float64) float64 {
	if x == 0 {
		return 0
	}
	return x * math.Log(y)
}

// logLikelihood is that of a Count with its derivatives.
func (d negBinomial) logLikelihood(c Count, derive bool) partials {
	switch {
	case c.exact():
		return d.logProb(c.Lo, derive)
	case c.Lo == 0 && math.IsInf(c.Hi, 1):
		return partials{} // says nothing
	case math.IsInf(c.Hi, 1) && (c.Lo <= d.mu || d.longTail() && c.Lo < d.mu/d.k):
		return d.atLeast(c.Lo, derive)
	default:
		return d.sum(c.Lo, c.Hi, derive).ofLog()
	}
}

// A total is a sum of probabilities, exp(top) times value, with derivatives over
// exp(top) too.
type total struct {
	partials
	top float64
}

// sum adds up the probabilities of lo to hi, working out from the one that is
// the most likely of them by the ratio of one to the next.
func (d negBinomial) sum(lo, hi float64, derive bool) total {
	start := math.Min(math.Max(lo, math.Floor(d.mode())), hi)
	first := d.logProb(start, derive)
	t := total{top: first.value}
	w := d.walkFrom(start, derive)
	for up := w; ; up.next() {
		t.add(1, up.share())
		if up.y == hi || up.weight < nothing*t.value*(1-up.ratio()) {
			break
		}
	}
	for down := w; down.y > lo && down.weight > nothing*t.value; {
		down.back()
		t.add(1, down.share())
	}
	return t
}

// nothing is the share of a sum below which the rest is left out.
const nothing = 1e-16

// longTail reports whether a sum without end takes too many terms: they fall to
// a third every mu/k.
func (d negBinomial) longTail() bool { return d.mu/d.k > 50 }

// atLeast is the log of the probability of lo or more, lo being 1 or more, as
// that of 1 or more less the ones between, which keeps its digits where nearly
// all numbers are 0.
func (d negBinomial) atLeast(lo float64, derive bool) partials {
	l := d.logPositive(derive)
	if lo == 1 {
		return l
	}
	positive := total{partials{1, l.b, l.q, l.bb + l.b*l.b, l.bq + l.b*l.q, l.qq + l.q*l.q}, l.value}
	return positive.less(d.sum(1, lo-1, derive)).ofLog()
}

func (d negBinomial) mode() float64 {
	if math.IsInf(d.k, 1) {
		return d.mu
	}
	return math.Max(d.mu*(d.k-1)/d.k, 0)
}

// A walker goes from one number to the next and carries along the probability
// relative to the start and the differences of the digamma functions.
type walker struct {
	negBinomial
	slopes
	q                    float64 // what the ratio of probabilities tends to
	y, weight, psi, psi1 float64
	derive               bool
}

func (d negBinomial) walkFrom(y float64, derive bool) walker {
	w := walker{negBinomial: d, y: y, weight: 1, derive: derive}
	if math.IsInf(d.k, 1) {
		return w
	}
	w.q = d.mu / (d.k + d.mu)
	if derive {
		w.slopes = d.slopes()
		up := ladder{k: d.k, derive: true}
		r := up.rung(y, 0)
		w.psi, w.psi1 = r.psi, r.psi1
	}
	return w
}

// ratio is the probability of y+1 over that of y.
func (w *walker) ratio() float64 {
	if math.IsInf(w.k, 1) {
		return w.mu / (w.y + 1)
	}
	return (w.y + w.k) / (w.y + 1) * w.q
}

func (w *walker) next() {
	w.weight *= w.ratio()
	inverse := 1 / (w.y + w.k)
	w.psi += inverse
	w.psi1 -= inverse * inverse
	w.y++
}

func (w *walker) back() {
	w.y--
	w.weight /= w.ratio()
	inverse := 1 / (w.y + w.k)
	w.psi -= inverse
	w.psi1 += inverse * inverse
}

// share is the probability of y and its derivatives, all relative to the start.
func (w *walker) share() partials {
	if !w.derive {
		return partials{value: w.weight}
	}
	var l partials
	if math.IsInf(w.k, 1) {
		l.b, l.bb = w.y-w.mu, -w.mu
	} else {
		l = w.slopes.at(w.y, w.psi, w.psi1)
	}
	return partials{
		value: w.weight, b: w.weight * l.b, q: w.weight * l.q,
		bb: w.weight * (l.bb + l.b*l.b), bq: w.weight * (l.bq + l.b*l.q), qq: w.weight * (l.qq + l.q*l.q),
	}
}

// ofLog turns the sum and its derivatives into those of its log.
func (t total) ofLog() partials {
	v, b, q := t.value, t.b/t.value, t.q/t.value
	return partials{value: t.top + math.Log(v), b: b, q: q, bb: t.bb/v - b*b, bq: t.bq/v - b*q, qq: t.qq/v - q*q}
}
