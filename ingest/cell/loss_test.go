package cell

import (
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

func TestParseLoss(t *testing.T) {
	for want, list := range map[string][]string{
		"infertile":              {"infertile", "unfertilised", "unbefruchtet", "non fécondés", "infértiles"},
		"fungus":                 {"fungus", "all eggs fungused", "verpilzt", "moisis", "con hongos", "lost to fungus"},
		"eaten by parents":       {"parents ate eggs", "eaten by the parents", "von den Eltern gefressen", "eaten by male"},
		"eaten by others":        {"eaten by snails", "eaten by tank mates", "von Schnecken gefressen"},
		"fry eaten":              {"fry eaten", "parents ate fry", "alevins mangés"},
		club.RemovedDeliberately: {"removed deliberately", "moved", "given away", "culled", "abgegeben", "vendus", "regalados"},
		"failed to hatch":        {"did not hatch", "dead in shell", "nicht geschlüpft"},
		"deformed":               {"deformed"},
		"starved":                {"starved", "verhungert", "no first food"},
		"equipment":              {"heater failed", "power cut", "Stromausfall", "dried out"},
		"disease":                {"disease", "Krankheit"},
		"jumped":                 {"jumped out", "herausgesprungen"},
		"sibling predation":      {"cannibalism", "eaten by siblings"},
		"unknown":                {"unknown", "disappeared", "verschwunden", "inconnu"},
		"lost count":             {"lost count"},
		"":                       {"none", "no losses", "keine Verluste", "aucune"},
	} {
		for _, s := range list {
			cause, fault := ParseLoss(s)
			require.Nil(t, fault, "%q: %v", s, fault)
			require.Equal(t, want, cause, s)
		}
	}
	for _, s := range []string{"eaten", "fungus and eaten", "moved to a fungus-free tank", "no fungus", "white", "?!", "5", "parents"} {
		_, fault := ParseLoss(s)
		require.NotNil(t, fault, s)
		require.Equal(t, problem.LossUnknown, fault.Code)
	}
	for _, cause := range club.Losses {
		got, fault := ParseLoss(cause)
		require.Nil(t, fault, "the list itself is understood: %s", cause)
		require.Equal(t, cause, got)
	}
	for _, words := range lossWords {
		require.Contains(t, club.Losses, words)
	}
	cause, fault := LossOf(text("n/a"))
	require.Nil(t, fault)
	require.Empty(t, cause)
	cause, fault = LossOf(text("unknown"))
	require.Nil(t, fault)
	require.Equal(t, "unknown", cause)
	_, fault = LossOf(source.Cell{Kind: source.Number, Number: 5, Text: "5"})
	require.NotNil(t, fault)
}

func TestParseEggsMethod(t *testing.T) {
	for want, list := range map[string][]string{
		"counted": {"counted", "full count", "gezählt", "compté", "contados"}, "photo": {"photo", "counted from photo", "Foto"},
		"sample": {"sample", "weighed", "Stichprobe", "muestra"}, "estimated": {"estimated", "by eye", "geschätzt", "estimé", "approx."},
	} {
		for _, s := range list {
			method, fault := ParseEggsMethod(s)
			require.Nil(t, fault, s)
			require.Equal(t, want, method, s)
		}
	}
	for _, m := range club.EggsMethods {
		got, fault := ParseEggsMethod(m)
		require.Nil(t, fault)
		require.Equal(t, m, got)
	}
	for _, s := range []string{"x", "both", "counted or estimated"} {
		_, fault := ParseEggsMethod(s)
		require.NotNil(t, fault, s)
	}
	method, fault := EggsMethodOf(text("unknown"))
	require.Nil(t, fault)
	require.Empty(t, method)
}
