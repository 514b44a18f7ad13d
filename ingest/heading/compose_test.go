package heading

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestHeadingsByTheirWords holds headings that the list does not have, and that their
// words tell.
func TestHeadingsByTheirWords(t *testing.T) {
	for want, heads := range map[Field]string{
		Began:          "Date put together|In together|Pair introduced on|Zuchtbeginn|Paar seit|Datum Ansatz|Mise en couple|Réunis le|Juntados el|Puestos a criar",
		SpawnedAt:      "Day of spawning|Ablaichtermin|Eier entdeckt am|Jour de ponte|Día de puesta|First eggs seen on|Huevos vistos el",
		Spawned:        "Laicherfolg (ja/nein)|Did they spawn?|Any eggs?|Erfolgreich?|Réussite|¿Desovaron?",
		Eggs:           "No. laid|How many eggs|Est. # Eggs|Eier ca.|Eier ungefähr|Eggs approx. counted|Gelegegröße|Nb d'œufs pondus|Cantidad de huevos",
		Fertile:        "davon klar|Clear eggs|Œufs clairs|Fertile (n)",
		HatchDate:      "Schlupftermin|First hatch on|Nacieron el",
		Hatched:        "Larvae hatched (n)|No. of wrigglers",
		FreeSwimming:   "Alevines nadando|# free swimmers",
		SwimDate:       "Free swim on|Fecha nado libre",
		TankVolume:     "Tank (L)|Becken [Liter]",
		Temperature:    "Water °C|Tank (°F)|Temp. del acuario|Beckentemperatur|Avg. water temp (°C)",
		RefillTemp:     "Temp. Frischwasser|WC temp (°F)|T° eau neuve",
		RoomTemp:       "Temp. interior (°C)|Raum-Temperatur",
		WaterChangePct: "Chgt eau|Water change (%)",
		Group:          "Pair/Group|Sexes (m.f)|Verhältnis m/w",
		LevelChange:    "Level lowered (cm)|Niveau baissé (cm)",
		Flow:           "Flow increased",
		LightHours:     "Light (h/day)|Lichtdauer (Stunden)",
		Loss:           "Lost because|Verlust durch",
		Ended:          "Separated on|Fin de l'essai|Paar getrennt am|Se separaron|Came out",
		Date:           "Test date|Datum der Messung",
	} {
		for _, text := range strings.Split(heads, "|") {
			require.Contains(t, matcher{}.match(text).Fields, want, text)
		}
	}
}

// TestWordsThatChangeTheSense holds headings that hold known words and mean something
// else: one word that nobody knows, and the heading is not understood.
func TestWordsThatChangeTheSense(t *testing.T) {
	for _, text := range strings.Split("Eggs removed|Eggs left|Eggs per female|Spawn temp|Last spawn|Previous spawn date|Expected hatch date|Hatch due|Days since spawn|Fry lost date|Eggs eaten|Temp of hatch|Spawning tank size cm|Spawns so far|Egg size|# dead|Ratio|Date added|Mated on|Record date added|Fry size|Eggs sold|Next spawn", "|") {
		got := matcher{}.match(text)
		for _, f := range got.Fields {
			require.NotContains(t, []Field{Eggs, SpawnedAt, Spawned, HatchDate, Hatched, Temperature, Began, FreeSwimming}, f, text)
		}
	}
}

// TestOneWordOnePart holds headwords.csv: no word with two parts, no part that nothing
// makes use of.
func TestOneWordOnePart(t *testing.T) {
	used := map[part]bool{}
	for _, p := range parts() {
		used[p] = true
	}
	for _, p := range []part{partBegan, partSpawn, partLaid, partEggs, partHatch, partSwim, partFry, partFertile, partUnviable, partTemp, partWater, partRoom, partOutside, partChange, partGroup, partSexes, partRatio, partEnded, partMeasured, partDate, partCount, partSeen, partAnswer, partMean, partLevel, partLowered, partRaised, partAltered, partFlow, partNew, partLight, partHours, partLost, partWhy, partFiller} {
		require.True(t, used[p], "no word says %s", p)
		delete(used, p)
	}
	require.Empty(t, used)
}

// TestNumberViable holds that "No. viable" of an English log is not "no viable" of a
// Spanish one.
func TestNumberViable(t *testing.T) {
	require.Equal(t, []Field{Fertile}, MatchRow([]string{"Tank", "Species", "Set up", "No. viable"})[3].Fields)
	require.Equal(t, []Field{Unviable}, MatchRow([]string{"Acuario", "Especie", "Huevos", "no viable"})[3].Fields)
	require.NotEqual(t, []Field{Fertile}, matcher{}.match("no viable").Fields)
}
