package answer

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/analyze/catalogue"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// tried makes n attempts of a keeper, of which so many spawned.
func tried(keeper, species string, spawned, n int) []club.Attempt {
	began := time.Date(2024, 5, 1, 0, 0, 0, 0, time.UTC)
	var out []club.Attempt
	for i := range n {
		out = append(out, club.Attempt{Keeper: keeper, System: "T1", Species: species, Began: club.Some(began), Spawned: club.Some(i < spawned),
			Source: club.Source{File: keeper + "/log.csv", Row: int64(i + 2)}})
	}
	return out
}

func keepersOf(t *testing.T, q KeepersQuestion, lists ...[]club.Attempt) Keepers {
	t.Helper()
	tables := &club.Tables{}
	for _, l := range lists {
		tables.Attempts = append(tables.Attempts, l...)
	}
	return Asker{Records: exposure.New(tables, exposure.Options{}), Triggers: catalogue.Triggers()}.Keepers(q, tables)
}

func keeperCalled(t *testing.T, k Keepers, name string) KeeperRecord {
	t.Helper()
	for _, r := range k.Keepers {
		if r.Keeper == name {
			left := 0
			for _, l := range r.LeftOut {
				left += l.N
			}
			if r.Status == OK {
				require.Equal(t, r.Total, r.Attempts+left, "%s: what is left out adds up", name)
			}
			return r
		}
	}
	require.Fail(t, "no keeper is called "+name)
	return KeeperRecord{}
}

const paleatus = "Corydoras paleatus"

// One species, nothing else on record: the share expected is (o + 1/2)/(m + 1) of all,
// 63.5/125, and the limits are binom.test(x, n)$conf.int divided by it (R 4.2.2, see
// below each keeper). E is below the floor, but among the club's attempts; F writes down
// spawnings only (the others would have 8 of 8 in 1 of 20) and is not.
func TestKeepersAgainstExactLimits(t *testing.T) {
	k := keepersOf(t, KeepersQuestion{}, tried("A", paleatus, 6, 30), tried("B", paleatus, 15, 30), tried("C", paleatus, 14, 28), tried("D", paleatus, 26, 32),
		tried("E", paleatus, 2, 4), tried("F", paleatus, 8, 8))
	require.Equal(t, []string{"species"}, k.Adjusted)
	require.Equal(t, 4, k.Compared)
	require.Equal(t, 2, k.Outside)
	require.Equal(t, 2, k.FarOutside)
	for _, want := range []struct {
		name                         string
		spawned, attempts            int
		expectedShare, ratio, lo, hi float64
		standing                     Standing
		beyond                       float64
	}{
		// binom.test(6, 30)$conf.int / (63.5/125), and so on: what R printed
		{"A", 6, 30, 0.508, 0.3937007874, 0.1518415591, 0.7591860453, Fewer, outerLimits}, // binom.test(6, 30, 63.5/125, "less")$p.value = 0.00053
		{"B", 15, 30, 0.508, 0.9842519685, 0.6160832399, 1.3524206971, AsExpected, 0},     // less 0.537, greater 0.607
		{"C", 14, 28, 0.508, 0.9842519685, 0.6032892944, 1.3652146427, AsExpected, 0},     // less 0.541, greater 0.608
		{"D", 26, 32, 0.508, 1.5994094488, 1.2511962404, 1.8266217215, More, outerLimits}, // greater 0.00037
	} {
		r := keeperCalled(t, k, want.name)
		require.Equal(t, OK, r.Status)
		require.Equal(t, want.attempts, r.Attempts)
		require.Equal(t, want.spawned, r.Spawned)
		require.InDelta(t, want.expectedShare*float64(want.attempts), float64(r.Expected), 1e-6, want.name)
		require.InDelta(t, want.ratio, float64(r.Ratio.Estimate), 1e-6, want.name)
		require.InDelta(t, want.lo, float64(r.Ratio.Low), 1e-6, want.name)
		require.InDelta(t, want.hi, float64(r.Ratio.High), 1e-6, want.name)
		require.Equal(t, want.standing, r.Standing, want.name)
		if want.beyond == 0 {
			require.True(t, math.IsNaN(float64(r.Beyond)), want.name)
		} else {
			require.InDelta(t, want.beyond, float64(r.Beyond), 1e-12, want.name)
		}
	}
	e := keeperCalled(t, k, "E")
	require.Equal(t, TooFewAttempts, e.Status)
	require.False(t, e.Ratio.Known())
	require.Empty(t, e.Standing)
	f := keeperCalled(t, k, "F")
	require.Equal(t, SpawningsOnly, f.Status)
	require.False(t, f.Ratio.Known())
	require.Contains(t, f.Reason, "spawnings only")
	require.Equal(t, []exposure.LeftOut{{Reason: "keeper writes down spawnings only", N: 8}}, f.LeftOut)
	require.Equal(t, OtherKeepers{4, 94, 57}, keeperCalled(t, k, "A").Others, "E counts among the others, F does not")
}

