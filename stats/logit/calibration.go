package logit

import (
	"math"
	"slices"

	"gravid/stats"
	"gravid/stats/tail"
)

// Accuracy says how near predicted chances came to outcomes.
type Accuracy struct {
	Brier  float64 // mean squared distance (Brier 1950)
	Scaled float64 // 1 less Brier over what the overall proportion would give
	Tjur   float64 // mean chance of successes less that of failures (Tjur 2009)
}

// Score works out the accuracy of chances for outcomes of 1 and 0. Scaled and Tjur
// are NaN where only one outcome was seen.
func Score(chance, outcome []float64) (Accuracy, error) {
	if err := checkChances(chance, outcome); err != nil {
		return Accuracy{}, err
	}
	n, s := float64(len(outcome)), 0.0
	squares, success, failure := 0.0, 0.0, 0.0
	for i, y := range outcome {
		s += y
		squares += (y - chance[i]) * (y - chance[i])
		success += y * chance[i]
		failure += (1 - y) * chance[i]
	}
	out := Accuracy{Brier: squares / n, Scaled: math.NaN(), Tjur: math.NaN()}
	if s > 0 && s < n {
		out.Scaled = 1 - out.Brier/(s/n*(1-s/n))
		out.Tjur = success/s - failure/(n-s)
	}
	return out, nil
}

func checkChances(chance, outcome []float64) error {
	if err := checkScores(chance, outcome); err != nil {
		return err
	}
	for i, p := range chance {
		if p < 0 || p > 1 {
			return &stats.InputError{Index: i, Reason: "the chance does not lie between 0 and 1"}
		}
	}
	return nil
}

// Cuts says which quantiles of the chances divide the rows into groups (types of
// Hyndman & Fan 1996). The test depends on them, which is one reason not to lean on
// it.
type Cuts int

const (
	// Type7 are R's default quantiles.
	Type7 Cuts = iota
	// Type6 are those of many other programs.
	Type6
)

// A CalibrationGroup is a stretch of predicted chances.
type CalibrationGroup struct {
	From, To float64 // above From (from it on, in the first group) up to To
	N        int
	Observed float64 // successes
	Expected float64 // sum of the chances
}

// Calibration compares what was seen with what was foretold, by groups.
type Calibration struct {
	Groups []CalibrationGroup
	Test   Test // of Hosmer & Lemeshow (1980)
}

// Calibrate divides the rows into groups of about equal size by their predicted
// chance and compares successes with what the chances promise. Cuts that fall
// together are one. The statistic sum (o - e)^2/(e (1 - e/n)) is set against
// chi-square with two degrees of freedom fewer than groups; with fewer than three
// groups Test has Status TooLittle.
//
// With small groups, as keepers' records make them, the test sees little; look at
// the groups.
func Calibrate(chance, outcome []float64, groups int, cuts Cuts) (Calibration, error) {
	if groups < 1 {
		panic("stats/logit: there must be at least one group")
	}
	if err := checkChances(chance, outcome); err != nil {
		return Calibration{}, err
	}
	out := Calibration{Test: Test{Statistic: math.NaN(), P: math.NaN(), Method: "Hosmer-Lemeshow", Status: stats.TooLittle}}
	if len(chance) == 0 {
		return out, nil
	}
	out.Groups = calibrationGroups(chance, groups, cuts)
	for i, p := range chance {
		g := &out.Groups[groupAt(out.Groups, p)]
		g.N++
		g.Observed += outcome[i]
		g.Expected += p
	}
	out.test()
	return out, nil
}

func calibrationGroups(chance []float64, groups int, cuts Cuts) []CalibrationGroup {
	sorted := slices.Clone(chance)
	slices.Sort(sorted)
	kind := 7
	if cuts == Type6 {
		kind = 6
	}
	var breaks []float64
	for g := range groups + 1 {
		breaks = append(breaks, quantile(sorted, float64(g)/float64(groups), kind))
	}
	breaks = slices.Compact(breaks)
	if len(breaks) == 1 { // all chances alike
		return []CalibrationGroup{{From: breaks[0], To: breaks[0]}}
	}
	var out []CalibrationGroup
	for g := range breaks[1:] {
		out = append(out, CalibrationGroup{From: breaks[g], To: breaks[g+1]})
	}
	return out
}

// groupAt is the first group that reaches up to p.
func groupAt(groups []CalibrationGroup, p float64) int {
	for g := range groups {
		if p <= groups[g].To {
			return g
		}
	}
	return len(groups) - 1
}

func (c *Calibration) test() {
	if len(c.Groups) < 3 {
		return
	}
	c.Test.DF = len(c.Groups) - 2
	sum := 0.0
	for _, g := range c.Groups {
		n, e := float64(g.N), g.Expected
		if g.N == 0 || e == 0 || e == n {
			continue // nothing foretold but what must be, or nothing there
		}
		sum += (g.Observed - e) * (g.Observed - e) / (e * (1 - e/n))
	}
	c.Test.Status = stats.OK
	c.Test.Statistic = sum
	c.Test.P = tail.ChiSquareUpper(sum, float64(c.Test.DF))
}

// VarianceInflation returns by how much the variance of each slope is larger than
// if its column were uncorrelated with the others, at the weights of the fit: the
// diagonal of the correlation matrix of the slopes times that of its inverse (Fox &
// Monette 1992). NaN where the model is not usable.
func (m *Model) VarianceInflation() []float64 {
	out := make([]float64, len(m.Coef))
	for j := range out {
		out[j] = m.GeneralizedVarianceInflation(j)
	}
	return out
}

// GeneralizedVarianceInflation is the same for a set of columns that belong
// together, such as the levels of a factor: det R11 det R22 / det R for the
// correlation matrix R of the slopes. Its root of twice the size of the set is
// comparable between sets.
func (m *Model) GeneralizedVarianceInflation(columns ...int) float64 {
	if !m.Status.Usable() {
		return math.NaN()
	}
	var rest, all []int
	for j := range m.Coef {
		all = append(all, j)
		if !slices.Contains(columns, j) {
			rest = append(rest, j)
		}
	}
	return math.Exp(m.logCorrelation(columns) + m.logCorrelation(rest) - m.logCorrelation(all))
}

// logCorrelation is the log determinant of the correlation matrix of some slopes.
func (m *Model) logCorrelation(columns []int) float64 {
	q := len(columns)
	r := make([]float64, q*q)
	for a, j := range columns {
		for b, k := range columns {
			r[a*q+b] = m.Cov[j][k] / m.SE[j] / m.SE[k]
		}
	}
	var chol cholesky
	if !chol.factor(r, q) {
		return math.NaN()
	}
	return chol.logDet()
}
