package heading

import (
	"regexp"
	"slices"
	"strings"

	"gravid/ingest/unit"
)

// A Match is what one heading can mean.
type Match struct {
	Text    string
	Fields  []Field   // none: nobody knows; several: the cells below must decide
	Unit    unit.Unit // stated by the heading of one measure; zero where none is
	Own     string    // code of a club's own trigger
	Guess   string    // the known heading for which a misspelt one is taken
	Nearest string    // of an unknown heading: the known one most like it
	Foreign string    // of an unknown heading: a unit that is none of what it seems to measure
	System  string    // the tank that the heading of a measurement names: "Tank 2 temp"

	zone zone
	near []string // what an unknown heading may be like
}

// longest is how many bytes a heading can have at most; longer text is a remark.
const longest = 200

// MatchRow says what each heading of a row can mean. A heading that means one
// thing in one language and another in a second is read in the language that
// most headings of the row speak; blank cells give a Match without Fields.
func MatchRow(cells []string) []Match {
	m := matcher{}
	m.language = m.languageOf(cells)
	out := make([]Match, len(cells))
	for i, text := range cells {
		out[i] = m.match(text)
		out[i].Nearest = m.nearest(out[i])
	}
	return out
}

// nearest finds the known heading that an unknown one is most like.
func (m matcher) nearest(of Match) string {
	for _, text := range of.near {
		if n := known().nearest(text, m.language); n != "" {
			return n
		}
	}
	return ""
}

// A matcher reads headings of one table.
type matcher struct {
	own      map[string]string // key of a heading -> code of a club's own trigger
	language string
}

// languageOf finds the language that most headings speak, empty when two share
// the first place.
func (m matcher) languageOf(cells []string) string {
	var votes [len(languages)]int
	for _, text := range cells {
		if len(text) > longest {
			continue
		}
		for _, r := range readings(text) {
			found := known().exact(r.name)
			if _, ok := accept(r, found, true); !ok {
				continue
			}
			for i, l := range languages {
				if slices.ContainsFunc(found, func(m meaning) bool { return m.language == l }) {
					votes[i]++
				}
			}
			break
		}
	}
	best := slices.Max(votes[:])
	if best == 0 {
		return ""
	}
	found := ""
	for i, n := range votes {
		switch {
		case n < best:
		case found != "":
			return ""
		default:
			found = languages[i]
		}
	}
	return found
}

// match reads one heading.
func (m matcher) match(text string) Match {
	text = strings.TrimSpace(text)
	if len(text) > longest || key(text) == "" {
		return Match{Text: text}
	}
	if ofSexes.MatchString(text) {
		return Match{Text: text, Fields: []Field{Group}}
	}
	if orPlural.MatchString(text) {
		for _, one := range []string{"$1$2", "$1"} {
			if out := m.match(orPlural.ReplaceAllString(text, one)); len(out.Fields) > 0 && out.Guess == "" {
				out.Text = text
				return out
			}
		}
	}
	all := readings(text)
	if code, ok := m.ownOf(all); ok {
		return Match{Text: text, Own: code}
	}
	if out, ok := m.exact(text, all, true); ok {
		return out
	}
	if out, ok := m.ofTank(text); ok {
		return out
	}
	out := Match{Text: text}
	for _, r := range all {
		if onlyCounts(r.name) {
			continue // "wie viele" is no slip of the pen for "wie viel"
		}
		found, taken := known().shortened(r.name)
		if taken == "" {
			found, taken = known().misspelt(r.name)
		}
		if got, ok := accept(r, m.restrict(found), true); ok {
			return m.complete(Match{Text: text, Fields: got.fields, Guess: taken, zone: got.zone})
		}
	}
	for _, r := range all[1:] {
		if r.bracket && len(known().exact(r.name)) > 0 && len(unit.Find(r.rest)) > 0 {
			out.Foreign = r.rest
		}
	}
	for _, r := range all[:min(2, len(all))] {
		out.near = append(out.near, r.name)
	}
	return out
}

// orPlural is an ending in brackets behind a word: "date(s) de ponte", "Art(en)".
var orPlural = regexp.MustCompile(`(\pL{2})\((s|es|e|en|er|x)\)`)

// ofSexes is a heading that ends in the letters of both sexes in brackets: whatever it
// calls the fish, the cells count males and females.
var ofSexes = regexp.MustCompile(`(?i)\pL{3}.*\(\s*(?:m|♂)\s*[.:,;/+-]?\s*(?:f|w|h|♀)\s*\)\s*$`)

