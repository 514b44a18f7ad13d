package main

import (
	"math"
	"math/rand/v2"
	"slices"

	"gravid/analyze/answer"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/stats/adjust"
	"gravid/stats/logit"
)

// asked are the eight triggers of E11, each noted yes or no for every attempt.
var asked = [...]string{"flow", "live-food", "microfauna", "leaf-litter", "rearranged", "dither", "tank-mates-removed", "cool-refill"}

// manyQuestions is E11: nothing matters, and much is asked.
func manyQuestions(ours tableAnalysis) experiment {
	return experiment{
		id: "E11", title: "Many questions about nothing",
		planted: "The club of E1 notes eight triggers, none of which does anything; each is used in a share of attempts that differs between keepers. And twelve keepers watch tanks for 120 days while someone looks at a fall of the barometer in 25 ways: over 1, 2 or 3 days up to the day, or over 1 day up to one or two days before, each against five thresholds. The barometer does nothing, and days are independent.",
		worlds:  []world{tableWorld("8 triggers", ours), gridWorld("25 lags and thresholds")},
	}
}

// A tableAnalysis asks about all triggers of a club at once and returns their p-values,
// as they are and after allowing for their number. A trigger that was not compared has
// NaN.
type tableAnalysis func(*club.Tables) tableFinding

type tableFinding struct {
	raw, adjusted []float64
	links         int // triggers called linked
}

// askTable is gravid's own table of triggers.
func askTable(t *club.Tables) tableFinding {
	k := answer.Asker{Records: exposure.New(t, exposure.Options{}), Triggers: triggers(asked[:]...)}
	var out tableFinding
	for _, a := range k.TriggersOf(species).Answers {
		out.raw, out.adjusted = append(out.raw, float64(a.PValue)), append(out.adjusted, float64(a.PAdjusted))
		if a.Verdict == answer.Matters || a.Verdict == answer.Leans {
			out.links++
		}
	}
	return out
}

// note writes eight triggers down that have nothing to do with the outcome. Keepers
// differ in how often they use each (log odds, standard deviation 0.7).
func note(rng *rand.Rand, t *club.Tables) {
	habits := map[string][len(asked)]float64{}
	for i := range t.Attempts {
		a := &t.Attempts[i]
		habit, known := habits[a.Keeper]
		if !known {
			for j := range habit {
				habit[j] = 0.7 * rng.NormFloat64()
			}
			habits[a.Keeper] = habit
		}
		var used [len(asked)]club.Truth
		for j := range used {
			used[j] = club.Some(happens(rng, logistic(habit[j])))
		}
		a.Flow, a.LiveFood, a.Microfauna, a.LeafLitter = used[0], used[1], used[2], used[3]
		a.Rearranged, a.Dither = used[4], used[5]
		a.TankMates = club.Some(!used[6].V)
		a.RefillDeltaC = club.Some(-2 * oneIf(used[7].V))
	}
}

// smallest is the least of the p-values that are known, 1 without any.
func smallest(p []float64) float64 {
	least := 1.0
	for _, x := range p {
		if !math.IsNaN(x) {
			least = min(least, x)
		}
	}
	return least
}

func tableWorld(name string, ours tableAnalysis) world {
	type both struct {
		ours   tableFinding
		pooled float64 // smallest p of eight logistic regressions in one pot
	}
	draw := func(rng *rand.Rand) both {
		tries := skilled(0, 0, 0).draw(rng)
		t := tries.tables()
		note(rng, t)
		d := tries.data()
		d.Group = nil
		least := 1.0
		for _, trigger := range triggers(asked[:]...) {
			for i := range t.Attempts {
				d.X[0][i] = trigger.FromAttempt(&t.Attempts[i]).V
			}
			least = min(least, mustFit(d, logit.Options{}).WaldTest(0).P)
		}
		return both{ours(t), least}
	}
	return newWorld(name, draw, func(all []both) []figure {
		const any = "clubs with any link at 5%"
		return []figure{
			share(all, func(b both) bool { return smallest(b.ours.adjusted) <= 0.05 }).ours("gravid, Holm over the list", any, atMost(0.05)),
			share(all, func(b both) bool { return b.ours.links > 0 }).ours("gravid, verdict of a link", any, atMost(0.05)),
			share(all, func(b both) bool { return smallest(b.ours.raw) <= 0.05 }).rival("gravid's p-values, best of all unguarded", any, atMost(0.05)),
			share(all, func(b both) bool { return b.pooled <= 0.05 }).rival("one pot, Wald, best of all unguarded", any, atMost(0.05)),
			mean(all, func(b both) float64 { return float64(len(b.ours.raw)) }).shown("gravid", "triggers compared"),
		}
	})
}

