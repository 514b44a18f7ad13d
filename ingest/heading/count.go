package heading

import (
	"strings"

	"gravid/ingest/source"
)

// A Counter counts the known headings in rows of cells. The zero value knows no
// club's own triggers.
type Counter struct{ own map[string]string }

// NewCounter makes a counter that knows a club's own triggers as well: their codes
// and the headings that mean them, as in Options.Own.
func NewCounter(own map[string][]string) Counter { return Counter{ownKeys(own)} }

// Count returns how many different cells are known headings, and how many different
// ones hold anything. Misspelt headings are not known. Where a cell holds a number, a date or a clock
// time, the cells are a record and none of them is a heading: known is then 0.
func (c Counter) Count(cells []source.Cell) (known, all int) {
	m := matcher{own: c.own}
	seen := map[string]bool{}
	for _, x := range cells {
		if x.Kind == source.Blank {
			continue
		}
		k := key(x.Text)
		if k != "" && seen[k] {
			continue
		}
		seen[k] = true
		all++
		if x.Kind != source.Text {
			return 0, all
		}
		if t, _ := traitsOf(x, noMarks); t&(isDate|isNumber|isClock) != 0 {
			return 0, all
		}
		if len(x.Text) > longest || k == "" {
			continue
		}
		parts := readings(x.Text)
		if _, ok := m.ownOf(parts); ok {
			known++
		} else if _, ok := m.exact(x.Text, parts, true); ok {
			known++
		} else if _, ok := m.ofTank(strings.TrimSpace(x.Text)); ok {
			known++
		}
	}
	return known, all
}

// Titles reads the rows above the headings of a table: keeper, system, species,
// year, place and time_zone, as far as they say them.
func Titles(rows []source.Row) map[string]string {
	out, _ := titles(rows)
	return out
}
