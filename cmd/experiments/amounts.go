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

// An answering gives the whole answer about the first of the triggers.
type answering func(r *exposure.Records, species string, codes ...string) answer.Answer

// answerAbout is gravid's own answer.
func answerAbout(r *exposure.Records, species string, codes ...string) answer.Answer {
	k := answer.Asker{Records: r, Triggers: triggers(codes...)}
	return k.Matter(species, k.Triggers[0])
}

// amounts asks after triggers that come in amounts, where more helps, where there is a
// best amount, and where nothing matters.
func amounts(ours answering) experiment {
	e := experiment{
		id: "AMOUNT", title: "Does the amount matter? Straight, with a best amount, levelling off, or not at all",
		planted: "12 keepers with 5 to 60 attempts and habits of their own, and an amount that moves the chance along a curve. gravid says between which amounts it compares; the planted difference is that between the same amounts. The oracle is the penalised likelihood with the planted curve as its column: it knows the shape, which gravid has to find out; so the power is held to the oracle's only where the shape is plain to see.",
	}
	twice := slices.Concat(unequal[:], unequal[:])
	for _, a := range []amount{
		{name: "temperature, no effect", column: temperature},
		{name: "temperature, no effect, 30 keepers of 10 attempts", column: temperature, attempts: slices.Repeat([]int{10}, 30)},
		{name: "temperature, no effect, 4 keepers of 60 attempts", column: temperature, attempts: slices.Repeat([]int{60}, 4)},
		{name: "temperature, straight", column: temperature, gain: func(x float64) float64 { return 0.25 * (x - 25) }},
		{name: "temperature, best at 25", column: temperature, gain: peak(1.8, 25, 2)},
		{name: "temperature, best at 23, a fifth of attempts cooler", column: temperature, gain: peak(2, 23, 2)},
		{name: "temperature, level from 25 on", column: temperature, gain: func(x float64) float64 { return 0.6 * min(x-25, 0) }, corner: true},
		{name: "water changes of 0 to 90 %, no effect", column: waterChange(90)},
		{name: "water changes up to the best", column: waterChange(35), gain: peak(1.5, 35, 25)},
		{name: "water changes far past the best", column: waterChange(90), gain: peak(1.5, 35, 25), fails: true},
		{name: "24 keepers: temperature, straight", column: temperature, attempts: twice, gain: func(x float64) float64 { return 0.35 * (x - 25) }, plain: true},
		{name: "24 keepers: temperature, best at 25", column: temperature, attempts: twice, gain: peak(3, 25, 2.5), plain: true},
		{name: "24 keepers: temperature, level from 25 on", column: temperature, attempts: twice, gain: func(x float64) float64 { return 0.8 * min(x-25, 0) }, plain: true, corner: true},
		{name: "24 keepers: water changes far past the best", column: waterChange(90), attempts: twice, gain: peak(2.5, 35, 25), plain: true},
	} {
		e.worlds = append(e.worlds, newWorld(a.name, a.draw(ours), a.judge))
	}
	return e
}

// peak is a gain that is largest at best and falls off as a bell either side.
func peak(height, best, width float64) func(float64) float64 {
	return func(x float64) float64 { return height * math.Exp(-(x-best)*(x-best)/(2*width*width)) }
}

// A doseColumn is where an amount is written down, and how keepers choose it.
type doseColumn struct {
	code string
	pick func(rng *rand.Rand, habit float64) float64
	note func(*club.Attempt, float64)
}

// temperature is in half degrees around 25 °C, and around a habit of the keeper's.
var temperature = doseColumn{"temperature",
	func(rng *rand.Rand, habit float64) float64 { return math.Round(2*(25+habit+2*rng.NormFloat64())) / 2 },
	func(a *club.Attempt, x float64) { a.TemperatureC = club.Some(x) },
}

