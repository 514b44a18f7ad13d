package count

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

// A Clutch has Hits (eggs that hatched) among Trials (eggs laid). X holds its
// covariates, as many for every clutch; a group is a covariate of 0 and 1.
type Clutch struct {
	Hits, Trials int
	X            []float64
}

// A BetaBinomial is the fit of shares that differ from clutch to clutch by more
// than chance: logit of the mean share linear in the covariates, correlation rho
// within a clutch. Use its numbers through the methods, which heed its Status.
type BetaBinomial struct {
	Level          float64
	Coef           []float64     // the intercept and one for each covariate; NaN unless Status is usable
	Rho            float64       // correlation of two of one clutch; 0 at the binomial limit, NaN unless Status is usable
	Covariance     *mat.SymDense // of Coef and, unless Rho is 0, logit Rho; nil unless Status is usable
	LogLik         float64       // NaN unless Status is usable
	BinomialLogLik float64       // of the binomial distribution with the best coefficients
	N, Events      int           // clutches; hits in all
	Status         stats.Status
	Warnings       []stats.Warning

	like  *shares
	peak  newton.Result
	plain stats.Estimate // the answer where there is none from the model
}

// FitBetaBinomial fits by maximum likelihood with Newton's method from several
// starts, the clutch being the unit. Clutches without trials are left out.
//
// Status is Boundary where the shares vary no more than chance would make them
// (Rho is then 0), where all clutches have no hits or nothing but hits, or where
// every clutch has all or none: the last two leave no coefficients, but Share
// still answers from the clutches. It is TooLittle for fewer than two clutches,
// NotIdentifiable where covariates cannot be told apart, and NotConverged where
// no start came to rest. The error is a *stats.InputError for a clutch that
// cannot be, and tells of a level (0 means 0.95) out of range.
func FitBetaBinomial(clutches []Clutch, level float64) (BetaBinomial, error) {
	level, err := stats.LevelOrDefault(level)
	if err != nil {
		return BetaBinomial{}, err
	}
	like, err := newShares(clutches)
	if err != nil {
		return BetaBinomial{}, err
	}
	m := BetaBinomial{Level: level, Rho: math.NaN(), LogLik: math.NaN(), BinomialLogLik: math.NaN(), N: len(like.rows), like: like}
	for _, r := range like.rows {
		m.Events += r.Hits
	}
	m.Coef = slices.Repeat([]float64{math.NaN()}, like.width)
	if m.Status, m.Warnings = m.gate(); m.Status == stats.OK {
		m.fit()
	}
	return m, nil
}

// shares is the likelihood of the clutches.
type shares struct {
	rows   []Clutch // X starts with the constant 1
	groups []group
	all    []float64 // all[j] counts the clutches with more than j trials
	width  int
	choose float64 // log of the binomial coefficients, which depends on nothing
}

// A group is the clutches with the same covariates. up[j] counts those with
// more than j hits and down[j] with more than j misses, which is all the
// likelihood needs to know of them besides their trials.
type group struct {
	x        []float64
	up, down []float64
}

func groupsOf(rows []Clutch) []group {
	sorted := slices.Clone(rows)
	slices.SortStableFunc(sorted, func(a, b Clutch) int { return slices.Compare(a.X, b.X) })
	var out []group
	for _, r := range sorted {
		if n := len(out); n == 0 || !slices.Equal(out[n-1].x, r.X) {
			out = append(out, group{x: r.X})
		}
		g := &out[len(out)-1]
		g.up, g.down = atLeast(g.up, r.Hits), atLeast(g.down, r.Trials-r.Hits)
	}
	for _, g := range out {
		fromEnd(g.up)
		fromEnd(g.down)
	}
	return out
}

// fromEnd adds to each count those after it.
func fromEnd(counts []float64) {
	for j := len(counts) - 2; j >= 0; j-- {
		counts[j] += counts[j+1]
	}
}

// atLeast adds one to the place of n, making room for it.
func atLeast(counts []float64, n int) []float64 {
	if n == 0 {
		return counts
	}
	if n > len(counts) {
		counts = append(counts, make([]float64, n-len(counts))...)
	}
	counts[n-1]++
	return counts
}

