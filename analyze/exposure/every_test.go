package exposure

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/analyze/catalogue"
	"gravid/ingest/club"
)

// A told trigger is what somebody wrote down about one attempt from 5 to 9 May 2024, and
// what it says by hand for the days at risk, 6 to 9 May.
type told struct {
	row      func(*club.Attempt)
	readings []club.Reading
	acts     []club.Action
	beside   []club.Attempt
	want     []float64
}

// every is what is worked out by hand for each trigger of the catalogue.
var every = map[string][]told{
	// 1013 at the midnights that open 5 and 6 May, 1007.5, 1008, 1003 at the next: changes
	// of 0, -5.5, +0.5 and -5.
	"pressure-drop": {{readings: midnights("ana", "", "air_pressure_hpa", 5, 1013, 1013, 1007.5, 1008, 1003), want: []float64{0, 1, 0, 1}}},
	"water-change": {
		{row: func(a *club.Attempt) { a.WaterChangePct = club.Some(30.0) }, want: alike(30)},
		{acts: []club.Action{done("water_change", 4, 25, "%")}, want: []float64{25, 25, 0, 0}}, // within 3 days before
	},
	"cool-refill": {
		{row: func(a *club.Attempt) { a.RefillDeltaC = club.Some(-1.0) }, want: alike(1)},
		{row: func(a *club.Attempt) { a.RefillDeltaC = club.Some(-0.9) }, want: alike(0)},
	},
	"level-rise": {
		{row: func(a *club.Attempt) { a.LevelChangeCm = club.Some(4.0) }, want: alike(1)},
		{row: func(a *club.Attempt) { a.LevelChangeCm = club.Some(-4.0) }, want: alike(0)},
		{acts: []club.Action{done("level_change", 6, 5, "cm"), done("level_change", 5, -5, "cm")}, want: []float64{0, 1, 1, 1}},
	},
	// 30 cm on 16 April and 25 cm on 6 May, 21 days and a day before 7 May; 28 cm on 7 May
	// is a rise of 3, more than half of the fall of 5. Nothing on the other days.
	"dry-spell": {{readings: append(midnights("ana", "T1", "water_level_cm", -15, 30, 30, 30, 30), midnights("ana", "T1", "water_level_cm", 5, 25, 25, 28, 28, 28)...), want: []float64{0, 1, 0, 0}}},
	"flow": {
		{row: func(a *club.Attempt) { a.Flow = club.Some(true) }, want: alike(1)},
		{acts: []club.Action{done("flow", 0, 0, "")}, want: []float64{1, 1, 0, 0}}, // noon of 30 April, within 7 days of 6 and 7 May
	},
	"conditioning": {{row: func(a *club.Attempt) { a.ConditioningDays = club.Some(14.0) }, want: alike(14)}},
	"live-food": {
		{row: func(a *club.Attempt) { a.LiveFood = club.Some(false) }, want: alike(0)},
		{acts: []club.Action{done("feed_live", 7, 0, "")}, want: []float64{0, 0, 1, 1}},
	},
	"microfauna": {{row: func(a *club.Attempt) { a.Microfauna = club.Some(true) }, want: alike(1)}},
	// Another species in the tank spawned on 4 May at noon: within the 72 hours before 6
	// and 7 May; this species' own spawnings do not count.
	"other-spawning": {{beside: []club.Attempt{neighbour("Corydoras paleatus", 4), neighbour("Danio rerio", 7)}, want: []float64{1, 1, 0, 0}}},
	"leaf-litter":    {{row: func(a *club.Attempt) { a.LeafLitter = club.Some(true) }, want: alike(1)}},
	"light-hours":    {{row: func(a *club.Attempt) { a.LightHours = club.Some(12.5) }, want: alike(12.5)}},
	// 5,200 lx at the midnight of 30 April is among the 7 days before 6 and 7 May.
	"dim-light": {{readings: midnights("ana", "T1", "light_lux", 0, 5200, 4800, 3000, 3000, 3000, 3000, 3000, 3000, 3000), want: []float64{0, 0, 1, 1}}},
	"temperature": {
		{row: func(a *club.Attempt) { a.TemperatureC = club.Some(25.5) }, want: alike(25.5)},
		{readings: midnights("ana", "T1", "temperature_c", 5, 24, 26, 23, 25, 25), want: []float64{24, 26, 23, 25}},
	},
	// 500 on 29 April and 30 April, 400 from 6 May on: a fifth less than a week before 6
	// and 7 May; from 410 to 400 a week before 8 May is less than a fifth.
	"conductivity-fall": {{readings: append(midnights("ana", "T1", "conductivity_us_cm", -1, 500, 500, 410, 410), midnights("ana", "T1", "conductivity_us_cm", 6, 400, 400, 400, 400)...), want: []float64{1, 1, 0, 0}}},
	"ph-fall":           {{readings: append(midnights("ana", "T1", "ph", -1, 7.2, 7.2, 7.1, 7.0), midnights("ana", "T1", "ph", 6, 6.9, 6.9, 6.9, 6.9)...), want: []float64{1, 1, 0, 0}}},
	"hardness":          {{row: func(a *club.Attempt) { a.GH = club.Some(8.0) }, want: alike(8)}},
	"nitrate": {
		{row: func(a *club.Attempt) { a.NitrateMgL = club.Some(15.0) }, want: alike(15)},
		{readings: midnights("ana", "T1", "nitrate_mg_l", 1, 10, 20), want: []float64{15, 15, 15, 20}}, // 1 and 2 May; the first is 8 days before 9 May
	},
	"rearranged": {
		{row: func(a *club.Attempt) { a.Rearranged = club.Some(true) }, want: alike(1)},
		{acts: []club.Action{done("rearrange", 8, 0, "")}, want: []float64{0, 0, 0, 1}},
	},
	"dither":             {{row: func(a *club.Attempt) { a.Dither = club.Some(true) }, want: alike(1)}},
	"tank-mates-removed": {{row: func(a *club.Attempt) { a.TankMates = club.Some(true) }, want: alike(0)}},
	"group-size": {{row: func(a *club.Attempt) {
		a.Males, a.Females, a.Unsexed = club.Some(int64(2)), club.Some(int64(3)), club.Some(int64(1))
	}, want: alike(6)}},
	"sex-ratio": {{row: func(a *club.Attempt) { a.Males, a.Females = club.Some(int64(1)), club.Some(int64(2)) }, want: alike(0.5)}},
	// Full moon of 23 April and new moon of 8 May 2024: no day lies within 3 days of it.
	"moon": {{want: alike(0)}},
}

