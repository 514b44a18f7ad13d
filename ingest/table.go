package ingest

import (
	"fmt"
	"iter"
	"maps"
	"path"
	"slices"
	"strconv"
	"strings"

	"gravid/ingest/cell"
	"gravid/ingest/club"
	"gravid/ingest/heading"
	"gravid/ingest/problem"
	"gravid/ingest/source"
	"gravid/ingest/species"
	"gravid/ingest/unit"
)

// A reading is what one file gave.
type reading struct {
	attempts  []club.Attempt
	clutches  []club.Clutch
	readings  []club.Reading
	actions   []club.Action
	told      problem.List
	problems  []problem.Problem // told, once the file is read
	sources   []club.SourceSheet
	aside     []club.SetAside
	ledgers   []Ledger
	explained []Explained
}

// read turns a file into rows of the tables.
func (r *reader) read(f source.File, m Mapping) *reading {
	out := &reading{}
	out.told.Add(f.Problems...)
	defer func() { out.problems = out.told.All() }()
	if m.Ignore {
		out.sources = append(out.sources, club.SourceSheet{File: f.Name, SHA256: f.SHA256, Bytes: f.Bytes, Layout: "ignored by the mapping"})
		return out
	}
	logs := 0
	var above struct { // the table before, of which later ones of a sheet take over the titles
		whole  *source.Grid
		titles map[string]string
	}
	var notLogs []problem.Problem
	var tables []*table
	for _, s := range r.regionsOf(f, m) {
		g := &s.grid
		t := &table{reader: r, grid: g, region: s, file: m, mapping: m.table(s), out: out, ledger: Ledger{File: g.File, Sheet: g.Sheet}}
		if s.whole == above.whole {
			t.above = above.titles
		}
		if !t.mapping.Ignore && !s.noLog && t.recognise() {
			above.whole, above.titles = s.whole, t.header.Titles
		}
		tables = append(tables, t)
	}
	for _, t := range tables {
		s, g := t.region, t.grid // the grid of a diary in lines is another than the region's
		t.others = tables
		src := club.SourceSheet{File: f.Name, SHA256: f.SHA256, Bytes: f.Bytes, Sheet: g.Sheet}
		if t.mapping.Ignore || s.noLog {
			src.Layout = "ignored by the mapping"
			if s.noLog {
				src.Layout = "says of itself that it is no log"
			}
			out.sources = append(out.sources, src)
			continue
		}
		if t.layout == "" {
			notLogs = append(notLogs, t.notALog())
		} else {
			logs++
			t.read()
		}
		l := t.ledger
		src.Layout, src.Mapping = t.layout, t.describe()
		switch {
		case s.turned && t.layout != "":
			src.Layout += ", turned"
		case s.column > 0:
			src.Layout = strings.TrimPrefix(src.Layout+", from column "+source.ColumnName(s.column), ", ")
		}
		src.Rows, src.Used, src.SetAside, src.Skipped = int64(l.Rows), int64(l.Used), int64(l.SetAside), int64(l.Skipped())
		if t.header.Row > 0 {
			src.HeaderRow = club.Some(int64(t.header.Row))
		}
		out.ledgers = append(out.ledgers, l)
		out.sources = append(out.sources, src)
		if len(t.aside.Rows) > 0 {
			out.aside = append(out.aside, t.aside)
		}
	}
	// One sheet of a workbook that is no log is a note; a file without any log an error.
	for _, p := range notLogs {
		if logs > 0 {
			p.Severity = problem.Note
		}
		out.told.Add(p)
	}
	if len(f.Grids) == 0 {
		out.sources = append(out.sources, club.SourceSheet{File: f.Name, SHA256: f.SHA256, Bytes: f.Bytes})
	}
	return out
}

// regionsOf are the tables of all grids of a file.
func (r *reader) regionsOf(f source.File, m Mapping) []region {
	counter := heading.NewCounter(r.ownHeadings())
	var out []region
	for i := range f.Grids {
		if noLog(&f.Grids[i]) {
			out = append(out, region{grid: f.Grids[i], whole: &f.Grids[i], noLog: true})
			continue
		}
		if f.Grids[i].Text {
			f.Grids[i].Each = unguarded(f.Grids[i].Each)
		}
		out = append(out, regions(&f.Grids[i], counter, m.turned(f.Grids[i].Sheet))...)
	}
	return out
}

