package logit

import "math"

// A cholesky is the lower triangular factor L of a symmetric positive definite
// matrix A = L L', stored by rows. The matrices here have a few to a few dozen
// rows and are factored thousands of times, without allocating.
type cholesky struct {
	n    int
	l    []float64
	over []float64 // 1 over the diagonal of l
	loss float64   // largest ratio of a diagonal element to its pivot: digits lost
}

// factor factors the n by n matrix a, of which the lower triangle is read, and
// reports whether it is positive definite, a pivot of 1e-12 of its diagonal
// element counting as nothing.
func (c *cholesky) factor(a []float64, n int) bool {
	c.n, c.loss = n, 1
	if cap(c.l) < n*n {
		c.l, c.over = make([]float64, n*n), make([]float64, n)
	}
	c.l, c.over = c.l[:n*n], c.over[:n]
	for i := range n {
		for j := range i + 1 {
			v := a[i*n+j]
			for k := range j {
				v -= c.l[i*n+k] * c.l[j*n+k]
			}
			if i > j {
				c.l[i*n+j] = v * c.over[j]
				continue
			}
			if !(v > 1e-12*a[i*n+i]) || math.IsInf(v, 1) {
				return false
			}
			c.l[i*n+i] = math.Sqrt(v)
			c.over[i] = 1 / c.l[i*n+i]
			c.loss = math.Max(c.loss, a[i*n+i]/v)
		}
	}
	return true
}

// logDet is the logarithm of the determinant of A.
func (c *cholesky) logDet() float64 {
	v := 0.0
	for i := range c.n {
		v += 2 * math.Log(c.l[i*c.n+i])
	}
	return v
}

// forward solves L z = v in place.
func (c *cholesky) forward(v []float64) {
	for i := range v {
		row := c.l[i*c.n : i*c.n+i]
		x := v[i]
		for k, l := range row {
			x -= l * v[k]
		}
		v[i] = x * c.over[i]
	}
}

// solve solves A z = v in place.
func (c *cholesky) solve(v []float64) {
	c.forward(v)
	for i := c.n - 1; i >= 0; i-- {
		x := v[i]
		for k := i + 1; k < c.n; k++ {
			x -= c.l[k*c.n+i] * v[k]
		}
		v[i] = x * c.over[i]
	}
}

// inverse returns the inverse of A, exactly symmetric.
func (c *cholesky) inverse() [][]float64 {
	inv := make([][]float64, c.n)
	for j := range inv {
		inv[j] = make([]float64, c.n)
		inv[j][j] = 1
		c.solve(inv[j])
	}
	for i := range inv {
		for j := range i {
			inv[i][j] = inv[j][i]
		}
	}
	return inv
}
