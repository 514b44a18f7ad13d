package main

import (
	"math/rand/v2"
)

// slopesVary is E2: the trigger helps some keepers and harms others.
func slopesVary(ours analysis) experiment {
	return experiment{
		id: "E2", title: "A trigger whose effect differs between keepers",
		planted: "The club of E1; the log odds ratio of the trigger differs between keepers by 0.7 (standard deviation) about a mean of 0 or 1. The width is compared with that of an interval that knows how far the estimates scatter.",
		worlds: []world{
			slopesNull("mean 0", skilled(0, 0, 0.7), ours, false),
			slopesNull("mean 0, tied to skill", skilled(1, 0, 0.7), ours, true),
			slopesLinked("mean 1", skilled(0, 1, 0.7), ours),
			slopesLinked("mean 1, tied to skill", skilled(1, 1, 0.7), ours),
		},
	}
}

func slopesNull(name string, h husbandry, ours analysis, tied bool) world {
	few := atMost(0.075)
	return newWorld(name, func(rng *rand.Rand) methods { return compare(h.draw(rng), ours) }, func(all []methods) []figure {
		keeper := alarms(all, func(m methods) finding { return m.keeper })
		pooled := alarms(all, func(m methods) finding { return m.pooled })
		list := []figure{
			alarms(all, func(m methods) finding { return m.ours }).ours("gravid", falseAlarms, few),
			alarms(all, func(m methods) finding { return m.jackknife }).ours("keeper intercepts, Firth, jackknife t", falseAlarms, few),
			alarms(all, func(m methods) finding { return m.cr2 }).ours("keeper intercepts, CR2", falseAlarms, few),
			alarms(all, func(m methods) finding { return m.flip }).ours("sign-flip of keepers' scores", falseAlarms, few),
			keeper.shown("keeper intercepts, Wald", falseAlarms),
		}
		if tied {
			return append(list, pooled.rival("one pot, Wald", falseAlarms, few))
		}
		return append(list, pooled.shown("one pot, Wald", falseAlarms))
	})
}

func slopesLinked(name string, h husbandry, ours analysis) world {
	return newWorld(name, func(rng *rand.Rand) methods { return compare(h.draw(rng), ours) }, func(all []methods) []figure {
		gravid := func(m methods) finding { return m.ours }
		list := effectFigures(all, gravid, h.effect)
		return append(list,
			coverage(all, func(m methods) finding { return m.cr2 }, h.effect).ours("keeper intercepts, CR2", holdsTruth, atLeast(0.94)),
			coverage(all, func(m methods) finding { return m.jackknife }, h.effect).ours("keeper intercepts, Firth, jackknife t", holdsTruth, atLeast(0.94)),
			coverage(all, func(m methods) finding { return m.keeper }, h.effect).rival("keeper intercepts, Wald", holdsTruth, atLeast(0.94)),
			coverage(all, func(m methods) finding { return m.pooled }, h.effect).rival("one pot, Wald", holdsTruth, atLeast(0.94)),
		)
	})
}

const holdsTruth = "95% intervals that hold the truth"

func coverage[T any](all []T, of func(T) finding, truth float64) estimate {
	return share(all, func(r T) bool { return of(r).covers(truth) })
}

// effectFigures judge an interval for a planted log odds ratio.
func effectFigures[T any](all []T, of func(T) finding, truth float64) []figure {
	value := func(r T) float64 { return of(r).value }
	answered := only(all, func(r T) bool { return of(r).answered })
	oracle := spread(answered, value).over(1 / (2 * 1.959963984540054))
	return []figure{
		coverage(all, of, truth).ours("gravid", holdsTruth, atLeast(0.94)),
		mean(answered, value).less(truth).ours("gravid", "bias of the log odds ratio", within(0.05)),
		ratio(median(all, func(r T) float64 { return of(r).width() }), oracle).ours("gravid", "median width over the oracle's", atMost(1.35)),
		share(all, func(r T) bool { return of(r).rejects(0.05) }).shown("gravid", "links found (power)"),
	}
}
