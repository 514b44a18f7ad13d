package club_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/unit"
)

func TestTemplateMeansTheDefaults(t *testing.T) {
	c, err := club.ParseConfig([]byte(club.Template()))
	require.NoError(t, err)
	require.Equal(t, club.DefaultConfig(), c)
	c, err = club.ParseConfig(nil)
	require.NoError(t, err)
	require.Equal(t, club.DefaultConfig(), c, "an empty file")
}

// TestTemplateExamples takes the remark signs from the template's examples: what
// it shows must work.
func TestTemplateExamples(t *testing.T) {
	examples := regexp.MustCompile(`(?m)^# ?(\[|"|[a-z_]+ = )`).ReplaceAllString(club.Template(), "$1")
	c, err := club.ParseConfig([]byte(examples))
	require.NoError(t, err)
	require.Equal(t, map[string]string{"our peppers": "Corydoras paleatus"}, c.Species)
	require.Equal(t, map[unit.Quantity]string{unit.Temperature: "[degF]", unit.Pressure: "hPa"}, c.Units)
	require.Equal(t, map[string]string{"Ana": "Linz", "Ben": "Linz"}, c.Home)
	require.Equal(t, map[string]bool{"Ana": false, "Ben": true}, c.Said())
	from, to, err := c.Watch("Ben")
	require.NoError(t, err)
	require.Equal(t, "2024-01-01 2024-12-31", from.Format(time.DateOnly)+" "+to.Format(time.DateOnly))
	away, err := c.AwayDays("Ben")
	require.NoError(t, err)
	require.Len(t, away, 2)
	require.Equal(t, "2024-07-06 2024-07-21", away[0][0].Format(time.DateOnly)+" "+away[0][1].Format(time.DateOnly))
	require.Equal(t, []club.Trigger{
		{Code: "rice-hulls", Name: "a handful of rice hulls", Headings: []string{"rice hulls", "hulls"}, Kind: club.TriggerYesNo,
			Words: []string{"hulls", "husks"}, Caution: "fed together with live food in most logs"},
		{Code: "tea", Name: "rooibos tea in the water", Headings: []string{"tea ml"}, Kind: club.TriggerNumber, Unit: "mL", Step: 10},
	}, c.Triggers)
	require.Equal(t, []club.Column{
		{Name: "rice_hulls", Kind: club.KindTruth, Description: "the club's own trigger: a handful of rice hulls"},
		{Name: "tea", Kind: club.KindNumber, Unit: "mL", Description: "the club's own trigger: rooibos tea in the water"},
	}, c.Own())
}

func TestConfigValues(t *testing.T) {
	c, err := club.ParseConfig([]byte("\ufeffname = \"Aquarienfreunde Süd\"\r\ntime_zone = \"Europe/Vienna\"\r\ncheck_rhythm_hours = 12\r\nworth_acting_per_100 = 7.5\r\npseudonyms = false\r\n"))
	require.NoError(t, err)
	require.Equal(t, club.Config{Name: "Aquarienfreunde Süd", TimeZone: "Europe/Vienna", CheckRhythmHours: 12, WorthActingPer100: 7.5}, c)
	zone, err := c.Location()
	require.NoError(t, err)
	require.Equal(t, "Europe/Vienna", zone.String())
}

