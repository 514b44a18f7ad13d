package main

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gravid/analyze/answer"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/stats/logit"
)

// A diary is a club of keepers who write down spawnings and nothing else.
//
// Weather and season are those of a year, but here falls of the barometer are rarer
// where fish spawn more. Each keeper writes from some day of the first two months to
// some day of the last two, and is away for awayWeeks weeks in between, when nothing is
// written down. After a spawning fish rest for refractory days, whether it was seen or
// not; on other days the log odds of a spawning are those of a keeper plus push*season,
// plus effect on days after a fall, plus what the front brings, of which shock is the
// standard deviation.
type diary struct {
	year
	refractory int
	shock      float64
}

const (
	restedChance = 0.06 // of a spawning on a day at risk, at average skill and season
	awayWeeks    = 2
)

// successesOnly is E6: nobody writes down what came to nothing.
func successesOnly(known, unknown logAnalysis) experiment {
	e := experiment{
		id: "E6", title: "Keepers who write down spawnings only",
		planted: "Twelve keepers with a tank each write down the days of spawnings over most of a year and are away for two weeks of it. Fish rest for 0, 5 or 10 days after a spawning. The season raises the log odds of a spawning by 2 from trough to height and lowers those of a fall of the barometer by 1.6. A fall does nothing, or adds 0.7. gravid is asked with the days on which each keeper watched, and without. In one more world fronts shift the log odds of spawning by 0.8 for all keepers.",
	}
	for _, effect := range []float64{0, 0.7} {
		for _, rest := range []int{0, 5, 10} {
			e.worlds = append(e.worlds, logWorld(fmt.Sprintf("rest of %d days, effect %g", rest, effect), club12(rest, effect, 0), known, unknown))
		}
	}
	e.worlds = append(e.worlds, logWorld("rest of 5 days, effect 0, weather that keepers share", club12(5, 0, 0.8), known, unknown))
	return e
}

func club12(rest int, effect, shock float64) diary {
	return diary{year: year{keepers: 12, days: 364, pull: -0.8, push: 1, effect: effect}, refractory: rest, shock: shock}
}

// A log is what was written down, with what only we know beside it.
type log struct {
	tables  *club.Tables
	watches map[string]exposure.Watch
	aways   map[string][]exposure.Watch
	fall    []bool // from readingMargin days before the first
	front   []int
	days    []logDay
}

// A logDay is one day of a tank.
type logDay struct {
	keeper, day  int
	watched      bool // within the days of writing, and not away
	resting      bool
	spawned, saw bool
}

func (d diary) draw(rng *rand.Rand) log {
	l := log{tables: &club.Tables{}, watches: map[string]exposure.Watch{}, aways: map[string][]exposure.Watch{}}
	l.fall, l.front = d.fronts(rng)
	l.tables.Readings = barometer("the town", l.fall)
	shifts := make([]float64, l.front[len(l.front)-1]+1)
	for i := range shifts {
		shifts[i] = d.shock * rng.NormFloat64()
	}
	for k := range d.keepers {
		skill := math.Log(restedChance/(1-restedChance)) + dailySkill*rng.NormFloat64()
		first, last := rng.IntN(60), d.days-1-rng.IntN(60)
		l.watches[keeperName(k)] = exposure.Watch{From: start.AddDate(0, 0, first), To: start.AddDate(0, 0, last)}
		away := map[int]bool{}
		for range awayWeeks {
			week := first + rng.IntN(last-first-7)
			for i := range 7 {
				away[week+i] = true
			}
			l.aways[keeperName(k)] = append(l.aways[keeperName(k)], exposure.Watch{From: start.AddDate(0, 0, week), To: start.AddDate(0, 0, week+6)})
		}
		rested := 0
		for day := range d.days {
			now := logDay{keeper: k, day: day, watched: first <= day && day <= last && !away[day], resting: day < rested}
			at := day + readingMargin
			chance := logistic(skill + d.push*season(day) + d.effect*oneIf(l.fall[at]) + shifts[l.front[at]])
			if !now.resting && happens(rng, chance) {
				now.spawned, now.saw = true, now.watched
				rested = day + d.refractory + 1
			}
			l.days = append(l.days, now)
		}
	}
	l.write()
	return l
}

