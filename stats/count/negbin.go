package count

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/newton"
	"gravid/stats/internal/root"
	"gravid/stats/tail"
)

// A NegativeBinomial is the fit of a negative binomial distribution: numbers
// that vary more from one clutch to the next than chance alone would make them.
// Use its numbers through the methods, which heed its Status.
type NegativeBinomial struct {
	Level         float64
	Size          float64 // k: the variance is mean + mean^2/k; +Inf at the Poisson limit; NaN unless Status is usable
	LogLik        float64 // NaN unless Status is usable
	PoissonLogLik float64 // of the Poisson distribution with the best mean
	N             int
	Status        stats.Status
	Warnings      []stats.Warning

	rows     []tally
	positive bool    // every count is of a clutch of at least one, see FitZeroTruncated
	logMean  float64 // for an exposure of 1, before any truncation
	variance float64 // of logMean, from the observed information
	spread   float64 // variance of log k; NaN at the Poisson limit
	mixed    float64 // covariance of logMean and -log k
}

// poissonSize is the size k from which on a fit is taken for the Poisson limit.
const poissonSize = 1e4

// FitNegativeBinomial fits by maximum likelihood: Newton's method on the log of
// the mean and of the size together, from several starts (one where all counts are
// exact and the likelihood is highest near that one), compared with the Poisson
// limit. A count known only to a range adds the probability of the range, one of
// which only a part was counted that of the part (a thinned negative binomial keeps
// its size).
//
// Status is Boundary where the Poisson distribution fits at least as well (the
// Size is then +Inf) or all counts are 0; TooLittle for fewer than two counts or
// where no count has an upper limit; NotConverged where no start came to rest.
// The error is a *stats.InputError for a count that cannot be, and tells of a
// level (0 means 0.95) out of range.
func FitNegativeBinomial(counts []Count, level float64) (NegativeBinomial, error) {
	level, err := stats.LevelOrDefault(level)
	if err != nil {
		return NegativeBinomial{}, err
	}
	rows, err := tallies(counts)
	if err != nil {
		return NegativeBinomial{}, err
	}
	return fitRows(rows, len(counts), false, level), nil
}

func fitRows(rows []tally, n int, positive bool, level float64) NegativeBinomial {
	m := NegativeBinomial{Level: level, N: n, Size: math.NaN(), LogLik: math.NaN(), PoissonLogLik: math.NaN(), rows: rows, positive: positive}
	if m.Status, m.Warnings = m.enough(); m.Status == stats.OK {
		m.fit()
	}
	if positive && m.Status.Usable() && m.centre() < 1e-6 {
		m.Status, m.Size, m.LogLik = stats.TooLittle, math.NaN(), math.NaN()
		m.Warnings = []stats.Warning{stats.Warn("all-one", "the %d clutches are best explained by one in each, so there is nothing to fit", n)}
	}
	return m
}

func (m *NegativeBinomial) enough() (stats.Status, []stats.Warning) {
	bounded := func(t tally) bool { return !math.IsInf(t.Hi, 1) }
	positive := func(t tally) bool { return t.Lo > 0 }
	several := func(t tally) bool { return t.Lo > 1 || t.Exposure != 1 }
	one := func(code, text string, args ...any) []stats.Warning {
		return []stats.Warning{stats.Warn(code, text, args...)}
	}
	switch {
	case m.N == 0:
		return stats.TooLittle, one("no-observations", "there are no counts")
	case m.N == 1:
		return stats.TooLittle, one("one-observation", "there is one count only, so nothing can be said of the spread between one and the next")
	case !slices.ContainsFunc(m.rows, bounded):
		return stats.TooLittle, one("no-upper-limit", "none of the counts has an upper limit")
	case !slices.ContainsFunc(m.rows, positive):
		return stats.TooLittle, one("all-zero", "all %d counts are or may be 0, so there is nothing to fit", m.N)
	}
	if m.positive && !slices.ContainsFunc(m.rows, several) {
		return stats.TooLittle, one("all-one", "all %d clutches hold or may hold one, so there is nothing to fit", m.N)
	}
	return stats.OK, nil
}

