package pool

import (
	"fmt"
	"math"
)

// An Effect is what one source says, for Random: an estimate and its variance.
type Effect struct {
	Value, Variance float64
	// Corrected: a count of 0 kept the estimate or its variance from existing, so 1/2 was
	// added to each count of this source. Such sources are better pooled in one
	// regression.
	Corrected bool
}

// Counts are attempts by outcome.
type Counts struct{ Successes, Failures float64 }

func (c Counts) total() float64 { return c.Successes + c.Failures }

// LogOddsRatio compares two groups on the logarithm of the odds, with the variance of
// Woolf (1955).
func LogOddsRatio(with, without Counts) (Effect, error) {
	return compare(with, without, func(a, b, c, d float64) (float64, float64) {
		return math.Log(a * d / (b * c)), 1/a + 1/b + 1/c + 1/d
	})
}

// LogRiskRatio compares them on the logarithm of the chance.
func LogRiskRatio(with, without Counts) (Effect, error) {
	return compare(with, without, func(a, b, c, d float64) (float64, float64) {
		return math.Log(a / (a + b) * (c + d) / c), 1/a - 1/(a+b) + 1/c - 1/(c+d)
	})
}

// RiskDifference compares them on the chance itself.
func RiskDifference(with, without Counts) (Effect, error) {
	return compare(with, without, func(a, b, c, d float64) (float64, float64) {
		n, m := a+b, c+d
		return a/n - c/m, a*b/(n*n*n) + c*d/(m*m*m)
	})
}

// compare checks the counts, adds 1/2 to all four where one is 0, and works out the
// effect.
func compare(with, without Counts, of func(a, b, c, d float64) (value, variance float64)) (Effect, error) {
	cells := []float64{with.Successes, with.Failures, without.Successes, without.Failures}
	if err := whole(cells); err != nil {
		return Effect{}, err
	}
	if with.total() == 0 || without.total() == 0 {
		return Effect{}, fmt.Errorf("a group without attempts cannot be compared")
	}
	var e Effect
	for _, n := range cells {
		e.Corrected = e.Corrected || n == 0
	}
	if e.Corrected {
		for k := range cells {
			cells[k] += 0.5
		}
	}
	e.Value, e.Variance = of(cells[0], cells[1], cells[2], cells[3])
	return e, nil
}

func whole(counts []float64) error {
	for _, n := range counts {
		if !(n >= 0) || math.IsInf(n, 0) {
			return fmt.Errorf("the count %v is negative or not a finite number", n)
		}
	}
	return nil
}

// LogRateRatio compares two rates: events over the time (or female-days) in which they
// could happen.
func LogRateRatio(events, time, eventsWithout, timeWithout float64) (Effect, error) {
	if err := whole([]float64{events, eventsWithout}); err != nil {
		return Effect{}, err
	}
	for _, t := range []float64{time, timeWithout} {
		if !(t > 0) || math.IsInf(t, 0) {
			return Effect{}, fmt.Errorf("the time %v is not a positive finite number", t)
		}
	}
	var e Effect
	if events == 0 || eventsWithout == 0 {
		e.Corrected = true
		events, eventsWithout = events+0.5, eventsWithout+0.5
	}
	e.Value = math.Log(events / time / (eventsWithout / timeWithout))
	e.Variance = 1/events + 1/eventsWithout
	return e, nil
}

// LogOdds is the logarithm of the odds of a single group.
func LogOdds(c Counts) (Effect, error) {
	if err := whole([]float64{c.Successes, c.Failures}); err != nil {
		return Effect{}, err
	}
	if c.total() == 0 {
		return Effect{}, fmt.Errorf("a group without attempts has no odds")
	}
	var e Effect
	a, b := c.Successes, c.Failures
	if a == 0 || b == 0 {
		e.Corrected = true
		a, b = a+0.5, b+0.5
	}
	e.Value, e.Variance = math.Log(a/b), 1/a+1/b
	return e, nil
}
