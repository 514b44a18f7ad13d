package duration_test

import (
	"fmt"
	"math"

	"gravid/stats/duration"
)

// still returns an observation of a clutch that had not hatched at time t.
func still(t float64) duration.Observation {
	return duration.Observation{Span: duration.Span{Lo: t, Hi: math.Inf(1)}}
}

// seen returns an observation of a clutch that hatched at time t by the cause.
func seen(t float64, cause int) duration.Observation {
	return duration.Observation{Span: duration.Span{Lo: t, Hi: t}, Cause: cause}
}

// checked returns an observation of a clutch found hatched at hi but not at lo.
func checked(lo, hi float64) duration.Observation {
	return duration.Observation{Span: duration.Span{Lo: lo, Hi: hi}}
}

func ExampleKaplanMeier() {
	curve, err := duration.KaplanMeier([]duration.Observation{
		seen(52, 1), seen(58, 1), seen(60, 1), seen(60, 1), still(61), seen(66, 1), seen(71, 1), seen(75, 1), seen(80, 1), still(82),
	}, duration.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	median := curve.Quantile(0.5)
	fmt.Printf("half hatched by %v h (%v to %v)\n", median.Value, median.Lo, median.Hi)
	at := curve.At(60)
	fmt.Printf("at 60 h %.2f are still waiting (%.2f to %.2f), %s\n", at.Value, at.Lo, at.Hi, at.Method)
	// Output:
	// half hatched by 66 h (52 to 80)
	// at 60 h 0.60 are still waiting (0.25 to 0.83), Kaplan-Meier, log(-log) limits
}

func ExampleAalenJohansen() {
	const hatched, fungus = 1, 2
	share, err := duration.AalenJohansen([]duration.Observation{
		seen(40, fungus), seen(52, hatched), seen(58, hatched), seen(59, fungus), seen(60, hatched), still(61), seen(66, hatched), seen(70, fungus), still(72), still(72),
	}, duration.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, cause := range share.Causes {
		e := share.At(cause, 72)
		fmt.Printf("cause %d by 72 h: %.2f (%.2f to %.2f)\n", cause, e.Value, e.Lo, e.Hi)
	}
	fmt.Printf("neither: %.2f\n", share.EventFree(72).Value)
	// Output:
	// cause 1 by 72 h: 0.42 (0.18 to 0.78)
	// cause 2 by 72 h: 0.33 (0.12 to 0.71)
	// neither: 0.25
}

func ExampleTurnbull() {
	curve, err := duration.Turnbull([]duration.Observation{
		checked(48, 60), checked(48, 72), checked(60, 72), checked(54, 66), still(60), checked(36, 60),
	}, duration.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range curve.Stretches {
		fmt.Printf("%v to %v h: %.2f\n", s.Lo, s.Hi, s.Mass)
	}
	lo, hi := curve.Bounds(57)
	fmt.Printf("still waiting at 57 h: %.2f to %.2f\n", lo, hi)
	// Output:
	// 54 to 60 h: 0.50
	// 60 to 66 h: 0.50
	// still waiting at 57 h: 0.50 to 1.00
}

// Clutches laid some time during the day and looked at once a day: both ends are
// known only to a day.
func ExampleFitAFT() {
	var obs []duration.Observation
	for _, found := range []float64{72, 72, 96, 72, 72, 96, 72, 96, 72, 48} {
		o := checked(found-24, found)
		o.Origin = duration.Span{Lo: 0, Hi: 24}
		obs = append(obs, o)
	}
	model, err := duration.FitAFT(obs, nil, duration.AFTSettings{PenaliseSpread: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	half := model.Quantile(nil, 0.5)
	fmt.Printf("%v: half hatch within %.0f h (%.0f to %.0f)\n", model.Status, half.Value, half.Lo, half.Hi)
	next, err := model.Predict(nil, 0.8)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("8 of 10 next clutches: %.0f to %.0f h\n", next.Lo, next.Hi)
	// Output:
	// ok: half hatch within 51 h (43 to 62)
	// 8 of 10 next clutches: 35 to 73 h
}

func ExampleLogRank() {
	obs := []duration.Observation{seen(52, 1), seen(58, 1), seen(60, 1), seen(61, 1), seen(66, 1), seen(71, 1), seen(75, 1), still(76)}
	c, err := duration.LogRank(obs, []int{0, 0, 0, 0, 1, 1, 1, 1}, duration.ComparisonSettings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s: chi-square %.2f on %d, p = %.4f\n", c.Method, c.ChiSquare, c.DF, c.P)
	// Output:
	// log-rank: chi-square 7.34 on 1, p = 0.0067
}

// Does a hatching aid hasten hatching, keepers having their own pace?
func ExampleFitCox() {
	hours := []float64{52, 55, 49, 60, 58, 63, 50, 47, 57, 61, 54, 66}
	aid := []float64{1, 0, 1, 0, 1, 0, 0, 1, 1, 0, 1, 0}
	keeper := []int{1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3}
	var obs []duration.Observation
	for _, h := range hours {
		obs = append(obs, duration.Observation{Span: duration.Span{Lo: h, Hi: h}})
	}
	model, err := duration.FitCox(obs, []duration.Covariate{{Name: "aid", Values: aid}}, duration.CoxSettings{Strata: keeper, Firth: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	limits := model.Profile(0)
	fmt.Printf("hazard times %.1f, from %.2f to %.0f\n", model.HazardRatio(0).Value, math.Exp(limits.Lo), math.Exp(limits.Hi))
	fmt.Printf("%.2f still waiting after 50 h with the aid\n", model.Survival(1, []float64{1}, 50).Value)
	// Output:
	// hazard times 6.1, from 1.25 to 59
	// 0.65 still waiting after 50 h with the aid
}

// Do as many clutches go to fungus in both kinds of tank?
func ExampleGrayTest() {
	const hatched, fungus = 1, 2
	days := []float64{3, 4, 4, 2, 3, 5, 2, 2, 3, 1, 4, 3}
	cause := []int{hatched, hatched, hatched, fungus, hatched, hatched, fungus, fungus, hatched, fungus, hatched, fungus}
	tank := []int{1, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2, 2}
	var obs []duration.Observation
	for i, d := range days {
		obs = append(obs, duration.Observation{Span: duration.Span{Lo: d, Hi: d}, Cause: cause[i]})
	}
	test, err := duration.GrayTest(obs, tank, fungus, duration.GraySettings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d lost to fungus; chi-square %.2f, p %.2f\n", test.Events, test.ChiSquare, test.P)
	// Output:
	// 5 lost to fungus; chi-square 2.85, p 0.09
}

// What shifts the share hatched in the end?
func ExampleFitFineGray() {
	const hatched, fungus = 1, 2
	days := []float64{3, 4, 4, 2, 3, 5, 2, 2, 3, 1, 4, 3}
	cause := []int{hatched, hatched, hatched, fungus, hatched, hatched, fungus, hatched, hatched, fungus, hatched, fungus}
	warm := []float64{1, 0, 1, 0, 1, 0, 1, 1, 0, 0, 1, 0}
	var obs []duration.Observation
	for i, d := range days {
		obs = append(obs, duration.Observation{Span: duration.Span{Lo: d, Hi: d}, Cause: cause[i]})
	}
	model, err := duration.FitFineGray(obs, []duration.Covariate{{Name: "warm", Values: warm}}, hatched, duration.CoxSettings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	ratio := model.HazardRatio(0)
	fmt.Printf("times %.1f, from %.2f to %.0f\n", ratio.Value, ratio.Lo, ratio.Hi)
	// Output:
	// times 2.6, from 0.76 to 9
}

// Two groups looked at once a day.
func ExampleIntervalLogRank() {
	seen := []float64{2, 3, 3, 4, 3, 4, 5, 5, 6, 4}
	group := []int{1, 1, 1, 1, 1, 2, 2, 2, 2, 2}
	var obs []duration.Observation
	for _, day := range seen {
		obs = append(obs, duration.Observation{Span: duration.Span{Lo: day - 1, Hi: day}})
	}
	test, err := duration.IntervalLogRank(obs, group, duration.IntervalSettings{Permutations: 999, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("chi-square %.2f, p %.3f\n", test.ChiSquare, test.P)
	// Output:
	// chi-square 5.05, p 0.020
}

// Degree-hours from clutches kept at five temperatures and looked at every second
// hour.
func ExampleFitDegreeDays() {
	var clutches []duration.Incubation
	for _, c := range []struct{ temperature, from, to float64 }{
		{22, 74, 76}, {22, 76, 78}, {24, 62, 64}, {24, 64, 66}, {25, 58, 60}, {26, 54, 56}, {26, 52, 54}, {28, 48, 50}, {28, 46, 48},
	} {
		clutches = append(clutches, duration.Incubation{
			Observation: duration.Observation{Span: duration.Span{Lo: c.from, Hi: c.to}},
			Trace:       duration.Steady(c.temperature),
		})
	}
	heat, err := duration.FitDegreeDays(clutches, duration.DegreeDaySettings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	next, err := heat.Predict(duration.Steady(27), 0, 0.8, 0.9)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("base %.1f °C, from %.1f to %.1f; %.0f degree-hours\n", heat.Base.Value, heat.Base.Lo, heat.Base.Hi, heat.Sum.Value)
	fmt.Printf("at 27 °C after %.0f h; 8 in 10 from %.1f to %.1f, 9 in 10 from %.1f to %.1f\n", next[0].Value, next[0].Lo, next[0].Hi, next[1].Lo, next[1].Hi)
	// Output:
	// base 11.9 °C, from 10.5 to 13.0; 771 degree-hours
	// at 27 °C after 51 h; 8 in 10 from 49.9 to 52.0, 9 in 10 from 49.5 to 52.5
}

// Limits for the next clutch at two levels at once, calibrated by trial.
func ExampleAFT_PredictCalibrated() {
	var obs []duration.Observation
	for _, hour := range []float64{48, 60, 60, 60, 72, 60, 48, 60, 72, 60, 60, 48} {
		obs = append(obs, duration.Observation{Span: duration.Span{Lo: hour - 12, Hi: hour}})
	}
	model, err := duration.FitAFT(obs, nil, duration.AFTSettings{PenaliseSpread: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	limits, err := model.PredictCalibrated(nil, []float64{0.8, 0.9}, duration.CalibrationSettings{Replicates: 199, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, e := range limits {
		fmt.Printf("%g of 100 within %.0f to %.0f h\n", 100*e.Level, e.Lo, e.Hi)
	}
	// Output:
	// 80 of 100 within 42 to 63 h
	// 90 of 100 within 39 to 69 h
}

// Looked at once a day by all: chances by the day.
func ExampleFitGrouped() {
	hatchedOn := []float64{2, 3, 3, 4, 3, 4, 5, 5, 3, 4}
	warm := []float64{1, 1, 1, 1, 1, 0, 0, 0, 0, 0}
	var obs []duration.Observation
	for _, day := range hatchedOn {
		obs = append(obs, checked(day-1, day))
	}
	model, err := duration.FitGrouped(obs, []duration.Covariate{{Name: "warm", Values: warm}}, duration.GroupedSettings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	ratio := model.Ratio(0)
	fmt.Printf("hazard times %.1f, from %.2f to %.0f; p %.3f\n", ratio.Value, ratio.Lo, ratio.Hi, model.LikelihoodRatio().P)
	// Output:
	// hazard times 7.7, from 0.93 to 65; p 0.022
}

// Shares hatched and lost to fungus by the fourth day, from looks at days 2, 3 and 4.
func ExampleFitIntervalIncidence() {
	const hatched, fungus = 1, 2
	var obs []duration.Observation
	for i, day := range []float64{2, 3, 3, 4, 3, 4, 4, 2, 3, 4} {
		o := checked(day-1, day)
		o.Cause = hatched
		if i%4 == 3 {
			o.Cause = fungus
		}
		obs = append(obs, o)
	}
	obs = append(obs, still(3), still(4))
	share, err := duration.FitIntervalIncidence(obs, duration.IntervalIncidenceSettings{Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, cause := range share.Causes {
		e := share.At(cause, 4)
		fmt.Printf("cause %d by day 4: %.2f (%.2f to %.2f)\n", cause, e.Value, e.Lo, e.Hi)
	}
	// Output:
	// cause 1 by day 4: 0.72 (0.42 to 0.92)
	// cause 2 by day 4: 0.18 (0.00 to 0.44)
}

// Limits for the next clutch at two levels in one pass.
func ExampleAFT_PredictLevels() {
	model, err := duration.FitAFT([]duration.Observation{
		checked(48, 60), checked(48, 60), checked(60, 72), checked(60, 72), checked(48, 60), checked(36, 48), checked(60, 72), checked(48, 60),
	}, nil, duration.AFTSettings{PenaliseSpread: true, Family: duration.Gamma})
	if err != nil {
		fmt.Println(err)
		return
	}
	limits, err := model.PredictLevels(nil, 0.8, 0.9)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, e := range limits {
		fmt.Printf("%g of 100 within %.0f to %.0f h\n", 100*e.Level, e.Lo, e.Hi)
	}
	// Output:
	// 80 of 100 within 44 to 71 h
	// 90 of 100 within 40 to 76 h
}
