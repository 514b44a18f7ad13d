package ingest

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding/charmap"

	"gravid/ingest/club"
)

// A try is one attempt of the small club that is written in every shape.
type try struct {
	tank, species           string
	began, spawned, hatched time.Time // zero = none
	males, females          int
	tenths                  int // of a degree Celsius
	live                    bool
	eggs, fry               int
	notes                   string
}

func date(y, m, d int) time.Time { return time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC) }

// tries are the attempts. Some days lie above 12, so that every order of day and
// month can be told.
var tries = []try{
	{"A1", "Danio rerio", date(2023, 2, 3), date(2023, 2, 5), date(2023, 2, 8), 2, 3, 265, true, 140, 90, "A"},
	{"A1", "Danio rerio", date(2023, 3, 14), time.Time{}, time.Time{}, 2, 3, 258, false, 0, 0, "B"},
	{"B2", "Corydoras paleatus", date(2023, 4, 1), date(2023, 4, 7), date(2023, 4, 11), 3, 2, 231, true, 64, 40, ""},
	{"B2", "Corydoras paleatus", date(2023, 5, 22), time.Time{}, time.Time{}, 3, 2, 240, true, 0, 0, ""},
	{"A1", "Danio rerio", date(2023, 6, 6), date(2023, 6, 9), time.Time{}, 1, 4, 262, false, 203, 0, "C"},
	{"B2", "Corydoras paleatus", date(2023, 7, 30), date(2023, 8, 2), date(2023, 8, 6), 4, 4, 225, false, 118, 77, ""},
	{"A1", "Danio rerio", date(2023, 9, 17), date(2023, 9, 18), date(2023, 9, 21), 2, 2, 270, true, 1250, 800, "D"},
}

// A tongue is how a keeper of one language writes.
type tongue struct {
	heads   []string // tank, species, began, males, females, temperature, live food, spawned, spawned on, eggs, hatched on, hatched, notes
	date    func(time.Time) string
	decimal string
	yes, no string
	species map[string]string
}

var tongues = map[string]tongue{
	"en": {[]string{"Tank", "Species", "Set up", "Males", "Females", "Temp (°C)", "Live food", "Spawned", "Spawn date", "Eggs", "Hatch date", "Number hatched", "Notes"},
		layout("2006-01-02"), ".", "yes", "no", map[string]string{"Danio rerio": "zebrafish", "Corydoras paleatus": "peppered cory"}},
	"us": {[]string{"Tank", "Species", "Date paired", "Males", "Females", "Temp (F)", "Live food", "Spawned?", "Spawned on", "Egg count", "Hatching date", "Hatchlings", "Comments"},
		layout("1/2/2006"), ".", "Y", "N", nil},
	"de": {[]string{"Becken", "Art", "angesetzt am", "Männchen", "Weibchen", "Wassertemperatur (°C)", "Lebendfutter", "abgelaicht?", "Laichdatum", "Anzahl Eier", "Schlupfdatum", "Larven", "Bemerkungen"},
		layout("02.01.2006"), ",", "ja", "nein", map[string]string{"Danio rerio": "Zebrabärbling", "Corydoras paleatus": "Marmorierter Panzerwels"}},
	"fr": {[]string{"Bac", "Espèce", "Mise en place", "Mâles", "Femelles", "Température (°C)", "Nourriture vivante", "Ponte oui/non", "Date de ponte", "Nombre d'oeufs", "Date d'éclosion", "Nombre éclos", "Remarques"},
		layout("02/01/2006"), ",", "oui", "non", map[string]string{"Danio rerio": "danio zébré", "Corydoras paleatus": "corydoras poivré"}},
	"es": {[]string{"Acuario", "Especie", "Fecha de inicio", "Machos", "Hembras", "Temperatura (ºC)", "Alimento vivo", "Puesta s/n", "Fecha de puesta", "Número de huevos", "Fecha de eclosión", "Larvas", "Notas"},
		layout("2-1-2006"), ",", "sí", "no", map[string]string{"Danio rerio": "pez cebra", "Corydoras paleatus": "coridora pimienta"}},
}

