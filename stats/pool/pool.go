package pool

import (
	"fmt"
	"math"

	"gravid/stats"
	"gravid/stats/internal/root"
	"gravid/stats/tail"
)

// Options of Random. The zero value is REML with 95% intervals.
type Options struct {
	Spread Spread
	Level  float64 // of all intervals; 0 means 0.95
}

// A Mean is an estimate of the mean with its test against 0.
type Mean struct {
	stats.Estimate
	SE float64
	DF float64 // of t; infinite for the normal distribution
	P  float64 // two-sided
}

// Pooled is the result of Random. Numbers are NaN where the status beside them is
// not usable.
type Pooled struct {
	Studies int
	Spread  Spread

	// Tau2 is the variance between sources, with its Q-profile interval (Viechtbauer
	// 2007). Its Status is Boundary where the estimate is 0.
	Tau2 stats.Estimate
	// I2 is the share of the scatter that lies between sources, in percent, and H2 the
	// ratio of all scatter to that within (Higgins & Thompson 2002), with their
	// Q-profile intervals. Both depend on Tau2.
	I2, H2 stats.Estimate
	Within float64 // typical variance within sources, which I2 compares Tau2 with

	Q, QDF, QP float64 // Cochran's test that all sources share one value

	Fixed Mean // taking tau as 0
	Wald  Mean // normal quantiles; too narrow with few sources
	// HartungKnapp takes the standard error from the scatter of the sources and t with
	// one less than their number (Hartung & Knapp 2001; Sidik & Jonkman 2002).
	HartungKnapp Mean
	// Modified is HartungKnapp with a standard error never below Wald's (Knapp &
	// Hartung 2003): the interval to show.
	Modified Mean

	Prediction Prediction
	LogLik     float64   // restricted or full, for REML and MaximumLikelihood; else NaN
	Shrunk     []float64 // each source's own value, drawn towards the mean
}

// Prediction is an interval for the value of a new source, three ways.
type Prediction struct {
	// HigginsT uses t with k-2 degrees of freedom and Wald's standard error (Higgins,
	// Thompson & Spiegelhalter 2009): the interval to show.
	HigginsT stats.Estimate
	// HartungKnappT uses t with k-1 degrees of freedom and HartungKnapp's standard
	// error; Normal uses normal quantiles and Wald's.
	HartungKnappT, Normal stats.Estimate
}

// Random pools the estimates y with variances v. The error is about numbers that
// make no sense. With fewer than two sources the status is TooLittle throughout;
// with two the spread is hardly known, and the warning few-sources says so. A
// prediction takes three, and fewer than five bring the same warning.
func Random(y, v []float64, o Options) (Pooled, error) {
	level, err := stats.LevelOrDefault(o.Level)
	if err != nil {
		return Pooled{}, err
	}
	if err := validate(y, v); err != nil {
		return Pooled{}, err
	}
	p := pooling{y, v, level}
	if len(y) < 2 {
		return p.tooLittle(o.Spread), nil
	}
	return p.random(o.Spread)
}

func validate(y, v []float64) error {
	if len(y) != len(v) {
		return fmt.Errorf("there are %d estimates but %d variances", len(y), len(v))
	}
	for i := range y {
		switch {
		case math.IsNaN(y[i]) || math.IsInf(y[i], 0):
			return &stats.InputError{Index: i, Reason: fmt.Sprintf("the estimate %v is not a finite number", y[i])}
		case !(v[i] > 0) || math.IsInf(v[i], 0):
			return &stats.InputError{Index: i, Reason: fmt.Sprintf("the variance %v is not a positive finite number", v[i])}
		}
	}
	return nil
}

// pooling is valid input.
type pooling struct {
	y, v  []float64
	level float64
}

func (p pooling) estimate(method string) stats.Estimate {
	nan := math.NaN()
	return stats.Estimate{Value: nan, Lo: nan, Hi: nan, Level: p.level, Attained: nan, N: len(p.y), Method: method, Status: stats.OK}
}

func (p pooling) tooLittle(s Spread) Pooled {
	few := stats.Warn("few-sources", "%d sources are too few to pool", len(p.y))
	none := p.estimate("").Without(stats.TooLittle, few)
	nan := math.NaN()
	mean := Mean{none, nan, nan, nan}
	return Pooled{
		Studies: len(p.y), Spread: s, Tau2: none, I2: none, H2: none, Within: nan, Q: nan, QDF: nan, QP: nan,
		Fixed: mean, Wald: mean, HartungKnapp: mean, Modified: mean, Prediction: Prediction{none, none, none}, LogLik: nan,
	}
}

func (p pooling) random(s Spread) (Pooled, error) {
	tau2, err := p.spread(s)
	if err != nil {
		return Pooled{}, err
	}
	k := float64(len(p.y))
	out := Pooled{Studies: len(p.y), Spread: s, QDF: k - 1, LogLik: p.logLik(s, tau2)}
	out.Q = p.q(0)
	out.QP = tail.ChiSquareUpper(out.Q, out.QDF)
	out.heterogeneity(p, s, tau2)

	fixed, sum := p.mean(0)
	out.Fixed = p.meanOf("fixed effect", fixed, 1/math.Sqrt(sum), math.Inf(1))
	mu, sum := p.mean(tau2)
	se := 1 / math.Sqrt(sum)
	hk := math.Sqrt(p.q(tau2)/(k-1)) * se
	out.Wald = p.meanOf("random effects, "+s.String(), mu, se, math.Inf(1))
	out.HartungKnapp = p.meanOf("random effects, "+s.String()+", Hartung-Knapp", mu, hk, k-1)
	out.Modified = p.meanOf("random effects, "+s.String()+", modified Hartung-Knapp", mu, math.Max(hk, se), k-1)
	out.Prediction = p.prediction(tau2, mu, se, hk)
	for i, y := range p.y {
		share := tau2 / (tau2 + p.v[i])
		out.Shrunk = append(out.Shrunk, mu+share*(y-mu))
	}
	return out, nil
}

