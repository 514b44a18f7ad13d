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

// AFTSettings of FitAFT; the zero value fits a lognormal model by maximum
// likelihood.
type AFTSettings struct {
	Level  float64 // coverage asked for; 0 means 0.95
	Family Family
	// FixedScale holds the scale instead of estimating it; 0 estimates it.
	// Exponential holds it at 1 by itself.
	FixedScale float64
	// PenaliseSpread adds the log of the scale to the log-likelihood. It keeps
	// the spread off 0, where maximum likelihood puts it too often when a few
	// subjects are checked at wide intervals, and costs little otherwise.
	PenaliseSpread bool
	// OriginNodes is the number of midpoints that stand for an origin window;
	// 0 means 12.
	OriginNodes int
}

func (s AFTSettings) withDefaults() (AFTSettings, error) {
	level, err := stats.LevelOrDefault(s.Level)
	if err != nil {
		return s, err
	}
	s.Level = level
	if s.Family == Exponential && s.FixedScale == 0 {
		s.FixedScale = 1
	}
	if s.OriginNodes == 0 {
		s.OriginNodes = 12
	}
	switch {
	case s.Family < Lognormal || s.Family > Gamma:
		return s, fmt.Errorf("unknown family %d", int(s.Family))
	case s.Family == Exponential && s.FixedScale != 1:
		return s, fmt.Errorf("the exponential family has scale 1, not %v", s.FixedScale)
	case !(s.FixedScale >= 0) || math.IsInf(s.FixedScale, 1):
		return s, fmt.Errorf("the scale cannot be held at %v", s.FixedScale)
	case s.FixedScale > 0 && s.PenaliseSpread:
		return s, fmt.Errorf("a scale that is held cannot be penalised")
	case s.OriginNodes < 0:
		return s, fmt.Errorf("the number of origin nodes cannot be %d", s.OriginNodes)
	}
	return s, nil
}

// An AFT is a fitted accelerated failure time model: the location of the
// (log) waiting time is linear in the covariates. Use its numbers through the
// methods, which heed its Status.
type AFT struct {
	Settings   AFTSettings   // with defaults filled in
	Names      []string      // "(intercept)" and the covariates
	Coef       []float64     // in the order of Names; NaN unless Status is usable
	Scale      float64       // NaN unless Status is usable
	Covariance *mat.SymDense // of Coef and, unless the scale is held, its log; nil unless Status is usable
	LogLik     float64       // of the times, without any penalty; NaN unless Status is usable
	N, Events  int           // events are observations with a finite upper limit
	Steps      int           // of Newton's method
	Status     stats.Status
	Warnings   []stats.Warning

	like   *likelihood
	given  []record      // the observations, equal ones counted together, with covariates as given
	peak   newton.Result // in standardised coefficients and log scale
	scaler standard
}

// FitAFT fits an accelerated failure time model by (penalised) maximum
// likelihood with Newton's method on analytic derivatives. It takes exact,
// left-, right- and interval-censored times, late entry, weights, and origins
// known only to a window: the likelihood is then the mean over places in the
// window, all equally likely before the event (De Gruttola & Lagakos 1989).
//
// Status is TooLittle for too few observations or events, or where everything
// had happened by the first look; NotIdentifiable where covariates cannot be
// told apart or the spread cannot be seen; Separated where nothing ends at one
// value of a covariate; and NotConverged where the search did not come to rest.
// The error is an *stats.InputError for an observation that contradicts itself or has
// a covariate that is not a number, and tells of settings out of range. FitAFT
// panics if a covariate differs in length from obs.
func FitAFT(obs []Observation, covariates []Covariate, s AFTSettings) (AFT, error) {
	s, err := s.withDefaults()
	if err != nil {
		return AFT{}, err
	}
	records, err := aftRecords(obs, covariates, s)
	if err != nil {
		return AFT{}, err
	}
	m := AFT{given: records, Settings: s, Names: []string{"(intercept)"}, Scale: nan, LogLik: nan}
	for _, c := range covariates {
		m.Names = append(m.Names, c.Name)
	}
	m.Coef = slices.Repeat([]float64{nan}, len(m.Names))
	m.N, m.Events = counts(obs)
	m.Status, m.Warnings = m.enough(obs)
	if m.Status != stats.OK {
		return m, nil
	}
	m.fit(s.rows(records), covariates)
	if m.Status.Usable() {
		m.warnCoarse(obs)
	}
	return m, nil
}

