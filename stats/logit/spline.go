package logit

import (
	"fmt"
	"math"
	"slices"
)

// A Spline is a basis of curves that are cubic between its knots and straight
// beyond the outer ones, with continuous second derivatives: natural cubic splines.
// With k knots it has k-1 columns. Both bases span the same curves, so that fits,
// tests and predictions agree; only the coefficients differ.
type Spline struct {
	knots []float64
	turn  [][]float64 // of NaturalSpline: from B-splines to columns; nil for RestrictedSpline
}

// RestrictedSpline returns the basis of Stone & Koo (1985) in the form of Harrell (2015):
// the first column is x, and column j+1 is
//
//	[(x-t_j)+^3 - (x-t_k-1)+^3 (t_k-t_j)/(t_k-t_k-1) + (x-t_k)+^3 (t_k-1-t_j)/(t_k-t_k-1)] / (t_k-t_1)^2
//
// for j = 1 to k-2. The error says what is wrong with the knots: they must be three
// or more, finite and strictly rising.
func RestrictedSpline(knots []float64) (Spline, error) {
	if err := validateKnots(knots); err != nil {
		return Spline{}, err
	}
	return Spline{knots: slices.Clone(knots)}, nil
}

// NaturalSpline returns the B-spline basis of R's splines::ns without intercept, with the
// outer knots as boundary knots: cubic B-splines, the first one dropped, turned by
// Householder reflections so that the second derivatives vanish at the boundary.
func NaturalSpline(knots []float64) (Spline, error) {
	if err := validateKnots(knots); err != nil {
		return Spline{}, err
	}
	s := Spline{knots: slices.Clone(knots)}
	s.turn = s.naturalTurn()
	return s, nil
}

func validateKnots(knots []float64) error {
	if len(knots) < 3 {
		return fmt.Errorf("a curve needs at least 3 knots, not %d", len(knots))
	}
	for i, t := range knots {
		if math.IsNaN(t) || math.IsInf(t, 0) {
			return fmt.Errorf("knot %d: %v is not a finite number", i+1, t)
		}
		if i > 0 && t <= knots[i-1] {
			return fmt.Errorf("knot %d: %v is not above the one before, %v", i+1, t, knots[i-1])
		}
	}
	return nil
}

// QuantileKnots returns knots at quantiles of x (type 7 of Hyndman & Fan 1996) for
// 3 to 5 knots, as Harrell (2015) places them: 10, 50 and 90%; 5, 35, 65 and 95%; 5,
// 27.5, 50, 72.5 and 95%. The error says that so few different values leave two
// knots in one place.
func QuantileKnots(x []float64, knots int) ([]float64, error) {
	probs := map[int][]float64{3: {0.1, 0.5, 0.9}, 4: {0.05, 0.35, 0.65, 0.95}, 5: {0.05, 0.275, 0.5, 0.725, 0.95}}[knots]
	if probs == nil {
		return nil, fmt.Errorf("there are usual places for 3, 4 or 5 knots, not for %d", knots)
	}
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	if len(x) == 0 || math.IsNaN(sorted[0]) {
		return nil, fmt.Errorf("there are no values to place knots among, or one is not a number")
	}
	out := make([]float64, len(probs))
	for i, p := range probs {
		out[i] = quantile(sorted, p, 7)
	}
	if err := validateKnots(out); err != nil {
		return nil, fmt.Errorf("too few different values for %d knots: %w", knots, err)
	}
	return out, nil
}

// quantile is that of rising values, by type 6 or 7 of Hyndman & Fan (1996).
func quantile(sorted []float64, p float64, kind int) float64 {
	n := float64(len(sorted))
	h := (n-1)*p + 1
	if kind == 6 {
		h = (n + 1) * p
	}
	h = math.Max(1, math.Min(n, h))
	lo := math.Floor(h + 4e-16*h) // as R, against rounding
	f := h - lo
	if math.Abs(f) < 4e-16*h {
		f = 0
	}
	v := sorted[int(lo)-1]
	if f > 0 {
		v += f * (sorted[int(lo)] - v)
	}
	return v
}

// Knots returns the knots, rising.
func (s Spline) Knots() []float64 { return slices.Clone(s.knots) }

// Columns returns the number of columns.
func (s Spline) Columns() int { return len(s.knots) - 1 }

