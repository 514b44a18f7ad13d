package main

import (
	"math"
	"math/rand/v2"

	"gravid/analyze/answer"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/stats/logit"
	"gravid/stats/pool"
)

// blank is the chance that a trigger was not written down.
type blank func(a try) float64

// blanks is E7: some attempts say nothing of the trigger.
func blanks(ours blankAnalysis) experiment {
	return experiment{
		id: "E7", title: "A trigger that is not always written down",
		planted: "The club of E1, whose trigger does nothing. It is blank in a quarter of attempts at random; or in 4 of 10 without it and 1 of 10 with it; or in 4 of 10 that came to nothing and 1 of 10 that spawned. Bounds have to hold the figure of the same records without blanks. Multiple imputation (20 sets, drawn from a regression of the trigger on outcome and keeper) is none of gravid's answers; it is put together here from stats/logit and stats/pool.",
		worlds: []world{
			blankWorld("blank at random", func(try) float64 { return 0.25 }, true, false, ours),
			blankWorld("blank by the trigger", func(a try) float64 { return 0.4 - 0.3*oneIf(a.used) }, false, false, ours),
			blankWorld("blank by the outcome", func(a try) float64 { return 0.4 - 0.3*oneIf(a.spawned) }, true, true, ours),
		},
	}
}

// A partly known club: tries, and which of them say nothing of the trigger.
type partly struct {
	tries
	blank []bool
}

func withBlanks(rng *rand.Rand, t tries, chance blank) partly {
	p := partly{t, make([]bool, len(t.list))}
	for i, a := range t.list {
		p.blank[i] = happens(rng, chance(a))
	}
	return p
}

// tables are the club's tables, blanks included.
func (p partly) tables() *club.Tables {
	t := p.tries.tables()
	for i, blank := range p.blank {
		if blank {
			t.Attempts[i].LiveFood = club.Truth{}
		}
	}
	return t
}

// recorded are the tries without those that have a blank.
func (p partly) recorded() tries {
	out := tries{temperature: p.temperature}
	for i, a := range p.list {
		if !p.blank[i] {
			out.list = append(out.list, a)
		}
	}
	return out
}

// filled are the tries with the blanks filled in.
func (p partly) filled(used func(try) bool) tries {
	out := tries{temperature: p.temperature}
	for i, a := range p.list {
		if p.blank[i] {
			a.used = used(a)
		}
		out.list = append(out.list, a)
	}
	return out
}

// A blankAnalysis asks about a trigger that has blanks.
type blankAnalysis func(*club.Tables) opinion

// askBlank is gravid's own answer.
func askBlank(t *club.Tables) opinion {
	k := answer.Asker{Records: exposure.New(t, exposure.Options{}), Triggers: triggers("live-food", "temperature")}
	return opinionOf(k.Matter(species, k.Triggers[0]))
}

// imputations is how many completed sets are joined.
const imputations = 20

// imputed is multiple imputation: each set has its own draw of the coefficients of a
// penalised regression of the trigger on outcome and keeper, from the normal
// distribution that their covariance gives, and its own draw of the blanks.
func (p partly) imputed(rng *rand.Rand) finding {
	d := logit.Data{X: [][]float64{nil}}
	for _, a := range p.recorded().list {
		d.Y, d.Group, d.X[0] = append(d.Y, oneIf(a.used)), append(d.Group, a.keeper), append(d.X[0], oneIf(a.spawned))
	}
	m := firth(d)
	if !m.Status.Usable() {
		return unanswered(true)
	}
	var values, variances []float64
	df := 0
	for range imputations {
		chance := drawn(rng, m)
		fit := firth(p.filled(func(a try) bool { return happens(rng, chance(a)) }).data())
		if !fit.Status.Usable() {
			return unanswered(true)
		}
		values, variances = append(values, fit.Coef[0]), append(variances, fit.Cov[0][0])
		df = fit.DF
	}
	joined, err := pool.Impute(values, variances, float64(df), level)
	if err != nil {
		panic("experiments: " + err.Error())
	}
	return fromWald(joined.Estimate, math.NaN())
}

// drawn draws intercepts and slope of a model with one slope: the slope first, then each
// intercept given the slope, given which they are independent. A keeper of whom nothing
// is recorded has the mean intercept.
func drawn(rng *rand.Rand, m *logit.Model) func(try) float64 {
	slope := m.Coef[0] + m.SE[0]*rng.NormFloat64()
	intercept := map[int]float64{}
	mean := 0.0
	for k, g := range m.Groups {
		joint := m.CovInterceptSlopes(k)[0]
		at := m.Intercept[k] + joint/m.Cov[0][0]*(slope-m.Coef[0])
		left := m.InterceptSE[k]*m.InterceptSE[k] - joint*joint/m.Cov[0][0]
		intercept[g] = at + math.Sqrt(max(left, 0))*rng.NormFloat64()
		mean += intercept[g] / float64(len(m.Groups))
	}
	return func(a try) float64 {
		at, known := intercept[a.keeper]
		if !known {
			at = mean
		}
		return logistic(at + slope*oneIf(a.spawned))
	}
}

