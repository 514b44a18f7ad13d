package template

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"gravid/ingest"
	"gravid/ingest/cell"
	"gravid/ingest/club"
	"gravid/ingest/heading"
	"gravid/ingest/unit"
)

var today = time.Date(2026, 1, 15, 12, 0, 0, 0, time.UTC)

func written(t *testing.T, o Options) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b, o))
	return b.Bytes()
}

// readBack reads a workbook as a member's log.
func readBack(t *testing.T, name string, raw []byte) club.Tables {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, club.ConfigFile), []byte("name = \"Test club\"\n"), 0o666))
	path := filepath.Join(dir, ingest.LogsDir, name)
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
	require.NoError(t, os.WriteFile(path, raw, 0o666))
	c, err := club.Open(dir)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, c.Close()) })
	report, err := ingest.Run(c, nil, today)
	require.NoError(t, err)
	return report.Tables
}

func day(s string) club.When {
	t, err := time.Parse("2006-01-02", s)
	if err != nil {
		panic(err)
	}
	return club.Some(t)
}

func measured(x float64) club.Number { return club.Some(x) }
func truth(v bool) club.Truth        { return club.Some(v) }
func counted(n int64) club.Count     { return club.Some(n) }

// The worked examples, in every language, are read into the tables that a careful human
// would make of them, without a problem, a warning or a note.
func TestExamplesAreRead(t *testing.T) {
	for _, language := range Languages() {
		t.Run(language, func(t *testing.T) {
			got := readBack(t, "members/log.xlsx", written(t, Options{Language: language, Examples: true}))
			require.Empty(t, got.Problems)
			require.Len(t, got.Attempts, 4)
			require.Len(t, got.Clutches, 2)
			first, second, third, fourth := got.Attempts[0], got.Attempts[1], got.Attempts[2], got.Attempts[3]
			first.ID, first.Source, first.SpeciesAsWritten = "", club.Source{}, ""
			notes := contents()[language].examples[0][heading.Notes]
			require.Equal(t, club.Attempt{Keeper: "Ana", System: "T3", Species: "Corydoras paleatus", Began: day("2025-03-01"), Spawned: truth(true), SpawnedAt: day("2025-03-06"),
				Males: counted(2), Females: counted(1), TemperatureC: measured(24), PH: measured(7), ConductivityUS: measured(280), GH: measured(6), KH: measured(3), NitrateMgL: measured(10),
				LightHours: measured(10), ConditioningDays: measured(14), LiveFood: truth(true), Microfauna: truth(false), LeafLitter: truth(true), WaterChangePct: measured(40), RefillDeltaC: measured(-3),
				LevelChangeCm: measured(0), Flow: truth(true), Rearranged: truth(false), Dither: truth(false), TankMates: truth(false), Notes: notes}, first)
			require.Equal(t, truth(false), second.Spawned)
			require.Equal(t, day("2025-04-19"), second.Ended)
			require.Equal(t, truth(true), second.Rearranged)
			require.Equal(t, measured(0), second.WaterChangePct)
			require.Equal(t, measured(-6), third.PressureChange)
			require.Equal(t, counted(0), third.Unsexed)
			require.Equal(t, truth(true), third.Dither)
			require.False(t, fourth.Spawned.OK, "an empty cell is not a no")
			c, lost := got.Clutches[0], got.Clutches[1]
			require.Equal(t, []club.Count{counted(120), counted(104), counted(90), counted(82)}, []club.Count{c.Eggs, c.Fertile, c.Hatched, c.FreeSwimming})
			require.Equal(t, "counted", c.EggsMethod)
			require.Equal(t, []club.When{day("2025-03-06"), day("2025-03-10"), day("2025-03-12")}, []club.When{c.LaidTo, c.HatchTo, c.SwimTo})
			require.Equal(t, "eaten by parents", lost.Loss)
			require.Equal(t, day("2025-05-12"), lost.LostAt)
			require.Equal(t, "estimated", lost.EggsMethod)
		})
	}
}

// A template as members get it holds no record, whoever forgets to delete what.
func TestEmptyTemplateHoldsNoRecord(t *testing.T) {
	for _, language := range Languages() {
		got := readBack(t, "ana/log.xlsx", written(t, Options{Language: language}))
		require.Empty(t, got.Attempts)
		require.Empty(t, got.Clutches)
		require.Empty(t, got.Problems)
	}
}

func TestEveryHeadingIsUnderstood(t *testing.T) {
	for _, language := range Languages() {
		c := contents()[language]
		var heads []string
		for _, x := range c.columns {
			heads = append(heads, x.heading)
		}
		for i, m := range heading.MatchRow(heads) {
			require.Equal(t, []heading.Field{c.columns[i].field}, m.Fields, "%s: %s", language, heads[i])
			require.Empty(t, m.Guess)
			if c.columns[i].kind == number && c.columns[i].field != heading.PH {
				require.NotEqual(t, unit.Unit{}, m.Unit, "%s: %s has no unit", language, heads[i])
			}
		}
		for _, e := range c.lists[lossList] {
			got, fault := cell.ParseLoss(e.written)
			require.Nil(t, fault, "%s: %s", language, e.written)
			require.Equal(t, e.value, got)
		}
		for _, e := range c.lists[method] {
			got, fault := cell.ParseEggsMethod(e.written)
			require.Nil(t, fault, "%s: %s", language, e.written)
			require.Equal(t, e.value, got)
		}
		for _, e := range c.lists[yesNo] {
			got, fault := cell.ParseYesNo(e.written, cell.YesNo{Language: language})
			require.Nil(t, fault)
			require.Equal(t, e.value, got.String())
		}
		require.Len(t, c.lists[lossList], len(club.Losses))
		require.Len(t, c.lists[method], len(club.EggsMethods))
	}
}

