package exposure

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/analyze/catalogue"
	"gravid/ingest/club"
)

// logOf is a log with stretches of any rhythm, from minutes to days, with several readings
// at some seconds, not in order of time.
func logOf(dice *rand.Rand, zone *time.Location) *series {
	s := &series{}
	at := time.Date(2018, 10, 20, 0, 0, 0, 0, zone).Unix()
	for range 40 {
		rhythm := []int64{600, 3600, 5400, 4 * 3600, 7 * 3600, 86400, 86000, 3 * 86400}[dice.IntN(8)]
		for range 1 + dice.IntN(12) {
			at += rhythm + int64(dice.IntN(3)-1)*int64(dice.IntN(600))*int64(dice.IntN(2))
			for range 1 + dice.IntN(8)/7 {
				s.at, s.value = append(s.at, at), append(s.value, 980+float64(dice.IntN(400))/10)
			}
		}
	}
	for range 20 { // a few out of place
		s.Swap(dice.IntN(len(s.at)), dice.IntN(len(s.at)))
	}
	return s
}

// TestPartsOfALog: however a log is split and put together, also where a window comes
// twice, each day's change is to the bit that of the whole log.
func TestPartsOfALog(t *testing.T) {
	dice := rand.New(rand.NewPCG(1, 2))
	rules := []*catalogue.Daily{
		{Rule: catalogue.Fall, WindowHours: 24}, {Rule: catalogue.FallShare, WindowHours: 7 * 24},
		{Rule: catalogue.Rise, WindowHours: 1}, {Rule: catalogue.Rise, WindowHours: 36.5},
	}
	var known, fromEarlier, unknown int
	for round := range 200 {
		zone := vienna
		if round%2 == 1 {
			var err error
			zone, err = time.LoadLocation("America/Sao_Paulo") // clocks changed at midnight
			require.NoError(t, err)
		}
		s, d := logOf(dice, zone), rules[round%len(rules)]
		makers := make([]*PartMaker, 1+dice.IntN(5))
		for i := range makers {
			makers[i] = NewPartMaker(zone, d)
		}
		for i := range s.at {
			makers[dice.IntN(len(makers))].Add(s.at[i], int64(i), s.value[i])
		}
		dice.Shuffle(len(makers), func(i, j int) { makers[i], makers[j] = makers[j], makers[i] })
		var whole Part
		for _, m := range makers {
			p := m.Part()
			if dice.IntN(2) == 0 {
				whole = whole.Merge(p, d)
			} else {
				whole = p.Merge(whole, d)
			}
			again := p
			again.Readings = 0
			whole = whole.Merge(again, d)
		}
		require.EqualValues(t, len(s.at), whole.Readings)

		s.sort()
		last := time.Unix(s.at[len(s.at)-1], 0)
		for n := -3; ; n++ {
			day := time.Date(2018, 10, 20+n, 0, 0, 0, 0, zone)
			if day.After(last.AddDate(0, 0, 10)) {
				break
			}
			to := day.Unix()
			from := to - int64(d.WindowHours*3600)
			change, share := s.change(from, to)
			change2, share2 := whole.Change(to, d)
			require.Equal(t, math.Float64bits(change), math.Float64bits(change2), "round %d, %s", round, day)
			require.Equal(t, math.Float64bits(share), math.Float64bits(share2), "round %d, %s", round, day)
			switch settled := (Window{From: s.around(from), To: s.around(to)}).settled(from, to); {
			case math.IsNaN(change):
				unknown++
			case settled:
				known++
			default:
				fromEarlier++
			}
		}
	}
	for _, n := range []int{known, fromEarlier, unknown} {
		require.Greater(t, n, 300, "the logs are too much alike to test anything")
	}
}

// TestDenseLogsMakeSmallParts: a window that is settled keeps no readings but those at its
// ends.
func TestDenseLogsMakeSmallParts(t *testing.T) {
	p := NewPartMaker(time.UTC, &catalogue.Daily{Rule: catalogue.Fall, WindowHours: 24})
	for i := range int64(10 * 1440) {
		p.Add(i*60, i, 1000)
	}
	kept := 0
	for _, d := range p.Part().Days[3:9] {
		kept += len(d.Near)
	}
	require.Zero(t, kept)
}

// Where clocks are put forward at midnight, that day has none. São Paulo did so on
// 2018-11-04 (IANA time zone database).
func TestDaysWithoutMidnight(t *testing.T) {
	zone, err := time.LoadLocation("America/Sao_Paulo")
	require.NoError(t, err)
	noon := func(day int) club.When { return on(time.Date(2018, 11, day, 12, 0, 0, 0, zone)) }
	a := club.Attempt{ID: "a", Keeper: "ana", Species: "x", Began: noon(2), Ended: noon(7), SpawnedAt: noon(7), Spawned: club.Some(true)}
	b := a
	b.Began = noon(4)
	r := New(&club.Tables{Attempts: []club.Attempt{a, b}}, Options{Zone: zone})
	f := r.Rows("x", true)
	require.Equal(t, []float64{0, 0, 0, 0, 1, 0, 0, 1}, f.Y)
	for i, day := range []int{3, 4, 5, 6, 7, 5, 6, 7} {
		require.LessOrEqual(t, f.Opens[i].Sub(time.Date(2018, 11, day, 0, 0, 0, 0, zone)).Abs(), time.Hour)
	}
}
