package workbook

import (
	"bytes"
	"fmt"
	"math"

	"github.com/xuri/excelize/v2"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

// libraryPixels is how high the library takes a row of rowSize to be when it
// works out where a chart ends. The chart then lies over exactly d.rows rows.
const libraryPixels = 18

// chart is the description of a drawing for the file.
func (d *drawing) chart(sheet string) *excelize.Chart {
	none := false
	c := &excelize.Chart{
		Dimension:    excelize.ChartDimension{Width: chartWidth, Height: uint(d.rows*libraryPixels - libraryPixels/2)},
		Format:       excelize.GraphicOptions{AltText: d.alt(), Name: cut(cellText(d.figure.Title), 200)},
		VaryColors:   &none,
		ShowBlanksAs: "gap",
		Legend:       excelize.ChartLegend{Position: "none", Font: chartFont(9, false)},
		Border:       excelize.LineOptions{Type: excelize.LineNone},
		Title:        chartTitle(d.explains, 9, false),
	}
	if d.names > 0 {
		d.named(c, sheet)
	} else {
		d.scattered(c, sheet)
	}
	shown := 0
	for _, l := range d.lines {
		if l.colour != "" && !l.unlabelled && !l.point {
			shown++
		}
	}
	if (shown > 1 || d.figure.Kind == report.Funnel) && d.figure.Kind != report.Forest {
		c.Legend.Position = "bottom"
	}
	return c
}

// alt is the figure in words, for those who cannot see it.
func (d *drawing) alt() string {
	for _, s := range []string{d.figure.Alt, d.figure.Caption, d.figure.Title} {
		if s = cellText(s); s != "" {
			return cut(s, 2000)
		}
	}
	return "chart"
}

// named makes a chart of bars beside names.
func (d *drawing) named(c *excelize.Chart, sheet string) {
	gap, overlap := uint(50), 0
	c.Type = excelize.Col
	names, values := d.figure.X, d.figure.Y
	switch {
	case d.figure.Kind == report.Forest:
		c.Type, overlap = excelize.BarStacked, 100
		names, values = d.figure.Y, d.figure.X
	case d.lying:
		c.Type = excelize.Bar
	}
	c.GapWidth, c.Overlap = &gap, &overlap
	for _, l := range d.lines {
		s := excelize.ChartSeries{
			Name:       absolute(sheet, d.at, l.column+1, d.at, l.column+1),
			Categories: absolute(sheet, d.at+1, 1, d.at+d.names, 1),
			Values:     absolute(sheet, d.at+1, l.column+1, d.at+d.names, l.column+1),
			Fill:       solid(l.colour),
		}
		if l.colour == "" {
			s.Fill = excelize.Fill{Type: "pattern", Pattern: 0}
		}
		c.Series = append(c.Series, s)
	}
	c.XAxis = excelize.ChartAxis{Font: *chartFont(9, false), TickLabelPosition: excelize.ChartTickLabelLow, ReverseOrder: d.lying}
	c.YAxis = valueAxis(values, d.y)
	if d.lying {
		c.YAxis.TickLabelPosition = excelize.ChartTickLabelHigh // at the foot, since the names run down
	} else {
		c.XAxis.Title = chartTitle(format.AxisLabel(names), 9, true)
	}
	if len(d.lines) == 1 && d.names <= 30 {
		c.PlotArea.ShowVal = true
		c.PlotArea.NumFmt = excelize.ChartNumFmt{CustomNumFmt: axisNumber(values, d.y)}
	}
}

// scattered makes a chart of lines and points in a plane.
func (d *drawing) scattered(c *excelize.Chart, sheet string) {
	c.Type = excelize.Scatter
	for _, l := range d.lines {
		from, to := d.at+1+l.from, d.at+1+l.to
		s := excelize.ChartSeries{
			Name:       absolute(sheet, from, 1, from, 1),
			Categories: absolute(sheet, from, 2, to, 2),
			Values:     absolute(sheet, from, 3, to, 3),
			Fill:       solid(l.colour),
			Line:       excelize.LineOptions{Type: excelize.LineNone},
			Marker:     excelize.ChartMarker{Symbol: l.marker, Size: l.size, Fill: solid(l.colour), Border: excelize.LineOptions{Type: excelize.LineSolid, Width: 1, Fill: solid(l.colour)}},
		}
		if l.width > 0 {
			s.Line = excelize.LineOptions{Type: excelize.LineSolid, Width: l.width, Dash: l.dash}
		}
		if l.hollow {
			s.Marker.Fill = solid(rule)
		}
		c.Series = append(c.Series, s)
	}
	c.XAxis = valueAxis(d.figure.X, d.x)
	c.XAxis.TickLabelPosition = excelize.ChartTickLabelLow
	c.YAxis = valueAxis(d.figure.Y, d.y)
	c.YAxis.TickLabelPosition = excelize.ChartTickLabelLow
	if d.days {
		c.XAxis.None, c.XAxis.MajorGridLines = true, false
		c.XAxis.Title = excelize.ChartTitle{} // months stand at the foot, and the years in the title of the figure
		c.YAxis.Title = excelize.ChartTitle{} // it stands above the plot
	}
	if d.bare {
		c.YAxis.None, c.YAxis.MajorGridLines = true, false
	}
}

func valueAxis(a report.Axis, s *format.Scale) excelize.ChartAxis {
	axis := excelize.ChartAxis{
		Font: *chartFont(9, false), MajorGridLines: true, Minimum: &s.Min, Maximum: &s.Max, MajorUnit: s.Step,
		Title: chartTitle(format.AxisLabel(a), 9, true), NumFmt: excelize.ChartNumFmt{CustomNumFmt: axisNumber(a, s)},
	}
	if s.Log {
		axis.LogBase, axis.MajorUnit = 10, 0
	}
	return axis
}

// axisNumber is the number format of an axis.
func axisNumber(a report.Axis, s *format.Scale) string {
	if math.Abs(s.Max) >= 1e7 || math.Abs(s.Min) >= 1e7 || s.Max-s.Min < 1e-4 {
		return "0.0E+00"
	}
	switch format.AxisFormat(a) {
	case report.Share:
		return "0 %"
	case report.Whole, report.Per100:
		return "#,##0"
	}
	return "General"
}

func chartFont(size float64, bold bool) *excelize.Font {
	return &excelize.Font{Family: face, Size: size, Color: ink, Bold: bold}
}

func chartTitle(s string, size float64, bold bool) excelize.ChartTitle {
	if s = cellText(s); s == "" {
		return excelize.ChartTitle{}
	}
	return excelize.ChartTitle{Paragraph: []excelize.RichTextRun{{Text: cut(s, 300), Font: chartFont(size, bold)}}}
}

func solid(colour string) excelize.Fill {
	return excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{colour}}
}

