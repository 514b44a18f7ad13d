package logit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/root"
	"gravid/stats/tail"
)

// A randomTop is the maximum that profiles are measured from, in the inner scale, where
// parameters are the intercept, the slopes and sigma.
type randomTop struct {
	l           *randomLikelihood
	theta       []float64
	value       float64
	information *mat.SymDense
}

// Profile returns slope j with its profile likelihood interval: the values at which
// twice the distance of the log-likelihood from its maximum, all other parameters and
// sigma fitted, stays below the chi-square quantile. With sigma estimated at 0 the
// interval is that of the model with a single intercept.
func (r *RandomIntercept) Profile(j int, level float64) stats.Estimate {
	if r.Status == stats.Boundary {
		return r.boundaryProfile(r.base.Profile(j, level))
	}
	return r.profile(level, func(top *randomTop) (target, float64, float64) {
		return top.slope(j), r.Coef[j], r.SE[j]
	}, math.Inf(-1), r.Names[j])
}

// ProfileIntercept does so for the intercept.
func (r *RandomIntercept) ProfileIntercept(level float64) stats.Estimate {
	if r.Status == stats.Boundary {
		return r.boundaryProfile(r.base.ProfileIntercept(0, level))
	}
	return r.profile(level, func(top *randomTop) (target, float64, float64) {
		return top.intercept(), r.Intercept, r.InterceptSE
	}, math.Inf(-1), "the intercept")
}

// ProfileSigma does so for sigma. Where 0 is among the values that the records allow,
// the interval starts there.
func (r *RandomIntercept) ProfileSigma(level float64) stats.Estimate {
	return r.profile(level, func(top *randomTop) (target, float64, float64) {
		se := r.SigmaSE
		if r.Status == stats.Boundary {
			se = 0.5
		}
		return top.sigma(), r.Sigma, se
	}, 0, "the spread of the groups")
}

func (r *RandomIntercept) boundaryProfile(e stats.Estimate) stats.Estimate {
	e.Method = r.method("profile") + ", sigma at 0"
	e.Status = r.Status
	e.Warnings = append(e.Warnings, r.Warnings...)
	return e
}

// A target is a parameter to be held: in the inner scale it is factor times (the
// parameter number at, less shift times all slopes).
type target struct {
	at     int
	shift  []float64 // of the slopes; nil for none
	factor float64
}

func (top *randomTop) slope(j int) target {
	return target{at: j + 1, factor: 1 / top.l.scale[j]}
}

func (top *randomTop) sigma() target { return target{at: len(top.theta) - 1, factor: 1} }

func (top *randomTop) intercept() target {
	shift := make([]float64, len(top.l.z))
	for j := range shift {
		shift[j] = top.l.mean[j] / top.l.scale[j]
	}
	return target{at: 0, shift: shift, factor: 1}
}

// profile works out the interval of a parameter. least is the least value that it may
// have.
func (r *RandomIntercept) profile(level float64, of func(*randomTop) (target, float64, float64), least float64, name string) stats.Estimate {
	e := r.estimate("profile", level)
	if !e.Status.Usable() {
		return e
	}
	t, best, se := of(r.top)
	q := tail.ChiSquareQuantile(level, 1)
	c := r.top.curve(t)
	f := func(v float64) float64 {
		if v == best {
			return -math.Sqrt(q)
		}
		return math.Sqrt(math.Max(0, 2*(r.top.value-c.value(v)))) - math.Sqrt(q)
	}
	reach := capSpread * math.Max(se, math.Abs(best))
	end := func(side float64) float64 {
		limit := side * math.Max(reach, 2*math.Abs(best))
		if least == 0 && side < 0 {
			limit = 0
			if best == 0 || f(0) <= 0 {
				return 0
			}
		}
		return root.Walk(f, best, side*se*math.Sqrt(q), limit, 1e-10*math.Max(se, math.Abs(best)))
	}
	e.Value, e.Lo, e.Hi = best, end(-1), end(1)
	if math.IsNaN(e.Lo) || math.IsNaN(e.Hi) {
		return e.Without(stats.NotConverged, stats.Warn("not-converged", "a fit along the profile did not settle, so no interval is given"))
	}
	e.Warnings = append(e.Warnings, unboundedWarnings(e.Lo, e.Hi, name)...)
	return e
}

// A randomCurve evaluates the profile of one parameter; each climb starts from the end
// of the last.
type randomCurve struct {
	top  *randomTop
	t    target
	free []int
	near []float64 // of the free parameters
	info *mat.SymDense
}

func (top *randomTop) curve(t target) *randomCurve {
	c := &randomCurve{top: top, t: t}
	for k := range top.theta {
		if k != t.at {
			c.free = append(c.free, k)
			c.near = append(c.near, top.theta[k])
		}
	}
	// The information about the free parameters, the held one moving along with the
	// slopes.
	n := len(top.theta)
	along := mat.NewDense(n, len(c.free), nil)
	for a, k := range c.free {
		along.Set(k, a, 1)
		if t.shift != nil && k > 0 && k < n-1 {
			along.Set(t.at, a, t.shift[k-1])
		}
	}
	var half, whole mat.Dense
	half.Mul(top.information, along)
	whole.Mul(along.T(), &half)
	c.info = mat.NewSymDense(len(c.free), nil)
	for a := range c.free {
		for b := range a + 1 {
			c.info.SetSym(a, b, (whole.At(a, b)+whole.At(b, a))/2)
		}
	}
	return c
}

// value is the highest log-likelihood with the parameter held at v, in units of the
// data.
func (c *randomCurve) value(v float64) float64 {
	n := len(c.top.theta)
	theta, grad := make([]float64, n), make([]float64, n)
	fill := func(free []float64) {
		theta[c.t.at] = v / c.t.factor
		for a, k := range c.free {
			theta[k] = free[a]
			if c.t.shift != nil && k > 0 && k < n-1 {
				theta[c.t.at] += c.t.shift[k-1] * free[a]
			}
		}
	}
	climb := func(free, slope []float64) float64 {
		fill(free)
		value := c.top.l.value(theta, grad)
		for a, k := range c.free {
			slope[a] = grad[k]
			if c.t.shift != nil && k > 0 && k < n-1 {
				slope[a] += c.t.shift[k-1] * grad[c.t.at]
			}
		}
		return value
	}
	c.near = ascend(climb, c.near, c.info)
	fill(c.near)
	return c.top.l.value(theta, nil)
}

func (r *RandomIntercept) method(name string) string {
	return fmt.Sprintf("%s, random intercept, %d nodes", name, r.Nodes)
}
