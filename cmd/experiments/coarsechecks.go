package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"gravid/analyze/answer"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/stats/count"
	"gravid/stats/duration"
	"gravid/stats/tail"
)

// A nursery is clutches whose hatching is looked for now and then.
//
// The log of the hours from laying to hatching is normal with standard deviation
// spread about the log of median + slope (temperature - 25).
type nursery struct {
	clutches  int
	median    float64 // hours at 25 °C
	spread    float64
	slope     float64   // of the log, for one °C more
	warmest   float64   // temperatures lie evenly from 25 less this to 25 more
	gaps      []float64 // hours between checks, drawn one after the other
	witnessed bool      // the moment of laying was seen
}

// coarseChecks is E8: how long hatching takes, from checks now and then.
func coarseChecks(ours timingAnalysis) experiment {
	daily, half, irregular := []float64{24}, []float64{12}, []float64{8, 14, 24, 36}
	return experiment{
		id: "E8", title: "Hatching looked for now and then",
		planted: "Hatching takes 60 or 120 hours in the middle; its log scatters by 0.05 to 0.2 (standard deviation). Clutches are looked at every 24 or 12 hours, or at gaps of 8, 14, 24 or 36 hours, and laying was witnessed, or seen at the next look. In one world each °C of warmth shortens the time by 7%. Of new clutches, 90 in 100 should fall within the 90% interval.",
		worlds: []world{
			checkWorld("30 clutches, 24 h, laying witnessed", nursery{clutches: 30, median: 60, spread: 0.10, gaps: daily, witnessed: true}, ours),
			checkWorld("30 clutches, 24 h", nursery{clutches: 30, median: 60, spread: 0.10, gaps: daily}, ours),
			checkWorld("12 clutches, 24 h", nursery{clutches: 12, median: 60, spread: 0.10, gaps: daily}, ours),
			checkWorld("8 clutches, 12 h", nursery{clutches: 8, median: 60, spread: 0.20, gaps: half}, ours),
			checkWorld("30 clutches, 120 h, 24 h", nursery{clutches: 30, median: 120, spread: 0.10, gaps: daily}, ours),
			checkWorld("60 clutches, 120 h, irregular", nursery{clutches: 60, median: 120, spread: 0.05, gaps: irregular}, ours),
			checkWorld("40 clutches, 22 to 28 °C, 12 h", nursery{clutches: 40, median: 60, spread: 0.10, slope: math.Log(0.93), warmest: 3, gaps: half}, ours),
		},
	}
}

// A hatching is one clutch: when it was laid and hatched, in hours, and between
// which checks.
type hatching struct {
	laid, laidFrom, laidTo    float64
	hatched, lastNot, firstly float64
	temperature               float64
}

func (n nursery) draw(rng *rand.Rand) []hatching {
	list := make([]hatching, n.clutches)
	for i := range list {
		h := &list[i]
		h.temperature = 25 + n.warmest*(2*rng.Float64()-1)
		h.laid = 200 + 200*rng.Float64()
		h.hatched = h.laid + n.median*math.Exp(n.slope*(h.temperature-25)+n.spread*rng.NormFloat64())
		for before, at := 0.0, 0.0; at < h.hatched; {
			before, at = at, at+n.gaps[rng.IntN(len(n.gaps))]
			if before < h.laid && h.laid <= at {
				h.laidFrom, h.laidTo = before, at
			}
			h.lastNot, h.firstly = before, at
		}
		if n.witnessed {
			h.laidFrom, h.laidTo = h.laid, h.laid
		}
	}
	return list
}

// A timingFinding is what is said of hatching.
type timingFinding struct {
	answered bool
	median   float64 // hours at 25 °C
	lo, hi   float64 // its 95% limits
	from, to float64 // limits of the next clutch, 90%
	slope    float64 // of the log, for one °C; NaN where it is not worked out
}

// usable reports whether a finding that was answered has all its numbers.
func (f timingFinding) usable() bool {
	for _, x := range []float64{f.median, f.lo, f.hi, f.from, f.to} {
		if math.IsNaN(x) || math.IsInf(x, 0) || x <= 0 {
			return false
		}
	}
	return f.lo <= f.median && f.median <= f.hi && f.from < f.to
}

// A timingAnalysis asks how long hatching takes.
type timingAnalysis func([]hatching) timingFinding

// askTiming is gravid's own answer.
func askTiming(list []hatching) timingFinding {
	t := &club.Tables{}
	for i, h := range list {
		t.Clutches = append(t.Clutches, club.Clutch{
			ID: fmt.Sprint("c", i), Keeper: keeperName(0), Species: species, TemperatureC: club.Some(h.temperature),
			LaidFrom: hour(h.laidFrom), LaidTo: hour(h.laidTo), HatchFrom: hour(h.lastNot), HatchTo: hour(h.firstly),
		})
	}
	k := answer.Asker{Records: exposure.New(t, exposure.Options{})}
	a := k.Timing(species, answer.Lay, answer.Hatch, 25)
	if a.Status != "ok" || len(a.At) == 0 {
		return timingFinding{}
	}
	hours := func(n answer.Num) float64 { return 24 * float64(n) }
	at := a.At[0]
	return timingFinding{
		answered: true, median: hours(at.Median.Estimate), lo: hours(at.Median.Low), hi: hours(at.Median.High),
		from: hours(at.Interval90[0]), to: hours(at.Interval90[1]), slope: math.Log(float64(a.PerDegree.Estimate)),
	}
}

