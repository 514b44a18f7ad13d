package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/analyze/answer"
	"gravid/cmd/gravid/demo"
)

// planted is the part of truth.json that answers can be held against.
type planted struct {
	Species []struct {
		Name      string             `json:"name"`
		OddsRatio map[string]float64 `json:"odds_ratio"`
		Hatch     plantedTime        `json:"lay_to_hatch"`
		Swim      plantedTime        `json:"hatch_to_free_swimming"`
		Eggs      struct {
			Mean float64 `json:"mean"`
			K    float64 `json:"k"`
		} `json:"eggs"`
	} `json:"species"`
}

type plantedTime struct {
	MedianHours float64 `json:"median_hours_at_25_c"`
	LogPerC     float64 `json:"log_change_per_c"`
}

func (p plantedTime) days(celsius float64) float64 {
	return p.MedianHours * math.Exp(p.LogPerC*(celsius-25)) / 24
}

// gravid runs the program and returns its standard output.
func gravid(t *testing.T, want int, args ...string) []byte {
	t.Helper()
	var out, errs bytes.Buffer
	code := run(args, system{stdout: &out, stderr: &errs, now: func() time.Time { return today }, getenv: func(string) string { return "" }})
	require.Equal(t, want, code, "%v: %s", args, errs.String())
	return out.Bytes()
}

// keys returns the names of a JSON object.
func keys(t *testing.T, doc []byte) map[string]json.RawMessage {
	t.Helper()
	var m map[string]json.RawMessage
	require.NoError(t, json.Unmarshal(doc, &m))
	return m
}

// TestDemoTruth asks the demo club what its truth file knows: the planted values
// lie inside the intervals.
func TestDemoTruth(t *testing.T) {
	dir, _ := demoClub(t)
	var truth planted
	require.NoError(t, json.Unmarshal(demo.Truth(), &truth))
	require.Len(t, truth.Species, 6)
	compared := 0
	for _, s := range truth.Species {
		var eggs answer.Eggs
		require.NoError(t, json.Unmarshal(gravid(t, exitDone, "eggs", "--club", dir, "--species", s.Name, "--format", "json"), &eggs))
		inside(t, s.Name+", eggs", s.Eggs.Mean, float64(eggs.PerClutch.Low), float64(eggs.PerClutch.High))
		inside(t, s.Name+", dispersion", s.Eggs.K, float64(eggs.Dispersion.Low), float64(eggs.Dispersion.High))

		var hatch, swim answer.Timing
		require.NoError(t, json.Unmarshal(gravid(t, exitDone, "timing", "--club", dir, "--species", s.Name, "--from", "lay", "--to", "hatch", "--format", "json"), &hatch))
		require.NoError(t, json.Unmarshal(gravid(t, exitDone, "timing", "--club", dir, "--species", s.Name, "--from", "hatch", "--format", "json"), &swim))
		for _, x := range []struct {
			got  answer.Timing
			want plantedTime
		}{{hatch, s.Hatch}, {swim, s.Swim}} {
			require.NotEmpty(t, x.got.At, s.Name)
			at := x.got.At[0]
			celsius := float64(at.TemperatureC)
			if math.IsNaN(celsius) { // the records span too little: the middle of those on record
				celsius = (float64(x.got.Seen[0]) + float64(x.got.Seen[1])) / 2
			}
			inside(t, s.Name+", "+string(x.got.From)+" to "+string(x.got.To), x.want.days(celsius), float64(at.Median.Low), float64(at.Median.High))
		}

		var table answer.TriggerTable
		require.NoError(t, json.Unmarshal(gravid(t, exitDone, "triggers", "--club", dir, "--species", s.Name, "--format", "json"), &table))
		for _, a := range table.Answers {
			want, ok := s.OddsRatio[a.Question.Trigger]
			if !ok {
				continue
			}
			compared++
			lo, hi := float64(a.OddsRatio.Low), float64(a.OddsRatio.High)
			if math.IsNaN(hi) && a.OddsRatio.Unbounded {
				hi = math.Inf(1)
			}
			if math.IsNaN(lo) && a.OddsRatio.Unbounded {
				lo = 0
			}
			inside(t, s.Name+", "+a.Question.Trigger, want, lo, hi)
		}
	}
	require.GreaterOrEqual(t, compared, 15, "too few planted odds ratios were compared")
}

func inside(t *testing.T, what string, want, lo, hi float64) {
	t.Helper()
	if !(want >= lo && want <= hi) {
		t.Errorf("%s: planted %.3g lies outside %.3g to %.3g", what, want, lo, hi)
	}
}

