package main

import (
	"math"
	"time"
)

// A barometer is the hourly air pressure of the one sky over all keepers, in hPa
// to the tenth, as its station logs it. Nothing is missing here; what the log
// lacks is left out when it is written.
type barometer struct {
	from time.Time // UTC, the first hour
	hPa  []float64
}

// The weather: highs and lows that come and go over days, rougher in winter,
// with the daily tide of the air on top.
const (
	meanPressure = 1013.4 // hPa
	roughness    = 8.2    // standard deviation of highs and lows, hPa
	winter       = 0.30   // share by which it is larger in January, and smaller in July
	tide         = 0.5    // hPa, twice a day, highest near 10 and 22 h
	decayHours   = 48.0   // how long highs and lows last
	smoothHours  = 9.0    // how long a rise or fall lasts
)

// newBarometer makes hours of weather: noise smoothed once by a short and once by
// a long memory.
func newBarometer(d *dice, from time.Time, hours int) *barometer {
	b := &barometer{from: from, hPa: make([]float64, hours)}
	short, long := math.Exp(-1/smoothHours), math.Exp(-1/decayHours)
	// The variance of the sum of two such memories fed by unit noise.
	spread := math.Sqrt((1 + short*long) / ((1 - short*short) * (1 - long*long) * (1 - short*long)))
	push, x := 0.0, 0.0
	const warmUp = 24 * 60
	for i := -warmUp; i < hours; i++ {
		push = short*push + d.normal()
		x = long*x + push
		if i < 0 {
			continue
		}
		at := from.Add(time.Duration(i) * time.Hour)
		season := 1 + winter*math.Cos(2*math.Pi*(float64(at.YearDay())-15)/365.25)
		hour := float64(at.Hour()) + 1 // near local time
		b.hPa[i] = tenth(meanPressure + roughness*season*x/spread + tide*math.Cos(2*math.Pi*(hour-10)/12))
	}
	return b
}

func tenth(x float64) float64 { return math.Round(10*x) / 10 }

// change is the pressure at an instant less that 24 hours before.
func (b *barometer) change(at time.Time) float64 {
	i := int(at.Sub(b.from) / time.Hour)
	return tenth(b.hPa[i] - b.hPa[i-24])
}

// fallLimit is the fall over 24 hours from which on it counts as a pressure drop.
const fallLimit = 5.0

func (b *barometer) drop(opens time.Time) bool { return b.change(opens) <= -fallLimit }
