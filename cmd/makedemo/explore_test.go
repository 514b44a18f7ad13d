package main

import (
	"fmt"
	"testing"
	"time"
	"math"

	"gravid/analyze/answer"
	"gravid/analyze/catalogue"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
)

func tablesOf(w *world) *club.Tables {
	t := &club.Tables{}
	for i, p := range w.weather.hPa {
		t.Readings = append(t.Readings, club.Reading{Keeper: "weather", Place: "weather", At: club.Some(w.weather.from.Add(time.Duration(i) * time.Hour)), Quantity: "air_pressure_hpa", Value: club.Some(p)})
	}
	for _, a := range w.attempts {
		r := club.Attempt{Keeper: a.keeper.Name, System: a.tank, Species: a.sp.Name, Began: club.Some(a.began.midnight(w.zone)),
			TemperatureC: club.Some(a.temperature), LiveFood: club.Some(a.liveFood), LeafLitter: club.Some(a.leaves), Dither: club.Some(a.dither),
			ConditioningDays: club.Some(float64(a.conditioning)), RefillDeltaC: club.Some(a.refill), WaterChangePct: club.Some(float64(a.waterChange)), LightHours: club.Some(a.light), GH: club.Some(a.gh)}
		if !a.runs {
			r.Spawned = club.Some(a.spawn)
			r.Ended = club.Some(a.last.midnight(w.zone))
			if a.spawn {
				r.SpawnedAt = club.Some(a.clutch.laidSeen)
			}
		}
		t.Attempts = append(t.Attempts, r)
	}
	return t
}

func TestExplore(t *testing.T) {
	for seed := uint64(1); seed <= 12; seed++ {
		w, err := newWorld(seed)
		if err != nil {
			t.Fatal(err)
		}
		runs, spawns := 0, 0
		for _, a := range w.attempts {
			runs += int(oneIf(a.runs))
			spawns += int(oneIf(a.spawn))
		}
		r := exposure.New(tablesOf(w), exposure.Options{Zone: w.zone})
		k := answer.Asker{Records: r, Triggers: catalogue.Triggers()}
		trig, _ := catalogue.Find(catalogue.Triggers(), "pressure-drop")
		fmt.Printf("seed %d: %d attempts %d spawns %d running\n", seed, len(w.attempts), spawns, runs)
		for _, s := range []string{paleatus, rerio} {
			a := k.Matter(s, trig)
			pl := math.NaN()
			pass := true
			if a.Checks.Placebo != nil {
				pl, pass = float64(a.Checks.Placebo.OddsRatio.Estimate), a.Checks.Placebo.Passed
			}
			fmt.Printf("  %-28s %-14s %-16s OR %.2f [%.2f, %.2f] diff %.0f [%.0f, %.0f] days %v placebo %.2f %v n=%d/%d\n", s, a.Verdict, a.Status, a.OddsRatio.Estimate, a.OddsRatio.Low, a.OddsRatio.High,
				a.Per100.Difference.Estimate, a.Per100.Difference.Low, a.Per100.Difference.High, a.Per100.Days, pl, pass, a.Counts.Spawned, a.Counts.Attempts)
		}
	}
}
