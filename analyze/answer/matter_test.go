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

// A world is a made-up club whose truth is known.
type world struct {
	attempts, keepers int
	pressure          float64 // log odds ratio of a day after a fall
	food              float64 // log odds ratio of live food
	skill             float64 // spread of keepers on the log-odds scale
	skilledFeed       bool    // the better a keeper, the more live food
	seed              uint64
}

func (w world) tables() *club.Tables {
	rng := rand.New(rand.NewPCG(w.seed, 1))
	t := &club.Tables{}
	start := time.Date(2023, 1, 1, 0, 0, 0, 0, time.UTC)
	p, level := 1013.0, []float64{}
	for h := range 3 * 365 * 24 {
		p += 0.006*(1013-p) + 0.75*rng.NormFloat64()
		level = append(level, p)
		t.Readings = append(t.Readings, club.Reading{Keeper: "sky", Place: "town", At: club.Some(start.Add(time.Duration(h) * time.Hour)), Quantity: "air_pressure_hpa", Value: club.Some(p)})
	}
	skill := make([]float64, w.keepers)
	for k := range skill {
		skill[k] = -2.6 + w.skill*rng.NormFloat64()
	}
	for range w.attempts {
		k := rng.IntN(w.keepers)
		began := 2 + rng.IntN(3*365-30)
		food := rng.Float64() < 0.5
		if w.skilledFeed {
			food = rng.Float64() < 0.1+0.8/(1+math.Exp(-2*(skill[k]+2.6)))
		}
		a := club.Attempt{Keeper: string(rune('A' + k)), System: "T1", Species: "Corydoras paleatus", Began: club.Some(start.AddDate(0, 0, began)), Spawned: club.Some(false), LiveFood: club.Some(food), TemperatureC: club.Some(23 + rng.NormFloat64())}
		days := 9 + rng.IntN(6)
		a.Ended = club.Some(start.AddDate(0, 0, began+days-1))
		for d := began; d < began+days; d++ {
			eta := skill[k]
			if level[d*24]-level[(d-1)*24] <= -5 {
				eta += w.pressure
			}
			if food {
				eta += w.food
			}
			if rng.Float64() < 1/(1+math.Exp(-eta)) {
				a.Spawned = club.Some(true)
				a.SpawnedAt = club.Some(start.AddDate(0, 0, d).Add(9 * time.Hour))
				a.Ended = a.SpawnedAt
				break
			}
		}
		t.Attempts = append(t.Attempts, a)
	}
	return t
}

func ask(t *testing.T, w world, code string) Answer {
	t.Helper()
	trigger, ok := catalogue.Find(catalogue.Triggers(), code)
	require.True(t, ok)
	k := Asker{Records: exposure.New(w.tables(), exposure.Options{}), Triggers: catalogue.Triggers()}
	return k.Matter("Corydoras paleatus", trigger)
}

// worlds is how many worlds a test of chances looks at.
func worlds() uint64 {
	if testing.Short() {
		return 5
	}
	return 20
}

// A planted link is found, the interval covers it, and the placebo stops few of the
// answers: with 20 worlds a sound method has 19 covered and 1 stopped on average.
func TestPressureFoundWherePlanted(t *testing.T) {
	found, covered, stopped := 0, 0, 0
	for seed := range worlds() {
		a := ask(t, world{attempts: 200, keepers: 8, pressure: math.Log(3.5), skill: 0.5, seed: 1 + seed}, "pressure-drop")
		require.Equal(t, ByTankDay, a.Design)
		if a.Verdict == Matters || a.Verdict == Leans {
			found++
		}
		if a.OddsRatio.Low <= 3.5 && a.OddsRatio.High >= 3.5 {
			covered++
		}
		if !a.Checks.Placebo.Passed {
			require.Equal(t, CannotTell, a.Verdict, "a failed placebo caps the verdict")
			stopped++
		}
		sum := a.Counts.Attempts
		for _, l := range a.Counts.LeftOut {
			sum += l.N
		}
		require.Equal(t, a.Counts.Total, sum)
	}
	n := int(worlds())
	t.Logf("found %d, covered %d, stopped by the placebo %d of %d", found, covered, stopped, n)
	require.GreaterOrEqual(t, found, n*8/10)
	require.GreaterOrEqual(t, covered, n*8/10)
	require.LessOrEqual(t, stopped, max(1, n*3/20))
}

func TestNoPressureWhereNoneIsPlanted(t *testing.T) {
	linked := 0
	for seed := range worlds() {
		a := ask(t, world{attempts: 200, keepers: 8, skill: 0.5, seed: 100 + seed}, "pressure-drop")
		require.NotEqual(t, Matters, a.Verdict)
		if a.Verdict == Leans {
			linked++
		}
	}
	require.LessOrEqual(t, linked, max(1, int(worlds())*3/20))
}