// waterChange is any multiple of 5 % up to most, all alike.
func waterChange(most int) doseColumn {
	return doseColumn{"water-change",
		func(rng *rand.Rand, _ float64) float64 { return float64(5 * rng.IntN(most/5+1)) },
		func(a *club.Attempt, x float64) { a.WaterChangePct = club.Some(x) },
	}
}

// An amount is one world.
type amount struct {
	name     string
	column   doseColumn
	attempts []int                 // of each keeper; nil = unequal
	gain     func(float64) float64 // what an amount adds to the log odds; nil = nothing
	fails    bool                  // the straight line in one pot has to fail visibly
	plain    bool                  // plain enough to be found without knowing the shape: held to the oracle's power less 10 points, which modest worlds of 12 keepers miss
	corner   bool                  // a curve of three knots rounds it off, so no promise is held to it
}

// A dosed is one replicate.
type dosed struct {
	ours          answer.Answer
	oracle, naive finding
	careful       bool    // the oracle's finding by gravid's own interval
	per100        float64 // planted difference between the amounts that gravid compared
	naivePer100   bool    // the naive line says the right direction, or nothing
	contrasts     bool    // all contrasts hold their planted differences; true where there are none
	apart         float64 // planted difference per 100 between the best and the worst amount in the middle 90 %
}

// careful reports whether the oracle finds a link by the interval that gravid promises:
// the wider of the profile and the jackknife over keepers.
func careful(d logit.Data) bool {
	m := firth(d)
	if !m.Status.Usable() {
		return false
	}
	j, err := m.Jackknife(d.Group, 0, level)
	if err != nil {
		panic("cmd/experiments: " + err.Error())
	}
	return logit.Envelope(m.Profile(0, level), j.Estimate).Excludes(0)
}

// average is the planted chance per 100 if all attempts had the amount x.
func average(base []float64, gain float64) float64 {
	sum := 0.0
	for _, b := range base {
		sum += logistic(b + gain)
	}
	return 100 * sum / float64(len(base))
}

func (w amount) draw(ours answering) func(*rand.Rand) dosed {
	const level, skill, habits = -1.0, 0.8, 1.2
	gain := w.gain
	if gain == nil {
		gain = func(float64) float64 { return 0 }
	}
	attempts := w.attempts
	if attempts == nil {
		attempts = unequal[:]
	}
	centre := gain(25) // the base is the chance at an amount that many use
	return func(rng *rand.Rand) dosed {
		t := tries{}
		var base, dose []float64
		truth, line := logit.Data{X: [][]float64{nil}}, logit.Data{X: [][]float64{nil}}
		for k, n := range attempts {
			eta, habit := level+skill*rng.NormFloat64(), habits*rng.NormFloat64()
			for range n {
				x := w.column.pick(rng, habit)
				a := try{keeper: k, day: rng.IntN(360)}
				a.spawned = happens(rng, logistic(eta+gain(x)-centre))
				t.list, dose, base = append(t.list, a), append(dose, x), append(base, eta-centre)
				truth.Y, truth.Group = append(truth.Y, oneIf(a.spawned)), append(truth.Group, k)
				truth.X[0] = append(truth.X[0], gain(x))
			}
		}
		line.Y, line.X[0] = truth.Y, dose
		if w.gain == nil {
			truth.X[0] = dose // where nothing matters, the oracle knows a straight line
		}
		tables := t.tables()
		for i := range tables.Attempts {
			tables.Attempts[i].LiveFood = club.Truth{}
			w.column.note(&tables.Attempts[i], dose[i])
		}
		m := mustFit(line, logit.Options{})
		out := dosed{ours: ours(exposure.New(tables, exposure.Options{}), species, w.column.code), oracle: oracle(truth), careful: careful(truth), naive: fromWald(m.Wald(0, 0.95), m.WaldTest(0).P), contrasts: true}
		d := out.ours.Dose
		if d == nil {
			return out
		}
		planted := func(from, to, at answer.Num) float64 {
			low, high := gain(float64(from)), gain(float64(to))
			if at := float64(at); !math.IsNaN(at) {
				low, high = low+(high-low)*(at-float64(from))/float64(to-from), gain(at)
			}
			return average(base, high) - average(base, low)
		}
		out.per100 = planted(d.From, d.To, d.At)
		out.naivePer100 = !out.naive.rejects(0.05) || out.naive.value*out.per100 > 0
		for _, c := range d.Contrasts {
			p := planted(c.From, c.To, c.At)
			out.contrasts = out.contrasts && float64(c.Difference.Low) <= p && p <= float64(c.Difference.High)
		}
		least, most := math.Inf(1), math.Inf(-1)
		for i := range 41 {
			p := average(base, gain(float64(d.Low)+float64(d.High-d.Low)*float64(i)/40))
			least, most = min(least, p), max(most, p)
		}
		out.apart = most - least
		return out
	}
}

