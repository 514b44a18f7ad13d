package logit

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// A lowered matrix is V (I - F F') V with a diagonal V and an F of few columns.
type lowered struct {
	v []float64
	f *mat.Dense
}

// nothing is what counts as an eigenvalue of 0, of the whole matrix, as in R's
// clubSandwich.
const nothing = 1e-12

// inverseRootTimes returns the (Moore-Penrose) inverse square root of the matrix times
// d. Eigenvalues of the whole matrix cost the cube of its rows; where rows are many and
// columns of F few, inverseRootByNodes gives the same to rounding.
func (b lowered) inverseRootTimes(d *mat.Dense) *mat.Dense {
	rows, columns := b.f.Dims()
	if rows > 40 && rows > 6*columns {
		if y, ok := b.inverseRootByNodes(d); ok {
			return y
		}
	}
	var hat, y mat.Dense
	hat.Mul(b.f, b.f.T())
	whole := mat.NewSymDense(rows, nil)
	for i := range rows {
		for j := range i + 1 {
			h := -hat.At(i, j)
			if i == j {
				h++
			}
			whole.SetSym(i, j, b.v[i]*h*b.v[j])
		}
	}
	y.Mul(spectrum(whole, func(x float64) float64 { return inverseRoot(x, nothing) }), d)
	return &y
}

// inverseRootByNodes writes the inverse square root of B as 2/pi times the integral of
// inv(B + t^2 I) over t > 0, and sums it at nodes by the substitution t = sqrt(m)
// sc(u), an elliptic function, after which the trapezoidal rule gains digits in
// proportion to the nodes; m and M are bounds of the eigenvalues (Hale, Higham &
// Trefethen 2008). B is a diagonal matrix less one of low rank, so that each node costs a
// small system (Woodbury).
//
// Directions in which the cluster fits itself, F'F z = z, have eigenvalue 0. They are
// lifted to an eigenvalue amid the others and taken out of the result again. ok is false
// where that leaves eigenvalues too close to 0.
func (b lowered) inverseRootByNodes(d *mat.Dense) (y *mat.Dense, ok bool) {
	rows, columns := b.f.Dims()
	null, next, ok := b.null()
	if !ok {
		return nil, false
	}
	delta := make([]float64, rows)
	least, most := math.Inf(1), 0.0
	for i, v := range b.v {
		delta[i] = v * v
		least, most = math.Min(least, delta[i]), math.Max(most, delta[i])
	}
	low := least * next
	if null != nil {
		low *= least / most // vectors orthogonal to the null space in one scale are not in the other
	}
	if !(low > 10*nothing) {
		return nil, false
	}
	extra := 0
	if null != nil {
		_, extra = null.Dims()
	}
	lift := math.Sqrt(least * most)
	u, sign := mat.NewDense(rows, columns+extra, nil), make([]float64, columns+extra) // B = delta + U inv(sign) U'
	for j := range sign {
		sign[j] = -1
		if j >= columns {
			sign[j] = 1 / lift
		}
		for i, v := range b.v {
			if j < columns {
				u.Set(i, j, v*b.f.At(i, j))
			} else {
				u.Set(i, j, null.At(i, j-columns))
			}
		}
	}
	y = mat.NewDense(rows, d.RawMatrix().Cols, nil)
	t, weight := rootNodes(low, most)
	for k := range t {
		if !addNode(y, delta, u, sign, d, t[k], weight[k]) {
			return nil, false
		}
	}
	if null != nil {
		var part, back mat.Dense
		part.Mul(null.T(), d)
		back.Mul(null, &part)
		back.Scale(1/math.Sqrt(lift), &back)
		y.Sub(y, &back)
	}
	return y, true
}

