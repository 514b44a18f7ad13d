package duration

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/newton"
	"gravid/stats/tail"
)

// Ties says how events that share a time are reckoned with.
type Ties int

const (
	// Efron averages the risk sets the tied events may have had (Efron 1977).
	Efron Ties = iota
	// Breslow gives all tied events the whole risk set (Breslow 1974). With it a
	// weight of 2 is the same as two observations.
	Breslow
	// Discrete takes the ties as true: at each time one asks which of those at
	// risk had an event, given how many (Cox 1972). Effects are then on the
	// odds of an event. Its cost rises with the number tied; weights other
	// than 1 are refused.
	Discrete
)

var tiesNames = [...]string{"Efron", "Breslow", "discrete"}

// String names the way as it appears in the Method of an Estimate.
func (t Ties) String() string {
	if t < 0 || int(t) >= len(tiesNames) {
		return fmt.Sprintf("ties(%d)", int(t))
	}
	return tiesNames[t]
}

// CoxSettings of FitCox; the zero value fits one stratum with Efron ties by
// maximum partial likelihood.
type CoxSettings struct {
	Level    float64  // coverage asked for; 0 means 0.95
	Interval Interval // of predicted shares still waiting; the zero value is LogLog, BetaProduct is refused
	Ties     Ties
	Strata   []int     // label of each observation's stratum, each with a baseline of its own; nil for none
	Offset   []float64 // known part of the log hazard of each observation; nil for none
	// Cluster labels the observations that may go together (one keeper's).
	// Where it is given, limits, p-values and the Wald test use the variance of
	// Lin & Wei (1989) summed over clusters, and Student's t with one degree of
	// freedom fewer than there are clusters.
	Cluster []int
	// NormalLimits has limits and p-values from Cluster use the normal
	// distribution instead of Student's t, as R's coxph does.
	NormalLimits bool
	// Cause counts as events only those with that cause, and takes the others
	// for censored: the cause-specific hazard. 0 counts all events.
	Cause int
	// Firth adds half the log determinant of the information to the
	// log-likelihood (Heinze & Schemper 2001), which keeps the coefficients
	// finite where one of the groups has no event. Profile gives the limits to
	// go with it. It is not known for Discrete ties.
	Firth bool
}

func (s CoxSettings) withDefaults() (CoxSettings, error) {
	level, err := stats.LevelOrDefault(s.Level)
	if err != nil {
		return s, err
	}
	s.Level = level
	switch {
	case s.Interval < LogLog || s.Interval >= BetaProduct:
		return s, fmt.Errorf("%v limits are not known for a regression", s.Interval)
	case s.Ties < Efron || s.Ties > Discrete:
		return s, fmt.Errorf("unknown way %d with ties", int(s.Ties))
	case s.Firth && s.Ties == Discrete:
		return s, fmt.Errorf("the penalty is not known for discrete ties; use Efron or Breslow")
	case s.Cause < 0:
		return s, fmt.Errorf("the cause cannot be %d", s.Cause)
	}
	return s, nil
}

// A Cox is a fitted proportional hazards model: the hazard at any time is a
// baseline, which may have any shape, times exp(covariates * Coef). Use its
// numbers through the methods, which heed its Status. They keep what they have
// worked out for the next call, so one Cox must not be used by two goroutines.
type Cox struct {
	Settings   CoxSettings // with defaults filled in
	Names      []string    // of the covariates
	Coef       []float64   // in the order of Names; NaN unless Status is usable
	Covariance *mat.SymDense
	Robust     *mat.SymDense // over clusters; nil without Settings.Cluster
	LogLik     float64       // partial, without any penalty; NaN unless Status is usable
	LogLikNull float64       // with all coefficients 0
	N, Events  int           // observations (rows where they are pieces of one subject's time) and events, weights counted
	Clusters   int
	Steps      int // of Newton's method
	Status     stats.Status
	Warnings   []stats.Warning

	data  *coxData
	peak  newton.Result // in standardised coefficients
	start newton.Result // all coefficients 0
	base  []coxTime     // at each time of an event, filled in by hazards
}

