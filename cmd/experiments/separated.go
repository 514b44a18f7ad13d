package main

import (
	"math"
	"math/rand/v2"
	"slices"
)

// separated is E3: triggers that (nearly) never fail.
func separated(ours analysis) experiment {
	// Two months: too short for a season to be held alike, which the linear program does not know.
	strong := husbandry{attempts: slices.Repeat([]int{10}, 6), base: 0, skill: 0.7, effect: math.Log(12), months: 2}
	warm := strong
	warm.warmth, warm.recordedTemperature = 0.8, true
	return experiment{
		id: "E3", title: "A trigger that never failed",
		planted: "Six keepers with 10 attempts each and an odds ratio of 12, which separates the outcomes now and then; the same with temperature, which helps too, held alike; and records put together so that the trigger never failed: 36 of 36 attempts with it spawned among 96 of 12 keepers, and 6 of 6 among 64 of 8. What separates is decided by the linear program of Konis (2007).",
		worlds: []world{
			oddsOfTwelve("6 keepers, 10 attempts each, odds ratio 12", strong, ours),
			flagWorld("the same, temperature held alike", warm.draw, ours),
			neverFailed("36 of 36 with the trigger", 12, 8, 3, ours),
			neverFailed("6 of 6 with the trigger", 8, 8, 0.75, ours),
		},
	}
}

// A flagging is what was said of one set of tries, which may be separated.
type flagging struct {
	ours, profile, blind finding
	truly                bool // separated, by the linear program
}

func inspect(t tries, ours analysis) flagging {
	f := flagging{ours: ours(t)}
	f.truly = separatedByProgram(t, slices.Contains(f.ours.adjusted, "water temperature"))
	f.profile, _ = firthParts(firth(t.data()), t.data().Group)
	f.blind = blindSandwich(t)
	return f
}

// flags judge whether separation is seen. Sets that a gate stopped before any fit
// have no number to be flagged, and are not counted.
func flags(all []flagging) []figure {
	answered := only(all, func(f flagging) bool { return f.ours.answered })
	split := only(answered, func(f flagging) bool { return f.truly })
	whole := only(answered, func(f flagging) bool { return !f.truly })
	seen := func(f flagging) bool { return f.ours.separated }
	list := []figure{
		share(all, func(f flagging) bool { return f.ours.answered }).shown("gravid", "answered"),
		share(answered, func(f flagging) bool { return f.truly }).shown("linear program", "separated sets"),
		share(split, seen).ours("gravid", "separated sets that are flagged", exactly(1)),
	}
	if len(whole) > 0 {
		list = append(list, share(whole, seen).ours("gravid", "other sets that are flagged", exactly(0)))
	}
	return list
}

// certain is a p-value that claims much.
const certain = 0.001

// unbacked reports whether a finding is certain of a link and the penalised profile
// is not.
func unbacked(f, profile finding) bool {
	return f.answered && f.p < certain && !(profile.answered && profile.p < certain)
}

func certainty(all []flagging) figure {
	return share(all, func(f flagging) bool { return unbacked(f.ours, f.profile) }).ours("gravid", "p < 0.001 where the Firth profile says otherwise", exactly(0))
}

func oddsOfTwelve(name string, h husbandry, ours analysis) world {
	return newWorld(name, func(rng *rand.Rand) flagging { return inspect(h.draw(rng), ours) }, func(all []flagging) []figure {
		of := func(f flagging) finding { return f.ours }
		list := flags(all)
		split := only(all, func(f flagging) bool { return f.truly })
		return append(list,
			coverage(all, of, h.effect).ours("gravid", holdsTruth, atLeast(0.94)),
			coverage(split, of, h.effect).ours("gravid", holdsTruth+", separated sets", atLeast(0.94)),
			share(all, func(f flagging) bool { return f.ours.answered && f.ours.lo <= h.effect }).ours("gravid", "lower limits below the truth", atLeast(0.94)),
			share(all, func(f flagging) bool { return f.ours.answered && f.ours.hi >= h.effect }).ours("gravid", "upper limits above the truth", atLeast(0.94)),
			coverage(all, func(f flagging) finding { return f.profile }, h.effect).shown("Firth profile", holdsTruth),
			certainty(all),
			coverage(split, func(f flagging) finding { return f.blind }, h.effect).rival("sandwich without a look at separation", holdsTruth+", separated sets", atLeast(0.94)),
		)
	})
}