// unguarded gives rows without the apostrophes that this program's own CSV files put
// before texts that a spreadsheet would take for formulas.
func unguarded(rows iter.Seq[source.Row]) iter.Seq[source.Row] {
	guarded := func(c source.Cell) bool {
		return len(c.Text) > 1 && c.Text[0] == '\'' && club.UnguardFormula(c.Text) != c.Text
	}
	return func(yield func(source.Row) bool) {
		for r := range rows {
			if slices.ContainsFunc(r.Cells, guarded) {
				r.Cells = slices.Clone(r.Cells)
				for i := range r.Cells {
					r.Cells[i].Text = club.UnguardFormula(r.Cells[i].Text)
				}
			}
			if !yield(r) {
				return
			}
		}
	}
}

// The layouts.
const (
	layoutAttempts = "row-per-attempt"
	layoutLogger   = "logger"
	layoutDiary    = "diary"
	layoutActs     = "row-per-act"
	layoutTanks    = "eggs-by-tank"
	layoutDays     = "days-across"
	layoutLong     = "row-per-measurement"
)

// A table is one grid on its way into the tables.
type table struct {
	reader   *reader
	grid     *source.Grid
	region   region
	above    map[string]string // titles of the table before on the same sheet
	named    string            // letter of the column whose cells, and not its heading, say that it is the species
	others   []*table          // all tables of the file
	file     Mapping
	mapping  TableMapping
	out      *reading
	ledger   Ledger
	header   heading.Header
	columns  []*column
	language string
	layout   string
	rows     []source.Row // of the body; only where the layout needs them all at once
	aside    club.SetAside
	seen     map[string]int // rows by content, for duplicates
	keeper   string
	slides   bool      // decimal commas may part the cells of rows
	byDay    bool      // readings with a day and no clock time
	days     []*column // of a table with its days across
	legend   legend    // what its codes mean
	tanks    []*column // of a table of eggs by tank
}

func (t *table) problem(p problem.Problem) {
	if p.Place.File == "" {
		p.Place.File, p.Place.Sheet = t.grid.File, t.grid.Sheet
	}
	if t.region.turned {
		p.Place = t.region.place(p.Place)
	}
	t.out.told.Add(p)
}

// head is how many rows are looked at to find the headings.
const head = 60

// recognise finds the headings and the layout. It reports false where the grid is
// no log.
func (t *table) recognise() bool {
	var first []source.Row
	for r := range t.grid.Each {
		r.Cells = slices.Clone(r.Cells)
		first = append(first, r)
		if len(first) == head {
			break
		}
	}
	fixed := t.mapping.HeaderRow
	if t.region.turned {
		fixed = 1
	}
	h, problems := heading.FindHeader(first, heading.Options{Row: fixed, Own: t.reader.ownHeadings(), OwnUnits: t.ownUnits(), Settled: t.mapping.settled()})
	found := h.Row > 0
	if !found && len(problems) == 0 && t.mapping.HeaderRow == 0 {
		if g, lines, ok := t.linesOfDiary(); ok {
			t.grid, h, found = &g, lines, true
		}
	}
	t.header, t.language = h, h.Language
	if found {
		t.takeTitles()
		t.makeColumns()
		t.speciesByNames(first)
		t.findDays()
		t.speciesInTitle(first)
		t.titlesOfAbove(first)
		if t.layout = t.whichLayout(); t.layout == "" && t.findTanks(first) {
			t.layout = layoutTanks
		}
		t.tanksInHeadings()
	}
	for _, p := range problems {
		p.Place.File, p.Place.Sheet = t.grid.File, t.grid.Sheet
		if p.Code == problem.HeadingUnknown && slices.ContainsFunc(slices.Concat(t.days, t.tanks), func(c *column) bool { return c.letter == p.Place.Column }) {
			continue // it is a day, or a tank
		}
		if p.Code == problem.HeadingUnknown && t.named != "" && p.Place.Column == t.named {
			continue // it is the species
		}
		t.problem(p)
	}
	if !found {
		return false
	}
	t.keeper = t.whoseLog()
	return t.layout != ""
}

