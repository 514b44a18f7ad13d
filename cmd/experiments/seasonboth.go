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

// A year is a club whose tanks are watched day by day under one sky with a season.
//
// The season goes from -1 to 1 and back; it is not a pure harmonic. A front of
// frontDays days brings a falling barometer with log odds fallOdds + pull*season; the
// log odds of a spawning are those of a keeper plus push*season, plus effect on days
// after a fall.
type year struct {
	keepers, days int
	pull, push    float64
	effect        float64
}

const (
	frontDays = 3
	fallOdds  = -0.6
	midsummer = 180 // day of the year with the highest season
)

// season of a day counted from start.
func season(day int) float64 {
	return math.Tanh(2 * math.Cos(2*math.Pi*float64(day-midsummer)/365.25))
}

// seasonBoth is E5: the season moves both the barometer and the fish.
func seasonBoth(ours weatherOpinion) experiment {
	const pull, push = 0.8, 1
	e := experiment{
		id: "E5", title: "A season that moves both the barometer and the fish",
		planted: "Twelve keepers watch a tank each. The weather comes in fronts of 3 days. From the trough to the height of the season the log odds of a fall of the barometer rise by 1.6 and those of a spawning by 2. A fall itself does nothing, or adds 0.7. Records of a year let gravid hold the season alike by two waves a year, those of eight months by one; those of three months do not, and what the placebo notices is shown.",
	}
	for _, effect := range []float64{0, 0.7} {
		e.worlds = append(e.worlds, fullYear(fmt.Sprintf("a year, effect %g", effect), year{keepers: 12, days: 365, pull: pull, push: push, effect: effect}, ours))
	}
	for _, effect := range []float64{0, 0.7} {
		e.worlds = append(e.worlds, eightMonths(fmt.Sprintf("eight months, effect %g", effect), year{keepers: 12, days: 240, pull: pull, push: push, effect: effect}, ours))
	}
	for _, effect := range []float64{0, 0.7} {
		e.worlds = append(e.worlds, threeMonths(fmt.Sprintf("three months, effect %g", effect), year{keepers: 12, days: 88, pull: pull, push: push, effect: effect}, ours))
	}
	for _, effect := range []float64{0, 0.7} {
		e.worlds = append(e.worlds, noSeason(fmt.Sprintf("a year without a season, effect %g", effect), year{keepers: 12, days: 365, effect: effect}, ours))
	}
	return e
}

func (y year) draw(rng *rand.Rand) weather {
	t := &club.Tables{}
	fall, number := y.fronts(rng)
	t.Readings = barometer("the town", fall)
	s := sky{days: y.days}
	for k := range y.keepers {
		skill := math.Log(dailyChance/(1-dailyChance)) + dailySkill*rng.NormFloat64()
		chance := func(day int) float64 { // counted from readingMargin days before the first
			return logistic(skill + y.push*season(day-readingMargin) + y.effect*oneIf(fall[day]))
		}
		t.Attempts = append(t.Attempts, s.attempts(rng, keeperName(k), chance)...)
	}
	return weather{records: exposure.New(t, exposure.Options{}), front: func(_ string, day time.Time) int {
		return number[readingMargin+dayNumber(day)]
	}}
}

// fronts draws whether the barometer falls, day by day from readingMargin days before
// the first, and numbers the fronts.
func (y year) fronts(rng *rand.Rand) (fall []bool, number []int) {
	for n, left := 0, rng.IntN(frontDays)+1; len(fall) < y.days+2*readingMargin; n, left = n+1, frontDays {
		falls := happens(rng, logistic(fallOdds+y.pull*season(len(fall)-readingMargin)))
		for range left {
			fall, number = append(fall, falls), append(number, n)
		}
	}
	return fall, number
}

// dayNumber counts days from start.
func dayNumber(day time.Time) int { return int(math.Round(day.Sub(start).Hours() / 24)) }

// A weatherOpinion asks about the barometer and hands back all that is said.
type weatherOpinion func(weather) opinion

// opinionOnWeather is gravid's own.
func opinionOnWeather(w weather) opinion {
	k := answer.Asker{Records: w.records, Triggers: triggers("pressure-drop")}
	return opinionOf(k.Matter(species, k.Triggers[0]))
}

// A seasoned look has beside gravid's opinion what those find who hold the season alike
// as it is, or not at all.
type seasoned struct {
	ours          opinion
	known, season finding // the season as it is, and left out
}

func lookThroughSeason(w weather, ours weatherOpinion) seasoned {
	d, front, _ := w.tankDays()
	out := seasoned{ours: ours(w), season: robust(mustFit(d, logit.Options{}), front)}
	days := w.records.Rows(species, true).Opens
	truth := make([]float64, len(days))
	for i, day := range days {
		truth[i] = season(dayNumber(day))
	}
	d.X, d.Names = append(d.X, truth), append(d.Names, "season")
	out.known = oracle(d)
	return out
}

