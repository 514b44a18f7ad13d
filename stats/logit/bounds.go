package logit

import (
	"fmt"
	"math"

	"gravid/stats"
)

// Bounds hold the difference in the chance of success with and without a trigger,
// whatever the missing records would have said.
type Bounds struct {
	Lo, Hi   float64
	Complete float64 // with the complete records alone
	Status   stats.Status
}

// TriggerCounts count attempts by trigger and outcome; Missing are those whose
// trigger nobody recorded.
type TriggerCounts struct {
	WithSuccess, WithFailure       int
	WithoutSuccess, WithoutFailure int
	MissingSuccess, MissingFailure int
}

// MissingTriggerBounds returns the least and the greatest difference in the
// proportion of successes, with the trigger less without, over all ways in which the
// missing triggers could have been (Manski 1990; Horowitz & Manski 2000). Nothing is
// assumed about why they are missing. Status is TooLittle where with or without
// could be empty.
func MissingTriggerBounds(c TriggerCounts) (Bounds, error) {
	nan := math.NaN()
	out := Bounds{nan, nan, nan, stats.TooLittle}
	for _, n := range []int{c.WithSuccess, c.WithFailure, c.WithoutSuccess, c.WithoutFailure, c.MissingSuccess, c.MissingFailure} {
		if n < 0 {
			return out, fmt.Errorf("a count of %d is negative", n)
		}
	}
	if c.WithSuccess+c.WithFailure == 0 || c.WithoutSuccess+c.WithoutFailure == 0 {
		return out, nil
	}
	difference := func(s, f int) float64 { // s successes and f failures of those missing had it
		return share(c.WithSuccess+s, c.WithFailure+f) - share(c.WithoutSuccess+c.MissingSuccess-s, c.WithoutFailure+c.MissingFailure-f)
	}
	// The difference rises with s and falls with f: another success with the trigger
	// lifts the first proportion and lowers the second.
	out.Status = stats.OK
	out.Lo, out.Hi = difference(0, c.MissingFailure), difference(c.MissingSuccess, 0)
	out.Complete = share(c.WithSuccess, c.WithFailure) - share(c.WithoutSuccess, c.WithoutFailure)
	return out, nil
}

func share(successes, failures int) float64 {
	return float64(successes) / float64(successes+failures)
}
