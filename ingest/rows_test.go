package ingest

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// The numbers in these names are those of a list of 54 hostile or broken inputs, by
// which the reading of logs was planned; the inputs of files and workbooks are tested
// in package source, those of tables kept in package club. Each entry says what must
// become of the input: the values that it gives, and the problem that names its place.

// broken is a log, and what must become of it.
type broken struct {
	log  string
	code problem.Code // of a problem that must be told; empty = none of severity error
	at   string       // its place: column and row
	want func(t *testing.T, got club.Tables)
}

func (b broken) check(t *testing.T, name string) {
	t.Helper()
	got := read(t, map[string]string{"ana/log.csv": b.log})
	var all strings.Builder
	for _, p := range got.Problems {
		fmt.Fprintln(&all, p)
	}
	if b.code == "" {
		require.Zero(t, problem.Count(got.Problems, problem.Error), "%s: %s", name, all.String())
	} else {
		var places []string
		for _, p := range find(got.Problems, b.code) {
			place := p.Place.Column
			if p.Place.Row > 0 {
				place += fmt.Sprint(p.Place.Row)
			}
			places = append(places, place)
			require.NotEmpty(t, p.Message, name)
		}
		require.Contains(t, places, b.at, "%s: %s", name, all.String())
	}
	if b.want != nil {
		b.want(t, got)
	}
}

func attempts(n int) func(*testing.T, club.Tables) {
	return func(t *testing.T, got club.Tables) { require.Len(t, got.Attempts, n) }
}

const heads = "Species;Set up;Spawned;Eggs;Temp (°C)\n"

func TestRow11OpenGroup(t *testing.T) {
	broken{"Species;Set up;Spawned;Eggs\nDanio rerio;2024-03-13;yes;1,200\n", problem.NumberOpen, "D2", func(t *testing.T, got club.Tables) {
		require.False(t, got.Clutches[0].Eggs.OK)
	}}.check(t, "1,200 in a column that leaves it open")
	broken{"Species;Set up;Spawned;Eggs\nDanio rerio;2024-03-13;yes;1,200\nDanio rerio;2024-04-13;yes;1,250,000\n", "", "", func(t *testing.T, got club.Tables) {
		require.Equal(t, club.Some[int64](1200), got.Clutches[0].Eggs)
	}}.check(t, "another cell tells")
}

func TestRow15TitlesAbove(t *testing.T) {
	broken{"Breeding log;;;;\nKeeper: Ana Lund;;;;\n;;;;\n" + heads + "Danio rerio;2024-03-13;no;;24.5\n", "", "", func(t *testing.T, got club.Tables) {
		require.Len(t, got.Attempts, 1)
		require.Equal(t, "Ana Lund", got.Attempts[0].Keeper)
		require.EqualValues(t, 5, got.Attempts[0].Source.Row)
	}}.check(t, "headings in row 4")
}

func TestRow16HeadingsInTwoRows(t *testing.T) {
	broken{"Species;Date;;Water;\n;Set up;Spawned on;Temp;pH\n;;;°C;\nDanio rerio;2024-03-13;2024-03-15;24.5;7\n", "", "", func(t *testing.T, got club.Tables) {
		require.Equal(t, club.Some(24.5), got.Attempts[0].TemperatureC)
		require.Equal(t, club.Some(7.0), got.Attempts[0].PH)
		require.True(t, got.Attempts[0].SpawnedAt.OK)
	}}.check(t, "groups, headings and units")
}

func TestRow17NoHeadings(t *testing.T) {
	broken{"Danio rerio;2024-03-13;no;;24.5\nDanio rerio;2024-04-13;yes;120;24.5\n", problem.NotALog, "", attempts(0)}.check(t, "no headings")
}

func TestRow18DuplicateEmptyAndMisspeltHeadings(t *testing.T) {
	broken{"Species;Set up;Spawned;Eggs;Eggs\nDanio rerio;2024-03-13;yes;120;130\n", problem.HeadingTwice, "E1", func(t *testing.T, got club.Tables) {
		require.Equal(t, club.Some[int64](120), got.Clutches[0].Eggs)
		require.Contains(t, got.Attempts[0].Notes, "130")
	}}.check(t, "the same heading twice")
	broken{"Species;Set up;Spawned;;Eggs\nDanio rerio;2024-03-13;yes;calm;120\n", problem.RaggedRow, "D2", attempts(1)}.check(t, "an empty heading")
	broken{"Speices;Set up;Spawned\nDanio rerio;2024-03-13;yes\n", problem.HeadingGuessed, "A1", attempts(1)}.check(t, "a misspelt heading")
}

