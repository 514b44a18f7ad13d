package federation_test

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/club/federation"
)

var start = time.Date(2023, 12, 30, 22, 0, 0, 0, time.UTC)

func at(hours int) club.When { return club.Some(start.Add(time.Duration(hours) * time.Hour)) }

// secrets are words that must be nowhere in a federation: keepers, tanks, places, logs,
// and what people wrote in their own words.
var secrets = []string{"Annegret", "Balthasar", "Kellerregal", "Winkelhausen", "Laichheft", "chatty remark", "grandmother", "oakleaf", "our_own"}

// ourClub lays down a club with a row of every kind, and enough readings for several row
// groups and three years.
func ourClub(t *testing.T) *club.Club {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, club.ConfigFile), []byte(`name = "Fischfreunde Süßwinkel e.V."
time_zone = "Europe/Vienna"
[home]
"Annegret" = "Winkelhausen"
[[trigger]]
code = "our-own"
name = "our own"
kind = "yes-no"
`), 0o666))
	c, err := club.Open(dir)
	require.NoError(t, err)
	t.Cleanup(func() { c.Close() })
	source := club.Source{File: "Annegret/Laichheft.csv", Sheet: "Laichheft", Row: 7}
	tables := club.Tables{
		Attempts: []club.Attempt{
			{ID: "Annegret-1", Keeper: "Annegret", System: "Kellerregal 1", Species: "Danio rerio", SpeciesAsWritten: "grandmother's danios", Began: at(0), Ended: at(300), Spawned: club.Some(false), TemperatureC: club.Some(24.5), Males: club.Some(int64(3)), Notes: "chatty remark", Source: source, Own: map[string]club.Number{"our_own": club.Some(1.0)}},
			{ID: "Annegret-2", Keeper: "Annegret", System: "Kellerregal 1", Species: "Danio rerio", Began: at(400), Spawned: club.Some(true), SpawnedAt: at(410), Source: source},
			{ID: "Balthasar-1", Keeper: "Balthasar", System: "Kellerregal 1", Species: "Danio rerio", Source: source},
		},
		Clutches: []club.Clutch{{ID: "cl-1", AttemptID: "Annegret-2", Keeper: "Annegret", System: "Kellerregal 1", Species: "Danio rerio", LaidTo: at(410), Eggs: club.Some(int64(120)), EggsMethod: "counted", HatchAid: "oakleaf", Loss: "fungus", Notes: "chatty remark", Source: source}},
		Actions:  []club.Action{{Keeper: "Balthasar", System: "Kellerregal 1", At: at(5), Action: "water_change", Amount: club.Some(30.0), Unit: "%", Source: source}},
		Sources:  []club.SourceSheet{{File: source.File, Sheet: source.Sheet}},
	}
	for h := range 20_000 {
		tables.Readings = append(tables.Readings, club.Reading{Keeper: "Annegret", Place: "Winkelhausen", At: at(h), Quantity: "air_pressure_hpa", Value: club.Some(1000 + float64(h%37)/8), Source: source})
	}
	tables.Readings = append(tables.Readings, club.Reading{Keeper: "Balthasar", System: "Kellerregal 1", Quantity: "ph", Source: source})
	x, err := c.Begin()
	require.NoError(t, err)
	require.NoError(t, x.Replace(tables))
	require.NoError(t, x.Close())
	return c
}

func files(t *testing.T, dir string) map[string][]byte {
	all := map[string][]byte{}
	require.NoError(t, filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			rel, _ := filepath.Rel(dir, name)
			all[filepath.ToSlash(rel)], err = os.ReadFile(name)
		}
		return err
	}))
	return all
}

