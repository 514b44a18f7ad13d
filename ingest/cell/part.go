package cell

import (
	"regexp"
	"strconv"
	"strings"

	"gravid/ingest/cell/word"
	"gravid/ingest/unit"
)

// partWords are words for a part of a whole.
var partWords = map[string]float64{
	"half": 1. / 2, "a half": 1. / 2, "one half": 1. / 2, "a third": 1. / 3, "one third": 1. / 3, "third": 1. / 3, "two thirds": 2. / 3, "a quarter": 1. / 4, "one quarter": 1. / 4, "quarter": 1. / 4, "three quarters": 3. / 4, "a fifth": 1. / 5, "one fifth": 1. / 5, "a tenth": 1. / 10,
	"halfte": 1. / 2, "die halfte": 1. / 2, "halb": 1. / 2, "ein drittel": 1. / 3, "drittel": 1. / 3, "zwei drittel": 2. / 3, "ein viertel": 1. / 4, "viertel": 1. / 4, "drei viertel": 3. / 4, "dreiviertel": 3. / 4, "ein funftel": 1. / 5, "ein zehntel": 1. / 10,
	"moitie": 1. / 2, "la moitie": 1. / 2, "un tiers": 1. / 3, "tiers": 1. / 3, "deux tiers": 2. / 3, "un quart": 1. / 4, "quart": 1. / 4, "trois quarts": 3. / 4, "un cinquieme": 1. / 5, "un dixieme": 1. / 10,
	"mitad": 1. / 2, "la mitad": 1. / 2, "un tercio": 1. / 3, "tercio": 1. / 3, "dos tercios": 2. / 3, "un cuarto": 1. / 4, "cuarto": 1. / 4, "tres cuartos": 3. / 4, "un quinto": 1. / 5, "un decimo": 1. / 10,
}

var ratio = regexp.MustCompile(`^([0-9]{1,2})\s?[/⁄]\s?([0-9]{1,3})$`)

// signs of a part that have a character of their own.
var partSigns = map[string]float64{"½": 1. / 2, "⅓": 1. / 3, "⅔": 2. / 3, "¼": 1. / 4, "¾": 3. / 4, "⅕": 1. / 5, "⅛": 1. / 8}

// parsePart reads a part of a whole: 1/3, half, ¼. Where a share is needed, 1/3 is
// neither a date nor a pair. The part must be smaller than the whole.
func parsePart(text string) (Measure, bool) {
	s := tidy(text)
	part, ok := partSigns[strings.TrimSpace(s)]
	if !ok && len(s) < 40 {
		part, ok = partWords[word.Fold(s)]
	}
	if m := ratio.FindStringSubmatch(strings.TrimSpace(s)); m != nil {
		above, _ := strconv.Atoi(m[1])
		below, _ := strconv.Atoi(m[2])
		part, ok = float64(above)/float64(below), above > 0 && above < below
	}
	if !ok {
		return Measure{}, false
	}
	percent := 100 * part
	return Measure{Number: Number{Value: percent, Low: percent, High: percent}, In: unit.Canonical(unit.Share)}, true
}