// aftRecords checks the observations, puts them in order and counts equal ones
// together.
func aftRecords(obs []Observation, covariates []Covariate, s AFTSettings) ([]record, error) {
	for _, c := range covariates {
		if len(c.Values) != len(obs) {
			panic(fmt.Sprintf("duration: covariate %s has %d values for %d observations", c.Name, len(c.Values), len(obs)))
		}
	}
	width := 1 + len(covariates)
	cells := make([]float64, len(obs)*width)
	records := make([]record, len(obs))
	for i, o := range obs {
		x := cells[i*width : (i+1)*width]
		x[0] = 1
		for j, c := range covariates {
			x[j+1] = c.Values[i]
		}
		if reason := s.refuse(o, covariates, x); reason != "" {
			return nil, &stats.InputError{Index: i, Reason: reason}
		}
		o.Weight = o.weight()
		records[i] = record{o, x}
	}
	return merge(records), nil
}

// rows prepares the records for the likelihood.
func (s AFTSettings) rows(records []record) []aftRow {
	rows := make([]aftRow, len(records))
	for i, r := range records {
		rows[i] = newRow(s.Family, r.Observation, s.OriginNodes)
		rows[i].x = r.x
	}
	return rows
}

// refuse objects to what the model cannot use, or returns "".
func (s AFTSettings) refuse(o Observation, covariates []Covariate, x []float64) string {
	if reason := o.contradiction(); reason != "" {
		return reason
	}
	if s.Family.logScale() && o.Hi <= o.Origin.Lo {
		return fmt.Sprintf("it happened by %v, no later than the origin, which the %v family cannot use", o.Hi, s.Family)
	}
	for j, c := range covariates {
		if v := x[j+1]; math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Sprintf("%s is not a number", c.Name)
		}
	}
	return ""
}

// enough applies the gates that need no fit.
func (m *AFT) enough(obs []Observation) (stats.Status, []stats.Warning) {
	needed := len(m.Names)
	if m.Settings.FixedScale == 0 {
		needed++
	}
	switch {
	case m.N == 0:
		return stats.TooLittle, []stats.Warning{stats.Warn("no-observations", "there are no observations")}
	case m.Events == 0:
		return stats.TooLittle, []stats.Warning{stats.Warn("no-events", "none of the %d observations had ended when it was last looked at, so the model has no upper limit for the time it takes", m.N)}
	case m.Events < needed:
		return stats.TooLittle, []stats.Warning{stats.Warn("few-events", "%d of %d observations had ended, fewer than the %d numbers the model has to find", m.Events, m.N, needed)}
	case !slices.ContainsFunc(obs, func(o Observation) bool { return o.Exact() || o.Lo > o.Origin.Lo }):
		return stats.TooLittle, []stats.Warning{stats.Warn("all-by-first-look", "everything had already happened at the first look, so there is no lower limit for the time it takes")}
	}
	return stats.OK, nil
}

// A likelihood is the objective of the fit in standardised coefficients and,
// unless held, the log of the scale.
type likelihood struct {
	family  Family
	rows    []aftRow
	held    float64 // log of the scale if it is held
	free    bool    // whether the scale is free
	penalty float64 // weight of the log of the scale
}

func (l *likelihood) coefs() int { return len(l.rows[0].x) }

// objective has the form newton.Maximise wants.
func (l *likelihood) objective(theta, grad []float64, hess *mat.SymDense) float64 {
	sigma := l.held
	if l.free {
		sigma = theta[l.coefs()]
	}
	return l.evaluate(theta, sigma, grad, hess)
}

// evaluate leaves out the derivatives by sigma where grad has no room for them.
func (l *likelihood) evaluate(theta []float64, sigma float64, grad []float64, hess *mat.SymDense) float64 {
	n := len(grad)
	sums := make([]aftSum, (len(l.rows)+rowsTogether-1)/rowsTogether)
	inParallel(len(sums), func(k int) {
		if n > 0 {
			sums[k].grad, sums[k].curve = make([]float64, n), make([]float64, n*n)
		}
		for i := k * rowsTogether; i < min((k+1)*rowsTogether, len(l.rows)); i++ {
			sums[k].add(l.family, &l.rows[i], theta, sigma)
		}
	})
	value := l.penalty * sigma
	for _, s := range sums {
		value += s.value
		for a, g := range s.grad {
			grad[a] += g
			for b := a; b < n; b++ {
				hess.SetSym(a, b, hess.At(a, b)+s.curve[a*n+b])
			}
		}
	}
	if k := l.coefs(); n > k {
		grad[k] += l.penalty
	}
	return value
}

