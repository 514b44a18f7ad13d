package exposure

import (
	"math"
	"time"
)

// synodic is the mean length of the month of moon phases in days, and epoch the
// Julian day of the mean new moon with number 0: Meeus, Astronomical
// Algorithms, 2nd ed. 1998, chapter 49 (constants checked in two public sources).
const (
	synodic = 29.530588861
	epoch   = 2451550.09766
)

// julianDay is the Julian day of an instant.
func julianDay(t time.Time) float64 { return float64(t.Unix())/86400 + 2440587.5 }

// moonAge is the number of days since the mean new moon, from 0 to 29.53. The
// true phase differs from the mean one by up to about 14 hours.
func moonAge(t time.Time) float64 {
	k := (julianDay(t) - epoch) / synodic
	century := k / 1236.85
	k -= 1.5437e-4 * century * century / synodic
	return (k - math.Floor(k)) * synodic
}

// daysFromFullMoon is the distance in days to the nearest mean full moon.
func daysFromFullMoon(t time.Time) float64 { return math.Abs(moonAge(t) - synodic/2) }
