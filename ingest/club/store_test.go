package club_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

const ownToml = `
[[trigger]]
code = "rice-hulls"
name = "rice hulls"
kind = "yes-no"
[[trigger]]
code = "tea"
name = "tea"
kind = "number"
unit = "mL"
`

// newClub makes a club folder whose club.toml declares the triggers of own.
func newClub(t testing.TB) *club.Club {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, club.ConfigFile), []byte(club.Template()+ownToml), 0o666))
	c, err := club.Open(dir)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, c.Close()) })
	return c
}

// files lists a club's files but logs and lock, with their content.
func files(t *testing.T, c *club.Club) map[string]string {
	t.Helper()
	found := map[string]string{}
	require.NoError(t, fs.WalkDir(os.DirFS(c.Dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || name == ".lock" || name == club.ConfigFile {
			return err
		}
		b, err := os.ReadFile(filepath.Join(c.Dir, name))
		found[name] = string(b)
		return err
	}))
	return found
}

func names(t *testing.T, c *club.Club) []string {
	return slices.Sorted(maps.Keys(files(t, c)))
}

func generation(n int) []string {
	list := []string{"tables/CURRENT"}
	for _, table := range []string{"actions", "attempts", "clutches", "problems", "readings", "sources"} {
		list = append(list, fmt.Sprintf("tables/gen-%06d/%s.arrow", n, table))
	}
	return list
}

func TestReplaceAndLoad(t *testing.T) {
	c := newClub(t)
	_, err := c.Load()
	require.ErrorIs(t, err, club.ErrNoTables)
	require.ErrorContains(t, err, "run gravid ingest")

	for n, want := range []club.Tables{random(10).rows(300), {}, extreme().rows(20)} {
		require.NoError(t, c.Replace(want))
		have, err := c.Load()
		require.NoError(t, err)
		require.Equal(t, want, have)
		require.Equal(t, generation(n+1), names(t, c), "only the newest generation is kept")
	}

	want := random(11).rows(40)
	require.NoError(t, c.Replace(want))
	have, err := c.Load(club.TableClutches, club.TableSources)
	require.NoError(t, err)
	require.Equal(t, club.Tables{Clutches: want.Clutches, Sources: want.Sources}, have)
	_, err = c.Load("atempts")
	require.EqualError(t, err, `there is no table "atempts"; did you mean attempts?`)

	m, err := c.Manifest()
	require.NoError(t, err)
	require.Equal(t, "gen-000004", m.Generation)
	require.Len(t, m.Tables, 6)
	for _, f := range m.Tables {
		require.Equal(t, int64(40), f.Rows)
		info, err := os.Stat(filepath.Join(c.Dir, "tables", m.Generation, f.Name))
		require.NoError(t, err)
		require.Equal(t, info.Size(), f.Bytes)
		require.Len(t, f.SHA256, 64)
	}
}

// TestStoreIsReproducible: the same tables in two clubs are the same files.
func TestStoreIsReproducible(t *testing.T) {
	a, b := newClub(t), newClub(t)
	aside := club.SetAside{File: "ana.csv", Header: []string{"x"}, Rows: [][]string{{"1"}}}
	require.NoError(t, a.Replace(random(12).rows(500), aside))
	require.NoError(t, b.Replace(random(12).rows(500), aside))
	require.Equal(t, files(t, a), files(t, b))
}

func TestEachReadings(t *testing.T) {
	c := newClub(t)
	m := random(13)
	var want []club.Reading
	for i := range club.BatchRows + 10 {
		want = append(want, club.Reading{Keeper: m.text(), Quantity: m.text(), Value: m.number(), Source: club.Source{Row: int64(i) + 1}})
	}
	require.NoError(t, c.Replace(club.Tables{Readings: want}))
	var have []club.Reading
	batches := 0
	require.NoError(t, c.EachReadings(func(rs []club.Reading) error {
		batches++
		have = append(have, rs...)
		return nil
	}))
	require.Equal(t, 2, batches)
	require.Equal(t, want, have)

	stop := errors.New("enough")
	require.Equal(t, stop, c.EachReadings(func([]club.Reading) error { return stop }))
}

