package ingest

import (
	"regexp"
	"strings"

	"gravid/ingest/cell"
	"gravid/ingest/heading"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// fewestTanks is how many columns of tanks make a table of eggs by tank.
const fewestTanks = 2

// tankHead is a heading that names a tank and nothing else: "Becken 2", "A3".
var tankHead = regexp.MustCompile(`^(?:(?i:tank|aquarium|becken|bac|cuve|acuario|tanque|pecera)\s*(?i:nr\.?|no\.?|n°|#)?\s*([A-Za-z]?[0-9]{1,3}[A-Za-z]?|[A-Za-z])|([A-Z][0-9]{1,3}))$`)

// findTanks finds the columns of a table of eggs by tank: a date on each row, a column
// for each tank with the eggs collected from it, and words above or the name of the
// sheet that say that they are eggs. It reports whether the table is one.
func (t *table) findTanks(first []source.Row) bool {
	var tanks []*column
	var day *column
	dates := 0
	for _, c := range t.columns {
		m := tankHead.FindStringSubmatch(strings.TrimSpace(c.head))
		switch {
		case c.own != "":
			return false
		case c.field == heading.Date || c.field == heading.SpawnedAt:
			dates++
			day = c
		case m != nil && c.mapped.Is == "" && (c.field == heading.None || c.field == heading.System):
			c.tank = m[1] + m[2]
			tanks = append(tanks, c)
		case c.field != heading.None && c.field != heading.Notes:
			return false
		}
	}
	named := t.file.Species != "" || t.header.Titles["species"] != "" || t.sheetSpecies() != ""
	if dates != 1 || len(tanks) < fewestTanks || !named || !t.aboutEggs(first) {
		for _, c := range tanks {
			c.tank = ""
		}
		return false
	}
	for _, c := range tanks {
		c.field = heading.Eggs
	}
	day.field = heading.Date // 0 under a date of laying is a day without a spawn
	t.tanks = tanks
	return true
}

// aboutEggs reports whether a row above the headings, or the name of the sheet or the
// file, says that the numbers are eggs.
func (t *table) aboutEggs(first []source.Row) bool {
	if heading.SaysEggs(t.grid.Sheet) || heading.SaysEggs(strings.TrimSuffix(t.grid.File[strings.LastIndexByte(t.grid.File, '/')+1:], ".csv")) {
		return true
	}
	for _, r := range first {
		if r.Number >= t.header.Row {
			break
		}
		for _, x := range r.Cells {
			if x.Kind == source.Text && heading.SaysEggs(x.Text) {
				return true
			}
		}
	}
	return false
}

// readTanks reads a table of eggs by tank: each cell below a tank is an attempt of one
// day, 0 a day without a spawn, and an empty cell a day on which nobody looked.
func (t *table) readTanks() {
	t.gather()
	t.decide()
	for _, r := range t.rows {
		t.readTanksOf(r)
	}
}

func (t *table) readTanksOf(r source.Row) {
	if !t.hasDate(r) {
		t.setAside(r, problem.Problem{Code: problem.RowIncomplete, Message: "the row has no date", Fix: "add the date"})
		return
	}
	day := record{}
	if p, ok := t.nameSpecies(&day, r); !ok {
		t.setAside(r, p)
		return
	}
	for i, x := range r.Cells {
		if c := t.columnAt(i); x.Kind != source.Blank && (c == nil || c.tank == "") {
			t.take(&day, c, x, r.Number, i)
		}
	}
	t.ledger.Used++
	for _, c := range t.tanks {
		if c.at >= len(r.Cells) || r.Cells[c.at].Kind == source.Blank {
			continue
		}
		rec := day
		rec.notes = append([]string(nil), day.notes...)
		rec.attempt.Keeper, rec.attempt.System = t.keeper, c.tank
		t.take(&rec, c, r.Cells[c.at], r.Number, c.at)
		if cell.IsMissing(r.Cells[c.at].Text) {
			continue
		}
		for _, p := range rec.finish(t.reader.rhythm, t.source(r.Number), c.letter) {
			if p.Place.Row == 0 {
				p.Place = c.place(t.grid, r.Number)
			}
			t.problem(p)
		}
		if !rec.attempt.Spawned.OK {
			continue // what the cell says is told where it was read
		}
		t.out.attempts = append(t.out.attempts, rec.attempt)
		if rec.written {
			t.out.clutches = append(t.out.clutches, rec.clutch)
		}
	}
}
