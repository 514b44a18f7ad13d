package cell

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

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