func layout(l string) func(time.Time) string {
	return func(t time.Time) string {
		if t.IsZero() {
			return ""
		}
		return t.Format(l)
	}
}

// cells writes one attempt in one language.
func (g tongue) cells(x try) []string {
	number := func(n int) string {
		if n == 0 {
			return ""
		}
		return strconv.Itoa(n)
	}
	answer := func(b bool) string {
		if b {
			return g.yes
		}
		return g.no
	}
	species := x.species
	if other, ok := g.species[species]; ok {
		species = other
	}
	temp := fmt.Sprintf("%.1f", float64(x.tenths)/10)
	if strings.HasSuffix(g.heads[5], "(F)") {
		temp = fmt.Sprintf("%.2f", float64(x.tenths)/10*9/5+32)
	}
	return []string{x.tank, species, g.date(x.began), strconv.Itoa(x.males), strconv.Itoa(x.females), strings.Replace(temp, ".", g.decimal, 1), answer(x.live),
		answer(!x.spawned.IsZero()), g.date(x.spawned), number(x.eggs), g.date(x.hatched), number(x.fry), x.notes}
}

func (g tongue) rows() [][]string {
	out := [][]string{g.heads}
	for _, x := range tries {
		out = append(out, g.cells(x))
	}
	return out
}

func joined(rows [][]string, delimiter, eol string) string {
	var b strings.Builder
	for _, r := range rows {
		b.WriteString(strings.Join(r, delimiter) + eol)
	}
	return b.String()
}

// drop returns the rows without a column.
func drop(rows [][]string, at int) [][]string {
	var out [][]string
	for _, r := range rows {
		out = append(out, slices.Delete(slices.Clone(r), at, at+1))
	}
	return out
}

// A shape is one way of writing the small club: files by their path below logs/.
type shape func(t *testing.T) map[string][]byte

// where the keeper of the small club has the logs.
const folder = "Mira Holm/"

func textShape(name string, rows [][]string, delimiter, eol string) shape {
	return func(*testing.T) map[string][]byte {
		return map[string][]byte{folder + name: []byte(joined(rows, delimiter, eol))}
	}
}