const (
	biasOf      = "bias of the log odds ratio"
	capped      = "verdicts capped by the placebo"
	saysMatters = `verdicts "matters"`
	saysLink    = "verdicts of a link"
)

// biases are the mean of what a procedure gives, where it gives something, less the
// truth.
func biases[T any](all []T, of func(T) finding, truth float64) estimate {
	return mean(only(all, func(r T) bool { return of(r).answered }), func(r T) float64 { return of(r).value }).less(truth)
}

func seasonWorld(name string, y year, ours weatherOpinion, judge func([]seasoned) []figure) world {
	return newWorld(name, func(rng *rand.Rand) seasoned { return lookThroughSeason(y.draw(rng), ours) }, judge)
}

// verdicts shows how often gravid names a link.
func verdicts[T any](all []T, of func(T) opinion) []figure {
	return []figure{
		share(all, func(r T) bool { return of(r).matters() }).shown("gravid", saysMatters),
		share(all, func(r T) bool { return of(r).links() }).shown("gravid", saysLink),
		share(all, func(r T) bool { return of(r).answered }).shown("gravid", "answered"),
	}
}

func (s seasoned) said() opinion   { return s.ours }
func (s seasoned) ratio() finding  { return s.ours.finding }
func (s seasoned) blind() finding  { return s.season }
func (s seasoned) seeing() finding { return s.known }
func (s seasoned) isCapped() bool  { return s.ours.capped }

func fullYear(name string, y year, ours weatherOpinion) world {
	return seasonWorld(name, y, ours, func(all []seasoned) []figure {
		list := []figure{
			biases(all, seasoned.ratio, y.effect).ours("gravid", biasOf, within(0.05)),
			coverage(all, seasoned.ratio, y.effect).shown("gravid", holdsTruth),
			share(all, seasoned.isCapped).ours("gravid", capped, atMost(0.08)),
			biases(all, seasoned.blind, y.effect).rival("season not held alike", biasOf, within(0.05)),
			coverage(all, seasoned.blind, y.effect).shown("season not held alike, CR2 by true front", holdsTruth),
			biases(all, seasoned.seeing, y.effect).shown("the true season held alike", biasOf),
		}
		return append(list, verdicts(all, seasoned.said)...)
	})
}

// eightMonths are records in which gravid holds one yearly wave alike.
func eightMonths(name string, y year, ours weatherOpinion) world {
	return seasonWorld(name, y, ours, func(all []seasoned) []figure {
		list := []figure{
			biases(all, seasoned.ratio, y.effect).ours("gravid, one yearly wave", biasOf, within(0.05)),
			coverage(all, seasoned.ratio, y.effect).ours("gravid, one yearly wave", holdsTruth, atLeast(0.93)),
			share(all, seasoned.isCapped).ours("gravid, one yearly wave", capped, atMost(0.08)),
			biases(all, seasoned.blind, y.effect).rival("season not held alike", biasOf, within(0.05)),
			share(all, func(s seasoned) bool { return s.season.rejects(0.05) }).shown("season not held alike, CR2 by true front", falseAlarms),
			biases(all, seasoned.seeing, y.effect).shown("the true season held alike", biasOf),
		}
		if y.effect == 0 {
			list = append(list, share(all, func(s seasoned) bool { return s.ours.matters() }).ours("gravid, one yearly wave", saysMatters, atMost(0.025)))
		}
		return append(list, verdicts(all, seasoned.said)...)
	})
}

// threeMonths are records in which gravid does not hold the season alike.
func threeMonths(name string, y year, ours weatherOpinion) world {
	return seasonWorld(name, y, ours, func(all []seasoned) []figure {
		list := []figure{
			biases(all, seasoned.ratio, y.effect).shown("gravid, season not held alike", biasOf),
			share(all, seasoned.isCapped).shown("gravid, season not held alike", capped),
			share(only(all, func(s seasoned) bool { return s.ours.excludesNothing() }), seasoned.isCapped).shown("gravid, season not held alike", "capped, of those that would name a link"),
			share(all, func(s seasoned) bool { return s.season.rejects(0.05) }).shown("season not held alike, CR2 by true front", falseAlarms),
			biases(all, seasoned.seeing, y.effect).shown("the true season held alike", biasOf),
		}
		if y.effect == 0 {
			list = append(list, share(all, func(s seasoned) bool { return s.ours.matters() }).ours("gravid, season not held alike", saysMatters, atMost(0.025)))
		}
		return append(list, verdicts(all, seasoned.said)...)
	})
}

// noSeason are records in which the placebo has nothing to find.
func noSeason(name string, y year, ours weatherOpinion) world {
	return seasonWorld(name, y, ours, func(all []seasoned) []figure {
		list := []figure{
			share(all, seasoned.isCapped).ours("gravid", capped, atMost(0.08)),
			biases(all, seasoned.ratio, y.effect).ours("gravid", biasOf, within(0.05)),
			coverage(all, seasoned.ratio, y.effect).shown("gravid", holdsTruth),
		}
		return append(list, verdicts(all, seasoned.said)...)
	})
}
