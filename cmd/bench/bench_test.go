package main

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The tests need no R.

// Turns start this program anew; in the tests that is the test binary.
func TestMain(m *testing.M) {
	if len(os.Args) > 1 && (os.Args[1] == takeTurn || os.Args[1] == writeData) {
		os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
	}
	os.Exit(m.Run())
}

// The same seed gives the same bytes, another one others, and what is written can be
// read again.
func TestDataAreDeterministic(t *testing.T) {
	dir := t.TempDir()
	written := func(c comparison, seed uint64) []byte {
		f, err := c.data(200, seed)
		require.NoError(t, err, c.name)
		require.Equal(t, 200, f.rows(), c.name)
		path := filepath.Join(dir, "data")
		require.NoError(t, f.write(path))
		back, err := readFrame(path)
		require.NoError(t, err)
		require.Equal(t, f, back, c.name)
		raw, err := os.ReadFile(path)
		require.NoError(t, err)
		return raw
	}
	for _, c := range comparisons() {
		if c.lay != nil {
			continue // see TestWholePrograms
		}
		require.Equal(t, written(c, 1), written(c, 1), c.name)
		require.NotEqual(t, written(c, 1), written(c, 2), c.name)
	}
}

// Every comparison has what it needs, and its side of ours answers with finite
// numbers of different names.
func TestOursAnswers(t *testing.T) {
	file := filepath.Join(t.TempDir(), "data")
	seen := map[string]bool{}
	for _, c := range comparisons() {
		require.False(t, seen[c.name], "%s twice", c.name)
		seen[c.name] = true
		require.NotEmpty(t, c.about, c.name)
		require.NotEmpty(t, c.sizes, c.name)
		require.Equal(t, c.rival == "", c.script == "", c.name)
		require.Contains(t, tools, c.tool, c.name)
		require.Equal(t, c.lay == nil, c.make != nil, c.name)
		require.Equal(t, c.lay != nil, c.whole != nil, c.name)
		require.Equal(t, c.script != "", c.tolerance > 0 && c.floor > 0, c.name)
		require.Equal(t, c.least > 0 || c.within > 0, c.aimAt > 0, c.name)
		if c.aimAt > 0 {
			require.Contains(t, c.sizes, c.aimAt, c.name)
		}
		if c.lay != nil {
			continue // see TestWholePrograms
		}
		require.NoError(t, c.write(file, 400, 1), c.name)
		reported(t, c, file)
	}
}

// reported takes our turn and returns the numbers by name.
func reported(t *testing.T, c comparison, path string) map[string]float64 {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, report(c, path, &out), c.name)
	got, err := parseTurn(&out)
	require.NoError(t, err, c.name)
	numbers := map[string]float64{}
	for _, v := range got.values {
		require.False(t, math.IsNaN(v.value) || math.IsInf(v.value, 0), "%s: %s", c.name, v.name)
		require.NotContains(t, numbers, v.name, c.name)
		numbers[v.name] = v.value
	}
	if c.whole != nil {
		require.Positive(t, got.memory, c.name)
	}
	return numbers
}

// The comparisons of whole programs: gravid reads every row that was laid down for it,
// and the same seed lays down the same logs.
func TestWholePrograms(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, placeProgram(dir, ""))
	logs := func(path string) map[string]string {
		out := map[string]string{}
		for _, pattern := range []string{"*.?sv", "*/*.?sv"} {
			files, err := filepath.Glob(filepath.Join(path, "logs", pattern))
			require.NoError(t, err)
			for _, f := range files {
				raw, err := os.ReadFile(f)
				require.NoError(t, err)
				out[strings.TrimPrefix(f, path)] = string(raw)
			}
		}
		return out
	}
	for _, c := range comparisons() {
		if c.lay == nil {
			continue
		}
		rows := 60
		switch {
		case c.fixed:
			rows = 1
		case c.name == "read-keepers":
			rows = 12
		case c.name == "season-club":
			rows = 240 // enough to reach the last season
		}
		path, other, again := filepath.Join(dir, "data"), filepath.Join(dir, "other"), filepath.Join(dir, "again")
		require.NoError(t, c.write(path, rows, 1), c.name)
		if !c.fixed {
			require.NoError(t, c.write(again, rows, 1), c.name)
			require.NoError(t, c.write(other, rows, 2), c.name)
			require.Equal(t, logs(path), logs(again), c.name)
			require.NotEqual(t, logs(path), logs(other), c.name)
		}
		got := reported(t, c, path)
		switch {
		case strings.HasPrefix(c.name, "read-") && c.script != "":
			require.Equal(t, 60.0, got["rows"], c.name)
			require.Equal(t, float64(beginning.Unix()), got["first"], c.name)
			require.Equal(t, float64(beginning.Unix()+59*60), got["last"], c.name)
		case c.name == "read-keepers":
			require.Len(t, logs(path), 12)
			require.Equal(t, 12.0*60, got["attempts"])
			laid := 0.0 // yes and a date of laying
			for _, log := range logs(path) {
				laid += float64(len(regexp.MustCompile(`(,yes,20\d\d-|\ty\t\d+ |;ja;\d+\.)`).FindAllString(log, -1)))
			}
			require.Equal(t, laid, got["spawned"])
			require.Positive(t, got["spawned"])
		case c.name == "ask":
			require.Equal(t, 60.0, got["attempts"])
		}
		for _, p := range []string{path, other, again} {
			require.NoError(t, os.RemoveAll(p))
		}
	}
	require.Error(t, placeProgram(t.TempDir(), filepath.Join(dir, "none")))
}