// A grid is what 25 ways of looking at the barometer gave.
type grid struct {
	ours  []float64 // p of gravid's interval, clusters by block of 5 days
	naive []float64 // p of Wald's test with keeper intercepts
}

// gridWorld explores. gravid does not: the procedure of one question is put together
// here from the packages that it is made of.
func gridWorld(name string) world {
	s := sky{keepers: 12, regions: 1, days: 120, front: 1}
	draw := func(rng *rand.Rand) grid {
		w := s.draw(rng)
		f := w.records.Rows(species, true)
		block := w.records.Episodes(f)
		level := noise(rng, s.days+2*readingMargin)
		var g grid
		for lag := range 5 {
			fall := falls(level, lag)
			ordered := slices.Clone(fall)
			slices.Sort(ordered)
			for cut := range 5 {
				threshold := ordered[len(ordered)*(3+cut)/10] // the lowest 30 to 70 in 100
				d := logit.Data{Y: f.Y, Group: f.Keeper, X: [][]float64{make([]float64, len(f.Y))}}
				for i, day := range f.Opens {
					at := readingMargin + int(math.Round(day.Sub(start).Hours()/24))
					d.X[0][i] = oneIf(fall[at] <= threshold)
				}
				profile, jackknife := firthParts(firth(d), block)
				g.ours = append(g.ours, max(profile.p, jackknife.p))
				g.naive = append(g.naive, mustFit(d, logit.Options{}).WaldTest(0).P)
			}
		}
		return g
	}
	return newWorld(name, draw, func(all []grid) []figure {
		const any = "searches that find something"
		return []figure{
			share(all, func(g grid) bool { return smallest(adjust.BenjaminiHochberg(g.ours)) <= 0.10 }).ours("gravid's interval, Benjamini & Hochberg at 10%", any, atMost(0.10)),
			share(all, func(g grid) bool { return smallest(adjust.Holm(g.ours)) <= 0.05 }).ours("gravid's interval, Holm at 5%", any, atMost(0.05)),
			share(all, func(g grid) bool { return smallest(g.ours) <= 0.05 }).rival("gravid's interval, best of 25 unguarded", any, atMost(0.10)),
			share(all, func(g grid) bool { return smallest(g.naive) <= 0.05 }).rival("keeper intercepts, Wald, best of 25 unguarded", any, atMost(0.10)),
		}
	})
}

// noise is a level of the barometer that moves up and down at random from day to day
// and is drawn back to its mean.
func noise(rng *rand.Rand, days int) []float64 {
	x := make([]float64, days)
	for i := 1; i < days; i++ {
		x[i] = 0.7*x[i-1] + 4*rng.NormFloat64()
	}
	return x
}

// falls is the change of the level over a window: over 1, 2 and 3 days up to the day
// itself (0, 1, 2), and over 1 day up to one and two days before (3, 4).
func falls(level []float64, lag int) []float64 {
	over, end := [...]int{1, 2, 3, 1, 1}[lag], [...]int{0, 0, 0, 1, 2}[lag]
	x := make([]float64, len(level))
	for i := over + end; i < len(x); i++ {
		x[i] = level[i-end] - level[i-end-over]
	}
	return x
}
