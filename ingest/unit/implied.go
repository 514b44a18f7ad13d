package unit

// A Status says how a unit came about that nobody wrote.
type Status string

const (
	StatusSole      Status = "sole"      // the quantity has one unit; nothing was decided
	StatusImplied   Status = "implied"   // all values fit this unit and no other
	StatusAmbiguous Status = "ambiguous" // the values fit several units, or the quantity has no spans
	StatusNone      Status = "none-fits" // the values together fit no unit: a wrong value, or two units mixed
	StatusEmpty     Status = "no-values" // nothing to judge by
)

// Implied finds the unit of a column that states none. A unit is implied only
// when all values lie in its plausible span and no other unit could have them
// all; units that give the same canonical values count as one. The Unit is
// zero unless the status is StatusSole or StatusImplied.
//
// Differences of temperature and pressure are never implied: see Difference for
// the unit that goes with a stated one.
func Implied(values []float64, q Quantity) (Unit, Status) {
	units := known().byQuantity[q]
	if len(units) == 0 {
		return Unit{}, StatusSole
	}
	if len(values) == 0 {
		return Unit{}, StatusEmpty
	}
	var possible []stated
	spans := false
	for _, s := range units {
		spans = spans || s.possible != span{}
		if all(values, s.possible) {
			possible = append(possible, s)
		}
	}
	switch {
	case len(units) == 1: // nothing to choose; single values are judged by their limits
		return units[0].Unit, StatusSole
	case !spans:
		return Unit{}, StatusAmbiguous
	case len(possible) == 0:
		return Unit{}, StatusNone
	}
	for _, s := range possible[1:] {
		if !same(values, possible[0].Unit, s.Unit) {
			return Unit{}, StatusAmbiguous
		}
	}
	if !all(values, possible[0].plausible) {
		return Unit{}, StatusNone
	}
	return possible[0].Unit, StatusImplied
}

func all(values []float64, s span) bool {
	for _, v := range values {
		if !s.holds(v) {
			return false
		}
	}
	return true
}

// same reports whether values mean the same in both units.
func same(values []float64, a, b Unit) bool {
	for _, v := range values {
		if ToCanonical(v, a) != ToCanonical(v, b) {
			return false
		}
	}
	return true
}
