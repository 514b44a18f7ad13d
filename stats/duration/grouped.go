package duration

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/newton"
	"gravid/stats/tail"
)

// A Link says on what scale covariates shift the chance to end within a period.
type Link int

const (
	// Cloglog is log(-log(1 - chance)): proportional hazards of the time itself,
	// seen through the periods (Prentice & Gloeckler 1978).
	Cloglog Link = iota
	// LogitLink is log(chance / (1 - chance)): proportional odds of ending, the
	// periods being all there is (Cox 1972).
	LogitLink
)

// String names the link.
func (l Link) String() string {
	if l == Cloglog {
		return "complementary log-log"
	}
	return "logit"
}

// GroupedSettings of FitGrouped; the zero value has the complementary log-log link
// and a period from each time on record to the next.
type GroupedSettings struct {
	Level float64 // coverage asked for; 0 means 0.95
	Link  Link
	Cuts  []float64 // ends of the periods, rising, all above 0; nil takes every finite limit and entry on record
}

// A Grouped is a fitted model of the chance to end in each of several periods, those
// at risk at its start given. Use its numbers through the methods, which heed its
// Status.
type Grouped struct {
	Settings   GroupedSettings // with defaults filled in
	Names      []string        // of the covariates
	Coef       []float64       // in the order of Names; NaN unless Status is usable
	Covariance *mat.SymDense   // of Coef; nil unless Status is usable
	LogLik     float64         // NaN unless Status is usable
	LogLikNull float64         // without covariates
	Cuts       []float64       // ends of the periods
	N, Events  int             // events are observations with a finite upper limit
	Status     stats.Status
	Warnings   []stats.Warning

	like   *groupedLikelihood
	peak   newton.Result // in the periods' parameters and standardised coefficients
	scaler standard
}

// FitGrouped fits the chances of discrete time by maximum likelihood, for spans
// between looks made by everybody at the same times: each period has a chance of
// its own, shifted by the covariates. A span may reach over several periods. Where
// each reaches over one it is the regression of ended or not on period and covariates,
// with one row for each period a subject was at risk in.
//
// A period in which nobody can have ended has chance 0, and a last one at the end of
// which nobody was left chance 1, whatever the covariates. Statuses are those of
// FitAFT. The error is an *stats.InputError for an observation that contradicts
// itself, whose origin is not exact, whose limits or entry do not fall on a cut, or
// with a covariate that is not a number, and tells of settings out of range or of more
// than 200 periods. FitGrouped panics if a covariate differs in length from obs.
func FitGrouped(obs []Observation, covariates []Covariate, s GroupedSettings) (Grouped, error) {
	level, err := stats.LevelOrDefault(s.Level)
	switch {
	case err != nil:
		return Grouped{}, err
	case s.Link < Cloglog || s.Link > LogitLink:
		return Grouped{}, fmt.Errorf("unknown link %d", int(s.Link))
	}
	s.Level = level
	CoxSettings{}.mustMatch(len(obs), covariates)
	clean, err := sinceOrigin(obs, func(o Observation) string {
		if o.Exact() && o.Lo <= o.Origin.Lo {
			return "it ended at once, in no period"
		}
		return ""
	})
	if err != nil {
		return Grouped{}, err
	}
	m := Grouped{Settings: s, LogLik: nan, LogLikNull: nan}
	for _, c := range covariates {
		m.Names, m.Coef = append(m.Names, c.Name), append(m.Coef, nan)
	}
	if m.Cuts, err = s.cuts(clean); err != nil {
		return Grouped{}, err
	}
	rows, err := m.rows(clean, covariates)
	if err != nil {
		return Grouped{}, err
	}
	m.N, m.Events = counts(clean)
	switch {
	case m.N < 2:
		m.Status, m.Warnings = gate(m.N, m.Events)
	case m.Events == 0:
		m.refuse(stats.TooLittle, "no-events", "none of the %d observations had ended when it was last looked at, so the chance to end cannot be told", m.N)
	default:
		m.fit(rows, covariates)
	}
	return m, nil
}

func (m *Grouped) refuse(s stats.Status, code, format string, args ...any) {
	m.Status = s
	m.Warnings = append(m.Warnings, stats.Warn(code, format, args...))
}