// An aftSum is the log-likelihood of some of the rows with its derivatives, the second
// ones in the upper triangle of curve. Those by sigma are left out where there is no
// room for them, and all where there is none at all.
type aftSum struct {
	value       float64
	grad, curve []float64
}

func (s *aftSum) add(f Family, r *aftRow, theta []float64, sigma float64) {
	var eta float64
	for j, x := range r.x {
		eta += theta[j] * x
	}
	n, k := len(s.grad), len(r.x)
	p := r.at(f, eta, sigma, n > 0)
	s.value += r.weight * p.value
	if n == 0 {
		return
	}
	for a, xa := range r.x {
		s.grad[a] += r.weight * p.eta * xa
		for b := a; b < k; b++ {
			s.curve[a*n+b] += r.weight * p.etaEta * xa * r.x[b]
		}
		if n > k {
			s.curve[a*n+k] += r.weight * p.etaSigma * xa
		}
	}
	if n > k {
		s.grad[k] += r.weight * p.sigma
		s.curve[k*n+k] += r.weight * p.sigmaSigma
	}
}

func (m *AFT) fit(rows []aftRow, covariates []Covariate) {
	m.scaler = standardise(rows, len(covariates))
	if w := aliased(rows, covariates, m.scaler); w != nil {
		m.Status, m.Warnings = stats.NotIdentifiable, w
		return
	}
	if w := endless(rows, covariates); w != nil {
		m.Status, m.Warnings = stats.Separated, w
		return
	}
	m.like = &likelihood{family: m.Settings.Family, rows: rows, free: m.Settings.FixedScale == 0}
	if m.Settings.PenaliseSpread {
		m.like.penalty = 1
	}
	start, scale := startAt(m.like)
	settings := newton.Settings{MaxMove: 5 * math.Max(scale, 1)}
	if m.like.free {
		start = append(start, math.Log(scale))
		settings.Lower = slices.Repeat([]float64{math.Inf(-1)}, len(start))
		settings.Lower[len(start)-1] = math.Log(scale) - 7
	} else {
		m.like.held = math.Log(m.Settings.FixedScale)
	}
	m.peak = newton.Maximise(m.like.objective, start, settings)
	m.Steps = m.peak.Steps
	if m.Status, m.Warnings = m.verdict(math.Log(scale)); m.Status.Usable() {
		m.read()
	}
}

// endless names a covariate at one end of which nothing had ended, or nothing
// was ever seen waiting, while the rest lies beyond: its coefficient has no
// finite best value.
func endless(rows []aftRow, covariates []Covariate) []stats.Warning {
	var out []stats.Warning
	for j, c := range covariates {
		for _, side := range []float64{-1, 1} {
			end := math.Inf(-1)
			for _, r := range rows {
				end = math.Max(end, side*r.x[j+1])
			}
			ended, waited := false, false
			for _, r := range rows {
				if side*r.x[j+1] == end {
					ended = ended || !math.IsInf(r.parts[0].hi, 1)
					waited = waited || !math.IsInf(r.parts[0].lo, -1)
				}
			}
			switch {
			case !ended && twoValued(rows, j+1):
				out = append(out, stats.Warn("never-ended", "nothing had ended at one value of %s, so the records set no limit to its effect", c.Name))
			case !waited && twoValued(rows, j+1):
				out = append(out, stats.Warn("never-waited", "everything had already happened at the first look at one value of %s, so the records set no limit to its effect", c.Name))
			}
		}
	}
	return out
}

func twoValued(rows []aftRow, column int) bool {
	lo, hi := rows[0].x[column], rows[0].x[column]
	for _, r := range rows {
		lo, hi = math.Min(lo, r.x[column]), math.Max(hi, r.x[column])
	}
	return !slices.ContainsFunc(rows, func(r aftRow) bool { return r.x[column] != lo && r.x[column] != hi })
}

