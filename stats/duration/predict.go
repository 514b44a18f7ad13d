package duration

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/newton"
	"gravid/stats/internal/root"
)

// A candidate is one pair of location and scale that the records leave
// possible, with its share of belief.
type candidate struct{ location, scale, weight float64 }

const (
	nothingLeft = 12   // fall of the log weight after which the rest is left out
	perError    = 3    // steps of the grid over the log scale to one standard error
	growth      = 1.1  // of those steps beyond three standard errors
	gridReach   = 40   // change of the log scale beyond which the weights should have died out
	acrossFall  = 24   // steps of the grid over the location
	manyRows    = 2000 // distinct rows from which on the likelihood counts as normal about its peak
)

// Predict returns limits within which the waiting time of one more subject with
// covariates x should fall, at the level given (0 means that of the settings),
// and the middle of its distribution as the value.
//
// They are quantiles of the model's distribution averaged over the locations
// and scales the (penalised) likelihood leaves possible, with a flat prior on
// the coefficients and the log of the scale. For exact lognormal times without
// penalty that is the t interval exactly; an interval that ignores the
// uncertainty of the estimates is too narrow, by far so for few subjects
// checked at wide intervals. With several coefficients those not in question
// are taken as normal about their best values for each scale, and all of them
// where there are more than 2000 distinct observations.
//
// Status is TooLittle where the records leave arbitrarily wide spreads
// possible. Predict panics if x has the wrong length.
func (m AFT) Predict(x []float64, level float64) (stats.Estimate, error) {
	e, err := m.PredictLevels(x, level)
	if err != nil {
		return stats.Estimate{}, err
	}
	return e[0], nil
}

// PredictLevels is Predict for several levels at once, in their order, which costs
// hardly more than one.
func (m AFT) PredictLevels(x []float64, levels ...float64) ([]stats.Estimate, error) {
	out, err := m.predictions(x, levels, "limits for one more, averaged over what the records leave possible")
	if err != nil || !m.Status.Usable() {
		return out, err
	}
	mixture, ok := m.candidates(m.scaler.apply(append([]float64{1}, x...)))
	if !ok {
		for i := range out {
			out[i] = out[i].Without(stats.TooLittle, stats.Warn("spread-unlimited", "%d observations with %d ended leave arbitrarily wide spreads possible, so nothing can be said of one more", m.N, m.Events))
		}
		return out, nil
	}
	f := m.Settings.Family
	middle := f.time(f.mixtureQuantile(mixture, 0.5))
	for i, e := range out {
		e.Value = middle
		e.Lo = f.time(f.mixtureQuantile(mixture, (1-e.Level)/2))
		e.Hi = f.time(f.mixtureQuantile(mixture, (1+e.Level)/2))
		out[i] = bounded(e)
	}
	return out, nil
}

// predictions makes an empty estimate for each level, 0 being that of the settings.
func (m AFT) predictions(x []float64, levels []float64, method string) ([]stats.Estimate, error) {
	if len(x) != len(m.Coef)-1 {
		panic(fmt.Sprintf("duration: %d covariates given to a model with %d", len(x), len(m.Coef)-1))
	}
	out := make([]stats.Estimate, len(levels))
	for i, level := range levels {
		if level == 0 {
			level = m.Settings.Level
		}
		if _, err := stats.LevelOrDefault(level); err != nil {
			return nil, err
		}
		out[i] = m.estimate(method)
		out[i].Level = level
		if !m.Status.Usable() {
			out[i] = out[i].Without(m.Status)
		}
	}
	return out, nil
}