// objective is the log-likelihood of (b, q), the logs of the mean and of 1/k.
func (m *NegativeBinomial) objective(theta, grad []float64, hess *mat.SymDense) float64 {
	p := m.at(theta[0], math.Exp(-theta[1]), grad != nil)
	if grad != nil {
		grad[0], grad[1] = p.b, p.q
		hess.SetSym(0, 0, p.bb)
		hess.SetSym(0, 1, p.bq)
		hess.SetSym(1, 1, p.qq)
	}
	return p.value
}

func (m *NegativeBinomial) at(b, size float64, derive bool) partials {
	var sum partials
	mean, up := math.Exp(b), ladder{k: size, derive: derive}
	var d negBinomial
	var common slopes
	for i := range m.rows {
		r := &m.rows[i]
		if i == 0 || r.Exposure != m.rows[i-1].Exposure {
			d = negBinomial{mu: r.Exposure * mean, k: size}
			common = d.slopes()
		}
		switch {
		case m.positive && r.Lo == 0:
			sum.add(r.times, d.notAllNone(r.Count, mean, derive))
		case r.exact():
			sum.add(r.times, common.logProb(up.rung(r.Lo, r.logFactorial), derive))
		default:
			sum.add(r.times, d.logLikelihood(r.Count, derive))
		}
	}
	if m.positive {
		sum.add(-float64(m.N), negBinomial{mean, size}.logPositive(derive))
	}
	return sum
}

// bestMean returns the b that is best for the size, starting from start, with
// its log-likelihood and second derivative.
func (m *NegativeBinomial) bestMean(size, start float64) (b float64, p partials, ok bool) {
	r := newton.Maximise(func(theta, grad []float64, hess *mat.SymDense) float64 {
		p := m.at(theta[0], size, grad != nil)
		if grad != nil {
			grad[0] = p.b
			hess.SetSym(0, 0, p.bb)
		}
		return p.value
	}, []float64{start}, newton.Settings{MaxMove: 3})
	return r.Theta[0], partials{value: r.Value, bb: r.Hess.At(0, 0)}, r.Converged
}

// roughMean is the log of the mean of the middles of the counts.
func (m *NegativeBinomial) roughMean() float64 {
	var sum, exposure float64
	for _, r := range m.rows {
		sum += r.times * r.middle()
		exposure += r.times * r.Exposure
	}
	return math.Log(sum / exposure)
}

// starts are the values of q = -log k from which the search begins: a single
// start can end at a size of millions where the best is a handful.
var starts = []float64{-6, -3, -1, 0, 1.5, 3}

// promising is the one of the starts that the search may begin from alone: that with
// the highest likelihood, where it falls from there on to both sides through all others.
// It is nil where there is no such start, the search then having to begin from all of
// them.
func promising(like func(q float64) float64) []float64 {
	top, rising := 0, true
	var before float64
	for i, q := range starts {
		v := like(q)
		switch {
		case i > 0 && v > before && !rising:
			return nil // a second rise
		case i > 0 && v > before:
			top = i
		case i > 0:
			rising = false
		}
		before = v
	}
	if top == 0 || top == len(starts)-1 {
		return nil
	}
	return starts[top : top+1]
}

func (m *NegativeBinomial) fit() {
	rough := m.roughMean()
	poisson, limit, ok := m.bestMean(math.Inf(1), rough)
	if !ok {
		m.Status, m.Warnings = stats.NotConverged, []stats.Warning{stats.Warn("not-converged", "the search for the mean did not come to rest")}
		return
	}
	m.PoissonLogLik = limit.value
	var best newton.Result
	var unrested float64
	if !m.positive && !slices.ContainsFunc(m.rows, func(t tally) bool { return !t.exact() }) {
		best, unrested = m.climb(poisson, promising(func(q float64) float64 { return m.objective([]float64{poisson, q}, nil, nil) }))
	}
	if !(best.Converged && best.Value > limit.value+1e-9) {
		best, unrested = m.climb(poisson, starts)
	}
	if unrested > math.Max(best.Value, limit.value)+1e-6 {
		m.Status, m.Warnings = stats.NotConverged, []stats.Warning{stats.Warn("not-converged", "the search for the best fit did not come to rest; the spread may be without end")}
		return
	}
	if best.Value <= limit.value+1e-9 || best.Theta[1] < -math.Log(poissonSize) {
		m.Status = stats.Boundary
		m.Warnings = []stats.Warning{stats.Warn("poisson-limit", "the %d counts vary no more than chance alone would make them, so no extra spread is estimated", m.N)}
		m.Size, m.LogLik, m.logMean, m.variance, m.spread = math.Inf(1), limit.value, poisson, -1/limit.bb, math.NaN()
		return
	}
	m.Size, m.LogLik, m.logMean = math.Exp(-best.Theta[1]), best.Value, best.Theta[0]
	m.variance, m.spread, m.mixed = best.Covariance.At(0, 0), best.Covariance.At(1, 1), best.Covariance.At(0, 1)
}

