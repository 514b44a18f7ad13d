package count

import (
	"fmt"
	"math"

	"gravid/stats"
	"gravid/stats/internal/root"
)

// FitZeroTruncated is FitNegativeBinomial for clutches of which each has at
// least one egg, as where a clutch of none is not a clutch: probabilities are
// divided by that of at least one. Mean is then that of such clutches, and so
// are the limits of Predict. An Exposure below 1 is the share of the clutch that
// was looked through, in which there may be none though the clutch has some.
//
// Status is as for FitNegativeBinomial, and TooLittle too where all clutches have
// one egg. The error is also a *stats.InputError for a whole clutch without an
// egg and for an exposure above 1.
func FitZeroTruncated(counts []Count, level float64) (NegativeBinomial, error) {
	level, err := stats.LevelOrDefault(level)
	if err != nil {
		return NegativeBinomial{}, err
	}
	rows, err := tallies(counts)
	if err != nil {
		return NegativeBinomial{}, err
	}
	for i, c := range counts {
		whole := c.Exposure == 0 || c.Exposure == 1
		switch {
		case c.Exposure > 1:
			err = &stats.InputError{Index: i, Reason: fmt.Sprintf("the share of a clutch cannot be %v", c.Exposure)}
		case whole && c.Hi == 0:
			err = &stats.InputError{Index: i, Reason: "a clutch without an egg is not one"}
		}
		if err != nil {
			return NegativeBinomial{}, err
		}
	}
	return fitRows(rows, len(counts), true, level), nil
}

// logPositive is the log of the probability of at least one, log(1 - exp(-h))
// with h = k log(1 + mu/k), and its derivatives.
func (d negBinomial) logPositive(derive bool) partials {
	h := partials{value: d.mu, b: d.mu, bb: d.mu}
	if !math.IsInf(d.k, 1) {
		u := d.mu / d.k
		h = partials{value: d.k * math.Log1p(u), b: d.mu / (1 + u), bb: d.mu / (1 + u) / (1 + u)}
		h.q, h.bq = h.b-h.value, h.bb-h.b
		h.qq = h.bq - h.q
	}
	out := partials{value: math.Log(-math.Expm1(-h.value))}
	if derive {
		w := 1 / math.Expm1(h.value)
		v := -w * (1 + w)
		out.b, out.q = w*h.b, w*h.q
		out.bb, out.bq, out.qq = w*h.bb+v*h.b*h.b, w*h.bq+v*h.b*h.q, w*h.qq+v*h.q*h.q
	}
	return out
}

// notAllNone is the log of the probability of the count c, of which the lower
// end is 0, in a part of a clutch with mean whole that has at least one.
func (d negBinomial) notAllNone(c Count, whole float64, derive bool) partials {
	if d.mu == whole {
		c.Lo = 1
		return d.logLikelihood(c, derive)
	}
	all := negBinomial{whole, d.k}
	if math.IsInf(c.Hi, 1) {
		return all.logPositive(derive)
	}
	return d.sum(0, c.Hi, derive).less(all.sum(0, 0, derive)).ofLog()
}

// less takes another total away.
func (t total) less(o total) total {
	t.add(-math.Exp(o.top-t.top), o.partials)
	return t
}

// logMeanAt is the log of the mean, that of clutches of at least one where the
// fit is truncated, with derivatives by b and q.
func (m NegativeBinomial) logMeanAt(b, size float64, derive bool) partials {
	out := partials{value: b, b: 1}
	if m.positive {
		out.add(-1, negBinomial{math.Exp(b), size}.logPositive(derive))
	}
	return out
}

// centre is the log of the estimated mean.
func (m NegativeBinomial) centre() float64 { return m.logMeanAt(m.logMean, m.Size, false).value }

// logMeanSE is the standard error of centre: by the delta method where the fit
// is truncated.
func (m NegativeBinomial) logMeanSE() float64 {
	if !m.positive {
		return math.Sqrt(m.variance)
	}
	d := m.logMeanAt(m.logMean, m.Size, true)
	if math.IsInf(m.Size, 1) {
		return math.Abs(d.b) * math.Sqrt(m.variance)
	}
	return math.Sqrt(d.b*d.b*m.variance + 2*d.b*d.q*m.mixed + d.q*d.q*m.spread)
}

// atMean is the log-likelihood by the log of the mean and the size, with the
// derivatives by q while the mean is held.
func (m NegativeBinomial) atMean(logMean, size float64, derive bool) partials {
	if !m.positive {
		return m.at(logMean, size, derive)
	}
	b := root.Between(func(b float64) float64 { return m.logMeanAt(b, size, false).value - logMean }, -60, logMean+1e-9, 1e-14)
	if math.IsNaN(b) {
		return partials{value: math.Inf(-1)} // no mean before truncation is that small
	}
	l := m.at(b, size, derive)
	if !derive {
		return l
	}
	g := m.logMeanAt(b, size, true) // logMean = g(b, q) makes b a function of q
	slope := -g.q / g.b
	bend := -(g.qq + 2*g.bq*slope + g.bb*slope*slope) / g.b
	return partials{value: l.value, q: l.q + l.b*slope, qq: l.qq + 2*l.bq*slope + l.bb*slope*slope + l.b*bend}
}
