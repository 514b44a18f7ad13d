package club_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/unit"
)

var update = flag.Bool("update", false, "write golden files anew")

// TestColumns holds names, order and kinds of all columns, written by hand from
// the project's design.
func TestColumns(t *testing.T) {
	const (
		text   = "utf8"
		number = "float64"
		count  = "int64"
		truth  = "bool"
		when   = "timestamp[s, tz=UTC]"
	)
	type column struct{ name, kind string }
	source := []column{{"source_file", text}, {"source_sheet", text}, {"source_row", count}}
	want := []struct {
		table   string
		columns []column
	}{
		{"attempts", append([]column{
			{"attempt_id", text}, {"keeper", text}, {"system", text}, {"species", text}, {"species_as_written", text},
			{"began", when}, {"ended", when}, {"spawned", truth}, {"spawned_at", when}, {"males", count},
			{"females", count}, {"unsexed", count}, {"temperature_c", number}, {"ph", number},
			{"conductivity_us_cm", number}, {"gh_dh", number}, {"kh_dh", number}, {"nitrate_mg_l", number},
			{"light_hours", number}, {"conditioning_days", number}, {"live_food", truth}, {"microfauna", truth},
			{"leaf_litter", truth}, {"water_change_pct", number}, {"refill_delta_c", number},
			{"level_change_cm", number}, {"flow", truth}, {"rearranged", truth}, {"dither", truth},
			{"tank_mates", truth}, {"pressure_change_hpa", number}, {"notes", text},
		}, source...)},
		{"clutches", append([]column{
			{"clutch_id", text}, {"attempt_id", text}, {"keeper", text}, {"system", text}, {"species", text},
			{"laid_from", when}, {"laid_to", when}, {"eggs", count}, {"eggs_low", count}, {"eggs_high", count},
			{"eggs_method", text}, {"sample_fraction", number}, {"fertile", count}, {"hatched", count},
			{"free_swimming", count}, {"hatch_from", when}, {"hatch_to", when}, {"swim_from", when}, {"swim_to", when},
			{"lost_at", when}, {"loss", text}, {"last_seen", when}, {"females", count}, {"temperature_c", number},
			{"hatch_aid", text}, {"notes", text},
		}, source...)},
		{"readings", append([]column{
			{"keeper", text}, {"system", text}, {"place", text}, {"at", when}, {"quantity", text}, {"value", number},
		}, source...)},
		{"actions", append([]column{
			{"keeper", text}, {"system", text}, {"at", when}, {"action", text}, {"amount", number}, {"unit", text},
		}, source...)},
		{"problems", []column{
			{"severity", text}, {"code", text}, {"file", text}, {"sheet", text}, {"row", count}, {"column", text},
			{"value", text}, {"message", text}, {"fix", text}, {"more", count},
		}},
		{"sources", []column{
			{"file", text}, {"sha256", text}, {"bytes", count}, {"sheet", text}, {"layout", text}, {"header_row", count},
			{"rows", count}, {"used", count}, {"set_aside", count}, {"skipped", count}, {"mapping", text},
		}},
	}
	have := club.Schemas()
	require.Len(t, have, len(want))
	for i, w := range want {
		require.Equal(t, w.table, have[i].Table)
		var columns []column
		for _, f := range have[i].Arrow().Fields() {
			require.True(t, f.Nullable, "%s.%s", w.table, f.Name)
			columns = append(columns, column{f.Name, f.Type.String()})
		}
		require.Equal(t, w.columns, columns, w.table)
	}
}

// TestOwnColumns: a club's own triggers come last in attempts, and only there.
func TestOwnColumns(t *testing.T) {
	plain, extended := club.Schemas(), club.Schemas(own...)
	require.Equal(t, append(slices.Clone(plain[0].Columns), own...), extended[0].Columns)
	for i := 1; i < len(plain); i++ {
		require.Equal(t, plain[i].Columns, extended[i].Columns)
	}
}