func TestGrowth(t *testing.T) {
	c := comparison{name: "km"}
	small := result{comparison: c, rows: 100, ours: turns(1), rival: turns(1)}
	large := result{comparison: c, rows: 10_000, ours: turns(100), rival: turns(1e4)}
	require.Equal(t, []string{"km, 100 to 10000 rows: time goes up with the number of rows to the power of 1.00, the rival's 2.00"}, growth([]result{small, large}))
	large.rival = nil
	require.Equal(t, []string{"km, 100 to 10000 rows: time goes up with the number of rows to the power of 1.00"}, growth([]result{small, large}))
	require.Empty(t, growth([]result{small}))
	large.failure = errors.New("no disk")
	require.Empty(t, growth([]result{small, large}))
}

func TestParseTurn(t *testing.T) {
	got, err := parseTurn(strings.NewReader("version R 4.2.2 \nversion survival 3.5.3 \nseconds 0.25\nvalue coef1 -1.5\nvalue coef2 1e-3\n\n"))
	require.NoError(t, err)
	require.Equal(t, turn{seconds: 0.25, version: "survival 3.5.3", values: []value{{"coef1", -1.5}, {"coef2", 0.001}}}, got)

	got, err = parseTurn(strings.NewReader("version R 4.2.2 \nmissing lme4 \n"))
	require.NoError(t, err)
	require.Equal(t, "lme4", got.missing)

	got, err = parseTurn(strings.NewReader("seconds 1\nmemory 20.5\nvalue a 1\n"))
	require.NoError(t, err)
	require.Equal(t, 20.5, got.memory)

	for text, want := range map[string]string{
		"seconds 1\nvalue a 1\nError in glm": `unknown line "Error in glm"`,
		"seconds none\nvalue a 1":            `"none" cannot be the seconds`,
		"seconds -1\nvalue a 1":              `"-1" cannot be the seconds`,
		"seconds 1\nvalue a NA":              `value a: "NA" is not a number`,
		"seconds 1\n":                        "no time or no value was said",
		"value a 1\n":                        "no time or no value was said",
		"memory 0\n":                         `"0" cannot be the memory`,
	} {
		_, err := parseTurn(strings.NewReader(text))
		require.EqualError(t, err, want, text)
	}
}

func TestDiffers(t *testing.T) {
	rival := []value{{"a", 10}, {"b", 0.001}}
	d, worst, err := differs([]value{{"a", 10.1}, {"b", 0.003}}, rival, 0.1)
	require.NoError(t, err)
	require.InDelta(t, 0.02, d, 1e-12) // b: 0.002 of the floor 0.1; a: 0.1 of 10
	require.Equal(t, "b", worst)
	_, _, err = differs(rival[:1], rival, 0.1)
	require.EqualError(t, err, "ours gave 1 numbers, the rival 2")
	_, _, err = differs([]value{{"a", 1}, {"c", 1}}, rival, 0.1)
	require.EqualError(t, err, "number 2 is c of ours and b of the rival's")
	_, _, err = differs([]value{{"a", 1}, {"b", math.NaN()}}, rival, 0.1)
	require.EqualError(t, err, "b is NaN of ours and 0.001 of the rival's")
}

func turns(seconds ...float64) []turn {
	var out []turn
	for _, s := range seconds {
		out = append(out, turn{seconds: s, processor: s / 2, version: "survival 3.5.3", memory: 100 * s})
	}
	return out
}

