package format_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
	"gravid/analyze/report/internal/reporttest"
)

var nan, inf = math.NaN(), math.Inf(1)

// The wanted strings follow the rules in the documentation of Number.
func TestNumber(t *testing.T) {
	for _, c := range []struct {
		f    report.Format
		x    float64
		want string
	}{
		{report.Whole, 412, "412"}, {report.Whole, 9999, "9999"}, {report.Whole, 12345, "12\u202f345"}, {report.Whole, 1234567.4, "1\u202f234\u202f567"}, {report.Whole, -12, "−12"}, {report.Whole, -0.3, "0"},
		{report.Per100, 26.5, "27"}, {report.Per100, -8.5, "−9"}, {report.Per100, 0.4, "0"}, {report.Per100, -0.4, "0"},
		{report.Decimal, 0, "0"}, {report.Decimal, 231.4, "231"}, {report.Decimal, 61.25, "61.3"}, {report.Decimal, 5.2, "5.20"}, {report.Decimal, 99.96, "100"}, {report.Decimal, 9.996, "10.0"},
		{report.Decimal, 0.43, "0.43"}, {report.Decimal, 0.034, "0.034"}, {report.Decimal, 0.0034, "0.0034"}, {report.Decimal, 0.00004, "< 0.001"}, {report.Decimal, -0.00004, "> −0.001"}, {report.Decimal, -24.25, "−24.3"},
		{report.Decimal, 3e15, "3.00e+15"}, {report.Decimal, -3e15, "−3.00e+15"},
		{report.Share, 0, "0\u00a0%"}, {report.Share, 1, "100\u00a0%"}, {report.Share, 0.434, "43\u00a0%"}, {report.Share, 0.004, "< 1\u00a0%"}, {report.Share, 0.997, "> 99\u00a0%"}, {report.Share, 0.905, "91\u00a0%"},
		{report.P, 0.0004, "< 0.001"}, {report.P, 0, "< 0.001"}, {report.P, 0.001, "0.001"}, {report.P, 0.0134, "0.013"}, {report.P, 0.0994, "0.099"}, {report.P, 0.0996, "0.10"}, {report.P, 0.451, "0.45"}, {report.P, 0.994, "> 0.99"}, {report.P, 1, "> 0.99"},
		{report.Ratio, 3.21, "3.2"}, {report.Ratio, 0.961, "0.96"}, {report.Ratio, 0.9951, "1.0"}, {report.Ratio, 12.4, "12"}, {report.Ratio, 163, "160"}, {report.Ratio, 0.0861, "0.086"}, {report.Ratio, 0.0000001, "< 0.001"}, {report.Ratio, 5e8, "> 1000"}, {report.Ratio, 0, "0"},
		{report.Yes, 1, "yes"}, {report.Yes, 0, "no"},
	} {
		assert.Equal(t, c.want, format.Number(c.f, c.x), "format %d of %v", c.f, c.x)
	}
	for _, f := range []report.Format{report.Whole, report.Decimal, report.Share, report.Per100, report.P, report.Ratio, report.Yes} {
		assert.Equal(t, "–", format.Number(f, nan))
		assert.Equal(t, "no limit", format.Number(f, inf))
		assert.Equal(t, "no limit", format.Number(f, -inf))
	}
}

func TestCell(t *testing.T) {
	d := time.Date(2026, 3, 14, 23, 30, 0, 0, time.FixedZone("far east", 9*3600))
	estimated := report.N(report.Decimal, 24.50)
	estimated.Text = "estimated\nby eye"
	for want, c := range map[string]report.Cell{
		"24.5 estimated by eye": estimated, "2026-03-14": report.D(d), "yes": report.N(report.Yes, 1), "22": report.N(report.Decimal, 22),
		"a\\x1b[1m": report.T("a\x1b[1m"), "": report.T(""), "–": report.N(report.Whole, nan), "no limit": report.N(report.Ratio, inf),
	} {
		assert.Equal(t, want, format.Cell(c))
	}
	assert.Equal(t, "–", format.Cell(report.D(time.Time{})))
	assert.Equal(t, "–", format.Cell(report.Cell{Format: report.Share, Empty: true}))
}

func TestColumnSettlesDecimals(t *testing.T) {
	column := func(xs ...float64) []string {
		var cells []report.Cell
		for _, x := range xs {
			cells = append(cells, report.N(report.Decimal, x))
		}
		return format.Column(cells)
	}
	assert.Equal(t, []string{"24.5", "25.0", "26.3"}, column(24.5, 25, 26.25))
	assert.Equal(t, []string{"24", "25", "–"}, column(24, 25, nan))
	assert.Equal(t, []string{"143", "61.3", "5.2"}, column(142.6, 61.25, 5.2))
	assert.Empty(t, column())
}

