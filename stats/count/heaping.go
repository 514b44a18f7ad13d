package count

import (
	"math"

	"gravid/stats"
	"gravid/stats/tail"
)

// About is a number estimated by eye: n, give or take the share within (0.3 for
// "about 200" that may be 140 to 260). It panics for an n below 0 or a share
// outside 0 to 1.
func About(n int, within float64) Count {
	if n < 0 || !(within >= 0 && within <= 1) {
		panic("count: not a number to estimate")
	}
	x := float64(n)
	return Count{Lo: math.Ceil(x*(1-within) - 1e-9), Hi: math.Floor(x*(1+within) + 1e-9)}
}

// Rounded is a number written as the nearest multiple of to: 200 to the nearest
// 50 may be 175 to 225. Of a number that was written as 0 it takes none to be
// negative. It panics for an n below 0 or a to below 1.
func Rounded(n, to int) Count {
	if n < 0 || to < 1 {
		panic("count: not a number to round")
	}
	return Count{Lo: float64(max(n-to/2, 0)), Hi: float64(n + to/2)}
}

// Heaping is the share of numbers of 20 or more that end in 0 or 5, with its
// exact interval, and the exact one-sided p-value of its being the 1 in 5 of
// numbers that were counted. A small P says that many were rounded or guessed and
// should enter as ranges. N counts the numbers of 20 or more; status is TooLittle
// without any. The error tells of a level (0 means 0.95) out of range.
func Heaping(numbers []int, level float64) (Ratio, error) {
	heaped, n := 0, 0
	for _, x := range numbers {
		if x < 20 {
			continue
		}
		n++
		if x%5 == 0 {
			heaped++
		}
	}
	e, err := ClopperPearson(heaped, n, level)
	r := Ratio{e, math.NaN()}
	if err != nil {
		return r, err
	}
	if n == 0 {
		e.Warnings = nil
		r.Estimate = e.Without(stats.TooLittle, stats.Warn("no-observations", "there are no numbers of 20 or more"))
		return r, nil
	}
	r.P = tail.BinomialUpper(heaped, n, 0.2)
	return r, nil
}
