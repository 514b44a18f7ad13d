package logit

import (
	"math"

	"gravid/stats"
	"gravid/stats/tail"
)

// A ClusterProfile is the profile interval of a slope at the width that leaving out
// clusters calls for.
type ClusterProfile struct {
	stats.Estimate
	LeaveOneOut LeaveOneOut // the slopes without each cluster; its own interval is that of Jackknife
	// SE is the standard error of the signed root r of the profile that leaving one
	// cluster out gives: near 1 where rows are independent and the model is right.
	SE   float64
	DF   float64 // of Student's t
	Root float64 // r at a slope of 0
	P    float64 // two-sided, of a slope of 0: 2 P(T > |Root|/SE)
}

// JackknifeProfile is the interval of Jackknife worked out on the scale of the signed
// root of the profile instead of that of the slope. With l the (penalised) profile
// log-likelihood and b its top,
//
//	r(v) = sign(v - b) sqrt(2 (l(b) - l(v))),  SE^2 = (G-1)/G sum r(b_g)^2,
//
// and the interval holds the values with |r(v)| at most SE times the t quantile with G-1
// degrees of freedom. Where the profile is a parabola this is Jackknife to the letter.
// Where outcomes are nearly separated it is not: a cluster that holds one of a few
// exceptions moves the slope far up when it is left out, along a stretch where the
// likelihood hardly falls. On the scale of the slope that is a large variance, and
// widens the interval on the other side as well, about which the cluster says nothing; r
// is small there. Widening a profile interval by the robust over the model's variance is
// the vertical adjustment of Chandler & Bate (2007, Biometrika 94:167; from memory), here
// with the jackknife for the robust variance.
//
// Status and warnings are those of Jackknife, or of a fit along the profile that fails. An
// end that the search does not reach is infinite, with a warning.
func (m *Model) JackknifeProfile(cluster []int, j int, level float64) (ClusterProfile, error) {
	nan := math.NaN()
	out := ClusterProfile{SE: nan, DF: nan, Root: nan, P: nan}
	l, err := m.Jackknife(cluster, j, level)
	if err != nil {
		return out, err
	}
	out.LeaveOneOut, out.Estimate = l, l.Estimate
	out.Method = l.Method + ", along the profile"
	if !l.Status.Usable() {
		return out, nil
	}
	c := m.slopeCurve(j)
	half := out.measure(c.roots(l.Coef, m.SE[j]))
	m.interval(&out.Estimate, c, half*half, m.SE[j], m.slopeLimit(j), m.Names[j])
	return out, nil
}

// measure fills in everything but the interval, from the signed root, and returns how far
// the root may go in it.
func (out *ClusterProfile) measure(root func(v float64) float64) (half float64) {
	squares := 0.0
	for _, b := range out.LeaveOneOut.Coef {
		r := root(b)
		squares += r * r
	}
	g := float64(len(out.LeaveOneOut.Clusters))
	out.SE, out.DF = math.Sqrt((g-1)/g*squares), g-1
	out.Root, out.P = root(0), 1
	if out.SE > 0 {
		out.P = tail.StudentTwoSided(out.Root/out.SE, out.DF)
	}
	return tail.StudentUpperQuantile((1-out.Level)/2, out.DF) * out.SE
}

// straight is how many standard errors from the estimate the signed root is a straight
// line for all practical purposes: its bend there is below a thousandth.
const straight = 0.02

// root is the signed root of the profile at v. See roots for many values of v.
func (c *curve) root(v, se float64) float64 {
	if d := (v - c.best) / se; math.Abs(d) < straight {
		return d
	}
	return math.Copysign(math.Sqrt(c.drop(v)), v-c.best)
}
