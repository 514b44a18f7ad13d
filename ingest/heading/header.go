package heading

import (
	"fmt"
	"slices"
	"strings"

	"gravid/ingest/problem"
	"gravid/ingest/source"
	"gravid/ingest/unit"
)

// Options say what is known of a table beforehand. The zero value finds
// everything out.
type Options struct {
	// Row is the number of the row of the headings as a mapping states it; 0 =
	// find it.
	Row int

	// Own are the club's own triggers: their code and the headings that mean
	// them. They go before all other meanings.
	Own map[string][]string

	// OwnUnits holds the triggers of Own that are numbers, each with the UCUM
	// code of its unit (empty for a bare number). All others are yes or no.
	OwnUnits map[string]string

	// Settled are headings, as written, whose meaning a mapping states: no
	// problem is told about them.
	Settled []string
}

// A Header is where a table begins and what its columns mean.
type Header struct {
	Row      int               // number of the row of the headings, 0 = none found
	Group    int               // number of the row of group headings above it, 0 = none
	Units    int               // number of the row of units below it, 0 = none
	First    int               // number of the first row of the body
	Language string            // en, de, fr or es, of most headings; empty when that is open
	Titles   map[string]string // keeper, system, species, year, place, time_zone, as the rows above say
	Columns  []Column          // those with a heading, from left to right
}

// A Column is one column with a heading.
type Column struct {
	At     int    // from 0
	Text   string // the heading as written
	Field  Field
	Unit   unit.Unit // of cells that state none; zero where the headings state none
	Own    string    // column of attempts of a club's own trigger
	System string    // the tank that the heading of a measurement names

	// Falls says that numbers count downwards: under "refill cooler by" a 4 is
	// a difference of -4.
	Falls bool
}

// headRows is how many rows can be the first to hold headings.
const headRows = 30

// Scores, doubled so that they stay whole: a known heading, a misspelt one, text
// that stands once, a number or date, and a change of kind to the cell below.
const (
	scoreKnown, scoreGuess, scoreText, scoreValue, scoreChange = 6, 3, 2, -4, 2
	scoreEnough                                                = 12
	scoreUnsure                                                = 2 // rows this near to the best could be it as well
)

// daysAcross is how many dates in a row of known headings are the days of the table,
// and no record.
const daysAcross = 3

// FindHeader finds the row of the headings among the first rows of a table and
// says what each heading means, looking at the cells below where a heading alone
// does not tell. Header.Row is 0 where no row, or more than one, can be the
// headings; a row that is none is never taken for one. Row numbers and columns
// are set in the places of the problems, file and sheet are left to the caller.
func FindHeader(rows []source.Row, o Options) (Header, []problem.Problem) {
	f := finder{rows: rows, options: o, own: ownKeys(o.Own)}
	best, problems := f.choose()
	if best == nil {
		return Header{}, problems
	}
	h, more := f.read(best)
	return h, append(problems, more...)
}

func ownKeys(own map[string][]string) map[string]string {
	keys := map[string]string{}
	codes := make([]string, 0, len(own))
	for code := range own {
		codes = append(codes, code)
	}
	slices.Sort(codes)
	for _, code := range codes {
		for _, text := range own[code] {
			if k := key(text); k != "" && keys[k] == "" {
				keys[k] = code
			}
		}
	}
	return keys
}

type finder struct {
	rows    []source.Row
	options Options
	own     map[string]string
}

// A candidate is a row that could be the headings.
type candidate struct {
	at     int      // in rows
	group  bool     // the row before it holds group headings
	heads  []string // headings by column, empty where there is none
	groups []string // group headings by column
	known  int
	score  int
}

// choose picks the row of the headings.
func (f *finder) choose() (*candidate, []problem.Problem) {
	if f.options.Row > 0 {
		return f.fixed()
	}
	var all []*candidate
	for i := range f.rows {
		if isBlank(f.rows[i]) {
			continue
		}
		if c := f.candidate(i); c.score >= scoreEnough && c.known >= 2 {
			all = append(all, c)
		}
	}
	var best *candidate
	for _, c := range all {
		if c.at < headRows && (best == nil || c.score > best.score) {
			best = c
		}
	}
	if best == nil {
		return nil, nil
	}
	for _, c := range all {
		if f.rivals(best, c) {
			a, b := f.rows[min(best.at, c.at)].Number, f.rows[max(best.at, c.at)].Number
			return nil, []problem.Problem{{Severity: problem.Error, Code: problem.HeaderUnsure, Place: problem.Place{Row: a},
				Message: fmt.Sprintf("rows %d and %d could both be the headings, so the table is not read", a, b),
				Fix:     fmt.Sprintf("write header_row = %d or header_row = %d in the mapping; two tables must go on two sheets", a, b)}}
		}
	}
	return best, nil
}

