package answer

import (
	"cmp"
	"math"
	"slices"

	"gravid/analyze/catalogue"
	"gravid/stats/power"
	"gravid/stats/tail"
)

// A Plan is what a species' records suggest for the next season. Each trigger of the
// catalogue is in one list.
type Plan struct {
	Species   string  `json:"species"`
	GoOn      []Step  `json:"go_on"`      // linked with spawning: go on with it and write it down
	Try       []Step  `json:"try"`        // open, and worth a trial: the most promising first
	Watch     []Step  `json:"watch"`      // open, but nobody decides on it: weather, moon, other fish
	Open      []Step  `json:"open"`       // open, and less promising than those under Try
	Leave     []Step  `json:"leave"`      // little or no link: not worth a change for this species
	WriteDown []Step  `json:"write_down"` // not compared: not recorded, never varied, too few keepers
	Trial     Trial   `json:"trial"`      // how large a trial of one trigger would have to be
	Margin    float64 `json:"margin_per_100"`
}

// A Step is one trigger in a plan.
type Step struct {
	Trigger    string   `json:"trigger"`
	Name       string   `json:"name"`
	Difference Interval `json:"difference_per_100"`
	Promise    Num      `json:"promise"` // 0 to 1, orders what is open: see PlanOf
	Status     Status   `json:"status"`
	Reason     string   `json:"reason,omitempty"`
	Cautions   []string `json:"cautions,omitempty"`
}

// A Trial is a comparison in which chance decides, within each keeper, which attempts
// come with the trigger: half of them.
type Trial struct {
	Baseline   Num `json:"baseline_per_100"`   // attempts in 100 that spawned so far
	Difference Num `json:"difference_per_100"` // that the trial would show as a link
	Power      Num `json:"power"`              // chance that it does
	Keepers    int `json:"keepers"`
	Attempts   Num `json:"attempts"` // in all; null where nothing can be said
}

// mostTried is how many triggers a plan puts forward for a trial: who changes many things
// at once learns about none.
const mostTried = 3

// trialPower is the chance that a trial shows the difference it was made for.
const trialPower = 0.8

// PlanOf sorts the answers on one species into what to do next season.
//
// Promise is the chance that the difference lies beyond the margin on either side, for an
// estimate whose error is normal with the interval's width and differences that are normal
// about 0 with a spread of sceptical margins; it orders what is open and is no verdict.
func (k Asker) PlanOf(t TriggerTable) Plan {
	k = k.withDefaults()
	p := Plan{Species: t.Species, Margin: k.Margin, GoOn: []Step{}, Try: []Step{}, Watch: []Step{}, Open: []Step{}, Leave: []Step{}, WriteDown: []Step{}}
	var open []Step
	for _, a := range t.Answers {
		s := Step{Trigger: a.Question.Trigger, Name: a.Question.TriggerName, Difference: a.Per100.Difference, Promise: promise(a.Per100.Difference, k.Margin), Status: a.Status, Reason: a.Reason, Cautions: a.Cautions}
		trigger, _ := catalogue.Find(k.Triggers, s.Trigger)
		switch {
		case a.Verdict == Matters || a.Verdict == Leans:
			p.GoOn = append(p.GoOn, s)
		case a.Verdict == NoDifference:
			p.Leave = append(p.Leave, s)
		case trigger.Assigned == catalogue.ByWeather || trigger.Aside:
			p.Watch = append(p.Watch, s)
		default:
			open = append(open, s)
		}
	}
	slices.SortStableFunc(open, func(a, b Step) int { return cmp.Compare(b.Promise, a.Promise) })
	n := min(mostTried, len(open))
	p.Try, p.Open = append(p.Try, open[:n]...), append(p.Open, open[n:]...)
	for _, n := range t.NotCompared {
		p.WriteDown = append(p.WriteDown, Step{Trigger: n.Trigger, Name: n.Name, Difference: NoInterval(), Promise: unknown, Status: n.Status, Reason: n.Reason})
	}
	p.Trial = k.trial(t.Species)
	return p
}

// sceptical is the spread, in margins, of the differences that triggers are taken to have
// before any record is looked at; the choice is ours. Without it a trigger of which nothing
// is known would look the most promising, since anything is possible for it.
const sceptical = 1.5

func promise(d Interval, margin float64) Num {
	sd := (highOf(d) - lowOf(d)) / 2 / tail.NormalUpperQuantile(0.025)
	if !(sd > 0) || math.IsInf(sd, 0) {
		return unknown
	}
	prior := sceptical * margin
	weight := prior * prior / (prior*prior + sd*sd)
	at, spread := weight*float64(d.Estimate), math.Sqrt(weight)*sd
	return Num(tail.NormalUpper((margin-at)/spread) + tail.NormalUpper((margin+at)/spread))
}

// trial is the size of a trial with as many keepers as have this species now, that shows a
// difference twice as large as the one worth acting on in four of five cases: two
// proportions with the continuity correction of Casagrande, Pike & Smith (1978), widened
// by the square of Student's t over the normal quantile, since the interval of the answer
// is one over keepers.
func (k Asker) trial(species string) Trial {
	f := k.Records.Rows(species, false)
	out := Trial{Baseline: unknown, Difference: Num(2 * k.Margin), Power: trialPower, Attempts: unknown}
	present := map[int]bool{}
	for _, g := range f.Keeper {
		present[g] = true
	}
	out.Keepers = len(present)
	if len(f.Y) < floorEvents || out.Keepers < floorKeepers {
		return out
	}
	base := float64(f.Spawned()) / float64(len(f.Y))
	out.Baseline = Num(100 * base)
	half := k.Margin / 100 // the two groups lie about the baseline, inside 1 and 99 in 100
	base = max(0.01+half, min(0.99-half, base))
	c := power.TwoProportions{P1: base - half, P2: base + half, Test: power.Test{Alpha: 1 - k.Level}}
	each := c.SizeCorrected(trialPower)
	if math.IsNaN(each) { // the margin leaves no room
		return out
	}
	t := tail.StudentUpperQuantile((1-k.Level)/2, float64(out.Keepers-1))
	z, beta := tail.NormalUpperQuantile((1-k.Level)/2), tail.NormalQuantile(trialPower)
	widened := (t + beta) / (z + beta)
	out.Attempts = Num(roundUp(2 * each * widened * widened))
	return out
}

// PlanAll plans for every species of the tables, in order of name.
func (k Asker) PlanAll() []Plan {
	var plans []Plan
	for _, s := range k.LoggedSpecies() {
		plans = append(plans, k.PlanOf(k.TriggersOf(s)))
	}
	return plans
}
