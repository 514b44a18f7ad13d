// Package format is the one place where a report's numbers become characters:
// every renderer rounds, names and escapes through it, so that the terminal, the
// page, the workbook's notes and the charts say the same. It also lists the
// numbers behind a figure as a table.
//
// It is not for computing: nothing here changes a number other than by rounding
// it for show, and machine-readable output does not pass through here.
package format

import (
	"math"
	"strconv"
	"strings"

	"gravid/analyze/report"
)

const (
	// Missing stands for a number, date or yes/no that nobody recorded.
	Missing = "–"
	// Unbounded stands for an infinite end of an interval.
	Unbounded = "no limit"
	// Minus is the sign of negative numbers: the width of a plus, and no place to break a line.
	Minus = "−"

	narrowSpace = "\u202f" // no-break; groups digits from five on, which no reader takes for a decimal sign
	hardSpace   = "\u00a0" // between a number and its per cent sign
)

// Number is x as format f shows it. NaN is Missing and an infinite x Unbounded.
//
//	Whole, Per100  whole numbers
//	Decimal        3 significant figures and at most 2 decimals; below 0.1, 2 significant figures
//	Ratio          2 significant figures; "< 0.001" and "> 1000" beyond
//	Share          whole per cent; "< 1 %" and "> 99 %" where rounding would say none or all
//	P              2 decimals from 0.1, else 3; "< 0.001" and "> 0.99" beyond
//	Yes            "yes" for anything but 0, else "no"
func Number(f report.Format, x float64) string {
	return number(f, x, decimals(f, x))
}

// number is Number with d decimals, where the format has decimals at all.
func number(f report.Format, x float64, d int) string {
	switch {
	case math.IsNaN(x):
		return Missing
	case math.IsInf(x, 0):
		return Unbounded
	}
	switch f {
	case report.Yes:
		if x != 0 {
			return "yes"
		}
		return "no"
	case report.P:
		return pValue(x)
	case report.Share:
		return share(x)
	case report.Ratio:
		return ratio(x, d)
	case report.Whole, report.Per100:
		return fixed(x, 0)
	}
	if x != 0 && math.Abs(x) < 0.001 {
		if x < 0 {
			return "> " + Minus + "0.001"
		}
		return "< 0.001"
	}
	return fixed(x, d)
}

// decimals is how many decimals format f gives a number of the size of x.
func decimals(f report.Format, x float64) int {
	a := math.Abs(x)
	switch f {
	case report.Decimal, report.Text, report.Day:
		switch {
		case a >= 99.95 || a == 0:
			return 0
		case a >= 9.995:
			return 1
		case a >= 0.0995:
			return 2
		case a >= 0.00995:
			return 3
		}
		return 4
	case report.Ratio:
		switch {
		case a >= 9.95 || a == 0:
			return 0
		case a >= 0.995:
			return 1
		case a >= 0.0995:
			return 2
		case a >= 0.00995:
			return 3
		}
		return 4
	}
	return 0
}

func pValue(p float64) string {
	switch {
	case p < 0.001:
		return "< 0.001"
	case p > 0.99:
		return "> 0.99"
	case p < 0.0995:
		return fixed(p, 3)
	}
	return fixed(p, 2)
}

func share(x float64) string {
	per := 100 * x
	unit := hardSpace + "%"
	switch {
	case per > 0 && per < 1:
		return "< 1" + unit
	case per > 99 && per < 100:
		return "> 99" + unit
	}
	return fixed(per, 0) + unit
}

func ratio(x float64, d int) string {
	switch {
	case x > 1000:
		return "> 1000"
	case x > 0 && x < 0.001:
		return "< 0.001"
	case x >= 100:
		return fixed(math.Round(x/10)*10, 0)
	}
	return fixed(x, d)
}

// fixed is x with d decimals, a typographic minus, groups of three digits from
// five on, and never a negative zero.
func fixed(x float64, d int) string {
	if math.Abs(x) >= 1e15 {
		return strings.Replace(strconv.FormatFloat(x, 'e', 2, 64), "-", Minus, 1)
	}
	s := rounded(math.Abs(x), d)
	whole, rest, _ := strings.Cut(s, ".")
	if len(whole) > 4 {
		whole = grouped(whole)
	}
	if rest != "" {
		rest = "." + rest
	}
	if x < 0 && strings.Trim(s, "0.") != "" {
		return Minus + whole + rest
	}
	return whole + rest
}

// rounded is a, 0 or more, with d decimals; a tie as it is written goes up, as
// spreadsheets and schools have it.
func rounded(a float64, d int) string {
	_, frac, _ := strings.Cut(strconv.FormatFloat(a, 'f', -1, 64), ".")
	if len(frac) == d+1 && frac[d] == '5' {
		a += math.Pow(10, -float64(d+2))
	}
	return strconv.FormatFloat(a, 'f', d, 64)
}

func grouped(digits string) string {
	first := len(digits) % 3
	if first == 0 {
		first = 3
	}
	parts := []string{digits[:first]}
	for i := first; i < len(digits); i += 3 {
		parts = append(parts, digits[i:i+3])
	}
	return strings.Join(parts, narrowSpace)
}

// Interval is an interval in words: "−3 to 21", "21 at most", "−3 at least",
// "no limit either way"; empty where an end is NaN.
func Interval(f report.Format, lo, hi float64) string {
	ends := Column([]report.Cell{report.N(f, lo), report.N(f, hi)})
	return interval(lo, hi, ends[0], ends[1])
}

func interval(lo, hi float64, low, high string) string {
	below, above := math.IsInf(lo, -1), math.IsInf(hi, 1)
	switch {
	case math.IsNaN(lo) || math.IsNaN(hi):
		return ""
	case below && above:
		return Unbounded + " either way"
	case below:
		return high + " at most"
	case above:
		return low + " at least"
	}
	return low + " to " + high
}

// Estimate is a number with its interval: "12 (2 to 21)".
func Estimate(f report.Format, x, lo, hi float64) string {
	s := Column([]report.Cell{report.N(f, x), report.N(f, lo), report.N(f, hi)})
	if i := interval(lo, hi, s[1], s[2]); i != "" {
		return s[0] + " (" + i + ")"
	}
	return s[0]
}

// Tick is the label of an axis at x, where ticks stand step apart: as many
// decimals as the step needs, powers of ten for the very small and large. A step of 0 leaves the number of decimals to x.
func Tick(f report.Format, x, step float64) string {
	unit := ""
	if f == report.Share {
		x, step, unit = 100*x, 100*step, hardSpace+"%"
	}
	if step == 0 {
		step = math.Abs(x)
	}
	if a := math.Abs(x); x != 0 && (step < 1e-5 || a >= 1e7) {
		return strings.ReplaceAll(strconv.FormatFloat(x, 'g', 3, 64), "-", Minus) + unit
	}
	d := 0
	for p := step; d < 9 && p > 0 && math.Abs(p-math.Round(p)) > 1e-6*p; p *= 10 {
		d++
	}
	return fixed(x, d) + unit
}

// AxisFormat is the format an axis shows its numbers in.
func AxisFormat(a report.Axis) report.Format {
	if a.Format == report.Text {
		return report.Decimal
	}
	return a.Format
}
