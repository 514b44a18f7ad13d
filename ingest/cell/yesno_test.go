package cell

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

func TestParseYesNo(t *testing.T) { // B8 and domain: value spellings
	for want, list := range map[Answer][]string{
		Yes:     {"y", "yes", "Y", "x", "X", "1", "true", "ja", "j", "wahr", "oui", "vrai", "si", "sí", "verdadero", "da", "✓", "✔", "spawned!"},
		No:      {"n", "no", "0", "nein", "falsch", "non", "faux", "nichts", "rien", "nada", "no luck", "ne"},
		Pending: {"not yet", "noch nicht", "pas encore", "todavía no", "aún no", "ongoing", "läuft"},
	} {
		for _, s := range list {
			a, fault := ParseYesNo(s, YesNo{})
			require.Nil(t, fault, s)
			require.Equal(t, want, a, s)
		}
	}
	for _, s := range []string{"o", "s", "+", "maybe", "2", "Artemia", "0.5", "yes and no", "not"} {
		_, fault := ParseYesNo(s, YesNo{})
		require.NotNil(t, fault, s)
		require.Equal(t, problem.YesNoUnreadable, fault.Code)
	}
	a, fault := ParseYesNo("o", YesNo{Language: "fr"})
	require.Nil(t, fault)
	require.Equal(t, Yes, a)
	a, fault = ParseYesNo("s", YesNo{Language: "es"})
	require.Nil(t, fault)
	require.Equal(t, Yes, a)
}

func TestYesNoColumns(t *testing.T) {
	read := func(samples []string) (YesNo, []Answer) {
		column := DecideYesNo(slices.Values(samples), "")
		var answers []Answer
		for _, s := range samples {
			a, _ := AnswerOf(text(s), column)
			answers = append(answers, a)
		}
		return column, answers
	}
	// D34: marks and blanks: a blank is not a no.
	column, answers := read([]string{"x", "", "x", "-"})
	require.True(t, column.MarksOnly)
	require.Equal(t, 2, column.Blanks)
	require.Equal(t, []Answer{Yes, NoAnswer, Yes, NoAnswer}, answers)
	column, answers = read([]string{"+", "-", "", "+"})
	require.True(t, column.PlusMinus)
	require.False(t, column.MarksOnly)
	require.Equal(t, []Answer{Yes, No, NoAnswer, Yes}, answers)
	column, answers = read([]string{"+", "", "+"}) // + only as a pair with -
	require.False(t, column.PlusMinus || column.MarksOnly)
	require.Equal(t, []Answer{NoAnswer, NoAnswer, NoAnswer}, answers)
	column, _ = read([]string{"yes", "no", ""})
	require.False(t, column.MarksOnly)
	column, _ = read([]string{"yes", "not yet", ""})
	require.False(t, column.MarksOnly)
	column, answers = read([]string{"yes", "-", "no"})
	require.False(t, column.PlusMinus)
	require.Equal(t, []Answer{Yes, NoAnswer, No}, answers)

	for _, c := range []struct {
		cell source.Cell
		want Answer
	}{
		{source.Cell{Kind: source.Bool, Number: 1}, Yes}, {source.Cell{Kind: source.Bool}, No}, {source.Cell{Kind: source.Number, Number: 1}, Yes}, {source.Cell{Kind: source.Number, Number: 0}, No}, {source.Cell{}, NoAnswer},
	} {
		a, fault := AnswerOf(c.cell, YesNo{})
		require.Nil(t, fault)
		require.Equal(t, c.want, a)
	}
	for _, c := range []source.Cell{{Kind: source.Number, Number: 2}, {Kind: source.Date, Time: time.Now()}, {Kind: source.Fault, Text: "#N/A"}, {Kind: source.Number, Number: 1, Unit: "%"}} {
		_, fault := AnswerOf(c, YesNo{})
		require.NotNil(t, fault)
	}
}

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
		"2.3": group(2, 3, -1), "1.2.3": group(1, 2, 3), "2/1": group(2, 1, -1), "2 / 1": group(2, 1, -1), "0.3": group(0, 3, -1), "0.0.6": group(0, 0, 6), "2.10": group(2, 10, -1), "3:4": group(3, 4, -1),
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
	for _, s := range []string{"2,3", "2-3", "1/2/3", "0", "0.0", "many", "2.3.4.5", "1m2m", "2x", "colony", "3.4.2024", "-1.2", "2.03", "99999", "5 and some", "m", "", "1.2 or 1.3"} {
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
