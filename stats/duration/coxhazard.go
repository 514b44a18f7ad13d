package duration

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
)

// A coxTime is what a fitted model makes of one time with events in one stratum.
// Hazards are of a subject at the mean of all covariates and offsets; means are
// of the standardised covariates, weighted by the hazard of those at risk.
type coxTime struct {
	stratum  int // place in coxData.strata
	time     float64
	from, to int       // rows with an event
	hazard   float64   // jump of the cumulative hazard
	variance float64   // of the jump, the coefficients taken as known
	pull     []float64 // the jump times the mean at each term, added up
	own      float64   // the jump as it weighs on those with an event at this time
	ownPull  []float64
	mean     []float64 // average of the mean over the terms
}

// hazards works out the table of times, each stratum in ascending order.
func (d *coxData) hazards(theta []float64) []coxTime {
	var out []coxTime
	mean := make([]float64, d.p)
	d.sweep(d.risks(theta, nil), 1, func(s *riskSet) {
		t := coxTime{
			time: s.time, from: s.from, to: s.to,
			pull: make([]float64, d.p), ownPull: make([]float64, d.p), mean: make([]float64, d.p),
		}
		for d.strata[t.stratum].to <= s.from {
			t.stratum++
		}
		d.terms(s, func(weight, f float64) {
			s0 := s.all.less(f, &s.tied, mean)
			jump := weight / s0
			t.hazard += jump
			t.variance += jump / s0
			t.own += jump * (1 - f)
			for j, a := range mean {
				t.pull[j] += jump * a
				t.ownPull[j] += jump * (1 - f) * a
				t.mean[j] += a * weight / s.weight
			}
		})
		out = append(out, t)
	})
	slices.SortStableFunc(out, func(a, b coxTime) int {
		if a.stratum != b.stratum {
			return a.stratum - b.stratum
		}
		return b.from - a.from
	})
	return out
}

// A BaselineStep of the baseline hazard, from one time of an event to the next.
type BaselineStep struct {
	Time   float64
	Hazard float64 // cumulative
	SE     float64
}

// Baseline returns the cumulative hazard of a stratum where the covariates are x
// (offset 0), in the order of Names, with standard errors: Breslow's estimate, or
// Efron's for Efron ties. Use 0 for the stratum where there are none. It is empty
// unless Status is usable. Baseline panics if x has the wrong length.
func (m *Cox) Baseline(stratum int, x []float64) []BaselineStep {
	if len(x) != len(m.Names) {
		panic(fmt.Sprintf("duration: %d covariates given to a model with %d", len(x), len(m.Names)))
	}
	if !m.Status.Usable() {
		return nil
	}
	p := len(x)
	at := make([]float64, p) // standardised
	eta := -m.data.offsetMean
	for j := range x {
		at[j] = (x[j] - m.data.mean[j]) / m.data.sd[j]
		eta += at[j] * m.peak.Theta[j]
	}
	risk := math.Exp(eta)
	var out []BaselineStep
	var hazard, variance float64
	away := make([]float64, p) // derivative of the cumulative hazard by the coefficients
	v := m.standardVariance()
	for _, t := range m.table() {
		if m.data.strata[t.stratum].label != stratum {
			continue
		}
		hazard += t.hazard
		variance += t.variance
		for j := range away {
			away[j] += t.hazard*at[j] - t.pull[j]
		}
		total := variance
		if p > 0 {
			d := mat.NewVecDense(p, away)
			total += mat.Inner(d, v, d)
		}
		out = append(out, BaselineStep{Time: t.time, Hazard: risk * hazard, SE: risk * math.Sqrt(total)})
	}
	return out
}

// table returns the hazards, worked out once.
func (m *Cox) table() []coxTime {
	if m.base == nil {
		m.base = m.data.hazards(m.peak.Theta)
	}
	return m.base
}

// standardVariance is the variance of the standardised coefficients that limits
// are made from.
func (m *Cox) standardVariance() *mat.SymDense {
	n := len(m.Names)
	v := newSym(n)
	for i := range n {
		for j := i; j < n; j++ {
			v.SetSym(i, j, m.variance().At(i, j)*m.data.sd[i]*m.data.sd[j])
		}
	}
	return v
}

