// Package entry reads what keepers write into a diary, a few words for a day: fish
// set up, eggs seen, hatched, swimming, a water change, a temperature. It knows the
// words of English, German, French and Spanish in words.csv.
//
// An entry that is unsure, is about days to come or about other fish gives no event
// but says so: a keeper's hope is no record. Words that nobody knows are returned,
// so that they can be shown and kept.
//
// The package knows nothing of tables, tanks or dates; what an event belongs to is
// for its callers.
package entry

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"gravid/ingest/cell"
	"gravid/ingest/cell/word"
	"gravid/ingest/club"
	"gravid/ingest/source"
	"gravid/ingest/unit"
)

// A Kind says what happened.
type Kind string

// The kinds of events.
const (
	SetUp    Kind = "set up"        // fish were put together: Group, Species
	Eggs     Kind = "eggs"          // eggs were seen, or laying itself: Count
	NoEggs   Kind = "no eggs"       // looked, and there were none
	Hatched  Kind = "hatched"       // Count
	Swimming Kind = "free swimming" // Count
	Lost     Kind = "lost"          // the whole clutch: Loss
	Ended    Kind = "ended"         // the attempt was given up
	Act      Kind = "act"           // an act of husbandry: Action, Amount, Unit, Cooler
	Measured Kind = "measured"      // Quantity, Value
)

// An Event is one thing that an entry tells.
type Event struct {
	Kind    Kind
	Count   club.Maybe[cell.Count] // of eggs, larvae or young fish
	Group   club.Maybe[cell.Group] // of fish set up
	Species string                 // as written, of fish set up; empty when not said
	Loss    string                 // one of club.Losses; empty where the words name no cause
	Action  string                 // as the table of actions names it: water_change, feed_live, ...
	Amount  club.Number            // of an act, in Unit
	Unit    string                 // UCUM code; 1 for a number of fish
	Cooler  club.Number            // refill minus tank in degrees Celsius, of a water change

	Quantity string      // as the table of readings names it: temperature_c, ph, conductivity_us_cm, air_pressure_hpa
	Value    club.Number // in the canonical unit of the quantity
}

// An Entry is what a text tells.
type Entry struct {
	Events []Event
	Unsure string   // why something that may be an event is not taken; empty where all is plain
	Unread []string // words that nobody knows beside events that are taken
	Seen   bool     // eggs or young seen before are mentioned, or that nothing happened
}

// Options say what the text alone cannot. Zero values know no species and leave a
// decimal mark open.
type Options struct {
	Decimal cell.Decimal
	Species func(name string) bool // whether a name is one of a species, or of several
}

// Parse reads an entry. It never fails: what it cannot read is told in the Entry.
func Parse(text string, o Options) Entry {
	var e Entry
	for _, clause := range clauses(text) {
		e.clause(clause, o)
		if c := newClause(clause); c.tags.has(doubt) && !c.tags.has(ofClutch...) && !aboutNumber.MatchString(clause) && e.Unsure == "" && slices.ContainsFunc(e.Events, ofYoung) {
			e.unsure(c, "it is not said for certain")
			e.Events = slices.DeleteFunc(e.Events, ofYoung)
		}
	}
	return e
}

// aboutNumber is a doubt about how many, and not about whether.
var aboutNumber = regexp.MustCompile(`(?i)\b(?:how many|number|count|wie ?viele|anzahl|zahl|combien|nombre|cu[aá]ntos|n[uú]mero|fertile|befruchtet|f[eé]cond|f[eé]rtil)`)

// ofYoung reports whether an event is one of eggs or young that were seen.
func ofYoung(ev Event) bool { return ev.Kind == Eggs || ev.Kind == Hatched || ev.Kind == Swimming }

// Longest is how many bytes of an entry are read at most; a longer text tells a
// story, and gives no event.
const Longest = 1000

