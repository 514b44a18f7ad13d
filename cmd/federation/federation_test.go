package main

import (
	"context"
	"encoding/csv"
	"flag"
	"io/fs"
	"maps"
	"math"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/runners/prism"
	"github.com/stretchr/testify/require"

	"gravid/analyze/catalogue"
	"gravid/analyze/exposure"
	"gravid/cmd/gravid/demo"
	"gravid/ingest"
	"gravid/ingest/club"
	"gravid/ingest/club/federation"
)

// asProgram in the environment makes the test the program itself.
const asProgram = "GRAVID_FEDERATION"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
		return
	}
	flag.Parse()
	beam.Init()
	os.Exit(m.Run())
}

const drop = "pressure-drop"

// results are the files below a folder.
func results(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	require.NoError(t, filepath.WalkDir(dir, func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			content, err := os.ReadFile(name)
			if err != nil {
				return err
			}
			rel, err := filepath.Rel(dir, name)
			all[filepath.ToSlash(rel)] = string(content)
			return err
		}
		return err
	}))
	return all
}

// sameOnAll runs the step on this machine alone and on local engines, and holds that the
// bytes are the same.
func sameOnAll(t *testing.T, from, trigger string) map[string]string {
	t.Helper()
	ctx := context.Background()
	dir := t.TempDir()
	require.NoError(t, alone(ctx, from, dir, trigger))
	want := results(t, dir)
	for name, run := range map[string]func(dir string) error{
		"prism":  func(dir string) error { return onEngine(ctx, from, dir, trigger) },
		"direct": func(dir string) error { return runOn(t, "direct", from, dir, trigger) },
	} {
		dir := t.TempDir()
		require.NoError(t, run(dir), name)
		have := results(t, dir)
		require.Equal(t, slices.Sorted(maps.Keys(want)), slices.Sorted(maps.Keys(have)), name)
		for file := range want {
			require.True(t, want[file] == have[file], "%s: %s differs", name, file)
		}
	}
	return want
}

func runOn(t *testing.T, runner, from, to, trigger string) error {
	p, s := beam.NewPipelineWithRoot()
	require.NoError(t, pipeline(context.Background(), s, from, to, trigger))
	_, err := beam.Run(context.Background(), runner, p)
	return err
}

func lines(t *testing.T, text string) [][]string {
	t.Helper()
	all, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	require.NoError(t, err)
	return all[1:]
}

// TestDemoClub: the bytes are the same on every way, and the rows those that gravid gets
// from the club's own tables, which have seen neither Parquet nor pseudonyms.
func TestDemoClub(t *testing.T) {
	dir, from := t.TempDir(), t.TempDir()
	require.NoError(t, demo.Write(dir))
	c, err := club.Open(dir)
	require.NoError(t, err)
	defer c.Close()
	_, err = ingest.Run(c, nil, time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC))
	require.NoError(t, err)
	m, err := federation.Export(c, from)
	require.NoError(t, err)

	all := sameOnAll(t, from, drop)
	require.Len(t, all, 2)
	var have []string
	for _, l := range lines(t, all["trigger="+drop+"/"+federation.Folder(m.Club)+"/days.csv"]) {
		have = append(have, strings.Join(l, ","))
	}
	want := ownRows(t, c)
	require.Equal(t, want, slices.Sorted(slices.Values(have)))

	days, known, fell := 0, 0, 0
	for _, l := range lines(t, all["trigger="+drop+"/counts.csv"]) {
		n, err := strconv.Atoi(l[5])
		require.NoError(t, err)
		days += n
		if l[3] != "" {
			known += n
		}
		if l[3] == "yes" {
			fell += n
		}
	}
	require.Equal(t, len(want), days)
	require.Greater(t, known, 1000, "there is too little to compare")
	require.Greater(t, fell, 100, "there is too little to compare")
	for _, other := range []string{"ph-fall", "conductivity-fall"} { // of the keeper's own tank
		sameOnAll(t, from, other)
	}
}

