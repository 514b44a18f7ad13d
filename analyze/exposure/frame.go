package exposure

import (
	"cmp"
	"math"
	"slices"
	"sync"
	"time"

	"gravid/ingest/club"
)

// A Frame is the rows that a question is asked of: one a day at risk, or one an
// attempt. All slices have one entry a row.
type Frame struct {
	Species string
	ByDay   bool
	Attempt []int       // index into Records.Attempts
	Day     []int       // day of the attempt from 1; 1 where ByDay is false
	Opens   []time.Time // local midnight that opens the day; the start of the attempt where ByDay is false
	Y       []float64   // 1 = spawned on this day (in this attempt), 0 = not
	Keeper  []int       // index into Keepers
	Keepers []string

	Total   int       // attempts of the species in the tables
	LeftOut []LeftOut // attempts left out, by reason; Total = attempts in the frame + these
	LostDay []LeftOut // days at risk left out of attempts that stay, by reason
}

// LeftOut counts what was left out for one reason.
type LeftOut struct {
	Reason string `json:"reason"`
	N      int    `json:"n"`
}

func (f *Frame) leaveOut(reason string, n int) { f.LeftOut = count(f.LeftOut, reason, n) }

func count(list []LeftOut, reason string, n int) []LeftOut {
	if n == 0 {
		return list
	}
	if i := slices.IndexFunc(list, func(l LeftOut) bool { return l.Reason == reason }); i >= 0 {
		list[i].N += n
		return list
	}
	return append(slices.Clip(list), LeftOut{reason, n}) // a copied frame parts from the first
}

// Attempts returns the number of different attempts in the frame.
func (f *Frame) Attempts() int { return distinct(f.Attempt) }

// Spawned returns the number of spawnings in the frame.
func (f *Frame) Spawned() int {
	n := 0
	for _, y := range f.Y {
		n += int(y)
	}
	return n
}

func distinct(xs []int) int {
	seen := map[int]bool{}
	for _, x := range xs {
		seen[x] = true
	}
	return len(seen)
}

// mostDays bounds the days at risk of one attempt: longer ones are a tank left
// standing, not an attempt watched every day.
const mostDays = 120

// Rows lays out the attempts of a species. byDay asks for one row a day at risk,
// to the day the attempt spawned or ended. The day of setting up is at risk only
// where some attempt of the species spawned on it: otherwise it is a day on which
// nothing was looked for, and would make every first day look like a failure.
//
// The rows of the species asked for last are kept, since most questions about it begin
// with them: their slices are shared and must not be written to.
func (r *Records) Rows(species string, byDay bool) *Frame {
	l := r.laid
	l.Lock()
	defer l.Unlock()
	if l.frames == nil || l.species != species {
		l.species, l.frames = species, map[bool]*Frame{}
	}
	if l.frames[byDay] == nil {
		l.frames[byDay] = r.layRows(species, byDay)
	}
	f := *l.frames[byDay]
	f.LeftOut, f.LostDay = slices.Clone(f.LeftOut), slices.Clone(f.LostDay)
	return &f
}

// laidRows are the rows by day and by attempt of one species.
type laidRows struct {
	sync.Mutex
	species string
	frames  map[bool]*Frame
}

func (r *Records) layRows(species string, byDay bool) *Frame {
	f := &Frame{Species: species, ByDay: byDay}
	keeperOf := map[string]int{}
	firstDay := r.spawnedOnFirstDay(species)
	for i := range r.Attempts {
		a := &r.Attempts[i]
		if a.Species != species {
			continue
		}
		f.Total++
		if reason := r.unusable(a, byDay); reason != "" {
			f.leaveOut(reason, 1)
			continue
		}
		k, known := keeperOf[a.Keeper]
		if !known {
			k = len(f.Keepers)
			keeperOf[a.Keeper] = k
			f.Keepers = append(f.Keepers, a.Keeper)
		}
		if !byDay {
			f.add(i, 1, a.Began.V, a.Spawned.V, k)
			continue
		}
		last := r.lastDay(a)
		y, m, d := a.Began.V.In(r.Zone).Date()
		if !firstDay && r.midnight(a.Began.V).Before(last) {
			d++
		}
		// Each midnight anew: where clocks change at midnight, a day after one is none.
		for n := 1; ; n++ {
			day := time.Date(y, m, d+n-1, 0, 0, 0, 0, r.Zone)
			if day.After(last) {
				break
			}
			f.add(i, n, day, a.Spawned.OK && a.Spawned.V && day.Equal(last), k)
		}
	}
	return f
}

// spawnedOnFirstDay reports whether any attempt of a species spawned on the day it
// was set up.
func (r *Records) spawnedOnFirstDay(species string) bool {
	for i := range r.Attempts {
		a := &r.Attempts[i]
		if a.Species == species && a.Began.OK && a.SpawnedAt.OK && r.midnight(a.Began.V).Equal(r.midnight(a.SpawnedAt.V)) {
			return true
		}
	}
	return false
}

