package main

import (
	"fmt"
	"math"
	"strconv"
	"time"
)

// A record is one attempt as a keeper is about to write it down.
type record struct {
	*attempt
	w       *world
	species string // as this keeper writes it
	eggs    eggRecord
	note    string
}

// A column is one column of a keeper's log.
type column struct {
	head   string
	unit   string  // in a row of its own below the heading
	spare  float64 // chance that the keeper leaves a cell empty
	counts bool    // counts eggs or fry, which a row of totals adds up
	write  func(*record) entry
}

// The columns of the tables that the logs of the demo speak of.
const (
	fieldKeeper       = "keeper"
	fieldSystem       = "system"
	fieldSpecies      = "species"
	fieldAsWritten    = "species_as_written"
	fieldBegan        = "began"
	fieldEnded        = "ended"
	fieldSpawned      = "spawned"
	fieldSpawnedAt    = "spawned_at"
	fieldMales        = "males"
	fieldFemales      = "females"
	fieldUnsexed      = "unsexed"
	fieldTemperature  = "temperature_c"
	fieldPH           = "ph"
	fieldConductivity = "conductivity_us_cm"
	fieldGH           = "gh_dh"
	fieldKH           = "kh_dh"
	fieldNitrate      = "nitrate_mg_l"
	fieldLight        = "light_hours"
	fieldConditioning = "conditioning_days"
	fieldLiveFood     = "live_food"
	fieldMicrofauna   = "microfauna"
	fieldLeafLitter   = "leaf_litter"
	fieldWaterChange  = "water_change_pct"
	fieldRefill       = "refill_delta_c"
	fieldLevel        = "level_change_cm"
	fieldFlow         = "flow"
	fieldRearranged   = "rearranged"
	fieldDither       = "dither"
	fieldTankMates    = "tank_mates"
	fieldPressure     = "pressure_change_hpa"
	fieldNotes        = "notes"

	fieldLaidTo       = "laid_to"
	fieldEggs         = "eggs"
	fieldEggsLow      = "eggs_low"
	fieldEggsHigh     = "eggs_high"
	fieldEggsMethod   = "eggs_method"
	fieldFertile      = "fertile"
	fieldHatched      = "hatched"
	fieldFreeSwimming = "free_swimming"
	fieldHatchTo      = "hatch_to"
	fieldSwimTo       = "swim_to"
	fieldLostAt       = "lost_at"
	fieldLoss         = "loss"
	fieldLastSeen     = "last_seen"
	fieldHatchAid     = "hatch_aid"

	// Not a column of the tables: the temperature of the refill, from which the
	// difference to the tank follows.
	fieldRefillTemperature = "refill_temperature_c"
)

// running numbers the rows, which tells nothing that the tables have room for.
func running(head string) column {
	return column{head: head, write: func(r *record) entry { return tells(whole(r.number)) }}
}

// texts is a column of text that goes into the tables as it is.
func texts(head, field string, spare float64, of func(*record) string) column {
	return column{head: head, spare: spare, write: func(r *record) entry {
		s := of(r)
		if s == "" {
			return entry{}
		}
		return tells(words(s), said{field, s})
	}}
}

func theTank(head string) column {
	return texts(head, fieldSystem, 0, func(r *record) string { return r.tank })
}

func theKeeper(head string) column {
	return texts(head, fieldKeeper, 0, func(r *record) string { return r.keeper.Name })
}

func theNotes(head string) column {
	return texts(head, fieldNotes, 0, func(r *record) string { return r.note })
}

func theSpecies(head string) column {
	return column{head: head, write: func(r *record) entry {
		return tells(words(r.species), said{fieldSpecies, r.sp.Name}, said{fieldAsWritten, r.species})
	}}
}

// dated is a column of dates, with clock times or without.
func dated(head, field string, clock bool, spare float64, of func(*record) time.Time) column {
	return column{head: head, spare: spare, write: func(r *record) entry {
		t := of(r)
		switch {
		case t.IsZero():
			return entry{}
		case clock:
			t = t.In(r.w.zone)
			wall := time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), 0, 0, time.UTC)
			return tells(cell{kind: minute, at: wall}, said{field, wall.Format("2006-01-02T15:04")})
		}
		day := dayOf(t, r.w.zone).date()
		return tells(cell{kind: date, at: day}, said{field, day.Format(time.DateOnly)})
	}}
}

func began(head string) column {
	return dated(head, fieldBegan, false, 0, func(r *record) time.Time { return r.began.midnight(r.w.zone) })
}

// ended is the day an attempt ended. Some keepers fill it in for those that were
// given up only.
func ended(head string, always bool) column {
	return dated(head, fieldEnded, false, 0, func(r *record) time.Time {
		if r.runs || r.spawn && !always {
			return time.Time{}
		}
		return r.last.midnight(r.w.zone)
	})
}

