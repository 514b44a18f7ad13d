package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"time"

	"gravid/analyze/catalogue"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/ingest/club/federation"
)

// The step from tables to counts, as functions without state. Both ways of running it,
// on one machine (alone.go) and on an engine (engine.go), are made of them.

// A Row is one day of one attempt at risk.
type Row struct {
	Place   int64 // of the row among those of its club, from 0
	Species string
	Keeper  string
	System  string
	Attempt string
	Opens   int64  // the midnight that opens the day, Unix seconds
	Date    string // of that day, where the club is
	Day     int64  // of the attempt, from 1
	Spawned bool
	Change  float64 // of the quantity over the window, in its unit; NaN = unknown
	Trigger float64 // 1 = yes, 0 = no, NaN = unknown
}

// A Pattern is what rows have alike that are counted together.
type Pattern struct {
	Club, Species, Keeper string
	Trigger               string // yes, no, or nothing where it is unknown
	Spawned               string // yes or no
}

// ruleOf finds the rule of a trigger that tells a fall or a rise from readings.
func ruleOf(code string) (*catalogue.Daily, error) {
	var able []string
	for _, t := range catalogue.Triggers() {
		if t.Daily == nil || !exposure.OfChange(t.Daily) {
			continue
		}
		if t.Code == code {
			return t.Daily, nil
		}
		able = append(able, t.Code)
	}
	return nil, fmt.Errorf("no trigger %q is a fall or a rise in readings; take one of %q", code, able)
}

// records makes the records of a club that questions are asked of. Readings may be left
// out of the tables.
func records(m federation.Manifest, t *club.Tables) (*exposure.Records, error) {
	zone, err := m.Location()
	if err != nil {
		return nil, err
	}
	return exposure.New(t, exposure.Options{Zone: zone, PlaceOf: m.Home}), nil
}

// lots lays out the days at risk of all species, one frame a species, and the rows of
// each, in which Change and Trigger are unknown yet.
func lots(r *exposure.Records) (frames []*exposure.Frame, rows [][]Row) {
	all := map[string]bool{}
	for i := range r.Attempts {
		all[r.Attempts[i].Species] = true
	}
	place := int64(0)
	for _, species := range slices.Sorted(maps.Keys(all)) {
		f := r.Rows(species, true)
		of := make([]Row, len(f.Y))
		for i := range of {
			a := &r.Attempts[f.Attempt[i]]
			of[i] = Row{
				Place: place, Species: species, Keeper: a.Keeper, System: a.System, Attempt: a.ID,
				Opens: f.Opens[i].Unix(), Date: dateOf(f.Opens[i]), Day: int64(f.Day[i]), Spawned: f.Y[i] == 1,
				Change: math.NaN(), Trigger: math.NaN(),
			}
			place++
		}
		frames, rows = append(frames, f), append(rows, of)
	}
	return frames, rows
}

// dateOf is the date of the day that a midnight opens. Where clocks are put forward at
// midnight, that may be an hour before.
func dateOf(opens time.Time) string { return opens.Add(12 * time.Hour).Format(time.DateOnly) }

// fill tells the changes of rows from the readings of the sky that holds for them.
func fill(rows []Row, readings exposure.Part, d *catalogue.Daily) {
	for i := range rows {
		change, share := readings.Change(rows[i].Opens, d)
		rows[i].Change, rows[i].Trigger = exposure.Amount(d, change), exposure.Moved(d, change, share)
	}
}

// count adds up the days of each pattern.
func count(code string, rows []Row) map[Pattern]int64 {
	n := map[Pattern]int64{}
	for i := range rows {
		r := &rows[i]
		n[Pattern{code, r.Species, r.Keeper, truth(r.Trigger), yesNo(r.Spawned)}]++
	}
	return n
}

func truth(x float64) string {
	if math.IsNaN(x) {
		return ""
	}
	return yesNo(x == 1)
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// daysTable is the table of a club's rows as text.
func daysTable(rows []Row) ([]byte, error) {
	slices.SortFunc(rows, func(a, b Row) int { return int(a.Place - b.Place) })
	lines := make([][]string, 0, len(rows)+1)
	lines = append(lines, []string{"species", "keeper", "system", "attempt", "date", "day", "spawned", "change", "trigger"})
	for _, r := range rows {
		change := ""
		if !math.IsNaN(r.Change) {
			change = strconv.FormatFloat(r.Change, 'g', -1, 64)
		}
		lines = append(lines, []string{r.Species, r.Keeper, r.System, r.Attempt, r.Date, strconv.FormatInt(r.Day, 10), yesNo(r.Spawned), change, truth(r.Trigger)})
	}
	return table(lines)
}

// countsTable is the table of a federation's counts as text, in order of its columns.
func countsTable(n map[Pattern]int64) ([]byte, error) {
	lines := make([][]string, 0, len(n))
	for p, days := range n {
		lines = append(lines, []string{p.Club, p.Species, p.Keeper, p.Trigger, p.Spawned, strconv.FormatInt(days, 10)})
	}
	slices.SortFunc(lines, slices.Compare)
	return table(append([][]string{{"club", "species", "keeper", "trigger", "spawned", "days"}}, lines...))
}

func table(lines [][]string) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	if err := w.WriteAll(lines); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// keyOf puts texts together into one that no other texts give.
func keyOf(texts ...string) string {
	b, err := json.Marshal(texts)
	if err != nil { // texts only
		panic(err)
	}
	return string(b)
}

// textsOf takes apart what keyOf put together.
func textsOf(key string) (texts []string, err error) {
	err = json.Unmarshal([]byte(key), &texts)
	return texts, err
}
