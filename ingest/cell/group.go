package cell

import (
	"slices"
	"strconv"
	"strings"

	"gravid/ingest/cell/word"
	"gravid/ingest/club"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// A Group is the fish of one attempt. What the cell does not state is not OK.
type Group struct {
	Males, Females, Unsexed club.Count

	// Note says how a group was read that custom alone makes clear (a trio is
	// one male and two females) or that a spreadsheet may have changed. It is
	// empty for groups that are plain.
	Note string
}

// mostFish is more than any group of breeders; see n_females in limits.csv.
const mostFish = 5000

// ParseGroup reads the fish of a group: 2.3 and 2/3 (males, females), 1.2.3
// (males, females, unsexed), 1m2f, 2♂ 3♀, 2 males 3 females, pair, trio, group
// of 8, and the same in German, French and Spanish. A number alone counts fish
// of unknown sex.
func ParseGroup(text string) (Group, *Fault) {
	s := tidy(text)
	if g, ok := groupWords[word.Fold(s)]; ok {
		return g, nil
	}
	for _, read := range []func(string) (Group, bool){dotted, lettered, times, groupOf} {
		if g, ok := read(s); ok {
			return g.checked(text)
		}
	}
	return Group{}, sexRatioFault(text)
}

func sexRatioFault(text string) *Fault {
	return faultf(problem.SexRatio, "write males.females, such as 2.3, or 2 males 3 females", "%s is not a group of fish", quote(text))
}

func (g Group) checked(text string) (Group, *Fault) {
	total := g.Males.V + g.Females.V + g.Unsexed.V
	if total == 0 || total > mostFish {
		return Group{}, faultf(problem.SexRatio, "write males.females, such as 2.3", "a group of %d fish, as %s says, cannot be", total, quote(text))
	}
	return g, nil
}

// GroupOf reads a cell. It is not OK, without a Fault, when nothing was
// recorded. A stored number such as 2.1 is read as 2.1, with a Note, because
// 2.10 is stored as the same number; a number format that shows both as 2.10
// makes it a Fault.
func GroupOf(c source.Cell) (club.Maybe[Group], *Fault) {
	var none club.Maybe[Group]
	var g Group
	var fault *Fault
	switch c.Kind {
	case source.Blank:
		return none, nil
	case source.Text:
		if IsMissing(c.Text) {
			return none, nil
		}
		g, fault = ParseGroup(c.Text)
	case source.Number:
		g, fault = storedGroup(c)
	case source.Date, source.Instant:
		fault = faultf(problem.SexRatio, "write the group as text, such as 2 males 1 female", "a group of fish is needed, but the spreadsheet stored the date %s: it may have turned %d/%d into it", c.Time.Format("2006-01-02"), c.Time.Day(), int(c.Time.Month()))
	case source.Clock, source.Span, source.Bool:
		fault = sexRatioFault(c.Text)
	default:
		fault = unreadable(c)
	}
	return club.Maybe[Group]{V: g, OK: fault == nil}, fault
}

func storedGroup(c source.Cell) (Group, *Fault) {
	written := plain(c.Number)
	_, decimals, found := strings.Cut(written, ".")
	if _, format, ok := strings.Cut(c.Format, "."); ok && found && len(format)-len(strings.TrimLeft(format, "0")) > len(decimals) {
		return Group{}, faultf(problem.SexRatio, "write the group as text, such as 2 males 1 female", "the number %s is shown with more decimals, so that %s and %s0 look alike", written, written, written)
	}
	g, fault := ParseGroup(written)
	if fault == nil && found {
		g.Note = "stored as the number " + written + ", which is also how a spreadsheet stores " + written + "0"
	}
	return g, fault
}

func known(n int64) club.Count { return club.Some(n) }

// dotted reads 2.3, 1.2.3, 2/3, 2:3, 2,3, 2+3 and a number alone.
func dotted(s string) (Group, bool) {
	for _, sep := range []string{".", "/", ":", ",", "+"} {
		fields := strings.Split(strings.ReplaceAll(s, " "+sep+" ", sep), sep)
		var n []int64
		for _, f := range fields {
			v, err := strconv.ParseUint(f, 10, 16)
			if err != nil || !allDigits(f) || len(f) > 1 && f[0] == '0' || len(f) > 3 && len(fields) > 1 {
				n = nil
				break
			}
			n = append(n, int64(v))
		}
		switch {
		case len(n) == 3 && (sep == "." || sep == ","):
			return Group{Males: known(n[0]), Females: known(n[1]), Unsexed: known(n[2])}, true
		case len(n) == 2 && sep == ":":
			return Group{Males: known(n[0]), Females: known(n[1]), Note: s + " is read as numbers of fish, not as a ratio"}, true
		case len(n) == 2 && sep == "," && n[1] > 9: // 2,30 looks like a decimal
			return Group{}, false
		case len(n) == 2 && sep == ",":
			return Group{Males: known(n[0]), Females: known(n[1]), Note: s + " is read as males, females"}, true
		case len(n) == 2:
			return Group{Males: known(n[0]), Females: known(n[1])}, true
		case len(n) == 1:
			return Group{Unsexed: known(n[0])}, true
		}
	}
	return Group{}, false
}

// sexOf tells what a word after a number counts: m, f or u.
var sexOf = sexes(map[byte]string{
	'm': "m male males ♂ mannchen maennchen macho machos boy boys buck bucks mann manner bock bocke masle cock cocks",
	'f': "f female females ♀ weibchen w femelle femelles hembra hembras h girl girls hen hens doe does weib weiber",
	'u': "u unsexed unknown juv juvenile juveniles jungtiere unbestimmt indetermine indetermines",
})

func sexes(lists map[byte]string) map[string]byte {
	m := map[string]byte{}
	for sex, list := range lists {
		for _, w := range strings.Fields(list) {
			m[w] = sex
		}
	}
	return m
}

// lettered reads 1m2f, 2♂ 3♀, "2 males, 3 females and 4 juveniles".
func lettered(s string) (Group, bool) {
	tokens := tokenise(s)
	tokens = slices.DeleteFunc(tokens, func(t token) bool {
		return slices.Contains([]string{",", "+", "&", "/", ".", ";", "and", "und", "et", "y", "x"}, strings.ToLower(t.text))
	})
	if len(tokens) < 2 || len(tokens)%2 != 0 {
		return Group{}, false
	}
	var g Group
	for i := 0; i < len(tokens); i += 2 {
		n, isNumber := tokens[i].number(1, 4)
		var to *club.Count
		switch sexOf[word.Fold(tokens[i+1].text)] {
		case 'm':
			to = &g.Males
		case 'f':
			to = &g.Females
		case 'u':
			to = &g.Unsexed
		}
		if !isNumber || to == nil || to.OK {
			return Group{}, false
		}
		*to = known(int64(n))
	}
	return g, true
}

var (
	pair = Group{Males: known(1), Females: known(1)}
	trio = Group{Males: known(1), Females: known(2), Note: "a trio is one male and two females by custom"}
)

// groupWords are groups with a name of their own.
var groupWords = map[string]Group{
	"pair": pair, "a pair": pair, "breeding pair": pair, "one pair": pair, "couple": pair, "a couple": pair,
	"paar": pair, "ein paar": pair, "zuchtpaar": pair, "parchen": pair, "paerchen": pair, "un couple": pair, "pareja": pair, "una pareja": pair,
	"trio": trio, "a trio": trio, "breeding trio": trio, "zuchttrio": trio, "un trio": trio,
	"1 pair": pair, "the pair": pair, "1 couple": pair, "1 paar": pair, "1 pareja": pair, "le couple": pair, "la pareja": pair, "das paar": pair, "spawning pair": pair, "one male one female": pair, "a male and a female": pair, "un male et une femelle": pair, "un macho y una hembra": pair, "ein mannchen und ein weibchen": pair,
	"reverse trio": {Males: known(2), Females: known(1)},
}

// times reads "2 pairs" and "3 trios".
func times(s string) (Group, bool) {
	number, noun, ok := strings.Cut(word.Fold(s), " ")
	n, err := strconv.ParseUint(number, 10, 16)
	if !ok || err != nil {
		return Group{}, false
	}
	switch noun {
	case "pair", "pairs", "paar", "paare", "parchen", "paerchen", "couple", "couples", "pareja", "parejas":
		return Group{Males: known(int64(n)), Females: known(int64(n))}, true
	case "trio", "trios":
		return Group{Males: known(int64(n)), Females: known(2 * int64(n)), Note: trio.Note}, true
	}
	return Group{}, false
}

// groupOf reads "group of 8", "8er Gruppe" and "8 fish".
func groupOf(s string) (Group, bool) {
	words := strings.Fields(word.Fold(s))
	number := -1
	for i, w := range words {
		switch {
		case allDigits(strings.TrimSuffix(w, "er")) && number < 0:
			number = i
		case nouns[Fish][w], slices.Contains([]string{"group", "groups", "of", "gruppe", "von", "mit", "groupe", "de", "grupo", "shoal", "school", "schwarm", "banc", "cardumen", "a", "eine", "un"}, w):
		default:
			return Group{}, false
		}
	}
	if number < 0 || len(words) < 2 {
		return Group{}, false
	}
	n, err := strconv.ParseUint(strings.TrimSuffix(words[number], "er"), 10, 16)
	return Group{Unsexed: known(int64(n))}, err == nil
}
