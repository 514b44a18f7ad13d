package logit

import (
	"fmt"
	"slices"
)

// Factor makes columns of zeros and ones, for Data.X, of a column of words: one for each
// level but the first, which is what the others are compared with. nil levels are those
// that occur, in alphabetical order. Each column is named after its level with name in
// front. Levels that never occur make columns that Identify finds constant.
//
// A test of all levels at once is Model.LRTest or Model.WaldTest of their columns.
//
// The error says which row (counted from 1) holds a word that is no level, or that a
// level is there twice.
func Factor(name string, values, levels []string) (names []string, columns [][]float64, err error) {
	if levels == nil {
		levels = slices.Compact(slices.Sorted(slices.Values(values)))
	}
	at := make(map[string]int, len(levels))
	for k, level := range levels {
		if _, twice := at[level]; twice {
			return nil, nil, fmt.Errorf("%s: the level %q is there twice", name, level)
		}
		at[level] = k
		if k > 0 {
			names = append(names, name+level)
			columns = append(columns, make([]float64, len(values)))
		}
	}
	for i, v := range values {
		k, ok := at[v]
		if !ok {
			return nil, nil, fmt.Errorf("%s, row %d: %q is none of the levels", name, i+1, v)
		}
		if k > 0 {
			columns[k-1][i] = 1
		}
	}
	return names, columns, nil
}