// startAt gives the coefficients and scale of least squares on the middles of
// the intervals. Starting from there and not from a narrow spread matters: from
// a degenerate fit the search runs away.
func startAt(l *likelihood) (coef []float64, scale float64) {
	k := l.coefs()
	normal, right := mat.NewSymDense(k, nil), mat.NewVecDense(k, nil)
	type middle struct{ y, spread float64 }
	middles := make([]middle, len(l.rows))
	for i, r := range l.rows {
		middles[i].y, middles[i].spread = l.family.middle(r.parts)
		for a := range k {
			right.SetVec(a, right.AtVec(a)+r.weight*r.x[a]*middles[i].y)
			for b := a; b < k; b++ {
				normal.SetSym(a, b, normal.At(a, b)+r.weight*r.x[a]*r.x[b])
			}
		}
	}
	var chol mat.Cholesky
	var b mat.VecDense
	coef = make([]float64, k)
	if chol.Factorize(normal) && chol.SolveVecTo(&b, right) == nil {
		copy(coef, b.RawVector().Data)
	}
	var total, squares float64
	for i, r := range l.rows {
		rest := middles[i].y
		for a, x := range r.x {
			rest -= coef[a] * x
		}
		total += r.weight
		squares += r.weight * (rest*rest + middles[i].spread)
	}
	mean, sd := l.family.moments()
	scale = math.Sqrt(squares/total) / sd
	if !(scale > 0) {
		scale = 1e-3
	}
	if !l.free {
		scale = math.Exp(l.held)
	}
	coef[0] -= mean * scale
	return coef, scale
}

// middle returns a rough place and variance, on the scale of the model, for
// what the parts of a row say.
func (f Family) middle(parts []part) (y, spread float64) {
	lo, hi := parts[0].lo, parts[0].hi
	for _, p := range parts {
		if !math.IsInf(p.hi, -1) { // a place in the window after the event
			lo, hi = math.Min(lo, p.lo), math.Max(hi, p.hi)
		}
	}
	switch {
	case math.IsInf(hi, 1) && math.IsInf(lo, -1):
		return 0, 0
	case math.IsInf(hi, 1):
		return lo, 0
	case math.IsInf(lo, -1):
		half := f.scaled(f.time(hi) / 2)
		return half, square(hi-half) / 3
	}
	return f.scaled((f.time(lo) + f.time(hi)) / 2), square(hi-lo) / 12
}

// tooVague is the standard error, in scales, above which a coefficient of a
// covariate with standard deviation 1 (or the log of the scale) counts as one
// the records say nothing of.
const tooVague = 10

// verdict turns the end of the search into a status; start is the log of the
// scale it began with.
func (m *AFT) verdict(start float64) (stats.Status, []stats.Warning) {
	k := m.like.coefs()
	noSpread := stats.Warn("no-spread", "one and the same time fits all the records, so they show nothing of the spread; check more often for a few clutches, or penalise the spread")
	if m.like.free && (m.peak.Below || m.peak.Converged && m.peak.Covariance.At(k, k) > tooVague*tooVague || !m.peak.Converged && m.peak.Theta[k] < start-3) {
		return stats.NotIdentifiable, []stats.Warning{noSpread}
	}
	scale := math.Exp(m.sigma())
	if m.like.free && !m.peak.Converged && m.peak.Theta[k] > start+2 {
		return stats.NotIdentifiable, []stats.Warning{stats.Warn("spread-unlimited", "the records leave arbitrarily wide spreads possible; more observations that are bounded on both sides would limit it")}
	}
	for j := 1; j < k; j++ {
		ranAway := !m.peak.Converged && math.Abs(m.peak.Theta[j]) > tooVague*scale
		if ranAway || m.peak.Converged && m.peak.Covariance.At(j, j) > square(tooVague*scale) {
			return stats.Separated, []stats.Warning{stats.Warn("no-limit", "the records set no limit to the effect of %s", m.Names[j])}
		}
	}
	if !m.peak.Converged {
		return stats.NotConverged, []stats.Warning{stats.Warn("not-converged", "the search for the best fit did not come to rest in %d steps", m.peak.Steps)}
	}
	return stats.OK, nil
}

func (m *AFT) sigma() float64 {
	if m.like.free {
		return m.peak.Theta[m.like.coefs()]
	}
	return m.like.held
}

