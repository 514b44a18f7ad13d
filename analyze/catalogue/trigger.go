// Package catalogue lists the candidate triggers: what each is called, in which
// words people ask for it, how it is derived from the tables, over which
// window, in what dose it is commonly used, and what to beware of.
//
// The list is data. It reads single attempts where a trigger is fixed for the
// attempt; what is worked out from dated readings is done by package exposure,
// by the rule stated here.
package catalogue

import (
	"fmt"
	"math"

	"gravid/ingest/club"
)

// Kind says whether a trigger is there or not, or comes in amounts.
type Kind string

const (
	YesNo Kind = "yes-no"
	Dose  Kind = "dose"
)

// Assignment says who or what decides where a trigger falls. Records that share
// a decision are not independent, so intervals cluster by it.
type Assignment string

const (
	ByKeeper  Assignment = "keeper"  // husbandry: what one keeper does
	ByWeather Assignment = "weather" // shared by all keepers under one sky
)

// A Trigger is one candidate for what goes with spawning.
type Trigger struct {
	Code     string
	Name     string // as a noun phrase: "a fall in air pressure"
	With     string // "after a fall of 5 hPa or more"
	Without  string // "without one"
	Words    []string
	Kind     Kind
	Assigned Assignment

	Unit     string  // dose: UCUM code of the column
	UnitName string  // dose: as people read it
	Step     float64 // dose: the natural step that odds ratios are per
	Zero     bool    // dose: 0 means "not done", so 0 is compared with Usual
	Usual    float64 // dose: a usual amount

	Window    string // the stretch of time looked at, in words
	Derived   string // from what it is worked out, in words
	UsualDose string // how it is commonly used, in words, with the strength of the source
	Caution   Caution
	// Changes names triggers that this one brings about. Comparing like with like in
	// them would take away part of what is asked for, so they are not adjusted for.
	Changes []string
	// Aside marks a trigger that other triggers are not adjusted for: it is no common
	// cause of husbandry and spawning, or itself an outcome.
	Aside bool

	// Exploration marks a trigger whose window or threshold is not that of the catalogue.
	Exploration bool

	// FromAttempt reads the trigger where it is fixed for an attempt; nil where
	// only dated records can tell. Yes/no as 1 and 0.
	FromAttempt func(*club.Attempt) club.Number
	// Act says how acts of husbandry give the trigger for one day, where the attempt's
	// own row says nothing and the keeper writes such acts down; nil where they can't.
	Act *Act
	// Level says how readings of the tank give the amount for one day, where the attempt's
	// own row says nothing; nil where they can't.
	Level *Level
	// Daily says how dated records give the trigger for one day; nil where only
	// the attempt's own row can tell.
	Daily *Daily
}

// A Rule says what a daily trigger looks at.
type Rule string

const (
	// Fall: the reading at the opening midnight less the one a window before is at
	// or below minus Threshold.
	Fall Rule = "fall"
	// FallShare: as Fall, as a share of the earlier reading.
	FallShare Rule = "fall-share"
	// Rise: the mirror image of Fall.
	Rise Rule = "rise"
	// DryThenRise: a fall of Threshold or more over the window, then a rise within a day.
	DryThenRise Rule = "dry-then-rise"
	// Below: the highest reading in the window is below Threshold.
	Below Rule = "below"
	// OtherSpawning: another species spawned in the same water within the window.
	OtherSpawning Rule = "other-spawning"
	// FullMoon: the day lies within Threshold days of the full moon.
	FullMoon Rule = "full-moon"
)

// Daily is a rule for one day at risk. The window closes at the local midnight
// that opens the day, so that the exposure ends before the outcome can begin.
type Daily struct {
	Rule        Rule
	Quantity    string  // readings.quantity looked at; empty for rules that need none
	WindowHours float64 // length of the window
	Threshold   float64 // in the unit of the quantity; FallShare: 0..1
	AtPlace     bool    // readings of the keeper's place serve (weather); else of the keeper's own tank only
}

