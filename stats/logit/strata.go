package logit

import "math"

// The logarithm of each stratum's denominator is the cumulant function of a sum of
// columns over a random set of rows, so its derivatives are that sum's mean,
// covariance and third central moment.

// moments describe a random set of rows: the mean, covariance (lower triangle) and
// third central moment of the sum of their columns. third stays nil where it is not
// needed.
type moments struct {
	log        float64 // of the total weight
	ratio      float64 // of the weight of sets of one row fewer over this one's, see exact
	mean       []float64
	cov, third []float64
}

// A strataRoom is room for working out one stratum at a time.
type strataRoom struct {
	l      *conditionalLikelihood
	states []moments
	delta  []float64
	eta    []float64
	terms  []float64
}

func newStrataRoom(l *conditionalLikelihood) *strataRoom {
	most := 1
	for g := range l.t.groups() {
		s, n := l.t.counts(g)
		most = max(most, int(math.Min(s, n-s)))
	}
	r := &strataRoom{l: l, delta: make([]float64, l.t.p)}
	for range most + 2 {
		s := l.newSum()
		r.states = append(r.states, moments{mean: s.plain, cov: s.info, third: s.third})
	}
	return r
}

// stratum adds stratum g to the sums and returns its log-likelihood.
func (r *strataRoom) stratum(g int, b []float64, sum strataSum) float64 {
	t := r.l.t
	lo, hi := t.start[g], t.start[g+1]
	r.eta = r.eta[:0]
	value := 0.0
	for i := lo; i < hi; i++ {
		row := r.l.row(i)
		eta := t.offset(i) + dot(b, row)
		r.eta = append(r.eta, eta)
		if s := t.s[i]; s > 0 {
			value += s * eta
			subtract(sum.plain, -s, row)
		}
	}
	if r.l.ties != Exact {
		return value - r.approximate(g, sum)
	}
	return value - r.exact(g, sum)
}

// take adds the moments of a denominator, times times, to the sums.
func (s strataSum) take(m *moments, times float64) {
	subtract(s.plain, times, m.mean)
	subtract(s.info, -times, m.cov)
	subtract(s.third, -times, m.third)
}

// exact returns the logarithm of the sum, over all sets of as many rows as there
// are successes, of exp(sum of eta). Where failures are fewer, their sets are gone
// through instead, with the signs turned.
func (r *strataRoom) exact(g int, sum strataSum) float64 {
	t := r.l.t
	lo, hi := t.start[g], t.start[g+1]
	successes, n := t.counts(g)
	size, sign, whole := int(successes), 1.0, 0.0
	if n-successes < successes {
		size, sign = int(n-successes), -1
		for i := lo; i < hi; i++ { // all rows, less those left out
			whole += t.n[i] * r.eta[i-lo]
			subtract(sum.plain, t.n[i], r.l.row(i))
		}
	}
	if hi-lo == 2 {
		return whole + r.twoPatterns(lo, size, sign, sum)
	}
	least, most := r.eta[0], r.eta[0]
	for _, e := range r.eta {
		least, most = math.Min(least, e), math.Max(most, e)
	}
	var out *moments
	if most-least < 500 {
		out = r.recursion(lo, size, int(n), sign, (least+most)/2)
	} else {
		out = r.logRecursion(lo, size, sign)
	}
	sum.take(out, 1)
	return whole + out.log
}

// recursion is that of Gail, Lubin & Rubinstein (1981): state j holds the sets of j rows
// among those met so far. A further row of weight e = exp(eta - middle) adds to it the
// sets of state j-1 with that row; their share is r e / (1 + r e), where r, the weight of
// state j-1 over that of state j, needs no logarithms and stays in range. States too
// small to be filled up by the rows that are left are no longer kept up.
func (r *strataRoom) recursion(lo, size, rows int, sign, middle float64) *moments {
	t := r.l.t
	states := r.states[:size+1]
	for j := range states {
		states[j].reset()
	}
	out := &states[size]
	log, product := 0.0, 1.0 // of the largest state met
	met := 0
	for i, eta := range r.eta {
		e := math.Exp(sign * (eta - middle))
		row := r.l.row(lo + i)
		for range int(t.n[lo+i]) {
			met++
			for j := min(met, size); j > 0 && j >= size-(rows-met); j-- {
				m, from := &states[j], &states[j-1]
				grow := 1 + from.ratio*e // of the weight of state j-1, which is still to come
				if j == met {
					m.set(from, sign, row)
					m.ratio = grow / e
					continue
				}
				share := m.ratio * e
				m.ratio *= grow / (1 + share)
				if j == size {
					if product *= 1 + share; product > 1e50 {
						log, product = log+math.Log(product), 1
					}
				}
				r.mix(m, from, share/(1+share), sign, row)
			}
			if met <= size {
				log += sign * (eta - middle)
			}
		}
	}
	out.log = log + math.Log(product) + sign*float64(size)*middle
	return out
}

// logRecursion is the same with logarithms of all weights, for strata whose rows differ
// beyond what numbers hold.
func (r *strataRoom) logRecursion(lo, size int, sign float64) *moments {
	t := r.l.t
	states := r.states[:size+1]
	for j := range states {
		states[j].reset()
	}
	states[0].log = 0
	met := 0
	for i, eta := range r.eta {
		for range int(t.n[lo+i]) {
			met++
			for j := min(met, size); j > 0; j-- {
				r.logMix(&states[j], &states[j-1], sign*eta, sign, r.l.row(lo+i))
			}
		}
	}
	return &states[size]
}

