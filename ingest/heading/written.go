package heading

import (
	"regexp"
	"slices"
	"strings"

	"gravid/ingest/cell/word"
	"gravid/ingest/unit"
)

// A reading is one way to take a heading apart into a name and what follows it:
// a unit, a kind of cell ("y/n", "n"), or a time zone.
type reading struct {
	name, rest string
	bracket    bool // the rest stood in brackets: it belongs to the heading
}

var (
	bracketed = regexp.MustCompile(`[(\[{]([^()\[\]{}]*)[)\]}]`)
	separator = regexp.MustCompile(`\s*(?:,|/|:|;|\s-\s|\s–\s|\s(?:in|en|as|als)\s)\s*`)
)

// readings takes a heading apart in all ways that can matter, the likeliest
// first: as it stands, with brackets, after a separator, the last and the first
// words.
func readings(text string) []reading {
	text = strings.Join(strings.Fields(text), " ")
	out := []reading{{name: text}}
	if at := bracketed.FindAllStringSubmatchIndex(text, -1); len(at) > 0 {
		last := at[len(at)-1]
		out = append(out, reading{name: strings.TrimSpace(text[:last[0]] + " " + text[last[1]:]), rest: strings.TrimSpace(text[last[2]:last[3]]), bracket: true})
	}
	for _, at := range slices.Backward(separator.FindAllStringIndex(text, -1)) {
		out = append(out, reading{name: text[:at[0]], rest: text[at[1]:]})
	}
	words := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '_' })
	for n := 1; n <= 3 && n < len(words); n++ {
		name, tail := strings.Join(words[:len(words)-n], " "), words[len(words)-n:]
		out = append(out, reading{name: name, rest: strings.Join(tail, " ")})
		if n > 1 {
			out = append(out, reading{name: name, rest: strings.Join(tail, "/")})
		}
	}
	for n := 1; n <= 2 && n < len(words); n++ {
		out = append(out, reading{name: strings.Join(words[n:], " "), rest: strings.Join(words[:n], " ")})
	}
	return out
}

// unitIn finds the unit that a heading of a known field states, wherever in the
// heading it stands. TH and TAC name the hardness, not its unit.
func unitIn(text string, q unit.Quantity) unit.Unit {
	if q == unit.None {
		return unit.Unit{}
	}
	var found unit.Unit
	longest := 0 // "h/day" says more than "day"
	for _, r := range readings(text) {
		stated := r.rest
		if stated == "" {
			if k := key(r.name); k == "th" || k == "tac" {
				continue
			}
			stated = r.name
		}
		if u, ok := lookupUnit(stated, q); ok && len(stated) > longest {
			found, longest = u, len(stated)
		}
	}
	return found
}

func lookupUnit(text string, q unit.Quantity) (unit.Unit, bool) {
	if u, ok := unit.Lookup(text, q); ok {
		return u, true
	}
	text = strings.Trim(text, "()[]{} ")
	if name, behind, found := strings.Cut(text, " "); found && q != unit.None && slices.Contains(directions, key(behind)) {
		text = name // "°C menos", "cm lower"
	}
	return unit.Lookup(text, q)
}

// directions are words behind a unit that say which way a difference counts.
var directions = []string{"less", "menos", "weniger", "moins", "de moins", "de menos", "cooler", "colder", "kalter", "kuhler", "lower", "down", "tiefer", "runter", "abajo", "change", "difference", "diff", "differenz", "difference de", "diferencia"}

// fallWords are parts of words by which a heading says that its numbers count
// downwards: under "refill cooler by", 4 means four degrees less.
var fallWords = []string{"cooler", "colder", "kalter", "kuhler", "froide", "fria", "lower", "drop", "fall", "senk", "baiss", "bajad", "baja ", "bajo", "chute", "caida", "fresca", "fraiche", "descen", "abgelassen", "verring", "reduc", "reduz", "diminu"}

// falls reports whether numbers under a heading of the field count downwards.
func falls(f Field, text string) bool {
	if f != RefillDelta && f != LevelChange && f != PressureChange {
		return false
	}
	k := key(text)
	return slices.ContainsFunc(fallWords, func(w string) bool { return strings.Contains(k, w) })
}

// kindWords are what headings and rows of units write to say the kind of cells.
var kindWords = map[string]traits{
	"n": isCount, "no": isCount, "nr": isCount, "#": isCount, "count": isCount, "number": isCount, "anz": isCount, "anzahl": isCount,
	"stk": isCount, "stuck": isCount, "nb": isCount, "nbre": isCount, "num": isCount, "pcs": isCount, "qty": isCount, "zahl": isCount,
	"y n": isAnswer, "j n": isAnswer, "o n": isAnswer, "s n": isAnswer, "yes no": isAnswer, "ja nein": isAnswer, "oui non": isAnswer, "si no": isAnswer,
	"date": isDate, "datum": isDate, "fecha": isDate, "d m y": isDate, "dd mm yy": isDate, "dd mm yyyy": isDate, "mm dd yyyy": isDate, "yyyy mm dd": isDate,
	"tt mm jj": isDate, "tt mm jjjj": isDate, "jj mm aa": isDate, "jj mm aaaa": isDate, "dd mm aaaa": isDate, "jjjj mm tt": isDate,
	"hh mm": isClock, "hh mm ss": isClock, "uhrzeit": isClock,
}

// kindOf finds the kind of cells that text names.
func kindOf(text string) (traits, bool) {
	t, ok := kindWords[key(text)]
	return t, ok
}

// A zone is what a heading says of clock times.
type zone uint8

const (
	noZone zone = iota
	localZone
	utcZone
	otherZone // stated, but not one that headings can settle
)

var (
	localZones = []string{"local", "local time", "ortszeit", "lokalzeit", "heure locale", "hora local", "lt"}
	utcZones   = []string{"utc", "gmt", "z", "zulu", "utc 0", "utc 00 00", "gmt 0", "utc time"}
	otherZones = regexp.MustCompile(`^(?:(?:utc|gmt)[ 0-9]+|mez|mesz|cet|cest|met|mest|est|edt|cst|cdt|mst|mdt|pst|pdt|bst|ist|wet|west|eet|eest|aest|aedt|[a-z]+ zeit)$`)
)

// zoneIsWord are names of zones that are words as well: in "wet date" no zone is meant.
var zoneIsWord = map[string]bool{"wet": true, "met": true, "est": true, "ist": true, "west": true}

// zoneIn reads the time zone that text names.
func zoneIn(text string) zone {
	k := word.Fold(text)
	switch {
	case slices.Contains(localZones, k):
		return localZone
	case slices.Contains(utcZones, k):
		return utcZone
	case otherZones.MatchString(k) && (!zoneIsWord[k] || strings.ToUpper(text) == text):
		return otherZone
	}
	return noZone
}