// spawned answers whether it spawned, in the keeper's words. Of an attempt that
// still runs, most write nothing.
func spawned(head, yes, no, notYet string) column {
	return column{head: head, write: func(r *record) entry {
		switch {
		case r.runs:
			return tells(words(notYet))
		case r.spawn:
			return tells(words(yes), said{fieldSpawned, "true"})
		}
		return tells(words(no), said{fieldSpawned, "false"})
	}}
}

// ofClutch is a column that is empty where there was no clutch.
func ofClutch(c column) column {
	write := c.write
	c.write = func(r *record) entry {
		if r.clutch == nil {
			return entry{}
		}
		return write(r)
	}
	return c
}

func spawnedAt(head string, clock bool) column {
	c := ofClutch(dated(head, fieldSpawnedAt, clock, 0, func(r *record) time.Time { return r.clutch.laidSeen }))
	write := c.write
	c.write = func(r *record) entry {
		e := write(r)
		for _, s := range e.says {
			e.says = append(e.says, said{fieldLaidTo, s.value})
		}
		return e
	}
	return c
}

func hatched(head string, clock bool) column {
	return ofClutch(dated(head, fieldHatchTo, clock, 0.02, func(r *record) time.Time { return r.clutch.hatchSeen }))
}

func swimming(head string, clock bool) column {
	return ofClutch(dated(head, fieldSwimTo, clock, 0.04, func(r *record) time.Time { return r.clutch.swimSeen }))
}

func lostAt(head string, clock bool) column {
	return ofClutch(dated(head, fieldLostAt, clock, 0, func(r *record) time.Time { return r.clutch.lostSeen }))
}

func lastSeen(head string, clock bool) column {
	return ofClutch(dated(head, fieldLastSeen, clock, 0, func(r *record) time.Time { return r.clutch.lastSeen }))
}

// A scale is a unit that a keeper writes in.
type scale struct {
	written   func(canonical float64) float64
	canonical func(written float64) float64
}

func factor(f float64) scale {
	return scale{func(v float64) float64 { return v / f }, func(v float64) float64 { return v * f }}
}

var (
	asIs              = factor(1)
	fahrenheit        = scale{func(c float64) float64 { return c*9/5 + 32 }, func(f float64) float64 { return (f - 32) * 5 / 9 }}
	fahrenheitDegrees = factor(5.0 / 9)              // a difference: no offset
	inchesOfMercury   = factor(25.4 * 1.33322387415) // conventional mercury
	ppmAsCaCO3        = factor(56.0774 / 1000.869)   // 10 mg/L of CaO to the German degree; molar masses 56.0774 and 100.0869
	millisiemens      = factor(1000)                 // mS/cm
	weeks             = factor(7)                    // days
)

// measured is a column of numbers. What is told is the number as written, in
// canonical units: a keeper who rounds to a tenth of a degree Fahrenheit has
// written that and no more.
func measured(head, field string, decimals int, spare float64, in scale, of func(*record) float64) column {
	return column{head: head, spare: spare, write: func(r *record) entry {
		v := rounded(in.written(of(r)), decimals)
		if v == 0 {
			v = 0 // not minus nothing
		}
		return tells(numeral(v, decimals), said{field, plain(in.canonical(v))})
	}}
}

func temperature(head string, in scale) column {
	return measured(head, fieldTemperature, 1, 0.03, in, func(r *record) float64 { return r.temperature })
}

func acidity(head string) column {
	return measured(head, fieldPH, 1, 0.06, asIs, func(r *record) float64 { return r.ph })
}

func conductivity(head string, decimals int, in scale) column {
	return measured(head, fieldConductivity, decimals, 0.08, in, func(r *record) float64 { return r.conductivity })
}

func generalHardness(head string, in scale) column {
	return measured(head, fieldGH, 0, 0.08, in, func(r *record) float64 { return r.gh })
}

func carbonateHardness(head string) column {
	return measured(head, fieldKH, 0, 0.08, asIs, func(r *record) float64 { return r.kh })
}

func nitrate(head string) column {
	return measured(head, fieldNitrate, 0, 0.10, asIs, func(r *record) float64 { return r.nitrate })
}

func lightHours(head string) column {
	return measured(head, fieldLight, 0, 0.04, asIs, func(r *record) float64 { return r.light })
}

func conditioning(head string, decimals int, in scale) column {
	return measured(head, fieldConditioning, decimals, 0.05, in, func(r *record) float64 { return float64(r.conditioning) })
}

func waterChange(head string) column {
	return measured(head, fieldWaterChange, 0, 0.04, asIs, func(r *record) float64 { return float64(r.waterChange) })
}

