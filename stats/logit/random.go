package logit

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/newton"
	"gravid/stats/tail"
)

// RandomOptions of FitRandom. The zero value uses 15 nodes.
type RandomOptions struct {
	Nodes    int // of adaptive Gauss-Hermite quadrature for each group; 1 is the Laplace approximation, 0 means 15, at most 100
	MaxSteps int // 0 means 100
}

// A RandomIntercept is a logistic regression in which the intercepts of the groups
// come from a normal distribution: logit P = a + x'b + sigma u_g, u_g standard normal.
// Numbers are NaN where Status is not usable.
//
// It is a view to compare with, not the answer to trust: where keepers who use a
// trigger more are better or worse at spawning anyway, the slopes here mix that
// difference in, while the intercepts of Fit take it out.
type RandomIntercept struct {
	// Status is Boundary where sigma is estimated at 0: the fit is then that of a
	// single intercept.
	Status   stats.Status
	Warnings []stats.Warning
	Nodes    int

	Names       []string
	Coef        []float64
	SE          []float64
	Intercept   float64
	InterceptSE float64
	Cov         [][]float64 // of the intercept, the slopes and, where it is not 0, sigma

	Sigma   float64 // standard deviation of the intercepts
	SigmaSE float64 // NaN at the boundary
	ICC     float64 // sigma^2/(sigma^2 + pi^2/3), share of the latent variance between groups

	LogLik      float64 // with the binomial coefficients of rows of several trials
	Kernel      float64 // without them
	KernelFixed float64 // of a single intercept
	// Test compares the two; P is that of an even mixture of chi-square with 0 and 1
	// degrees of freedom (Self & Liang 1987).
	Test Test
	// SigmaScore is the slope of the log-likelihood along sigma^2 at 0.
	SigmaScore float64

	Groups []int
	Mode   []float64 // of sigma u_g given the records of the group

	trials, successes float64
	base              *Model // with a single intercept
	top               *randomTop
}

// FitRandom fits the model by maximising the likelihood with u_g integrated out, by
// adaptive Gauss-Hermite quadrature (Liu & Pierce 1994; Pinheiro & Bates 1995) with
// analytic first derivatives. Standard errors come from the curvature in all
// parameters, sigma included. Several starts are tried, since sigma = 0 is always a
// point where the slope vanishes.
//
// Where the outcomes are separated or columns cannot be told apart with a single
// intercept the status says so; with one group it is TooLittle.
func FitRandom(d Data, o RandomOptions) (*RandomIntercept, error) {
	if o.Nodes < 0 || o.Nodes > 100 {
		return nil, fmt.Errorf("%d nodes are outside 1 to 100", o.Nodes)
	}
	if o.Nodes == 0 {
		o.Nodes = 15
	}
	pooled := d
	pooled.Group = nil
	base, err := Fit(pooled, Options{})
	if err != nil {
		return nil, err
	}
	if err := d.Validate(); err != nil {
		return nil, err
	}
	l := newRandomLikelihood(d, base, o.Nodes)
	r := newRandomIntercept(base, l, o.Nodes)
	switch {
	case !r.Status.Usable():
		return r, nil
	case len(r.Groups) < 2:
		r.refuse(stats.TooLittle, "one-group", "all rows belong to one group, so nothing is known about how groups differ")
		return r, nil
	}
	r.fit(base, l, o)
	return r, nil
}

func newRandomIntercept(base *Model, l *randomLikelihood, nodes int) *RandomIntercept {
	nan, p := math.NaN(), len(base.Coef)
	return &RandomIntercept{
		Status: base.Status, Warnings: slices.Clone(base.Warnings), Nodes: nodes, Names: base.Names,
		Coef: filled(p, nan), SE: filled(p, nan), Intercept: nan, InterceptSE: nan,
		Sigma: nan, SigmaSE: nan, ICC: nan, LogLik: nan, Kernel: nan, KernelFixed: nan, SigmaScore: nan,
		Test:   Test{Statistic: nan, DF: 1, P: nan, Method: "likelihood ratio, sigma at 0", Status: base.Status},
		Groups: l.t.labels, Mode: filled(l.t.groups(), nan),
		trials: base.Trials, successes: base.Successes, base: base,
	}
}

func (r *RandomIntercept) refuse(s stats.Status, code, format string, args ...any) {
	r.Status, r.Test.Status = s, s
	r.Warnings = append(r.Warnings, stats.Warn(code, format, args...))
}

// starts are the values of sigma that the climb may begin from; the likeliest comes
// first, the others where that leads nowhere. boundary is the sigma below which it
// has come back to 0.
var starts = []float64{0.3, 1, 3}

const boundary = 1e-5

func (r *RandomIntercept) fit(base *Model, l *randomLikelihood, o RandomOptions) {
	theta := l.inward(base)
	r.KernelFixed, r.SigmaScore = base.Kernel, l.sigmaScore(theta)
	best, ok := climb(l, theta, base.Kernel, o)
	sigma := math.Abs(best.Theta[len(theta)-1])
	if !ok {
		if r.SigmaScore > 0 {
			r.refuse(stats.NotConverged, "not-converged", "the fit came to rest where groups do not differ, though the records say they do, so no number is given")
			return
		}
		r.atBoundary(base, l)
		return
	}
	if !best.Converged {
		r.refuse(stats.NotConverged, "not-converged", "the fit did not settle in %d steps, so no number is given", best.Steps)
		return
	}
	best.Theta[len(theta)-1] = sigma
	r.Status, r.Sigma, r.Kernel = stats.OK, sigma, best.Value
	r.outward(l, best)
	information := mat.NewSymDense(len(best.Theta), nil)
	information.ScaleSym(-1, best.Hess)
	r.top = &randomTop{l, best.Theta, best.Value, information}
	r.finish(base, l, best.Theta)
}

