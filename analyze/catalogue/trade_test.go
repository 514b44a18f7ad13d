package catalogue

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Facts of the trade as check values: common practice, no source.
func TestFactsOfTheTrade(t *testing.T) {
	find := func(code string) Trigger {
		c, ok := Find(Triggers(), code)
		require.True(t, ok)
		return c
	}
	require.InDelta(t, 14, find("conditioning").Usual, 0, "conditioning lasts about 14 days before a spawn")

	spell := find("dry-spell").Daily.WindowHours / 24
	require.True(t, spell >= 14 && spell <= 28, "a dry spell is imitated by 2 to 4 weeks of falling level, not %v days", spell)

	group := find("group-size").Usual
	require.True(t, group >= 5 && group <= 6, "a breeding group of small shoaling fish is 5 to 6, not %v", group)

	const daylight = 100_000 // lx of open daylight, the lower end of direct sun (from memory)
	dim := find("dim-light").Daily.Threshold / daylight
	require.True(t, dim >= 0.02 && dim <= 0.05, "low-light species get 2 to 5 %% of open daylight, not %v", dim)

	require.InDelta(t, 59, WaterColumnHPa(60), 0.5, "60 cm of water adds about 59 hPa")
	require.InDelta(t, 0.977769096255, WaterColumnHPa(1), 1e-9) // computed from density and gravity

	// The drop asked for is one that weather makes: far below the 24 hPa of an extreme
	// day (Sanders & Gyakum 1980), and below what 10 cm of water adds.
	require.Less(t, find("pressure-drop").Daily.Threshold, 24.0)
	require.Less(t, find("pressure-drop").Daily.Threshold, WaterColumnHPa(10))
}
