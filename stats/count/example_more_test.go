package count_test

import (
	"fmt"

	"gravid/stats/count"
)

func ExampleWilson() {
	e, err := count.Wilson(9, 14, 0.95)
	show("share", e, err)
	// Output:
	// share: 0.643 (0.388 to 0.837), score (Wilson) interval
}

func ExampleJeffreys() {
	e, err := count.Jeffreys(9, 14, 0.95)
	show("share", e, err)
	// Output:
	// share: 0.643 (0.385 to 0.849), Jeffreys interval
}

func ExampleAgrestiCoull() {
	e, err := count.AgrestiCoull(9, 14, 0.95)
	show("share", e, err)
	// Output:
	// share: 0.643 (0.386 to 0.838), Agresti-Coull interval
}

func ExampleMidP() {
	e, err := count.MidP(9, 14, 0.95)
	show("share", e, err)
	// Output:
	// share: 0.643 (0.376 to 0.856), mid-p exact interval
}

func ExampleAtLeast() {
	e, err := count.AtLeast(14, 14, 0.95)
	show("14 of 14", e, err)
	// Output:
	// 14 of 14: 1 (0.807 to 1), exact one-sided lower limit
}

func ExampleMiettinenNurminen() {
	e, err := count.MiettinenNurminen(56, 70, 48, 80, 0.95)
	show("difference", e, err)
	// Output:
	// difference: 0.2 (0.0528 to 0.338), score (Miettinen-Nurminen) interval of a difference
}

func ExampleMiettinenNurminenRatio() {
	e, err := count.MiettinenNurminenRatio(9, 10, 3, 10, 0.95)
	show("times as often", e, err)
	// Output:
	// times as often: 3 (1.33 to 8.69), score (Miettinen-Nurminen) interval of a ratio
}

func ExampleKoopman() {
	e, err := count.Koopman(5, 20, 0, 20, 0.95)
	show("times as often", e, err)
	fmt.Println(e.Warnings[0].Text)
	// Output:
	// times as often: +Inf (1.45 to +Inf), score (Koopman) interval of a ratio
	// the second share had no hits, so the ratio has no upper limit; more trials of the second would set one
}

func ExampleOddsRatio() {
	r, err := count.OddsRatio(9, 10, 3, 10, 0.95)
	show("odds ratio", r.Estimate, err)
	fmt.Printf("p = %.3f\n", r.P)
	// Output:
	// odds ratio: 17.3 (1.39 to 1.05e+03), exact conditional interval of the odds ratio
	// p = 0.020
}

func ExampleFisher() {
	p, err := count.Fisher(9, 10, 3, 10)
	fmt.Printf("p = %.3f %v\n", p, err)
	// Output:
	// p = 0.020 <nil>
}

func ExamplePoissonRate() {
	e, err := count.PoissonRate(7, 12.5, 0.95) // spawnings, female-months
	show("spawnings for each female and month", e, err)
	// Output:
	// spawnings for each female and month: 0.56 (0.225 to 1.15), exact Poisson (Garwood) interval
}

func ExamplePoissonAtMost() {
	e, err := count.PoissonAtMost(0, 200, 0.95)
	show("none in 200 female-days", e, err)
	// Output:
	// none in 200 female-days: 0 (0 to 0.015), exact one-sided Poisson upper limit
}

func ExampleRateRatio() {
	r, err := count.RateRatio(11, 120, 5, 140, 0.95)
	show("times as often", r.Estimate, err)
	// Output:
	// times as often: 2.57 (0.822 to 9.42), exact conditional interval
}

func ExampleTMean() {
	e, err := count.TMean([]float64{1.42, 1.38, 1.45, 1.40}, 0.95)
	show("egg diameter, mm", e, err)
	// Output:
	// egg diameter, mm: 1.41 (1.36 to 1.46), t interval
}

