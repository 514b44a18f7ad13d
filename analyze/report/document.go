// Package report holds a report before it has a format: titled sections of
// prose, tables and figures, made of numbers rather than of formatted text.
// Renderers (text, json, workbook, page, chart) add layout and rounding and
// never a number of their own.
package report

import (
	"math"
	"time"
)

// A Document is a whole report.
type Document struct {
	Title    string
	Subtitle string
	Facts    []Fact // what was read and what was not; the first thing shown
	Sections []Section
	Terms    []Term   // how to read the report: the words it uses, explained once
	Cautions []string // welfare, law and "observations are not causes"
}

// A Term is a word of the report with its meaning, for example a verdict.
type Term struct {
	Word    string
	Meaning string
}

// A Fact is one key figure with its label.
type Fact struct {
	Label string
	Value Cell
	Note  string
}

// A Section is one part of a report; in a workbook, one sheet.
type Section struct {
	ID         string // short name without spaces, for links: "triggers"
	Title      string // in a workbook also the sheet's name: at most 31 characters, none of : \ / ? * [ ]
	Lead       string // the answer in words; may be empty
	Paragraphs []string
	Tables     []Table
	Figures    []Figure
	Technical  bool // shown on demand only
}

// A Table is a titled grid. Each row has one cell a column.
type Table struct {
	ID      string
	Title   string
	Note    string
	Columns []Column
	Rows    [][]Cell
}

// A Column describes one column of a Table.
type Column struct {
	Name   string
	Unit   string // as people read it: "°C", "hPa", "days", "per 100 attempts"; empty for none
	Help   string // what it means, one sentence
	Format Format
	Key    bool // names the row: stays in view when scrolling
}

// Format says what kind of value a cell or column holds, so that a renderer can
// align and round it.
type Format int

const (
	Text    Format = iota
	Whole          // a count
	Decimal        // a measured number: up to 2 decimals, 3 significant figures
	Share          // a fraction 0..1 shown in per cent
	Per100         // a number out of 100, whole
	P              // a p-value
	Day            // a calendar date
	Yes            // true or false
	Ratio          // an odds ratio: 2 significant figures
)

// A Cell is one value. The zero Cell is empty.
type Cell struct {
	Format Format
	Text   string    // Text; for other formats a remark shown after the value, usually empty
	Number float64   // all numeric formats; Yes: 1 or 0; NaN = not known
	Time   time.Time // Day
	Link   string    // where it leads: see ParseLink; a path that it refuses is shown as text alone
	Empty  bool      // nothing recorded
}

// T makes a text cell.
func T(s string) Cell { return Cell{Format: Text, Text: s, Empty: s == ""} }

// N makes a numeric cell of format f; NaN makes an empty one. Infinite values
// stay: a renderer shows them as "no limit".
func N(f Format, x float64) Cell { return Cell{Format: f, Number: x, Empty: math.IsNaN(x)} }

// I makes a whole-number cell.
func I(n int) Cell { return N(Whole, float64(n)) }

// D makes a date cell; the zero time makes an empty one.
func D(t time.Time) Cell { return Cell{Format: Day, Time: t, Empty: t.IsZero()} }

// FigureKind says how a Figure is drawn.
type FigureKind int

const (
	// Forest: one row a point, Label on the left, X with its interval XLo..XHi.
	Forest FigureKind = iota
	// Steps: Y against X as steps that run right until the next point, with a
	// band YLo..YHi. Survival and incidence.
	Steps
	// Curve: Y against X joined, with a band YLo..YHi.
	Curve
	// Bars: Y a Label or a bin, from 0.
	Bars
	// Dots: Y against X unjoined, with intervals where given.
	Dots
	// Funnel: the first series unjoined and named by its labels, Y against X; every
	// series behind it is a pair of limits YLo..YHi against X, drawn as two lines. What
	// lies beyond an end that an axis states is not drawn.
	Funnel
	// Calendar: X counts days, DayNumber of each. A series without a Strip is a row of
	// marks, one a point, taller where N says several. Series with a Strip are drawn Y
	// against X below the rows, those of equal Strips on one scale, with a band YLo..YHi;
	// points of neighbouring days are joined. The X axis runs from Min to before Max.
	Calendar
)

// DayNumber is a date as a number: days since 1970-01-01, by the date that t shows.
func DayNumber(t time.Time) float64 {
	y, m, d := t.Date()
	return float64(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// DayOf is the date of a DayNumber, at midnight UTC.
func DayOf(x float64) time.Time { return time.Unix(int64(math.Floor(x))*86400, 0).UTC() }

// A Figure is a plot as numbers.
type Figure struct {
	ID      string
	Kind    FigureKind
	Title   string // what the reader should see: a sentence
	Caption string
	Records string // the part of the document that holds the records behind it, as "#section/table"; empty for none
	Alt     string // the content in words for those who cannot see it
	X, Y    Axis
	Series  []Series
	MarksX  []Mark // reference lines, for example 0, or the worth-acting margin
	MarksY  []Mark
	Rug     []RugMark  // of a Curve: the records behind it, at the edges of the plot
	Below   []CountRow // of Steps: counts below the X axis, such as how many are at risk
}

// A RugMark is how many records without and with the outcome there are at one X. Those
// without stand at the lower edge of the plot, those with it at the upper one.
type RugMark struct {
	X             float64
	Without, With int
}

// A CountRow is a named row of counts, one at each X.
type CountRow struct {
	Name string
	X    []float64
	N    []int
}

// An Axis is one axis of a Figure. Min and Max both 0 mean: from the numbers.
type Axis struct {
	Label    string
	Unit     string
	Format   Format // how its numbers are shown; Text, the zero value, means Decimal
	Min, Max float64
	Log      bool
}

// A Series is one set of points drawn alike.
type Series struct {
	Name   string
	Points []Point

	// For a Calendar alone:
	Strip    Axis // what Y is; a zero Label makes the series a row of marks
	Unjoined bool // in a strip: points by themselves
	Behind   bool // a row of marks that also shades its days behind everything
}

// A Point is one drawn value. Intervals that are NaN are not drawn; infinite
// ones run to the edge with an arrow.
type Point struct {
	Label    string
	X, Y     float64
	XLo, XHi float64
	YLo, YHi float64
	N        int    // records behind it; 0 = not stated
	Note     string // shown beside it, for example the verdict
	Faint    bool   // the records can't tell: drawn lighter and hollow
}

// At makes a point at x, y without intervals.
func At(label string, x, y float64) Point {
	nan := math.NaN()
	return Point{Label: label, X: x, Y: y, XLo: nan, XHi: nan, YLo: nan, YHi: nan}
}

// A Mark is a reference line.
type Mark struct {
	At    float64
	Label string
}
