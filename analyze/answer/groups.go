package answer

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gravid/analyze/catalogue"
	"gravid/ingest/club"
	"gravid/stats/count"
	"gravid/stats/duration"
	"gravid/stats/tail"
)

// Grouped is the same question of groups of clutches side by side.
type Grouped struct {
	By     string  `json:"by"`
	Groups []Group `json:"groups"`
	P      Num     `json:"p_value"` // that all groups are alike; null where nothing can be said
	Method string  `json:"method,omitempty"`
	Note   string  `json:"note,omitempty"`
}

// A Group is one group of clutches.
type Group struct {
	Name       string   `json:"name"`
	N          int      `json:"n"`
	Events     int      `json:"events,omitempty"`
	Lost       int      `json:"lost,omitempty"`
	Median     Interval `json:"median_days"`     // timing
	Interval80 [2]Num   `json:"next_80_days"`    // timing: where the next clutch should fall
	Mean       Mean     `json:"eggs_per_clutch"` // eggs
}

// mostGroups is how many groups are set side by side; more is a list, not a comparison.
const mostGroups = 20

// GroupNames are what clutches can be grouped by, besides the codes of triggers that are
// fixed for the attempt, a club's own among them.
func GroupNames() []string {
	return []string{"keeper", "tank", "hatch-aid", "temperature", "year", "month", "females", "eggs-method", "loss"}
}

// A labeller names the group of a clutch; empty where it is not known.
type labeller func(c *club.Clutch) string

// labels finds how to group by a name, and reports false for one that nobody knows.
func (k Asker) labels(by string) (labeller, bool) {
	switch by {
	case "keeper":
		return func(c *club.Clutch) string { return c.Keeper }, true
	case "tank":
		return func(c *club.Clutch) string { return c.System }, true
	case "hatch-aid":
		return func(c *club.Clutch) string { return c.HatchAid }, true
	case "eggs-method":
		return func(c *club.Clutch) string { return c.EggsMethod }, true
	case "loss":
		return func(c *club.Clutch) string { return c.Loss }, true
	case "year":
		return func(c *club.Clutch) string {
			if !c.LaidTo.OK {
				return ""
			}
			return strconv.Itoa(c.LaidTo.V.In(k.Records.Zone).Year())
		}, true
	case "month":
		return func(c *club.Clutch) string {
			if !c.LaidTo.OK {
				return ""
			}
			at := c.LaidTo.V.In(k.Records.Zone)
			return fmt.Sprintf("%02d %s", at.Month(), at.Month())
		}, true
	case "temperature":
		return func(c *club.Clutch) string {
			if !c.TemperatureC.OK {
				return ""
			}
			low := 2 * math.Floor(c.TemperatureC.V/2)
			return fmt.Sprintf("%.0f to %.0f °C", low, low+2)
		}, true
	case "females":
		return func(c *club.Clutch) string {
			if !c.Females.OK {
				return ""
			}
			return strconv.FormatInt(c.Females.V, 10)
		}, true
	}
	t, ok := catalogue.Find(k.Triggers, by)
	if !ok || t.FromAttempt == nil {
		return nil, false
	}
	attempts := map[string]*club.Attempt{}
	for i := range k.Records.Attempts {
		attempts[k.Records.Attempts[i].ID] = &k.Records.Attempts[i]
	}
	return func(c *club.Clutch) string {
		a := attempts[c.AttemptID]
		if a == nil {
			return ""
		}
		switch v := t.FromAttempt(a); {
		case !v.OK:
			return ""
		case t.Kind == catalogue.Dose: // in bands of one natural step
			low := t.Step * math.Floor(v.V/t.Step+1e-9)
			return strings.TrimSpace(fmt.Sprintf("%s to %s %s", plain(low), plain(low+t.Step), t.UnitName))
		case v.V == 1:
			return t.With
		}
		return t.Without
	}, true
}

// plain is a number without an exponent and without the noise of binary fractions.
func plain(x float64) string { return strconv.FormatFloat(math.Round(x*1e6)/1e6, 'f', -1, 64) }

// KnowsGroup reports whether clutches can be grouped by a name.
func (k Asker) KnowsGroup(by string) bool {
	_, ok := k.labels(by)
	return ok
}

