package exposure

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/analyze/catalogue"
	"gravid/ingest/club"
)

func dayAt(y, m, d int) time.Time { return time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC) }

// spawnsOf makes the records of a keeper who writes down spawnings only.
func spawnsOf(keeper, tank string, days ...time.Time) []club.Attempt {
	var out []club.Attempt
	for _, d := range days {
		out = append(out, club.Attempt{Keeper: keeper, System: tank, Species: "Danio rerio", Spawned: club.Some(true), SpawnedAt: club.Some(d.Add(9 * time.Hour))})
	}
	return out
}

// With a known window every day of it is at risk, less the days after a spawn.
func TestDaysAtRiskInAKnownWindow(t *testing.T) {
	days := []time.Time{dayAt(2024, 3, 1), dayAt(2024, 3, 17), dayAt(2024, 4, 2), dayAt(2024, 4, 18), dayAt(2024, 5, 4)}
	watch := map[string]Watch{"ana": {dayAt(2024, 2, 20), dayAt(2024, 5, 20)}}
	r := New(&club.Tables{Attempts: spawnsOf("ana", "A", days...)}, Options{Watches: watch})
	require.True(t, r.SpawnsOnly["ana"])
	require.Equal(t, 14, r.RefractoryDays("Danio rerio"))
	f, matched := r.AtRisk("Danio rerio")
	require.False(t, matched)
	// 91 days from 20 February to 20 May 2024, less 14 after each of the 5 spawns.
	require.Len(t, f.Y, 91-5*14)
	require.Equal(t, 5, f.Spawned())
	require.Equal(t, 5, f.Total)
	require.Empty(t, f.LeftOut)
	for i, opens := range f.Opens {
		for _, s := range days {
			after := int(opens.Sub(s).Hours() / 24)
			require.False(t, after >= 1 && after <= 14, "%s lies %d days after a spawn", opens, after)
		}
		require.Equal(t, 0, f.Keeper[i])
	}
}

// Days on which the keeper was away are not watched, and what is dated on them is counted
// apart; who is said to have watched needs no run of spawnings to be taken at their word.
func TestAwayDaysAreNotWatched(t *testing.T) {
	days := []time.Time{dayAt(2024, 3, 1), dayAt(2024, 4, 2), dayAt(2024, 4, 25)}
	o := Options{Watches: map[string]Watch{"ana": {dayAt(2024, 2, 20), dayAt(2024, 5, 20)}},
		Away: map[string][]Watch{"ana": {{dayAt(2024, 3, 20), dayAt(2024, 3, 26)}, {dayAt(2024, 4, 25), dayAt(2024, 4, 25)}}}}
	r := New(&club.Tables{Attempts: spawnsOf("ana", "A", days...)}, o)
	require.True(t, r.SpawnsOnly["ana"])
	f, matched := r.AtRisk("Danio rerio")
	require.False(t, matched)
	// 91 days, less 14 after each of the 3 spawns, 7 away in March and 1 in April.
	require.Len(t, f.Y, 91-3*14-7-1)
	require.Equal(t, 2, f.Spawned())
	require.Equal(t, []LeftOut{{"spawned while the keeper was away", 1}}, f.LeftOut)
	require.Equal(t, f.Total, f.Spawned()+1)
	for _, opens := range f.Opens {
		require.False(t, r.isAway("ana", opens))
	}
	o.Watches = nil // matched days leave them out as well
	o.Away["ana"] = o.Away["ana"][:1]
	r = New(&club.Tables{Attempts: spawnsOf("ana", "A", append(days, dayAt(2024, 6, 1), dayAt(2024, 7, 1))...)}, o)
	f, matched = r.AtRisk("Danio rerio")
	require.True(t, matched)
	for _, opens := range f.Opens {
		require.False(t, r.isAway("ana", opens))
	}
}

// Tanks that spawn again sooner shorten the days left out.
func TestRefractoryDaysFollowTheRecords(t *testing.T) {
	r := New(&club.Tables{Attempts: spawnsOf("ana", "A", dayAt(2024, 3, 1), dayAt(2024, 3, 4), dayAt(2024, 3, 20), dayAt(2024, 4, 20), dayAt(2024, 5, 1))}, Options{})
	require.Equal(t, 2, r.RefractoryDays("Danio rerio"))
}

// Without a window, days are compared within 28-day strata fixed by the calendar.
func TestMatchedDays(t *testing.T) {
	days := []time.Time{dayAt(2024, 1, 10), dayAt(2024, 3, 1), dayAt(2024, 5, 1), dayAt(2024, 7, 1), dayAt(2024, 9, 1)}
	r := New(&club.Tables{Attempts: append(spawnsOf("ana", "A", days...), spawnsOf("ana", "B", dayAt(2024, 3, 5))...)}, Options{})
	f, matched := r.AtRisk("Danio rerio")
	require.True(t, matched)
	require.Equal(t, 6, f.Spawned())
	perStratum, cases := map[int]int{}, map[int]int{}
	for i, g := range f.Keeper {
		perStratum[g]++
		cases[g] += int(f.Y[i])
	}
	require.Len(t, perStratum, 6, "one stratum for each spawn, tanks apart")
	for g, n := range perStratum {
		require.LessOrEqual(t, n, StratumDays)
		require.Equal(t, 1, cases[g])
	}
	require.Equal(t, stratumStart(dayAt(2024, 3, 1)), stratumStart(stratumStart(dayAt(2024, 3, 1)).AddDate(0, 0, 27)))
	require.NotEqual(t, stratumStart(dayAt(2024, 3, 1)), stratumStart(stratumStart(dayAt(2024, 3, 1)).AddDate(0, 0, 28)))
}

