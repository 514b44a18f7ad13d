package duration

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats/internal/newton"
)

// moments are sums over a set of rows of the weighted hazard and of it times
// the covariates, their products of two and of three; only the lower triangles
// (j >= k >= l) are kept.
type moments struct {
	s0         float64
	s1, s2, s3 []float64
}

// newMoments makes room for products of up to the order given.
func newMoments(p, order int) moments {
	var m moments
	if order >= 1 {
		m.s1 = make([]float64, p)
	}
	if order >= 2 {
		m.s2 = make([]float64, p*(p+1)/2)
	}
	if order >= 3 {
		m.s3 = make([]float64, p*(p+1)*(p+2)/6)
	}
	return m
}

func (m *moments) clear() {
	m.s0 = 0
	clear(m.s1)
	clear(m.s2)
	clear(m.s3)
}

// add adds a row with covariates x and weighted hazard r, or takes one away if
// r is negative.
func (m *moments) add(x []float64, r float64) {
	m.s0 += r
	if m.s1 == nil {
		return
	}
	a, b := 0, 0
	for j, xj := range x {
		rj := r * xj
		m.s1[j] += rj
		if m.s2 == nil {
			continue
		}
		s2 := m.s2[a : a+j+1]
		for k := range s2 {
			s2[k] += rj * x[k]
		}
		a += j + 1
		for k := 0; k <= j && m.s3 != nil; k++ {
			rjk := rj * x[k]
			for _, xl := range x[:k+1] {
				m.s3[b] += rjk * xl
				b++
			}
		}
	}
}

// less returns s0 of the moments less a share f of the moments of tied events,
// and the mean, in mean, of the covariates over what is left.
func (m *moments) less(f float64, tied *moments, mean []float64) float64 {
	s0 := m.s0 - f*tied.s0
	for j := range mean {
		mean[j] = (m.s1[j] - f*tied.s1[j]) / s0
	}
	return s0
}

// A riskSet is who is at risk at a time of an event, going back in time through
// one stratum. events are the rows [from, to) of that time that have one.
type riskSet struct {
	stratum  *coxStratum
	time     float64
	from, to int // rows with an event
	reached  int // rows stratum.from to reached have an exit at or after time
	all      *moments
	tied     moments // of those with an event
	weight   float64 // of those with an event
}

// risks fills in the weighted hazard of each row against the baseline; it makes
// the slice if into is nil.
func (d *coxData) risks(theta, into []float64) []float64 {
	if into == nil {
		into = make([]float64, len(d.time))
	}
	for i := range into {
		into[i] = d.weight[i] * math.Exp(d.logRisk(i, theta))
	}
	return into
}

// sweep visits every time of an event in every stratum from the last back, with
// moments of up to the order given.
func (d *coxData) sweep(risk []float64, order int, visit func(*riskSet)) {
	inside := newMoments(d.p, order)
	s := riskSet{all: &inside, tied: newMoments(d.p, order)}
	var gone *goneMoments
	if d.gone != nil {
		gone = d.gone.moments(d, risk, order)
		s.all = &gone.both
	}
	for g := range d.strata {
		s.stratum = &d.strata[g]
		inside.clear()
		late := s.stratum.late
		number := 0
		for i := s.stratum.from; i < s.stratum.to; {
			s.time, s.from, s.weight = d.time[i], i, 0
			s.tied.clear()
			for ; i < s.stratum.to && d.time[i] == s.time && d.event[i]; i++ {
				inside.add(d.row(i), risk[i])
				s.tied.add(d.row(i), risk[i])
				s.weight += d.weight[i]
			}
			s.to = i
			for ; i < s.stratum.to && d.time[i] == s.time; i++ {
				inside.add(d.row(i), risk[i])
			}
			s.reached = i
			number += i - s.from
			if s.from == s.to {
				continue
			}
			for ; len(late) > 0 && late[0].time >= s.time; late = late[1:] {
				number--
				row := late[0].row
				if number == s.reached-s.from { // nobody but those of this time is left: drop what rounding has left, too
					inside.clear()
					for k := s.from; k < s.reached; k++ {
						inside.add(d.row(k), risk[k])
					}
					continue
				}
				inside.add(d.row(row), -risk[row])
			}
			if gone != nil {
				gone.join(&inside, s.time)
			}
			visit(&s)
		}
	}
}

// terms calls do for each of the terms that the ties make of the events of one
// time: one with all their weight and the whole risk set, or (Efron) one for
// each event with an equal share of the weight and a rising share f of the tied
// taken away. Discrete ties have a likelihood of their own, and Breslow's terms
// for all else.
func (d *coxData) terms(s *riskSet, do func(weight, f float64)) {
	n := s.to - s.from
	if d.ties != Efron || n == 1 {
		do(s.weight, 0)
		return
	}
	for k := range n {
		do(s.weight/float64(n), float64(k)/float64(n))
	}
}

// plain is the partial log-likelihood in the form newton.Maximise wants.
func (d *coxData) plain(theta, grad []float64, hess *mat.SymDense) float64 {
	return d.likelihood(theta, d.risks(theta, nil), grad, hess, false)
}