// ownRows asks the club itself, as gravid ask does, and writes the rows under pseudonyms.
func ownRows(t *testing.T, c *club.Club) []string {
	t.Helper()
	tables, err := c.Load()
	require.NoError(t, err)
	zone, err := c.Config.Location()
	require.NoError(t, err)
	r := exposure.New(&tables, exposure.Options{Zone: zone, PlaceOf: c.Config.Home})
	names, err := federation.NamesOf(c.Root())
	require.NoError(t, err)
	hidden := names.Hide(&tables)
	question, found := catalogue.Find(catalogue.Triggers(), drop)
	require.True(t, found)
	species := map[string]bool{}
	for _, a := range tables.Attempts {
		species[a.Species] = true
	}
	var out []string
	for s := range species {
		f := r.Rows(s, true)
		changes, triggers := r.Amounts(f, question), r.Values(f, question, 0)
		for i := range f.Y {
			a := hidden.Attempts[f.Attempt[i]]
			change, trigger, spawned := "", "", "no"
			if !math.IsNaN(changes[i]) {
				change = strconv.FormatFloat(changes[i], 'g', -1, 64)
			}
			if !math.IsNaN(triggers[i]) {
				trigger = map[float64]string{0: "no", 1: "yes"}[triggers[i]]
			}
			if f.Y[i] == 1 {
				spawned = "yes"
			}
			out = append(out, strings.Join([]string{s, a.Keeper, a.System, a.ID, f.Opens[i].Format("2006-01-02"), strconv.Itoa(f.Day[i]), spawned, change, trigger}, ","))
		}
	}
	slices.Sort(out)
	return out
}

// TestMadeUpFederation: several clubs in several time zones, loggers with gaps and with
// two readings in a second, keepers who read once a day or borrow another's readings.
func TestMadeUpFederation(t *testing.T) {
	from := t.TempDir()
	readings := 1_000_000
	if testing.Short() {
		readings = 150_000
	}
	require.NoError(t, makeUp(from, readings, 1))
	_, manifests, err := clubsIn(context.Background(), from)
	require.NoError(t, err)
	require.Greater(t, len(manifests), 3)
	var rows int64
	for _, m := range manifests {
		for _, f := range m.Of(club.TableReadings) {
			rows += f.Rows
		}
	}
	require.InEpsilon(t, readings, rows, 0.1)
	all := sameOnAll(t, from, drop)
	require.Len(t, all, len(manifests)+1)
	blank := map[string]int{}
	for name, text := range all {
		if strings.HasSuffix(name, "days.csv") {
			for _, l := range lines(t, text) {
				if l[8] == "" {
					blank[l[1]]++
				}
			}
		}
	}
	require.Contains(t, blank, "k06", "a logger with gaps leaves days without a change")
}

// TestEngineElsewhere: the program in a process of its own hands its job to an engine's
// server by address, over the interface that those of Flink and Spark have too.
func TestEngineElsewhere(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	spare, err := net.Listen("tcp", "localhost:0")
	require.NoError(t, err)
	port := spare.Addr().(*net.TCPAddr).Port
	require.NoError(t, spare.Close())
	_, err = prism.CreateJobServer(ctx, prism.Options{Port: port})
	require.NoError(t, err)

	from, here, there := t.TempDir(), t.TempDir(), t.TempDir()
	program(t, "", "--make-up", "5000", "--to", from)
	program(t, "", "--alone", "--from", from, "--to", here)
	elsewhere := []string{"--runner", "universal", "--endpoint", "localhost:" + strconv.Itoa(port), "--environment_type", "loopback", "--from", from, "--to", there}
	program(t, "", elsewhere...)
	require.NotEmpty(t, results(t, here))
	require.Equal(t, results(t, here), results(t, there))

	program(t, "is there already", elsewhere...)
	program(t, "no folder to write to", "--from", from)
	program(t, "no federation to read", "--to", there)
	program(t, `"x" is no flag`, "x")
}