// climb maximises from one start after the other until one leads to a sigma other
// than 0 and a likelihood above that of a single intercept. ok is false where none
// does.
func climb(l *randomLikelihood, theta []float64, floor float64, o RandomOptions) (best newton.Result, ok bool) {
	last := len(theta) - 1
	value := func(sigma float64) float64 {
		theta[last] = sigma
		return l.value(theta, nil)
	}
	order := slices.Clone(starts)
	heights := map[float64]float64{}
	for _, sigma := range order {
		heights[sigma] = value(sigma)
	}
	slices.SortStableFunc(order, func(a, b float64) int {
		switch {
		case heights[a] > heights[b]:
			return -1
		case heights[a] < heights[b]:
			return 1
		}
		return 0
	})
	for _, sigma := range order {
		theta[last] = sigma
		near := ascend(l.value, theta, l.information(theta))
		best = newton.Maximise(l.objective, near, newton.Settings{MaxSteps: o.MaxSteps})
		if math.Abs(best.Theta[last]) >= boundary && best.Value > floor+1e-10*math.Abs(floor) {
			return best, true
		}
	}
	return best, false
}

// atBoundary takes the numbers of the fit with a single intercept.
func (r *RandomIntercept) atBoundary(base *Model, l *randomLikelihood) {
	r.Status = stats.Boundary
	r.Warnings = append(r.Warnings, stats.Warn("no-spread", "the groups differ no more than chance accounts for, so this is the fit with one intercept for all"))
	r.Sigma, r.Kernel = 0, base.Kernel
	r.Intercept, r.InterceptSE = base.Intercept[0], base.InterceptSE[0]
	copy(r.Coef, base.Coef)
	copy(r.SE, base.SE)
	r.Cov = [][]float64{append([]float64{base.CovIntercept(0, 0)}, base.CovInterceptSlopes(0)...)}
	for j, row := range base.Cov {
		r.Cov = append(r.Cov, append([]float64{base.CovInterceptSlopes(0)[j]}, row...))
	}
	theta := l.inward(base)
	theta[len(theta)-1] = 0
	r.top = &randomTop{l, theta, base.Kernel, l.information(theta)}
	r.finish(base, l, theta)
}

func (r *RandomIntercept) finish(base *Model, l *randomLikelihood, theta []float64) {
	r.LogLik = base.LogLik - base.Kernel + r.Kernel
	r.ICC = r.Sigma * r.Sigma / (r.Sigma*r.Sigma + math.Pi*math.Pi/3)
	r.Test.Status = r.Status
	r.Test.Statistic = math.Max(0, 2*(r.Kernel-r.KernelFixed))
	r.Test.P = 1
	if r.Test.Statistic > 0 {
		r.Test.P = tail.ChiSquareUpper(r.Test.Statistic, 1) / 2
	}
	room := l.newRoom()
	for g := range r.Groups {
		r.Mode[g] = r.Sigma * l.mode(g, theta, room)
	}
}

// outward turns the parameters into units of the data. With z = (x - mean)/scale
// the slopes are b/scale, the intercept a - sum b mean/scale.
func (r *RandomIntercept) outward(l *randomLikelihood, best newton.Result) {
	p := len(r.Coef)
	turn := mat.NewDense(p+2, p+2, nil)
	turn.Set(0, 0, 1)
	turn.Set(p+1, p+1, 1)
	for j := range p {
		turn.Set(0, j+1, -l.mean[j]/l.scale[j])
		turn.Set(j+1, j+1, 1/l.scale[j])
	}
	var v mat.VecDense
	v.MulVec(turn, mat.NewVecDense(p+2, best.Theta))
	var half, cov mat.Dense
	half.Mul(turn, best.Covariance)
	cov.Mul(&half, turn.T())
	r.Intercept, r.InterceptSE = v.AtVec(0), math.Sqrt(cov.At(0, 0))
	for j := range p {
		r.Coef[j], r.SE[j] = v.AtVec(j+1), math.Sqrt(cov.At(j+1, j+1))
	}
	r.SigmaSE = math.Sqrt(cov.At(p+1, p+1))
	for i := range p + 2 {
		r.Cov = append(r.Cov, slices.Clone(cov.RawRowView(i)))
	}
}

// Wald returns slope j with the interval estimate plus and minus z standard errors.
func (r *RandomIntercept) Wald(j int, level float64) stats.Estimate {
	e := r.estimate("Wald", level)
	if e.Status.Usable() {
		half := tail.NormalUpperQuantile((1-level)/2) * r.SE[j]
		e.Value, e.Lo, e.Hi = r.Coef[j], r.Coef[j]-half, r.Coef[j]+half
	}
	return e
}

// estimate starts an Estimate; value, lo and hi are still NaN.
func (r *RandomIntercept) estimate(name string, level float64) stats.Estimate {
	checkLevel(level)
	nan := math.NaN()
	return stats.Estimate{
		Value: nan, Lo: nan, Hi: nan, Level: level, Attained: nan, N: int(math.Round(r.trials)), Events: int(math.Round(r.successes)),
		Method: r.method(name), Status: r.Status, Warnings: slices.Clone(r.Warnings),
	}
}
