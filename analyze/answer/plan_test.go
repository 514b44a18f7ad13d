package answer

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/analyze/catalogue"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
)

func TestPlanHoldsEveryTriggerOnce(t *testing.T) {
	k := Asker{Records: exposure.New(world{attempts: 400, keepers: 10, pressure: 1.2, food: 0.5, skill: 0.5, seed: 3}.tables(), exposure.Options{}), Triggers: catalogue.Triggers()}
	table := k.TriggersOf("Corydoras paleatus")
	p := k.PlanOf(table)
	seen := map[string]int{}
	for _, list := range [][]Step{p.GoOn, p.Try, p.Watch, p.Open, p.Leave, p.WriteDown} {
		for _, s := range list {
			seen[s.Trigger]++
		}
	}
	require.Len(t, seen, len(k.Triggers))
	for code, n := range seen {
		require.Equal(t, 1, n, code)
	}
	require.Equal(t, "pressure-drop", p.GoOn[0].Trigger)
	for i := 1; i < len(p.Try); i++ {
		require.GreaterOrEqual(t, float64(p.Try[i-1].Promise), float64(p.Try[i].Promise))
	}
	for _, s := range p.Try {
		trigger, _ := catalogue.Find(k.Triggers, s.Trigger)
		require.Equal(t, catalogue.ByKeeper, trigger.Assigned, "nobody can try the weather")
	}
}

func TestPromise(t *testing.T) {
	interval := func(at, lo, hi float64) Interval { return newInterval(at, lo, hi, 0.95, "", false) }
	clear, vague, small := promise(interval(18, 1, 33), 10), promise(interval(-46, -64, 73), 10), promise(interval(2, -9, 13), 10)
	require.Greater(t, float64(clear), float64(vague), "what is known to lean comes before what is not known at all")
	require.Greater(t, float64(vague), float64(small))
	require.InDelta(t, float64(promise(interval(-18, -33, -1), 10)), float64(clear), 1e-12, "either way")
	require.True(t, math.IsNaN(float64(promise(NoInterval(), 10))))
}

// The size of the trial keeps its word: trials of that size, with keepers who differ,
// chance deciding, and the difference planted, are called a link about as often as said.
func TestTrialOfThePlannedSize(t *testing.T) {
	if testing.Short() {
		t.Skip("simulation")
	}
	const keepers, runs = 8, 200
	draw := func(rng *rand.Rand, n int, effect float64) *club.Tables {
		tables := &club.Tables{}
		start := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)
		for i := range n {
			keeper := i % keepers
			food := rng.IntN(2) == 0
			if i/keepers%2 == 1 { // pairs of attempts: the coin decides which comes first
				food = !tables.Attempts[i-keepers].LiveFood.V
			}
			p := 0.5 + 0.25*(float64(keeper)/(keepers-1)-0.5) - effect/2
			if food {
				p += effect
			}
			spawned := rng.Float64() < p
			began := start.AddDate(0, 0, rng.IntN(360))
			tables.Attempts = append(tables.Attempts, club.Attempt{Keeper: string(rune('A' + keeper)), System: "T", Species: "Danio rerio", Began: club.Some(began), Ended: club.Some(began.AddDate(0, 0, 10)), Spawned: club.Some(spawned), LiveFood: club.Some(food)})
		}
		return tables
	}
	trigger, _ := catalogue.Find(catalogue.Triggers(), "live-food")
	pilot := Asker{Records: exposure.New(draw(rand.New(rand.NewPCG(1, 1)), 80, 0.2), exposure.Options{}), Triggers: []catalogue.Trigger{trigger}}
	planned := pilot.PlanOf(pilot.TriggersOf("Danio rerio")).Trial
	require.Equal(t, keepers, planned.Keepers)
	links := 0
	for run := range runs {
		rng := rand.New(rand.NewPCG(uint64(run), 9))
		k := Asker{Records: exposure.New(draw(rng, int(planned.Attempts), 0.2), exposure.Options{}), Triggers: []catalogue.Trigger{trigger}}
		if v := k.Matter("Danio rerio", trigger).Verdict; v == Matters || v == Leans {
			links++
		}
	}
	share := float64(links) / runs
	t.Logf("%.0f attempts: a link in %.3f of trials", float64(planned.Attempts), share)
	require.InDelta(t, trialPower, share, 0.1) // three standard errors of 200 runs
}