// program runs this program, and holds that it goes well or fails with what is wanted.
func program(t *testing.T, wrong string, args ...string) {
	t.Helper()
	c := exec.Command(os.Args[0], args...)
	c.Env = append(os.Environ(), asProgram+"=1")
	out, err := c.CombinedOutput()
	if wrong == "" {
		require.NoError(t, err, string(out))
		return
	}
	require.Error(t, err)
	require.Contains(t, string(out), wrong)
}

// TestNothingAtRisk: a club without attempts, readings or both gets a table of no days.
func TestNothingAtRisk(t *testing.T) {
	from := t.TempDir()
	at := func(h int) club.When { return club.Some(time.Date(2024, 5, 1, h, 0, 0, 0, time.UTC)) }
	reading := club.Reading{Keeper: "k", Place: "p", At: at(0), Quantity: "air_pressure_hpa", Value: club.Some(1000.0)}
	attempt := club.Attempt{ID: "a", Keeper: "k", Species: "Danio rerio", Began: at(0), Ended: at(72), Spawned: club.Some(false)}
	for code, tables := range map[string]club.Tables{
		"nothing": {}, "readings": {Readings: []club.Reading{reading}}, "attempts": {Attempts: []club.Attempt{attempt}},
		"undated": {Readings: []club.Reading{{Keeper: "k", Quantity: "air_pressure_hpa", Value: reading.Value}}},
	} {
		w, err := federation.NewWriter(from, federation.Manifest{Club: code, TimeZone: "UTC"})
		require.NoError(t, err)
		require.NoError(t, w.Write(&tables))
		_, err = w.Commit()
		require.NoError(t, err)
	}
	all := sameOnAll(t, from, drop)
	require.Len(t, all, 5)
	require.Empty(t, lines(t, all["trigger=pressure-drop/club=readings/days.csv"]))
	require.Len(t, lines(t, all["trigger=pressure-drop/club=attempts/days.csv"]), 3)
	require.Equal(t, [][]string{{"attempts", "Danio rerio", "k", "", "no", "3"}}, lines(t, all["trigger=pressure-drop/counts.csv"]))
}

// TestRefused: what cannot be used is refused with its place, on every way.
func TestRefused(t *testing.T) {
	ctx := context.Background()
	from := t.TempDir()
	require.ErrorContains(t, alone(ctx, from, t.TempDir(), drop), "holds no club")
	require.NoError(t, makeUp(from, 1000, 1))
	require.ErrorContains(t, alone(ctx, from, t.TempDir(), "dry-spell"), `no trigger "dry-spell" is a fall or a rise in readings; take one of ["pressure-drop"`)
	require.ErrorContains(t, onEngine(ctx, from, t.TempDir(), "dry-spell"), `no trigger "dry-spell"`)

	to := t.TempDir()
	require.NoError(t, free(ctx, to, drop))
	require.NoError(t, alone(ctx, from, to, drop))
	require.ErrorContains(t, free(ctx, to, drop), "is there already")

	tasks, manifests, err := clubsIn(ctx, from)
	require.NoError(t, err)
	readings := manifests[0].Of(club.TableReadings)[0]
	name := filepath.Join(from, tasks[0].Folder, filepath.FromSlash(readings.Path))
	content, err := os.ReadFile(name)
	require.NoError(t, err)
	content[len(content)/2] ^= 1
	require.NoError(t, os.WriteFile(name, content, 0o666))
	want := tasks[0].Folder + "/" + readings.Path + ": is not the file that was written"
	require.ErrorContains(t, alone(ctx, from, t.TempDir(), drop), want)
	to = t.TempDir()
	require.ErrorContains(t, onEngine(ctx, from, to, drop), want)
	require.Empty(t, results(t, to), "no counts without all clubs")

	tasks[0].Manifest = strings.Repeat("0", 64)
	_, err = tasks[0].open(ctx, from)
	require.ErrorContains(t, err, "exported anew while its tables were read")
}
