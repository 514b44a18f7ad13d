package main

import (
	"bytes"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	known "gravid/ingest/species"
)

const committed = "../gravid/demo"

func made(t testing.TB, seed uint64) *demo {
	t.Helper()
	d, err := newDemo(seed)
	require.NoError(t, err)
	return d
}

// Making the demo anew gives the committed files, byte for byte, and nothing else
// lies beside them.
func TestTheCommittedDemoIsTheMadeOne(t *testing.T) {
	d := made(t, demoSeed)
	require.Len(t, d.offices, 1)
	for name, want := range d.files {
		got, err := os.ReadFile(filepath.Join(committed, filepath.FromSlash(name)))
		require.NoError(t, err)
		require.True(t, bytes.Equal(want, got), "%s differs: run go run ./cmd/makedemo", name)
	}
	for _, folder := range []string{"club", "expected"} {
		require.NoError(t, filepath.WalkDir(filepath.Join(committed, folder), func(path string, entry os.DirEntry, err error) error {
			require.NoError(t, err)
			name, err := filepath.Rel(committed, path)
			require.NoError(t, err)
			name = filepath.ToSlash(name)
			_, office := d.offices[name]
			require.True(t, entry.IsDir() || office || d.files[name] != nil, "%s is not of the demo", name)
			return nil
		}))
	}
}

// The workbook of LibreOffice has other bytes each time; its cells are those meant.
func TestTheWorkbookOfLibreOfficeHoldsWhatIsMeant(t *testing.T) {
	for name, o := range made(t, demoSeed).offices {
		workbook, err := os.ReadFile(filepath.Join(committed, filepath.FromSlash(name)))
		require.NoError(t, err)
		require.NoError(t, compare(workbook, o.sheets))
		require.Len(t, o.sheets, 3, "one a year")

		// The comparison can fail: by a value, a date, a text, a row, a sheet.
		for _, spoil := range []func(s []sheet) []sheet{
			func(s []sheet) []sheet { s[0].rows[1][8] = numeral(31.4, 1); return s },
			func(s []sheet) []sheet { s[1].rows[2][4].at = s[1].rows[2][4].at.AddDate(0, 0, 1); return s },
			func(s []sheet) []sheet { s[2].rows[0][1].text += "x"; return s },
			func(s []sheet) []sheet { s[0].rows = s[0].rows[:3]; return s },
			func(s []sheet) []sheet { return s[:2] },
		} {
			require.Error(t, compare(workbook, spoil(copied(o.sheets))))
		}
	}
}

func copied(sheets []sheet) []sheet {
	out := slices.Clone(sheets)
	for i := range out {
		out[i].rows = slices.Clone(out[i].rows)
		for r := range out[i].rows {
			out[i].rows[r] = slices.Clone(out[i].rows[r])
		}
	}
	return out
}

func TestSeedsDecide(t *testing.T) {
	a, b, other := made(t, 7), made(t, 7), made(t, 8)
	require.Equal(t, slices.Sorted(maps.Keys(a.files)), slices.Sorted(maps.Keys(other.files)))
	for name := range a.files {
		require.Equal(t, a.files[name], b.files[name], name)
	}
	require.NotEqual(t, a.files[logsFolder+barometerPath], other.files[logsFolder+barometerPath])
	require.NotEqual(t, a.files["expected/attempts.csv"], other.files["expected/attempts.csv"])
}

func TestRunRefusesAnotherFolder(t *testing.T) {
	dir := t.TempDir()
	require.ErrorContains(t, run(dir, demoSeed), "not the folder of package demo")
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Empty(t, entries)
}

// A demo of an earlier day leaves nothing behind.
func TestRemoveOthers(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"club/logs/old/old.csv", "club/logs/kept.csv", "expected/old.csv", "demo.go"} {
		path := filepath.Join(dir, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, nil, 0o600))
	}
	require.NoError(t, removeOthers(dir, map[string][]byte{"club/logs/kept.csv": nil}))
	require.NoFileExists(t, filepath.Join(dir, "club", "logs", "old", "old.csv"))
	require.NoFileExists(t, filepath.Join(dir, "expected", "old.csv"))
	require.FileExists(t, filepath.Join(dir, "club", "logs", "kept.csv"))
	require.FileExists(t, filepath.Join(dir, "demo.go"))
}

