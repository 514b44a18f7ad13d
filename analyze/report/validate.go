package report

import (
	"errors"
	"fmt"
	"strings"
)

// Validate finds what would make a document impossible to show as meant: IDs
// that are missing, malformed or used twice, rows that do not fit their columns,
// links inside the document that lead nowhere, intervals upside down. All faults come back joined. Renderers call it first.
//
// An ID is made of lower-case letters, digits, hyphens and underscores. Section
// IDs are unique in the document, table and figure IDs in their section.
func (d *Document) Validate() error {
	var errs []error
	fault := func(format string, args ...any) { errs = append(errs, fmt.Errorf("report: "+format, args...)) }
	anchors := map[string]bool{}
	name := func(anchor, id string) {
		switch {
		case !isID(id):
			fault("%q cannot be an ID: want lower-case letters, digits, - and _", id)
		case anchors[anchor]:
			fault("the ID %q is used twice", anchor)
		}
		anchors[anchor] = true
	}
	for _, s := range d.Sections {
		name(s.ID, s.ID)
		for _, t := range s.Tables {
			name(s.ID+"/"+t.ID, t.ID)
			for i, row := range t.Rows {
				if len(row) != len(t.Columns) {
					fault("table %s/%s, row %d: %d cells for %d columns", s.ID, t.ID, i+1, len(row), len(t.Columns))
				}
			}
		}
		for _, f := range s.Figures {
			name(s.ID+"/"+f.ID, f.ID)
			for _, series := range f.Series {
				for i, p := range series.Points {
					if why := badInterval(f.Kind, p); why != "" {
						fault("figure %s/%s, point %d of %q: %s", s.ID, f.ID, i+1, series.Name, why)
					}
				}
			}
		}
	}
	inside := func(link string) {
		if t, err := ParseLink(link); err != nil {
			errs = append(errs, err)
		} else if !anchors[t.Anchor()] {
			fault("the link %q leads nowhere", link)
		}
	}
	d.EachCell(func(c Cell) {
		if strings.HasPrefix(c.Link, "#") { // a path comes from data: one that ParseLink refuses is shown without a link
			inside(c.Link)
		}
	})
	for _, s := range d.Sections {
		for _, f := range s.Figures {
			switch {
			case f.Records == "":
			case strings.HasPrefix(f.Records, "#"):
				inside(f.Records)
			default:
				fault("figure %s/%s: its records are in no part of the document: %q", s.ID, f.ID, f.Records)
			}
		}
	}
	return errors.Join(errs...)
}

// badInterval says what is wrong with the intervals that a figure of this kind
// draws; "" where nothing is.
func badInterval(k FigureKind, p Point) string {
	check := func(axis string, v, lo, hi float64) string {
		switch {
		case lo > hi:
			return fmt.Sprintf("the %s interval runs from %g down to %g", axis, lo, hi)
		case lo == 0 && hi == 0 && v != 0:
			return fmt.Sprintf("the %s interval was left at 0: want NaN where there is none", axis)
		}
		return ""
	}
	switch k {
	case Forest:
		return check("X", p.X, p.XLo, p.XHi)
	case Dots, Funnel:
		if why := check("X", p.X, p.XLo, p.XHi); why != "" {
			return why
		}
	}
	return check("Y", p.Y, p.YLo, p.YHi)
}

// EachCell calls f for every cell of the document: facts first, then the tables
// in order.
func (d *Document) EachCell(f func(Cell)) {
	for _, fact := range d.Facts {
		f(fact.Value)
	}
	for _, s := range d.Sections {
		for _, t := range s.Tables {
			for _, row := range t.Rows {
				for _, c := range row {
					f(c)
				}
			}
		}
	}
}