// tanksInHeadings keeps measurements whose headings name a tank in the notes where a
// row is an attempt, which has a tank of its own.
func (t *table) tanksInHeadings() {
	if t.layout != layoutAttempts {
		return
	}
	for _, c := range t.columns {
		if c.tank == "" {
			continue
		}
		t.problem(problem.Problem{Severity: problem.Warning, Code: problem.HeadingUnknown, Place: c.place(t.grid, t.header.Row), Value: c.head,
			Message: fmt.Sprintf("a measurement of tank %s in a table of attempts; the column is kept in the notes", c.tank), Fix: "put measurements into a table of their own, with a date and a clock time"})
		c.field, c.tank = heading.None, ""
	}
}

// speciesByNames takes a column for the species, whatever its heading, whose cells are
// nearly all names of species in full, where no other column holds them.
func (t *table) speciesByNames(rows []source.Row) {
	const fewest = 2
	if t.file.Species != "" || slices.ContainsFunc(t.columns, func(c *column) bool { return c.field == heading.Species }) {
		return
	}
	for _, c := range t.columns {
		if c.field != heading.None && c.field != heading.CommonName && c.field != heading.Strain || c.own != "" || c.mapped.Is != "" {
			continue
		}
		names, all := 0, 0
		for _, r := range rows {
			if r.Number < t.header.First || c.at >= len(r.Cells) || r.Cells[c.at].Kind == source.Blank || heading.IsTotal(r.Cells[c.at].Text) {
				continue
			}
			all++
			if m := t.reader.resolve(r.Cells[c.at].Text); r.Cells[c.at].Kind == source.Text && (m.How == species.Accepted || m.How == species.Synonym) {
				names++
			}
		}
		if names < fewest || 5*names < 4*all {
			continue
		}
		c.field = heading.Species
		t.named = c.letter
		t.problem(problem.Problem{Severity: problem.Warning, Code: problem.HeadingGuessed, Place: c.place(t.grid, t.header.Row), Value: c.head,
			Message: fmt.Sprintf("%q holds names of species, and is taken for that", c.head), Fix: `look whether that is right, or write is = "species" for it in the mapping`})
		return
	}
}

// speciesInTitle looks for a species in the words of the rows above the headings,
// where nothing else names one: "Log of Danio rerio, winter". Only a single one that is
// named in full is taken, and that is said.
func (t *table) speciesInTitle(rows []source.Row) {
	if t.header.Titles["species"] != "" || t.file.Species != "" || t.sheetSpecies() != "" || slices.ContainsFunc(t.columns, func(c *column) bool { return c.field == heading.Species }) {
		return
	}
	found := ""
	for _, r := range rows {
		if r.Number >= t.header.First {
			break
		}
		if r.Number == t.header.Row || r.Number == t.header.Group || r.Number == t.header.Units {
			continue
		}
		for _, x := range r.Cells {
			if x.Kind != source.Text {
				continue
			}
			for _, m := range t.reader.names.Find(x.Text) {
				if m.How != species.Accepted && m.How != species.Synonym && m.How != species.Common || found != "" && found != m.Accepted {
					return
				}
				found = m.Accepted
			}
		}
	}
	if found == "" {
		return
	}
	t.header.Titles["species"] = found
	t.problem(problem.Problem{Severity: problem.Note, Code: problem.SpeciesRenamed, Place: problem.Place{Row: t.header.Row}, Value: found,
		Message: fmt.Sprintf("the species of all rows is taken from the title: %s", found), Fix: `nothing to do if that is right; otherwise write species = "…" in the mapping`})
}

// takeTitles takes over what the rows above a turned table say of keeper, tank and
// the like.
func (t *table) takeTitles() {
	for k, v := range heading.Titles(t.region.titles) {
		t.header.Titles[k] = v
	}
}