// Where days and months are both numbers, every column of dates of a log has a
// day beyond 12, so that nobody has to guess which is which.
func TestDatesCanBeTold(t *testing.T) {
	checked := 0
	for _, l := range made(t, demoSeed).logs {
		if !slices.Contains([]string{"Bastian Ohlrogge/Zuchtprotokoll.csv", "Zuchtbuch 2023-2025.csv", "Harlan Whitcombe/spawn_log.csv"}, l.book.path) {
			continue
		}
		for i, c := range l.book.columns {
			dates, beyond := 0, 0
			for _, s := range l.sheets {
				for _, r := range s.rows {
					if i < len(r) && (r[i].kind == date || r[i].kind == minute) {
						dates++
						beyond += int(oneIf(r[i].at.Day() > 12))
					}
				}
			}
			if dates > 0 {
				checked++
				require.Positive(t, beyond, "%s, %s: %d dates", l.book.path, c.head, dates)
			}
		}
	}
	require.Equal(t, 6+6+6, checked)
}

// The expected tables speak of columns that the tables have.
func TestExpectedColumnsAreOfTheTables(t *testing.T) {
	schemas := club.Schemas()
	for table, fields := range map[string][]string{club.TableAttempts: attemptFields, club.TableClutches: clutchFields} {
		s, err := club.Find(schemas, table)
		require.NoError(t, err)
		var names []string
		for _, c := range s.Columns {
			names = append(names, c.Name)
		}
		require.Subset(t, names, slices.Concat(fields, placeFields))
	}
}

// Every expected value is of its kind, and every row of a log that holds a record
// is expected once.
func TestExpectedRows(t *testing.T) {
	d := made(t, demoSeed)
	require.Len(t, d.logs, 11)
	n := 0
	for _, l := range d.logs {
		last := map[string]int{}
		for _, r := range l.rows {
			n++
			require.Equal(t, l.book.path, r.file)
			require.Greater(t, r.number, last[r.sheet], "%s %s", r.file, r.sheet)
			last[r.sheet] = r.number
			for _, f := range []string{fieldKeeper, fieldSystem, fieldSpecies, fieldAsWritten, fieldBegan} {
				require.NotEmpty(t, r.values[f], "%s row %d: %s", r.file, r.number, f)
			}
			require.Equal(t, r.attempt.sp.Name, r.values[fieldSpecies])
			require.Equal(t, r.clutch, r.values[fieldSpawned] == "true")
			require.NotContains(t, r.values, fieldRefillTemperature)
			for f := range r.values {
				require.True(t, slices.Contains(attemptFields, f) || r.clutch && slices.Contains(clutchFields, f), "%s row %d: %s", r.file, r.number, f)
			}
		}
	}
	require.Equal(t, d.truth.Counts.Attempts, n)
}

// What is written is what is expected: spot checks of one cell of each unit that
// needs a conversion, worked out here from the cell that stands in the log.
func TestExpectedUnits(t *testing.T) {
	d := made(t, demoSeed)
	for _, c := range []struct {
		path, head, field string
		canonical         func(float64) float64
	}{
		{"Harlan Whitcombe/spawn_log.csv", "Temp (°F)", fieldTemperature, func(v float64) float64 { return (v - 32) / 1.8 }},
		{"Harlan Whitcombe/spawn_log.csv", "Refill Difference (°F)", fieldRefill, func(v float64) float64 { return v / 1.8 }},
		// 29.92 inHg = 1013.21 hPa, the usual rounding of the standard atmosphere: 33.8639 hPa to the inch.
		{"Harlan Whitcombe/spawn_log.csv", "Baro Change (inHg)", fieldPressure, func(v float64) float64 { return v * 33.8639 }},
		// One German degree is 17.848 mg/L of CaCO3 (common tables of hardness).
		{"Harlan Whitcombe/spawn_log.csv", "GH (ppm)", fieldGH, func(v float64) float64 { return v / 17.848 }},
		{"Ines Quellmalz/attempts.txt", "conductivity (mS/cm)", fieldConductivity, func(v float64) float64 { return 1000 * v }},
		{"Ines Quellmalz/attempts.txt", "conditioning (weeks)", fieldConditioning, func(v float64) float64 { return 7 * v }},
		{"Falk Morgenroth/Laichbuch.xlsx", "Wasserwechsel", fieldWaterChange, func(v float64) float64 { return 100 * v }},
	} {
		found := 0
		for _, l := range d.logs {
			if l.book.path != c.path {
				continue
			}
			at := slices.IndexFunc(l.book.columns, func(x column) bool { return x.head == c.head })
			require.GreaterOrEqual(t, at, 0)
			for _, r := range l.rows {
				x := l.sheets[0].rows[r.number-1][at]
				if x.kind == number || x.kind == share {
					found++
					require.InDelta(t, c.canonical(x.number), number64(r.values[c.field]), 1e-3, "%s, row %d", c.head, r.number)
				}
			}
		}
		require.Greater(t, found, 10, c.head)
	}
}

