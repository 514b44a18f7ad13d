//go:build linux

package main

import (
	"fmt"
	"strings"
)

// wide writes rows of that many cells.
func wide(columns, rows int, cell string) maker {
	return text(func(s *streams) {
		for range rows / fullScale * s.scale {
			s.repeat(cell+",", columns-1)
			s.repeat(cell+"\n", 1)
		}
	})
}

var hostileTexts = []hostileFile{
	{"10^6 columns in a text", "wide.csv", "a log with 20 rows of 1,000,000 cells", wide(1_000_000, 20, "a"), []string{"limit", "not-a-log", "ragged-row"}, ""},
	{"10^6 headings", "headings.csv", "a log with the headings of a breeding log and 1,000,000 more", text(func(s *streams) {
		s.repeat(strings.TrimSpace(breedingHeadings), 1)
		for i := range 1_000_000 {
			s.repeat(fmt.Sprintf(",x%d", i), 1)
		}
		s.repeat("\nT1,"+fish+"\n", 3)
	}), []string{"limit", "not-a-log", "ragged-row", "row-incomplete"}, ""},
	{"commas", "commas.csv", "a log of 30 MB of commas, 1,000 a row", wide(1001, 30_000, ""), nil, ""},
	{"short cells", "cells.csv", "a log of 40 MB with 1,000 cells of one letter a row", wide(1000, 20_000, "a"), nil, ""},
	{"a quote that never closes", "quote.csv", "a log with a quotation mark and 20 MB after it", text(func(s *streams) {
		s.repeat(breedingHeadings+"T1,\"", 1)
		s.repeat("never closed, and so on\n", 20<<20/24/fullScale*s.scale)
	}), nil, ""},
	{"only quotes", "quotes.csv", "a log of 20 MB of quotation marks", text(func(s *streams) { s.repeat(`"`, 20<<20/fullScale*s.scale) }), nil, ""},
	{"one long line", "line.csv", "a log that is one line of 24 MB", text(func(s *streams) { s.repeat("without end ", 2<<20/fullScale*s.scale) }), nil, ""},
	{"empty lines", "empty.csv", "a log of 20,000,000 empty lines", text(func(s *streams) { s.repeat("\n", 20_000_000) }), nil, ""},
	{"bad rows", "bad.csv", "a log of 60,000 rows of which no cell can be used", text(func(s *streams) {
		s.repeat(breedingHeadings, 1)
		for i := range 60_000 / fullScale * s.scale {
			s.repeat(fmt.Sprintf("?%d,no fish %d,many,x,2025-02-30,2025-13-01,perhaps,soon,warm,sour,lots,some,later,?,%d\n", i, i%50, i), 1)
		}
	}), []string{"date-unreadable", "species-unknown"}, ""},
	{"unknown fish", "fish.csv", "a log of 5,000 rows with 5,000 names of no fish", text(func(s *streams) {
		s.repeat(breedingHeadings, 1)
		for i := range 5000 / fullScale * s.scale {
			s.repeat(fmt.Sprintf("T1,Xyzzy plugh%d,1,1,2025-02-01,2025-02-09,no,,24.0,7.0,20,,,,\n", i), 1)
		}
	}), []string{"species-unknown"}, ""},
	{"numbers at the edge", "edge.csv", "a log with 1e308, 1e-400, NaN, Inf, -0, 0x1p4 and a number of 1,000,000 digits", text(func(s *streams) {
		s.repeat(breedingHeadings, 1)
		for _, n := range []string{"1e308", "1e-400", "1e999", "NaN", "Inf", "-Inf", "-0", "0x1p4", "9223372036854775808", "1_000", strings.Repeat("9", 1_000_000)} {
			s.repeat(fmt.Sprintf("T1,%s,%s,%s,2025-02-01,2025-02-09,no,,%s,%s,%s,%s,,,\n", fish, n, n, n, n, n, n), 1)
		}
	}), nil, "NaN"},
	{"dates at the edge", "dates.csv", "a log with the years 0, 9999, 292277026596 and a date of 1,000,000 digits", text(func(s *streams) {
		s.repeat(breedingHeadings, 1)
		for _, d := range []string{"0000-01-01", "0001-01-01", "1677-09-21", "9999-12-31", "292277026596-12-04", "2025-00-00", "2025-02-29", strings.Repeat("1", 1_000_000)} {
			s.repeat(fmt.Sprintf("T1,%s,1,1,%s,%s,no,%s,24,7,20,,%s,,\n", fish, d, d, d, d), 1)
		}
	}), []string{"date-unreadable", "date-out-of-range", "date-conflict", "date-ambiguous"}, ""},
	{"zeros and ones", "binary.csv", "a log of 10 MB of all bytes in turn", text(func(s *streams) {
		var all strings.Builder
		for i := range 256 {
			all.WriteByte(byte(i))
		}
		s.repeat(all.String(), 10<<20/256)
	}), nil, ""},
	{"half characters", "half.csv", "a log in UTF-16 with an odd number of bytes and lone halves of pairs", text(func(s *streams) {
		s.repeat("\xff\xfe", 1)
		s.repeat("\x00\xd8", 1<<20/fullScale*s.scale)
		s.repeat("x", 1)
	}), nil, ""},
	{"markup", "page.html", "a web page of 1,000,000 tables inside each other", text(func(s *streams) {
		s.repeat("<html><body>", 1)
		s.repeat("<table><tr><td>", 1_000_000)
	}), []string{"file-kind", "not-a-log"}, ""},
	{"a picture with scripts", "drawing.svg", "an SVG drawing with a script", text(func(s *streams) {
		s.repeat(`<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>`, 1)
	}), []string{"file-kind", "not-a-log"}, "<script>"},
}
