package ingest

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// sameReadings looks at readings that claim the same keeper, tank, place,
// quantity and instant: overlapping exports of one logger. Equal ones are kept
// once. Different ones are taken out and named, since nobody can say which is
// right.
func (a *collected) sameReadings() {
	var repeated, disputed club.Marks
	var against [][2]twin // the later reading and the first of the instant
	for alike := range a.readings.twins() {
		first := alike[0]
		for _, this := range alike[1:] {
			if this.Value == first.Value || math.Float64bits(this.Value) == math.Float64bits(first.Value) { // both can be none
				repeated.Set(this.place)
			} else {
				disputed.Set(this.place)
				disputed.Set(first.place)
				against = append(against, [2]twin{this, first})
			}
		}
	}
	slices.SortFunc(against, func(x, y [2]twin) int { return cmp.Compare(x[0].place, y[0].place) })
	for _, pair := range against {
		this, first := a.readings.Reading(pair[0].Entry), a.readings.Reading(pair[1].Entry)
		a.problems = append(a.problems, disagreement(&this, &first))
	}
	if repeated.Len() > 0 {
		a.countRepeated(&repeated)
	}
	repeated.Add(&disputed)
	a.readings.Drop(repeated)
}

func disagreement(this, other *club.Reading) problem.Problem {
	return problem.Problem{Severity: problem.Error, Code: problem.ReadingConflict,
		Place:   problem.Place{File: this.Source.File, Sheet: this.Source.Sheet, Row: int(this.Source.Row)},
		Value:   fmt.Sprint(this.Value.V),
		Message: fmt.Sprintf("%s at %s is %v here and %v in %s, row %d; neither is used", this.Quantity, this.At.V.Format("2006-01-02 15:04 UTC"), this.Value.V, other.Value.V, other.Source.File, other.Source.Row),
		Fix:     "delete the wrong one, or correct the clock of one export"}
}

// countRepeated moves rows all of whose readings stand elsewhere from the used
// rows of their sheet to the skipped ones.
func (a *collected) countRepeated(repeated *club.Marks) {
	type sheet struct{ file, sheet string }
	type rows struct{ repeated, used club.Marks }
	bySheet := map[sheet]*rows{}
	var of []*rows // by series
	for place, e := range a.readings.All() {
		for len(of) <= e.Series {
			s := a.readings.Series(len(of))
			at := sheet{s.File, s.Sheet}
			if bySheet[at] == nil {
				bySheet[at] = &rows{}
			}
			of = append(of, bySheet[at])
		}
		if repeated.Has(place) {
			of[e.Series].repeated.Set(int(e.Row))
		} else {
			of[e.Series].used.Set(int(e.Row))
		}
	}
	for i := range a.sources {
		if r := bySheet[sheet{a.sources[i].File, a.sources[i].Sheet}]; r != nil {
			n := int64(r.repeated.Without(&r.used))
			a.sources[i].Used -= n
			a.sources[i].Skipped += n
		}
	}
}
