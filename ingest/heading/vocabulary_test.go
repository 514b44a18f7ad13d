package heading

import (
	"encoding/csv"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// shared are the headings that stand under several fields of one language: the
// cells below decide, or the column is refused.
func shared(t *testing.T) map[string][]Field {
	fields := map[string][]Field{}
	for _, r := range listed(t) {
		if r[0] == "total" {
			continue
		}
		k := r[1] + " " + asked(r[2])
		if f := Field(r[0]); !slices.Contains(fields[k], f) {
			fields[k] = append(fields[k], f)
		}
	}
	return fields
}

func listed(t *testing.T) [][]string {
	rows, err := csv.NewReader(strings.NewReader(list)).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 2000)
	return rows[1:]
}

func TestEveryHeadingOfTheListMeansItsFieldInItsLanguage(t *testing.T) {
	fields := shared(t)
	for _, r := range listed(t) {
		if r[0] == "total" {
			require.True(t, IsTotal(r[2]), "%v", r)
			continue
		}
		got := matcher{language: r[1]}.match(r[2])
		require.ElementsMatch(t, fields[r[1]+" "+asked(r[2])], got.Fields, "%v", r)
		require.Empty(t, got.Guess, "%v", r)
	}
}

func TestHeadingsAreReadWithoutCaseAccentsAndPunctuation(t *testing.T) {
	for text, want := range map[string]Field{
		"TEMPERATURE": Temperature, "Anz. Maennchen": Males, "anz maennchen": Males, "Date of the spawning": SpawnedAt,
		"Gelegegroesse": Eggs, "fecha de la puesta": SpawnedAt, "Fecha puesta": SpawnedAt, "date d’éclosion": HatchDate, "Spawned y/n": Spawned,
		"temperature_c": Temperature, "hatch_to": HatchDate, "air_pressure_hpa": AirPressure,
	} {
		got := matcher{}.match(text)
		require.Equal(t, []Field{want}, got.Fields, text)
	}
}

func TestDroppingFillerMergesNoTwoFields(t *testing.T) {
	fields := shared(t)
	for _, r := range listed(t) {
		if r[0] == "total" {
			continue
		}
		for _, m := range known().meanings[essence(asked(r[2]))] {
			if m.language == r[1] {
				require.Contains(t, fields[r[1]+" "+asked(r[2])], m.field, "%v loses its sense without filler", r)
			}
		}
	}
}

func TestUnitsInHeadings(t *testing.T) {
	for text, want := range map[string]struct {
		field Field
		unit  string
	}{
		"Temp (°C)": {Temperature, "Cel"}, "Temp [°F]": {Temperature, "[degF]"}, "temp F": {Temperature, "[degF]"}, "temp C": {Temperature, "Cel"},
		"°C": {Temperature, "Cel"}, "Temperature, °C": {Temperature, "Cel"}, "Temperature in °F": {Temperature, "[degF]"}, "temp_c": {Temperature, "Cel"},
		"pressure_hpa": {AirPressure, "hPa"}, "Luftdruck (hPa)": {AirPressure, "hPa"}, "Pressure (inHg)": {AirPressure, "[in_i'Hg]"}, "hPa": {AirPressure, "hPa"},
		"Cond µS/cm": {Conductivity, "uS/cm"}, "cond_us_cm": {Conductivity, "uS/cm"}, "Leitwert (mS/cm)": {Conductivity, "mS/cm"}, "µS": {Conductivity, "uS/cm"},
		"GH (ppm)": {GH, "mg{CaCO3}/L"}, "GH (°dH)": {GH, "10.mg{CaO}/L"}, "TH": {GH, ""}, "NO3 (mg/L)": {Nitrate, "mg/L"}, "nitrate_mg_l": {Nitrate, "mg/L"},
		"24 h pressure change (inHg)": {PressureChange, "[in_i'Hg]"}, "Refill difference (°F)": {RefillDelta, "[degF]"}, "refill cooler by (°C)": {RefillDelta, "K"},
		"days conditioned": {ConditioningDays, "d"}, "conditioning (weeks)": {ConditioningDays, "wk"}, "light hours": {LightHours, "h"}, "Beleuchtung (h)": {LightHours, "h"},
		"light (lx)": {LightLevel, "lx"}, "light (h)": {LightHours, "h"}, "% changed": {WaterChangePct, "%"}, "depth cm": {WaterLevel, "cm"}, "Water change": {WaterChangePct, ""},
		"Room temp (°F)": {RoomTemp, "[degF]"}, "Eggs [n]": {Eggs, ""}, "hatched (%)": {HatchRate, ""}, "Volume (L)": {TankVolume, ""},
		"Hatched (n)": {Hatched, ""}, "Hatched (date)": {HatchDate, ""}, "Spawn (y/n)": {Spawned, ""}, "Schlupf (TT.MM.JJJJ)": {HatchDate, ""},
	} {
		got := matcher{}.match(text)
		require.Equal(t, []Field{want.field}, got.Fields, text)
		require.Equal(t, want.unit, got.Unit.Code, text)
	}
}

