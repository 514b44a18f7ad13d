package logit

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"gravid/stats"
)

// A Model is a fitted logistic regression. Numbers are NaN unless Status is
// usable. Vectors over columns follow Data.X, vectors over groups follow Groups.
type Model struct {
	Status   stats.Status
	Warnings []stats.Warning
	Penalty  Penalty

	Names []string
	Coef  []float64   // log odds ratio for one unit of each column
	SE    []float64   // from the inverse information at the estimate
	Cov   [][]float64 // of Coef

	// Groups holds the numbers of the groups, ascending. Under maximum likelihood
	// a group with one outcome has an infinite intercept and no standard error.
	Groups      []int
	Intercept   []float64
	InterceptSE []float64

	LogLik          float64 // with the binomial coefficients of rows of several trials
	Kernel          float64 // without them
	HalfLogDet      float64 // half log det(X'WX), in units of the data; under LogF, of the penalised information
	PenalizedLogLik float64 // Kernel + HalfLogDet, what Firth's method maximises; under LogF what that maximises
	Deviance        float64 // twice the distance from a model with a parameter for each row
	AIC             float64
	BIC             float64 // with the logarithm of Rows, as R counts observations
	DF              int     // rows with trials less parameters, as R counts degrees of freedom
	Parameters      int     // columns and groups
	Iterations      int

	Rows      int // rows with trials
	Patterns  int // rows that differ; of more than 131,072 rows, nearly all of them different, like ones count apart
	Trials    float64
	Successes float64

	Identifiability Identifiability
	Separation      Separation
	// UninformativeGroups have seen one outcome only. They are counted here, but
	// compare nothing within themselves.
	UninformativeGroups []int

	options Options
	data    Data
	full    *table // all groups
	fitted  *table // those the likelihood is made of
	from    []int  // group of full for each group of fitted
	best    point  // in fitted
	top     float64
	means   []float64 // weighted means of fitted, in the inner scale
	weights []float64 // total weight of each group of fitted

	curvature func() []float64 // see penaltyCurvature, at the estimate; nil without the Firth penalty
	expanded  func() *expandedModel
}

// Fit fits the model. The error is about data that make no sense (see
// Data.Validate); everything else is said by the status: TooLittle where an
// outcome is missing altogether, NotIdentifiable where Identify finds fault,
// Separated under maximum likelihood, NotConverged.
//
// The fit stops when the score of every parameter, in units of its standard
// deviation, and the step are both below Options.Tol (with columns brought to
// unit spread).
//
// Under the Firth penalty all groups take part, as they would as columns of
// zeros and ones; otherwise those with one outcome drop out, which changes no
// slope.
func Fit(d Data, o Options) (*Model, error) {
	if err := d.Validate(); err != nil {
		return nil, err
	}
	for _, j := range o.LogFOn {
		if j < 0 || j >= len(d.X) {
			return nil, fmt.Errorf("there is no column %d to penalise", j)
		}
	}
	m := newModel(d, o)
	if !m.gates() {
		return m, nil
	}
	m.solve(m.start())
	return m, nil
}

func newModel(d Data, o Options) *Model {
	m := &Model{Penalty: o.Penalty, options: o, data: d, full: newTable(d)}
	m.Groups = m.full.labels
	m.Names = make([]string, len(d.X))
	for j := range m.Names {
		m.Names[j] = d.Name(j)
	}
	m.Rows = m.full.rows()
	m.Patterns = m.full.patterns()
	m.Successes, m.Trials = m.full.totals()
	m.Parameters = len(m.Names) + len(m.Groups)
	m.DF = m.Rows - m.Parameters
	m.blank()
	return m
}

// blank makes every number NaN.
func (m *Model) blank() {
	nan := math.NaN()
	p := len(m.Names)
	m.Coef, m.SE = filled(p, nan), filled(p, nan)
	m.Intercept, m.InterceptSE = filled(len(m.Groups), nan), filled(len(m.Groups), nan)
	m.Cov = make([][]float64, p)
	for j := range m.Cov {
		m.Cov[j] = filled(p, nan)
	}
	m.LogLik, m.Kernel, m.HalfLogDet, m.PenalizedLogLik, m.Deviance, m.AIC, m.BIC = nan, nan, nan, nan, nan, nan, nan
}

func filled(n int, v float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}

