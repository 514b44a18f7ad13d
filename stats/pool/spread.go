package pool

import (
	"fmt"
	"math"

	"gravid/stats/internal/root"
)

// Spread names an estimator of the variance between sources. All are cut off at 0.
type Spread int

const (
	// REML maximises the restricted likelihood, searched as a whole, since it can
	// have two peaks.
	REML Spread = iota
	// DerSimonianLaird solves for the mean of Cochran's Q (1986).
	DerSimonianLaird
	// PauleMandel brings the generalised Q to k-1 (1982); the same as the empirical
	// Bayes estimator.
	PauleMandel
	// MaximumLikelihood is too small with few sources.
	MaximumLikelihood
	// Hedges is the sample variance less the mean variance within (Hedges & Olkin
	// 1985).
	Hedges
	// HunterSchmidt is that of Hunter & Schmidt (1990).
	HunterSchmidt
	// SidikJonkman is the two-step estimator of Sidik & Jonkman (2005), always above 0.
	SidikJonkman
)

var spreadNames = [...]string{"REML", "DerSimonian-Laird", "Paule-Mandel", "maximum likelihood", "Hedges", "Hunter-Schmidt", "Sidik-Jonkman"}

// String returns the usual name.
func (s Spread) String() string {
	if s < 0 || int(s) >= len(spreadNames) {
		return fmt.Sprintf("spread(%d)", int(s))
	}
	return spreadNames[s]
}

func (p pooling) spread(s Spread) (float64, error) {
	k := float64(len(p.y))
	switch s {
	case REML, MaximumLikelihood:
		return p.peak(s), nil
	case PauleMandel:
		return p.qAt(k - 1), nil
	case DerSimonianLaird:
		sum, squares := 0.0, 0.0
		for _, v := range p.v {
			sum += 1 / v
			squares += 1 / v / v
		}
		return math.Max(0, (p.q(0)-(k-1))/(sum-squares/sum)), nil
	case Hedges:
		variance, within := p.plain()
		return math.Max(0, variance-within), nil
	case HunterSchmidt:
		_, sum := p.mean(0)
		return math.Max(0, (p.q(0)-k)/sum), nil
	case SidikJonkman:
		variance, _ := p.plain()
		first := variance * (k - 1) / k
		return first * p.q(first) / (k - 1), nil
	}
	return 0, fmt.Errorf("there is no estimator of the spread numbered %d", int(s))
}

// plain returns the sample variance of the estimates and the mean of their own.
func (p pooling) plain() (variance, within float64) {
	mean, squares := 0.0, 0.0
	for i, y := range p.y {
		n := float64(i + 1)
		d := y - mean
		mean += d / n
		squares += d * (y - mean)
		within += (p.v[i] - within) / n
	}
	return squares / float64(len(p.y)-1), within
}

// logLik is the log-likelihood, restricted for REML, at tau^2; NaN for estimators
// that do not maximise one.
func (p pooling) logLik(s Spread, tau2 float64) float64 {
	if s != REML && s != MaximumLikelihood {
		return math.NaN()
	}
	k := float64(len(p.y))
	l := -p.q(tau2) / 2
	for _, v := range p.v {
		l -= math.Log(v+tau2) / 2
	}
	if s == MaximumLikelihood {
		return l - k/2*math.Log(2*math.Pi)
	}
	_, sum := p.mean(tau2)
	return l - (k-1)/2*math.Log(2*math.Pi) + math.Log(k)/2 - math.Log(sum)/2
}

// slope is the derivative of logLik.
func (p pooling) slope(s Spread, tau2 float64) float64 {
	mu, sum := p.mean(tau2)
	out, squares := 0.0, 0.0
	for i, y := range p.y {
		w := 1 / (p.v[i] + tau2)
		out += w * (w*(y-mu)*(y-mu) - 1)
		squares += w * w
	}
	if s == REML {
		out += squares / sum
	}
	return out / 2
}

// peak finds the highest maximum of logLik over tau^2 >= 0: a grid of steps by a
// quarter from far below the smallest variance to beyond the range of the
// estimates, then the root of the slope next to its best point.
func (p pooling) peak(s Spread) float64 {
	least, most := math.Inf(1), 0.0
	lowest, highest := math.Inf(1), math.Inf(-1)
	for i, v := range p.v {
		least, most = math.Min(least, v), math.Max(most, v)
		lowest, highest = math.Min(lowest, p.y[i]), math.Max(highest, p.y[i])
	}
	best, value := 0.0, p.logLik(s, 0)
	end := math.Max(most, (highest-lowest)*(highest-lowest))
	const step = 1.25
	for t := least * 1e-4; t < step*end; t *= step {
		if l := p.logLik(s, t); l > value {
			best, value = t, l
		}
	}
	slope := func(t float64) float64 { return p.slope(s, t) }
	if best == 0 {
		if slope(0) <= 0 {
			return 0
		}
		best = root.Between(slope, 0, least*1e-4, 0)
	} else if t := root.Between(slope, best/step, best*step, 0); !math.IsNaN(t) {
		best = t // otherwise the top is flat to the last digit
	}
	return best
}
