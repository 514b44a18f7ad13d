package answer

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/analyze/exposure"
	"gravid/ingest/club"
)

// Keepers who estimate a third too high are found out among those who also count; who only
// estimates says nothing on it, however large the clutches.
func TestCountingMethods(t *testing.T) {
	draw := rand.New(rand.NewPCG(3, 4))
	tables := &club.Tables{}
	for i := range 120 {
		c := club.Clutch{ID: fmt.Sprint(i), Keeper: fmt.Sprintf("keeper %d", i%4), Species: "Danio rerio", EggsMethod: "counted"}
		n := (80 + 20*float64(i%4)) * (0.8 + 0.4*draw.Float64())
		if i%3 == 0 {
			c.EggsMethod, n = "estimated", 4./3*n
			n -= float64(int(n) % 10)
		}
		c.Eggs = club.Some(int64(n))
		tables.Clutches = append(tables.Clutches, c)
	}
	for i := range 20 {
		tables.Clutches = append(tables.Clutches, club.Clutch{ID: fmt.Sprint("x", i), Keeper: "elsewhere", Species: "Danio rerio", EggsMethod: "estimated", Eggs: club.Some(int64(1000))})
	}
	m := Asker{Records: exposure.New(tables, exposure.Options{})}.Eggs("Danio rerio").Counting
	require.Len(t, m, 2)
	require.Equal(t, []any{"counted", 80, 0}, []any{m[0].Method, m[0].N, m[0].Keepers})
	require.False(t, m[0].Ratio.Known())
	require.Equal(t, []any{"estimated", 60, 4}, []any{m[1].Method, m[1].N, m[1].Keepers})
	require.Less(t, float64(m[1].Ratio.Low), 1.28)
	require.Greater(t, float64(m[1].Ratio.High), 1.28, "a third more, less the rounding down by 5 of about 130")
	require.Less(t, float64(m[1].Ratio.High/m[1].Ratio.Low), 1.15)
	require.EqualValues(t, 1, m[1].Round)
	require.Less(t, float64(m[0].Round), 0.4)
}

// Ten eggs a female, whatever their number: twice the females, twice the eggs.
func TestTwiceTheFemales(t *testing.T) {
	draw := rand.New(rand.NewPCG(5, 6))
	tables := &club.Tables{}
	for i := range 40 {
		n := 1 + i%4
		tables.Clutches = append(tables.Clutches, club.Clutch{ID: fmt.Sprint(i), Species: "Danio rerio", Females: club.Some(int64(n)), Eggs: club.Some(int64(float64(20*n) * (0.8 + 0.4*draw.Float64())))})
	}
	f := Asker{Records: exposure.New(tables, exposure.Options{})}.Eggs("Danio rerio").Females
	require.Less(t, float64(f.Low), 2.)
	require.Greater(t, float64(f.High), 2.)
	require.Less(t, float64(f.High-f.Low), 0.4)
	one := Asker{Records: exposure.New(&club.Tables{Clutches: tables.Clutches[:1]}, exposure.Options{})}.Eggs("Danio rerio")
	require.False(t, one.Females.Known())
}

