package club

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"time"
	_ "time/tzdata" // time zones are known on systems that have no list of their own

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"gravid/ingest/unit"
)

// Config is what a club says of itself in club.toml. A key that the file leaves
// out has the value of DefaultConfig.
type Config struct {
	Name string `toml:"name" must:"text in quotes"`

	// Code names the club in a federation of clubs: lower-case letters, digits and
	// hyphens. Where it is empty it is made from the name; see ClubCode.
	Code string `toml:"code" must:"text in quotes"`

	// TimeZone is the IANA name of the zone in which logs state times without
	// one, and of the midnights between tank-days.
	TimeZone string `toml:"time_zone" must:"text in quotes"`

	// CheckRhythmHours is how often tanks are looked at where a log gives one
	// date for an event: it happened in the hours before.
	CheckRhythmHours float64 `toml:"check_rhythm_hours" must:"a number"`

	// WorthActingPer100 is the smallest difference in spawnings per 100 attempts
	// for which the club would change what it does.
	WorthActingPer100 float64 `toml:"worth_acting_per_100" must:"a number"`

	// Pseudonyms says that reports call keepers by a letter instead of the name.
	Pseudonyms bool `toml:"pseudonyms" must:"true or false"`

	// Species maps names that this club uses to accepted scientific names.
	Species map[string]string `toml:"species" must:"a name and an accepted name, both in quotes"`

	// Units holds the unit that is meant where a log states none, by quantity and
	// as unit.Lookup knows it.
	Units map[unit.Quantity]string `toml:"units" must:"a quantity and a unit in quotes"`

	// Home maps a keeper to the place whose weather readings hold for that
	// keeper's tanks. A keeper without one has a place of the same name.
	Home map[string]string `toml:"home" must:"a keeper and a place, both in quotes"`

	// Watched says, for keepers who write down spawnings only, from which day to which
	// they would have written down any: ["2024-01-01", "2024-12-31"].
	Watched map[string][]string `toml:"watched" must:"a keeper and two days: [\"2024-01-01\", \"2024-12-31\"]"`

	// Away are the stretches of days, first and last, on which a keeper would not have seen
	// a spawning: [["2024-07-06", "2024-07-21"]].
	Away map[string][][]string `toml:"away" must:"a keeper and pairs of days: [[\"2024-07-06\", \"2024-07-21\"]]"`

	// AttemptsInFull are keepers who write down every attempt, though all of them spawned.
	AttemptsInFull []string `toml:"attempts_in_full" must:"a list of keepers"`

	// Triggers are what this club wants to know of beyond the catalogue.
	Triggers []Trigger `toml:"trigger" must:"a list: [[trigger]] and the keys below it"`
}

// The kinds of trigger.
const (
	TriggerYesNo  = "yes-no"
	TriggerNumber = "number"
)

// A Trigger is one of a club's own: a column of logs that nobody foresaw, kept
// as an extra column of attempts.
type Trigger struct {
	Code     string   `toml:"code" must:"text in quotes"`           // lower-case letters, digits and hyphens
	Name     string   `toml:"name" must:"text in quotes"`           // as a noun phrase: "a handful of rice hulls"
	Headings []string `toml:"headings" must:"a list of texts"`      // headings of logs that mean it, besides code and name
	Kind     string   `toml:"kind" must:"\"yes-no\" or \"number\""` // TriggerYesNo or TriggerNumber
	Unit     string   `toml:"unit" must:"text in quotes"`           // number: UCUM code; empty = a count or bare number
	Step     float64  `toml:"step" must:"a number"`                 // number: the natural step that results are per; 0 = one unit
	Words    []string `toml:"words" must:"a list of texts"`         // words by which people ask for it
	Caution  string   `toml:"caution" must:"text in quotes"`        // what to beware of, shown with every answer
}

// Column returns the column of attempts that holds the trigger.
func (t Trigger) Column() Column {
	c := Column{Name: strings.ReplaceAll(t.Code, "-", "_"), Kind: KindTruth, Description: "the club's own trigger: " + t.Name}
	if t.Kind == TriggerNumber {
		c.Kind, c.Unit = KindNumber, t.Unit
		if c.Unit == "" {
			c.Unit = "1"
		}
	}
	return c
}

// Own returns the columns of the club's own triggers, in the order of club.toml.
func (c Config) Own() []Column {
	var own []Column
	for _, t := range c.Triggers {
		own = append(own, t.Column())
	}
	return own
}

// Location returns the club's time zone.
func (c Config) Location() (*time.Location, error) {
	if c.TimeZone == "" || c.TimeZone == "Local" { // these would depend on the computer
		return nil, fmt.Errorf("%q is not a time zone", c.TimeZone)
	}
	return time.LoadLocation(c.TimeZone)
}

