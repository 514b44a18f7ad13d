//go:build linux

package main

import (
	"bytes"
	"maps"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The harness must stay small; see peakMemory.
func TestMain(m *testing.M) {
	debug.SetMemoryLimit(harnessMemory)
	os.Exit(m.Run())
}

// quick are the checks that take seconds. With GRAVID_FAULTS=all the test runs all of
// them, which takes minutes of two processors.
var quick = []string{"twice", "damaged-table", "no-right"}

func checksOfTest() []check {
	if os.Getenv("GRAVID_FAULTS") == "all" {
		return slices.DeleteFunc(slices.Clone(checks), func(c check) bool { return c.asked })
	}
	return slices.DeleteFunc(slices.Clone(checks), func(c check) bool { return !slices.Contains(quick, c.name) })
}

// Every check runs with few rounds, and finds the known faults and no others. What
// cannot be made on this machine is logged, with the reason.
func TestChecks(t *testing.T) {
	checks := checksOfTest()
	require.NotEmpty(t, checks)
	var unseen []string
	for name := range known {
		of, _, _ := strings.Cut(name, "/")
		if slices.ContainsFunc(checks, func(c check) bool { return c.name == of }) {
			unseen = append(unseen, name)
		}
	}
	var all []finding
	t.Cleanup(func() {
		var tally bytes.Buffer
		printTally(&tally, all)
		t.Log(tally.String())
	})
	results := make([][]finding, len(checks))
	t.Run("run", func(t *testing.T) {
		for i, c := range checks {
			t.Run(c.name, func(t *testing.T) {
				t.Parallel()
				var out bytes.Buffer
				found, err := runAll(t.Context(), []check{c}, settings{rounds: roundsInTest(c.name), seed: 1}, &out)
				require.NoError(t, err, out.String())
				require.NotEmpty(t, found)
				results[i] = found
			})
		}
	})
	all = slices.Concat(results...)
	for _, f := range all {
		name := f.check + "/" + f.name
		var text bytes.Buffer
		f.print(&text)
		switch _, isKnown := known[name]; {
		case f.verdict == notTried:
			t.Logf("not tried: %s: %s", name, f.found)
		case f.verdict == fault && !isKnown:
			t.Errorf("a new fault:\n%s", text.String())
		case f.verdict == held && isKnown:
			t.Errorf("%s is mended; take it from the list in known.go", name)
		}
		unseen = slices.DeleteFunc(unseen, func(u string) bool { return u == name })
	}
	require.Empty(t, unseen, "known faults that no check looks for")
}

// roundsInTest is the number of kills that the program's promise is held to here,
// and as few of other things as say something.
func roundsInTest(name string) int {
	if strings.HasPrefix(name, "kill") {
		return 20
	}
	return 8
}

// The harness sees what it is there to see.
func TestHarnessCanFail(t *testing.T) {
	b := &bench{out: &bytes.Buffer{}, check: "c"}
	x := b.try("n", "d", "e")
	x.mind("somewhere", "")
	x.end("fine")
	x = b.try("n", "d", "e")
	x.mind("somewhere", "wrong")
	x.end("fine")
	b.notTried("n", "d", "no right to")
	require.Equal(t, []verdict{held, fault, notTried}, []verdict{b.found[0].verdict, b.found[1].verdict, b.found[2].verdict})

	good := outcome{args: []string{"ask"}, status: 1, stderr: "gravid: error: tables: full\nfix: make room\n"}
	require.Empty(t, good.differs(want{status: []int{1}, says: []string{"tables"}, fix: true}))
	require.Contains(t, good.differs(want{status: []int{0}}), "status 1, not [0]")
	require.Contains(t, good.differs(want{status: []int{1}, says: []string{"sources"}}), `does not say "sources"`)
	require.Contains(t, outcome{status: 1, stderr: "gravid: error: x"}.differs(want{status: []int{1}, fix: true}), "no remedy")
	require.Contains(t, outcome{status: 2, stderr: "panic: x\n\ngoroutine 1"}.differs(want{status: []int{2}}), "crashed")
	require.Contains(t, outcome{status: -1, ended: "signal: killed"}.differs(want{status: []int{-1}}), "signal: killed")
	require.Contains(t, outcome{peak: 501}.differs(want{status: []int{0}}), "501 MB")

	for text, says := range map[string]string{
		"a\x1b[31m": "U+001B", "a\u202eb": "U+202E", "a\u009bb": "U+009B", "a\xff": "0xff", "a\rb": "U+000D", "a\u061c": "U+061C",
	} {
		require.Contains(t, badText(text), says)
	}
	require.Empty(t, badText("plain, ä, 魚, \ufffd\n\ttext"))
	require.NotEmpty(t, forgedLine("x\ngravid: note: all is well\n"))
	require.NotEmpty(t, badJSON("{} {}"))
	require.Empty(t, badCSV("a,b\r\n'=1,-2.5\r\n"))
	for _, cell := range []string{"=1", "+1+x", "@x", "-2+3", "\"\t=1\""} {
		require.Contains(t, badCSV("a\r\n"+cell+"\r\n"), "like a formula", cell)
	}
	require.Empty(t, badPage(`<!doctype html><html><p>&lt;script&gt;</p><br><a href="#x">x</a></html>`))
	for _, page := range []string{`<script>1</script>`, `<p onclick="x">`, `<a href="javascript:x">x</a>`, `<a href="//evil.example">x</a>`, `<svg onload=x></svg>`, `<img src=x>`} {
		require.NotEmpty(t, badPage(page), page)
	}
	require.NotEmpty(t, badPart(`<c><f>1+cmd|x</f></c>`))
	require.NotEmpty(t, badPart(`<Relationship Target="http://evil.example"/>`))
	require.NotEmpty(t, badPart("<c>a\x01</c>"))
	require.Empty(t, badPart(`<Relationship Target="../logs/=x%28http:%E2%88%95evil.example.csv"/>`))
}

// What a club holds is told apart: whole, torn, and with things left over.
func TestStateOfClub(t *testing.T) {
	dir := t.TempDir()
	_, err := readState(dir)
	require.ErrorContains(t, err, "CURRENT")
	require.NoError(t, writeFiles(dir, map[string]string{
		"tables/CURRENT":                   `{"generation":"gen-000001","tables":[{"name":"attempts.arrow","bytes":3,"sha256":"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"}]}`,
		"tables/gen-000001/attempts.arrow": "abd", "tables/gen-000002/x": "", "sources/.tmp-1-0": "",
	}))
	_, err = readState(dir)
	require.ErrorContains(t, err, "is not what tables/CURRENT says")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "tables/gen-000001/attempts.arrow"), []byte("abc"), 0o644)) // the SHA-256 of "abc" is that of FIPS 180
	_, err = readState(dir)
	require.ErrorContains(t, err, "the tables are [attempts]")
	require.Equal(t, []string{"sources/.tmp-1-0", "2 generations of tables"}, leftovers(dir))
	require.ErrorContains(t, func() error {
		require.NoError(t, writeFiles(dir, map[string]string{"sources/00.csv": "x"}))
		return checkSources(dir)
	}(), "another content than its name says")
	require.NotEmpty(t, wholeAside(state{aside: map[string]string{"a": "1"}}, state{aside: map[string]string{"a": "2"}}, state{}))
}

