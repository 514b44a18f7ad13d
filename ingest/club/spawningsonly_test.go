package club_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

// outcomesOf writes attempts of one keeper by their outcomes: s spawned, f failed, o open.
func outcomesOf(keeper, species, outcomes string) []club.Attempt {
	var out []club.Attempt
	began := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)
	for i, o := range outcomes {
		a := club.Attempt{Keeper: keeper, Species: species, Began: club.Some(began.AddDate(0, 0, 20*i))}
		switch o {
		case 's':
			a.Spawned, a.SpawnedAt = club.Some(true), club.Some(a.Began.V.AddDate(0, 0, 5))
		case 'f':
			a.Spawned, a.Ended = club.Some(false), club.Some(a.Began.V.AddDate(0, 0, 14))
		}
		out = append(out, a)
	}
	return out
}

func TestWhoWritesSpawningsOnly(t *testing.T) {
	const easy, hard = "Danio rerio", "Apistogramma cacatuoides"
	others := slices.Concat(
		outcomesOf("ben", easy, "ssssssssssssssssssssssssssssssssssssssf"), outcomesOf("ben", hard, "sfsfsfsfsf"),
		outcomesOf("cy", easy, "sssssssssssssssssssssssssssssssssssssssf"), outcomesOf("cy", hard, "sfsfsfsfsf"))
	run := strings.Repeat("s", 12)
	each := func(list []club.Attempt, change func(*club.Attempt)) []club.Attempt {
		for i := range list {
			change(&list[i])
		}
		return list
	}
	noStart := func(a *club.Attempt) { a.Began = club.When{} }
	endsAtSpawn := func(a *club.Attempt) { a.Ended = a.SpawnedAt }
	endsLater := func(a *club.Attempt) { a.Ended = club.Some(a.SpawnedAt.V.AddDate(0, 0, 3)) }
	for name, c := range map[string]struct {
		ana  []club.Attempt
		said map[string]bool
		want bool
	}{
		"half of the others' attempts fail":          {outcomesOf("ana", hard, run), nil, true},
		"hardly any of the others' attempts fails":   {outcomesOf("ana", easy, run), nil, false},
		"ended is the day of the spawning":           {each(outcomesOf("ana", hard, run), endsAtSpawn), nil, true},
		"ended is a later day":                       {each(outcomesOf("ana", hard, run), endsLater), nil, false},
		"no dates of setting up":                     {each(outcomesOf("ana", easy, run), noStart), nil, true},
		"one failure":                                {outcomesOf("ana", hard, run+"f"), nil, false},
		"one open":                                   {outcomesOf("ana", hard, run+"o"), nil, false},
		"four attempts":                              {outcomesOf("ana", hard, "ssss"), nil, false},
		"five attempts, by the others 1 time in 32":  {outcomesOf("ana", hard, "sssss"), nil, true},
		"the club says that every attempt is there":  {outcomesOf("ana", hard, run), map[string]bool{"ana": false}, false},
		"the club says that these are spawnings":     {outcomesOf("ana", easy, "sss"), map[string]bool{"ana": true}, true},
		"a failure tells more than what is said":     {outcomesOf("ana", easy, "sssf"), map[string]bool{"ana": true}, false},
		"a species that nobody else has, hard mixed": {outcomesOf("ana", "Pterophyllum scalare", strings.Repeat("s", 20)), nil, true},
	} {
		require.Equal(t, c.want, club.SpawningsOnly(slices.Concat(others, c.ana), c.said)["ana"], name)
	}
	require.True(t, club.SpawningsOnly(outcomesOf("ana", easy, run), nil)["ana"], "nobody else to compare with")
	require.Empty(t, club.SpawningsOnly(others, nil))
}

// Planted: keepers who write everything down, one of whom never fails because the fish are
// easy; and the same club with a keeper who leaves failures out. The run that is too long
// to be honest is found, and the honest one is hardly ever taken for it.
func TestPlantedKeepersWhoNeverFail(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 18))
	const clubs = 400
	marked := func(base float64, honest bool) float64 {
		n, of := 0.0, 0.0
		for of < clubs {
			var all []club.Attempt
			draw := func(keeper string, attempts int) {
				p := 1 / (1 + math.Exp(-base-0.7*rng.NormFloat64()))
				var b strings.Builder
				for range attempts {
					if rng.Float64() < p {
						b.WriteByte('s')
					} else if keeper != "ana" || honest {
						b.WriteByte('f')
					}
				}
				all = append(all, outcomesOf(keeper, "Danio rerio", b.String())...)
			}
			for _, k := range []string{"ben", "cy", "dora", "eli", "fen", "gil", "hana"} {
				draw(k, 15)
			}
			before := len(all)
			draw("ana", 12)
			ran := len(all)-before >= club.SpawningsOnlyFloor && !slices.ContainsFunc(all[before:], func(a club.Attempt) bool { return !a.Spawned.V })
			if !ran {
				continue // the question does not arise
			}
			of++
			if club.SpawningsOnly(all, nil)["ana"] {
				n++
			}
		}
		return n / of
	}
	honest, leavesOut := marked(2.5, true), marked(-0.4, false)
	t.Logf("marked: %.3f of those who never failed with easy fish, %.3f of those who leave failures out", honest, leavesOut)
	require.LessOrEqual(t, honest, 0.05)
	require.GreaterOrEqual(t, leavesOut, 0.9)
}
