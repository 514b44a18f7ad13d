package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"gravid/analyze/answer"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/stats/logit"
)

// A sky is a club whose tanks are watched day by day under shared weather.
//
// Each region's days are cut into fronts of front days, the first of which begins at
// random. A front brings a falling barometer on all its days with chance fallShare,
// and shifts the log odds of spawning of all keepers below it by a normal number with
// standard deviation shock, whether or not the barometer falls. The fall itself adds
// effect.
type sky struct {
	keepers, regions, days int
	front                  int
	shock, effect          float64
}

const (
	dailyChance   = 0.12 // of a spawning, at average skill
	dailySkill    = 0.5  // standard deviation between keepers, on the log-odds scale
	fallShare     = 0.4  // of the fronts
	longestTry    = 12   // days until an attempt is given up
	readingMargin = 20   // days of readings before the first and after the last day
)

// sharedWeather is E4: a fall of the barometer does nothing, but keepers share what
// else the weather does.
func sharedWeather(ours weatherAnalysis) experiment {
	e := experiment{
		id: "E4", title: "Weather that all keepers share",
		planted: "Twelve keepers watch a tank each for 120 days. The weather comes in fronts of 3 or 5 days, over one town or four regions; each shifts the log odds of spawning by 0.8 (standard deviation) for all keepers below it. The barometer falls during 4 of 10 fronts, which does nothing.",
	}
	for _, regions := range []int{1, 4} {
		for _, front := range []int{3, 5} {
			place := "one town"
			if regions > 1 {
				place = fmt.Sprintf("%d regions", regions)
			}
			e.worlds = append(e.worlds, weatherWorld(fmt.Sprintf("%s, fronts of %d days", place, front),
				sky{keepers: 12, regions: regions, days: 120, front: front, shock: 0.8}, ours))
		}
	}
	return e
}

// weather is what the records of a sky hold, with what only we know beside it.
type weather struct {
	records *exposure.Records
	front   func(keeper string, day time.Time) int // number of the front
	region  map[string]int                         // of each keeper
}

func (s sky) draw(rng *rand.Rand) weather {
	t := &club.Tables{}
	places := map[string]string{}
	fall, shift, number := s.fronts(rng)
	for r := range s.regions {
		t.Readings = append(t.Readings, barometer(fmt.Sprint("region ", r), fall[r])...)
	}
	regionOf := map[string]int{}
	for k := range s.keepers {
		name, region := keeperName(k), k%s.regions
		regionOf[name], places[name] = region, fmt.Sprint("region ", region)
		skill := math.Log(dailyChance/(1-dailyChance)) + dailySkill*rng.NormFloat64()
		chance := func(day int) float64 {
			return logistic(skill + shift[region][day] + s.effect*oneIf(fall[region][day]))
		}
		t.Attempts = append(t.Attempts, s.attempts(rng, name, chance)...)
	}
	return weather{
		region:  regionOf,
		records: exposure.New(t, exposure.Options{PlaceOf: places}),
		front: func(keeper string, day time.Time) int {
			return number[regionOf[keeper]][readingMargin+int(math.Round(day.Sub(start).Hours()/24))]
		},
	}
}

// fronts draws the weather of all regions, day by day from readingMargin days before
// the first: whether the barometer falls on the day before, the shift, and the number
// of the front.
func (s sky) fronts(rng *rand.Rand) (fall [][]bool, shift [][]float64, number [][]int) {
	n := 0
	for range s.regions {
		var f []bool
		var u []float64
		var k []int
		for left := rng.IntN(s.front) + 1; len(f) < s.days+2*readingMargin; left = s.front {
			falls, moves := happens(rng, fallShare), s.shock*rng.NormFloat64()
			for range left {
				f, u, k = append(f, falls), append(u, moves), append(k, n)
			}
			n++
		}
		fall, shift, number = append(fall, f), append(shift, u), append(number, k)
	}
	return fall, shift, number
}

// barometer gives a reading at each midnight: 6 hPa below the one before where the
// day that the midnight opens comes after a fall, else back up towards 1013 hPa.
func barometer(place string, fall []bool) []club.Reading {
	level := 1013.0
	var list []club.Reading
	for day, falls := range fall {
		if falls {
			level -= 6
		} else {
			level = min(level+12, 1013)
		}
		list = append(list, club.Reading{
			Keeper: "barometer of " + place, Place: place, Quantity: "air_pressure_hpa",
			At: club.Some(start.AddDate(0, 0, day-readingMargin)), Value: club.Some(level),
		})
	}
	return list
}

