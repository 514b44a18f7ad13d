package entry

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/cell"
	"gravid/ingest/species"
)

var names = species.New(nil)

func options(d cell.Decimal) Options {
	return Options{Decimal: d, Species: func(name string) bool {
		m := names.Resolve(name)
		return m.Accepted != "" || m.How == species.Ambiguous
	}}
}

// told writes the events of an entry in one line.
func told(e Entry) string {
	var parts []string
	for _, x := range e.Events {
		s := string(x.Kind)
		if x.Count.OK {
			n := x.Count.V
			s += fmt.Sprintf(" %d", n.Value)
			switch {
			case n.Range:
				s += fmt.Sprintf(" [%d-%d]", n.Low, n.High)
			case n.AtLeast:
				s += " or more"
			case n.AtMost:
				s += " or less"
			case n.Approx:
				s += " about"
			}
		}
		if g := x.Group.V; x.Group.OK {
			s += fmt.Sprintf(" %d.%d.%d", g.Males.V, g.Females.V, g.Unsexed.V)
		}
		for _, w := range []string{x.Species, x.Loss, x.Action, x.Quantity} {
			if w != "" {
				s += " " + w
			}
		}
		if x.Amount.OK {
			s += fmt.Sprintf(" %.4g %s", x.Amount.V, x.Unit)
		}
		if x.Cooler.OK {
			s += fmt.Sprintf(" %+.3g K", x.Cooler.V)
		}
		if x.Value.OK {
			s += fmt.Sprintf(" %.4g", x.Value.V)
		}
		parts = append(parts, s)
	}
	if e.Unsure != "" {
		parts = append(parts, "unsure")
	}
	return strings.Join(parts, "; ")
}