// Every list, limit and check stands on the whole column that it is for.
func TestChecks(t *testing.T) {
	for _, language := range Languages() {
		c := contents()[language]
		f, err := excelize.OpenReader(bytes.NewReader(written(t, Options{Language: language})))
		require.NoError(t, err)
		defer f.Close()
		require.Equal(t, []string{c.text["sheet_guide"], c.text["sheet_log"], c.text["sheet_example"], c.text["sheet_lists"]}, f.GetSheetList())
		all, err := f.GetDataValidations(c.text["sheet_log"])
		require.NoError(t, err)
		require.Len(t, all, len(c.columns))
		for i, v := range all {
			x := c.columns[i]
			col := columnName(i + 1)
			require.Equal(t, col+"2:"+col+"2000", v.Sqref)
			require.Equal(t, x.help, *v.Prompt)
			require.LessOrEqual(t, len([]rune(*v.PromptTitle)), 32, "the format allows no more")
			require.LessOrEqual(t, len([]rune(*v.Prompt)), 255)
			switch x.kind {
			case words:
				require.Empty(t, v.Type)
			case species, yesNo, lossList, method:
				require.Equal(t, "list", v.Type)
				require.Equal(t, x.kind != species, v.ShowErrorMessage, "another species may be written")
				requireList(t, f, v.Formula1, c, x.kind)
			case date, after:
				require.Equal(t, "date", v.Type)
				require.Equal(t, "TODAY()", v.Formula2)
				require.True(t, v.ShowErrorMessage)
			default:
				require.Contains(t, []string{"whole", "decimal"}, v.Type)
				require.True(t, v.ShowErrorMessage)
			}
		}
		marks, err := f.GetConditionalFormats(c.text["sheet_log"])
		require.NoError(t, err)
		require.Len(t, marks, 4)
	}
}

// requireList holds that a drop-down list refers to the words of its kind.
func requireList(t *testing.T, f *excelize.File, formula string, c *content, k kind) {
	t.Helper()
	sheet, block, ok := strings.Cut(formula, "!")
	require.True(t, ok, formula)
	require.Equal(t, "'"+c.text["sheet_lists"]+"'", sheet)
	from, to, ok := strings.Cut(strings.ReplaceAll(block, "$", ""), ":")
	require.True(t, ok)
	col, first, err := excelize.CellNameToCoordinates(from)
	require.NoError(t, err)
	_, last, err := excelize.CellNameToCoordinates(to)
	require.NoError(t, err)
	var want []string
	for _, e := range c.lists[k] {
		want = append(want, e.written)
	}
	if k == species {
		want = listed(nil)
	}
	require.Len(t, want, last-first+1)
	for i, w := range want {
		got, err := f.GetCellValue(c.text["sheet_lists"], cellName(col, first+i))
		require.NoError(t, err)
		require.Equal(t, w, got)
	}
}

func TestSpeciesOfAClubStandFirst(t *testing.T) {
	got := listed([]string{"Danio rerio", "Unicornus vulgaris"})
	require.Equal(t, []string{"Danio rerio", "Unicornus vulgaris"}, got[:2])
	require.Len(t, got, len(listed(nil))+1)
}

func TestSameBytes(t *testing.T) {
	require.Equal(t, written(t, Options{}), written(t, Options{Language: "en"}))
	require.Equal(t, written(t, Options{Language: "de"}), written(t, Options{Language: "de"}))
}

func TestUnknownLanguage(t *testing.T) {
	err := Write(&bytes.Buffer{}, Options{Language: "la"})
	require.ErrorContains(t, err, "en, de, fr, es")
}

// The texts of the four languages say the same: all are there, and have the same places
// for numbers.
func TestTextsAreWhole(t *testing.T) {
	for _, language := range Languages() {
		c := contents()[language]
		for key, text := range c.text {
			require.NotEmpty(t, text, key)
			require.Equal(t, strings.Count(contents()["en"].text[key], "%"), strings.Count(text, "%"), "%s: %s", language, key)
		}
		require.Len(t, c.guide, len(contents()["en"].guide))
		require.True(t, strings.HasPrefix(c.text["mark"], ingest.NoLogMarks[language]))
		for _, x := range c.columns {
			require.NotEmpty(t, x.heading)
			require.NotEmpty(t, x.help)
			require.NotEmpty(t, c.text["group_"+x.group])
		}
		require.Len(t, c.examples, 4)
		for _, e := range c.examples {
			require.NotEmpty(t, e[heading.Notes])
		}
	}
}
