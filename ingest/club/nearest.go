package club

import "fmt"

// didYouMean returns "; did you mean NAME?" for the name nearest to a mistyped
// one, or nothing where none is near.
func didYouMean(typed string, names []string) string {
	best, distance := "", max(1, len(typed)/3)+1
	for _, name := range names {
		if d := editDistance(typed, name); d < distance {
			best, distance = name, d
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf("; did you mean %s?", best)
}

// editDistance counts the letters to insert, drop, replace or swap with their
// neighbour to get from a to b (optimal string alignment).
func editDistance(a, b string) int {
	from, to := []rune(a), []rune(b)
	before, above, row := make([]int, len(to)+1), make([]int, len(to)+1), make([]int, len(to)+1)
	for j := range above {
		above[j] = j
	}
	for i := 1; i <= len(from); i++ {
		row[0] = i
		for j := 1; j <= len(to); j++ {
			replace := above[j-1]
			if from[i-1] != to[j-1] {
				replace++
			}
			row[j] = min(above[j]+1, row[j-1]+1, replace)
			if i > 1 && j > 1 && from[i-1] == to[j-2] && from[i-2] == to[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, above, row = above, row, before
	}
	return above[len(to)]
}