// write puts the spawnings that were seen into the tables.
func (l log) write() {
	for _, day := range l.days {
		if day.saw {
			l.tables.Attempts = append(l.tables.Attempts, club.Attempt{
				ID: fmt.Sprint(day.keeper, "/", day.day), Keeper: keeperName(day.keeper), System: "T1", Species: species,
				Spawned: club.Some(true), SpawnedAt: club.Some(start.AddDate(0, 0, day.day)),
			})
		}
	}
}

// data are the days that keep chooses, with the trigger, the season as it is, and one
// intercept a keeper.
func (l log) data(keep func(logDay) bool) logit.Data {
	d := logit.Data{X: [][]float64{nil, nil}, Names: []string{"fall", "season"}}
	for _, day := range l.days {
		if keep(day) {
			d.Y, d.Group = append(d.Y, oneIf(day.saw)), append(d.Group, day.keeper)
			d.X[0] = append(d.X[0], oneIf(l.fall[day.day+readingMargin]))
			d.X[1] = append(d.X[1], season(day.day))
		}
	}
	return d
}

// allDays is what is done at first sight: days with a spawning against all days of the
// year.
func (l log) allDays() finding {
	d := l.data(func(logDay) bool { return true })
	d.X, d.Names = d.X[:1], d.Names[:1]
	m := mustFit(d, logit.Options{})
	return fromWald(m.Wald(0, level), m.WaldTest(0).P)
}

// atRisk is the oracle's answer: it knows who looked when, which fish rested, and the
// season.
func (l log) atRisk() finding {
	return oracle(l.data(func(day logDay) bool { return day.watched && !day.resting }))
}

// A logAnalysis asks about the barometer.
type logAnalysis func(log) opinion

// askKnown is gravid's own answer where the club says when each keeper watched.
func askKnown(l log) opinion {
	return askLog(l, exposure.Options{Watches: l.watches, Away: l.aways}, answer.AtRiskDays)
}

// askUnknown is the one where nobody says so.
func askUnknown(l log) opinion { return askLog(l, exposure.Options{}, answer.MatchedDays) }

func askLog(l log, o exposure.Options, design answer.Design) opinion {
	k := answer.Asker{Records: exposure.New(l.tables, o), Triggers: triggers("pressure-drop")}
	a := k.Matter(species, k.Triggers[0])
	if a.Design != design {
		return opinion{finding: unanswered(true), verdict: a.Verdict}
	}
	return opinionOf(a)
}

// A logged look is what procedures say of one log.
type logged struct {
	known, unknown opinion
	naive, oracle  finding
}

func logWorld(name string, d diary, known, unknown logAnalysis) world {
	draw := func(rng *rand.Rand) logged {
		l := d.draw(rng)
		return logged{known: known(l), unknown: unknown(l), naive: l.allDays(), oracle: l.atRisk()}
	}
	return newWorld(name, draw, func(all []logged) []figure {
		watched := func(l logged) finding { return l.known.finding }
		matched := func(l logged) finding { return l.unknown.finding }
		naive := func(l logged) finding { return l.naive }
		oracle := func(l logged) finding { return l.oracle }
		const byWatch, byMatch, bySight = "gravid, watches known", "gravid, matched days", "spawning days against all days"
		list := []figure{
			biases(all, watched, d.effect).ours(byWatch, biasOf, within(0.05)),
			coverage(all, watched, d.effect).ours(byWatch, holdsTruth, atLeast(0.93)),
			biases(all, matched, d.effect).ours(byMatch, biasOf, within(0.05)),
			coverage(all, matched, d.effect).ours(byMatch, holdsTruth, atLeast(0.93)),
			biases(all, naive, d.effect).rival(bySight, biasOf, within(0.05)),
			coverage(all, naive, d.effect).shown(bySight, holdsTruth),
			biases(all, oracle, d.effect).shown("days truly at risk, true season", biasOf),
			coverage(all, oracle, d.effect).shown("days truly at risk, true season", holdsTruth),
			share(all, func(l logged) bool { return l.known.matters() }).shown(byWatch, saysMatters),
			share(all, func(l logged) bool { return l.unknown.matters() }).shown(byMatch, saysMatters),
			share(all, func(l logged) bool { return l.known.capped }).shown(byWatch, capped),
			share(all, func(l logged) bool { return l.unknown.capped }).shown(byMatch, capped),
		}
		return list
	})
}