// mean returns the weighted mean and the sum of the weights 1/(v + tau2).
func (p pooling) mean(tau2 float64) (mu, sum float64) {
	for i, v := range p.v {
		w := 1 / (v + tau2)
		sum += w
		mu += (p.y[i] - mu) * (w / sum)
	}
	return mu, sum
}

// q is the generalised Q statistic: the weighted sum of squares about the mean.
func (p pooling) q(tau2 float64) float64 {
	mu, _ := p.mean(tau2)
	sum := 0.0
	for i, y := range p.y {
		sum += (y - mu) * (y - mu) / (p.v[i] + tau2)
	}
	return sum
}

func (p pooling) meanOf(method string, mu, se, df float64) Mean {
	m := Mean{p.estimate(method), se, df, math.NaN()}
	half := tail.StudentUpperQuantile((1-p.level)/2, df) * se
	m.Value, m.Lo, m.Hi = mu, mu-half, mu+half
	m.P = tail.StudentTwoSided(mu/se, df)
	if len(p.y) < 3 {
		m.Warnings = append(m.Warnings, stats.Warn("few-sources", "two sources say hardly anything about how much sources differ"))
	}
	return m
}

func (p pooling) prediction(tau2, mu, se, hk float64) Prediction {
	of := func(method string, se, df float64) stats.Estimate {
		e := p.estimate(method)
		half := tail.StudentUpperQuantile((1-p.level)/2, df) * math.Sqrt(tau2+se*se)
		e.Value, e.Lo, e.Hi = mu, mu-half, mu+half
		if len(p.y) < 5 {
			e.Warnings = append(e.Warnings, stats.Warn("few-sources", "%d sources are few to foretell another one from", len(p.y)))
		}
		if len(p.y) < 3 {
			return e.Without(stats.TooLittle)
		}
		return e
	}
	k := float64(len(p.y))
	return Prediction{
		HigginsT:      of("prediction, t with k-2 degrees of freedom", se, k-2),
		HartungKnappT: of("prediction, t with k-1 degrees of freedom, Hartung-Knapp", hk, k-1),
		Normal:        of("prediction, normal", se, math.Inf(1)),
	}
}

// heterogeneity fills in Tau2, I2 and H2. The Q-profile interval holds the tau^2
// for which the generalised Q, a chi-square with k-1 degrees of freedom at the truth
// and falling in tau^2, lies between the quantiles.
func (out *Pooled) heterogeneity(p pooling, s Spread, tau2 float64) {
	k := float64(len(p.y))
	sum, squares := 0.0, 0.0
	for _, v := range p.v {
		sum += 1 / v
		squares += 1 / v / v
	}
	out.Within = (k - 1) * sum / (sum*sum - squares)
	lo, hi := p.qAt(tail.ChiSquareUpperQuantile((1-p.level)/2, k-1)), p.qAt(tail.ChiSquareQuantile((1-p.level)/2, k-1))
	fill := func(of func(tau2 float64) float64) stats.Estimate {
		e := p.estimate(s.String() + ", Q-profile interval")
		e.Value, e.Lo, e.Hi = of(tau2), of(lo), of(hi)
		switch {
		case tau2 == 0:
			e.Status = stats.Boundary
			e.Warnings = append(e.Warnings, stats.Warn("no-spread", "the sources differ no more than their own uncertainty accounts for"))
		case tau2 < lo || tau2 > hi:
			e.Warnings = append(e.Warnings, stats.Warn("outside", "estimate and interval come from different methods, and the estimate lies outside"))
		}
		return e
	}
	out.Tau2 = fill(func(t float64) float64 { return t })
	out.I2 = fill(func(t float64) float64 { return 100 * t / (t + out.Within) })
	out.H2 = fill(func(t float64) float64 { return (t + out.Within) / out.Within })
}

// qAt returns the tau^2 at which the generalised Q is q, 0 where it is below from
// the start.
func (p pooling) qAt(q float64) float64 {
	f := func(tau2 float64) float64 { return p.q(tau2) - q }
	if f(0) <= 0 {
		return 0
	}
	return root.Walk(f, 0, p.unit(), math.MaxFloat64, 0)
}

// unit is a size of tau^2 to start a search with.
func (p pooling) unit() float64 {
	sum := 0.0
	for _, v := range p.v {
		sum += v / float64(len(p.v))
	}
	return sum
}

// OneSided is the p-value against the alternative that the mean lies above 0, or below
// it. The side has to be chosen before the records are looked at.
func (m Mean) OneSided(above bool) float64 {
	if (m.Value > 0) == above {
		return m.P / 2
	}
	return 1 - m.P/2
}
