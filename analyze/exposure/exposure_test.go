package exposure

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/analyze/catalogue"
	"gravid/ingest/club"
)

var vienna = func() *time.Location {
	zone, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		panic(err)
	}
	return zone
}()

func date(y int, m time.Month, d, h int) time.Time { return time.Date(y, m, d, h, 0, 0, 0, vienna) }

func on(t time.Time) club.When { return club.Some(t.UTC()) }

func trigger(t *testing.T, code string) catalogue.Trigger {
	t.Helper()
	found, ok := catalogue.Find(catalogue.Triggers(), code)
	require.True(t, ok)
	return found
}

// Meeus, Astronomical Algorithms, chapter 49: the mean new moon of k = 300 falls
// on JDE 2460409.2743, 2024-04-08 18:35 TT. The true new moon was at 18:21 UT
// (from memory); full moons of 2024-04-23 23:49 UT and 2024-10-17 11:26 UT (from
// memory) differ from the mean ones by up to 14 hours.
func TestMoon(t *testing.T) {
	new300 := time.Date(2024, 4, 8, 18, 35, 0, 0, time.UTC)
	age := moonAge(new300)
	require.InDelta(t, 0, math.Min(age, synodic-age), 0.01)
	require.Less(t, daysFromFullMoon(time.Date(2024, 4, 23, 23, 49, 0, 0, time.UTC)), 14.0/24)
	require.Less(t, daysFromFullMoon(time.Date(2024, 10, 17, 11, 26, 0, 0, time.UTC)), 14.0/24)
	require.InDelta(t, synodic/2, daysFromFullMoon(new300), 0.01)
}

// hourly makes an hourly barometer that gives level(hours since start).
func hourly(start time.Time, hours int, level func(h int) float64) []club.Reading {
	var out []club.Reading
	for h := range hours {
		out = append(out, club.Reading{Keeper: "sky", Place: "town", Quantity: "air_pressure_hpa", At: on(start.Add(time.Duration(h) * time.Hour)), Value: club.Some(level(h))})
	}
	return out
}

func TestPressureDropClosesAtTheOpeningMidnight(t *testing.T) {
	start := date(2024, 5, 1, 0)
	// Level until noon of 3 May, 6 hPa lower from then on: the 24 hours that close at
	// the midnight opening 4 May saw the fall; those that close on 3 and 5 May did not.
	readings := hourly(start, 24*8, func(h int) float64 {
		if h >= 24*2+12 {
			return 1007
		}
		return 1013
	})
	attempt := club.Attempt{Keeper: "ana", Species: "Danio rerio", Began: on(date(2024, 5, 2, 10)), Ended: on(date(2024, 5, 6, 9)), Spawned: club.Some(false)}
	r := New(&club.Tables{Attempts: []club.Attempt{attempt}, Readings: readings}, Options{Zone: vienna})
	f := r.Rows("Danio rerio", true)
	require.Len(t, f.Y, 4) // 3 to 6 May: nothing spawned on the day of setting up
	require.Equal(t, []float64{0, 1, 0, 0}, r.Values(f, trigger(t, "pressure-drop"), 0))
	amounts := r.Amounts(f, trigger(t, "pressure-drop"))
	require.InDelta(t, -6, amounts[1], 1e-12)
	// A day earlier, the shifted trigger sees what the day after will see.
	require.Equal(t, []float64{1, 0, 0, 0}, r.Values(f, trigger(t, "pressure-drop"), 1))
}

// The day of setting up is at risk once something has spawned on it.
func TestFirstDay(t *testing.T) {
	failed := club.Attempt{Keeper: "ana", Species: "Danio rerio", Began: on(date(2024, 5, 2, 10)), Ended: on(date(2024, 5, 6, 9)), Spawned: club.Some(false)}
	quick := failed
	quick.Spawned, quick.SpawnedAt = club.Some(true), on(date(2024, 5, 2, 20))
	r := New(&club.Tables{Attempts: []club.Attempt{failed, quick}}, Options{Zone: vienna})
	require.Len(t, r.Rows("Danio rerio", true).Y, 6)
	r = New(&club.Tables{Attempts: []club.Attempt{failed}}, Options{Zone: vienna})
	require.Len(t, r.Rows("Danio rerio", true).Y, 4)
}

// A tide of the air with a period of a day cancels in differences of 24 hours.
func TestDailyTideCancels(t *testing.T) {
	readings := hourly(date(2024, 5, 1, 0), 24*10, func(h int) float64 { return 1013 + 4*math.Sin(2*math.Pi*float64(h)/24) })
	attempt := club.Attempt{Keeper: "ana", Species: "Danio rerio", Began: on(date(2024, 5, 3, 0)), Ended: on(date(2024, 5, 8, 0)), Spawned: club.Some(false)}
	r := New(&club.Tables{Attempts: []club.Attempt{attempt}, Readings: readings}, Options{Zone: vienna})
	for _, x := range r.Amounts(r.Rows("Danio rerio", true), trigger(t, "pressure-drop")) {
		require.InDelta(t, 0, x, 1e-9)
	}
}

// A fall of 100 hPa, which some texts tell of, is no weather: the record low is
// 870 hPa (World Meteorological Organization). The day counts as unknown.
func TestImplausibleFallIsUnknown(t *testing.T) {
	readings := hourly(date(2024, 5, 1, 0), 24*8, func(h int) float64 {
		if h >= 24*3 {
			return 913
		}
		return 1013
	})
	attempt := club.Attempt{Keeper: "ana", Species: "Danio rerio", Began: on(date(2024, 5, 4, 0)), Ended: on(date(2024, 5, 4, 0)), Spawned: club.Some(false)}
	r := New(&club.Tables{Attempts: []club.Attempt{attempt}, Readings: readings}, Options{Zone: vienna})
	f := r.Rows("Danio rerio", true)
	require.True(t, math.IsNaN(r.Values(f, trigger(t, "pressure-drop"), 0)[0]))
}

