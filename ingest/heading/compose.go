package heading

import (
	_ "embed"
	"encoding/csv"
	"slices"
	"strings"
	"sync"

	"gravid/ingest/cell/word"
)

//go:embed headwords.csv
var partsList string

// A part is what one word, or a few, of a heading says: what a column is about
// (eggs, hatch), or which side of it (date, count).
type part string

const (
	partBegan    part = "began"
	partSpawn    part = "spawn"
	partLaid     part = "laid"
	partEggs     part = "eggs"
	partHatch    part = "hatch"
	partSwim     part = "swim"
	partFry      part = "fry"
	partFertile  part = "fertile"
	partUnviable part = "unviable"
	partTemp     part = "temp"
	partWater    part = "water"
	partRoom     part = "room"
	partOutside  part = "outside"
	partChange   part = "change"
	partGroup    part = "group"
	partSexes    part = "sexes"
	partRatio    part = "ratio"
	partEnded    part = "ended"
	partMeasured part = "measured"
	partDate     part = "date"
	partCount    part = "count"
	partSeen     part = "seen"
	partAnswer   part = "answer"
	partMean     part = "mean"
	partLevel    part = "level"
	partLowered  part = "lowered"
	partRaised   part = "raised"
	partAltered  part = "altered"
	partFlow     part = "flow"
	partNew      part = "new"
	partLight    part = "light"
	partHours    part = "hours"
	partLost     part = "lost"
	partWhy      part = "why"
	partFiller   part = "filler"
)

// mostParts is how many words a heading put together of parts has at most, and
// longestPhrase how many words one part has.
const mostParts, longestPhrase = 6, 4

// parts are the words of headwords.csv, folded.
var parts = sync.OnceValue(func() map[string]part {
	rows, err := csv.NewReader(strings.NewReader(partsList)).ReadAll()
	if err != nil {
		panic("heading: headwords.csv: " + err.Error())
	}
	m := map[string]part{}
	for _, r := range rows[1:] {
		for _, k := range []string{key(r[1]), key(digraphs(r[1]))} {
			if was, twice := m[k]; twice && was != part(r[0]) {
				panic("heading: headwords.csv gives two parts to " + r[1])
			}
			m[k] = part(r[0])
		}
	}
	return m
})

// compose reads a heading that is not in the list by its words: each must be known,
// and together they must make sense. Where they leave open which side of a thing is
// meant ("eggs seen"), the cells below decide.
func compose(name string) []meaning {
	said, ok := partsOf(name)
	if !ok {
		return nil
	}
	var out []meaning
	for _, f := range composed(said, strings.ContainsAny(name, "?¿")) {
		out = append(out, meaning{field: f})
	}
	return out
}

// apart writes signs and elided articles as words of their own.
var apart = strings.NewReplacer("#", " no ", "°", " ", "º", " ", "'", " ", "’", " ")

// partsOf takes a heading apart into known words; false where one is unknown.
func partsOf(name string) (said []part, ok bool) {
	words := strings.Fields(word.Fold(apart.Replace(symbols.Replace(name))))
	if len(words) == 0 || len(words) > mostParts {
		return nil, false
	}
	for len(words) > 0 {
		n := 0
		for i := min(longestPhrase, len(words)); i > 0 && n == 0; i-- {
			if p, found := parts()[strings.Join(words[:i], " ")]; found {
				said, n = append(said, p), i
			}
		}
		if n == 0 {
			first, second, found := compound(words[0])
			if !found {
				return nil, false
			}
			said, n = append(said, first, second), 1
		}
		words = words[n:]
	}
	return said, true
}

// compound takes a word apart that is two known words written together, as in
// German: Laichtermin, Gelegezahl.
func compound(w string) (first, second part, ok bool) {
	const shortest = 3
	for i := shortest; i <= len(w)-shortest; i++ {
		if second, ok = parts()[w[i:]]; !ok {
			continue
		}
		for _, head := range []string{w[:i], strings.TrimSuffix(w[:i], "s")} {
			if first, ok = parts()[head]; ok && first != partFiller && second != partFiller {
				return first, second, true
			}
		}
	}
	return "", "", false
}