func TestRow19SeveralTables(t *testing.T) {
	broken{heads + "Danio rerio;2024-03-13;no;;24.5\n\nTank;Paired on;Species;Laid?\nB1;2024-04-14;Betta splendens;yes\n", "", "", attempts(2)}.check(t, "below each other")
	broken{"Species;Set up;Spawned;;Species;Set up;Spawned\nDanio rerio;2024-03-13;no;;Betta splendens;2024-04-14;yes\n", "", "", attempts(2)}.check(t, "side by side")
}

func TestRow20TotalsAndFootnotes(t *testing.T) {
	broken{heads + "Danio rerio;2024-03-13;yes;120;24.5\nTotal;;;120;\n" + heads + "Danio rerio;2024-04-13;no;;24.5\n\nall temperatures by probe;;;;\n", problem.RowSkipped, "3", func(t *testing.T, got club.Tables) {
		require.Len(t, got.Attempts, 2)
		require.Len(t, find(got.Problems, problem.RowSkipped), 3)
	}}.check(t, "total, headings again, footnote")
}

func TestRow21And22OrderOfDayAndMonth(t *testing.T) {
	broken{"Species;Set up;Spawned\nDanio rerio;03/04/2024;no\nDanio rerio;05/06/2024;no\n", problem.DateAmbiguous, "B2", func(t *testing.T, got club.Tables) {
		for _, a := range got.Attempts {
			require.False(t, a.Began.OK)
		}
	}}.check(t, "all days up to 12")
	broken{"Species;Set up;Spawned\nDanio rerio;13/02/2024;no\nDanio rerio;02/14/2024;no\n", problem.DateConflict, "B2", nil}.check(t, "no order reads both")
}

func TestRow23OneDateDecides(t *testing.T) {
	var b strings.Builder
	b.WriteString("Species;Set up;Spawned\n")
	for i := range 30 {
		day := time.Date(2024, time.Month(1+i%12), 1+i%11, 0, 0, 0, 0, time.UTC)
		fmt.Fprintf(&b, "Danio rerio;%s;no\n", day.Format("02/01/2006"))
	}
	broken{b.String() + "Danio rerio;25/06/2024;no\n", "", "", attempts(31)}.check(t, "one date above 12 among thirty that run neither way")
}

func TestRow25RangeTurnedIntoADate(t *testing.T) {
	f := excelize.NewFile()
	style, err := f.NewStyle(&excelize.Style{NumFmt: 16}) // d-mmm
	require.NoError(t, err)
	for cell, v := range map[string]any{"A1": "Species", "B1": "Set up", "C1": "Spawned", "D1": "Eggs", "A2": "Danio rerio", "B2": "2024-03-13", "C2": "yes", "D2": 45385} {
		require.NoError(t, f.SetCellValue("Sheet1", cell, v))
	}
	require.NoError(t, f.SetCellStyle("Sheet1", "D2", "D2", style))
	c := makeClub(t, "", nil)
	at := filepath.Join(c.Dir, LogsDir, "ana")
	require.NoError(t, os.MkdirAll(at, 0o777))
	require.NoError(t, f.SaveAs(filepath.Join(at, "log.xlsx")))
	report, err := Run(c, nil, today)
	require.NoError(t, err)
	require.False(t, report.Tables.Clutches[0].Eggs.OK)
	problems := find(report.Tables.Problems, problem.NumberUnreadable)
	require.Len(t, problems, 1, "%v", report.Tables.Problems)
	require.Equal(t, "D", problems[0].Place.Column)
}

