package count_test

import (
	"fmt"

	"gravid/stats"
	"gravid/stats/count"
)

func show(what string, e stats.Estimate, err error) {
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: %.3g (%.3g to %.3g), %s\n", what, e.Value, e.Lo, e.Hi, e.Method)
}

func ExampleClopperPearson() {
	e, err := count.ClopperPearson(9, 14, 0.95)
	show("share", e, err)
	// Output:
	// share: 0.643 (0.351 to 0.872), exact (Clopper-Pearson) interval
}

func ExampleAtMost() {
	e, err := count.AtMost(0, 14, 0.95)
	show("0 of 14", e, err)
	// Output:
	// 0 of 14: 0 (0 to 0.193), exact one-sided upper limit
}

func ExampleNewcombe() {
	e, err := count.Newcombe(56, 70, 48, 80, 0.95)
	show("difference", e, err)
	// Output:
	// difference: 0.2 (0.0524 to 0.334), hybrid score (Newcombe) interval
}

func ExampleLogTMean() {
	e, err := count.LogTMean([]float64{310, 120, 85, 460, 240, 190}, 0.95)
	show("eggs a clutch", e, err)
	// Output:
	// eggs a clutch: 234 (127 to 433), log-t quasi-likelihood interval
}

func ExampleRatioOfTotals() {
	e, err := count.RatioOfTotals([]count.Part{
		{Amount: 310, Exposure: 30, Cluster: 1}, // eggs, female-days, keeper
		{Amount: 0, Exposure: 14, Cluster: 1},
		{Amount: 520, Exposure: 90, Cluster: 2},
		{Amount: 75, Exposure: 40, Cluster: 3},
	}, 0.95)
	show("eggs for each female and day", e, err)
	// Output:
	// eggs for each female and day: 5.2 (2.12 to 12.7), ratio of totals, log-t cluster jackknife interval
}

// Two clutches counted, one written as "about 200", one as "more than 250" and
// one of which a quarter was counted.
func ExampleFitNegativeBinomial() {
	m, err := count.FitNegativeBinomial([]count.Count{
		count.Exactly(120), count.Exactly(310), {Lo: 150, Hi: 250}, {Lo: 251, Hi: 1000}, {Lo: 40, Hi: 40, Exposure: 0.25},
	}, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	show("mean", m.Mean(count.ProfileF), nil)
	next, err := m.Predict(1, 0.8)
	show("next clutch, 8 of 10", next, err)
	// Output:
	// mean: 223 (117 to 626), negative binomial, profile likelihood interval with F quantile
	// next clutch, 8 of 10: 209 (68 to 474), negative binomial, limits for one more, averaged over what the counts leave possible
}

func ExampleFitBetaBinomial() {
	m, err := count.FitBetaBinomial([]count.Clutch{
		{Hits: 41, Trials: 60}, {Hits: 12, Trials: 55}, {Hits: 70, Trials: 80}, {Hits: 33, Trials: 40}, {Hits: 0, Trials: 35},
	}, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	show("share hatched", m.Share(nil), nil)
	// Output:
	// share hatched: 0.444 (0.182 to 0.725), beta-binomial, profile likelihood interval
}

func ExampleMedian() {
	fmt.Println(count.Median([]float64{9, 2, 5, 3}))
	// Output:
	// 4
}