// composed gives the fields that parts can mean together; none where they make no
// sense.
func composed(said []part, asks bool) []Field {
	var about []part
	date, counted, seen := false, false, false
	for _, p := range said {
		switch p {
		case partDate:
			date = true
		case partCount:
			counted = true
		case partSeen:
			seen = true
		case partAnswer:
			asks = true
		case partFiller:
		default:
			if !slices.Contains(about, p) {
				about = append(about, p)
			}
		}
	}
	if date && (counted || asks) {
		return nil
	}
	slices.Sort(about)
	pick := func(onDate, onCount, onQuestion Field, open ...Field) []Field {
		switch {
		case date:
			open = []Field{onDate}
		case counted:
			open = []Field{onCount}
		case asks:
			open = []Field{onQuestion}
		}
		return slices.DeleteFunc(open, func(f Field) bool { return f == None })
	}
	is := func(want ...part) bool { slices.Sort(want); return slices.Equal(about, want) }
	switch {
	case is(partBegan), is(partBegan, partGroup) && (date || !counted), is(partGroup) && date:
		return pick(Began, None, None, Began)
	case (is(partEnded) || is(partEnded, partGroup)) && !counted && !asks && !seen:
		return []Field{Ended}
	case len(about) == 0 && slices.Contains(said, partAnswer) && !seen:
		return []Field{Spawned}
	case is(partSpawn):
		return pick(SpawnedAt, None, Spawned, Spawned, SpawnedAt)
	case is(partLaid):
		return pick(SpawnedAt, Eggs, Spawned, Spawned, SpawnedAt)
	case is(partEggs) && seen, is(partEggs, partSpawn), is(partEggs, partLaid):
		return pick(SpawnedAt, Eggs, Spawned, Eggs, SpawnedAt, Spawned)
	case is(partEggs):
		return pick(SpawnedAt, Eggs, Spawned, Eggs)
	case is(partHatch), is(partHatch, partFry), is(partHatch, partEggs):
		return pick(HatchDate, Hatched, None, Hatched, HatchDate)
	case is(partSwim), is(partSwim, partFry):
		return pick(SwimDate, FreeSwimming, None, FreeSwimming, SwimDate)
	case is(partFertile), is(partFertile, partEggs):
		return pick(None, Fertile, None, Fertile)
	case is(partUnviable, partEggs):
		return pick(None, Unviable, None, Unviable)
	case date || counted || seen || asks:
		if is(partMeasured) && date && !seen {
			return []Field{Date}
		}
		return nil
	case is(partTemp), is(partTemp, partWater), is(partTemp, partMean), is(partTemp, partMean, partWater):
		return []Field{Temperature}
	case is(partTemp, partNew), is(partTemp, partNew, partWater), is(partTemp, partChange):
		return []Field{RefillTemp}
	case is(partLevel, partLowered), is(partLevel, partRaised), is(partLevel, partAltered):
		return []Field{LevelChange}
	case is(partFlow), is(partFlow, partRaised):
		return []Field{Flow}
	case is(partLight, partHours):
		return []Field{LightHours}
	case is(partLost, partWhy):
		return []Field{Loss}
	case is(partTemp, partRoom):
		return []Field{RoomTemp}
	case is(partTemp, partOutside):
		return []Field{OutsideTemperature}
	case is(partChange):
		return []Field{WaterChangePct}
	case is(partGroup, partSexes), is(partRatio), is(partRatio, partSexes), is(partRatio, partGroup), is(partGroup) && len(said) > 1:
		return []Field{Group}
	}
	return nil
}

// SaysEggs reports whether one of the words of a title or a name is about eggs.
func SaysEggs(text string) bool {
	return slices.ContainsFunc(strings.Fields(word.Fold(apart.Replace(text))), func(w string) bool {
		if first, second, ok := compound(w); ok {
			return first == partEggs || second == partEggs
		}
		return parts()[w] == partEggs
	})
}
