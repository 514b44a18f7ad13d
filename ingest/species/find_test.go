package species_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/species"
)

func TestFind(t *testing.T) {
	names := species.New(nil)
	for text, want := range map[string][]string{
		"What helps Apistogramma cacatuoides?":                                {"Apistogramma cacatuoides = Apistogramma cacatuoides"},
		"does a pressure drop matter for Corydoras paleatus?":                 {"Corydoras paleatus = Corydoras paleatus"},
		"Does C. paleatus spawn. Panda corys do":                              {"C. paleatus = Corydoras paleatus", "Panda corys = Corydoras panda"},
		"do peppered corys spawn before tiger barbs?":                         {"peppered corys = Corydoras paleatus", "tiger barbs = Puntigrus tetrazona"},
		"neon tetras, cardinal tetras and rams":                               {"neon tetras = Paracheirodon innesi", "cardinal tetras = Paracheirodon axelrodi", "rams = Mikrogeophagus ramirezi"},
		"What about black neon tetras?":                                       {"black neon tetras = Hyphessobrycon herbertaxelrodi"},
		"Hilft kaltes Wasser bei Metallpanzerwelsen und bei Zebrabärblingen?": {"Metallpanzerwelsen = Corydoras aeneus", "Zebrabärblingen = Danio rerio"},
		"¿ayuda la lluvia a los barbos tigre?":                                {"barbos tigre = Puntigrus tetrazona"},
		"le néon rouge pond-il plus ? et les poissons rouges":                 {"néon rouge = Paracheirodon axelrodi", "poissons rouges = Carassius auratus"},
		"what about Coridoras paleatis":                                       {"Coridoras paleatis = Corydoras paleatus"},
		"Betta imbellis, not Betta foerschi":                                  {"Betta imbellis = Betta imbellis", "Betta foerschi ="},
		"angelfish and corys":                                                 {"angelfish ? Pterophyllum scalare", "corys ? Corydoras paleatus"},
		"tetras":                                                              {"tetras ? Paracheirodon innesi"},
		"Panzerwelse":                                                         {"Panzerwelse ? Corydoras paleatus"},
		"zebra danio rerio":                                                   {"zebra danio = Danio rerio"},
		"":                                                                    nil,
	} {
		found := names.Find(text)
		require.Len(t, found, len(want), "%s: %+v", text, found)
		for i, w := range want {
			as, accepted, sure := strings.Cut(w, " =")
			if sure {
				require.Equal(t, as, found[i].As)
				require.Equal(t, strings.TrimSpace(accepted), found[i].Accepted, text)
				require.Empty(t, found[i].Candidates, text)
				continue
			}
			as, candidate, _ := strings.Cut(w, " ? ")
			require.Equal(t, as, found[i].As)
			require.Empty(t, found[i].Accepted, text)
			require.Contains(t, found[i].Candidates, candidate, text)
		}
	}
}

// TestOrdinaryWords holds words of questions and logs in which no fish is named.
func TestOrdinaryWords(t *testing.T) {
	names := species.New(nil)
	for _, text := range []string{
		"does a pressure drop matter for the spawning of my fish, and what helps best in July or in winter?",
		"temperature water change cooler refill rain weather storm falling air pressure moon phase light hours dark leaf litter oak leaves tannins peat",
		"live food brine shrimp worms daphnia mosquito larvae conditioning flow current level lowered nitrate conductivity hardness alkalinity",
		"eggs clutch fry hatch hatched swim swimming free larvae yolk lost fungus eaten females males trio pair group keeper tank tanks system plate plates",
		"How long until they hatch at 24 degrees? Which trigger is worth trying next? Is it better, worse or the same? yellow blue red gold silver",
		"the and for with without before after does do did is are was were has have can could would should will who which what when where why how many few",
		"core score scale scales cost ramp minor major general normal signal animal mineral panel molecule plasma platinum",
		"hilft sinkender Luftdruck beim Ablaichen, und wie lange dauert es bis zum Schlupf? Wasserwechsel kälter Regen Gewitter Mond Licht Lebendfutter Laub",
		"Juli August Platz Platte Platten Barometer Kern Temperatur Leitwert Härte Eier Gelege Larven Züchter Becken Weibchen Männchen Ansatz Gruppe ohne mit",
		"la pression atmosphérique compte-t-elle pour la ponte ? changement d'eau plus froide pluie orage lune lumière nourriture vivante feuilles œufs éclosion",
		"¿importa la presión para la puesta? cambio de agua más fría lluvia tormenta luna luz comida viva hojas huevos eclosión limón rocío amarillo",
		"a b c d e f g h i j k l m n o p q r s t u v w x y z no ja nein oui non sí on off am pm",
	} {
		for _, m := range names.Find(text) {
			t.Errorf("%q was taken for a fish: %+v", m.As, m)
		}
	}
}
