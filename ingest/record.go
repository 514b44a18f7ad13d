package ingest

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"strings"
	"time"

	"gravid/ingest/cell"
	"gravid/ingest/club"
	"gravid/ingest/heading"
	"gravid/ingest/problem"
	"gravid/ingest/unit"
)

// A record is one row of a log of attempts on its way into the tables: an
// attempt, and the clutch that came of it.
type record struct {
	attempt club.Attempt
	clutch  club.Clutch
	began, ended, spawned, dated,
	hatch, swim, lost, seen moment
	refill club.Number // temperature of the refill, from which the difference to the tank follows

	// volumes in litres, of which the first is a share of the second
	changed, tank club.Number
	unviable      club.Count
	before, after club.Number // air pressure, of which the difference is the change
	air           club.Number // air pressure of the row's day, without saying when
	eggsUnread    bool        // the number of all eggs is written, and could not be read

	// lengths of time in days, where a log has them in place of dates
	hatchAfter, swimAfter, swimAfterHatch club.Number

	answer   cell.Answer
	stages   []stage // of a table with its days across
	doubtful bool    // a cell under a day could not be read
	written  bool    // a cell of the clutch's own was written
	notes    []string
}

// A moment is a date of a row, with the cell that it came from.
type moment struct {
	ok       bool
	from, to time.Time // the stretch that was written: a day, a minute
	at       problem.Place
	text     string
}

// first is the instant by which an event seen at this moment had happened.
func (m moment) first() club.When {
	if !m.ok {
		return club.When{}
	}
	return club.Some(m.from.UTC())
}

// put is how a field that holds one value takes it.
type put struct {
	number func(*record) *club.Number
	truth  func(*record) *club.Truth
	count  func(*record) *club.Count
	date   func(*record) *moment
	limits string // name in unit.LimitsOf, empty for none
	noun   cell.Noun
	clutch bool    // belongs to the clutch: shows that there was one
	finer  float64 // the unit of the limits is this many times smaller than the canonical one; 0 = 1
}

