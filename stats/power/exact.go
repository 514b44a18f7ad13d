package power

import (
	"math"

	"gravid/stats/tail"
)

// Exact holds the chance of a rejection for two groups, added up over all outcomes.
type Exact struct {
	Pearson float64 // chi-square test without correction
	Fisher  float64 // exact test, two-sided, by probabilities no larger than the one seen
	Wald    float64 // of the log odds ratio; tables with an empty cell count as not rejected
	Empty   float64 // chance of a table with an empty cell, where the odds ratio is 0 or infinite
}

// Enumerate adds up the chances of all tables of n1 and n2 attempts, with chances of
// success p1 and p2, in which each test rejects at the two-sided level alpha. With
// p1 = p2 it gives the size of the tests. It costs n1 n2 steps and panics for groups
// that are empty or beyond 10,000.
func Enumerate(n1, n2 int, p1, p2, alpha float64) Exact {
	if n1 < 1 || n2 < 1 || n1 > 1e4 || n2 > 1e4 {
		panic("stats/power: groups must hold 1 to 10,000 attempts")
	}
	if !(p1 >= 0 && p1 <= 1 && p2 >= 0 && p2 <= 1) || !between(alpha) {
		nan := math.NaN()
		return Exact{nan, nan, nan, nan}
	}
	var out Exact
	a, b := binomial(n1, p1), binomial(n2, p2)
	chi, z := tail.ChiSquareUpperQuantile(alpha, 1), tail.NormalUpperQuantile(alpha/2)
	for total := range n1 + n2 + 1 {
		fisher := fisherPs(n1, n2, total)
		for x := max(0, total-n2); x <= min(n1, total); x++ {
			y := total - x
			chance := a[x] * b[y]
			if pearson(x, n1, y, n2) > chi {
				out.Pearson += chance
			}
			if fisher[x-max(0, total-n2)] <= alpha*(1+1e-12) {
				out.Fisher += chance
			}
			switch {
			case x == 0 || x == n1 || y == 0 || y == n2:
				out.Empty += chance
			case math.Abs(wald(float64(x), float64(n1-x), float64(y), float64(n2-y))) > z:
				out.Wald += chance
			}
		}
	}
	return out
}

// binomial returns the chances of 0 to n successes.
func binomial(n int, p float64) []float64 {
	out := make([]float64, n+1)
	for k := range out {
		out[k] = math.Exp(logChoose(n, k) + xlog(k, p) + xlog(n-k, 1-p))
	}
	return out
}

func logChoose(n, k int) float64 {
	a, _ := math.Lgamma(float64(n + 1))
	b, _ := math.Lgamma(float64(k + 1))
	c, _ := math.Lgamma(float64(n - k + 1))
	return a - b - c
}

// xlog is k log p, 0 for k = 0.
func xlog(k int, p float64) float64 {
	if k == 0 {
		return 0
	}
	return float64(k) * math.Log(p)
}

func pearson(x, n1, y, n2 int) float64 {
	pooled := float64(x+y) / float64(n1+n2)
	v := pooled * (1 - pooled) * (1/float64(n1) + 1/float64(n2))
	if v == 0 {
		return 0
	}
	d := float64(x)/float64(n1) - float64(y)/float64(n2)
	return d * d / v
}

func wald(a, b, c, d float64) float64 {
	return (math.Log(a/b) - math.Log(c/d)) / math.Sqrt(1/a+1/b+1/c+1/d)
}

// fisherPs returns the two-sided p-values of Fisher's test for all tables with the
// given total of successes, from the fewest in the first group up. A table counts as
// no likelier than another up to a relative 1e-7, against rounding.
func fisherPs(n1, n2, total int) []float64 {
	lo, hi := max(0, total-n2), min(n1, total)
	chance := make([]float64, hi-lo+1)
	sum := 0.0
	for k := range chance {
		chance[k] = math.Exp(logChoose(n1, lo+k) + logChoose(n2, total-lo-k) - logChoose(n1+n2, total))
		sum += chance[k]
	}
	out := make([]float64, len(chance))
	for k, c := range chance {
		for _, other := range chance {
			if other <= c*(1+1e-7) {
				out[k] += other / sum
			}
		}
	}
	return out
}
