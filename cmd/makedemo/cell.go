package main

import (
	"strconv"
	"strings"
	"time"
)

// kind is what a cell of a log holds. In text files every kind becomes text; in
// workbooks it is stored as what it is.
type kind uint8

const (
	blank kind = iota
	text
	number
	share  // a number from 0 to 1, shown in percent
	date   // a calendar day
	minute // a day with a clock time
	truth
)

// A cell is one cell of a log before it takes the shape of a file.
type cell struct {
	kind     kind
	text     string
	number   float64
	decimals int
	at       time.Time // wall clock of the club, in UTC
	yes      bool
}

func words(s string) cell {
	if s == "" {
		return cell{}
	}
	return cell{kind: text, text: s}
}

func numeral(v float64, decimals int) cell { return cell{kind: number, number: v, decimals: decimals} }

func whole(n int) cell { return numeral(float64(n), 0) }

// A sheet is a log before it takes the shape of a file. Rows count from 1, as
// programs show them.
type sheet struct {
	name   string
	rows   [][]cell
	groups []group // cells of the row above the headings that are merged
}

// A group is a heading over several columns, counted from 0, last one included.
type group struct {
	title       string
	first, last int
}

// A said is what a cell tells a careful reader: a column of the tables and its
// value there, in canonical units.
type said struct{ field, value string }

// An entry is a cell and what it tells.
type entry struct {
	cell cell
	says []said
}

func tells(c cell, says ...said) entry { return entry{c, says} }

// A style is how a text file writes values.
type style struct {
	comma  bool // decimal comma
	date   func(time.Time) string
	minute func(time.Time) string
}

// layouts makes the two functions of a style from layouts of package time.
func layouts(comma bool, day, clock string) style {
	return style{comma,
		func(t time.Time) string { return t.Format(day) },
		func(t time.Time) string { return t.Format(day + clock) }}
}

func (s style) write(c cell) string {
	switch c.kind {
	case text:
		return c.text
	case number:
		out := strconv.FormatFloat(c.number, 'f', c.decimals, 64)
		if s.comma {
			out = strings.Replace(out, ".", ",", 1)
		}
		return out
	case date:
		return s.date(c.at)
	case minute:
		return s.minute(c.at)
	}
	return ""
}

// plain writes a number so that reading it gives the same number.
func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// rounded is v as a cell with so many decimals shows it.
func rounded(v float64, decimals int) float64 {
	out, err := strconv.ParseFloat(strconv.FormatFloat(v, 'f', decimals, 64), 64)
	if err != nil {
		panic("makedemo: " + err.Error()) // a formatted number can be read
	}
	return out
}