// candidates lays a grid over the log of the scale and, at each, over the
// location at x (standardised, with the constant 1). It reports false where the
// weights do not die out.
func (m AFT) candidates(x []float64) ([]candidate, bool) {
	if len(m.like.rows) > manyRows {
		return m.normalCandidates(x), true
	}
	k := m.like.coefs()
	s := m.slicer(x)
	if !m.like.free {
		out := s.at(m.like.held, 1)
		return out, out != nil
	}
	peak, step := m.peak.Theta[k], math.Sqrt(m.peak.Covariance.At(k, k))/perError
	out := s.at(peak, step)
	if out == nil {
		return nil, false
	}
	for _, side := range []float64{-1, 1} {
		s.coef, s.rest = s.peakCoef, s.peakRest
		width, away := step, 0.0
		for i := 1; ; i++ {
			away += width
			next := width
			if i >= 3*perError {
				next *= growth
			}
			slice := s.at(peak+side*away, (width+next)/2)
			if away > gridReach || slice == nil {
				return nil, false
			}
			out = append(out, slice...)
			if !slices.ContainsFunc(slice, func(c candidate) bool { return c.weight > math.Exp(-nothingLeft) }) {
				break
			}
			width = next
		}
	}
	return out, true
}

// normalCandidates takes the likelihood as normal about its peak.
func (m AFT) normalCandidates(x []float64) []candidate {
	k := m.like.coefs()
	v := mat.NewVecDense(len(m.peak.Theta), nil)
	copy(v.RawVector().Data, x)
	var along mat.VecDense
	along.MulVec(m.peak.Covariance, v)
	location, sd := dot(x, m.peak.Theta[:k]), math.Sqrt(mat.Dot(v, &along))
	sigma, slope, rest := m.sigma(), 0.0, 0.0 // the log scale is sigma + slope * z + rest * u, with z and u standard normal
	if m.like.free {
		slope = along.AtVec(k) / sd
		rest = math.Sqrt(math.Max(m.peak.Covariance.At(k, k)-slope*slope, 0))
	}
	var out []candidate
	for z := -5.0; z <= 5; z += 0.5 {
		for u := -5.0; u <= 5; u += 0.5 {
			out = append(out, candidate{location + z*sd, math.Exp(sigma + slope*z + rest*u), math.Exp(-(z*z + u*u) / 2)})
		}
	}
	return out
}

// A slicer works out candidates at one scale after another, starting each from
// the coefficients found for the one before.
type slicer struct {
	like      *likelihood
	x         []float64
	direction []float64 // change of the coefficients as the location changes by 1
	unit      float64   // a first idea of how finely the location is known
	top       float64   // log-likelihood of the peak
	coef      []float64 // best for the scale before
	rest      float64   // log volume of the other coefficients, for the scale before
	peakCoef  []float64
	peakRest  float64
}

func (m AFT) slicer(x []float64) *slicer {
	k := m.like.coefs()
	s := &slicer{like: m.like, x: x, top: m.peak.Value, coef: m.peak.Theta[:k]}
	known := mat.NewSymDense(k, nil) // information on the coefficients at the peak's scale
	for i := range k {
		for j := i; j < k; j++ {
			known.SetSym(i, j, -m.peak.Hess.At(i, j))
		}
	}
	var chol mat.Cholesky
	var along mat.VecDense
	chol.Factorize(known) // positive definite, as the whole information is
	v := mat.NewVecDense(k, x)
	if err := chol.SolveVecTo(&along, v); err != nil {
		along.ScaleVec(0, v)
	}
	variance := mat.Dot(v, &along)
	s.unit = math.Sqrt(variance)
	for j := range k {
		s.direction = append(s.direction, along.AtVec(j)/variance)
	}
	s.rest = -(chol.LogDet() + math.Log(variance)) / 2
	s.peakCoef, s.peakRest = s.coef, s.rest
	return s
}

