package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// A logbook is the log of one keeper, or of several who share one: what stands in
// it, before it takes the shape of a file.
type logbook struct {
	path    string   // below the club's logs folder
	keepers []string // whose attempts are in it
	columns []column
	names   map[string][]string // species -> how it is written here, in turn
	eggs    eggHabit
	notes   []string // remarks, now and then
	missing []string // what stands in cells where nothing was recorded; empty: nothing

	titles   [][]string // rows above the headings; nil is a blank row
	groups   []span     // headings over several columns
	yearly   bool       // one sheet a year
	spacer   bool       // a blank row between years
	totals   string     // first word of a row of totals at the end, empty: none
	repeat   int        // this record, counted from 1, stands twice; 0: none
	blemish  []blemish
	shape    func([]sheet) ([]byte, error)
	office   bool  // shape gives a document that LibreOffice turns into the log
	readable style // of text files, also for what is reported of blemishes
}

// A span is a heading over the columns from one to another, by their headings.
type span struct{ title, from, to string }

// A blemish is a slip planted in a log: the nth cell of a column that is not
// empty is replaced.
type blemish struct {
	kind, head string
	of         string // only cells with this text count; empty: all
	nth        int
	written    cell
	note       string
	keep       bool // the slip can be seen through, so that the cell still tells what it told
}

// A plantedBlemish says where a blemish came to stand.
type plantedBlemish struct {
	Kind    string `json:"kind"`
	File    string `json:"file"`
	Sheet   string `json:"sheet,omitempty"`
	Row     int    `json:"row"`
	Column  string `json:"column,omitempty"`
	Written string `json:"written,omitempty"`
	Meant   string `json:"meant,omitempty"`
	Note    string `json:"note"`
}

// A row is what a careful reader makes of one row of a log.
type row struct {
	file, sheet string
	number      int
	values      map[string]string // by column of the tables; nothing where nothing was recorded
	clutch      bool              // the row tells of a clutch as well
	attempt     *attempt
}

// A written log is a logbook with every cell in place.
type writtenLog struct {
	book    *logbook
	sheets  []sheet
	rows    []row
	blemish []plantedBlemish
	told    map[string][]string // heading -> columns of the tables that it fills
}

// write puts every cell in place. An error means that the log has too few cells
// for a blemish that is planned.
func (b *logbook) write(w *world) (*writtenLog, error) {
	out := &writtenLog{book: b, told: map[string][]string{}}
	records := b.records(w)
	sheets := map[string][]*record{}
	var names []string
	for _, r := range records {
		name := b.sheetOf(r)
		if sheets[name] == nil {
			names = append(names, name)
		}
		sheets[name] = append(sheets[name], r)
	}
	p := &pen{writtenLog: out, w: w, seen: make([]int, len(b.blemish))}
	for _, name := range names {
		p.sheet(name, sheets[name])
	}
	for i, slip := range b.blemish {
		if p.seen[i] < slip.nth {
			return nil, fmt.Errorf("column %s has fewer than %d cells, too few for a blemish", slip.head, slip.nth)
		}
	}
	return out, nil
}

func (b *logbook) sheetOf(r *record) string {
	switch {
	case b.yearly:
		return strconv.Itoa(r.began.date().Year())
	case strings.HasSuffix(b.path, ".xlsx"):
		return "Laichbuch"
	}
	return ""
}

// records are the attempts of the keepers in order of time, as they are about to
// be written down.
func (b *logbook) records(w *world) []*record {
	var out []*record
	turn := map[string]int{}
	for _, a := range w.attempts {
		if !slices.Contains(b.keepers, a.keeper.Name) {
			continue
		}
		d := newDice(w.seed, streamOf(b.path+a.keeper.Name)+uint64(a.number))
		r := &record{attempt: a, w: w}
		names := b.names[a.sp.Name]
		r.species = names[turn[a.sp.Name]%len(names)]
		turn[a.sp.Name]++
		if a.clutch != nil {
			r.eggs = b.eggs.record(d, a.clutch.eggs)
		}
		if len(b.notes) > 0 && d.chance(0.2) {
			r.note = of(d, b.notes)
		}
		out = append(out, r)
	}
	slices.SortStableFunc(out, func(x, y *record) int { return int(x.began - y.began) })
	return out
}

// streamOf numbers a stream of the seed after a text.
func streamOf(name string) uint64 {
	stream := uint64(1_000_000)
	for _, c := range name {
		stream = stream*31 + uint64(c)
	}
	return stream
}

// A pen writes a log row by row.
type pen struct {
	*writtenLog
	w    *world
	at   sheet
	seen []int // cells that were not empty, by blemish
	n    int   // records written
}

func (p *pen) line(cells ...cell) int {
	p.at.rows = append(p.at.rows, cells)
	return len(p.at.rows)
}