// titlesOfAbove takes over what stands above the table before on the same sheet, where
// nothing above this one says otherwise. The year of a table above is not that of the
// next. A table with a title of its own may well be about another species or tank.
func (t *table) titlesOfAbove(rows []source.Row) {
	severity := problem.Note
	for _, r := range rows {
		if r.Number < t.header.First && r.Number != t.header.Row && r.Number != t.header.Group && r.Number != t.header.Units && filled(r.Cells) == 1 && aTitle(r.Cells) {
			severity = problem.Warning
		}
	}
	for _, k := range slices.Sorted(maps.Keys(t.above)) {
		if _, said := t.header.Titles[k]; said || k == "year" {
			continue
		}
		t.header.Titles[k] = t.above[k]
		if k == "species" || k == "system" {
			t.problem(problem.Problem{Severity: severity, Code: problem.KeeperImplied, Place: problem.Place{Row: t.header.Row}, Value: t.above[k],
				Message: fmt.Sprintf("the %s of the table above is taken for this table as well", map[string]string{"species": "species", "system": "tank"}[k]),
				Fix:     "nothing to do if that is right; otherwise write it above this table"})
		}
	}
}

func (r *reader) ownHeadings() map[string][]string {
	own := map[string][]string{}
	for _, trigger := range r.config.Triggers {
		own[trigger.Code] = append([]string{trigger.Name, trigger.Code}, trigger.Headings...)
	}
	return own
}

// ownUnits are the units of the club's own triggers that are numbers.
func (t *table) ownUnits() map[string]string {
	units := map[string]string{}
	for _, trigger := range t.reader.config.Triggers {
		if trigger.Kind == club.TriggerNumber {
			units[trigger.Code] = trigger.Unit
		}
	}
	return units
}

// notALog accounts for every row of a grid that is no log.
func (t *table) notALog() problem.Problem {
	t.ledger = Ledger{File: t.grid.File, Sheet: t.grid.Sheet}
	t.countTitles()
	for r := range t.grid.Each {
		t.ledger.Rows++
		if blank(r.Cells) {
			t.ledger.Blank++
			continue
		}
		t.ledger.Title++
		for _, c := range r.Cells {
			if c.Kind != source.Blank {
				t.ledger.cell(fateProblem)
			}
		}
	}
	t.layout, t.header = "", heading.Header{}
	return problem.Problem{Severity: problem.Error, Code: problem.NotALog, Place: problem.Place{File: t.grid.File, Sheet: t.grid.Sheet},
		Message: fmt.Sprintf("no row has the headings of a log (%d rows looked at, %d in all)", min(head, t.ledger.Rows), t.ledger.Rows),
		Fix:     "name the row of the headings with header_row = … in the mapping, or write ignore = true there"}
}

func blank(cells []source.Cell) bool {
	return !slices.ContainsFunc(cells, func(c source.Cell) bool { return c.Kind != source.Blank })
}

// makeColumns takes over what the headings mean and what the mapping says.
func (t *table) makeColumns() {
	type meaning struct {
		field heading.Field
		tank  string
	}
	taken := map[meaning]*column{}
	t.oneGroup()
	for _, m := range t.header.Columns {
		c := &column{at: m.At, letter: source.ColumnName(m.At), head: m.Text, field: m.Field, unit: m.Unit, own: m.Own, tank: m.System, falls: m.Falls, undated: m.Dates}
		t.applyMapping(c)
		first := taken[meaning{c.field, c.tank}]
		switch {
		case c.field == heading.None || c.field == heading.Notes || c.own != "":
		case first == nil:
			taken[meaning{c.field, c.tank}] = c
		case c.field.Kind() == heading.KindMeasure && c.unit != (unit.Unit{}) && first.unit != (unit.Unit{}) && c.unit != first.unit:
			c.again = true
		default:
			t.problem(problem.Problem{Severity: problem.Warning, Code: problem.HeadingTwice, Place: c.place(t.grid, t.header.Row), Value: c.head,
				Message: fmt.Sprintf("%q and %q (column %s) mean the same; this one is kept in the notes", c.head, first.head, first.letter), Fix: `name one of them otherwise, or write is = "notes" for it in the mapping`})
			c.field = heading.None
		}
		t.columns = append(t.columns, c)
	}
	for name := range t.mapping.Columns {
		if !slices.ContainsFunc(t.columns, func(c *column) bool { return c.head == name || byLetter(c.letter) == name }) {
			t.problem(problem.Problem{Severity: problem.Error, Code: problem.MappingInvalid, Place: problem.Place{Row: t.header.Row}, Value: name,
				Message: fmt.Sprintf("the mapping names a column %q that the table does not have", name), Fix: "write the heading exactly as it stands in the file"})
		}
	}
}