// Skilled keepers feed live food, and it does nothing: within keepers there is no
// link, though the raw shares differ.
func TestSkillIsNotTheFood(t *testing.T) {
	for seed := range worlds() {
		a := ask(t, world{attempts: 200, keepers: 10, skill: 1, skilledFeed: true, seed: 300 + seed}, "live-food")
		require.NotEqual(t, Matters, a.Verdict, "seed %d", 300+seed)
	}
}

func TestLiveFood(t *testing.T) {
	a := ask(t, world{attempts: 300, keepers: 10, food: math.Log(2.5), skill: 0.5, seed: 5}, "live-food")
	require.Equal(t, OK, a.Status, a.Reason)
	require.Equal(t, ByAttempt, a.Design)
	require.Less(t, float64(a.OddsRatio.Low), 2.5)
	require.Greater(t, float64(a.OddsRatio.High), 2.5)
	require.Greater(t, float64(a.Per100.Difference.Low), 0.0)
}

func BenchmarkMatter(b *testing.B) {
	w := world{attempts: 1000, keepers: 12, pressure: 1, skill: 0.5, seed: 1}
	trigger, _ := catalogue.Find(catalogue.Triggers(), "pressure-drop")
	k := Asker{Records: exposure.New(w.tables(), exposure.Options{}), Triggers: catalogue.Triggers()}
	for b.Loop() {
		k.Matter("Corydoras paleatus", trigger)
	}
}

// The size that a question must answer for at once: 10,000 attempts of 30 keepers and a
// million readings. The sub-benchmarks are the split.
func BenchmarkAskAtScale(b *testing.B) {
	tables := manyRecords()
	trigger, _ := catalogue.Find(catalogue.Triggers(), "pressure-drop")
	b.Run("index", func(b *testing.B) {
		for b.Loop() {
			exposure.New(tables, exposure.Options{})
		}
	})
	r := exposure.New(tables, exposure.Options{})
	k := Asker{Records: r, Triggers: catalogue.Triggers()}
	b.Run("rows", func(b *testing.B) {
		for b.Loop() {
			r.Values(r.Rows("Corydoras paleatus", true), trigger, 0)
		}
	})
	b.Run("answer", func(b *testing.B) {
		for b.Loop() {
			k.Matter("Corydoras paleatus", trigger)
		}
	})
	b.Run("answer-with-views", func(b *testing.B) {
		k.Views = true
		for b.Loop() {
			k.Matter("Corydoras paleatus", trigger)
		}
	})
}

// manyRecords is a club of 30 keepers, 10,000 attempts and 1,000,000 readings.
func manyRecords() *club.Tables {
	rng := rand.New(rand.NewPCG(1, 1))
	t := &club.Tables{}
	start := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)
	const days, readings = 5 * 365, 1_000_000
	every := time.Duration(days) * 24 * time.Hour / readings
	p, level := 1013.0, make([]float64, readings)
	for i := range level {
		p += 0.0003*(1013-p) + 0.16*rng.NormFloat64()
		level[i] = p
		t.Readings = append(t.Readings, club.Reading{Keeper: "sky", Place: "town", At: club.Some(start.Add(time.Duration(i) * every)), Quantity: "air_pressure_hpa", Value: club.Some(p)})
	}
	at := func(day int) float64 { return level[min(int(time.Duration(day)*24*time.Hour/every), readings-1)] }
	skill := make([]float64, 30)
	for k := range skill {
		skill[k] = -2.6 + 0.7*rng.NormFloat64()
	}
	for range 10_000 {
		k, began, length := rng.IntN(len(skill)), 2+rng.IntN(days-30), 9+rng.IntN(6)
		a := club.Attempt{Keeper: string(rune('A' + k)), System: "T1", Species: "Corydoras paleatus", Began: club.Some(start.AddDate(0, 0, began)), Spawned: club.Some(false),
			LiveFood: club.Some(rng.Float64() < 0.5), TemperatureC: club.Some(23 + rng.NormFloat64()), Ended: club.Some(start.AddDate(0, 0, began+length-1))}
		for d := began; d < began+length; d++ {
			eta := skill[k]
			if at(d)-at(d-1) <= -5 {
				eta += 0.5
			}
			if rng.Float64() < logistic(eta) {
				a.Spawned = club.Some(true)
				a.SpawnedAt = club.Some(start.AddDate(0, 0, d).Add(9 * time.Hour))
				a.Ended = a.SpawnedAt
				break
			}
		}
		t.Attempts = append(t.Attempts, a)
	}
	return t
}