// puts are the fields of a row that hold one value each.
var puts = map[heading.Field]put{
	heading.Temperature:      {number: func(r *record) *club.Number { return &r.attempt.TemperatureC }, limits: "water_temp"},
	heading.PH:               {number: func(r *record) *club.Number { return &r.attempt.PH }, limits: "pH"},
	heading.Conductivity:     {number: func(r *record) *club.Number { return &r.attempt.ConductivityUS }, limits: "conductivity_25C_fresh"},
	heading.GH:               {number: func(r *record) *club.Number { return &r.attempt.GH }, limits: "gh"},
	heading.KH:               {number: func(r *record) *club.Number { return &r.attempt.KH }, limits: "kh"},
	heading.Nitrate:          {number: func(r *record) *club.Number { return &r.attempt.NitrateMgL }, limits: "nitrate"},
	heading.LightHours:       {number: func(r *record) *club.Number { return &r.attempt.LightHours }, limits: "photoperiod"},
	heading.ConditioningDays: {number: func(r *record) *club.Number { return &r.attempt.ConditioningDays }, limits: "conditioning"},
	heading.WaterChangePct:   {number: func(r *record) *club.Number { return &r.attempt.WaterChangePct }, limits: "water_change"},
	heading.RefillDelta:      {number: func(r *record) *club.Number { return &r.attempt.RefillDeltaC }, limits: "temp_change_24h"},
	heading.RefillTemp:       {number: func(r *record) *club.Number { return &r.refill }, limits: "water_temp"},
	heading.LevelChange:      {number: func(r *record) *club.Number { return &r.attempt.LevelChangeCm }, limits: "water_level_change"},
	heading.PressureChange:   {number: func(r *record) *club.Number { return &r.attempt.PressureChange }, limits: "pressure_change_24h"},

	heading.PressureBefore: {number: func(r *record) *club.Number { return &r.before }, limits: "pressure_station"},
	heading.PressureAfter:  {number: func(r *record) *club.Number { return &r.after }, limits: "pressure_station"},
	heading.WaterChangeVol: {number: func(r *record) *club.Number { return &r.changed }},
	heading.HatchAfter:     {number: func(r *record) *club.Number { return &r.hatchAfter }, limits: "spawn_to_hatch", finer: 24, clutch: true},
	heading.SwimAfter:      {number: func(r *record) *club.Number { return &r.swimAfter }, limits: "spawn_to_hatch", finer: 24, clutch: true},
	heading.SwimAfterHatch: {number: func(r *record) *club.Number { return &r.swimAfterHatch }, limits: "hatch_to_free_swimming", finer: 24, clutch: true},

	heading.LiveFood:   {truth: func(r *record) *club.Truth { return &r.attempt.LiveFood }},
	heading.Microfauna: {truth: func(r *record) *club.Truth { return &r.attempt.Microfauna }},
	heading.LeafLitter: {truth: func(r *record) *club.Truth { return &r.attempt.LeafLitter }},
	heading.Flow:       {truth: func(r *record) *club.Truth { return &r.attempt.Flow }},
	heading.Rearranged: {truth: func(r *record) *club.Truth { return &r.attempt.Rearranged }},
	heading.Dither:     {truth: func(r *record) *club.Truth { return &r.attempt.Dither }},
	heading.TankMates:  {truth: func(r *record) *club.Truth { return &r.attempt.TankMates }},

	heading.Males:        {count: func(r *record) *club.Count { return &r.attempt.Males }, noun: cell.Fish},
	heading.Females:      {count: func(r *record) *club.Count { return &r.attempt.Females }, noun: cell.Fish},
	heading.Unsexed:      {count: func(r *record) *club.Count { return &r.attempt.Unsexed }, noun: cell.Fish},
	heading.Fertile:      {count: func(r *record) *club.Count { return &r.clutch.Fertile }, noun: cell.Eggs, clutch: true},
	heading.Unviable:     {count: func(r *record) *club.Count { return &r.unviable }, noun: cell.Eggs, clutch: true},
	heading.Hatched:      {count: func(r *record) *club.Count { return &r.clutch.Hatched }, noun: cell.Fry, clutch: true},
	heading.FreeSwimming: {count: func(r *record) *club.Count { return &r.clutch.FreeSwimming }, noun: cell.Fry, clutch: true},

	heading.Began:     {date: func(r *record) *moment { return &r.began }},
	heading.Ended:     {date: func(r *record) *moment { return &r.ended }},
	heading.SpawnedAt: {date: func(r *record) *moment { return &r.spawned }},
	heading.Date:      {date: func(r *record) *moment { return &r.dated }},
	heading.HatchDate: {date: func(r *record) *moment { return &r.hatch }, clutch: true},
	heading.SwimDate:  {date: func(r *record) *moment { return &r.swim }, clutch: true},
	heading.LostAt:    {date: func(r *record) *moment { return &r.lost }, clutch: true},
	heading.LastSeen:  {date: func(r *record) *moment { return &r.seen }},
}

// setOwn keeps the value of a club's own trigger.
func (r *record) setOwn(column string, v float64) {
	if r.attempt.Own == nil {
		r.attempt.Own = map[string]club.Number{}
	}
	r.attempt.Own[column] = club.Some(v)
}

// identity names a row for good: the same row of the same log always gets the
// same name.
func identity(kind string, s club.Source, beside string) string {
	name := s.File + "\x00" + s.Sheet + "\x00" + fmt.Sprint(s.Row)
	if beside != "" { // one of several tables side by side, or a column of a turned one
		name += "\x00" + beside
	}
	sum := sha256.Sum256([]byte(name))
	return kind + "-" + hex.EncodeToString(sum[:5])
}