// fixed takes the row that a mapping names.
func (f *finder) fixed() (*candidate, []problem.Problem) {
	for i, r := range f.rows {
		if r.Number == f.options.Row && !isBlank(r) {
			return f.candidate(i), nil
		}
	}
	return nil, []problem.Problem{{Severity: problem.Error, Code: problem.HeaderUnsure, Place: problem.Place{Row: f.options.Row},
		Message: fmt.Sprintf("header_row = %d names a row that is blank or not among the first %d", f.options.Row, len(f.rows)),
		Fix:     "name the row of the headings, as the program that made the file shows it"}}
}

// rivals reports whether another row could be the headings as well as the best:
// one that scores as much, or, below a blank row, the headings of a second table.
// The headings again, and the other row of headings in two rows, are no rivals.
func (f *finder) rivals(best, c *candidate) bool {
	if c.at == best.at || best.group && c.at == best.at-1 || c.group && c.at == best.at+1 && c.score <= best.score || repeats(best.heads, c.heads) {
		return false
	}
	second := c.at > best.at && c.at > 0 && isBlank(f.rows[c.at-1]) && 2*c.known >= count(c.heads)
	return second || c.at < headRows && best.score-c.score <= scoreUnsure
}

func repeats(a, b []string) bool {
	same := 0
	for i := range min(len(a), len(b)) {
		if a[i] != "" && strings.EqualFold(a[i], b[i]) {
			same++
		}
	}
	return 2*same > count(b)
}

func count(heads []string) int {
	n := 0
	for _, h := range heads {
		if h != "" {
			n++
		}
	}
	return n
}

func isBlank(r source.Row) bool {
	return !slices.ContainsFunc(r.Cells, func(c source.Cell) bool { return c.Kind != source.Blank })
}

// candidate looks at a row as if it were the headings.
func (f *finder) candidate(at int) *candidate {
	r := f.rows[at]
	c := &candidate{at: at, heads: texts(r)}
	if at > 0 && f.rows[at-1].Number == r.Number-1 {
		c.groups = groupsOver(f.rows[at-1], c.heads)
	}
	if c.group = c.groups != nil; c.group {
		above := texts(f.rows[at-1])
		for i, text := range above {
			for len(c.heads) <= i {
				c.heads = append(c.heads, "")
			}
			if c.heads[i] == "" { // a heading that stands in the upper row only
				c.heads[i] = text
				c.groups[i] = ""
			}
		}
	}
	f.score(c)
	return c
}

// texts are the texts of a row by column.
func texts(r source.Row) []string {
	out := make([]string, len(r.Cells))
	for i, c := range r.Cells {
		if c.Kind != source.Blank {
			out[i] = strings.TrimSpace(c.Text)
		}
	}
	return out
}

// groupsOver gives the group heading of each column where a row holds group
// headings over heads: text only, with gaps, in two cells or more, and no title.
// Otherwise it gives nil.
func groupsOver(r source.Row, heads []string) []string {
	width := max(len(heads), len(r.Cells))
	groups := make([]string, width)
	filled, merged, lone := 0, false, 0
	for i, c := range r.Cells {
		merged = merged || c.Merged
		if c.Kind == source.Blank {
			continue
		}
		if t, _ := traitsOf(c, noMarks); c.Kind != source.Text || t&(isDate|isNumber|isClock) != 0 {
			return nil
		}
		filled++
		if i >= len(heads) || heads[i] == "" {
			lone++
		}
	}
	pair := filled == 2 && lone == 0 && !merged && r.Cells[0].Kind != source.Blank && r.Cells[1].Kind != source.Blank // a name and its value
	if pair || filled < 2 || filled >= count(heads)+lone || len(titlesOf(r)) > 0 && !merged {
		return nil
	}
	now := ""
	for i := range groups {
		var c source.Cell
		if i < len(r.Cells) {
			c = r.Cells[i]
		}
		switch {
		case c.Kind != source.Blank:
			now = strings.TrimSpace(c.Text)
		case merged && !c.Merged:
			now = ""
		}
		groups[i] = now
	}
	return groups
}

