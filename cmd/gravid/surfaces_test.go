package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"gravid/analyze/answer"
)

// A surface is a table as somebody sees it: headings, and rows of cells.
type surface struct {
	heads []string
	rows  [][]string
}

// row finds the only row in which the keys stand side by side.
func (s surface) row(t *testing.T, where string, keys ...string) []string {
	t.Helper()
	var found [][]string
	for _, r := range s.rows {
		for i := 0; i+len(keys) <= len(r); i++ {
			if slices.Equal(r[i:i+len(keys)], keys) {
				found = append(found, r)
			}
		}
	}
	require.Len(t, found, 1, "%s: rows of %v", where, keys)
	return found[0]
}

// seen reads what is shown for a number: the number, and how far rounding may have moved
// it. "–" and "" are NaN.
func seen(t *testing.T, s string) (x, rounding float64) {
	t.Helper()
	s = strings.NewReplacer("−", "-", "\u00a0", "", "\u2009", "", "\u202f", "", " ", "", ",", "").Replace(s)
	scale := 1.0
	if p, ok := strings.CutSuffix(s, "%"); ok {
		s, scale = p, 0.01
	}
	below, above := strings.HasPrefix(s, "<"), strings.HasPrefix(s, ">")
	s = strings.TrimLeft(s, "<>")
	if s == "–" || s == "" {
		return math.NaN(), 0
	}
	x, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err, "a number is expected")
	switch {
	case below:
		return x * scale / 2, x * scale / 2
	case above: // of a p-value, which ends at 1
		return (x + 1) / 2, (1 - x) / 2
	}
	_, places, _ := strings.Cut(s, ".")
	return x * scale, 0.5000001 * scale * math.Pow(10, -float64(len(places)))
}

// holds compares the numbers of a row with those of the answer, by heading.
func (s surface) holds(t *testing.T, where string, exact bool, want map[string]float64, keys ...string) (compared int) {
	t.Helper()
	row := s.row(t, where, keys...)
	for head, w := range want {
		j := slices.Index(s.heads, head)
		require.GreaterOrEqual(t, j, 0, "%s: no column %q in %q", where, head, s.heads)
		got, rounding := seen(t, row[j])
		if exact {
			rounding = 1e-12 * max(1, math.Abs(w))
		}
		if math.IsNaN(w) {
			require.True(t, math.IsNaN(got), "%s, %v, %s: shows %q, the answer has no number", where, keys, head, row[j])
			continue
		}
		require.InDelta(t, w, got, rounding, "%s, %v, %s: shows %q", where, keys, head, row[j])
		compared++
	}
	return compared
}

// bookTable reads a table of a workbook by its name, numbers as the file holds them.
func bookTable(t *testing.T, f *excelize.File, name string) surface {
	t.Helper()
	for _, sheet := range f.GetSheetList() {
		tables, err := f.GetTables(sheet)
		require.NoError(t, err)
		for _, table := range tables {
			if table.Name != name {
				continue
			}
			from, to, _ := strings.Cut(table.Range, ":")
			x1, y1, err := excelize.CellNameToCoordinates(from)
			require.NoError(t, err)
			x2, y2, err := excelize.CellNameToCoordinates(to)
			require.NoError(t, err)
			var rows [][]string
			for y := y1; y <= y2; y++ {
				var row []string
				for x := x1; x <= x2; x++ {
					cell, err := excelize.CoordinatesToCellName(x, y)
					require.NoError(t, err)
					v, err := f.GetCellValue(sheet, cell, excelize.Options{RawCellValue: true})
					require.NoError(t, err)
					row = append(row, v)
				}
				rows = append(rows, row)
			}
			return surface{rows[0], rows[1:]}
		}
	}
	require.Failf(t, "no table", "%s is in no sheet", name)
	return surface{}
}

var (
	webRow  = regexp.MustCompile(`(?s)<tr>(.*?)</tr>`)
	webCell = regexp.MustCompile(`(?s)<t[hd][^>]*>(.*?)</t[hd]>`)
	webTag  = regexp.MustCompile(`<[^>]*>`)
)

