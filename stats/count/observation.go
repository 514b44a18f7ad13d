package count

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gravid/stats"
)

// A Count is what is known of a number of things: that it lies between Lo and
// Hi, both included. Lo == Hi means that it was counted; a Hi of +Inf that there
// were at least Lo.
type Count struct {
	Lo, Hi float64
	// Exposure is what the number is proportional to: the share of a clutch
	// that was counted (Lo and Hi are then what was counted, not scaled up), or
	// female-days. 0 (unset) counts as 1.
	Exposure float64
}

// Exactly is a Count known exactly, of all there was.
func Exactly(n int) Count { return Count{Lo: float64(n), Hi: float64(n)} }

func (c Count) exact() bool { return c.Lo == c.Hi }

func (c Count) refuse() string {
	switch {
	case !(c.Lo >= 0) || math.IsInf(c.Lo, 1) || !(c.Hi >= c.Lo):
		return fmt.Sprintf("a number cannot lie between %v and %v", c.Lo, c.Hi)
	case c.Lo != math.Trunc(c.Lo) || c.Hi != math.Trunc(c.Hi):
		return fmt.Sprintf("%v to %v is not in whole numbers", c.Lo, c.Hi)
	case c.Hi > mostCountable && !math.IsInf(c.Hi, 1) || c.Lo > mostCountable:
		return fmt.Sprintf("%v is more than this method can take", c.Hi)
	case !(c.Exposure >= 0) || math.IsInf(c.Exposure, 1):
		return fmt.Sprintf("an exposure cannot be %v", c.Exposure)
	}
	return ""
}

// middle is that of the range, or the least there were.
func (c Count) middle() float64 {
	if math.IsInf(c.Hi, 1) {
		return c.Lo
	}
	return (c.Lo + c.Hi) / 2
}

// mostCountable keeps the sums over the numbers of a range within reason.
const mostCountable = 1e7

// A tally is how often the same Count occurred.
type tally struct {
	Count
	times        float64
	logFactorial float64 // of an exact count
}

// tallies checks the counts and collects equal ones, in an order of their own.
func tallies(counts []Count) ([]tally, error) {
	times := map[Count]float64{}
	for i, c := range counts {
		if reason := c.refuse(); reason != "" {
			return nil, &stats.InputError{Index: i, Reason: reason}
		}
		if c.Exposure == 0 {
			c.Exposure = 1
		}
		times[c]++
	}
	out := make([]tally, 0, len(times))
	for c, n := range times {
		out = append(out, tally{c, n, logFactorial(c.Lo)})
	}
	slices.SortFunc(out, func(a, b tally) int {
		return cmp.Or(cmp.Compare(a.Exposure, b.Exposure), cmp.Compare(a.Lo, b.Lo), cmp.Compare(a.Hi, b.Hi))
	})
	return out, nil
}
