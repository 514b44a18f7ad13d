package cell

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/problem"
	"gravid/ingest/source"
	"gravid/ingest/unit"
)

func exact(v float64) Number { return Number{Low: v, High: v, Value: v} }

func TestParseNumber(t *testing.T) {
	with := func(n Number, change func(*Number)) Number { change(&n); return n }
	unitOf := func(n Number, text string) Number { n.Unit = text; return n }
	for _, c := range []struct {
		text string
		d    Decimal
		want Number
	}{
		// one mark that can only be decimal
		{"24.5", Open, exact(24.5)}, {"24,5", Open, exact(24.5)}, {"0.200", Open, exact(0.2)}, {"0,200", Open, exact(0.2)}, {".5", Open, exact(0.5)},
		{"1013.250", Open, exact(1013.25)}, {"6,8", Comma, exact(6.8)}, {"-2.5", Open, exact(-2.5)}, {"−2.5", Open, exact(-2.5)}, {"–6", Open, exact(-6)}, {"+3", Open, exact(3)},
		{"7", Open, exact(7)}, {"05", Open, exact(5)}, {"0", Comma, exact(0)}, {"-0", Open, exact(0)}, {"24.6789", Point, exact(24.6789)},
		// both marks, the same mark twice, spaces and apostrophes (B6.1)
		{"1.234,5", Open, exact(1234.5)}, {"1,234.5", Open, exact(1234.5)}, {"1.234.567", Open, exact(1234567)}, {"1,234,567", Comma, exact(1234567)},
		{"1 200", Open, exact(1200)}, {"1\u00a0200", Open, exact(1200)}, {"1\u202f200,5", Comma, exact(1200.5)}, {"1'200", Open, exact(1200)}, {"1’200.5", Open, exact(1200.5)},
		// one mark and three digits: the column decides (D10)
		{"1.200", Point, exact(1.2)}, {"1.200", Comma, exact(1200)}, {"1,200", Point, exact(1200)}, {"1,200", Comma, exact(1.2)}, {"12.000", Comma, exact(12000)},
		// D30
		{"24-26", Open, Number{Low: 24, High: 26, Value: 25, Range: true}}, {"24 – 26", Open, Number{Low: 24, High: 26, Value: 25, Range: true}},
		{"24 to 26", Open, Number{Low: 24, High: 26, Value: 25, Range: true}}, {"24..26", Open, Number{Low: 24, High: 26, Value: 25, Range: true}},
		{"24 bis 26 °C", Open, Number{Low: 24, High: 26, Value: 25, Range: true, Unit: "°C"}}, {"24°C-26°C", Open, Number{Low: 24, High: 26, Value: 25, Range: true, Unit: "°C"}},
		{"-5 to -3", Open, Number{Low: -5, High: -3, Value: -4, Range: true}}, {"24,5-25,5", Comma, Number{Low: 24.5, High: 25.5, Value: 25, Range: true}},
		{"24 ± 0.5", Open, Number{Low: 23.5, High: 24.5, Value: 24, Range: true}},
		{"~200", Open, with(exact(200), func(n *Number) { n.Approx = true })}, {"ca. 200", Open, with(exact(200), func(n *Number) { n.Approx = true })},
		{"about 200", Open, with(exact(200), func(n *Number) { n.Approx = true })}, {"etwa 200", Open, with(exact(200), func(n *Number) { n.Approx = true })},
		{"env. 200", Open, with(exact(200), func(n *Number) { n.Approx = true })}, {"unos 200", Open, with(exact(200), func(n *Number) { n.Approx = true })},
		{"200 est.", Open, with(exact(200), func(n *Number) { n.Approx = true })},
		{">300", Open, with(exact(300), func(n *Number) { n.AtLeast = true })}, {"200+", Open, with(exact(200), func(n *Number) { n.AtLeast = true })},
		{"between 60 and 80", Open, Number{Low: 60, High: 80, Value: 70, Range: true}}, {"entre 60 et 80", Open, Number{Low: 60, High: 80, Value: 70, Range: true}},
		{"80ish", Open, with(exact(80), func(n *Number) { n.Approx = true })}, {"mind. 30", Open, with(exact(30), func(n *Number) { n.AtLeast = true })},
		{"at least 300", Open, with(exact(300), func(n *Number) { n.AtLeast = true })}, {"über 300", Open, with(exact(300), func(n *Number) { n.AtLeast = true })},
		{"plus de 300", Open, with(exact(300), func(n *Number) { n.AtLeast = true })}, {"> ca. 300", Open, with(exact(300), func(n *Number) { n.AtLeast, n.Approx = true, true })},
		{"<5", Open, with(exact(5), func(n *Number) { n.AtMost = true })}, {"up to 5", Open, with(exact(5), func(n *Number) { n.AtMost = true })}, {"hasta 5", Open, with(exact(5), func(n *Number) { n.AtMost = true })},
		{"6.5 pH", Open, unitOf(exact(6.5), "pH")}, {"78F", Open, unitOf(exact(78), "F")}, {"93%", Open, unitOf(exact(93), "%")}, {"24°", Open, exact(24)}, {"20 mg/l CaCO3", Open, unitOf(exact(20), "mg/l CaCO3")},
		{"24.5 (heater off)", Open, with(exact(24.5), func(n *Number) { n.Remark = "heater off" })}, {"150 (approx)", Open, with(exact(150), func(n *Number) { n.Remark, n.Approx = "approx", true })},
	} {
		n, fault := ParseNumber(c.text, c.d)
		require.Nil(t, fault, "%q in a column with %s: %v", c.text, c.d, fault)
		require.Equal(t, c.want, n, "%q in a column with %s", c.text, c.d)
	}
}

