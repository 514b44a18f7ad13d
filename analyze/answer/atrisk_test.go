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

// spawnings is a made-up club of keepers who write down spawnings only. Its worlds are
// those of a pilot with 12 keepers over 364 days and 10 days of rest after a spawn.
type spawnings struct {
	effect float64 // log odds ratio of a day after a fall
	season float64 // strength of the season, which drives pressure too where it is not 0
	rest   int     // days after a spawn without another
	watch  bool    // the club says when they watched
	seed   uint64
}

func (s spawnings) ask(t *testing.T) Answer {
	t.Helper()
	rng := rand.New(rand.NewPCG(s.seed, 7))
	tables := &club.Tables{}
	start := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)
	const days = 364
	p, level := 1013.0, []float64{}
	for h := range days * 24 {
		p += 0.006*(1013-p) + 0.75*rng.NormFloat64()
		level = append(level, p)
		tables.Readings = append(tables.Readings, club.Reading{Keeper: "sky", Place: "town", At: club.Some(start.Add(time.Duration(h) * time.Hour)), Quantity: "air_pressure_hpa", Value: club.Some(p)})
	}
	watches := map[string]exposure.Watch{}
	for k := range 12 {
		keeper := string(rune('A' + k))
		base := -2.6 + 0.5*rng.NormFloat64()
		last := -s.rest - 1
		for d := 1; d < days; d++ {
			eta := base + s.season*math.Sin(2*math.Pi*float64(d)/365.25)
			if level[d*24]-level[(d-1)*24] <= -5 {
				eta += s.effect
			}
			if d-last > s.rest && rng.Float64() < logistic(eta) {
				last = d
				tables.Attempts = append(tables.Attempts, club.Attempt{Keeper: keeper, System: "T", Species: "Danio rerio", Spawned: club.Some(true), SpawnedAt: club.Some(start.AddDate(0, 0, d).Add(9 * time.Hour))})
			}
		}
		if s.watch {
			watches[keeper] = exposure.Watch{From: start.AddDate(0, 0, 1), To: start.AddDate(0, 0, days-1)}
		}
	}
	trigger, ok := catalogue.Find(catalogue.Triggers(), "pressure-drop")
	require.True(t, ok)
	k := Asker{Records: exposure.New(tables, exposure.Options{Watches: watches}), Triggers: catalogue.Triggers()}
	return k.Matter("Danio rerio", trigger)
}

// Spawnings alone give the odds ratio that was planted, on average, and nothing per 100.
// The bounds are three standard errors of the mean of so few worlds.
func TestSpawningsAloneGiveTheRatio(t *testing.T) {
	for _, c := range []struct {
		name  string
		watch bool
		want  Design
	}{{"watched days known", true, AtRiskDays}, {"comparison days assumed", false, MatchedDays}} {
		for _, effect := range []float64{0, 0.7} {
			var sum, squares, covered float64
			n := float64(worlds())
			for seed := range worlds() {
				a := spawnings{effect: effect, season: 0.5, rest: 10, watch: c.watch, seed: 40 + seed}.ask(t)
				require.Equal(t, c.want, a.Design, a.Reason)
				require.True(t, a.OddsRatio.Known(), a.Reason)
				require.False(t, a.Per100.Difference.Known(), "no chances follow from spawnings alone")
				b := math.Log(float64(a.OddsRatio.Estimate))
				sum += b
				squares += b * b
				if math.Log(float64(a.OddsRatio.Low)) <= effect && effect <= math.Log(float64(a.OddsRatio.High)) {
					covered++
				}
				if effect == 0 {
					require.NotEqual(t, Matters, a.Verdict, "%s, seed %d", c.name, 40+seed)
				}
			}
			mean := sum / n
			se := math.Sqrt(max(0, squares/n-mean*mean) / n)
			t.Logf("%s, planted %.1f: mean %.2f (standard error %.2f), covered %.0f of %.0f", c.name, effect, mean, se, covered, n)
			require.InDelta(t, effect, mean, 3*se+0.05, c.name)
			require.GreaterOrEqual(t, covered, math.Floor(0.8*n), c.name)
		}
	}
}

