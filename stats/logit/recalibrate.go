package logit

import (
	"math"
	"slices"

	"gravid/stats/internal/root"
)

// Recalibrate returns the intercepts of Groups chosen anew so that the expected
// number of successes of each group is the one observed, with the slopes as
// they are: FLIC of Puhr, Heinze, Nold, Lusa & Geroldinger (2017), for each
// group. The Firth penalty pulls fitted chances towards 1/2, and this undoes it.
//
// A group with a single outcome keeps its penalised intercept, since its own
// would be infinite. Without that penalty there is nothing to undo.
func (m *Model) Recalibrate() []float64 {
	return m.recalibrate(m.Coef, m.Intercept)
}

// RecalibrateAt does the same with the slopes of a restricted fit.
func (m *Model) RecalibrateAt(r Restricted) []float64 {
	return m.recalibrate(r.Coef, r.Intercept)
}

// RecalibratedProbabilities returns the chance of success of every row of the
// data under the intercepts of Recalibrate, NaN for a row without trials.
func (m *Model) RecalibratedProbabilities() []float64 {
	return logistic(m.predict(m.Coef, m.Recalibrate()))
}

// recalibrate does so for any slopes and intercepts, in units of the data.
func (m *Model) recalibrate(coef, intercept []float64) []float64 {
	out := slices.Clone(intercept)
	if !m.Status.Usable() || m.Penalty != Firth {
		return out
	}
	t := m.full
	each(t.groups(), func(g int) {
		if t.informative(g) {
			out[g] = t.calibrated(g, coef)
		}
	})
	return out
}

// calibrated is the intercept of group g, in units of the data, at which the
// expected successes are those observed. With v the rest of the linear
// predictor and r the logit of the proportion, it lies between r - max v and
// r - min v.
func (t *table) calibrated(g int, coef []float64) float64 {
	lo, hi := t.start[g], t.start[g+1]
	v := make([]float64, hi-lo)
	least, most := math.Inf(1), math.Inf(-1)
	for i := lo; i < hi; i++ {
		v[i-lo] = t.offset(i)
		for j, x := range t.x {
			v[i-lo] += coef[j] * t.scale[j] * x[i]
		}
		least, most = math.Min(least, v[i-lo]), math.Max(most, v[i-lo])
	}
	s, n := t.counts(g)
	excess := func(a float64) float64 {
		sum := -s
		for i := lo; i < hi; i++ {
			p, _ := chance(a + v[i-lo])
			sum += t.n[i] * p
		}
		return sum
	}
	r := math.Log(s / (n - s))
	a := r - most
	if most > least {
		// A hair of room on either side, for rounding.
		room := 1e-9 * (1 + math.Abs(r) + math.Abs(least) + math.Abs(most))
		a = root.Between(excess, r-most-room, r-least+room, 0)
	}
	for j, b := range coef {
		a -= b * t.center[g*t.p+j]
	}
	return a
}
