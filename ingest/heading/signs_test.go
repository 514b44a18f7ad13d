package heading

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestHeadingsOfAFallCountDownwards holds that every heading of the list that says that
// water, level or pressure went down has its sign turned, and no other.
func TestHeadingsOfAFallCountDownwards(t *testing.T) {
	falling := []string{"lower", "drop", "cooler", "colder", "gesenk", "absenk", "kalter", "kuhler", "baiss", "abaiss", "froide", "fraiche", "bajad", "baja ", "fria", "fresca", "descen", "caida", "chute", "fall", "abgelassen"}
	seen := 0
	for _, r := range listed(t) {
		f := Field(r[0])
		if f != RefillDelta && f != LevelChange && f != PressureChange {
			continue
		}
		says := false
		for _, w := range falling {
			says = says || strings.Contains(key(r[2]), w)
		}
		if says {
			seen++
			require.True(t, falls(f, r[2]), "%v", r)
		} else {
			require.False(t, falls(f, r[2]), "%v", r)
		}
	}
	require.Greater(t, seen, 50)
}