// pageTable reads a table of the page by its anchor.
func pageTable(t *testing.T, page, anchor string) surface {
	t.Helper()
	_, rest, ok := strings.Cut(page, `id="`+anchor+`"`)
	require.True(t, ok, "no table %s on the page", anchor)
	body, _, _ := strings.Cut(rest, "</table>")
	var s surface
	for i, r := range webRow.FindAllStringSubmatch(body, -1) {
		var row []string
		for _, c := range webCell.FindAllStringSubmatch(r[1], -1) {
			row = append(row, html.UnescapeString(webTag.ReplaceAllString(c[1], "")))
		}
		if i == 0 {
			s.heads = row
			continue
		}
		require.Len(t, row, len(s.heads))
		s.rows = append(s.rows, row)
	}
	return s
}

// textTable reads a table of the text below its title, at a width at which no cell wraps.
func textTable(t *testing.T, text, title string) surface {
	t.Helper()
	lines := strings.Split(text, "\n")
	at := slices.Index(lines, title)
	require.GreaterOrEqual(t, at, 0, "no table %q in the text", title)
	rule := at
	for !strings.HasPrefix(lines[rule], "  ──") {
		rule++
	}
	var spans [][2]int
	for i, r := range []rune(lines[rule]) {
		if r != '─' {
			continue
		}
		if n := len(spans); n > 0 && spans[n-1][1] == i {
			spans[n-1][1]++
		} else {
			spans = append(spans, [2]int{i, i + 1})
		}
	}
	cells := func(line string) []string {
		r := []rune(line)
		out := make([]string, len(spans))
		for j, s := range spans {
			if s[0] < len(r) {
				out[j] = strings.TrimSpace(string(r[s[0]:min(s[1], len(r))]))
			}
		}
		return out
	}
	s := surface{heads: make([]string, len(spans))}
	first := rule // headings wrap; a note may stand above them, and is not set in
	for strings.HasPrefix(lines[first-1], "  ") {
		first--
	}
	for k := first; k < rule; k++ {
		for j, c := range cells(lines[k]) {
			s.heads[j] = strings.TrimSpace(s.heads[j] + " " + c)
		}
	}
	for k := rule + 1; k < len(lines) && strings.HasPrefix(lines[k], "  "); k++ {
		s.rows = append(s.rows, cells(lines[k]))
	}
	return s
}

// wide is gravid on a terminal so wide that no table wraps.
func wide(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	code := run(args, system{stdout: &out, stderr: &errs, width: 400, now: func() time.Time { return today }, getenv: func(string) string { return "" }})
	require.Equal(t, exitDone, code, "%v: %s", args, errs.String())
	return out.String()
}

// ask reads the JSON answer of a question.
func askJSON(t *testing.T, to any, args ...string) {
	t.Helper()
	require.NoError(t, json.Unmarshal(gravid(t, exitDone, append(args, "--format", "json")...), to))
}

// end is an end of an interval as tables show it; what has no limit is left out.
func end(m map[string]float64, head string, n answer.Num, i answer.Interval) {
	if !i.Unbounded {
		m[head] = float64(n)
	}
}

