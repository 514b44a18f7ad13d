package count

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/newton"
)

// A CountRegression is the fit of a negative binomial regression: the log of the
// mean for an exposure of 1 is linear in the covariates, the size k (variance
// mean + mean^2/k) the same for all. Use its numbers through the methods, which
// heed its Status.
type CountRegression struct {
	Level         float64
	Coef          []float64     // the intercept and one for each covariate; NaN unless Status is usable
	Size          float64       // +Inf at the Poisson limit; NaN unless Status is usable
	Covariance    *mat.SymDense // of Coef and, unless Size is +Inf, of -log Size, from the observed information; nil unless Status is usable
	LogLik        float64       // NaN unless Status is usable
	PoissonLogLik float64       // of the Poisson distribution with the best coefficients
	N             int
	Status        stats.Status
	Warnings      []stats.Warning

	like *countRows
	peak newton.Result
}

// FitCountRegression fits by maximum likelihood: Newton's method on the
// coefficients and the log of the size together, from starts as in
// FitNegativeBinomial, compared with the Poisson limit. Counts known to a range,
// in part, or over an exposure enter as there. Clusters are ignored: the limits
// hold for counts independent given their covariates; FitQuasiPoisson can do
// without.
//
// Status is Boundary where the Poisson distribution fits at least as well,
// TooLittle for no more counts than coefficients or no positive one,
// NotIdentifiable where covariates cannot be told apart or one of their values
// goes with counts of 0 only, and NotConverged where no start came to rest. The
// error is a *stats.InputError for a row that cannot be, and tells of a level
// (0 means 0.95) out of range.
func FitCountRegression(rows []CountRow, level float64) (CountRegression, error) {
	level, err := stats.LevelOrDefault(level)
	if err != nil {
		return CountRegression{}, err
	}
	like, err := newCountRows(rows, false)
	if err != nil {
		return CountRegression{}, err
	}
	m := CountRegression{Level: level, Size: math.NaN(), LogLik: math.NaN(), PoissonLogLik: math.NaN(), N: like.n, like: like}
	m.Coef = slices.Repeat([]float64{math.NaN()}, like.width)
	if m.Status, m.Warnings = like.enough(); m.Status == stats.OK {
		m.fit()
	}
	return m, nil
}

func (m *CountRegression) fit() {
	poisson, status, reasons := m.like.poisson()
	if status != stats.OK {
		m.Status, m.Warnings = status, reasons
		return
	}
	m.PoissonLogLik = poisson.Value
	var best newton.Result
	rested := false
	if !slices.Contains(m.like.place, -1) {
		best, rested = m.climb(poisson, promising(func(q float64) float64 { return m.like.objective(append(slices.Clone(poisson.Theta), q), nil, nil) }))
	}
	if !rested || len(best.Theta) == m.like.width {
		best, rested = m.climb(poisson, starts)
	}
	if !rested {
		m.Status, m.Warnings = stats.NotConverged, []stats.Warning{stats.Warn("not-converged", "the search for the best fit did not come to rest")}
		return
	}
	m.peak, m.LogLik, m.Covariance, m.Size = best, best.Value, best.Covariance, math.Inf(1)
	copy(m.Coef, best.Theta)
	if len(best.Theta) == m.like.width {
		m.Status = stats.Boundary
		m.Warnings = []stats.Warning{stats.Warn("poisson-limit", "given their covariates, the %d counts vary no more than chance alone would make them, so no extra spread is estimated", m.N)}
		return
	}
	m.Size = math.Exp(-best.Theta[m.like.width])
}

// climb returns the highest peak that the climbs from the starts reach, that of the
// Poisson distribution if none is above it, and whether any came to rest.
func (m *CountRegression) climb(poisson newton.Result, starts []float64) (best newton.Result, rested bool) {
	lower := slices.Repeat([]float64{math.Inf(-1)}, m.like.width+1)
	lower[m.like.width] = -math.Log(poissonSize)
	best = poisson
	for _, q := range starts {
		r := newton.Maximise(m.like.objective, append(slices.Clone(poisson.Theta), q), newton.Settings{MaxMove: 3, Lower: lower})
		rested = rested || r.Converged || r.Below
		if r.Converged && r.Value > best.Value+1e-9 {
			best = r
		}
	}
	return best, rested
}

func (m CountRegression) estimate(method string) stats.Estimate {
	return stats.Estimate{
		Level: m.Level, Attained: math.NaN(), N: m.N, Method: "negative binomial regression, " + method,
		Status: m.Status, Warnings: slices.Clone(m.Warnings),
	}
}

// Coefficient returns the i-th coefficient, on the log scale (0 is the
// intercept), with profile-likelihood limits, or Wald limits if kind says so;
// ProfileF takes N less the number of coefficients as degrees of freedom. It
// panics if there is no such coefficient.
func (m CountRegression) Coefficient(i int, kind MeanInterval) stats.Estimate {
	if i < 0 || i >= m.like.width {
		panic(fmt.Sprintf("count: coefficient %d of %d", i, m.like.width))
	}
	e := m.estimate(kind.name())
	if !m.Status.Usable() {
		return e.Without(m.Status)
	}
	se := math.Sqrt(m.Covariance.At(i, i))
	e.Value = m.peak.Theta[i]
	if kind == Wald {
		e.Lo, e.Hi = e.Value-normalLimit(m.Level)*se, e.Value+normalLimit(m.Level)*se
		return e
	}
	allowed := kind.allowed(m.Level, m.N-m.like.width)
	e.Lo = profileLimit(m.like.objective, m.peak, i, -se, allowed)
	e.Hi = profileLimit(m.like.objective, m.peak, i, se, allowed)
	if math.IsInf(e.Lo, -1) || math.IsInf(e.Hi, 1) {
		e.Warnings = append(e.Warnings, stats.Warn("no-limit", "the counts do not bound the coefficient on both sides"))
	}
	return e
}

// Ratio returns the factor by which the mean changes for one unit of the i-th
// covariate, from 1: the exponential of Coefficient.
func (m CountRegression) Ratio(i int, kind MeanInterval) stats.Estimate {
	return exponential(m.Coefficient(i, kind))
}

// Mean returns the mean for an exposure of 1 where the covariates are x. It
// panics if x has the wrong length.
func (m CountRegression) Mean(x []float64, kind MeanInterval) stats.Estimate {
	if len(x) != m.like.width-1 {
		panic(fmt.Sprintf("count: %d covariates given to a model with %d", len(x), m.like.width-1))
	}
	if !m.Status.Usable() {
		return m.estimate(kind.name()).Without(m.Status)
	}
	m.like = m.like.moved(x)
	theta := slices.Clone(m.peak.Theta)
	theta[0] += dot(theta[1:], x)
	m.peak = newton.Maximise(m.like.objective, theta, newton.Settings{})
	m.Covariance = m.peak.Covariance
	return exponential(m.Coefficient(0, kind))
}

func exponential(e stats.Estimate) stats.Estimate {
	e.Value, e.Lo, e.Hi = math.Exp(e.Value), math.Exp(e.Lo), math.Exp(e.Hi)
	return e
}
