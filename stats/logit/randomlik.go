package logit

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
)

// A randomLikelihood evaluates the log-likelihood of a random intercept. Parameters
// are the intercept, the slopes of the columns brought to mean 0 and unit spread, and
// sigma, whose sign does not matter.
type randomLikelihood struct {
	t           *table
	z           [][]float64 // columns
	mean, scale []float64
	node        []float64 // of the quadrature
	weight      []float64 // logarithm, times exp(node^2)

	eta    []float64
	modes  []float64   // last found, where the next search starts
	values []float64   // of the groups
	grads  [][]float64 // of the groups
	rooms  []*randomRoom
}

func newRandomLikelihood(d Data, base *Model, nodes int) *randomLikelihood {
	t := newTable(d)
	l := &randomLikelihood{
		t: t, mean: base.full.center, scale: base.full.scale,
		node: make([]float64, nodes), weight: make([]float64, nodes),
		eta: make([]float64, t.patterns()), modes: make([]float64, t.groups()), values: make([]float64, t.groups()),
	}
	for range t.groups() {
		l.grads = append(l.grads, make([]float64, t.p+2))
	}
	for j, x := range t.x {
		z := make([]float64, len(x))
		for g := range t.groups() {
			for i := t.start[g]; i < t.start[g+1]; i++ {
				z[i] = (t.center[g*t.p+j] + x[i]*t.scale[j] - l.mean[j]) / l.scale[j]
			}
		}
		l.z = append(l.z, z)
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

// A randomRoom is room for working out one group at a time.
type randomRoom struct {
	eta, r, w, k []float64 // of a tile
	atMode       randomSums
	nodes        []randomSums
	term         []float64
}

func (l *randomLikelihood) newRoom() *randomRoom {
	tile := func() []float64 { return make([]float64, tileRows) }
	b := &randomRoom{eta: tile(), r: tile(), w: tile(), k: tile(), atMode: newRandomSums(l.t.p), term: make([]float64, len(l.node))}
	for range l.node {
		b.nodes = append(b.nodes, newRandomSums(l.t.p))
	}
	return b
}

// eachGroup calls do for each group, with room that no other call uses meanwhile.
func (l *randomLikelihood) eachGroup(do func(g int, room *randomRoom)) {
	for len(l.rooms) < workers(l.t.groups()) {
		l.rooms = append(l.rooms, l.newRoom())
	}
	eachBy(l.t.groups(), func(worker, g int) { do(g, l.rooms[worker]) })
}

// randomSums are sums over the rows of a group at one u: the log-likelihood given
// u, and residuals r = y - n p, weights w = n p (1-p) and k = w (1-2p), each times 1 and
// the columns.
type randomSums struct {
	loglik  float64
	r, w, k []float64 // 1, then the columns
}

func newRandomSums(p int) randomSums {
	return randomSums{r: make([]float64, p+1), w: make([]float64, p+1), k: make([]float64, p+1)}
}

// extent says which of randomSums are wanted.
type extent int

const (
	onlyTotals   extent = iota // the log-likelihood, r[0], w[0] and k[0]
	andResiduals               // and all of r
	everything
)

// at adds up group g at the given shift of the linear predictor, sigma u.
func (l *randomLikelihood) at(g int, shift float64, s *randomSums, want extent, room *randomRoom) {
	t := l.t
	s.loglik = 0
	clear(s.r)
	clear(s.w)
	clear(s.k)
	for lo := t.start[g]; lo < t.start[g+1]; lo += tileRows {
		hi := min(lo+tileRows, t.start[g+1])
		n := hi - lo
		eta, r, w, k := room.eta[:n], room.r[:n], room.w[:n], room.k[:n]
		copy(eta, l.eta[lo:hi])
		s.loglik += t.outcomes(lo, hi, shift, eta, w, r, nil)
		s.r[0] += floats.Sum(r)
		s.w[0] += floats.Sum(w)
		if want == onlyTotals {
			continue
		}
		for j, z := range l.z {
			s.r[j+1] += floats.Dot(r, z[lo:hi])
		}
		if want == andResiduals {
			continue
		}
		for i, v := range eta {
			k[i] = -w[i] * math.Tanh(v/2)
		}
		s.k[0] += floats.Sum(k)
		for j, z := range l.z {
			s.w[j+1] += floats.Dot(w, z[lo:hi])
			s.k[j+1] += floats.Dot(k, z[lo:hi])
		}
	}
}

// fixed fills in the linear predictor without sigma u for group g.
func (l *randomLikelihood) fixed(g int, theta []float64) {
	lo, hi := l.t.start[g], l.t.start[g+1]
	eta := l.eta[lo:hi]
	for i := range eta {
		eta[i] = theta[0] + l.t.offset(lo+i)
	}
	for j, z := range l.z {
		floats.AddScaled(eta, theta[j+1], z[lo:hi])
	}
}

// mode is the u of group g at which its log-likelihood less u^2/2 is highest, by
// Newton steps; the function is concave.
func (l *randomLikelihood) mode(g int, theta []float64, room *randomRoom) float64 {
	sigma := theta[len(theta)-1]
	l.fixed(g, theta)
	s, u := &room.atMode, l.modes[g]
	l.at(g, sigma*u, s, onlyTotals, room)
	value := s.loglik - u*u/2
	for range 100 {
		step := (sigma*s.r[0] - u) / (sigma*sigma*s.w[0] + 1)
		if math.Abs(step) < 1e-13*(1+math.Abs(u)) {
			break
		}
		moved := false
		for range maxHalvings {
			l.at(g, sigma*(u+step), s, onlyTotals, room)
			if v := s.loglik - (u+step)*(u+step)/2; v >= value-1e-14*(1+math.Abs(value)) {
				u, value, moved = u+step, v, true
				break
			}
			step /= 2
		}
		if !moved {
			l.at(g, sigma*u, s, onlyTotals, room)
			break
		}
		if math.Abs(step) < 1e-8*(1+math.Abs(u)) { // the next step would be its square
			break
		}
	}
	l.modes[g] = u
	return u
}

// group returns the log-likelihood of group g and fills in its derivatives in grad,
// unless that is nil. With h = 1 + sigma^2 sum w at the mode u, the nodes lie at u +
// sqrt(2/h) x_k; they move with the parameters, by the derivatives of u and h.
func (l *randomLikelihood) group(g int, theta, grad []float64, room *randomRoom) float64 {
	p := l.t.p
	sigma := theta[p+1]
	u := l.mode(g, theta, room)
	s, want := &room.atMode, onlyTotals
	if grad != nil {
		l.at(g, sigma*u, s, everything, room)
		want = andResiduals
	}
	h := sigma*sigma*s.w[0] + 1
	spread := math.Sqrt(2 / h)
	total := math.Inf(-1)
	for k, x := range l.node {
		v, at := u+spread*x, &room.nodes[k]
		l.at(g, sigma*v, at, want, room)
		room.term[k] = at.loglik - v*v/2 + l.weight[k]
		total = logAdd(total, room.term[k])
	}
	value := total + math.Log(spread) - math.Log(2*math.Pi)/2
	if grad == nil {
		return value
	}
	clear(grad)
	move, widen := 0.0, 0.0 // what moving all nodes, and spreading them, would gain
	for k, x := range l.node {
		v, at := u+spread*x, &room.nodes[k]
		share := math.Exp(room.term[k] - total)
		for j, r := range at.r {
			grad[j] += share * r
		}
		grad[p+1] += share * v * at.r[0]
		along := share * (sigma*at.r[0] - v)
		move += along
		widen -= along * spread * x / h / 2
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
		grad[j] += move*du + (widen-1/h/2)*dh
	}
	return value
}

// value is the log-likelihood; grad, unless nil, its derivatives.
func (l *randomLikelihood) value(theta, grad []float64) float64 {
	l.eachGroup(func(g int, room *randomRoom) {
		if grad == nil {
			l.values[g] = l.group(g, theta, nil, room)
			return
		}
		l.values[g] = l.group(g, theta, l.grads[g], room)
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

// information is roughly the curvature of the log-likelihood, downwards: that of the
// joint log-likelihood of records and u at the modes, with u taken out. It starts ascend.
func (l *randomLikelihood) information(theta []float64) *mat.SymDense {
	p := l.t.p
	sigma := theta[p+1]
	parts := make([]*mat.SymDense, l.t.groups())
	l.eachGroup(func(g int, room *randomRoom) {
		u := l.mode(g, theta, room)
		s, part := &room.atMode, mat.NewSymDense(p+2, nil)
		l.at(g, sigma*u, s, everything, room)
		l.addProducts(g, sigma*u, part, room)
		cross := make([]float64, p+2) // of the parameters with u
		for j := range p + 1 {
			part.SetSym(j, p+1, u*s.w[j])
			cross[j] = sigma * s.w[j]
		}
		part.SetSym(p+1, p+1, u*u*s.w[0])
		cross[p+1] = sigma*u*s.w[0] - s.r[0]
		part.SymRankOne(part, -1/(sigma*sigma*s.w[0]+1), mat.NewVecDense(p+2, cross))
		parts[g] = part
	})
	sum := mat.NewSymDense(p+2, nil)
	for _, part := range parts {
		sum.AddSym(sum, part)
	}
	return sum
}

// addProducts adds sum w z z' of group g, z with a leading 1.
func (l *randomLikelihood) addProducts(g int, shift float64, out *mat.SymDense, room *randomRoom) {
	t := l.t
	for lo := t.start[g]; lo < t.start[g+1]; lo += tileRows {
		hi := min(lo+tileRows, t.start[g+1])
		eta, r, w, product := room.eta[:hi-lo], room.r[:hi-lo], room.w[:hi-lo], room.k[:hi-lo]
		copy(eta, l.eta[lo:hi])
		t.outcomes(lo, hi, shift, eta, w, r, nil)
		out.SetSym(0, 0, out.At(0, 0)+floats.Sum(w))
		for j, z := range l.z {
			floats.MulTo(product, w, z[lo:hi])
			out.SetSym(0, j+1, out.At(0, j+1)+floats.Sum(product))
			for k := range j + 1 {
				out.SetSym(k+1, j+1, out.At(k+1, j+1)+floats.Dot(product, l.z[k][lo:hi]))
			}
		}
	}
}

// sigmaScore is the derivative of the log-likelihood along sigma^2 at sigma = 0:
// half the sum over groups of (sum r)^2 - sum w.
func (l *randomLikelihood) sigmaScore(theta []float64) float64 {
	s, score, room := newRandomSums(l.t.p), 0.0, l.newRoom()
	for g := range l.t.groups() {
		l.fixed(g, theta)
		l.at(g, 0, &s, onlyTotals, room)
		score += (s.r[0]*s.r[0] - s.w[0]) / 2
	}
	return score
}