// TestColumnsAreDescribed: every column says what it means, every number its
// unit, and terms are terms of Darwin Core.
func TestColumnsAreDescribed(t *testing.T) {
	list, err := os.ReadFile("testdata/darwin-core-terms.txt")
	require.NoError(t, err)
	terms := strings.Fields(string(list))
	require.Greater(t, len(terms), 50)
	unitBeside := []string{"readings.value", "actions.amount"} // their unit is in another column
	used := 0
	for _, s := range club.Schemas(own...) {
		require.NotEmpty(t, s.Description)
		for _, c := range s.Columns {
			name := s.Table + "." + c.Name
			require.NotEmpty(t, c.Description, name)
			require.NotContains(t, c.Description, "\n", name)
			numeric := c.Kind == club.KindNumber || c.Kind == club.KindInteger
			require.Equal(t, numeric && !slices.Contains(unitBeside, name), c.Unit != "", "unit of %s", name)
			if c.Term != "" {
				used++
				require.Contains(t, terms, strings.TrimPrefix(c.Term, "dwc:"), name)
				require.Equal(t, "http://rs.tdwg.org/dwc/terms/"+strings.TrimPrefix(c.Term, "dwc:"), c.TermIRI())
			}
		}
	}
	require.Greater(t, used, 20)
	require.Empty(t, club.Column{}.TermIRI())
}

// TestColumnUnits: quantities are stored in the canonical units of package unit.
func TestColumnUnits(t *testing.T) {
	want := map[string]unit.Quantity{
		"temperature_c": unit.Temperature, "ph": unit.Acidity, "conductivity_us_cm": unit.Conductivity, "gh_dh": unit.GH,
		"kh_dh": unit.KH, "nitrate_mg_l": unit.Concentration, "light_hours": unit.Hours, "conditioning_days": unit.Days,
		"water_change_pct": unit.Share, "refill_delta_c": unit.TempDiff, "level_change_cm": unit.Length,
		"pressure_change_hpa": unit.PressureDiff,
	}
	numbers := 0
	for _, c := range club.Schemas()[0].Columns {
		if c.Kind == club.KindNumber {
			numbers++
			require.Equal(t, unit.Canonical(want[c.Name]).Code, c.Unit, c.Name)
		}
	}
	require.Len(t, want, numbers)
}

func TestArrowMetadata(t *testing.T) {
	s := club.Schemas()[0].Arrow()
	meta := s.Metadata()
	require.Equal(t, map[string]string{"table": "attempts", "schema_version": fmt.Sprint(club.SchemaVersion), "description": club.Schemas()[0].Description}, meta.ToMap())
	field := func(name string) map[string]string {
		f, ok := s.FieldsByName(name)
		require.True(t, ok)
		return f[0].Metadata.ToMap()
	}
	require.Equal(t, map[string]string{"unit": "uS/cm", "description": "electrical conductivity of the water at 25 °C"}, field("conductivity_us_cm"))
	require.Equal(t, map[string]string{"term": "dwc:eventDate", "description": "start of the attempt"}, field("began"))
	for _, c := range club.Schemas() {
		for _, f := range c.Arrow().Fields() {
			require.NotEqual(t, arrow.DICTIONARY, f.Type.ID())
		}
	}
}

func TestFindNamesTheNearest(t *testing.T) {
	s, err := club.Find(club.Schemas(), "readings")
	require.NoError(t, err)
	require.Equal(t, "readings", s.Table)
	_, err = club.Find(club.Schemas(), "clutchs")
	require.EqualError(t, err, `there is no table "clutchs"; did you mean clutches?`)
	_, err = club.Find(club.Schemas(), "weather")
	require.EqualError(t, err, `there is no table "weather"`)
}

func TestDescribe(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, club.Describe(&b, club.Schemas(own...)))
	const golden = "testdata/columns.md"
	if *update {
		require.NoError(t, os.WriteFile(golden, b.Bytes(), 0o666))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), b.String())
}