// shapes are the ways that must all give the same tables.
func shapes() map[string]shape {
	out := map[string]shape{}
	for lang, g := range tongues {
		rows := g.rows()
		out[lang+" semicolons"] = textShape("log.csv", rows, ";", "\n")
		out[lang+" tabs CRLF"] = textShape("log.txt", rows, "\t", "\r\n")
		out[lang+" pipes CR"] = textShape("log.csv", rows, "|", "\r")
		out[lang+" UTF-16"] = func(*testing.T) map[string][]byte {
			b := []byte{0xff, 0xfe}
			for _, u := range utf16.Encode([]rune(joined(rows, "\t", "\r\n"))) {
				b = append(b, byte(u), byte(u>>8))
			}
			return map[string][]byte{folder + "log.txt": b}
		}
		for name, page := range map[string]*charmap.Charmap{"Windows-1252": charmap.Windows1252, "Mac Roman": charmap.Macintosh, "CP850": charmap.CodePage850} {
			if name == "CP850" && lang == "es" {
				continue // the ordinal sign º is no degree sign of that code page
			}
			out[lang+" "+name] = func(t *testing.T) map[string][]byte {
				b, err := page.NewEncoder().Bytes([]byte(joined(rows, ";", "\r\n")))
				require.NoError(t, err)
				return map[string][]byte{folder + "log.csv": b}
			}
		}
		titles := append([][]string{{"Log 2023"}, {""}}, rows...)
		out[lang+" below a title"] = textShape("log.csv", titles, ";", "\n")
		var spaced [][]string
		for i, r := range rows {
			spaced = append(spaced, r)
			if i%3 == 2 {
				spaced = append(spaced, []string{""}, g.heads)
			}
		}
		out[lang+" headings again"] = textShape("log.csv", spaced, ";", "\n")
		out[lang+" columns reversed"] = func(t *testing.T) map[string][]byte {
			var turned [][]string
			for _, r := range rows {
				r = slices.Clone(r)
				slices.Reverse(r)
				turned = append(turned, r)
			}
			return textShape("log.csv", turned, ";", "\n")(t)
		}
		out[lang+" group in one cell"] = textShape("log.csv", grouped(rows, map[string]string{"en": "Group", "us": "Sex ratio", "de": "Zuchtgruppe", "fr": "Groupe", "es": "Grupo"}[lang]), ";", "\n")
		out[lang+" workbook"] = workbookShape(map[string][][]string{"log": rows}, g)
		out[lang+" two files"] = func(*testing.T) map[string][]byte {
			return map[string][]byte{folder + "1.csv": []byte(joined(rows[:4], ";", "\n")), folder + "2.csv": []byte(joined(append([][]string{rows[0]}, rows[4:]...), ";", "\n"))}
		}
		out[lang+" row of units"] = textShape("log.csv", unitRow(rows), ";", "\n")
		out[lang+" attempts and clutches apart"] = func(*testing.T) map[string][]byte {
			return map[string][]byte{folder + "attempts.csv": []byte(joined(columnsOf(rows, 0, 1, 2, 3, 4, 5, 6, 7, 8, 12), ";", "\n")), folder + "clutches.csv": []byte(joined(columnsOf(laid(rows), 0, 1, 8, 9, 10, 11), ";", "\n"))}
		}
		out[lang+" tables below each other"] = textShape("log.csv", stacked(rows), ";", "\n")
		out[lang+" tables below each other, no blank between"] = textShape("log.csv", slices.DeleteFunc(stacked(rows), func(r []string) bool { return len(r) == 1 }), ";", "\n")
		out[lang+" tables side by side"] = textShape("log.csv", besides(rows), ";", "\n")
		out[lang+" turned"] = textShape("log.csv", turnedRows(rows), ";", "\n")
		out[lang+" turned below a title"] = textShape("log.csv", append([][]string{{"Log 2023"}, {""}}, turnedRows(rows)...), ";", "\n")
		out[lang+" turned workbook"] = workbookShape(map[string][][]string{"log": turnedRows(rows)}, g)
		out[lang+" days to hatch"] = textShape("log.csv", spans(rows, map[string]string{"en": "Days to hatch", "us": "Hatched after (days)", "de": "Schlupf nach (Tage)", "fr": "Durée d'incubation (jours)", "es": "Días hasta la eclosión"}[lang]), ";", "\n")
		byTank, bySpecies := map[string][][]string{}, map[string][][]string{}
		for i, x := range tries {
			tank, species := "Tank "+x.tank, rows[i+1][1]
			for sheet, m := range map[string]map[string][][]string{tank: byTank, species: bySpecies} {
				if m[sheet] == nil {
					m[sheet] = [][]string{rows[0]}
				}
				m[sheet] = append(m[sheet], rows[i+1])
			}
		}
		out[lang+" sheet a species"] = workbookShape(without(bySpecies, 1), g)
		out[lang+" sheet a tank"] = workbookShape(without(byTank, 0), g)
	}
	return out
}

// stacked writes a second table with other columns below the first.
func stacked(rows [][]string) [][]string {
	second := append([][]string{rows[0]}, rows[5:]...)
	for i, r := range second {
		second[i] = append(slices.Clone(r[2:]), r[0], r[1])
	}
	out := slices.Clone(rows[:5])
	out = append(out, []string{""}, []string{"2023 b"})
	return append(out, second...)
}

// besides writes a second table to the right of the first.
func besides(rows [][]string) [][]string {
	left, right := rows[:5], append([][]string{rows[0]}, rows[5:]...)
	var out [][]string
	for i, r := range left {
		r = append(slices.Clone(r), "")
		if i < len(right) {
			r = append(r, right[i]...)
		}
		out = append(out, r)
	}
	return out
}

func turnedRows(rows [][]string) [][]string {
	out := make([][]string, len(rows[0]))
	for i := range out {
		for _, r := range rows {
			out[i] = append(out[i], r[i])
		}
	}
	return out
}