// edit makes a log chart's axes cross at their low ends, since bars must grow from
// there and not from 1, keeps programs from making up a title for a chart that has
// none, and writes names beside named points instead of into the legend.
func (d *drawing) edit(part []byte) ([]byte, error) {
	part, err := d.nameBeside(part)
	if err != nil {
		return nil, err
	}
	if d.days {
		if part, err = d.alike(part); err != nil {
			return nil, err
		}
	}
	if d.log {
		part = bytes.ReplaceAll(part, []byte(`<crosses val="autoZero">`), []byte(`<crosses val="min">`))
	}
	if d.explains != "" {
		return part, nil
	}
	return insertBefore(part, "<view3D>", []byte(`<autoTitleDeleted val="1"></autoTitleDeleted>`))
}

// alike gives the plot the place that it has in all charts of a calendar, so that equal
// days stand below each other.
func (d *drawing) alike(part []byte) ([]byte, error) {
	above, below, high := 30.0, 8.0, float64(d.height) // pixels, for the line above the plot and the edge below
	layout := fmt.Sprintf(`<layout><manualLayout><layoutTarget val="inner"></layoutTarget><xMode val="edge"></xMode><yMode val="edge"></yMode><x val="0.06"></x><y val="%.3f"></y><w val="0.92"></w><h val="%.3f"></h></manualLayout></layout>`, above/high, (high-above-below)/high)
	return insertBefore(part, "<scatterChart>", []byte(layout))
}

// nameLabel is the label of a point that shows the name of its series, on the side
// named for %s.
const nameLabel = `<dLbls><spPr><a:noFill></a:noFill></spPr><txPr><a:bodyPr wrap="none"></a:bodyPr><a:p><a:pPr><a:defRPr sz="900"><a:solidFill><a:srgbClr val="` + ink + `"></a:srgbClr></a:solidFill><a:latin typeface="` + face + `"></a:latin></a:defRPr></a:pPr><a:endParaRPr lang="en-US"></a:endParaRPr></a:p></txPr><dLblPos val="%s"></dLblPos><showLegendKey val="0"></showLegendKey><showVal val="0"></showVal><showCatName val="0"></showCatName><showSerName val="1"></showSerName><showPercent val="0"></showPercent><showBubbleSize val="0"></showBubbleSize></dLbls>`

// nameBeside gives named points their label: the library has none for charts of
// points.
func (d *drawing) nameBeside(part []byte) ([]byte, error) {
	const begins, values = "<ser>", "<xVal>"
	series := bytes.Split(part, []byte(begins))
	gone := ""
	for k, l := range d.lines {
		if l.point || l.unlabelled && (d.days || len(d.figure.Rug) > 0) {
			gone += fmt.Sprintf(`<legendEntry><idx val="%d"></idx><delete val="1"></delete></legendEntry>`, k)
		}
		if l.beside == "" {
			continue
		}
		if k+1 >= len(series) || bytes.Count(series[k+1], []byte(values)) != 1 {
			return nil, fmt.Errorf("workbook: the chart of %q has no room for the names of its points", d.figure.Title)
		}
		series[k+1] = bytes.Replace(series[k+1], []byte(values), fmt.Appendf(nil, nameLabel+values, l.beside), 1)
	}
	part = bytes.Join(series, []byte(begins))
	if gone == "" || !bytes.Contains(part, []byte("<legendPos")) {
		return part, nil
	}
	const ends = "</legendPos>"
	if !bytes.Contains(part, []byte(ends)) {
		return nil, fmt.Errorf("workbook: the chart of %q has no place for its legend", d.figure.Title)
	}
	return bytes.Replace(part, []byte(ends), []byte(ends+gone), 1), nil
}
