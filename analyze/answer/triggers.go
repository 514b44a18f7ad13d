package answer

import (
	"fmt"
	"math"
	"sync"

	"gravid/analyze/catalogue"
	"gravid/stats/adjust"
)

// A TriggerTable is every candidate trigger of one species, each with the others
// held alike, judged together.
type TriggerTable struct {
	Species     string        `json:"species"`
	LookedAt    int           `json:"looked_at"`
	Answers     []Answer      `json:"answers"`      // those that could be compared, in the order of the catalogue
	NotCompared []NotCompared `json:"not_compared"` // the rest, with the gate they stopped at
}

// NotCompared is a trigger that could not be compared.
type NotCompared struct {
	Trigger  string `json:"trigger"`
	Name     string `json:"name"`
	Status   Status `json:"status"`
	Reason   string `json:"reason"`
	NextStep string `json:"next_step"`
}

// holmLevel is the chance of naming any trigger at all when none is linked.
const holmLevel = 0.05

// TriggersOf asks after every trigger of the catalogue. Verdicts allow for the
// number looked at: a link whose p-value after Holm's adjustment is above 0.05 is
// not called one.
func (k Asker) TriggersOf(species string) TriggerTable {
	k = k.withDefaults()
	out := TriggerTable{Species: species, Answers: []Answer{}, NotCompared: []NotCompared{}}
	for i, a := range k.mattersOf(species) {
		t := k.Triggers[i]
		if !a.Per100.Difference.Known() {
			out.NotCompared = append(out.NotCompared, NotCompared{t.Code, t.Name, a.Status, a.Reason, a.NextStep})
			continue
		}
		out.Answers = append(out.Answers, a)
	}
	out.LookedAt = len(out.Answers)
	out.judgeTogether()
	return out
}

// atOnce is how many triggers are looked at side by side: each takes room for tables of
// its own.
const atOnce = 2

// mattersOf asks after each trigger.
func (k Asker) mattersOf(species string) []Answer {
	answers := make([]Answer, len(k.Triggers))
	var telling sync.Mutex
	done := 0
	k.oneByOne = true
	eachOf(len(answers), atOnce, func(i int) {
		answers[i] = k.Matter(species, k.Triggers[i])
		telling.Lock()
		defer telling.Unlock()
		if done++; k.Progress != nil {
			k.Progress(fmt.Sprintf("%s: %d of %d triggers looked at", species, done, len(answers)))
		}
	})
	return answers
}

func (t *TriggerTable) judgeTogether() {
	p := make([]float64, len(t.Answers))
	for i, a := range t.Answers {
		p[i] = float64(a.PValue)
	}
	for i, adjusted := range adjust.Holm(p) {
		a := &t.Answers[i]
		a.PAdjusted, a.LookedAt = Num(adjusted), t.LookedAt
		if (a.Verdict == Matters || a.Verdict == Leans) && !(adjusted <= holmLevel) && !math.IsNaN(adjusted) {
			a.Verdict = CannotTell
			a.Notes = append(a.Notes, fmt.Sprintf("on its own this would read as a link, but %d triggers were looked at, and one in so many is expected to stand out by chance", t.LookedAt))
			a.NextStep = "write it down for one more season and ask about this trigger alone"
		}
	}
}

// Every returns the catalogue with a club's own triggers behind it.
func Every(own []catalogue.Trigger) []catalogue.Trigger {
	return append(catalogue.Triggers(), own...)
}
