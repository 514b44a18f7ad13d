package count

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gravid/stats"
	"gravid/stats/tail"
)

// A Part is what one unit adds to a ratio of totals: an amount (eggs) over an
// exposure (female-days). Units with the same Cluster (a keeper, a tank) may be
// alike among themselves.
type Part struct {
	Amount   float64
	Exposure float64
	Cluster  int
}

// RatioOfTotals is all amounts over all exposures, with limits from leaving out
// one cluster at a time: se^2 = (G-1)/G sum (r_g - r)^2 with r_g the ratio
// without cluster g, and r exp(-+ t se/r) with t of G-1 degrees of freedom. The
// mean of the ratios of the units would give a small tank the weight of a large
// one. Where every unit is its own cluster with the same exposure it is
// LogTMean. Events counts the clusters.
//
// Status is TooLittle for fewer than two clusters with exposure, and Boundary
// where all amounts are 0: the upper limit is then the exact one-sided one for
// independent events. The error is a *stats.InputError for an amount or
// exposure that is negative or not finite, and tells of a level out of range.
func RatioOfTotals(parts []Part, level float64) (stats.Estimate, error) {
	level, err := stats.LevelOrDefault(level)
	if err == nil {
		err = checkParts(parts)
	}
	if err != nil {
		return stats.Estimate{}, err
	}
	clusters, total := byCluster(parts)
	g := float64(len(clusters))
	e := stats.Estimate{
		Value: total.Amount / total.Exposure, Level: level, Attained: math.NaN(), N: len(parts), Events: len(clusters),
		Method: "ratio of totals, log-t cluster jackknife interval", Status: stats.OK,
	}
	switch {
	case g == 0:
		return e.Without(stats.TooLittle, stats.Warn("no-observations", "there is no exposure")), nil
	case total.Amount == 0:
		e.Status, e.Method = stats.Boundary, "exact one-sided Poisson upper limit"
		_, e.Hi = garwood(0, 1-level)
		e.Hi /= total.Exposure
		e.Warnings = append(e.Warnings, stats.Warn("all-zero", "there was nothing at all; the upper limit holds if what is counted comes independently"))
		return e, nil
	case g == 1:
		return e.Without(stats.TooLittle, stats.Warn("one-cluster", "all records belong together, so nothing can be said of the spread between one keeper or tank and the next")), nil
	}
	se := leaveOneOut(clusters, total, e.Value)
	ratio := math.Exp(tail.StudentUpperQuantile((1-level)/2, g-1) * se / e.Value)
	e.Lo, e.Hi = e.Value/ratio, e.Value*ratio
	if g < 5 {
		e.Warnings = append(e.Warnings, stats.Warn("few-clusters", "the limits rest on %d keepers or tanks only", len(clusters)))
	}
	return e, nil
}

func checkParts(parts []Part) error {
	for i, p := range parts {
		reason := ""
		switch {
		case !(p.Amount >= 0) || math.IsInf(p.Amount, 1):
			reason = fmt.Sprintf("an amount cannot be %v", p.Amount)
		case !(p.Exposure >= 0) || math.IsInf(p.Exposure, 1):
			reason = fmt.Sprintf("an exposure cannot be %v", p.Exposure)
		case p.Exposure == 0 && p.Amount > 0:
			reason = fmt.Sprintf("there is an amount of %v without any exposure", p.Amount)
		}
		if reason != "" {
			return &stats.InputError{Index: i, Reason: reason}
		}
	}
	return nil
}

// byCluster sums parts by cluster, in an order that does not depend on the one
// given, and leaves out clusters without exposure.
func byCluster(parts []Part) (clusters []Part, total Part) {
	sorted := slices.SortedFunc(slices.Values(parts), func(a, b Part) int {
		return cmp.Or(cmp.Compare(a.Cluster, b.Cluster), cmp.Compare(a.Exposure, b.Exposure), cmp.Compare(a.Amount, b.Amount))
	})
	for _, p := range sorted {
		if p.Exposure == 0 {
			continue
		}
		if n := len(clusters); n == 0 || clusters[n-1].Cluster != p.Cluster {
			clusters = append(clusters, Part{Cluster: p.Cluster})
		}
		c := &clusters[len(clusters)-1]
		c.Amount += p.Amount
		c.Exposure += p.Exposure
	}
	slices.SortFunc(clusters, func(a, b Part) int { // so that the labels do not matter either
		return cmp.Or(cmp.Compare(a.Exposure, b.Exposure), cmp.Compare(a.Amount, b.Amount))
	})
	for _, c := range clusters {
		total.Amount += c.Amount
		total.Exposure += c.Exposure
	}
	return clusters, total
}

func leaveOneOut(clusters []Part, total Part, ratio float64) float64 {
	var squares float64
	for _, c := range clusters {
		d := (total.Amount-c.Amount)/(total.Exposure-c.Exposure) - ratio
		squares += d * d
	}
	g := float64(len(clusters))
	return math.Sqrt((g - 1) / g * squares)
}