func TestEverythingLeftOutIsCounted(t *testing.T) {
	base := func(keeper string) club.Attempt {
		return club.Attempt{Keeper: keeper, Species: "Danio rerio", Began: on(date(2024, 5, 2, 0)), Ended: on(date(2024, 5, 9, 0)), Spawned: club.Some(false)}
	}
	var attempts []club.Attempt
	add := func(change func(*club.Attempt)) {
		a := base("ana")
		change(&a)
		attempts = append(attempts, a)
	}
	add(func(*club.Attempt) {})
	add(func(a *club.Attempt) { a.Spawned = club.Truth{} })                       // still running, with a last look
	add(func(a *club.Attempt) { a.Spawned, a.Ended = club.Truth{}, club.When{} }) // blank is never no
	add(func(a *club.Attempt) { a.Began = club.When{} })                          //
	add(func(a *club.Attempt) { a.Spawned = club.Some(true) })                    // no date of spawning
	add(func(a *club.Attempt) { a.Ended = club.When{} })                          //
	add(func(a *club.Attempt) { a.Ended = on(date(2024, 4, 9, 0)) })              // before it began
	add(func(a *club.Attempt) { a.Ended = on(date(2025, 4, 9, 0)) })              // left standing
	add(func(a *club.Attempt) { a.Keeper = "" })                                  //
	add(func(a *club.Attempt) { a.Species = "Corydoras paleatus" })               // not of this species
	for range club.SpawningsOnlyFloor {
		a := base("ben")
		a.Spawned, a.SpawnedAt = club.Some(true), a.Ended
		attempts = append(attempts, a)
	}
	r := New(&club.Tables{Attempts: attempts}, Options{Zone: vienna})
	require.Equal(t, map[string]bool{"ben": true}, r.SpawnsOnly)
	for _, byDay := range []bool{true, false} {
		f := r.Rows("Danio rerio", byDay)
		left := 0
		for _, l := range f.LeftOut {
			left += l.N
		}
		require.Equal(t, len(attempts)-1, f.Total)
		require.Equal(t, f.Total, f.Attempts()+left)
	}
	f := r.Rows("Danio rerio", true)
	require.Equal(t, 2, f.Attempts())
	require.Len(t, f.Y, 14)
	require.Zero(t, f.Spawned())
}

func TestOtherSpecies(t *testing.T) {
	a := club.Attempt{Keeper: "ana", System: "T1", Species: "Danio rerio", Began: on(date(2024, 5, 1, 0)), Ended: on(date(2024, 5, 8, 0)), Spawned: club.Some(false)}
	b := club.Attempt{Keeper: "ana", System: "T1", Species: "Corydoras paleatus", Began: on(date(2024, 4, 20, 0)), Spawned: club.Some(true), SpawnedAt: on(date(2024, 5, 3, 9))}
	r := New(&club.Tables{Attempts: []club.Attempt{a, b}}, Options{Zone: vienna})
	got := r.Values(r.Rows("Danio rerio", true), trigger(t, "other-spawning"), 0)
	require.Equal(t, []float64{0, 0, 1, 1, 1, 0, 0}, got) // 2 to 8 May: yes on 4, 5 and 6
}

// A dry spell is imitated by 2 to 4 weeks of falling level, then a refill (common
// practice, no source).
func TestDrySpell(t *testing.T) {
	var readings []club.Reading
	for d := range 30 {
		level := 40 - 0.5*float64(d)
		if d >= 24 {
			level = 40
		}
		readings = append(readings, club.Reading{Keeper: "ana", System: "T1", Quantity: "water_level_cm", At: on(date(2024, 5, 1+d, 0)), Value: club.Some(level)})
	}
	a := club.Attempt{Keeper: "ana", System: "T1", Species: "Danio rerio", Began: on(date(2024, 5, 23, 0)), Ended: on(date(2024, 5, 27, 0)), Spawned: club.Some(false)}
	r := New(&club.Tables{Attempts: []club.Attempt{a}, Readings: readings}, Options{Zone: vienna})
	require.Equal(t, []float64{0, 1, 0, 0}, r.Values(r.Rows("Danio rerio", true), trigger(t, "dry-spell"), 0))
}

func TestEpisodesAreShared(t *testing.T) {
	a := club.Attempt{Keeper: "ana", Species: "Danio rerio", Began: on(date(2024, 5, 1, 0)), Ended: on(date(2024, 5, 20, 0)), Spawned: club.Some(false)}
	b := a
	b.Keeper = "ben"
	r := New(&club.Tables{Attempts: []club.Attempt{a, b}}, Options{Zone: vienna})
	f := r.Rows("Danio rerio", true)
	e := r.Episodes(f)
	require.Equal(t, e[:19], e[19:])
	require.InDelta(t, 19.0/EpisodeDays, distinct(e), 1.5)
}

func BenchmarkNew(b *testing.B) {
	t := &club.Tables{Readings: hourly(date(2015, 1, 1, 0), 1_000_000/10, func(h int) float64 { return 1013 })}
	b.ReportMetric(float64(len(t.Readings)), "readings")
	for b.Loop() {
		New(t, Options{Zone: vienna})
	}
}
