package answer

import (
	"cmp"
	"math"
	"slices"
	"time"

	"gravid/analyze/exposure"
	"gravid/ingest/club"
)

// A Calendar sets the spawns of one year against the air pressure and the water
// temperature on record. It shows, and answers nothing: what seems to go together in
// one year's picture is asked of all records by the question of the trigger.
type Calendar struct {
	Year        int             `json:"year"`
	Spawns      []CalendarSpawn `json:"spawns"`
	Undated     int             `json:"undated"` // spawnings of the year without a date
	Pressure    []CalendarDay   `json:"pressure_hpa"`
	Barometers  int             `json:"barometers"`       // records of air pressure there are; the longest is shown
	FallHPa     Num             `json:"fall_hpa"`         // from which fall on a day is marked
	FallHours   Num             `json:"fall_hours"`       // over how long
	FallDays    []string        `json:"fall_days"`        // days that open after such a fall
	Temperature []CalendarDay   `json:"temperature_c"`    // of loggers
	Loggers     int             `json:"loggers"`          // tanks with a logger
	AfterFall   int             `json:"spawns_on_falls"`  // spawns on days that open after such a fall
	Known       int             `json:"spawns_with_fall"` // spawns on days of which that is known
}

// CalendarSpawn is one spawning with what is known of its day.
type CalendarSpawn struct {
	Day          string      `json:"day"` // by the club's calendar
	Species      string      `json:"species"`
	Keeper       string      `json:"keeper"`
	Tank         string      `json:"tank"`
	Eggs         club.Count  `json:"-"`
	TemperatureC Num         `json:"temperature_c"` // as written down for the attempt or the clutch
	Change       Num         `json:"pressure_change_hpa"`
	Source       club.Source `json:"-"`
}

// CalendarDay is one day of readings.
type CalendarDay struct {
	Day    string `json:"day"`
	Mean   Num    `json:"mean"`
	Low    Num    `json:"low"`
	High   Num    `json:"high"`
	Change Num    `json:"change"` // over the 24 hours that close at the midnight that opens the day
}

// dateOnly is how days are written.
const dateOnly = "2006-01-02"

// Calendar is the calendar of a year.
func (k Asker) Calendar(year int) Calendar {
	k = k.withDefaults()
	zone := k.Records.Zone
	from, to := time.Date(year, 1, 1, 0, 0, 0, 0, zone), time.Date(year+1, 1, 1, 0, 0, 0, 0, zone)
	c := Calendar{Year: year, FallHPa: unknown, FallHours: unknown, Spawns: []CalendarSpawn{}, Pressure: []CalendarDay{}, Temperature: []CalendarDay{}, FallDays: []string{}}
	pressure, _, barometers := k.Records.Days("air_pressure_hpa", true, from, to)
	temperature, loggers, _ := k.Records.Days("temperature_c", false, from, to)
	c.Barometers, c.Loggers = barometers, loggers
	changes := map[string]float64{}
	rule, ruled := exposure.PressureRule(k.Triggers)
	if ruled {
		c.FallHPa, c.FallHours = Num(rule.Threshold), Num(rule.WindowHours)
	}
	for _, d := range pressure {
		day := calendarDay(d)
		c.Pressure = append(c.Pressure, day)
		if math.IsNaN(d.Change) {
			continue
		}
		changes[day.Day] = d.Change
		if ruled && d.Change <= -rule.Threshold {
			c.FallDays = append(c.FallDays, day.Day)
		}
	}
	for _, d := range temperature {
		c.Temperature = append(c.Temperature, calendarDay(d))
	}
	c.spawns(k.Records, from, to)
	for i := range c.Spawns {
		s := &c.Spawns[i]
		change, known := changes[s.Day]
		if !known {
			s.Change = unknown
			continue
		}
		s.Change = Num(change)
		c.Known++
		if ruled && change <= -rule.Threshold {
			c.AfterFall++
		}
	}
	return c
}

func calendarDay(d exposure.DayReading) CalendarDay {
	return CalendarDay{Day: d.Opens.Format(dateOnly), Mean: Num(d.Mean), Low: Num(d.Low), High: Num(d.High), Change: Num(d.Change)}
}

// spawns lists the spawnings of a year: the clutches laid in it, and the attempts that
// spawned in it and have no clutch.
func (c *Calendar) spawns(r *exposure.Records, from, to time.Time) {
	in := func(w club.When) bool { return w.OK && !w.V.Before(from) && w.V.Before(to) }
	attempts := map[string]*club.Attempt{}
	for i := range r.Attempts {
		attempts[r.Attempts[i].ID] = &r.Attempts[i]
	}
	hasClutch := map[string]bool{}
	add := func(at club.When, species, keeper, tank string, eggs club.Count, t club.Number, src club.Source) {
		c.Spawns = append(c.Spawns, CalendarSpawn{Day: at.V.In(r.Zone).Format(dateOnly), Species: species, Keeper: keeper, Tank: tank, Eggs: eggs, TemperatureC: Num(recordedNumber(t)), Source: src})
	}
	for i := range r.Clutches {
		x := &r.Clutches[i]
		t := x.TemperatureC
		if a := attempts[x.AttemptID]; a != nil && !t.OK {
			t = a.TemperatureC
		}
		hasClutch[x.AttemptID] = hasClutch[x.AttemptID] || x.LaidTo.OK
		if in(x.LaidTo) {
			add(x.LaidTo, x.Species, x.Keeper, x.System, x.Eggs, t, x.Source)
		}
	}
	for i := range r.Attempts {
		a := &r.Attempts[i]
		switch {
		case !a.Spawned.OK || !a.Spawned.V || hasClutch[a.ID]:
		case in(a.SpawnedAt):
			add(a.SpawnedAt, a.Species, a.Keeper, a.System, club.Count{}, a.TemperatureC, a.Source)
		case !a.SpawnedAt.OK && in(a.Began):
			c.Undated++
		}
	}
	slices.SortStableFunc(c.Spawns, func(a, b CalendarSpawn) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Species, b.Species), cmp.Compare(a.Keeper, b.Keeper), cmp.Compare(a.Tank, b.Tank))
	})
}
