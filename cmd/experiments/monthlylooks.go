package main

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gravid/analyze/answer"
)

// Monthly looks: how long the club of E12 is followed, and what it is made of.
const (
	seasons      = 3
	seasonMonths = 12
	monthDays    = 30
	lookKeepers  = 12
	lookAttempts = 8 // of each keeper in a season
	lookBase     = -0.4
	lookSkill    = 0.7
)

// monthlyLooks is E12: the verdict of a growing club, looked at every month.
func monthlyLooks(ours analysisOfGrowth) experiment {
	e := experiment{
		id: "E12", title: "A verdict looked at every month",
		planted: "Twelve keepers make 8 attempts each a year for three years, half of them with a trigger that adds 0, 5, 10 or 20 spawnings per 100 attempts. Their log odds differ by 0.7 (standard deviation). gravid is asked every month. Where it cannot tell after the first year and says how many more attempts would settle it, that many are added.",
	}
	for _, per100 := range []float64{0, 5, 10, 20} {
		e.worlds = append(e.worlds, looksWorld(fmt.Sprintf("%g more per 100", per100), per100, ours))
	}
	return e
}

// meanNormal averages f over a standard normal number, by the trapezoidal rule on -8 to
// 8, which is exact to many digits for smooth functions.
func meanNormal(f func(z float64) float64) float64 {
	const step = 0.05
	sum := 0.0
	for i := -160; i <= 160; i++ {
		z := step * float64(i)
		sum += step * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) * f(z)
	}
	return sum
}

// per100Of is the difference per 100 attempts that a log odds ratio makes, averaged over
// keepers; effectFor is the log odds ratio that makes a difference, by bisection.
func per100Of(effect, base, skill float64) float64 {
	return 100 * meanNormal(func(z float64) float64 { return logistic(base+skill*z+effect) - logistic(base+skill*z) })
}

func effectFor(per100, base, skill float64) float64 {
	lo, hi := -10.0, 10.0
	for range 60 {
		if mid := (lo + hi) / 2; per100Of(mid, base, skill) < per100 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// A growing club is one whose keepers stay the same.
type growing struct {
	base []float64 // log odds of a spawning without the trigger, of each keeper
	effect,
	per100 float64
	tries tries
}

func newGrowing(rng *rand.Rand, per100 float64) *growing {
	g := &growing{per100: per100, effect: effectFor(per100, lookBase, lookSkill)}
	for range lookKeepers {
		g.base = append(g.base, lookBase+lookSkill*rng.NormFloat64())
	}
	return g
}

// add adds n attempts of keepers in turn, on days of a month.
func (g *growing) add(rng *rand.Rand, n, month int) {
	for range n {
		a := try{keeper: len(g.tries.list) % lookKeepers, day: month*monthDays + rng.IntN(monthDays), temperature: 24, used: happens(rng, 0.5)}
		a.spawned = happens(rng, logistic(g.base[a.keeper]+g.effect*oneIf(a.used)))
		g.tries.list = append(g.tries.list, a)
	}
}

// An analysisOfGrowth asks about the trigger of a growing club.
type analysisOfGrowth func(tries) opinion

// opinionOnTries is gravid's own.
func opinionOnTries(t tries) opinion { return askBlank(t.tables()) }

// looks are the verdicts of one club.
type looks struct {
	verdicts [seasons * seasonMonths]answer.Verdict
	covers   [seasons]bool // the difference, at the end of each season
	keepers  bool          // after the first season it asked for more keepers
	asked    bool          // after the first season it could not tell and said how many more
	settled  bool          // that many more gave a verdict
	more     float64
}

func follow(rng *rand.Rand, per100 float64, ours analysisOfGrowth) looks {
	g := newGrowing(rng, per100)
	var out looks
	var first tries
	var more float64
	for month := range out.verdicts {
		g.add(rng, lookKeepers*lookAttempts/seasonMonths, month)
		o := ours(g.tries)
		out.verdicts[month] = o.verdict
		if month%seasonMonths == seasonMonths-1 {
			out.covers[month/seasonMonths] = o.holds(per100)
		}
		if month == seasonMonths-1 && o.verdict == answer.CannotTell {
			out.keepers = o.moreKeepers
			first, more = tries{list: g.tries.list[:len(g.tries.list):len(g.tries.list)]}, o.more
		}
	}
	if len(first.list) > 0 && more > 0 {
		out.asked, out.more = true, more
		g.tries = first
		for left, month := int(more), seasonMonths; left > 0; month++ {
			n := min(left, lookKeepers*lookAttempts/seasonMonths)
			g.add(rng, n, month)
			left -= n
		}
		out.settled = ours(g.tries).verdict != answer.CannotTell
	}
	return out
}

// ever gives, for each club and season, whether some look of the season had a verdict.
func ever(all []looks, v answer.Verdict) estimate {
	e := mean(all, func(l looks) float64 {
		n := 0.0
		for s := range seasons {
			some := false
			for m := range seasonMonths {
				some = some || l.verdicts[s*seasonMonths+m] == v
			}
			n += oneIf(some)
		}
		return n / seasons
	})
	n := float64(seasons * len(all))
	e.se = max(e.se, math.Sqrt(1/(n+2)/n)) // as for a share, so that it is not 0 where none do
	return e.asPercent()
}

// atEnds is the share of seasons whose last look had a verdict.
func atEnds(all []looks, v answer.Verdict) estimate {
	return mean(all, func(l looks) float64 {
		n := 0.0
		for s := range seasons {
			n += oneIf(l.verdicts[(s+1)*seasonMonths-1] == v)
		}
		return n / seasons
	}).asPercent()
}

func looksWorld(name string, per100 float64, ours analysisOfGrowth) world {
	return newWorld(name, func(rng *rand.Rand) looks { return follow(rng, per100, ours) }, func(all []looks) []figure {
		matters, none := ever(all, answer.Matters), ever(all, answer.NoDifference)
		const anyMatters, anyNone = `seasons with a look that says "matters"`, `seasons with a look that says "little or no"`
		list := []figure{}
		if per100 == 0 {
			list = append(list, matters.ours("gravid", anyMatters, atMost(0.025)))
		} else {
			list = append(list, matters.shown("gravid", anyMatters))
		}
		if per100 == 20 {
			list = append(list, none.ours("gravid", anyNone, atMost(0.025)))
		} else {
			list = append(list, none.shown("gravid", anyNone))
		}
		asked := only(all, func(l looks) bool { return l.asked })
		list = append(list,
			ever(all, answer.Leans).shown("gravid", `seasons with a look that says "size unclear"`),
			atEnds(all, answer.Matters).shown("gravid", `seasons that end with "matters"`),
			atEnds(all, answer.Leans).shown("gravid", `seasons that end with "size unclear"`),
			atEnds(all, answer.NoDifference).shown("gravid", `seasons that end with "little or no"`),
			share(all, func(l looks) bool { return l.covers[0] }).shown("gravid", "first seasons' 95% intervals that hold the difference"),
			share(all, func(l looks) bool { return l.covers[seasons-1] }).shown("gravid", "last looks' 95% intervals that hold the difference"),
			share(all, func(l looks) bool { return l.keepers }).shown("gravid", "asks for more keepers after a season"),
			share(all, func(l looks) bool { return l.asked }).shown("gravid", "says how many more after a season"))
		if len(asked) > 0 {
			list = append(list,
				share(asked, func(l looks) bool { return l.settled }).ours("gravid", "reach a verdict after so many more", between(0.70, 0.90)),
				median(asked, func(l looks) float64 { return l.more }).shown("gravid", "how many more (median)"))
		}
		return list
	})
}
