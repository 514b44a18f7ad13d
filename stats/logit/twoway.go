package logit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
)

// RobustTwoWay works out the covariance matrix for rows that may be alike within
// either of two sets of clusters (keepers and weather episodes, say): the matrix of
// the first, plus that of the second, less that of their intersections (Cameron,
// Gelbach & Miller 2011). Degrees of freedom are the smaller of the two sets'.
//
// The difference need not be a covariance matrix. Where it is not, its negative
// eigenvalues are set to 0, as those authors do, and Status is Boundary.
func (m *Model) RobustTwoWay(first, second []int, kind RobustKind) (*Robust, error) {
	sets := [][]int{first, second, nil}
	for _, s := range sets[:2] {
		if err := m.checkClusters(s); err != nil {
			return nil, err
		}
	}
	sets[2] = intersections(first, second)
	out := m.newRobust(kind)
	var all []*Robust
	for _, s := range sets {
		r, err := m.Robust(s, kind)
		if err != nil {
			return nil, err
		}
		if !r.Status.Usable() {
			return r, nil
		}
		all = append(all, r)
	}
	out.parts = all[:2]
	out.Clusters = min(all[0].Clusters, all[1].Clusters)
	p := len(m.Coef)
	for i := range p {
		for j := range p {
			out.Cov[i][j] = all[0].Cov[i][j] + all[1].Cov[i][j] - all[2].Cov[i][j]
		}
		out.DF[i] = math.Min(all[0].DF[i], all[1].DF[i])
	}
	if out.clip() {
		out.Status = stats.Boundary
		out.Warnings = append(out.Warnings, stats.Warn("two-way-negative", "the two sets of clusters together gave a negative variance in some direction, which was set to 0; compare with each set on its own"))
	}
	for i := range p {
		out.SE[i] = math.Sqrt(out.Cov[i][i])
	}
	return out, nil
}

// intersections numbers the pairs of clusters in the order in which rows show
// them.
func intersections(first, second []int) []int {
	seen := map[[2]int]int{}
	out := make([]int, len(first))
	for i := range first {
		key := [2]int{first[i], second[i]}
		if _, ok := seen[key]; !ok {
			seen[key] = len(seen)
		}
		out[i] = seen[key]
	}
	return out
}

// clip sets the negative eigenvalues of Cov, brought to unit spread of the columns,
// to 0, and reports whether there were any.
func (r *Robust) clip() bool {
	p := len(r.SE)
	if p == 0 {
		return false
	}
	scale := r.m.fitted.scale
	a := mat.NewSymDense(p, nil)
	for i := range p {
		for j := range i + 1 {
			a.SetSym(i, j, r.Cov[i][j]*scale[i]*scale[j])
		}
	}
	var e mat.EigenSym
	e.Factorize(a, false)
	values := e.Values(nil)
	if slices.Min(values) >= -1e-12*slices.Max(values) && slices.Max(values) > 0 {
		return false
	}
	clipped := spectrum(a, func(x float64) float64 { return math.Max(0, x) })
	for i := range p {
		for j := range p {
			r.Cov[i][j] = clipped.At(i, j) / scale[i] / scale[j]
		}
	}
	return true
}
