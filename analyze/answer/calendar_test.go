package answer

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/analyze/exposure"
	"gravid/ingest/club"
)

// A calendar puts spawnings on the days of the club's own time, tells a fall by the rule
// of the catalogue (5 hPa over the 24 hours that close at the midnight that opens the
// day), and leaves out what has no date.
func TestCalendar(t *testing.T) {
	zone := time.FixedZone("two hours ahead", 2*3600)
	at := func(month time.Month, day, hour int) club.When {
		return club.Some(time.Date(2025, month, day, hour, 0, 0, 0, zone).UTC())
	}
	tables := &club.Tables{}
	for d := 1; d <= 10; d++ { // midnights: 1020, but for a fall of 6 from the 4th to the 5th, and of 90 to the 9th
		for hour := range 24 {
			p := 1020.0
			switch {
			case d >= 9:
				p = 924
			case d >= 5:
				p = 1014
			}
			tables.Readings = append(tables.Readings, club.Reading{Place: "town", At: at(time.May, d, hour), Quantity: "air_pressure_hpa", Value: club.Some(p + float64(hour%2))})
		}
	}
	tables.Readings = append(tables.Readings,
		club.Reading{Place: "hill", At: at(time.May, 2, 0), Quantity: "air_pressure_hpa", Value: club.Some(940.0)},
		club.Reading{Keeper: "A", System: "T1", At: at(time.May, 3, 8), Quantity: "temperature_c", Value: club.Some(24.0)},
		club.Reading{Keeper: "B", System: "T2", At: at(time.May, 3, 9), Quantity: "temperature_c", Value: club.Some(26.0)},
		club.Reading{Keeper: "B", System: "T2", At: at(time.May, 3, 10), Quantity: "temperature_c", Value: club.Some(28.0)})
	yes := club.Some(true)
	tables.Attempts = []club.Attempt{
		{ID: "a", Keeper: "A", Species: "Danio rerio", Spawned: yes, Began: at(time.May, 1, 0), SpawnedAt: at(time.May, 5, 1), TemperatureC: club.Some(25.0)},
		{ID: "b", Keeper: "A", Species: "Danio rerio", Spawned: yes, Began: at(time.May, 1, 0), SpawnedAt: at(time.May, 9, 1)},
		{ID: "c", Keeper: "B", Species: "Danio rerio", Spawned: yes, Began: at(time.May, 1, 0)},
		{ID: "d", Keeper: "B", Species: "Danio rerio", Spawned: club.Some(false), Began: at(time.May, 1, 0)},
	}
	tables.Clutches = []club.Clutch{{ID: "ca", AttemptID: "a", Keeper: "A", Species: "Danio rerio", LaidTo: at(time.May, 5, 1), Eggs: club.Some(int64(80))}}
	k := Asker{Records: exposure.New(tables, exposure.Options{Zone: zone}), Triggers: Every(nil)}
	c := k.Calendar(2025)
	require.Len(t, c.Spawns, 2, "a clutch and its attempt are one spawning")
	require.Equal(t, "2025-05-05", c.Spawns[0].Day, "by the club's time it is past midnight")
	require.Equal(t, 25.0, float64(c.Spawns[0].TemperatureC), "the attempt tells the temperature where the clutch does not")
	require.InDelta(t, -6, float64(c.Spawns[0].Change), 1e-9)
	require.True(t, math.IsNaN(float64(c.Spawns[1].Change)), "90 hPa in a day is no weather")
	require.Equal(t, 1, c.Undated)
	require.Equal(t, []string{"2025-05-05"}, c.FallDays)
	require.Equal(t, 1, c.AfterFall)
	require.Equal(t, 1, c.Known)
	require.Equal(t, 2, c.Barometers)
	require.Len(t, c.Pressure, 10)
	require.Equal(t, CalendarDay{Day: "2025-05-05", Mean: 1014.5, Low: 1014, High: 1015, Change: -6}, c.Pressure[4], "the barometer on the hill is not mixed in")
	require.Equal(t, 2, c.Loggers)
	require.Len(t, c.Temperature, 1)
	require.Equal(t, []Num{25.5, 24, 28}, []Num{c.Temperature[0].Mean, c.Temperature[0].Low, c.Temperature[0].High}, "tanks count alike, however often they were read")
	require.Empty(t, k.Calendar(2024).Spawns)
}

func TestYears(t *testing.T) {
	require.Equal(t, "2025", Years{2025, 2025}.String())
	require.Equal(t, "2023-2025", Years{2023, 2025}.String())
	require.Equal(t, "2023 to 2025", Years{2023, 2025}.Words())
	eve := club.Some(time.Date(2025, 12, 31, 23, 30, 0, 0, time.UTC))
	require.True(t, Years{2025, 2025}.Has(eve, time.UTC))
	require.False(t, Years{2025, 2025}.Has(eve, time.FixedZone("east", 3600)))
	require.False(t, Years{2025, 2025}.Has(club.When{}, time.UTC))
}
