package logit

import (
	"math"
	"slices"
)

// Leaving out clusters asks for the signed root of the profile at many slopes that lie
// close together, and each costs a fit. Over the distance from the estimate in standard
// errors it is smooth and hardly changes, so that a polynomial through curveNodes of its
// values says the others, and with less rounding. The polynomial is held against two more
// fits, half way between the outermost nodes; where it is off by more than curveError,
// every slope gets its own fit.
const (
	curveNodes = 8
	curveError = 1e-9
)

// roots returns the signed root of the profile as a function, for use at the given slopes;
// se is the standard error of the estimate.
func (c *curve) roots(slopes []float64, se float64) func(v float64) float64 {
	exact := func(v float64) float64 { return c.root(v, se) }
	reach, far := 1.0, 0
	for _, v := range slopes {
		if d := math.Abs(v-c.best) / se; d >= straight {
			reach = max(reach, d)
			far++
		}
	}
	if far < 2*(curveNodes+2) || reach > longestShare {
		return exact
	}
	p := c.through(reach, se)
	for _, d := range []float64{p.between(0), p.between(curveNodes - 2)} {
		if r := exact(c.best + d*se); !(math.Abs(d*p.at(d)-r) <= curveError) {
			return exact
		}
	}
	return func(v float64) float64 {
		d := (v - c.best) / se
		if math.Abs(d) < straight || math.Abs(d) > reach {
			return exact(v)
		}
		return d * p.at(d)
	}
}

// A polynomial is given by its values at different nodes, ascending.
type polynomial struct{ node, value []float64 }

// through is the polynomial through the signed root over the distance from the estimate, up
// to a distance of reach either way, with the nodes of Chebyshev.
func (c *curve) through(reach, se float64) polynomial {
	var p polynomial
	for k := range curveNodes {
		d := -reach * math.Cos((2*float64(k)+1)*math.Pi/(2*curveNodes))
		p.node, p.value = append(p.node, d), append(p.value, c.root(c.best+d*se, se)/d)
	}
	return p
}

// between is half way between node k and the next.
func (p polynomial) between(k int) float64 { return (p.node[k] + p.node[k+1]) / 2 }

// at is the value at x, by the scheme of Neville.
func (p polynomial) at(x float64) float64 {
	v := slices.Clone(p.value)
	for k := 1; k < len(v); k++ {
		for i := range len(v) - k {
			v[i] = ((x-p.node[i+k])*v[i] - (x-p.node[i])*v[i+1]) / (p.node[i] - p.node[i+k])
		}
	}
	return v[0]
}