func newShares(clutches []Clutch) (*shares, error) {
	s := &shares{width: 1}
	for i, c := range clutches {
		if i == 0 {
			s.width += len(c.X)
		}
		reason := ""
		switch {
		case c.Hits < 0 || c.Trials < c.Hits:
			reason = fmt.Sprintf("there cannot be %d hits in %d trials", c.Hits, c.Trials)
		case len(c.X) != s.width-1:
			reason = fmt.Sprintf("it has %d covariates and the first has %d", len(c.X), s.width-1)
		case slices.ContainsFunc(c.X, func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }):
			reason = "a covariate is not a number"
		}
		if reason != "" {
			return nil, &stats.InputError{Index: i, Reason: reason}
		}
		if c.Trials > 0 {
			s.rows = append(s.rows, Clutch{c.Hits, c.Trials, append([]float64{1}, c.X...)})
		}
	}
	slices.SortFunc(s.rows, func(a, b Clutch) int {
		return cmp.Or(cmp.Compare(a.Trials, b.Trials), cmp.Compare(a.Hits, b.Hits), slices.Compare(a.X, b.X))
	})
	for _, r := range s.rows {
		s.choose += logChoose(r.Trials, r.Hits)
		s.all = atLeast(s.all, r.Trials)
	}
	fromEnd(s.all)
	s.groups = groupsOf(s.rows)
	return s, nil
}

func (s *shares) design() (d design) {
	for _, r := range s.rows {
		d.rows, d.times = append(d.rows, r.X), append(d.times, 1)
	}
	return d
}

// gate applies what needs no fit.
func (m *BetaBinomial) gate() (stats.Status, []stats.Warning) {
	var all, none int
	for _, r := range m.like.rows {
		if r.Hits == r.Trials {
			all++
		}
		if r.Hits == 0 {
			none++
		}
	}
	one := func(code, text string, args ...any) []stats.Warning {
		return []stats.Warning{stats.Warn(code, text, args...)}
	}
	switch {
	case m.N == 0:
		return stats.TooLittle, one("no-observations", "there are no clutches")
	case m.N == 1:
		return stats.TooLittle, one("one-observation", "there is one clutch only, so nothing can be said of the spread between one and the next")
	case none == m.N:
		m.plain, _ = AtMost(0, m.N, m.Level)
		return stats.Boundary, one("all-none", "none of the %d clutches had any; the upper limit is that of the share of clutches with any", m.N)
	case all == m.N:
		m.plain, _ = AtLeast(m.N, m.N, m.Level)
		return stats.Boundary, one("all-all", "all %d clutches had nothing else; the lower limit is that of the share of clutches with nothing else", m.N)
	case all+none == m.N && m.like.width == 1:
		m.plain, _ = ClopperPearson(all, m.N, m.Level)
		return stats.Boundary, one("all-or-none", "every clutch had all or none, so the share is that of %d clutches and not of what is in them", m.N)
	}
	return stats.OK, nil
}

// at returns the log-likelihood of a group, but for what depends on its trials, and its
// derivatives, in the places of b and q, by the logits of the mean share and of the
// correlation. It works with the products of mu(1-rho)+j rho over hits and of
// (1-mu)(1-rho)+j rho over misses, which hold down to rho = 0.
func (g group) at(logitMu, logitRho float64, derive bool) partials {
	mu, rho := expit(logitMu), expit(logitRho)
	up := factors(mu, rho, g.up, derive)
	down := factors(expit(-logitMu), rho, g.down, derive)
	s := partials{value: up.value + down.value}
	if !derive {
		return s
	}
	dMu, dRho := mu*expit(-logitMu), rho*expit(-logitRho)
	byMu, byRho := up.b-down.b, up.q+down.q
	s.b, s.q = byMu*dMu, byRho*dRho
	s.bb = (up.bb+down.bb)*dMu*dMu + byMu*dMu*(1-2*mu)
	s.bq = (up.bq - down.bq) * dMu * dRho
	s.qq = (up.qq+down.qq)*dRho*dRho + byRho*dRho*(1-2*rho)
	return s
}

// byTrials is the sum over the trials of all clutches, of (1-rho)+j rho, by logit rho.
func (s *shares) byTrials(logitRho float64, derive bool) partials {
	rho := expit(logitRho)
	out := factors(1, rho, s.all, derive)
	dRho := rho * expit(-logitRho)
	out.qq = out.qq*dRho*dRho + out.q*dRho*(1-2*rho)
	out.q *= dRho
	return out
}

