package duration

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/newton"
	"gravid/stats/internal/root"
	"gravid/stats/tail"
)

// A TimeScale is a function of time along which a coefficient may drift.
type TimeScale int

const (
	// ShareGone is one minus Kaplan-Meier for all observations together, just
	// before: it spreads the events evenly.
	ShareGone TimeScale = iota
	// PlainTime is the time itself.
	PlainTime
	// RankTime is the rank among all times, equal ones sharing the mean rank.
	RankTime
	// LogTime is the logarithm of the time.
	LogTime
)

var timeScaleNames = [...]string{"share gone by then", "time", "rank of time", "log of time"}

// String names the scale in a few words.
func (t TimeScale) String() string {
	if t < 0 || int(t) >= len(timeScaleNames) {
		return fmt.Sprintf("time scale %d", int(t))
	}
	return timeScaleNames[t]
}

// Proportionality says whether hazards keep in proportion as time goes on.
type Proportionality struct {
	Covariates []Test // one for each, in the order of Names
	Global     Test   // all together
}

// Proportional tests each coefficient, and all, for a drift along the time scale
// by the score test of the coefficient times the scale added to the model
// (Grambsch & Therneau 1994; the score form). A small p-value says that the
// hazards did not keep in proportion; a large one does not say that they did.
// Its Status is that of the fit, or NotComputed where the scale does not exist
// for the times (the log of 0).
func (m *Cox) Proportional(scale TimeScale) Proportionality {
	method := "score test of a drift along the " + scale.String()
	blank := m.test("", method)
	blank.DF = 1
	out := Proportionality{Global: m.test("all hazards keep in proportion", method)}
	for _, name := range m.Names {
		t := blank
		t.Name = name + " keeps in proportion"
		out.Covariates = append(out.Covariates, t)
	}
	if !m.Status.Usable() || len(m.Names) == 0 {
		return out
	}
	g := m.data.timeScale(scale)
	if g == nil {
		out.each(func(t *Test) {
			t.Status = stats.NotComputed
			t.Warnings = append(t.Warnings, stats.Warn("bad-time", "some time is not above 0, so it has no logarithm"))
		})
		return out
	}
	u, a := m.data.drift(m.peak.Theta, g)
	flat := func(t *Test) {
		t.Status = stats.NotIdentifiable
		t.Warnings = append(t.Warnings, stats.Warn("no-drift-visible", "there are too few times with events to see a drift"))
	}
	for j := range out.Covariates {
		if v := a.At(j, j); v > 0 {
			out.Covariates[j] = out.Covariates[j].with(u[j]*u[j]/v, 1)
		} else {
			flat(&out.Covariates[j])
		}
	}
	if q, ok := quadratic(u, a); ok {
		out.Global = out.Global.with(q, len(u))
	} else {
		flat(&out.Global)
	}
	return out
}

func (p *Proportionality) each(do func(*Test)) {
	for i := range p.Covariates {
		do(&p.Covariates[i])
	}
	do(&p.Global)
}

// drift returns the slope of the log-likelihood by the coefficients of the
// covariates times g(time) where those are 0, and their information less what
// the coefficients themselves explain.
func (d *coxData) drift(theta []float64, g func(float64) float64) ([]float64, *mat.SymDense) {
	p := d.p
	centre, total := 0.0, 0.0
	for i, e := range d.event {
		if e {
			centre += d.weight[i] * g(d.time[i])
			total += d.weight[i]
		}
	}
	centre /= total
	u := make([]float64, p)
	plain, once, twice := newSym(p), newSym(p), newSym(p)
	sum := newCoxSum(d, 2)
	d.sweep(d.risks(theta, nil), 2, func(s *riskSet) {
		clear(sum.mean)
		clear(sum.second)
		d.terms(s, func(weight, f float64) { sum.term(weight, f, s) })
		at := g(s.time) - centre
		for j := range p {
			u[j] -= at * sum.mean[j]
			for i := s.from; i < s.to; i++ {
				u[j] += at * d.weight[i] * d.row(i)[j]
			}
		}
		v := sum.information()
		for j := range p {
			for k := j; k < p; k++ {
				plain.SetSym(j, k, plain.At(j, k)+v.At(j, k))
				once.SetSym(j, k, once.At(j, k)+at*v.At(j, k))
				twice.SetSym(j, k, twice.At(j, k)+at*at*v.At(j, k))
			}
		}
	})
	var chol mat.Cholesky
	var x, explained mat.Dense
	if chol.Factorize(plain) && chol.SolveTo(&x, once) == nil {
		explained.Mul(once, &x)
		for j := range p {
			for k := j; k < p; k++ {
				twice.SetSym(j, k, twice.At(j, k)-(explained.At(j, k)+explained.At(k, j))/2)
			}
		}
	}
	return u, twice
}