// For one species a keeper counts as the attempts made, and the limits leave a keeper
// outside where the exact tails do.
func TestKeepersFunnel(t *testing.T) {
	k := keepersOf(t, KeepersQuestion{}, tried("A", paleatus, 6, 30), tried("B", paleatus, 15, 30), tried("C", paleatus, 14, 28), tried("D", paleatus, 26, 32))
	require.NotEmpty(t, k.Funnel)
	share := float64(k.Share)
	before := 0.0
	for _, p := range k.Funnel {
		n := float64(p.Attempts)
		require.Greater(t, n, before)
		before = n
		lo, hi := float64(p.Low95), float64(p.High95)
		if !math.IsNaN(lo) {
			require.Less(t, lo, 1.0)
			require.GreaterOrEqual(t, lo, 0.0)
		}
		if !math.IsNaN(hi) {
			require.Greater(t, hi, 1.0)
			require.LessOrEqual(t, hi, 1/share+1e-9, "no more than all can spawn")
		}
		if !math.IsNaN(float64(p.Low998)) {
			require.Less(t, float64(p.Low998), lo)
		}
		if !math.IsNaN(float64(p.High998)) {
			require.Greater(t, float64(p.High998), hi)
		}
	}
	require.GreaterOrEqual(t, before, 32.0)
	for _, r := range k.Keepers {
		n := float64(r.Attempts)
		require.InDelta(t, n, float64(r.CountsAs), 1e-9)
		for level, outside := range map[float64]bool{innerLimits: r.Standing != AsExpected, outerLimits: r.Beyond == outerLimits} {
			lo, hi := limitsAt(n, share, level)
			at := r.Ratio.Estimate
			require.Equal(t, outside, at <= lo || at >= hi, "%s, %v", r.Keeper, level)
		}
	}
}

// A hard and an easy species: a keeper of the hard one alone is held against the hard
// one alone.
func TestKeepersSpeciesAreHeldAlike(t *testing.T) {
	const australe = "Aphyosemion australe"
	hard := func(name string) [][]club.Attempt {
		return [][]club.Attempt{tried(name, paleatus, 16, 20), tried(name, australe, 4, 20)}
	}
	lists := append(append(hard("A"), hard("B")...), hard("C")...)
	lists = append(lists, tried("D", australe, 4, 20))
	k := keepersOf(t, KeepersQuestion{}, lists...)
	d := keeperCalled(t, k, "D")
	require.Equal(t, AsExpected, d.Standing)
	require.InDelta(t, 20*16.5/81, float64(d.Expected), 1e-6)
	require.Len(t, d.Species, 1)
	a := keeperCalled(t, k, "A")
	require.Len(t, a.Species, 2)
	require.InDelta(t, float64(a.Expected), float64(a.Species[0].Expected+a.Species[1].Expected), 1e-9)

	only := keepersOf(t, KeepersQuestion{Species: paleatus}, lists...)
	require.Len(t, only.Keepers, 3, "D has no attempt of it")
	require.Equal(t, 20, keeperCalled(t, only, "A").Attempts)
}

