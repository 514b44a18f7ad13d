// Package answer asks the questions that keepers put to the tables and gives
// each answer as plain data: a number with an interval, a verdict, the reasons
// to doubt it, and what to do next.
//
// It prints nothing; package report turns answers into something to read.
package answer

import (
	"encoding/json"
	"math"

	"gravid/analyze/exposure"
	"gravid/stats/count"
)

// A Verdict is what an interval says against the difference that is worth acting
// on. The words for each are in Words.
type Verdict string

const (
	Matters      Verdict = "matters"
	Leans        Verdict = "leans"
	NoDifference Verdict = "no-difference"
	CannotTell   Verdict = "cannot-tell"
)

// Words returns the verdict as people read it.
func (v Verdict) Words() string {
	switch v {
	case Matters:
		return "linked, and enough to matter"
	case Leans:
		return "linked, size unclear"
	case NoDifference:
		return "little or no link"
	}
	return "the records can't tell yet"
}

// Judge gives the verdict of an interval lo..hi against the margin: a
// difference of less than margin either way is not worth acting on.
func Judge(lo, hi, margin float64) Verdict {
	switch {
	case math.IsNaN(lo) || math.IsNaN(hi):
		return CannotTell
	case lo > margin || hi < -margin:
		return Matters
	case lo > -margin && hi < margin:
		return NoDifference
	case lo > 0 || hi < 0:
		return Leans
	}
	return CannotTell
}

// A Design says what the rows of a comparison are.
type Design string

const (
	ByAttempt   Design = "attempts"
	ByTankDay   Design = "tank-days"
	AtRiskDays  Design = "at-risk-days"
	MatchedDays Design = "matched-days"
)

// A Status says whether a question could be answered, and otherwise which gate
// it stopped at. Only "ok" comes with numbers of a comparison.
type Status string

const (
	OK              Status = "ok"
	NotRecorded     Status = "not-recorded"     // nobody wrote the trigger down, or no attempt can be used
	NeverVaried     Status = "never-varied"     // the trigger was always or never there
	Aliased         Status = "aliased"          // the trigger always came together with something else
	TooFewOutcomes  Status = "too-few-outcomes" // fewer than 5 spawnings or fewer than 5 without
	TooFewKeepers   Status = "too-few-keepers"  // fewer than 2 keepers whose records hold both sides of the comparison
	FitFailed       Status = "fit-failed"       // the estimate did not reach its stopping rule
	FollowsPlacebo  Status = "follows-placebo"  // the trigger shifted into the future shows a link too
	BlanksDecide    Status = "blanks-decide"    // the trigger was written down by the outcome, and what the blanks may hold would change the verdict
	SpawningsOnly   Status = "spawnings-only"   // only keepers who write down successes
	SpeciesUnlogged Status = "species-unlogged" // no attempt of this species
)

// Num is a number that JSON writes as null when it is not known or has no bound.
type Num float64

// MarshalJSON writes null for NaN and infinities.
func (n Num) MarshalJSON() ([]byte, error) {
	x := float64(n)
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(x)
}

// UnmarshalJSON reads null as NaN.
func (n *Num) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*n = Num(math.NaN())
		return nil
	}
	return json.Unmarshal(b, (*float64)(n))
}

var unknown = Num(math.NaN())

// An Interval is a number with its interval.
type Interval struct {
	Estimate  Num    `json:"estimate"`
	Low       Num    `json:"low"`
	High      Num    `json:"high"`
	Level     Num    `json:"level"`
	Method    string `json:"method,omitempty"`
	Unbounded bool   `json:"unbounded,omitempty"` // a bound is infinite: the records set none
}

// NoInterval is the interval of a number that is not known.
func NoInterval() Interval {
	return Interval{Estimate: unknown, Low: unknown, High: unknown, Level: unknown}
}

// Known reports whether there is a number at all.
func (i Interval) Known() bool { return !math.IsNaN(float64(i.Estimate)) }

// An Answer is what the records say to one question about one trigger and one
// species. The JSON names are fixed.
type Answer struct {
	Question   Question   `json:"question"`
	Design     Design     `json:"design"`
	Status     Status     `json:"status"`
	Reason     string     `json:"reason,omitempty"`    // why the status is not ok
	NextStep   string     `json:"next_step,omitempty"` // what would help
	Verdict    Verdict    `json:"verdict"`
	OddsRatio  Interval   `json:"odds_ratio"`
	Per100     Per100     `json:"per_100"`
	PValue     Num        `json:"p_value"`
	PAdjusted  Num        `json:"p_adjusted"`
	LookedAt   int        `json:"looked_at"`
	Counts     Counts     `json:"counts"`
	MoreNeeded MoreNeeded `json:"more_needed"`
	Checks     Checks     `json:"checks"`
	Dose       *Dose      `json:"dose,omitempty"`
	Bands      []Band     `json:"bands,omitempty"` // of the change, for "how large must it be"
	Adjusted   []string   `json:"adjusted_for"`
	Cautions   []string   `json:"cautions"`
	Notes      []string   `json:"notes,omitempty"`
	Methods    []string   `json:"methods,omitempty"`

	MarginPer100 float64 `json:"margin_per_100"`
}

