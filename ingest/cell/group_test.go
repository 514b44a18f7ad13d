package cell

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

func TestParseGroup(t *testing.T) {
	group := func(m, f, u int64) Group { // below zero = not stated
		var g Group
		for i, to := range []*club.Count{&g.Males, &g.Females, &g.Unsexed} {
			if n := []int64{m, f, u}[i]; n >= 0 {
				*to = club.Some(n)
			}
		}
		return g
	}
	for s, want := range map[string]Group{
		"2.3": group(2, 3, -1), "1.2.3": group(1, 2, 3), "2/1": group(2, 1, -1), "2 / 1": group(2, 1, -1), "2,3": group(2, 3, -1), "1,2,3": group(1, 2, 3), "2+3": group(2, 3, -1), "1 + 2": group(1, 2, -1), "2 boys 3 girls": group(2, 3, -1), "0.3": group(0, 3, -1), "0.0.6": group(0, 0, 6), "2.10": group(2, 10, -1), "3:4": group(3, 4, -1),
		"1m2f": group(1, 2, -1), "1M 2W": group(1, 2, -1), "2♂ 3♀": group(2, 3, -1), "2 males, 3 females": group(2, 3, -1), "1 Männchen und 2 Weibchen": group(1, 2, -1), "2 mâles 3 femelles": group(2, 3, -1), "2 machos y 3 hembras": group(2, 3, -1), "1m/2f": group(1, 2, -1), "2m 3f 4 juv": group(2, 3, 4), "3f": group(-1, 3, -1),
		"pair": group(1, 1, -1), "Paar": group(1, 1, -1), "couple": group(1, 1, -1), "pareja": group(1, 1, -1), "2 pairs": group(2, 2, -1), "trio": group(1, 2, -1), "Trío": group(1, 2, -1), "reverse trio": group(2, 1, -1), "2 trios": group(2, 4, -1),
		"8": group(-1, -1, 8), "group of 8": group(-1, -1, 8), "Gruppe von 8": group(-1, -1, 8), "8er Gruppe": group(-1, -1, 8), "groupe de 8": group(-1, -1, 8), "grupo de 8": group(-1, -1, 8), "8 fish": group(-1, -1, 8),
	} {
		g, fault := ParseGroup(s)
		require.Nil(t, fault, "%q: %v", s, fault)
		require.Equal(t, want.Males, g.Males, s)
		require.Equal(t, want.Females, g.Females, s)
		require.Equal(t, want.Unsexed, g.Unsexed, s)
	}
	for _, s := range []string{"2,30", "2-3", "1/2/3", "0", "0.0", "many", "2.3.4.5", "1m2m", "2x", "colony", "3.4.2024", "-1.2", "2.03", "99999", "5 and some", "m", "", "1.2 or 1.3"} {
		g, fault := ParseGroup(s)
		require.NotNil(t, fault, "%q was read as %v", s, g)
		require.Equal(t, problem.SexRatio, fault.Code)
		require.Equal(t, Group{}, g)
	}
	trio, _ := ParseGroup("trio")
	require.NotEmpty(t, trio.Note)

	g, fault := GroupOf(source.Cell{Kind: source.Number, Number: 2.1, Format: "General"})
	require.Nil(t, fault)
	require.Equal(t, group(2, 1, -1).Females, g.V.Females)
	require.Contains(t, g.V.Note, "2.10")
	_, fault = GroupOf(source.Cell{Kind: source.Number, Number: 2.1, Format: "0.00"})
	require.NotNil(t, fault, "2.1 and 2.10 look alike")
	g, fault = GroupOf(source.Cell{Kind: source.Number, Number: 6})
	require.Nil(t, fault)
	require.Equal(t, Group{Unsexed: club.Some[int64](6)}, g.V)
	_, fault = GroupOf(source.Cell{Kind: source.Date, Time: time.Date(2024, 1, 2, 0, 0, 0, 0, time.UTC)})
	require.NotNil(t, fault)
	require.Contains(t, fault.Message, "2/1")
	g, fault = GroupOf(text("?"))
	require.Nil(t, fault)
	require.False(t, g.OK)
}