// TestUnstorableLeavesOldTables: an error while writing leaves the old tables
// and nothing else.
func TestUnstorableLeavesOldTables(t *testing.T) {
	c := newClub(t)
	require.NoError(t, c.Replace(random(14).rows(20)))
	before := files(t, c)
	bad := random(15).rows(20)
	bad.Sources[7].Mapping = "\xff"
	require.ErrorContains(t, c.Replace(bad), "table sources: row 8, column mapping")
	require.Equal(t, before, files(t, c))
}

// TestDamage: a table that is not what was written is refused by name, before
// anything in it is decoded: not one of 200 flipped bits gives rows.
func TestDamage(t *testing.T) {
	c := newClub(t)
	require.NoError(t, c.Replace(random(16).rows(50)))
	name := filepath.Join(c.Dir, "tables", "gen-000001", "attempts.arrow")
	whole, err := os.ReadFile(name)
	require.NoError(t, err)
	other, err := os.ReadFile(filepath.Join(filepath.Dir(name), "clutches.arrow"))
	require.NoError(t, err)

	broken := func(what string, content []byte, reason string) {
		t.Helper()
		require.NoError(t, os.WriteFile(name, content, 0o666))
		have, err := c.Load()
		require.ErrorIs(t, err, club.ErrDamaged, what)
		var fault *club.Fault
		require.ErrorAs(t, err, &fault)
		require.Equal(t, "tables/gen-000001/attempts.arrow", fault.Path, what)
		require.Contains(t, fault.What, reason, what)
		require.Contains(t, fault.Fix, "gravid ingest", what)
		require.Equal(t, club.Tables{}, have, what)
		_, err = c.Load(club.TableClutches)
		require.NoError(t, err, "other tables can still be read")
	}
	for i := range 200 {
		flipped := bytes.Clone(whole)
		flipped[i*len(whole)/200] ^= 1 << (i % 8)
		broken("flipped bit", flipped, "SHA-256 differs")
	}
	broken("truncated", whole[:len(whole)-1], "bytes")
	broken("empty", nil, "has 0 bytes")
	broken("grown", append(bytes.Clone(whole), 0), "bytes")
	broken("another table", other, "bytes")
	broken("rubbish of the right size", bytes.Repeat([]byte("x"), len(whole)), "SHA-256 differs")
	require.NoError(t, os.Remove(name))
	_, err = c.Load()
	require.ErrorIs(t, err, club.ErrDamaged)
	require.ErrorContains(t, err, "attempts.arrow: is missing")

	require.NoError(t, c.Replace(random(16).rows(50)), "ingesting again mends it")
	_, err = c.Load()
	require.NoError(t, err)
}

// TestDamagedManifest: no change of tables/CURRENT goes unnoticed.
func TestDamagedManifest(t *testing.T) {
	c := newClub(t)
	require.NoError(t, c.Replace(random(17).rows(5)))
	name := filepath.Join(c.Dir, "tables", "CURRENT")
	whole, err := os.ReadFile(name)
	require.NoError(t, err)
	refused := 0
	for i := range whole {
		changed := bytes.Clone(whole)
		changed[i] ^= 4
		require.NoError(t, os.WriteFile(name, changed, 0o666))
		m, err := c.Manifest()
		if err != nil {
			refused++
			require.True(t, errors.Is(err, club.ErrDamaged) || errors.Is(err, club.ErrStale), "%v", err)
			continue
		}
		// white space may change, and nothing else
		var want club.Manifest
		require.NoError(t, json.Unmarshal(whole, &want))
		require.Equal(t, want, m)
	}
	require.Greater(t, refused, len(whole)/2)
	require.NoError(t, os.WriteFile(name, nil, 0o666))
	_, err = c.Load()
	require.ErrorContains(t, err, "tables/CURRENT: is not what was written")
	require.NoError(t, c.Replace(random(17).rows(6)), "ingesting again mends it")
	have, err := c.Load()
	require.NoError(t, err)
	require.Len(t, have.Attempts, 6)
}

