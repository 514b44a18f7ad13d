package exposure

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/analyze/catalogue"
	"gravid/ingest/club"
)

func find(t *testing.T, code string) catalogue.Trigger {
	t.Helper()
	found, ok := catalogue.Find(catalogue.Triggers(), code)
	require.True(t, ok, code)
	return found
}

// watched is one attempt from the 5th to the 9th of May without a spawning.
func watched(t *testing.T, readings []club.Reading) (*Records, *Frame) {
	t.Helper()
	a := club.Attempt{ID: "a", Keeper: "ana", System: "T1", Species: "Danio rerio", Began: on(date(2024, 5, 5, 9)), Ended: on(date(2024, 5, 9, 9)), Spawned: club.Some(false)}
	r := New(&club.Tables{Attempts: []club.Attempt{a}, Readings: readings}, Options{Zone: vienna})
	return r, r.Rows("Danio rerio", true)
}

// Somebody who reads the barometer once a day, at about eight in the morning: the change
// is that between two mornings, the later of which is before the day opens.
func TestOneBarometerReadingADay(t *testing.T) {
	var readings []club.Reading
	for d, level := range []float64{1020, 1019, 1012, 1012, 1006.5, 1006, 1015, 1003, 990} {
		at := date(2024, 5, 1+d, 8).Add(time.Duration(7*d%40) * time.Minute)
		readings = append(readings, club.Reading{Keeper: "ana", Place: "town", Quantity: "air_pressure_hpa", At: on(at), Value: club.Some(level)})
	}
	r, f := watched(t, readings)
	drop := find(t, "pressure-drop")
	// The day of set-up is not at risk; the 6th opens after the reading of the 5th.
	require.Equal(t, []float64{-5.5, -0.5, 9, -12}, r.Amounts(f, drop))
	require.Equal(t, []float64{1, 0, 0, 1}, r.Values(f, drop, 0))
}

func TestReadingsTooFarApartSayNothing(t *testing.T) {
	read := func(day, hour int) club.Reading {
		return club.Reading{Keeper: "ana", Place: "town", Quantity: "air_pressure_hpa", At: on(date(2024, 5, day, hour)), Value: club.Some(1000 + float64(day))}
	}
	drop := find(t, "pressure-drop")
	// Another clock hour on the day before: the daily tide would count as weather.
	r, f := watched(t, []club.Reading{read(4, 16), read(5, 8)})
	for _, x := range r.Values(f, drop, 0) {
		require.True(t, math.IsNaN(x))
	}
	// A day without a reading: nothing for the two days it takes part in.
	r, f = watched(t, []club.Reading{read(4, 8), read(5, 8), read(7, 8), read(8, 8)})
	x := r.Amounts(f, drop)
	require.Equal(t, 1.0, x[0])
	require.True(t, math.IsNaN(x[1]) && math.IsNaN(x[2]))
	require.Equal(t, 1.0, x[3])
	// Half an hour past midnight is after the day has opened, and near enough to midnight.
	r, f = watched(t, []club.Reading{read(5, 0), read(6, 0)})
	require.Equal(t, 1.0, r.Amounts(f, drop)[0])
}

// Drop tests of pH once a week or so: the earlier one within a day of a week before.
func TestWeeklyTests(t *testing.T) {
	at := []int{-1, 5, 6}
	ph := []float64{7.2, 6.8, 6.9}
	var readings []club.Reading
	for i := range at {
		readings = append(readings, club.Reading{Keeper: "ana", System: "T1", Quantity: "ph", At: on(date(2024, 5, 1, 18).AddDate(0, 0, at[i]-1)), Value: club.Some(ph[i])})
	}
	r, f := watched(t, readings)
	x := r.Values(f, find(t, "ph-fall"), 0)
	require.Equal(t, 1.0, x[0], "6.8 on the 5th after 7.2 on the 29th of April, six days before")
	require.Equal(t, 1.0, x[1], "6.9 on the 6th, seven days after 7.2")
	require.True(t, math.IsNaN(x[2]), "nothing read on the day before the 8th")
}

// Where the row of an attempt has no temperature, the tank's own thermometer has.
func TestTemperatureFromReadings(t *testing.T) {
	var readings []club.Reading
	for h := range 24 * 10 {
		level := 24.0
		if h >= 24*6 {
			level = 26
		}
		readings = append(readings, club.Reading{Keeper: "ana", System: "T1", Quantity: "temperature_c", At: on(date(2024, 5, 1, 0).Add(time.Duration(h) * time.Hour)), Value: club.Some(level)})
	}
	r, f := watched(t, readings)
	warm := find(t, "temperature")
	require.True(t, r.Beside(f, warm))
	require.Equal(t, []float64{24, 24, 26, 26}, r.Values(f, warm, 0))
	r.Attempts[0].TemperatureC = club.Some(25.0)
	require.False(t, r.Beside(f, warm))
	require.Equal(t, []float64{25, 25, 25, 25}, r.Values(f, warm, 0))
	other, g := watched(t, readings[:0])
	require.False(t, other.Beside(g, warm))
	require.True(t, math.IsNaN(other.Values(g, warm, 0)[0]))
}