// gates asks whether the records can answer at all, and chooses the table to
// fit.
func (m *Model) gates() bool {
	informative, from, left := m.full.onlyInformative()
	m.UninformativeGroups = left
	if informative.groups() == 0 {
		m.Status = stats.TooLittle
		m.warn("one-outcome", "%s", m.oneOutcome())
		return false
	}
	if len(left) > 0 {
		m.warn("uninformative-groups", "%d of %d groups have seen a single outcome and add no comparison", len(left), len(m.Groups))
	}
	m.Identifiability = identify(m.full, informative, m.data)
	m.Warnings = append(m.Warnings, m.Identifiability.Warnings()...)
	if !m.Identifiability.OK() {
		m.Status = stats.NotIdentifiable
		return false
	}
	m.Separation = separate(informative, m.Identifiability)
	m.Separation.UninformativeGroups = left
	m.Warnings = append(m.Warnings, m.Separation.Warnings()...)
	m.fitted, m.from = m.full, nil
	if m.Penalty == Firth {
		return true
	}
	m.fitted, m.from = informative, from
	if m.Separation.Separated() && m.unbounded() {
		m.Status = stats.Separated
		return false
	}
	return true
}

// unbounded reports whether the outcomes are separated by columns without a
// penalty alone, so that their slopes have no finite estimate.
func (m *Model) unbounded() bool {
	if m.Penalty == None {
		return true
	}
	var penalised []int
	for j := range m.Names {
		if m.options.logF(j) {
			penalised = append(penalised, j)
		}
	}
	rest, kept := m.fitted.dropColumns(penalised)
	return separate(rest, Identifiability{names: make([]string, len(kept))}).Separated()
}

// likelihood prepares the likelihood of a table that holds the given columns of
// the model; nil means all.
func (m *Model) likelihood(t *table, columns []int) *likelihood {
	l := newLikelihood(t, m.Penalty == Firth)
	if m.Penalty != LogF {
		return l
	}
	l.logF = make([]float64, t.p)
	for k := range l.logF {
		j := k
		if columns != nil {
			j = columns[k]
		}
		if m.options.logF(j) {
			l.logF[k] = 1 / t.scale[k]
		}
	}
	return l
}

func (m *Model) oneOutcome() string {
	switch {
	case m.Trials == 0:
		return "no row has any trials"
	case m.Successes == 0:
		return "no success in these records, so there is nothing to compare"
	case m.Successes == m.Trials:
		return "no failure in these records, so there is nothing to compare"
	}
	return "no group has seen both outcomes, so there is nothing to compare within any of them"
}

func (m *Model) warn(code, format string, args ...any) {
	m.Warnings = append(m.Warnings, stats.Warning{Code: code, Text: fmt.Sprintf(format, args...)})
}

// start is where a fit begins: near the fit of a sample of the rows, if there are very
// many, which saves half of the steps.
func (m *Model) start() point {
	plain := startPoint(m.fitted)
	sample := m.fitted.sample()
	if sample == nil {
		return plain
	}
	pt := plain.clone()
	if _, ok := m.likelihood(sample, nil).maximise(&pt, holdNothing(), Options{MaxIter: 20, Tol: 1e-4}); !ok {
		return plain
	}
	return pt
}

// startPoint has no slopes, and the intercepts of the raw proportions.
func startPoint(t *table) point {
	pt := point{make([]float64, t.p), make([]float64, t.groups())}
	for g := range pt.a {
		s, n := t.counts(g)
		offset := 0.0
		if t.off != nil {
			for i := t.start[g]; i < t.start[g+1]; i++ {
				offset += t.off[i] * (t.n[i] / n)
			}
		}
		pt.a[g] = math.Log((s+0.5)/(n-s+0.5)) - offset
	}
	return pt
}

// solve fits the table from a starting point and fills in the numbers.
func (m *Model) solve(start point) {
	l := m.likelihood(m.fitted, nil)
	iterations, ok := l.maximise(&start, holdNothing(), m.options)
	m.Iterations = iterations
	if !ok {
		m.Status = stats.NotConverged
		m.warn("not-converged", "the fit did not settle in %d iterations, so no number is given", iterations)
		return
	}
	m.Status = stats.OK
	m.best, m.top = start, l.value
	m.means, m.weights = slices.Clone(l.mean), slices.Clone(l.weight)
	m.curvature, m.expanded = sync.OnceValue(m.curvatureAtBest), sync.OnceValue(m.expandAtBest)
	m.slopes(l)
	m.intercepts()
	m.criteria(l)
}

