package main

import (
	"math"
	"math/rand/v2"
	"slices"

	"gravid/analyze/answer"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/stats/logit"
)

// An asking puts "does it matter?" about the first of the triggers, with the others
// held alike where they are on record.
type asking func(r *exposure.Records, species string, codes ...string) opinion

// askAbout is gravid's own answer.
func askAbout(r *exposure.Records, species string, codes ...string) opinion {
	k := answer.Asker{Records: r, Triggers: triggers(codes...)}
	return opinionOf(k.Matter(species, k.Triggers[0]))
}

// doesItMatter puts the one question of the program to clubs of every kind.
func doesItMatter(ours asking) experiment {
	e := experiment{
		id: "MATTER", title: "Does it matter? The question put to clubs of every kind",
		planted: "Clubs without an effect and with one, each in a difficulty of its own. The power is compared with that of an oracle: the penalised likelihood of the model that the records were made with, which knows what to hold alike but no more of the keepers than the records say.",
	}
	for _, list := range [][]question{
		aboutKeepers(ours), aboutOneSpecies(ours), aboutConfounding(ours), aboutSeparation(ours),
		aboutSuccesses(ours), aboutBlanks(ours), aboutTiny(ours),
	} {
		for _, q := range list {
			e.worlds = append(e.worlds, q.world())
		}
	}
	return e
}

// A posed question has gravid's opinion, what the oracle finds, and what is found at
// first sight.
type posed struct {
	ours          opinion
	oracle, naive finding
	per100        float64 // planted difference over the attempts on record; NaN where none is defined
}

// A question is one world: how to put it, and what is true.
type question struct {
	name   string
	effect float64 // log odds ratio
	// per100 has intervals judged by the difference per 100 attempts: the odds ratio is
	// infinite, or not one number.
	per100 bool
	naive  string // what is done at first sight
	fails  bool   // it has to fail visibly
	// answered leaves out of the coverage the clubs that gravid gives no interval for,
	// which is right where they are tiny.
	answered bool
	// silent are clubs for which gravid has to give no number.
	silent bool
	draw   func(*rand.Rand) posed
}

var honest = between(0.93, 0.99)

func (q question) world() world { return newWorld(q.name, q.draw, q.judge) }

func (q question) judge(all []posed) []figure {
	if q.silent {
		return []figure{
			share(all, func(p posed) bool { return !p.ours.answered }).ours("gravid", "gives no number", exactly(1)),
			share(all, func(p posed) bool { return p.ours.matters() || p.ours.links() }).ours("gravid", saysLink, exactly(0)),
			share(all, func(p posed) bool { return p.naive.rejects(0.05) }).shown(q.naive, falseAlarms),
		}
	}
	said := func(p posed) opinion { return p.ours }
	naive := func(p posed) finding { return p.naive }
	list := q.coverage(all)
	if q.effect == 0 {
		list = append(list,
			share(all, func(p posed) bool { return p.ours.matters() }).ours("gravid", saysMatters, atMost(0.025)),
			share(all, func(p posed) bool { return p.ours.links() }).shown("gravid", saysLink),
			share(all, func(p posed) bool { return p.ours.rejects(0.05) }).shown("gravid", falseAlarms),
			share(all, func(p posed) bool { return p.oracle.rejects(0.05) }).shown("oracle", falseAlarms))
		wrong := share(all, func(p posed) bool { return p.naive.rejects(0.05) })
		if q.fails {
			return append(list, wrong.rival(q.naive, falseAlarms, atMost(0.05)), q.answers(all))
		}
		return append(list, wrong.shown(q.naive, falseAlarms), q.answers(all))
	}
	list = append(list,
		mean(all, func(p posed) float64 { return oneIf(p.ours.linksRightly(q.effect)) - oneIf(p.oracle.rejects(0.05)) }).asPercent().
			ours("gravid", "links found, less the oracle's", atLeast(-0.10)),
		share(all, func(p posed) bool { return p.oracle.rejects(0.05) }).shown("oracle", "links found (power)"))
	list = append(list, verdicts(all, said)...)
	list = append(list, share(all, func(p posed) bool { return p.ours.links() && !p.ours.linksRightly(q.effect) }).ours("gravid", "links in the wrong direction", atMost(0.025)))
	wrong := coverage(all, naive, q.effect)
	if q.fails {
		return append(list, wrong.rival(q.naive, holdsTruth, atLeast(0.93)))
	}
	return append(list, wrong.shown(q.naive, holdsTruth))
}

