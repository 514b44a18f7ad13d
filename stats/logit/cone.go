package logit

// The functions of this file decide whether some direction b has d'b >= 0 for
// every member d of a set of vectors: whether the cone K = {b : d'b >= 0 for all
// d} holds more than 0. They project a target v onto K. By the decomposition of
// Moreau the projection is r = v + sum of lambda_k d_k with non-negative
// lambda_k, the shortest such vector, which is a problem of non-negative least
// squares: Lawson & Hanson (1974, chapter 23) solve it with at most p vectors in
// play at a time and cannot cycle. Projecting e_j and -e_j onto K gives
// the largest and smallest b_j in the unit ball of K, so the answer is either
// exactly nothing or, for some j, at least 1/sqrt(p): there is no near-zero
// optimum to interpret, as a linear program over a box would have.
//
// The set is only known through an oracle, so it may be as large as all pairs of
// a success and a failure.

// An oracle returns members of the set with d'r < -slack, or none if there are
// none. It need not return all, but must return the worst.
type oracle func(r []float64, slack float64) [][]float64

// A cone projects onto K and remembers the members it has met.
type cone struct {
	p      int
	ask    oracle
	member [][]float64 // of unit length
}

// coneSlack is the violation, relative to columns of unit spread and a target of
// unit length, that counts as rounding.
const coneSlack = 1e-10

// project returns the projection of the unit vector v onto K. It reports false
// if rounding kept it from finding one.
func (c *cone) project(v []float64) (r []float64, ok bool) {
	a := active{cone: c, target: v, r: append([]float64(nil), v...)}
	for range 100 * (c.p + 10) {
		k := c.worst(a.r)
		if k < 0 {
			return a.r, true
		}
		if !a.add(k) {
			return a.r, false
		}
		if dot(a.r, a.r) < coneSlack*coneSlack {
			clear(a.r)
			return a.r, true
		}
	}
	return a.r, false
}

// worst returns the member with the most negative d'r, asking the oracle only
// once no known member is violated; -1 if none is.
func (c *cone) worst(r []float64) int {
	for {
		best, least := -1, -coneSlack
		for k, d := range c.member {
			if v := dot(d, r); v < least {
				best, least = k, v
			}
		}
		if best >= 0 {
			return best
		}
		known := len(c.member)
		for _, d := range c.ask(r, coneSlack) {
			if scaleTo(d, 1); dot(d, r) < -coneSlack {
				c.member = append(c.member, d)
			}
		}
		if len(c.member) == known {
			return -1
		}
	}
}

// active is the state of one projection: r = target + sum lambda_k member[in[k]].
type active struct {
	cone   *cone
	target []float64
	in     []int
	lambda []float64
	r      []float64
}

// add brings member k into play and restores the non-negativity of all weights.
// It reports false if that does not shorten r.
func (a *active) add(k int) bool {
	before := dot(a.r, a.r)
	for _, m := range a.in {
		if m == k {
			return false // already as well satisfied as rounding allows
		}
	}
	a.in, a.lambda = append(a.in, k), append(a.lambda, 0)
	for len(a.in) > 0 {
		z := a.solve()
		t, first := 1.0, -1 // how far towards z, and the weight that stops it
		for i, v := range z {
			if v <= 0 {
				reach := 0.0
				if a.lambda[i] > 0 {
					reach = a.lambda[i] / (a.lambda[i] - v)
				}
				if first < 0 || reach < t {
					t, first = reach, i
				}
			}
		}
		for i, v := range z {
			a.lambda[i] += t * (v - a.lambda[i])
		}
		if first < 0 {
			break
		}
		a.lambda[first] = 0
		a.drop()
	}
	copy(a.r, a.target)
	for i, m := range a.in {
		subtract(a.r, -a.lambda[i], a.cone.member[m])
	}
	return dot(a.r, a.r) < before
}

// drop takes out of play the members whose weight has reached nothing.
func (a *active) drop() {
	keep := 0
	for i, v := range a.lambda {
		if v > 0 {
			a.in[keep], a.lambda[keep] = a.in[i], v
			keep++
		}
	}
	a.in, a.lambda = a.in[:keep], a.lambda[:keep]
}

// solve returns the unconstrained weights that make r shortest.
func (a *active) solve() []float64 {
	in := make([][]float64, len(a.in))
	for i, k := range a.in {
		in[i] = a.cone.member[k]
	}
	return shortest(a.target, in)
}