func alike(x float64) []float64 { return []float64{x, x, x, x} }

// midnights are readings at the midnights that open the days from a day of May on.
func midnights(keeper, tank, quantity string, day int, values ...float64) []club.Reading {
	var out []club.Reading
	for i, v := range values {
		out = append(out, club.Reading{Keeper: keeper, System: tank, Quantity: quantity, At: on(date(2024, 5, day+i, 0)), Value: club.Some(v)})
	}
	return out
}

// done is an act at noon of a day of May.
func done(action string, day int, amount float64, unit string) club.Action {
	return club.Action{Keeper: "ana", System: "T1", Action: action, At: on(date(2024, 5, day, 12)), Amount: club.Some(amount), Unit: unit}
}

func neighbour(species string, day int) club.Attempt {
	return club.Attempt{Keeper: "ana", System: "T1", Species: species, Began: on(date(2024, 4, 20, 0)), Spawned: club.Some(true), SpawnedAt: on(date(2024, 5, day, 12))}
}

// Every trigger of the catalogue gives what is worked out by hand; one without a value
// here fails, and so does one that says something where nothing was written down.
func TestEveryTriggerByHand(t *testing.T) {
	for _, c := range catalogue.Triggers() {
		require.NotEmpty(t, every[c.Code], "%s has no value worked out by hand", c.Code)
		for k, w := range every[c.Code] {
			a := club.Attempt{ID: "a", Keeper: "ana", System: "T1", Species: "Danio rerio", Began: on(date(2024, 5, 5, 9)), Ended: on(date(2024, 5, 9, 9)), Spawned: club.Some(false)}
			if w.row != nil {
				w.row(&a)
			}
			tables := &club.Tables{Attempts: append([]club.Attempt{a}, w.beside...), Readings: w.readings, Actions: w.acts}
			r := New(tables, Options{Zone: vienna})
			f := r.Rows("Danio rerio", true)
			own := f.Keep(func(i int) bool { return f.Attempt[i] == 0 }, "")
			require.Len(t, own, 4)
			require.Equal(t, w.want, r.Values(f, c, 0), "%s, case %d", c.Code, k)
		}
		if c.Code == "moon" || c.Code == "other-spawning" { // told by the calendar and by the attempts
			continue
		}
		r, f := watched(t, nil)
		for _, x := range r.Values(f, c, 0) {
			require.True(t, math.IsNaN(x), "%s: nothing was written down", c.Code)
		}
	}
}