// Blemishes stand where the truth says.
func TestBlemishesStandWhereTheTruthSays(t *testing.T) {
	d := made(t, demoSeed)
	kinds := map[string]int{}
	for _, b := range d.truth.Blemishes {
		kinds[b.Kind]++
		if b.Column == "" || b.File == loggerPath {
			continue
		}
		for _, l := range d.logs {
			if l.book.path != b.File {
				continue
			}
			at := slices.IndexFunc(l.book.columns, func(c column) bool { return c.head == b.Column })
			require.Equal(t, b.Written, l.book.readable.write(l.sheets[0].rows[b.Row-1][at]))
			require.NotEqual(t, b.Written, b.Meant)
		}
	}
	lines := strings.Split(string(d.files[logsFolder+loggerPath]), "\n")
	for _, b := range d.truth.Blemishes {
		if b.File == loggerPath {
			require.True(t, strings.HasSuffix(lines[b.Row-1], ","+b.Written), lines[b.Row-1])
		}
	}
	require.Equal(t, map[string]int{"title row": 3, "blank row": 4, "total row": 1, "repeated row": 1, "impossible value": 2, "misspelt species": 1, "date in the future": 1, "sensor fault": 3}, kinds)
}

// Windows-1252 has no letter that the log needs and lacks, and no log holds a
// byte that its encoding does not have.
func TestEncodings(t *testing.T) {
	d := made(t, demoSeed)
	german := d.files[logsFolder+"Bastian Ohlrogge/Zuchtprotokoll.csv"]
	require.Contains(t, string(german), "Zebrab\xe4rbling") // ä in Windows-1252
	require.True(t, bytes.HasPrefix(d.files[logsFolder+"Zuchtbuch 2023-2025.csv"], []byte("\xef\xbb\xbfZ\xc3\xbcchter: Corvin Weidacher\n")))
	require.True(t, bytes.HasPrefix(d.files[logsFolder+"Ines Quellmalz/attempts.txt"], []byte("\xff\xfea\x00q\x00")))
	_, err := windows1252("č")
	require.Error(t, err)
}

func TestQuoted(t *testing.T) {
	require.Equal(t, "plain", quoted("plain", ','))
	require.Equal(t, `"a, b"`, quoted("a, b", ','))
	require.Equal(t, "a, b", quoted("a, b", ';'))
	require.Equal(t, `"so ""called"""`, quoted(`so "called"`, '\t'))
}

func BenchmarkNewDemo(b *testing.B) {
	for b.Loop() {
		if _, err := newDemo(demoSeed); err != nil {
			b.Fatal(err)
		}
	}
}

// The serial of 1 January 2024 is 45292 in every spreadsheet program.
func TestSerial(t *testing.T) {
	require.InDelta(t, 45292, serial(day(365).date()), 0)
	require.True(t, math.Abs(serial(day(365).date().Add(6*3600e9))-45292.25) < 1e-9)
}

// Every name that a keeper writes for a species is known, or near enough to one
// that is, and stands for no other.
func TestSpeciesNamesAreKnown(t *testing.T) {
	names := known.New(nil)
	for _, l := range made(t, demoSeed).logs {
		for _, r := range l.rows {
			m := names.Resolve(r.values[fieldAsWritten])
			require.Equal(t, r.values[fieldSpecies], m.Accepted, "%s, row %d: %q", r.file, r.number, r.values[fieldAsWritten])
		}
	}
}
