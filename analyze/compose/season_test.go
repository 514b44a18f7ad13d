package compose

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/analyze/answer"
	"gravid/analyze/exposure"
	"gravid/analyze/report"
	"gravid/analyze/report/page"
	"gravid/ingest/club"
)

// An amount is drawn with its band and its records: those without a spawning at the foot,
// those with one at the top. Without chances nothing is drawn.
func TestDoseFigure(t *testing.T) {
	a := sample(answer.Leans)
	_, ok := doseFigure(a, "dose")
	require.False(t, ok, "a trigger that is there or not")
	a.Dose = &answer.Dose{Unit: "days", Curved: true, BestFrom: num(14), BestTo: num(21),
		Curve: []answer.DosePoint{{Amount: num(0), Per100: num(20), Low: num(10), High: num(35), Records: 9}, {Amount: num(14), Per100: num(60), Low: num(45), High: num(72), Records: 20}, {Amount: num(28), Per100: num(50), Low: num(30), High: num(70), Records: 8}},
		Rug:   []answer.RugMark{{Amount: num(0), Attempts: 9, Spawnings: 2}, {Amount: num(14), Attempts: 20, Spawnings: 20}}}
	f, ok := doseFigure(a, "dose")
	require.True(t, ok)
	require.Equal(t, []report.RugMark{{X: 0, Without: 7, With: 2}, {X: 14, Without: 0, With: 20}}, f.Rug)
	require.Equal(t, 45., f.Series[0].Points[1].YLo)
	require.Contains(t, f.Caption, "Amounts from 14 to 21 days cannot be told from the best one")
	require.Equal(t, "From 20 of 100 at 0 days to 50 of 100 at 28 days, between 20 and 60 on the way.", f.Alt)
	require.NotRegexp(t, banned, f.Caption+f.Alt)
	a.Dose.Curved = false
	f, _ = doseFigure(a, "dose")
	require.Empty(t, f.MarksX)
	var b bytes.Buffer
	require.NoError(t, page.Write(&b, Trigger(a), page.Options{}))
	require.Equal(t, 2*3, strings.Count(b.String(), `class="c-rug"`), "two marks at the foot or the top of one amount, one of the other, on wide and narrow screens")
}

// Each figure of a season, with or without a part for each species, leads to records.
func TestFiguresLeadToRecords(t *testing.T) {
	start := time.Date(2025, 3, 1, 0, 0, 0, 0, time.UTC)
	tables := &club.Tables{}
	for i := range 24 {
		a := club.Attempt{ID: fmt.Sprint(i), Keeper: fmt.Sprint("K", i%3), System: "T", Species: "Danio rerio", Began: club.Some(start.AddDate(0, 0, 7*i)), Ended: club.Some(start.AddDate(0, 0, 7*i+5)), Spawned: club.Some(i%2 == 0), LiveFood: club.Some(i%4 < 2)}
		if i%2 == 0 {
			a.SpawnedAt = club.Some(start.AddDate(0, 0, 7*i+3))
			laid := func(d int) club.When { return club.Some(start.AddDate(0, 0, 7*i+3+d)) }
			tables.Clutches = append(tables.Clutches, club.Clutch{ID: a.ID, AttemptID: a.ID, Keeper: a.Keeper, Species: a.Species, LaidFrom: laid(-1), LaidTo: laid(0), HatchFrom: laid(2), HatchTo: laid(3), SwimFrom: laid(5), SwimTo: laid(6), Eggs: club.Some(int64(50 + i))})
		}
		tables.Attempts = append(tables.Attempts, a)
	}
	k := answer.Asker{Records: exposure.New(tables, exposure.Options{Zone: time.UTC})}
	s := k.Season("Club", answer.Years{From: 2025, To: 2025}, tables, 0, time.UTC)
	for _, each := range []bool{false, true} {
		d := Season(s, SeasonOptions{SpeciesSheets: each})
		require.NoError(t, d.Validate())
		figures, species := 0, 0
		for _, sec := range d.Sections {
			if strings.HasPrefix(sec.ID, "species-") {
				species++
				require.Equal(t, "Danio rerio", sec.Title)
				require.NotEmpty(t, sec.Figures)
				require.Greater(t, len(sec.Tables), 2)
			}
			for _, f := range sec.Figures {
				figures++
				require.NotEmpty(t, f.Records, f.ID)
				require.NotEmpty(t, f.Alt, f.ID)
			}
		}
		require.Greater(t, figures, 3)
		require.Equal(t, each, species == 1)
	}
}
