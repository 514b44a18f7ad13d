package exposure

import (
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

// Rows that are kept are those laid out anew, whoever has used them meanwhile.
func TestKeptRows(t *testing.T) {
	day := func(n int) club.When { return club.Some(time.Date(2024, 3, n, 0, 0, 0, 0, time.UTC)) }
	attempt := func(species, keeper string, from, to int, spawned club.Truth) club.Attempt {
		return club.Attempt{Species: species, Keeper: keeper, Began: day(from), Ended: day(to), Spawned: spawned, SpawnedAt: day(to)}
	}
	tables := club.Tables{Attempts: []club.Attempt{
		attempt("a", "K", 1, 5, club.Some(true)), attempt("a", "L", 3, 9, club.Some(false)), attempt("a", "", 3, 9, club.Some(false)),
		attempt("b", "K", 2, 4, club.Some(false)),
	}}
	r := New(&tables, Options{})
	fresh := func(species string, byDay bool) *Frame { return New(&tables, Options{}).Rows(species, byDay) }
	var all sync.WaitGroup
	for k := range 8 {
		all.Go(func() {
			f := r.Rows("a", k%2 == 0)
			f.Keep(func(row int) bool { return row%2 == 0 }, "no keeper named")
			f.Keep(func(row int) bool { return true }, "nothing")
			r.Rows("b", true)
		})
	}
	all.Wait()
	for _, species := range []string{"a", "b", "a", "c"} {
		for _, byDay := range []bool{true, false} {
			require.Equal(t, fresh(species, byDay), r.Rows(species, byDay))
		}
	}
}