func TestIntervalsInWords(t *testing.T) {
	for want, got := range map[string]string{
		"−3 to 21":                           format.Interval(report.Per100, -3, 21),
		"21 at most":                         format.Interval(report.Per100, -inf, 21),
		"−3 at least":                        format.Interval(report.Per100, -3, inf),
		"no limit either way":                format.Interval(report.Per100, -inf, inf),
		"12 (2 to 21)":                       format.Estimate(report.Per100, 12, 2, 21),
		"5.90 (4.78 to 7.02)":                format.Estimate(report.Decimal, 5.9, 4.78, 7.02),
		"6 (4 to 7)":                         format.Estimate(report.Decimal, 6, 4, 7),
		"12":                                 format.Estimate(report.Per100, 12, nan, nan),
		"4.1 (no limit either way)":          format.Estimate(report.Ratio, 4.1, -inf, inf),
		"0.0042 (0.0011 to 0.013)":           format.Estimate(report.Ratio, 0.0042, 0.0011, 0.013),
		"43\u00a0% (30\u00a0% to 57\u00a0%)": format.Estimate(report.Share, 0.43, 0.3, 0.57),
	} {
		assert.Equal(t, want, got)
	}
	assert.Empty(t, format.Interval(report.Per100, nan, 21))
}

func TestHeadings(t *testing.T) {
	assert.Equal(t, "Temperature (°C)", format.Heading(report.Column{Name: "Temperature", Unit: "°C"}))
	assert.Equal(t, "Keepers", format.Heading(report.Column{Name: "Keepers"}))
	assert.Equal(t, "per 100", format.AxisLabel(report.Axis{Unit: "per 100"}))
	assert.Equal(t, "Share (%)", format.AxisLabel(report.Axis{Label: "Share (%)", Unit: "%"}))
}

func TestTick(t *testing.T) {
	for _, c := range []struct {
		f       report.Format
		x, step float64
		want    string
	}{
		{report.Decimal, 0.3, 0.1, "0.3"}, {report.Decimal, -20, 10, "−20"}, {report.Decimal, 2, 0.25, "2.00"}, {report.Share, 0.4, 0.2, "40\u00a0%"}, {report.Share, 0.005, 0.005, "0.5\u00a0%"},
		{report.Decimal, 0.05, 0, "0.05"}, {report.Decimal, 200, 0, "200"}, {report.Decimal, 0, 5, "0"}, {report.Decimal, 2e-9, 1e-9, "2e−09"}, {report.Decimal, 3e15, 1e15, "3e+15"},
	} {
		assert.Equal(t, c.want, format.Tick(c.f, c.x, c.step))
	}
}

func TestScalesHoldTheirNumbers(t *testing.T) {
	for _, d := range []*report.Document{reporttest.Season(), reporttest.Figures()} {
		for _, s := range d.Sections {
			for _, f := range s.Figures {
				for n := range 12 {
					checkScale(t, f.ID, format.XScale(f, n), f.Kind == report.Bars)
					checkScale(t, f.ID, format.YScale(f, n), f.Kind == report.Forest)
				}
			}
		}
	}
}

// checkScale holds a scale to its laws: ends in order, ticks within them, few and
// rising, places between 0 and 1 that rise with the number.
func checkScale(t *testing.T, name string, s format.Scale, none bool) {
	t.Helper()
	if none {
		require.Equal(t, format.Scale{}, s)
		return
	}
	require.Less(t, s.Min, s.Max, name)
	require.LessOrEqual(t, len(s.Ticks), 16, name)
	before := -1.0
	for _, tick := range s.Ticks {
		require.Zero(t, s.Beyond(tick), "%s: tick %v of %v to %v", name, tick, s.Min, s.Max)
		require.Greater(t, s.At(tick), before, name)
		before = s.At(tick)
	}
	require.InDelta(t, 0, s.At(s.Min), 1e-12)
	require.InDelta(t, 1, s.At(s.Max), 1e-12)
	require.Equal(t, 1.0, s.At(inf))
	require.Equal(t, 0.0, s.At(-inf))
	require.True(t, math.IsNaN(s.At(nan)))
	require.Equal(t, 1, s.Beyond(inf))
	require.Equal(t, -1, s.Beyond(-inf))
}

