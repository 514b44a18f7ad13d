package cell

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// OrderVotes decides every column as SolveDates does, which holds all its dates.
func TestOrderVotesSolveAsSolveDates(t *testing.T) {
	window := WindowUntil(time.Date(2024, 6, 1, 0, 0, 0, 0, time.UTC))
	statuses := map[OrderStatus]int{}
	doubted := 0
	for seed := range uint64(6000) {
		rng := rand.New(rand.NewPCG(seed, 9))
		texts := columnAtRandom(rng)
		if seed%4 == 0 {
			texts = slippedColumn(rng)
		}
		want := SolveDates(texts, window)
		votes := NewOrderVotes(window)
		for i, text := range texts {
			require.Equal(t, len(voters(text)) > 0, votes.Add(text), "%q", texts[i])
		}
		got := votes.Solve()
		first := map[Order]Force{}
		for _, f := range want.Forces {
			if _, seen := first[f.Order]; !seen {
				first[f.Order] = f
			}
		}
		found := map[Order]Force{}
		for _, f := range got.Forces {
			if had, seen := found[f.Order]; !seen || f.Index < had.Index {
				found[f.Order] = f
			}
		}
		require.Equal(t, first, found, "seed %d: %q", seed, texts)
		want.Forces, got.Forces = nil, nil
		require.Equal(t, want, got, "seed %d: %q", seed, texts)
		statuses[want.Status]++
		if want.Status == OrderAmbiguous && want.Dates >= amongMany && len(want.Why) > 100 {
			doubted++
		}
	}
	for _, s := range []OrderStatus{OrderNotNeeded, OrderSure, OrderImplied, OrderAmbiguous, OrderConflict} {
		require.Greater(t, statuses[s], 30, "%s: %v", s, statuses)
	}
	require.Greater(t, doubted, 5)
}

// columnAtRandom makes a column of dates in one manner, mostly running forwards,
// with some slips.
func columnAtRandom(rng *rand.Rand) []string {
	sep := []string{"/", ".", "-"}[rng.IntN(3)]
	order, short, clock := rng.IntN(4), rng.IntN(2) == 0, rng.IntN(3) == 0
	pad := []string{"%02d", "%d"}[rng.IntN(2)]
	day := time.Date(1985+rng.IntN(41), time.Month(1+rng.IntN(12)), 1+rng.IntN(28), 0, 0, 0, 0, time.UTC)
	step, slips := rng.IntN(40), rng.IntN(3) == 0
	low := rng.IntN(3) == 0 // days up to 12 only
	texts := make([]string, rng.IntN(45))
	for i := range texts {
		if rng.IntN(12) > 0 {
			day = day.AddDate(0, 0, rng.IntN(step+1))
		} else {
			day = day.AddDate(0, 0, -rng.IntN(60))
		}
		d := day
		if low {
			d = time.Date(d.Year(), d.Month(), 1+d.Day()%12, 0, 0, 0, 0, time.UTC)
		}
		now := order
		if slips && rng.IntN(20) == 0 {
			now = rng.IntN(4)
		}
		year := fmt.Sprintf("%04d", d.Year())
		if short {
			year = year[2:]
		}
		dd, mm := fmt.Sprintf(pad, d.Day()), fmt.Sprintf(pad, int(d.Month()))
		switch now {
		case 0:
			texts[i] = dd + sep + mm + sep + year
		case 1:
			texts[i] = mm + sep + dd + sep + year
		case 2:
			texts[i] = year + sep + mm + sep + dd
		default:
			texts[i] = d.Format("2006-01-02")
		}
		if clock {
			texts[i] += " 07:30"
		}
		switch rng.IntN(60) {
		case 0:
			texts[i] = []string{"", "n/a", "31/04/2024", "4 March 2024", "04/03", "Mon 04/03/2024", "soon", "01/02/2024 - 03/02/2024", "99/99/99"}[rng.IntN(9)]
		case 1:
			texts[i] = dd + sep + mm
		}
	}
	return texts
}

// slippedColumn makes a column that runs forwards with the day first, but for one or
// two dates that only the other order reads.
func slippedColumn(rng *rand.Rand) []string {
	var texts []string
	for month := range 18 + rng.IntN(10) {
		texts = append(texts, fmt.Sprintf("%02d/%02d/%d", 1+rng.IntN(12), 1+month%12, 2020+month/12))
	}
	for range 1 + rng.IntN(3) {
		texts[rng.IntN(len(texts))] = fmt.Sprintf("%02d/%d/2021", 1+rng.IntN(12), 13+rng.IntN(15))
	}
	return texts
}

func BenchmarkOrderVotes(b *testing.B) {
	texts := make([]string, 1440)
	for i := range texts {
		texts[i] = fmt.Sprintf("13.02.2024 %02d:%02d:00", i/60, i%60)
	}
	window := WindowUntil(time.Date(2024, 6, 1, 0, 0, 0, 0, time.UTC))
	b.ReportAllocs()
	for b.Loop() {
		votes := NewOrderVotes(window)
		for _, text := range texts {
			votes.Add(text)
		}
		if votes.Solve().Order != DMY {
			b.Fatal("the order is not found")
		}
	}
}
