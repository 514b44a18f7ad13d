package logit

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
)

// A randomLikelihood evaluates the log-likelihood of a random intercept. Parameters
// are the intercept, the slopes of the columns brought to mean 0 and unit spread, and
// sigma, whose sign does not matter.
type randomLikelihood struct {
	t           *table
	z           []float64 // pattern i has columns z[i*p : (i+1)*p]
	mean, scale []float64
	node        []float64 // of the quadrature
	weight      []float64 // logarithm, times exp(node^2)

	eta    []float64
	modes  []float64   // last found, where the next search starts
	values []float64   // of the groups
	grads  [][]float64 // of the groups
}

func newRandomLikelihood(d Data, base *Model, nodes int) *randomLikelihood {
	t := newTable(d)
	l := &randomLikelihood{
		t: t, z: make([]float64, len(t.x)), mean: base.full.center, scale: base.full.scale,
		node: make([]float64, nodes), weight: make([]float64, nodes),
		eta: make([]float64, t.patterns()), modes: make([]float64, t.groups()), values: make([]float64, t.groups()),
	}
	for range t.groups() {
		l.grads = append(l.grads, make([]float64, t.p+2))
	}
	for g := range t.groups() {
		for i := t.start[g]; i < t.start[g+1]; i++ {
			for j, x := range t.row(i) {
				l.z[i*t.p+j] = (t.center[g*t.p+j] + x*t.scale[j] - l.mean[j]) / l.scale[j]
			}
		}
	}
	quad.Hermite{}.FixedLocations(l.node, l.weight, math.Inf(-1), math.Inf(1))
	for k, x := range l.node {
		l.weight[k] = math.Log(l.weight[k]) + x*x
	}
	return l
}

// inward is the fit with a single intercept as a starting point, with room for
// sigma.
func (l *randomLikelihood) inward(base *Model) []float64 {
	theta := []float64{base.Intercept[0]}
	for j, b := range base.Coef {
		theta[0] += b * l.mean[j]
		theta = append(theta, b*l.scale[j])
	}
	return append(theta, 0)
}

// randomSums are sums over the rows of a group at one u: the log-likelihood given
// u, and residuals r = y - n p, weights w = n p (1-p) and w (1-2p), each times 1 and
// the columns.
type randomSums struct {
	loglik  float64
	r, w, k []float64 // 1, then the columns
}

func newRandomSums(p int) randomSums {
	return randomSums{r: make([]float64, p+1), w: make([]float64, p+1), k: make([]float64, p+1)}
}

// at adds up group g at the given shift of the linear predictor, sigma u. With few
// only the sums over rows themselves are filled in, not those times the columns.
func (l *randomLikelihood) at(g int, shift float64, s *randomSums, few bool) {
	p := l.t.p
	s.loglik = 0
	clear(s.r)
	clear(s.w)
	clear(s.k)
	for i := l.t.start[g]; i < l.t.start[g+1]; i++ {
		y, n := l.t.s[i], l.t.n[i]
		chance, other, ll := bernoulli(l.eta[i]+shift, y, n)
		r, w := y*other-(n-y)*chance, n*chance*other
		k := w * (other - chance)
		s.loglik += ll
		s.r[0] += r
		s.w[0] += w
		s.k[0] += k
		if few {
			continue
		}
		for j, z := range l.z[i*p : (i+1)*p] {
			s.r[j+1] += r * z
			s.w[j+1] += w * z
			s.k[j+1] += k * z
		}
	}
}

// fixed fills in the linear predictor without sigma u for group g.
func (l *randomLikelihood) fixed(g int, theta []float64) {
	p := l.t.p
	for i := l.t.start[g]; i < l.t.start[g+1]; i++ {
		l.eta[i] = theta[0] + l.t.off[i] + dot(theta[1:p+1], l.z[i*p:(i+1)*p])
	}
}

// mode is the u of group g at which its log-likelihood less u^2/2 is highest, by
// Newton steps; the function is concave.
func (l *randomLikelihood) mode(g int, theta []float64) float64 {
	sigma := theta[len(theta)-1]
	l.fixed(g, theta)
	s := newRandomSums(l.t.p)
	u := l.modes[g]
	l.at(g, sigma*u, &s, true)
	value := s.loglik - u*u/2
	for range 100 {
		step := (sigma*s.r[0] - u) / (sigma*sigma*s.w[0] + 1)
		if math.Abs(step) < 1e-13*(1+math.Abs(u)) {
			break
		}
		moved := false
		for range maxHalvings {
			l.at(g, sigma*(u+step), &s, true)
			if v := s.loglik - (u+step)*(u+step)/2; v >= value-1e-14*(1+math.Abs(value)) {
				u, value, moved = u+step, v, true
				break
			}
			step /= 2
		}
		if !moved {
			l.at(g, sigma*u, &s, true)
			break
		}
	}
	l.modes[g] = u
	return u
}

