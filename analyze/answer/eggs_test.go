package answer

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/analyze/exposure"
	"gravid/ingest/club"
)

// females makes attempts of single females that lay so many eggs a day for so many
// days, all of them watched from the first day to the last.
func females(perDay []int, days int) *club.Tables {
	t := &club.Tables{}
	start := time.Date(2024, 3, 1, 0, 0, 0, 0, time.UTC)
	for i, n := range perDay {
		id := fmt.Sprintf("attempt-%d", i)
		end := club.Some(start.AddDate(0, 0, days-1))
		t.Attempts = append(t.Attempts, club.Attempt{ID: id, Keeper: fmt.Sprintf("keeper-%d", i%3), Species: "Aphyosemion australe", Began: club.Some(start), Ended: end,
			Spawned: club.Some(true), SpawnedAt: end, Females: club.Some(int64(1))})
		t.Clutches = append(t.Clutches, club.Clutch{ID: "clutch" + id, AttemptID: id, Species: "Aphyosemion australe", Eggs: club.Some(int64(n * days)), Females: club.Some(int64(1))})
	}
	// A fourth keeper whose attempts came to nothing keeps nobody from being one who
	// writes down successes only; other species do not count.
	for i := range 3 {
		t.Attempts = append(t.Attempts, club.Attempt{ID: fmt.Sprintf("failed-%d", i), Keeper: fmt.Sprintf("keeper-%d", i), Species: "Danio rerio", Began: club.Some(start), Ended: club.Some(start), Spawned: club.Some(false)})
	}
	return t
}

// Eggs laid by one female: 2 to 3 a day for 2 to 3 days, 4 to 9 in all, when kept
// plainly; 5 to 10 a day for a week, 35 to 70 in all, when conditions suit (common
// practice, no source).
func TestEggsPerFemale(t *testing.T) {
	plain := Asker{Records: exposure.New(females([]int{2, 3, 2, 3, 3, 2}, 3), exposure.Options{})}.Eggs("Aphyosemion australe")
	require.InDelta(t, 2.5, float64(plain.PerFemaleDay.Mean), 1e-9)
	require.True(t, plain.PerClutch.Mean >= 4 && plain.PerClutch.Mean <= 9)
	require.InDelta(t, float64(plain.PerClutch.Mean), float64(plain.PerFemale.Mean), 1e-9)

	suited := Asker{Records: exposure.New(females([]int{5, 10, 7, 8, 6, 9}, 7), exposure.Options{})}.Eggs("Aphyosemion australe")
	require.InDelta(t, 7.5, float64(suited.PerFemaleDay.Mean), 1e-9)
	require.True(t, suited.PerClutch.Mean >= 35 && suited.PerClutch.Mean <= 70)
	require.Less(t, float64(plain.PerFemaleDay.High), float64(suited.PerFemaleDay.Low), "the two do not overlap")
}

// Food shortage can halve a clutch (common practice, no source): two groups whose
// means differ by half are told apart with 12 clutches each.
func TestHalvedClutch(t *testing.T) {
	full := Asker{Records: exposure.New(females([]int{10, 12, 9, 11, 10, 13, 8, 10, 11, 9, 12, 10}, 5), exposure.Options{})}.Eggs("Aphyosemion australe")
	half := Asker{Records: exposure.New(females([]int{5, 6, 4, 6, 5, 6, 4, 5, 6, 4, 6, 5}, 5), exposure.Options{})}.Eggs("Aphyosemion australe")
	require.Greater(t, float64(full.PerClutch.Low), float64(half.PerClutch.High))
}

func TestNoEggs(t *testing.T) {
	e := Asker{Records: exposure.New(&club.Tables{}, exposure.Options{})}.Eggs("Danio rerio")
	require.Zero(t, e.Clutches)
	require.False(t, e.PerClutch.Known())
	require.NotEmpty(t, e.PerClutch.Reason)
	one := Asker{Records: exposure.New(&club.Tables{Clutches: []club.Clutch{{Species: "Danio rerio", Eggs: club.Some(int64(50))}}}, exposure.Options{})}.Eggs("Danio rerio")
	require.Equal(t, 1, one.Clutches)
	require.NotEmpty(t, one.PerClutch.Reason, "one clutch gives no interval")
}

// Larvae live on the yolk for 2 to 5 days after hatching (common practice, no
// source): looks once a day at clutches that need 3.5 days put the middle there.
func TestYolkDays(t *testing.T) {
	start := time.Date(2024, 3, 1, 8, 0, 0, 0, time.UTC)
	tables := &club.Tables{}
	for i := range 20 {
		hatch := start.AddDate(0, 0, i)
		swim := hatch.AddDate(0, 0, 3+i%2)
		tables.Clutches = append(tables.Clutches, club.Clutch{Species: "Danio rerio",
			HatchFrom: club.Some(hatch.AddDate(0, 0, -1)), HatchTo: club.Some(hatch), SwimFrom: club.Some(swim.AddDate(0, 0, -1)), SwimTo: club.Some(swim)})
	}
	got := Asker{Records: exposure.New(tables, exposure.Options{})}.Timing("Danio rerio", Hatch, FreeSwimming, noTemperature)
	require.Equal(t, "ok", got.Status, got.Reason)
	require.Len(t, got.At, 1)
	require.InDelta(t, 3.5, float64(got.At[0].Median.Estimate), 0.3)
	require.True(t, got.At[0].Interval90[0] >= 2 && got.At[0].Interval90[1] <= 5, "%v", got.At[0].Interval90)
}

func TestTimingCounts(t *testing.T) {
	start := time.Date(2024, 3, 1, 8, 0, 0, 0, time.UTC)
	day := func(n int) club.When { return club.Some(start.AddDate(0, 0, n)) }
	laid := club.Clutch{Species: "Danio rerio", LaidFrom: day(-1), LaidTo: day(0)}
	with := func(change func(*club.Clutch)) club.Clutch { c := laid; change(&c); return c }
	tables := &club.Tables{Clutches: []club.Clutch{
		with(func(c *club.Clutch) { c.HatchFrom, c.HatchTo = day(2), day(3) }),
		with(func(c *club.Clutch) { c.LostAt, c.Loss = day(2), "fungus" }),
		with(func(c *club.Clutch) { c.LostAt, c.Loss = day(2), club.RemovedDeliberately }),
		with(func(c *club.Clutch) { c.LastSeen = day(1) }),
		with(func(c *club.Clutch) { c.LaidFrom, c.LaidTo = club.When{}, club.When{} }),
		with(func(c *club.Clutch) { c.HatchFrom, c.HatchTo = day(-6), day(-5) }),
	}}
	got := Asker{Records: exposure.New(tables, exposure.Options{})}.Timing("Danio rerio", Lay, Hatch, noTemperature)
	left := 0
	for _, l := range got.LeftOut {
		left += l.N
	}
	require.Equal(t, []int{4, 1, 1, 2, 2}, []int{got.N, got.Events, got.Lost, got.Censored, left})
	require.Equal(t, "too-little", got.Status)
	require.NotEmpty(t, got.Notes, "the one time there is is told as an interval")
}