// slopes turns the slopes and their covariance into units of the data.
func (m *Model) slopes(l *likelihood) {
	scale := m.fitted.scale
	inverse := l.chol.inverse()
	for j := range m.Coef {
		m.Coef[j] = m.best.b[j] / scale[j]
		for k := range m.Coef {
			m.Cov[j][k] = inverse[j][k] / scale[j] / scale[k]
		}
		m.SE[j] = math.Sqrt(m.Cov[j][j])
	}
}

// intercepts fills in the intercepts in units of the data.
func (m *Model) intercepts() {
	copy(m.Intercept, m.outward(m.best))
	for k := range m.fitted.labels {
		m.InterceptSE[m.fullGroup(k)] = math.Sqrt(m.interceptCov(k, k))
	}
}

// outward returns the intercepts of all groups, in units of the data, at a point
// of the fitted table.
func (m *Model) outward(pt point) []float64 {
	t := m.fitted
	out := filled(len(m.Groups), math.Inf(1))
	for g := range out {
		if s, _ := m.full.counts(g); s == 0 {
			out[g] = math.Inf(-1)
		}
	}
	for k := range t.labels {
		a := pt.a[k]
		for j := range t.p {
			a -= pt.b[j] * (t.center[k*t.p+j] / t.scale[j])
		}
		out[m.fullGroup(k)] = a
	}
	return out
}

// fullGroup is the group of the data that is group k of the fitted table.
func (m *Model) fullGroup(k int) int {
	if m.from == nil {
		return k
	}
	return m.from[k]
}

// fittedGroup is the inverse of fullGroup, -1 for a group that was left out.
func (m *Model) fittedGroup(g int) int {
	if m.from == nil {
		return g
	}
	return slices.Index(m.from, g)
}

// dataMean is the weighted mean of the columns in group k of the fitted table,
// in units of the data.
func (m *Model) dataMean(k int) []float64 {
	t := m.fitted
	out := make([]float64, t.p)
	for j := range out {
		out[j] = t.center[k*t.p+j] + m.means[k*t.p+j]*t.scale[j]
	}
	return out
}

func (m *Model) interceptCov(k, l int) float64 {
	v := quadratic(m.dataMean(k), m.Cov, m.dataMean(l))
	if k == l {
		v += 1 / m.weights[k]
	}
	return v
}

func quadratic(a []float64, cov [][]float64, b []float64) float64 {
	v := 0.0
	for j, x := range a {
		v += x * dot(cov[j], b)
	}
	return v
}

// CovIntercept returns the covariance of the intercepts of Groups[g] and
// Groups[h], NaN where one of them is infinite.
func (m *Model) CovIntercept(g, h int) float64 {
	if !m.Status.Usable() || m.fittedGroup(g) < 0 || m.fittedGroup(h) < 0 {
		return math.NaN()
	}
	return m.interceptCov(m.fittedGroup(g), m.fittedGroup(h))
}

// CovInterceptSlopes returns the covariances of the intercept of Groups[g] with
// the slopes, NaN where it is infinite.
func (m *Model) CovInterceptSlopes(g int) []float64 {
	if !m.Status.Usable() || m.fittedGroup(g) < 0 {
		return filled(len(m.Coef), math.NaN())
	}
	mean := m.dataMean(m.fittedGroup(g))
	out := make([]float64, len(m.Coef))
	for j := range out {
		out[j] = -dot(m.Cov[j], mean)
	}
	return out
}

// criteria fills in the log-likelihoods and what is made of them.
func (m *Model) criteria(l *likelihood) {
	m.Kernel = l.kernel
	m.HalfLogDet = l.logDet / 2
	for _, s := range m.fitted.scale {
		m.HalfLogDet += math.Log(s)
	}
	m.PenalizedLogLik = m.Kernel + m.HalfLogDet
	if m.Penalty == LogF {
		m.PenalizedLogLik = l.value
	}
	binomial, saturated := neumaier{}, neumaier{}
	for i, y := range m.data.Y {
		w, n := m.data.weight(i), m.data.trials(i)
		if w*n == 0 || y == 0 || y == n {
			continue // both logarithms are 0
		}
		binomial.add(w * logChoose(n, y))
		saturated.add(w * (xlogx(y, n) + xlogx(n-y, n)))
	}
	m.LogLik = m.Kernel + binomial.total()
	m.Deviance = 2 * (saturated.total() - m.Kernel)
	m.AIC = -2*m.LogLik + 2*float64(m.Parameters)
	m.BIC = -2*m.LogLik + math.Log(float64(m.Rows))*float64(m.Parameters)
}

