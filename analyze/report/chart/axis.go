package chart

import (
	"math"

	"gravid/analyze/report"
	"gravid/analyze/report/format"
)

// A placed label stands in one of several rows, so that none touches another.
type placed struct {
	x   float64 // its middle
	row int
	s   string
}

// markLabels places the labels of upright reference lines above the plot.
func markLabels(marks []report.Mark, scale format.Scale, x func(float64) float64, width float64) []placed {
	var out []placed
	var ends []float64 // by row: where its last label ends
	for _, i := range byPlace(marks) {
		m := marks[i]
		if m.Label == "" || scale.Beyond(m.At) != 0 || math.IsNaN(m.At) {
			continue
		}
		s := format.Printable(m.Label)
		w := min(textWidth(s), width)
		middle := min(max(x(m.At), w/2), width-w/2)
		row := 0
		for row < len(ends) && middle-w/2 < ends[row]+10 {
			row++
		}
		if row == len(ends) {
			ends = append(ends, 0)
		}
		ends[row] = middle + w/2
		out = append(out, placed{middle, row, s})
	}
	return out
}

func byPlace(marks []report.Mark) []int {
	order := make([]int, len(marks))
	for i := range order {
		order[i] = i
		for j := i; j > 0 && marks[order[j]].At < marks[order[j-1]].At; j-- {
			order[j], order[j-1] = order[j-1], order[j]
		}
	}
	return order
}

func labelRows(labels []placed) (n int) {
	for _, l := range labels {
		n = max(n, l.row+1)
	}
	return n
}

// drawMarks draws reference lines by the function given, and their labels in rows
// from y down.
func drawMarks(c *canvas, y float64, marks []report.Mark, labels []placed, scale format.Scale, line func(v float64, class string)) {
	for _, m := range marks {
		if scale.Beyond(m.At) != 0 || math.IsNaN(m.At) {
			continue
		}
		line(m.At, markClass(m, scale))
	}
	for _, l := range labels {
		c.text(l.x, y+float64(l.row+1)*lead-4, "middle", "c-soft", l.s)
	}
}

// markClass tells the line of no difference from the others.
func markClass(m report.Mark, s format.Scale) string {
	if m.At == 0 && !s.Log || m.At == 1 && s.Log {
		return "c-null"
	}
	return "c-mark"
}

// drawXAxis draws the axis at height y from left to right, with as many tick
// labels as fit, and its label below. It returns the height of the whole drawing.
func drawXAxis(c *canvas, s format.Scale, x func(float64) float64, y, left, right float64, label string) float64 {
	c.line(left, y, right, y, "c-axis")
	free := math.Inf(-1)
	for _, t := range s.Ticks {
		c.line(x(t), y, x(t), y+5, "c-axis")
		text := s.Label(t)
		w := textWidth(text)
		middle := min(max(x(t), w/2), c.w-w/2)
		if middle-w/2 < free {
			continue
		}
		c.text(middle, y+lead+3, "middle", "c-soft", text)
		free = middle + w/2 + 8
	}
	y += lead + 3
	for _, l := range wrap(label, right-left) {
		y += lead + 1
		w := textWidth(l)
		c.text(min(max((left+right)/2, w/2), c.w-w/2), y, "middle", "c-ink", l)
	}
	return y + 8
}