// Common practice, no source: each line is an entry as a keeper would write it, and
// what a careful reader takes from it.
func TestEntries(t *testing.T) {
	for text, want := range map[string]string{
		// fish set up
		"set up 4.3 peppered cory":                                       "set up 4.3.0 peppered cory",
		"Set up pair of panda corys":                                     "set up 1.1.0 panda corys",
		"set up 2 males 3 females Danio rerio":                           "set up 2.3.0 Danio rerio",
		"Corydoras panda 2.4 set up":                                     "set up 2.4.0 Corydoras panda",
		"3.4 Zebrabärbling angesetzt":                                    "set up 3.4.0 Zebrabärbling",
		"neuer Ansatz: 2.3 Zebrabärbling":                                "set up 2.3.0 Zebrabärbling",
		"mise en place 2.2 combattant du Siam":                           "set up 2.2.0 combattant du Siam",
		"puesta en marcha 3.4 pez cebra":                                 "set up 3.4.0 pez cebra",
		"introduced 1.2 Betta splendens":                                 "set up 1.2.0 Betta splendens",
		"set up 1.1 flying haddock":                                      "set up 1.1 flying haddock",
		"maybe set up 1.1 Betta splendens?":                              "unsure",
		"started feeding live artemia":                                   "act feed_live",
		"Mise en place d'un couple d'Apistogramma cacatuoides, bac 60 L": "set up 1.1.0 Apistogramma cacatuoides",
		"ein Paar Betta splendens eingesetzt":                            "set up 1.1.0 Betta splendens",
		"put pair together":                                              "set up 1.1.0",
		"put 2.3 Danio rerio together":                                   "set up 2.3.0 Danio rerio",
		// eggs
		"eggs":                             "eggs",
		"found 102 eggs":                   "eggs 102",
		"eggs on the glass, about 73":      "eggs 73 about",
		"Eggs! approx. 120 on the moss":    "eggs 120 about",
		"spawned over night, ca 200":       "eggs 200 about",
		"Eier an der Scheibe, ca. 108":     "eggs 108 about",
		"137 Eier gefunden":                "eggs 137",
		"haben gelaicht":                   "eggs",
		"oeufs sur la vitre, environ 176":  "eggs 176 about",
		"ils ont pondu sous une feuille":   "eggs",
		"234 œufs comptés":                 "eggs 234",
		"huevos en el cristal, unos 90":    "eggs 90 about",
		"137 huevos contados":              "eggs 137",
		"desovaron esta noche":             "eggs",
		"100-150 eggs on the mop":          "eggs 125 [100-150]",
		"more than 200 eggs":               "eggs 200 or more",
		"female laid 80 eggs on the slate": "eggs 80",
		// none
		"no eggs":               "no eggs",
		"no eggs yet":           "no eggs",
		"keine Eier":            "no eggs",
		"noch nicht gelaicht":   "no eggs",
		"pas d'oeufs":           "no eggs",
		"toujours pas d'œufs":   "no eggs",
		"sin huevos":            "no eggs",
		"todavía no hay huevos": "no eggs",
		// hatched and swimming
		"hatched, 33 wrigglers":     "hatched 33",
		"first eggs hatched":        "hatched",
		"geschlüpft, 49 Larven":     "hatched 49",
		"éclosion, 80 larves":       "hatched 80",
		"eclosión, 46 larvas":       "hatched 46",
		"free swimming":             "free swimming",
		"fry swimming, about 40":    "free swimming 40 about",
		"Jungfische schwimmen frei": "free swimming",
		"nage libre":                "free swimming",
		"les alevins nagent":        "free swimming",
		"nado libre":                "free swimming",
		"hatched and free swimming": "hatched; free swimming",
		"not hatched yet":           "",
		"noch nicht geschlüpft":     "",
		// lost
		"all eggs fungused":           "lost fungus",
		"alle Eier verpilzt":          "lost fungus",
		"tous les oeufs moisis":       "lost fungus",
		"todos los huevos con hongos": "lost fungus",
		"all eggs eaten by snails":    "unsure",
		"eggs eaten by parents":       "lost eaten by parents",
		"some eggs fungused":          "",
		"3 eggs fungused":             "",
		"einige Eier verpilzt":        "",
		"male died":                   "unsure",
		// unsure
		"maybe eggs?":              "unsure",
		"vielleicht Eier?":         "unsure",
		"peut-être des oeufs ?":    "unsure",
		"¿quizá huevos?":           "unsure",
		"eggs?":                    "unsure",
		"female full of eggs":      "",
		"will spawn soon":          "unsure",
		"snail eggs on the glass":  "unsure",
		"the other pair spawned":   "unsure",
		"eggs on day 3":            "unsure",
		"eggs in 2 caves":          "unsure",
		"30 eggs and 12 more eggs": "eggs 30; unsure",
		"fed egg yolk":             "unsure",
		// ended
		"gave up, separated the fish": "ended",
		"abgebrochen, Tiere getrennt": "ended",
		"arrêt, couple séparé":        "ended",
		"abandonado, peces separados": "ended",
		// acts
		"10% water change, 3 °C cooler":           "act water_change 10 % -3 K",
		"Wasserwechsel 10 %, 3 °C kälter":         "act water_change 10 % -3 K",
		"changement d'eau 10 %, 3 °C plus froide": "act water_change 10 % -3 K",
		"cambio de agua 10 %, 3 °C más fría":      "act water_change 10 % -3 K",
		"WC 30%":                                  "act water_change 30 %",
		"water change, 20 litres":                 "act water_change",
		"water change 20 litres":                  "act water_change 20 L",
		"half water change":                       "act water_change 50 %",
		"changed 25 % of the water":               "act water_change 25 %",
		"fed live Artemia":                        "act feed_live",
		"Lebendfutter Artemia gefüttert":          "act feed_live",
		"nourriture vivante artémias":             "act feed_live",
		"alimento vivo artemia":                   "act feed_live",
		"fed frozen artemia":                      "act feed",
		"rearranged the plants":                   "act rearrange",
		"Becken umgestaltet":                      "act rearrange",
		"décor déplacé":                           "act rearrange",
		"decoración movida":                       "act rearrange",
		"level lowered by 5 cm":                   "act level_change -5 cm",
		"Wasserstand 5 cm gesenkt":                "act level_change -5 cm",
		"added 2 fish":                            "act add_fish 2 1",
		"removed the parents":                     "act remove_fish",
		"no water change":                         "unsure",
		// measured
		"24.3 °C, pH 7.2": "measured temperature_c 24.3; measured ph 7.2",
		"temp 24.5°C":     "measured temperature_c 24.5",
		"75 °F":           "measured temperature_c 23.89",
		"450 µS/cm":       "measured conductivity_us_cm 450",
		"room 19 °C":      "",
		"24.3":            "",
		// nothing
		"quiet":                "",
		"ruhig":                "",
		"moved the eggs to A1": "",
		"bought a new book":    "",
	} {
		d := cell.Point
		if got := told(Parse(text, options(d))); got != want {
			t.Errorf("%q: want %q, got %q", text, want, got)
		}
	}
	require.Equal(t, "measured temperature_c 26.8; measured ph 7.2", told(Parse("26,8 °C, pH 7,2", options(cell.Comma))))
}

// Doubt put before or behind an entry takes its events away; it never makes one.
func TestDoubtGivesNoEvent(t *testing.T) {
	for _, text := range []string{"eggs on the glass", "hatched", "free swimming", "spawned", "Eier gefunden", "geschlüpft", "nage libre", "huevos en el cristal"} {
		require.NotEmpty(t, Parse(text, Options{}).Events, text)
		for _, doubted := range []string{text + "?", "maybe " + text, "vielleicht " + text, "peut-être " + text, "quizá " + text} {
			e := Parse(doubted, Options{})
			require.Empty(t, e.Events, doubted)
			require.NotEmpty(t, e.Unsure, doubted)
		}
	}
}

func TestLongTextsTellStories(t *testing.T) {
	e := Parse(strings.Repeat("eggs ", 300), Options{})
	require.Empty(t, e.Events)
	require.NotEmpty(t, e.Unsure)
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"found 102 eggs", "24.3 °C, pH 7.2", "10% water change, 3 °C cooler", "set up 2.3 Danio rerio", "¿quizá huevos?", "A1 2, 3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, e := range Parse(text, Options{}).Events {
			require.True(t, !e.Count.OK || e.Count.V.Value >= 0)
			require.NotEmpty(t, e.Kind)
		}
	})
}

func BenchmarkParse(b *testing.B) {
	o := options(cell.Point)
	for b.Loop() {
		Parse("eggs on the glass, about 73", o)
		Parse("24.3 °C, pH 7.2", o)
		Parse("10% water change, 3 °C cooler", o)
	}
}