func TestKeepersNeedOthers(t *testing.T) {
	k := keepersOf(t, KeepersQuestion{}, tried("A", paleatus, 6, 30), tried("B", paleatus, 15, 30))
	for _, r := range k.Keepers {
		require.Equal(t, TooFewOthers, r.Status, "one other keeper is not enough")
		require.False(t, r.Ratio.Known())
	}
	require.Empty(t, k.Funnel)
	require.Zero(t, k.Compared)
	few := keepersOf(t, KeepersQuestion{}, tried("A", paleatus, 6, 30), tried("B", paleatus, 2, 4), tried("C", paleatus, 2, 4))
	require.Equal(t, TooFewOthers, keeperCalled(t, few, "A").Status, "8 attempts of others are not enough")
	require.Equal(t, TooFewAttempts, keeperCalled(t, few, "B").Status)
	thin := keepersOf(t, KeepersQuestion{}, tried("A", paleatus, 6, 30), tried("B", paleatus, 7, 14), tried("C", paleatus, 5, 14))
	require.Equal(t, OK, keeperCalled(t, thin, "A").Status)
	require.Contains(t, fmt.Sprint(keeperCalled(t, thin, "A").Notes), "30 of the 58 attempts")
	require.Empty(t, keeperCalled(t, thin, "B").Notes)
}

// Where all attempts spawned, nothing is certain and nobody is out of the ordinary.
func TestKeepersWhereAllSpawned(t *testing.T) {
	mixed := func(name string) []club.Attempt { return tried(name, "Danio rerio", 1, 2) }
	k := keepersOf(t, KeepersQuestion{Species: paleatus}, tried("A", paleatus, 12, 12), tried("B", paleatus, 12, 12), tried("C", paleatus, 13, 13), mixed("A"), mixed("B"), mixed("C"))
	a := keeperCalled(t, k, "A")
	require.Equal(t, OK, a.Status)
	require.InDelta(t, 12*37.5/38, float64(a.Expected), 1e-9)
	require.Equal(t, AsExpected, a.Standing)
	none := keepersOf(t, KeepersQuestion{}, tried("A", paleatus, 0, 12), tried("B", paleatus, 0, 12), tried("C", paleatus, 0, 13))
	require.Equal(t, AsExpected, keeperCalled(t, none, "A").Standing)
	require.InDelta(t, 12*0.5/38, float64(keeperCalled(t, none, "A").Expected), 1e-9)
}

func TestKeepersSeason(t *testing.T) {
	late := tried("A", paleatus, 20, 20)
	for i := range late {
		late[i].Began = club.Some(time.Date(2025, 5, 1, 0, 0, 0, 0, time.UTC))
	}
	lists := [][]club.Attempt{tried("A", paleatus, 10, 20), late, tried("B", paleatus, 10, 20), tried("C", paleatus, 10, 20)}
	all := keeperCalled(t, keepersOf(t, KeepersQuestion{}, lists...), "A")
	require.Equal(t, 40, all.Attempts)
	one := keepersOf(t, KeepersQuestion{Season: 2024}, lists...)
	require.Equal(t, 20, keeperCalled(t, one, "A").Attempts)
	require.Equal(t, AsExpected, keeperCalled(t, one, "A").Standing)
	other := keepersOf(t, KeepersQuestion{Season: 2025}, lists...)
	require.Len(t, other.Keepers, 1)
	require.Equal(t, TooFewOthers, other.Keepers[0].Status)
}

// Expected numbers with season and live food held alike, against R: see
// testdata/keepers.R (brglm2).
func TestKeepersReference(t *testing.T) {
	read := func(name string) [][]string {
		f, err := os.Open("testdata/" + name)
		require.NoError(t, err)
		defer f.Close()
		rows, err := csv.NewReader(f).ReadAll()
		require.NoError(t, err)
		return rows[1:]
	}
	number := func(s string) float64 {
		x, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return x
	}
	var list []club.Attempt
	for _, r := range read("keepers.csv") {
		day := time.Date(2024, 1, int(number(r[2])), 0, 0, 0, 0, time.UTC)
		list = append(list, club.Attempt{Keeper: r[0], Species: r[1], Began: club.Some(day), LiveFood: club.Some(r[3] == "1"), Spawned: club.Some(r[4] == "1")})
	}
	require.Len(t, list, 240)
	k := keepersOf(t, KeepersQuestion{}, list)
	require.Equal(t, []string{"species", "season", "live food"}, k.Adjusted)
	want := read("keepers_expected.csv")
	require.Len(t, want, 5)
	for _, w := range want {
		r := keeperCalled(t, k, w[0])
		require.InDelta(t, number(w[1]), float64(r.Attempts), 0)
		require.InDelta(t, number(w[2]), float64(r.Spawned), 0)
		require.InDelta(t, number(w[3]), float64(r.Expected), 1e-5, w[0])
	}
	// Planted: E has 3.7 times the odds of A and B, and C the lowest.
	require.Equal(t, Fewer, keeperCalled(t, k, "C").Standing)
	for _, r := range k.Keepers {
		require.GreaterOrEqual(t, keeperCalled(t, k, "E").Ratio.Estimate, r.Ratio.Estimate)
	}
}

