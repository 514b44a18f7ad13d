package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"gravid/analyze/answer"
	"gravid/analyze/catalogue"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/ingest/species"
)

// An openClub is a club with the tables that questions need.
type openClub struct {
	*club.Club
	tables club.Tables // without the readings, and without names where those are hidden
	dated  *club.Dated // the readings
	zone   *time.Location
	names  *species.Names
	shown  *pseudonyms // nil where the club wants names shown
}

// open opens the club and loads its tables.
func (a *app) open() (*openClub, error) {
	c, err := club.Open(a.club)
	if err != nil {
		return nil, asFailure(err)
	}
	t, dated, err := c.LoadButReadings()
	if err != nil {
		return nil, errors.Join(asFailure(err), c.Close())
	}
	zone, err := c.Config.Location()
	if err != nil {
		return nil, errors.Join(asFailure(err), dated.Close(), c.Close())
	}
	o := &openClub{Club: c, tables: t, dated: dated, zone: zone, names: species.New(c.Config.Species)}
	if c.Config.Pseudonyms {
		o.shown = hideNames(&o.tables)
		for _, keeper := range slices.Sorted(maps.Keys(c.Config.Home)) {
			o.place(c.Config.Home[keeper])
		}
	}
	return o, nil
}

// Close lets go of the club and of its readings.
func (o *openClub) Close() error { return errors.Join(o.dated.Close(), o.Club.Close()) }

// courses reads readings under the names that are shown.
func (o *openClub) courses(quantities ...string) ([]club.Course, error) {
	list, err := o.dated.Courses(quantities...)
	if o.shown != nil {
		for i := range list {
			c := &list[i]
			c.Keeper, c.System, c.Place = o.shown.keeper(c.Keeper), o.shown.tank(c.System), o.shown.place(c.Place)
		}
	}
	return list, err
}

// answered reports what kept the questions put to k from all the readings that they
// needed. It has to be asked before an answer is shown.
func answered(k answer.Asker) error {
	if err := k.Records.Err(); err != nil {
		return asFailure(err)
	}
	return nil
}

// keeper is the name under which a keeper is shown.
func (o *openClub) keeper(name string) string {
	if o.shown == nil {
		return name
	}
	return o.shown.keeper(name)
}

// place is the name under which a place is shown.
func (o *openClub) place(name string) string {
	if o.shown == nil {
		return name
	}
	return o.shown.place(name)
}

// asker puts questions to the club's tables, up to the end of a year where until
// is not 0.
func (o *openClub) asker(until int) answer.Asker {
	t := o.tables
	if until != 0 {
		t = upTo(t, yearEnd(until, o.zone))
	}
	placeOf := map[string]string{}
	for keeper, place := range o.Config.Home {
		placeOf[o.keeper(keeper)] = o.place(place)
	}
	watches := map[string]exposure.Watch{}
	for keeper := range o.Config.Watched {
		if from, to, err := o.Config.Watch(keeper); err == nil { // checked when club.toml was read
			watches[o.keeper(keeper)] = exposure.Watch{From: from, To: to}
		}
	}
	away := map[string][]exposure.Watch{}
	for keeper := range o.Config.Away {
		stretches, err := o.Config.AwayDays(keeper)
		if err != nil { // checked as well
			continue
		}
		for _, s := range stretches {
			away[o.keeper(keeper)] = append(away[o.keeper(keeper)], exposure.Watch{From: s[0], To: s[1]})
		}
	}
	inFull := map[string]bool{}
	for _, keeper := range o.Config.AttemptsInFull {
		inFull[o.keeper(keeper)] = true
	}
	return answer.Asker{
		Records:  exposure.New(&t, exposure.Options{Zone: o.zone, PlaceOf: placeOf, Watches: watches, Away: away, InFull: inFull, Readings: o.courses}),
		Triggers: answer.Every(o.ownTriggers()), Margin: o.Config.WorthActingPer100,
	}
}

func yearEnd(year int, zone *time.Location) time.Time {
	return time.Date(year+1, 1, 1, 0, 0, 0, 0, zone)
}

