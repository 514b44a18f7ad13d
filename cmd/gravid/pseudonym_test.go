package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest"
	"gravid/ingest/club"
	"gravid/ingest/problem"
)

// Every text of the tables that a keeper chose is hidden, and what belongs together
// still does.
func TestHideNames(t *testing.T) {
	const secret = "Zapfenstein"
	from := func(file string) club.Source { return club.Source{File: file, Sheet: secret, Row: 3} }
	tables := club.Tables{
		Attempts: []club.Attempt{
			{ID: "attempt-1", Keeper: secret + " B", System: secret + " left", Species: "Danio rerio", SpeciesAsWritten: secret + "'s danios", Notes: secret, Source: from(secret + "/b.csv")},
			{ID: "attempt-2", Keeper: secret + " A", Species: "Danio rerio", Source: from(secret + ".csv")},
		},
		Clutches: []club.Clutch{{ID: "clutch-1", Keeper: secret + " B", System: secret + " left", HatchAid: secret, Notes: secret, Source: from(secret + "/b.csv")}},
		Readings: []club.Reading{{Keeper: secret + " logger", Place: secret + " road", Quantity: "temperature_c", Source: from("weather/" + secret)}},
		Actions:  []club.Action{{Keeper: secret + " B", System: secret + " left", Action: "water_change", Source: from(secret + "/c.csv")}},
		Sources:  []club.SourceSheet{{File: secret + ".csv", Sheet: secret, Mapping: secret}, {File: secret + " again.csv", Layout: ingest.DuplicateOf + secret + ".csv"}},
		Problems: []problem.Problem{
			{Severity: problem.Error, Code: problem.NumberUnreadable, Place: problem.Place{File: secret + "/d.csv", Sheet: secret, Row: 4, Column: "B", Head: secret}, Value: secret, Message: secret, Fix: secret},
			{Severity: problem.Error, Code: "of another version", Message: secret, Fix: secret},
		},
	}
	p := hideNames(&tables)
	all, err := json.Marshal(tables)
	require.NoError(t, err)
	require.NotContains(t, strings.ToLower(string(all)), strings.ToLower(secret))

	require.Equal(t, "Keeper B", tables.Attempts[0].Keeper)
	require.Equal(t, "Keeper A", tables.Attempts[1].Keeper)
	require.Equal(t, "Keeper C", tables.Readings[0].Keeper, "a keeper without attempts comes last")
	require.Equal(t, tables.Attempts[0].Keeper, tables.Actions[0].Keeper)
	require.Equal(t, "tank 1", tables.Actions[0].System)
	require.Equal(t, "tank 1", tables.Clutches[0].System)
	require.Empty(t, tables.Attempts[1].System, "no tank is none")
	require.Equal(t, "place 1", tables.Readings[0].Place)
	require.Equal(t, "place 1", p.place(secret+" road"))
	require.Equal(t, "place 2", p.place(secret+" lane"), "one met later")
	require.Equal(t, "place 2", p.place(secret+" lane"))
	require.Equal(t, "Keeper D", p.keeper(secret+" logger 2"))
	require.Empty(t, p.tank(""))
	require.Equal(t, tables.Attempts[0].Source, tables.Clutches[0].Source)
	require.Regexp(t, `^folder 1/log [1-7]$`, tables.Attempts[0].Source.File)
	require.Regexp(t, `^log [1-7]$`, tables.Attempts[1].Source.File)
	require.Equal(t, ingest.DuplicateOf+tables.Attempts[1].Source.File, tables.Sources[1].Layout)
	require.Equal(t, tables.Sources[0].File, tables.Attempts[1].Source.File)
	require.Regexp(t, `^folder 1/log [1-7]$`, tables.Actions[0].Source.File, "logs of one folder stay in one")
	logs := map[string]bool{}
	for _, shown := range p.logs {
		logs[shown] = true
	}
	require.Len(t, logs, len(p.logs), "no two logs have one name")
	e, _ := problem.Explain(problem.NumberUnreadable)
	require.Equal(t, problem.Problem{Severity: problem.Error, Code: problem.NumberUnreadable, Place: problem.Place{File: p.logs[secret+"/d.csv"], Row: 4, Column: "B"}, Message: e.Cause, Fix: e.Remedy}, tables.Problems[0])
	require.Empty(t, tables.Problems[1].Message)
}

// Letters follow from the names, but not from their alphabet.
func TestOrderOfPseudonyms(t *testing.T) {
	var forth, back names
	for i := range 10 {
		forth.add(string(rune('a' + i)))
		back.add(string(rune('j' - i)))
	}
	letters := forth.called(keeperLetters)
	require.Equal(t, letters, back.called(keeperLetters))
	alike := 0
	for i := range 10 {
		if letters[string(rune('a'+i))] == keeperLetters(i) {
			alike++
		}
	}
	require.Less(t, alike, 5)
}

func TestLetters(t *testing.T) {
	for n, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 27: "AB", 701: "ZZ", 702: "AAA"} {
		require.Equal(t, want, letters(n))
	}
}