// objective is plain with Firth's penalty where it is asked for. With the penalty
// the second derivatives are those of plain: minus the information.
func (d *coxData) objective(theta, grad []float64, hess *mat.SymDense) float64 {
	return d.likelihood(theta, d.risks(theta, nil), grad, hess, d.firth)
}

// search is objective for a search that asks for the derivatives where it has
// just asked for the value: the hazards are kept in between.
func (d *coxData) search() newton.Objective {
	var at, risk []float64
	return func(theta, grad []float64, hess *mat.SymDense) float64 {
		if !slices.Equal(at, theta) || at == nil {
			at, risk = slices.Clone(theta), d.risks(theta, risk)
		}
		return d.likelihood(theta, risk, grad, hess, d.firth)
	}
}

func (d *coxData) likelihood(theta, risk, grad []float64, hess *mat.SymDense, firth bool) float64 {
	order := 0
	switch {
	case firth && grad != nil:
		order = 3
	case firth || grad != nil:
		order = 2
	}
	sum := newCoxSum(d, order)
	var value float64
	d.sweep(risk, order, func(s *riskSet) {
		for i := s.from; i < s.to; i++ {
			value += d.weight[i] * d.logRisk(i, theta)
			if grad != nil {
				for j, x := range d.row(i) {
					grad[j] += d.weight[i] * x
				}
			}
		}
		if d.ties == Discrete && s.to-s.from > 1 {
			value -= d.discrete(theta, s, sum, order > 0)
			return
		}
		hazards, each := logProduct{product: 1}, 0.0 // the terms of one time weigh alike
		d.terms(s, func(weight, f float64) {
			hazards.times(sum.term(weight, f, s))
			each = weight
		})
		value -= each * hazards.log()
	})
	if order == 0 {
		return finite(value)
	}
	for j := range grad {
		grad[j] -= sum.mean[j]
	}
	info := sum.information()
	if hess != nil {
		for j := range d.p {
			for k := 0; k <= j; k++ {
				hess.SetSym(j, k, -info.At(j, k))
			}
		}
	}
	if firth && d.p > 0 {
		value += sum.penalty(info, grad)
	}
	return finite(value)
}

func finite(v float64) float64 {
	if math.IsNaN(v) {
		return math.Inf(-1)
	}
	return v
}

// A coxSum adds up, over the terms, the mean of the covariates over the risk set
// and their second and third central moments, lower triangles as in moments.
type coxSum struct {
	order               int
	mean, second, third []float64
	at                  []float64 // mean of one term
}

func newCoxSum(d *coxData, order int) *coxSum {
	m := newMoments(d.p, order)
	s := &coxSum{order: order, mean: m.s1, second: m.s2, third: m.s3}
	if order > 0 {
		s.at = make([]float64, d.p)
	}
	return s
}

// A logProduct is the log of a product that is taken only when the product gets
// too large or small to hold.
type logProduct struct{ sum, product float64 }

func (l *logProduct) times(x float64) {
	l.product *= x
	if l.product < 1e-150 || l.product > 1e150 {
		l.sum += math.Log(l.product)
		l.product = 1
	}
}

func (l *logProduct) log() float64 { return l.sum + math.Log(l.product) }

// term adds one term and returns the hazard of its risk set.
func (c *coxSum) term(weight, f float64, s *riskSet) float64 {
	s0 := s.all.less(f, &s.tied, c.at)
	a, b := 0, 0
	for j, mj := range c.at {
		c.mean[j] += weight * mj
		for k := 0; k <= j; k++ {
			two := (s.all.s2[a] - f*s.tied.s2[a]) / s0
			c.second[a] += weight * (two - mj*c.at[k])
			a++
			for l := 0; l <= k && c.third != nil; l++ {
				c.third[b] += weight * ((s.all.s3[b]-f*s.tied.s3[b])/s0 + 2*mj*c.at[k]*c.at[l] -
					mj*s.pair(f, k, l)/s0 - c.at[k]*s.pair(f, j, l)/s0 - c.at[l]*s.pair(f, j, k)/s0)
				b++
			}
		}
	}
	return s0
}

// pair is the sum of products of covariates j >= k, less the share f of the tied.
func (s *riskSet) pair(f float64, j, k int) float64 {
	at := triangle(j, k)
	return s.all.s2[at] - f*s.tied.s2[at]
}

// triangle is the place of (j, k), j >= k, in a lower triangle.
func triangle(j, k int) int { return j*(j+1)/2 + k }

func (c *coxSum) information() *mat.SymDense {
	p := len(c.at)
	info := newSym(p)
	for j := range p {
		for k := 0; k <= j; k++ {
			info.SetSym(j, k, c.second[triangle(j, k)])
		}
	}
	return info
}