func (f *Frame) add(attempt, day int, opens time.Time, spawned bool, keeper int) {
	y := 0.0
	if spawned {
		y = 1
	}
	f.Attempt = append(f.Attempt, attempt)
	f.Day = append(f.Day, day)
	f.Opens = append(f.Opens, opens)
	f.Y = append(f.Y, y)
	f.Keeper = append(f.Keeper, keeper)
}

// lastDay is the midnight that opens the last day an attempt was at risk.
func (r *Records) lastDay(a *club.Attempt) time.Time {
	if a.Spawned.OK && a.Spawned.V {
		return r.midnight(a.SpawnedAt.V)
	}
	return r.midnight(a.Ended.V)
}

// unusable says why an attempt cannot be used, or nothing. A running attempt with
// a date of its last look stays in a frame by day: its days without a spawn are
// real. A blank outcome is never a no.
func (r *Records) unusable(a *club.Attempt, byDay bool) string {
	running := !a.Spawned.OK && a.Ended.OK
	switch {
	case a.Keeper == "":
		return "no keeper named"
	case r.SpawnsOnly[a.Keeper]:
		return "keeper writes down spawnings only"
	case !a.Spawned.OK && !(byDay && running):
		return "outcome not recorded, or still running"
	case !a.Began.OK:
		return "no date of setting up"
	case !byDay:
		return ""
	case a.Spawned.V && !a.SpawnedAt.OK:
		return "spawned, but no date of spawning"
	case !a.Spawned.V && !a.Ended.OK:
		return "not spawned, but no date when it ended"
	}
	days := int(math.Round(r.lastDay(a).Sub(r.midnight(a.Began.V)).Hours()/24)) + 1
	switch {
	case days < 1:
		return "ended before it began"
	case days > mostDays:
		return "longer than 120 days: left standing rather than watched"
	}
	return ""
}

// Keep drops the rows for which keep is false. Attempts that lose all their rows
// are counted under reason; days lost from attempts that stay are counted in
// LostDay. It returns the rows kept, as indices into the frame before.
func (f *Frame) Keep(keep func(row int) bool, reason string) []int {
	before := f.Attempts()
	kept := make([]int, 0, len(f.Y))
	lost := map[int]int{}
	for i := range f.Y {
		if keep(i) {
			kept = append(kept, i)
		} else {
			lost[f.Attempt[i]]++
		}
	}
	if len(lost) == 0 {
		return kept
	}
	f.Attempt, f.Day, f.Opens = Pick(f.Attempt, kept), Pick(f.Day, kept), Pick(f.Opens, kept)
	f.Y, f.Keeper = Pick(f.Y, kept), Pick(f.Keeper, kept)
	f.leaveOut(reason, before-f.Attempts())
	if f.ByDay {
		for _, a := range f.Attempt {
			if n := lost[a]; n > 0 {
				f.LostDay = count(f.LostDay, reason, n)
				delete(lost, a)
			}
		}
	}
	return kept
}

// Pick returns the entries of xs at the given places.
func Pick[T any](xs []T, at []int) []T {
	out := make([]T, len(at))
	for i, j := range at {
		out[i] = xs[j]
	}
	return out
}

// Months returns how many different calendar months the rows touch, whatever
// the year: 9 or more are needed to tell the season from the rest.
func (f *Frame) Months() int {
	seen := map[time.Month]bool{}
	for _, t := range f.Opens {
		seen[t.Month()] = true
	}
	return len(seen)
}

// Season returns the annual sine and cosine, and with harmonics = 2 the half-year
// ones too.
func (f *Frame) Season(harmonics int) (names []string, columns [][]float64) {
	for h := 1; h <= harmonics; h++ {
		sin, cos := make([]float64, len(f.Y)), make([]float64, len(f.Y))
		for i, t := range f.Opens {
			turn := 2 * math.Pi * float64(h) * (float64(t.YearDay()) - 0.5) / 365.25
			sin[i], cos[i] = math.Sin(turn), math.Cos(turn)
		}
		names = append(names, "season-sin-"+string(rune('0'+h)), "season-cos-"+string(rune('0'+h)))
		columns = append(columns, sin, cos)
	}
	return names, columns
}

// LogDay returns the logarithm of the day of the attempt: how the daily chance
// changes while an attempt goes on.
func (f *Frame) LogDay() []float64 {
	x := make([]float64, len(f.Day))
	for i, d := range f.Day {
		x[i] = math.Log(float64(d))
	}
	return x
}