// DefaultConfig returns the settings of a club that has said nothing.
func DefaultConfig() Config {
	return Config{
		Name:              "Our club",
		TimeZone:          "UTC",
		CheckRhythmHours:  24,
		WorthActingPer100: 10,
		Pseudonyms:        true,
	}
}

//go:embed template.toml
var template string

// Template returns a club.toml that says what every key does. As it stands it
// means DefaultConfig.
func Template() string { return template }

// LoadConfig reads club.toml in a club folder. What is wrong in it comes back as
// Faults with line and column, joined.
func LoadConfig(dir string) (Config, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return Config{}, err
	}
	defer root.Close()
	return readConfig(root, dir)
}

func readConfig(root *os.Root, dir string) (Config, error) {
	doc, err := readShort(root, ConfigFile)
	if errors.Is(err, fs.ErrNotExist) {
		return Config{}, &Fault{
			Path: dir, What: "is not a club's folder: it has no " + ConfigFile,
			Fix: "name a club's folder with --club, or make one with gravid new", Err: ErrNoClub,
		}
	}
	if err != nil {
		return Config{}, err
	}
	return ParseConfig(doc)
}

// ParseConfig reads the text of a club.toml.
func ParseConfig(doc []byte) (Config, error) {
	doc = bytes.TrimPrefix(doc, []byte("\ufeff"))
	c := DefaultConfig()
	d := toml.NewDecoder(bytes.NewReader(doc)).DisallowUnknownFields()
	if err := d.Decode(&c); err != nil {
		return Config{}, decodeFaults(err)
	}
	r := review{at: keyPlaces(doc)}
	r.config(c)
	if len(r.faults) > 0 {
		return Config{}, errors.Join(r.faults...)
	}
	return c, nil
}

// decodeFaults puts the errors of the TOML decoder into our words.
func decodeFaults(err error) error {
	var unknown *toml.StrictMissingError
	var wrong *toml.DecodeError
	switch {
	case errors.As(err, &unknown):
		var faults []error
		for _, e := range unknown.Errors {
			faults = append(faults, decodeFault(&e))
		}
		return errors.Join(faults...)
	case errors.As(err, &wrong):
		return decodeFault(wrong)
	}
	return &Fault{Path: ConfigFile, What: err.Error(), Err: err}
}

func decodeFault(e *toml.DecodeError) error {
	line, column := e.Position()
	f := &Fault{Path: spot{line, column}.String(), What: strings.TrimPrefix(e.Error(), "toml: "), Err: e}
	key := e.Key()
	must, siblings := describeKey(key)
	switch {
	case strings.HasPrefix(f.What, "cannot decode") && must != "":
		f.What = fmt.Sprintf("%s must be %s", strings.Join(key, "."), must)
	case f.What == "unknown field" || f.What == "missing table":
		f.What = fmt.Sprintf("there is no key %q here%s", key[len(key)-1], didYouMean(key[len(key)-1], siblings))
		f.Fix = "the keys are " + strings.Join(siblings, ", ")
	}
	return f
}

// describeKey says what the value of a key must be, and which keys may stand
// where it stands.
func describeKey(key []string) (must string, siblings []string) {
	level := reflect.TypeFor[Config]()
	for _, part := range key {
		if level.Kind() != reflect.Struct {
			break // a key of a map may be any
		}
		siblings = nil
		var next reflect.Type
		for field := range level.Fields() {
			name := field.Tag.Get("toml")
			siblings = append(siblings, name)
			if strings.EqualFold(name, part) {
				must, next = field.Tag.Get("must"), field.Type
			}
		}
		if next == nil {
			return "", siblings
		}
		level = next
		if level.Kind() == reflect.Slice {
			level = level.Elem()
		}
	}
	return must, siblings
}

// A spot is a place in club.toml, line and column counted from 1.
type spot struct{ line, column int }

func (s spot) String() string {
	if s.line == 0 {
		return ConfigFile
	}
	return fmt.Sprintf("%s:%d:%d", ConfigFile, s.line, s.column)
}

// keyPlaces finds where each key of a TOML document stands. Keys are named by
// keyPath; tables of a list carry their index.
func keyPlaces(doc []byte) map[string]spot {
	places := map[string]spot{}
	listed := map[string]int{}
	var table []string
	var p unstable.Parser
	p.Reset(doc)
	for p.NextExpression() {
		e := p.Expression()
		if e.Kind != unstable.KeyValue && e.Kind != unstable.Table && e.Kind != unstable.ArrayTable {
			continue
		}
		var parts []string
		var start unstable.Position
		for it := e.Key(); it.Next(); {
			if len(parts) == 0 {
				start = p.Shape(it.Node().Raw).Start
			}
			parts = append(parts, string(it.Node().Data))
		}
		name := keyPath(parts...)
		switch e.Kind {
		case unstable.ArrayTable:
			table = append(parts, fmt.Sprint(listed[name]))
			listed[name]++
		case unstable.Table:
			table = parts
		default:
			parts = slices.Concat(table, parts)
		}
		if e.Kind != unstable.KeyValue {
			parts = table
		}
		places[keyPath(parts...)] = spot{start.Line, start.Column}
	}
	return places
}