// logMix adds to m the sets of from with a further row, of weight exp(eta).
func (r *strataRoom) logMix(m, from *moments, eta, sign float64, x []float64) {
	add := from.log + eta
	if math.IsInf(add, -1) {
		return
	}
	log := logAdd(m.log, add)
	r.mix(m, from, math.Exp(add-log), sign, x)
	m.log = log
}

// reset makes m the moments of nothing.
func (m *moments) reset() {
	m.log, m.ratio = math.Inf(-1), 0
	clear(m.mean)
	clear(m.cov)
	clear(m.third)
}

// set makes m those of from with a further row.
func (m *moments) set(from *moments, sign float64, x []float64) {
	for j, v := range x {
		m.mean[j] = from.mean[j] + sign*v
	}
	copy(m.cov, from.cov)
	copy(m.third, from.third)
}

// mix adds to m, with share w of the whole, the sets of from with a further row of
// columns sign*x: the moments become those of a mixture of two, which all follow from w
// and the distance of the means.
func (r *strataRoom) mix(m, from *moments, w, sign float64, x []float64) {
	delta := r.delta
	p := len(delta)
	mean := m.mean[:p]
	for j, v := range from.mean[:p] {
		delta[j] = v + sign*x[j] - mean[j]
	}
	if m.third != nil {
		m.mixThird(from, delta, w)
	}
	within := w * (1 - w)
	for j, d := range delta {
		f := within * d
		to, other := m.cov[j*p:j*p+j+1], from.cov[j*p:j*p+j+1]
		for k, c := range to {
			to[k] = c + w*(other[k]-c) + f*delta[k]
		}
		mean[j] += w * d
	}
}

// mixThird does so for the third central moment, before the others change.
func (m *moments) mixThird(from *moments, d []float64, w float64) {
	p := len(d)
	v := w * (1 - w)
	diff := func(a, b int) float64 {
		if a < b {
			a, b = b, a
		}
		return from.cov[a*p+b] - m.cov[a*p+b]
	}
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

// twoPatterns works out a stratum of two patterns, as a trigger of yes or no makes them:
// how many rows of the first are in the set follows the noncentral hypergeometric
// distribution, whose terms come one from the other.
func (r *strataRoom) twoPatterns(lo, size int, sign float64, sum strataSum) float64 {
	t, p := r.l.t, r.l.t.p
	first, second := t.n[lo], t.n[lo+1]
	from, to := max(0, size-int(second)), min(size, int(first))
	r.terms = append(r.terms[:0], 0) // logarithms, then terms relative to the largest
	peak, apart := 0.0, sign*(r.eta[0]-r.eta[1])
	for k := from; k < to; k++ {
		x, y := float64(k), float64(size-k)
		r.terms = append(r.terms, r.terms[k-from]+math.Log((first-x)*y/((x+1)*(second-y+1)))+apart)
		peak = math.Max(peak, r.terms[k-from+1])
	}
	total, mean := 0.0, 0.0
	for k, v := range r.terms {
		w := math.Exp(v - peak)
		r.terms[k] = w
		total += w
		mean += w * float64(k)
	}
	mean /= total
	spread, third := 0.0, 0.0
	for k, w := range r.terms {
		d := float64(k) - mean
		spread += w * d * d
		third += w * d * d * d
	}
	spread, third = spread/total, third/total
	mean += float64(from)
	a, b := r.l.row(lo), r.l.row(lo+1)
	for j := range p {
		r.delta[j] = a[j] - b[j]
		sum.plain[j] -= sign * (mean*a[j] + (float64(size)-mean)*b[j])
	}
	for j, x := range r.delta {
		for k, y := range r.delta[:j+1] {
			sum.info[j*p+k] += spread * x * y
		}
	}
	if sum.third != nil {
		for i := range sum.third {
			sum.third[i] += sign * third * r.delta[i/p/p] * r.delta[i/p%p] * r.delta[i%p]
		}
	}
	x, y := float64(from), float64(size-from)
	return logChoose(first, x) + logChoose(second, y) + sign*(x*r.eta[0]+y*r.eta[1]) + peak + math.Log(total)
}

// approximate returns the logarithm of the denominator of Breslow, or that of
// Efron, in which the successes count less with each one taken.
func (r *strataRoom) approximate(g int, sum strataSum) float64 {
	successes, _ := r.l.t.counts(g)
	if successes == 0 {
		return 0
	}
	if r.l.ties == Breslow {
		m := r.choose(g, 0)
		sum.take(m, successes)
		return successes * m.log
	}
	all := 0.0
	for taken := range int(successes) {
		m := r.choose(g, float64(taken)/successes)
		sum.take(m, 1)
		all += m.log
	}
	return all
}

// choose returns the moments of one row chosen with weight exp(eta), that of a
// success reduced by the given share.
func (r *strataRoom) choose(g int, less float64) *moments {
	t := r.l.t
	m, nothing := &r.states[1], &r.states[0]
	m.reset()
	nothing.reset()
	nothing.log = 0
	for i, e := range r.eta {
		at := t.start[g] + i
		if n := t.n[at] - less*t.s[at]; n > 0 {
			r.logMix(m, nothing, e+math.Log(n), 1, r.l.row(at))
		}
	}
	return m
}