// climb returns the highest peak that the climbs from the starts reach, and the highest
// value of those that did not come to rest; -Inf where there is none.
func (m *NegativeBinomial) climb(logMean float64, starts []float64) (best newton.Result, unrested float64) {
	best, unrested = newton.Result{Value: math.Inf(-1)}, math.Inf(-1)
	for _, q := range starts {
		r := newton.Maximise(m.objective, []float64{logMean, q}, newton.Settings{
			MaxMove: 3, Lower: []float64{math.Inf(-1), -math.Log(poissonSize)},
		})
		switch {
		case r.Converged && r.Value > best.Value:
			best = r
		case !r.Converged && !r.Below && r.Value > unrested:
			unrested = r.Value
		}
	}
	return best, unrested
}

// A MeanInterval is a way of putting limits round the mean of a fit.
type MeanInterval int

const (
	// Profile limits are the means whose likelihood ratio, with the size best
	// for each, is within the chi-square quantile.
	Profile MeanInterval = iota
	// ProfileF takes the quantile of F with 1 and N-1 degrees of freedom
	// instead: wider, and the one for a handful of counts.
	ProfileF
	// Wald limits are symmetric on the log scale.
	Wald
)

func (k MeanInterval) name() string {
	return [...]string{"profile likelihood interval", "profile likelihood interval with F quantile", "Wald interval on the log scale"}[k]
}

// allowed is the likelihood ratio of the limits; df is for ProfileF.
func (k MeanInterval) allowed(level float64, df int) float64 {
	if k == ProfileF {
		return tail.FUpperQuantile(1-level, 1, float64(df))
	}
	return tail.ChiSquareUpperQuantile(1-level, 1)
}

// Mean returns the mean for an exposure of 1 with limits of the kind asked for.
func (m NegativeBinomial) Mean(kind MeanInterval) stats.Estimate {
	e := m.estimate(kind.name())
	if !m.Status.Usable() {
		return e.Without(m.Status)
	}
	e.Value = math.Exp(m.centre())
	if kind == Wald {
		ratio := math.Exp(normalLimit(m.Level) * m.logMeanSE())
		e.Lo, e.Hi = e.Value/ratio, e.Value*ratio
		return e
	}
	allowed := kind.allowed(m.Level, m.N-1)
	size := m.Size
	loss := func(t float64) float64 {
		var value float64
		value, size = m.bestSize(t, size)
		return 2*(m.LogLik-value) - allowed
	}
	centre, step := m.centre(), m.logMeanSE()
	const furthest = 40 // of the log of the mean; beyond it there might as well be no limit
	lowest := centre - furthest
	if m.positive {
		lowest = math.Log1p(1e-12) // the mean of clutches of at least one is above 1
	}
	e.Lo = math.Exp(root.Walk(loss, centre, -math.Min(step, (centre-lowest)/2), lowest, 1e-10))
	size = m.Size
	e.Hi = math.Exp(root.Walk(loss, centre, step, centre+furthest, 1e-10))
	if m.positive && e.Lo == 0 {
		e.Lo = 1
	}
	if e.Lo == 0 || math.IsInf(e.Hi, 1) {
		e.Warnings = append(e.Warnings, stats.Warn("no-limit", "the counts do not bound the mean on both sides"))
	}
	return e
}

func (m NegativeBinomial) estimate(method string) stats.Estimate {
	family := "negative binomial, "
	if m.positive {
		family = "zero-truncated negative binomial, "
	}
	return stats.Estimate{
		Level: m.Level, Attained: math.NaN(), N: m.N, Method: family + method,
		Status: m.Status, Warnings: slices.Clone(m.Warnings),
	}
}

