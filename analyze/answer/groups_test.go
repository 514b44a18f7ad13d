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

// warmAndCool are clutches that hatch after 5 days at 22 °C and after 5 less slower at
// 27 °C, looked at once a day, with eggs of the same mean in both.
func warmAndCool(faster float64, seed uint64) Asker {
	rng := rand.New(rand.NewPCG(seed, 3))
	t := &club.Tables{}
	start := time.Date(2024, 1, 1, 9, 0, 0, 0, time.UTC)
	for i := range 60 {
		warm := i%2 == 0
		days, temperature, food := 5.0, 22.3, club.Some(false)
		if warm {
			days, temperature, food = 5-faster, 27.1, club.Some(true)
		}
		days *= math.Exp(0.08 * rng.NormFloat64())
		laid := start.AddDate(0, 0, 3*i)
		looked := math.Ceil(days)
		id := time.Duration(i).String()
		c := club.Clutch{ID: id, AttemptID: id, Keeper: string(rune('A' + i%4)), Species: "Danio rerio", LaidFrom: club.Some(laid.AddDate(0, 0, -1)), LaidTo: club.Some(laid),
			HatchFrom: club.Some(laid.AddDate(0, 0, int(looked)-1)), HatchTo: club.Some(laid.AddDate(0, 0, int(looked))), TemperatureC: club.Some(temperature), Eggs: club.Some(int64(80 + rng.IntN(40)))}
		t.Clutches = append(t.Clutches, c)
		t.Attempts = append(t.Attempts, club.Attempt{ID: id, Keeper: c.Keeper, Species: c.Species, LiveFood: food, ConditioningDays: club.Some(map[bool]float64{true: 10, false: 21}[warm])})
	}
	return Asker{Records: exposure.New(t, exposure.Options{}), Triggers: catalogue.Triggers()}
}

func TestTimesOfGroups(t *testing.T) {
	k := warmAndCool(2, 1)
	g := k.TimingBy("Danio rerio", Lay, Hatch, "temperature")
	require.Len(t, g.Groups, 2)
	require.Equal(t, "22 to 24 °C", g.Groups[0].Name)
	require.Equal(t, 30, g.Groups[0].N)
	require.Greater(t, float64(g.Groups[0].Median.Low), float64(g.Groups[1].Median.High), "the warm ones are faster")
	require.Less(t, float64(g.P), 0.001)
	require.NotEmpty(t, g.Method)
	byFood := k.TimingBy("Danio rerio", Lay, Hatch, "live-food")
	require.InDelta(t, float64(g.P), float64(byFood.P), 1e-12, "the same groups by another name")

	byDose := k.TimingBy("Danio rerio", Lay, Hatch, "conditioning")
	require.Equal(t, []string{"7 to 14 days", "21 to 28 days"}, []string{byDose.Groups[0].Name, byDose.Groups[1].Name}, "an amount in bands of its natural step")
	require.InDelta(t, float64(g.P), float64(byDose.P), 1e-12)
	byMonth := k.TimingBy("Danio rerio", Lay, Hatch, "month")
	require.Equal(t, []string{"01 January", "02 February"}, []string{byMonth.Groups[0].Name, byMonth.Groups[1].Name})
	require.False(t, k.KnowsGroup("moon"), "the moon is not fixed for an attempt")

	alike := 0
	for seed := range uint64(20) {
		if float64(warmAndCool(0, 10+seed).TimingBy("Danio rerio", Lay, Hatch, "temperature").P) < 0.05 {
			alike++
		}
	}
	require.LessOrEqual(t, alike, 4, "20 worlds without a difference: one in twenty is expected below 0.05")
}

func TestEggsOfGroups(t *testing.T) {
	k := warmAndCool(2, 1)
	g := k.EggsBy("Danio rerio", "live-food")
	require.Len(t, g.Groups, 2)
	require.Equal(t, 60, g.Groups[0].N+g.Groups[1].N)
	require.Greater(t, float64(g.P), 0.01)
	few := k.EggsBy("Danio rerio", "hatch-aid")
	require.Equal(t, notKnown, few.Groups[0].Name)
	require.NotEmpty(t, few.Note)
	require.False(t, k.KnowsGroup("mood"))
	require.NotEmpty(t, k.EggsBy("Danio rerio", "mood").Note)
	for _, by := range GroupNames() {
		require.True(t, k.KnowsGroup(by), by)
	}
}

// The p-value of equal means is that of R 4.2.2 with MASS 7.3.58.2: twice the difference
// of the log-likelihoods of glm.nb(y ~ g) and glm.nb(y ~ 1) with y = 12 18 25 31 7 | 40 52
// 33 61 45 is 9.7997728340, against chi-square with 1 degree of freedom.
func TestEqualMeansAgainstR(t *testing.T) {
	counts := map[string][]int64{"A": {12, 18, 25, 31, 7}, "B": {40, 52, 33, 61, 45}}
	tables := &club.Tables{}
	for keeper, list := range counts {
		for _, n := range list {
			tables.Clutches = append(tables.Clutches, club.Clutch{Keeper: keeper, Species: "Danio rerio", Eggs: club.Some(n)})
		}
	}
	k := Asker{Records: exposure.New(tables, exposure.Options{})}
	require.InDelta(t, 0.001745334288, float64(k.EggsBy("Danio rerio", "keeper").P), 1e-6)
}
