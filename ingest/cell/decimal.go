package cell

import (
	"iter"

	"gravid/ingest/problem"
)

// Decimal is the mark that a column writes decimals with.
type Decimal uint8

const (
	Open  Decimal = iota // not known: numbers that depend on it are refused
	Point                // 24.5
	Comma                // 24,5
)

// String gives the mark as people and mapping files write it.
func (d Decimal) String() string {
	switch d {
	case Point:
		return "."
	case Comma:
		return ","
	}
	return "open"
}

// ParseDecimal reads the mark from a mapping file: "." or ",".
func ParseDecimal(text string) (Decimal, bool) {
	switch text {
	case ".":
		return Point, true
	case ",":
		return Comma, true
	}
	return Open, false
}

// DecideDecimal finds the decimal mark of a column from its cells. Cells that
// can be read in one way only decide (24,5 and 1.234.567 speak for the comma);
// 1.200 says nothing. Without evidence, or when cells contradict each other, the
// answer is Open.
//
// Where a column is open, ask again with the cells of all number columns of the
// file, then of the keeper. Columns of dates and of groups such as 2.3 must not
// be among them: they hold no decimals.
func DecideDecimal(samples iter.Seq[string]) Decimal {
	var seen [3]bool
	for text := range samples {
		p := numberParser{}
		if _, fault := p.parse(text); fault != nil && fault.Code != problem.NumberOpen {
			continue
		}
		seen[Point] = seen[Point] || p.votes[Point]
		seen[Comma] = seen[Comma] || p.votes[Comma]
	}
	switch {
	case seen[Point] && !seen[Comma]:
		return Point
	case seen[Comma] && !seen[Point]:
		return Comma
	}
	return Open
}