// finish works out what follows from the cells of a row together. It returns the
// problems of cells that contradict each other.
func (r *record) finish(rhythm time.Duration, source club.Source, beside string) []problem.Problem {
	var out []problem.Problem
	a := &r.attempt
	a.Source = source
	a.ID = identity("attempt", source, beside)
	if r.refill.OK && a.TemperatureC.OK && !a.RefillDeltaC.OK {
		a.RefillDeltaC = club.Some(round(r.refill.V - a.TemperatureC.V))
	}
	r.pressure(&out)
	r.waterChange(&out)
	r.viable(&out)
	r.outcome(&out)
	r.lengths(&out)
	r.order(&out)
	r.shares(&out)
	a.Began, a.Ended, a.SpawnedAt = r.began.first(), r.ended.first(), r.spawned.first()
	a.Notes = strings.Join(r.notes, "; ")
	r.lay(rhythm, source, beside)
	return out
}

// pressure makes a change of two readings of the air pressure, before and after. What
// is impossible as a change is refused.
func (r *record) pressure(out *[]problem.Problem) {
	to := &r.attempt.PressureChange
	if !r.after.OK {
		r.after = r.air
	}
	if !r.before.OK || !r.after.OK || to.OK {
		return
	}
	change := round(r.after.V - r.before.V)
	if standing, l := judge(change, "pressure_change_24h"); standing == unit.Impossible {
		*out = append(*out, problem.Problem{Severity: problem.Error, Code: problem.Implausible,
			Message: fmt.Sprintf("air pressure that goes from %.4g to %.4g hPa changes by more than it can: by %.4g at most; the change is not used", r.before.V, r.after.V, l.HardMax), Fix: "mend one of the two"})
		return
	}
	*to = club.Some(change)
}

// waterChange makes a share of the litres changed and the volume of the tank.
func (r *record) waterChange(out *[]problem.Problem) {
	to := &r.attempt.WaterChangePct
	switch share := 100 * r.changed.V / r.tank.V; {
	case !r.changed.OK || to.OK:
	case !r.tank.OK || r.tank.V <= 0:
		r.notes = append(r.notes, fmt.Sprintf("water changed: %.4g L", r.changed.V))
		*out = append(*out, problem.Problem{Severity: problem.Warning, Code: problem.RowIncomplete,
			Message: fmt.Sprintf("%.4g L of water were changed, but the row does not say of how many; kept in the notes", r.changed.V), Fix: "add a column with the volume of the tank and its unit, or write the share in per cent"})
	case share > 100:
		*out = append(*out, problem.Problem{Severity: problem.Error, Code: problem.Implausible,
			Message: fmt.Sprintf("%.4g L of water cannot be changed in a tank of %.4g L; not used", r.changed.V, r.tank.V), Fix: "mend one of the two"})
	default:
		*to = club.Some(round(share))
	}
}

// viable holds viable and unviable eggs against all eggs, and adds them up where no
// total is written.
func (r *record) viable(out *[]problem.Problem) {
	c := &r.clutch
	if !c.Fertile.OK || !r.unviable.OK {
		return
	}
	switch sum := c.Fertile.V + r.unviable.V; {
	case !c.Eggs.OK && !c.EggsLow.OK && !c.EggsHigh.OK && !r.eggsUnread:
		c.Eggs = club.Some(sum)
		r.written = r.written || sum > 0
	case c.Eggs.OK && c.Eggs.V != sum && c.EggsMethod == "":
		*out = append(*out, problem.Problem{Severity: problem.Warning, Code: problem.Contradiction,
			Message: fmt.Sprintf("%d viable and %d unviable eggs are not %d in all; all numbers are kept", c.Fertile.V, r.unviable.V, c.Eggs.V), Fix: "mend one of them"})
	}
	r.notes = append(r.notes, fmt.Sprintf("unviable eggs: %d", r.unviable.V))
}

// round keeps a difference of two measurements from showing digits that neither
// has.
func round(x float64) float64 { return math.Round(x*1e6) / 1e6 }

