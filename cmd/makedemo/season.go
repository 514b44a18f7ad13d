package main

import (
	"math"
	"time"
	_ "time/tzdata" // the demo is the same on systems that have no list of time zones
)

// zoneName is the time zone of the club and of all its logs.
const zoneName = "Europe/Berlin"

// A day is a calendar day, counted from 1 January 2023.
type day int

// lastDay is the day on which the logs were handed in.
const lastDay day = 1078 // 14 December 2025

// midnight is the instant at which the day opens in the club's zone.
func (d day) midnight(zone *time.Location) time.Time {
	return time.Date(2023, 1, 1+int(d), 0, 0, 0, 0, zone)
}

func (d day) date() time.Time { return time.Date(2023, 1, 1+int(d), 0, 0, 0, 0, time.UTC) }

func dayOf(t time.Time, zone *time.Location) day {
	y, m, d := t.In(zone).Date()
	return day(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Sub(day(0).date()).Hours() / 24)
}

// An attempt is one attempt as it went, whether or not its keeper wrote all of
// it down. Numbers are what a careful keeper would measure.
type attempt struct {
	keeper *keeper
	sp     *species
	tank   string
	number int // of the keeper, from 1 in order of time

	began day
	last  day  // the day it spawned, was given up, or the logs were handed in
	spawn bool // on the last day
	runs  bool // neither spawned nor given up

	males, females int
	temperature    float64 // °C
	ph             float64
	conductivity   float64 // µS/cm
	gh, kh         float64 // German degrees
	nitrate        float64 // mg/L
	light          float64 // hours a day
	conditioning   int     // days
	waterChange    int     // percent
	refill         float64 // refill less tank, °C
	level          float64 // cm
	liveFood       bool
	microfauna     bool
	leaves         bool
	flow           bool
	rearranged     bool
	dither         bool
	mates          bool

	clutch *clutch // of an attempt that spawned
}

// atRisk are the days on which it could spawn: the fish are put together after
// the look at the tanks, so from the next day on.
func (a *attempt) atRisk() (first, last day) { return a.began + 1, a.last }

// A clutch is what came of a spawning. Times are instants; the zero time means
// that it never came to that, or not before the logs were handed in.
type clutch struct {
	laid                         time.Time // unknown to the keeper
	laidSeen, hatchSeen          time.Time // the first look at the tanks after it
	swimSeen, lostSeen, lastSeen time.Time
	loss                         string
	eggs, fertile                int
	hatched, swimming            int
}

// A triggerValue says how much of a trigger there is on one day of an attempt.
type triggerValue struct {
	code string
	per  string // what one unit of the value is
	of   func(w *world, a *attempt, d day) float64
}

func oneIf(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// plantedTriggers are the triggers that a species may have an odds ratio for.
func plantedTriggers() []triggerValue {
	return []triggerValue{
		{"pressure-drop", "a fall of 5 hPa or more over the 24 hours that close at the midnight that opens the day", func(w *world, _ *attempt, d day) float64 {
			return oneIf(w.weather.drop(d.midnight(w.zone)))
		}},
		{"cool-refill", "a refill at least 1 °C cooler than the tank", func(_ *world, a *attempt, _ day) float64 { return oneIf(a.refill <= -1) }},
		{"live-food", "live food fed", func(_ *world, a *attempt, _ day) float64 { return oneIf(a.liveFood) }},
		{"leaf-litter", "leaf litter in the tank", func(_ *world, a *attempt, _ day) float64 { return oneIf(a.leaves) }},
		{"conditioning", "7 days of conditioning", func(_ *world, a *attempt, _ day) float64 { return float64(a.conditioning) / 7 }},
		{"dither", "dither fish in the tank", func(_ *world, a *attempt, _ day) float64 { return oneIf(a.dither) }},
	}
}

// logOdds is the log-odds of a spawning on one day at risk.
func (w *world) logOdds(a *attempt, d day) float64 {
	s := a.sp
	turn := 2 * math.Pi * (float64(d.date().YearDay()) - s.Season.PeakDay) / 365.25
	eta := s.BaseLogOdds + a.keeper.Skill + s.Season.Amplitude*math.Cos(turn) + s.Temperature.LogOddsPerC*(a.temperature-s.Temperature.Usual)
	for _, t := range w.triggers {
		if or, planted := s.OddsRatio[t.code]; planted {
			eta += math.Log(or) * t.of(w, a, d)
		}
	}
	return eta
}

// A world is everything that happened in the club, told or not.
type world struct {
	seed     uint64
	zone     *time.Location
	weather  *barometer
	species  []*species
	keepers  []*keeper
	triggers []triggerValue
	attempts []*attempt // by keeper, then in order of time
}

// Streams of the seed. The streams of keepers follow streamKeeper.
const (
	streamWeather = iota
	streamBarometer
	streamLogger
	streamKeeper
)

// newWorld lets the seasons of the club happen.
func newWorld(seed uint64) (*world, error) {
	zone, err := time.LoadLocation(zoneName)
	if err != nil {
		return nil, err
	}
	hours := int(lastDay+1)*24 + 48
	w := &world{
		seed: seed, zone: zone, species: plantedSpecies(), keepers: plantedKeepers(), triggers: plantedTriggers(),
		weather: newBarometer(newDice(seed, streamWeather), time.Date(2022, 12, 30, 23, 0, 0, 0, time.UTC), hours),
	}
	for i, k := range w.keepers {
		w.attempts = append(w.attempts, w.keep(newDice(seed, streamKeeper+uint64(i)), k)...)
	}
	return w, nil
}

func (w *world) speciesNamed(name string) *species {
	for _, s := range w.species {
		if s.Name == name {
			return s
		}
	}
	panic("makedemo: no species " + name)
}

// look is the instant at which a keeper looks at the tanks on a day: at about the
// same time every day.
func (w *world) look(k *keeper, d day) time.Time {
	minutes := k.Check + newDice(w.seed, streamOf(k.Name)+uint64(d)).whole(-25, 25)
	return time.Date(2023, 1, 1+int(d), 0, minutes, 0, 0, w.zone)
}

// firstLook is the first look at or after an instant, zero where the logs were
// handed in before.
func (w *world) firstLook(k *keeper, t time.Time) time.Time {
	d := dayOf(t, w.zone)
	if w.look(k, d).Before(t) {
		d++
	}
	if d > lastDay {
		return time.Time{}
	}
	return w.look(k, d)
}
