package main

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gravid/analyze/answer"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/stats/duration"
	"gravid/stats/tail"
)

// A brood is clutches that hatch, are lost to fungus, or are taken out by the keeper.
//
// The log of the hours to hatching is normal about that of 60, with standard deviation
// 0.15. Fungus comes at a rate of 0.0074 an hour at 25 °C, which e^0.25 multiplies for
// each °C more; temperatures lie evenly from 22 to 28 °C. Keepers take clutches out at
// a rate of 0.002 an hour, whatever their state.
type brood struct {
	clutches int
	gap      float64 // hours between checks; 0 where the moment itself is known
}

const (
	hatchMedian, hatchSpread = 60.0, 0.15
	fungusRate, fungusHeat   = 0.0074, 0.25
	removalRate              = 0.002
	warmest                  = 3.0
)

// competingLosses is E9: the share of clutches that hatch, while others are lost and
// some are taken out.
func competingLosses(ours incidenceAnalysis) experiment {
	return experiment{
		id: "E9", title: "Hatching, fungus and removal in competition",
		planted: fmt.Sprintf("Clutches hatch after 60 hours in the middle, unless fungus takes them first, which warmth favours and hatching does not notice; the keeper takes out 1 in 11, whatever their state. Without that, %.1f in 100 would hatch.", 100*hatchedBy(math.Inf(1))),
		worlds: []world{
			broodWorld("200 clutches, checked every 12 h", brood{200, 12}, ours),
			broodWorld("60 clutches, checked every 24 h", brood{60, 24}, ours),
			exactWorld("200 clutches, moments known", brood{200, 0}),
			exactWorld("40 clutches, moments known", brood{40, 0}),
		},
	}
}

// hatchedBy is the chance to hatch by a time, in hours, without removal: the mean over
// temperatures and hatching times h of exp(-rate h), by the midpoint rule.
func hatchedBy(t float64) float64 {
	return overTemperature(func(rate float64) float64 {
		return overHatching(func(h float64) float64 {
			if h > t {
				return 0
			}
			return math.Exp(-rate * h)
		})
	})
}

// fungusBy is the chance to be lost to fungus by a time.
func fungusBy(t float64) float64 {
	return overTemperature(func(rate float64) float64 {
		return overHatching(func(h float64) float64 { return 1 - math.Exp(-rate*min(h, t)) })
	})
}

func overTemperature(f func(rate float64) float64) float64 {
	const steps = 40
	sum := 0.0
	for i := range steps {
		degrees := warmest * (2*(float64(i)+0.5)/steps - 1)
		sum += f(fungusRate*math.Exp(fungusHeat*degrees)) / steps
	}
	return sum
}

func overHatching(f func(h float64) float64) float64 {
	const steps = 2000
	sum := 0.0
	for i := range steps {
		z := tail.NormalUpperQuantile(1 - (float64(i)+0.5)/steps)
		sum += f(hatchMedian*math.Exp(hatchSpread*z)) / steps
	}
	return sum
}

// A fate is what became of one clutch.
type fate struct {
	end     float64 // hours after laying: hatched, lost, or taken out
	cause   int     // 1 hatched, 2 fungus, 0 taken out
	laid    float64 // hours after start
	lastNot float64 // last check before the end
	seen    float64 // first check after it; the end itself where the keeper was there
}

func (b brood) draw(rng *rand.Rand) []fate {
	list := make([]fate, b.clutches)
	for i := range list {
		f := &list[i]
		rate := fungusRate * math.Exp(fungusHeat*warmest*(2*rng.Float64()-1))
		hatch := hatchMedian * math.Exp(hatchSpread*rng.NormFloat64())
		fungus, removal := rng.ExpFloat64()/rate, rng.ExpFloat64()/removalRate
		f.laid = 24 * rng.Float64()
		f.end = min(hatch, fungus, removal)
		switch f.end {
		case hatch:
			f.cause = 1
		case fungus:
			f.cause = 2
		}
		f.lastNot, f.seen = f.laid+f.end, f.laid+f.end
		if b.gap > 0 && f.cause > 0 {
			f.seen = b.gap * math.Ceil((f.laid+f.end)/b.gap)
			f.lastNot = max(f.seen-b.gap, f.laid)
		}
	}
	return list
}

// An incidenceFinding is the share of clutches that hatched and that fungus took, by
// the end of the records.
type incidenceFinding struct {
	answered      bool
	hatch, fungus share95
}

type share95 struct{ value, lo, hi float64 }

func (s share95) covers(truth float64) bool { return s.lo <= truth && truth <= s.hi }

// An incidenceAnalysis asks what became of clutches.
type incidenceAnalysis func([]fate) incidenceFinding

// askIncidence is gravid's own answer.
func askIncidence(list []fate) incidenceFinding {
	t := &club.Tables{}
	for i, f := range list {
		c := club.Clutch{ID: fmt.Sprint("c", i), Keeper: keeperName(0), Species: species, LaidFrom: hour(f.laid), LaidTo: hour(f.laid)}
		switch f.cause {
		case 1:
			c.HatchFrom, c.HatchTo = hour(f.lastNot), hour(f.seen)
		case 2:
			c.LostAt, c.Loss = hour(f.seen), "fungus"
		default:
			c.LostAt, c.Loss = hour(f.seen), club.RemovedDeliberately
		}
		t.Clutches = append(t.Clutches, c)
	}
	k := answer.Asker{Records: exposure.New(t, exposure.Options{})}
	var out incidenceFinding
	for _, p := range k.Timing(species, answer.Lay, answer.Hatch, math.NaN()).Incidence {
		s := share95{float64(p.Estimate), float64(p.Low), float64(p.High)}
		if p.Cause == "fungus" {
			out.fungus = s
		} else {
			out.hatch, out.answered = s, true
		}
	}
	return out
}