// waterChangeShare writes the share as spreadsheets do, 0.3 shown as 30 %.
func waterChangeShare(head string) column {
	return column{head: head, spare: 0.04, write: func(r *record) entry {
		return tells(cell{kind: share, number: float64(r.waterChange) / 100}, said{fieldWaterChange, strconv.Itoa(r.waterChange)})
	}}
}

// refill is how much cooler or warmer the refill was; without a water change
// there was none.
func refill(head string, in scale) column {
	c := measured(head, fieldRefill, 1, 0.04, in, func(r *record) float64 { return r.refill })
	write := c.write
	c.write = func(r *record) entry {
		if r.waterChange == 0 {
			return entry{}
		}
		return write(r)
	}
	return c
}

// refillTemperature is how warm the refill was, from which the difference to the
// tank follows.
func refillTemperature(head string) column {
	c := measured(head, fieldRefillTemperature, 1, 0.04, asIs, func(r *record) float64 { return r.temperature + r.refill })
	write := c.write
	c.write = func(r *record) entry {
		if r.waterChange == 0 {
			return entry{}
		}
		return write(r)
	}
	return c
}

func levelChange(head string) column {
	return measured(head, fieldLevel, 0, 0.05, asIs, func(r *record) float64 { return r.level })
}

// pressureChange is what keepers note of the barometer when an attempt ends: the
// change over the 24 hours before that day.
func pressureChange(head string, decimals int, in scale) column {
	return measured(head, fieldPressure, decimals, 0.10, in, func(r *record) float64 {
		return r.w.weather.change(r.last.midnight(r.w.zone))
	})
}

// answered is a column of yes and no, in the keeper's words.
func answered(head, field, yes, no string, spare float64, of func(*record) bool) column {
	return column{head: head, spare: spare, write: func(r *record) entry {
		if of(r) {
			return tells(words(yes), said{field, "true"})
		}
		return tells(words(no), said{field, "false"})
	}}
}

// ticked is a column of truth values of a spreadsheet.
func ticked(c column) column {
	write := c.write
	c.write = func(r *record) entry {
		e := write(r)
		if len(e.says) > 0 {
			e.cell = cell{kind: truth, yes: e.says[0].value == "true"}
		}
		return e
	}
	return c
}

func liveFood(head, yes, no string) column {
	return answered(head, fieldLiveFood, yes, no, 0.05, func(r *record) bool { return r.liveFood })
}

func microfauna(head, yes, no string) column {
	return answered(head, fieldMicrofauna, yes, no, 0.08, func(r *record) bool { return r.microfauna })
}

func leafLitter(head, yes, no string) column {
	return answered(head, fieldLeafLitter, yes, no, 0.05, func(r *record) bool { return r.leaves })
}

func current(head, yes, no string) column {
	return answered(head, fieldFlow, yes, no, 0.06, func(r *record) bool { return r.flow })
}

func rearranged(head, yes, no string) column {
	return answered(head, fieldRearranged, yes, no, 0.06, func(r *record) bool { return r.rearranged })
}

func dither(head, yes, no string) column {
	return answered(head, fieldDither, yes, no, 0.05, func(r *record) bool { return r.dither })
}

func tankMates(head, yes, no string) column {
	return answered(head, fieldTankMates, yes, no, 0.06, func(r *record) bool { return r.mates })
}

func males(head string) column {
	return column{head: head, spare: 0.02, write: func(r *record) entry {
		return tells(whole(r.males), said{fieldMales, strconv.Itoa(r.males)})
	}}
}

func females(head string) column {
	return column{head: head, spare: 0.02, write: func(r *record) entry {
		return tells(whole(r.females), said{fieldFemales, strconv.Itoa(r.females)})
	}}
}

// groupOf writes the fish in one cell, such as 2.3 or 2m3f.
func groupOf(head, format string) column {
	return column{head: head, spare: 0.02, write: func(r *record) entry {
		return tells(words(fmt.Sprintf(format, r.males, r.females)), said{fieldMales, strconv.Itoa(r.males)}, said{fieldFemales, strconv.Itoa(r.females)})
	}}
}

// groupNamed calls a pair a pair and a trio a trio.
func groupNamed(head, pair, trio, format string) column {
	c := groupOf(head, format)
	write := c.write
	c.write = func(r *record) entry {
		e := write(r)
		switch {
		case r.males == 1 && r.females == 1:
			e.cell = words(pair)
		case r.males == 1 && r.females == 2:
			e.cell = words(trio)
		}
		return e
	}
	return c
}

// shoal counts the fish without telling the sexes apart.
func shoal(head, format string) column {
	return column{head: head, spare: 0.02, write: func(r *record) entry {
		n := r.males + r.females
		return tells(words(fmt.Sprintf(format, n)), said{fieldUnsexed, strconv.Itoa(n)})
	}}
}

