package count

import (
	"fmt"
	"math"

	"gravid/stats"
)

// Packing is the share of a measure of settled eggs that is eggs, which the
// printed tables for the egg trough imply: 67.66 eggs of 1 inch to the liquid
// quart, their numbers for other diameters going with 1/diameter^3. Equal
// spheres poured at random lie between 0.56 (Onoda & Liniger 1990) and 0.64
// (Scott & Kilgour 1969), hence PackingSE.
const (
	Packing   = 0.6134
	PackingSE = 0.02
)

// A Trough says how eggs were laid in a row and measured.
type Trough struct {
	Packing Measured // 0 means that of the tables, {Packing, PackingSE}
	Reading float64  // standard error of the length of a row, mm; needed only for a single row
}

// TroughDensity is the number of eggs in a litre of settled eggs from their mean
// diameter d: 10^6 Packing/(pi d^3/6), d (mm) being the length of all rows over
// the number of eggs in them (von Bayer 1910, A method of measuring fish eggs,
// Bulletin of the Bureau of Fisheries 28). Limits are log-t by the delta method,
// from how the rows differ and from the packing: an error of 2% in the diameter
// is one of 6% in the number. Eggs that are not round, or that swell, break it.
//
// Status is TooLittle without a row, and for one row without a Reading; Boundary
// where all rows have the same mean diameter. N counts the rows, Events the eggs
// in them. The error is a *stats.InputError for a row without eggs or length,
// and tells of a packing, reading or level (0 means 0.95) out of range.
func TroughDensity(rows []Aliquot, trough Trough, level float64) (stats.Estimate, error) {
	return trough.density(rows, Measured{Value: 1}, level, "row of eggs, log-t interval by the delta method")
}

// TroughTotal is TroughDensity times the volume of the settled eggs in litres,
// with the error of its reading among the limits.
func TroughTotal(rows []Aliquot, trough Trough, litres Measured, level float64) (stats.Estimate, error) {
	if err := litres.refuse("the volume of the eggs"); err != nil {
		return stats.Estimate{}, err
	}
	return trough.density(rows, litres, level, "row of eggs and volume, log-t interval by the delta method")
}

func (t Trough) density(rows []Aliquot, litres Measured, level float64, method string) (stats.Estimate, error) {
	if t.Packing == (Measured{}) {
		t.Packing = Measured{Packing, PackingSE}
	}
	s, err := newSamples(rows, level)
	if err == nil {
		err = t.refuse(rows)
	}
	if err != nil {
		return stats.Estimate{}, err
	}
	e := s.estimate(method)
	if s.n == 0 {
		return e.Without(stats.TooLittle, stats.Warn("no-observations", "there are no rows of eggs")), nil
	}
	diameter := s.amount / s.counted
	e.Value = 1e6 * t.Packing.Value / (math.Pi / 6 * diameter * diameter * diameter) * litres.Value
	read := t.Packing.relative() + litres.relative()
	switch {
	case s.n == 1 && t.Reading == 0:
		return e.Without(stats.TooLittle, stats.Warn("one-row", "there is one row of eggs only, so nothing can be said of how one differs from the next; a second row, or how exactly its length was read, would do")), nil
	case s.n == 1:
		ratio := math.Exp(normalLimit(s.level) * math.Sqrt(read+9*sq(t.Reading/s.amount)))
		e.Lo, e.Hi = e.Value/ratio, e.Value*ratio
		e.Warnings = append(e.Warnings, stats.Warn("one-row", "the limits hold if the eggs of the one row are like the others"))
		return e, nil
	}
	return s.limits(e, 9*s.relativeSpread(), read), nil
}

func (t Trough) refuse(rows []Aliquot) error {
	for i, r := range rows {
		if r.Counted == 0 {
			return &stats.InputError{Index: i, Reason: "a row without eggs has no diameter"}
		}
	}
	if !(t.Reading >= 0) || math.IsInf(t.Reading, 1) {
		return fmt.Errorf("the standard error of a length cannot be %v", t.Reading)
	}
	if err := t.Packing.refuse("the packing"); err != nil {
		return err
	}
	if t.Packing.Value > 1 {
		return fmt.Errorf("eggs cannot fill %v of their volume", t.Packing.Value)
	}
	return nil
}