// hour is a number of hours after start, to the second.
func hour(h float64) club.When {
	return club.Some(start.Add(time.Duration(math.Round(h*3600)) * time.Second))
}

// asIfSeen takes the first look at which hatching, and laying, was seen for the moment
// itself: the median of the times, and Student's t for the next one.
func asIfSeen(list []hatching) timingFinding {
	logs := values(list, func(h hatching) float64 { return math.Log(h.firstly - h.laidTo) })
	m, sd := moments(logs)
	n := float64(len(logs))
	half := tail.StudentUpperQuantile(0.05, n-1) * sd * math.Sqrt(1+1/n)
	return timingFinding{answered: true, median: count.Median(values(list, func(h hatching) float64 { return h.firstly - h.laidTo })),
		from: math.Exp(m - half), to: math.Exp(m + half)}
}

// pluggedIn is maximum likelihood without a penalty, and takes its spread for the
// truth.
func pluggedIn(list []hatching) timingFinding {
	obs := make([]duration.Observation, len(list))
	for i, h := range list {
		obs[i] = duration.Observation{Span: duration.Span{Lo: max(h.lastNot-h.laidFrom, 0), Hi: h.firstly - h.laidFrom}, Origin: duration.Span{Hi: h.laidTo - h.laidFrom}}
	}
	m, err := duration.FitAFT(obs, nil, duration.AFTSettings{})
	if err != nil || !m.Status.Usable() {
		return timingFinding{}
	}
	at := func(p float64) float64 { return m.Quantile(nil, p).Value }
	return timingFinding{answered: true, median: at(0.5), from: at(0.05), to: at(0.95)}
}

// newClutches is the chance that one more clutch at 25 °C falls within the limits; 0
// without limits.
func (n nursery) newClutches(f timingFinding) float64 {
	if !f.answered || math.IsNaN(f.from) || math.IsNaN(f.to) {
		return 0
	}
	below := func(t float64) float64 { return tail.NormalLower(math.Log(t/n.median) / n.spread) }
	return below(f.to) - below(f.from)
}

func checkWorld(name string, n nursery, ours timingAnalysis) world {
	type three struct{ ours, seen, plugged timingFinding }
	draw := func(rng *rand.Rand) three {
		list := n.draw(rng)
		all := three{ours: ours(list), seen: asIfSeen(list)}
		if n.slope == 0 {
			all.plugged = pluggedIn(list)
		}
		return all
	}
	return newWorld(name, draw, func(all []three) []figure {
		const next, bias = "new clutches within the 90% interval", "bias of the median"
		answered := only(all, func(t three) bool { return t.ours.answered })
		half, nine := within(0.02), between(0.87, 0.95)
		share90 := func(of func(three) timingFinding) estimate {
			return mean(all, func(t three) float64 { return n.newClutches(of(t)) }).asPercent()
		}
		relative := func(list []three, of func(three) timingFinding) estimate {
			return mean(list, func(t three) float64 { return of(t).median/n.median - 1 }).asPercent()
		}
		gravid := func(t three) timingFinding { return t.ours }
		seen := func(t three) timingFinding { return t.seen }
		list := []figure{
			relative(answered, gravid).ours("gravid", bias, half),
			share90(gravid).ours("gravid", next, nine),
			share(answered, func(t three) bool { return !t.ours.usable() }).ours("gravid", "answers without all their numbers", exactly(0)),
			share(all, func(t three) bool { return t.ours.answered }).shown("gravid", "answered"),
			share(all, func(t three) bool { return t.ours.answered && t.ours.lo <= n.median && n.median <= t.ours.hi }).ours("gravid", "95% intervals that hold the median", between(0.935, 0.99)),
		}
		if n.slope != 0 {
			slopes := only(answered, func(t three) bool { return !math.IsNaN(t.ours.slope) })
			return append(list,
				mean(slopes, func(t three) float64 { return t.ours.slope/n.slope - 1 }).asPercent().ours("gravid", "bias of the slope with temperature", within(0.05)),
				share(all, func(t three) bool { return t.ours.answered && !math.IsNaN(t.ours.slope) }).shown("gravid", "gave a slope"))
		}
		if n.witnessed {
			list = append(list, relative(all, seen).rival("first sight taken for the moment", bias, half))
		} else {
			list = append(list, relative(all, seen).shown("first sight taken for the moment", bias))
		}
		return append(list,
			share90(seen).shown("first sight taken for the moment", next),
			share90(func(t three) timingFinding { return t.plugged }).shown("maximum likelihood, plugged in", next))
	})
}