// EpisodeDays is the length of the stretch of days that counts as one episode of
// weather. Fronts of 3 to 5 days (common practice, no source) reach across the ends of
// blocks as short as themselves: with blocks of 5 days and fronts of 5, 8.5 of 100 null
// worlds were called a link at the 5 % level, with blocks of 10 days 6.6 (experiment E4
// of cmd/experiments, 2,000 worlds).
const EpisodeDays = 10

// Episodes numbers the rows by episode of weather and place, so that keepers
// under one sky share a number.
func (r *Records) Episodes(f *Frame) []int {
	return r.underOneSky(f, func(day time.Time) int64 { return day.Unix() / 86400 / EpisodeDays })
}

// Stretches numbers the rows by stretch of StratumDays days and place. Strata of matched
// days begin on the same days for all tanks; so those of one stretch and one sky share
// their weather and are left out together. Blocks as short as an episode would cut strata
// apart, whose days are compared with each other.
func (r *Records) Stretches(f *Frame) []int {
	return r.underOneSky(f, func(day time.Time) int64 { return stratumStart(day).Unix() })
}

// underOneSky numbers the rows by place and block of days.
func (r *Records) underOneSky(f *Frame, block func(time.Time) int64) []int {
	type episode struct {
		block int64
		place string
	}
	return numbered(len(f.Y), func(i int) episode {
		return episode{block(f.Opens[i]), r.placeOf[r.Attempts[f.Attempt[i]].Keeper]}
	})
}

// KeeperNumbers numbers the rows by keeper, also where Keeper numbers strata of days.
func (f *Frame) KeeperNumbers() []int {
	return numbered(len(f.Y), func(i int) string { return f.Keepers[f.Keeper[i]] })
}

// numbered numbers rows by what they share, in order of appearance.
func numbered[T comparable](rows int, of func(row int) T) []int {
	numbers := map[T]int{}
	out := make([]int, rows)
	for i := range out {
		k := of(i)
		n, seen := numbers[k]
		if !seen {
			n = len(numbers)
			numbers[k] = n
		}
		out[i] = n
	}
	return out
}

// TypicalDays is the middle length of the attempts that were not cut short by a
// spawning: how long keepers watch. Where none ended without one, the longest.
func (f *Frame) TypicalDays() int {
	length, spawned := map[int]int{}, map[int]bool{}
	for i, a := range f.Attempt {
		length[a] = max(length[a], f.Day[i])
		spawned[a] = spawned[a] || f.Y[i] == 1
	}
	var failed, all []int
	for a, n := range length {
		all = append(all, n)
		if !spawned[a] {
			failed = append(failed, n)
		}
	}
	slices.Sort(failed)
	slices.Sort(all)
	switch {
	case len(failed) > 0:
		return failed[len(failed)/2]
	case len(all) > 0:
		return all[len(all)-1]
	}
	return 0
}

// Lengths returns the shortest and the longest attempt that ended without a
// spawning, in days; 0, 0 when there is none.
func (f *Frame) Lengths() (shortest, longest int) {
	last := map[int]int{}
	spawned := map[int]bool{}
	for i, a := range f.Attempt {
		last[a] = max(last[a], f.Day[i])
		spawned[a] = spawned[a] || f.Y[i] == 1
	}
	for a, n := range last {
		if spawned[a] {
			continue
		}
		longest = max(longest, n)
		if shortest == 0 || n < shortest {
			shortest = n
		}
	}
	return shortest, longest
}

// sortLeftOut orders reasons by number, most first, then by name.
func sortLeftOut(list []LeftOut) {
	slices.SortFunc(list, func(a, b LeftOut) int {
		return cmp.Or(cmp.Compare(b.N, a.N), cmp.Compare(a.Reason, b.Reason))
	})
}

// Reasons returns what was left out, most first: attempts, then days.
func (f *Frame) Reasons() (attempts, days []LeftOut) {
	attempts, days = slices.Clone(f.LeftOut), slices.Clone(f.LostDay)
	sortLeftOut(attempts)
	sortLeftOut(days)
	return attempts, days
}

// AllRows lays out the attempts of all species that keep says yes to, one row each.
func (r *Records) AllRows(keep func(*club.Attempt) bool) *Frame {
	f := &Frame{}
	keeperOf := map[string]int{}
	for i := range r.Attempts {
		a := &r.Attempts[i]
		if !keep(a) {
			continue
		}
		f.Total++
		if reason := r.Unusable(a); reason != "" {
			f.leaveOut(reason, 1)
			continue
		}
		k, known := keeperOf[a.Keeper]
		if !known {
			k = len(f.Keepers)
			keeperOf[a.Keeper] = k
			f.Keepers = append(f.Keepers, a.Keeper)
		}
		f.add(i, 1, a.Began.V, a.Spawned.V, k)
	}
	return f
}

// Unusable says why an attempt cannot be a row of a frame with one row an attempt, or
// nothing.
func (r *Records) Unusable(a *club.Attempt) string { return r.unusable(a, false) }