// Each keeper has the barometer of their own place; without one, the club's longest.
func TestBarometerOfTheKeepersPlace(t *testing.T) {
	readings := midnights("", "", "air_pressure_hpa", 5, 1013, 1003, 1003, 1003, 1003)
	for i := range readings {
		readings[i].Place = "town"
	}
	coast := midnights("", "", "air_pressure_hpa", 4, 1013, 1013, 1013, 1013, 1003, 1003)
	for i := range coast {
		coast[i].Place = "coast"
	}
	readings = append(readings, coast...)
	values := func(o Options) []float64 {
		a := club.Attempt{Keeper: "ana", System: "T1", Species: "Danio rerio", Began: on(date(2024, 5, 5, 9)), Ended: on(date(2024, 5, 9, 9)), Spawned: club.Some(false)}
		o.Zone = vienna
		r := New(&club.Tables{Attempts: []club.Attempt{a}, Readings: readings}, o)
		return r.Values(r.Rows("Danio rerio", true), find(t, "pressure-drop"), 0)
	}
	require.Equal(t, []float64{1, 0, 0, 0}, values(Options{PlaceOf: map[string]string{"ana": "town"}}))
	require.Equal(t, []float64{0, 0, 1, 0}, values(Options{PlaceOf: map[string]string{"ana": "coast"}}))
	require.Equal(t, []float64{0, 0, 1, 0}, values(Options{}), "the coast has more readings")
}

// Meeus, Astronomical Algorithms, example 49.a (from memory): the new moon of February
// 1977, k = -283, has the mean phase JDE 2443192.94102; the true one is JDE 2443192.65118,
// 18 February 1977, 3:37:42 TD. Example 49.b: the last quarter of January 2044, k = 544.75,
// true JDE 2467636.49186, 21 January, 23:48:17 TD.
func TestMoonOfThePublishedExamples(t *testing.T) {
	at := func(jde float64) time.Time { return time.Unix(int64(math.Round((jde-2440587.5)*86400)), 0) }
	age := moonAge(at(2443192.94102))
	require.InDelta(t, 0, min(age, synodic-age), 2e-5, "mean new moon, to a second or two")
	require.InDelta(t, 2443192.94102, epoch-283*synodic+1.5437e-4*math.Pow(283/1236.85, 2), 1e-5)
	feb := time.Date(1977, 2, 18, 3, 37, 42, 0, time.UTC)
	require.InDelta(t, 2443192.65118, julianDay(feb), 1e-5)
	age = moonAge(feb)
	require.Less(t, min(age, synodic-age), 14.0/24, "the true phase is within 14 hours of the mean one")
	quarter := time.Date(2044, 1, 21, 23, 48, 17, 0, time.UTC)
	require.InDelta(t, 2467636.49186, julianDay(quarter), 1e-5)
	require.InDelta(t, 0.75*synodic, moonAge(quarter), 14.0/24)
	// A full moon in the window: that of 23 April 2024 (see TestMoon).
	a := club.Attempt{Keeper: "ana", Species: "Danio rerio", Began: on(date(2024, 4, 18, 9)), Ended: on(date(2024, 4, 28, 9)), Spawned: club.Some(false)}
	r := New(&club.Tables{Attempts: []club.Attempt{a}}, Options{Zone: vienna})
	// 19 to 28 April at noon; the mean full moon is half a month after the mean new moon of
	// 8 April, 18:35: 23 April, 12:57. Three days on either side are 21 to 26 April.
	require.Equal(t, []float64{0, 0, 1, 1, 1, 1, 1, 1, 0, 0}, r.Values(r.Rows("Danio rerio", true), find(t, "moon"), 0))
}
