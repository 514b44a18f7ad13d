package power

import (
	"math"

	"gravid/stats/tail"
)

// A Test is the significance test of a plan.
type Test struct {
	Alpha float64 // level, both sides together
	Sides int     // 1 or 2; 0 means 2
}

// critical is the quantile that the statistic has to pass.
func (t Test) critical() float64 {
	switch t.Sides {
	case 0, 2:
		return tail.NormalUpperQuantile(t.Alpha / 2)
	case 1:
		return tail.NormalUpperQuantile(t.Alpha)
	}
	return math.NaN()
}

// between reports whether all values lie strictly between 0 and 1.
func between(values ...float64) bool {
	for _, v := range values {
		if !(v > 0 && v < 1) {
			return false
		}
	}
	return true
}

// TwoProportions is a comparison of chances p1 and p2 in two groups, by the normal test
// with a pooled variance.
type TwoProportions struct {
	P1, P2 float64
	Test   Test
	Ratio  float64 // size of the second group over that of the first; 0 means 1
}

// ratio is Ratio, with 1 for 0.
func (c TwoProportions) ratio() float64 {
	if c.Ratio == 0 {
		return 1
	}
	return c.Ratio
}

// valid reports whether everything but the chances' difference makes sense.
func (c TwoProportions) valid() bool {
	r := c.ratio()
	return between(c.P1, c.P2, c.Test.Alpha) && r > 0 && r <= math.MaxFloat64
}

func (c TwoProportions) spreads() (null, other float64) {
	r := c.ratio()
	mean := (c.P1 + r*c.P2) / (1 + r)
	return math.Sqrt((1 + 1/r) * mean * (1 - mean)), math.Sqrt(c.P1*(1-c.P1) + c.P2*(1-c.P2)/r)
}

// Power is the chance to see the difference, in its own direction, with n in the first
// group (in each, where Ratio is 1).
func (c TwoProportions) Power(n float64) float64 {
	if !c.valid() || !(n > 0) {
		return math.NaN()
	}
	null, other := c.spreads()
	return tail.NormalLower((math.Sqrt(n)*math.Abs(c.P1-c.P2) - c.Test.critical()*null) / other)
}

// PowerEitherWay adds the chance to see a difference the wrong way round, for a
// two-sided test.
func (c TwoProportions) PowerEitherWay(n float64) float64 {
	null, other := c.spreads()
	wrong := tail.NormalUpper((math.Sqrt(n)*math.Abs(c.P1-c.P2) + c.Test.critical()*null) / other)
	if c.Test.Sides == 1 {
		wrong = 0
	}
	return c.Power(n) + wrong
}

// Size is the number in the first group (in each, where Ratio is 1) for the given power,
// not rounded; the closed form of Fleiss (1981).
func (c TwoProportions) Size(power float64) float64 {
	if !c.valid() || !between(power) || c.P1 == c.P2 {
		return math.NaN()
	}
	null, other := c.spreads()
	root := (c.Test.critical()*null + tail.NormalQuantile(power)*other) / (c.P1 - c.P2)
	return root * root
}

// SizeCorrected is Size with the continuity correction of Casagrande, Pike & Smith
// (1978) and, for groups of unequal size, Fleiss, Tytun & Ury (1980), close to what
// Fisher's exact test needs.
func (c TwoProportions) SizeCorrected(power float64) float64 {
	n, r := c.Size(power), c.ratio()
	root := 1 + math.Sqrt(1+2*(r+1)/(r*n*math.Abs(c.P1-c.P2)))
	return n / 4 * root * root
}

// EffectSize is Cohen's h (1988), the difference of 2 asin(sqrt p).
func (c TwoProportions) EffectSize() float64 {
	if !between(c.P1, c.P2) {
		return math.NaN()
	}
	return 2*math.Asin(math.Sqrt(c.P1)) - 2*math.Asin(math.Sqrt(c.P2))
}