// Basis returns the columns for the values x, for Data.X: Basis(x)[j][i] is column j
// at x[i]. For a restricted spline the slopes of all columns but the first are what
// makes the curve bend: their LRTest is the test for curvature.
func (s Spline) Basis(x []float64) [][]float64 {
	out := make([][]float64, s.Columns())
	for j := range out {
		out[j] = make([]float64, len(x))
	}
	for i, v := range x {
		for j, b := range s.At(v) {
			out[j][i] = b
		}
	}
	return out
}

// At returns the columns at one value.
func (s Spline) At(x float64) []float64 {
	if s.turn != nil {
		return s.naturalAt(x)
	}
	k := len(s.knots)
	last, before := s.knots[k-1], s.knots[k-2]
	width := (last - s.knots[0]) * (last - s.knots[0])
	out := []float64{x}
	for _, t := range s.knots[:k-2] {
		out = append(out, (cube(x-t)-cube(x-before)*(last-t)/(last-before)+cube(x-last)*(before-t)/(last-before))/width)
	}
	return out
}

// cube is x^3 above 0 and 0 below.
func cube(x float64) float64 {
	if x <= 0 {
		return 0
	}
	return x * x * x
}

// order of the B-splines: cubic.
const order = 4

// augmented are the knots with the outer ones four times.
func (s Spline) augmented() []float64 {
	k := len(s.knots)
	out := make([]float64, 0, k+6)
	for range 3 {
		out = append(out, s.knots[0])
	}
	out = append(out, s.knots...)
	for range 3 {
		out = append(out, s.knots[k-1])
	}
	return out
}

// bSplines returns the given derivative of all B-splines but the first at x within
// the boundary knots.
func (s Spline) bSplines(x float64, derivative int) []float64 {
	t := s.augmented()
	out := make([]float64, 0, len(t)-order-1)
	for i := 1; i < len(t)-order; i++ {
		out = append(out, bSpline(t, i, order, x, derivative))
	}
	return out
}

// bSpline is the recursion of de Boor (1978), and its derivative.
func bSpline(t []float64, i, k int, x float64, derivative int) float64 {
	if k == 1 {
		end := t[len(t)-1]
		if t[i] <= x && x < t[i+1] || x == end && t[i] < end && t[i+1] == end {
			return 1
		}
		return 0
	}
	part := func(i int, over float64, f float64) float64 {
		if over == 0 {
			return 0
		}
		return f / over * bSpline(t, i, k-1, x, max(0, derivative-1))
	}
	left, right := t[i+k-1]-t[i], t[i+k]-t[i+1]
	if derivative > 0 {
		return part(i, left, float64(k-1)) - part(i+1, right, float64(k-1))
	}
	return part(i, left, x-t[i]) + part(i+1, right, t[i+k]-x)
}

// naturalTurn returns the orthogonal matrix whose first two rows span the second
// derivatives at the boundary, by two Householder reflections; the rows that are
// left make the columns.
func (s Spline) naturalTurn() [][]float64 {
	k := len(s.knots)
	a, b := s.bSplines(s.knots[0], 2), s.bSplines(s.knots[k-1], 2)
	n := len(a)
	turn := make([][]float64, n)
	for i := range turn {
		turn[i] = make([]float64, n)
		turn[i][i] = 1
	}
	reflect := func(v []float64, from int) {
		u := slices.Clone(v)
		clear(u[:from])
		u[from] += math.Copysign(math.Sqrt(dot(u, u)), u[from])
		length := dot(u, u)
		apply := func(w []float64) { subtract(w, 2*dot(u, w)/length, u) }
		apply(b)
		for j := range n { // columns of turn
			column := make([]float64, n)
			for i := range n {
				column[i] = turn[i][j]
			}
			apply(column)
			for i := range n {
				turn[i][j] = column[i]
			}
		}
	}
	reflect(a, 0)
	reflect(slices.Clone(b), 1)
	return turn[2:]
}

func (s Spline) naturalAt(x float64) []float64 {
	lo, hi := s.knots[0], s.knots[len(s.knots)-1]
	at := math.Max(lo, math.Min(hi, x))
	b := s.bSplines(at, 0)
	if x != at { // straight on
		subtract(b, at-x, s.bSplines(at, 1))
	}
	out := make([]float64, len(s.turn))
	for i, row := range s.turn {
		out[i] = dot(row, b)
	}
	return out
}
