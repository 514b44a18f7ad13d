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
	"time"

	"gravid/ingest/club"
)

// Records are a club's tables made ready for questions. They are not changed
// after New and may be shared between goroutines.
type Records struct {
	Attempts   []club.Attempt
	Clutches   []club.Clutch
	Zone       *time.Location
	SpawnsOnly map[string]bool // keepers who record successes only

	watches map[string]Watch
	acts    map[act][]acted
	writes  map[written]bool
	placeOf map[string]string
	series  map[string][]*series // by quantity, longest first
	spawns  map[water][]spawn
	last    time.Time
}

// Options say what the tables do not.
type Options struct {
	Zone    *time.Location    // the club's time zone; nil = UTC
	PlaceOf map[string]string // keeper -> place of the readings that hold for the keeper
	Watches map[string]Watch  // keeper -> when the keeper watched; only for those who write down spawnings only
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
		series: map[string][]*series{}, spawns: map[water][]spawn{}, SpawnsOnly: map[string]bool{},
	}
	if r.Zone == nil {
		r.Zone = time.UTC
	}
	r.indexReadings(t.Readings)
	r.indexSpawns()
	r.indexActs(t.Actions)
	r.findSpawnsOnly()
	return r
}

func (r *Records) indexReadings(readings []club.Reading) {
	type key struct{ quantity, keeper, system, place string }
	byKey := map[key]*series{}
	var k key
	var current *series
	for i := range readings {
		reading := &readings[i]
		if !reading.At.OK || !reading.Value.OK {
			continue
		}
		next := key{reading.Quantity, reading.Keeper, reading.System, reading.Place}
		if current == nil || next != k {
			k = next
			if current = byKey[k]; current == nil {
				current = &series{keeper: k.keeper, system: k.system, place: k.place}
				byKey[k] = current
				r.series[k.quantity] = append(r.series[k.quantity], current)
			}
		}
		current.at = append(current.at, reading.At.V.Unix())
		current.value = append(current.value, reading.Value.V)
	}
	for _, list := range r.series {
		for _, s := range list {
			s.sort()
		}
		slices.SortFunc(list, func(a, b *series) int {
			return Longer(a.sky(), len(a.at), b.sky(), len(b.at))
		})
	}
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
	list := r.series[quantity]
	i := SkyFor(len(list), func(i int) Sky { return list[i].sky() }, a.Keeper, a.System, r.placeOf[a.Keeper], atPlace)
	if i < 0 {
		return nil
	}
	return list[i]
}

func (s *series) sky() Sky { return Sky{s.keeper, s.system, s.place} }

// Places names the series of a quantity that PlaceOf does not settle: more than
// one sky while a keeper's own is unknown.
func (r *Records) skies(quantity string) int { return len(r.series[quantity]) }

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
