package ingest

import (
	"fmt"
	"slices"
	"time"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// trial is what an attempt and a clutch of the same spawning share, where a keeper
// writes the two down in files of their own.
type trial struct {
	keeper, system, species string
	day                     int64
}

func (r *reader) trialOf(a *club.Attempt) trial {
	y, m, d := a.SpawnedAt.V.In(r.zone).Date()
	return trial{a.Keeper, a.System, a.Species, time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix()}
}

// fromClutch reports whether an attempt is known from its clutch alone: a row with
// the date of laying, and nothing of how the fish were set up.
func fromClutch(a *club.Attempt) bool {
	return !a.Began.OK && !a.Ended.OK && a.Spawned.OK && a.Spawned.V && a.SpawnedAt.OK
}

// bare reports whether a clutch holds nothing but that and when it was laid.
func bare(c *club.Clutch) bool {
	return !c.Eggs.OK && !c.EggsLow.OK && !c.EggsHigh.OK && !c.Fertile.OK && !c.Hatched.OK && !c.FreeSwimming.OK &&
		!c.HatchTo.OK && !c.SwimTo.OK && !c.LostAt.OK && c.Loss == "" && c.HatchAid == ""
}

// join brings attempts and clutches together that a keeper wrote down in files of
// their own: same tank, species and day of spawning, or laid while an attempt went on
// that spawned without saying when. Only a single match is taken.
// A clutch without one stays an attempt of its own; where the keeper does write
// attempts down elsewhere, that is a contradiction and said so.
func (a *collected) join(r *reader) {
	set := map[trial][]int{} // attempts with a beginning, by what they share with a clutch
	type log struct{ file, sheet string }
	writes := map[string]map[log]bool{} // where each keeper writes attempts down
	for i := range a.attempts {
		if x := &a.attempts[i]; x.Began.OK {
			if writes[x.Keeper] == nil {
				writes[x.Keeper] = map[log]bool{}
			}
			writes[x.Keeper][log{x.Source.File, x.Source.Sheet}] = true
			if x.SpawnedAt.OK {
				set[r.trialOf(x)] = append(set[r.trialOf(x)], i)
			}
		}
	}
	clutchOf := map[string][]int{}
	for i := range a.clutches {
		clutchOf[a.clutches[i].AttemptID] = append(clutchOf[a.clutches[i].AttemptID], i)
	}
	dropAttempt, dropClutch := map[int]bool{}, map[int]bool{}
	joined := map[string]bool{} // attempts that got a clutch from elsewhere
	for i := range a.attempts {
		x := &a.attempts[i]
		own := writes[x.Keeper][log{x.Source.File, x.Source.Sheet}]
		if elsewhere := len(writes[x.Keeper]) > 1 || len(writes[x.Keeper]) == 1 && !own; !fromClutch(x) || !elsewhere {
			continue
		}
		var matches []int
		for _, j := range set[r.trialOf(x)] {
			if a.attempts[j].Source.File != x.Source.File || a.attempts[j].Source.Sheet != x.Source.Sheet {
				matches = append(matches, j)
			}
		}
		if len(matches) == 0 {
			matches = a.around(x)
		}
		if len(matches) != 1 {
			a.problems = append(a.problems, unmatched(x, len(matches)))
			continue
		}
		to := &a.attempts[matches[0]]
		if !to.SpawnedAt.OK {
			to.SpawnedAt = x.SpawnedAt
			a.problems = append(a.problems, laidWithin(x, to, r.zone))
		}
		for _, c := range clutchOf[x.ID] {
			a.clutches[c].AttemptID = to.ID
			fill(&a.clutches[c].Females, to.Females)
			fill(&a.clutches[c].TemperatureC, to.TemperatureC)
			clutchOf[to.ID] = append(clutchOf[to.ID], c)
			joined[to.ID] = true
		}
		delete(clutchOf, x.ID)
		dropAttempt[i] = true
	}
	// An attempt's own row says no more of its clutch than that there was one: the
	// clutch's row takes its place.
	for attempt, list := range clutchOf {
		if !joined[attempt] {
			continue
		}
		full := 0
		for _, c := range list {
			if !bare(&a.clutches[c]) {
				full++
			}
		}
		for _, c := range list {
			if full > 0 && bare(&a.clutches[c]) {
				dropClutch[c] = true
			}
		}
	}
	a.attempts = dropped(a.attempts, dropAttempt)
	a.clutches = dropped(a.clutches, dropClutch)
}

// around finds the attempts, of the same keeper, tank and species and from another log,
// that spawned without saying when, and between whose beginning and end a clutch was
// laid. An attempt without an end has none after the next one in its tank began.
func (a *collected) around(x *club.Attempt) []int {
	var out []int
	laid := x.SpawnedAt.V
	for i := range a.attempts {
		to := &a.attempts[i]
		if to.Keeper != x.Keeper || to.System != x.System || to.Species != x.Species || !to.Began.OK || to.SpawnedAt.OK || !to.Spawned.OK || !to.Spawned.V ||
			to.Source.File == x.Source.File && to.Source.Sheet == x.Source.Sheet || laid.Before(to.Began.V) || to.Ended.OK && laid.After(to.Ended.V.AddDate(0, 0, 1)) {
			continue
		}
		next := func(o club.Attempt) bool {
			return o.Keeper == to.Keeper && o.System == to.System && o.Species == to.Species && o.Began.OK && o.Began.V.After(to.Began.V) && !o.Began.V.After(laid)
		}
		if !slices.ContainsFunc(a.attempts, next) {
			out = append(out, i)
		}
	}
	return out
}

// laidWithin tells that the day of a clutch was taken over.
func laidWithin(x, to *club.Attempt, zone *time.Location) problem.Problem {
	return problem.Problem{Severity: problem.Note, Code: problem.DateImplied, Place: problem.Place{File: x.Source.File, Sheet: x.Source.Sheet, Row: int(x.Source.Row)}, Value: x.SpeciesAsWritten,
		Message: fmt.Sprintf("the clutch belongs to the attempt of %s in the same tank, which spawned and does not say when; its day of spawning is that of the clutch", to.Began.V.In(zone).Format("2006-01-02")),
		Fix:     "nothing to do if that is right; otherwise write the day of spawning in both"}
}

func fill[T any](to *club.Maybe[T], from club.Maybe[T]) {
	if !to.OK {
		*to = from
	}
}

func dropped[T any](list []T, drop map[int]bool) []T {
	var out []T
	for i, x := range list {
		if !drop[i] {
			out = append(out, x)
		}
	}
	return out
}

func unmatched(x *club.Attempt, matches int) problem.Problem {
	p := problem.Problem{Severity: problem.Warning, Code: problem.Contradiction,
		Place: problem.Place{File: x.Source.File, Sheet: x.Source.Sheet, Row: int(x.Source.Row)}, Value: x.SpeciesAsWritten,
		Message: "a clutch without an attempt: none of this keeper's has the same tank, species and day of spawning; it counts as an attempt of its own",
		Fix:     "add the attempt, or mend tank, species or date in one of the two"}
	if matches > 1 {
		p.Message = fmt.Sprintf("a clutch that %d attempts match by tank, species and day of spawning; it is joined to none and counts as an attempt of its own", matches)
	}
	return p
}