var (
	fullStop  = regexp.MustCompile(`(\pL{3,}|[)%\d])\.\s+(\p{Lu})`)
	separator = regexp.MustCompile(`[;!\n\r]+|,(?:\s+|$)|,(\pL)|\s[-–—+&]\s|\s/\s|:\s`)
	and       = regexp.MustCompile(`(?i)\s(?:and|und|et|y|then|dann|puis|luego)\s`)
)

// clauses takes a text apart at signs that part thoughts, and at "and" between two
// halves that both tell something.
func clauses(text string) []string {
	if len(text) > Longest {
		return []string{text}
	}
	text = fullStop.ReplaceAllString(text, "$1;$2")
	text = separator.ReplaceAllString(text, ";$1")
	var out []string
	for _, part := range strings.Split(text, ";") {
		if part = strings.TrimSpace(part); part != "" {
			out = append(out, halves(part)...)
		}
	}
	return out
}

func halves(text string) []string {
	at := and.FindStringIndex(text)
	if at == nil {
		return []string{text}
	}
	left, right := text[:at[0]], text[at[1]:]
	if tells(left) && tells(right) && !restOfGroup(right) {
		return append([]string{left}, halves(right)...)
	}
	return []string{text}
}

// restOfGroup reports whether words begin with a number of one sex: "and 2 females".
func restOfGroup(text string) bool {
	words := strings.Fields(text)
	if len(words) < 2 {
		return false
	}
	g, fault := cell.ParseGroup(words[0] + " " + words[1])
	return fault == nil && (g.Males.OK || g.Females.OK)
}

// tells reports whether words hold the sense of an event by themselves.
func tells(text string) bool {
	found, _ := known().read(strings.Fields(fold(text)))
	return found.has(setUp, laid, hatched, swimming, ended, waterChange, feedLive, rearrange, levelLower, levelRaise, medicine) || found.has(eggs) && !found.has(all, gone)
}

// number is a number as a clause holds it, with what may stand before and behind.
var number = regexp.MustCompile(`(?:[<>~≈]\s?)?\d+(?:[.,]\d+)?(?:\s?[-–]\s?\d+(?:[.,]\d+)?)?\+?`)

// A clause is one thought of an entry on its way to an event.
type clause struct {
	text    string
	numbers []string // as written
	tags    tags
	unknown []string
}

func newClause(text string) clause {
	c := clause{text: text}
	for _, at := range numbersIn(text) {
		c.numbers = append(c.numbers, text[at[0]:at[1]])
	}
	rest := withoutNumbers(text)
	rest = strings.NewReplacer("%", " ", "°", " ", "#", " ").Replace(rest)
	c.tags, c.unknown = known().read(strings.Fields(fold(rest)))
	if between.MatchString(text) {
		c.tags[setUp] = true
	}
	return c
}

// numbersIn finds the numbers of a text; digits behind a letter, as in A1, are a name.
func numbersIn(text string) [][]int {
	return slices.DeleteFunc(number.FindAllStringIndex(text, -1), func(at []int) bool {
		before, _ := utf8.DecodeLastRuneInString(text[:at[0]])
		return at[0] > 0 && (unicode.IsLetter(before) || unicode.IsDigit(before))
	})
}

func withoutNumbers(text string) string {
	var b strings.Builder
	from := 0
	for _, at := range numbersIn(text) {
		b.WriteString(text[from:at[0]] + " ")
		from = at[1]
	}
	return b.String() + text[from:]
}

// The tags by which a clause tells of a clutch.
var ofClutch = []meaning{eggs, laid, hatched, swimming}