func (w amount) judge(all []dosed) []figure {
	said := func(p dosed) opinion { return opinionOf(p.ours) }
	links := func(p dosed) bool { return said(p).links() }
	none := func(p dosed) bool { return p.ours.Verdict == answer.NoDifference }
	curved := func(p dosed) bool { return p.ours.Dose != nil && p.ours.Dose.Curved }
	const (
		curves     = "says that it is a curve"
		allAtOnce  = "all contrasts hold at once"
		lessOracle = "links found, less the oracle's"
		little     = "little or no link, where two amounts are 10 per 100 apart"
	)
	if w.gain == nil {
		return []figure{
			share(all, func(p dosed) bool { return said(p).matters() }).ours("gravid", saysMatters, atMost(0.025)),
			share(all, links).ours("gravid", saysLink, atMost(0.05)),
			share(all, curved).ours("gravid", curves, atMost(0.05)),
			share(all, none).shown("gravid", "little or no link"),
			share(all, func(p dosed) bool { return p.contrasts }).ours("gravid", allAtOnce, atLeast(0.93)),
			share(all, func(p dosed) bool { return p.oracle.rejects(0.05) }).shown("oracle", falseAlarms),
		}
	}
	wrongly := func(p dosed) bool { return links(p) && float64(p.ours.Per100.Difference.Estimate)*p.per100 <= 0 }
	found := mean(all, func(p dosed) float64 { return oneIf(links(p) && !wrongly(p)) - oneIf(p.oracle.rejects(0.05)) }).asPercent()
	less := found.shown("gravid", lessOracle)
	if w.plain {
		less = found.ours("gravid", lessOracle, atLeast(-0.10))
	}
	together := share(all, func(p dosed) bool { return p.contrasts })
	atOnce := together.ours("gravid", allAtOnce, atLeast(0.93))
	if w.corner {
		atOnce = together.shown("gravid", allAtOnce)
	}
	list := []figure{
		share(all, func(p dosed) bool { return said(p).holds(p.per100) }).ours("gravid", "95% intervals that hold the difference per 100", honest),
		atOnce,
		less,
		share(all, func(p dosed) bool { return p.oracle.rejects(0.05) }).shown("oracle", "links found (power)"),
		share(all, func(p dosed) bool { return p.careful }).shown("oracle, gravid's interval", "links found (power)"),
	}
	list = append(list, verdicts(all, said)...)
	list = append(list,
		share(all, wrongly).ours("gravid", "links in the wrong direction", atMost(0.025)),
		share(all, func(p dosed) bool { return none(p) && p.apart >= answer.Margin10 }).ours("gravid", little, atMost(0.025)),
		share(all, curved).shown("gravid", curves))
	wrong := share(all, func(p dosed) bool { return p.naive.rejects(0.05) && p.naivePer100 })
	const naive, rightly = "a straight line in one pot, Wald", "links found in the right direction"
	if w.fails {
		return append(list, wrong.rival(naive, rightly, atLeast(0.5)))
	}
	return append(list, wrong.shown(naive, rightly))
}
