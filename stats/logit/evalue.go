package logit

import (
	"math"

	"gravid/stats"
)

// An EValue says how strongly something unrecorded would have to be linked, both
// with the column and with the outcome, to explain an estimate away: each by at
// least this risk ratio (VanderWeele & Ding 2017). 1 means that nothing at all is
// needed. It is no proof of anything.
type EValue struct {
	Point float64
	// Limit is the same for the end of the interval nearer to no effect; 1 where
	// the interval holds no effect.
	Limit float64
}

// EValueOf works out the E-value of a log odds ratio. If the outcome is common
// (more than about 15% of trials), the risk ratio is taken to be the square root
// of the odds ratio, otherwise the odds ratio itself. Both numbers are NaN where
// the estimate is not usable.
func EValueOf(logOddsRatio stats.Estimate, common bool) EValue {
	if !logOddsRatio.Status.Usable() {
		return EValue{math.NaN(), math.NaN()}
	}
	shrink := 1.0
	if common {
		shrink = 0.5
	}
	out := EValue{Point: EValueOfRatio(math.Exp(shrink * logOddsRatio.Value)), Limit: 1}
	switch {
	case logOddsRatio.Lo > 0:
		out.Limit = EValueOfRatio(math.Exp(shrink * logOddsRatio.Lo))
	case logOddsRatio.Hi < 0:
		out.Limit = EValueOfRatio(math.Exp(shrink * logOddsRatio.Hi))
	}
	return out
}

// EValueOfRatio is RR + sqrt(RR (RR-1)) for a risk ratio RR >= 1; a ratio below 1
// is turned over first.
func EValueOfRatio(rr float64) float64 {
	if rr < 1 {
		rr = 1 / rr
	}
	if math.IsInf(rr, 1) {
		return rr
	}
	return rr + math.Sqrt(rr)*math.Sqrt(rr-1)
}
