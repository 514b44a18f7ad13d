package main

import (
	"fmt"
	"strings"
	"unicode/utf16"

	"golang.org/x/text/encoding/charmap"
)

// An encoding turns text into the bytes of a file.
type encoding func(string) ([]byte, error)

func utf8(s string) ([]byte, error) { return []byte(s), nil }

// utf8Marked is UTF-8 behind a byte order mark, as spreadsheet programs write it.
func utf8Marked(s string) ([]byte, error) { return []byte("\ufeff" + s), nil }

func windows1252(s string) ([]byte, error) { return charmap.Windows1252.NewEncoder().Bytes([]byte(s)) }

// utf16LE is UTF-16, little end first, behind a byte order mark.
func utf16LE(s string) ([]byte, error) {
	var out []byte
	for _, u := range utf16.Encode([]rune("\ufeff" + s)) {
		out = append(out, byte(u), byte(u>>8))
	}
	return out, nil
}

// delimited writes a log as text with a sign between cells.
func delimited(delimiter rune, encode encoding, lineEnd string, s style) func([]sheet) ([]byte, error) {
	return func(sheets []sheet) ([]byte, error) {
		if len(sheets) != 1 {
			return nil, fmt.Errorf("a text file holds one table, not %d", len(sheets))
		}
		var b strings.Builder
		for _, row := range sheets[0].rows {
			for i, c := range row {
				if i > 0 {
					b.WriteRune(delimiter)
				}
				b.WriteString(quoted(s.write(c), delimiter))
			}
			b.WriteString(lineEnd)
		}
		return encode(b.String())
	}
}

// quoted puts a cell into quotation marks where it needs them.
func quoted(s string, delimiter rune) string {
	if !strings.ContainsAny(s, string(delimiter)+"\"\r\n") {
		return s
	}
	return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
}
