package main

import (
	"cmp"
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
	tables    club.Tables
	zone      *time.Location
	names     *species.Names
	pseudonym map[string]string // keeper -> name shown; empty when names are shown
}

// open opens the club and loads its tables.
func (a *app) open() (*openClub, error) {
	c, err := club.Open(a.club)
	if err != nil {
		return nil, asFailure(err)
	}
	t, err := c.Load()
	if err != nil {
		return nil, errors.Join(asFailure(err), c.Close())
	}
	zone, err := c.Config.Location()
	if err != nil {
		return nil, errors.Join(asFailure(err), c.Close())
	}
	o := &openClub{Club: c, tables: t, zone: zone, names: species.New(c.Config.Species)}
	if c.Config.Pseudonyms {
		o.usePseudonyms()
	}
	return o, nil
}

// asFailure keeps what a fault of the club folder says and what to do about it.
func asFailure(err error) error {
	var fault *club.Fault
	if errors.As(err, &fault) {
		return failure{fault.Path + ": " + fault.What, fault.Fix}
	}
	return failure{err.Error(), ""}
}

// usePseudonyms puts letters in the place of keepers' names, in order of name, in
// all that is shown.
func (o *openClub) usePseudonyms() {
	o.pseudonym = map[string]string{}
	var keepers []string
	for _, a := range o.tables.Attempts {
		keepers = append(keepers, a.Keeper)
	}
	for _, c := range o.tables.Clutches {
		keepers = append(keepers, c.Keeper)
	}
	slices.Sort(keepers)
	for _, k := range slices.Compact(keepers) {
		if k != "" {
			o.pseudonym[k] = "Keeper " + letters(len(o.pseudonym))
		}
	}
}

// letters counts A to Z, AA, AB, ...
func letters(n int) string {
	s := ""
	for n++; n > 0; n = (n - 1) / 26 {
		s = string(rune('A'+(n-1)%26)) + s
	}
	return s
}

// keeper is the name under which a keeper is shown.
func (o *openClub) keeper(name string) string {
	if shown, ok := o.pseudonym[name]; ok {
		return shown
	}
	return name
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
		placeOf[o.keeper(keeper)] = place
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
	o.show(&t)
	return answer.Asker{
		Records:  exposure.New(&t, exposure.Options{Zone: o.zone, PlaceOf: placeOf, Watches: watches, Away: away, InFull: inFull}),
		Triggers: answer.Every(o.ownTriggers()), Margin: o.Config.WorthActingPer100,
	}
}

// show puts the names under which keepers are shown into a copy of the tables.
func (o *openClub) show(t *club.Tables) {
	if o.pseudonym == nil {
		return
	}
	t.Attempts, t.Clutches, t.Readings = slices.Clone(t.Attempts), slices.Clone(t.Clutches), slices.Clone(t.Readings)
	t.Problems, t.Sources, t.Actions = slices.Clone(t.Problems), slices.Clone(t.Sources), slices.Clone(t.Actions)
	o.hideLogs(t)
	for i := range t.Attempts {
		t.Attempts[i].Keeper = o.keeper(t.Attempts[i].Keeper)
	}
	for i := range t.Clutches {
		t.Clutches[i].Keeper = o.keeper(t.Clutches[i].Keeper)
	}
	for i := range t.Readings {
		t.Readings[i].Keeper = o.keeper(t.Readings[i].Keeper)
	}
	// Names also stand in remarks and in what is said of a log.
	hide := o.replacer()
	for i := range t.Attempts {
		a := &t.Attempts[i]
		a.Notes, a.Source.Sheet = hide.Replace(a.Notes), hide.Replace(a.Source.Sheet)
	}
	for i := range t.Clutches {
		c := &t.Clutches[i]
		c.Notes, c.Source.Sheet = hide.Replace(c.Notes), hide.Replace(c.Source.Sheet)
	}
	for i := range t.Problems {
		p := &t.Problems[i]
		p.Value, p.Message, p.Fix = hide.Replace(p.Value), hide.Replace(p.Message), hide.Replace(p.Fix)
		p.Place.Sheet, p.Place.Head = hide.Replace(p.Place.Sheet), hide.Replace(p.Place.Head)
	}
}

// hideLogs puts "log 1", "log 2", … in the place of the names of logs, in order of
// name: they often hold the names of keepers.
func (o *openClub) hideLogs(t *club.Tables) {
	var files []string
	for _, s := range o.tables.Sources {
		files = append(files, s.File)
	}
	for _, p := range o.tables.Problems {
		files = append(files, p.Place.File)
	}
	slices.Sort(files)
	files = slices.Compact(files)
	log := map[string]string{}
	for i, f := range files {
		log[f] = fmt.Sprintf("log %d", i+1)
	}
	slices.SortStableFunc(files, func(a, b string) int { return cmp.Compare(len(b), len(a)) }) // the longest first
	var pairs []string
	for _, f := range files {
		if f != "" {
			pairs = append(pairs, f, log[f])
		}
	}
	hide := strings.NewReplacer(pairs...)
	for i := range t.Attempts {
		t.Attempts[i].Source.File = log[t.Attempts[i].Source.File]
	}
	for i := range t.Clutches {
		t.Clutches[i].Source.File = log[t.Clutches[i].Source.File]
	}
	for i := range t.Readings {
		t.Readings[i].Source.File = log[t.Readings[i].Source.File]
	}
	for i := range t.Actions {
		t.Actions[i].Source.File = log[t.Actions[i].Source.File]
	}
	for i := range t.Sources {
		t.Sources[i].File = log[t.Sources[i].File]
	}
	for i := range t.Problems {
		p := &t.Problems[i]
		p.Place.File, p.Message, p.Fix = log[p.Place.File], hide.Replace(p.Message), hide.Replace(p.Fix)
	}
}

// replacer puts pseudonyms for names, the longest name first.
func (o *openClub) replacer() *strings.Replacer {
	names := slices.Collect(maps.Keys(o.pseudonym))
	slices.SortFunc(names, func(a, b string) int { return cmp.Or(cmp.Compare(len(b), len(a)), cmp.Compare(a, b)) })
	var pairs []string
	for _, n := range names {
		pairs = append(pairs, n, o.pseudonym[n])
	}
	return strings.NewReplacer(pairs...)
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
