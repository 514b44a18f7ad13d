package source

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/nfp"
)

func TestFormatKinds(t *testing.T) {
	type want struct {
		kind  Kind
		text  string
		unit  string
		value float64
	}
	for code, w := range map[string]want{
		"General":                     {Number, "45355.8125", "", 45355.8125},
		"0":                           {Number, "45355.8125", "", 45355.8125},
		"0.00":                        {Number, "45355.8125", "", 45355.8125},
		"#,##0.00":                    {Number, "45355.8125", "", 45355.8125},
		"0%":                          {Number, "4535581.25", "%", 4535581.25},
		`0.0\ %`:                      {Number, "4535581.25", "%", 4535581.25},
		`0.0"%"`:                      {Number, "45355.8125", "%", 45355.8125},
		`0.0" °C"`:                    {Number, "45355.8125", "°C", 45355.8125},
		`0.0\ °C`:                     {Number, "45355.8125", "°C", 45355.8125},
		`0.0" ºC"`:                    {Number, "45355.8125", "°C", 45355.8125},
		`General" eggs"`:              {Number, "45355.8125", "eggs", 45355.8125},
		`[Red]0.0" µS/cm";[Blue]-0.0`: {Number, "45355.8125", "µS/cm", 45355.8125},
		`[>=1000]0.0," mS";0" µS"`:    {Number, "45.3558125", "mS", 45.3558125},
		`[<1000]0" µS";0.0," mS"`:     {Number, "45.3558125", "mS", 45.3558125},
		`0.0,`:                        {Number, "45355.8125", "", 45355.8125},
		`"pH "0.0`:                    {Number, "45355.8125", "pH", 45355.8125},
		`"ca. "0" cm"`:                {Number, "45355.8125", "ca. cm", 45355.8125},
		`+0.0;-0.0;0`:                 {Number, "45355.8125", "", 45355.8125},
		`_-* #,##0.00\ [$€-407]_-`:    {Number, "45355.8125", "€", 45355.8125},
		`_(* #,##0_);_(* (#,##0)`:     {Number, "45355.8125", "", 45355.8125},
		"0.00E+00":                    {Number, "45355.8125", "", 45355.8125},
		"# ?/?":                       {Number, "45355.8125", "", 45355.8125},
		"0.0 h":                       {Number, "45355.8125", "h", 45355.8125},
		`0" d"`:                       {Number, "45355.8125", "d", 45355.8125},
		"@":                           {Number, "45355.8125", "", 45355.8125},
		`"yes";;"no"`:                 {Number, "45355.8125", "", 45355.8125},
		`"TRUE";"TRUE";"FALSE"`:       {Bool, "TRUE", "", 1},
		"yyyy-mm-dd":                  {Instant, "2024-03-04T19:30:00", "", 0},
		`yyyy\-mm\-dd`:                {Instant, "2024-03-04T19:30:00", "", 0},
		"d-mmm":                       {Instant, "2024-03-04T19:30:00", "", 0},
		"mm-dd-yy":                    {Instant, "2024-03-04T19:30:00", "", 0},
		`[$-407]d/\ mmmm\ yyyy;@`:     {Instant, "2024-03-04T19:30:00", "", 0},
		`[$-F800]dddd, mmmm dd, yyyy`: {Instant, "2024-03-04T19:30:00", "", 0},
		"m/d/yy h:mm":                 {Instant, "2024-03-04T19:30:00", "", 0},
		`yyyy"年"m"月"d"日"`:             {Instant, "2024-03-04T19:30:00", "", 0},
		"mmm-yy":                      {Instant, "2024-03-04T19:30:00", "", 0},
		"h:mm":                        {Instant, "2024-03-04T19:30:00", "", 0},
		"h:mm AM/PM":                  {Instant, "2024-03-04T19:30:00", "", 0},
		"mm:ss.0":                     {Instant, "2024-03-04T19:30:00", "", 0},
		"[h]:mm":                      {Span, "1088539:30:00", "", 45355.8125},
		"[mm]:ss":                     {Span, "1088539:30:00", "", 45355.8125},
		"[ss]":                        {Span, "1088539:30:00", "", 45355.8125},
	} {
		s := readSerial(45355.8125, parseFormat(code), 0)
		require.Equal(t, w, want{s.kind, string(s.appendValue(nil)), s.unit, s.number}, code)
	}
}

func TestFormatSections(t *testing.T) {
	f := parseFormat(`0" up";0" down";0" none"`)
	for v, unit := range map[float64]string{2: "up", -2: "down", 0: "none"} {
		require.Equal(t, unit, f.section(v).unit, "%v", v)
	}
	f = parseFormat(`[<1]0" small";[<=10]0" fair";0" large"`)
	for v, unit := range map[float64]string{0.5: "small", -3: "small", 10: "fair", 11: "large"} {
		require.Equal(t, unit, f.section(v).unit, "%v", v)
	}
	f = parseFormat(`0" any"`)
	for _, v := range []float64{1, 0, -1} {
		require.Equal(t, "any", f.section(v).unit)
	}
	require.Len(t, parseFormat(`0;0;0;@" x";0;0`).sections, 4)
}