// group returns the log-likelihood of group g and adds its derivatives to grad,
// unless that is nil. With h = 1 + sigma^2 sum w at the mode u, the nodes lie at u +
// sqrt(2/h) x_k; they move with the parameters, by the derivatives of u and h.
func (l *randomLikelihood) group(g int, theta, grad []float64) float64 {
	p := l.t.p
	sigma := theta[p+1]
	u := l.mode(g, theta)
	s := newRandomSums(p)
	l.at(g, sigma*u, &s, grad == nil)
	h := sigma*sigma*s.w[0] + 1
	spread := math.Sqrt(2 / h)
	at := make([]randomSums, len(l.node))
	term := make([]float64, len(l.node))
	total := math.Inf(-1)
	for k, x := range l.node {
		at[k] = newRandomSums(p)
		v := u + spread*x
		l.at(g, sigma*v, &at[k], grad == nil)
		term[k] = at[k].loglik - v*v/2 + l.weight[k]
		total = logAdd(total, term[k])
	}
	if grad == nil {
		return total + math.Log(spread) - math.Log(2*math.Pi)/2
	}
	for j := range p + 2 {
		du, dh := 0.0, 0.0
		if j <= p {
			du = -sigma * s.w[j] / h
			dh = sigma*sigma*s.k[j] + sigma*sigma*sigma*s.k[0]*du
		} else {
			du = (s.r[0] - sigma*u*s.w[0]) / h
			dh = 2*sigma*s.w[0] + sigma*sigma*u*s.k[0] + sigma*sigma*sigma*s.k[0]*du
		}
		grad[j] -= dh / h / 2
		for k, x := range l.node {
			v := u + spread*x
			slope := v * at[k].r[0]
			if j <= p {
				slope = at[k].r[j]
			}
			slope += (sigma*at[k].r[0] - v) * (du - spread*x*dh/h/2)
			grad[j] += math.Exp(term[k]-total) * slope
		}
	}
	return total + math.Log(spread) - math.Log(2*math.Pi)/2
}

// value is the log-likelihood; grad, unless nil, its derivatives.
func (l *randomLikelihood) value(theta, grad []float64) float64 {
	each(l.t.groups(), func(g int) {
		if grad == nil {
			l.values[g] = l.group(g, theta, nil)
			return
		}
		clear(l.grads[g])
		l.values[g] = l.group(g, theta, l.grads[g])
	})
	sum := neumaier{}
	for _, v := range l.values {
		sum.add(v)
	}
	clear(grad)
	for j := range grad {
		for g := range l.grads {
			grad[j] += l.grads[g][j]
		}
	}
	return sum.total()
}

// objective is value with second derivatives by central differences of the first.
func (l *randomLikelihood) objective(theta, grad []float64, hess *mat.SymDense) float64 {
	if grad == nil {
		return l.value(theta, nil)
	}
	n := len(theta)
	at := append([]float64(nil), theta...)
	up, down := make([]float64, n), make([]float64, n)
	second := make([][]float64, n)
	for i := range n {
		step := 1e-5 * math.Max(1, math.Abs(theta[i]))
		at[i] = theta[i] + step
		l.value(at, up)
		at[i] = theta[i] - step
		l.value(at, down)
		at[i] = theta[i]
		second[i] = make([]float64, n)
		for j := range n {
			second[i][j] = (up[j] - down[j]) / (2 * step)
		}
	}
	for i := range n {
		for j := range i + 1 {
			hess.SetSym(i, j, (second[i][j]+second[j][i])/2)
		}
	}
	return l.value(theta, grad)
}

// sigmaScore is the derivative of the log-likelihood along sigma^2 at sigma = 0:
// half the sum over groups of (sum r)^2 - sum w.
func (l *randomLikelihood) sigmaScore(theta []float64) float64 {
	s, score := newRandomSums(l.t.p), 0.0
	for g := range l.t.groups() {
		l.fixed(g, theta)
		l.at(g, 0, &s, true)
		score += (s.r[0]*s.r[0] - s.w[0]) / 2
	}
	return score
}