// TestNumbersOnEverySurface holds that what the text, the workbook and the page show are
// the numbers of the JSON answers: triggers, times, eggs and keepers of the demo club.
func TestNumbersOnEverySurface(t *testing.T) {
	leaveOutIfShort(t)
	dir, _ := demoClub(t)
	book, err := excelize.OpenFile(filepath.Join(dir, "season", "2025.xlsx"))
	require.NoError(t, err)
	defer book.Close()
	b, err := os.ReadFile(filepath.Join(dir, "season", "2025.html"))
	require.NoError(t, err)
	page := string(b)
	compared := map[string]int{}
	// everywhere compares a row on the workbook and the page, where the species is a key as
	// well, and in the text.
	everywhere := func(section, table, text, title, species string, want map[string]float64, keys ...string) {
		t.Helper()
		all := append([]string{species}, keys...)
		if species == "" {
			all = keys
		}
		compared["book"] += bookTable(t, book, "t_"+strings.ReplaceAll(section+"_"+table, "-", "_")).holds(t, "workbook, "+table, true, want, all...)
		compared["page"] += pageTable(t, page, section+"/"+table).holds(t, "page, "+table, false, want, all...)
		if text != "" {
			compared["text"] += textTable(t, text, title).holds(t, "text, "+table, false, want, keys...)
		}
	}
	var season answer.Season
	askJSON(t, &season, "season", "2025", "--club", dir)
	require.Len(t, season.Species, 6)
	for i, x := range season.Species {
		species := x.Species
		everywhere("glance", "species", "", "", "", map[string]float64{"Attempts": float64(x.Attempts), "Spawned": float64(x.Spawned), "Share": float64(x.Share.Estimate),
			"Low": float64(x.Share.Low), "High": float64(x.Share.High), "Clutches": float64(x.Clutches), "Eggs": float64(x.Eggs)}, species)

		var triggers answer.TriggerTable
		askJSON(t, &triggers, "triggers", "--club", dir, "--species", species)
		text := wide(t, "triggers", "--club", dir, "--species", species)
		for _, a := range triggers.Answers {
			d := a.Per100.Difference
			want := map[string]float64{"With (per 100)": float64(a.Per100.With), "Without (per 100)": float64(a.Per100.Without), "Difference (per 100)": float64(d.Estimate),
				"Odds ratio": float64(a.OddsRatio.Estimate), "p, adjusted": float64(a.PAdjusted), "Attempts": float64(a.Counts.Attempts), "Keepers": float64(a.Counts.Keepers), "More needed": float64(a.MoreNeeded.Attempts)}
			end(want, "Low (per 100)", d.Low, d)
			end(want, "High (per 100)", d.High, d)
			everywhere("triggers", "triggers", text, "Every trigger that could be compared", species, want, a.Question.TriggerName, a.Verdict.Words())
		}
		for part, steps := range map[string][]answer.Step{"go on": season.Plans[i].GoOn, "try": season.Plans[i].Try, "leave": season.Plans[i].Leave} {
			for _, s := range steps {
				k := slices.IndexFunc(triggers.Answers, func(a answer.Answer) bool { return a.Question.Trigger == s.Trigger })
				require.GreaterOrEqual(t, k, 0)
				everywhere("next-season", "plan", text, "Triggers in the order to look at them", species, map[string]float64{"Difference (per 100)": float64(triggers.Answers[k].Per100.Difference.Estimate)}, part, s.Name)
			}
		}

		var times answer.TimingReport
		askJSON(t, &times, "timing", "--club", dir, "--species", species)
		for _, x := range times.Stages {
			want := map[string]float64{"Clutches": float64(x.N), "Reached": float64(x.Events), "Lost": float64(x.Lost), "Open": float64(x.Censored)}
			if len(x.At) > 0 {
				a := x.At[0]
				for head, n := range map[string]answer.Num{"At (°C)": a.TemperatureC, "Median (days)": a.Median.Estimate, "Low (days)": a.Median.Low, "High (days)": a.Median.High, "Next from (days)": a.Interval90[0], "Next to (days)": a.Interval90[1]} {
					want[head] = float64(n)
				}
			}
			everywhere("timing", "times", "", "", species, want, x.From.Words(), x.To.Words())
			for _, d := range x.AtRisk {
				everywhere("timing", "waiting", "", "", species, map[string]float64{"On the way": float64(d.Waiting), "Reached": float64(d.Reached), "Lost": float64(d.Lost), "Not followed": float64(d.Stopped)},
					x.From.Words(), x.To.Words(), fmt.Sprint(d.Day))
			}
		}

		var eggs answer.Eggs
		askJSON(t, &eggs, "eggs", "--club", dir, "--species", species)
		text = wide(t, "eggs", "--club", dir, "--species", species)
		for name, m := range map[string]answer.Mean{"eggs per clutch": eggs.PerClutch, "eggs per female": eggs.PerFemale, "eggs per female and day": eggs.PerFemaleDay} {
			everywhere("eggs", "eggs", text, "Eggs and what becomes of them", species, map[string]float64{"Value": float64(m.Mean), "Low": float64(m.Low), "High": float64(m.High), "Clutches": float64(m.N)}, name)
		}
		for name, s := range map[string]answer.EggShare{"fertile": eggs.Fertile, "hatched": eggs.Hatched, "swimming freely": eggs.Swimming} {
			everywhere("eggs", "eggs", text, "Eggs and what becomes of them", species, map[string]float64{"Value": 100 * float64(s.Share), "Low": 100 * float64(s.Low), "High": 100 * float64(s.High)}, name)
		}
	}
	var keepers answer.Keepers
	askJSON(t, &keepers, "keepers", "--club", dir)
	text := wide(t, "keepers", "--club", dir)
	for _, k := range keepers.Keepers {
		if k.Attempts > 0 {
			everywhere("keepers", "keepers", text, "Spawnings seen and expected", "", map[string]float64{"Attempts": float64(k.Attempts), "Spawned": float64(k.Spawned)}, k.Keeper)
		}
	}
	t.Log(compared)
	require.Greater(t, compared["book"], 1000)
	require.Equal(t, compared["book"], compared["page"])
	require.Greater(t, compared["text"], 600)
}