// TestOtherTriggers: tables made with other triggers than club.toml now declares
// are refused, whole as they are.
func TestOtherTriggers(t *testing.T) {
	c := newClub(t)
	require.NoError(t, c.Replace(random(18).rows(5)))
	require.NoError(t, os.WriteFile(filepath.Join(c.Dir, club.ConfigFile), []byte(club.Template()), 0o666))
	changed, err := club.Open(c.Dir)
	require.NoError(t, err)
	defer changed.Close()
	_, err = changed.Load()
	require.ErrorIs(t, err, club.ErrStale)
	require.ErrorContains(t, err, "tables/gen-000001/attempts.arrow: the columns are not those of the table: rice_hulls is one too many: the program or the triggers in club.toml have changed since it was written; make the tables again with gravid ingest")
	_, err = changed.Load(club.TableReadings)
	require.NoError(t, err, "other tables do not depend on the triggers")
}

func TestSecondWriterIsRefused(t *testing.T) {
	c := newClub(t)
	first, err := c.Begin()
	require.NoError(t, err)
	_, err = c.Begin()
	require.ErrorIs(t, err, club.ErrInUse)
	require.ErrorContains(t, err, fmt.Sprintf("in use by process %d", os.Getpid()))
	require.ErrorIs(t, c.Replace(club.Tables{}), club.ErrInUse)
	require.NoError(t, first.Replace(random(19).rows(3)))
	_, err = c.Load()
	require.NoError(t, err, "reading needs no lock")
	require.NoError(t, first.Close())
	require.NoError(t, c.Replace(club.Tables{}))
}