// null returns an orthonormal basis of the directions in which the matrix is 0, nil
// where there are none, and how far the next eigenvalue of F'F is from 1.
func (b lowered) null() (basis *mat.Dense, next float64, ok bool) {
	rows, columns := b.f.Dims()
	inner := mat.NewSymDense(columns, nil)
	inner.SymOuterK(1, b.f.T())
	var e mat.EigenSym
	if !e.Factorize(inner, true) {
		return nil, 0, false
	}
	var vectors, span mat.Dense
	e.VectorsTo(&vectors)
	values := e.Values(nil) // rising
	first := columns
	for first > 0 && 1-values[first-1] < 1e-10 {
		first--
	}
	next = 1.0
	if first > 0 {
		next = 1 - values[first-1]
	}
	if next < 1e-6 {
		return nil, 0, false // neither 0 nor far from it
	}
	if first == columns {
		return nil, next, true
	}
	span.Mul(b.f, vectors.Slice(0, columns, first, columns))
	for i, v := range b.v {
		row := span.RawRowView(i)
		for j := range row {
			row[j] /= v
		}
	}
	var qr mat.QR
	qr.Factorize(&span)
	var q mat.Dense
	qr.QTo(&q)
	return mat.DenseCopyOf(q.Slice(0, rows, 0, columns-first)), next, true
}

// addNode adds weight times inv(B + t^2) d to y.
func addNode(y *mat.Dense, delta []float64, u *mat.Dense, sign []float64, d *mat.Dense, t, weight float64) bool {
	rows, columns := u.Dims()
	scaled := mat.NewDense(rows, columns, nil)
	over := make([]float64, rows)
	for i := range rows {
		over[i] = 1 / (delta[i] + t*t)
		from, to := u.RawRowView(i), scaled.RawRowView(i)
		for j, x := range from {
			to[j] = over[i] * x
		}
	}
	var system, right, left, back mat.Dense
	system.Mul(u.T(), scaled)
	for j, s := range sign {
		system.Set(j, j, system.At(j, j)+s)
	}
	right.Mul(scaled.T(), d)
	if err := left.Solve(&system, &right); err != nil {
		return false
	}
	back.Mul(scaled, &left)
	for i := range rows {
		from, less, to := d.RawRowView(i), back.RawRowView(i), y.RawRowView(i)
		for j := range to {
			to[j] += weight * (over[i]*from[j] - less[j])
		}
	}
	return true
}

// rootNodes returns nodes t and weights for matrices with eigenvalues between low and
// high, enough of them for 13 digits.
func rootNodes(low, high float64) (t, weight []float64) {
	n := 2 + int(math.Ceil((math.Log(high/low)+4)*30/(2*math.Pi*math.Pi)))
	complement := math.Sqrt(low / high)
	quarter := quarterPeriod(complement)
	for j := range n {
		sn, cn, dn := jacobi((float64(j)+0.5)*quarter/float64(n), complement)
		t = append(t, math.Sqrt(low)*sn/cn)
		weight = append(weight, 2*quarter*math.Sqrt(low)/(math.Pi*float64(n))*dn/(cn*cn))
	}
	return t, weight
}

// means is the arithmetic-geometric mean of 1 and the complementary modulus: its steps
// a, and half differences c over a.
func means(complement float64) (a float64, ratio []float64) {
	a, b := 1.0, complement
	for range 40 {
		c := (a - b) / 2
		a, b = (a+b)/2, math.Sqrt(a*b)
		ratio = append(ratio, c/a)
		if math.Abs(c) < 1e-16*a {
			break
		}
	}
	return a, ratio
}

// quarterPeriod is the complete elliptic integral of the first kind.
func quarterPeriod(complement float64) float64 {
	a, _ := means(complement)
	return math.Pi / 2 / a
}

// jacobi returns the elliptic functions sn, cn and dn of u (Abramowitz & Stegun 1964,
// 16.4) for the modulus sqrt(1 - complement^2).
func jacobi(u, complement float64) (sn, cn, dn float64) {
	a, ratio := means(complement)
	phi := math.Ldexp(a*u, len(ratio))
	for k := len(ratio) - 1; k >= 0; k-- {
		phi = (phi + math.Asin(ratio[k]*math.Sin(phi))) / 2
	}
	sn, cn = math.Sincos(phi)
	return sn, cn, math.Sqrt(cn*cn + complement*complement*sn*sn)
}