func (s GroupedSettings) cuts(obs []Observation) ([]float64, error) {
	cuts := slices.Clone(s.Cuts)
	if s.Cuts == nil {
		for _, o := range obs {
			for _, t := range []float64{o.Lo, o.Hi, o.Entry} {
				if t > 0 && !math.IsInf(t, 1) {
					cuts = append(cuts, t)
				}
			}
		}
		slices.Sort(cuts)
		cuts = slices.Compact(cuts)
	}
	for i, c := range cuts {
		if !(c > 0) || math.IsInf(c, 1) || i > 0 && c <= cuts[i-1] {
			return nil, fmt.Errorf("the ends of the periods must rise from above 0, and %v does not", c)
		}
	}
	const most = 200
	if len(cuts) > most {
		return nil, fmt.Errorf("there are %d periods, more than %d; give wider ones", len(cuts), most)
	}
	return cuts, nil
}

// A groupedRow is one kind of observation: through periods entry to from-1 without
// ending, then ended in one of from to to-1; to is from if it was lost.
type groupedRow struct {
	entry, from, to int
	weight          float64
	x               []float64
}

// rows puts observations in periods. An exact time ends in the period it falls in.
func (m *Grouped) rows(obs []Observation, covariates []Covariate) ([]groupedRow, error) {
	place := func(t float64) (int, bool) { // periods up to t
		if t <= 0 {
			return 0, true
		}
		i, on := slices.BinarySearch(m.Cuts, t)
		return i + 1, on
	}
	var rows []groupedRow
	for i, o := range obs {
		r := groupedRow{weight: o.Weight}
		reason := ""
		fit := func(t float64, what string) int {
			k, on := place(t)
			if !on {
				reason = fmt.Sprintf("%s at %v is no end of a period", what, t)
			}
			return k
		}
		r.entry = fit(o.Entry, "the entry")
		switch {
		case o.Exact():
			k, on := slices.BinarySearch(m.Cuts, o.Hi)
			r.from, r.to = k, k+1
			if !on && k == len(m.Cuts) {
				reason = fmt.Sprintf("the time of %v lies in no period", o.Hi)
			}
		case o.RightCensored():
			r.from = fit(o.Lo, "the last look")
			r.to = r.from
		default:
			r.from, r.to = fit(o.Lo, "the look before"), fit(o.Hi, "the look after")
		}
		r.from = max(r.from, r.entry)
		for _, c := range covariates {
			v := c.Values[i]
			if math.IsNaN(v) || math.IsInf(v, 0) {
				reason = fmt.Sprintf("%s is not a number", c.Name)
			}
			r.x = append(r.x, v)
		}
		if reason != "" {
			return nil, &stats.InputError{Index: i, Reason: reason}
		}
		rows = append(rows, r)
	}
	slices.SortFunc(rows, func(a, b groupedRow) int {
		return cmp.Or(cmp.Compare(a.entry, b.entry), cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to), slices.Compare(a.x, b.x), cmp.Compare(a.weight, b.weight))
	})
	var out []groupedRow
	for _, r := range rows {
		if n := len(out); n > 0 && out[n-1].entry == r.entry && out[n-1].from == r.from && out[n-1].to == r.to && slices.Equal(out[n-1].x, r.x) {
			out[n-1].weight += r.weight
			continue
		}
		out = append(out, r)
	}
	return out, nil
}

// A groupedLikelihood has a parameter for each period that is open, then one for each
// covariate. slot is -1 for a period with chance 0, and -2 for one with chance 1.
type groupedLikelihood struct {
	link    Link
	rows    []groupedRow
	slot    []int
	periods int // that are open
	p       int
}

const (
	never  = -1
	always = -2
)

func newGroupedLikelihood(link Link, rows []groupedRow, periods, p int) *groupedLikelihood {
	l := &groupedLikelihood{link: link, rows: rows, slot: make([]int, periods), p: p}
	for j := range l.slot {
		ended, through := false, false
		for _, r := range rows {
			ended = ended || r.from <= j && j < r.to
			through = through || r.entry <= j && j < r.from
		}
		switch {
		case !ended:
			l.slot[j] = never
		case !through && !slices.ContainsFunc(rows, func(r groupedRow) bool { return r.from <= j && j+1 < r.to }):
			l.slot[j] = always
		default:
			l.slot[j] = l.periods
			l.periods++
		}
	}
	return l
}

// hazard returns the hazard -log(1 - chance) for a linear predictor, with two
// derivatives.
func (k Link) hazard(eta float64) (g, first, second float64) {
	if k == Cloglog {
		e := math.Exp(eta)
		return e, e, e
	}
	p := expit(eta)
	return softplus(eta), p, p * (1 - p)
}

