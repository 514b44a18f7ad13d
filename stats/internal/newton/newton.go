// Package newton climbs to the maximum of a smooth log-likelihood of a few
// parameters whose first and second derivatives are at hand.
//
// It is not for hundreds of parameters, for constraints, or for functions with
// several peaks: the caller chooses where to start.
package newton

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// An Objective returns the log-likelihood at theta. If grad is not nil it also
// fills in the first derivatives, and the second derivatives into hess; both
// come zeroed. A point outside the parameter space is -Inf.
type Objective func(theta, grad []float64, hess *mat.SymDense) float64

// Settings of Maximise; the zero value is ready to use.
type Settings struct {
	MaxSteps int       // 0 means 100
	Tol      float64   // of the Newton decrement, see Result.Converged; 0 means 1e-10
	MaxMove  float64   // largest change of any parameter in one step; 0 means 5
	Lower    []float64 // where given, the search stops once theta[i] falls below Lower[i]; -Inf for no bound
}

// A Result is where the climb ended.
type Result struct {
	Theta []float64
	Value float64
	Grad  []float64
	Hess  *mat.SymDense
	// Covariance is the inverse of -Hess, nil where Hess is not negative definite
	// or nearly singular.
	Covariance *mat.SymDense
	// Converged reports that Hess is negative definite and that the Newton
	// decrement sqrt(g' (-H)^-1 g), the distance to the peak in standard
	// errors, is below Tol (or below 1e-6 where rounding allows no nearer).
	Converged bool
	// Below reports that the search stopped at a bound of Settings.Lower.
	Below bool
	Steps int
}

// worst is the condition number of -Hess, brought to unit diagonal, above which
// the peak counts as flat in some direction.
const worst = 1e10

// near is the decrement that still counts as converged when rounding errors in
// the objective keep the climb from getting closer.
const near = 1e-6

// close is the decrement from which on a step is taken even if the objective seems to
// fall by it, as long as the decrement falls: the gain is then of the size of rounding
// errors, which hurt the derivatives less.
const close = 1e-4

// Maximise climbs from start, which holds at least one parameter, by Newton steps: damped (Levenberg) where the
// objective is not concave, halved until it does not fall but for rounding.
func Maximise(f Objective, start []float64, s Settings) Result {
	if s.MaxSteps == 0 {
		s.MaxSteps = 100
	}
	if s.Tol == 0 {
		s.Tol = 1e-10
	}
	if s.MaxMove == 0 {
		s.MaxMove = 5
	}
	r, next := newResult(start), newResult(start)
	r.evaluate(f)
	for before := math.Inf(1); ; r.Steps++ {
		move, decrement := r.direction()
		concave := r.Covariance != nil
		if math.IsNaN(r.Value) || math.IsInf(r.Value, 0) || move == nil || math.IsNaN(decrement) {
			return r
		}
		if concave && decrement <= s.Tol {
			r.Converged = true
			return r
		}
		if r.below(s.Lower) {
			r.Below = true
			return r
		}
		slack := 1e-14 * math.Abs(r.Value)
		if concave && decrement <= close && decrement < before {
			slack = math.MaxFloat64
		}
		stuck := concave && decrement <= near && decrement > before/2
		before = decrement
		if r.Steps == s.MaxSteps || stuck || !r.walk(f, move, s.MaxMove, slack, &next) {
			r.Converged = concave && decrement <= near
			return r
		}
	}
}

func newResult(theta []float64) Result {
	n := len(theta)
	return Result{Theta: append([]float64(nil), theta...), Grad: make([]float64, n), Hess: mat.NewSymDense(n, nil)}
}

func (r *Result) evaluate(f Objective) {
	clear(r.Grad)
	r.Hess.Zero()
	r.Value = f(r.Theta, r.Grad, r.Hess)
}

func (r *Result) below(lower []float64) bool {
	for i, l := range lower {
		if r.Theta[i] < l {
			return true
		}
	}
	return false
}

// direction returns the step to try and the Newton decrement, and sets
// Covariance. The step is nil where no amount of damping helps (a NaN).
func (r *Result) direction() (move []float64, decrement float64) {
	n := len(r.Theta)
	r.Covariance = nil
	scale := make([]float64, n) // the information is brought to unit diagonal first
	for i := range scale {
		scale[i] = 1
		if d := math.Abs(r.Hess.At(i, i)); d > 0 {
			scale[i] = 1 / math.Sqrt(d)
		}
	}
	g := mat.NewVecDense(n, nil)
	info := mat.NewSymDense(n, nil)
	for i := 0; i < n; i++ {
		g.SetVec(i, r.Grad[i]*scale[i])
		for j := i; j < n; j++ {
			info.SetSym(i, j, -r.Hess.At(i, j)*scale[i]*scale[j])
		}
	}
	var d mat.VecDense
	var chol mat.Cholesky
	for damp := 0.0; damp < 1e12; damp = math.Max(10*damp, 1e-3) {
		damped := mat.NewSymDense(n, nil)
		damped.CopySym(info)
		for i := 0; i < n; i++ {
			damped.SetSym(i, i, damped.At(i, i)+damp)
		}
		if !chol.Factorize(damped) || chol.Cond() > worst {
			continue
		}
		if chol.SolveVecTo(&d, g) != nil {
			continue
		}
		if damp == 0 {
			r.Covariance = covariance(&chol, scale)
		}
		move = make([]float64, n)
		for i := range move {
			move[i] = d.AtVec(i) * scale[i]
		}
		return move, math.Sqrt(math.Max(mat.Dot(&d, g), 0))
	}
	return nil, math.NaN()
}

func covariance(chol *mat.Cholesky, scale []float64) *mat.SymDense {
	c := mat.NewSymDense(len(scale), nil)
	if chol.InverseTo(c) != nil {
		return nil
	}
	for i := range scale {
		for j := i; j < len(scale); j++ {
			c.SetSym(i, j, c.At(i, j)*scale[i]*scale[j])
		}
	}
	return c
}

// walk moves theta along the step, halved until the objective does not fall by
// more than slack, and reports whether it moved. Derivatives are worked out with the value, as most steps
// are taken as they are. next is room for them.
func (r *Result) walk(f Objective, move []float64, most, slack float64, next *Result) bool {
	size := 1.0
	for _, m := range move {
		size = math.Min(size, most/math.Abs(m))
	}
	for try := 0; try < 40; try++ {
		for i := range next.Theta {
			next.Theta[i] = r.Theta[i] + size*move[i]
		}
		if next.evaluate(f); next.Value >= r.Value-slack && !math.IsInf(next.Value, 1) {
			moved := next.Value > r.Value
			for i, t := range next.Theta {
				moved = moved || math.Abs(t-r.Theta[i]) > 1e-15*math.Abs(r.Theta[i])
			}
			r.Theta, next.Theta = next.Theta, r.Theta
			if moved {
				r.Value, r.Grad, r.Hess, next.Grad, next.Hess = next.Value, next.Grad, next.Hess, r.Grad, r.Hess
			}
			return moved
		}
		size /= 2
	}
	return false
}