// penalty is half the log determinant of the information; its slope, half the
// trace of the inverse times the derivative of the information, is added to
// grad unless that is nil.
func (c *coxSum) penalty(info *mat.SymDense, grad []float64) float64 {
	var chol mat.Cholesky
	if !chol.Factorize(info) {
		return math.Inf(-1)
	}
	if grad == nil {
		return chol.LogDet() / 2
	}
	var inverse mat.SymDense
	if chol.InverseTo(&inverse) != nil {
		return math.Inf(-1)
	}
	for j := range c.at {
		for k := range c.at {
			for l := range c.at { // the derivative of element (j, k) of the information by coefficient l
				grad[l] += inverse.At(j, k) * c.third[tetrahedron(j, k, l)] / 2
			}
		}
	}
	return chol.LogDet() / 2
}

// tetrahedron is the place of the three in the lower triangles of third moments.
func tetrahedron(j, k, l int) int {
	j, k = max(j, k), min(j, k)
	k, l = max(k, l), min(k, l)
	j, k = max(j, k), min(j, k)
	return j*(j+1)*(j+2)/6 + k*(k+1)/2 + l
}

// discrete is the log of the sum, over all ways to choose as many from the risk
// set as had an event, of the product of their hazards, and adds its derivatives
// to sum. It runs through the risk set once, as for the number of successes in
// unlike trials whose odds are the hazards times a factor that makes the number
// expected the one seen, so that nothing overflows.
func (d *coxData) discrete(theta []float64, s *riskSet, sum *coxSum, derive bool) float64 {
	rows := make([]int, 0, s.reached-s.stratum.from)
	out := make(map[int]bool)
	for _, e := range s.stratum.late {
		if e.time >= s.time {
			out[e.row] = true
		}
	}
	eta := make([]float64, 0, cap(rows))
	for i := s.stratum.from; i < s.reached; i++ {
		if !out[i] {
			rows, eta = append(rows, i), append(eta, d.logRisk(i, theta))
		}
	}
	n := s.to - s.from
	if n == len(rows) { // no choice
		var all float64
		for k, i := range rows {
			all += eta[k]
			for j := 0; j < d.p && derive; j++ {
				sum.mean[j] += d.row(i)[j]
			}
		}
		return all
	}
	shift := balance(eta, n)
	c := newChoice(n, d.p, derive)
	log := -float64(n) * shift
	for k, i := range rows {
		log += softplus(eta[k] + shift)
		c.offer(expit(eta[k]+shift), d.row(i))
	}
	if derive {
		c.addTo(sum)
	}
	return log + math.Log(c.chance[n])
}

// A choice holds, for each number k of successes up to n among the trials so
// far, its chance and the first and second derivatives (lower triangle) of that
// chance by the coefficients, the failing trials' odds taken as fixed.
type choice struct {
	n            int
	chance       []float64
	slope, curve [][]float64
}

func newChoice(n, p int, derive bool) *choice {
	c := &choice{n: n, chance: make([]float64, n+1)}
	c.chance[0] = 1
	for range n + 1 {
		if derive {
			c.slope = append(c.slope, make([]float64, p))
			c.curve = append(c.curve, make([]float64, p*(p+1)/2))
		}
	}
	return c
}

// offer adds a trial with chance p of success, whose log odds change by x with
// the coefficients.
func (c *choice) offer(p float64, x []float64) {
	q := 1 - p
	for k := c.n; k >= 0; k-- {
		if c.slope == nil {
			c.chance[k] *= q
			if k > 0 {
				c.chance[k] += p * c.chance[k-1]
			}
			continue
		}
		a := 0
		for i, xi := range x {
			for j := 0; j <= i; j++ {
				c.curve[k][a] *= q
				if k > 0 {
					c.curve[k][a] += p * (c.curve[k-1][a] + xi*c.slope[k-1][j] + c.slope[k-1][i]*x[j] + xi*x[j]*c.chance[k-1])
				}
				a++
			}
		}
		for i, xi := range x {
			c.slope[k][i] *= q
			if k > 0 {
				c.slope[k][i] += p * (c.slope[k-1][i] + xi*c.chance[k-1])
			}
		}
		c.chance[k] *= q
		if k > 0 {
			c.chance[k] += p * c.chance[k-1]
		}
	}
}

// addTo adds the derivatives of the log of the chance of n successes.
func (c *choice) addTo(sum *coxSum) {
	a := 0
	for i, s := range c.slope[c.n] {
		sum.mean[i] += s / c.chance[c.n]
		for j := 0; j <= i; j++ {
			sum.second[a] += c.curve[c.n][a]/c.chance[c.n] - s*c.slope[c.n][j]/square(c.chance[c.n])
			a++
		}
	}
}

// softplus is log(1 + e^x).
func softplus(x float64) float64 { return math.Max(x, 0) + math.Log1p(math.Exp(-math.Abs(x))) }

// balance is the shift at which the expits of eta add up to n, to about a
// hundredth; it need not be exact.
func balance(eta []float64, n int) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, e := range eta {
		lo, hi = math.Min(lo, -e), math.Max(hi, -e)
	}
	lo, hi = lo-40, hi+40
	for hi-lo > 0.01 {
		mid := (lo + hi) / 2
		var total float64
		for _, e := range eta {
			total += expit(e + mid)
		}
		if total < float64(n) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
