package duration

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/newton"
	"gravid/stats/internal/root"
)

// A candidate is one pair of location and scale that the records leave
// possible, with its share of belief.
type candidate struct{ location, scale, weight float64 }

const (
	nothingLeft = 16 // fall of the log weight after which the rest is left out
	perStep     = 4  // steps of the grid to one standard error
	gridReach   = 80 // furthest standard errors from the peak
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
// are taken as normal about their best values for each scale.
//
// Status is TooLittle where the records leave arbitrarily wide spreads
// possible. Predict panics if x has the wrong length.
func (m AFT) Predict(x []float64, level float64) (stats.Estimate, error) {
	if level == 0 {
		level = m.Settings.Level
	}
	if _, err := levelOrDefault(level); err != nil {
		return stats.Estimate{}, err
	}
	if len(x) != len(m.Coef)-1 {
		panic(fmt.Sprintf("duration: %d covariates given to a model with %d", len(x), len(m.Coef)-1))
	}
	e := m.estimate("limits for one more, averaged over what the records leave possible")
	e.Level = level
	if !m.Status.Usable() {
		return noNumber(e, m.Status), nil
	}
	mixture, ok := m.candidates(m.scaler.apply(append([]float64{1}, x...)))
	if !ok {
		return noNumber(e, stats.TooLittle, warning("spread-unlimited", "%d observations with %d ended leave arbitrarily wide spreads possible, so nothing can be said of one more", m.N, m.Events)), nil
	}
	f := m.Settings.Family
	e.Value = f.time(f.mixtureQuantile(mixture, 0.5))
	e.Lo = f.time(f.mixtureQuantile(mixture, (1-level)/2))
	e.Hi = f.time(f.mixtureQuantile(mixture, (1+level)/2))
	return e, nil
}

// candidates lays a grid over the log of the scale and, at each, over the
// location at x (standardised, with the constant 1). It reports false where the
// weights do not die out.
func (m AFT) candidates(x []float64) ([]candidate, bool) {
	slice := newSlicer(m.like, m.peak.Theta[:m.like.coefs()], x)
	if !m.like.free {
		out, _, ok := slice.at(m.like.held)
		return out, ok
	}
	k := m.like.coefs()
	peak, step := m.peak.Theta[k], math.Sqrt(m.peak.Covariance.At(k, k))/perStep
	out, _, ok := slice.at(peak)
	top := slice.top
	for _, side := range []float64{-1, 1} {
		died := false
		slice.restart()
		for i := 1; i <= gridReach*perStep && ok && !died; i++ {
			more, highest, fine := slice.at(peak + side*float64(i)*step)
			out, ok = append(out, more...), ok && fine
			died = highest < top-nothingLeft
		}
		if !ok || !died {
			return nil, false
		}
	}
	return out, true
}

// A slicer works out candidates at one scale after another, starting each from
// the coefficients found for the one before.
type slicer struct {
	like  *likelihood
	x     []float64
	first []float64
	coef  []float64
	top   float64 // log weight at the first scale, against which all are taken
	begun bool
}

func newSlicer(l *likelihood, coef, x []float64) *slicer {
	return &slicer{like: l, x: x, first: coef, coef: coef}
}

func (s *slicer) restart() { s.coef = s.first }

// at returns the candidates with scale exp(sigma) and their highest log weight.
func (s *slicer) at(sigma float64) (out []candidate, highest float64, ok bool) {
	best := newton.Maximise(func(theta, grad []float64, hess *mat.SymDense) float64 {
		return s.like.evaluate(theta, sigma, grad, hess)
	}, s.coef, newton.Settings{Tol: 1e-6})
	if !best.Converged {
		return nil, 0, false
	}
	s.coef = best.Theta
	var chol mat.Cholesky
	if !chol.Factorize(best.Covariance) {
		return nil, 0, false
	}
	height := best.Value + chol.LogDet()/2
	if !s.begun {
		s.top, s.begun = height, true
	}
	var along mat.VecDense // change of the coefficients with one standard error of the location
	x := mat.NewVecDense(len(s.x), s.x)
	along.MulVec(best.Covariance, x)
	location, sd := mat.Dot(x, mat.NewVecDense(len(best.Theta), best.Theta)), math.Sqrt(mat.Dot(x, &along))
	theta := make([]float64, len(best.Theta))
	for _, side := range []float64{-1, 1} {
		for i := 0; i <= gridReach*perStep; i++ {
			t := side * float64(i) / perStep
			if side > 0 && i == 0 {
				continue
			}
			for j := range theta {
				theta[j] = best.Theta[j] + t*along.AtVec(j)/sd
			}
			fall := s.like.evaluate(theta, sigma, nil, nil) - best.Value
			if fall < -nothingLeft {
				break
			}
			out = append(out, candidate{location + t*sd, math.Exp(sigma), math.Exp(height - s.top + fall)})
		}
	}
	return out, height, true
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
	return root.Between(func(y float64) float64 {
		var below, above float64
		for _, c := range mixture {
			lower, upper := f.logTails((y - c.location) / c.scale)
			below += c.weight * math.Exp(lower)
			above += c.weight * math.Exp(upper)
		}
		if p < 0.5 { // from the smaller tail, which keeps its digits
			return below/total - p
		}
		return (1 - p) - above/total
	}, lo, hi, 0)
}