func TestRow27And28OddDates(t *testing.T) {
	broken{"Species;Set up;Spawned\nDanio rerio;31/04/2024;no\nDanio rerio;29/02/2023;no\nDanio rerio;13/03/2024;no\n", problem.DateUnreadable, "B2", func(t *testing.T, got club.Tables) {
		require.Len(t, find(got.Problems, problem.DateUnreadable), 2)
	}}.check(t, "days that no calendar has")
	broken{"Species;Set up;Spawned\nDanio rerio;2099-03-13;no\n", problem.DateOutOfRange, "B2", nil}.check(t, "the future")
	broken{"Species;Set up;Spawned\nDanio rerio;4-Mar;no\n", problem.DatePartial, "B2", nil}.check(t, "no year")
	broken{"Log 2024\nSpecies;Set up;Spawned\nDanio rerio;4-Mar;no\n", "", "", func(t *testing.T, got club.Tables) {
		require.Equal(t, 2024, got.Attempts[0].Began.V.Add(12*time.Hour).Year())
	}}.check(t, "the year of the title")
	broken{"Species;Set up;Spawned\nDanio rerio;March 2024;no\n", problem.DatePartial, "B2", nil}.check(t, "a month")
	broken{"Species;Set up;Spawned\nDanio rerio;13.03.24;no\n", "", "", func(t *testing.T, got club.Tables) {
		require.Equal(t, 2024, got.Attempts[0].Began.V.Year())
	}}.check(t, "two digits")
}

func TestRow29ClockTimes(t *testing.T) {
	broken{"Time;Pressure (hPa)\n2024-03-13 24:00;1013\n2024-03-14 7.30pm;1012\n", "", "", func(t *testing.T, got club.Tables) {
		require.Equal(t, "2024-03-13T23:00:00Z", got.Readings[0].At.V.UTC().Format(time.RFC3339)) // midnight in Vienna
		require.Equal(t, "2024-03-14T18:30:00Z", got.Readings[1].At.V.UTC().Format(time.RFC3339))
	}}.check(t, "24:00 and 7.30pm")
	broken{"Time;Pressure (hPa)\n2024-03-31 02:30;1013\n2024-03-31 04:00;1012\n", problem.TimeUnreadable, "2", nil}.check(t, "an hour that the clocks skip")
}

func TestRow30And31Numbers(t *testing.T) {
	broken{"Species;Set up;Spawned;Eggs;Temp (°C);pH\nDanio rerio;2024-03-13;yes;~200;24-26;pH 6.5\nDanio rerio;2024-04-13;yes;200+;78F;6.5 pH\nDanio rerio;2024-05-14;yes;>300;25;7\n", "", "", func(t *testing.T, got club.Tables) {
		require.Equal(t, club.Some[int64](200), got.Clutches[0].Eggs)
		require.Equal(t, "estimated", got.Clutches[0].EggsMethod)
		require.Equal(t, club.Some(25.0), got.Attempts[0].TemperatureC)
		require.Equal(t, club.Some(6.5), got.Attempts[0].PH)
		require.False(t, got.Clutches[1].Eggs.OK)
		require.Equal(t, club.Some[int64](200), got.Clutches[1].EggsLow)
		require.InDelta(t, 25.56, got.Attempts[1].TemperatureC.V, 0.01)
		require.Equal(t, club.Some[int64](300), got.Clutches[2].EggsLow)
	}}.check(t, "numbers as keepers write them")
	for _, bad := range []string{"10/12", "26-24", "twenty", "1,2,3", "Inf", "1e999"} {
		broken{"Species;Set up;Spawned;Temp (°C)\nDanio rerio;2024-03-13;no;" + bad + "\nDanio rerio;2024-04-13;no;25\n", firstCode(t, bad), "D2", func(t *testing.T, got club.Tables) {
			require.False(t, got.Attempts[0].TemperatureC.OK, bad)
			require.True(t, got.Attempts[1].TemperatureC.OK, bad)
		}}.check(t, bad)
	}
}

// firstCode is the code by which a bad temperature is refused: a range that runs
// downwards has one of its own.
func firstCode(t *testing.T, bad string) problem.Code {
	t.Helper()
	got := read(t, map[string]string{"ana/log.csv": "Species;Set up;Spawned;Temp (°C)\nDanio rerio;2024-03-13;no;" + bad + "\nDanio rerio;2024-04-13;no;25\n"})
	for _, p := range got.Problems {
		if p.Place.Column == "D" && p.Place.Row == 2 {
			require.Equal(t, problem.Error, p.Severity, bad)
			require.Contains(t, []problem.Code{problem.NumberUnreadable, problem.NumberRange}, p.Code, bad)
			return p.Code
		}
	}
	t.Fatalf("nothing is said of %q", bad)
	return ""
}