func TestParseNumberRefuses(t *testing.T) {
	for _, c := range []struct {
		text string
		d    Decimal
		code problem.Code
	}{
		{"1.200", Open, problem.NumberOpen}, {"1,200", Open, problem.NumberOpen}, {"24.500 °C", Open, problem.NumberOpen}, {"1.200-1.300", Open, problem.NumberOpen}, // D11
		{"24,5", Point, problem.NumberUnreadable}, {"24.5", Comma, problem.NumberUnreadable}, {"1.234,5", Point, problem.NumberUnreadable}, // against the column
		// D31 and the end of B6.1
		{"10/12", Open, problem.NumberUnreadable}, {"26-24", Open, problem.NumberRange}, {"twenty", Open, problem.NumberUnreadable}, {"1,2,3", Open, problem.NumberUnreadable},
		{"NaN", Open, problem.NumberUnreadable}, {"Inf", Open, problem.NumberUnreadable}, {"-Inf", Open, problem.NumberUnreadable}, {"1e999", Open, problem.NumberUnreadable}, {"1e5", Open, problem.NumberUnreadable},
		{"24 . 5", Open, problem.NumberUnreadable}, {"0x1F", Open, problem.NumberUnreadable}, {"12:30", Open, problem.NumberUnreadable},
		// D33
		{"２４", Open, problem.NumberUnreadable}, {"٢٤", Open, problem.NumberUnreadable}, {"2４", Open, problem.NumberUnreadable},
		// others that more lenient readers misread
		{"pH 6.5", Open, problem.NumberUnreadable}, {"24 -> 21", Open, problem.NumberUnreadable}, {"24 → 21", Open, problem.NumberUnreadable}, {"24 -26", Open, problem.NumberUnreadable}, {"-5--3", Open, problem.NumberUnreadable},
		{"0730", Open, problem.NumberUnreadable}, {"007", Open, problem.NumberUnreadable}, {"1 20", Open, problem.NumberUnreadable}, {"1.20.300", Open, problem.NumberUnreadable}, {"24.5 200", Open, problem.NumberUnreadable},
		{"5.", Open, problem.NumberUnreadable}, {"1-2-3", Open, problem.NumberUnreadable}, {"24C-75F", Open, problem.NumberUnreadable}, {"200+300", Open, problem.NumberUnreadable}, {"- 6", Open, problem.NumberUnreadable},
		{"", Open, problem.NumberUnreadable}, {"9999999999999999", Open, problem.NumberUnreadable}, {strings.Repeat("9", 400), Open, problem.NumberUnreadable}, {"(150)", Open, problem.NumberUnreadable},
		{">5-7", Open, problem.NumberUnreadable}, {"01.200", Comma, problem.NumberUnreadable},
	} {
		n, fault := ParseNumber(c.text, c.d)
		require.NotNil(t, fault, "%q in a column with %s was read as %v", c.text, c.d, n)
		require.Equal(t, c.code, fault.Code, "%q: %s", c.text, fault.Message)
		require.NotEmpty(t, fault.Message)
		require.Equal(t, Number{}, n)
	}
}