func (l *groupedLikelihood) objective(theta, grad []float64, hess *mat.SymDense) float64 {
	n := l.periods + l.p
	var value float64
	slopes := make([]float64, n)
	for i := range l.rows {
		r := &l.rows[i]
		var shift float64
		for j, x := range r.x {
			shift += theta[l.periods+j] * x
		}
		add := func(slot int, first, second float64) { // derivatives by a linear predictor
			if grad == nil {
				return
			}
			grad[slot] += first
			hess.SetSym(slot, slot, hess.At(slot, slot)+second)
			for a, xa := range r.x {
				grad[l.periods+a] += first * xa
				hess.SetSym(slot, l.periods+a, hess.At(slot, l.periods+a)+second*xa)
				for b := a; b < l.p; b++ {
					hess.SetSym(l.periods+a, l.periods+b, hess.At(l.periods+a, l.periods+b)+second*xa*r.x[b])
				}
			}
		}
		for j := r.entry; j < r.from; j++ {
			if slot := l.slot[j]; slot >= 0 {
				g, first, second := l.link.hazard(theta[slot] + shift)
				value -= r.weight * g
				add(slot, -r.weight*first, -r.weight*second)
			}
		}
		if r.from == r.to || l.slot[r.to-1] == always {
			continue
		}
		var q float64
		for j := r.from; j < r.to; j++ {
			if slot := l.slot[j]; slot >= 0 {
				g, _, _ := l.link.hazard(theta[slot] + shift)
				q += g
			}
		}
		value += r.weight * math.Log(-math.Expm1(-q))
		if grad == nil {
			continue
		}
		odds := 1 / math.Expm1(q)
		clear(slopes)
		for j := r.from; j < r.to; j++ {
			if slot := l.slot[j]; slot >= 0 {
				_, first, second := l.link.hazard(theta[slot] + shift)
				add(slot, r.weight*odds*first, r.weight*odds*second)
				slopes[slot] += first
				for a, x := range r.x {
					slopes[l.periods+a] += first * x
				}
			}
		}
		for a, sa := range slopes {
			for b := a; b < n && sa != 0; b++ {
				hess.SetSym(a, b, hess.At(a, b)-r.weight*odds*(1+odds)*sa*slopes[b])
			}
		}
	}
	return finite(value)
}

func (m *Grouped) fit(rows []groupedRow, covariates []Covariate) {
	p := len(covariates)
	plain := make([]aftRow, len(rows)) // for what covariate.go does with covariates
	for i, r := range rows {
		plain[i] = aftRow{weight: r.weight, x: append([]float64{1}, r.x...)}
	}
	m.scaler = standardise(plain, p)
	if w := aliased(plain, covariates, m.scaler); w != nil {
		m.Status, m.Warnings = stats.NotIdentifiable, w
		return
	}
	for i := range rows {
		rows[i].x = plain[i].x[1:]
	}
	m.like = newGroupedLikelihood(m.Settings.Link, rows, len(m.Cuts), p)
	if m.like.periods == 0 {
		m.refuse(stats.NotIdentifiable, "one-period", "everything ended in one and the same period, so nothing can be told of the chance to end")
		return
	}
	null := *m.like
	null.p = 0
	null.rows = slices.Clone(rows)
	for i := range null.rows {
		null.rows[i].x = nil
	}
	start := slices.Repeat([]float64{-1}, m.like.periods)
	base := newton.Maximise(null.objective, start, newton.Settings{})
	m.LogLikNull = base.Value
	m.peak = newton.Maximise(m.like.objective, append(slices.Clone(base.Theta), make([]float64, p)...), newton.Settings{})
	if m.Status = m.verdict(); m.Status.Usable() {
		m.read()
	}
}

func (m *Grouped) verdict() stats.Status {
	for j, name := range m.Names {
		at := m.like.periods + j
		if m.peak.Converged && m.peak.Covariance.At(at, at) > tooVague*tooVague || !m.peak.Converged && math.Abs(m.peak.Theta[at]) > tooVague {
			m.Warnings = append(m.Warnings, stats.Warn("no-limit", "the records set no limit to the effect of %s", name))
			return stats.Separated
		}
	}
	if m.peak.Converged {
		return stats.OK
	}
	if slices.ContainsFunc(m.peak.Theta[:m.like.periods], func(a float64) bool { return math.Abs(a) > tooVague }) {
		m.Warnings = append(m.Warnings, stats.Warn("empty-period", "the chance of some period comes out as 0 or 1, as spans reach over several; give wider periods"))
		return stats.NotIdentifiable
	}
	m.Warnings = append(m.Warnings, stats.Warn("not-converged", "the search for the best fit did not come to rest in %d steps", m.peak.Steps))
	return stats.NotConverged
}