// TestDemoAnswers holds that the demo answers yes where the truth is yes, and no
// where it is no, with the JSON fields that others rely on.
func TestDemoAnswers(t *testing.T) {
	dir, stdout := demoClub(t)
	require.Contains(t, stdout, "Linked, and enough to matter")
	require.Contains(t, stdout, "Little or no link")
	require.FileExists(t, filepath.Join(dir, "season", "2025.xlsx"))
	require.FileExists(t, filepath.Join(dir, "truth.json"))

	for question, verdict := range map[string]answer.Verdict{demo.Questions[0]: answer.Matters, demo.Questions[1]: answer.NoDifference} {
		doc := gravid(t, exitDone, "ask", question, "--club", dir, "--format", "json")
		var a answer.Answer
		require.NoError(t, json.Unmarshal(doc, &a))
		require.Equal(t, answer.OK, a.Status)
		require.Equal(t, answer.ByTankDay, a.Design)
		require.Equal(t, verdict, a.Verdict, question)
		top := keys(t, doc)
		for _, k := range []string{"question", "design", "status", "verdict", "odds_ratio", "per_100", "p_value", "p_adjusted", "looked_at", "counts", "more_needed", "checks", "cautions"} {
			require.Contains(t, top, k)
		}
		for parent, children := range map[string][]string{
			"question":    {"trigger", "species", "window"},
			"odds_ratio":  {"estimate", "low", "high", "level", "method"},
			"per_100":     {"with", "without", "difference"},
			"counts":      {"keepers", "attempts", "spawned", "rows", "left_out"},
			"more_needed": {"attempts", "low", "high", "keepers"},
			"checks":      {"placebo", "leave_one_keeper_out", "missing_bounds", "e_value"},
		} {
			for _, c := range children {
				require.Contains(t, keys(t, top[parent]), c, parent)
			}
		}
		left := 0
		for _, l := range a.Counts.LeftOut {
			left += l.N
		}
		require.Equal(t, a.Counts.Total, a.Counts.Attempts+left)
	}

	timing := keys(t, gravid(t, exitDone, "timing", "--species", "Corydoras paleatus", "--club", dir, "--format", "json"))
	for _, k := range []string{"species", "from", "to", "n", "events", "censored", "lost", "quantiles", "at", "incidence"} {
		require.Contains(t, timing, k)
	}
	eggs := keys(t, gravid(t, exitDone, "eggs", "--species", "Corydoras paleatus", "--club", dir, "--format", "json"))
	for _, k := range []string{"species", "per_clutch", "per_female", "per_female_day", "dispersion", "fertile", "hatched", "swimming"} {
		require.Contains(t, eggs, k)
	}
}

// TestDemoKeepers holds the keepers of the demo club against what its truth file knows
// of them: those who write down spawnings only are kept apart, and who lies outside the
// limits is the one with the least skill planted.
func TestDemoKeepers(t *testing.T) {
	dir, _ := demoClub(t)
	var truth struct {
		Keepers []struct {
			Name    string
			Records string
			Skill   float64 `json:"skill_log_odds"`
		}
	}
	require.NoError(t, json.Unmarshal(demo.Truth(), &truth))
	require.NotEmpty(t, truth.Keepers)
	var k answer.Keepers
	require.NoError(t, json.Unmarshal(gravid(t, exitDone, "keepers", "--club", dir, "--format", "json"), &k))
	require.Len(t, k.Keepers, len(truth.Keepers))
	lowest := truth.Keepers[0]
	for i, want := range truth.Keepers {
		if want.Skill < lowest.Skill {
			lowest = want
		}
		got := slices.IndexFunc(k.Keepers, func(r answer.KeeperRecord) bool { return r.Keeper == want.Name })
		require.GreaterOrEqual(t, got, 0, truth.Keepers[i].Name)
		require.Equal(t, want.Records == "spawnings only", k.Keepers[got].Status == answer.SpawningsOnly, want.Name)
	}
	require.Equal(t, 1, k.Outside)
	for _, r := range k.Keepers {
		require.Equal(t, r.Keeper == lowest.Name, r.Standing == answer.Fewer, r.Keeper)
	}
}

// TestSameInputSameBytes holds that two runs give the same tables, workbook and
// page, in another time zone and with maps walked in another order.
func TestSameInputSameBytes(t *testing.T) {
	leaveOutIfShort(t)
	one, _ := demoClub(t)
	two := filepath.Join(t.TempDir(), "demo")
	makeDemo(t, two)
	for _, name := range []string{"season/2025.xlsx", "season/2025.html"} {
		a, err := os.ReadFile(filepath.Join(one, name))
		require.NoError(t, err)
		b, err := os.ReadFile(filepath.Join(two, name))
		require.NoError(t, err)
		require.True(t, bytes.Equal(a, b), "%s differs between two runs", name)
	}
	for _, table := range []string{"attempts", "clutches", "problems", "sources"} {
		require.Equal(t, string(gravid(t, exitDone, "export", table, "--format", "csv", "--club", one)), string(gravid(t, exitDone, "export", table, "--format", "csv", "--club", two)), table)
	}
}
