package pool

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats/internal/statstest"
)

// R 4.2.2, metafor 3.8-1 (escalc): see stats/testdata/reference/SOURCES.md.
func TestEffectReference(t *testing.T) {
	near := func(c *statstest.Case, row int, e Effect, err error) {
		t.Helper()
		require.NoError(t, err)
		statstest.Near(t, c.Floats("yi")[row], e.Value, 1e-12, c.ID+" yi")
		statstest.Near(t, c.Floats("vi")[row], e.Variance, 1e-12, c.ID+" vi")
	}
	for id, of := range map[string]func(Counts, Counts) (Effect, error){"meta_bcg_OR": LogOddsRatio, "meta_bcg_RR": LogRiskRatio, "meta_bcg_RD": RiskDifference} {
		c := statstest.Load(t, id)
		d := statstest.LoadTable(t, c.Dataset()[0])
		require.Len(t, c.Floats("yi"), d.Len())
		for i := range d.Len() {
			e, err := of(Counts{d.Floats("tpos")[i], d.Floats("tneg")[i]}, Counts{d.Floats("cpos")[i], d.Floats("cneg")[i]})
			near(c, i, e, err)
			require.False(t, e.Corrected)
		}
	}
	c := statstest.Load(t, "meta_hart1999_irr_level90")
	d := statstest.LoadTable(t, c.Dataset()[0])
	for i := range d.Len() {
		e, err := LogRateRatio(d.Floats("x1i")[i], d.Floats("t1i")[i], d.Floats("x2i")[i], d.Floats("t2i")[i])
		near(c, i, e, err)
	}
	c = statstest.Load(t, "meta_pritz1997_logit_proportions")
	d = statstest.LoadTable(t, c.Dataset()[0])
	corrected := 0
	for i := range d.Len() {
		x, n := d.Floats("xi")[i], d.Floats("ni")[i]
		e, err := LogOdds(Counts{x, n - x})
		near(c, i, e, err)
		require.Equal(t, x == n || x == 0, e.Corrected)
		if e.Corrected {
			corrected++
		}
	}
	require.Positive(t, corrected)
}

// Counts of 0. R 4.2.2, metafor 3.8-1: escalc(measure, ai=5, bi=0, ci=2, di=4) with
// measure OR, RR, RD, and escalc("IRR", x1i=0, t1i=10, x2i=3, t2i=12).
func TestEffectOfZeroCounts(t *testing.T) {
	with, without := Counts{5, 0}, Counts{2, 4}
	for name, want := range map[string]struct {
		of              func(Counts, Counts) (Effect, error)
		value, variance float64
	}{
		"OR": {LogOddsRatio, 2.98568193770049, 2.8040404040404},
		"RR": {LogRiskRatio, 0.942608040191528, 0.272294372294372},
		"RD": {RiskDifference, 0.55952380952381, 0.0455303153007235},
	} {
		e, err := want.of(with, without)
		require.NoError(t, err)
		require.True(t, e.Corrected)
		statstest.Near(t, want.value, e.Value, 1e-9, name)
		statstest.Near(t, want.variance, e.Variance, 1e-9, name)
	}
	e, err := LogRateRatio(0, 10, 3, 12)
	require.NoError(t, err)
	require.True(t, e.Corrected)
	statstest.NearAll(t, []float64{-1.76358859226136, 2.28571428571429}, []float64{e.Value, e.Variance}, 1e-9, "IRR")
}

func TestEffectRefusals(t *testing.T) {
	_, err := LogOddsRatio(Counts{-1, 2}, Counts{1, 1})
	require.EqualError(t, err, "the count -1 is negative or not a finite number")
	_, err = RiskDifference(Counts{1, math.NaN()}, Counts{1, 1})
	require.Error(t, err)
	_, err = LogRiskRatio(Counts{0, 0}, Counts{1, 1})
	require.EqualError(t, err, "a group without attempts cannot be compared")
	_, err = LogRateRatio(1, 0, 1, 1)
	require.EqualError(t, err, "the time 0 is not a positive finite number")
	_, err = LogRateRatio(1, 1, math.Inf(1), 1)
	require.Error(t, err)
	_, err = LogOdds(Counts{0, 0})
	require.EqualError(t, err, "a group without attempts has no odds")
	_, err = LogOdds(Counts{1, -1})
	require.Error(t, err)
}
