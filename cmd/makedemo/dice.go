package main

import (
	"math"
	"math/rand/v2"
)

// dice draws from a numbered stream of a seed. Draws are built on the bits of
// the PCG generator alone, whose stream is fixed, so that the same seed gives
// the same demo club with every version of Go.
type dice struct{ source *rand.PCG }

func newDice(seed, stream uint64) *dice { return &dice{rand.NewPCG(seed, stream)} }

// unit draws evenly from [0, 1).
func (d *dice) unit() float64 { return float64(d.source.Uint64()>>11) / (1 << 53) }

// between draws evenly from [low, high).
func (d *dice) between(low, high float64) float64 { return low + (high-low)*d.unit() }

// whole draws evenly from the whole numbers low to high, both included.
func (d *dice) whole(low, high int) int { return low + int(d.unit()*float64(high-low+1)) }

func (d *dice) chance(p float64) bool { return d.unit() < p }

// of draws one of a list evenly.
func of[T any](d *dice, list []T) T { return list[d.whole(0, len(list)-1)] }

// normal draws from the standard normal distribution (Box and Muller 1958).
func (d *dice) normal() float64 {
	r := math.Sqrt(-2 * math.Log(1-d.unit()))
	return r * math.Cos(2*math.Pi*d.unit())
}

// gamma draws from the gamma distribution with scale 1 and a shape of 1 or more
// (Marsaglia and Tsang 2000), or less than 1 by way of shape + 1.
func (d *dice) gamma(shape float64) float64 {
	if shape < 1 {
		return d.gamma(shape+1) * math.Pow(1-d.unit(), 1/shape)
	}
	a := shape - 1.0/3
	c := 1 / math.Sqrt(9*a)
	for {
		x := d.normal()
		v := math.Pow(1+c*x, 3)
		if v > 0 && math.Log(1-d.unit()) < x*x/2+a-a*v+a*math.Log(v) {
			return a * v
		}
	}
}

// poisson draws a count: the events before the given time of a process with one
// event a unit of time.
func (d *dice) poisson(mean float64) int {
	n := 0
	for t := -math.Log(1 - d.unit()); t < mean; t -= math.Log(1 - d.unit()) {
		n++
	}
	return n
}

// negativeBinomial draws a count with that mean and variance mean + mean²/k.
func (d *dice) negativeBinomial(mean, k float64) int { return d.poisson(mean / k * d.gamma(k)) }

// betaBinomial draws how many of n have a mark that each has with a chance drawn
// once for all: mean share, correlation rho between two of them.
func (d *dice) betaBinomial(n int, share, rho float64) int {
	size := 1/rho - 1
	x, y := d.gamma(share*size), d.gamma((1-share)*size)
	p, hits := x/(x+y), 0
	for range n {
		if d.chance(p) {
			hits++
		}
	}
	return hits
}