func TestRow32MixedUnits(t *testing.T) {
	broken{"Time;Pressure\n2024-03-13 08:00;1013\n2024-03-13 09:00;29.92\n2024-03-13 10:00;760\n", problem.UnitMissing, "2", func(t *testing.T, got club.Tables) {
		require.Empty(t, got.Readings)
	}}.checkAny(t, "hPa, inHg and mmHg in one column")
}

// checkAny is check without the place: the problem stands in every row.
func (b broken) checkAny(t *testing.T, name string) {
	t.Helper()
	got := read(t, map[string]string{"ana/log.csv": b.log})
	require.NotEmpty(t, find(got.Problems, b.code), "%s: %v", name, got.Problems)
	b.want(t, got)
}

func TestRow34MarksAndBlanks(t *testing.T) {
	broken{"Species;Set up;Spawned\nDanio rerio;2024-03-13;x\nDanio rerio;2024-04-13;\nDanio rerio;2024-05-14;x\n", problem.BlankNotNo, "C", func(t *testing.T, got club.Tables) {
		require.False(t, got.Attempts[1].Spawned.OK)
	}}.check(t, "a blank is no no")
}

// A CSV file of ours puts an apostrophe before what a spreadsheet would run. Read
// again, the text is what it was.
func TestRow44GuardIsUndone(t *testing.T) {
	broken{"Species;Set up;Spawned;Notes\nDanio rerio;2024-03-13;no;'=1+1\nDanio rerio;2024-04-13;no;'tis calm\n", "", "", func(t *testing.T, got club.Tables) {
		require.Equal(t, "=1+1", got.Attempts[0].Notes)
		require.Equal(t, "'tis calm", got.Attempts[1].Notes)
	}}.check(t, "guarded text")
}

func TestRow54MappingsThatCannotBeFollowed(t *testing.T) {
	log := "Species;Set up;Spawned\nDanio rerio;2024-03-13;no\n"
	for name, c := range map[string]struct{ mapping, says string }{
		"unknown key":            {"version = 1\nkeepr = \"Ana\"\n", "line 2"},
		"wrong type":             {"version = 1\n[[table]]\nheader_row = \"four\"\n", "line 3"},
		"one column twice":       {"version = 1\n[[table]]\n[table.columns.\"Set up\"]\nis = \"began\"\n[table.columns.\"Set up\"]\nis = \"ended\"\n", "line 5"},
		"a heading that is gone": {"version = 1\n[[table]]\n[table.columns.\"Paired\"]\nis = \"began\"\n", "Paired"},
		"delimiter":              {"version = 1\ndelimiter = \";;\"\n", "not one character"},
	} {
		got := read(t, map[string]string{"ana/log.csv": log, "ana/log.toml": c.mapping})
		p := find(got.Problems, problem.MappingInvalid)
		require.NotEmpty(t, p, name)
		require.Contains(t, p[0].String(), c.says, name)
		require.Equal(t, problem.Error, p[0].Severity, name)
	}
}

// A share, a part or a volume of the tank's volume.
func TestWaterChangesAsShareOrVolume(t *testing.T) {
	pct := func(log string) []club.Number {
		var out []club.Number
		for _, a := range read(t, map[string]string{"ana/log.csv": log}).Attempts {
			out = append(out, a.WaterChangePct)
		}
		return out
	}
	near := func(want float64, got club.Number) {
		t.Helper()
		require.True(t, got.OK)
		require.InDelta(t, want, got.V, 1e-4)
	}
	got := pct("Species;Set up;Spawned;Water change;Tank volume (L)\nDanio rerio;2024-03-13;no;1/3;60\nDanio rerio;2024-03-14;no;half;60\nDanio rerio;2024-03-15;no;30 %;60\nDanio rerio;2024-03-16;no;20 L;60\n")
	near(100.0/3, got[0])
	near(50, got[1])
	near(30, got[2])
	near(100.0/3, got[3])
	got = pct("Species;Set up;Spawned;Water change (L);Volume\nDanio rerio;2024-03-13;no;15;60 L\nDanio rerio;2024-03-14;no;15;\n")
	near(25, got[0])
	require.False(t, got[1].OK, "15 L of how much?")
	require.False(t, pct("Species;Set up;Spawned;Water change (L);Tank volume (L)\nDanio rerio;2024-03-13;no;80;60\n")[0].OK, "more water than there is")
}