// With nothing planted few keepers lie outside: of 12 clubs of 8 keepers fewer than 1 in 15
// is beyond the 95 % limits (by chance 1 in 20, and fewer for few attempts).
func TestKeepersWithNothingPlanted(t *testing.T) {
	outside, compared := 0, 0
	for seed := range uint64(12) {
		k := keepersOf(t, KeepersQuestion{}, world{attempts: 240, keepers: 8, seed: 500 + seed}.tables().Attempts)
		outside += k.Outside
		compared += k.Compared
	}
	require.GreaterOrEqual(t, compared, 90)
	t.Logf("%d of %d outside", outside, compared)
	require.Less(t, outside, compared/15)
}

// Each log goes to the keeper whose records it holds; one that gave none goes with its
// folder, and one of several keepers to nobody.
func TestKeepersSetAside(t *testing.T) {
	tables := &club.Tables{Attempts: append(tried("A", paleatus, 3, 6), tried("B", paleatus, 3, 6)...)}
	shared := tried("A", paleatus, 1, 2)
	shared[1].Keeper = "B"
	for i := range shared {
		shared[i].Source.File = "book.csv"
	}
	tables.Attempts = append(tables.Attempts, shared...)
	for _, f := range []string{"A/log.csv", "B/log.csv", "A/old.csv", "book.csv"} {
		tables.Sources = append(tables.Sources, club.SourceSheet{File: f, Rows: 10, SetAside: 1})
		tables.Problems = append(tables.Problems, problem.Problem{Severity: problem.Note, Code: problem.SexRatio, Place: problem.Place{File: f, Row: 2}},
			problem.Problem{Severity: problem.Error, Code: problem.DateOrder, Place: problem.Place{File: f, Row: 3, Column: "C"}, Message: "spawned before it was set up", Fix: "mend one of the two dates"})
	}
	k := Asker{Records: exposure.New(tables, exposure.Options{})}.Keepers(KeepersQuestion{}, tables)
	a, b := keeperCalled(t, k, "A").SetAside, keeperCalled(t, k, "B").SetAside
	require.Equal(t, []int{2, 20, 2, 2, 2}, []int{a.Logs, a.Rows, a.SetAside, a.Errors, a.Notes})
	require.Equal(t, []int{1, 10, 1, 1, 1}, []int{b.Logs, b.Rows, b.SetAside, b.Errors, b.Notes})
	require.Equal(t, 1, k.Unassigned.Errors)
	require.Equal(t, problem.DateOrder, b.Kinds[0].Code, "errors come first")
	require.Equal(t, "mend one of the two dates", b.Kinds[0].Fix)
}

func TestKeepersJSON(t *testing.T) {
	k := keepersOf(t, KeepersQuestion{}, tried("A", paleatus, 6, 30), tried("B", paleatus, 15, 30), tried("C", paleatus, 2, 4))
	doc, err := json.Marshal(k)
	require.NoError(t, err)
	var back map[string]any
	require.NoError(t, json.Unmarshal(doc, &back))
	for _, key := range []string{"floor", "compared", "outside_95", "outside_998", "adjusted_for", "expected_share", "funnel", "keepers", "set_aside_shared", "left_out", "cautions"} {
		require.Contains(t, back, key)
	}
	require.NotContains(t, string(doc), "NaN")
}

func BenchmarkKeepers(b *testing.B) {
	t := world{attempts: 1000, keepers: 12, food: 0.5, skill: 0.5, seed: 1}.tables()
	k := Asker{Records: exposure.New(t, exposure.Options{}), Triggers: catalogue.Triggers()}
	for b.Loop() {
		k.Keepers(KeepersQuestion{}, t)
	}
}