// read turns the peak back to the covariates as given.
func (m *AFT) read() {
	back := m.scaler.back(m.like.free)
	n := len(back)
	flat := make([]float64, 0, n*n)
	for _, row := range back {
		flat = append(flat, row...)
	}
	t := mat.NewDense(n, n, flat)
	var theta mat.VecDense
	theta.MulVec(t, mat.NewVecDense(n, m.peak.Theta))
	copy(m.Coef, theta.RawVector().Data[:len(m.Coef)])
	var half, full mat.Dense
	half.Mul(t, m.peak.Covariance)
	full.Mul(&half, t.T())
	m.Covariance = mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			m.Covariance.SetSym(i, j, (full.At(i, j)+full.At(j, i))/2)
		}
	}
	m.Scale = math.Exp(m.sigma())
	m.LogLik = m.peak.Value - m.like.penalty*m.sigma()
}

// warnCoarse says so where the spread found is under half the usual gap between
// checks, so that it is the checks that limit what can be seen.
func (m *AFT) warnCoarse(obs []Observation) {
	if !m.Settings.Family.logScale() {
		return
	}
	var gaps []float64
	for _, o := range obs {
		if gap := o.Hi - o.Lo + o.Origin.Hi - o.Origin.Lo; !o.RightCensored() && o.Lo > o.Origin.Lo && gap > 0 {
			gaps = append(gaps, gap)
		}
	}
	if 2*len(gaps) < len(obs) {
		return
	}
	slices.Sort(gaps)
	gap := gaps[len(gaps)/2]
	_, sd := m.Settings.Family.moments()
	if middle := math.Exp(m.peak.Theta[0]); m.Scale*sd*middle < gap/2 {
		m.Warnings = append(m.Warnings, stats.Warn("coarse-checks", "the spread found, about %.2g, is under half the usual gap of %.3g between checks; check more often for a few clutches to see it", m.Scale*sd*middle, gap))
	}
}

// AIC returns Akaike's criterion, NaN unless Status is usable. Differences below
// 2 between families tell nothing.
func (m AFT) AIC() float64 {
	df := float64(len(m.Coef))
	if m.Settings.FixedScale == 0 {
		df++
	}
	return 2 * (df - m.LogLik)
}

func (m AFT) estimate(method string) stats.Estimate {
	return stats.Estimate{
		Level: m.Settings.Level, Attained: nan, N: m.N, Events: m.Events,
		Method: m.Settings.Family.String() + " accelerated failure time, " + method,
		Status: m.Status, Warnings: slices.Clone(m.Warnings),
	}
}

// bounded adds a warning to an estimate whose upper limit is beyond what a number
// can hold, as happens on the way back from logs.
func bounded(e stats.Estimate) stats.Estimate {
	if math.IsInf(e.Hi, 1) {
		e.Warnings = append(e.Warnings, stats.Warn("no-upper-limit", "the records set no upper limit of any use; more observations would"))
	}
	return e
}

// Coefficient returns the i-th coefficient (0 is the intercept) with Wald
// limits. It panics if there is no such coefficient.
func (m AFT) Coefficient(i int) stats.Estimate {
	e := m.estimate("Wald limits")
	if !m.Status.Usable() {
		return e.Without(m.Status)
	}
	se := math.Sqrt(m.Covariance.At(i, i)) * normalLimit(m.Settings.Level)
	e.Value, e.Lo, e.Hi = m.Coef[i], m.Coef[i]-se, m.Coef[i]+se
	return e
}

// PValue returns the two-sided Wald p-value of the i-th coefficient, NaN unless
// Status is usable.
func (m AFT) PValue(i int) float64 {
	if !m.Status.Usable() {
		return nan
	}
	return tail.NormalTwoSided(m.Coef[i] / math.Sqrt(m.Covariance.At(i, i)))
}

// TimeRatio returns what one unit more of the i-th coefficient's covariate
// multiplies the waiting time by. For the Normal family, which adds instead, it
// has no value.
func (m AFT) TimeRatio(i int) stats.Estimate {
	e := m.Coefficient(i)
	if !m.Settings.Family.logScale() && e.Status.Usable() {
		return e.Without(e.Status, stats.Warn("no-ratio", "in the normal family covariates add to the time and do not multiply it"))
	}
	e.Value, e.Lo, e.Hi = math.Exp(e.Value), math.Exp(e.Lo), math.Exp(e.Hi)
	return bounded(e)
}

