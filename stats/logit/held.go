package logit

import (
	"math"
	"slices"

	"gravid/stats"
)

// A HeldVariance says how unsure a figure made of the coefficients is, with one slope
// held where it is.
type HeldVariance struct {
	Variance  float64   // from the information; NaN where Status is not usable
	Influence []float64 // by how much each row of the data moves the figure, to first order
	Status    stats.Status
}

// VarianceHeld works out the variance of a figure whose derivatives with respect to slopes
// and intercepts (of Groups) are byCoef and byIntercept, while slope j is held. With W_g
// the weight of group g, m_g the means of the other columns there, S the information about
// them, and d what is left of byCoef once the intercepts have followed,
//
//	d = byCoef - sum byIntercept_g m_g,   variance = sum byIntercept_g^2/W_g + d' inv(S) d,
//
// the delta method with the information (not that of the penalty) at coef and intercept.
// The influence of row i of group g is (y_i - n_i p_i) (byIntercept_g/W_g + (x_i - m_g)'
// inv(S) d); the variance for rows that are alike within clusters is the sum of the squares
// of the clusters' sums. Status is NotIdentifiable where the other columns cannot be told
// apart there.
func (m *Model) VarianceHeld(j int, coef, intercept, byCoef, byIntercept []float64) HeldVariance {
	out := HeldVariance{Variance: math.NaN(), Status: m.Status}
	if !m.Status.Usable() {
		return out
	}
	var others []int
	for k := range m.Coef {
		if k != j {
			others = append(others, k)
		}
	}
	p, groups := len(others), len(m.Groups)
	eta := m.predict(coef, intercept)
	groupOf := make([]int, len(eta))
	w, success, miss := make([]float64, len(eta)), make([]float64, len(eta)), 0.0
	weight, mean := make([]float64, groups), make([]float64, groups*p)
	rows := func(do func(i, g int)) {
		for i, u := range m.full.rowOf {
			if u >= 0 {
				do(i, groupOf[i])
			}
		}
	}
	for i, u := range m.full.rowOf {
		if u >= 0 {
			groupOf[i], _ = slices.BinarySearch(m.Groups, m.data.group(i))
			success[i], miss = chance(eta[i])
			w[i] = m.data.weight(i) * m.data.trials(i) * success[i] * miss
		}
	}
	rows(func(i, g int) {
		weight[g] += w[i]
		for a, k := range others {
			mean[g*p+a] += w[i] * m.data.X[k][i]
		}
	})
	for g, all := range weight {
		for a := range p {
			if all > 0 {
				mean[g*p+a] /= all
			}
		}
	}
	info, from, d := make([]float64, p*p), make([]float64, p), make([]float64, p)
	distance := func(i, g int) {
		for a, k := range others {
			from[a] = (m.data.X[k][i] - mean[g*p+a]) / m.full.scale[k]
		}
	}
	rows(func(i, g int) {
		distance(i, g)
		for a, x := range from {
			for b, y := range from {
				info[a*p+b] += w[i] * x * y
			}
		}
	})
	for a, k := range others {
		d[a] = byCoef[k]
		for g, x := range byIntercept {
			d[a] -= x * mean[g*p+a]
		}
		d[a] /= m.full.scale[k]
	}
	solved := slices.Clone(d)
	if p > 0 {
		var chol cholesky
		if !chol.factor(info, p) {
			out.Status = stats.NotIdentifiable
			return out
		}
		chol.solve(solved)
	}
	out.Variance = dot(d, solved)
	share := make([]float64, groups)
	for g, x := range byIntercept {
		if x != 0 && weight[g] > 0 {
			share[g] = x / weight[g]
			out.Variance += x * share[g]
		}
	}
	out.Influence = make([]float64, len(eta))
	rows(func(i, g int) {
		distance(i, g)
		n := m.data.trials(i)
		residual := m.data.weight(i) * (m.data.Y[i] - n*success[i])
		out.Influence[i] = residual * (share[g] + dot(from, solved))
	})
	return out
}
