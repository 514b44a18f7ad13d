package main

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

// excel writes a log as a workbook.
func excel(sheets []sheet) (out []byte, err error) {
	f := excelize.NewFile()
	defer func() {
		if closing := f.Close(); err == nil {
			err = closing
		}
	}()
	styles, err := newStyles(f)
	if err != nil {
		return nil, err
	}
	for i, s := range sheets {
		if i == 0 {
			err = f.SetSheetName(f.GetSheetName(0), s.name)
		} else {
			_, err = f.NewSheet(s.name)
		}
		if err != nil {
			return nil, err
		}
		if err := styles.fill(f, s); err != nil {
			return nil, fmt.Errorf("sheet %s: %w", s.name, err)
		}
	}
	var b bytes.Buffer
	if _, err := f.WriteTo(&b); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// A stylebook holds the cell styles of a workbook by kind of cell, and by number
// of decimals for numbers.
type stylebook struct {
	of       map[kind]int
	decimals [4]int
	bold     int
}

func newStyles(f *excelize.File) (*stylebook, error) {
	s := &stylebook{of: map[kind]int{}}
	add := func(format string) (int, error) { return f.NewStyle(&excelize.Style{CustomNumFmt: &format}) }
	var err error
	for _, f := range []struct {
		of     kind
		format string
	}{{date, "dd.mm.yyyy"}, {minute, "dd.mm.yyyy hh:mm"}, {share, "0%"}} {
		if s.of[f.of], err = add(f.format); err != nil {
			return nil, err
		}
	}
	for n := range s.decimals {
		if s.decimals[n], err = add(strings.TrimSuffix("0."+strings.Repeat("0", n), ".")); err != nil {
			return nil, err
		}
	}
	s.bold, err = f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true, Family: "Calibri", Size: 11}})
	return s, err
}

func (s *stylebook) fill(f *excelize.File, sh sheet) error {
	for r, row := range sh.rows {
		for c, x := range row {
			at, err := excelize.CoordinatesToCellName(c+1, r+1)
			if err != nil {
				return err
			}
			if err := s.put(f, sh.name, at, x); err != nil {
				return err
			}
		}
	}
	for _, g := range sh.groups {
		if err := s.merge(f, sh, g); err != nil {
			return err
		}
	}
	return f.SetColWidth(sh.name, "A", "Z", 14)
}

// merge joins the cells of a group in the row that holds its title.
func (s *stylebook) merge(f *excelize.File, sh sheet, g group) error {
	for r, row := range sh.rows {
		if g.first >= len(row) || row[g.first].text != g.title {
			continue
		}
		from, err := excelize.CoordinatesToCellName(g.first+1, r+1)
		if err != nil {
			return err
		}
		to, err := excelize.CoordinatesToCellName(g.last+1, r+1)
		if err != nil {
			return err
		}
		if err := f.SetCellStyle(sh.name, from, to, s.bold); err != nil {
			return err
		}
		return f.MergeCell(sh.name, from, to)
	}
	return fmt.Errorf("no row holds the group %s", g.title)
}

func (s *stylebook) put(f *excelize.File, sheet, at string, x cell) error {
	var style int
	var err error
	switch x.kind {
	case blank:
		return nil
	case text:
		return f.SetCellStr(sheet, at, x.text)
	case truth:
		return f.SetCellBool(sheet, at, x.yes)
	case number:
		style, err = s.decimals[x.decimals], f.SetCellFloat(sheet, at, x.number, -1, 64)
	case share:
		style, err = s.of[share], f.SetCellFloat(sheet, at, x.number, -1, 64)
	default:
		style, err = s.of[x.kind], f.SetCellFloat(sheet, at, serial(x.at), -1, 64)
	}
	if err != nil {
		return err
	}
	return f.SetCellStyle(sheet, at, at, style)
}

// serial is a time as workbooks store it: days since 30 December 1899.
func serial(t time.Time) float64 {
	days := t.Sub(time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)).Hours() / 24
	return math.Round(days*1e9) / 1e9
}