// Tanks that are collected from every other day: 8 eggs a collection, and all eggs over all
// days of two females up to the last collection.
func TestCollections(t *testing.T) {
	start := time.Date(2025, 3, 1, 8, 0, 0, 0, time.UTC)
	tables := &club.Tables{}
	for a := range 6 {
		id := fmt.Sprint("a", a)
		tables.Attempts = append(tables.Attempts, club.Attempt{ID: id, Keeper: fmt.Sprint("k", a%3), Species: "Oryzias latipes", Began: club.Some(start), Spawned: club.Some(true), SpawnedAt: club.Some(start.AddDate(0, 0, 1)), Females: club.Some(int64(2))})
		for d := range 5 { // on days 2, 4, 6, 8, 10
			tables.Clutches = append(tables.Clutches, club.Clutch{ID: fmt.Sprint(id, d), AttemptID: id, Keeper: fmt.Sprint("k", a%3), Species: "Oryzias latipes", LaidTo: club.Some(start.AddDate(0, 0, 1+2*d)), Eggs: club.Some(int64(6 + d))})
		}
	}
	for i := range 3 { // so that nobody is one who writes down spawnings only
		tables.Attempts = append(tables.Attempts, club.Attempt{ID: fmt.Sprint("f", i), Keeper: fmt.Sprint("k", i), Species: "Danio rerio", Began: club.Some(start), Ended: club.Some(start), Spawned: club.Some(false)})
	}
	e := Asker{Records: exposure.New(tables, exposure.Options{})}.Eggs("Oryzias latipes")
	require.Equal(t, 30, e.Collections)
	require.InDelta(t, 8, float64(e.Collection.Mean), 1e-9)
	require.InDelta(t, 40./(2*10), float64(e.PerFemaleDay.Mean), 1e-9)
	tables.Clutches[0].Eggs = club.Count{}
	e = Asker{Records: exposure.New(tables, exposure.Options{})}.Eggs("Oryzias latipes")
	require.InDelta(t, 40./(2*10), float64(e.PerFemaleDay.Mean), 1e-9, "an attempt with a collection that nobody counted stays out")
	require.Equal(t, 5, e.PerFemaleDay.N)
}

// The young of livebearers are born: what would be eggs are young, and nothing hatches.
func TestBroods(t *testing.T) {
	var tables club.Tables
	for i := range 8 {
		tables.Clutches = append(tables.Clutches, club.Clutch{ID: fmt.Sprint(i), Species: "Poecilia reticulata", Eggs: club.Some(int64(20 + i))})
	}
	e := Asker{Records: exposure.New(&tables, exposure.Options{})}.Eggs("Poecilia reticulata")
	require.True(t, e.Livebearing)
	require.InDelta(t, 23.5, float64(e.PerClutch.Mean), 1e-9)
	require.Equal(t, "the young are born", e.Hatched.Reason)
}

// Where the clutches stood: the four numbers of each day add up to all of them, and the
// shares of the course to 1.
func TestCourseAddsUp(t *testing.T) {
	start := time.Date(2025, 3, 1, 8, 0, 0, 0, time.UTC)
	tables := &club.Tables{}
	at := func(d int) club.When { return club.Some(start.AddDate(0, 0, d)) }
	for i := range 20 {
		c := club.Clutch{ID: fmt.Sprint(i), Species: "Danio rerio", LaidFrom: at(-1), LaidTo: at(0)}
		switch i % 5 {
		case 0:
			c.LostAt, c.Loss = at(1+i%3), "fungus"
		case 1:
			c.LastSeen = at(2)
		default:
			c.HatchFrom, c.HatchTo = at(2+i%3), at(3+i%3)
		}
		tables.Clutches = append(tables.Clutches, c)
	}
	x := Asker{Records: exposure.New(tables, exposure.Options{})}.Timing("Danio rerio", Lay, Hatch, noTemperature)
	require.NotEmpty(t, x.AtRisk)
	for _, d := range x.AtRisk {
		require.Equal(t, x.N, d.Waiting+d.Reached+d.Lost+d.Stopped)
	}
	first, last := x.AtRisk[0], x.AtRisk[len(x.AtRisk)-1]
	require.Equal(t, DayCount{Day: 0, Waiting: 20}, first)
	require.Equal(t, []int{0, 12, 4, 4}, []int{last.Waiting, last.Reached, last.Lost, last.Stopped})
	for _, p := range x.Course {
		require.InDelta(t, 1, float64(p.Reached+p.Lost+p.Waiting), 1e-12)
	}
	require.InDelta(t, float64(x.Curve[len(x.Curve)-1].Share), float64(x.Course[len(x.Course)-1].Reached), 1e-12)
}