// attempts follows one tank: an attempt is set up, watched from the next day on until
// fish spawn or it is given up, and followed by the next. chance takes days counted
// from readingMargin days before the first.
func (s sky) attempts(rng *rand.Rand, keeper string, chance func(day int) float64) []club.Attempt {
	var list []club.Attempt
	for day := 0; day < s.days; {
		a := club.Attempt{
			ID: fmt.Sprint(keeper, "/", len(list)), Keeper: keeper, System: "T1", Species: species,
			Began: club.Some(start.AddDate(0, 0, day)), Spawned: club.Some(false),
		}
		last := min(day+longestTry, s.days)
		for day < last && !a.Spawned.V {
			day++
			a.Spawned.V = happens(rng, chance(day+readingMargin))
		}
		a.Ended = club.Some(start.AddDate(0, 0, day))
		if a.Spawned.V {
			a.SpawnedAt = a.Ended
		}
		list = append(list, a)
		day++
	}
	return list
}

// A weatherAnalysis asks about the barometer.
type weatherAnalysis func(weather) finding

// askWeather is gravid's own answer.
func askWeather(w weather) finding {
	k := answer.Asker{Records: w.records, Triggers: triggers("pressure-drop")}
	a := k.Matter(species, k.Triggers[0])
	if a.Design != answer.ByTankDay {
		return unanswered(true)
	}
	return findingOf(a)
}

// watched are procedures asked about the same days.
type watched struct {
	ours, keepers, fronts, shorter, wald finding
}

// tankDays are the rows at risk, as gravid lays them out, with the number of the front
// and that of the block of 5 days and one region that each belongs to.
func (w weather) tankDays() (d logit.Data, front, block []int) {
	f := w.records.Rows(species, true)
	x := w.records.Values(f, triggers("pressure-drop")[0], 0)
	d = logit.Data{Y: f.Y, Group: f.Keeper, X: [][]float64{x, f.LogDay()}, Names: []string{"fall", "day"}}
	for i, day := range f.Opens {
		keeper := f.Keepers[f.Keeper[i]]
		front = append(front, w.front(keeper, day))
		block = append(block, 1000*w.region[keeper]+int(day.Sub(start).Hours()/120))
	}
	return d, front, block
}

// larger is the test of gravid's interval: the larger p of its two parts.
func larger(profile, jackknife finding) finding {
	jackknife.p = max(profile.p, jackknife.p)
	return jackknife
}

func lookAt(w weather, ours weatherAnalysis) watched {
	d, front, block := w.tankDays()
	m := mustFit(d, logit.Options{})
	out := watched{ours: ours(w), fronts: robust(m, front), wald: fromWald(m.Wald(0, level), m.WaldTest(0).P)}
	out.keepers = larger(firthParts(firth(d), d.Group))
	out.shorter = larger(firthParts(firth(d), block))
	return out
}

func weatherWorld(name string, s sky, ours weatherAnalysis) world {
	few := atMost(0.065)
	return newWorld(name, func(rng *rand.Rand) watched { return lookAt(s.draw(rng), ours) }, func(all []watched) []figure {
		alarms := func(of func(watched) finding) estimate {
			return share(all, func(w watched) bool { return of(w).rejects(0.05) })
		}
		keepers := alarms(func(w watched) finding { return w.keepers })
		list := []figure{
			alarms(func(w watched) finding { return w.ours }).ours(fmt.Sprintf("gravid (blocks of %d days)", exposure.EpisodeDays), falseAlarms, few),
			alarms(func(w watched) finding { return w.fronts }).ours("CR2 by true front", falseAlarms, few),
		}
		const byKeeper = "gravid's interval, clusters by keeper"
		if s.regions == 1 {
			list = append(list, keepers.rival(byKeeper, falseAlarms, few))
		} else {
			list = append(list, keepers.shown(byKeeper, falseAlarms))
		}
		return append(list,
			alarms(func(w watched) finding { return w.shorter }).shown("gravid's interval, blocks of 5 days", falseAlarms),
			alarms(func(w watched) finding { return w.wald }).shown("keeper intercepts, Wald", falseAlarms),
			share(all, func(w watched) bool { return w.ours.answered }).shown("gravid", "answered"))
	})
}