func TestViableAndUnviable(t *testing.T) {
	got := read(t, map[string]string{"ana/log.csv": "Tank;Species;Date;Viable eggs;Unviable eggs;Total eggs\nA;Danio rerio;2024-03-13;80;20;100\nA;Danio rerio;2024-03-14;80;20;110\nA;Danio rerio;2024-03-15;0;0;0\n"})
	require.Len(t, find(got.Problems, problem.Contradiction), 1)
	require.Len(t, got.Clutches, 2)
	require.Equal(t, club.Some(false), got.Attempts[2].Spawned)
	got = read(t, map[string]string{"ana/log.csv": "Tank;Species;Date;Viable eggs;Unviable eggs\nA;Danio rerio;2024-03-13;80;20\nA;Danio rerio;2024-03-15;0;0\n"})
	require.Equal(t, club.Some[int64](100), got.Clutches[0].Eggs)
	require.Equal(t, club.Some(false), got.Attempts[1].Spawned)
}

func TestSampleFraction(t *testing.T) {
	got := read(t, map[string]string{"ana/log.csv": "Species;Set up;Spawned;Eggs;Share counted\nDanio rerio;2024-03-13;yes;15;1/8\nDanio rerio;2024-04-13;yes;20;25 %\nDanio rerio;2024-05-13;yes;20;12\n"})
	require.Equal(t, club.Some(0.125), got.Clutches[0].SampleFraction)
	require.Equal(t, club.Some(0.25), got.Clutches[1].SampleFraction)
	require.False(t, got.Clutches[2].SampleFraction.OK)
	require.Len(t, find(got.Problems, problem.Implausible), 1)
}

// Two columns for one measurement in two units must agree; the first is used, and the
// second where the first is empty.
func TestOneMeasurementInTwoUnits(t *testing.T) {
	got := read(t, map[string]string{"ana/log.csv": "Species;Set up;Spawned;Temp (°C);Temp (°F)\nDanio rerio;2024-03-13;no;25;77\nDanio rerio;2024-04-13;no;25;85\nDanio rerio;2024-05-13;no;;75.2\n"})
	require.Equal(t, club.Some(25.0), got.Attempts[0].TemperatureC)
	require.Equal(t, club.Some(25.0), got.Attempts[1].TemperatureC)
	require.InDelta(t, 24, got.Attempts[2].TemperatureC.V, 1e-9)
	p := find(got.Problems, problem.Contradiction)
	require.Len(t, p, 1)
	require.Equal(t, 3, p[0].Place.Row)
}

func TestUnitsOfOwnTriggers(t *testing.T) {
	config := "name = \"Test club\"\ntime_zone = \"Europe/Vienna\"\n[[trigger]]\ncode = \"depth\"\nname = \"depth\"\nkind = \"number\"\nunit = \"cm\"\n"
	report, err := Run(makeClub(t, config, map[string]string{"ana/log.csv": "Species;Set up;Spawned;Depth\nDanio rerio;2024-03-13;no;12\nDanio rerio;2024-04-13;no;120 mm\nDanio rerio;2024-05-13;no;12 °C\n"}), nil, today)
	require.NoError(t, err)
	require.Equal(t, 12.0, report.Tables.Attempts[0].Own["depth"].V)
	require.InDelta(t, 12, report.Tables.Attempts[1].Own["depth"].V, 1e-9)
	require.False(t, report.Tables.Attempts[2].Own["depth"].OK)
	require.Len(t, find(report.Tables.Problems, problem.UnitUnknown), 1)
}

func TestManyRowsSetAside(t *testing.T) {
	got := read(t, map[string]string{"ana/log.csv": "Species;Set up;Spawned\nDanio rerio;2024-03-13;no\nhaddock;2024-04-13;no\ncod;2024-05-13;no\nsalmo;2024-05-14;no\n"})
	require.Len(t, find(got.Problems, problem.ManySetAside), 1)
	require.Len(t, got.Attempts, 1, "what can be read is used")
}

func TestNamedDelimiterOfAMapping(t *testing.T) {
	got := read(t, map[string]string{"ana/log.csv": "Species:Set up:Spawned\nDanio rerio:2024-03-13:no\n", "ana/log.toml": "version = 1\ndelimiter = \":\"\n"})
	require.Len(t, got.Attempts, 1)
}

