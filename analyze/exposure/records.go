// Package exposure turns a club's tables into the plain slices that the
// statistics work on: attempts or days at risk, with the trigger, what is
// adjusted for, and the groups that are not independent. Everything left out
// is counted with its reason, and the counts add up.
//
// It fits nothing and prints nothing.
package exposure

import (
	"slices"
	"sort"
	"sync"
	"time"

	"gravid/analyze/catalogue"
	"gravid/ingest/club"
)

// Records are a club's tables made ready for questions. They may be shared between
// goroutines; after New nothing changes but that readings are read when they are first
// needed.
type Records struct {
	Attempts   []club.Attempt
	Clutches   []club.Clutch
	Zone       *time.Location
	SpawnsOnly map[string]bool // keepers who write down spawnings only, by club.SpawningsOnly

	watches map[string]Watch
	away    map[string][]Watch
	acts    map[act][]acted
	writes  map[written]bool
	placeOf map[string]string
	dated   func() map[string][]*series // by quantity, longest first
	failed  error                       // of reading them
	spawns  map[water][]spawn
	last    time.Time
	laid    *laidRows
}

// Options say what the tables do not.
type Options struct {
	Zone    *time.Location     // the club's time zone; nil = UTC
	PlaceOf map[string]string  // keeper -> place of the readings that hold for the keeper
	Watches map[string]Watch   // keeper -> when the keeper watched; only for those who write down spawnings only
	Away    map[string][]Watch // keeper -> first and last days within that on which nobody watched
	InFull  map[string]bool    // keepers who write down every attempt, though all of them spawned

	// Readings reads the dated readings of some quantities. It is called once, when a
	// question first needs any. nil = those of the tables.
	Readings func(quantities ...string) ([]club.Course, error)
}

type water struct{ keeper, system string }

type spawn struct {
	species string
	at      time.Time
}

// A series is the readings of one quantity in one place, in order of time.
type series struct {
	keeper, system, place string
	at                    []int64 // Unix seconds
	value                 []float64
}

// New makes records from tables.
func New(t *club.Tables, o Options) *Records {
	r := &Records{
		Attempts: t.Attempts, Clutches: t.Clutches, Zone: o.Zone, placeOf: o.PlaceOf, watches: o.Watches, away: o.Away,
		spawns: map[water][]spawn{}, SpawnsOnly: club.SpawningsOnly(t.Attempts, o.said()), laid: &laidRows{},
	}
	if r.Zone == nil {
		r.Zone = time.UTC
	}
	r.indexReadings(t.Readings, o.Readings)
	r.indexSpawns()
	r.indexActs(t.Actions)
	return r
}

// said is what the club says of keepers, for club.SpawningsOnly.
func (o Options) said() map[string]bool {
	said := map[string]bool{}
	for keeper := range o.Watches {
		said[keeper] = true
	}
	for keeper, all := range o.InFull {
		if all {
			said[keeper] = false
		}
	}
	return said
}

// indexReadings prepares the series: at once from rows, or when they are first asked
// for.
func (r *Records) indexReadings(readings []club.Reading, read func(...string) ([]club.Course, error)) {
	if read == nil {
		ready := seriesOf(club.Courses(readings))
		r.dated = func() map[string][]*series { return ready }
		return
	}
	r.dated = sync.OnceValue(func() map[string][]*series {
		var courses []club.Course
		courses, r.failed = read(catalogue.Quantities(catalogue.Triggers())...)
		if r.failed != nil {
			return nil
		}
		return seriesOf(courses)
	})
}

// Err is why the readings could not be read, where a question needed them: ask once all
// questions are answered. What was answered then took no account of them, and must not
// be shown.
func (r *Records) Err() error { return r.failed }

func seriesOf(courses []club.Course) map[string][]*series {
	of := map[string][]*series{}
	for _, c := range courses {
		of[c.Quantity] = append(of[c.Quantity], &series{c.Keeper, c.System, c.Place, c.At, c.Value})
	}
	for _, list := range of {
		for _, s := range list {
			s.sort()
		}
		slices.SortFunc(list, func(a, b *series) int {
			return Longer(a.sky(), len(a.at), b.sky(), len(b.at))
		})
	}
	return of
}

func (s *series) Len() int           { return len(s.at) }
func (s *series) Less(i, j int) bool { return s.at[i] < s.at[j] }
func (s *series) Swap(i, j int) {
	s.at[i], s.at[j] = s.at[j], s.at[i]
	s.value[i], s.value[j] = s.value[j], s.value[i]
}

func (s *series) sort() {
	if !sort.IsSorted(s) {
		sort.Stable(s)
	}
}

// around gives what is known of the value at an instant.
func (s *series) around(t int64) (a Around) {
	i, _ := slices.BinarySearch(s.at, t)
	if i > 0 {
		a.Before = s.measured(i - 1)
	}
	if i < len(s.at) {
		a.After = s.measured(i)
	}
	return a
}

func (s *series) measured(i int) Measured {
	return Measured{OK: true, At: s.at[i], Row: int64(i), Value: s.value[i]}
}

// between gives the readings in [from, to).
func (s *series) between(from, to int64) []float64 {
	i, _ := slices.BinarySearch(s.at, from)
	j, _ := slices.BinarySearch(s.at, to)
	return s.value[i:j]
}

// seriesFor finds the readings that hold for an attempt: of its own tank; with
// atPlace of the keeper, of the keeper's place, or the club's longest.
func (r *Records) seriesFor(a *club.Attempt, quantity string, atPlace bool) *series {
	list := r.dated()[quantity]
	i := SkyFor(len(list), func(i int) Sky { return list[i].sky() }, a.Keeper, a.System, r.placeOf[a.Keeper], atPlace)
	if i < 0 {
		return nil
	}
	return list[i]
}

func (s *series) sky() Sky { return Sky{s.keeper, s.system, s.place} }

// Places names the series of a quantity that PlaceOf does not settle: more than
// one sky while a keeper's own is unknown.
func (r *Records) skies(quantity string) int { return len(r.dated()[quantity]) }

func (r *Records) indexSpawns() {
	for i := range r.Attempts {
		a := &r.Attempts[i]
		if a.SpawnedAt.OK && a.System != "" {
			k := water{a.Keeper, a.System}
			r.spawns[k] = append(r.spawns[k], spawn{a.Species, a.SpawnedAt.V})
		}
		for _, t := range []club.When{a.Began, a.Ended, a.SpawnedAt} {
			if t.OK && t.V.After(r.last) {
				r.last = t.V
			}
		}
	}
}

// midnight is the local midnight that opens the day of t.
func (r *Records) midnight(t time.Time) time.Time {
	y, m, d := t.In(r.Zone).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, r.Zone)
}
