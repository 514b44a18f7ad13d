package report_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gravid/analyze/report"
	"gravid/analyze/report/internal/reporttest"
)

func TestValidateAcceptsTheSamples(t *testing.T) {
	for name, d := range map[string]*report.Document{
		"season": reporttest.Season(), "hostile": reporttest.Hostile(), "figures": reporttest.Figures(), "huge": reporttest.Huge(10), "empty": {},
	} {
		assert.NoError(t, d.Validate(), name)
	}
}

func TestValidateNamesEveryFault(t *testing.T) {
	linked := report.T("there")
	linked.Link = "#a/nowhere"
	bad := report.At("", 1, 2)
	bad.YLo, bad.YHi = 3, 2
	zero := report.Point{X: 1, Y: 2, XLo: math.NaN(), XHi: math.NaN()} // YLo and YHi forgotten
	d := &report.Document{Sections: []report.Section{
		{ID: "a", Tables: []report.Table{{ID: "t", Columns: make([]report.Column, 2), Rows: [][]report.Cell{{linked}}}}},
		{ID: "a"}, {ID: "B b"}, {ID: ""},
		{ID: "c", Figures: []report.Figure{{ID: "t", Kind: report.Curve, Series: []report.Series{{Name: "s", Points: []report.Point{bad, zero}}}}},
			Tables: []report.Table{{ID: "t"}}},
		{ID: "d", Figures: []report.Figure{{ID: "lost", Records: "#d/gone"}, {ID: "away", Records: "logs/a.csv"}}},
	}}
	err := d.Validate()
	require.Error(t, err)
	for _, want := range []string{
		"table a/t, row 1: 1 cells for 2 columns", `the ID "a" is used twice`, `"B b" cannot be an ID`, `"" cannot be an ID`,
		`the ID "c/t" is used twice`, "point 1 of \"s\": the Y interval runs from 3 down to 2", "point 2 of \"s\": the Y interval was left at 0",
		`the link "#a/nowhere" leads nowhere`, `the link "#d/gone" leads nowhere`, "figure d/away: its records are in no part of the document",
	} {
		assert.ErrorContains(t, err, want)
	}
}

func TestParseLink(t *testing.T) {
	good := map[string]report.Target{
		"#triggers":                      {Section: "triggers"},
		"#triggers/":                     {Section: "triggers"},
		"#triggers/all-species":          {Section: "triggers", Part: "all-species"},
		"logs/a b.xlsx":                  {Path: "logs/a b.xlsx"},
		"logs/ana.xlsx#2024!B5":          {Path: "logs/ana.xlsx", Place: "2024!B5"},
		"logs/#3.csv":                    {Path: "logs/#3.csv"}, // a # without a cell is part of the name
		"logs/a#b.xlsx#Tank 1!C7":        {Path: "logs/a#b.xlsx", Place: "Tank 1!C7"},
		"../logs/10:30.csv":              {Path: "../logs/10:30.csv"},
		"set-aside/=cmd.csv":             {Path: "set-aside/=cmd.csv"},
		"logs/50% water.csv?x=1&y=\"2\"": {Path: "logs/50% water.csv?x=1&y=\"2\""},
	}
	for link, want := range good {
		got, err := report.ParseLink(link)
		if assert.NoError(t, err, link) {
			assert.Equal(t, want, got, link)
		}
	}
	for _, link := range []string{
		"", "#", "#A b", "#a/b/c", "#a/B", "javascript:alert(1)", "JAVASCRIPT:alert(1)", "https://example.invalid", "mailto:a@b", "data:text/html,x",
		"C:/x", "C:x", ":x", "/etc/passwd", "//host/share", `..\x`, `logs\x.csv`, "logs/x\n.csv", "logs/\x00", "logs/\ufffd",
	} {
		_, err := report.ParseLink(link)
		assert.Error(t, err, "%q", link)
	}
}

func TestTargetURL(t *testing.T) {
	for path, want := range map[string]string{
		"logs/a b#1.csv": "logs/a%20b%231.csv", "../x/ü.xlsx": "../x/%C3%BC.xlsx", "a?b/100%.csv": "a%3Fb/100%25.csv", "1:2.csv": "./1:2.csv",
	} {
		assert.Equal(t, want, report.Target{Path: path}.URL())
	}
}

func FuzzParseLink(f *testing.F) {
	for _, s := range reporttest.Traps() {
		f.Add(s)
	}
	f.Add("logs/ana.xlsx#2024!B5")
	f.Add("#a/b")
	f.Fuzz(func(t *testing.T, link string) {
		got, err := report.ParseLink(link)
		if err != nil {
			require.Equal(t, report.Target{}, got)
			return
		}
		// law: a target leads to one place, and never out by a scheme or from the root
		require.NotEqual(t, got.Path == "", got.Section == "")
		if got.Inside() {
			again, err := report.ParseLink("#" + got.Anchor())
			require.NoError(t, err)
			require.Equal(t, got, again)
			return
		}
		require.NotContains(t, got.URL(), `\`)
		require.NotEqual(t, byte('/'), got.URL()[0])
		require.NotRegexp(t, `^[A-Za-z][A-Za-z0-9+.-]*:`, got.URL())
	})
}