// keyPath names a key by its parts, in one case because TOML keys of fields may be
// written in any.
func keyPath(parts ...string) string { return strings.ToLower(strings.Join(parts, "\x00")) }

// A review collects what is wrong with settings that decode.
type review struct {
	at     map[string]spot
	faults []error
}

// fault notes what is wrong with the value of a key; where only the key's table
// is written, it points there.
func (r *review) fault(fix, what string, key ...string) {
	where := spot{}
	for n := len(key); n > 0 && where.line == 0; n-- {
		where = r.at[keyPath(key[:n]...)]
	}
	r.faults = append(r.faults, &Fault{Path: where.String(), What: what, Fix: fix})
}

func (r *review) config(c Config) {
	if strings.TrimSpace(c.Name) == "" {
		r.fault("give the club a name", "name is empty", "name")
	}
	if c.Code != "" && !codePattern.MatchString(c.Code) {
		r.fault("use lower-case letters, digits and hyphens, beginning and ending with a letter or digit", fmt.Sprintf("code %q cannot name a folder everywhere", c.Code), "code")
	}
	if _, err := c.Location(); err != nil {
		r.fault(`use a name such as "Europe/Vienna" or "UTC"`, fmt.Sprintf("time_zone %q is not the name of a time zone", c.TimeZone), "time_zone")
	}
	if !(c.CheckRhythmHours > 0 && c.CheckRhythmHours <= 720) {
		r.fault("24 means once a day", fmt.Sprintf("check_rhythm_hours is %v, it must be above 0 and at most 720", c.CheckRhythmHours), "check_rhythm_hours")
	}
	if !(c.WorthActingPer100 > 0 && c.WorthActingPer100 < 100) {
		r.fault("10 means 10 spawnings more or fewer in 100 attempts", fmt.Sprintf("worth_acting_per_100 is %v, it must lie between 0 and 100", c.WorthActingPer100), "worth_acting_per_100")
	}
	r.pairs("species", c.Species, "write \"our name\" = \"Accepted name\"")
	r.pairs("home", c.Home, "write \"keeper\" = \"place\"")
	r.watched(c)
	r.units(c.Units)
	r.triggers(c.Triggers)
}

func (r *review) watched(c Config) {
	for _, keeper := range slices.Sorted(maps.Keys(c.Watched)) {
		if _, _, err := c.Watch(keeper); err != nil {
			r.fault(`write two days, the first before the last: ["2024-01-01", "2024-12-31"]`, fmt.Sprintf("watched of %q: %v", keeper, err), "watched", keeper)
		}
		if slices.Contains(c.AttemptsInFull, keeper) {
			r.fault("[watched] is for keepers who write down spawnings only; take the keeper out of one of the two", fmt.Sprintf("%q stands both in attempts_in_full and in [watched]", keeper), "watched", keeper)
		}
	}
	for _, keeper := range slices.Sorted(maps.Keys(c.Away)) {
		if _, err := c.AwayDays(keeper); err != nil {
			r.fault(`write pairs of days: [["2024-07-06", "2024-07-21"]]; one day is the first and the last`, fmt.Sprintf("away of %q: %v", keeper, err), "away", keeper)
		}
	}
}

// Said tells of keepers whose records look alike what the club says of them: true for those
// who write down spawnings only, false for those who write down every attempt. It is what
// SpawningsOnly asks for.
func (c Config) Said() map[string]bool {
	said := map[string]bool{}
	for keeper := range c.Watched {
		said[keeper] = true
	}
	for _, keeper := range c.AttemptsInFull {
		said[keeper] = false
	}
	return said
}

// AwayDays returns the first and last days of the stretches on which a keeper would not
// have seen a spawning, at their midnights in the club's time zone.
func (c Config) AwayDays(keeper string) (stretches [][2]time.Time, err error) {
	zone, err := c.Location()
	if err != nil {
		return nil, err
	}
	for _, days := range c.Away[keeper] {
		from, to, err := twoDays(days, zone)
		if err != nil {
			return nil, err
		}
		if to.Before(from) {
			return nil, fmt.Errorf("%s lies after %s", days[0], days[1])
		}
		stretches = append(stretches, [2]time.Time{from, to})
	}
	return stretches, nil
}

