package duration

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
)

// A FineGray is a fitted model of proportional subdistribution hazards: it says
// what shifts the share gone by one cause in the end, whether by hastening the
// cause or by holding off the others. Use its numbers through the methods, which
// heed its Status.
type FineGray struct {
	Cause      int
	Names      []string
	Coef       []float64     // NaN unless Status is usable
	Covariance *mat.SymDense // that of Fine & Gray, with what the censoring adds; nil unless Status is usable
	LogLik     float64       // partial; NaN unless Status is usable
	LogLikNull float64
	N, Events  int // events of the cause
	Status     stats.Status
	Warnings   []stats.Warning

	cox Cox
}

// FitFineGray fits the model of Fine & Gray (1999): those gone by another cause
// stay in the risk set with the chance that they would not have been lost from
// sight by then. Exact and right-censored times; every exact one needs a cause.
// Shares predicted for several causes in this way may add up to more than 1
// (Austin, Steyerberg & Putter 2021); use FitCox with Settings.Cause to ask what
// a covariate does to those still waiting. Where losses are tied with what happened
// to others, the variance differs by a few thousandths from that of R's cmprsk::crr.
//
// Of the settings Level and NormalLimits (which changes nothing) count; ties are
// Breslow's, and strata, offsets, clusters, weights and late entry are refused.
// Status and warnings are those of FitCox.
func FitFineGray(obs []Observation, covariates []Covariate, cause int, s CoxSettings) (FineGray, error) {
	s.Ties, s.Cause = Breslow, 0
	s, err := s.withDefaults()
	switch {
	case err != nil:
		return FineGray{}, err
	case cause < 1:
		return FineGray{}, fmt.Errorf("the cause cannot be %d", cause)
	case s.Strata != nil || s.Offset != nil || s.Cluster != nil || s.Firth:
		return FineGray{}, fmt.Errorf("strata, offsets, clusters and the penalty are not known for the Fine-Gray model")
	}
	s.mustMatch(len(obs), covariates)
	for i, o := range obs {
		reason := ""
		switch {
		case o.contradiction() != "": // FitCox's rows says it
		case o.late():
			reason = fmt.Sprintf("it came under observation late, at %v, which the Fine-Gray model cannot use", o.Entry)
		case o.Weight != 0 && o.Weight != 1:
			reason = fmt.Sprintf("it has weight %v, and the Fine-Gray model needs a weight of 1", o.Weight)
		case o.Exact() && o.Cause == 0:
			reason = "it has an event without a cause"
		}
		if reason != "" {
			return FineGray{}, &stats.InputError{Index: i, Reason: reason}
		}
	}
	clean, err := s.rows(obs, covariates)
	if err != nil {
		return FineGray{}, err
	}
	m := FineGray{Cause: cause}
	m.fit(clean, covariates, s)
	return m, nil
}

func (m *FineGray) fit(clean []Observation, covariates []Covariate, s CoxSettings) {
	ofCause := slices.Clone(clean)
	for i, o := range clean {
		if o.Exact() && o.Cause != m.Cause {
			ofCause[i].Hi = math.Inf(1)
		}
	}
	s.Cause = m.Cause
	m.cox = Cox{Settings: s, LogLik: nan, LogLikNull: nan}
	for _, c := range covariates {
		m.cox.Names = append(m.cox.Names, c.Name)
		m.cox.Coef = append(m.cox.Coef, nan)
	}
	m.cox.N, m.cox.Events = counts(ofCause)
	if m.cox.enough() {
		m.cox.data = newCoxData(ofCause, covariates, s)
		m.cox.data.gone = newGoneRows(clean, m.Cause, m.cox.data)
		m.cox.climb()
	}
	c := &m.cox
	if c.Status.Usable() && len(c.Names) > 0 {
		c.Robust = m.sandwich()
	}
	m.Names, m.Coef, m.LogLik, m.LogLikNull = c.Names, c.Coef, c.LogLik, c.LogLikNull
	m.N, m.Events, m.Status, m.Warnings, m.Covariance = c.N, c.Events, c.Status, c.Warnings, c.Robust
}

// Coefficient returns the i-th coefficient, the change of the log subdistribution
// hazard for one unit more, with Wald limits. It panics if there is no such
// coefficient.
func (m FineGray) Coefficient(i int) stats.Estimate {
	m.cox.Settings.NormalLimits = true
	e := m.cox.Coefficient(i)
	e.Method = "Fine-Gray regression, Wald limits"
	return e
}

// HazardRatio returns what one unit more of the i-th covariate multiplies the
// subdistribution hazard by. It panics if there is no such covariate.
func (m FineGray) HazardRatio(i int) stats.Estimate { return exponentiated(m.Coefficient(i)) }

// PValue returns the two-sided Wald p-value of the i-th coefficient, NaN unless
// Status is usable.
func (m FineGray) PValue(i int) float64 {
	m.cox.Settings.NormalLimits = true
	return m.cox.PValue(i)
}

// A goneRows holds those who went by another cause, from the last back: they stay
// at risk after their time with weight seen(time)/seen(their time), seen being the
// Kaplan-Meier share not yet lost from sight just before.
type goneRows struct {
	rows []int
	seen []float64 // just before each row's time, by row of coxData
	lost []riskRow // Kaplan-Meier of the losses: events are the losses
	at   map[float64]float64
}