// TimingBy sets the times of groups of clutches side by side, with a rank test for
// times known to lie between two checks.
//
// The test scores all clutches by one curve (Sun 1996) and exchanges the labels (Fay &
// Shaw 2010); laying is taken at the middle of its own interval there. Groups are of
// records: what else differs between them is not held alike.
func (k Asker) TimingBy(species string, from, to Stage, by string) Grouped {
	k = k.withDefaults()
	out := Grouped{By: by, Groups: []Group{}, P: unknown}
	label, ok := k.labels(by)
	if !ok {
		out.Note = "clutches cannot be grouped by " + by
		return out
	}
	clutches := map[string][]club.Clutch{}
	for i := range k.Records.Clutches {
		if c := &k.Records.Clutches[i]; c.Species == species {
			clutches[orUnknown(label(c))] = append(clutches[orUnknown(label(c))], *c)
		}
	}
	names := sortedNames(clutches)
	if len(names) > mostGroups {
		out.Note = fmt.Sprintf("%d groups are too many to set side by side", len(names))
		return out
	}
	var obs []duration.Observation
	var group []int
	for g, name := range names {
		part := k
		records := *k.Records
		records.Clutches = clutches[name]
		part.Records = &records
		t := Timing{Species: species}
		list := part.waitings(&t, from, to)
		row := Group{Name: name, N: t.N, Events: t.Events, Lost: t.Lost, Median: NoInterval(), Interval80: [2]Num{unknown, unknown}, Mean: Mean{Mean: unknown, Low: unknown, High: unknown}}
		if t.N == 0 {
			continue
		}
		if t.Events >= fewestTimes {
			whole := part.Timing(species, from, to, noTemperature)
			if len(whole.At) > 0 {
				row.Median, row.Interval80 = whole.At[0].Median, whole.At[0].Interval80
			}
		}
		out.Groups = append(out.Groups, row)
		if name == notKnown {
			continue
		}
		for _, w := range list {
			obs = append(obs, w.sinceMiddle())
			group = append(group, g)
		}
	}
	c, err := duration.IntervalLogRank(obs, group, duration.IntervalSettings{})
	switch {
	case err == nil && c.Status.Usable():
		out.P, out.Method = Num(c.P), "rank test for times between two checks: "+c.Method
	case len(out.Groups) < 2:
		out.Note = "there is one group only, so nothing is compared"
	default:
		out.Note = "the groups are too small to be compared"
	}
	return out
}

// sinceMiddle is the waiting with its beginning at the middle of what is known of it.
func (w waiting) sinceMiddle() duration.Observation {
	middle := (w.obs.Origin.Lo + w.obs.Origin.Hi) / 2
	o := duration.Observation{Span: duration.Span{Lo: max(w.obs.Lo-middle, 0), Hi: w.obs.Hi - middle}}
	if !(o.Hi > o.Lo) {
		o.Hi = o.Lo + 1./48
	}
	return o
}

// notKnown is the group of clutches of which the group is not written down.
const notKnown = "not recorded"

func orUnknown(name string) string {
	if name == "" {
		return notKnown
	}
	return name
}

// sortedNames are the names of groups: numbers in their order, what is not known last.
func sortedNames[T any](groups map[string]T) []string {
	var names []string
	for n := range groups {
		names = append(names, n)
	}
	number := func(s string) float64 {
		var x float64
		if _, err := fmt.Sscanf(s, "%f", &x); err != nil {
			return math.Inf(1)
		}
		return x
	}
	slices.SortFunc(names, func(a, b string) int {
		if (a == notKnown) != (b == notKnown) {
			if a == notKnown {
				return 1
			}
			return -1
		}
		return cmp.Or(cmp.Compare(number(a), number(b)), cmp.Compare(a, b))
	})
	return names
}

// EggsBy sets the numbers of eggs of groups of clutches side by side, with a test that
// all have the same mean.
func (k Asker) EggsBy(species, by string) Grouped {
	k = k.withDefaults()
	out := Grouped{By: by, Groups: []Group{}, P: unknown}
	label, ok := k.labels(by)
	if !ok {
		out.Note = "clutches cannot be grouped by " + by
		return out
	}
	eggs := map[string][]float64{}
	for i := range k.Records.Clutches {
		if c := &k.Records.Clutches[i]; c.Species == species && c.Eggs.OK && c.Eggs.V > 0 {
			name := orUnknown(label(c))
			eggs[name] = append(eggs[name], float64(c.Eggs.V))
		}
	}
	names := sortedNames(eggs)
	if len(names) > mostGroups {
		out.Note = fmt.Sprintf("%d groups are too many to set side by side", len(names))
		return out
	}
	var rows []count.CountRow
	compared := 0
	for _, name := range names {
		out.Groups = append(out.Groups, Group{Name: name, N: len(eggs[name]), Median: NoInterval(), Interval80: [2]Num{unknown, unknown}, Mean: k.mean(eggs[name])})
		if name != notKnown && len(eggs[name]) > 1 {
			compared++
		}
	}
	at := 0
	for _, name := range names {
		if name == notKnown || len(eggs[name]) < 2 {
			continue
		}
		for _, n := range eggs[name] {
			x := make([]float64, max(compared-1, 0))
			if at > 0 {
				x[at-1] = 1
			}
			rows = append(rows, count.CountRow{Count: count.Count{Lo: n, Hi: n}, X: x})
		}
		at++
	}
	out.P, out.Method, out.Note = k.sameMean(rows, compared)
	return out
}

// sameMean tests that groups of counts have one mean: negative binomial regression with
// and without the groups, by the likelihood ratio.
func (k Asker) sameMean(rows []count.CountRow, groups int) (p Num, method, note string) {
	if groups < 2 {
		return unknown, "", "fewer than two groups with two clutches or more: nothing is compared"
	}
	bare := make([]count.CountRow, len(rows))
	for i, r := range rows {
		bare[i] = count.CountRow{Count: r.Count}
	}
	with, err := count.FitCountRegression(rows, k.Level)
	without, err2 := count.FitCountRegression(bare, k.Level)
	if err != nil || err2 != nil || !with.Status.Usable() || !without.Status.Usable() {
		return unknown, "", "the groups could not be compared: the fit did not settle"
	}
	x := max(0, 2*(with.LogLik-without.LogLik))
	return Num(tail.ChiSquareUpper(x, float64(groups-1))), fmt.Sprintf("likelihood ratio of negative binomial regression with and without the groups, %d degrees of freedom", groups-1), ""
}