// Strata of one stretch of the calendar under one sky share a number, tanks and keepers
// together; another place is another sky.
func TestStretchesUnderOneSky(t *testing.T) {
	list := append(spawnsOf("ana", "A", dayAt(2024, 1, 10), dayAt(2024, 3, 1), dayAt(2024, 5, 1), dayAt(2024, 7, 1), dayAt(2024, 9, 1)),
		append(spawnsOf("ben", "B", dayAt(2024, 3, 3), dayAt(2024, 5, 2), dayAt(2024, 7, 2), dayAt(2024, 9, 2), dayAt(2024, 11, 2)),
			spawnsOf("cy", "C", dayAt(2024, 3, 3), dayAt(2024, 5, 2), dayAt(2024, 7, 2), dayAt(2024, 9, 2), dayAt(2024, 11, 2))...)...)
	r := New(&club.Tables{Attempts: list}, Options{PlaceOf: map[string]string{"ana": "town", "ben": "town", "cy": "coast"}})
	f, matched := r.AtRisk("Danio rerio")
	require.True(t, matched)
	type sky struct {
		start time.Time
		place string
	}
	seen := map[int]sky{}
	stretches, keepers := r.Stretches(f), f.KeeperNumbers()
	for i, day := range f.Opens {
		keeper := r.Attempts[f.Attempt[i]].Keeper
		here := sky{stratumStart(day), map[string]string{"ana": "town", "ben": "town", "cy": "coast"}[keeper]}
		if before, ok := seen[stretches[i]]; ok {
			require.Equal(t, before, here)
		}
		seen[stretches[i]] = here
		require.Equal(t, map[string]int{"ana": 0, "ben": 1, "cy": 2}[keeper], keepers[i])
	}
	// Stretches of ana and ben in town: 5 of ana, 1 more of ben (November); 5 of cy.
	require.Len(t, seen, 11)
}

// Everything that is not a day at risk is counted, and the counts add up.
func TestDaysAtRiskAddUp(t *testing.T) {
	list := append(spawnsOf("ana", "A", dayAt(2024, 3, 1), dayAt(2024, 3, 20), dayAt(2024, 4, 10), dayAt(2024, 5, 1), dayAt(2025, 1, 1)),
		spawnsOf("ben", "B", dayAt(2024, 3, 1), dayAt(2024, 4, 1), dayAt(2024, 5, 1), dayAt(2024, 6, 1), dayAt(2024, 7, 1))...)
	list = append(list, club.Attempt{Keeper: "cy", Species: "Danio rerio", Began: club.Some(dayAt(2024, 3, 1)), Spawned: club.Some(false)})
	r := New(&club.Tables{Attempts: list}, Options{Watches: map[string]Watch{"ana": {dayAt(2024, 1, 1), dayAt(2024, 12, 31)}}})
	f, matched := r.AtRisk("Danio rerio")
	require.False(t, matched)
	sum := f.Spawned()
	for _, l := range f.LeftOut {
		sum += l.N
	}
	require.Equal(t, f.Total, sum, "%v", f.LeftOut)
	require.Equal(t, 11, f.Total)
}

// Acts of husbandry tell a trigger day by day, for keepers who write them down.
func TestActsTellATrigger(t *testing.T) {
	food, ok := catalogue.Find(catalogue.Triggers(), "live-food")
	require.True(t, ok)
	change, ok := catalogue.Find(catalogue.Triggers(), "water-change")
	require.True(t, ok)
	attempt := func(keeper string) club.Attempt {
		return club.Attempt{Keeper: keeper, System: "A", Species: "Danio rerio", Began: club.Some(dayAt(2024, 3, 1)), Ended: club.Some(dayAt(2024, 3, 20)), Spawned: club.Some(false)}
	}
	tables := &club.Tables{Attempts: []club.Attempt{attempt("ana"), attempt("ben")}, Actions: []club.Action{
		{Keeper: "ana", System: "A", At: club.Some(dayAt(2024, 3, 5).Add(18 * time.Hour)), Action: "feed_live"},
		{Keeper: "ana", System: "A", At: club.Some(dayAt(2024, 3, 5)), Action: "water_change", Amount: club.Some(30.0), Unit: "%"},
		{Keeper: "ana", System: "A", At: club.Some(dayAt(2024, 3, 6)), Action: "water_change", Amount: club.Some(20.0), Unit: "%"},
		{Keeper: "ana", System: "A", At: club.Some(dayAt(2024, 3, 15)), Action: "water_change", Amount: club.Some(20.0), Unit: "L"},
	}}
	r := New(tables, Options{})
	f := r.Rows("Danio rerio", true)
	require.True(t, r.Beside(f, food))
	fed, changed := r.Values(f, food, 0), r.Values(f, change, 0)
	for i, opens := range f.Opens {
		day := opens.Day()
		if r.Attempts[f.Attempt[i]].Keeper == "ben" {
			require.NotEqual(t, fed[i], fed[i], "who never writes acts down says nothing")
			continue
		}
		want := 0.0
		if day >= 6 && day <= 12 { // fed on the 5th: the 7 days that close at the midnight that opens the day
			want = 1
		}
		require.Equal(t, want, fed[i], "%d March", day)
		switch {
		case day >= 16 && day <= 18:
			require.NotEqual(t, changed[i], changed[i], "20 L of how much?")
		case day >= 6 && day <= 8:
			require.Equal(t, 30.0, changed[i], "%d March", day)
		case day == 9:
			require.Equal(t, 20.0, changed[i])
		default:
			require.Equal(t, 0.0, changed[i], "%d March", day)
		}
	}
}