// bestSize returns the highest log-likelihood for the log of a mean (that of
// clutches of at least one where the fit is truncated) and the size that has it,
// which may be +Inf. near is where to start.
func (m NegativeBinomial) bestSize(logMean, near float64) (value, size float64) {
	value, size = m.atMean(logMean, math.Inf(1), false).value, math.Inf(1)
	tries := []float64{-math.Log(near), 0, -3}
	if math.IsInf(near, 1) {
		tries = tries[1:]
	}
	for _, q := range tries {
		r := newton.Maximise(func(theta, grad []float64, hess *mat.SymDense) float64 {
			p := m.atMean(logMean, math.Exp(-theta[0]), grad != nil)
			if grad != nil {
				grad[0] = p.q
				hess.SetSym(0, 0, p.qq)
			}
			return p.value
		}, []float64{q}, newton.Settings{MaxMove: 3, Lower: []float64{-math.Log(poissonSize)}})
		if r.Converged && r.Value > value {
			value, size = r.Value, math.Exp(-r.Theta[0])
		}
		if r.Converged {
			break
		}
	}
	return value, size
}

// Dispersion returns the size k with profile-likelihood limits; the smaller k,
// the more the counts vary. The upper limit is +Inf, with a warning, where
// counts that vary by chance alone cannot be ruled out.
func (m NegativeBinomial) Dispersion() stats.Estimate {
	e := m.estimate("profile likelihood interval of the size")
	if !m.Status.Usable() {
		return e.Without(m.Status)
	}
	allowed := tail.ChiSquareUpperQuantile(1-m.Level, 1)
	b := m.logMean
	loss := func(q float64) float64 {
		var p partials
		b, p, _ = m.bestMean(math.Exp(-q), b)
		return 2*(m.LogLik-p.value) - allowed
	}
	const fewest, most = -20, 30 // of q = -log k
	e.Value, e.Hi = m.Size, math.Inf(1)
	peak, step := -math.Log(m.Size), math.Sqrt(m.spread)
	if m.Status == stats.Boundary {
		peak, step = fewest, 1
	} else if 2*(m.LogLik-m.PoissonLogLik) > allowed {
		e.Hi = math.Exp(-root.Walk(loss, peak, -step, fewest, 1e-10))
	}
	b = m.logMean
	e.Lo = math.Exp(-root.Walk(loss, peak, step, most, 1e-10))
	if math.IsInf(e.Hi, 1) {
		e.Warnings = append(e.Warnings, stats.Warn("chance-possible", "counts that vary by chance alone cannot be ruled out"))
	}
	return e
}

// SizeSE returns the standard error of Size from the observed information, NaN
// at the Poisson limit.
func (m NegativeBinomial) SizeSE() float64 { return m.Size * math.Sqrt(m.spread) }

// Predict returns limits within which one more count with the exposure (0 means
// 1) should fall with at least the probability level (0 means that of the fit),
// and the middle of its distribution as the value.
//
// They are quantiles of the negative binomial distribution averaged over the
// means and sizes the likelihood leaves possible, with a flat prior on the log
// of the mean and on 1/sqrt(k), the relative spread from clutch to clutch (half
// Cauchy on the latter after FitZeroTruncated). The error tells of a level or exposure out of range.
func (m NegativeBinomial) Predict(exposure, level float64) (stats.Estimate, error) {
	if level == 0 {
		level = m.Level
	}
	if _, err := stats.LevelOrDefault(level); err != nil {
		return stats.Estimate{}, err
	}
	if exposure == 0 {
		exposure = 1
	}
	if !(exposure > 0) || math.IsInf(exposure, 1) || m.positive && exposure != 1 {
		return stats.Estimate{}, fmt.Errorf("the exposure must be positive and finite, and 1 for whole clutches of at least one, not %v", exposure)
	}
	e := m.estimate("limits for one more, averaged over what the counts leave possible")
	e.Level = level
	if !m.Status.Usable() {
		return e.Without(m.Status), nil
	}
	mix := m.candidates()
	if mix == nil {
		return e.Without(stats.TooLittle, stats.Warn("spread-unlimited", "%d counts leave any spread possible, so nothing can be said of one more", m.N)), nil
	}
	for i := range mix {
		mix[i].mu *= exposure
		mix[i].positive = m.positive
	}
	e.Value = mix.quantile(0.5)
	e.Lo, e.Hi = mix.quantile((1-level)/2), mix.quantile((1+level)/2)
	return e, nil
}