// Question echoes what was understood.
type Question struct {
	Trigger     string `json:"trigger"`
	Species     string `json:"species"`
	Window      string `json:"window"`
	TriggerName string `json:"trigger_name"`
	With        string `json:"with"`
	Without     string `json:"without"`
	Exploration bool   `json:"exploration,omitempty"` // the window is not that of the catalogue
}

// Per100 is the outcome in 100 attempts with and without the trigger. For rows
// by day it is the chance to have spawned within Days days if every day, or no
// day, came with the trigger.
type Per100 struct {
	With       Num      `json:"with"`
	Without    Num      `json:"without"`
	Difference Interval `json:"difference"`
	Days       int      `json:"days,omitempty"`
	PerDay     *PerDay  `json:"per_day,omitempty"`
}

// PerDay is the chance to spawn on one day, in 100, with and without the trigger.
type PerDay struct {
	With    Num `json:"with"`
	Without Num `json:"without"`
}

// Counts say on what the answer stands. LeftOut and Attempts add up to Total.
type Counts struct {
	Keepers     int                `json:"keepers"`
	Informative int                `json:"informative_keepers"` // with both sides of the trigger and both outcomes
	Total       int                `json:"total_attempts"`
	Attempts    int                `json:"attempts"`
	Spawned     int                `json:"spawned"`
	Rows        int                `json:"rows"`
	With        int                `json:"rows_with"`
	SpawnedWith int                `json:"spawned_with"`
	LeftOut     []exposure.LeftOut `json:"left_out"`
	LeftOutDays []exposure.LeftOut `json:"left_out_days,omitempty"`
	Clusters    int                `json:"clusters"`
	ClusterOf   string             `json:"cluster_of"`
	SpawnsOnly  int                `json:"spawns_only_keepers"`
}

// MoreNeeded is about how many more attempts would settle the question, with a
// range that four in five continuations of these records would fall in. Null
// where the question is settled or nothing can be said.
type MoreNeeded struct {
	Attempts Num `json:"attempts"`
	Low      Num `json:"low"`
	High     Num `json:"high"`
	Keepers  Num `json:"keepers"`
}

// Checks are what could overturn the answer.
type Checks struct {
	Placebo   *Placebo  `json:"placebo"`
	LeaveOut  *LeaveOut `json:"leave_one_keeper_out"`
	Missing   *Bounds   `json:"missing_bounds"`
	EValue    *EValue   `json:"e_value"`
	Profile   *Interval `json:"profile,omitempty"`
	Jackknife *Interval `json:"jackknife,omitempty"`
	Separated []string  `json:"separated,omitempty"`
	Views     []View    `json:"views,omitempty"`
}

// A View is the same question looked at in another way.
type View struct {
	Name      string   `json:"name"`
	OddsRatio Interval `json:"odds_ratio"`
	Note      string   `json:"note,omitempty"` // why there is no figure
}

// A Placebo is the same comparison with the trigger shifted into the future.
type Placebo struct {
	ShiftDays int      `json:"shift_days"`
	OddsRatio Interval `json:"odds_ratio"`
	Passed    bool     `json:"passed"`
}

// LeaveOut is the range of the odds ratio when one keeper at a time is left out.
type LeaveOut struct {
	Low         Num    `json:"low"`
	High        Num    `json:"high"`
	MostChanged string `json:"most_changed"` // keeper whose leaving moves it most
	Flips       bool   `json:"flips"`        // leaving that keeper out turns the direction round
}

// Bounds are the difference per 100 if every missing trigger had been there, or none,
// and the least and the most that any filling of the blanks could make of it.
type Bounds struct {
	Missing int `json:"missing"`
	// Of attempts that spawned and of those that did not: how many there are, and in how
	// many of them the trigger is blank.
	Spawned        int `json:"spawned"`
	SpawnedMissing int `json:"spawned_missing"`
	Failed         int `json:"not_spawned"`
	FailedMissing  int `json:"not_spawned_missing"`
	AllWith        Num `json:"all_with"`
	AllWithout     Num `json:"all_without"`
	Least          Num `json:"least"`
	Most           Num `json:"most"`
}

