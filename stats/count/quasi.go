package count

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/newton"
	"gravid/stats/tail"
)

// QuasiSettings say how FitQuasiPoisson allows for spread beyond chance. The
// zero value is ready to use.
type QuasiSettings struct {
	Level float64 // 0 means 0.95
	// ByCluster takes the standard errors from leaving out one cluster at a time
	// instead of the dispersion: for rows of one keeper that may be alike.
	ByCluster bool
}

// A QuasiPoisson is the fit of a quasi-Poisson regression (Wedderburn 1974): the
// log of the mean for an exposure of 1 is linear in the covariates, the variance
// proportional to the mean. Use its numbers through the methods, which heed its
// Status.
type QuasiPoisson struct {
	Level      float64
	Coef       []float64     // the intercept and one for each covariate; NaN unless Status is usable
	Covariance *mat.SymDense // of Coef; nil unless Status is usable
	Dispersion float64       // Pearson chi-square over its degrees of freedom; NaN unless Status is usable
	DF         float64       // of the t quantile: N less the coefficients, or clusters less 1
	N          int
	Clusters   int // 0 unless by cluster
	Status     stats.Status
	Warnings   []stats.Warning

	like *countRows
}

// FitQuasiPoisson fits counts known exactly; those over an exposure, or of which
// only a part was counted, have its log as an offset. Coefficients are those of
// Poisson regression. By cluster, the covariance is (G-1)/G sum (b_g - b)(b_g -
// b)' with b_g the coefficients without cluster g (CV3; MacKinnon, Nielsen & Webb
// 2023), else the inverse information times the dispersion. Limits take t of DF.
//
// Status is TooLittle for no more counts than coefficients, no positive one, or
// fewer than two clusters, or where leaving out one cluster leaves a coefficient
// open; NotIdentifiable where covariates cannot be told apart or one of their
// values goes with counts of 0 only; Boundary where the fit is exact and sets no
// limits. The error is a *stats.InputError for a row that cannot be or is a
// range, and tells of a level out of range.
func FitQuasiPoisson(rows []CountRow, s QuasiSettings) (QuasiPoisson, error) {
	level, err := stats.LevelOrDefault(s.Level)
	if err != nil {
		return QuasiPoisson{}, err
	}
	for i, r := range rows {
		if r.Count.refuse() == "" && !r.exact() {
			return QuasiPoisson{}, &stats.InputError{Index: i, Reason: fmt.Sprintf("a range of %v to %v is not for a quasi-likelihood; use the negative binomial", r.Lo, r.Hi)}
		}
	}
	like, err := newCountRows(rows, s.ByCluster)
	if err != nil {
		return QuasiPoisson{}, err
	}
	m := QuasiPoisson{Level: level, Dispersion: math.NaN(), DF: math.NaN(), N: like.n, like: like}
	m.Coef = slices.Repeat([]float64{math.NaN()}, like.width)
	if m.Status, m.Warnings = like.enough(); m.Status == stats.OK {
		m.fit(s.ByCluster)
	}
	return m, nil
}

func (m *QuasiPoisson) fit(byCluster bool) {
	poisson, status, reasons := m.like.poisson()
	if status != stats.OK {
		m.Status, m.Warnings = status, reasons
		return
	}
	var covariance *mat.SymDense
	if byCluster {
		if covariance, reasons = m.jackknife(poisson.Theta); reasons != nil {
			m.Status, m.Warnings = stats.TooLittle, reasons
			return
		}
	}
	copy(m.Coef, poisson.Theta)
	freedom := float64(m.N - m.like.width)
	m.Dispersion = m.like.pearson(poisson.Theta) / freedom
	if byCluster {
		m.Covariance, m.DF = covariance, float64(m.Clusters-1)
		if m.Clusters < 5 {
			m.Warnings = append(m.Warnings, stats.Warn("few-clusters", "the limits rest on %d keepers or tanks only", m.Clusters))
		}
		return
	}
	m.DF = freedom
	m.Covariance = mat.NewSymDense(m.like.width, nil)
	if m.Dispersion < 1e-18 {
		m.Status = stats.Boundary
		m.Warnings = []stats.Warning{stats.Warn("exact-fit", "the covariates give all %d counts exactly, so nothing shows the spread and sets limits", m.N)}
		return
	}
	m.Covariance.ScaleSym(m.Dispersion, poisson.Covariance)
}

// pearson is the sum of squared differences over the variance of independent
// events.
func (c *countRows) pearson(theta []float64) (sum float64) {
	for i, r := range c.rows {
		mu := r.Exposure * math.Exp(dot(theta, r.X))
		sum += c.times[i] * sq(r.Lo-mu) / mu
	}
	return sum
}

