package count

import (
	"fmt"
	"math"

	"gravid/stats"
)

// SampledTotal is the total of which a share fraction was looked through and
// counted found: counted/fraction, with limits from what may have been left, a
// negative binomial of size counted + 1/2. It takes the part counted for a
// random one; a ready-made share of a round number is none. The error tells of a
// count below 0, a fraction that is not above 0 and at most 1, or a level (0
// means 0.95) out of range.
func SampledTotal(counted int, fraction, level float64) (stats.Estimate, error) {
	level, err := stats.LevelOrDefault(level)
	switch {
	case err != nil:
	case counted < 0:
		err = fmt.Errorf("there cannot be %d counted", counted)
	case !(fraction > 0 && fraction <= 1):
		err = fmt.Errorf("the share that was counted must be above 0 and at most 1, not %v", fraction)
	}
	if err != nil {
		return stats.Estimate{}, err
	}
	c := float64(counted)
	e := stats.Estimate{Value: c / fraction, Level: level, Attained: math.NaN(), N: 1, Events: counted, Method: "negative binomial rest of a sample", Status: stats.OK}
	e.Lo, e.Hi = restLimits(c, fraction, level)
	return e, nil
}

// restLimits are those of the whole where counted were found in a share of it.
func restLimits(counted, share, level float64) (lo, hi float64) {
	if share == 1 {
		return counted, counted
	}
	k := counted + 0.5
	rest := mixture{{negBinomial: negBinomial{mu: k * (1 - share) / share, k: k}, weight: 1}}
	return counted + rest.quantile((1-level)/2), counted + rest.quantile((1+level)/2)
}
