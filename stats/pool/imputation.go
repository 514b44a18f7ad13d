package pool

import (
	"fmt"
	"math"

	"gravid/stats"
	"gravid/stats/tail"
)

// Imputed is an estimate joined over several imputations of what is missing.
type Imputed struct {
	Mean                 // DF are those of Barnard & Rubin where the complete data's are known
	Imputations  int     // number of them
	Within       float64 // mean variance within imputations
	Between      float64 // variance of the estimates between them
	RubinDF      float64 // as if the complete data had infinitely many (Rubin 1987); infinite where nothing varies
	MissingShare float64 // share of the variance that is due to what is missing
	Efficiency   float64 // of so many imputations, against infinitely many
}

// Impute joins the estimates of the same quantity from m completed data sets, with
// their variances, by the rules of Rubin (1987): the variance is the mean variance
// plus (1 + 1/m) times the variance between. completeDF are the degrees of freedom
// that the estimate would have if nothing were missing (infinite where unknown);
// from them follow those of Barnard & Rubin (1999), which small records need.
//
// Under separation the normal shape that these rules rest on fails, and profiles
// should be joined instead (Heinze, Ploner & Beyea 2013), which this does not do. With
// fewer than two imputations Status is TooLittle.
func Impute(estimates, variances []float64, completeDF, level float64) (Imputed, error) {
	level, err := stats.LevelOrDefault(level)
	if err != nil {
		return Imputed{}, err
	}
	if err := validate(estimates, variances); err != nil {
		return Imputed{}, err
	}
	if !(completeDF > 0) {
		return Imputed{}, fmt.Errorf("the degrees of freedom of the complete data must be above 0, not %v", completeDF)
	}
	nan, p := math.NaN(), pooling{estimates, variances, level}
	out := Imputed{Mean: Mean{p.estimate("multiple imputation"), nan, nan, nan}, Imputations: len(estimates), Within: nan, Between: nan, RubinDF: nan, MissingShare: nan, Efficiency: nan}
	m := float64(len(estimates))
	if m < 2 {
		out.Estimate = out.Without(stats.TooLittle, stats.Warn("few-imputations", "%d imputations do not show how much the missing values matter", len(estimates)))
		return out, nil
	}
	out.Between, out.Within = p.plain()
	out.join(m, completeDF, level, mean(estimates))
	return out, nil
}

func mean(v []float64) float64 {
	sum := 0.0
	for i, x := range v {
		sum += (x - sum) / float64(i+1)
	}
	return sum
}

// join works out what follows from the two variances.
func (out *Imputed) join(m, completeDF, level, value float64) {
	extra := (1 + 1/m) * out.Between
	total := out.Within + extra
	share := extra / total // lambda
	out.RubinDF = (m - 1) / (share * share)
	observed := (completeDF + 1) / (completeDF + 3) * completeDF * (1 - share)
	if math.IsInf(completeDF, 1) {
		observed = math.Inf(1)
	}
	out.DF = 1 / (1/out.RubinDF + 1/observed)
	r := extra / out.Within
	out.MissingShare = share
	if out.Between > 0 {
		out.MissingShare = (r + 2/(out.RubinDF+3)) / (r + 1)
	}
	out.Efficiency = 1 / (1 + out.MissingShare/m)
	out.SE = math.Sqrt(total)
	half := tail.StudentUpperQuantile((1-level)/2, out.DF) * out.SE
	out.Value, out.Lo, out.Hi = value, value-half, value+half
	out.P = tail.StudentTwoSided(value/out.SE, out.DF)
}