// outcome settles whether the fish spawned. A blank is never a no; eggs or a date
// of spawning say yes.
func (r *record) outcome(out *[]problem.Problem) {
	a := &r.attempt
	shown := r.spawned.ok || r.hatch.ok || r.swim.ok || r.clutch.Eggs.OK && r.clutch.Eggs.V > 0 || r.clutch.Hatched.OK && r.clutch.Hatched.V > 0 ||
		r.clutch.Fertile.OK && r.clutch.Fertile.V > 0 || r.clutch.FreeSwimming.OK && r.clutch.FreeSwimming.V > 0
	switch r.answer {
	case cell.Yes:
		a.Spawned = club.Some(true)
	case cell.No:
		a.Spawned = club.Some(false)
		if shown {
			*out = append(*out, problem.Problem{Severity: problem.Warning, Code: problem.Contradiction,
				Message: "spawned says no, but the row has eggs or dates of a spawning; both are kept", Fix: "mend one of them"})
		}
	case cell.NoAnswer:
		switch {
		case shown:
			a.Spawned = club.Some(true)
			if e := r.clutch.Eggs; e.OK && e.V == 0 {
				*out = append(*out, problem.Problem{Severity: problem.Warning, Code: problem.Contradiction,
					Message: "0 eggs, but a day of spawning or young; it is taken that the fish spawned", Fix: "write spawned no, or leave the number empty if nobody counted"})
			}
		case r.clutch.Eggs.OK: // eggs were looked for, and there were none
			a.Spawned = club.Some(false)
		}
	}
	if r.dated.ok {
		switch {
		case a.Spawned.OK && a.Spawned.V && !r.spawned.ok:
			r.spawned = r.dated
		case !r.began.ok:
			r.began = r.dated
		}
	}
}

// lengths turns the days from laying to hatching, and on to free swimming, into
// the dates that they stand for. Where a row has both, they must agree to the day.
func (r *record) lengths(out *[]problem.Problem) {
	from := func(start moment, days club.Number, to *moment, words string) {
		if !days.OK {
			return
		}
		if !start.ok {
			*out = append(*out, problem.Problem{Severity: problem.Error, Code: problem.RowIncomplete,
				Message: fmt.Sprintf("%.4g days %s, but no day from which they count", days.V, words), Fix: "add the date from which the days count"})
			return
		}
		then := start.after(days.V)
		switch {
		case !to.ok:
			*to = then
		case to.to.Before(then.from) || then.to.Before(to.from):
			*out = append(*out, problem.Problem{Severity: problem.Warning, Code: problem.Contradiction, Place: to.at, Value: to.text,
				Message: fmt.Sprintf("%.4g days %s end on %s, and the date says otherwise; the date is used", days.V, words, then.from.Format("2006-01-02")), Fix: "mend one of the two"})
		}
	}
	from(r.spawned, r.hatchAfter, &r.hatch, "from laying to hatching")
	from(r.hatch, r.swimAfterHatch, &r.swim, "from hatching to free swimming")
	from(r.spawned, r.swimAfter, &r.swim, "from laying to free swimming")
}

// after is the moment some days later: the same clock hour of a later day where the
// days are whole, else so many hours later.
func (m moment) after(days float64) moment {
	whole := math.Trunc(days)
	rest := time.Duration((days - whole) * 24 * float64(time.Hour))
	return moment{ok: true, from: m.from.AddDate(0, 0, int(whole)).Add(rest), to: m.to.AddDate(0, 0, int(whole)).Add(rest)}
}

// order refuses dates that lie before what they must follow.
func (r *record) order(out *[]problem.Problem) {
	check := func(earlier, later *moment, words string) {
		if earlier.ok && later.ok && !later.to.After(earlier.from) {
			*out = append(*out, problem.Problem{Severity: problem.Error, Code: problem.DateOrder, Place: later.at, Value: later.text,
				Message: words + "; the date is not used", Fix: "mend one of the two dates"})
			*later = moment{}
		}
	}
	check(&r.began, &r.spawned, "spawned before it was set up")
	check(&r.began, &r.ended, "ended before it was set up")
	check(&r.spawned, &r.hatch, "hatched before it was laid")
	check(&r.spawned, &r.swim, "swam before it was laid")
	check(&r.hatch, &r.swim, "swam before it hatched")
	check(&r.spawned, &r.lost, "lost before it was laid")
}