// years returns the years of the attempts, in order.
func (o *openClub) years() []string {
	var list []string
	for _, a := range o.tables.Attempts {
		if a.Began.OK {
			list = append(list, fmt.Sprint(a.Began.V.In(o.zone).Year()))
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// upTo keeps what began, or was laid, before an instant.
func upTo(t club.Tables, end time.Time) club.Tables {
	t.Attempts = slices.DeleteFunc(slices.Clone(t.Attempts), func(a club.Attempt) bool { return a.Began.OK && !a.Began.V.Before(end) })
	t.Clutches = slices.DeleteFunc(slices.Clone(t.Clutches), func(c club.Clutch) bool { return c.LaidTo.OK && !c.LaidTo.V.Before(end) })
	return t
}

func (o *openClub) ownTriggers() []catalogue.Trigger {
	var own []catalogue.Trigger
	for _, t := range o.Config.Triggers {
		kind := catalogue.YesNo
		if t.Kind == club.TriggerNumber {
			kind = catalogue.Dose
		}
		own = append(own, catalogue.Own(t.Code, t.Name, kind, t.Unit, t.Step, append([]string{t.Name}, t.Words...), t.Caution))
	}
	return own
}

// theSpecies puts a species as typed to its accepted name.
func (a *app) theSpecies(o *openClub, typed string) (string, error) {
	if typed == "" {
		return "", usageError{"no species was named", "add --species, for example --species " + quote(o.anySpecies())}
	}
	m := o.names.Resolve(typed)
	if m.Accepted != "" {
		if m.How == species.Misspelling {
			a.say("warning", fmt.Sprintf("%q is taken for %s", typed, m.Accepted), "")
		}
		return m.Accepted, nil
	}
	if len(m.Candidates) > 0 {
		return "", usageError{fmt.Sprintf("%q could be %s", typed, oneOf(m.Candidates[:min(5, len(m.Candidates))])), "name one of them"}
	}
	fix := "the species in the tables are " + strings.Join(o.logged(), ", ")
	if near := o.names.Nearest(typed); len(near) > 0 {
		fix = fmt.Sprintf("did you mean %s? %s", oneOf(near), fix)
	}
	return "", usageError{fmt.Sprintf("no species is called %q", typed), fix}
}

// askOf opens the club and puts a question about one species to it.
func (a *app) askOf(verb, fish string, question func(o *openClub, species string) error) error {
	if err := a.notCSV(verb); err != nil {
		return err
	}
	o, err := a.open()
	if err != nil {
		return err
	}
	defer o.Close()
	species, err := a.theSpecies(o, fish)
	if err != nil {
		return err
	}
	return question(o, species)
}

// logged returns the species that the tables hold, in order of name.
func (o *openClub) logged() []string {
	var list []string
	for _, a := range o.tables.Attempts {
		list = append(list, a.Species)
	}
	for _, c := range o.tables.Clutches {
		list = append(list, c.Species)
	}
	slices.Sort(list)
	return slices.DeleteFunc(slices.Compact(list), func(s string) bool { return s == "" })
}

func (o *openClub) anySpecies() string {
	if list := o.logged(); len(list) > 0 {
		return list[0]
	}
	return "Corydoras paleatus"
}

func quote(s string) string { return `"` + s + `"` }

func oneOf(list []string) string {
	if len(list) < 3 {
		return strings.Join(list, " or ")
	}
	return strings.Join(list[:len(list)-1], ", ") + " or " + list[len(list)-1]
}

// printJSON writes an answer as JSON.
func (a *app) printJSON(v any) error {
	e := json.NewEncoder(a.stdout)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// notCSV refuses --format csv where the answer is not one table.
func (a *app) notCSV(verb string) error {
	if a.format == "csv" {
		return usageError{verb + " has no csv form", "use --format json, or gravid export for tables"}
	}
	return nil
}

// optional is a flag's number that may not be given.
func optional(given bool, x float64) float64 {
	if !given {
		return math.NaN()
	}
	return x
}
