package ingest

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// zoneOfClub is the time zone of the clubs that read makes.
var zoneOfClub = func() *time.Location {
	zone, err := time.LoadLocation("Europe/Vienna")
	if err != nil {
		panic(err)
	}
	return zone
}()

// daysOf writes the days of the attempts and clutches of some logs, one a line: tank,
// species, set up, ended, outcome, spawned; then laid, hatched, swimming, lost, eggs.
func daysOf(tables club.Tables) string {
	day := func(w club.When) string {
		if !w.OK {
			return "-"
		}
		return w.V.In(zoneOfClub).Format("0102")
	}
	var lines []string
	for _, a := range tables.Attempts {
		var b strings.Builder
		outcome := "?"
		if a.Spawned.OK {
			outcome = map[bool]string{true: "yes", false: "no"}[a.Spawned.V]
		}
		fmt.Fprintf(&b, "%s %s %s %s %s %s", a.System, strings.Fields(a.Species)[0], day(a.Began), day(a.Ended), outcome, day(a.SpawnedAt))
		for _, c := range tables.Clutches {
			if c.AttemptID != a.ID {
				continue
			}
			eggs := "-"
			if c.Eggs.OK {
				eggs = fmt.Sprint(c.Eggs.V)
			}
			fmt.Fprintf(&b, " / %s %s %s %s %s %s", day(c.LaidTo), day(c.HatchTo), day(c.SwimTo), day(c.LostAt), eggs, c.Loss)
		}
		lines = append(lines, strings.Join(strings.Fields(b.String()), " "))
	}
	return strings.Join(lines, "\n")
}

// Each log here is one that a careful reader can read, with what he makes of it.
// Invented; the conventions are common practice, no source.
func TestLayouts(t *testing.T) {
	for name, c := range map[string]struct {
		log  string
		want string
	}{
		"days by number, English codes without a legend": {
			"Tank;Species;Set up;D0;D1;D2;D3;D4;D5;D6\nA1;Danio rerio;2024-03-13;;;E;;;H;\nB2;Danio rerio;2024-04-01;;;;;;;\n",
			"A1 Danio 0313 - yes 0315 / 0315 0318 - - -\nB2 Danio 0401 - ? -"},
		"days by number with a German legend": {
			"Becken;Art;Angesetzt am;Tag 0;Tag 1;Tag 2;Tag 3;Tag 4;Tag 5\nA1;Zebrabärbling;13.03.2024;o;o;L;;S;F\nB2;Zebrabärbling;01.04.2024;o;o;o;o;o;o\n\nL = gelaicht, S = geschlüpft, F = freischwimmend, o = nichts\n",
			"A1 Danio 0313 - yes 0315 / 0315 0317 0318 - -\nB2 Danio 0401 0406 no -"},
		"days as dates": {
			"Tank,Species,2024-03-13,2024-03-14,2024-03-15,2024-03-16,2024-03-17\nA1,Danio rerio,0,E 120,,H,FS\nB2,Danio rerio,0,0,0,0,0\nE = eggs; H = hatched; FS = free swimming; 0 = no eggs\n",
			"A1 Danio 0313 - yes 0314 / 0314 0316 0317 - 120\nB2 Danio 0313 0317 no -"},
		"words under the days": {
			"Tank,Species,Set up,D0,D1,D2,D3\nA1,Danio rerio,2024-03-13,no eggs,eggs,,hatched\n",
			"A1 Danio 0313 - yes 0314 / 0314 0316 - - -"},
		"a diary of one species": {
			"Species: Danio rerio\nTank: C3\nDate;Diary\n2024-03-13;found 120 eggs\n2024-03-16;hatched\n2024-03-20;free swimming\n2024-04-02;spawned\n",
			"C3 Danio - - yes 0313 / 0313 0316 0320 - 120 / 0402 - - - -"},
		"two clutches of one attempt": {
			"Date;Tank;Entry\n2024-03-01;A1;set up 2.3 Danio rerio\n2024-03-05;A1;eggs\n2024-03-06;A1;counted 80 eggs\n2024-03-08;A1;hatched\n2024-03-12;A1;free swimming\n2024-03-20;A1;60 eggs\n2024-03-22;A1;all eggs eaten by parents\n",
			"A1 Danio 0301 - yes 0305 / 0305 0308 0312 - 80 / 0320 - - 0322 60 eaten by parents"},
		"a diary out of order": {
			"Date;Tank;Entry\n2024-03-08;A1;hatched\n2024-03-05;A1;eggs\n2024-03-01;A1;set up 2.3 Danio rerio\n2024-03-02;B2;set up 1.1 Danio rerio\n2024-03-09;B2;gave up\n",
			"A1 Danio 0301 - yes 0305 / 0305 0308 - - -\nB2 Danio 0302 0309 no -"},
		"a diary in lines, without headings": {
			"Breeding diary of Ann\nTank: 3\nSpecies: Apistogramma cacatuoides\n\n12.03.2024 put pair together\n14.03.2024 water change 30%\n15.03.2024 female yellow, eggs in the cave, about 60\nshe fans them\n18.03.2024 wrigglers\n23.03.2024 free swimming, ca. 45 fry\n",
			"3 Apistogramma 0312 - yes 0315 / 0315 0318 0323 - 60"},
		"a diary with a number column": {
			"Date;Tank;Temp (°C);Notes\n2024-03-01;A1;24.5;set up 2.3 Danio rerio\n2024-03-05;A1;25;eggs\n2024-03-06;A1;25.5;\n",
			"A1 Danio 0301 - yes 0305 / 0305 - - - -"},
	} {
		t.Run(name, func(t *testing.T) {
			got := read(t, map[string]string{"ana/log.csv": c.log})
			var problems strings.Builder
			for _, p := range got.Problems {
				fmt.Fprintln(&problems, p)
			}
			require.Equal(t, c.want, daysOf(got), problems.String())
		})
	}
}

