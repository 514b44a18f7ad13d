// Command excelize writes a workbook of the corpus from a description in JSON.
package main

import (
	"encoding/json"
	"log"
	"os"

	"github.com/xuri/excelize/v2"
)

type cell struct {
	Kind    string  `json:"kind"`
	Text    string  `json:"text"`
	Number  float64 `json:"number"`
	Format  string  `json:"fmt"`
	Comment string  `json:"comment"`
}

type sheet struct {
	Name       string    `json:"name"`
	Hidden     bool      `json:"hidden"`
	HiddenRows []int     `json:"hidden_rows"`
	HiddenCols []string  `json:"hidden_cols"`
	Merges     []string  `json:"merges"`
	Rows       [][]*cell `json:"rows"`
}

func main() {
	doc, err := os.ReadFile(os.Args[1])
	check(err)
	var sheets []sheet
	check(json.Unmarshal(doc, &sheets))
	f := excelize.NewFile()
	for _, s := range sheets {
		_, err := f.NewSheet(s.Name)
		check(err)
		for i, row := range s.Rows {
			for j, c := range row {
				if c != nil {
					write(f, s.Name, j+1, i+1, c)
				}
			}
		}
		for _, m := range s.Merges {
			from, to, _ := cut(m)
			check(f.MergeCell(s.Name, from, to))
		}
		for _, r := range s.HiddenRows {
			check(f.SetRowVisible(s.Name, r, false))
		}
		for _, c := range s.HiddenCols {
			check(f.SetColVisible(s.Name, c, false))
		}
		if s.Hidden {
			check(f.SetSheetVisible(s.Name, false))
		}
	}
	check(f.DeleteSheet("Sheet1"))
	check(f.SaveAs(os.Args[2]))
}

func cut(m string) (string, string, bool) {
	for i := range m {
		if m[i] == ':' {
			return m[:i], m[i+1:], true
		}
	}
	return m, m, false
}

func write(f *excelize.File, sheet string, column, row int, c *cell) {
	at, err := excelize.CoordinatesToCellName(column, row)
	check(err)
	switch c.Kind {
	case "text":
		check(f.SetCellStr(sheet, at, c.Text))
	case "number":
		check(f.SetCellFloat(sheet, at, c.Number, -1, 64))
	case "bool":
		check(f.SetCellBool(sheet, at, c.Number == 1))
	case "formula":
		check(f.SetCellFormula(sheet, at, c.Text))
	}
	if c.Format != "" {
		style, err := f.NewStyle(&excelize.Style{CustomNumFmt: &c.Format})
		check(err)
		check(f.SetCellStyle(sheet, at, at, style))
	}
	if c.Comment != "" {
		check(f.AddComment(sheet, excelize.Comment{Cell: at, Author: "keeper", Text: c.Comment}))
	}
}

func check(err error) {
	if err != nil {
		log.Fatal(err)
	}
}