func TestScale(t *testing.T) {
	f := report.Figure{Kind: report.Forest, X: report.Axis{Format: report.Per100}, Series: []report.Series{{Points: []report.Point{report.At("", -13, 0), report.At("", 27, 0)}}},
		MarksX: []report.Mark{{At: 0}}}
	s := format.XScale(f, 5)
	assert.Equal(t, []float64{-20, -10, 0, 10, 20, 30}, s.Ticks)
	f.X.Log, f.X.Format = true, report.Ratio
	f.Series[0].Points = []report.Point{report.At("", 0.6, 0), report.At("", 4, 0)}
	f.MarksX = []report.Mark{{At: 1}}
	s = format.XScale(f, 6)
	assert.Equal(t, []float64{0.5, 1, 2, 5}, s.Ticks)
	assert.InDelta(t, math.Log(2)/math.Log(10), s.At(1), 1e-12, "derivation: log(1/0.5)/log(5/0.5)")
	f.X = report.Axis{Min: 0, Max: 1, Format: report.Share}
	s = format.XScale(f, 4)
	assert.Equal(t, 0.0, s.Min)
	assert.Equal(t, 1.0, s.Max)
	assert.Equal(t, 1, s.Beyond(4))
}

func TestNumbersListsEveryPoint(t *testing.T) {
	for _, d := range []*report.Document{reporttest.Season(), reporttest.Figures(), reporttest.Hostile()} {
		for _, s := range d.Sections {
			for _, f := range s.Figures {
				n := len(f.Rug)
				for _, r := range f.Below {
					n += len(r.X)
				}
				places := map[float64]bool{} // of what stands side by side: a funnel's limits, the days of a calendar
				for i, series := range f.Series {
					if f.Kind == report.Funnel && i > 0 || f.Kind == report.Calendar {
						for _, p := range series.Points {
							if !math.IsNaN(p.X) {
								places[p.X] = true
							}
						}
						continue
					}
					n += len(series.Points)
				}
				table := format.Numbers(f)
				assert.Len(t, table.Rows, n+len(places), f.ID)
				for _, row := range table.Rows {
					require.Len(t, row, len(table.Columns), f.ID)
				}
			}
		}
	}
	season := reporttest.Season()
	table := format.Numbers(season.Sections[1].Figures[0])
	var heads []string
	for _, c := range table.Columns {
		heads = append(heads, format.Heading(c))
	}
	assert.Equal(t, []string{"Trigger", "Estimate (per 100)", "Low", "High", "Records", "Remark"}, heads)
	assert.Equal(t, "no limit", format.Cell(table.Rows[9][2]))
	assert.Equal(t, "the records can't tell", format.Remark(report.Point{Faint: true}))
}

// The days of a calendar stand in order, each with its marks and the values of its strips.
func TestNumbersOfACalendar(t *testing.T) {
	first := report.DayNumber(time.Date(2025, 3, 1, 0, 0, 0, 0, time.UTC))
	at := func(day, y float64) report.Point { return report.At("", first+day, y) }
	twice := at(2, math.NaN())
	twice.N = 2
	wide := at(1, 1013)
	wide.YLo, wide.YHi = 1010, 1015
	table := format.Numbers(report.Figure{ID: "c", Kind: report.Calendar, Y: report.Axis{Label: "Spawnings"}, Series: []report.Series{
		{Name: "one", Points: []report.Point{at(2, math.NaN())}}, {Name: "two", Points: []report.Point{twice, at(0, math.NaN())}},
		{Name: "fall", Behind: true, Points: []report.Point{at(2, math.NaN())}},
		{Name: "mean", Strip: report.Axis{Label: "Air", Unit: "hPa"}, Points: []report.Point{wide}},
	}})
	var rows []string
	for _, r := range table.Rows {
		var cells []string
		for _, c := range r {
			cells = append(cells, format.Cell(c))
		}
		rows = append(rows, strings.Join(cells, "|"))
	}
	assert.Equal(t, []string{"2025-03-01|two|–|–|–|–", "2025-03-02||–|1013|1010|1015", "2025-03-03|one, two ×2|yes|–|–|–"}, rows)
}

func ExampleEstimate() {
	fmt.Println(format.Estimate(report.Per100, 27.3, 14.2, 38.9))
	fmt.Println(format.Estimate(report.Ratio, 4.1, 0.9, math.Inf(1)))
	// Output:
	// 27 (14 to 39)
	// 4.1 (0.90 at least)
}

func BenchmarkPrintable(b *testing.B) {
	plain, odd := strings.Repeat("plain text ", 20), strings.Repeat("Größe\tüber ", 20)
	for b.Loop() {
		format.Printable(plain)
		format.Printable(odd)
	}
}
