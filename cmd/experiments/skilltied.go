package main

import (
	"math/rand/v2"

	"gravid/stats/logit"
)

// unequal are the attempts of twelve keepers, 250 in all.
var unequal = [...]int{60, 45, 35, 25, 20, 15, 12, 10, 9, 8, 6, 5}

// aboutFive is the band of a test that should be wrong in 5 of 100.
var aboutFive = between(0.035, 0.065)

// carefulFive is the band of gravid's own answer in such a test. Its interval is the
// wider of two at each end, so it cannot be wrong as often as the 5 in 100 of either, and
// is held to what an interval promises in every other experiment: 93 to 99 in 100.
var carefulFive = between(0.01, 0.065)

// skilled is the club of the first two experiments.
func skilled(tie, effect, differ float64) husbandry {
	return husbandry{attempts: unequal[:], base: -0.4, skill: 1, tie: tie, effect: effect, differ: differ, months: 12}
}

// skillTied is E1: a trigger without effect that the better keepers use more.
func skillTied(ours analysis) experiment {
	return experiment{
		id: "E1", title: "A trigger without effect that skilled keepers use more",
		planted: "Twelve keepers with 5 to 60 attempts over a year, 250 in all; their log odds of a spawning differ by 1 (standard deviation). The trigger does nothing. Where it is tied to skill, a keeper one standard deviation better has e times the odds to use it.",
		worlds: []world{
			tiedWorld("trigger not tied to skill", skilled(0, 0, 0), ours, false),
			tiedWorld("trigger tied to skill", skilled(1, 0, 0), ours, true),
		},
	}
}

// methods are several procedures asked about the same tries.
type methods struct {
	ours, profile, jackknife, cr2, flip, keeper, random, pooled finding
}

func compare(t tries, ours analysis) methods {
	d := t.data()
	m := methods{ours: ours(t), cr2: keeperCR2(t), flip: signFlip(t), keeper: keeperWald(t), random: randomWald(t), pooled: pooledWald(t)}
	m.profile, m.jackknife = firthParts(mustFit(d, logit.Options{Penalty: logit.Firth}), d.Group)
	return m
}

const falseAlarms = "links found at 5%"

// false alarms of one of the methods.
func alarms(all []methods, of func(methods) finding) estimate {
	return share(all, func(m methods) bool { return of(m).rejects(0.05) })
}

func tiedWorld(name string, h husbandry, ours analysis, tied bool) world {
	return newWorld(name, func(rng *rand.Rand) methods { return compare(h.draw(rng), ours) }, func(all []methods) []figure {
		pooled := alarms(all, func(m methods) finding { return m.pooled }).shown("one pot, Wald", falseAlarms)
		if tied {
			pooled = alarms(all, func(m methods) finding { return m.pooled }).rival("one pot, Wald", falseAlarms, aboutFive)
		}
		return []figure{
			alarms(all, func(m methods) finding { return m.ours }).ours("gravid", falseAlarms, carefulFive),
			alarms(all, func(m methods) finding { return m.jackknife }).ours("keeper intercepts, Firth, jackknife t", falseAlarms, aboutFive),
			alarms(all, func(m methods) finding { return m.cr2 }).ours("keeper intercepts, CR2", falseAlarms, aboutFive),
			alarms(all, func(m methods) finding { return m.flip }).ours("sign-flip of keepers' scores", falseAlarms, aboutFive),
			alarms(all, func(m methods) finding { return m.profile }).shown("keeper intercepts, Firth profile", falseAlarms),
			alarms(all, func(m methods) finding { return m.keeper }).shown("keeper intercepts, Wald", falseAlarms),
			alarms(all, func(m methods) finding { return m.random }).shown("random keeper intercepts, Wald", falseAlarms),
			pooled,
			share(all, func(m methods) bool { return m.ours.answered }).shown("gravid", "answered"),
		}
	})
}