// asIfLeft takes clutches lost to the other cause for ones that were only not followed
// further, and reports one less Kaplan-Meier at the end for each cause.
func asIfLeft(list []fate) incidenceFinding {
	curve := func(cause int) share95 {
		obs := make([]duration.Observation, len(list))
		last := 0.0
		for i, f := range list {
			obs[i] = duration.Observation{Span: duration.Span{Lo: f.end, Hi: math.Inf(1)}}
			if f.cause == cause {
				obs[i].Hi = f.end
				last = max(last, f.end)
			}
		}
		c, err := duration.KaplanMeier(obs, duration.Settings{})
		if err != nil {
			panic("experiments: " + err.Error())
		}
		e := c.At(last)
		return share95{1 - e.Value, 1 - e.Hi, 1 - e.Lo}
	}
	return incidenceFinding{answered: true, hatch: curve(1), fungus: curve(2)}
}

const (
	biasHatched, biasFungus = "bias of the share that hatched", "bias of the share lost to fungus"
	holdsHatched            = "95% intervals that hold the share that hatched"
	holdsFungus             = "95% intervals that hold the share lost to fungus"
	aboveOne                = "shares that add up to more than 1"
	twoPoints               = 0.02
)

// incidenceFigures judge shares against those planted.
func incidenceFigures[T any](all []T, name string, of func(T) incidenceFinding, hatch, fungus float64) []figure {
	answered := only(all, func(r T) bool { return of(r).answered })
	return []figure{
		mean(answered, func(r T) float64 { return of(r).hatch.value - hatch }).asPercent().ours(name, biasHatched, within(twoPoints)),
		mean(answered, func(r T) float64 { return of(r).fungus.value - fungus }).asPercent().ours(name, biasFungus, within(twoPoints)),
		share(all, func(r T) bool { return of(r).answered && of(r).hatch.covers(hatch) }).ours(name, holdsHatched, atLeast(0.93)),
		share(all, func(r T) bool { return of(r).answered && of(r).fungus.covers(fungus) }).ours(name, holdsFungus, atLeast(0.93)),
		share(answered, func(r T) bool { return tooMuch(of(r)) }).ours(name, aboveOne, exactly(0)),
	}
}

// tooMuch reports whether shares of the same clutches add up to more than all.
func tooMuch(f incidenceFinding) bool { return f.hatch.value+f.fungus.value > 1+1e-9 }

func broodWorld(name string, b brood, ours incidenceAnalysis) world {
	type both struct{ ours, left incidenceFinding }
	hatch, fungus := hatchedBy(math.Inf(1)), fungusBy(math.Inf(1))
	draw := func(rng *rand.Rand) both {
		list := b.draw(rng)
		return both{ours(list), asIfLeft(list)}
	}
	return newWorld(name, draw, func(all []both) []figure {
		left := func(r both) incidenceFinding { return r.left }
		const naive = "one less Kaplan-Meier"
		return append(incidenceFigures(all, "gravid", func(r both) incidenceFinding { return r.ours }, hatch, fungus),
			mean(all, func(r both) float64 { return left(r).hatch.value - hatch }).asPercent().rival(naive, biasHatched, within(twoPoints)),
			share(all, func(r both) bool { return tooMuch(left(r)) }).rival(naive, aboveOne, exactly(0)))
	})
}

// exactWorld judges the estimate that gravid's is made of at single times.
func exactWorld(name string, b brood) world {
	times := []float64{50, 60, 70}
	draw := func(rng *rand.Rand) []incidenceFinding {
		var obs []duration.Observation
		for _, f := range b.draw(rng) {
			o := duration.Observation{Span: duration.Span{Lo: f.end, Hi: f.end}, Cause: f.cause}
			if f.cause == 0 {
				o.Hi = math.Inf(1)
			}
			obs = append(obs, o)
		}
		a, err := duration.AalenJohansen(obs, duration.Settings{})
		if err != nil {
			panic("experiments: " + err.Error())
		}
		var list []incidenceFinding
		for _, t := range times {
			h, f := a.At(1, t), a.At(2, t)
			// Beyond the last time on record there is no share to be had.
			known := h.Status.Usable() && f.Status.Usable() && !math.IsNaN(h.Value+f.Value)
			list = append(list, incidenceFinding{known, share95{h.Value, h.Lo, h.Hi}, share95{f.Value, f.Lo, f.Hi}})
		}
		return list
	}
	return newWorld(name, draw, func(all [][]incidenceFinding) []figure {
		var list []figure
		for i, t := range times {
			at := func(r []incidenceFinding) incidenceFinding { return r[i] }
			list = append(list, incidenceFigures(all, fmt.Sprintf("Aalen-Johansen at %g h", t), at, hatchedBy(t), fungusBy(t))...)
		}
		return list
	})
}