// TestLeftovers: what a killed run leaves behind is cleared away by the next
// writer, wherever it was killed.
func TestLeftovers(t *testing.T) {
	c := newClub(t)
	want := random(20).rows(10)
	aside := club.SetAside{File: "ana/log.csv", Header: []string{"a"}, Rows: [][]string{{"1"}}}
	require.NoError(t, c.Replace(want, aside))
	clean := files(t, c)
	write := func(name string) {
		path := filepath.Join(c.Dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
		require.NoError(t, os.WriteFile(path, []byte("torn"), 0o666))
	}
	write("tables/.tmp-gen-000002/attempts.arrow") // while writing the tables
	write("tables/gen-000002/attempts.arrow")      // before CURRENT named them
	write("tables/.tmp-4711-0")                    // while writing CURRENT
	write("sources/.tmp-4711-0")
	write("set-aside/ana/.tmp-4711-0")
	have, err := c.Load()
	require.NoError(t, err)
	require.Equal(t, want, have, "readers do not mind")

	x, err := c.Begin()
	require.NoError(t, err)
	require.Equal(t, clean, files(t, c))
	require.NoError(t, x.Close())

	// killed after CURRENT named the new tables, before the set-aside files were
	// put in their place
	require.NoError(t, c.Replace(want, aside))
	from := filepath.Join(c.Dir, "tables", "gen-000002", "set-aside", "ana")
	require.NoError(t, os.MkdirAll(from, 0o777))
	published := filepath.Join(c.Dir, "set-aside", "ana", "log.csv.csv")
	require.NoError(t, os.Rename(published, filepath.Join(from, "log.csv.csv")))
	x, err = c.Begin()
	require.NoError(t, err)
	require.NoError(t, x.Close())
	b, err := os.ReadFile(published)
	require.NoError(t, err)
	require.Equal(t, "a\r\n1\r\n", string(b))
}

// TestReadersSeeOneGeneration reads while generations come and go: a reader
// always gets one of them whole.
func TestReadersSeeOneGeneration(t *testing.T) {
	c := newClub(t)
	tables := func(n int) club.Tables {
		rows := emptyRows(n + 1)
		for i := range n + 1 {
			rows.Attempts[i].ID, rows.Clutches[i].ID = fmt.Sprint(n), fmt.Sprint(n)
		}
		return rows
	}
	require.NoError(t, c.Replace(tables(0)))
	ctx, stop := context.WithCancel(t.Context())
	var readers sync.WaitGroup
	seen := make([]int, 2)
	for r := range seen {
		readers.Go(func() {
			for ctx.Err() == nil {
				have, err := c.Load()
				if err != nil {
					t.Errorf("load: %v", err)
					return
				}
				n := len(have.Attempts)
				if len(have.Clutches) != n || have.Attempts[n-1].ID != fmt.Sprint(n-1) || have.Clutches[0].ID != fmt.Sprint(n-1) {
					t.Errorf("a mixture: %d attempts of generation %s, %d clutches", n, have.Attempts[0].ID, len(have.Clutches))
				}
				seen[r]++
			}
		})
	}
	for n := range 15 {
		require.NoError(t, c.Replace(tables(n)))
	}
	stop()
	readers.Wait()
	require.Positive(t, seen[0]+seen[1])
}

// TestKilled kills a process that replaces the tables again and again, at any
// moment: the tables are always one generation whole, and the next writer finds
// the folder usable.
func TestKilled(t *testing.T) {
	if dir := os.Getenv("GRAVID_TEST_REPLACE"); dir != "" {
		replaceForever(dir)
	}
	c := newClub(t)
	require.NoError(t, c.Replace(generationRows(0)))
	for kill := range 12 {
		cmd := exec.Command(os.Args[0], "-test.run=^TestKilled$")
		cmd.Env = append(os.Environ(), "GRAVID_TEST_REPLACE="+c.Dir)
		out, err := cmd.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, cmd.Start())
		_, err = out.Read(make([]byte, 1)) // it has begun
		require.NoError(t, err)
		time.Sleep(time.Duration(kill*3) * time.Millisecond) // any moment will do
		require.NoError(t, cmd.Process.Kill())
		require.Error(t, cmd.Wait())

		have, err := c.Load()
		require.NoError(t, err)
		require.Equal(t, generationRows(len(have.Readings)), have)
		require.NoError(t, c.Replace(generationRows(kill)))
		require.Len(t, names(t, c), 7, "leftovers are gone")
	}
}

// generationRows makes tables whose every value says which generation they are.
func generationRows(n int) club.Tables {
	return club.Tables{
		Attempts: slices.Repeat([]club.Attempt{{ID: fmt.Sprint(n), Notes: strings.Repeat("x", 1000)}}, n),
		Readings: slices.Repeat([]club.Reading{{Keeper: fmt.Sprint(n), Value: club.Some(float64(n))}}, n),
	}
}

func replaceForever(dir string) {
	c, err := club.Open(dir)
	for n := 1; err == nil; n++ {
		rows := generationRows(n % 50)
		err = c.Replace(rows)
		fmt.Print(".")
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

func TestOpen(t *testing.T) {
	_, err := club.Open(filepath.Join(t.TempDir(), "nowhere"))
	require.ErrorIs(t, err, fs.ErrNotExist)
	require.ErrorContains(t, err, "there is no such folder")
	empty := t.TempDir()
	_, err = club.Open(empty)
	require.ErrorIs(t, err, club.ErrNoClub)
	require.ErrorContains(t, err, "it has no club.toml")
}

// TestPathsStayInside: links in the folder cannot lead writing or reading out of
// it.
func TestPathsStayInside(t *testing.T) {
	outside := filepath.Join(t.TempDir(), "outside")
	require.NoError(t, os.Mkdir(outside, 0o777))
	for _, name := range []string{"tables", "sources", "set-aside", ".lock"} {
		c := newClub(t)
		require.NoError(t, os.Symlink(outside, filepath.Join(c.Dir, name)))
		require.ErrorContains(t, c.Replace(random(21).rows(1)), "path escapes", name)
	}
	entries, err := os.ReadDir(outside)
	require.NoError(t, err)
	require.Empty(t, entries)
}
