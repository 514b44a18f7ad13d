package exposure

import (
	"cmp"
	"slices"
	"time"

	"gravid/ingest/club"
)

// A Watch is when a keeper watched, as the club says: every spawning between the two
// days would have been written down.
type Watch struct {
	From, To time.Time // first and last day
}

// StratumDays is the length of the stretch of days within which a day with a spawn is
// compared with days without, where nobody says when a keeper watched.
const StratumDays = 28

// mostRefractory is how many days after a spawn are taken to be without a chance of
// another, unless the records show shorter gaps. Days that are no chance at all pull the
// odds ratio towards 1 (experiment E6 of cmd/experiments), days left out for nothing cost
// little.
const mostRefractory = 14

// RefractoryDays is how many days after a spawn the same tank is left out of days at
// risk: 14, or fewer where tanks of this species spawned again sooner.
func (r *Records) RefractoryDays(species string) int {
	shortest := mostRefractory + 1
	for _, days := range r.spawnDays(species) {
		for i := 1; i < len(days); i++ {
			if gap := int(days[i].at.Sub(days[i-1].at).Hours()/24 + 0.5); gap > 0 {
				shortest = min(shortest, gap)
			}
		}
	}
	return min(mostRefractory, shortest-1)
}

// A spawnDay is a day on which a tank spawned, and the attempt that says so.
type spawnDay struct {
	at      time.Time // local midnight
	attempt int
}

// spawnDays are the days of spawning of each tank whose keeper writes down spawnings
// only, in order.
func (r *Records) spawnDays(species string) map[water][]spawnDay {
	out := map[water][]spawnDay{}
	for i := range r.Attempts {
		a := &r.Attempts[i]
		if a.Species != species || !r.SpawnsOnly[a.Keeper] || !a.SpawnedAt.OK {
			continue
		}
		k := water{a.Keeper, a.System}
		out[k] = append(out[k], spawnDay{r.midnight(a.SpawnedAt.V), i})
	}
	for k, days := range out {
		slices.SortStableFunc(days, func(a, b spawnDay) int { return a.at.Compare(b.at) })
		out[k] = slices.CompactFunc(days, func(a, b spawnDay) bool { return a.at.Equal(b.at) })
	}
	return out
}

// AtRisk lays out the days of keepers who write down spawnings only: one row a day on
// which a tank could have spawned and somebody would have written it down, less the
// days after a spawn (RefractoryDays) and those on which the keeper was away. With known windows of watching the rows are all
// days of these (matched is false; keepers without a window are left out and counted).
// Where no keeper of the species has one, the rows are the days of the 28-day strata
// that hold a spawn of the tank, and Keeper numbers the strata: days are then compared
// within a stratum only (matched is true).
//
// Lumley & Levy (2000) on comparison days fixed by the calendar; Janes et al. (2005) on
// why they must not move with the case.
func (r *Records) AtRisk(species string) (f *Frame, matched bool) {
	f = &Frame{Species: species, ByDay: true}
	units := r.spawnDays(species)
	var order []water
	matched = true
	for k := range units {
		order = append(order, k)
		if _, known := r.watches[k.keeper]; known {
			matched = false
		}
	}
	slices.SortFunc(order, func(a, b water) int {
		return cmp.Or(cmp.Compare(a.keeper, b.keeper), cmp.Compare(a.system, b.system))
	})
	for i := range r.Attempts {
		a := &r.Attempts[i]
		if a.Species != species {
			continue
		}
		f.Total++
		switch {
		case !r.SpawnsOnly[a.Keeper]:
			f.leaveOut("keeper writes down attempts as well", 1)
		case !a.SpawnedAt.OK:
			f.leaveOut("spawned, but no date of spawning", 1)
		}
	}
	refractory := r.RefractoryDays(species)
	groups := map[string]int{}
	for _, k := range order {
		r.riskDays(f, k, units[k], refractory, matched, groups)
	}
	return f, matched
}

// riskDays adds the days at risk of one tank.
func (r *Records) riskDays(f *Frame, k water, spawns []spawnDay, refractory int, matched bool, groups map[string]int) {
	watch, known := r.watches[k.keeper]
	if !matched && !known {
		f.leaveOut("nobody says when this keeper watched", len(spawns))
		return
	}
	from, to := watch.From, watch.To
	if matched {
		from, to = stratumStart(spawns[0].at), stratumStart(spawns[len(spawns)-1].at).AddDate(0, 0, StratumDays-1)
	}
	spawnedOn := map[time.Time]int{}
	hasSpawn := map[time.Time]bool{}
	for _, s := range spawns {
		spawnedOn[s.at] = s.attempt
		hasSpawn[stratumStart(s.at)] = true
	}
	last, nearest := time.Time{}, spawns[0].attempt
	for day := from; !day.After(to); day = day.AddDate(0, 0, 1) {
		attempt, spawned := spawnedOn[day]
		if spawned {
			nearest = attempt
		}
		rested := last.IsZero() || day.After(last.AddDate(0, 0, refractory))
		if spawned {
			last = day
		}
		name := k.keeper
		if matched {
			name = k.keeper + "\x00" + k.system + "\x00" + stratumStart(day).Format("2006-01-02")
			if !hasSpawn[stratumStart(day)] {
				continue
			}
		}
		if r.isAway(k.keeper, day) {
			if spawned {
				f.leaveOut("spawned while the keeper was away", 1)
			}
			continue
		}
		if !rested {
			if spawned {
				f.leaveOut("spawned again within the days that are left out after a spawn", 1)
			}
			continue
		}
		g, seen := groups[name]
		if !seen {
			g = len(f.Keepers)
			groups[name] = g
			f.Keepers = append(f.Keepers, k.keeper)
		}
		f.add(nearest, 1, day, spawned, g)
	}
	outside := 0
	for _, s := range spawns {
		if s.at.Before(from) || s.at.After(to) {
			outside++
		}
	}
	f.leaveOut("spawned outside the time that the keeper watched", outside)
}

// isAway reports whether a keeper was away on a day, as the club says.
func (r *Records) isAway(keeper string, day time.Time) bool {
	return slices.ContainsFunc(r.away[keeper], func(w Watch) bool { return !day.Before(w.From) && !day.After(w.To) })
}

// stratumStart is the first day of the 28-day stratum of a day: strata are fixed by the
// calendar and do not move with the spawns.
func stratumStart(day time.Time) time.Time {
	epoch := time.Date(2000, 1, 1, 0, 0, 0, 0, day.Location())
	n := int(day.Sub(epoch).Hours()/24 + 0.5)
	if n < 0 {
		n -= StratumDays - 1
	}
	return epoch.AddDate(0, 0, n/StratumDays*StratumDays)
}

// indexActs sorts the acts of husbandry by tank and kind, and finds out who writes
// which kind down.
func (r *Records) indexActs(actions []club.Action) {
	r.acts, r.writes = map[act][]acted{}, map[written]bool{}
	for i := range actions {
		a := &actions[i]
		if !a.At.OK {
			continue
		}
		k := act{a.Keeper, a.System, a.Action}
		r.acts[k] = append(r.acts[k], acted{a.At.V.Unix(), a.Amount, a.Unit})
		r.writes[written{a.Keeper, a.Action}] = true
	}
	for _, list := range r.acts {
		slices.SortStableFunc(list, func(a, b acted) int { return cmp.Compare(a.at, b.at) })
	}
}

// An act is one kind of husbandry in one tank.
type act struct{ keeper, system, action string }

type written struct{ keeper, action string }

type acted struct {
	at     int64
	amount club.Number
	unit   string
}