// The table: medians, spreads, ratios round by round, and what stands in for a ratio.
func TestTable(t *testing.T) {
	c := comparison{name: "clogit", rival: "survival clogit", script: "x", tolerance: 1e-6, floor: 0.1, least: 5, aimAt: 1000}
	met := result{comparison: c, rows: 1000, ours: turns(0.2, 0.1, 0.4), rival: turns(2, 2.2, 1.6), difference: 2e-9}
	require.True(t, met.good())
	require.Empty(t, met.notes())
	require.Equal(t, []string{"clogit", "1000", "200 ms", "100 ms to 400 ms", "100 ms", "40", "survival clogit (survival 3.5.3)", "2 s", "1.6 s to 2.2 s", "1 s", "220", "10x", "4x to 22x", "10x", "2e-09", "1e-06", ">= 5x, met"}, met.row())

	missed := met
	missed.ours = turns(1, 1, 1)
	require.False(t, missed.good())
	require.Equal(t, []string{"clogit, 1000 rows: the aim was missed"}, missed.notes())

	other := missed // no aim at this size
	other.rows = 100
	require.True(t, other.good())
	require.Empty(t, other.row()[16])

	differ := met
	differ.difference, differ.worst = 0.5, "coef2"
	require.False(t, differ.good())
	require.Equal(t, "", differ.row()[11])
	require.Equal(t, "clogit, 1000 rows: the sides differ by 0.5 in coef2, more than 1e-06, so no ratio is given", differ.notes()[0])

	gone := result{comparison: c, rows: 1000, ours: turns(0.2), missing: "lme4", difference: math.NaN()}
	require.True(t, gone.good())
	require.Equal(t, []string{`clogit, 1000 rows: lme4 is not available here; to install it: apt-get install r-cran-lme4, or install.packages("lme4") in R`}, gone.notes())
	require.Equal(t, ">= 5x", gone.row()[16])

	failed := result{comparison: c, rows: 1000, failure: errors.New("no disk")}
	require.False(t, failed.good())
	require.Equal(t, []string{"clogit, 1000 rows: no disk"}, failed.notes())

	alone := result{comparison: comparison{name: "huge", within: 3 * time.Second, aimAt: 10}, rows: 10, ours: turns(2)}
	require.True(t, alone.good())
	require.Equal(t, "< 3s, met", alone.row()[16])
	alone.ours = turns(4)
	require.False(t, alone.good())

	var plain, markdown bytes.Buffer
	writeTable(&plain, []result{met, gone}, false)
	require.Equal(t, 4, strings.Count(plain.String(), "\n"))
	writeTable(&markdown, []result{met}, true)
	for _, line := range strings.Split(strings.TrimSpace(markdown.String()), "\n") {
		require.Equal(t, len(headings)+1, strings.Count(line, "|"), line)
	}
}

func TestMedian(t *testing.T) {
	require.Equal(t, 2.0, median([]float64{3, 1, 2}))
	require.Equal(t, 2.5, median([]float64{4, 1, 3, 2}))
	require.Zero(t, median(nil))
	require.Equal(t, "12.3 us", writeTime(1.2345e-5))
}

func TestCommandLine(t *testing.T) {
	for _, c := range []struct {
		args string
		want string
	}{
		{"--only nothing", `--only: no comparison is called "nothing"`},
		{"--sizes 1.5", `"1.5" is not a whole number of rows`},
		{"--sizes many", `"many" is not a whole number of rows`},
		{"--rounds 0", "--rounds must be at least 1"},
		{"glm", `unknown argument "glm"`},
	} {
		var out, talk bytes.Buffer
		require.Equal(t, 2, run(strings.Fields(c.args), &out, &talk), c.args)
		require.Contains(t, talk.String(), c.want)
		require.Empty(t, out.String())
	}
	var out, talk bytes.Buffer
	require.Equal(t, 0, run([]string{"--list", "--only", "clogit"}, &out, &talk))
	require.Contains(t, out.String(), "clogit-trigger")
	require.NotContains(t, out.String(), "glmer")
	s, err := parse(strings.Fields("--sizes 1e3,20000 --only glm,meta --rounds 7 --markdown --seed 3"), &talk)
	require.NoError(t, err)
	require.Equal(t, settings{only: []string{"glm", "meta"}, rounds: 7, sizes: []int{1000, 20000}, seed: 3, markdown: true}, s)
}

// Without R on the path the table is made all the same, and says how to install it.
// Our turns run in processes of their own, whose memory is told.
func TestWithoutR(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	var out, talk bytes.Buffer
	require.Equal(t, 0, run(strings.Fields("--only glm,meta --sizes 200 --rounds 2"), &out, &talk), talk.String())
	require.Contains(t, out.String(), "R is not available here; to install it: apt-get install r-base")
	require.Contains(t, out.String(), "glm (not available here)")
	c := comparisons()[0]
	file := filepath.Join(t.TempDir(), "data")
	require.NoError(t, makeData(c, file, 200, 1))
	got, err := takeOurs(c, file)
	require.NoError(t, err)
	require.Positive(t, got.memory)
	require.Positive(t, got.seconds)
	require.Error(t, makeData(c, filepath.Join(t.TempDir(), "no", "such", "folder"), 200, 1))
}

func TestFrameRefusals(t *testing.T) {
	dir := t.TempDir()
	for text, want := range map[string]string{
		"":            "no line of names",
		"x\n":         "the line of names is",
		"none x\n":    `"none" is not a number of rows`,
		"3 x\n1234":   "column x",
		"0 x\n":       `"0" is not a number of rows`,
		"1 x y\n1234": "column x",
	} {
		path := filepath.Join(dir, "data")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
		_, err := readFrame(path)
		require.ErrorContains(t, err, want, text)
	}
	require.Error(t, frame{}.check())
	require.Error(t, frame{[]string{"a b"}, [][]float64{{1}}}.check())
	require.Error(t, frame{[]string{"a", "b"}, [][]float64{{1}, {1, 2}}}.check())
}
