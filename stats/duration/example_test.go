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
