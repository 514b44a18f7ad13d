package main

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/analyze/exposure"
	"gravid/stats/logit"
)

// The season turns once a year, from -tanh 2 to tanh 2.
func TestSeasonTurnsOnceAYear(t *testing.T) {
	require.InDelta(t, math.Tanh(2), season(midsummer), 1e-12)
	require.InDelta(t, -math.Tanh(2), season(midsummer-183), 1e-3)
	require.InDelta(t, season(10), season(10+1461), 1e-9, "4 years are 1461 days")
	for day := midsummer - 182; day < midsummer; day++ {
		require.Less(t, season(day), season(day+1))
	}
}

// Falls are as frequent as planted where the season is high and where it is low; 0.03 is
// about 3 standard errors of some 1200 fronts each.
func TestFallsFollowTheSeason(t *testing.T) {
	y := year{days: 365 * 40, pull: 0.8}
	fall, number := y.fronts(rand.New(rand.NewPCG(20, 21)))
	var high, low, wantHigh, wantLow, highs, lows float64
	length := map[int]int{}
	for i, falls := range fall {
		length[number[i]]++
		switch s := season(i - readingMargin); {
		case s > 0.8:
			high, wantHigh, highs = high+oneIf(falls), wantHigh+logistic(fallOdds+0.8*s), highs+1
		case s < -0.8:
			low, wantLow, lows = low+oneIf(falls), wantLow+logistic(fallOdds+0.8*s), lows+1
		}
	}
	require.InDelta(t, wantHigh/highs, high/highs, 0.03)
	require.InDelta(t, wantLow/lows, low/lows, 0.03)
	for n := 1; n < number[len(number)-1]; n++ {
		require.Equal(t, frontDays, length[n])
	}
}

// What is planted in a year comes back where the season is held alike as it is. The
// tolerances are about 4 standard errors of the mean of 40 clubs.
func TestYearComesBack(t *testing.T) {
	y := year{keepers: 12, days: 365, pull: 0.8, push: 1, effect: 0.7}
	var fall, push []float64
	for _, w := range many(40, y.draw) {
		d, _, _ := w.tankDays()
		truth := make([]float64, len(d.Y))
		for i, day := range w.records.Rows(species, true).Opens {
			truth[i] = season(dayNumber(day))
		}
		d.X, d.Names = append(d.X, truth), append(d.Names, "season")
		m := firth(d)
		fall, push = append(fall, m.Coef[0]), append(push, m.Coef[2])
	}
	m, _ := moments(fall)
	require.InDelta(t, 0.7, m, 0.07)
	m, _ = moments(push)
	require.InDelta(t, 1, m, 0.07)
}

// Fish rest as long as planted, only spawnings that were seen are written down, and what
// is planted comes back from the days truly at risk.
func TestDiaryTruth(t *testing.T) {
	d := club12(10, 0.7, 0)
	var fall, push []float64
	for _, l := range many(40, d.draw) {
		last := map[int]int{}
		seen := 0
		for _, day := range l.days {
			before, spawned := last[day.keeper]
			require.Equal(t, spawned && day.day <= before+10, day.resting)
			if day.spawned {
				require.False(t, day.resting)
				last[day.keeper] = day.day
			}
			require.Equal(t, day.spawned && day.watched, day.saw)
			w := l.watches[keeperName(day.keeper)]
			at := start.AddDate(0, 0, day.day)
			require.False(t, day.watched && (at.Before(w.From) || at.After(w.To)))
			seen += int(oneIf(day.saw))
		}
		require.Len(t, l.tables.Attempts, seen)
		m := firth(l.data(func(day logDay) bool { return day.watched && !day.resting }))
		fall, push = append(fall, m.Coef[0]), append(push, m.Coef[1])
	}
	m, _ := moments(fall)
	require.InDelta(t, 0.7, m, 0.1) // 4 standard errors
	m, _ = moments(push)
	require.InDelta(t, 1, m, 0.1)
}

// gravid takes for a fall what was planted, on the days of a diary as well.
func TestDiaryDaysAreAtRisk(t *testing.T) {
	l := club12(5, 0, 0).draw(rand.New(rand.NewPCG(22, 23)))
	r := exposure.New(l.tables, exposure.Options{Watches: l.watches})
	f, matched := r.AtRisk(species)
	require.False(t, matched)
	require.Greater(t, len(f.Y), 2000)
	x := r.Values(f, triggers("pressure-drop")[0], 0)
	for i, day := range f.Opens {
		require.Equal(t, oneIf(l.fall[readingMargin+dayNumber(day)]), x[i])
	}
}

// Attempts that saw a fall on any day, by hand: eight attempts of one keeper.
func TestAnyDay(t *testing.T) {
	f := &exposure.Frame{ByDay: true, Attempt: []int{0, 0, 1, 2, 2, 3, 4, 4, 5, 6, 7}, Keeper: []int{0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0}, Y: []float64{0, 1, 0, 0, 0, 1, 0, 1, 0, 1, 0}}
	x := []float64{1, 0, 1, 0, 0, 1, 0, 0, 1, 0, 0}
	// Attempts with a fall: 0 (spawned), 1, 3 (spawned), 5; without: 2, 4 (spawned), 6
	// (spawned), 7. Both odds are 1.
	require.InDelta(t, 0, anyDay(f, x).value, 1e-9)
	x[3] = 1 // attempt 2 too: 2 of 5 against 2 of 3
	require.InDelta(t, math.Log(2.0/3)-math.Log(2), anyDay(f, x).value, 1e-6)
}

// The oracle is no more than a penalised fit: against the profile by hand.
func TestOracle(t *testing.T) {
	tries := skilled(0, 1, 0).draw(rand.New(rand.NewPCG(24, 25)))
	m := firth(tries.data())
	f := oracle(tries.data())
	require.Equal(t, m.Coef[0], f.value)
	require.Equal(t, m.LRTest(0).P, f.p)
	constant := logit.Data{Y: []float64{0, 1, 1}, X: [][]float64{{1, 1, 1}}}
	require.False(t, oracle(constant).answered)
	require.False(t, oracle(constant).rejects(0.05), "what never varied is no false alarm")
}
