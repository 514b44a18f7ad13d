package club

import (
	"maps"
	"math"
	"slices"
	"time"
)

// SpawningsOnlyFloor is how many attempts a keeper must have, all of them spawnings, before
// the records alone can show that failures are not written down.
const SpawningsOnlyFloor = 5

// A run of spawnings that honest records of the same club would show less often than
// oddRun is taken for records of spawnings only. The choice is ours.
const oddRun = 0.1

// enoughOfSpecies is how many attempts with a known outcome another keeper must have of a
// species before that keeper's share says something of it.
const enoughOfSpecies = 10

// SpawningsOnly finds the keepers who write down spawnings and not the attempts that came
// to nothing. said tells what the club says itself: true for a keeper who writes down
// spawnings only, false for one who writes down every attempt. In this order:
//
//  1. A keeper with an attempt that came to nothing, or whose outcome is open, writes
//     attempts down.
//  2. What the club says stands.
//  3. With fewer than SpawningsOnlyFloor attempts, attempts are taken to be written down.
//  4. Who gives no date of setting up for most of them writes down spawnings.
//  5. Who gives the end of most of them as a later day than the spawning follows the
//     attempt and not the spawning, and writes attempts down.
//  6. Else it is asked how often a keeper who writes everything down would have such a run:
//     the mean, over the others with attempts that came to nothing, of the product of
//     their shares of spawnings, each as often as the run is long. Less than 1 in 10 means
//     spawnings only, and so does a club in which nobody wrote a failure down.
func SpawningsOnly(attempts []Attempt, said map[string]bool) map[string]bool {
	tallies := map[string]*writes{}
	for i := range attempts {
		a := &attempts[i]
		t := tallies[a.Keeper]
		if t == nil {
			t = &writes{of: map[string]outcomes{}}
			tallies[a.Keeper] = t
		}
		t.add(a)
	}
	only := map[string]bool{}
	for keeper, t := range tallies {
		if t.spawned < t.attempts {
			continue
		}
		if says, ok := said[keeper]; ok {
			if says {
				only[keeper] = true
			}
			continue
		}
		switch {
		case t.attempts < SpawningsOnlyFloor:
		case 2*t.begun < t.attempts:
			only[keeper] = true
		case 2*t.followed > t.attempts:
		case chanceOfRun(t, tallies) < oddRun:
			only[keeper] = true
		}
	}
	return only
}

// writes are what one keeper wrote down, counted.
type writes struct {
	attempts, spawned int
	begun, followed   int // with a date of setting up; ended on a later day than spawned
	of                map[string]outcomes
}

// outcomes are those that are known, of one species.
type outcomes struct{ spawned, failed int }

func (t *writes) add(a *Attempt) {
	t.attempts++
	if a.Began.OK {
		t.begun++
	}
	if a.Ended.OK && a.SpawnedAt.OK && a.Ended.V.Sub(a.SpawnedAt.V) >= 24*time.Hour {
		t.followed++
	}
	o := t.of[a.Species]
	switch {
	case a.Spawned.OK && a.Spawned.V:
		t.spawned++
		o.spawned++
	case a.Spawned.OK:
		o.failed++
	}
	t.of[a.Species] = o
}

func (t *writes) failed() int {
	n := 0
	for _, o := range t.of {
		n += o.failed
	}
	return n
}

// share is the share of spawnings of a species, or of all where there are few of it. Where
// none failed, half a failure is added: so many more might not all spawn.
func (t *writes) share(species string) (share float64, ofSpecies bool) {
	spawned, failed := t.spawned, t.failed()
	if o := t.of[species]; o.spawned+o.failed >= enoughOfSpecies {
		spawned, failed, ofSpecies = o.spawned, o.failed, true
	}
	return float64(spawned) / (float64(spawned) + max(float64(failed), 0.5)), ofSpecies
}

// chanceOfRun is how often keepers who write everything down would have the run of t: for
// each species the mean over those who have enough of it, or over all where nobody has.
func chanceOfRun(t *writes, all map[string]*writes) float64 {
	chance := 1.0
	for _, species := range slices.Sorted(maps.Keys(t.of)) {
		run := float64(t.of[species].spawned)
		var ofThis, ofAny []float64
		for _, keeper := range slices.Sorted(maps.Keys(all)) {
			other := all[keeper]
			if other.failed() == 0 {
				continue
			}
			p, ofSpecies := other.share(species)
			ofAny = append(ofAny, math.Pow(p, run))
			if ofSpecies {
				ofThis = append(ofThis, math.Pow(p, run))
			}
		}
		if len(ofThis) == 0 {
			ofThis = ofAny
		}
		if len(ofThis) == 0 {
			return 0
		}
		sum := 0.0
		for _, p := range ofThis {
			sum += p
		}
		chance *= sum / float64(len(ofThis))
	}
	return chance
}