func (e *Entry) clause(text string, o Options) {
	c := newClause(text)
	switch {
	case len(text) > Longest:
		e.unsure(c, "a text of this length tells a story")
	case c.tags.has(setUp, began) && e.setUp(c, o):
	case e.setUpWith(c, o), e.measured(c, o):
	case c.tags.has(ofClutch...) || c.tags.has(gone) || c.tags.has(swim) && c.tags.has(fry):
		e.clutch(c, o)
	case c.tags.has(ended) && !c.tags.has(none, doubt, later):
		e.Events = append(e.Events, Event{Kind: Ended})
	case e.act(c, o):
	case e.amountBehind(c, o):
	case e.counted(c, o):
	case c.tags.has(quiet):
		e.Seen = true
	default:
		e.remark(c)
	}
}

// remark keeps a clause that tells no event: words that nobody knows, or known ones
// without a sense of their own.
func (e *Entry) remark(c clause) {
	if len(e.Events) > 0 && len(c.unknown) == 0 {
		return
	}
	e.Unread = append(e.Unread, c.text)
}

func (e *Entry) unsure(c clause, why string) {
	if e.Unsure == "" {
		e.Unsure = why + ": " + strconv.Quote(c.text)
	}
}

// clutch reads a clause about eggs or young.
func (e *Entry) clutch(c clause, o Options) {
	t := c.tags
	switch {
	case strings.Contains(c.text, "?") || t.has(doubt):
		e.unsure(c, "it is not said for certain")
	case t.has(other):
		e.unsure(c, "it may be about other fish")
	case t.has(later):
		e.unsure(c, "it may be about days to come, or about eggs not yet laid")
	case t.has(gone):
		e.lost(c)
	case t.has(none) && (t.has(hatched, swimming) || t.has(fry)):
		e.Seen = true // not hatched yet, not swimming yet
	case t.has(none) || t.has(notYet) && t.has(quiet):
		e.Events = append(e.Events, Event{Kind: NoEggs})
	case t.has(swimming) || t.has(swim) && t.has(fry):
		e.happened(c, Swimming, cell.Fry, o)
	case t.has(hatched):
		e.happened(c, Hatched, cell.Fry, o)
	case t.has(female) && !t.has(laid):
		e.unsure(c, "the eggs may still be in the female")
	case t.has(handled) && !t.has(laid) && len(c.numbers) == 0:
		e.Seen = true // eggs seen before
	case t.has(feed, feedLive) && !t.has(laid):
		e.unsure(c, "eggs may be the food here")
	default:
		e.happened(c, Eggs, cell.Eggs, o)
	}
}

// happened adds an event of a clutch with the number that the clause holds.
func (e *Entry) happened(c clause, kind Kind, noun cell.Noun, o Options) {
	ev := Event{Kind: kind}
	if len(c.numbers) > 1 {
		e.unsure(c, "it holds more than one number")
		return
	}
	if len(c.numbers) == 1 {
		n, ok := c.count(noun, o)
		if !ok {
			e.unsure(c, "its number is no count")
			return
		}
		ev.Count = club.Some(n)
	}
	e.Unread = append(e.Unread, c.unknown...)
	if last := len(e.Events) - 1; last >= 0 && e.Events[last].Kind == kind && (!ev.Count.OK || !e.Events[last].Count.OK) {
		if ev.Count.OK {
			e.Events[last].Count = ev.Count
		}
		return
	}
	e.Events = append(e.Events, ev)
}

var aboutWords = regexp.MustCompile(`(?i)(?:about|approx\.?|approximately|around|roughly|ca\.?|circa|c\.|etwa|ungefähr|ungefaehr|rund|zirka|environ|env\.?|vers|autour de|à peu près|unos|unas|aprox\.?|aproximadamente|cerca de|alrededor de|~|≈|±)\s*$`)

var aboutBehind = regexp.MustCompile(`(?i)\b(?:approx|approximately|or so|roughly|ungefähr|circa|environ|aprox|aproximadamente|más o menos)\b`)

var (
	leastWords = regexp.MustCompile(`(?i)(?:more than|over|at least|mehr als|über|mindestens|plus de|au moins|más de|al menos)\s*$`)
	mostWords  = regexp.MustCompile(`(?i)(?:less than|under|at most|fewer than|weniger als|höchstens|moins de|au plus|menos de|como mucho)\s*$`)
)