// FitCox fits a proportional hazards model (Cox 1972) by maximum partial
// likelihood with Newton's method. It takes exact and right-censored times, late
// entry, weights, strata and offsets. A subject whose covariates change is given
// as several observations, each with its Entry and its end, none but the last
// with an event.
//
// Status is TooLittle for fewer than two observations or no events;
// NotIdentifiable where a covariate never varied among those at risk, or is a
// sum of others; Separated where all events happened at one end of a covariate
// (or of a sum of covariates), so that its coefficient has no finite best value
// (Firth gives one); NotConverged where the search did not come to rest. Errors
// are those of KaplanMeier and tell of a covariate or an offset that is not a
// number. FitCox panics if a covariate, Strata, Offset or Cluster differ in
// length from obs.
func FitCox(obs []Observation, covariates []Covariate, s CoxSettings) (Cox, error) {
	s, err := s.withDefaults()
	if err != nil {
		return Cox{}, err
	}
	s.mustMatch(len(obs), covariates)
	clean, err := s.rows(obs, covariates)
	if err != nil {
		return Cox{}, err
	}
	m := Cox{Settings: s, LogLik: nan, LogLikNull: nan}
	for _, c := range covariates {
		m.Names = append(m.Names, c.Name)
		m.Coef = append(m.Coef, nan)
	}
	m.N, m.Events = counts(clean)
	if m.enough() {
		m.data = newCoxData(clean, covariates, s)
		m.climb()
	}
	return m, nil
}

// enough applies the gates that need no fit.
func (m *Cox) enough() bool {
	switch {
	case m.N == 0:
		m.refuse(stats.TooLittle, stats.Warn("no-observations", "there are no observations"))
	case m.N == 1:
		m.refuse(stats.TooLittle, stats.Warn("one-observation", "there is one observation only, so there is nothing to compare it with"))
	case m.Events == 0:
		m.refuse(stats.TooLittle, stats.Warn("no-events", "nothing had happened to any of the %d observations, so nothing can be said of what hastens or delays it", m.N))
	default:
		return true
	}
	return false
}

func (s CoxSettings) mustMatch(n int, covariates []Covariate) {
	for _, c := range covariates {
		if len(c.Values) != n {
			panic(fmt.Sprintf("duration: covariate %s has %d values for %d observations", c.Name, len(c.Values), n))
		}
	}
	if s.Strata != nil && len(s.Strata) != n || s.Offset != nil && len(s.Offset) != n || s.Cluster != nil && len(s.Cluster) != n {
		panic("duration: as many strata, offsets and clusters as observations are needed")
	}
}

// rows checks the observations and leaves those of another cause without event.
func (s CoxSettings) rows(obs []Observation, covariates []Covariate) ([]Observation, error) {
	clean, err := sinceOrigin(obs, refuseInterval)
	if err != nil {
		return nil, err
	}
	for i := range clean {
		o := &clean[i]
		if s.Cause > 0 && o.Exact() && o.Cause != s.Cause {
			o.Hi = math.Inf(1)
		}
		reason := ""
		if s.Ties == Discrete && o.Weight != 1 {
			reason = fmt.Sprintf("it has weight %v, and discrete ties need a weight of 1", o.Weight)
		}
		if s.Offset != nil && (math.IsNaN(s.Offset[i]) || math.IsInf(s.Offset[i], 0)) {
			reason = "its offset is not a number"
		}
		for _, c := range covariates {
			if v := c.Values[i]; math.IsNaN(v) || math.IsInf(v, 0) {
				reason = fmt.Sprintf("%s is not a number", c.Name)
			}
		}
		if reason != "" {
			return nil, &stats.InputError{Index: i, Reason: reason}
		}
	}
	return clean, nil
}

func (m *Cox) refuse(s stats.Status, reasons ...stats.Warning) {
	m.Status = s
	m.Warnings = append(m.Warnings, reasons...)
}

// climb fits the model to the data.
func (m *Cox) climb() {
	zero := make([]float64, len(m.Names))
	m.start = at(m.data.plain, zero)
	m.LogLikNull = m.start.Value
	if w := m.aliased(); w != nil {
		m.refuse(stats.NotIdentifiable, w...)
		return
	}
	if w := m.monotone(); w != nil && !m.Settings.Firth {
		m.refuse(stats.Separated, w...)
		return
	} else if w != nil {
		m.Warnings = append(m.Warnings, stats.Warn("monotone", "%s; its coefficient is finite only because of the penalty, so read its profile limits", w[0].Text))
	}
	if len(zero) == 0 {
		m.Status, m.LogLik, m.Coef, m.peak = stats.OK, m.LogLikNull, []float64{}, m.start
		return
	}
	m.peak = newton.Maximise(m.data.search(), zero, newton.Settings{})
	m.Steps = m.peak.Steps
	if m.Status, m.Warnings = m.verdict(); m.Status.Usable() {
		m.read()
		m.sandwich()
		if m.Status.Usable() && m.Events < 5*len(m.Names) {
			m.Warnings = append(m.Warnings, stats.Warn("few-events", "there are %d events for %d coefficients; with fewer than about 5 for each, estimates stray and limits are too narrow", m.Events, len(m.Names)))
		}
	}
}