// spans gives the days to hatching in place of the date.
func spans(rows [][]string, head string) [][]string {
	out := [][]string{slices.Clone(rows[0])}
	out[0][10] = head
	for i, x := range tries {
		r := slices.Clone(rows[i+1])
		if !x.hatched.IsZero() {
			r[10] = strconv.Itoa(int(x.hatched.Sub(x.spawned).Hours() / 24))
		}
		out = append(out, r)
	}
	return out
}

func without(sheets map[string][][]string, column int) map[string][][]string {
	out := map[string][][]string{}
	for name, rows := range sheets {
		out[name] = drop(rows, column)
	}
	return out
}

// unitRow takes the unit out of the heading of the temperature and writes it below.
func unitRow(rows [][]string) [][]string {
	heads, units := slices.Clone(rows[0]), make([]string, len(rows[0]))
	name, unit, _ := strings.Cut(heads[5], " (")
	heads[5], units[5] = name, strings.TrimSuffix(unit, ")")
	if units[5] == "F" {
		units[5] = "°F"
	}
	return append([][]string{heads, units}, rows[1:]...)
}

// columnsOf returns some columns.
func columnsOf(rows [][]string, which ...int) [][]string {
	var out [][]string
	for _, r := range rows {
		var cells []string
		for _, i := range which {
			cells = append(cells, r[i])
		}
		out = append(out, cells)
	}
	return out
}

// laid returns the headings and the rows with a date of spawning.
func laid(rows [][]string) [][]string {
	return slices.DeleteFunc(slices.Clone(rows), func(r []string) bool { return r[8] == "" })
}

// grouped puts males and females into one column: 2.3.
func grouped(rows [][]string, head string) [][]string {
	var out [][]string
	for i, r := range rows {
		r = slices.Clone(r)
		r[3] = head
		if i > 0 {
			r[3] = rows[i][3] + "." + rows[i][4]
		}
		out = append(out, slices.Delete(r, 4, 5))
	}
	return out
}

// workbookShape writes sheets with real dates and numbers.
func workbookShape(sheets map[string][][]string, g tongue) shape {
	return func(t *testing.T) map[string][]byte {
		f := excelize.NewFile()
		date, err := f.NewStyle(&excelize.Style{NumFmt: 14})
		require.NoError(t, err)
		var names []string
		for name := range sheets {
			names = append(names, name)
		}
		slices.Sort(names)
		for _, name := range names {
			_, err := f.NewSheet(name)
			require.NoError(t, err)
			for i, r := range sheets[name] {
				for j, text := range r {
					at, err := excelize.CoordinatesToCellName(j+1, i+1)
					require.NoError(t, err)
					require.NoError(t, setCell(f, name, at, text, i > 0, g, date))
				}
			}
		}
		require.NoError(t, f.DeleteSheet("Sheet1"))
		var b bytes.Buffer
		require.NoError(t, f.Write(&b))
		return map[string][]byte{folder + "log.xlsx": b.Bytes()}
	}
}

func setCell(f *excelize.File, sheet, at, text string, body bool, g tongue, date int) error {
	if text == "" {
		return nil
	}
	if body {
		if n, err := strconv.ParseFloat(strings.Replace(text, g.decimal, ".", 1), 64); err == nil {
			return f.SetCellFloat(sheet, at, n, -1, 64)
		}
		for _, x := range tries {
			for _, d := range []time.Time{x.began, x.spawned, x.hatched} {
				if !d.IsZero() && g.date(d) == text {
					if err := f.SetCellValue(sheet, at, d); err != nil {
						return err
					}
					return f.SetCellStyle(sheet, at, at, date)
				}
			}
		}
	}
	return f.SetCellStr(sheet, at, text)
}

// pendingShapes are ends of names of shapes that are not read yet, with the
// reason. Nothing wrong may come of them all the same.
var pendingShapes = map[string]string{}

func withoutTank(rows []string) []string {
	var out []string
	for _, r := range rows {
		out = append(out, strings.NewReplacer(" A1 ", "  ", " B2 ", "  ").Replace(r))
	}
	return out
}

func pendingShape(name string) (string, bool) {
	for end, why := range pendingShapes {
		if strings.HasSuffix(name, end) {
			return why, true
		}
	}
	return "", false
}