// blanksDiffer is by how much the shares of blanks must differ between attempts that spawned
// and others before a reader is warned, and fewestBlanks how many blanks it takes.
const (
	blanksDiffer = 0.1
	fewestBlanks = 5
)

// ByOutcome reports whether the trigger was written down more often after one outcome than
// after the other. Where that is so, what was written down may hang on what came of it.
func (b Bounds) ByOutcome() bool {
	if b.Missing < fewestBlanks || b.Spawned == 0 || b.Failed == 0 {
		return false
	}
	apart := float64(b.SpawnedMissing)/float64(b.Spawned) - float64(b.FailedMissing)/float64(b.Failed)
	return math.Abs(apart) >= blanksDiffer
}

// surelyByOutcome is ByOutcome where chance alone would hardly do that (Fisher's exact
// test, 5 in 100).
func (b Bounds) surelyByOutcome() bool {
	p, err := count.Fisher(b.SpawnedMissing, b.Spawned, b.FailedMissing, b.Failed)
	return b.ByOutcome() && err == nil && p < 0.05
}

// EValue says how strong something unrecorded would have to be linked both with
// the trigger and with spawning to explain the whole link.
type EValue struct {
	Estimate Num `json:"estimate"`
	Limit    Num `json:"limit"`
}

// Dose is the answer of an amount: per natural step where a straight line stands for
// it, by amounts where it bends. Amounts are in Unit. The JSON names are fixed.
//
// Where the records carry a curve, the answer comes from contrasts between fixed amounts
// of it, and From, To and At are those of the one that says most. Otherwise From and To
// are two amounts on a straight line.
//
// Curve is filled in wherever chances follow, along the curve where there are Knots and
// along the straight line otherwise; it never goes beyond the middle 90 % of the amounts
// seen. Rug are the records below it.
type Dose struct {
	Unit      string   `json:"unit"`
	Step      Num      `json:"step"`
	OddsRatio Interval `json:"odds_ratio_per_step"` // null where Curved: no one ratio stands for all steps
	From      Num      `json:"from"`
	To        Num      `json:"to"`
	At        Num      `json:"at"`            // of the contrast that leads, see AmountContrast; mostly null
	Low       Num      `json:"observed_low"`  // 5th percentile seen
	High      Num      `json:"observed_high"` // 95th percentile seen

	Curved   bool        `json:"curved"`    // the curve can be told from a straight line
	CurveP   Num         `json:"curve_p"`   // against a straight line; null where the records do not carry a curve
	Knots    []float64   `json:"knots"`     // rising; null where there is no curve
	Curve    []DosePoint `json:"curve"`     // by rising amount, about 25; null where no chances follow
	BestFrom Num         `json:"best_from"` // amounts from here to BestTo can't be told from the best one
	BestTo   Num         `json:"best_to"`   // both null where not Curved or the best is no stretch of amounts
	// DiffersFrom is the amount from which on all amounts up to High can be told from Low;
	// null where none can, or there is no link.
	DiffersFrom Num `json:"differs_from"`

	Contrasts []AmountContrast `json:"contrasts"` // between low, middle and high amounts; null where there is no curve
	Rug       []RugMark        `json:"rug"`       // by rising amount, at most 200
	CurveNote string           `json:"curve_note,omitempty"`
}

// A DosePoint is how many of 100 attempts spawn at an amount, averaged over the
// records in everything else, with its pointwise interval.
type DosePoint struct {
	Amount  Num `json:"amount"`
	Per100  Num `json:"per_100"`
	Low     Num `json:"low"`
	High    Num `json:"high"`
	Records int `json:"records"` // rows (attempts, or days at risk) nearer to this amount than to the other points
}

// An AmountContrast is the difference per 100 attempts at To less those at From, the lower
// amount. Where At is known it is the difference at At less what a straight line from From
// to To gives there: whether the middle lies above or below both ends taken together. Its
// interval holds together with those of the other contrasts.
type AmountContrast struct {
	From       Num      `json:"from"`
	To         Num      `json:"to"`
	At         Num      `json:"at"` // null for two amounts
	Difference Interval `json:"difference"`
	OddsRatio  Interval `json:"odds_ratio"`
}

// A RugMark counts the records at one amount: the attempts that had it, and the
// spawnings that went with it. With more than 200 amounts a mark is the middle of a
// narrow stretch.
type RugMark struct {
	Amount    Num `json:"amount"`
	Attempts  int `json:"attempts"`
	Spawnings int `json:"spawnings"`
}