func (p *pen) sheet(name string, records []*record) {
	b := p.book
	p.at = sheet{name: name}
	for _, title := range b.titles {
		var cells []cell
		for _, s := range title {
			cells = append(cells, words(s))
		}
		n := p.line(cells...)
		if len(title) > 0 {
			p.say(plantedBlemish{Kind: "title row", Row: n, Written: strings.Join(title, " "), Note: "a row above the headings"})
		}
	}
	p.groups()
	p.headingRows()
	year := 0
	for _, r := range records {
		if y := r.began.date().Year(); b.spacer && year != 0 && y != year {
			n := p.line(make([]cell, len(b.columns))...)
			p.say(plantedBlemish{Kind: "blank row", Row: n, Note: "an empty row between two years"})
		}
		year = r.began.date().Year()
		p.record(r)
	}
	if b.totals != "" {
		p.total()
	}
	p.sheets = append(p.sheets, p.at)
}

// say notes a blemish of this file.
func (p *pen) say(b plantedBlemish) {
	b.File, b.Sheet = p.book.path, p.at.name
	p.blemish = append(p.blemish, b)
}

func (p *pen) groups() {
	if len(p.book.groups) == 0 {
		return
	}
	cells := make([]cell, len(p.book.columns))
	for _, s := range p.book.groups {
		g := group{s.title, p.columnAt(s.from), p.columnAt(s.to)}
		cells[g.first] = words(g.title)
		p.at.groups = append(p.at.groups, g)
	}
	p.line(cells...)
}

func (p *pen) columnAt(head string) int {
	i := slices.IndexFunc(p.book.columns, func(c column) bool { return c.head == head })
	if i < 0 {
		panic("makedemo: " + p.book.path + " has no column " + head)
	}
	return i
}

func (p *pen) headingRows() {
	var heads, units []cell
	withUnits := false
	for _, c := range p.book.columns {
		heads, units = append(heads, words(c.head)), append(units, words(c.unit))
		withUnits = withUnits || c.unit != ""
	}
	p.line(heads...)
	if withUnits {
		p.line(units...)
	}
}

// record writes one attempt, and what it tells.
func (p *pen) record(r *record) {
	b := p.book
	p.n++
	cells := make([]cell, len(b.columns))
	number := len(p.at.rows) + 1
	values := map[string]string{fieldKeeper: r.keeper.Name}
	d := newDice(p.w.seed, streamOf(b.path+" blanks "+r.keeper.Name)+uint64(r.number))
	for i, c := range b.columns {
		e := c.write(r)
		left := d.chance(c.spare)
		if e.cell.kind != blank && left {
			e = entry{}
			if len(b.missing) > 0 && d.chance(0.4) {
				e.cell = words(of(d, b.missing))
			}
		}
		e = p.slip(c, e, number)
		cells[i] = e.cell
		for _, s := range e.says {
			values[s.field] = s.value
			if !slices.Contains(p.told[c.head], s.field) {
				p.told[c.head] = append(p.told[c.head], s.field)
			}
		}
	}
	refillDelta(values)
	p.line(cells...)
	p.rows = append(p.rows, row{file: b.path, sheet: p.at.name, number: number, values: values, clutch: r.spawn, attempt: r.attempt})
	if p.n == b.repeat {
		n := p.line(cells...)
		p.say(plantedBlemish{Kind: "repeated row", Row: n, Note: fmt.Sprintf("the same as row %d, copied by mistake", number)})
	}
}

// slip puts a blemish in place of a cell where one is due.
func (p *pen) slip(c column, e entry, row int) entry {
	for i, b := range p.book.blemish {
		if b.head != c.head || e.cell.kind == blank || len(e.says) == 0 || b.of != "" && b.of != e.cell.text {
			continue
		}
		p.seen[i]++
		if p.seen[i] != b.nth {
			continue
		}
		s := p.book.readable
		p.say(plantedBlemish{Kind: b.kind, Row: row, Column: b.head, Written: s.write(b.written), Meant: s.write(e.cell), Note: b.note})
		e.cell = b.written
		switch {
		case !b.keep:
			e.says = nil
		case b.written.kind == text:
			for j := range e.says {
				if e.says[j].field == fieldAsWritten {
					e.says[j].value = b.written.text
				}
			}
		}
	}
	return e
}

// refillDelta works out the difference of a refill to its tank where the log
// states the temperature of both.
func refillDelta(values map[string]string) {
	refill, stated := values[fieldRefillTemperature]
	delete(values, fieldRefillTemperature)
	tank, known := values[fieldTemperature]
	if !stated || !known {
		return
	}
	values[fieldRefill] = plain(rounded(number64(refill)-number64(tank), 6))
}

func number64(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic("makedemo: " + err.Error()) // written by plain
	}
	return v
}

// total adds up the eggs and the fry.
func (p *pen) total() {
	cells := make([]cell, len(p.book.columns))
	cells[0] = words(p.book.totals)
	for i, c := range p.book.columns {
		if !c.counts {
			continue
		}
		sum := 0.0
		for _, r := range p.at.rows {
			if len(r) == len(cells) && r[i].kind == number {
				sum += r[i].number
			}
		}
		cells[i] = whole(int(sum))
	}
	n := p.line(cells...)
	p.say(plantedBlemish{Kind: "total row", Row: n, Note: "sums of the columns of eggs and fry, without the estimates"})
}