// count reads the one number of a clause as a count.
func (c clause) count(noun cell.Noun, o Options) (cell.Count, bool) {
	at := numbersIn(c.text)[0]
	written := strings.TrimSpace(c.text[at[0]:at[1]])
	before, after := c.text[:at[0]], c.text[at[1]:]
	if !counts(before, after) {
		return cell.Count{}, false
	}
	n, fault := cell.ParseCount(written, o.Decimal, noun)
	if fault != nil {
		return cell.Count{}, false
	}
	n.Approx = n.Approx || aboutWords.MatchString(before) || aboutBehind.MatchString(after)
	switch {
	case leastWords.MatchString(before):
		n.AtLeast = true
	case mostWords.MatchString(before):
		n.AtMost = true
	}
	return n, true
}

// counts reports whether a number between two texts counts eggs or young, and not
// days, tanks or caves: what is counted stands behind it, or it stands where a number
// of eggs does.
func counts(before, after string) bool {
	if next, _ := utf8.DecodeRuneInString(after); unicode.IsLetter(next) || next == '%' || next == '°' || next == '/' || next == '.' && len(after) > 1 {
		return false
	}
	first, last := "", ""
	if words := strings.Fields(word.Fold(after)); len(words) > 0 {
		first = words[0]
	}
	if words := strings.Fields(word.Fold(before)); len(words) > 0 {
		last = words[len(words)-1]
	}
	is := func(w string, any ...meaning) bool {
		found := tags{}
		for _, m := range known().meanings[w] {
			found[m] = true
		}
		return found.has(any...)
	}
	if is(first, eggs, fry) || first == "wrigglers" || first == "wigglers" || first == "hatchlings" {
		return !numbered[last]
	}
	begins := last == "" || beforeCount[last] || is(last, eggs, laid, hatched, fry) || aboutWords.MatchString(before) || leastWords.MatchString(before) || mostWords.MatchString(before)
	ends := first == "" || afterCount[first] || is(first, laid, hatched)
	return begins && ends
}

func set(words ...string) map[string]bool {
	m := map[string]bool{}
	for _, w := range words {
		m[w] = true
	}
	return m
}

var (
	// numbered are words that a number behind them numbers.
	numbered = set("day", "tag", "jour", "dia", "tank", "becken", "bac", "acuario", "week", "woche", "semaine", "semana", "no", "nr", "cave", "pair", "paar", "trio", "spawn", "clutch", "batch", "box", "group", "gruppe", "at", "on", "in", "since", "after", "nach", "seit", "apres", "depuis", "desde", "tras", "nest", "hohle", "am")
	// beforeCount and afterCount are words beside a number of eggs or young.
	beforeCount = set("of", "von", "de", "counted", "gezahlt", "gezaehlt", "comptes", "compte", "contados", "total", "insgesamt", "gesamt", "found", "gefunden", "trouve", "trouves", "encontrados", "n", "anzahl", "nombre", "numero", "all", "alle", "tous", "todos")
	afterCount  = set("found", "counted", "seen", "gefunden", "gezahlt", "gezaehlt", "gesehen", "trouves", "comptes", "vus", "contados", "encontrados", "vistos", "on", "under", "auf", "an", "unter", "sur", "sous", "in", "stuck", "stk", "pcs", "pieces", "total", "insgesamt", "en", "sobre", "dans", "im", "am")
)

// counted gives a bare number to the event before it: "hatched, 33 wrigglers".
func (e *Entry) counted(c clause, o Options) bool {
	last := len(e.Events) - 1
	if len(c.numbers) != 1 || len(c.unknown) > 0 || last < 0 || e.Events[last].Count.OK {
		return false
	}
	kind := e.Events[last].Kind
	noun := cell.Fry
	switch {
	case kind == Eggs && !c.tags.has(fry):
		noun = cell.Eggs
	case (kind == Hatched || kind == Swimming) && !c.tags.has(eggs):
	default:
		return false
	}
	n, ok := c.count(noun, o)
	if ok {
		e.Events[last].Count = club.Some(n)
	}
	return ok
}