// at evaluates an objective with its derivatives at one point.
func at(f newton.Objective, theta []float64) newton.Result {
	n := len(theta)
	r := newton.Result{Theta: theta, Grad: make([]float64, n), Hess: newSym(n)}
	r.Value = f(theta, r.Grad, r.Hess)
	return r
}

// newSym is mat.NewSymDense that takes 0 for the empty matrix.
func newSym(n int) *mat.SymDense {
	if n == 0 {
		return &mat.SymDense{}
	}
	return mat.NewSymDense(n, nil)
}

// aliased names covariates without information of their own where all
// coefficients are 0, by Cholesky with pivoting.
func (m *Cox) aliased() []stats.Warning {
	const worst = 1e-11 // least share of a standardised covariate's information that is its own
	n := len(m.Names)
	var out []stats.Warning
	a := make([][]float64, n)
	left := make([]int, 0, n)
	for i := range a {
		a[i] = make([]float64, n)
		if !(-m.start.Hess.At(i, i) > 1e-12*float64(m.Events)) {
			out = append(out, stats.Warn("constant", "%s never varied among those at risk when something happened", m.Names[i]))
			continue
		}
		left = append(left, i)
		for j := range a[i] {
			a[i][j] = -m.start.Hess.At(i, j) / math.Sqrt(m.start.Hess.At(i, i)*m.start.Hess.At(j, j))
		}
	}
	if out != nil {
		return out
	}
	for len(left) > 0 {
		pivot := 0
		for k, i := range left {
			if a[i][i] > a[left[pivot]][left[pivot]]*(1+1e-6) {
				pivot = k
			}
		}
		p := left[pivot]
		if a[p][p] < worst {
			return []stats.Warning{stats.Warn("aliased", "the records cannot tell %s apart: once the others are known there is nothing left of %s", joined(m.Names), m.Names[p])}
		}
		left = slices.Delete(left, pivot, pivot+1)
		for _, i := range left {
			for _, j := range left {
				a[i][j] -= a[i][p] * a[p][j] / a[p][p]
			}
		}
	}
	return nil
}

// monotone names each covariate at one end of which all events happened, those
// at risk at the time considered.
func (m *Cox) monotone() []stats.Warning {
	var out []stats.Warning
	for j, name := range m.Names {
		direction := make([]float64, len(m.Names))
		for _, side := range []float64{-1, 1} {
			direction[j] = side
			if m.data.separates(direction) {
				end := map[float64]string{-1: "lowest", 1: "highest"}[side]
				out = append(out, stats.Warn("monotone", "every event happened at the %s value of %s among those then at risk, so the records set no limit to its effect on that side", end, name))
			}
		}
	}
	return out
}

func (m *Cox) verdict() (stats.Status, []stats.Warning) {
	ran := m.runaway()
	switch {
	case ran != nil && !m.Settings.Firth:
		return stats.Separated, append(m.Warnings, stats.Warn("monotone", "taken together, %s line up the events so well that the records set no limit to the effect", joined(ran)))
	case !m.peak.Converged:
		return stats.NotConverged, append(m.Warnings, stats.Warn("not-converged", "the search for the best fit did not come to rest in %d steps", m.peak.Steps))
	}
	return stats.OK, m.Warnings
}

// runaway names the covariates whose coefficients went up or down without end,
// or returns nil: those that the last Newton step, or where there is none the
// whole way, moved.
func (m *Cox) runaway() []string {
	ran := false
	for j := range m.Names {
		ran = ran || m.peak.Converged && m.peak.Covariance.At(j, j) > tooVague*tooVague || !m.peak.Converged && math.Abs(m.peak.Theta[j]) > tooVague
	}
	if !ran {
		return nil
	}
	way := m.peak.Theta
	if m.peak.Covariance != nil {
		way = times(m.peak.Covariance, m.peak.Grad)
	}
	most := 0.0
	for _, w := range way {
		most = math.Max(most, math.Abs(w))
	}
	var names []string
	for j, w := range way {
		if math.Abs(w) >= most/20 {
			names = append(names, m.Names[j])
		}
	}
	return names
}