func (q question) answers(all []posed) figure {
	return share(all, func(p posed) bool { return p.ours.answered }).shown("gravid", "answered")
}

func (q question) coverage(all []posed) []figure {
	measure := holdsTruth
	if q.answered {
		all = only(all, func(p posed) bool { return p.ours.answered })
		measure += ", where there is one"
	}
	const holdsDifference = "95% intervals that hold the difference per 100"
	ratio := coverage(all, func(p posed) finding { return p.ours.finding }, q.effect)
	difference := share(all, func(p posed) bool { return p.ours.holds(p.per100) })
	switch {
	case q.per100:
		return []figure{difference.ours("gravid", holdsDifference, honest)}
	case len(all) > 0 && math.IsNaN(all[0].per100):
		return []figure{ratio.ours("gravid", measure, honest)}
	}
	return []figure{ratio.ours("gravid", measure, honest), difference.shown("gravid", holdsDifference)}
}

// linksRightly reports a link in the direction of the effect.
func (o opinion) linksRightly(effect float64) bool { return o.links() && o.value*effect > 0 }

const (
	onePot     = "one pot, Wald"
	keeperOnly = "keeper intercepts alone, Wald"
)

// of are questions about attempts of a husbandry.
func (h husbandry) of(ours asking, oracle, naive func(tries) finding) func(*rand.Rand) posed {
	return func(rng *rand.Rand) posed {
		t := h.draw(rng)
		r := exposure.New(t.tables(), exposure.Options{})
		return posed{ours(r, species, "live-food", "temperature"), oracle(t), naive(t), t.difference()}
	}
}

func keeperOracle(t tries) finding { return oracle(t.data()) }

// aboutKeepers: keepers differ much, and in their habits; or the better ones use the
// trigger more.
func aboutKeepers(ours asking) []question {
	strong := husbandry{attempts: unequal[:], base: -0.4, skill: 1.5, habit: 1.5, months: 12}
	tied := husbandry{attempts: unequal[:], base: -0.4, skill: 1.5, tie: 1, months: 12}
	helps := tied
	helps.effect = 1.2
	return []question{
		{name: "strong keepers with habits, effect 0", naive: onePot, fails: true, draw: strong.of(ours, keeperOracle, pooledWald)},
		{name: "better keepers use it more, effect 0", naive: onePot, fails: true, draw: tied.of(ours, keeperOracle, pooledWald)},
		{name: "better keepers use it more, effect 1.2", effect: 1.2, naive: onePot, fails: true, draw: helps.of(ours, keeperOracle, pooledWald)},
	}
}

// otherSpecies shares tanks' keepers and weather with species.
const otherSpecies = "Danio margaritatus"

