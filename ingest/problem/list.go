package problem

import (
	"fmt"
	"maps"
	"slices"
)

// mostTold is how many problems of one log are told one by one. Logs that people
// write stay far below.
const mostTold = 10_000

// A List gathers the problems of one log in a bounded memory: beyond the first
// mostTold, one problem stands for all others of its severity, code, sheet and column.
// The zero value is empty.
type List struct {
	told []Problem
	rest []run
	kind map[listKind]int // where in rest
}

type listKind struct {
	severity    Severity
	code        Code
	file, sheet string
	column      string
}

// A run is a problem that stands for further ones, the last of which is in row last.
type run struct {
	Problem
	last int
}

// Add adds problems, in the order of their rows.
func (l *List) Add(ps ...Problem) {
	for _, p := range ps {
		l.add(p)
	}
}

func (l *List) add(p Problem) {
	if len(l.told) < mostTold {
		l.told = append(l.told, p)
		return
	}
	k := listKind{p.Severity, p.Code, p.Place.File, p.Place.Sheet, p.Place.Column}
	if i, seen := l.kind[k]; seen {
		l.rest[i].More += 1 + p.More
		l.rest[i].last = max(l.rest[i].last, p.Place.Row)
		return
	}
	if l.kind == nil {
		l.kind = map[listKind]int{}
	}
	l.kind[k] = len(l.rest)
	l.rest = append(l.rest, run{p, p.Place.Row})
}

// Mark is the list as it is now, for BackTo.
func (l *List) Mark() List {
	return List{l.told[:len(l.told):len(l.told)], slices.Clone(l.rest), maps.Clone(l.kind)}
}

// BackTo forgets what was added since the mark was made.
func (l *List) BackTo(mark List) { *l = mark }

// All returns the problems. One that stands for others says how many and down to
// which row.
func (l *List) All() []Problem {
	out := slices.Clone(l.told)
	for _, r := range l.rest {
		if r.More > 0 {
			r.Message += fmt.Sprintf("; %d more of this kind, down to row %d, are counted and not told one by one, since the log has more than %d problems", r.More, r.last, mostTold)
		}
		out = append(out, r.Problem)
	}
	return out
}
