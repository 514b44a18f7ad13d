package main

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// What happens in the club follows the rules that the truth states.
func TestWorldKeepsItsRules(t *testing.T) {
	for seed := uint64(1); seed <= 5; seed++ {
		w, err := newWorld(seed)
		require.NoError(t, err)
		busy := map[string]day{}
		for _, a := range w.attempts {
			tank := a.keeper.Name + "/" + a.tank
			require.Greater(t, a.began, busy[tank], "%s: two attempts at once", tank)
			busy[tank] = a.last
			require.GreaterOrEqual(t, a.last, a.began)
			require.LessOrEqual(t, a.last, lastDay)
			require.Equal(t, a.spawn, a.clutch != nil)
			require.False(t, a.spawn && a.runs)
			require.False(t, a.runs && a.last != lastDay)
			require.False(t, a.keeper.SpawnsOnly && !a.spawn, "%s writes down spawnings only", a.keeper.Name)
			if a.spawn {
				checkClutch(t, w, a)
			}
		}
	}
}

func checkClutch(t *testing.T, w *world, a *attempt) {
	t.Helper()
	c := a.clutch
	require.False(t, c.laid.Before(w.look(a.keeper, a.last-1)), "it was laid after the look before")
	require.Equal(t, a.last, dayOf(c.laidSeen, w.zone), "it was found on the day it counts as spawned")
	require.Equal(t, a.last, dayOf(c.laidSeen, w.zone), "and found on it")
	require.True(t, c.laid.Before(c.laidSeen))
	require.Positive(t, c.eggs)
	require.True(t, c.eggs >= c.fertile && c.fertile >= c.hatched && c.hatched >= c.swimming && c.swimming >= 0)
	order := []time.Time{c.laidSeen}
	for _, at := range []time.Time{c.hatchSeen, c.swimSeen} {
		if !at.IsZero() {
			order = append(order, at)
		}
	}
	require.True(t, slices.IsSortedFunc(order, func(x, y time.Time) int { return x.Compare(y) }))
	require.Equal(t, c.loss == "", c.lostSeen.IsZero())
	if c.loss != "" {
		require.True(t, c.lostSeen.After(c.lastSeen) && !c.lastSeen.Before(c.laidSeen))
		require.True(t, c.swimSeen.IsZero(), "lost before the fry swam")
	}
	for _, at := range append(order, c.lostSeen, c.lastSeen) {
		require.True(t, at.IsZero() || dayOf(at, w.zone) <= lastDay)
	}
}

// The weather is that of a middle latitude: a fall of 5 hPa in a day on one day in
// four or five, and nothing beyond 40 (Sanders and Gyakum 1980 call 24 extreme).
func TestWeatherIsPlausible(t *testing.T) {
	for seed := uint64(1); seed <= 5; seed++ {
		w, err := newWorld(seed)
		require.NoError(t, err)
		truth := w.weatherTruth()
		require.InDelta(t, 0.22, truth.ShareOfDays, 0.04)
		require.Greater(t, truth.DeepestHPa, -40.0)
		// Well inside the records at sea level: 870 (Tip 1979) and 1083.8 (Agata 1968).
		require.Greater(t, truth.LowestHPa, 940.0)
		require.Less(t, truth.HighestHPa, 1070.0)
		for i, p := range w.weather.hPa[1:] {
			require.Less(t, math.Abs(p-w.weather.hPa[i]), 4.0, "no leaps from hour to hour")
		}
	}
}

// The tide comes back in the mean over many days: half of it is 0.5 hPa, planted.
func TestWeatherHasATide(t *testing.T) {
	b := newBarometer(newDice(3, streamWeather), time.Date(2023, 1, 1, 0, 0, 0, 0, time.UTC), 24*365*20)
	sum := 0.0
	for i := 0; i+24 <= len(b.hPa); i += 24 {
		// Highs at 9 and 21 UTC, lows at 3 and 15; the slow weather cancels nearly.
		sum += (b.hPa[i+9] + b.hPa[i+21] - b.hPa[i+3] - b.hPa[i+15]) / 4
	}
	require.InDelta(t, tide, sum/float64(len(b.hPa)/24), 0.1)
}

func TestChangeAndDrop(t *testing.T) {
	b := &barometer{from: time.Date(2023, 1, 1, 0, 0, 0, 0, time.UTC), hPa: make([]float64, 49)}
	b.hPa[0], b.hPa[24], b.hPa[48] = 1010, 1005, 1000.1
	require.InDelta(t, -5, b.change(b.from.Add(24*time.Hour)), 1e-9)
	require.True(t, b.drop(b.from.Add(24*time.Hour)), "5 hPa are a drop")
	require.False(t, b.drop(b.from.Add(48*time.Hour)), "4.9 are none")
}

// Days are counted by the calendar of the club, whatever its clocks do.
func TestDays(t *testing.T) {
	zone, err := time.LoadLocation(zoneName)
	require.NoError(t, err)
	for d := day(0); d <= lastDay; d++ {
		require.Equal(t, d, dayOf(d.midnight(zone), zone))
		require.Equal(t, d, dayOf(d.midnight(zone).Add(22*time.Hour+59*time.Minute), zone))
	}
	require.Equal(t, "2025-12-14", lastDay.date().Format(time.DateOnly))
}

// The log-odds of a day are the sum that the truth states, term by term.
func TestLogOdds(t *testing.T) {
	w, err := newWorld(demoSeed)
	require.NoError(t, err)
	s := w.speciesNamed(paleatus)
	a := &attempt{keeper: &keeper{Skill: 0.5}, sp: s, temperature: s.Temperature.Usual + 2, refill: -2, conditioning: 14}
	drops := 0
	for d := day(1); d < 200; d++ {
		want := -4.35 + 0.5 + 0.35*math.Cos(2*math.Pi*float64(int(d)+1-60)/365.25) - 2*0.15 + math.Log(2) + 2*math.Log(1.25)
		if w.weather.change(d.midnight(w.zone)) <= -5 {
			want += math.Log(3.5)
			drops++
		}
		require.InDelta(t, want, w.logOdds(a, d), 1e-9)
	}
	require.Positive(t, drops)
}
