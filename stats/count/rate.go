package count

import (
	"fmt"
	"math"

	"gravid/stats"
	"gravid/stats/tail"
)

func checkRate(events int, exposure float64) error {
	switch {
	case events < 0:
		return fmt.Errorf("there cannot be %d events", events)
	case !(exposure > 0) || math.IsInf(exposure, 1):
		return fmt.Errorf("the exposure must be positive and finite, not %v", exposure)
	}
	return nil
}

// PoissonRate is events/exposure with the exact interval of Garwood (1936), for
// events that come independently of each other. Eggs of one clutch do not: use
// LogTMean or RatioOfTotals. The error tells of events below 0, an exposure that
// is not positive, or a level (0 means 0.95) out of range.
func PoissonRate(events int, exposure, level float64) (stats.Estimate, error) {
	e, err := rateEstimate(events, exposure, level, "exact Poisson (Garwood) interval")
	if err != nil {
		return e, err
	}
	e.Lo, e.Hi = garwood(events, (1-e.Level)/2)
	e.Lo, e.Hi = e.Lo/exposure, e.Hi/exposure
	return e, nil
}

func rateEstimate(events int, exposure, level float64, method string) (stats.Estimate, error) {
	level, err := stats.LevelOrDefault(level)
	if err == nil {
		err = checkRate(events, exposure)
	}
	if err != nil {
		return stats.Estimate{}, err
	}
	return stats.Estimate{
		Value: float64(events) / exposure, Level: level, Attained: level, N: 1, Events: events, Method: method, Status: stats.OK,
	}, nil
}

// garwood returns the means at which so many events or more, or so many or
// fewer, have probability q.
func garwood(events int, q float64) (lo, hi float64) {
	x := float64(events)
	if events > 0 {
		lo = tail.GammaQuantile(q, x)
	}
	return lo, tail.GammaUpperQuantile(q, x+1)
}

// PoissonAtMost is events/exposure with an exact upper limit only: 3.0/exposure
// for no event at all (95%). Lo is 0. Errors are those of PoissonRate.
func PoissonAtMost(events int, exposure, level float64) (stats.Estimate, error) {
	e, err := rateEstimate(events, exposure, level, "exact one-sided Poisson upper limit")
	if err != nil {
		return e, err
	}
	_, e.Hi = garwood(events, 1-e.Level)
	e.Lo, e.Hi = 0, e.Hi/exposure
	return e, nil
}

// A Ratio is an estimated ratio with the p-value of "the ratio is 1" from the
// same model. P is NaN unless Status is usable.
type Ratio struct {
	stats.Estimate
	P float64
}

// RateRatio is the ratio of two Poisson rates, (events1/exposure1) /
// (events2/exposure2), with exact conditional limits (the Clopper-Pearson limits
// of events1 among all events) and the exact two-sided p-value. The ratio is
// +Inf, with a warning, where the second rate had no events; status is TooLittle
// if neither had. Errors are those of PoissonRate.
func RateRatio(events1 int, exposure1 float64, events2 int, exposure2, level float64) (Ratio, error) {
	a, err := rateEstimate(events1, exposure1, level, "exact conditional interval")
	if err == nil {
		err = checkRate(events2, exposure2)
	}
	if err != nil {
		return Ratio{a, math.NaN()}, err
	}
	r := Ratio{a, math.NaN()}
	r.N, r.Events = 2, events1+events2
	if r.Events == 0 {
		r.Estimate = r.Without(stats.TooLittle, stats.Warn("no-events", "neither of the two had any events"))
		return r, nil
	}
	scale := exposure2 / exposure1
	r.Value = float64(events1) / float64(events2) * scale
	lo, hi := clopperPearson(float64(events1), float64(r.Events), r.Level)
	r.Lo, r.Hi = lo/(1-lo)*scale, hi/(1-hi)*scale
	switch {
	case events2 == 0:
		r.Warnings = append(r.Warnings, stats.Warn("no-upper-limit", "the second rate had no events, so the ratio has no upper limit; a longer exposure of the second would set one"))
	case events1 == 0:
		r.Warnings = append(r.Warnings, stats.Warn("no-events", "the first rate had no events"))
	}
	r.P = binomialP(events1, r.Events, exposure1/(exposure1+exposure2))
	return r, nil
}

// binomialP is the two-sided p-value of so many hits where each trial has
// probability p.
func binomialP(hits, trials int, p float64) float64 {
	logs := make([]float64, trials+1)
	for k := range logs {
		logs[k] = logChoose(trials, k) + float64(k)*math.Log(p) + float64(trials-k)*math.Log1p(-p)
	}
	return noMoreLikely(logs, hits)
}