// read turns the peak back to the covariates as given.
func (m *Cox) read() {
	n := len(m.Names)
	m.Covariance = mat.NewSymDense(n, nil)
	for i, sd := range m.data.sd {
		m.Coef[i] = m.peak.Theta[i] / sd
		for j := i; j < n; j++ {
			m.Covariance.SetSym(i, j, m.peak.Covariance.At(i, j)/(sd*m.data.sd[j]))
		}
	}
	m.LogLik = m.data.plain(m.peak.Theta, nil, nil)
}

// sandwich fills in Robust where clusters are given.
func (m *Cox) sandwich() {
	if m.Settings.Cluster == nil {
		return
	}
	m.Clusters = len(labels(m.Settings.Cluster))
	switch {
	case m.Clusters < 2:
		m.refuse(stats.TooLittle, stats.Warn("one-cluster", "all observations belong to one cluster, so the spread between clusters cannot be seen"))
		return
	case m.Clusters <= len(m.Names):
		m.refuse(stats.TooLittle, stats.Warn("few-clusters", "there are %d clusters for %d coefficients; more are needed than coefficients", m.Clusters, len(m.Names)))
		return
	case m.Clusters < 20:
		m.Warnings = append(m.Warnings, stats.Warn("few-clusters", "there are %d clusters only, and with fewer than about 20 these limits may still be too narrow", m.Clusters))
	}
	n := len(m.Names)
	sums := map[int][]float64{}
	for i, d := range m.dfbeta() {
		label := m.Settings.Cluster[i]
		if sums[label] == nil {
			sums[label] = make([]float64, n)
		}
		for j := range d {
			sums[label][j] += d[j]
		}
	}
	m.Robust = newSym(n)
	for _, label := range labels(m.Settings.Cluster) {
		for i, a := range sums[label] {
			for j := i; j < n; j++ {
				m.Robust.SetSym(i, j, m.Robust.At(i, j)+a*sums[label][j])
			}
		}
	}
}

// variance is the one limits are made from.
func (m Cox) variance() *mat.SymDense {
	if m.Robust != nil {
		return m.Robust
	}
	return m.Covariance
}

func (m Cox) estimate(method string) stats.Estimate {
	return stats.Estimate{
		Level: m.Settings.Level, Attained: nan, N: m.N, Events: m.Events,
		Method: m.method() + ", " + method, Status: m.Status, Warnings: slices.Clone(m.Warnings),
	}
}

func (m Cox) method() string {
	name := "Cox regression, " + m.Settings.Ties.String() + " ties"
	if m.Settings.Firth {
		name += ", Firth's penalty"
	}
	if m.Settings.Strata != nil {
		name += ", stratified"
	}
	return name
}

// student reports whether limits come from Student's t, and its degrees of
// freedom.
func (m Cox) student() (df float64, ok bool) {
	return float64(m.Clusters - 1), m.Robust != nil && !m.Settings.NormalLimits
}

// Coefficient returns the i-th coefficient, the change of the log hazard for
// one unit more, with Wald limits. It panics if there is no such coefficient.
func (m Cox) Coefficient(i int) stats.Estimate {
	what, z := "Wald limits", normalLimit(m.Settings.Level)
	if m.Settings.Cluster != nil {
		what = fmt.Sprintf("Wald limits over %d clusters", m.Clusters)
		if df, ok := m.student(); ok {
			z = tail.StudentUpperQuantile((1-m.Settings.Level)/2, df)
		}
	}
	e := m.estimate(what)
	if !m.Status.Usable() {
		return e.Without(m.Status)
	}
	se := z * math.Sqrt(m.variance().At(i, i))
	e.Value, e.Lo, e.Hi = m.Coef[i], m.Coef[i]-se, m.Coef[i]+se
	return e
}

// HazardRatio returns what one unit more of the i-th covariate multiplies the
// hazard by. It panics if there is no such covariate.
func (m Cox) HazardRatio(i int) stats.Estimate { return exponentiated(m.Coefficient(i)) }

func exponentiated(e stats.Estimate) stats.Estimate {
	e.Value, e.Lo, e.Hi = math.Exp(e.Value), math.Exp(e.Lo), math.Exp(e.Hi)
	return bounded(e)
}

// PValue returns the two-sided Wald p-value of the i-th coefficient, NaN unless
// Status is usable.
func (m Cox) PValue(i int) float64 {
	if !m.Status.Usable() {
		return nan
	}
	z := m.Coef[i] / math.Sqrt(m.variance().At(i, i))
	if df, ok := m.student(); ok {
		return tail.StudentTwoSided(z, df)
	}
	return tail.NormalTwoSided(z)
}