// What cannot be told is set aside with its reason, and gives no value.
func TestLayoutsThatLeaveSomethingOpen(t *testing.T) {
	for name, c := range map[string]struct {
		log  string
		code problem.Code
		at   string
	}{
		"a code without a legend":                {"Tank;Species;Set up;D0;D1;D2;D3\nA1;Danio rerio;2024-03-13;;;Q;\n", problem.EntryUnsure, "F2"},
		"a single letter of another language":    {"Becken;Art;Angesetzt am;Tag 0;Tag 1;Tag 2\nA1;Danio rerio;13.03.2024;;S;\n", problem.EntryUnsure, "E2"},
		"a number under a day":                   {"Tank;Species;Set up;D0;D1;D2;D3\nA1;Danio rerio;2024-03-13;;12;;\n", problem.EntryUnsure, "E2"},
		"days from 1":                            {"Tank;Species;Set up;Day 1;Day 2;Day 3\nA1;Danio rerio;2024-03-13;;E;\n", problem.DateImplied, "D1"},
		"hatched without a set-up":               {"Date;Tank;Entry\n2024-03-01;A1;set up 2.3 Danio rerio\n2024-03-05;B2;hatched\n", problem.RowIncomplete, "C3"},
		"an act and a hatching without a set-up": {"Date;Tank;Entry\n2024-03-01;A1;set up 2.3 Danio rerio\n2024-03-05;B2;water change 10 %, hatched\n", problem.RowIncomplete, "C3"},
		"eggs in an unnamed tank":                {"Date;Tank;Entry\n2024-03-01;A1;set up 2.3 Danio rerio\n2024-03-05;;eggs\n", problem.RowIncomplete, "3"},
		"an unknown species set up":              {"Date;Tank;Entry\n2024-03-01;A1;set up 2.3 flying haddock\n2024-03-05;A1;quiet\n2024-03-06;A1;no eggs\n", problem.SpeciesUnknown, "C2"},
		"an act nobody knows":                    {"Date;Tank;Action;Amount\n2024-03-01;A1;water change;20 %\n2024-03-05;A1;sang to the fish;\n", problem.EntryUnsure, "C3"},
		"more eggs of the same clutch":           {"Date;Tank;Entry\n2024-03-01;A1;set up 2.3 Danio rerio\n2024-03-05;A1;50 eggs\n2024-03-06;A1;70 eggs\n", problem.Contradiction, "C4"},
		"days without a date":                    {"Tank;Species;Set up;D0;D1;D2\nA1;Danio rerio;;;E;\n", problem.RowIncomplete, "2"},
	} {
		t.Run(name, func(t *testing.T) {
			got := read(t, map[string]string{"ana/log.csv": c.log})
			var places []string
			for _, p := range find(got.Problems, c.code) {
				row := ""
				if p.Place.Row > 0 {
					row = fmt.Sprint(p.Place.Row)
				}
				places = append(places, p.Place.Column+row)
				require.NotEmpty(t, p.Fix)
			}
			require.Contains(t, places, c.at, "%v", got.Problems)
		})
	}
}

// Readings of several tanks side by side, each with the tank that its heading names.
func TestLoggerWithAColumnATank(t *testing.T) {
	for name, head := range map[string]string{"tank first": "Tank 1 temp (°C);Tank 2 temp (°C)", "tank last": "Temp tank 1 (°C);Temp tank 2 (°C)", "bare": "Temp B1 (°C);Temp B2 (°C)", "German": "Becken 1 Temperatur (°C);Becken 2 Temperatur (°C)"} {
		got := read(t, map[string]string{"ana/log.csv": "Date;Time;" + head + "\n2024-03-13;08:00;24.5;25.5\n2024-03-13;09:00;24.6;25.6\n"})
		require.Len(t, got.Readings, 4, name)
		byTank := map[string]float64{}
		for _, r := range got.Readings {
			byTank[strings.TrimPrefix(r.System, "B")] += r.Value.V
			require.Equal(t, "temperature_c", r.Quantity, name)
		}
		require.InDelta(t, 49.1, byTank["1"], 1e-9, name)
		require.InDelta(t, 51.1, byTank["2"], 1e-9, name)
	}
	got := read(t, map[string]string{"ana/log.csv": "Date;Time;T1 (°C);T2 (°C)\n2024-03-13;08:00;24.5;25.5\n"})
	require.Empty(t, got.Readings, "a sensor is no tank")
}
