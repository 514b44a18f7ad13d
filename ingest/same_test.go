package ingest

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// plainSame is sameReadings by its definition: every reading is held against the
// first one of its stream and instant.
func plainSame(list []club.Reading) (kept []club.Reading, problems []problem.Problem, repeatedRows map[club.Source]bool) {
	type key struct {
		stream
		at club.When
	}
	first := map[key]int{}
	repeated, disputed := map[int]bool{}, map[int]bool{}
	for i := range list {
		r := &list[i]
		k := key{stream{r.Keeper, r.System, r.Place, r.Quantity}, r.At}
		j, twice := first[k]
		switch {
		case !twice:
			first[k] = i
		case list[j].Value == r.Value:
			repeated[i] = true
		default:
			disputed[i], disputed[j] = true, true
			problems = append(problems, disagreement(r, &list[j]))
		}
	}
	used := map[club.Source]bool{}
	for i, r := range list {
		used[r.Source] = used[r.Source] || !repeated[i]
		if !repeated[i] && !disputed[i] {
			kept = append(kept, r)
		}
	}
	repeatedRows = map[club.Source]bool{}
	for s, u := range used {
		if !u {
			repeatedRows[s] = true
		}
	}
	return kept, problems, repeatedRows
}

// Overlapping, unordered and contradicting exports at random give what the
// definition says.
func TestSameReadingsByDefinition(t *testing.T) {
	repeats, disputes := 0, 0
	for seed := range uint64(300) {
		rng := rand.New(rand.NewPCG(seed, 5))
		var list []club.Reading
		for export := range 1 + rng.IntN(5) {
			from := rng.IntN(100)
			for i := range rng.IntN(60) {
				at := from + i
				switch rng.IntN(20) {
				case 0:
					at -= rng.IntN(30)
				case 1:
					at--
				}
				row := club.Source{File: fmt.Sprint("ana/", export, ".csv"), Row: int64(i + 2)}
				for q := range 1 + rng.IntN(2) {
					r := club.Reading{Keeper: "ana", Place: fmt.Sprint(rng.IntN(8) / 7), Quantity: []string{"air_pressure_hpa", "ph"}[q], Source: row,
						At: club.Some(time.Unix(int64(60*at), 0).UTC()), Value: club.Some(float64(at%7 + rng.IntN(12)/11))}
					if rng.IntN(40) == 0 {
						r.At = club.When{}
					}
					if rng.IntN(40) == 0 {
						r.Value = club.Number{}
					}
					list = append(list, r)
				}
			}
		}
		c := makeClub(t, "", nil)
		change, err := c.Begin()
		require.NoError(t, err)
		all := collected{readings: newReadingList(change)}
		files := map[string]int64{}
		for _, r := range list {
			all.readings.take(r)
			files[r.Source.File]++
		}
		for file := range files {
			all.sources = append(all.sources, club.SourceSheet{File: file, Used: 1000})
		}
		all.sameReadings()
		kept, problems, repeatedRows := plainSame(list)
		require.Equal(t, problems, all.problems, "seed %d", seed)
		for _, s := range all.sources {
			n := int64(0)
			for row := range repeatedRows {
				if row.File == s.File {
					n++
				}
			}
			require.Equal(t, club.SourceSheet{File: s.File, Used: 1000 - n, Skipped: n}, s, "seed %d", seed)
		}
		require.Equal(t, len(kept), all.readings.Kept(), "seed %d", seed)
		if seed%20 == 0 {
			require.NoError(t, change.ReplaceLong(club.Tables{}, all.readings.Readings))
			stored, err := c.Load(club.TableReadings)
			require.NoError(t, err)
			require.Equal(t, kept, stored.Readings, "seed %d", seed)
		}
		require.NoError(t, change.Close())
		repeats, disputes = repeats+len(repeatedRows), disputes+len(problems)
	}
	require.Greater(t, repeats, 300)
	require.Greater(t, disputes, 300)
}

func TestMeet(t *testing.T) {
	for _, c := range []struct {
		runs []stretch
		want bool
	}{
		{nil, false},
		{[]stretch{{from: 1, to: 5}}, false},
		{[]stretch{{from: 1, to: 5}, {from: 6, to: 9}}, false},
		{[]stretch{{from: 6, to: 9}, {from: 1, to: 5}}, false},
		{[]stretch{{from: 1, to: 5}, {from: 5, to: 9}}, true},
		{[]stretch{{from: 20, to: 30}, {from: 1, to: 25}, {from: 40, to: 41}}, true},
		{[]stretch{{from: 1, to: 100}, {from: 200, to: 201}, {from: 3, to: 4}}, true},
	} {
		require.Equal(t, c.want, meet(c.runs), "%v", c.runs)
	}
}
