package count

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats/internal/newton"
	"gravid/stats/internal/root"
)

// profileLimit walks from the peak of f along parameter i, in steps of step at
// first, until twice the fall of the log-likelihood, the other parameters being
// the best for each, reaches what is allowed. Where it never does within 200
// steps it returns an infinity.
func profileLimit(f newton.Objective, peak newton.Result, i int, step, allowed float64) float64 {
	rest := slices.Delete(slices.Clone(peak.Theta), i, i+1)
	loss := func(held float64) float64 {
		if len(rest) == 0 {
			return 2*(peak.Value-f([]float64{held}, nil, nil)) - allowed
		}
		r := newton.Maximise(holding(f, i, held), rest, newton.Settings{MaxMove: 2})
		if r.Converged {
			rest = r.Theta
		}
		return 2*(peak.Value-r.Value) - allowed
	}
	return root.Walk(loss, peak.Theta[i], step, peak.Theta[i]+200*step, 1e-10)
}

// holding is f of the other parameters where the i-th is held.
func holding(f newton.Objective, i int, value float64) newton.Objective {
	return func(rest, grad []float64, hess *mat.SymDense) float64 {
		theta := slices.Insert(slices.Clone(rest), i, value)
		if grad == nil {
			return f(theta, nil, nil)
		}
		g, h := make([]float64, len(theta)), mat.NewSymDense(len(theta), nil)
		v := f(theta, g, h)
		place := func(a int) int {
			if a < i {
				return a
			}
			return a + 1
		}
		for a := range rest {
			grad[a] = g[place(a)]
			for b := a; b < len(rest); b++ {
				hess.SetSym(a, b, h.At(place(a), place(b)))
			}
		}
		return v
	}
}

// A design is the distinct rows of covariates (with the constant 1 in front)
// and how often each occurs.
type design struct {
	rows  [][]float64
	times []float64
}

// centre returns the mean and standard deviation of each column.
func (d design) centre() (mean, sd []float64) {
	width := len(d.rows[0])
	mean, sd = make([]float64, width), make([]float64, width)
	var n float64
	for i, row := range d.rows {
		n += d.times[i]
		for j, x := range row {
			mean[j] += (x - mean[j]) * d.times[i] / n
		}
	}
	for i, row := range d.rows {
		for j, x := range row {
			sd[j] += d.times[i] * sq(x-mean[j]) / n
		}
	}
	for j := range sd {
		sd[j] = math.Sqrt(sd[j])
	}
	return mean, sd
}

// open reports whether the records leave some coefficient open: the standard
// error of the linear predictor at the means, or of the effect of one standard
// deviation of a covariate, is beyond any sense.
func (d design) open(covariance *mat.SymDense) bool {
	const beyondSense = 50 // on a log or logit scale
	if covariance == nil {
		return true
	}
	mean, sd := d.centre()
	m := mat.NewVecDense(len(mean), mean)
	if mat.Inner(m, covariance, m) > beyondSense*beyondSense {
		return true
	}
	for j := 1; j < len(sd); j++ {
		if sd[j]*math.Sqrt(covariance.At(j, j)) > beyondSense {
			return true
		}
	}
	return false
}
