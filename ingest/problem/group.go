package problem

// A Group is one problem that stands for others alike: same file, sheet, column,
// code and severity, and for names of species the same message, since each name was
// decided by itself.
type Group struct {
	Problem
	Count int
}

// Groups joins problems that are alike, in the order in which each kind first
// occurs. The first of each kind stands for the rest.
func Groups(ps []Problem) []Group {
	type kind struct {
		file, sheet, column string
		code                Code
		severity            Severity
		message             string
	}
	at := map[kind]int{}
	var out []Group
	for _, p := range ps {
		k := kind{file: p.Place.File, sheet: p.Place.Sheet, column: p.Place.Column, code: p.Code, severity: p.Severity}
		switch p.Code {
		case SpeciesRenamed, SpeciesGuessed, SpeciesUnknown, SpeciesAmbiguous:
			k.message = p.Message
		}
		if i, seen := at[k]; seen {
			out[i].Count += 1 + p.More
			continue
		}
		at[k] = len(out)
		out = append(out, Group{p, 1 + p.More})
	}
	return out
}

// Count returns how many problems have a severity, those included that another stands
// for.
func Count(ps []Problem, s Severity) int {
	n := 0
	for _, p := range ps {
		if p.Severity == s {
			n += 1 + p.More
		}
	}
	return n
}

// Total returns how many problems there are, those included that another stands for.
func Total(ps []Problem) int { return Count(ps, Error) + Count(ps, Warning) + Count(ps, Note) }
