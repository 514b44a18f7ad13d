package reporttest_test

import (
	"os"
	"testing"

	"gravid/analyze/report"
	"gravid/analyze/report/internal/reporttest"
	"gravid/analyze/report/page"
	"gravid/analyze/report/text"
	"gravid/analyze/report/workbook"
)

func TestShow(t *testing.T) {
	for name, o := range map[string]text.Options{"80": {}, "120": {Width: 120, Technical: true}, "ascii": {ASCII: true}, "40": {Width: 40}} {
		f, _ := os.Create("/tmp/show/text-" + name + ".txt")
		d := reporttest.Season()
		if err := text.Write(f, d, o); err != nil {
			t.Fatal(err)
		}
		f.Close()
	}
	for name, d := range map[string]*report.Document{"season": reporttest.Season(), "hostile": reporttest.Hostile(), "figures": reporttest.Figures()} {
		f, _ := os.Create("/tmp/show/" + name + ".txt")
		if err := text.Write(f, d, text.Options{}); err != nil {
			t.Fatal(err)
		}
		f, _ = os.Create("/tmp/show/" + name + ".html")
		if err := page.Write(f, d, page.Options{}); err != nil {
			t.Fatal(err)
		}
		f, _ = os.Create("/tmp/show/" + name + ".xlsx")
		if err := workbook.Write(f, d, workbook.Options{}); err != nil {
			t.Fatal(err)
		}
		f.Close()
	}
}