// at returns the candidates with scale exp(sigma), weighted by their likelihood
// against the peak's, the volume of the other coefficients (taken as normal)
// and width, the spacing of the grid over sigma. It returns nil where the
// likelihood does not die out.
func (s *slicer) at(sigma, width float64) []candidate {
	s.refit(sigma)
	centre := dot(s.x, s.coef)
	theta := make([]float64, len(s.coef))
	height := func(location float64) float64 {
		for j, c := range s.coef {
			theta[j] = c + (location-centre)*s.direction[j]
		}
		return s.like.evaluate(theta, sigma, nil, nil) - s.top
	}
	lo, hi, top := s.reach(height, centre)
	if math.IsInf(lo, 0) || math.IsInf(hi, 0) || math.IsNaN(lo+hi) {
		return nil
	}
	step := (hi - lo) / acrossFall
	out := make([]candidate, 0, acrossFall+1)
	for i := 0; i <= acrossFall; i++ {
		location := lo + float64(i)*step
		w := height(location) + s.rest - s.peakRest
		out = append(out, candidate{location, math.Exp(sigma), math.Exp(w) * width * step / s.unit})
	}
	if len(s.coef) == 1 { // where to begin at the next scale
		s.coef = []float64{top}
	}
	return out
}

// refit finds the best coefficients for the scale. A lone coefficient is the
// location itself and is gone over anyway; where the likelihood is flat the
// coefficients and their volume stay as they were.
func (s *slicer) refit(sigma float64) {
	if len(s.coef) == 1 {
		return
	}
	best := newton.Maximise(func(theta, grad []float64, hess *mat.SymDense) float64 {
		return s.like.evaluate(theta, sigma, grad, hess)
	}, s.coef, newton.Settings{Tol: 1e-6})
	if !best.Converged {
		return
	}
	s.coef = best.Theta
	v := mat.NewVecDense(len(s.x), s.x)
	var chol mat.Cholesky
	if !chol.Factorize(best.Covariance) {
		return
	}
	// From one scale to the next the volume changes little. Where it leaps, the
	// likelihood has become flat: a scale near 0 fits every window, and the curvature
	// there says nothing of how far the coefficients could go.
	if rest := (chol.LogDet() - math.Log(mat.Inner(v, best.Covariance, v))) / 2; rest <= s.rest+leap {
		s.rest = rest
	}
}

// leap is how much the log volume of the coefficients may grow from one scale to the
// next before it is taken for a sign of a flat likelihood.
const leap = 2

// reach finds the stretch of locations outside which the likelihood, which has
// one peak in the location, has all but died out against its own best at top.
func (s *slicer) reach(height func(float64) float64, centre float64) (lo, hi, top float64) {
	best := height(centre)
	for unit := s.unit; unit > s.unit/32; unit /= 2 { // climb to the top, with steps that grow on the way and shrink at each turn
		for _, side := range []float64{-1, 1} {
			for step := unit; ; step *= 2 {
				h := height(centre + side*step)
				if !(h > best) {
					break
				}
				centre, best = centre+side*step, h
			}
		}
	}
	fallen := func(location float64) float64 { return height(location) - best + nothingLeft }
	ends := [2]float64{}
	for i, side := range []float64{-1, 1} {
		ends[i] = root.Walk(fallen, centre, side*s.unit, centre+side*1e6*s.unit, s.unit/100)
	}
	return ends[0], ends[1], centre
}

func dot(a, b []float64) float64 {
	var sum float64
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// mixtureQuantile is the y below which a share p of the mixture lies.
func (f Family) mixtureQuantile(mixture []candidate, p float64) float64 {
	var total float64
	lo, hi := math.Inf(1), math.Inf(-1)
	z := f.quantile(p)
	for _, c := range mixture {
		total += c.weight
		y := c.location + z*c.scale
		lo, hi = math.Min(lo, y), math.Max(hi, y)
	}
	share := func(tail func(y, location, scale float64) float64, y float64) float64 {
		var sum float64
		for _, c := range mixture {
			sum += c.weight * tail(y, c.location, c.scale)
		}
		return sum / total
	}
	height := func(y float64) float64 {
		if p < 0.5 { // from the smaller tail, which keeps its digits
			return share(f.gone, y) - p
		}
		return (1 - p) - share(f.waiting, y)
	}
	if f == Gamma { // whose quantiles those only come near
		for wide := hi - lo + 0.1; height(lo) > 0; wide *= 2 {
			lo -= wide
		}
		for wide := hi - lo + 0.1; height(hi) < 0; wide *= 2 {
			hi += wide
		}
	}
	return root.Between(height, lo, hi, 1e-10)
}
