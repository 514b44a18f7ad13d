package reporttest

import (
	"fmt"
	"strings"

	"gravid/analyze/report"
)

// Traps are texts that a log may hold and that must stay text wherever they are shown.
var traps = []string{
	`=HYPERLINK("http://example.invalid","click")`, "+1+1", "-2+3", "@SUM(A1:A9)", "\t=1+1",
	`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, "</style><b>bold</b>", "</svg></title>]]>&amp;",
	"\x1b[31mred\x1b[0m\x07\x00", "invoice\u202efdp.exe", "a\u2066b\u2069", "bad \xff\xfe bytes", "line one\nline two\r\n\tline three",
	"x\u0085y\u2028z", "\ufeffmark", "e\u0301 日本語 🐟 عربي", "_x0041_", "_x005F_x0041_x000D_", "'quoted", "{{.Title}}", "%s %d $(id) `id`",
}

// Traps is a copy of the texts.
func Traps() []string { return append([]string{}, traps...) }

// Hostile is a document whose every text is a trap.
func Hostile() *report.Document {
	all := strings.Join(traps, " | ")
	d := &report.Document{
		Title: "Title " + traps[5], Subtitle: traps[9], Cautions: traps,
		Facts: []report.Fact{{Label: traps[6], Value: report.T(traps[0]), Note: traps[10]}},
		Terms: []report.Term{{Word: traps[5], Meaning: traps[10]}},
	}
	t := report.Table{ID: "traps", Title: all, Note: all, Columns: []report.Column{
		{Name: traps[0], Key: true, Help: all}, {Name: traps[0], Help: traps[5]}, {Name: "", Unit: traps[8]}, {Name: "Number", Format: report.Decimal}}}
	f := report.Figure{ID: "forest", Kind: report.Forest, Title: all, Caption: all, Alt: all,
		X: report.Axis{Label: traps[5], Unit: traps[6]}, Y: report.Axis{Label: traps[0]}, MarksX: []report.Mark{{At: 0, Label: traps[8]}},
		Series: []report.Series{{Name: traps[0]}, {Name: traps[5]}}}
	for i, s := range traps {
		c := report.T(s)
		c.Link = []string{"#traps/traps", "javascript:alert(1)", "https://example.invalid/x", "/etc/passwd", "logs/=cmd.xlsx", "..\\x", "//host/share", "logs/a b#1.csv", "logs/x\ny.csv", "#traps"}[i%10]
		n := report.N(report.Decimal, float64(i))
		n.Text = s
		t.Rows = append(t.Rows, []report.Cell{c, report.T(all), report.T(strings.Repeat(s, 3)), n})
		p := report.At(s, float64(i-8), 0)
		p.XLo, p.XHi, p.Note, p.N = p.X-3, p.X+3, s, i
		f.Series[i%2].Points = append(f.Series[i%2].Points, p)
	}
	d.Sections = []report.Section{
		{ID: "traps", Title: `a/b\c?d*e[f]:g` + traps[5], Lead: all, Paragraphs: traps, Tables: []report.Table{t}, Figures: []report.Figure{f}},
		{ID: "twin-one", Title: "The very same title, longer than a sheet's name may be", Lead: traps[0]},
		{ID: "twin-two", Title: "the very same title, LONGER than a sheet's name may be too", Lead: traps[1]},
		{ID: "guide", Title: "Reading guide"}, {ID: "history", Title: "History"}, {ID: "quote", Title: "'"}, {ID: "blank", Title: ""},
		{ID: "long", Title: "Long text", Tables: []report.Table{{ID: "long", Title: "Long", Columns: []report.Column{{Name: "Text"}},
			Rows: [][]report.Cell{{report.T(strings.Repeat("long text, ", 4000))}, {report.T(strings.Repeat("🐟", 20000))}, {report.T(strings.Repeat("nobreak", 60))}}}}},
	}
	return d
}

// Figures is a document of figures that are hard to draw.
func Figures() *report.Document {
	dots := func(n int, at func(i int) report.Point) []report.Series {
		s := report.Series{Name: "a series"}
		for i := range n {
			s.Points = append(s.Points, at(i))
		}
		return []report.Series{s}
	}
	plain := func(i int) report.Point { return report.At(fmt.Sprintf("row %d", i+1), float64(i), float64(i*i)) }
	wide := func(i int) report.Point {
		p := report.At("", float64(i), 5)
		p.YLo, p.YHi = -inf, inf
		p.XLo, p.XHi = -inf, float64(i)+0.5
		return p
	}
	many := report.Figure{ID: "many-series", Kind: report.Curve, Title: "Seven series"}
	for k := range 7 {
		s := dots(12, func(i int) report.Point { return report.At("", float64(i), float64(i*(k+1))) })[0]
		s.Name = fmt.Sprintf("series number %d", k+1)
		many.Series = append(many.Series, s)
	}
	pairs := report.Figure{ID: "pairs", Kind: report.Bars, Title: "Two series of bars, one going below zero", Y: report.Axis{Label: "Change", Unit: "°C"}}
	for k := range 2 {
		s := dots(5, func(i int) report.Point { return report.At(fmt.Sprintf("group %d", i+1), 0, float64(3*k-i)) })[0]
		s.Name = []string{"before", "after"}[k]
		pairs.Series = append(pairs.Series, s)
	}
	log := report.Figure{ID: "log", Kind: report.Forest, Title: "Odds ratios on a log axis", X: report.Axis{Label: "Odds ratio", Format: report.Ratio, Log: true},
		MarksX: []report.Mark{{At: 1, Label: "no difference"}, {At: 1 / 1.5}, {At: 1.5}}, Series: dots(3, func(i int) report.Point {
			p := report.At(fmt.Sprintf("trigger %d", i+1), []float64{0.04, 1.2, 160}[i], 0)
			p.XLo, p.XHi = []float64{0, 0.9, 20}[i], []float64{0.3, 1.7, inf}[i]
			return p
		})}
	limits := report.Series{Name: "limits that leave the plot, and have a long name to tell"}
	for n := 1.0; n < 60; n *= 1.5 {
		p := report.At("", n, nan)
		p.YLo, p.YHi = 1-3/n, 1+30/n
		limits.Points = append(limits.Points, p)
	}
	days := report.Figure{ID: "days", Kind: report.Calendar, Title: "Three years without ends, with names that are too long", X: report.Axis{Label: "years", Format: report.Day}}
	for k := range 12 {
		s := dots(9, func(i int) report.Point { return report.At("", 20000+float64(i*117+k), nan) })[0]
		s.Name, s.Behind = strings.Repeat("a long name of a species ", 1+k%3), k%5 == 4
		days.Series = append(days.Series, s)
	}
	for k := range 3 {
		s := dots(400, func(i int) report.Point {
			return report.At("", 20000+float64(i*(k+1)), []float64{1, nan, inf, -3, 2}[(i/9+k)%5])
		})[0]
		s.Name, s.Strip, s.Unjoined = "values with gaps", report.Axis{Label: fmt.Sprintf("Strip %d", k/2)}, k == 1
		days.Series = append(days.Series, s)
	}
	return &report.Document{Title: "Figures that are hard to draw", Sections: []report.Section{{ID: "hard", Title: "Hard", Figures: []report.Figure{
		{ID: "no-series", Kind: report.Forest, Title: "No series at all"},
		{ID: "no-points", Kind: report.Steps, Title: "A series without points", Series: []report.Series{{Name: "nothing"}}},
		{ID: "one", Kind: report.Forest, Title: "One point without an interval", Series: dots(1, plain)},
		{ID: "one-bar", Kind: report.Bars, Title: "One bar", Series: dots(1, func(int) report.Point { return report.At("only", 0, 3) })},
		{ID: "zeros", Kind: report.Bars, Title: "Bars that are all 0", Series: dots(4, func(i int) report.Point { return report.At(fmt.Sprintf("z%d", i), 0, 0) })},
		{ID: "unknown", Kind: report.Dots, Title: "Points that are not numbers", Series: dots(3, func(i int) report.Point { return report.At("", nan, []float64{1, nan, inf}[i]) })},
		{ID: "wide", Kind: report.Dots, Title: "Intervals without limits", Series: dots(4, wide)},
		{ID: "tiny", Kind: report.Curve, Title: "Very small numbers", Series: dots(5, func(i int) report.Point { return report.At("", 1e-9*float64(i), 2e-12*float64(i)) })},
		{ID: "vast", Kind: report.Curve, Title: "Very large numbers", Series: dots(5, func(i int) report.Point { return report.At("", 1e12*float64(i), 3e15*float64(i)) })},
		{ID: "flat", Kind: report.Curve, Title: "All the same", Series: dots(5, func(i int) report.Point { return report.At("", 7, 7) })},
		{ID: "long-rows", Kind: report.Forest, Title: "Long names", Series: dots(4, func(i int) report.Point {
			p := report.At(strings.Repeat("a rather long name of a trigger ", 1+i), float64(i-2), 0)
			p.XLo, p.XHi, p.Note, p.N = p.X-4, p.X+4, "the records can't tell yet: about 900 more tries, or more keepers", 12
			return p
		})},
		{ID: "many-bars", Kind: report.Bars, Title: "Forty bars", Series: dots(40, func(i int) report.Point {
			return report.At(fmt.Sprintf("week %d of the year", i+1), 0, float64(i*17%23))
		})},
		many, pairs, log, days,
		{ID: "no-days", Kind: report.Calendar, Title: "A calendar without a day", Series: dots(1, func(int) report.Point { return report.At("", nan, 1) })},
		{ID: "huddle", Kind: report.Funnel, Title: "Forty named points near each other", Y: report.Axis{Max: 3}, MarksY: []report.Mark{{At: 1, Label: "as expected"}},
			Series: append(dots(40, func(i int) report.Point {
				return report.At(fmt.Sprintf("Keeper %d", i+1), 20+float64(i%7), 1+float64(i%5)/10)
			}), limits)},
		{ID: "lone", Kind: report.Funnel, Title: "One point without limits", Series: dots(1, plain)},
		{ID: "limits", Kind: report.Funnel, Title: "Limits without a point", Series: append(dots(0, plain), limits)},
		{ID: "crowd", Kind: report.Dots, Title: "Two thousand points", Series: dots(2000, func(i int) report.Point { return report.At("", float64(i%97), float64(i*i%1013)) })},
	}}}}
}

// Huge is a document with one table of n rows.
func Huge(n int) *report.Document {
	return &report.Document{Title: "Many attempts", Sections: []report.Section{attempts(n)}}
}