// Other ways to look at a question stand beside the answer and do not change it.
func TestViewsStandBesideTheAnswer(t *testing.T) {
	w := world{attempts: 250, keepers: 8, pressure: math.Log(3), skill: 0.5, seed: 11}
	trigger, _ := catalogue.Find(catalogue.Triggers(), "pressure-drop")
	k := Asker{Records: exposure.New(w.tables(), exposure.Options{}), Triggers: catalogue.Triggers()}
	plain := k.Matter("Corydoras paleatus", trigger)
	k.Views = true
	a := k.Matter("Corydoras paleatus", trigger)
	require.Equal(t, plain.OddsRatio, a.OddsRatio)
	require.Equal(t, plain.Verdict, a.Verdict)
	names := map[string]bool{}
	for _, v := range a.Checks.Views {
		names[v.Name] = true
		if v.OddsRatio.Known() {
			require.Empty(t, v.Note)
			require.InDelta(t, math.Log(float64(a.OddsRatio.Estimate)), math.Log(float64(v.OddsRatio.Estimate)), 1.5, v.Name)
		} else {
			require.NotEmpty(t, v.Note)
		}
	}
	for _, want := range []string{"each keeper by conditional likelihood", "keepers as a random draw of keepers", "season not held alike", "season 2025 alone", "seasons before 2025"} {
		require.True(t, names[want], want)
	}
	days, spawned := 0, 0
	for _, b := range a.Bands {
		days += b.Days
		spawned += b.Spawned
		if float64(b.From) >= 5 && b.Odds.Known() {
			require.Greater(t, float64(b.Odds.High), 1.0, b.Label)
		}
	}
	require.Positive(t, spawned)
	require.Less(t, days, a.Counts.Rows, "days without a change are what bands are compared with")
}

// One trigger over several species: the pooled figure needs three, and lies among them.
func TestOneTriggerOverSeveralSpecies(t *testing.T) {
	tables := &club.Tables{}
	names := []string{"Danio rerio", "Corydoras paleatus", "Betta splendens", "Corydoras panda"}
	for i, s := range names {
		one := world{attempts: 150, keepers: 6, food: math.Log(2.5), skill: 0.4, seed: 60 + uint64(i)}.tables()
		for j := range one.Attempts {
			one.Attempts[j].Species = s
		}
		tables.Attempts = append(tables.Attempts, one.Attempts...)
	}
	trigger, _ := catalogue.Find(catalogue.Triggers(), "live-food")
	k := Asker{Records: exposure.New(tables, exposure.Options{}), Triggers: catalogue.Triggers()}
	require.Len(t, k.LoggedSpecies(), 4)
	a := k.MatterAcross(k.LoggedSpecies(), trigger)
	require.Equal(t, 4, a.Species)
	require.True(t, a.Pooled.Known(), a.Reason)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, x := range a.Answers {
		lo, hi = min(lo, float64(x.OddsRatio.Estimate)), max(hi, float64(x.OddsRatio.Estimate))
	}
	require.GreaterOrEqual(t, float64(a.Pooled.Estimate), lo)
	require.LessOrEqual(t, float64(a.Pooled.Estimate), hi)
	require.Less(t, float64(a.Pooled.Low), 2.5)
	require.Greater(t, float64(a.Pooled.High), 2.5)
	require.False(t, a.Next.Known(), "four species are too few to say where a fifth will lie")
	two := k.MatterAcross(k.LoggedSpecies()[:2], trigger)
	require.False(t, two.Pooled.Known())
	require.NotEmpty(t, two.Reason)
}

func TestWhatAQuestionAsks(t *testing.T) {
	species := func(string) []string { return []string{"Danio rerio"} }
	for text, want := range map[string]Asks{
		"does a pressure drop matter for Danio rerio?":       AsksMatter,
		"how big must the pressure drop be for Danio rerio?": AsksSize,
		"what helps Danio rerio?":                            AsksWhich,
		"which triggers matter for Danio rerio":              AsksWhich,
		"what makes Danio rerio spawn?":                      AsksWhich,
		"does live food help Danio rerio?":                   AsksMatter,
		"what does live food do to make Danio rerio spawn?":  AsksMatter,
		"when will the fry of Danio rerio swim at 25 °C?":    AsksTiming,
		"how long until the eggs hatch?":                     AsksTiming,
		"when must first food be ready?":                     AsksTiming,
		"how long must the dry spell be for Danio rerio?":    AsksSize,
		"how many eggs are normal for Danio rerio?":          AsksEggs,
		"does live food go with more eggs in Danio rerio?":   AsksEggs,
		"what should we try next season?":                    AsksPlan,
		"what to try next with Danio rerio":                  AsksPlan,
	} {
		require.Equal(t, want, Understand(text, catalogue.Triggers(), species).Asks, text)
	}
}