// Survival returns the share still waiting at time t in a stratum where the
// covariates are x, exp(-cumulative hazard), with the limits of
// Settings.Interval. Before the first event the limits have no width; after the
// last time on record of the stratum there is no value. Use 0 for the stratum
// where there are none. Survival panics if x has the wrong length.
func (m *Cox) Survival(stratum int, x []float64, t float64) stats.Estimate {
	e := m.estimate("predicted survival, " + m.Settings.Interval.String() + " limits")
	steps := m.Baseline(stratum, x)
	if !m.Status.Usable() {
		return e.Without(m.Status)
	}
	g := slices.IndexFunc(m.data.strata, func(g coxStratum) bool { return g.label == stratum })
	if g < 0 {
		return e.Without(stats.NotComputed, stats.Warn("no-such-stratum", "there is no stratum %d", stratum))
	}
	if last := m.data.time[m.data.strata[g].from]; t > last {
		return e.Without(e.Status, stats.Warn("beyond-records", "nobody was followed beyond %v", last))
	}
	i := lastAtOrBefore(len(steps), func(i int) float64 { return steps[i].Time }, t)
	if i < 0 {
		e.Value, e.Lo, e.Hi = 1, 1, 1
		e.Warnings = append(e.Warnings, stats.Warn("no-event-yet", "nothing had happened by then, so the limits have no width"))
		return e
	}
	e.Value = math.Exp(-steps[i].Hazard)
	e.Lo, e.Hi = m.Settings.Interval.limits(e.Value, e.Value*steps[i].SE, normalLimit(m.Settings.Level))
	return e
}

// Residuals of a Cox regression, in the order of the observations. All are NaN
// (or nil) unless its Status is usable.
type Residuals struct {
	// Martingale is the events seen less those expected.
	Martingale []float64
	// Deviance is the martingale residual made more symmetric (Therneau,
	// Grambsch & Fleming 1990).
	Deviance []float64
	// Score is each observation's share of the slope of the log-likelihood by
	// each coefficient; times its weight, it adds up to 0 over all.
	Score [][]float64
	// DFBeta is by how much each coefficient would fall, roughly, without the
	// observation (its weight counted).
	DFBeta [][]float64
	// Schoenfeld is, for an observation with an event, its covariates less
	// their mean over those at risk; nil for one without.
	Schoenfeld [][]float64
	// ScaledSchoenfeld is Schoenfeld times the number of events and the covariance
	// of the coefficients, plus the coefficients: roughly the coefficient at
	// the time of the event (Grambsch & Therneau 1994).
	ScaledSchoenfeld [][]float64
}

// Residuals works out all residuals. With Discrete ties those of Breslow's
// likelihood stand in for the exact ones.
func (m *Cox) Residuals() Residuals {
	n, p := 0, len(m.Names)
	if m.data != nil {
		n = len(m.data.time)
	}
	r := Residuals{Martingale: slices.Repeat([]float64{nan}, n), Deviance: slices.Repeat([]float64{nan}, n)}
	if !m.Status.Usable() {
		return r
	}
	r.Score, r.Schoenfeld, r.ScaledSchoenfeld = make([][]float64, n), make([][]float64, n), make([][]float64, n)
	events := 0.0
	m.residuals(func(row int, expected float64, score []float64, at *coxTime) {
		i := m.data.given[row]
		seen := 0.0
		if at != nil {
			seen = 1
			events++
			r.Schoenfeld[i] = make([]float64, p)
			for j, x := range m.data.row(row) {
				r.Schoenfeld[i][j] = (x - at.mean[j]) * m.data.sd[j]
			}
		}
		r.Martingale[i] = seen - expected
		r.Deviance[i] = deviance(seen, expected)
		r.Score[i] = make([]float64, p)
		for j, s := range score {
			r.Score[i][j] = s * m.data.sd[j]
		}
	})
	r.DFBeta = m.dfbeta()
	for i, s := range r.Schoenfeld {
		if s != nil {
			r.ScaledSchoenfeld[i] = times(m.Covariance, s)
			for j := range s {
				r.ScaledSchoenfeld[i][j] = events*r.ScaledSchoenfeld[i][j] + m.Coef[j]
			}
		}
	}
	return r
}