func TestDecideDecimal(t *testing.T) {
	for _, c := range []struct {
		samples []string
		want    Decimal
	}{
		{[]string{"24,5", "1.200", "n/a"}, Comma}, // D10
		{[]string{"1,200"}, Open},                 // D11
		{[]string{"24.5", "25"}, Point}, {[]string{"25"}, Open}, {nil, Open},
		{[]string{"24.5", "24,5"}, Open}, // contradiction: each cell on its own
		{[]string{"1.234.567"}, Comma}, {[]string{"1,234.5"}, Point}, {[]string{"24,5-25,5 °C"}, Comma},
		{[]string{"3.4.24", "10/12", "7.30 or so, 12"}, Open}, // no numbers, no votes
	} {
		require.Equal(t, c.want, DecideDecimal(slices.Values(c.samples)), "%v", c.samples)
	}
	for _, d := range []Decimal{Point, Comma} {
		again, ok := ParseDecimal(d.String())
		require.True(t, ok)
		require.Equal(t, d, again)
	}
	_, ok := ParseDecimal("open")
	require.False(t, ok)
}

func text(s string) source.Cell { return source.Cell{Kind: source.Text, Text: s} }

func TestNumberOfStoredCells(t *testing.T) {
	n, fault := NumberOf(source.Cell{Kind: source.Number, Number: 24.6789, Text: "24.6789", Unit: "°C"}, Comma)
	require.Nil(t, fault)
	require.Equal(t, Number{Low: 24.6789, High: 24.6789, Value: 24.6789, Unit: "°C"}, n.V) // D36
	for _, missing := range []source.Cell{{}, text(" "), text("n/a"), text("k.A."), text("-"), text("?")} {
		n, fault := NumberOf(missing, Open)
		require.Nil(t, fault)
		require.False(t, n.OK)
	}
	for _, c := range []struct {
		cell source.Cell
		code problem.Code
	}{
		{source.Cell{Kind: source.Date, Time: time.Date(2024, 4, 3, 0, 0, 0, 0, time.UTC)}, problem.NumberUnreadable}, // D25
		{source.Cell{Kind: source.Clock, Number: 0.5}, problem.NumberUnreadable},
		{source.Cell{Kind: source.Bool, Number: 1}, problem.NumberUnreadable},
		{source.Cell{Kind: source.Fault, Text: "#REF!"}, problem.CellError}, {source.Cell{Kind: source.Formula, Formula: "A1*2"}, problem.FormulaEmpty}, // D35
		{source.Cell{Kind: source.Number, Number: math.NaN()}, problem.NumberUnreadable}, {source.Cell{Kind: source.Number, Number: math.Inf(1)}, problem.NumberUnreadable},
	} {
		n, fault := NumberOf(c.cell, Open)
		require.NotNil(t, fault)
		require.Equal(t, c.code, fault.Code)
		require.False(t, n.OK)
	}
}

