package catalogue

import (
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

// codes are the trigger codes that others may rely on, in their fixed order.
var codes = []string{
	"pressure-drop", "water-change", "cool-refill", "level-rise", "dry-spell", "flow", "conditioning", "live-food",
	"microfauna", "other-spawning", "leaf-litter", "light-hours", "dim-light", "temperature", "conductivity-fall", "ph-fall",
	"hardness", "nitrate", "rearranged", "dither", "tank-mates-removed", "group-size", "sex-ratio", "moon",
}

func TestCodes(t *testing.T) {
	var got []string
	for _, c := range Triggers() {
		got = append(got, c.Code)
	}
	require.Equal(t, codes, got)
}

func TestEveryTriggerIsComplete(t *testing.T) {
	for _, c := range Triggers() {
		require.NotEmpty(t, c.Name, c.Code)
		require.NotEmpty(t, c.With, c.Code)
		require.NotEmpty(t, c.Without, c.Code)
		require.NotEmpty(t, c.Words, c.Code)
		require.NotEmpty(t, c.Window, c.Code)
		require.NotEmpty(t, c.Derived, c.Code)
		require.NotEmpty(t, c.UsualDose, c.Code)
		require.True(t, c.FromAttempt != nil || c.Daily != nil, "%s is derived from nothing", c.Code)
		if c.Kind == Dose {
			require.NotEmpty(t, c.UnitName, c.Code)
			require.Positive(t, c.Step, c.Code)
		}
		for _, other := range c.Changes {
			require.Contains(t, codes, other, c.Code)
		}
	}
}

// A trigger that can hurt an animal or a person has a caution.
func TestCautions(t *testing.T) {
	for _, code := range []string{"water-change", "cool-refill", "level-rise", "dry-spell", "temperature", "conductivity-fall", "ph-fall", "hardness", "rearranged", "dither", "tank-mates-removed", "live-food"} {
		c, ok := Find(Triggers(), code)
		require.True(t, ok)
		require.NotEmpty(t, c.Caution.Text, code)
	}
	require.GreaterOrEqual(t, len(General), 5)
}

func TestNobodysWordsAreShared(t *testing.T) {
	owner := map[string]string{}
	for _, c := range Triggers() {
		for _, w := range c.Words {
			require.Empty(t, owner[w], "%q belongs to %s and %s", w, owner[w], c.Code)
			owner[w] = c.Code
		}
	}
}

func TestMention(t *testing.T) {
	for text, want := range map[string][]string{
		"does a pressure drop matter for Corydoras paleatus?": {"pressure-drop"},
		"Does LIVE FOOD help?":                                {"live-food"},
		"does a cool water change help?":                      {"cool-refill"}, // not the water change inside it
		"is it the full moon?":                                {"moon"},
		"pressure-drop":                                       {"pressure-drop"},
		"what about leaf litter and live food":                {"leaf-litter", "live-food"},
		"nothing of that":                                     {},
	} {
		got := []string{}
		for _, c := range Mention(Triggers(), text) {
			got = append(got, c.Code)
		}
		require.ElementsMatch(t, want, got, text)
	}
}

func TestFromAttempt(t *testing.T) {
	value := func(code string, a club.Attempt) club.Number {
		c, ok := Find(Triggers(), code)
		require.True(t, ok)
		return c.FromAttempt(&a)
	}
	require.False(t, value("live-food", club.Attempt{}).OK, "a blank is not a no")
	require.Equal(t, club.Some(0.0), value("live-food", club.Attempt{LiveFood: club.Some(false)}))
	require.Equal(t, club.Some(1.0), value("cool-refill", club.Attempt{RefillDeltaC: club.Some(-1.0)}))
	require.Equal(t, club.Some(0.0), value("cool-refill", club.Attempt{RefillDeltaC: club.Some(-0.9)}))
	require.Equal(t, club.Some(1.0), value("tank-mates-removed", club.Attempt{TankMates: club.Some(false)}))
	require.Equal(t, club.Some(5.0), value("group-size", club.Attempt{Males: club.Some(int64(2)), Females: club.Some(int64(3))}))
	require.Equal(t, club.Some(2.0), value("sex-ratio", club.Attempt{Males: club.Some(int64(4)), Females: club.Some(int64(2))}))
	require.False(t, value("sex-ratio", club.Attempt{Males: club.Some(int64(4)), Females: club.Some(int64(0))}).OK)
}

func TestOwn(t *testing.T) {
	own := Own("rice-hulls", "a handful of rice hulls", YesNo, "", 0, nil, "")
	require.Equal(t, club.Some(1.0), own.FromAttempt(&club.Attempt{Own: map[string]club.Number{"rice_hulls": club.Some(1.0)}}))
	require.False(t, own.FromAttempt(&club.Attempt{}).OK)
}
