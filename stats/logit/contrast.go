package logit

import (
	"fmt"
	"math"

	"gravid/stats"
	"gravid/stats/tail"
)

// A Contrast is a weighted sum of slopes with its Wald interval: the log odds ratio
// between two rows that differ in several columns at once, such as two doses on a
// Spline or two levels of a factor. Numbers are NaN where Status is not usable.
type Contrast struct {
	stats.Estimate
	SE float64
	P  float64 // two-sided, against 0
}

// Contrast works out the sum of weight_j times slope j. Where a column with a weight
// separates the outcomes the status is Separated, as for Wald. The error says that there
// are not as many weights as columns, or that one is not finite.
func (m *Model) Contrast(weights []float64, level float64) (Contrast, error) {
	checkLevel(level)
	c := Contrast{Estimate: m.estimate(level, "Wald, "+m.Penalty.String()), SE: math.NaN(), P: math.NaN()}
	if len(weights) != len(m.Coef) {
		return c, fmt.Errorf("there are %d columns but %d weights", len(m.Coef), len(weights))
	}
	for j, w := range weights {
		if math.IsNaN(w) || math.IsInf(w, 0) {
			return c, fmt.Errorf("the weight of %s, %v, is not a finite number", m.Names[j], w)
		}
		if w != 0 && c.Status.Usable() && m.Separation.Involves(j) {
			c.Status = stats.Separated
		}
	}
	if !c.Status.Usable() {
		return c, nil
	}
	c.SE = math.Sqrt(math.Max(0, quadratic(weights, m.Cov, weights)))
	c.Value = dot(weights, m.Coef)
	half := tail.NormalUpperQuantile((1-level)/2) * c.SE
	c.Lo, c.Hi = c.Value-half, c.Value+half
	c.P = 1
	if c.SE > 0 {
		c.P = tail.NormalTwoSided(c.Value / c.SE)
	}
	return c, nil
}

// Difference returns the weights of the columns, for Model.Contrast, that set x against
// a reference value.
func (s Spline) Difference(x, reference float64) []float64 {
	return difference(s.At(x), s.At(reference))
}
