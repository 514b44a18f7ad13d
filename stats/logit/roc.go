package logit

import (
	"fmt"
	"math"
	"slices"

	"gravid/stats"
	"gravid/stats/tail"
)

// Discrimination is the area under the ROC curve of a score: the chance that a
// success has a higher score than a failure, ties counting half.
type Discrimination struct {
	stats.Estimate         // of the area; the limits of Wald are not cut to 0 to 1
	SE             float64 // of DeLong, DeLong & Clarke-Pearson (1988)
	HanleyMcNeilSE float64 // of Hanley & McNeil (1982), from the area alone

	success, failure []float64 // placement values, less the area
}

// AUC works out the area under the ROC curve of a score, and its interval from the
// variance of DeLong, DeLong & Clarke-Pearson. outcome is 1 for success and 0 for
// failure. With fewer than two of either Status is TooLittle.
//
// A score fitted to these same outcomes looks better than it would on new ones.
func AUC(score, outcome []float64, level float64) (Discrimination, error) {
	checkLevel(level)
	nan := math.NaN()
	d := Discrimination{
		Estimate: stats.Estimate{Value: nan, Lo: nan, Hi: nan, Level: level, Attained: nan, N: len(score), Method: "DeLong", Status: stats.TooLittle},
		SE:       nan, HanleyMcNeilSE: nan,
	}
	if err := checkScores(score, outcome); err != nil {
		return d, err
	}
	for _, y := range outcome {
		d.Events += int(y)
	}
	s, f := float64(d.Events), float64(d.N-d.Events)
	if s < 2 || f < 2 {
		return d, nil
	}
	d.placements(score, outcome)
	area := d.Value
	d.SE = math.Sqrt(covariance(d.success, d.success)/s + covariance(d.failure, d.failure)/f)
	q1, q2 := area/(2-area), 2*area*area/(1+area)
	d.HanleyMcNeilSE = math.Sqrt((area*(1-area) + (s-1)*(q1-area*area) + (f-1)*(q2-area*area)) / (s * f))
	half := tail.NormalUpperQuantile((1-level)/2) * d.SE
	d.Lo, d.Hi, d.Status = area-half, area+half, stats.OK
	if d.SE == 0 {
		d.Status = stats.Boundary
		d.Warnings = append(d.Warnings, stats.Warn("no-overlap", "the score splits the outcomes perfectly, so this interval has no width and says nothing"))
	}
	return d, nil
}

func checkScores(score, outcome []float64) error {
	if len(score) != len(outcome) {
		return fmt.Errorf("there are %d scores but %d outcomes", len(score), len(outcome))
	}
	for i, y := range outcome {
		if y != 0 && y != 1 {
			return &stats.InputError{Index: i, Reason: fmt.Sprintf("the outcome %v is neither 0 nor 1", y)}
		}
		if math.IsNaN(score[i]) {
			return &stats.InputError{Index: i, Reason: "the score is not a number"}
		}
	}
	return nil
}

// placements fills in the area and, for each success, the share of failures below
// it, for each failure the share of successes above it, by one pass over the
// sorted scores.
func (d *Discrimination) placements(score, outcome []float64) {
	order := make([]int, len(score))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case score[a] < score[b]:
			return -1
		case score[a] > score[b]:
			return 1
		}
		return 0
	})
	s, f := float64(d.Events), float64(d.N-d.Events)
	place := make([]float64, len(score))
	below, passed := 0.0, 0.0 // failures and successes so far
	sum := neumaier{}
	for lo := 0; lo < len(order); {
		hi, tiedSuccess, tiedFailure := lo, 0.0, 0.0
		for ; hi < len(order) && score[order[hi]] == score[order[lo]]; hi++ {
			tiedSuccess += outcome[order[hi]]
			tiedFailure += 1 - outcome[order[hi]]
		}
		for _, i := range order[lo:hi] {
			if outcome[i] == 1 {
				place[i] = (below + tiedFailure/2) / f
				sum.add(place[i])
			} else {
				place[i] = (s - passed - tiedSuccess/2) / s
			}
		}
		below, passed, lo = below+tiedFailure, passed+tiedSuccess, hi
	}
	d.Value = sum.total() / s
	for i, p := range place { // in the order of the rows, for CompareAUC
		if outcome[i] == 1 {
			d.success = append(d.success, p-d.Value)
		} else {
			d.failure = append(d.failure, p-d.Value)
		}
	}
}

// covariance is that of two lists that have been centred, with n-1 below.
func covariance(a, b []float64) float64 { return dot(a, b) / float64(len(a)-1) }

// An AUCDifference compares two scores of the same rows.
type AUCDifference struct {
	stats.Estimate // of the first area less the second
	SE, Z, P       float64
	Covariance     float64 // of the two areas
}

// CompareAUC compares the areas of two scores of the same rows, which AUC was given
// in the same order, by the paired test of DeLong, DeLong & Clarke-Pearson (1988).
func CompareAUC(a, b Discrimination) AUCDifference {
	if len(a.success) != len(b.success) || len(a.failure) != len(b.failure) || a.Level != b.Level {
		panic("stats/logit: two areas that are compared must come from the same rows and level")
	}
	nan := math.NaN()
	out := AUCDifference{Estimate: a.Estimate, SE: nan, Z: nan, P: nan, Covariance: nan}
	out.Method = "paired DeLong"
	out.Status = max(a.Status, b.Status)
	out.Value, out.Lo, out.Hi = nan, nan, nan
	if !out.Status.Usable() {
		return out
	}
	out.Covariance = covariance(a.success, b.success)/float64(len(a.success)) + covariance(a.failure, b.failure)/float64(len(a.failure))
	out.Value = a.Value - b.Value
	out.SE = math.Sqrt(math.Max(0, a.SE*a.SE+b.SE*b.SE-2*out.Covariance))
	half := tail.NormalUpperQuantile((1-a.Level)/2) * out.SE
	out.Lo, out.Hi = out.Value-half, out.Value+half
	if out.SE > 0 {
		out.Z = out.Value / out.SE
		out.P = tail.NormalTwoSided(out.Z)
	}
	return out
}