// NullDeviance is the Deviance of the intercepts and the offset alone, fitted by maximum
// likelihood; NaN where Status is not usable.
func (m *Model) NullDeviance() float64 { return m.Deviance + 2*(m.Kernel-m.nullKernel()) }

// PseudoR2 says how much of the log-likelihood of the intercepts alone the columns
// account for, by McFadden (1974) and by Nagelkerke (1991), each trial taken for itself.
func (m *Model) PseudoR2() (mcFadden, nagelkerke float64) {
	null := m.nullKernel()
	return 1 - m.Kernel/null, (1 - math.Exp(2*(null-m.Kernel)/m.Trials)) / (1 - math.Exp(2*null/m.Trials))
}

// nullKernel is the Kernel of the intercepts alone, by maximum likelihood.
func (m *Model) nullKernel() float64 {
	if !m.Status.Usable() {
		return math.NaN()
	}
	informative, _, _ := m.full.onlyInformative()
	var all []int
	for j := range m.Coef {
		all = append(all, j)
	}
	t, _ := informative.dropColumns(all)
	l, pt := newLikelihood(t, false), startPoint(t)
	if _, ok := l.maximise(&pt, holdNothing(), Options{}); !ok {
		return math.NaN()
	}
	return l.kernel
}

// logChoose is the logarithm of n over y.
func logChoose(n, y float64) float64 {
	if y == 0 || y == n {
		return 0
	}
	a, _ := math.Lgamma(n + 1)
	b, _ := math.Lgamma(y + 1)
	c, _ := math.Lgamma(n - y + 1)
	return a - b - c
}

// xlogx is y log(y/n), 0 at y = 0.
func xlogx(y, n float64) float64 {
	if y == 0 {
		return 0
	}
	return y * math.Log(y/n)
}

// LinearPredictor returns offset + intercept + x'b of every row of the data, NaN
// for a row without trials.
func (m *Model) LinearPredictor() []float64 {
	return m.predict(m.Coef, m.Intercept)
}

func (m *Model) predict(coef, intercept []float64) []float64 {
	out := make([]float64, m.data.Rows())
	for i, u := range m.full.rowOf {
		if u < 0 {
			out[i] = math.NaN()
			continue
		}
		g, _ := slices.BinarySearch(m.Groups, m.data.group(i))
		out[i] = m.data.offset(i) + intercept[g]
		for j, b := range coef {
			out[i] += b * m.data.X[j][i]
		}
	}
	return out
}

// Probabilities returns the fitted chance of success of every row of the data,
// NaN for a row without trials. Under the Firth penalty they are pulled towards
// 1/2; Recalibrate undoes that.
func (m *Model) Probabilities() []float64 {
	return logistic(m.LinearPredictor())
}

func logistic(eta []float64) []float64 {
	out := make([]float64, len(eta))
	for i, e := range eta {
		out[i] = math.NaN()
		if !math.IsNaN(e) {
			out[i], _ = chance(e)
		}
	}
	return out
}

// LinearPredictorSE returns the standard error of the linear predictor of every
// row of the data, NaN for a row without trials or with an infinite intercept.
func (m *Model) LinearPredictorSE() []float64 {
	out := filled(m.data.Rows(), math.NaN())
	if !m.Status.Usable() {
		return out
	}
	d := make([]float64, len(m.Coef))
	for i, u := range m.full.rowOf {
		if u < 0 {
			continue
		}
		g, _ := slices.BinarySearch(m.Groups, m.data.group(i))
		k := m.fittedGroup(g)
		if k < 0 {
			continue
		}
		mean := m.dataMean(k)
		for j := range d {
			d[j] = m.data.X[j][i] - mean[j]
		}
		out[i] = math.Sqrt(1/m.weights[k] + quadratic(d, m.Cov, d))
	}
	return out
}
