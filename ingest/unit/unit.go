// Package unit holds the quantities that logs state and the units they are
// stated in. Conversion between units happens here and nowhere else.
//
// A temperature and a temperature difference are different quantities: a
// difference converts from Fahrenheit by 5/9 alone, without the offset.
//
// The package does not read cells and does not convert anything for display.
package unit

import (
	"slices"
	"strings"
	"sync"

	"golang.org/x/text/unicode/norm"
)

// A Quantity is what is measured. Each has one canonical unit, in which the
// tables store it.
type Quantity string

const (
	None          Quantity = ""                        // a bare number or a count
	Temperature   Quantity = "temperature"             // Cel
	TempDiff      Quantity = "temperature difference"  // K (canonical: difference in Celsius degrees)
	Pressure      Quantity = "air pressure"            // hPa
	PressureDiff  Quantity = "air pressure difference" // hPa
	Conductivity  Quantity = "conductivity"            // uS/cm at 25 °C
	Acidity       Quantity = "pH"                      // [pH]
	GH            Quantity = "general hardness"        // German degrees
	KH            Quantity = "carbonate hardness"      // German degrees
	Concentration Quantity = "concentration"           // mg/L
	Length        Quantity = "length"                  // cm
	Share         Quantity = "share"                   // %
	Hours         Quantity = "hours"                   // h
	Days          Quantity = "days"                    // d
	Volume        Quantity = "volume"                  // L
	Illuminance   Quantity = "illuminance"             // lx
)

// A Unit is one unit of one quantity. The zero Unit stands for "no unit", as
// counts have it. Units come from this package only; they can be compared
// with ==.
type Unit struct {
	Code     string // UCUM code
	Name     string // as people read it
	Quantity Quantity

	// canonical value = (value - zero) * factor / divisor
	zero, factor, divisor float64
}

// Canonical returns the unit in which tables store a quantity, and the zero
// Unit for None and for a quantity that does not exist.
func Canonical(q Quantity) Unit {
	if of := known().byQuantity[q]; len(of) > 0 {
		return of[0].Unit
	}
	return Unit{}
}

// Units returns the units in which a quantity can be stated, the canonical one
// first.
func Units(q Quantity) []Unit {
	var units []Unit
	for _, s := range known().byQuantity[q] {
		units = append(units, s.Unit)
	}
	return units
}

// Names returns the names of a quantity's units, for messages.
func Names(q Quantity) []string {
	var names []string
	for _, u := range Units(q) {
		names = append(names, u.Name)
	}
	return names
}

// Lookup finds the unit of a quantity that text names, as keepers, heading
// rows, number formats or mapping files (UCUM codes) write it. The list is
// closed: what is not in it is not a unit of this quantity.
func Lookup(text string, q Quantity) (Unit, bool) {
	u, ok := known().bySpelling[spelling{fold(text), q}]
	return u, ok
}

// Find returns the unit that text names in each quantity that knows it, in the
// order in which the quantities are declared.
func Find(text string) []Unit {
	folded := fold(text)
	var found []Unit
	for _, q := range known().quantities {
		if u, ok := known().bySpelling[spelling{folded, q}]; ok {
			found = append(found, u)
		}
	}
	return found
}

// Difference returns the unit in which differences between values in u are
// stated: the difference unit of °F for °F, of hPa for hPa. It is false for
// units of quantities that have no difference of their own.
func Difference(u Unit) (Unit, bool) {
	switch {
	case u.Quantity == Temperature && u.Code == "Cel":
		return Canonical(TempDiff), true
	case u.Quantity == Temperature:
		return Lookup(u.Code, TempDiff)
	case u.Quantity == Pressure:
		return Lookup(u.Code, PressureDiff)
	}
	return Unit{}, false
}

// ToCanonical converts a value in unit u to the canonical unit of its quantity.
// A value without a unit stays as it is. It panics on a Unit that this package
// did not make.
func ToCanonical(v float64, u Unit) float64 {
	if u == (Unit{}) {
		return v
	}
	u.mustBeOurs()
	return (v - u.zero) * u.factor / u.divisor
}

// FromCanonical converts a value in the canonical unit of u's quantity to u. It
// panics on a Unit that this package did not make.
func FromCanonical(v float64, u Unit) float64 {
	if u == (Unit{}) {
		return v
	}
	u.mustBeOurs()
	return v*u.divisor/u.factor + u.zero
}

func (u Unit) mustBeOurs() {
	if u.factor == 0 || u.divisor == 0 {
		panic("unit: a Unit that was made outside the package: " + u.Code)
	}
}

// fold writes the spellings of a unit that mean the same in one way: small
// letters, no spaces, u for micro, one degree sign, no full stop at the end.
func fold(text string) string {
	s := strings.NewReplacer("\u00ba", "°", "\u02da", "°").Replace(text)
	s = strings.ToLower(norm.NFKC.String(s))
	s = strings.NewReplacer("\u03bc", "u", " ", "", "\t", "", "’", "'", "”", `"`, "″", `"`, "′", "'").Replace(s)
	return strings.TrimRight(s, ".")
}

type spelling struct {
	folded string
	q      Quantity
}

// index is the list of units as it is searched.
type index struct {
	quantities []Quantity // in the order of declaration
	byQuantity map[Quantity][]stated
	bySpelling map[spelling]Unit
}

// known is made when it is first asked for.
var known = sync.OnceValue(func() index { return newIndex(declared()) })

// newIndex panics when one text stands for two units of a quantity.
func newIndex(list []stated) index {
	in := index{byQuantity: map[Quantity][]stated{}, bySpelling: map[spelling]Unit{}}
	for _, s := range list {
		if !slices.Contains(in.quantities, s.Quantity) {
			in.quantities = append(in.quantities, s.Quantity)
		}
		in.byQuantity[s.Quantity] = append(in.byQuantity[s.Quantity], s)
		for _, text := range append([]string{s.Code, s.Name}, s.written...) {
			key := spelling{fold(text), s.Quantity}
			if other, taken := in.bySpelling[key]; taken && other != s.Unit {
				panic("unit: " + text + " stands for two units of " + string(s.Quantity))
			}
			in.bySpelling[key] = s.Unit
		}
	}
	return in
}
