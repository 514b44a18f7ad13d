package count

import (
	"fmt"
	"math"
	"slices"

	"gravid/stats"
	"gravid/stats/tail"
)

// LogTMean is the mean m of amounts (eggs in clutches) with the limits
// m exp(-+ t s/(m sqrt n)) of a log-link quasi-likelihood: t of n-1 degrees of
// freedom, s the standard deviation. It allows for any spread proportional to
// the mean and is the one to use for a handful of clutches, where limits from
// the Poisson distribution are far too narrow.
//
// Status is TooLittle for fewer than two amounts, which leaves no limits, and
// Boundary where all are 0 (the upper limit is then the exact one for
// independent events) or all are alike (there is then no limit on either side).
// The error is a *stats.InputError for an amount that is negative or not finite,
// and tells of a level (0 means 0.95) out of range.
func LogTMean(amounts []float64, level float64) (stats.Estimate, error) {
	level, err := stats.LevelOrDefault(level)
	if err != nil {
		return stats.Estimate{}, err
	}
	for i, x := range amounts {
		if !(x >= 0) || math.IsInf(x, 1) {
			return stats.Estimate{}, &stats.InputError{Index: i, Reason: fmt.Sprintf("an amount cannot be %v", x)}
		}
	}
	e := stats.Estimate{Level: level, Attained: math.NaN(), N: len(amounts), Method: "log-t quasi-likelihood interval", Status: stats.OK}
	n := float64(len(amounts))
	mean, sd := meanAndSD(amounts)
	switch {
	case n == 0:
		return e.Without(stats.TooLittle, stats.Warn("no-observations", "there are no amounts")), nil
	case n == 1:
		return e.Without(stats.TooLittle, stats.Warn("one-observation", "there is one amount only, %v, so nothing can be said of the spread between one and the next", amounts[0])), nil
	case mean == 0:
		e.Status = stats.Boundary
		_, e.Hi = garwood(0, 1-level)
		e.Hi /= n
		e.Warnings = append(e.Warnings, stats.Warn("all-zero", "all %d amounts are 0; the upper limit holds if what is counted comes independently", len(amounts)))
		return e, nil
	}
	e.Value = mean
	if sd == 0 {
		e.Status, e.Lo, e.Hi = stats.Boundary, 0, math.Inf(1)
		e.Warnings = append(e.Warnings, stats.Warn("all-alike", "all %d amounts are %v, as if rounded, so they show nothing of the spread and set no limits; exact counts would", len(amounts), mean))
		return e, nil
	}
	ratio := math.Exp(tail.StudentUpperQuantile((1-level)/2, n-1) * sd / (mean * math.Sqrt(n)))
	e.Lo, e.Hi = mean/ratio, mean*ratio
	return e, nil
}

// meanAndSD sums in ascending order, so that the order given does not matter.
func meanAndSD(x []float64) (mean, sd float64) {
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	n := float64(len(x))
	for _, v := range sorted {
		mean += v / n
	}
	for _, v := range sorted {
		sd += (v - mean) * (v - mean)
	}
	if len(sorted) > 0 && sorted[0] == sorted[len(sorted)-1] {
		return sorted[0], 0
	}
	return mean, math.Sqrt(sd / (n - 1))
}

// TMean is the mean with the limits of Student's t distribution, for amounts
// that vary evenly to both sides; the lower limit may be below 0. Status and
// errors are those of LogTMean, but amounts that are all 0 are like others that
// are all alike.
func TMean(amounts []float64, level float64) (stats.Estimate, error) {
	return meanBy(amounts, level, "t interval", func(mean, sd, n, t float64) (value, lo, hi float64) {
		half := t * sd / math.Sqrt(n)
		return mean, mean - half, mean + half
	}, func(x float64) float64 { return x })
}

// GeometricMean is the exponential of the mean of the logs, the middle of a
// lognormal distribution, with t limits on the log scale. Status and errors are
// those of TMean; the error is also for an amount of 0, which has no log.
func GeometricMean(amounts []float64, level float64) (stats.Estimate, error) {
	return meanBy(amounts, level, "geometric mean, t interval on the log scale", func(mean, sd, n, t float64) (value, lo, hi float64) {
		half := t * sd / math.Sqrt(n)
		return math.Exp(mean), math.Exp(mean - half), math.Exp(mean + half)
	}, math.Log)
}

// LogNormalMean is the mean exp(m + s^2/2) of a lognormal distribution, m and s^2
// being the mean and variance of the logs, with the limits of Cox's method and t
// of n-1 degrees of freedom (Olsson 2005). Where the distribution is lognormal it
// uses more of the amounts than LogTMean; where it is not, it is biased. Status
// and errors are those of GeometricMean.
func LogNormalMean(amounts []float64, level float64) (stats.Estimate, error) {
	return meanBy(amounts, level, "lognormal mean, Cox interval with t quantile", func(mean, sd, n, t float64) (value, lo, hi float64) {
		v := sd * sd
		half := t * math.Sqrt(v/n+v*v/(2*(n-1)))
		return math.Exp(mean + v/2), math.Exp(mean + v/2 - half), math.Exp(mean + v/2 + half)
	}, math.Log)
}

// meanBy works out limits from the mean and standard deviation of transformed
// amounts.
func meanBy(amounts []float64, level float64, method string, limits func(mean, sd, n, t float64) (value, lo, hi float64), transform func(float64) float64) (stats.Estimate, error) {
	level, err := stats.LevelOrDefault(level)
	if err != nil {
		return stats.Estimate{}, err
	}
	x := make([]float64, len(amounts))
	for i, a := range amounts {
		if x[i] = transform(a); !(a >= 0) || math.IsInf(x[i], 0) {
			return stats.Estimate{}, &stats.InputError{Index: i, Reason: fmt.Sprintf("an amount cannot be %v here", a)}
		}
	}
	e := stats.Estimate{Level: level, Attained: math.NaN(), N: len(x), Method: method, Status: stats.OK}
	switch len(x) {
	case 0:
		return e.Without(stats.TooLittle, stats.Warn("no-observations", "there are no amounts")), nil
	case 1:
		return e.Without(stats.TooLittle, stats.Warn("one-observation", "there is one amount only, %v, so nothing can be said of the spread between one and the next", amounts[0])), nil
	}
	mean, sd := meanAndSD(x)
	n := float64(len(x))
	e.Value, e.Lo, e.Hi = limits(mean, sd, n, tail.StudentUpperQuantile((1-level)/2, n-1))
	if sd == 0 {
		e.Value, e.Status, e.Lo, e.Hi = amounts[0], stats.Boundary, 0, math.Inf(1)
		e.Warnings = append(e.Warnings, stats.Warn("all-alike", "all %d amounts are %v, as if rounded, so they show nothing of the spread and set no limits; exact counts would", len(x), amounts[0]))
	}
	return e, nil
}