// Air pressure before and after gives its change; the reading of the day stands for
// the one after.
func TestPressureBeforeAndAfter(t *testing.T) {
	for _, heads := range []string{"Luftdruck vorher;Luftdruck nachher", "Luftdruck Vortag;Luftdruck"} {
		got := read(t, map[string]string{"ana/log.csv": "Art;angesetzt am;gelaicht;" + heads + "\nDanio rerio;13.03.2024;ja;1021;1009\nDanio rerio;14.04.2024;nein;1019;\nDanio rerio;15.04.2024;nein;1019;900\n"})
		require.Equal(t, club.Some(-12.0), got.Attempts[0].PressureChange, heads)
		require.False(t, got.Attempts[1].PressureChange.OK, heads)
		require.False(t, got.Attempts[2].PressureChange.OK, heads)
		require.Len(t, find(got.Problems, problem.Implausible), 1, heads)
	}
}

// What follows a yes or a no is a remark; where it tells the contrary, nothing is read.
func TestAnswersWithRemarks(t *testing.T) {
	got := read(t, map[string]string{"ana/log.csv": "Species;Set up;Spawned;Notes\nDanio rerio;2024-03-13;yes - all eaten;\nDanio rerio;2024-03-14;no - not interested;\nDanio rerio;2024-03-15;yes, fungused;\nDanio rerio;2024-03-16;Yes!;\nDanio rerio;2024-03-17;no, then 40 eggs;\nDanio rerio;2024-03-18;yes?;\n"})
	want := []club.Truth{club.Some(true), club.Some(false), club.Some(true), club.Some(true), {}, {}}
	for i, a := range got.Attempts {
		require.Equal(t, want[i], a.Spawned, "row %d", i+2)
	}
	require.Equal(t, "fungus", got.Clutches[1].Loss)
	require.Contains(t, got.Attempts[0].Notes, "all eaten")
	require.Len(t, find(got.Problems, problem.YesNoUnreadable), 2)
}

func TestOneMeasurementARow(t *testing.T) {
	got := read(t, map[string]string{"ana/log.csv": "Date;Tank;Parameter;Value;Unit\n2024-03-13 08:00;A1;Temperature;77;°F\n2024-03-13 08:00;A1;pH;6.8;\n2024-03-13 08:00;;Air pressure;1013;\n2024-03-14 08:00;A1;Mood;7;\n2024-03-15 08:00;A1;pH;72;\n"})
	byQuantity := map[string]float64{}
	for _, r := range got.Readings {
		byQuantity[r.Quantity] = r.Value.V
	}
	require.InDelta(t, 25, byQuantity["temperature_c"], 1e-9)
	require.Equal(t, 6.8, byQuantity["ph"])
	require.Equal(t, 1013.0, byQuantity["air_pressure_hpa"])
	require.Len(t, got.Readings, 3)
	require.Len(t, find(got.Problems, problem.HeadingUnknown), 1)
	require.Len(t, find(got.Problems, problem.Implausible), 1)
}

// One keeper writes one way: the order of day and month that one sheet leaves open is
// that of another sheet of the file.
func TestOtherTablesTellTheOrderOfDates(t *testing.T) {
	got := read(t, map[string]string{"ana/log.csv": "Species;Set up;Spawned\nDanio rerio;03/04/2024;no\n\nTank;Species;Paired on;Laid?\nA1;Danio rerio;25/04/2024;no\n"})
	require.Len(t, got.Attempts, 2)
	require.Equal(t, time.April, got.Attempts[0].Began.V.Add(12*time.Hour).Month())
	require.Len(t, find(got.Problems, problem.DateImplied), 1)
}

func TestSpeciesInTheTitle(t *testing.T) {
	got := read(t, map[string]string{"ana/log.csv": "Log of Danio rerio, winter\nSet up;Spawned;Eggs\n2024-03-13;yes;120\n"})
	require.Len(t, got.Attempts, 1)
	require.Equal(t, "Danio rerio", got.Attempts[0].Species)
	require.Empty(t, read(t, map[string]string{"ana/log.csv": "Log of Danio rerio and Betta splendens\nSet up;Spawned;Eggs\n2024-03-13;yes;120\n"}).Attempts, "which of the two?")
}