// lost reads a clause that says that eggs or young are gone.
func (e *Entry) lost(c clause) {
	t := c.tags
	switch {
	case t.has(none):
		e.Seen = true
	case t.has(part) || len(c.numbers) > 0 && !t.has(all):
		e.Seen = true // some of them: the clutch goes on
		e.Unread = append(e.Unread, c.text)
	case !t.has(eggs, fry, all, hatched, swimming):
		e.unsure(c, "it does not say what was lost")
	default:
		cause, fault := cell.ParseLoss(withoutNumbers(c.text))
		if fault != nil {
			e.Unread = append(e.Unread, c.text)
		}
		e.Events = append(e.Events, Event{Kind: Lost, Loss: cause})
	}
}

// acts are the acts of husbandry by the meaning of their words, the more telling
// first, with the sign of their amount.
var acts = []struct {
	tag    meaning
	action string
	sign   float64
}{
	{waterChange, "water_change", 1}, {rearrange, "rearrange", 1}, {medicine, "medicine", 1}, {levelLower, "level_change", -1}, {levelRaise, "level_change", 1},
	{levelChange, "level_change", 1}, {lightChange, "light_change", 1}, {flow, "flow", 1}, {removeFish, "remove_fish", 1}, {addFish, "add_fish", 1},
	{feedLive, "feed_live", 1}, {feed, "feed", 1},
}

// act reads a clause about an act of husbandry.
func (e *Entry) act(c clause, o Options) bool {
	t := c.tags
	if t[changed] && c.hasShareOrVolume() {
		t[waterChange] = true
	}
	if t[feedLive] && t[frozen] {
		delete(t, feedLive)
		t[feed] = true
	}
	if t.has(cooler, warmer) && !t[waterChange] {
		return e.refill(c, o)
	}
	for _, a := range acts {
		if !t[a.tag] {
			continue
		}
		if strings.Contains(c.text, "?") || t.has(doubt, later, none) {
			e.unsure(c, "it is not said for certain that it was done")
			return true
		}
		ev := Event{Kind: Act, Action: a.action}
		if len(c.numbers) > 0 {
			amount, code, ok := c.amount(a.action, o)
			if !ok {
				e.Unread = append(e.Unread, c.text)
			} else {
				ev.Amount, ev.Unit = club.Some(a.sign*amount), code
			}
		} else if share, ok := c.fraction(); ok && a.action == "water_change" {
			ev.Amount, ev.Unit = club.Some(share), "%"
		}
		e.Unread = append(e.Unread, c.unknown...)
		e.Events = append(e.Events, ev)
		return true
	}
	return false
}

// amountBehind gives an amount that stands by itself to the change of water before it:
// "water change, 30 %".
func (e *Entry) amountBehind(c clause, o Options) bool {
	last := len(e.Events) - 1
	if len(c.numbers) != 1 || last < 0 || e.Events[last].Kind != Act || e.Events[last].Action != "water_change" || e.Events[last].Amount.OK || strings.ContainsFunc(withoutNumbers(c.text), unicode.IsLetter) {
		return false
	}
	amount, code, ok := c.amount(e.Events[last].Action, o)
	if !ok {
		return false
	}
	e.Events[last].Amount, e.Events[last].Unit = club.Some(amount), code
	return true
}

func (c clause) hasShareOrVolume() bool {
	_, code, ok := c.amount("water_change", Options{})
	return ok && (code == "%" || code == "L")
}