// PowerArcsine is the power of the test on the arcsine scale with n1 and n2 in the
// groups (Cohen 1988), either way for a two-sided test.
func (c TwoProportions) PowerArcsine(n1, n2 float64) float64 {
	if !between(c.Test.Alpha) || !(n1 > 0 && n2 > 0) {
		return math.NaN()
	}
	shift := math.Abs(c.EffectSize()) * math.Sqrt(n1*n2/(n1+n2))
	power := tail.NormalUpper(c.Test.critical() - shift)
	if c.Test.Sides != 1 {
		power += tail.NormalUpper(c.Test.critical() + shift)
	}
	return power
}

// LogisticDose is a logistic regression on a column that is about normal (Hsieh,
// Bloch & Larsen 1998).
type LogisticDose struct {
	P         float64 // chance at the mean of the column
	OddsRatio float64 // for one standard deviation
	R2        float64 // squared multiple correlation of the column with the others; 0 where it is alone
	Test      Test
}

func (c LogisticDose) valid() bool {
	return between(c.P, c.Test.Alpha) && c.R2 >= 0 && c.R2 < 1 && c.OddsRatio > 0
}

// Size is the number of rows for the given power, not rounded.
func (c LogisticDose) Size(power float64) float64 {
	if !c.valid() || !between(power) || c.OddsRatio == 1 {
		return math.NaN()
	}
	z, b := c.Test.critical()+tail.NormalQuantile(power), math.Log(c.OddsRatio)
	return z * z / (c.P * (1 - c.P) * b * b) / (1 - c.R2)
}

// Power is the chance to see the slope with n rows.
func (c LogisticDose) Power(n float64) float64 {
	if !c.valid() || !(n > 0) {
		return math.NaN()
	}
	return tail.NormalLower(math.Sqrt(n*(1-c.R2)*c.P*(1-c.P))*math.Abs(math.Log(c.OddsRatio)) - c.Test.critical())
}

// LogisticTrigger is a logistic regression on a trigger of yes or no (Hsieh, Bloch &
// Larsen 1998).
type LogisticTrigger struct {
	P0, P1 float64 // chance without and with the trigger
	Share  float64 // of rows with the trigger
	R2     float64 // as in LogisticDose
	Test   Test
}

func (c LogisticTrigger) valid() bool {
	return between(c.P0, c.P1, c.Share, c.Test.Alpha) && c.R2 >= 0 && c.R2 < 1
}

func (c LogisticTrigger) spreads() (null, other float64) {
	mean := (1-c.Share)*c.P0 + c.Share*c.P1
	return math.Sqrt(mean * (1 - mean) / c.Share), math.Sqrt(c.P0*(1-c.P0) + c.P1*(1-c.P1)*(1-c.Share)/c.Share)
}

// Size is the number of rows for the given power, not rounded.
func (c LogisticTrigger) Size(power float64) float64 {
	if !c.valid() || !between(power) || c.P0 == c.P1 {
		return math.NaN()
	}
	null, other := c.spreads()
	root := (c.Test.critical()*null + tail.NormalQuantile(power)*other) / (c.P0 - c.P1)
	return root * root / (1 - c.Share) / (1 - c.R2)
}

// Power is the chance to see the difference with n rows.
func (c LogisticTrigger) Power(n float64) float64 {
	if !c.valid() || !(n > 0) {
		return math.NaN()
	}
	null, other := c.spreads()
	return tail.NormalLower((math.Sqrt(n*(1-c.R2)*(1-c.Share))*math.Abs(c.P0-c.P1) - c.Test.critical()*null) / other)
}

// Events is the number of events that a comparison of two groups' times needs
// (Schoenfeld 1981), not rounded; share is the part of the rows in one of the groups.
func Events(hazardRatio, share, power float64, t Test) float64 {
	if !between(share, power, t.Alpha) || !(hazardRatio > 0) || hazardRatio == 1 {
		return math.NaN()
	}
	z, b := t.critical()+tail.NormalQuantile(power), math.Log(hazardRatio)
	return z * z / (share * (1 - share) * b * b)
}

// DesignEffect is by how much a plan with clusters of the given size needs more rows
// than one with independent rows, where rows of a cluster share the trigger and are
// correlated (Kish 1965).
func DesignEffect(clusterSize, correlation float64) float64 {
	if !(clusterSize >= 1) || !(correlation >= -1 && correlation <= 1) {
		return math.NaN()
	}
	return 1 + (clusterSize-1)*correlation
}