// aboutOneSpecies: the barometer matters to one species and not to the other, and
// attempts differ in length.
func aboutOneSpecies(ours asking) []question {
	const effect = 0.9
	draw := func(rng *rand.Rand) *exposure.Records {
		s := sky{keepers: 12, regions: 1, days: 150, front: 3, patience: 24}
		fall, _, _ := s.fronts(rng)
		t := &club.Tables{Readings: barometer("the town", fall[0])}
		for k := range s.keepers {
			for _, kind := range []string{species, otherSpecies} {
				skill := math.Log(dailyChance/(1-dailyChance)) + dailySkill*rng.NormFloat64()
				list := s.attempts(rng, keeperName(k), func(day int) float64 {
					return logistic(skill + effect*oneIf(fall[0][day] && kind == species))
				})
				for i := range list {
					list[i].Species, list[i].System = kind, kind
				}
				t.Attempts = append(t.Attempts, list...)
			}
		}
		return exposure.New(t, exposure.Options{})
	}
	of := func(kind string) func(*rand.Rand) posed {
		return func(rng *rand.Rand) posed {
			r := draw(rng)
			f := r.Rows(kind, true)
			x := r.Values(f, triggers("pressure-drop")[0], 0)
			return posed{
				ours:   ours(r, kind, "pressure-drop"),
				oracle: oracle(logit.Data{Y: f.Y, Group: f.Keeper, X: [][]float64{x}}),
				naive:  anyDay(f, x),
				per100: math.NaN(),
			}
		}
	}
	const naive = "attempts that saw a fall against others"
	return []question{
		{name: "pressure, attempts of 4 to 24 days, the species that minds", effect: effect, naive: naive, fails: true, draw: of(species)},
		{name: "pressure, attempts of 4 to 24 days, the species that does not", naive: naive, fails: true, draw: of(otherSpecies)},
	}
}

// anyDay compares attempts with the trigger on any of their days with others, as if all
// were of one length.
func anyDay(f *exposure.Frame, x []float64) finding {
	d := logit.Data{X: [][]float64{nil}}
	for i := range f.Y {
		if i == 0 || f.Attempt[i] != f.Attempt[i-1] {
			d.Y, d.Group, d.X[0] = append(d.Y, 0), append(d.Group, f.Keeper[i]), append(d.X[0], 0)
		}
		last := len(d.Y) - 1
		d.Y[last], d.X[0][last] = max(d.Y[last], f.Y[i]), max(d.X[0][last], x[i])
	}
	m := mustFit(d, logit.Options{})
	return fromWald(m.Wald(0, level), m.WaldTest(0).P)
}

// aboutConfounding: live food is given in season and with cool refills, both of which
// bring spawnings.
func aboutConfounding(ours asking) []question {
	of := func(effect float64) func(*rand.Rand) posed {
		return func(rng *rand.Rand) posed {
			d := logit.Data{X: [][]float64{nil, nil, nil}, Names: []string{"live food", "cool refill", "season"}}
			t := tries{}
			for k, n := range unequal {
				skill := rng.NormFloat64()
				for range n {
					a := try{keeper: k, day: rng.IntN(365)}
					now := season(a.day)
					cool := happens(rng, logistic(0.8*now))
					a.used = happens(rng, logistic(0.8*now+1.5*(oneIf(cool)-0.5)))
					eta := -1 + 0.8*skill + 0.8*now + 1.2*oneIf(cool)
					a.without, a.with = logistic(eta), logistic(eta+effect)
					a.spawned = happens(rng, a.chance())
					t.list = append(t.list, a)
					d.Y, d.Group = append(d.Y, oneIf(a.spawned)), append(d.Group, k)
					d.X[0], d.X[1], d.X[2] = append(d.X[0], oneIf(a.used)), append(d.X[1], oneIf(cool)), append(d.X[2], now)
				}
			}
			tables := t.tables()
			for i := range tables.Attempts {
				tables.Attempts[i].RefillDeltaC = club.Some(-2 * d.X[1][i])
			}
			return posed{ours(exposure.New(tables, exposure.Options{}), species, "live-food", "cool-refill", "temperature"), oracle(d), keeperWald(t), t.difference()}
		}
	}
	return []question{
		{name: "given in season and with cool refills, effect 0", naive: keeperOnly, fails: true, draw: of(0)},
		{name: "given in season and with cool refills, effect 1.2", effect: 1.2, naive: keeperOnly, fails: true, draw: of(1.2)},
	}
}

// always is a log odds ratio with which nothing fails.
const always = 40

