package logit

import (
	"fmt"
	"math"
	"slices"

	"gravid/stats"
)

// JackknifeProfile leaves out each cluster of rows in turn, fits anew, and gives the
// interval of Model.JackknifeProfile along the conditional profile. cluster holds the number
// of the cluster of each row of the data; a cluster may hold whole strata or parts of them.
//
// If slope j cannot be fitted without some cluster, the interval is withheld, as for
// Model.Jackknife; a column other than j that cannot be told apart without a cluster is left
// out of that refit. With fewer than two clusters the status is TooLittle.
func (c *Conditional) JackknifeProfile(cluster []int, j int, level float64) (ClusterProfile, error) {
	nan := math.NaN()
	out := ClusterProfile{Estimate: c.estimate(level, "leave one cluster out, along the profile"), SE: nan, DF: nan, Root: nan, P: nan}
	if len(cluster) != c.data.Rows() {
		return out, fmt.Errorf("there are %d cluster numbers for %d rows", len(cluster), c.data.Rows())
	}
	l := &out.LeaveOneOut
	l.Estimate, l.SE = out.Estimate, nan
	l.Clusters = slices.Compact(slices.Sorted(slices.Values(cluster)))
	l.Coef, l.Refit = filled(len(l.Clusters), nan), make([]stats.Status, len(l.Clusters))
	if !out.Status.Usable() {
		return out, nil
	}
	if len(l.Clusters) < 2 {
		out.Estimate = out.Without(stats.TooLittle, stats.Warn("one-cluster", "all rows belong to one cluster, so nothing can be left out"))
		return out, nil
	}
	each(len(l.Clusters), func(k int) { l.Coef[k], l.Refit[k] = c.without(cluster, l.Clusters[k], j) })
	l.summarise(c.Coef[j])
	if !l.Status.Usable() {
		method := out.Method
		out.Estimate = l.Estimate
		out.Method = method
		return out, nil
	}
	k := c.slopeCurve(j)
	half := out.measure(func(v float64) float64 { return k.root(v, c.SE[j]) })
	c.interval(&out.Estimate, k, half*half)
	return out, nil
}

// without is slope j fitted to the rows outside one cluster.
func (c *Conditional) without(cluster []int, leave, j int) (float64, stats.Status) {
	var kept []int
	for i, k := range cluster {
		if k != leave {
			kept = append(kept, i)
		}
	}
	d := c.data.pick(kept)
	for {
		m, err := FitConditional(d, c.Options)
		if err != nil { // rows of data that were taken before
			panic("stats/logit: " + err.Error())
		}
		if m.Status != stats.NotIdentifiable {
			return m.Coef[j], m.Status
		}
		faulty := m.Identifiability.Faulty()
		drop := slices.IndexFunc(faulty, func(k int) bool { return k != j })
		if slices.Contains(faulty, j) || drop < 0 {
			return math.NaN(), m.Status
		}
		if faulty[drop] < j {
			j--
		}
		d = d.Drop(faulty[drop])
	}
}

// pick is the data of some rows.
func (d Data) pick(rows []int) Data {
	take := func(x []float64) []float64 {
		if x == nil {
			return nil
		}
		out := make([]float64, len(rows))
		for k, i := range rows {
			out[k] = x[i]
		}
		return out
	}
	out := Data{Y: take(d.Y), N: take(d.N), Offset: take(d.Offset), Weights: take(d.Weights), Names: d.Names}
	for _, x := range d.X {
		out.X = append(out.X, take(x))
	}
	if d.Group != nil {
		for _, i := range rows {
			out.Group = append(out.Group, d.Group[i])
		}
	}
	return out
}
