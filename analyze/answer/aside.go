package answer

import (
	"path"
	"slices"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// Aside is what could not be taken as written in the logs of one keeper.
type Aside struct {
	Logs     int             `json:"logs"`
	Rows     int             `json:"rows"` // rows read
	SetAside int             `json:"rows_set_aside"`
	Errors   int             `json:"errors"`
	Warnings int             `json:"warnings"`
	Notes    int             `json:"notes"`
	Groups   []problem.Group `json:"-"`
	Kinds    []AsideKind     `json:"problems"` // Groups for JSON
}

// AsideKind is problems that are alike, with what to do about them.
type AsideKind struct {
	Severity problem.Severity `json:"severity"`
	Code     problem.Code     `json:"code"`
	File     string           `json:"file"`
	Sheet    string           `json:"sheet"`
	Row      int              `json:"row"` // of the first
	Column   string           `json:"column"`
	Heading  string           `json:"heading"`
	Value    string           `json:"value"`
	Message  string           `json:"message"`
	Fix      string           `json:"fix"`
	Times    int              `json:"times"`
}

// asides are what was set aside, by keeper; "" for logs that are not one known
// keeper's.
type asides map[string]Aside

// asidesOf gives each log to the one keeper whose records it holds. A log that gave
// none is that keeper's whose other logs lie in the same folder, if it is one.
func asidesOf(t *club.Tables) asides {
	owners := ownersOf(t)
	byKeeper := map[string][]problem.Problem{}
	for _, p := range t.Problems {
		name := owners[p.Place.File]
		byKeeper[name] = append(byKeeper[name], p)
	}
	out := asides{}
	seen := map[string]bool{}
	for _, s := range t.Sources {
		name := owners[s.File]
		a := out[name]
		if !seen[s.File] {
			seen[s.File] = true
			a.Logs++
		}
		a.Rows += int(s.Rows)
		a.SetAside += int(s.SetAside)
		out[name] = a
	}
	for name, ps := range byKeeper {
		a := out[name]
		a.Errors, a.Warnings, a.Notes = problem.Count(ps, problem.Error), problem.Count(ps, problem.Warning), problem.Count(ps, problem.Note)
		a.Groups = problem.Groups(ps)
		slices.SortStableFunc(a.Groups, func(x, y problem.Group) int { return x.Severity.Rank() - y.Severity.Rank() })
		for _, g := range a.Groups {
			a.Kinds = append(a.Kinds, AsideKind{g.Severity, g.Code, g.Place.File, g.Place.Sheet, g.Place.Row, g.Place.Column, g.Place.Head, g.Value, g.Message, g.Fix, g.Count})
		}
		out[name] = a
	}
	return out
}

func (a asides) of(keeper string) Aside {
	out := a[keeper]
	if out.Kinds == nil {
		out.Kinds = []AsideKind{}
	}
	return out
}

// ownersOf names the keeper of each log; logs of several, or of none that is known,
// are left out.
func ownersOf(t *club.Tables) map[string]string {
	keepers := map[string]map[string]bool{} // by file
	add := func(file, keeper string) {
		if keepers[file] == nil {
			keepers[file] = map[string]bool{}
		}
		keepers[file][keeper] = true
	}
	for _, a := range t.Attempts {
		add(a.Source.File, a.Keeper)
	}
	for _, c := range t.Clutches {
		add(c.Source.File, c.Keeper)
	}
	inFolder := map[string]map[string]bool{}
	for file, names := range keepers {
		for name := range names {
			if inFolder[path.Dir(file)] == nil {
				inFolder[path.Dir(file)] = map[string]bool{}
			}
			inFolder[path.Dir(file)][name] = true
		}
	}
	out := map[string]string{}
	claim := func(file string) {
		names := keepers[file]
		if names == nil && path.Dir(file) != "." {
			names = inFolder[path.Dir(file)]
		}
		if len(names) == 1 {
			for name := range names {
				out[file] = name
			}
		}
	}
	for _, s := range t.Sources {
		claim(s.File)
	}
	for _, p := range t.Problems {
		claim(p.Place.File)
	}
	return out
}