func TestMeasureOf(t *testing.T) {
	for _, c := range []struct {
		text string
		q    unit.Quantity
		v    float64
		code string // of the unit
	}{
		{"78F", unit.Temperature, 78, "[degF]"}, // D30: in a °C column
		{"24,5 °C", unit.Temperature, 24.5, "Cel"}, {"24", unit.Temperature, 24, ""}, {"24°", unit.Temperature, 24, ""},
		{"6.5 pH", unit.Acidity, 6.5, "[pH]"}, {"pH 6.5", unit.Acidity, 6.5, ""}, {"pH: 6,5", unit.Acidity, 6.5, ""}, // D30
		{"29.92 inHg", unit.Pressure, 29.92, "[in_i'Hg]"}, {"93%", unit.Share, 93, "%"}, {"8 °dH", unit.GH, 8, "10.mg{CaO}/L"},
		{"0 °C", unit.TempDiff, 0, "K"}, {"0", unit.Share, 0, ""},
	} {
		m, fault := MeasureOf(text(c.text), c.q, Open)
		require.Nil(t, fault, "%q: %v", c.text, fault)
		require.Equal(t, c.v, m.V.Value, c.text)
		require.Equal(t, c.code, m.V.In.Code, c.text)
	}
	for _, c := range []struct {
		text string
		q    unit.Quantity
		code problem.Code
	}{
		{"120 ppm", unit.Conductivity, problem.UnitUnknown}, {"20 L", unit.Share, problem.UnitUnknown}, {"24 then dropped", unit.Temperature, problem.UnitUnknown}, {"24 dH", unit.Temperature, problem.UnitUnknown},
		{"0", unit.Temperature, problem.ZeroNotPossible}, {"0", unit.Acidity, problem.ZeroNotPossible}, {"0 hPa", unit.Pressure, problem.ZeroNotPossible},
		{"pH 6.5", unit.Temperature, problem.NumberUnreadable}, {"5 x", unit.None, problem.UnitUnknown}, {"pH", unit.Acidity, problem.NumberUnreadable},
	} {
		_, fault := MeasureOf(text(c.text), c.q, Open)
		require.NotNil(t, fault, c.text)
		require.Equal(t, c.code, fault.Code, "%q: %s", c.text, fault.Message)
	}
}

func TestParseCount(t *testing.T) {
	for _, c := range []struct {
		text string
		d    Decimal
		noun Noun
		want Count
	}{
		{"120", Open, Eggs, Count{Value: 120, Low: 120, High: 120}}, {"120 eggs", Open, Eggs, Count{Value: 120, Low: 120, High: 120}}, {"120 Stück", Open, Eggs, Count{Value: 120, Low: 120, High: 120}},
		{"~200", Open, Eggs, Count{Value: 200, Low: 200, High: 200, Approx: true}}, {"100-150", Open, Eggs, Count{Value: 125, Low: 100, High: 150, Range: true}}, {"100-151", Open, Eggs, Count{Value: 125, Low: 100, High: 151, Range: true}},
		{"200+", Open, Eggs, Count{Value: 200, Low: 200, High: 200, AtLeast: true}}, {"<50", Open, Eggs, Count{Value: 50, Low: 50, High: 50, AtMost: true}},
		{"1.200", Comma, Eggs, Count{Value: 1200, Low: 1200, High: 1200}}, // D10
		{"0", Open, Eggs, Count{}}, {"3 ♀", Open, Females, Count{Value: 3, Low: 3, High: 3}}, {"5.0", Open, Fish, Count{Value: 5, Low: 5, High: 5}},
	} {
		n, fault := ParseCount(c.text, c.d, c.noun)
		require.Nil(t, fault, "%q: %v", c.text, fault)
		require.Equal(t, c.want, n, c.text)
	}
	for _, c := range []struct {
		text string
		d    Decimal
		code problem.Code
	}{
		{"none", Open, problem.CountWord}, {"keine", Open, problem.CountWord}, {"few", Open, problem.CountWord}, {"ein paar", Open, problem.CountWord}, {"beaucoup", Open, problem.CountWord}, {"Handvoll", Open, problem.CountWord}, {"hundreds", Open, problem.CountWord},
		{"twenty", Open, problem.CountWord}, {"1.200", Open, problem.NumberOpen}, {"1.200", Point, problem.NumberUnreadable}, {"24.5", Open, problem.NumberUnreadable}, {"-3", Open, problem.NumberUnreadable},
		{"80%", Open, problem.NumberUnreadable}, {"30 fry", Open, problem.UnitUnknown}, {"100/150", Open, problem.NumberUnreadable}, {"1k", Open, problem.UnitUnknown}, {"150-100", Open, problem.NumberRange},
	} {
		_, fault := ParseCount(c.text, c.d, Eggs)
		require.NotNil(t, fault, c.text)
		require.Equal(t, c.code, fault.Code, "%q: %s", c.text, fault.Message)
		_, fault = CountOf(text(c.text), c.d, Eggs)
		require.NotNil(t, fault, c.text)
		require.Equal(t, c.code, fault.Code, "%q: %s", c.text, fault.Message)
	}
	n, fault := CountOf(text("n/a"), Open, Eggs)
	require.Nil(t, fault)
	require.False(t, n.OK)
	n, fault = CountOf(source.Cell{Kind: source.Number, Number: 42}, Open, Eggs)
	require.Nil(t, fault)
	require.Equal(t, int64(42), n.V.Value)
	_, fault = CountOf(source.Cell{Kind: source.Date, Time: time.Date(2024, 4, 3, 0, 0, 0, 0, time.UTC)}, Open, Eggs) // D25: 3-4 turned into a date
	require.NotNil(t, fault)
	require.Contains(t, fault.Message, "3-4")
}

