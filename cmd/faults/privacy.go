//go:build linux

package main

import (
	"fmt"
	"strings"
)

// A secret is something that no report may show where pseudonyms are on.
type secret struct {
	what  string
	words []string // compared without regard to case
}

var secrets = []secret{
	{"a keeper's name", []string{"Quirrelmund Zapfenstein", "Ottoline Fernweh", "Balduin Krautwickel", "Walpurga Dunkelhain", "Ingeborg Rasenmaeher"}},
	{"part of a keeper's name", []string{"Quirrelmund", "Zapfenstein", "Ottoline", "Fernweh", "Balduin", "Krautwickel", "Walpurga", "Dunkelhain", "Ingeborg", "Rasenmaeher"}},
	{"a file's name", []string{"quarzkiesel", "moosbarsch", "tauchsieder", "wasserfloh", "bodengrund", ".csv", "logs/"}},
	{"a place", []string{"Hinterbachgasse", "48.30694", "14.28583", "Oberkotzendorf"}},
}

// privateClub is a club of five keepers, known by their folders, by a column, by a
// sheet, and one by the log of a device alone. Their names stand in remarks, tanks
// and faulty cells as well.
func privateClub(d *dice) map[string]string {
	first := breedingLog(d, 30, "seen by Quirrelmund Zapfenstein at Hinterbachgasse 17 (48.30694 14.28583)")
	first = strings.ReplaceAll(first, "\nT1,", "\nZapfenstein left,")
	second := strings.ReplaceAll(breedingLog(d, 26, "with Ottoline's fish"), "\n", "\nOttoline Fernweh,")
	second = "keeper," + strings.TrimSuffix(second, "Ottoline Fernweh,")
	second = strings.Replace(second, "24.0", "asked BALDUIN KRAUTWICKEL", 1)
	third := breedingLog(d, 24, "as quirrelmund zapfenstein does")
	all := strings.ReplaceAll(first, "Quirrelmund", "Balduin")
	logger := "Place: Hinterbachgasse 17, Oberkotzendorf 48.30694 14.28583\n" + strings.TrimPrefix(barometer(d, 300), "Place: Lindenfurt\n")
	return map[string]string{
		"club.toml": "name = \"Ring of friends\"\ntime_zone = \"Europe/Berlin\"\npseudonyms = true\n[home]\n\"Quirrelmund Zapfenstein\" = \"Hinterbachgasse 17, Oberkotzendorf 48.30694 14.28583\"\n" +
			"\"Balduin Krautwickel\" = \"Hinterbachgasse 17, Oberkotzendorf 48.30694 14.28583\"\n",
		"logs/Quirrelmund Zapfenstein/quarzkiesel.csv":  first,
		"logs/Quirrelmund Zapfenstein/quarzkiesel2.csv": first, // the same again
		"logs/moosbarsch.csv":                           second,
		"logs/Balduin Krautwickel/tauchsieder.csv":      third,
		"logs/Balduin Krautwickel/all.csv":              all,
		"logs/Walpurga Dunkelhain/wasserfloh.csv":       strings.ReplaceAll(logger, "10", "9999"),
		"logs/Ingeborg Rasenmaeher/bodengrund.csv":      "these are\nno records\nof Ingeborg Rasenmaeher\n",
		"logs/weather/wetter.csv":                       logger,
	}
}

func privacy(b *bench) error {
	club, err := b.newClub("club", privateClub(&b.dice))
	if err != nil {
		return err
	}
	made := b.try("reports", "made a club of five keepers with pseudonyms on, and ran every verb", "the verbs answer, with letters for keepers")
	var reports, keeping []surface
	for _, step := range []struct {
		to      *[]surface
		collect func() ([]surface, error)
	}{
		{&reports, func() ([]surface, error) { return b.said(made, club, reportVerbs()) }},
		{&reports, func() ([]surface, error) { return b.documents(made, club) }},
		{&keeping, func() ([]surface, error) { return b.exports(made, club) }},
	} {
		some, err := step.collect()
		if err != nil {
			return err
		}
		*step.to = append(*step.to, some...)
	}
	letters := 0
	for _, s := range reports {
		letters += strings.Count(s.text, "Keeper A") + strings.Count(s.text, "Keeper B")
	}
	if letters == 0 {
		made.fault("no report calls anybody by a letter")
	}
	made.end("%d surfaces, keepers called by letters %d times", len(reports), letters)
	for _, group := range []struct {
		name string
		of   []surface
		in   func(surface) bool
	}{
		{"workbook", reports, func(s surface) bool { return strings.HasPrefix(s.name, "workbook") }},
		{"page", reports, func(s surface) bool { return s.kind == webPage }},
		{"season JSON", reports, func(s surface) bool { return s.name == "season --format json" }},
		{"answers", reports, func(s surface) bool {
			return !strings.HasPrefix(s.name, "workbook") && s.kind != webPage && s.name != "season --format json"
		}},
		{"exported tables", keeping, func(surface) bool { return true }},
	} {
		for _, hidden := range secrets {
			b.hides(group.name, hidden, group.of, group.in, club)
		}
	}
	t := b.try("set-aside and problems", "-", "they name files and keepers, since nobody could mend a log without")
	o, err := b.gravid("problems", "--all", "--club", club)
	if err != nil {
		return err
	}
	if !strings.Contains(o.stdout, "moosbarsch.csv") {
		t.fault("problems do not say which log they are in")
	}
	t.end("they do")
	return nil
}

// hides looks for the words of a secret in some surfaces.
func (b *bench) hides(group string, hidden secret, all []surface, in func(surface) bool, club string) {
	t := b.try(group+", "+hidden.what, fmt.Sprintf("looked for %s, in any case", strings.Join(hidden.words[:min(3, len(hidden.words))], ", ")), "not found")
	n := 0
	for _, s := range all {
		if !in(s) {
			continue
		}
		n++
		text := strings.ToLower(strings.ReplaceAll(s.text, club, "CLUB"))
		for _, w := range hidden.words {
			if i := strings.Index(text, strings.ToLower(w)); i >= 0 {
				t.fault("%s: %s", s.name, short("..."+text[max(0, i-40):min(len(text), i+40)], 110))
				break
			}
		}
	}
	if n == 0 {
		t.fault("there was nothing to look at")
	}
	t.end("not found in %d surfaces", n)
}