// score judges a candidate.
func (f *finder) score(c *candidate) {
	m := matcher{own: f.own}
	m.language = m.languageOf(c.heads)
	seen := map[string]bool{}
	dates, tanks := 0, 0
	defer func() {
		if tanks >= 2 && c.known >= 1 { // a date, and a column for each tank
			c.known++
			c.score += scoreKnown
		}
		if dates >= daysAcross && c.known >= 2 {
			c.score += dates * (scoreText + scoreChange - scoreValue) // the days of a table stand across its head
		}
	}()
	for i, text := range c.heads {
		if text == "" {
			continue
		}
		x := f.cellAt(c, i)
		if t, _ := traitsOf(x, noMarks); x.Kind != source.Text || t&(isDate|isNumber|isClock) != 0 {
			c.score += scoreValue
			if t&isDate != 0 {
				dates++
			}
			continue
		}
		group := ""
		if i < len(c.groups) {
			group = c.groups[i]
		}
		switch got := m.under(group, text); {
		case got.Guess != "":
			c.score += scoreGuess
			c.known++
		case len([]rune(key(text))) <= 2 && len(unit.Find(text)) == 0: // H and FS are codes in records, too
			if len(got.Fields) > 0 || got.Own != "" {
				c.score += scoreGuess
				c.known++
			}
		case len(got.Fields) > 0 || got.Own != "" || got.Foreign != "":
			c.score += scoreKnown
			c.known++
		}
		if isTank(text) {
			tanks++
		}
		if k := key(text); !seen[k] {
			seen[k] = true
			c.score += scoreText
		}
		if f.changesBelow(c.at, i) {
			c.score += scoreChange
		}
	}
}

// cellAt is the cell that a heading of a candidate stands in.
func (f *finder) cellAt(c *candidate, i int) source.Cell {
	if cells := f.rows[c.at].Cells; i < len(cells) && cells[i].Kind != source.Blank {
		return cells[i]
	}
	return f.rows[c.at-1].Cells[i] // filled from the group row
}

// changesBelow reports whether the cell below a text is something else than text.
func (f *finder) changesBelow(at, column int) bool {
	if at+1 >= len(f.rows) || column >= len(f.rows[at+1].Cells) {
		return false
	}
	t, ok := traitsOf(f.rows[at+1].Cells[column], noMarks)
	return ok && t&(isDate|isNumber|isClock) != 0
}

// read says what the columns of the chosen row mean.
func (f *finder) read(c *candidate) (Header, []problem.Problem) {
	h := Header{Row: f.rows[c.at].Number}
	h.First = h.Row + 1
	top := c.at
	if c.group {
		top--
		h.Group = f.rows[top].Number
	}
	m := matcher{own: f.own}
	m.language = m.languageOf(c.heads)
	h.Language = m.language
	var problems []problem.Problem
	h.Titles, problems = titles(f.rows[:top])

	matches := make([]Match, len(c.heads))
	for i, text := range c.heads {
		group := ""
		if i < len(c.groups) {
			group = c.groups[i]
		}
		matches[i] = m.under(group, text)
	}
	body := c.at + 1
	var units []string
	if body < len(f.rows) && f.rows[body].Number == h.Row+1 {
		if units = unitRow(f.rows[body], matches); units != nil {
			h.Units = f.rows[body].Number
			h.First = h.Units + 1
			body++
		}
	}
	d := decider{row: h.Row, language: m.language, body: f.rows[min(body, len(f.rows)):], units: units, options: f.options}
	h.Columns = d.columns(matches)
	if d.zone == utcZone && h.Titles["time_zone"] == "" {
		h.Titles["time_zone"] = "UTC"
	}
	return h, append(problems, d.problems...)
}

// unitRow gives the texts of a row that holds nothing but units of the columns,
// or words for the kind of their cells, and nil for any other row.
func unitRow(r source.Row, matches []Match) []string {
	units := make([]string, len(matches))
	found := 0
	for i, c := range r.Cells {
		if c.Kind == source.Blank {
			continue
		}
		if c.Kind != source.Text || i >= len(matches) {
			return nil
		}
		text := strings.Trim(strings.TrimSpace(c.Text), "()[]{} ")
		_, kind := kindOf(text)
		switch {
		case slices.ContainsFunc(matches[i].Fields, func(f Field) bool { _, ok := lookupUnit(text, f.Quantity()); return ok }):
			found++
		case len(unit.Find(text)) > 0 && matches[i].Text != "" && !measures(matches[i]):
		case kind, key(text) == "":
		default:
			return nil
		}
		units[i] = text
	}
	if found == 0 {
		return nil
	}
	return units
}

func measures(m Match) bool {
	return slices.ContainsFunc(m.Fields, func(f Field) bool { return f.Quantity() != unit.None })
}
