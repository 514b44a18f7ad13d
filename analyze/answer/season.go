package answer

import (
	"fmt"
	"slices"
	"strconv"
	"time"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// Years are a stretch of whole calendar years, both ends in it.
type Years struct{ From, To int }

// String is the stretch as a file is named by it: "2025", "2023-2025".
func (y Years) String() string {
	if y.From == y.To {
		return strconv.Itoa(y.To)
	}
	return fmt.Sprintf("%d-%d", y.From, y.To)
}

// Words is the stretch as people read it: "2025", "2023 to 2025".
func (y Years) Words() string {
	if y.From == y.To {
		return strconv.Itoa(y.To)
	}
	return fmt.Sprintf("%d to %d", y.From, y.To)
}

// Has reports whether an instant lies in the stretch, by the calendar of a zone.
func (y Years) Has(w club.When, zone *time.Location) bool {
	if !w.OK {
		return false
	}
	at := w.V.In(zone).Year()
	return at >= y.From && at <= y.To
}

// A Season is all there is to say of one year or of several: the years themselves at a
// glance, and the questions answered from all records up to their end.
type Season struct {
	Club      string
	Years     Years
	First     int // year of the earliest record used
	Margin    float64
	Read      ReadSummary
	Species   []SpeciesSeason
	Triggers  []TriggerTable
	Plans     []Plan     // by species, as Triggers
	Timings   [][]Timing // by species, the three pairs of stages
	Eggs      []Eggs
	Keepers   Keepers
	Calendars []Calendar     // one a year
	Attempts  []club.Attempt // of the years, in order of their beginning
	Clutches  []club.Clutch  // of those attempts, or laid in the years
	Problems  []problem.Problem
}

// ReadSummary says what was read and what was not.
type ReadSummary struct {
	Files, Sheets            int
	Rows, Used, SetAside     int
	Errors, Warnings, Notes  int
	Readings                 int
	SpawnsOnly               []string // keepers who write down spawnings only
	NoYear                   int      // attempts without a date, which belong to no season
	Attempts, Spawned, Total int      // attempts of the years, spawned of them, and attempts of all years
}

// SpeciesSeason is one species in the years of a season.
type SpeciesSeason struct {
	Species  string
	Attempts int // with a known outcome, by keepers who write down every attempt
	Spawned  int
	Share    Interval // of the attempts that spawned, 0 to 1
	Running  int      // outcome not known yet
	OnlyLog  int      // spawnings of keepers who write down spawnings only
	Clutches int
	Eggs     int      // eggs counted
	Earlier  Interval // share in the years before
	Keepers  int
}

// Season answers for years. t are the club's tables up to their end, as the Asker's
// records hold them; readings is how many dated readings there are beside.
func (k Asker) Season(name string, years Years, t *club.Tables, readings int, zone *time.Location) Season {
	k = k.withDefaults()
	s := Season{Club: name, Years: years, Margin: k.Margin, Problems: t.Problems}
	s.readSummary(t)
	s.Read.Readings = readings
	in := func(w club.When) bool { return years.Has(w, zone) }
	var species []string
	first := years.From
	for _, a := range t.Attempts {
		switch {
		case in(a.Began), !a.Began.OK && in(a.SpawnedAt):
			s.Attempts = append(s.Attempts, a)
		case !a.Began.OK && !a.SpawnedAt.OK:
			s.Read.NoYear++
		}
		if a.Began.OK {
			first = min(first, a.Began.V.In(zone).Year())
		}
		if !slices.Contains(species, a.Species) {
			species = append(species, a.Species)
		}
	}
	for _, c := range t.Clutches {
		if in(c.LaidTo) {
			s.Clutches = append(s.Clutches, c)
		}
		if !slices.Contains(species, c.Species) {
			species = append(species, c.Species)
		}
	}
	s.First = first
	slices.Sort(species)
	slices.SortStableFunc(s.Attempts, func(a, b club.Attempt) int { return a.Began.V.Compare(b.Began.V) })
	for _, name := range species {
		s.Species = append(s.Species, k.speciesSeason(name, &s, t, zone))
		s.Triggers = append(s.Triggers, k.TriggersOf(name))
		s.Plans = append(s.Plans, k.PlanOf(s.Triggers[len(s.Triggers)-1]))
		s.Timings = append(s.Timings, k.Timings(name, noTemperature))
		s.Eggs = append(s.Eggs, k.Eggs(name))
	}
	s.Keepers = k.Keepers(KeepersQuestion{}, t)
	for year := years.From; year <= years.To; year++ {
		s.Calendars = append(s.Calendars, k.Calendar(year))
	}
	return s
}

func (s *Season) readSummary(t *club.Tables) {
	r := &s.Read
	files := map[string]bool{}
	for _, src := range t.Sources {
		files[src.File] = true
		r.Sheets++
		r.Rows += int(src.Rows)
		r.Used += int(src.Used)
		r.SetAside += int(src.SetAside)
	}
	r.Files = len(files)
	r.Errors, r.Warnings, r.Notes = problem.Count(t.Problems, problem.Error), problem.Count(t.Problems, problem.Warning), problem.Count(t.Problems, problem.Note)
	r.Total = len(t.Attempts)
}

func (k Asker) speciesSeason(name string, s *Season, t *club.Tables, zone *time.Location) SpeciesSeason {
	out := SpeciesSeason{Species: name}
	keepers := map[string]bool{}
	earlier, earlierSpawned := 0, 0
	for _, a := range t.Attempts {
		if a.Species != name || !a.Began.OK {
			continue
		}
		now := s.Years.Has(a.Began, zone)
		only := k.Records.SpawnsOnly[a.Keeper]
		switch {
		case now && only:
			out.OnlyLog++
		case now && !a.Spawned.OK:
			out.Running++
		case now:
			out.Attempts++
			if a.Spawned.V {
				out.Spawned++
			}
		case a.Began.V.In(zone).Year() < s.Years.From && !only && a.Spawned.OK:
			earlier++
			if a.Spawned.V {
				earlierSpawned++
			}
		}
		if now {
			keepers[a.Keeper] = true
		}
	}
	out.Keepers = len(keepers)
	out.Share, out.Earlier = k.share(out.Spawned, out.Attempts), k.share(earlierSpawned, earlier)
	for _, c := range s.Clutches {
		if c.Species == name {
			out.Clutches++
			out.Eggs += int(c.Eggs.Or(0))
		}
	}
	s.Read.Attempts += out.Attempts + out.Running + out.OnlyLog
	s.Read.Spawned += out.Spawned + out.OnlyLog
	for keeper := range keepers {
		if k.Records.SpawnsOnly[keeper] && !slices.Contains(s.Read.SpawnsOnly, keeper) {
			s.Read.SpawnsOnly = append(s.Read.SpawnsOnly, keeper)
			slices.Sort(s.Read.SpawnsOnly)
		}
	}
	return out
}
