package reference

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every line can be shown: it is of one species, its ends are in order, and it says
// where it comes from.
func TestPublishedRanges(t *testing.T) {
	require.Greater(t, len(published), 40)
	for _, r := range published {
		require.Regexp(t, `^[A-Z][a-z]+ [a-z]+$`, r.Species)
		require.LessOrEqual(t, r.Low, r.High, r)
		require.GreaterOrEqual(t, r.Low, 0.0)
		require.Contains(t, []string{LayToHatch, HatchToFreeSwimming, LayToFreeSwimming, EggsOfASpawn}, r.What)
		require.Contains(t, []string{"page read", "abstract read", "second-hand", "from memory"}, r.Strength)
		require.NotEmpty(t, r.Source)
		require.Equal(t, r.What == EggsOfASpawn, r.Unit == "eggs")
		require.False(t, IsAnnual(r.Species) && r.What == LayToHatch)
	}
	got := Published("Danio rerio", LayToHatch)
	require.Len(t, got, 1)
	require.Equal(t, "2 to 3 days at 28.5 °C (page read: Kimmel et al. 1995: clutch hatches sporadically over day 3, occasionally later)", got[0].String())
	require.Empty(t, Published("Danio rerio", "mood"))
	require.True(t, math.IsNaN(Published("Danio rerio", EggsOfASpawn)[0].Temperature))
}

func TestKinds(t *testing.T) {
	require.True(t, IsAnnual("Nothobranchius guentheri"))
	require.False(t, IsAnnual("Fundulopanchax gardneri"))
	require.True(t, IsLivebearing("Poecilia reticulata"))
	require.False(t, IsLivebearing("Danio rerio"))
}