// An eggRecord is how a keeper came to a number of eggs.
type eggRecord struct {
	how       string // counted, photo, sample, estimated
	vague     bool   // estimated by eye, one number
	ranged    bool
	n         int // middle of a range
	low, high int
}

// An eggHabit is how often a keeper counts in which way; the rest is counted.
type eggHabit struct{ photo, sample, estimated, ranged float64 }

// record draws how the eggs were counted. Photographs miss a few, a counted
// quarter stands for four, and the eye errs by a sixth either way.
func (h eggHabit) record(d *dice, eggs int) eggRecord {
	u := d.unit()
	switch {
	case u < h.photo:
		return eggRecord{how: "photo", n: max(1, int(math.Round(float64(eggs)*d.between(0.93, 1))))}
	case u < h.photo+h.sample && eggs >= 40:
		quarter := 0
		for range eggs {
			quarter += int(oneIf(d.chance(0.25)))
		}
		return eggRecord{how: "sample", n: max(4, 4*quarter)}
	case u < h.photo+h.sample+h.estimated:
		seen := float64(eggs) * math.Exp(0.15*d.normal())
		return eggRecord{how: "estimated", vague: true, n: max(10, int(math.Round(seen/10))*10)}
	case u < h.photo+h.sample+h.estimated+h.ranged && eggs >= 20:
		step := 20
		if eggs >= 100 {
			step = 50
		}
		low := eggs / step * step
		return eggRecord{how: "estimated", ranged: true, low: low, high: low + step, n: low + step/2}
	}
	return eggRecord{how: "counted", n: eggs}
}

// eggs is the number of eggs. about stands before an estimate.
func eggs(head, about string) column {
	return ofClutch(column{head: head, spare: 0.02, counts: true, write: func(r *record) entry {
		e := r.eggs
		says := []said{{fieldEggs, strconv.Itoa(e.n)}, {fieldEggsMethod, e.how}}
		switch {
		case e.ranged:
			return tells(words(fmt.Sprintf("%d-%d", e.low, e.high)),
				append(says, said{fieldEggsLow, strconv.Itoa(e.low)}, said{fieldEggsHigh, strconv.Itoa(e.high)})...)
		case e.vague:
			return tells(words(about+strconv.Itoa(e.n)), says...)
		case e.how != "counted":
			return tells(whole(e.n), says[0]) // how it was counted stands in a column of its own
		}
		return tells(whole(e.n), says...)
	}})
}

// eggsMethod is how the eggs were counted, in the keeper's words.
func eggsMethod(head string, word map[string]string) column {
	return ofClutch(column{head: head, write: func(r *record) entry {
		return tells(words(word[r.eggs.how]), said{fieldEggsMethod, r.eggs.how})
	}})
}

// counted is a column of counts of a clutch. Where it never came to that, nothing
// is written.
func counted(head, field string, spare float64, of func(*record) (int, bool)) column {
	return ofClutch(column{head: head, spare: spare, counts: true, write: func(r *record) entry {
		n, known := of(r)
		if !known {
			return entry{}
		}
		return tells(whole(n), said{field, strconv.Itoa(n)})
	}})
}

// fertileEggs are counted some time after laying: where the clutch was lost to
// something else before, nobody knows.
func fertileEggs(head string) column {
	return counted(head, fieldFertile, 0.10, func(r *record) (int, bool) {
		c := r.clutch
		known := !c.hatchSeen.IsZero() || c.loss == "fungus" || c.loss == "infertile" || c.loss == "failed to hatch"
		return min(c.fertile, r.eggsAtMost()), known
	})
}

func hatchedNumber(head string) column {
	return counted(head, fieldHatched, 0.08, func(r *record) (int, bool) {
		return min(r.clutch.hatched, r.eggsAtMost()), !r.clutch.hatchSeen.IsZero()
	})
}

func fryNumber(head string) column {
	return counted(head, fieldFreeSwimming, 0.06, func(r *record) (int, bool) {
		return min(r.clutch.swimming, r.eggsAtMost()), !r.clutch.swimSeen.IsZero()
	})
}

// eggsAtMost keeps later counts from exceeding a count of eggs that came out too
// low: keepers mend that in their logs.
func (r *record) eggsAtMost() int { return max(r.eggs.n, r.eggs.high) }

// lossOf is the cause of the loss of a clutch, in the keeper's words.
func lossOf(head string, words map[string][]string) column {
	return ofClutch(column{head: head, write: func(r *record) entry {
		cause := r.clutch.loss
		if cause == "" {
			return entry{}
		}
		list := words[cause]
		return tells(cell{kind: text, text: list[r.number%len(list)]}, said{fieldLoss, cause})
	}})
}

// hatchAid is what was done to help the hatch.
func hatchAid(head string, list []string) column {
	return ofClutch(texts(head, fieldHatchAid, 0, func(r *record) string { return list[r.number%len(list)] }))
}