func twoDays(days []string, zone *time.Location) (from, to time.Time, err error) {
	if len(days) != 2 {
		return from, to, fmt.Errorf("%d days are given, and two are needed", len(days))
	}
	if from, err = time.ParseInLocation(time.DateOnly, days[0], zone); err != nil {
		return from, to, fmt.Errorf("%q is not a day such as 2024-01-31", days[0])
	}
	if to, err = time.ParseInLocation(time.DateOnly, days[1], zone); err != nil {
		return from, to, fmt.Errorf("%q is not a day such as 2024-01-31", days[1])
	}
	return from, to, nil
}

// Watch returns the first and the last day that a keeper watched, at their midnights in
// the club's time zone; zero times where the club does not say.
func (c Config) Watch(keeper string) (from, to time.Time, err error) {
	days, said := c.Watched[keeper]
	if !said {
		return from, to, nil
	}
	zone, err := c.Location()
	if err != nil {
		return from, to, err
	}
	if from, to, err = twoDays(days, zone); err != nil {
		return from, to, err
	}
	if !from.Before(to) {
		return from, to, fmt.Errorf("%s does not lie before %s", days[0], days[1])
	}
	return from, to, nil
}

func (r *review) pairs(table string, pairs map[string]string, fix string) {
	for _, key := range slices.Sorted(maps.Keys(pairs)) {
		if strings.TrimSpace(key) == "" || strings.TrimSpace(pairs[key]) == "" {
			r.fault(fix, fmt.Sprintf("an entry of %s is empty", table), table, key)
		}
	}
}

// unitQuantities are the quantities that a log may state without a unit.
var unitQuantities = []unit.Quantity{
	unit.Temperature, unit.TempDiff, unit.Pressure, unit.PressureDiff, unit.Conductivity, unit.GH, unit.KH,
	unit.Concentration, unit.Length, unit.Share, unit.Hours, unit.Days, unit.Volume, unit.Illuminance,
}

func (r *review) units(units map[unit.Quantity]string) {
	var names []string
	for _, q := range unitQuantities {
		names = append(names, string(q))
	}
	for _, q := range slices.Sorted(maps.Keys(units)) {
		if !slices.Contains(unitQuantities, q) {
			r.fault("the quantities are "+strings.Join(names, ", "),
				fmt.Sprintf("units cannot be set for %q%s", q, didYouMean(string(q), names)), "units", string(q))
			continue
		}
		if _, known := unit.Lookup(units[q], q); !known {
			r.fault("its units are "+strings.Join(unit.Names(q), ", "),
				fmt.Sprintf("%q is not a unit of %s", units[q], q), "units", string(q))
		}
	}
}

var triggerCode = regexp.MustCompile(`^[a-z][a-z0-9]*(-[a-z0-9]+)*$`)

func (r *review) triggers(triggers []Trigger) {
	taken := map[string]bool{}
	for _, f := range attemptFields() {
		taken[f.Name] = true
	}
	for i, t := range triggers {
		fault := func(key, fix, what string) { r.fault(fix, what, "trigger", fmt.Sprint(i), key) }
		column := t.Column().Name
		switch {
		case !triggerCode.MatchString(t.Code):
			fault("code", `use lower-case letters, digits and hyphens, such as "rice-hulls"`, fmt.Sprintf("code %q cannot name a trigger", t.Code))
		case taken[column]:
			fault("code", "choose another code", fmt.Sprintf("code %q is taken: attempts have a column %s already", t.Code, column))
		}
		taken[column] = true
		if strings.TrimSpace(t.Name) == "" {
			fault("name", `say what it is, such as name = "a handful of rice hulls"`, fmt.Sprintf("trigger %q has no name", t.Code))
		}
		switch {
		case t.Kind != TriggerYesNo && t.Kind != TriggerNumber:
			fault("kind", `write kind = "yes-no" or kind = "number"`, fmt.Sprintf("kind %q is no kind of trigger%s", t.Kind, didYouMean(t.Kind, []string{TriggerYesNo, TriggerNumber})))
		case t.Kind == TriggerYesNo && t.Unit != "":
			fault("unit", "leave unit out", fmt.Sprintf("trigger %q is yes or no, which has no unit", t.Code))
		case t.Kind == TriggerYesNo && t.Step != 0:
			fault("step", "leave step out", fmt.Sprintf("trigger %q is yes or no, which has no step", t.Code))
		case !(t.Step >= 0) || !finite(t.Step):
			fault("step", "step = 1 means per one unit", fmt.Sprintf("step is %v, it must not be negative", t.Step))
		}
	}
}
