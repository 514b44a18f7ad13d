// Package exposure turns a club's tables into the plain slices that the
// statistics work on: attempts or days at risk, with the trigger, what is
// adjusted for, and the groups that are not independent. Everything left out
// is counted with its reason, and the counts add up.
//
// It fits nothing and prints nothing.
package exposure

import (
	"cmp"
	"math"
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
	SpawnsOnly map[string]bool // keepers who record successes only

	watches map[string]Watch
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
	Zone    *time.Location    // the club's time zone; nil = UTC
	PlaceOf map[string]string // keeper -> place of the readings that hold for the keeper
	Watches map[string]Watch  // keeper -> when the keeper watched; only for those who write down spawnings only

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

// SpawnsOnlyFloor is how many attempts a keeper must have, all of them
// successes, to be taken for one who writes down successes only. With honest
// success rates of 60 % chance alone gives that one time in 13.
const SpawnsOnlyFloor = 5

// New makes records from tables.
func New(t *club.Tables, o Options) *Records {
	r := &Records{
		Attempts: t.Attempts, Clutches: t.Clutches, Zone: o.Zone, placeOf: o.PlaceOf, watches: o.Watches,
		spawns: map[water][]spawn{}, SpawnsOnly: map[string]bool{}, laid: &laidRows{},
	}
	if r.Zone == nil {
		r.Zone = time.UTC
	}
	r.indexReadings(t.Readings, o.Readings)
	r.indexSpawns()
	r.indexActs(t.Actions)
	r.findSpawnsOnly()
	return r
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
			return cmp.Or(cmp.Compare(len(b.at), len(a.at)), cmp.Compare(a.keeper, b.keeper),
				cmp.Compare(a.system, b.system), cmp.Compare(a.place, b.place))
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

// widest is how far apart two readings may lie for a value between them to be
// worked out, and nearest how far a single reading may lie from the instant.
const (
	widest  = 6 * 3600
	nearest = 90 * 60
)

// valueAt gives the value at an instant: between two readings at most 6 hours
// apart by straight line, else the nearest one within 90 minutes.
func (s *series) valueAt(t int64) (float64, bool) {
	i, exact := slices.BinarySearch(s.at, t)
	if exact {
		return s.value[i], true
	}
	if i > 0 && i < len(s.at) && s.at[i]-s.at[i-1] <= widest {
		w := float64(t-s.at[i-1]) / float64(s.at[i]-s.at[i-1])
		return s.value[i-1] + w*(s.value[i]-s.value[i-1]), true
	}
	if i > 0 && t-s.at[i-1] <= nearest {
		return s.value[i-1], true
	}
	if i < len(s.at) && s.at[i]-t <= nearest {
		return s.value[i], true
	}
	return math.NaN(), false
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
	pick := func(ok func(*series) bool) *series {
		if i := slices.IndexFunc(list, ok); i >= 0 {
			return list[i]
		}
		return nil
	}
	if !atPlace {
		return pick(func(s *series) bool { return s.keeper == a.Keeper && s.system == a.System })
	}
	if s := pick(func(s *series) bool { return s.keeper == a.Keeper }); s != nil {
		return s
	}
	if place := r.placeOf[a.Keeper]; place != "" {
		return pick(func(s *series) bool { return s.place == place })
	}
	return pick(func(*series) bool { return true })
}

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

func (r *Records) findSpawnsOnly() {
	type tally struct{ all, spawned int }
	tallies := map[string]tally{}
	for i := range r.Attempts {
		t := tallies[r.Attempts[i].Keeper]
		t.all++
		if s := r.Attempts[i].Spawned; s.OK && s.V {
			t.spawned++
		}
		tallies[r.Attempts[i].Keeper] = t
	}
	for keeper, t := range tallies {
		if t.all >= SpawnsOnlyFloor && t.spawned == t.all {
			r.SpawnsOnly[keeper] = true
		}
	}
}

// midnight is the local midnight that opens the day of t.
func (r *Records) midnight(t time.Time) time.Time {
	y, m, d := t.In(r.Zone).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, r.Zone)
}
