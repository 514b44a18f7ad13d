package ingest

import (
	"fmt"
	"slices"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// stream is what readings of one instant must share to be the same reading.
type stream struct{ keeper, system, place, quantity string }

func streamOf(r *club.Reading) stream { return stream{r.Keeper, r.System, r.Place, r.Quantity} }

// sameReadings looks at readings that claim the same keeper, tank, place,
// quantity and instant: overlapping exports of one logger. Equal ones are kept
// once. Different ones are taken out and named, since nobody can say which is
// right.
func (a *collected) sameReadings() {
	first := map[stream]map[int64]int{}
	for s := range a.unordered() {
		first[s] = map[int64]int{}
	}
	if len(first) == 0 {
		return
	}
	repeated, disputed := map[int]bool{}, map[int]bool{}
	for i := range a.readings {
		r := &a.readings[i]
		seen := first[streamOf(r)]
		if seen == nil {
			continue
		}
		j, twice := seen[r.At.V.Unix()]
		switch {
		case !twice:
			seen[r.At.V.Unix()] = i
		case a.readings[j].Value == r.Value:
			repeated[i] = true
		default:
			disputed[i], disputed[j] = true, true
			a.problems = append(a.problems, disagreement(r, &a.readings[j]))
		}
	}
	a.countRepeated(repeated)
	at := -1
	a.readings = slices.DeleteFunc(a.readings, func(club.Reading) bool { at++; return repeated[at] || disputed[at] })
}

// unordered returns the streams whose readings do not follow each other in time:
// only those can hold an instant twice.
func (a *collected) unordered() map[stream]bool {
	last := map[stream]int64{}
	out := map[stream]bool{}
	for i := range a.readings {
		s, at := streamOf(&a.readings[i]), a.readings[i].At.V.Unix()
		if before, seen := last[s]; seen && at <= before {
			out[s] = true
		}
		last[s] = at
	}
	return out
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
func (a *collected) countRepeated(repeated map[int]bool) {
	left := map[club.Source]bool{}
	for i := range a.readings {
		left[a.readings[i].Source] = left[a.readings[i].Source] || !repeated[i]
	}
	type sheet struct{ file, sheet string }
	moved := map[sheet]int64{}
	for source, used := range left {
		if !used {
			moved[sheet{source.File, source.Sheet}]++
		}
	}
	for i := range a.sources {
		n := moved[sheet{a.sources[i].File, a.sources[i].Sheet}]
		a.sources[i].Used -= n
		a.sources[i].Skipped += n
	}
}