// TestSameClubInEveryShape holds that the way of writing changes nothing in the
// tables but the places that rows come from.
func TestSameClubInEveryShape(t *testing.T) {
	all := shapes()
	var names []string
	for name := range all {
		names = append(names, name)
	}
	slices.Sort(names)
	require.Greater(t, len(names), 50)
	want := wantedTables()
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			attempts, clutches, problems := tablesOf(t, all[name](t))
			if why, waits := pendingShape(name); waits {
				t.Log("pending: " + why)
				// What is left out is no error; a tank may be among it.
				require.Subset(t, append(withoutTank(want[0]), want[0]...), attempts, problems)
				require.Subset(t, append(withoutTank(want[1]), want[1]...), clutches, problems)
				return
			}
			require.Equal(t, want[0], attempts, problems)
			require.Equal(t, want[1], clutches, problems)
		})
	}
}

// wantedTables are the rows of attempts and clutches that follow from tries, and
// not from any file.
func wantedTables() [2][]string {
	var attempts, clutches []string
	day := func(t time.Time) string {
		if t.IsZero() {
			return "-"
		}
		return t.Format("2006-01-02")
	}
	for _, x := range tries {
		attempts = append(attempts, fmt.Sprintf("Mira Holm %s %s %s %v %s %d %d %.2f %v %s", x.tank, x.species, day(x.began), !x.spawned.IsZero(), day(x.spawned), x.males, x.females, float64(x.tenths)/10, x.live, x.notes))
		if !x.spawned.IsZero() {
			fry := "-"
			if x.fry > 0 {
				fry = strconv.Itoa(x.fry)
			}
			clutches = append(clutches, fmt.Sprintf("Mira Holm %s %s %s %d counted %s %s", x.tank, x.species, day(x.spawned), x.eggs, day(x.hatched), fry))
		}
	}
	slices.Sort(attempts)
	slices.Sort(clutches)
	return [2][]string{attempts, clutches}
}

// turnedNote is how the rows of a turned table say their place.
var turnedNote = regexp.MustCompile(`(?:; )?column [A-Z]+ of the log`)

// tablesOf reads files as a club's logs, and writes the rows in the words of
// wantedTables.
func tablesOf(t *testing.T, files map[string][]byte) (attempts, clutches []string, problems string) {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, club.ConfigFile), []byte("name = \"small\"\ntime_zone = \"UTC\"\n"), 0o600))
	for name, doc := range files {
		path := filepath.Join(dir, LogsDir, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
		require.NoError(t, os.WriteFile(path, doc, 0o600))
	}
	c, err := club.Open(dir)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, c.Close()) })
	report, err := Run(c, nil, corpusToday)
	require.NoError(t, err)
	day := func(w club.When) string {
		if !w.OK {
			return "-"
		}
		return w.V.UTC().Format("2006-01-02")
	}
	count := func(n club.Count) string {
		if !n.OK {
			return "-"
		}
		return strconv.FormatInt(n.V, 10)
	}
	truth := func(b club.Truth) string {
		if !b.OK {
			return "-"
		}
		return strconv.FormatBool(b.V)
	}
	for _, a := range report.Tables.Attempts {
		attempts = append(attempts, fmt.Sprintf("%s %s %s %s %s %s %s %s %.2f %s %s", a.Keeper, strings.TrimPrefix(a.System, "Tank "), a.Species, day(a.Began), truth(a.Spawned), day(a.SpawnedAt), count(a.Males), count(a.Females), a.TemperatureC.V, truth(a.LiveFood), turnedNote.ReplaceAllString(a.Notes, "")))
	}
	for _, x := range report.Tables.Clutches {
		clutches = append(clutches, fmt.Sprintf("%s %s %s %s %s %s %s %s", x.Keeper, strings.TrimPrefix(x.System, "Tank "), x.Species, day(x.LaidTo), count(x.Eggs), x.EggsMethod, day(x.HatchTo), count(x.Hatched)))
	}
	slices.Sort(attempts)
	slices.Sort(clutches)
	var b strings.Builder
	for _, p := range report.Tables.Problems {
		fmt.Fprintf(&b, "%s %s\n", p.Severity, p)
	}
	return attempts, clutches, b.String()
}