func TestIsMissing(t *testing.T) {
	for _, s := range []string{"", " ", "-", "--", "—", "–", ".", "?", "??", "n/a", "N/A", "na", "#N/A", "nan", "null", "nil", "none", "unknown", "unk", "not recorded", "nr", "nd", "tbd", "k.A.", "keine Angabe", "s/d", "inconnu", "n.b.", "NC", "o.A.", "unb.", "desconocido", "\u00a0"} {
		require.True(t, IsMissing(s), s)
	}
	for _, s := range []string{"0", "no", "nein", "x", "+", "few", "kA", "sd", "nob", "A", "-5", "unknown species of fish in the tank over there"} {
		require.False(t, IsMissing(s), s)
	}
}

// Whatever is read from a column with a decimal point is written so that it is
// read the same again.
func FuzzParseNumber(f *testing.F) {
	for _, s := range []string{"24.5", "1.234,5", "~200", "24-26 °C", ">300", "200+", "6.5 pH (strip)", "24±0.5", "1 200", "pH 6.5", "10/12", "-5 to -3", "24°C-26°C", "1'200", "٢٤", "> ca. 300 (est)"} {
		for d := range uint8(3) {
			f.Add(s, d)
		}
	}
	f.Fuzz(func(t *testing.T, s string, mark uint8) {
		n, fault := ParseNumber(s, Decimal(mark%3))
		if fault != nil {
			require.Equal(t, Number{}, n, "a fault comes without a value")
			require.NotEmpty(t, fault.Message)
			return
		}
		for _, v := range []float64{n.Low, n.High, n.Value} {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0))
		}
		require.LessOrEqual(t, n.Low, n.High)
		again, fault := ParseNumber(n.String(), Point)
		require.Nil(t, fault, "%q was written as %q: %v", s, n.String(), fault)
		require.InDelta(t, n.Value, again.Value, 1e-9*max(1, math.Abs(n.Low), math.Abs(n.High))) // the middle of a ± is worked out anew
		again.Value = n.Value
		require.Equal(t, n, again, "%q was written as %q", s, n.String())
	})
}

func BenchmarkParseNumber(b *testing.B) {
	for _, s := range []string{"24.5", "1013.25", "24,5", "~200 eggs (est)"} {
		b.Run(s, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				ParseNumber(s, Open)
			}
		})
	}
}

// Common practice, no source: how keepers write how much water they changed.
func TestPartsOfAWhole(t *testing.T) {
	for text, want := range map[string]float64{"1/3": 100. / 3, "half": 50, "die Hälfte": 50, "un quart": 25, "¼": 25, "dos tercios": 200. / 3, "1 / 2": 50, "3/4": 75, "30 %": 30} {
		m, fault := MeasureOf(source.Cell{Kind: source.Text, Text: text}, unit.Share, Open)
		require.Nil(t, fault, text)
		require.True(t, m.OK, text)
		require.InDelta(t, want, unit.ToCanonical(m.V.Value, m.V.In), 1e-9, text)
	}
	for _, text := range []string{"3/2", "0/3", "1/0", "2/2", "half of it or so", "1/3/4"} {
		_, fault := MeasureOf(source.Cell{Kind: source.Text, Text: text}, unit.Share, Open)
		require.NotNil(t, fault, text)
	}
	_, fault := MeasureOf(source.Cell{Kind: source.Text, Text: "1/3"}, unit.Temperature, Open)
	require.NotNil(t, fault, "elsewhere it is no part of anything")
}