// hostileLog is a log of 300 keepers, some of whose names mean something to spreadsheet
// programs, browsers or the order of writing, with a species that has one clutch and a year
// in which nothing came of anything.
func hostileLog() string {
	odd := []string{"=1+1", "+cmd", "-2+3", "@SUM(A1)", "<script>alert(1)</script>", "<b>Ann & Co</b>", "\u202eAnna\u202c", "a\u2066b", "\"\"quoted\"\"", "Zoë 😀", strings.Repeat("x", 200)}
	var b strings.Builder
	b.WriteString("Keeper,Species,Tank,Set up,Spawned,Spawn date,Ended,Eggs,Hatch date,Live food,Notes\n")
	for i := range 300 {
		name, attempts := fmt.Sprint("Keeper ", i), 1
		if i < 24 {
			attempts = 6
		}
		if i < len(odd) {
			name = odd[i]
		}
		for j := range attempts {
			species, day, month := []string{"Danio rerio", "Corydoras paleatus"}[j%2], 1+(i*7+j*3)%20, 1+(i+j)%12
			began := fmt.Sprintf("2025-%02d-%02d", month, day)
			food := []string{"yes", "no"}[(i/2+j)%2]
			if (i+j*j)%3 == 0 {
				fmt.Fprintf(&b, "\"%s\",%s,\"%s\",%s,no,,2025-%02d-%02d,,,%s,\"%s\"\n", name, species, name, began, month, day+3, food, name)
				continue
			}
			fmt.Fprintf(&b, "\"%s\",%s,\"%s\",%s,yes,2025-%02d-%02d,,%d,2025-%02d-%02d,%s,\"%s\"\n", name, species, name, began, month, day+2, 20+(i*31+j*17)%150, month, day+5, food, name)
		}
	}
	b.WriteString("Keeper 12,Pterophyllum scalare,T9,2025-04-01,yes,2025-04-03,,300,2025-04-05,yes,one clutch\n")
	b.WriteString("Keeper 13,Danio rerio,T9,2023-04-01,,,,,,,\n")
	return b.String()
}

// TestHostileClubRenders makes every part of the season of a hostile club, twice with the
// same bytes, and looks at the workbook in LibreOffice and at the page in a browser, as
// far as these are installed.
func TestHostileClubRenders(t *testing.T) {
	leaveOutIfShort(t)
	dir := filepath.Join(t.TempDir(), "club")
	gravid(t, exitDone, "new", dir)
	config := filepath.Join(dir, "club.toml")
	b, err := os.ReadFile(config)
	require.NoError(t, err)
	named := bytes.Replace(b, []byte("pseudonyms = true"), []byte("pseudonyms = false"), 1)
	require.NotEqual(t, b, named)
	require.NoError(t, os.WriteFile(config, named, 0o666))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "logs", "all.csv"), []byte(hostileLog()), 0o666))
	gravid(t, exitDone, "ingest", "--club", dir)
	for _, year := range []string{"2025", "2023"} {
		t.Run(year, func(t *testing.T) {
			book, web := filepath.Join(dir, "season", year+".xlsx"), filepath.Join(dir, "season", year+".html")
			files := map[string][]byte{}
			for range 2 {
				gravid(t, exitDone, "season", year, "--club", dir, "--species-sheets")
				for _, name := range []string{book, web} {
					b, err := os.ReadFile(name)
					require.NoError(t, err)
					if before := files[name]; before != nil {
						require.True(t, bytes.Equal(before, b), "%s differs from run to run", filepath.Base(name))
					}
					files[name] = b
				}
			}
			page := string(files[web])
			require.NotContains(t, page, "<script", "a keeper's name is markup")
			require.NotContains(t, page, "<b>Ann")
			require.False(t, strings.ContainsAny(page, "\u202e\u2066"), "marks of the order of writing reach the page")
			if year == "2025" {
				require.Contains(t, page, "&lt;script&gt;alert(1)&lt;/script&gt;")
				require.Contains(t, page, "Keeper 299")
			}
			t.Run("workbook", func(t *testing.T) {
				renderers(t)
				f, err := excelize.OpenFile(book)
				require.NoError(t, err)
				sheets := f.GetSheetList()
				require.NoError(t, f.Close())
				require.GreaterOrEqual(t, len(printed(t, book)), len(sheets))
			})
			t.Run("page", func(t *testing.T) {
				program := browser(t)
				look(t, program, web, 360)
			})
		})
	}
}
