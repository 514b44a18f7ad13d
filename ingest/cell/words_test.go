package cell

import (
	"encoding/csv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

// No text makes any reader panic, and a fault never comes with a value.
func FuzzWords(f *testing.F) {
	for _, s := range []string{"2.3", "1m2f", "trio", "fungus", "x", "7.30pm", "evening", "photo", "group of 8", "not yet", "2♂ 3♀", "07:30+01:00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if g, fault := ParseGroup(s); fault != nil {
			require.Equal(t, Group{}, g)
		} else {
			require.Positive(t, g.Males.V+g.Females.V+g.Unsexed.V)
		}
		if a, fault := ParseYesNo(s, YesNo{}); fault != nil {
			require.Equal(t, NoAnswer, a)
		}
		if c, fault := ParseClock(s); fault == nil {
			require.Less(t, c.From, c.To)
		}
		if cause, fault := ParseLoss(s); fault == nil && cause != "" {
			require.Contains(t, club.Losses, cause)
		}
		if method, fault := ParseEggsMethod(s); fault == nil {
			require.Contains(t, club.EggsMethods, method)
		}
		if c, fault := ParseCount(s, Open, Eggs); fault == nil {
			require.GreaterOrEqual(t, c.Low, int64(0))
			require.LessOrEqual(t, c.Low, c.High)
		}
	})
}

// Every line of missing.csv means that nothing was recorded, in capitals too.
func TestEveryMissingWordOfTheListIsOne(t *testing.T) {
	rows, err := csv.NewReader(strings.NewReader(missingList)).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 40)
	for _, r := range rows[1:] {
		require.True(t, IsMissing(r[1]), r[1])
		require.True(t, IsMissing(" "+strings.ToUpper(r[1])+" "), r[1])
	}
}
