package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"gravid/analyze/answer"
	"gravid/analyze/catalogue"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/stats/logit"
)

// species is the name that all made-up records carry.
const species = "Corydoras paleatus"

// start is the first day of all made-up records.
var start = time.Date(2023, 1, 1, 0, 0, 0, 0, time.UTC)

// A husbandry is a club whose keepers decide attempt by attempt whether to use a
// trigger.
//
// Keeper k spawns fish with chance logistic(s_k + b_k) of an attempt with the trigger
// and logistic(s_k) without, s_k normal with mean base and standard deviation skill,
// b_k normal with mean effect and standard deviation differ. The chance to use the
// trigger is logistic(use + tie (s_k - base)/skill + habit_k), habit_k normal with mean 0
// and standard deviation habit.
type husbandry struct {
	attempts            []int // of each keeper
	base, skill         float64
	tie                 float64
	effect, differ      float64
	habit               float64
	use                 float64 // log odds of using the trigger at average skill
	warmth              float64 // log odds of a spawning for one °C more
	months              int     // over which the attempts are spread
	recordedTemperature bool
}

// A try is one attempt.
type try struct {
	keeper      int
	used        bool
	spawned     bool
	day         int // of setting up, from start
	temperature float64
	// The planted chances of a spawning without the trigger and with it.
	without, with float64
}

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// happens is true with chance p.
func happens(rng *rand.Rand, p float64) bool { return rng.Float64() < p }

func (h husbandry) draw(rng *rand.Rand) tries {
	t := tries{temperature: h.recordedTemperature}
	for k, n := range h.attempts {
		skill, effect := rng.NormFloat64(), h.effect+h.differ*rng.NormFloat64()
		use := h.use + h.tie*skill
		if h.habit > 0 {
			use += h.habit * rng.NormFloat64()
		}
		for range n {
			a := try{keeper: k, day: rng.IntN(30 * h.months), temperature: 24 + 1.5*rng.NormFloat64()}
			a.used = happens(rng, logistic(use))
			eta := h.base + h.skill*skill + h.warmth*(a.temperature-24)
			a.without, a.with = logistic(eta), logistic(eta+effect)
			a.spawned = happens(rng, a.chance())
			t.list = append(t.list, a)
		}
	}
	return t
}

// chance is the planted chance of a spawning as the attempt was made.
func (a try) chance() float64 {
	if a.used {
		return a.with
	}
	return a.without
}

// tries are the attempts of a club.
type tries struct {
	list        []try
	temperature bool // was written down
}

// data are the tries for the packages below stats: the trigger alone, one intercept
// a keeper.
func (t tries) data() logit.Data {
	d := logit.Data{X: [][]float64{nil}, Names: []string{"trigger"}}
	for _, a := range t.list {
		d.Y = append(d.Y, oneIf(a.spawned))
		d.X[0] = append(d.X[0], oneIf(a.used))
		d.Group = append(d.Group, a.keeper)
	}
	return d
}

// difference is the planted difference per 100 attempts, over these attempts.
func (t tries) difference() float64 {
	sum := 0.0
	for _, a := range t.list {
		sum += a.with - a.without
	}
	return 100 * sum / float64(len(t.list))
}

func oneIf(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// tables are the tries as a club's tables. The outcome is known, its day is not, so
// that rows are attempts.
func (t tries) tables() *club.Tables {
	tables := &club.Tables{}
	for i, a := range t.list {
		row := club.Attempt{
			ID: fmt.Sprint("a", i), Keeper: keeperName(a.keeper), System: "T1", Species: species,
			Began: club.Some(start.AddDate(0, 0, a.day)), Spawned: club.Some(a.spawned), LiveFood: club.Some(a.used),
		}
		if t.temperature {
			row.TemperatureC = club.Some(a.temperature)
		}
		tables.Attempts = append(tables.Attempts, row)
	}
	return tables
}

func keeperName(k int) string { return fmt.Sprintf("keeper %02d", k) }

// A finding is what a procedure says of the log odds ratio of a trigger.
type finding struct {
	value, lo, hi float64 // NaN where it does not say
	p             float64
	answered      bool // it gave an interval
	failed        bool // it tried and did not come to an end
	separated     bool // it said that the outcomes are separated
	adjusted      []string
}

// rejects reports whether it finds a link at the level. A failed fit counts as one.
func (f finding) rejects(level float64) bool { return f.failed || f.answered && f.p <= level }

// covers reports whether the interval holds the truth. No interval holds nothing.
func (f finding) covers(truth float64) bool { return f.answered && f.lo <= truth && truth <= f.hi }

func (f finding) width() float64 {
	if !f.answered {
		return math.Inf(1)
	}
	return f.hi - f.lo
}

// unanswered is the finding of a procedure that gives no number.
func unanswered(failed bool) finding {
	nan := math.NaN()
	return finding{value: nan, lo: nan, hi: nan, p: nan, failed: failed}
}

// findingOf reads what gravid answers.
func findingOf(a answer.Answer) finding {
	if !a.Per100.Difference.Known() {
		f := unanswered(a.Status == answer.FitFailed)
		f.separated = len(a.Checks.Separated) > 0
		return f
	}
	return finding{
		value: math.Log(float64(a.OddsRatio.Estimate)), lo: math.Log(float64(a.OddsRatio.Low)), hi: math.Log(float64(a.OddsRatio.High)),
		p: float64(a.PValue), answered: true, separated: len(a.Checks.Separated) > 0, adjusted: a.Adjusted,
	}
}

// An analysis of tries. ask is gravid's; tests put others in its place.
type analysis func(tries) finding

// ask is gravid's own answer to "does it matter?".
func ask(t tries) finding {
	k := answer.Asker{Records: exposure.New(t.tables(), exposure.Options{}), Triggers: triggers("live-food", "temperature")}
	return findingOf(k.Matter(species, k.Triggers[0]))
}

// triggers picks entries of the catalogue. It panics for a code that is not there.
func triggers(codes ...string) []catalogue.Trigger {
	all := catalogue.Triggers()
	var list []catalogue.Trigger
	for _, code := range codes {
		t, ok := catalogue.Find(all, code)
		if !ok {
			panic("experiments: no trigger " + code)
		}
		list = append(list, t)
	}
	return list
}
