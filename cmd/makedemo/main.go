package main

import (
	"fmt"
	"math"
)

func main() {
	for seed := uint64(1); seed <= 1; seed++ {
		w, err := newWorld(seed)
		if err != nil {
			panic(err)
		}
		n, sp := map[string]int{}, map[string]int{}
		days, drops, exp, at := map[string]int{}, map[string]int{}, 0, 0
		run := 0
		loss := map[string]int{}
		for _, a := range w.attempts {
			n[a.sp.Name]++
			if a.spawn {
				sp[a.sp.Name]++
				loss[a.sp.Name+" "+a.clutch.loss]++
				if a.clutch.loss == "" && a.clutch.swimSeen.IsZero() {
					loss["running"]++
				}
			}
			if a.runs {
				run++
			}
			f, l := a.atRisk()
			for d := f; d <= l; d++ {
				days[a.sp.Name]++
				at++
				if w.weather.drop(d.midnight(w.zone)) {
					exp++
					if a.spawn && d == l {
						drops[a.sp.Name]++
					}
				}
			}
		}
		fmt.Println(seed, len(w.attempts), n, sp, days, drops, float64(exp)/float64(at), run)
		fmt.Println(loss)
		dd, mx, mn, big := 0, 0.0, 2000.0, 0.0
		for d := day(1); d <= lastDay; d++ {
			if w.weather.drop(d.midnight(w.zone)) {
				dd++
			}
			big = math.Min(big, w.weather.change(d.midnight(w.zone)))
		}
		for _, p := range w.weather.hPa {
			mx, mn = math.Max(mx, p), math.Min(mn, p)
		}
		fmt.Println(float64(dd)/float64(lastDay), mn, mx, big)
	}
}