// TestConfigFaults: every mistake comes back with its line and column and, for
// keys, the nearest right one.
func TestConfigFaults(t *testing.T) {
	trigger := "[[trigger]]\ncode = \"a\"\nname = \"a\"\nkind = \"yes-no\"\n"
	cases := map[string]string{
		"attempts_in_full = 3": `club.toml:1:20: attempts_in_full must be a list of keepers`,
		"attempts_in_full = [\"Ana\"]\n[watched]\n\"Ana\" = [\"2024-01-01\", \"2024-12-31\"]": `club.toml:3:1: "Ana" stands both in attempts_in_full and in [watched]`,
		"[away]\n\"Ana\" = [[\"2024-07-21\", \"2024-07-06\"]]":                                `club.toml:2:1: away of "Ana": 2024-07-21 lies after 2024-07-06`,
		"[away]\n\"Ana\" = [[\"2024-07-21\"]]":                                                `club.toml:2:1: away of "Ana": 1 days are given, and two are needed`,
		"[away]\n\"Ana\" = [[\"July\", \"2024-07-06\"]]":                                      `club.toml:2:1: away of "Ana": "July" is not a day such as 2024-01-31`,
		"tme_zone = \"UTC\"":                               `club.toml:1:1: there is no key "tme_zone" here; did you mean time_zone?`,
		"\n\n  colour = 3":                                 `club.toml:3:3: there is no key "colour" here; the keys are name, code, time_zone, check_rhythm_hours`,
		trigger + "headngs = []":                           `club.toml:5:1: there is no key "headngs" here; did you mean headings?; the keys are code, name, headings, kind, unit, step, words, caution`,
		"[specie]\na = \"b\"":                              `club.toml:1:2: there is no key "specie" here; did you mean species?`,
		"name = 3":                                         "club.toml:1:8: name must be text in quotes",
		"check_rhythm_hours = \"daily\"":                   "club.toml:1:22: check_rhythm_hours must be a number",
		"pseudonyms = \"yes\"":                             "club.toml:1:14: pseudonyms must be true or false",
		"[species]\nx = 3":                                 "club.toml:2:5: species.x must be a name and an accepted name, both in quotes",
		"trigger = 3":                                      "club.toml:1:11: trigger must be a list: [[trigger]] and the keys below it",
		trigger + "headings = \"a\"":                       "club.toml:5:12: trigger.headings must be a list of texts",
		"name = \"a\"\nname = \"b\"":                       "club.toml:2:1: key name is already defined",
		"name = [":                                         "club.toml:1:8: array is incomplete",
		"name = \"\xff\"":                                  "club.toml:1:9: invalid UTF-8",
		"name = \" \"":                                     "club.toml:1:1: name is empty; give the club a name",
		"\ntime_zone = \"Vienna\"":                         `club.toml:2:1: time_zone "Vienna" is not the name of a time zone; use a name such as "Europe/Vienna" or "UTC"`,
		"time_zone = \"Local\"":                            `club.toml:1:1: time_zone "Local" is not`,
		"time_zone = \"\"":                                 `club.toml:1:1: time_zone "" is not`,
		"time_zone = \"../UTC\"":                           `club.toml:1:1: time_zone "../UTC" is not`,
		"check_rhythm_hours = 0":                           "club.toml:1:1: check_rhythm_hours is 0, it must be above 0 and at most 720",
		"check_rhythm_hours = nan":                         "check_rhythm_hours is NaN",
		"worth_acting_per_100 = 100":                       "club.toml:1:1: worth_acting_per_100 is 100, it must lie between 0 and 100",
		"name = \"a\"\n[species]\n\"our fish\" = \"\"":     "club.toml:3:1: an entry of species is empty",
		"[home]\n\"\" = \"Linz\"":                          "club.toml:2:1: an entry of home is empty",
		"[units]\ntemperature = \"\"":                      `club.toml:2:1: "" is not a unit of temperature; its units are °C, °F, K`,
		"[units]\ntemperature = \"hPa\"":                   `club.toml:2:1: "hPa" is not a unit of temperature`,
		"[units]\ntemprature = \"Cel\"":                    `club.toml:2:1: units cannot be set for "temprature"; did you mean temperature?; the quantities are temperature, temperature difference, air pressure`,
		"units.temperature = \"x\"":                        `club.toml:1:1: "x" is not a unit of temperature`,
		trigger + trigger:                                  `club.toml:6:1: code "a" is taken: attempts have a column a already; choose another code`,
		strings.Replace(trigger, `"a"`, `"live-food"`, 1):  `club.toml:2:1: code "live-food" is taken: attempts have a column live_food already`,
		strings.Replace(trigger, `"a"`, `"Rice Hulls"`, 1): `club.toml:2:1: code "Rice Hulls" cannot name a trigger; use lower-case letters, digits and hyphens`,
		"[[trigger]]\ncode = \"a\"\nkind = \"yes-no\"":     `club.toml:1:3: trigger "a" has no name`,
		strings.Replace(trigger, `"yes-no"`, `"yesno"`, 1): `club.toml:4:1: kind "yesno" is no kind of trigger; did you mean yes-no?; write kind = "yes-no" or kind = "number"`,
		trigger + "unit = \"mL\"":                          `club.toml:5:1: trigger "a" is yes or no, which has no unit; leave unit out`,
		trigger + "step = 2":                               `club.toml:5:1: trigger "a" is yes or no, which has no step`,
		strings.Replace(trigger, "yes-no", "number", 1) + "step = -1": "club.toml:5:1: step is -1, it must not be negative",
	}
	for doc, want := range cases {
		t.Run(doc, func(t *testing.T) {
			_, err := club.ParseConfig([]byte(doc))
			require.ErrorContains(t, err, want)
			var fault *club.Fault
			require.ErrorAs(t, err, &fault)
		})
	}
	_, err := club.ParseConfig([]byte("name = \"\"\nworth_acting_per_100 = -1\n"))
	require.ErrorContains(t, err, "club.toml:1:1: name is empty")
	require.ErrorContains(t, err, "club.toml:2:1: worth_acting_per_100 is -1", "all mistakes are told at once")
}

func TestLoadConfig(t *testing.T) {
	dir := t.TempDir()
	_, err := club.LoadConfig(dir)
	require.ErrorIs(t, err, club.ErrNoClub)
	require.NoError(t, os.WriteFile(filepath.Join(dir, club.ConfigFile), []byte(club.Template()), 0o666))
	c, err := club.LoadConfig(dir)
	require.NoError(t, err)
	require.Equal(t, club.DefaultConfig(), c)
}

func FuzzParseConfig(f *testing.F) {
	f.Add([]byte(club.Template()))
	f.Add([]byte(ownToml))
	f.Add([]byte("a.b.c = [{d = 1}]\n[[a]]\n[a.b]\n"))
	f.Add([]byte("trigger = [{code = \"a\", name = \"b\", kind = \"number\"}]"))
	f.Fuzz(func(t *testing.T, doc []byte) {
		c, err := club.ParseConfig(doc)
		if err != nil {
			require.Equal(t, club.Config{}, c)
			return
		}
		// what is accepted can be used
		_, err = c.Location()
		require.NoError(t, err)
		names := map[string]bool{}
		for _, column := range club.Schemas(c.Own()...)[0].Columns {
			require.False(t, names[column.Name], "column %s is there twice", column.Name)
			names[column.Name] = true
		}
	})
}
