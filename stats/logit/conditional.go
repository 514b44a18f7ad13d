package logit

import (
	"fmt"
	"math"
	"slices"

	"gravid/stats"
	"gravid/stats/internal/root"
	"gravid/stats/tail"
)

// Ties says how a stratum with several successes enters the conditional
// likelihood.
type Ties int

const (
	// Exact sums over all ways in which so many successes could have fallen on the
	// rows of the stratum (Gail, Lubin & Rubinstein 1981). Strata with one outcome
	// say nothing.
	Exact Ties = iota
	// Efron and Breslow are the approximations of those names to the partial
	// likelihood of Cox's model with tied times (Efron 1977, Breslow 1974). With one
	// success in each stratum all three agree; with more they are biased towards 0. A
	// stratum without failures still enters, as it does there.
	Efron
	Breslow
)

// String returns the name in lower case.
func (t Ties) String() string {
	switch t {
	case Efron:
		return "efron"
	case Breslow:
		return "breslow"
	}
	return "exact"
}

// ConditionalOptions of FitConditional. The zero value is the exact conditional
// likelihood without penalty.
type ConditionalOptions struct {
	Ties    Ties
	Penalty Penalty // Firth is half log det of the conditional information (Heinze & Puhr 2010)
	MaxIter int     // 0 means 200
	Tol     float64 // of the distance to the maximum in standard errors, and of the step; 0 means 1e-10
}

// A Conditional is a conditional logistic regression: rows are compared within
// strata only, whose own chances are conditioned away instead of being estimated.
// It suits matched days and small strata, where an intercept for each would bias
// the slopes. Numbers are NaN where Status is not usable.
type Conditional struct {
	Status   stats.Status
	Warnings []stats.Warning
	Options  ConditionalOptions

	Names []string
	Coef  []float64   // log odds ratio for one unit of each column
	SE    []float64   // from the inverse information
	Cov   [][]float64 // of Coef

	LogLik          float64
	LogLikNull      float64 // with all slopes 0
	PenalizedLogLik float64 // what the Firth penalty maximises, in units of the data
	Iterations      int

	Strata   int // with any trials
	Compared int // strata with both outcomes
	// OneOutcome counts the strata that have seen one outcome only; SomeCase those
	// among them with successes.
	OneOutcome, SomeCase int
	Trials, Successes    int

	Identifiability Identifiability
	Separation      Separation

	table *table    // that the likelihood is made of; nil where none is
	best  []float64 // in the inner scale
	top   float64
	data  Data
}

// FitConditional fits the model with Data.Group as strata. Successes, trials and
// weights must be whole numbers, since the exact likelihood counts them; the error
// says where they are not. Everything else is said by the status, as for Fit.
//
// The cost of a stratum of n rows is n times the smaller of its successes and
// failures, times the square (with penalty the cube) of the columns.
func FitConditional(d Data, o ConditionalOptions) (*Conditional, error) {
	if err := d.Validate(); err != nil {
		return nil, err
	}
	if err := d.validateCounts(); err != nil {
		return nil, err
	}
	c := &Conditional{Options: o, data: d}
	for j := range d.X {
		c.Names = append(c.Names, d.Name(j))
	}
	c.blank()
	if c.gates() {
		c.solve()
	}
	return c, nil
}

// validateCounts refuses rows that are no whole number of trials.
func (d Data) validateCounts() error {
	for i := range d.Y {
		for _, v := range []float64{d.Y[i], d.trials(i), d.weight(i)} {
			if v != math.Trunc(v) || v > 1e6 {
				return fmt.Errorf("row %d: %v is not a whole number below a million, which a conditional likelihood needs", i+1, v)
			}
		}
	}
	return nil
}

func (c *Conditional) blank() {
	nan, p := math.NaN(), len(c.Names)
	c.Coef, c.SE = filled(p, nan), filled(p, nan)
	c.Cov = nil
	for range p {
		c.Cov = append(c.Cov, filled(p, nan))
	}
	c.LogLik, c.LogLikNull, c.PenalizedLogLik = nan, nan, nan
}

