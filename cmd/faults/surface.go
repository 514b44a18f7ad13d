//go:build linux

package main

import (
	"archive/zip"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"
)

// A kind of text that the program writes.
type kind int

const (
	terminal kind = iota // text on standard output or standard error
	jsonText
	csvText
	webPage
	bookPart // of a workbook
	binary   // Arrow and Parquet, and parts of workbooks that are no XML
)

// A surface is one thing that the program wrote.
type surface struct {
	name string
	kind kind
	text string
}

// reports are the verbs whose answers are shown to the club, with what is said
// beside them; keeping are those by which whoever keeps the records mends them.
func reportVerbs() [][]string {
	return [][]string{
		{"ask", "--trigger", "water-change", "--species", fish, "--technical"},
		{"ask", "--trigger", "water-change", "--across"},
		{"triggers", "--species", fish, "--technical"},
		{"timing", "--species", fish, "--technical"},
		{"timing", "--species", fish, "--by", "keeper"},
		{"timing", "--species", fish, "--by", "tank"},
		{"eggs", "--species", fish, "--technical"},
		{"eggs", "--species", fish, "--by", "keeper"},
		{"eggs", "--species", "no such fish"},
		{"season", "1999"},
	}
}

func keepingVerbs() [][]string {
	return [][]string{{"ingest"}, {"ingest", "--explain"}, {"problems"}, {"problems", "--all"}, {"problems", "--file", "none"}}
}

// said runs verbs in text and, where it has that form, in JSON, and returns all
// that was written to standard output and standard error.
func (b *bench) said(t *trial, club string, verbs [][]string) ([]surface, error) {
	var out []surface
	for _, args := range verbs {
		for _, format := range []string{"text", "json"} {
			o, err := b.gravid(append(args[:len(args):len(args)], "--club", club, "--format", format)...)
			if err != nil {
				return nil, err
			}
			t.mind(args[0], o.crashed())
			name := fmt.Sprintf("%s --format %s", strings.Join(args, " "), format)
			k := terminal
			if format == "json" {
				k = jsonText
			}
			out = append(out, surface{name + ", output", k, o.stdout}, surface{name + ", talk", terminal, o.stderr})
		}
	}
	return out, nil
}

// documents writes the season's workbook and page and returns their parts and the
// JSON.
func (b *bench) documents(t *trial, club string) ([]surface, error) {
	o, err := b.gravid("season", seasonYear, "--club", club)
	if err != nil {
		return nil, err
	}
	t.mind("season", o.differs(want{status: []int{0}}))
	out := []surface{{"season, talk", terminal, strings.ReplaceAll(o.stdout+o.stderr, club, "CLUB")}}
	j, err := b.gravid("season", seasonYear, "--club", club, "--format", "json")
	if err != nil {
		return nil, err
	}
	t.mind("season", j.differs(want{status: []int{0}}))
	out = append(out, surface{"season --format json", jsonText, j.stdout})
	if o.status != 0 {
		return out, nil
	}
	page, err := os.ReadFile(filepath.Join(club, "season", seasonYear+".html"))
	if err != nil {
		return nil, err
	}
	out = append(out, surface{"season page", webPage, string(page)})
	parts, err := bookParts(filepath.Join(club, "season", seasonYear+".xlsx"))
	return append(out, parts...), err
}

// bookParts unpacks a workbook: every part, and the names of the parts.
func bookParts(path string) ([]surface, error) {
	z, err := zip.OpenReader(path)
	if err != nil {
		return nil, err
	}
	defer z.Close()
	out := []surface{{"workbook, comment of the archive", terminal, z.Comment}}
	var names strings.Builder
	for _, f := range z.File {
		in, err := f.Open()
		if err != nil {
			return nil, err
		}
		content, err := io.ReadAll(in)
		in.Close()
		if err != nil {
			return nil, err
		}
		k := binary
		if strings.HasSuffix(f.Name, ".xml") || strings.HasSuffix(f.Name, ".rels") {
			k = bookPart
		}
		out = append(out, surface{"workbook, " + f.Name, k, string(content)})
		fmt.Fprintln(&names, f.Name, f.Comment)
	}
	return append(out, surface{"workbook, names of parts", terminal, names.String()}), nil
}

// exports writes every table as CSV.
func (b *bench) exports(t *trial, club string) ([]surface, error) {
	var out []surface
	for _, table := range tableFiles {
		o, err := b.gravid("export", table, "--club", club, "--format", "csv")
		if err != nil {
			return nil, err
		}
		t.mind("export", o.differs(want{status: []int{0}}))
		out = append(out, surface{"export " + table, csvText, o.stdout}, surface{"export " + table + ", talk", terminal, o.stderr})
	}
	return out, nil
}

// badText says which character of a text would act on a terminal or turn the
// direction of writing, or nothing.
func badText(s string) string {
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			return fmt.Sprintf("the byte 0x%02x, which is no UTF-8, after %s", s[i], tail(s[:i]))
		case r == '\n' || r == '\t':
		case r < ' ' || r >= 0x7f && r < 0xa0 || r == 0x061c || r == 0x200e || r == 0x200f || r >= 0x2028 && r <= 0x202e || r >= 0x2066 && r <= 0x2069:
			return fmt.Sprintf("%U after %s", r, tail(s[:i]))
		}
		i += size
	}
	return ""
}

// tail is the end of a text, to show where something is.
func tail(s string) string { return short(s[max(0, len(s)-60):], 80) }

// exported is a table by the names of its columns.
func (b *bench) exported(club, table string) ([]map[string]string, error) {
	o, err := b.gravid("export", table, "--club", club, "--format", "csv")
	if err != nil {
		return nil, err
	}
	rows, err := csv.NewReader(strings.NewReader(o.stdout)).ReadAll()
	if err != nil || len(rows) == 0 {
		return nil, fmt.Errorf("gravid export %s: no table: %v%s", table, err, o.saying())
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		named := map[string]string{}
		for i, cell := range row {
			named[rows[0][i]] = cell
		}
		out = append(out, named)
	}
	return out, nil
}