func reader(all map[string][]byte) federation.ReadFile {
	return func(name string) ([]byte, error) {
		if b, found := all[name]; found {
			return b, nil
		}
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
}

const folder = "club=fischfreunde-susswinkel-e-v"

// readAll reads all rows of a club's folder.
func readAll(t *testing.T, all map[string][]byte) (club.Tables, error) {
	m, err := federation.ReadManifest(reader(all), folder)
	if err != nil {
		return club.Tables{}, err
	}
	var out club.Tables
	for _, f := range m.Files {
		next := int64(0)
		err := m.Read(reader(all), f, func(first int64, part *club.Tables) error {
			require.Equal(t, next, first, f.Path)
			next += int64(len(part.Attempts) + len(part.Clutches) + len(part.Readings) + len(part.Actions))
			out.Attempts, out.Clutches = append(out.Attempts, part.Attempts...), append(out.Clutches, part.Clutches...)
			out.Readings, out.Actions = append(out.Readings, part.Readings...), append(out.Actions, part.Actions...)
			return nil
		})
		if err != nil {
			return out, err
		}
	}
	return out, nil
}

// TestRoundTrip: what is read is what was exported, under pseudonyms, in order, by year.
func TestRoundTrip(t *testing.T) {
	c, dir := ourClub(t), t.TempDir()
	m, err := federation.Export(c, dir)
	require.NoError(t, err)
	all := files(t, dir)
	require.Equal(t, []string{
		folder + "/_club.json",
		folder + "/year=2023/actions.parquet", folder + "/year=2023/attempts.parquet", folder + "/year=2023/readings.parquet",
		folder + "/year=2024/attempts.parquet", folder + "/year=2024/clutches.parquet", folder + "/year=2024/readings.parquet",
		folder + "/year=2025/readings.parquet", folder + "/year=2026/readings.parquet",
		folder + "/year=__HIVE_DEFAULT_PARTITION__/attempts.parquet", folder + "/year=__HIVE_DEFAULT_PARTITION__/readings.parquet",
	}, slices.Sorted(maps.Keys(all)))

	names, err := federation.NamesOf(c.Root())
	require.NoError(t, err)
	require.Equal(t, map[string]string{names.Keeper("Annegret"): names.Place("Winkelhausen")}, m.Home)
	tables, err := c.Load()
	require.NoError(t, err)
	want := names.Hide(&tables)
	have, err := readAll(t, all)
	require.NoError(t, err)
	require.Equal(t, want, have)
	require.NotEqual(t, have.Attempts[0].System, have.Attempts[2].System, "two keepers call a tank the same")
	require.Equal(t, have.Attempts[1].ID, have.Clutches[0].AttemptID)
	require.Equal(t, have.Attempts[0].Keeper, have.Readings[0].Keeper)
	require.Equal(t, "grandmother's danios", tables.Attempts[0].SpeciesAsWritten, "the tables given are left alone")
}

// TestNobodyIsNamed looks for every secret in every byte, uncompressed text included.
func TestNobodyIsNamed(t *testing.T) {
	c, dir := ourClub(t), t.TempDir()
	_, err := federation.Export(c, dir)
	require.NoError(t, err)
	all := files(t, dir)
	have, err := readAll(t, all)
	require.NoError(t, err)
	text, err := json.Marshal(have)
	require.NoError(t, err)
	all["rows"] = text
	for name, content := range all {
		for _, s := range secrets {
			require.NotContains(t, string(content), s, name)
			require.NotContains(t, name, s)
		}
	}
	before, err := c.Load()
	require.NoError(t, err)
	text, err = json.Marshal(before)
	require.NoError(t, err)
	for _, s := range secrets {
		require.Contains(t, string(text), s, "the test looks for something that was never there")
	}
}

// TestStable: the same club gives the same bytes, and another key other pseudonyms. A new
// export replaces the folder whole.
func TestStable(t *testing.T) {
	c, dir := ourClub(t), t.TempDir()
	_, err := federation.Export(c, dir)
	require.NoError(t, err)
	first := files(t, dir)
	stale := filepath.Join(dir, folder, "year=1999")
	require.NoError(t, os.Mkdir(stale, 0o777))
	_, err = federation.Export(c, dir)
	require.NoError(t, err)
	require.Equal(t, first, files(t, dir))
	require.NoDirExists(t, stale)
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 1, "nothing is left beside the folder")

	require.NoError(t, c.Root().Remove(federation.KeyFile))
	_, err = federation.Export(c, dir)
	require.NoError(t, err)
	require.NotEqual(t, first[folder+"/year=2023/attempts.parquet"], files(t, dir)[folder+"/year=2023/attempts.parquet"])
}

// TestEndedBetweenRenames: what an ended run left is put right by the next.
func TestEndedBetweenRenames(t *testing.T) {
	c, dir := ourClub(t), t.TempDir()
	_, err := federation.Export(c, dir)
	require.NoError(t, err)
	want := files(t, dir)
	old := filepath.Join(dir, ".tmp-"+folder+"-old")
	require.NoError(t, os.Rename(filepath.Join(dir, folder), old))
	require.NoError(t, os.Mkdir(filepath.Join(dir, ".tmp-"+folder), 0o777))
	w, err := federation.NewWriter(dir, federation.Manifest{Club: "fischfreunde-susswinkel-e-v", TimeZone: "UTC"})
	require.NoError(t, err)
	require.NoError(t, w.Close())
	require.Equal(t, want, files(t, dir), "the old folder is back, the half one gone")
}