// An Act is a rule for acts of husbandry in the days before the midnight that opens a
// day: done or not, or the largest amount.
type Act struct {
	Action string // as in the table of actions
	Days   int    // length of the window
	Unit   string // of the amount that counts; empty = done or not
	Rising bool   // yes where an amount above 0 was done
}

// Level is a rule for readings of a tank: their mean over the window that closes at the
// midnight that opens the day.
type Level struct {
	Quantity    string  // readings.quantity looked at, in the unit of the trigger
	WindowHours float64 // length of the window
}

// Explore returns the trigger with another window in hours or another threshold, in the
// unit of its readings; 0 keeps that of the catalogue. It reports false for a trigger
// that is no change in dated readings.
func (t Trigger) Explore(hours, threshold float64) (Trigger, bool) {
	if t.Daily == nil || t.Daily.Rule != Fall && t.Daily.Rule != Rise || hours < 0 || threshold < 0 {
		return t, false
	}
	d := *t.Daily
	if hours > 0 {
		d.WindowHours = hours
	}
	if threshold > 0 {
		d.Threshold = threshold
	}
	direction := map[Rule]string{Fall: "fall", Rise: "rise"}[d.Rule]
	t.Daily, t.FromAttempt, t.Exploration = &d, nil, true
	t.Window = fmt.Sprintf("exploration: the %.4g hours that close at the local midnight that opens the day", d.WindowHours)
	t.With = fmt.Sprintf("on days after a %s of %.4g %s or more", direction, d.Threshold, t.UnitName)
	return t, true
}

func truth(at func(*club.Attempt) club.Truth) func(*club.Attempt) club.Number {
	return func(a *club.Attempt) club.Number {
		t := at(a)
		if !t.OK {
			return club.Number{}
		}
		if t.V {
			return club.Some(1.0)
		}
		return club.Some(0.0)
	}
}

func atMost(limit float64, at func(*club.Attempt) club.Number) func(*club.Attempt) club.Number {
	return func(a *club.Attempt) club.Number {
		x := at(a)
		if !x.OK {
			return x
		}
		if x.V <= limit+1e-9 { // a difference may fall short by rounding alone
			return club.Some(1.0)
		}
		return club.Some(0.0)
	}
}

func groupSize(a *club.Attempt) club.Number {
	if !a.Males.OK && !a.Females.OK && !a.Unsexed.OK {
		return club.Number{}
	}
	return club.Some(float64(a.Males.Or(0) + a.Females.Or(0) + a.Unsexed.Or(0)))
}

func malesPerFemale(a *club.Attempt) club.Number {
	if !a.Males.OK || !a.Females.OK || a.Females.V == 0 {
		return club.Number{}
	}
	return club.Some(float64(a.Males.V) / float64(a.Females.V))
}

// Column returns the name of the attempts column that holds a club's own trigger.
func Column(code string) string {
	b := []byte(code)
	for i, c := range b {
		if c == '-' {
			b[i] = '_'
		}
	}
	return string(b)
}

// Own makes a trigger of a club's own, kept in an extra column of attempts.
func Own(code, name string, kind Kind, unit string, step float64, words []string, caution string) Trigger {
	column := Column(code)
	if step == 0 || math.IsNaN(step) {
		step = 1
	}
	return Trigger{
		Code: code, Name: name, With: "with " + name, Without: "without", Words: words,
		Kind: kind, Assigned: ByKeeper, Unit: unit, UnitName: unit, Step: step,
		Window:  "the attempt",
		Derived: "attempts." + column + ", declared in club.toml",
		Caution: Caution{Text: caution},
		FromAttempt: func(a *club.Attempt) club.Number {
			return a.Own[column]
		},
	}
}

// WaterColumnHPa is the pressure in hPa that a column of fresh water of 25 °C adds
// at its foot, per cm of height: density 997.047 kg/m³ times standard gravity
// 9.80665 m/s² (both from memory). It is what a change of the weather has to be
// compared with.
func WaterColumnHPa(cm float64) float64 { return cm * 997.047 * 9.80665 * 0.01 / 100 }
