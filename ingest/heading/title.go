package heading

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// titleKeys are the words that name what a row above the headings says, beside
// the headings of keeper, system and species.
var titleKeys = map[string]string{
	"year": "year", "season": "year", "jahr": "year", "saison": "year", "annee": "year", "ano": "year", "temporada": "year",
	"place": "place", "location": "place", "town": "place", "city": "place", "ort": "place", "wohnort": "place", "standort": "place",
	"lieu": "place", "ville": "place", "lugar": "place", "localidad": "place", "ciudad": "place", "station": "place",
	"time zone": "time_zone", "timezone": "time_zone", "tz": "time_zone", "zeitzone": "time_zone", "fuseau horaire": "time_zone", "fuseau": "time_zone",
	"zona horaria": "time_zone", "times in": "time_zone", "all times in": "time_zone", "zeiten in": "time_zone",
}

// titleOf finds what a word above the headings names: keeper, system, species,
// year, place or time_zone.
func titleOf(text string) string {
	if t := titleKeys[key(text)]; t != "" {
		return t
	}
	found := known().exact(text)
	title := ""
	for _, m := range found {
		switch {
		case m.field != Keeper && m.field != System && m.field != Species, title != "" && title != string(m.field):
			return ""
		}
		title = string(m.field)
	}
	return title
}

var (
	keyAndValue = regexp.MustCompile(`^\s*([^:=]{1,40}?)\s*[:=]\s*(\S.*?)\s*$`)
	numbered    = regexp.MustCompile(`^\s*(\pL[\pL ]*?)\s*(?:[Nn]r\.?|[Nn]o\.?|#)?\s*([0-9]+[A-Za-z]?)\s*$`)
	year        = regexp.MustCompile(`^[^0-9]*((?:19|20)[0-9]{2})[^0-9]*$`)
)

// A title is one thing that a row above the headings says.
type title struct{ key, value string }

// titlesOf reads a row above the headings: "Keeper: Ana" in one cell, "Keeper" and
// "Ana" in two, "Tank 4", or the one year of a title.
func titlesOf(r source.Row) []title {
	var out []title
	var cells []string
	for _, c := range r.Cells {
		if c.Kind != source.Blank {
			cells = append(cells, strings.TrimSpace(c.Text))
		}
	}
	for i := 0; i < len(cells); i++ {
		text := cells[i]
		if m := keyAndValue.FindStringSubmatch(text); m != nil {
			if k := titleOf(m[1]); k != "" {
				out = append(out, title{k, m[2]})
			}
			continue
		}
		if k := titleOf(strings.TrimRight(text, " :=")); k != "" && i+1 < len(cells) && len(known().exact(cells[i+1])) == 0 {
			out = append(out, title{k, cells[i+1]})
			i++
			continue
		}
		parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("-–—,;|", r) })
		if tank := slices.IndexFunc(parts, isTank); tank >= 0 {
			out = append(out, title{string(System), strings.TrimSpace(parts[tank])})
		} else if m := year.FindStringSubmatch(text); m != nil && strings.ContainsFunc(text, unicode.IsLetter) {
			out = append(out, title{"year", m[1]})
		}
	}
	return out
}

// isTank reports whether part of a title numbers a tank.
func isTank(text string) bool {
	m := numbered.FindStringSubmatch(text)
	return m != nil && titleOf(m[1]) == string(System)
}

// titles gathers what the rows above the headings say. What two of them say
// differently counts as not said.
func titles(rows []source.Row) (map[string]string, []problem.Problem) {
	said := map[string][]string{}
	var problems []problem.Problem
	for _, r := range rows {
		for _, t := range titlesOf(r) {
			if t.key == "time_zone" {
				switch zoneIn(t.value) {
				case utcZone:
					t.value = "UTC"
				case localZone:
					continue
				default:
					problems = append(problems, problem.Problem{Severity: problem.Warning, Code: problem.TimeUnreadable, Place: problem.Place{Row: r.Number}, Value: t.value,
						Message: fmt.Sprintf("a title names the time zone %q, which is not used: a name such as this does not say when the clocks change", t.value),
						Fix:     `write time_zone = "…" in the mapping, such as time_zone = "Europe/Vienna"`})
					continue
				}
			}
			if !slices.Contains(said[t.key], t.value) {
				said[t.key] = append(said[t.key], t.value)
			}
			if len(said[t.key]) == 2 && t.value == said[t.key][1] {
				problems = append(problems, problem.Problem{Severity: problem.Warning, Code: problem.Contradiction, Place: problem.Place{Row: r.Number}, Value: t.value,
					Message: fmt.Sprintf("the rows above the headings name two values for %s, %q and %q; neither is used", t.key, said[t.key][0], t.value),
					Fix:     fmt.Sprintf(`write %s = "…" in the mapping`, t.key)})
			}
		}
	}
	out := map[string]string{}
	for k, values := range said {
		if len(values) == 1 {
			out[k] = values[0]
		}
	}
	return out, problems
}