// TestNotWhatWasWritten: every byte changed, every file from elsewhere is noticed.
func TestNotWhatWasWritten(t *testing.T) {
	c, dir := ourClub(t), t.TempDir()
	_, err := federation.Export(c, dir)
	require.NoError(t, err)
	whole := files(t, dir)
	manifest := folder + "/" + federation.ManifestFile
	change := func(name string, from, to string) map[string][]byte {
		all := maps.Clone(whole)
		require.Contains(t, string(all[name]), from)
		all[name] = bytes.Replace(all[name], []byte(from), []byte(to), 1)
		return all
	}
	attempts := folder + "/year=2023/attempts.parquet"
	flipped := maps.Clone(whole)
	flipped[attempts] = slices.Clone(whole[attempts])
	flipped[attempts][100] ^= 4
	short := maps.Clone(whole)
	short[attempts] = whole[attempts][:50]
	missing := maps.Clone(whole)
	delete(missing, attempts)
	for want, all := range map[string]map[string][]byte{
		"year=2023/attempts.parquet: is not the file that was written": flipped,
		"attempts.parquet: is not the file that was written: 50 bytes": short,
		"attempts.parquet: file does not exist":                        missing,
		`says time_zone "Europe/Vienna", the manifest "UTC"`:           change(manifest, "Europe/Vienna", "UTC"),
		"version 9 of the tables, this program reads version 2":        change(manifest, `"schema_version": 2`, `"schema_version": 9`),
		`is that of the club "other"`:                                  change(manifest, `"fischfreunde-susswinkel-e-v"`, `"other"`),
		"which is no table of a year":                                  change(manifest, "year=2023/attempts.parquet", "../../attempts.parquet"),
		"has 1 rows, 2 were written":                                   change(manifest, `"rows": 1`, `"rows": 2`),
		"unknown field":                                                change(manifest, `"home"`, `"hometown"`),
	} {
		_, err := readAll(t, all)
		require.ErrorContains(t, err, want)
	}
}

// TestFilesCarryTheSchema: a file passed off as another year's or table's does not pass,
// even where manifest and checksum agree.
func TestFilesCarryTheSchema(t *testing.T) {
	c, dir := ourClub(t), t.TempDir()
	m, err := federation.Export(c, dir)
	require.NoError(t, err)
	all := files(t, dir)
	readings := m.Of(club.TableReadings)
	f := readings[0]
	other := readings[1]
	all[folder+"/"+f.Path] = all[folder+"/"+other.Path]
	f.Bytes, f.SHA256, f.Rows = other.Bytes, other.SHA256, other.Rows
	visit := func(int64, *club.Tables) error { return nil }
	require.ErrorContains(t, m.Read(reader(all), f, visit), `says year "2024", the manifest "2023"`)
	f.Table = club.TableActions
	require.ErrorContains(t, m.Read(reader(all), f, visit), "column")
}

func TestRefused(t *testing.T) {
	c, dir := ourClub(t), t.TempDir()
	foreign := filepath.Join(dir, folder)
	require.NoError(t, os.Mkdir(foreign, 0o777))
	_, err := federation.Export(c, dir)
	require.ErrorContains(t, err, "was not made by an export")
	require.DirExists(t, foreign)

	require.NoError(t, os.WriteFile(filepath.Join(c.Dir, federation.KeyFile), []byte("short"), 0o666))
	_, err = federation.Export(c, t.TempDir())
	require.ErrorContains(t, err, "is not a key of 64 hexadecimal digits")

	w, err := federation.NewWriter(t.TempDir(), federation.Manifest{Club: "x", TimeZone: "UTC"})
	require.NoError(t, err)
	defer w.Close()
	require.ErrorContains(t, w.Write(&club.Tables{Sources: make([]club.SourceSheet, 1)}), "name people")
	_, err = federation.NewWriter(t.TempDir(), federation.Manifest{Club: "../x", TimeZone: "UTC"})
	require.ErrorContains(t, err, "is no code of a club")
}

func TestClubCode(t *testing.T) {
	for name, want := range map[string]string{
		"Lindenfurt Aquarium Circle": "lindenfurt-aquarium-circle", "Fischfreunde Süßwinkel e.V.": "fischfreunde-susswinkel-e-v",
		"Érables & Poissons": "erables-poissons", "水族": "", "  A ": "a", strings.Repeat("long ", 40): strings.TrimSuffix(strings.Repeat("long-", 12), "-"),
	} {
		require.Equal(t, want, club.Config{Name: name}.ClubCode(), name)
	}
	require.Equal(t, "x-1", club.Config{Name: "Long", Code: "x-1"}.ClubCode())
	_, err := club.ParseConfig([]byte("code = \"X/1\""))
	require.ErrorContains(t, err, "club.toml:1:1")
}