func (m *Grouped) read() {
	k, p := m.like.periods, len(m.Names)
	m.LogLik = m.peak.Value
	m.Covariance = newSym(p)
	for i := range p {
		m.Coef[i] = m.peak.Theta[k+i] / m.scaler.sd[i]
		for j := i; j < p; j++ {
			m.Covariance.SetSym(i, j, m.peak.Covariance.At(k+i, k+j)/(m.scaler.sd[i]*m.scaler.sd[j]))
		}
	}
}

func (m Grouped) method() string {
	return "grouped times, " + m.Settings.Link.String() + " link"
}

func (m Grouped) estimate(method string) stats.Estimate {
	return stats.Estimate{
		Level: m.Settings.Level, Attained: nan, N: m.N, Events: m.Events,
		Method: m.method() + ", " + method, Status: m.Status, Warnings: slices.Clone(m.Warnings),
	}
}

// Coefficient returns the i-th coefficient, the change for one unit more on the scale of
// the link, with Wald limits. It panics if there is no such coefficient.
func (m Grouped) Coefficient(i int) stats.Estimate {
	e := m.estimate("Wald limits")
	if !m.Status.Usable() {
		return e.Without(m.Status)
	}
	se := normalLimit(m.Settings.Level) * math.Sqrt(m.Covariance.At(i, i))
	e.Value, e.Lo, e.Hi = m.Coef[i], m.Coef[i]-se, m.Coef[i]+se
	return e
}

// Ratio returns what one unit more of the i-th covariate multiplies the hazard (with
// LogitLink the odds to end in any period) by. It panics if there is no such covariate.
func (m Grouped) Ratio(i int) stats.Estimate { return exponentiated(m.Coefficient(i)) }

// PValue returns the two-sided Wald p-value of the i-th coefficient, NaN unless Status is
// usable.
func (m Grouped) PValue(i int) float64 {
	if !m.Status.Usable() {
		return nan
	}
	return tail.NormalTwoSided(m.Coef[i] / math.Sqrt(m.Covariance.At(i, i)))
}

// LikelihoodRatio tests that all coefficients are 0: that groups told apart by them end
// alike.
func (m Grouped) LikelihoodRatio() Test {
	t := Test{
		Name: "all coefficients are 0", ChiSquare: nan, P: nan, DF: len(m.Names), N: m.N, Events: m.Events,
		Method: m.method() + ", likelihood-ratio test", Status: m.Status, Warnings: slices.Clone(m.Warnings),
	}
	if !m.Status.Usable() || len(m.Names) == 0 {
		return t
	}
	return t.with(2*(m.LogLik-m.LogLikNull), len(m.Names))
}

// Survival returns the share still waiting after the first k periods where the covariates
// are x, in the order of Names, with delta-method limits on log(-log). It panics if x has
// the wrong length or there are fewer periods.
func (m Grouped) Survival(x []float64, k int) stats.Estimate {
	if len(x) != len(m.Names) || k < 0 || k > len(m.Cuts) {
		panic(fmt.Sprintf("duration: %d covariates and %d periods asked of a model with %d and %d", len(x), k, len(m.Names), len(m.Cuts)))
	}
	e := m.estimate("delta-method limits")
	if !m.Status.Usable() {
		return e.Without(m.Status)
	}
	at := m.scaler.apply(append([]float64{1}, x...))[1:]
	var shift, hazard float64
	for j, v := range at {
		shift += v * m.peak.Theta[m.like.periods+j]
	}
	slope := make([]float64, len(m.peak.Theta))
	for _, slot := range m.like.slot[:k] {
		if slot == always {
			hazard = math.Inf(1)
		}
		if slot >= 0 {
			g, first, _ := m.like.link.hazard(m.peak.Theta[slot] + shift)
			hazard += g
			slope[slot] += first
			for j, v := range at {
				slope[m.like.periods+j] += first * v
			}
		}
	}
	switch {
	case hazard == 0:
		e.Value, e.Lo, e.Hi = 1, 1, 1
		e.Warnings = append(e.Warnings, noWidth())
	case math.IsInf(hazard, 1):
		e.Value, e.Lo, e.Hi = 0, nan, nan
		e.Warnings = append(e.Warnings, stats.Warn("curve-at-zero", "everyone at risk had ended by then, and limits do not exist there"))
	default:
		v := mat.NewVecDense(len(slope), slope)
		e.Value = math.Exp(-hazard)
		e.Lo, e.Hi = LogLog.limits(e.Value, e.Value*math.Sqrt(mat.Inner(v, m.peak.Covariance, v)), normalLimit(m.Settings.Level))
	}
	return e
}