// fractions are words for a part of the water.
var fractions = map[string]float64{"half": 50, "a half": 50, "hälfte": 50, "halfte": 50, "moitie": 50, "mitad": 50, "a third": 100.0 / 3, "third": 100.0 / 3, "drittel": 100.0 / 3, "tiers": 100.0 / 3, "un tercio": 100.0 / 3, "tercio": 100.0 / 3,
	"quarter": 25, "a quarter": 25, "viertel": 25, "quart": 25, "cuarto": 25, "two thirds": 200.0 / 3, "zwei drittel": 200.0 / 3}

func (c clause) fraction() (float64, bool) {
	folded := " " + word.Fold(c.text) + " "
	best, found := 0.0, ""
	for words, share := range fractions {
		if strings.Contains(folded, " "+words+" ") && len(words) > len(found) {
			best, found = share, words
		}
	}
	return best, found != ""
}

// amounts are the units of the amount of an act, by the quantities that it can have.
var amounts = map[string][]unit.Quantity{
	"water_change": {unit.Share, unit.Volume},
	"level_change": {unit.Length},
}

// Amount reads the amount of an act from a column of its own, text that holds a
// number with or without its unit, in the unit that the table of actions uses. It
// reports false for what is no amount of such an act.
func Amount(action, text string, d cell.Decimal) (amount float64, code string, ok bool) {
	c := clause{text: strings.TrimSpace(text)}
	if len(numbersIn(c.text)) != 1 || numbersIn(c.text)[0][0] != 0 {
		return 0, "", false
	}
	rest := strings.TrimSpace(c.text[numbersIn(c.text)[0][1]:])
	amount, code, ok = c.amount(action, Options{Decimal: d})
	switch {
	case ok && code == "1":
		return amount, code, rest == ""
	case ok:
		return amount, code, len(unit.Find(rest)) > 0
	}
	if u := unit.Find(rest); rest != "" && len(u) > 0 && amounts[action] == nil { // of another act: as stated
		n, fault := cell.ParseNumber(c.text[:numbersIn(c.text)[0][1]], d)
		return n.Value, u[0].Code, fault == nil && !n.Bound()
	}
	return 0, "", false
}

// Numbers are the numbers of a text as written, for the decision on a decimal mark.
func Numbers(text string) []string {
	var out []string
	for _, at := range numbersIn(text) {
		out = append(out, text[at[0]:at[1]])
	}
	return out
}

var behind = regexp.MustCompile(`^\s?(%|°\s?\pL+|\pL+)`)

// amount reads the one number of an act with its unit. Fish need none.
func (c clause) amount(action string, o Options) (float64, string, bool) {
	for _, at := range numbersIn(c.text) {
		n, fault := cell.ParseNumber(strings.TrimSpace(c.text[at[0]:at[1]]), o.Decimal)
		if fault != nil || n.Bound() {
			continue
		}
		written := ""
		if m := behind.FindStringSubmatch(c.text[at[1]:]); m != nil {
			written = m[1]
		}
		if action == "add_fish" || action == "remove_fish" {
			return n.Value, "1", true
		}
		for _, q := range amounts[action] {
			if u, ok := unit.Lookup(written, q); ok {
				return unit.ToCanonical(n.Value, u), unit.Canonical(q).Code, true
			}
		}
	}
	return 0, "", false
}

// refill reads "3 °C cooler" behind a water change.
func (e *Entry) refill(c clause, o Options) bool {
	last := len(e.Events) - 1
	if len(c.numbers) != 1 || last < 0 || e.Events[last].Action != "water_change" || c.tags.has(cooler) == c.tags.has(warmer) {
		return false
	}
	at := numbersIn(c.text)[0]
	n, fault := cell.ParseNumber(strings.TrimSpace(c.text[at[0]:at[1]]), o.Decimal)
	m := behind.FindStringSubmatch(c.text[at[1]:])
	if fault != nil || n.Bound() || m == nil {
		return false
	}
	u, ok := unit.Lookup(m[1], unit.TempDiff)
	if !ok {
		return false
	}
	v := unit.ToCanonical(n.Value, u)
	if c.tags.has(cooler) {
		v = -v
	}
	e.Events[last].Cooler = club.Some(v)
	return true
}