// A blanked look is what is said of one club with blanks.
type blanked struct {
	ours, whole   opinion // whole: of the records without blanks
	lo, hi        float64 // with the blanks filled in by outcome, for the least and for the most
	mi, absent    finding
	onlyWritten   bool // just those attempts were used whose trigger was written down
	missing, size float64
}

func lookAtBlanks(rng *rand.Rand, p partly, ours blankAnalysis) blanked {
	t := p.tables()
	out := blanked{
		ours: ours(t), whole: ours(p.tries.tables()), mi: p.imputed(rng),
		lo:     ours(p.filled(func(a try) bool { return !a.spawned }).tables()).difference,
		hi:     ours(p.filled(func(a try) bool { return a.spawned }).tables()).difference,
		absent: keeperWald(p.filled(func(try) bool { return false })),
	}
	// Keepers who saw successes only are left out before blanks are looked at.
	only := exposure.New(t, exposure.Options{}).SpawnsOnly
	written, blanks := 0, 0
	for i, a := range p.list {
		switch {
		case only[keeperName(a.keeper)]:
		case p.blank[i]:
			blanks++
		default:
			written++
		}
	}
	out.onlyWritten = out.ours.attempts == written && out.ours.missing == blanks
	out.missing, out.size = float64(blanks), float64(len(p.list))
	return out
}

// inside reports whether x lies between a and b, rounding apart.
func inside(x, a, b float64) bool {
	return !math.IsNaN(a) && !math.IsNaN(b) && min(a, b)-1e-6 <= x && x <= max(a, b)+1e-6
}

// inBounds reports whether gravid's bounds hold the figure of the records without
// blanks.
func (b blanked) inBounds() bool {
	return b.ours.bounds != nil && inside(b.whole.difference, float64(b.ours.bounds.Least), float64(b.ours.bounds.Most))
}

// warned reports whether the answer says that blanks hang on the outcome.
func (b blanked) warned() bool { return b.ours.bounds != nil && b.ours.bounds.ByOutcome() }

func blankWorld(name string, chance blank, random, byOutcome bool, ours blankAnalysis) world {
	h := skilled(0, 0, 0)
	draw := func(rng *rand.Rand) blanked { return lookAtBlanks(rng, withBlanks(rng, h.draw(rng), chance), ours) }
	return newWorld(name, draw, func(all []blanked) []figure {
		gravid := func(b blanked) finding { return b.ours.finding }
		mi := func(b blanked) finding { return b.mi }
		absent := func(b blanked) finding { return b.absent }
		const holdsWhole = "bounds that hold the figure without blanks"
		list := []figure{
			share(all, func(b blanked) bool { return b.onlyWritten }).ours("gravid", "uses just what was written down", exactly(1)),
			share(all, blanked.inBounds).ours("gravid, least and most", holdsWhole, exactly(1)),
			share(all, func(b blanked) bool { return inside(b.whole.difference, b.lo, b.hi) }).ours("gravid, blanks filled in by outcome", holdsWhole, exactly(1)),
			coverage(all, gravid, 0).ours("gravid", holdsTruth, atLeast(0.93)),
			biases(all, gravid, 0).shown("gravid", biasOf),
		}
		judged := coverage(all, mi, 0)
		if random { // given outcome and keeper
			list = append(list, judged.ours("multiple imputation", holdsTruth, atLeast(0.93)))
		} else {
			list = append(list, judged.shown("multiple imputation", holdsTruth))
		}
		list = append(list, biases(all, mi, 0).shown("multiple imputation", biasOf))
		wrong := coverage(all, absent, 0)
		if byOutcome {
			list = append(list, wrong.rival("blank = absent, keeper intercepts, Wald", holdsTruth, atLeast(0.93)))
		} else {
			list = append(list, wrong.shown("blank = absent, keeper intercepts, Wald", holdsTruth))
		}
		const warns = "says that blanks hang on the outcome"
		if byOutcome {
			list = append(list, share(all, blanked.warned).ours("gravid", warns, atLeast(0.95)))
		} else {
			list = append(list, share(all, blanked.warned).shown("gravid", warns))
		}
		return append(list,
			biases(all, absent, 0).shown("blank = absent, keeper intercepts, Wald", biasOf),
			mean(all, func(b blanked) float64 { return b.missing / b.size }).asPercent().shown("records", "blank"))
	})
}