// gates asks whether the strata can answer at all, and chooses those that enter.
func (c *Conditional) gates() bool {
	full := newTable(c.data)
	s, n := full.totals()
	c.Trials, c.Successes, c.Strata = int(n), int(s), full.groups()
	informative, _, left := full.onlyInformative()
	c.Compared, c.OneOutcome = informative.groups(), len(left)
	for g := range full.groups() {
		if s, n := full.counts(g); s > 0 && s == n {
			c.SomeCase++
		}
	}
	if c.Compared == 0 {
		c.Status = stats.TooLittle
		c.Warnings = append(c.Warnings, stats.Warn("one-outcome", "no stratum has seen both outcomes, so there is nothing to compare within any of them"))
		return false
	}
	if c.OneOutcome > 0 {
		c.Warnings = append(c.Warnings, stats.Warn("uninformative-strata", "%d of %d strata have seen a single outcome and add no comparison", c.OneOutcome, c.Strata))
	}
	c.Identifiability = identify(full, informative, c.data)
	c.Warnings = append(c.Warnings, c.Identifiability.Warnings()...)
	if !c.Identifiability.OK() {
		c.Status = stats.NotIdentifiable
		return false
	}
	c.table = informative
	if c.Options.Ties != Exact {
		c.table = full
	}
	c.Separation = separate(c.compared(informative), c.Identifiability)
	c.Separation.UninformativeGroups = left
	c.Warnings = append(c.Warnings, c.Separation.Warnings()...)
	if c.Separation.Separated() && c.Options.Penalty == None {
		c.Status = stats.Separated
		return false
	}
	return true
}

// compared is the table in which successes are set against failures. For Efron and
// Breslow a success is set against the other successes of its stratum too: their
// likelihood rises for ever only where all of them tie above the rest.
func (c *Conditional) compared(t *table) *table {
	if c.Options.Ties == Exact {
		return t
	}
	out := *t
	out.n = slices.Clone(t.n)
	for i, s := range t.s {
		out.n[i] += s
	}
	return &out
}

func (c *Conditional) solve() {
	p := len(c.Names)
	c.best = make([]float64, p)
	l := newConditionalLikelihood(c.table, c.Options)
	l.at(c.best)
	c.LogLikNull = l.loglik
	iterations, ok := l.maximise(c.best, nil, c.Options)
	c.Iterations = iterations
	if !ok {
		c.LogLikNull = math.NaN()
		c.Status = stats.NotConverged
		c.Warnings = append(c.Warnings, stats.Warn("not-converged", "the fit did not settle in %d iterations, so no number is given", iterations))
		return
	}
	c.Status, c.top = stats.OK, l.value
	scale := c.table.scale
	inverse := l.chol.inverse()
	c.LogLik, c.PenalizedLogLik = l.loglik, l.loglik+l.chol.logDet()/2
	for j := range p {
		c.Coef[j] = c.best[j] / scale[j]
		c.PenalizedLogLik += math.Log(scale[j])
		for k := range p {
			c.Cov[j][k] = inverse[j][k] / scale[j] / scale[k]
		}
		c.SE[j] = math.Sqrt(c.Cov[j][j])
	}
}

func (c *Conditional) method(name string) string {
	return fmt.Sprintf("%s, conditional likelihood (%s), %s", name, c.Options.Ties, c.Options.Penalty)
}

func (c *Conditional) estimate(level float64, name string) stats.Estimate {
	checkLevel(level)
	nan := math.NaN()
	return stats.Estimate{Value: nan, Lo: nan, Hi: nan, Level: level, Attained: nan, N: c.Trials, Events: c.Successes, Method: c.method(name), Status: c.Status, Warnings: slices.Clone(c.Warnings)}
}

// Wald returns slope j with the interval estimate plus and minus z standard
// errors; Separated where column j separates the outcomes, as for Model.Wald.
func (c *Conditional) Wald(j int, level float64) stats.Estimate {
	e := c.estimate(level, "Wald")
	if e.Status.Usable() && c.Separation.Involves(j) {
		e.Status = stats.Separated
	}
	if e.Status.Usable() {
		half := tail.NormalUpperQuantile((1-level)/2) * c.SE[j]
		e.Value, e.Lo, e.Hi = c.Coef[j], c.Coef[j]-half, c.Coef[j]+half
	}
	return e
}

// Profile returns slope j with its profile likelihood interval, as Model.Profile
// does.
func (c *Conditional) Profile(j int, level float64) stats.Estimate {
	e := c.estimate(level, "profile")
	if !e.Status.Usable() {
		return e
	}
	c.interval(&e, c.slopeCurve(j), tail.ChiSquareQuantile(level, 1))
	return e
}

// A conditionalCurve evaluates the profile of slope j, in the inner scale.
type conditionalCurve struct {
	c      *Conditional
	l      *conditionalLikelihood
	j      int
	failed bool
}