// oneGroup keeps, of several columns whose headings say that they hold the fish of an
// attempt, the first whose cells do: "Pair" may hold the names of pairs.
func (t *table) oneGroup() {
	holds := func(c heading.Column) bool {
		all, groups := 0, 0
		for r := range t.grid.Each {
			if r.Number < t.header.First || c.At >= len(r.Cells) || r.Cells[c.At].Kind == source.Blank {
				continue
			}
			all++
			if g, fault := cell.GroupOf(r.Cells[c.At]); fault == nil && g.OK {
				groups++
			}
			if all == head {
				break
			}
		}
		return 2*groups > all
	}
	var at []int
	fit := -1
	for i, c := range t.header.Columns {
		if c.Field == heading.Group {
			at = append(at, i)
			if fit < 0 && holds(c) {
				fit = i
			}
		}
	}
	for _, i := range at {
		if len(at) > 1 && fit >= 0 && i != fit && !holds(t.header.Columns[i]) {
			c := &t.header.Columns[i]
			c.Field = heading.None
			t.problem(problem.Problem{Severity: problem.Note, Code: problem.HeadingUnknown, Place: problem.Place{Row: t.header.Row, Column: source.ColumnName(c.At), Head: c.Text}, Value: c.Text,
				Message: fmt.Sprintf("%q holds no numbers of fish, and %q does; the column is kept in the notes", c.Text, t.header.Columns[fit].Text), Fix: "nothing to do if that is right"})
		}
	}
}

// byLetter is how a mapping names a column that shares its heading with another.
func byLetter(letter string) string { return "column " + letter }

func (t *table) applyMapping(c *column) {
	m, ok := t.mapping.Columns[byLetter(c.letter)]
	if !ok {
		m, ok = t.mapping.Columns[c.head]
	}
	if !ok {
		return
	}
	c.mapped = m
	bad := func(what, fix string) {
		t.problem(problem.Problem{Severity: problem.Error, Code: problem.MappingInvalid, Place: c.place(t.grid, t.header.Row), Message: what, Fix: fix})
		c.field = heading.None
	}
	if m.Is != "" {
		f, own, ok := t.fieldNamed(m.Is)
		if !ok {
			bad(fmt.Sprintf("the mapping says is = %q, which is no column of the tables", m.Is), "use a name such as "+strings.Join(heading.Names()[:5], ", "))
			return
		}
		if f == heading.Notes && c.field != heading.Notes {
			f = heading.None // kept in the notes under its heading
		}
		if f != c.field || own != c.own {
			c.field, c.own, c.unit, c.falls = f, own, unit.Unit{}, false
		}
	}
	if m.Unit != "" {
		u, ok := unit.Lookup(m.Unit, c.field.Quantity())
		if !ok {
			bad(fmt.Sprintf("the mapping says unit = %q, which is no unit of %s", m.Unit, c.field.Quantity()), "use one of "+strings.Join(unit.Names(c.field.Quantity()), ", "))
			return
		}
		c.unit = u
	}
}

// fieldNamed finds the field that a mapping names: a column of the tables, "notes",
// or a club's own trigger by its column or code.
func (t *table) fieldNamed(name string) (f heading.Field, own string, ok bool) {
	for _, trigger := range t.reader.config.Triggers {
		if column := trigger.Column().Name; name == column || name == trigger.Code {
			if trigger.Kind == club.TriggerNumber {
				return heading.OwnNumber, column, true
			}
			return heading.OwnAnswer, column, true
		}
	}
	f, ok = heading.Lookup(name)
	return f, "", ok
}

