package club_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/apache/arrow/go/v15/arrow/memory"
	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// own are two triggers of a club's own, one of each kind.
var own = []club.Column{
	{Name: "rice_hulls", Kind: club.KindTruth, Description: "the club's own trigger: rice hulls"},
	{Name: "tea", Kind: club.KindNumber, Unit: "mL", Description: "the club's own trigger: tea"},
}

// emptyRows returns tables in which nothing is recorded.
func emptyRows(n int) club.Tables {
	return club.Tables{
		Attempts: make([]club.Attempt, n),
		Clutches: make([]club.Clutch, n),
		Readings: make([]club.Reading, n),
		Actions:  make([]club.Action, n),
		Problems: make([]problem.Problem, n),
		Sources:  make([]club.SourceSheet, n),
	}
}

// A maker makes the values of a row.
type maker struct {
	text   func() string
	listed func([]string) string
	number func() club.Number
	count  func() club.Count
	truth  func() club.Truth
	when   func() club.When
	size   func() int64
}

// extreme makes the outermost values that can be stored; each call gives the
// next one.
func extreme() maker {
	turn := 0
	next := func(n int) int { turn++; return turn % n }
	texts := []string{
		"'", "=1+1", "\x00", "a\r\nb\tc", "\"quoted, with comma\"", " led and trailed ", "ünï©ødé ＝ 🐟", "\u202eabc", "\ufeff", "null", "NaN",
		string(make([]byte, 70000)),
	}
	numbers := []float64{math.MaxFloat64, -math.MaxFloat64, math.SmallestNonzeroFloat64, 0, math.Copysign(0, -1), 0.1, 1.0 / 3}
	counts := []int64{math.MaxInt64, math.MinInt64, 0, -1, 1}
	times := []time.Time{
		time.Date(1, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(9999, 12, 31, 23, 59, 59, 0, time.UTC),
		time.Unix(0, 0).UTC(), time.Unix(-1, 0).UTC(), time.Date(2024, 2, 29, 12, 0, 0, 0, time.UTC),
	}
	return maker{
		text:   func() string { return texts[next(len(texts))] },
		listed: func(list []string) string { return list[next(len(list))] },
		number: func() club.Number { return club.Some(numbers[next(len(numbers))]) },
		count:  func() club.Count { return club.Some(counts[next(len(counts))]) },
		truth:  func() club.Truth { return club.Some(next(2) == 0) },
		when:   func() club.When { return club.Some(times[next(len(times))]) },
		size:   func() int64 { return counts[next(len(counts))] },
	}
}

// random makes values of which a third are not recorded.
func random(seed uint64) maker {
	r := rand.New(rand.NewPCG(seed, 1))
	there := func() bool { return r.IntN(3) > 0 }
	return maker{
		text: func() string {
			if !there() {
				return ""
			}
			return fmt.Sprintf("text %d µ", r.IntN(50))
		},
		listed: func(list []string) string {
			if !there() {
				return ""
			}
			return list[r.IntN(len(list))]
		},
		number: func() club.Number { return maybe(there(), r.NormFloat64()*1e3) },
		count:  func() club.Count { return maybe(there(), int64(r.IntN(1000))) },
		truth:  func() club.Truth { return maybe(there(), r.IntN(2) == 0) },
		when:   func() club.When { return maybe(there(), time.Unix(r.Int64N(4e9), 0).UTC()) },
		size:   func() int64 { return r.Int64N(1e6) },
	}
}

func maybe[T any](there bool, v T) club.Maybe[T] {
	if !there {
		return club.Maybe[T]{}
	}
	return club.Some(v)
}

// rows makes n rows of every table, every field set by the maker.
func (m maker) rows(n int) club.Tables {
	t := emptyRows(n)
	source := func() club.Source { return club.Source{File: m.text(), Sheet: m.text(), Row: m.size()} }
	for i := range n {
		t.Attempts[i] = club.Attempt{
			ID: m.text(), Keeper: m.text(), System: m.text(), Species: m.text(), SpeciesAsWritten: m.text(),
			Began: m.when(), Ended: m.when(), Spawned: m.truth(), SpawnedAt: m.when(),
			Males: m.count(), Females: m.count(), Unsexed: m.count(), TemperatureC: m.number(), PH: m.number(),
			ConductivityUS: m.number(), GH: m.number(), KH: m.number(), NitrateMgL: m.number(), LightHours: m.number(),
			ConditioningDays: m.number(), LiveFood: m.truth(), Microfauna: m.truth(), LeafLitter: m.truth(),
			WaterChangePct: m.number(), RefillDeltaC: m.number(), LevelChangeCm: m.number(), Flow: m.truth(),
			Rearranged: m.truth(), Dither: m.truth(), TankMates: m.truth(), PressureChange: m.number(),
			Notes: m.text(), Source: source(),
		}
		if hulls := m.truth(); hulls.OK {
			t.Attempts[i].Own = map[string]club.Number{"rice_hulls": club.Some(0.0)}
			if hulls.V {
				t.Attempts[i].Own["rice_hulls"] = club.Some(1.0)
				t.Attempts[i].Own["tea"] = club.Some(12.5)
			}
		}
		t.Clutches[i] = club.Clutch{
			ID: m.text(), AttemptID: m.text(), Keeper: m.text(), System: m.text(), Species: m.text(),
			LaidFrom: m.when(), LaidTo: m.when(), Eggs: m.count(), EggsLow: m.count(), EggsHigh: m.count(),
			EggsMethod: m.listed(club.EggsMethods), SampleFraction: m.number(), Fertile: m.count(), Hatched: m.count(),
			FreeSwimming: m.count(), HatchFrom: m.when(), HatchTo: m.when(), SwimFrom: m.when(), SwimTo: m.when(),
			LostAt: m.when(), Loss: m.listed(club.Losses), LastSeen: m.when(), Females: m.count(),
			TemperatureC: m.number(), HatchAid: m.text(), Notes: m.text(), Source: source(),
		}
		t.Readings[i] = club.Reading{
			Keeper: m.text(), System: m.text(), Place: m.text(), At: m.when(), Quantity: m.text(), Value: m.number(), Source: source(),
		}
		t.Actions[i] = club.Action{
			Keeper: m.text(), System: m.text(), At: m.when(), Action: m.text(), Amount: m.number(), Unit: m.text(), Source: source(),
		}
		letters := []string{"", "B", "AA"}
		t.Problems[i] = problem.Problem{
			Severity: problem.Severity(m.listed([]string{"error", "warning", "note"})), Code: problem.Code(m.text()),
			Place: problem.Place{File: m.text(), Sheet: m.text(), Row: int(m.size()), Column: letters[i%3], Head: m.text()},
			Value: m.text(), Message: m.text(), Fix: m.text(),
		}
		t.Sources[i] = club.SourceSheet{
			File: m.text(), SHA256: m.text(), Bytes: m.size(), Sheet: m.text(), Layout: m.text(), HeaderRow: m.count(),
			Rows: m.size(), Used: m.size(), SetAside: m.size(), Skipped: m.size(), Mapping: m.text(),
		}
	}
	return t
}

// roundTrip takes tables through Arrow records and back.
func roundTrip(t *testing.T, in club.Tables) club.Tables {
	mem := memory.NewCheckedAllocator(memory.NewGoAllocator())
	defer mem.AssertSize(t, 0)
	var out club.Tables
	for _, s := range club.Schemas(own...) {
		for rec, err := range s.Records(mem, &in) {
			require.NoError(t, err, s.Table)
			require.LessOrEqual(t, rec.NumRows(), int64(club.BatchRows))
			require.NoError(t, s.Append(&out, rec), s.Table)
		}
	}
	return out
}

func TestRoundTrip(t *testing.T) {
	cases := map[string]club.Tables{
		"nothing recorded": emptyRows(3),
		"extreme":          extreme().rows(60),
		"random":           random(1).rows(1000),
		"one row":          random(2).rows(1),
	}
	for name, in := range cases {
		t.Run(name, func(t *testing.T) {
			require.Equal(t, in, roundTrip(t, in))
		})
	}
	require.Equal(t, club.Tables{}, roundTrip(t, club.Tables{}), "tables without rows")
}

// TestRoundTripBatches crosses the border between two records.
func TestRoundTripBatches(t *testing.T) {
	m := random(3)
	in := club.Tables{Readings: make([]club.Reading, club.BatchRows+1)}
	for i := range in.Readings {
		in.Readings[i] = club.Reading{Keeper: m.text(), At: m.when(), Value: m.number(), Source: club.Source{Row: int64(i + 1)}}
	}
	require.Equal(t, in, roundTrip(t, in))
}

// TestWhenIsUTCToTheSecond: zones are resolved and fractions cut off.
func TestWhenIsUTCToTheSecond(t *testing.T) {
	east := time.FixedZone("east", 2*3600)
	in := club.Tables{Actions: []club.Action{{At: club.Some(time.Date(2024, 5, 1, 1, 30, 15, 987654321, east))}}}
	out := roundTrip(t, in)
	require.Equal(t, time.Date(2024, 4, 30, 23, 30, 15, 0, time.UTC), out.Actions[0].At.V)
}

// TestUnstorable: what no table may hold is an error that names table, row and
// column, and leaves no memory behind.
func TestUnstorable(t *testing.T) {
	cases := []struct {
		spoil func(*club.Tables)
		want  string
	}{
		{func(t *club.Tables) { t.Attempts[1].PH = club.Some(math.NaN()) }, "table attempts: row 2, column ph: NaN is not a finite number"},
		{func(t *club.Tables) { t.Readings[2].Value = club.Some(math.Inf(-1)) }, "table readings: row 3, column value: -Inf is not a finite number"},
		{func(t *club.Tables) { t.Clutches[0].Notes = "caf\xe9" }, `table clutches: row 1, column notes: "caf\xe9" is not valid UTF-8`},
		{func(t *club.Tables) { t.Clutches[0].Loss = "bored" }, `table clutches: row 1, column loss: "bored" is not one of infertile, fungus`},
		{func(t *club.Tables) { t.Problems[0].Severity = "fatal" }, `column severity: "fatal" is not one of error, warning, note`},
		{func(t *club.Tables) { t.Actions[0].At = club.Some(time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC)) }, "column at: the time is outside the years 1 to 9999"},
		{func(t *club.Tables) { t.Attempts[2].Own = map[string]club.Number{"coffee": club.Some(1.0)} }, "row 3: trigger coffee is not declared in club.toml"},
		{func(t *club.Tables) { t.Attempts[2].Own = map[string]club.Number{"rice_hulls": club.Some(0.5)} }, "row 3: trigger rice_hulls is yes or no but holds 0.5"},
		{func(t *club.Tables) { t.Attempts[2].Own = map[string]club.Number{"tea": club.Some(math.Inf(1))} }, "row 3, column tea: +Inf is not a finite number"},
	}
	for _, c := range cases {
		t.Run(c.want, func(t *testing.T) {
			mem := memory.NewCheckedAllocator(memory.NewGoAllocator())
			defer mem.AssertSize(t, 0)
			rows := random(4).rows(4)
			c.spoil(&rows)
			var found error
			for _, s := range club.Schemas(own...) {
				for _, err := range s.Records(mem, &rows) {
					if err != nil {
						found = err
					}
				}
			}
			require.ErrorContains(t, found, c.want)
		})
	}
}

// TestAppendRefusesOtherColumns: a record of another table adds nothing.
func TestAppendRefusesOtherColumns(t *testing.T) {
	rows := random(5).rows(2)
	schemas := club.Schemas(own...)
	var into club.Tables
	for rec, err := range schemas[0].Records(memory.DefaultAllocator, &rows) {
		require.NoError(t, err)
		require.ErrorContains(t, schemas[1].Append(&into, rec), "there is no clutch_id utf8 where it should be")
		require.ErrorContains(t, club.Schemas()[0].Append(&into, rec), "rice_hulls is one too many")
	}
	require.Equal(t, club.Tables{}, into)
}