func (c *Conditional) slopeCurve(j int) *conditionalCurve {
	return &conditionalCurve{c: c, l: newConditionalLikelihood(c.table, c.Options), j: j}
}

// drop returns twice the distance of the profile at v from the maximum, fitted from b on,
// which it moves; NaN if that fails.
func (k *conditionalCurve) drop(b []float64, v float64) float64 {
	b[k.j] = v
	if _, ok := k.l.maximise(b, []int{k.j}, k.c.Options); !ok {
		k.failed = true
		return math.NaN()
	}
	return math.Max(0, 2*(k.c.top-k.l.value))
}

// root is the signed root of the profile at slope v of the data, whose standard error is se.
func (k *conditionalCurve) root(v, se float64) float64 {
	best := k.c.Coef[k.j]
	if d := (v - best) / se; math.Abs(d) < straight {
		return d
	}
	return math.Copysign(math.Sqrt(k.drop(slices.Clone(k.c.best), v*k.c.table.scale[k.j])), v-best)
}

// interval fills in the ends of e, where drop crosses q.
func (c *Conditional) interval(e *stats.Estimate, k *conditionalCurve, q float64) {
	j := k.j
	scale := c.table.scale[j]
	end := func(side float64) float64 {
		b := slices.Clone(c.best)
		f := func(v float64) float64 {
			if v == c.best[j] {
				return -math.Sqrt(q)
			}
			return math.Sqrt(k.drop(b, v)) - math.Sqrt(q)
		}
		se := c.SE[j] * scale
		limit := math.Max(c.slopeLimit(j), 2*math.Abs(c.best[j]))
		return root.Walk(f, c.best[j], side*se*math.Sqrt(q), side*limit, 1e-11*math.Max(se, math.Abs(c.best[j]))) / scale
	}
	lo, hi := end(-1), end(1)
	if k.failed || math.IsNaN(lo) || math.IsNaN(hi) {
		*e = e.Without(stats.NotConverged, stats.Warn("not-converged", "a fit along the profile of %s did not settle, so no interval is given", c.Names[j]))
		return
	}
	e.Value, e.Lo, e.Hi = c.Coef[j], lo, hi
	e.Warnings = append(e.Warnings, unboundedWarnings(lo, hi, c.Names[j])...)
}

// slopeLimit is how far the search for an end goes, in the inner scale.
func (c *Conditional) slopeLimit(j int) float64 {
	if span, two := twoValued(c.data, j); two {
		return capTwoValued / span * c.table.scale[j]
	}
	return capSpread
}

func (c *Conditional) newTest(df int, name string) Test {
	return Test{Statistic: math.NaN(), DF: df, P: math.NaN(), Method: c.method(name), Status: c.Status, Warnings: c.Warnings}
}

func (t *Test) compare(statistic float64) {
	t.Statistic = math.Max(0, statistic)
	t.P = tail.ChiSquareUpper(t.Statistic, float64(t.DF))
}

// LRTest tests by the likelihood ratio that all the given slopes are 0, with the
// penalty of the full design where there is one.
func (c *Conditional) LRTest(columns ...int) Test {
	t := c.newTest(len(columns), "likelihood ratio")
	if !t.Status.Usable() {
		return t
	}
	b, l := slices.Clone(c.best), newConditionalLikelihood(c.table, c.Options)
	for _, j := range columns {
		b[j] = 0
	}
	if _, ok := l.maximise(b, columns, c.Options); !ok {
		t.Status = stats.NotConverged
		return t
	}
	t.compare(2 * (c.top - l.value))
	return t
}

// WaldTest tests that all the given slopes are 0, from the covariance matrix.
func (c *Conditional) WaldTest(columns ...int) Test {
	t := c.newTest(len(columns), "Wald")
	t.wald(columns, c.Separation, c.Coef, c.Cov)
	return t
}

// ScoreTest tests that all slopes are 0 from the slope of the likelihood there. It
// needs no estimate, so that separation does not matter; the penalty plays no part.
func (c *Conditional) ScoreTest() Test {
	t := c.newTest(len(c.Names), "score")
	if c.table == nil {
		return t
	}
	l := newConditionalLikelihood(c.table, c.Options)
	if !l.at(make([]float64, len(c.Names))) {
		t.Status = stats.NotIdentifiable
		return t
	}
	t.Status = stats.OK
	score := slices.Clone(l.plain)
	l.chol.forward(score)
	t.compare(dot(score, score))
	return t
}
