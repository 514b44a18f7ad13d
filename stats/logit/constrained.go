package logit

import (
	"math"

	"gravid/stats"
)

// A Restricted fit has some parameters held at given values and all others
// fitted. Its numbers are NaN where Status is not usable.
type Restricted struct {
	Status    stats.Status
	Coef      []float64 // of all columns, those held included
	Intercept []float64 // of Model.Groups
	// Value is the log-likelihood reached (Model.Kernel), with the penalty of the
	// full design (Model.PenalizedLogLik) where the model has one.
	Value      float64
	Iterations int
}

// Constrained fits all other parameters with slope j held at the given value. A
// penalty stays that of the full design, as for the profile.
func (m *Model) Constrained(j int, value float64) Restricted {
	if !m.Status.Usable() {
		return m.restrictedNaN(m.Status)
	}
	pt := m.best.clone()
	pt.b[j] = value * m.fitted.scale[j]
	l := m.likelihood(m.fitted, nil)
	if !m.Separation.Separated() && math.Abs(value-m.Coef[j]) < longestShare*m.SE[j] {
		l.curvature = m.curvature()
	}
	return m.restricted(l, &pt, holdSlopes(j))
}

// restricted fits with some parameters held, starting from pt, which it moves to
// the maximum.
func (m *Model) restricted(l *likelihood, pt *point, held hold) Restricted {
	iterations, ok := l.maximise(pt, held, m.options)
	if !ok {
		return m.restrictedNaN(stats.NotConverged)
	}
	r := Restricted{Status: stats.OK, Value: l.value, Iterations: iterations, Coef: make([]float64, len(m.Coef)), Intercept: m.outward(*pt)}
	if m.Penalty == Firth {
		r.Value += m.PenalizedLogLik - m.top // into units of the data
	}
	for j := range r.Coef {
		r.Coef[j] = pt.b[j] / m.fitted.scale[j]
	}
	return r
}

func (m *Model) restrictedNaN(s stats.Status) Restricted {
	nan := math.NaN()
	return Restricted{Status: s, Coef: filled(len(m.Coef), nan), Intercept: filled(len(m.Intercept), nan), Value: nan}
}