// whichLayout tells a log of attempts from the export of a logger, by what the
// columns mean.
func (t *table) whichLayout() string {
	if t.isLong() {
		return layoutLong
	}
	if words := t.diaryColumn(); words != nil {
		if slices.ContainsFunc(t.columns, func(c *column) bool { return c.field == heading.Amount }) {
			return layoutActs
		}
		return layoutDiary
	}
	dates, attempts, measured := 0, 0, 0
	for _, c := range t.columns {
		_, isReading := readings[c.field]
		switch {
		case c.field == heading.Date || c.field == heading.Time || c.field == heading.Timestamp:
			dates++
		case isReading:
			measured++
		case slices.Contains([]heading.Field{heading.Species, heading.Spawned, heading.Began, heading.SpawnedAt, heading.Eggs, heading.Fertile, heading.Unviable, heading.Hatched, heading.HatchDate, heading.SwimDate, heading.FreeSwimming}, c.field):
			attempts++
		}
	}
	if len(t.days) > 0 && attempts >= 1 {
		return layoutDays
	}
	switch {
	case attempts >= 2, attempts >= 1 && (t.file.Species != "" || t.header.Titles["species"] != "" || t.sheetSpecies() != ""):
		return layoutAttempts
	case dates >= 1 && measured >= 1 && attempts == 0:
		return layoutLogger
	}
	return ""
}

// whoseLog names the keeper where no column does: the mapping, a title row, the
// folder, or the file.
func (t *table) whoseLog() string {
	if t.file.Keeper != "" {
		return t.file.Keeper
	}
	if k := t.header.Titles["keeper"]; k != "" {
		return k
	}
	from, name := "folder", path.Dir(t.grid.File)
	if name == "." {
		from, name = "file", strings.TrimSuffix(t.grid.File, path.Ext(t.grid.File))
	}
	if slices.ContainsFunc(t.columns, func(c *column) bool { return c.field == heading.Keeper }) {
		return ""
	}
	name = strings.Split(name, "/")[0]
	t.problem(problem.Problem{Severity: problem.Note, Code: problem.KeeperImplied, Message: fmt.Sprintf("the keeper is taken to be %q, after the %s", name, from), Fix: `nothing to do if that is right; otherwise write keeper = "…" in the mapping`})
	return name
}

// year is the year of dates that state none: of the mapping, a title or the
// sheet's name.
func (t *table) year() int {
	if t.mapping.Year != 0 {
		return t.mapping.Year
	}
	for _, text := range []string{t.header.Titles["year"], t.grid.Sheet} {
		for _, w := range strings.FieldsFunc(text, func(r rune) bool { return r < '0' || r > '9' }) {
			if y, err := strconv.Atoi(w); err == nil && len(w) == 4 && y >= 1980 && y <= t.reader.today.Year() {
				return y
			}
		}
	}
	return 0
}

// system is the tank where no column names it: of the mapping, of a title row, or of
// a sheet that is named after one.
func (t *table) system() string {
	switch {
	case t.file.System != "":
		return t.file.System
	case t.header.Titles["system"] != "":
		return t.header.Titles["system"]
	case slices.ContainsFunc(t.columns, func(c *column) bool { return c.field == heading.System }):
		return ""
	}
	first, rest, found := strings.Cut(strings.TrimSpace(t.grid.Sheet), " ")
	if found && slices.Contains(tankWords, strings.ToLower(first)) {
		return strings.TrimSpace(rest)
	}
	return ""
}

// tankWords begin the names of sheets that are named after a tank.
var tankWords = []string{"tank", "aquarium", "becken", "bac", "cuve", "acuario", "tanque"}

