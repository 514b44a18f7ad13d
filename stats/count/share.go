package count

import (
	"fmt"
	"math"

	"gravid/stats"
	"gravid/stats/internal/root"
	"gravid/stats/tail"
)

// shareEstimate checks hits and trials and starts an estimate of hits/trials,
// which has status TooLittle without trials.
func shareEstimate(hits, trials int, level float64, method string) (stats.Estimate, error) {
	level, err := stats.LevelOrDefault(level)
	if err != nil {
		return stats.Estimate{}, err
	}
	if hits < 0 || trials < hits {
		return stats.Estimate{}, fmt.Errorf("there cannot be %d hits in %d trials", hits, trials)
	}
	e := stats.Estimate{
		Value: float64(hits) / float64(trials), Level: level, Attained: math.NaN(),
		N: trials, Events: hits, Method: method, Status: stats.OK,
	}
	if trials == 0 {
		return e.Without(stats.TooLittle, stats.Warn("no-observations", "there are no trials")), nil
	}
	return e, nil
}

// A shareLimits function gives the limits of a share with z standard errors, or
// half of 1 - level outside either, left out.
type shareLimits func(hits, trials, level float64) (lo, hi float64)

func share(hits, trials int, level float64, method string, limits shareLimits) (stats.Estimate, error) {
	e, err := shareEstimate(hits, trials, level, method)
	if err != nil || !e.Status.Usable() {
		return e, err
	}
	e.Lo, e.Hi = limits(float64(hits), float64(trials), e.Level)
	return e, nil
}

// ClopperPearson is the share hits/trials with the exact interval of Clopper &
// Pearson (1934), which covers at least the level (0 means 0.95). The error
// tells of hits that are not 0 to trials, or a level out of range.
func ClopperPearson(hits, trials int, level float64) (stats.Estimate, error) {
	e, err := share(hits, trials, level, "exact (Clopper-Pearson) interval", clopperPearson)
	e.Attained = e.Level
	return e, err
}

func clopperPearson(x, n, level float64) (lo, hi float64) {
	q := (1 - level) / 2
	return exactBelow(x, n, q), exactAbove(x, n, q)
}

// exactBelow is the share at which x or more hits have probability q.
func exactBelow(x, n, q float64) float64 {
	if x == 0 {
		return 0
	}
	return tail.BetaQuantile(q, x, n-x+1)
}

// exactAbove is the share at which x or fewer hits have probability q.
func exactAbove(x, n, q float64) float64 {
	if x == n {
		return 1
	}
	return tail.BetaUpperQuantile(q, x+1, n-x)
}

// Wilson is the share hits/trials with the score interval of Wilson (1927):
// right on average and never outside 0 to 1. Errors are those of
// ClopperPearson.
func Wilson(hits, trials int, level float64) (stats.Estimate, error) {
	return share(hits, trials, level, "score (Wilson) interval", wilson)
}

func wilson(x, n, level float64) (lo, hi float64) {
	z := normalLimit(level)
	centre, half := (x+z*z/2)/(n+z*z), z/(n+z*z)*math.Sqrt(x*(n-x)/n+z*z/4)
	lo, hi = math.Max(centre-half, 0), math.Min(centre+half, 1)
	if x == 0 {
		lo = 0
	}
	if x == n {
		hi = 1
	}
	return lo, hi
}

// Jeffreys is the share hits/trials with quantiles of the beta distribution
// that follows from Jeffreys' prior, the lower limit 0 without hits and the
// upper 1 without misses (Brown, Cai & DasGupta 2001). Errors are those of
// ClopperPearson.
func Jeffreys(hits, trials int, level float64) (stats.Estimate, error) {
	return share(hits, trials, level, "Jeffreys interval", func(x, n, level float64) (lo, hi float64) {
		lo, hi = jeffreys(x, n, level)
		if x == 0 {
			lo = 0
		}
		if x == n {
			hi = 1
		}
		return lo, hi
	})
}

func jeffreys(x, n, level float64) (lo, hi float64) {
	q := (1 - level) / 2
	return tail.BetaQuantile(q, x+0.5, n-x+0.5), tail.BetaUpperQuantile(q, x+0.5, n-x+0.5)
}

// AgrestiCoull is the share hits/trials with the interval of Agresti & Coull
// (1998), cut at 0 and 1. Errors are those of ClopperPearson.
func AgrestiCoull(hits, trials int, level float64) (stats.Estimate, error) {
	return share(hits, trials, level, "Agresti-Coull interval", func(x, n, level float64) (lo, hi float64) {
		lo, hi = agrestiCoull(x, n, level)
		return math.Max(lo, 0), math.Min(hi, 1)
	})
}

func agrestiCoull(x, n, level float64) (lo, hi float64) {
	z := normalLimit(level)
	n += z * z
	p := (x + z*z/2) / n
	half := z * math.Sqrt(p*(1-p)/n)
	return p - half, p + half
}

// MidP is the share hits/trials with the exact interval that counts only half
// the probability of the hits observed: shorter than ClopperPearson, and right
// on average. Errors are those of ClopperPearson.
func MidP(hits, trials int, level float64) (stats.Estimate, error) {
	return share(hits, trials, level, "mid-p exact interval", midP)
}

func midP(x, n, level float64) (lo, hi float64) {
	q := (1 - level) / 2
	k, trials := int(x), int(n)
	if k > 0 {
		lo = root.Between(func(p float64) float64 {
			return (tail.BinomialUpper(k, trials, p)+tail.BinomialUpper(k+1, trials, p))/2 - q
		}, 0, 1, 1e-13)
	}
	hi = 1
	if k < trials {
		hi = root.Between(func(p float64) float64 {
			return (tail.BinomialLower(k, trials, p)+tail.BinomialLower(k-1, trials, p))/2 - q
		}, 0, 1, 1e-13)
	}
	return lo, hi
}

// AtMost is the share hits/trials with an exact upper limit only: "0 of 14 ever
// hatched" is compatible with up to 19 in 100 (95%, one-sided). Lo is 0. Errors
// are those of ClopperPearson.
func AtMost(hits, trials int, level float64) (stats.Estimate, error) {
	e, err := share(hits, trials, level, "exact one-sided upper limit", func(x, n, level float64) (lo, hi float64) {
		return 0, exactAbove(x, n, 1-level)
	})
	e.Attained = e.Level
	return e, err
}

// AtLeast is the share hits/trials with an exact lower limit only. Hi is 1.
// Errors are those of ClopperPearson.
func AtLeast(hits, trials int, level float64) (stats.Estimate, error) {
	e, err := share(hits, trials, level, "exact one-sided lower limit", func(x, n, level float64) (lo, hi float64) {
		return exactBelow(x, n, 1-level), 1
	})
	e.Attained = e.Level
	return e, err
}

// normalLimit is the z with a share level of the normal distribution within -z
// and z.
func normalLimit(level float64) float64 { return tail.NormalUpperQuantile((1 - level) / 2) }