// factors is the sum over j of times[j] log(mu(1-rho) + j rho) with its derivatives by
// mu and rho, in the places of b and q. Logs are taken of products of several.
func factors(mu, rho float64, times []float64, derive bool) (s partials) {
	const least, most = 1e-100, 1e100
	product, alike := 1.0, 0.0 // of those that occur so often
	for j, n := range times {
		a := mu*(1-rho) + float64(j)*rho
		if n != alike || product < least || product > most {
			s.value += alike * math.Log(product)
			product, alike = 1, n
		}
		product *= a
		if !derive {
			continue
		}
		inverse := 1 / a
		byMu, byRho := (1-rho)*inverse, (float64(j)-mu)*inverse
		s.b += n * byMu
		s.q += n * byRho
		s.bb -= n * byMu * byMu
		s.bq -= n * (inverse + byMu*byRho)
		s.qq -= n * byRho * byRho
	}
	s.value += alike * math.Log(product)
	return s
}

func expit(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// objective is the log-likelihood of the coefficients and the logit of rho; the
// latter is -Inf (rho = 0) where theta has no room for it.
func (s *shares) objective(theta, grad []float64, hess *mat.SymDense) float64 {
	logitRho, withRho := math.Inf(-1), len(theta) > s.width
	if withRho {
		logitRho = theta[s.width]
	}
	derive := grad != nil
	value := s.choose + sumRows(len(s.groups), groupsTogether, grad, hess, func(sum *rowSum, from, to int) {
		for _, g := range s.groups[from:to] {
			p := g.at(dot(theta, g.x), logitRho, derive)
			sum.value += p.value
			if derive {
				addRow(sum.grad, sum.curve, g.x, 1, p)
			}
		}
	})
	trials := s.byTrials(logitRho, derive)
	if derive && withRho {
		grad[s.width] -= trials.q
		hess.SetSym(s.width, s.width, hess.At(s.width, s.width)-trials.qq)
	}
	return value - trials.value
}

// groupsTogether is rowsTogether for groups.
const groupsTogether = 128

// binomialRho is the logit of the correlation below which a fit is taken for
// the binomial limit.
const binomialRho = -12

func (m *BetaBinomial) fit() {
	trials := 0
	for _, r := range m.like.rows {
		trials += r.Trials
	}
	start := make([]float64, m.like.width)
	pooled := float64(m.Events) / float64(trials)
	start[0] = math.Log(pooled / (1 - pooled))
	binomial := newton.Maximise(m.like.objective, start, newton.Settings{})
	if !binomial.Converged || m.like.design().open(binomial.Covariance) {
		m.Status, m.Warnings = stats.NotIdentifiable, []stats.Warning{stats.Warn("no-single-fit", "the clutches leave the effect of some covariate open: it does not vary apart from the others, or one of its values goes with all or none")}
		return
	}
	m.BinomialLogLik = binomial.Value
	lower := slices.Repeat([]float64{math.Inf(-1)}, m.like.width+1)
	lower[m.like.width] = binomialRho
	best, converged := binomial, false
	for _, logitRho := range []float64{-4, -1.5, 0.5} {
		r := newton.Maximise(m.like.objective, append(slices.Clone(binomial.Theta), logitRho), newton.Settings{MaxMove: 2, Lower: lower})
		converged = converged || r.Converged || r.Below
		if r.Converged && r.Value > best.Value+1e-9 {
			best = r
		}
	}
	if !converged {
		m.Status, m.Warnings = stats.NotConverged, []stats.Warning{stats.Warn("not-converged", "the search for the best fit did not come to rest")}
		return
	}
	m.peak, m.LogLik, m.Covariance, m.Rho = best, best.Value, best.Covariance, 0
	copy(m.Coef, best.Theta)
	if m.atLimit() {
		m.Status = stats.Boundary
		m.Warnings = []stats.Warning{stats.Warn("binomial-limit", "the shares of the %d clutches vary no more than chance alone would make them, so no extra spread is estimated", m.N)}
		return
	}
	m.Rho = expit(best.Theta[m.like.width])
}

// atLimit reports whether the fit is the binomial one.
func (m *BetaBinomial) atLimit() bool { return len(m.peak.Theta) == m.like.width }

func (m BetaBinomial) estimate(method string) stats.Estimate {
	return stats.Estimate{
		Level: m.Level, Attained: math.NaN(), N: m.N, Events: m.Events, Method: "beta-binomial, " + method,
		Status: m.Status, Warnings: slices.Clone(m.Warnings),
	}
}

// fitted reports whether there are coefficients.
func (m BetaBinomial) fitted() bool { return m.Status.Usable() && m.peak.Theta != nil }

// parameter returns the i-th of the coefficients and, after them, logit Rho,
// with Wald or profile-likelihood limits.
func (m BetaBinomial) parameter(i int, profile bool) stats.Estimate {
	if !m.fitted() {
		return m.estimate("no fit").Without(m.Status)
	}
	se := math.Sqrt(m.peak.Covariance.At(i, i))
	e := m.estimate("Wald interval")
	e.Value = m.peak.Theta[i]
	e.Lo, e.Hi = e.Value-normalLimit(m.Level)*se, e.Value+normalLimit(m.Level)*se
	if profile {
		e = m.estimate("profile likelihood interval")
		e.Value = m.peak.Theta[i]
		e.Lo, e.Hi = m.profile(i, -se), m.profile(i, se)
	}
	return e
}

func (m BetaBinomial) profile(i int, step float64) float64 {
	return profileLimit(m.like.objective, m.peak, i, step, tail.ChiSquareUpperQuantile(1-m.Level, 1))
}

// Coefficient returns the i-th coefficient, on the logit scale (0 is the
// intercept), with profile-likelihood limits. It panics if there is no such
// coefficient.
func (m BetaBinomial) Coefficient(i int) stats.Estimate {
	if i < 0 || i >= m.like.width {
		panic(fmt.Sprintf("count: coefficient %d of %d", i, m.like.width))
	}
	return m.parameter(i, true)
}

// Correlation returns Rho with profile-likelihood limits. At the binomial limit
// the value and lower limit are 0 and the upper limit is that of the profile.
func (m BetaBinomial) Correlation() stats.Estimate {
	switch {
	case !m.fitted():
		e := m.estimate("no fit").Without(m.Status, stats.Warn("no-correlation", "the clutches do not show how alike those within one are"))
		return e
	case !m.atLimit():
		e := m.parameter(m.like.width, true)
		e.Value, e.Lo, e.Hi = expit(e.Value), expit(e.Lo), expit(e.Hi)
		if 2*(m.LogLik-m.BinomialLogLik) <= tail.ChiSquareUpperQuantile(1-m.Level, 1) {
			e.Lo = 0
		}
		return e
	}
	free := m // the same clutches with room for rho
	free.peak = newton.Result{Theta: append(slices.Clone(m.peak.Theta), binomialRho), Value: m.LogLik}
	e := m.estimate("profile likelihood interval")
	e.Hi = expit(free.profile(m.like.width, 1))
	return e
}

// Share returns the mean share where the covariates are x, with
// profile-likelihood limits. Where there is no fit because all clutches have
// none, all, or all or none, it answers from the clutches. It panics if x has
// the wrong length.
func (m BetaBinomial) Share(x []float64) stats.Estimate {
	if len(x) != m.like.width-1 {
		panic(fmt.Sprintf("count: %d covariates given to a model with %d", len(x), m.like.width-1))
	}
	if m.Status.Usable() && !m.fitted() {
		e := m.plain
		e.Status, e.Warnings, e.Events = m.Status, slices.Clone(m.Warnings), m.Events
		return e
	}
	if !m.fitted() {
		return m.estimate("no fit").Without(m.Status)
	}
	e := m.centred(x).parameter(0, true)
	e.Value, e.Lo, e.Hi = expit(e.Value), expit(e.Lo), expit(e.Hi)
	return e
}

// centred is the same fit with x subtracted from all covariates, so that the
// intercept is what holds at x.
func (m BetaBinomial) centred(x []float64) BetaBinomial {
	moved := *m.like
	moved.groups = slices.Clone(m.like.groups)
	for i, g := range moved.groups {
		v := slices.Clone(g.x)
		for j := range x {
			v[j+1] -= x[j]
		}
		moved.groups[i].x = v
	}
	m.like = &moved
	theta := slices.Clone(m.peak.Theta)
	for j := range x {
		theta[0] += theta[j+1] * x[j]
	}
	m.peak = newton.Maximise(moved.objective, theta, newton.Settings{})
	return m
}
