package main

import (
	"math"

	"gravid/analyze/answer"
	"gravid/stats"
	"gravid/stats/logit"
)

// An opinion is all that gravid says of a trigger, where the experiment is about more
// than its odds ratio.
type opinion struct {
	finding
	difference, from, to float64 // per 100 attempts; NaN where only relative results exist
	verdict              answer.Verdict
	capped               bool    // by the placebo
	placebo              bool    // there was one
	more                 float64 // attempts that would settle it, where it says so
	moreKeepers          bool    // it asks for more keepers instead
	bounds               *answer.Bounds
	attempts, missing    int // used, and left out because the trigger is blank
}

// opinionOf reads an answer, relative ones included.
func opinionOf(a answer.Answer) opinion {
	o := opinion{
		finding: unanswered(a.Status == answer.FitFailed), verdict: a.Verdict,
		difference: float64(a.Per100.Difference.Estimate), from: float64(a.Per100.Difference.Low), to: float64(a.Per100.Difference.High),
		capped: a.Status == answer.FollowsPlacebo, placebo: a.Checks.Placebo != nil,
		more: float64(a.MoreNeeded.Attempts), moreKeepers: !math.IsNaN(float64(a.MoreNeeded.Keepers)), bounds: a.Checks.Missing, attempts: a.Counts.Attempts,
	}
	if a.OddsRatio.Known() {
		o.finding = finding{
			value: math.Log(float64(a.OddsRatio.Estimate)), lo: math.Log(float64(a.OddsRatio.Low)), hi: math.Log(float64(a.OddsRatio.High)),
			p: float64(a.PValue), answered: true, adjusted: a.Adjusted,
		}
	}
	o.separated = len(a.Checks.Separated) > 0
	for _, l := range a.Counts.LeftOut {
		if l.Reason == "trigger not recorded" {
			o.missing = l.N
		}
	}
	return o
}

// matters and links are verdicts that a keeper would act on, and that say that there is
// something at all.
func (o opinion) matters() bool { return o.verdict == answer.Matters }
func (o opinion) links() bool   { return o.verdict == answer.Matters || o.verdict == answer.Leans }

// holds reports whether the difference per 100 attempts is in its interval.
func (o opinion) holds(per100 float64) bool { return o.from <= per100 && per100 <= o.to }

// An oracle fits the model that the records were made with, by the penalised
// likelihood, and knows what has to be held alike. Its interval is the profile's.
func oracle(d logit.Data) finding {
	m := firth(d)
	if m.Status == stats.NotIdentifiable {
		return unanswered(false)
	}
	return fromWald(m.Profile(0, level), m.LRTest(0).P)
}

// excludesNothing reports whether the interval says that there is something at all,
// whatever the placebo says.
func (o opinion) excludesNothing() bool { return o.answered && (o.lo > 0 || o.hi < 0) }