// jackknife is the covariance from leaving out one cluster at a time.
func (m *QuasiPoisson) jackknife(full []float64) (*mat.SymDense, []stats.Warning) {
	starts := []int{} // of the clusters among the rows, which are in their order
	for i, r := range m.like.rows {
		if i == 0 || r.Cluster != m.like.rows[i-1].Cluster {
			starts = append(starts, i)
		}
	}
	m.Clusters = len(starts)
	if m.Clusters < 2 {
		return nil, []stats.Warning{stats.Warn("one-cluster", "all records belong together, so nothing can be said of the spread between one keeper or tank and the next")}
	}
	moves := make([][]float64, m.Clusters)
	inParallel(m.Clusters, func(next func() int) {
		for g := next(); g < m.Clusters; g = next() {
			end := len(m.like.rows)
			if g+1 < m.Clusters {
				end = starts[g+1]
			}
			moves[g] = m.like.without(starts[g], end).moveFrom(full)
		}
	})
	slices.SortFunc(moves, slices.Compare) // so that the labels of the clusters do not matter
	sum := mat.NewSymDense(len(full), nil)
	for _, move := range moves {
		if move == nil {
			return nil, []stats.Warning{stats.Warn("rests-on-one", "without one of the keepers or tanks the effect of some covariate is open, so how keepers differ in it cannot be told")}
		}
		sum.SymRankOne(sum, float64(m.Clusters-1)/float64(m.Clusters), mat.NewVecDense(len(move), move))
	}
	return sum, nil
}

// without leaves out the rows from one to before another.
func (c *countRows) without(from, to int) *countRows {
	out := *c
	out.rows = slices.Concat(c.rows[:from], c.rows[to:])
	out.times = slices.Concat(c.times[:from], c.times[to:])
	out.offsets = slices.Concat(c.offsets[:from], c.offsets[to:])
	out.place = slices.Concat(c.place[:from], c.place[to:])
	return &out
}

// moveFrom is how far the best Poisson coefficients lie from some others, nil
// where there are none.
func (c *countRows) moveFrom(theta []float64) []float64 {
	if len(c.rows) == 0 {
		return nil
	}
	r := newton.Maximise(c.objective, theta, newton.Settings{})
	if !r.Converged || c.design().open(r.Covariance) {
		return nil
	}
	for j := range r.Theta {
		r.Theta[j] -= theta[j]
	}
	return r.Theta
}

func (m QuasiPoisson) estimate() stats.Estimate {
	method := "quasi-Poisson regression, t interval"
	if m.Clusters > 0 {
		method = "Poisson regression, t interval by cluster jackknife"
	}
	return stats.Estimate{Level: m.Level, Attained: math.NaN(), N: m.N, Events: m.Clusters, Method: method, Status: m.Status, Warnings: slices.Clone(m.Warnings)}
}

// along returns the sum of the coefficients times weights, with t limits, and
// the p-value of its being 0.
func (m QuasiPoisson) along(weights []float64) Ratio {
	r := Ratio{m.estimate(), math.NaN()}
	if !m.Status.Usable() {
		r.Estimate = r.Without(m.Status)
		return r
	}
	w := mat.NewVecDense(len(weights), weights)
	r.Value, r.Lo, r.Hi = dot(m.Coef, weights), math.Inf(-1), math.Inf(1)
	if m.Status == stats.OK {
		se := math.Sqrt(mat.Inner(w, m.Covariance, w))
		half := tail.StudentUpperQuantile((1-m.Level)/2, m.DF) * se
		r.Lo, r.Hi = r.Value-half, r.Value+half
		r.P = tail.StudentTwoSided(r.Value/se, m.DF)
	}
	return r
}

// Coefficient returns the i-th coefficient, on the log scale (0 is the
// intercept). Events counts the clusters. It panics if there is no such
// coefficient.
func (m QuasiPoisson) Coefficient(i int) stats.Estimate { return m.one(i).Estimate }

// Ratio returns the factor by which the mean changes for one unit of the i-th
// covariate, from 1, with the p-value of a factor of 1. It panics if there is no
// such covariate.
func (m QuasiPoisson) Ratio(i int) Ratio {
	r := m.one(i)
	r.Estimate = exponential(r.Estimate)
	return r
}

func (m QuasiPoisson) one(i int) Ratio {
	if i < 0 || i >= len(m.Coef) {
		panic(fmt.Sprintf("count: coefficient %d of %d", i, len(m.Coef)))
	}
	weights := make([]float64, len(m.Coef))
	weights[i] = 1
	return m.along(weights)
}

// Mean returns the mean for an exposure of 1 where the covariates are x. It
// panics if x has the wrong length.
func (m QuasiPoisson) Mean(x []float64) stats.Estimate {
	if len(x) != len(m.Coef)-1 {
		panic(fmt.Sprintf("count: %d covariates given to a model with %d", len(x), len(m.Coef)-1))
	}
	return exponential(m.along(append([]float64{1}, x...)).Estimate)
}