func TestUnknownHeadings(t *testing.T) {
	for text, want := range map[string]Match{
		"Temp (psi)":         {Foreign: "psi", Nearest: "temp"},
		"Temp (start)":       {Nearest: "T water"},
		"Mood of Heinz":      {},
		"pressure change 3h": {Nearest: "24h pressure change"},
	} {
		got := matcher{}.match(text)
		require.Empty(t, got.Fields, text)
		require.Equal(t, want.Foreign, got.Foreign, text)
	}
	require.Equal(t, "temperature", strings.ToLower(MatchRow([]string{"tank", "species", "Temprtuer"})[2].Nearest))
}

func TestMisspeltHeadings(t *testing.T) {
	for text, want := range map[string]Field{"Temprature (°C)": Temperature, "Speices": Species, "Leitfähikeit": Conductivity, "Waterr temp": Temperature, "Spwan date": SpawnedAt, "especei": Species} {
		got := matcher{}.match(text)
		require.Equal(t, []Field{want}, got.Fields, text)
		require.NotEmpty(t, got.Guess, text)
	}
	// One slip from two fields, too short, or different in a digit or a short word.
	for _, text := range []string{"frz", "gg", "temp x", "food 2", "# femals x", "n males x", "1 malex"} {
		require.Empty(t, matcher{}.match(text).Guess, text)
	}
}

// A known heading with one letter missing is either refused or taken for a field
// of that heading; never for another field, and never where two headings that
// mean different things are as near.
func TestNoSlipJumpsBetweenFields(t *testing.T) {
	guessed := 0
	for n, k := range known().keys {
		bare := strings.TrimSuffix(k, "?")
		if n%9 != 0 || len([]rune(bare)) < 5 {
			continue
		}
		for i, r := range bare {
			slip := bare[:i] + bare[i+len(string(r)):]
			if strings.Join(strings.Fields(slip), " ") != slip {
				continue // a whole word is gone, not a letter of one
			}
			if m, taken := known().misspelt(slip); taken != "" && mendable(key(slip), bare) && len(known().exact(slip)) == 0 {
				guessed++
				require.True(t, sameFields(m, known().meanings[k]), "%q, which is %q with a letter missing, is taken for %q", slip, k, taken)
			}
		}
	}
	require.Greater(t, guessed, 1000)
}

func TestTheLanguageOfMostHeadingsDecides(t *testing.T) {
	german := MatchRow([]string{"Becken", "Art", "angesetzt am", "LF", "W"})
	require.ElementsMatch(t, []Field{Conductivity, LiveFood}, german[3].Fields)
	require.Equal(t, []Field{Females}, german[4].Fields)
	french := MatchRow([]string{"bac", "espèce", "date de ponte", "°f"})
	require.Equal(t, []Field{GH}, french[3].Fields)
	english := MatchRow([]string{"tank", "species", "spawn date", "°F"})
	require.Equal(t, []Field{Temperature}, english[3].Fields)
	require.Equal(t, "[degF]", english[3].Unit.Code)
	open := MatchRow([]string{"pH", "GH", "°F"})
	require.ElementsMatch(t, []Field{Temperature, GH}, open[2].Fields)
	require.Empty(t, MatchRow([]string{"", "tank"})[0].Fields)
}

func TestTotals(t *testing.T) {
	for _, text := range []string{"Total", "total:", "Summe", "SUMME 2024", "Ø", "Σ", "moyenne", "Promedio", "Mittelwert", "sous-total", "Average"} {
		require.True(t, IsTotal(text), text)
	}
	for _, text := range []string{"", "o", "O", "Danio rerio", "tot", "Becken 1", "2024", "total loss of eggs"} {
		require.False(t, IsTotal(text), text)
	}
}

func TestFieldsKnowTheirNames(t *testing.T) {
	names := Names()
	require.Len(t, names, len(declared))
	for _, n := range names {
		f, ok := Lookup(n)
		require.True(t, ok, n)
		require.Equal(t, n, f.String())
	}
	for _, n := range []string{"", "temp", string(OwnAnswer), "Species"} {
		_, ok := Lookup(n)
		require.False(t, ok, n)
	}
	require.Equal(t, KindYesNo, OwnAnswer.Kind())
	require.Equal(t, KindMeasure, OwnNumber.Kind())
	require.Equal(t, KindText, None.Kind())
	require.Equal(t, KindDate, HatchDate.Kind())
}

func TestFallingHeadings(t *testing.T) {
	for text, want := range map[string]bool{"refill cooler by": true, "Frischwasser kälter um": true, "eau neuve plus froide de": true, "agua nueva más fría en": true, "level lowered by": true,
		"pressure drop": true, "Luftdruckabfall": true, "baisse de pression": true, "refill difference": false, "pressure change": false, "level change": false, "level raised by": false, "Frischwasser minus Becken": false} {
		got := matcher{}.match(text)
		require.Len(t, got.Fields, 1, text)
		require.Equal(t, want, falls(got.Fields[0], text), text)
	}
}
