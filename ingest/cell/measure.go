package cell

import (
	"strings"

	"gravid/ingest/cell/word"
	"gravid/ingest/club"
	"gravid/ingest/problem"
	"gravid/ingest/source"
	"gravid/ingest/unit"
)

// A Measure is a number of a known quantity.
type Measure struct {
	Number
	In unit.Unit // the unit that the cell states; zero when it states none
}

// MeasureOf reads a cell of a column that measures q. The unit, where the cell
// states one, must be a unit of q; the value stays in the unit as written. The
// name of the quantity may stand before the number (pH 6.5), and a share can be a part
// of a whole (1/3, half). A zero where there
// can be none (temperature, pH, air pressure) is a Fault. It is not OK, without
// a Fault, when nothing was recorded.
func MeasureOf(c source.Cell, q unit.Quantity, d Decimal) (club.Maybe[Measure], *Fault) {
	var none club.Maybe[Measure]
	if q == unit.Share && c.Kind == source.Text {
		if m, ok := parsePart(c.Text); ok {
			return club.Some(m), nil
		}
	}
	n, fault := numberOf(c, numberParser{decimal: d, names: quantityNames[q]})
	if fault != nil || !n.OK {
		return none, fault
	}
	m := Measure{Number: n.V}
	if n.V.Unit != "" && !(q == unit.Temperature || q == unit.TempDiff) || n.V.Unit != "" && !bareDegrees[word.Fold(n.V.Unit)] {
		var ok bool
		if m.In, ok = unit.Lookup(n.V.Unit, q); !ok {
			return none, unitFault(n.V.Unit, q)
		}
	}
	if n.V.Value == 0 && !n.V.Range && zeroImpossible[q] {
		return none, faultf(problem.ZeroNotPossible, "leave the cell empty if nothing was measured", "0 cannot be the %s", q)
	}
	return club.Some(m), nil
}

// bareDegrees are words for a degree of no particular scale: what the heading states
// holds.
var bareDegrees = set("degrees", "degree", "grad", "grados", "grado", "degres", "degre")

func unitFault(text string, q unit.Quantity) *Fault {
	switch names := unit.Names(q); {
	case q == unit.None:
		return faultf(problem.UnitUnknown, "write the number alone", "%s stands after a number that has no unit", quote(text))
	case q == unit.Conductivity:
		return faultf(problem.UnitUnknown, "write µS/cm, or mS/cm; the ppm of a TDS meter need the factor of that meter", "%s is not a unit of conductivity", quote(text))
	default:
		return faultf(problem.UnitUnknown, "units of "+string(q)+": "+strings.Join(names, ", "), "%s is not a unit of %s", quote(text), q)
	}
}

var zeroImpossible = map[unit.Quantity]bool{unit.Temperature: true, unit.Acidity: true, unit.Pressure: true}

// quantityNames are the folded words that may stand before a number of the
// quantity.
var quantityNames = map[unit.Quantity][]string{
	unit.Acidity:      {"ph"},
	unit.GH:           {"dgh", "gh"},
	unit.KH:           {"dkh", "kh"},
	unit.Temperature:  {"temperature", "temperatur", "temp"},
	unit.Conductivity: {"ec", "lw"},
}
