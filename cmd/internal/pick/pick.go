// Package pick picks by name what a command for developers is to run.
package pick

import (
	"fmt"
	"slices"
	"strings"
)

// ByName returns those of all whose names begin with one of the words, in the order of
// all, each once. A word that begins no name is an error; what says what all are.
func ByName[T any](all []T, name func(T) string, words []string, what string) ([]T, error) {
	var out []T
	used := make([]bool, len(words))
	for _, x := range all {
		matched := false
		for k, w := range words {
			if w != "" && strings.HasPrefix(name(x), w) {
				matched, used[k] = true, true
			}
		}
		if matched {
			out = append(out, x)
		}
	}
	if k := slices.Index(used, false); k >= 0 {
		return nil, fmt.Errorf("--only: no %s is called %q (--list names them)", what, words[k])
	}
	return out, nil
}