func ExampleGeometricMean() {
	e, err := count.GeometricMean([]float64{310, 120, 85, 460, 240, 190}, 0.95)
	show("middle of the clutches", e, err)
	// Output:
	// middle of the clutches: 201 (105 to 385), geometric mean, t interval on the log scale
}

func ExampleLogNormalMean() {
	e, err := count.LogNormalMean([]float64{310, 120, 85, 460, 240, 190}, 0.95)
	show("mean of the clutches", e, err)
	// Output:
	// mean of the clutches: 244 (119 to 501), lognormal mean, Cox interval with t quantile
}

// Clutches by the weight of the female in grams, of which some were counted in
// part.
func ExampleFitCountRegression() {
	m, err := count.FitCountRegression([]count.CountRow{
		{Count: count.Exactly(234), X: []float64{20}}, {Count: count.Exactly(300), X: []float64{24}},
		{Count: count.Count{Lo: 130, Hi: 130, Exposure: 0.25}, X: []float64{30}}, {Count: count.Rounded(700, 100), X: []float64{36}},
		{Count: count.Exactly(610), X: []float64{35}}, {Count: count.Exactly(1082), X: []float64{50}},
	}, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	show("for each gram, times", m.Ratio(1, count.ProfileF), nil)
	show("eggs of a female of 40 g", m.Mean([]float64{40}, count.ProfileF), nil)
	// Output:
	// for each gram, times: 1.05 (1.03 to 1.08), negative binomial regression, profile likelihood interval with F quantile
	// eggs of a female of 40 g: 740 (590 to 972), negative binomial regression, profile likelihood interval with F quantile
}

// Eggs over female-days with and without live food, four keepers.
func ExampleFitQuasiPoisson() {
	row := func(eggs int, days, food float64, keeper int) count.CountRow {
		return count.CountRow{Count: count.Count{Lo: float64(eggs), Hi: float64(eggs), Exposure: days}, X: []float64{food}, Cluster: keeper}
	}
	m, err := count.FitQuasiPoisson([]count.CountRow{
		row(310, 30, 1, 1), row(150, 28, 0, 1), row(520, 60, 1, 2), row(300, 55, 0, 2), row(75, 20, 1, 3), row(60, 25, 0, 3), row(210, 30, 1, 4), row(90, 30, 0, 4),
	}, count.QuasiSettings{ByCluster: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	r := m.Ratio(1)
	show("with live food, times", r.Estimate, nil)
	fmt.Printf("p = %.3f\n", r.P)
	// Output:
	// with live food, times: 1.83 (1.28 to 2.62), Poisson regression, t interval by cluster jackknife
	// p = 0.012
}

func ExampleFitZeroTruncated() {
	var clutches []count.Count
	for _, n := range []int{3, 1, 7, 2, 12, 1, 5, 4, 1, 9, 2, 6} {
		clutches = append(clutches, count.Exactly(n))
	}
	m, err := count.FitZeroTruncated(clutches, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	show("eggs a clutch", m.Mean(count.Profile), nil)
	// Output:
	// eggs a clutch: 4.42 (2.79 to 8.61), zero-truncated negative binomial, profile likelihood interval
}

// Eight attempts, three of them without a clutch.
func ExampleFitHurdle() {
	var attempts []count.Count
	for _, n := range []int{0, 12, 30, 0, 21, 8, 0, 17} {
		attempts = append(attempts, count.Exactly(n))
	}
	h, err := count.FitHurdle(attempts, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	show("attempts with a clutch", h.Share, nil)
	show("eggs of a clutch", h.Clutch.Mean(count.ProfileF), nil)
	show("eggs of an attempt", h.Mean(count.ProfileF), nil)
	// Output:
	// attempts with a clutch: 0.625 (0.306 to 0.863), score (Wilson) interval
	// eggs of a clutch: 17.6 (8.67 to 44.9), zero-truncated negative binomial, profile likelihood interval with F quantile
	// eggs of an attempt: 11 (4.02 to 29.6), hurdle, limits of a product (MOVER)
}

func ExampleBootstrapRatio() {
	var parts []count.Part
	for keeper := range 20 {
		parts = append(parts, count.Part{Amount: float64(40 + keeper*keeper), Exposure: float64(20 + keeper%3), Cluster: keeper})
	}
	b, err := count.BootstrapRatio(parts, count.BootstrapSettings{Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	show("eggs for each female and day", b.BCa(), nil)
	// Output:
	// eggs for each female and day: 7.8 (5.68 to 10.4), bias-corrected and accelerated (BCa) bootstrap interval of 1999 draws
}

func ExampleNewBootstrap() {
	days := []float64{12, 15, 11, 30, 14, 13, 19, 16, 12, 21, 17, 14, 18, 13, 15}
	b, err := count.NewBootstrap(len(days), func(drawn []int) float64 {
		part := make([]float64, len(drawn))
		for i, j := range drawn {
			part[i] = days[j]
		}
		return count.Median(part)
	}, count.BootstrapSettings{Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	show("days between spawnings, middle", b.Percentile(), nil)
	// Output:
	// days between spawnings, middle: 15 (13 to 18), percentile bootstrap interval of 1999 draws
}

// Three weighed samples of a mass of 316.8 g.
func ExampleAliquotTotal() {
	samples := []count.Aliquot{{Counted: 36, Amount: 1.5}, {Counted: 35, Amount: 1.6}, {Counted: 41, Amount: 1.9}}
	d, err := count.AliquotDensity(samples, 0.95)
	show("eggs in a gram", d, err)
	e, err := count.AliquotTotal(samples, count.Lot{Size: count.Measured{Value: 316.8, SE: 0.5}}, 0.95)
	show("eggs in all", e, err)
	// Output:
	// eggs in a gram: 22.4 (19.5 to 25.8), density of aliquots, log-t interval
	// eggs in all: 7.1e+03 (6.18e+03 to 8.15e+03), aliquots, log-t interval by the delta method
}

// Rows of 40 eggs in a trough, their length in mm, and a quarter of a litre.
func ExampleTroughTotal() {
	rows := []count.Aliquot{{Counted: 40, Amount: 161}, {Counted: 40, Amount: 158}, {Counted: 40, Amount: 160}}
	d, err := count.TroughDensity(rows, count.Trough{}, 0.95)
	show("eggs in a litre", d, err)
	e, err := count.TroughTotal(rows, count.Trough{}, count.Measured{Value: 0.25, SE: 0.005}, 0.95)
	show("eggs in all", e, err)
	// Output:
	// eggs in a litre: 1.84e+04 (1.71e+04 to 1.98e+04), row of eggs, log-t interval by the delta method
	// eggs in all: 4.6e+03 (4.24e+03 to 5e+03), row of eggs and volume, log-t interval by the delta method
}

func ExampleSampledTotal() {
	e, err := count.SampledTotal(60, 0.2, 0.95)
	show("eggs in all", e, err)
	// Output:
	// eggs in all: 300 (238 to 374), negative binomial rest of a sample
}

func ExampleHeaping() {
	r, err := count.Heaping([]int{150, 200, 87, 300, 120, 250, 43, 100}, 0.95)
	show("end in 0 or 5", r.Estimate, err)
	fmt.Printf("p = %.4f; 200 may be %v\n", r.P, count.Rounded(200, 50))
	// Output:
	// end in 0 or 5: 0.75 (0.349 to 0.968), exact (Clopper-Pearson) interval
	// p = 0.0012; 200 may be {175 225 0}
}

func ExampleQuantileOfType() {
	x := []float64{9, 2, 5, 3}
	fmt.Println(count.QuantileOfType(x, 0.25, 2), count.QuantileOfType(x, 0.25, 6), count.Quantile(x, 0.25))
	// Output:
	// 2.5 2.25 2.75
}
