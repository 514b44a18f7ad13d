package unit

import (
	_ "embed"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Limits say which values of one measured thing can be and which are usual, in
// the canonical unit. Beyond the hard limits a value is impossible and not
// used; beyond the soft ones it is unusual, used, and somebody should look.
type Limits struct {
	Name    string // such as "water_temp", see LimitNames
	Unit    string // UCUM code
	HardMin float64
	SoftMin float64
	SoftMax float64
	HardMax float64
}

// A Standing is what Limits say of a value.
type Standing string

const (
	Usual      Standing = "usual"
	Unusual    Standing = "unusual"
	Impossible Standing = "impossible"
)

// Judge places a value in canonical units. NaN is impossible.
func (l Limits) Judge(v float64) Standing {
	switch {
	case !(v >= l.HardMin && v <= l.HardMax):
		return Impossible
	case v < l.SoftMin || v > l.SoftMax:
		return Unusual
	}
	return Usual
}

// LimitsOf returns the limits of one measured thing by name. Names are those of
// things (water_temp, room_temp), not of quantities: a temperature of 40 °C is
// one thing in water and another in a room.
func LimitsOf(name string) (Limits, bool) {
	for _, l := range allLimits() {
		if l.Name == name {
			return l, true
		}
	}
	return Limits{}, false
}

// LimitNames returns the names that LimitsOf knows, sorted.
func LimitNames() []string {
	var names []string
	for _, l := range allLimits() {
		names = append(names, l.Name)
	}
	slices.Sort(names)
	return names
}

// SensorFault reports whether a value as logged, in the unit as logged, is one
// that a broken or disconnected sensor gives instead of a measurement: -127 and
// 85 °C of digital thermometers, and fillers such as -999 and 9999. Values that
// a sound sensor can give (85 °F, 999 hPa, 999 µS/cm) are none. The list is from
// memory of loggers' manuals.
func SensorFault(v float64, u Unit) bool {
	switch v {
	case -999, -9999, -99999:
		return true
	case 999, 9999, 99999:
		return u.Quantity == Temperature || u.Quantity == Acidity || u.Quantity == Share
	case -127, 85:
		return u.Quantity == Temperature && u.Code == "Cel"
	}
	return false
}

//go:embed limits.csv
var limitsCSV string

// allLimits reads the embedded list. A fault in it is a fault of the program.
var allLimits = sync.OnceValue(func() []Limits {
	records, err := csv.NewReader(strings.NewReader(limitsCSV)).ReadAll()
	if err != nil {
		panic("unit: limits.csv: " + err.Error())
	}
	var all []Limits
	for _, r := range records[1:] {
		l := Limits{Name: r[0], Unit: r[1]}
		for i, to := range []*float64{&l.HardMin, &l.SoftMin, &l.SoftMax, &l.HardMax} {
			if *to, err = strconv.ParseFloat(r[2+i], 64); err != nil {
				panic("unit: limits.csv: " + r[0] + ": " + err.Error())
			}
		}
		all = append(all, l)
	}
	return all
})