func newGoneRows(obs []Observation, cause int, d *coxData) *goneRows {
	flipped := make([]Observation, len(obs))
	for i, o := range obs {
		flipped[i] = o
		flipped[i].Cause = 0
		if o.RightCensored() {
			flipped[i].Hi = o.Lo
		} else {
			flipped[i].Hi = math.Inf(1)
		}
	}
	g := &goneRows{lost: riskRows(flipped, nil), at: map[float64]float64{}, seen: make([]float64, len(obs))}
	share := 1.0
	for _, r := range g.lost {
		g.at[r.time] = share
		share *= (r.atRisk - r.events) / r.atRisk
	}
	for row, i := range d.given {
		g.seen[row] = g.at[d.time[row]]
		if obs[i].Exact() && obs[i].Cause != cause {
			g.rows = append(g.rows, row)
		}
	}
	return g
}

// A goneMoments follows the moments of those gone and of them with those inside.
type goneMoments struct {
	*goneRows
	data      *coxData
	risk      []float64
	left      []int // gone before the time reached
	sum, both moments
}

func (g *goneRows) moments(d *coxData, risk []float64, order int) *goneMoments {
	m := &goneMoments{goneRows: g, data: d, risk: risk, left: g.rows, sum: newMoments(d.p, order), both: newMoments(d.p, order)}
	for i := len(g.rows) - 1; i >= 0; i-- {
		row := g.rows[i]
		m.sum.add(d.row(row), risk[row]/g.seen[row])
	}
	return m
}

// join sets both to those inside and, in their share, those gone before time t.
func (m *goneMoments) join(inside *moments, t float64) {
	for ; len(m.left) > 0 && m.data.time[m.left[0]] >= t; m.left = m.left[1:] {
		row := m.left[0]
		m.sum.add(m.data.row(row), -m.risk[row]/m.seen[row])
		if len(m.left) == 1 { // nobody is left: drop what rounding has left, too
			m.sum.clear()
		}
	}
	seen := m.at[t]
	m.both.s0 = inside.s0 + seen*m.sum.s0
	for _, pair := range [][3][]float64{{m.both.s1, inside.s1, m.sum.s1}, {m.both.s2, inside.s2, m.sum.s2}, {m.both.s3, inside.s3, m.sum.s3}} {
		for j := range pair[0] {
			pair[0][j] = pair[1][j] + seen*pair[2][j]
		}
	}
}

// sandwich is the variance of Fine & Gray: each observation's share of the score,
// and of the score's dependence on the share seen.
func (m *FineGray) sandwich() *mat.SymDense {
	d, p := m.cox.data, len(m.cox.Names)
	table := m.cox.table()
	plain := accumulate(table, p)
	weighted := slices.Clone(table)
	for i, t := range table {
		g := d.gone.at[t.time]
		weighted[i].hazard *= g
		weighted[i].pull = slices.Clone(t.pull)
		for j := range weighted[i].pull {
			weighted[i].pull[j] *= g
		}
	}
	late := accumulate(weighted, p)
	end, endPull := late.upTo(len(table))
	upTo := func(t float64) int {
		return 1 + lastAtOrBefore(len(table), func(i int) float64 { return table[i].time }, t)
	}
	risk := d.risks(m.cox.peak.Theta, nil)
	isGone := make([]bool, len(risk))
	for _, row := range d.gone.rows {
		isGone[row] = true
	}
	ratio, drift := m.losses(risk, late, upTo)
	v := newSym(p)
	score := make([]float64, p)
	for row := range risk {
		k := upTo(d.time[row])
		hazard, pull := plain.upTo(k)
		after, afterPull := late.upTo(k)
		u := lastAtOrBefore(len(d.gone.lost), func(i int) float64 { return d.gone.lost[i].time }, d.time[row])
		for j, x := range d.row(row) {
			score[j] = -risk[row]*(x*hazard-pull[j]) - drift[u][j]
			switch {
			case d.event[row]:
				score[j] += x - table[k-1].mean[j]
			case isGone[row]:
				score[j] -= risk[row] / d.gone.seen[row] * (x*(end-after) - (endPull[j] - afterPull[j]))
			default:
				score[j] += ratio[u][j]
			}
		}
		for i := range p {
			for j := i; j < p; j++ {
				v.SetSym(i, j, v.At(i, j)+score[i]*score[j])
			}
		}
	}
	var half, full mat.Dense
	half.Mul(m.cox.peak.Covariance, v)
	full.Mul(&half, m.cox.peak.Covariance)
	out := newSym(p)
	for i := range p {
		for j := i; j < p; j++ {
			out.SetSym(i, j, (full.At(i, j)+full.At(j, i))/2/(d.sd[i]*d.sd[j]))
		}
	}
	return out
}

// losses returns, for each time of goneRows.lost, what one loss then adds to the
// score of the subject lost, and the sum up to it of that times the hazard of being
// lost. late holds the jumps of the cumulative subdistribution hazard times the
// share seen.
func (m *FineGray) losses(risk []float64, late cumulated, upTo func(float64) int) (ratio, drift [][]float64) {
	d, p := m.cox.data, len(m.cox.Names)
	end, endPull := late.upTo(len(late.hazard) - 1)
	held := newMoments(p, 1) // of those gone by then, over the share seen at their time
	left := d.gone.rows
	sum := make([]float64, p)
	for _, u := range d.gone.lost {
		for ; len(left) > 0 && d.time[left[len(left)-1]] <= u.time; left = left[:len(left)-1] {
			row := left[len(left)-1]
			held.add(d.row(row), risk[row]/d.gone.seen[row])
		}
		after, afterPull := late.upTo(upTo(u.time))
		now := make([]float64, p)
		for j := range now {
			now[j] = (held.s1[j]*(end-after) - held.s0*(endPull[j]-afterPull[j])) / u.atRisk
			sum[j] += now[j] * u.events / u.atRisk
		}
		ratio, drift = append(ratio, now), append(drift, slices.Clone(sum))
	}
	return ratio, drift
}