// measures are the measurements that a diary can hold: what must stand before or
// behind the number, and the name of the quantity in the table of readings.
var measures = []struct {
	name     string
	quantity unit.Quantity
	before   *regexp.Regexp // names the quantity
}{
	{"ph", unit.Acidity, regexp.MustCompile(`(?i)\bph\s*[:=]?\s*$`)},
	{"temperature_c", unit.Temperature, nil},
	{"conductivity_us_cm", unit.Conductivity, nil},
	{"air_pressure_hpa", unit.Pressure, nil},
}

// ofTank are words beside a measurement that leave it one of the tank, or of the air
// for air pressure.
var ofTank = map[string]bool{"ph": true, "ec": true, "lw": true, "leitwert": true, "leitfahigkeit": true, "conductivity": true, "conductivite": true, "conductividad": true,
	"pressure": true, "barometer": true, "luftdruck": true, "pression": true, "presion": true, "c": true, "f": true, "us": true, "ms": true, "cm": true, "s": true, "hpa": true, "mbar": true, "inhg": true, "hg": true,
	"celsius": true, "fahrenheit": true, "degrees": true, "grad": true, "grados": true, "degres": true, "deg": true, "wassertemperatur": true, "µs": true, "μs": true, "measured": true, "gemessen": true, "mesure": true, "medido": true, "steady": true, "now": true}

// measured reads a clause that is a measurement and nothing else.
func (e *Entry) measured(c clause, o Options) bool {
	if len(c.numbers) == 0 || len(c.tags) > 1 || len(c.tags) == 1 && !c.tags[filler] || strings.Contains(c.text, "?") {
		return false
	}
	if slices.ContainsFunc(c.unknown, func(w string) bool { return !ofTank[w] }) {
		return false
	}
	var events []Event
	for _, at := range numbersIn(c.text) {
		ev, ok := measure(c.text, at, o)
		if !ok {
			return false
		}
		events = append(events, ev)
	}
	e.Events = append(e.Events, events...)
	return true
}

func measure(text string, at []int, o Options) (Event, bool) {
	written := strings.TrimSpace(text[at[0]:at[1]])
	stated := unitBehind(text[at[1]:])
	for _, m := range measures {
		named := m.before != nil && m.before.MatchString(text[:at[0]])
		if m.quantity == unit.Acidity && !named && !strings.EqualFold(stated, "pH") {
			continue
		}
		full := written
		if m.quantity != unit.Acidity {
			if _, ok := unit.Lookup(stated, m.quantity); !ok {
				continue
			}
			full += " " + stated
		}
		x, fault := cell.MeasureOf(source.Cell{Kind: source.Text, Text: full}, m.quantity, o.Decimal)
		if fault != nil || !x.OK || x.V.Bound() {
			return Event{}, false
		}
		u := x.V.In
		if u == (unit.Unit{}) {
			u = unit.Canonical(m.quantity)
		}
		return Event{Kind: Measured, Quantity: m.name, Value: club.Some(unit.ToCanonical(x.V.Value, u))}, true
	}
	return Event{}, false
}

// unitBehind is the longest unit that stands directly behind a number.
func unitBehind(text string) string {
	words := strings.FieldsFunc(text, unicode.IsSpace)
	for n := min(3, len(words)); n > 0; n-- {
		if s := strings.Join(words[:n], " "); len(unit.Find(s)) > 0 || strings.EqualFold(s, "pH") {
			return s
		}
	}
	return ""
}

// Lowers reports whether words about a level say that it was lowered.
func Lowers(text string) bool {
	found, _ := known().read(strings.Fields(fold(withoutNumbers(text))))
	return found.has(levelLower)
}