// describe says in one line which heading went to which column of the tables.
func (t *table) describe() string {
	var parts []string
	for _, c := range t.columns {
		to := c.field.String()
		switch {
		case c.own != "":
			to = c.own
		case c.day != nil:
			to = "day"
		case c.field == heading.None:
			to = "notes"
		}
		s := c.head + " -> " + to
		if c.unit != (unit.Unit{}) {
			s += " [" + c.unit.Code + "]"
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, "; ")
}

// read goes through the rows of the table.
func (t *table) read() {
	t.seen = map[string]int{}
	t.countTitles()
	switch t.layout {
	case layoutLogger:
		t.readLogger()
	case layoutDiary, layoutActs:
		t.readDiary()
	case layoutTanks:
		t.readTanks()
	case layoutLong:
		t.readLong()
	default:
		t.readAttempts()
	}
	t.warnOfMany()
	t.out.explained = append(t.out.explained, t.explain())
}

// manySetAside is the share of rows set aside above which somebody should look whether
// the table was understood at all.
const manySetAside = 0.2

// warnOfMany says so where much of a table was set aside. The rest is used all the
// same: every row was read by itself.
func (t *table) warnOfMany() {
	records := t.ledger.Used + t.ledger.SetAside
	if t.ledger.SetAside < 3 || float64(t.ledger.SetAside) <= manySetAside*float64(records) {
		return
	}
	t.problem(problem.Problem{Severity: problem.Warning, Code: problem.ManySetAside, Place: problem.Place{File: t.grid.File, Sheet: t.grid.Sheet},
		Message: fmt.Sprintf("%d of %d rows are set aside: perhaps the table was not understood", t.ledger.SetAside, records), Fix: "look at what gravid ingest --explain says of it, and mend the mapping"})
}

// countTitles accounts for the rows above a turned table.
func (t *table) countTitles() {
	for _, r := range t.region.titles {
		t.ledger.Rows++
		if blank(r.Cells) {
			t.ledger.Blank++
			continue
		}
		t.ledger.Title++
		t.account(r.Cells, fateNotes)
	}
}

// source is where a row of the table stands in its file.
func (t *table) source(row int) club.Source {
	if t.region.turned {
		row = t.region.first
	}
	return club.Source{File: t.grid.File, Sheet: t.grid.Sheet, Row: int64(row)}
}

// beside tells rows of one number apart: those of tables side by side, and the
// columns of a turned one.
func (t *table) beside(row int) string {
	switch {
	case t.region.turned:
		return source.ColumnName(row - 1)
	case t.region.column > 0:
		return source.ColumnName(t.region.column)
	}
	return ""
}

// before accounts for a row that lies before the body, and reports whether it does.
func (t *table) before(r source.Row) bool {
	h := t.header
	if r.Number >= h.First {
		return false
	}
	switch {
	case blank(r.Cells):
		t.ledger.Blank++
	case r.Number == h.Row || r.Number == h.Group || r.Number == h.Units:
		t.ledger.Header++
		t.account(r.Cells, fateUsed)
	default:
		t.ledger.Title++
		t.account(r.Cells, fateNotes)
	}
	return true
}

func (t *table) account(cells []source.Cell, f fate) {
	for _, c := range cells {
		if c.Kind != source.Blank {
			t.ledger.cell(f)
		}
	}
}

// skip accounts for a row of the body that is no record, with a note that says why.
func (t *table) skip(r source.Row, why string) {
	t.ledger.Repeated++
	t.account(r.Cells, fateProblem)
	t.problem(problem.Problem{Severity: problem.Note, Code: problem.RowSkipped, Place: problem.Place{File: t.grid.File, Sheet: t.grid.Sheet, Row: r.Number},
		Value: strings.Join(asWritten(r.Cells), " | "), Message: why})
}

// setAside keeps a row that cannot be used, in the keeper's own columns.
func (t *table) setAside(r source.Row, p problem.Problem) {
	t.ledger.SetAside++
	t.account(r.Cells, fateProblem)
	if t.aside.Header == nil {
		t.aside = club.SetAside{File: t.grid.File, Sheet: t.grid.Sheet, Header: t.headings()}
	}
	t.aside.Rows = append(t.aside.Rows, asWritten(r.Cells))
	p.Severity = problem.Error
	if p.Place.Row == 0 {
		p.Place = problem.Place{File: t.grid.File, Sheet: t.grid.Sheet, Row: r.Number}
	}
	t.problem(p)
}

// headings are the headings as written, blank columns included.
func (t *table) headings() []string {
	var out []string
	for _, c := range t.columns {
		for len(out) <= c.at {
			out = append(out, "")
		}
		out[c.at] = c.head
	}
	return out
}

func asWritten(cells []source.Cell) []string {
	out := make([]string, len(cells))
	for i, c := range cells {
		out[i] = c.Text
		if c.Kind == source.Formula {
			out[i] = "=" + strings.TrimPrefix(c.Formula, "=")
		}
	}
	return out
}

// fault names a cell that could not be read.
func (t *table) fault(c *column, x source.Cell, row int, f *cell.Fault) {
	t.ledger.cell(fateProblem)
	t.problem(problem.Problem{Severity: problem.Error, Code: f.Code, Place: c.place(t.grid, row), Value: written(x), Message: f.Message, Fix: f.Fix})
}

func written(x source.Cell) string {
	if x.Kind == source.Formula {
		return "=" + strings.TrimPrefix(x.Formula, "=")
	}
	return x.Text
}