// timeScale returns the scale as a function of the times of events, or nil where
// it does not exist.
func (d *coxData) timeScale(scale TimeScale) func(float64) float64 {
	switch scale {
	case ShareGone:
		c := Curve{Level: 0.95}
		c.climbDown(newRiskWalk(d.observations(), nil))
		return func(t float64) float64 {
			i := lastAtOrBefore(len(c.Steps), func(i int) float64 { return c.Steps[i].Time }, math.Nextafter(t, math.Inf(-1)))
			if i < 0 {
				return 0
			}
			return 1 - c.Steps[i].Survival
		}
	case RankTime:
		return d.rank()
	case LogTime:
		if slices.Min(d.time) <= 0 {
			return nil
		}
		return math.Log
	default:
		return func(t float64) float64 { return t }
	}
}

// observations gives the rows back as observations.
func (d *coxData) observations() []Observation {
	obs := make([]Observation, len(d.time))
	for i, t := range d.time {
		obs[i] = Observation{Span: Span{t, math.Inf(1)}, Entry: math.Inf(-1), Weight: d.weight[i]}
		if d.event[i] {
			obs[i].Hi = t
		}
	}
	for _, g := range d.strata {
		for _, e := range g.late {
			obs[e.row].Entry = e.time
		}
	}
	return obs
}

// rank is the mean rank of a time among all, weights counted.
func (d *coxData) rank() func(float64) float64 {
	type count struct{ time, weight float64 }
	all := make([]count, len(d.time))
	for i, t := range d.time {
		all[i] = count{t, d.weight[i]}
	}
	slices.SortFunc(all, func(a, b count) int {
		return cmp.Or(cmp.Compare(a.time, b.time), cmp.Compare(a.weight, b.weight))
	})
	ranks := map[float64]float64{}
	before := 0.0
	for i := 0; i < len(all); {
		t, here := all[i].time, 0.0
		for ; i < len(all) && all[i].time == t; i++ {
			here += all[i].weight
		}
		ranks[t] = before + (here+1)/2
		before += here
	}
	return func(t float64) float64 { return ranks[t] }
}

// Profile returns the i-th coefficient with limits at which twice the (penalised)
// log-likelihood lost, the other coefficients put at their best, reaches the
// chi-square quantile. They are the ones to read with Firth's penalty, where
// Wald limits are too short on one side. A limit not reached within 60 standard
// deviations of the covariate is infinite, with a warning. Clusters play no part.
// Profile panics if there is no such coefficient.
func (m *Cox) Profile(i int) stats.Estimate {
	e := m.estimate("profile likelihood limits")
	if !m.Status.Usable() {
		return e.Without(m.Status)
	}
	const far = 60
	allowed := tail.ChiSquareUpperQuantile(1-m.Settings.Level, 1)
	best, se := m.peak.Theta[i], math.Sqrt(m.peak.Covariance.At(i, i))
	ends := [2]float64{}
	for side, sign := range []float64{-1, 1} {
		theta := slices.Clone(m.peak.Theta)
		lost := func(b float64) float64 {
			theta[i] = b
			return 2*(m.peak.Value-m.data.bestWithout(i, theta)) - allowed
		}
		ends[side] = root.Walk(lost, best, sign*se, best+sign*far, 1e-9*se) / m.data.sd[i]
	}
	e.Value, e.Lo, e.Hi = m.Coef[i], ends[0], ends[1]
	if math.IsInf(e.Lo, 0) || math.IsInf(e.Hi, 0) {
		e.Warnings = append(e.Warnings, stats.Warn("no-limit", "the records set no limit to the effect of %s on one side; a few events at its other values would", m.Names[i]))
	}
	return e
}

// bestWithout moves all coefficients but the i-th to their best and returns the
// penalised log-likelihood there.
func (d *coxData) bestWithout(i int, theta []float64) float64 {
	if d.p == 1 {
		return d.objective(theta, nil, nil)
	}
	full := slices.Clone(theta)
	grad, hess := make([]float64, d.p), newSym(d.p)
	objective := d.search()
	rest := newton.Maximise(func(t, g []float64, h *mat.SymDense) float64 {
		copy(full, slices.Insert(slices.Clone(t), i, theta[i]))
		if g == nil {
			return objective(full, nil, nil)
		}
		clear(grad)
		hess.Zero()
		value := objective(full, grad, hess)
		copy(g, slices.Delete(slices.Clone(grad), i, i+1))
		for a, from := range without(d.p, i) {
			for b, to := range without(d.p, i) {
				if b >= a {
					h.SetSym(a, b, hess.At(from, to))
				}
			}
		}
		return value
	}, slices.Delete(slices.Clone(theta), i, i+1), newton.Settings{})
	copy(theta, slices.Insert(slices.Clone(rest.Theta), i, theta[i]))
	return rest.Value
}

// without lists 0 to n-1 but for i.
func without(n, i int) []int {
	var out []int
	for k := range n {
		if k != i {
			out = append(out, k)
		}
	}
	return out
}