// Spread returns the scale with Wald limits on its log. For Lognormal it is the
// standard deviation of the log of the time.
func (m AFT) Spread() stats.Estimate {
	e := m.estimate("Wald limits on the log")
	if !m.Status.Usable() {
		return e.Without(m.Status)
	}
	e.Value, e.Lo, e.Hi = m.Scale, m.Scale, m.Scale
	if k := len(m.Coef); m.Settings.FixedScale == 0 {
		ratio := math.Exp(normalLimit(m.Settings.Level) * math.Sqrt(m.Covariance.At(k, k)))
		e.Lo, e.Hi = m.Scale/ratio, m.Scale*ratio
	} else {
		e.Warnings = append(e.Warnings, stats.Warn("scale-held", "the scale was held at %v and not estimated", m.Scale))
	}
	return bounded(e)
}

// location is the location for the covariates x.
func (m AFT) location(x []float64) float64 {
	y := m.Coef[0]
	for j, c := range m.Coef[1:] {
		y += c * x[j]
	}
	return y
}

// combination returns the value and standard error of what lies the score z from
// the location for the covariates x.
func (m AFT) combination(x []float64, z float64) (value, se float64) {
	if len(x) != len(m.Coef)-1 {
		panic(fmt.Sprintf("duration: %d covariates given to a model with %d", len(x), len(m.Coef)-1))
	}
	f := m.Settings.Family
	value = f.unscore(z, m.location(x), m.Scale)
	v := append([]float64{1}, x...)
	if m.Settings.FixedScale == 0 {
		_, bySigma := f.scoreSlopes(z, m.Scale)
		v = append(v, bySigma)
	}
	d := mat.NewVecDense(len(v), v)
	return value, math.Sqrt(math.Max(mat.Inner(d, m.Covariance, d), 0))
}

// Quantile returns the time by which a share p is no longer waiting where the
// covariates are x, in the order of Names, with delta-method limits on the scale
// of the model. p lies between 0 and 1. It panics if x has the wrong length.
func (m AFT) Quantile(x []float64, p float64) stats.Estimate {
	e := m.estimate("delta-method limits")
	if !(p > 0 && p < 1) {
		return e.Without(stats.NotComputed, stats.Warn("bad-share", "the share must lie between 0 and 1, not %v", p))
	}
	if !m.Status.Usable() {
		return e.Without(m.Status)
	}
	y, se := m.combination(x, m.Settings.Family.quantile(p))
	se *= normalLimit(m.Settings.Level)
	f := m.Settings.Family
	e.Value, e.Lo, e.Hi = f.time(y), f.time(y-se), f.time(y+se)
	return bounded(e)
}

// Survival returns the share still waiting at time t where the covariates are
// x, with delta-method limits on the scale of the model. It panics if x has the
// wrong length.
func (m AFT) Survival(x []float64, t float64) stats.Estimate {
	e := m.estimate("delta-method limits")
	if !m.Status.Usable() {
		return e.Without(m.Status)
	}
	f := m.Settings.Family
	if t <= 0 && f.logScale() {
		e.Value, e.Lo, e.Hi = 1, 1, 1
		return e
	}
	z, se := m.standardised(x, f.scaled(t))
	share := func(z float64) float64 {
		_, upper := f.logTails(z)
		return math.Exp(upper)
	}
	if math.IsNaN(se) || math.IsInf(z, 0) { // a gamma tail too small for its score
		e.Value, e.Lo, e.Hi = share(z), nan, nan
		e.Warnings = append(e.Warnings, stats.Warn("too-far", "%v lies so far from the times on record that no limits can be told", t))
		return e
	}
	se *= normalLimit(m.Settings.Level)
	e.Value, e.Lo, e.Hi = share(z), share(z+se), share(z-se)
	return e
}

// standardised returns the score of y for the covariates x, and the standard error of
// that.
func (m AFT) standardised(x []float64, y float64) (z, se float64) {
	f := m.Settings.Family
	z = f.score(y, m.location(x), m.Scale)
	_, se = m.combination(x, z)
	byScore, _ := f.scoreSlopes(z, m.Scale)
	return z, se / byScore // d z = -(d location + d unscore by the scale) / (d unscore by z)
}