func times(v *mat.SymDense, x []float64) []float64 {
	out := make([]float64, len(x))
	for i := range out {
		for j, xj := range x {
			out[i] += v.At(i, j) * xj
		}
	}
	return out
}

func deviance(seen, expected float64) float64 {
	inner := seen - expected
	if seen > 0 {
		inner += math.Log(expected)
	}
	return math.Copysign(math.Sqrt(math.Max(-2*inner, 0)), seen-expected)
}

// dfbeta is, in the order of the observations, the weighted score times the
// covariance.
func (m *Cox) dfbeta() [][]float64 {
	out := make([][]float64, len(m.data.time))
	p := len(m.Names)
	scaled := make([]float64, p)
	m.residuals(func(row int, _ float64, score []float64, _ *coxTime) {
		for j, s := range score {
			scaled[j] = m.data.weight[row] * s * m.data.sd[j]
		}
		out[m.data.given[row]] = times(m.Covariance, scaled)
	})
	return out
}

// residuals calls do for every row with the events expected and the score, which
// is valid during the call, by the standardised coefficients, and for a row with
// an event the time of it.
//
// Both are integrals over the time at risk of the hazard and of the hazard times
// the distance from the mean, so they come from the cumulative sums at entry and
// at the end.
func (m *Cox) residuals(do func(row int, expected float64, score []float64, at *coxTime)) {
	d, p := m.data, len(m.Names)
	score := make([]float64, p)
	table := m.table()
	for g := range d.strata {
		from, to := 0, 0
		for from < len(table) && table[from].stratum < g {
			from++
		}
		for to = from; to < len(table) && table[to].stratum == g; to++ {
		}
		sums := accumulate(table[from:to], p)
		entry := map[int]float64{}
		for _, e := range d.strata[g].late {
			entry[e.row] = e.time
		}
		table := table[from:to]
		for row := d.strata[g].from; row < d.strata[g].to; row++ {
			end := 1 + lastAtOrBefore(len(table), func(i int) float64 { return table[i].time }, d.time[row])
			var at *coxTime
			hazard, pull := sums.upTo(end)
			if d.event[row] {
				at = &table[end-1]
				hazard, pull = sums.upTo(end - 1)
			}
			before, pullBefore := 0.0, sums.pull[:p]
			if e, late := entry[row]; late {
				before, pullBefore = sums.upTo(1 + lastAtOrBefore(len(table), func(i int) float64 { return table[i].time }, e))
			}
			hazard -= before
			risk := math.Exp(d.logRisk(row, m.peak.Theta))
			for j, x := range d.row(row) {
				spent := x*hazard - (pull[j] - pullBefore[j])
				score[j] = -risk * spent
				if at != nil {
					score[j] += x - at.mean[j] - risk*(x*at.own-at.ownPull[j])
				}
			}
			if at != nil {
				hazard += at.own
			}
			do(row, risk*hazard, score, at)
		}
	}
}

// A cumulated holds the hazard and pull added up over the first k times, at k.
type cumulated struct {
	p            int
	hazard, pull []float64
}

func accumulate(table []coxTime, p int) cumulated {
	c := cumulated{p: p, hazard: make([]float64, len(table)+1), pull: make([]float64, p*(len(table)+1))}
	for k, t := range table {
		c.hazard[k+1] = c.hazard[k] + t.hazard
		for j := range p {
			c.pull[p*(k+1)+j] = c.pull[p*k+j] + t.pull[j]
		}
	}
	return c
}

func (c cumulated) upTo(k int) (hazard float64, pull []float64) {
	return c.hazard[k], c.pull[c.p*k : c.p*(k+1)]
}