var (
	tankFirst = regexp.MustCompile(`(?i)^(?:tank|aquarium|becken|bac|cuve|acuario|tanque|tk)\s*(?:nr\.?|no\.?|n°|#)?\s*([a-z]?[0-9]{1,3}[a-z]?|[a-z])\b[\s:,;_–-]*(\S.*)$`)
	tankLast  = regexp.MustCompile(`(?i)^(.*?\S)[\s:,;_–(-]*\b(?:tank|aquarium|becken|bac|cuve|acuario|tanque|tk)\s*(?:nr\.?|no\.?|n°|#)?\s*([a-z]?[0-9]{1,3}[a-z]?|[a-z])\)?(\s*[(\[].*[)\]])?$`)
	nameFirst = regexp.MustCompile(`^([A-SU-Z][0-9]{1,3})\b[\s:,;_–-]+(\S.*)$`)
	nameLast  = regexp.MustCompile(`^(.*?\pL{2}.*?)[\s:,;_–-]+([A-SU-Z][0-9]{1,3})(\s*[(\[].*[)\]])?$`)
)

// ofTank reads the heading of a measurement that names its tank as well: "Tank 2 temp
// (°C)", "temperature A1". The letter T before a number is left alone: it numbers
// sensors.
func (m matcher) ofTank(text string) (Match, bool) {
	try := func(tank, rest string) (Match, bool) {
		out, ok := m.exact(rest, readings(rest), true)
		if !ok || len(out.Fields) != 1 || out.Fields[0].Quantity() == unit.None {
			return Match{}, false
		}
		out.Text, out.System = text, strings.ToUpper(tank)
		return out, true
	}
	for _, first := range []*regexp.Regexp{tankFirst, nameFirst} {
		if at := first.FindStringSubmatch(text); at != nil {
			if out, ok := try(at[1], at[2]); ok {
				return out, true
			}
		}
	}
	for _, last := range []*regexp.Regexp{tankLast, nameLast} {
		if at := last.FindStringSubmatch(text); at != nil {
			if out, ok := try(at[2], strings.TrimSpace(at[1])+at[3]); ok {
				return out, true
			}
		}
	}
	return Match{}, false
}

func (m matcher) exact(text string, all []reading, loose bool) (Match, bool) {
	return m.found(text, all, loose, known().exact)
}

func (m matcher) found(text string, all []reading, loose bool, meanings func(string) []meaning) (Match, bool) {
	for _, r := range all {
		if got, ok := accept(r, m.restrict(meanings(r.name)), loose); ok {
			return m.complete(Match{Text: text, Fields: got.fields, zone: got.zone}), true
		}
	}
	return Match{}, false
}

// under reads a heading below a group heading: first both together ("Hatch" above
// "date"), then the heading alone. Alone, a heading that says only "date" or "n"
// is not understood below a group that says of what.
func (m matcher) under(group, text string) Match {
	if group == "" || text == "" {
		return m.match(text)
	}
	for _, both := range []string{group + " " + text, text + " " + group} {
		if out, ok := m.found(both, readings(both), false, known().listed); ok {
			out.Text = text
			return out
		}
	}
	out := m.match(text)
	bare := span[key(text)] || slices.ContainsFunc(out.Fields, func(f Field) bool { return f == Date || f == Time || f == Timestamp })
	_, kind := kindOf(text)
	if out.Own == "" && (bare || kind || len(out.Fields) == 0) {
		if both, ok := m.exact(group+" "+text, readings(group+" "+text), false); ok {
			both.Text = text
			return both
		}
	}
	if out.Own == "" && (bare || kind) && !neutral(group) {
		return Match{Text: text, near: []string{group + " " + text}}
	}
	return out
}

// neutral reports whether a group heading says nothing of what a date below it is
// the date of.
func neutral(group string) bool {
	if slices.Contains([]string{"general", "allgemein", "allgemeines", "general data", "generalites", "general info", "log", "record", "eintrag", "when", "wann", "quand", "cuando", "datos generales"}, key(group)) {
		return true
	}
	return slices.ContainsFunc(known().exact(group), func(m meaning) bool {
		return m.field == AttemptID || m.field == Notes || m.field == Date || m.field == Timestamp || m.field == System
	})
}

// ownOf finds the trigger of a club's own that a heading means.
func (m matcher) ownOf(all []reading) (string, bool) {
	for _, r := range all {
		k := key(r.name)
		code, ok := m.own[k]
		if ok && (r.rest == "" || r.bracket || len(unit.Find(r.rest)) > 0) {
			return code, true
		}
	}
	return "", false
}