// shares warns where more came of a clutch than there was of it. Both numbers are
// kept: an estimate of the eggs may have been low.
func (r *record) shares(out *[]problem.Problem) {
	c := &r.clutch
	most := c.Eggs
	if c.EggsHigh.OK {
		most = c.EggsHigh
	}
	steps := []struct {
		name string
		n    club.Count
	}{{"eggs", most}, {"fertile eggs", c.Fertile}, {"hatched", c.Hatched}, {"free swimming", c.FreeSwimming}}
	for i, later := range steps {
		for _, earlier := range steps[:i] {
			if later.n.OK && earlier.n.OK && later.n.V > earlier.n.V {
				*out = append(*out, problem.Problem{Severity: problem.Warning, Code: problem.Contradiction,
					Message: fmt.Sprintf("%d %s of %d %s; both are kept", later.n.V, later.name, earlier.n.V, earlier.name), Fix: "mend one of them, or mark the number of eggs as an estimate: ~" + fmt.Sprint(earlier.n.V)})
				break
			}
		}
	}
}

// lay makes the clutch of a row, if there was one.
func (r *record) lay(rhythm time.Duration, source club.Source, beside string) {
	a, c := &r.attempt, &r.clutch
	if !(a.Spawned.OK && a.Spawned.V) && !r.written {
		return
	}
	r.written = true
	c.ID, c.AttemptID = identity("clutch", source, beside), a.ID
	c.Keeper, c.System, c.Species, c.Source = a.Keeper, a.System, a.Species, source
	c.Females, c.TemperatureC = a.Females, a.TemperatureC
	c.LaidFrom, c.LaidTo = r.spawned.between(rhythm)
	c.HatchFrom, c.HatchTo = r.hatch.between(rhythm)
	c.SwimFrom, c.SwimTo = r.swim.between(rhythm)
	c.LostAt, c.LastSeen = r.lost.first(), r.seen.first()
	if c.Eggs.OK && c.EggsMethod == "" {
		c.EggsMethod = "counted"
	}
}

// between brackets an event seen at a moment: after the look before, by this one.
func (m moment) between(rhythm time.Duration) (from, to club.When) {
	if !m.ok {
		return club.When{}, club.When{}
	}
	return club.Some(m.from.Add(-rhythm).UTC()), club.Some(m.from.UTC())
}

// readings names the quantity under which a field of a logger is kept.
var readings = map[heading.Field]struct {
	quantity string
	limits   string
}{
	heading.AirPressure:  {"air_pressure_hpa", "pressure_station"},
	heading.Temperature:  {"temperature_c", "water_temp"},
	heading.RoomTemp:     {"room_temperature_c", "room_temp"},
	heading.Conductivity: {"conductivity_us_cm", "conductivity_25C_fresh"},
	heading.PH:           {"ph", "pH"},
	heading.WaterLevel:   {"water_level_cm", "water_depth"},
	heading.LightLevel:   {"light_lux", "illuminance"},
	heading.GH:           {"gh_dh", "gh"},
	heading.KH:           {"kh_dh", "kh"},
	heading.Nitrate:      {"nitrate_mg_l", "nitrate"},
	heading.Oxygen:       {"oxygen_mg_l", "dissolved_oxygen"},
}

// judge holds a value in canonical units against what can be and what is usual.
func judge(v float64, limits string) (unit.Standing, unit.Limits) {
	l, ok := unit.LimitsOf(limits)
	if !ok {
		return unit.Usual, unit.Limits{}
	}
	return l.Judge(v), l
}
