package logit

import (
	"math"

	"gravid/stats"
)

// Risks compares the chance of success at two values of a column, averaged over
// the trials as they were recorded in everything else (g-computation, Robins
// 1986). Chances are NaN where Status is not usable.
type Risks struct {
	P0, P1     float64 // average chance with the column at x0 and at x1
	Difference float64 // P1 - P0
	Status     stats.Status
}

// A RiskDifference is the interval estimate of Risks.Difference, with the chances
// that make up its value.
type RiskDifference struct {
	stats.Estimate
	P0, P1 float64
}

// Risks works out the average chances of success with column j at x0 and at x1.
// Under the Firth penalty the intercepts are those of Recalibrate. Under maximum
// likelihood the average is over the groups that have seen both outcomes.
//
// A column made of others (a product, a spline) does not move by itself: Risks
// moves column j alone.
func (m *Model) Risks(j int, x0, x1 float64) Risks {
	return m.risks(j, x0, x1, Restricted{Status: m.Status, Coef: m.Coef, Intercept: m.Intercept})
}

// RisksAt does the same with slope j held at the given value and all else fitted
// (see Constrained). A slope beyond the reach of Profile is brought back to it.
func (m *Model) RisksAt(j int, x0, x1, slope float64) Risks {
	if !m.Status.Usable() {
		return m.Risks(j, x0, x1)
	}
	limit := m.slopeLimit(j)
	return m.risks(j, x0, x1, m.Constrained(j, math.Max(-limit, math.Min(limit, slope))))
}

// RiskDifference turns an interval for slope j, from Profile, Jackknife or
// Envelope, into one for the difference P1 - P0: the ends of the slope's interval
// are put through RisksAt. An end may be infinite; the difference has its
// limiting value there, and keeps the warning.
func (m *Model) RiskDifference(j int, x0, x1 float64, slope stats.Estimate) RiskDifference {
	e := slope
	e.Method = "average over the records of " + slope.Method
	nan := math.NaN()
	e.Value, e.Lo, e.Hi = nan, nan, nan
	out := RiskDifference{Estimate: e, P0: nan, P1: nan}
	if !slope.Status.Usable() {
		return out
	}
	at, lo, hi := m.Risks(j, x0, x1), m.RisksAt(j, x0, x1, slope.Lo), m.RisksAt(j, x0, x1, slope.Hi)
	for _, r := range []Risks{at, lo, hi} {
		if !r.Status.Usable() {
			out.Status = r.Status
			return out
		}
	}
	out.P0, out.P1, out.Value = at.P0, at.P1, at.Difference
	out.Lo = math.Min(at.Difference, math.Min(lo.Difference, hi.Difference))
	out.Hi = math.Max(at.Difference, math.Max(lo.Difference, hi.Difference))
	return out
}

func (m *Model) risks(j int, x0, x1 float64, r Restricted) Risks {
	out := Risks{P0: math.NaN(), P1: math.NaN(), Difference: math.NaN(), Status: r.Status}
	if !r.Status.Usable() {
		return out
	}
	intercept := m.recalibrate(r.Coef, r.Intercept)
	t := m.fitted
	sums := make([]Risks, len(t.segments))
	each(len(t.blocks), func(k int) {
		for at := t.blocks[k].lo; at < t.blocks[k].hi; at++ {
			s := t.segments[at]
			sums[at] = t.risks(s, j, x0, x1, r.Coef, intercept[m.fullGroup(s.group)])
		}
	})
	p0, p1 := neumaier{}, neumaier{}
	for _, s := range sums {
		p0.add(s.P0)
		p1.add(s.P1)
	}
	_, n := t.totals()
	out.P0, out.P1 = p0.total()/n, p1.total()/n
	out.Difference = out.P1 - out.P0
	return out
}

// risks adds up the expected successes of a segment at x0 and x1.
func (t *table) risks(s segment, j int, x0, x1 float64, coef []float64, intercept float64) Risks {
	var sum Risks
	center := t.center[s.group*t.p : (s.group+1)*t.p]
	base := intercept + dot(coef, center) // the intercept where all columns are at their centre
	for i := s.lo; i < s.hi; i++ {
		eta := base + t.offset(i)
		for k, x := range t.x {
			if k != j {
				eta += coef[k] * t.scale[k] * x[i]
			}
		}
		a, _ := chance(eta + coef[j]*(x0-center[j]))
		b, _ := chance(eta + coef[j]*(x1-center[j]))
		sum.P0 += t.n[i] * a
		sum.P1 += t.n[i] * b
	}
	return sum
}