func flagWorld(name string, draw func(*rand.Rand) tries, ours analysis) world {
	return newWorld(name, func(rng *rand.Rand) flagging { return inspect(draw(rng), ours) }, flags)
}

// neverFailed puts records together in which every attempt with the trigger spawned,
// and 40 in 100 of the others: with of each keeper's attempts have the trigger, on
// average.
func neverFailed(name string, keepers, attempts int, with float64, ours analysis) world {
	draw := func(rng *rand.Rand) tries {
		t := tries{}
		for i := range keepers * attempts {
			// Too few days for a season to be held alike, so that the profile is of the same model.
			t.list = append(t.list, try{keeper: i / attempts, day: rng.IntN(85), spawned: happens(rng, 0.4)})
		}
		for used := 0; used < int(with*float64(keepers)); {
			a := &t.list[rng.IntN(len(t.list))]
			if !a.used {
				a.used, a.spawned = true, true
				used++
			}
		}
		return t
	}
	return newWorld(name, func(rng *rand.Rand) flagging { return inspect(draw(rng), ours) }, func(all []flagging) []figure {
		list := append(flags(all), certainty(all))
		blind := share(all, func(f flagging) bool { return f.blind.p < certain }).asPercent()
		list = append(list,
			share(all, func(f flagging) bool { return f.ours.answered && f.ours.p < certain }).shown("gravid", "p < 0.001"),
			blind.shown("sandwich without a look at separation", "p < 0.001"))
		if with < 1 {
			list = append(list, share(all, func(f flagging) bool { return unbacked(f.blind, f.profile) }).
				rival("sandwich without a look at separation", "p < 0.001 where the Firth profile says otherwise", exactly(0)))
		}
		return list
	})
}

// separatedByProgram decides by linear programming whether the outcomes are separated
// by the trigger, with temperature where it is held alike, and keeper intercepts
// (Konis 2007): the largest sum of d'g over |g_j| <= 1 with d'g >= 0 for all d is above
// 0, d the difference of columns between a spawning and a failure of one keeper. The
// intercepts are eliminated by taking differences. With two slopes the optimum lies in
// a corner of the square, or where a line d'g = 0 leaves it, and all are gone through.
func separatedByProgram(t tries, temperature bool) bool {
	pairs := contrasts(t, temperature)
	corners := [][2]float64{{1, 1}, {1, -1}, {-1, 1}, {-1, -1}}
	for _, d := range pairs {
		if size := max(math.Abs(d[0]), math.Abs(d[1])); size > 0 {
			corners = append(corners, [2]float64{d[1] / size, -d[0] / size}, [2]float64{-d[1] / size, d[0] / size})
		}
	}
	for _, g := range corners {
		sum, feasible := 0.0, true
		for _, d := range pairs {
			v := d[0]*g[0] + d[1]*g[1]
			feasible = feasible && v >= -1e-12
			sum += v
		}
		if feasible && sum > 1e-7 {
			return true
		}
	}
	return false
}

// contrasts are the differences in trigger and temperature between each spawning and
// each failure of the same keeper. Where temperature is not held alike its difference
// is 0.
func contrasts(t tries, temperature bool) [][2]float64 {
	var pairs [][2]float64
	for _, a := range t.list {
		for _, b := range t.list {
			if a.keeper == b.keeper && a.spawned && !b.spawned {
				d := [2]float64{oneIf(a.used) - oneIf(b.used), 0}
				if temperature {
					d[1] = a.temperature - b.temperature
				}
				pairs = append(pairs, d)
			}
		}
	}
	return pairs
}