// aboutSeparation: the trigger never fails, or hardly ever.
func aboutSeparation(ours asking) []question {
	never := husbandry{attempts: slices.Repeat([]int{8}, 12), base: -0.4, skill: 0.7, effect: always, months: 6}
	hardly := husbandry{attempts: slices.Repeat([]int{10}, 6), base: -0.4, skill: 0.7, effect: math.Log(20), months: 6}
	const naive = "sandwich without a look at separation"
	return []question{
		{name: "it never fails", effect: always, per100: true, naive: naive, fails: true, draw: never.of(ours, keeperOracle, blindSandwich)},
		{name: "it hardly ever fails, 6 keepers", effect: hardly.effect, naive: naive, draw: hardly.of(ours, keeperOracle, blindSandwich)},
	}
}

// aboutSuccesses: spawnings only.
func aboutSuccesses(ours asking) []question {
	of := func(effect float64, known bool) func(*rand.Rand) posed {
		return func(rng *rand.Rand) posed {
			l := club12(5, effect, 0).draw(rng)
			o := exposure.Options{}
			if known {
				o.Watches, o.Away = l.watches, l.aways
			}
			return posed{ours(exposure.New(l.tables, o), species, "pressure-drop"), l.atRisk(), l.allDays(), math.NaN()}
		}
	}
	const naive = "spawning days against all days"
	return []question{
		{name: "spawnings only, watches known, effect 0", naive: naive, fails: true, draw: of(0, true)},
		{name: "spawnings only, watches known, effect 0.7", effect: 0.7, naive: naive, fails: true, draw: of(0.7, true)},
		{name: "spawnings only, matched days, effect 0", naive: naive, fails: true, draw: of(0, false)},
		{name: "spawnings only, matched days, effect 0.7", effect: 0.7, naive: naive, fails: true, draw: of(0.7, false)},
	}
}

// aboutBlanks: what came to nothing is noted more carelessly.
func aboutBlanks(ours asking) []question {
	of := func(effect float64) func(*rand.Rand) posed {
		return func(rng *rand.Rand) posed {
			t := skilled(0, effect, 0).draw(rng)
			p := withBlanks(rng, t, func(a try) float64 { return 0.6 - 0.5*oneIf(a.spawned) })
			r := exposure.New(p.tables(), exposure.Options{})
			return posed{ours(r, species, "live-food", "temperature"), keeperOracle(p.recorded()), keeperWald(p.filled(func(try) bool { return false })), t.difference()}
		}
	}
	const naive = "blank = absent, keeper intercepts, Wald"
	return []question{
		{name: "blank in 6 of 10 failures, effect 0", naive: naive, fails: true, draw: of(0)},
		{name: "blank in 6 of 10 failures, effect 1.2", effect: 1.2, naive: naive, draw: of(1.2)},
	}
}

// aboutTiny: one to three keepers, with few attempts or many, and effects that are their own.
func aboutTiny(ours asking) []question {
	h := husbandry{attempts: []int{6, 6, 6}, base: -0.4, skill: 1, months: 6}
	helps := h
	helps.effect = 2
	many := husbandry{attempts: []int{30, 30, 30}, base: -0.4, skill: 1, differ: 0.7, months: 6}
	two, one := many, many
	two.attempts, one.attempts = many.attempts[:2], many.attempts[:1]
	const naive = "sandwich of three keepers"
	const wald = "keeper intercepts, Wald"
	return []question{
		{name: "3 keepers, 6 attempts each, effect 0", naive: naive, answered: true, draw: h.of(ours, keeperOracle, blindSandwich)},
		{name: "3 keepers, 6 attempts each, effect 2", effect: 2, naive: naive, answered: true, draw: helps.of(ours, keeperOracle, blindSandwich)},
		{name: "3 keepers, 30 attempts each, effects of 0 on average", naive: wald, answered: true, draw: many.of(ours, keeperOracle, keeperWald)},
		{name: "2 keepers, 30 attempts each, effects of 0 on average", naive: wald, answered: true, draw: two.of(ours, keeperOracle, keeperWald)},
		{name: "1 keeper, 30 attempts", naive: wald, answered: true, silent: true, draw: one.of(ours, keeperOracle, keeperWald)},
	}
}
