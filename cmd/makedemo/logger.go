package main

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// A gap is a stretch in which the barometer logged nothing.
type gap struct {
	From  time.Time `json:"from"`
	Hours int       `json:"hours"`
	Why   string    `json:"why"`
}

const barometerPath = "weather/barometer.csv"

func barometerGaps() []gap {
	return []gap{
		{time.Date(2023, 7, 11, 2, 0, 0, 0, time.UTC), 7, "power cut"},
		{time.Date(2024, 2, 20, 6, 0, 0, 0, time.UTC), 97, "empty battery"},
		{time.Date(2025, 5, 2, 20, 0, 0, 0, time.UTC), 31, "memory full"},
	}
}

// A loggerCount is what stands in the log of a logger.
type loggerCount struct {
	File     string `json:"file"`
	Rows     int    `json:"rows"`
	Readings int    `json:"readings"`
	Missing  int    `json:"missing"` // rows with a word for "not recorded", or nothing
	Faults   int    `json:"sensor_faults,omitempty"`
	Gaps     []gap  `json:"gaps,omitempty"`
}

// barometerLog is the export of the weather station.
func (w *world) barometerLog() ([]byte, loggerCount) {
	count := loggerCount{File: barometerPath, Gaps: barometerGaps()}
	d := newDice(w.seed, streamBarometer)
	var b strings.Builder
	b.WriteString("Logger: LB-20117\nPlace: Lindenfurt\nAltitude: 9 m\nReduced to sea level: no\n\nTime (UTC),Pressure (hPa)\n")
	first := day(0).midnight(w.zone)
	for i, p := range w.weather.hPa {
		at := w.weather.from.Add(time.Duration(i) * time.Hour)
		missed := slices.ContainsFunc(count.Gaps, func(g gap) bool {
			return !at.Before(g.From) && at.Before(g.From.Add(time.Duration(g.Hours)*time.Hour))
		})
		if at.Before(first) || missed || dayOf(at, w.zone) > lastDay {
			continue
		}
		value := fmt.Sprintf("%.1f", p)
		count.Rows++
		if d.chance(0.0015) {
			value = of(d, []string{"--", "n/a", ""})
			count.Missing++
		} else {
			count.Readings++
		}
		fmt.Fprintf(&b, "%s,%s\n", at.Format("2006-01-02 15:04"), value)
	}
	return []byte(b.String()), count
}

// The logger in one tank of the keeper with units of the United States. It runs
// in summer time only, so that its local times name each hour once.
const (
	loggerPath   = "Harlan Whitcombe/T3 temperature.csv"
	loggerKeeper = "Harlan Whitcombe"
	loggerTank   = "T3"
)

// loggerLog is the export of the tank's temperature logger, in degrees Fahrenheit
// and local time.
func (w *world) loggerLog() ([]byte, loggerCount, []plantedBlemish) {
	count := loggerCount{File: loggerPath}
	d := newDice(w.seed, streamLogger)
	var days []day
	var celsius []float64
	for _, a := range w.attempts {
		if a.keeper.Name == loggerKeeper && a.tank == loggerTank {
			days, celsius = append(days, a.began), append(celsius, a.temperature)
		}
	}
	var slips []plantedBlemish
	var b strings.Builder
	b.WriteString("Tank: " + loggerTank + "\nSerial no.: 77-4120\n\nDate/Time,Temp (°F)\n")
	const above = 4
	wobble := 0.0
	from := time.Date(2025, 4, 2, 0, 0, 0, 0, w.zone)
	for at := from; at.Before(time.Date(2025, 10, 20, 0, 0, 0, 0, w.zone)); at = at.Add(time.Hour) {
		wobble = 0.95*wobble + 0.04*d.normal()
		clock := 2 * math.Pi * (float64(at.Hour()) - 16) / 24
		t := between(days, celsius, dayOf(at, w.zone)) + 0.25*math.Cos(clock) + wobble
		value := fmt.Sprintf("%.1f", fahrenheit.written(t))
		count.Rows++
		if n := count.Rows; n >= 2101 && n <= 2103 {
			value = "185.0"
			count.Faults++
			slips = append(slips, plantedBlemish{Kind: "sensor fault", File: loggerPath, Row: above + n, Column: "Temp (°F)", Written: value, Note: "185 °F is 85 °C, what an unplugged sensor gives"})
		} else {
			count.Readings++
		}
		fmt.Fprintf(&b, "%s,%s\n", at.Format("01/02/2006 3:04 PM"), value)
	}
	return []byte(b.String()), count, slips
}

// between is the value on a day by straight line between the days known.
func between(days []day, values []float64, d day) float64 {
	i, _ := slices.BinarySearch(days, d)
	switch {
	case i == 0:
		return values[0]
	case i == len(days):
		return values[i-1]
	}
	share := float64(d-days[i-1]) / float64(days[i]-days[i-1])
	return values[i-1] + share*(values[i]-values[i-1])
}
