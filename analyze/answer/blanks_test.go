package answer

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/analyze/catalogue"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
)

// fed are attempts of four keepers whose live food is blank where blank says so.
func fed(seed uint64, blank func(rng *rand.Rand, spawned bool) bool) []club.Attempt {
	rng := rand.New(rand.NewPCG(seed, 9))
	var list []club.Attempt
	for i := range 48 {
		a := club.Attempt{ID: fmt.Sprint(i), Keeper: string(rune('A' + i%4)), System: "T", Species: "Danio rerio", Began: club.Some(time.Date(2024, 3, 1+i%20, 0, 0, 0, 0, time.UTC))}
		a.Spawned, a.LiveFood = club.Some(rng.IntN(2) == 0), club.Some(rng.IntN(2) == 0)
		if blank(rng, a.Spawned.V) {
			a.LiveFood = club.Truth{}
		}
		list = append(list, a)
	}
	return list
}

func askFood(list []club.Attempt) Answer {
	food, _ := catalogue.Find(catalogue.Triggers(), "live-food")
	return Asker{Records: exposure.New(&club.Tables{Attempts: list}, exposure.Options{}), Triggers: []catalogue.Trigger{food}}.Matter("Danio rerio", food)
}

// Whatever the blanks were, the difference lies between the bounds: all 2^8 ways to fill
// them are gone through.
func TestBoundsHoldEveryFilling(t *testing.T) {
	for seed := range uint64(3) {
		left := 8
		list := fed(seed, func(rng *rand.Rand, _ bool) bool {
			if left == 0 || rng.IntN(4) > 0 {
				return false
			}
			left--
			return true
		})
		var blanks []int
		for i, a := range list {
			if !a.LiveFood.OK {
				blanks = append(blanks, i)
			}
		}
		a := askFood(list)
		require.Equal(t, OK, a.Status, a.Reason)
		b := a.Checks.Missing
		require.Equal(t, len(blanks), b.Missing)
		require.Equal(t, len(list), b.Spawned+b.Failed)
		require.Equal(t, b.Missing, b.SpawnedMissing+b.FailedMissing)
		for mask := range 1 << len(blanks) {
			whole := slices.Clone(list)
			for k, i := range blanks {
				whole[i].LiveFood = club.Some(mask>>k&1 == 1)
			}
			d := float64(askFood(whole).Per100.Difference.Estimate)
			require.GreaterOrEqual(t, d, float64(b.Least)-1e-6, "seed %d, filling %b", seed, mask)
			require.LessOrEqual(t, d, float64(b.Most)+1e-6, "seed %d, filling %b", seed, mask)
		}
	}
}

// Blanks that hang on the outcome are told, with their numbers; others are not.
func TestBlanksThatHangOnTheOutcome(t *testing.T) {
	told := func(a Answer) bool {
		return slices.ContainsFunc(a.Notes, func(n string) bool { return strings.Contains(n, "hang on what came of it") })
	}
	failures := askFood(fed(5, func(rng *rand.Rand, spawned bool) bool { return !spawned && rng.IntN(2) == 0 }))
	require.True(t, told(failures))
	b := failures.Checks.Missing
	require.Zero(t, b.SpawnedMissing)
	require.Equal(t, b.Missing, b.FailedMissing)
	n := 0
	alike := askFood(fed(5, func(*rand.Rand, bool) bool { n++; return n%5 == 0 }))
	require.NotNil(t, alike.Checks.Missing)
	require.False(t, alike.Checks.Missing.ByOutcome(), "%+v", alike.Checks.Missing)
	require.False(t, told(alike))
	require.False(t, Bounds{Missing: 4, Spawned: 10, SpawnedMissing: 4, Failed: 10}.ByOutcome(), "four blanks say little")
	require.True(t, Bounds{Missing: 5, Spawned: 20, SpawnedMissing: 5, Failed: 20}.ByOutcome())
}

// hushed draws attempts of 8 keepers with and without live food, of which those that came
// to nothing with it are left blank in hide of 10 cases.
func hushed(seed uint64, without, with float64, hide int) Answer {
	rng := rand.New(rand.NewPCG(seed, 2))
	tables := &club.Tables{}
	for i := range 240 {
		food := rng.IntN(2) == 0
		spawned := rng.Float64() < without
		if food {
			spawned = rng.Float64() < with
		}
		began := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rng.IntN(80))
		a := club.Attempt{Keeper: string(rune('A' + i%8)), System: "T", Species: "Danio rerio", Began: club.Some(began), Ended: club.Some(began.AddDate(0, 0, 10)), Spawned: club.Some(spawned)}
		if !food || spawned || rng.IntN(10) >= hide {
			a.LiveFood = club.Some(food)
		}
		tables.Attempts = append(tables.Attempts, a)
	}
	trigger, _ := catalogue.Find(catalogue.Triggers(), "live-food")
	k := Asker{Records: exposure.New(tables, exposure.Options{}), Triggers: []catalogue.Trigger{trigger}}
	return k.Matter("Danio rerio", trigger)
}

// A link that the blanks alone can have made is not called enough to matter; one that
// every filling of the blanks leaves standing is.
func TestBlanksDecide(t *testing.T) {
	const runs = 12
	held, links := 0, 0
	for seed := range uint64(runs) {
		a := hushed(seed, 0.5, 0.5, 7)
		require.True(t, a.Checks.Missing.ByOutcome())
		require.NotEqual(t, Matters, a.Verdict)
		if a.Verdict == Leans {
			held++
			require.True(t, slices.ContainsFunc(a.Notes, func(n string) bool { return strings.Contains(n, "no more is said") }))
			require.Less(t, float64(a.Checks.Missing.Least), float64(a.Per100.Difference.Low))
		}
		if a := hushed(seed, 0.3, 0.8, 7); a.Verdict == Matters {
			links++
			require.Equal(t, OK, a.Status)
		}
	}
	require.Greater(t, held, runs/2)
	require.Greater(t, links, runs/2)

	a := hushed(1, 0.5, 0.5, 0)
	require.Nil(t, a.Checks.Missing, "nothing is blank")
}

func TestWeakerOfTwoVerdicts(t *testing.T) {
	for _, c := range []struct {
		a, b Verdict
		same bool
		want Verdict
	}{
		{Matters, Matters, true, Matters}, {Matters, Matters, false, CannotTell}, {Matters, Leans, true, Leans},
		{Leans, Matters, false, CannotTell}, {Leans, NoDifference, true, CannotTell}, {NoDifference, NoDifference, false, NoDifference},
		{NoDifference, CannotTell, true, CannotTell}, {Matters, CannotTell, true, CannotTell},
	} {
		require.Equal(t, c.want, weaker(c.a, c.b, c.same), "%s, %s", c.a, c.b)
	}
}