func TestFormatParts(t *testing.T) {
	for code, want := range map[string][4]bool{
		"yyyy-mm-dd":       {true, true, true, false},
		"mmm-yy":           {true, true, false, false},
		"mmmm yyyy":        {true, true, false, false},
		"yyyy":             {true, false, false, false},
		"d-mmm":            {false, true, true, false},
		"ddd hh:mm":        {false, false, false, true},
		"m/d/yy h:mm":      {true, true, true, true},
		"mm:ss":            {false, false, false, true},
		"h:m:s":            {false, false, false, true},
		"hh:mm AM/PM":      {false, false, false, true},
		"mm":               {false, true, false, false},
		"dddd, d. mmm":     {false, true, true, false},
		`yyyy\Thh:mm`:      {true, false, false, true},
		"General":          {},
		"0.0":              {},
		`"day"`:            {},
		"[h]:mm":           {false, false, false, true},
		"[$-411]ggge\"年\"": {true, false, false, false},
	} {
		year, month, day, clock := FormatParts(code)
		require.Equal(t, want, [4]bool{year, month, day, clock}, code)
	}
}

// The other library in the build for number formats must agree on which formats
// are for dates and times, and on which show a percentage.
func TestFormatsAgainstAnotherTokeniser(t *testing.T) {
	for _, code := range []string{
		"General", "0", "0.00", "#,##0", "0%", "0.00%", "0.00E+00", "# ?/?", "mm-dd-yy", "d-mmm-yy", "d-mmm", "mmm-yy", "h:mm AM/PM",
		"h:mm:ss", "m/d/yy h:mm", "mm:ss", "[h]:mm:ss", "mm:ss.0", "@", `yyyy\-mm\-dd`, `[$-407]d/\ mmmm\ yyyy`, `0.0" °C"`, `[Red]-0.0`,
		`0.0\ "mS/cm"`, `_-* #,##0.00\ [$€-407]_-`, "[$-F800]dddd, mmmm dd, yyyy", "yyyy-mm-ddThh:mm", `"day "0`, "[mm]:ss", "dd/mm/yyyy;@",
	} {
		parser := nfp.NumberFormatParser()
		var dates, percent bool
		for _, token := range parser.Parse(code)[0].Items {
			dates = dates || token.TType == nfp.TokenTypeDateTimes || token.TType == nfp.TokenTypeElapsedDateTimes
			percent = percent || token.TType == nfp.TokenTypePercent
		}
		s := parseFormat(code).sections[0]
		require.Equal(t, dates, s.kind == dateFormat || s.kind == clockFormat || s.kind == elapsedFormat, code)
		require.Equal(t, percent, s.percent > 0, code)
	}
}

func TestConditions(t *testing.T) {
	for condition, want := range map[string][3]bool{ // for 1, 2 and 3
		"<2": {true, false, false}, "<=2": {true, true, false}, ">2": {false, false, true}, ">=2": {false, true, true}, "=2": {false, true, false}, "<>2": {true, false, true},
	} {
		f := parseFormat("[" + condition + `]0" yes";0" no"`)
		for i, yes := range want {
			require.Equal(t, map[bool]string{true: "yes", false: "no"}[yes], f.section(float64(i+1)).unit, "%s, %d", condition, i+1)
		}
	}
}

// Every built-in format is what its code in ECMA-376 says it is.
func TestBuiltinFormatsByKind(t *testing.T) {
	dates := map[int]formatKind{18: clockFormat, 19: clockFormat, 20: clockFormat, 21: clockFormat, 45: clockFormat, 46: elapsedFormat, 47: clockFormat}
	for _, id := range []int{14, 15, 16, 17, 22, 27, 28, 29, 30, 31, 36, 50, 51, 52, 53, 54, 57, 58} {
		dates[id] = dateFormat
	}
	for _, id := range []int{32, 33, 34, 35} {
		dates[id] = clockFormat
	}
	for id := range 100 {
		s := parseFormat(builtinFormat(id)).sections[0]
		require.Equal(t, dates[id], s.kind, "%d", id)
		require.Equal(t, id == 9 || id == 10, s.percent == 1, "%d", id)
	}
}

func TestBuiltinFormats(t *testing.T) {
	for id, kind := range map[int]Kind{0: Number, 1: Number, 10: Number, 14: Instant, 17: Instant, 20: Instant, 22: Instant, 31: Instant, 33: Instant, 46: Span, 47: Instant, 49: Number, 57: Instant, 99: Number} {
		require.Equal(t, kind, readSerial(45355.8125, parseFormat(builtinFormat(id)), 0).kind, "%d", id)
	}
}

// FuzzFormat holds that any code can be parsed, that no unit has spaces at its
// ends, and that a section never has a negative scale.
func FuzzFormat(f *testing.F) {
	for _, code := range []string{`0.0" °C"`, `[h]:mm;@`, `_-* #,##0\ [$€-407]_-`, "[", `"`, `\`, "_", "*", "0,,%", "[>=]0", "ä0ä"} {
		f.Add(code)
	}
	f.Fuzz(func(t *testing.T, code string) {
		parsed := parseFormat(code)
		require.NotEmpty(t, parsed.sections)
		for _, s := range parsed.sections {
			require.Equal(t, strings.TrimSpace(s.unit), s.unit)
			require.GreaterOrEqual(t, s.thousand, 0)
		}
		for _, v := range []float64{0, 1, -1, 45355.8125, 1e300} {
			s := readSerial(v, parsed, 0)
			require.NotEmpty(t, s.appendValue(nil))
		}
	})
}
