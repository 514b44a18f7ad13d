package club

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"gravid/ingest/cell/word"
)

// Nearest returns the names nearest to a mistyped one, best first and at most
// three: those that take the fewest letters to insert, drop, replace or swap with
// their neighbour, and no more than limit.
func Nearest(typed string, names []string, limit int) []string {
	type candidate struct {
		name string
		far  int
	}
	var near []candidate
	for _, name := range names {
		if far := word.Distance(strings.ToLower(typed), strings.ToLower(name), limit); far <= limit {
			near = append(near, candidate{name, far})
		}
	}
	slices.SortStableFunc(near, func(a, b candidate) int { return cmp.Compare(a.far, b.far) })
	var out []string
	for _, c := range near[:min(3, len(near))] {
		out = append(out, c.name)
	}
	return out
}

// didYouMean returns "; did you mean NAME?" for the name nearest to a mistyped
// one, or nothing where none is near.
func didYouMean(typed string, names []string) string {
	near := Nearest(typed, names, max(1, len(typed)/3))
	if len(near) == 0 {
		return ""
	}
	return fmt.Sprintf("; did you mean %s?", near[0])
}
