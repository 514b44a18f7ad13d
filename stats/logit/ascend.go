package logit

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// ascend climbs from theta towards a maximum of f by the method of Broyden, Fletcher,
// Goldfarb & Shanno: first derivatives alone, with what they teach of the second added
// to a first guess of the information. It ends where a step would gain next to nothing or
// none is found; whether that is a maximum, and how curved, is for Newton's method to
// say. f fills in the derivatives.
func ascend(f func(theta, grad []float64) float64, theta []float64, information *mat.SymDense) []float64 {
	n := len(theta)
	inverse, ok := inverseOf(information)
	if !ok {
		return theta
	}
	at, grad := mat.NewVecDense(n, append([]float64(nil), theta...)), mat.NewVecDense(n, nil)
	value := f(at.RawVector().Data, grad.RawVector().Data)
	for range mostAscents {
		step := mat.NewVecDense(n, nil)
		step.MulVec(inverse, grad)
		gain := mat.Dot(step, grad)
		if !(gain > nearTop*nearTop) {
			break
		}
		if longest := mat.Norm(step, math.Inf(1)); longest > maxStep {
			step.ScaleVec(maxStep/longest, step)
		}
		next, slope, moved := climbAlong(f, at, step, value, gain)
		if !moved {
			break
		}
		change := mat.NewVecDense(n, nil)
		change.SubVec(grad, slope) // of the derivatives, downwards
		step.SubVec(next.at, at)
		at, grad, value = next.at, slope, next.value
		update(inverse, step, change)
	}
	return at.RawVector().Data
}

// mostAscents bounds the steps; nearTop is the distance to the top, in standard errors,
// from which a Newton step or two do the rest.
const (
	mostAscents = 60
	nearTop     = 1e-5
)

func inverseOf(a *mat.SymDense) (*mat.SymDense, bool) {
	var chol mat.Cholesky
	if !chol.Factorize(a) || chol.Cond() > 1e12 {
		return nil, false
	}
	out := mat.NewSymDense(a.SymmetricDim(), nil)
	return out, chol.InverseTo(out) == nil
}

type height struct {
	at    *mat.VecDense
	value float64
}

// climbAlong goes along the step, halved until the value rises by a fair share of what
// its slope promises.
func climbAlong(f func(theta, grad []float64) float64, from, step *mat.VecDense, value, gain float64) (height, *mat.VecDense, bool) {
	n := from.Len()
	size := 1.0
	for range maxHalvings {
		at, grad := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
		at.AddScaledVec(from, size, step)
		if v := f(at.RawVector().Data, grad.RawVector().Data); v >= value+1e-4*size*gain-1e-14*math.Abs(value) {
			return height{at, v}, grad, true
		}
		size /= 2
	}
	return height{}, nil, false
}

// update corrects the inverse information by one step and the change of the derivatives
// along it, unless that shows no curvature downwards.
func update(inverse *mat.SymDense, step, change *mat.VecDense) {
	along := mat.Dot(step, change)
	if !(along > 1e-12*mat.Norm(step, 2)*mat.Norm(change, 2)) {
		return
	}
	n := step.Len()
	turned := mat.NewVecDense(n, nil)
	turned.MulVec(inverse, change)
	inverse.SymRankOne(inverse, (1+mat.Dot(change, turned)/along)/along, step)
	inverse.RankTwo(inverse, -1/along, step, turned)
}