// restrict keeps the meanings of the table's language, where there are any.
func (m matcher) restrict(all []meaning) []meaning {
	mine := func(x meaning) bool { return x.language == m.language || x.language == "" }
	if m.language == "" || !slices.ContainsFunc(all, mine) {
		return all
	}
	return slices.DeleteFunc(slices.Clone(all), func(x meaning) bool { return !mine(x) })
}

// complete adds the unit that the heading states.
func (m matcher) complete(out Match) Match {
	if len(out.Fields) == 1 {
		out.Unit = unitIn(out.Text, out.Fields[0].Quantity())
	}
	if z := zoneIn(out.Text); out.zone == noZone && z == localZone {
		out.zone = z
	}
	return out
}

// accepted is what a heading can mean when it is taken apart in one way.
type accepted struct {
	fields []Field
	zone   zone
}

// accept decides whether a heading taken apart in this way makes sense: the name
// is known, and what follows it is a unit of what it measures, a kind of cell
// that it can have, or a time zone. Loosely, fields of text may have any unit.
func accept(r reading, found []meaning, loose bool) (accepted, bool) {
	var fields []Field
	for _, m := range found {
		if !slices.Contains(fields, m.field) {
			fields = append(fields, m.field)
		}
	}
	if len(fields) == 0 || r.rest == "" {
		return accepted{fields: fields}, len(fields) > 0
	}
	var kept []Field
	for _, f := range fields {
		_, ok := lookupUnit(r.rest, f.Quantity())
		switch rate := rates[f]; {
		case f == System || f == WaterSource: // "tank (°C)" is no name of a tank
			if _, degrees := lookupUnit(r.rest, unit.Temperature); degrees {
				kept = append(kept, Temperature)
			} else if _, litres := lookupUnit(r.rest, unit.Volume); litres {
				kept = append(kept, TankVolume)
			}
		case f.Quantity() != unit.None && ok, loose && f.Kind() == KindText && len(unit.Find(r.rest)) > 0:
			kept = append(kept, f)
		case rate != None && key(r.rest) == "%":
			kept = append(kept, rate)
		case f.Kind() == KindCount && r.bracket && (SaysAbout(r.rest) || f == Fertile && age.MatchString(r.rest)): // "eggs (approx.)", "fertilised (24 h)"
			kept = append(kept, f)
		case f == WaterChangeVol && key(r.rest) == "%":
			kept = append(kept, WaterChangePct)
		case f == HatchDate || f == Hatched: // "hatch (h)" is no date and no number of larvae
			if _, days := lookupUnit(r.rest, unit.Days); days && !slices.Contains(kept, HatchAfter) {
				kept = append(kept, HatchAfter)
			}
		case f == WaterChangePct:
			if _, volume := lookupUnit(r.rest, unit.Volume); volume {
				kept = append(kept, WaterChangeVol)
			}
		}
	}
	if len(kept) > 0 {
		return accepted{fields: kept}, true
	}
	if t, ok := kindOf(r.rest); ok {
		if t == isCount {
			t |= isNumber
		}
		kept = slices.DeleteFunc(fields, func(f Field) bool { return f.shows()&t == 0 })
		return accepted{fields: kept}, len(kept) > 0
	}
	if z := zoneIn(r.rest); z != noZone {
		kept = slices.DeleteFunc(fields, func(f Field) bool { return f.Kind() != KindDate && f.Kind() != KindClock })
		return accepted{fields: kept, zone: z}, len(kept) > 0
	}
	return accepted{}, false
}

// age is the age at which eggs were looked at.
var age = regexp.MustCompile(`(?i)^(?:after |nach |après |a las )?[0-9]{1,3} ?(?:h|hpf|hrs|std|d|dpf|days|tage|jours|días)\.?$`)

// rates are what counts become when they are stated in percent.
var rates = map[Field]Field{Fertile: FertileRate, Hatched: HatchRate}

// span are the words for the beginning and the end of a stretch of anything: below a
// group heading that says of what, they are not the dates of an attempt.
var span = map[string]bool{"from": true, "since": true, "to": true, "till": true, "until": true, "start": true, "end": true, "stop": true, "begin": true, "ab": true, "seit": true, "bis": true, "von": true, "beginn": true, "ende": true,
	"depuis": true, "debut": true, "fin": true, "desde": true, "hasta": true, "inicio": true, "final": true}
