package count

import (
	"math"
	"slices"

	"gravid/stats/tail"
)

// A mixture averages negative binomial distributions.
type mixture []candidate

type candidate struct {
	negBinomial
	weight   float64
	positive bool // at least one
}

// upTo is P(Y <= y).
func (c candidate) upTo(y float64) float64 {
	if !c.positive {
		return c.lower(y)
	}
	none := c.lower(0)
	return math.Max(c.lower(y)-none, 0) / (1 - none)
}

const (
	nothingLeft = 12  // fall of the log weight after which the rest is left out
	growth      = 1.1 // of the steps over the log size, far from the peak
	gridReach   = 60  // change of the log size beyond which the weights should have died out
)

// candidates lays a grid over the log of the size and, at each, over the log of
// the mean, with weights from the likelihood and a prior flat in the latter and
// in s = 1/sqrt(k); for clutches of at least one, whose likelihood does not die
// out with k (it tends to that of the logarithmic series), falling with 1/(1 +
// s^2). It is nil where the weights do not die out.
func (m NegativeBinomial) candidates() mixture {
	peak, step := m.weightPeak()
	top, _, _, _ := m.height(peak)
	out, _, ok := m.slice(peak, step, top)
	if !ok {
		return nil
	}
	for _, side := range []float64{-1, 1} {
		width, away := step, 0.0
		for i := 1; ; i++ {
			away += width
			next := width
			if i > 8 {
				next *= growth
			}
			slice, height, ok := m.slice(peak+side*away, (width+next)/2, top)
			if !ok || away > gridReach {
				return nil
			}
			out = append(out, slice...)
			if height-top < -nothingLeft {
				break
			}
			width = next
		}
	}
	return out.trimmed()
}

// height is the log weight of a log size with the best mean for it.
func (m NegativeBinomial) height(logSize float64) (height, b, sd float64, ok bool) {
	b, p, ok := m.bestMean(math.Exp(logSize), m.logMean)
	sd = 1 / math.Sqrt(-p.bb)
	prior := -logSize / 2
	if m.positive {
		prior -= math.Log1p(math.Exp(-logSize))
	}
	return p.value + math.Log(sd) + prior, b, sd, ok && sd > 0
}

// weightPeak finds the log size with most weight, by steps that shrink, and a
// step for the grid around it from the curvature there.
func (m NegativeBinomial) weightPeak() (peak, step float64) {
	peak = math.Log(math.Min(m.Size, 100))
	best, _, _, _ := m.height(peak)
	for size := 1.0; size > 0.01; size /= 2 {
		for _, side := range []float64{-1, 1} {
			for {
				h, _, _, ok := m.height(peak + side*size)
				if !ok || !(h > best) || math.Abs(peak) > gridReach {
					break
				}
				peak, best = peak+side*size, h
			}
		}
	}
	const d = 0.05
	up, _, _, _ := m.height(peak + d)
	down, _, _, _ := m.height(peak - d)
	curve := (2*best - up - down) / (d * d)
	if !(curve > 1) {
		curve = 1
	}
	return peak, 1 / math.Sqrt(curve) / 3
}

// slice returns the candidates with one log size; width is the spacing of the
// grid over it.
func (m NegativeBinomial) slice(logSize, width, top float64) (out mixture, height float64, ok bool) {
	height, b, sd, ok := m.height(logSize)
	if !ok {
		return nil, height, false
	}
	size := math.Exp(logSize)
	best := m.at(b, size, false).value
	const apart = 0.4 // standard errors
	for _, side := range []float64{-1, 1} {
		for i := 0; ; i++ {
			if side > 0 && i == 0 {
				continue
			}
			at := b + side*apart*float64(i)*sd
			fall := m.at(at, size, false).value - best
			if !(fall > -nothingLeft) || i > 100 {
				break
			}
			out = append(out, candidate{negBinomial: negBinomial{math.Exp(at), size}, weight: width * math.Exp(height-top+fall)})
		}
	}
	return out, height, true
}

// lower is P(Y <= y), and upper P(Y > y).
func (d negBinomial) lower(y float64) float64 {
	switch {
	case y < 0:
		return 0
	case d.k > 1e6: // the Poisson limit, to more digits than matter here
		return tail.GammaUpper(d.mu, y+1)
	}
	return tail.BetaLower(d.k/(d.k+d.mu), d.k, y+1)
}

// quantile is the smallest whole number with a share of at least p at or below
// it, +Inf where that is beyond what a float64 can count.
func (x mixture) quantile(p float64) float64 {
	var all float64
	for _, c := range x {
		all += c.weight
	}
	below := func(y float64) float64 {
		var sum float64
		for _, c := range x {
			sum += c.weight * c.upTo(y)
		}
		return sum / all
	}
	lo, hi := -1.0, 1.0
	for below(hi) < p {
		if lo, hi = hi, 2*hi; hi > 1<<52 {
			return math.Inf(1)
		}
	}
	for hi-lo > 1 {
		if middle := math.Floor((lo + hi) / 2); below(middle) < p {
			lo = middle
		} else {
			hi = middle
		}
	}
	return hi
}

// trimmed leaves out the candidates whose weights do not matter.
func (x mixture) trimmed() mixture {
	var most float64
	for _, c := range x {
		most = math.Max(most, c.weight)
	}
	return slices.DeleteFunc(x, func(c candidate) bool { return c.weight < 1e-6*most })
}