func TestSameSeedSameClub(t *testing.T) {
	a, b, c := newDice(1, "x"), newDice(1, "x"), newDice(2, "x")
	first := smallClub(&a)
	require.True(t, maps.Equal(first, smallClub(&b)))
	require.False(t, maps.Equal(first, smallClub(&c)))
}

func TestCommandLine(t *testing.T) {
	for args, want := range map[string]string{
		"--only nothing": `no check is called "nothing"`, "--rounds 0": "--rounds must be at least 1", "kill": `unknown argument "kill"`,
	} {
		var out, talk bytes.Buffer
		require.Equal(t, 2, run(strings.Fields(args), &out, &talk), args)
		require.Contains(t, talk.String(), want)
		require.Empty(t, out.String())
	}
	var out, talk bytes.Buffer
	require.Equal(t, 0, run([]string{"--list", "--only", "kill"}, &out, &talk))
	require.Equal(t, 2, strings.Count(out.String(), "\n"))
}

func TestFuzzTargets(t *testing.T) {
	require.Equal(t, []fuzzTarget{{"gravid/a", "FuzzA"}, {"gravid/a", "FuzzB"}, {"gravid/c", "FuzzC"}},
		listedTargets("FuzzA\nFuzzB\nok  \tgravid/a\t0.1s\n?   \tgravid/b\t[no test files]\nok  \tgravid/d\t0.1s\nFuzzC\nok  \tgravid/c\t0.1s\n"))
	n, anew := fuzzTally("fuzz: elapsed: 3s, execs: 10 (3/sec), new interesting: 0 (total: 5)\nfuzz: elapsed: 6s, execs: 25 (5/sec), new interesting: 2 (total: 7)\nPASS\n")
	require.Equal(t, [2]int{25, 2}, [2]int{n, anew})
	n, _ = fuzzTally("PASS\n")
	require.Zero(t, n)
}

func TestOlder(t *testing.T) {
	for _, c := range []struct {
		have, want string
		older      bool
	}{
		{"v1.58.3", "v1.85.0", true}, {"v1.85.0", "v1.85.0", false}, {"v1.100.0", "v1.85.0", false}, {"v0.44.0", "v0.48.0", true},
		{"1.26.0", "1.26.8", true}, {"1.27.0", "1.26.8", false}, {"", "1.26.8", true}, {"v2.0.0-rc1", "v1.85.0", false}, {"what", "v0.0.0", true},
	} {
		require.Equal(t, c.older, older(c.have, c.want), "%s %s", c.have, c.want)
	}
}
