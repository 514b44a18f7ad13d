package logit

import "math"

// shortest returns the weights that make target + sum of weight_k v_k as short as
// possible, by modified Gram-Schmidt with the target as last column. A vector
// that is, but for rounding, a sum of those before it has weight 0.
func shortest(target []float64, v [][]float64) []float64 {
	m := len(v)
	q := make([][]float64, m)
	upper := make([]float64, m*m)
	weight := make([]float64, m)
	rest := append([]float64(nil), target...)
	for k := range v {
		q[k] = append([]float64(nil), v[k]...)
		whole := math.Sqrt(dot(q[k], q[k]))
		for range 2 {
			for i := range k {
				f := dot(q[i], q[k])
				upper[i*m+k] += f
				subtract(q[k], f, q[i])
			}
		}
		norm := math.Sqrt(dot(q[k], q[k]))
		if norm <= 1e-14*whole {
			clear(q[k])
			continue
		}
		upper[k*m+k] = norm
		for i := range q[k] {
			q[k][i] /= norm
		}
		weight[k] = -dot(q[k], rest)
		subtract(rest, -weight[k], q[k])
	}
	for k := m - 1; k >= 0; k-- {
		if upper[k*m+k] == 0 {
			weight[k] = 0
			continue
		}
		for i := k + 1; i < m; i++ {
			weight[k] -= upper[k*m+i] * weight[i]
		}
		weight[k] /= upper[k*m+k]
	}
	return weight
}
