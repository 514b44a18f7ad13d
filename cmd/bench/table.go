package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
)

// A result is what came of one comparison at one size.
type result struct {
	comparison
	rows        int
	ours, rival []turn  // of the rounds; rival is empty where there is none or it is missing
	missing     string  // package that is not installed
	difference  float64 // largest, see differs
	worst       string  // the number that differs most
	failure     error
}

// compareAll runs the comparisons and prints the table. It reports whether
// everything ran, agreed and met its aim.
func compareAll(chosen []comparison, s settings, out, talk io.Writer) (good bool, err error) {
	dir, err := os.MkdirTemp("", "bench")
	if err != nil {
		return false, err
	}
	defer os.RemoveAll(dir)
	if slices.ContainsFunc(chosen, func(c comparison) bool { return c.whole != nil }) {
		if err := placeProgram(dir, s.gravid); err != nil {
			return false, err
		}
	}
	before := load()
	var results []result
	for _, c := range chosen {
		sizes := s.sizes
		if sizes == nil || c.fixed {
			sizes = c.sizes
		}
		for _, rows := range sizes {
			fmt.Fprintf(talk, "%s, %d rows\n", c.name, rows)
			results = append(results, compare(c, rows, s, dir))
		}
	}
	fmt.Fprintf(out, "%s, %s/%s, %d processors, seed %d, %d rounds; load of the machine %s before and %s after\n\n",
		runtime.Version(), runtime.GOOS, runtime.GOARCH, runtime.NumCPU(), s.seed, s.rounds, before, load())
	writeTable(out, results, s.markdown)
	good = true
	for _, r := range results {
		good = good && r.good()
		for _, note := range r.notes() {
			fmt.Fprintln(out, note)
		}
	}
	for _, line := range growth(results) {
		fmt.Fprintln(out, line)
	}
	return good, nil
}

// compare lets the two sides take turns.
func compare(c comparison, rows int, s settings, dir string) result {
	r := result{comparison: c, rows: rows, difference: math.NaN()}
	file := filepath.Join(dir, "data")
	defer os.RemoveAll(file)
	err := makeData(c, file, rows, s.seed)
	for round := 0; err == nil && round < s.rounds; round++ {
		err = r.round(dir, file)
	}
	r.failure = err
	return r
}

// round is one turn of each side.
func (r *result) round(dir, file string) error {
	ours, err := takeOurs(r.comparison, file)
	if err != nil {
		return err
	}
	r.ours = append(r.ours, ours)
	if r.script == "" || r.missing != "" {
		return nil
	}
	rival, err := takeRival(r.comparison, dir, file)
	if err != nil {
		return err
	}
	if r.missing = rival.missing; r.missing != "" {
		return nil
	}
	r.rival = append(r.rival, rival)
	r.difference, r.worst, err = differs(ours.values, rival.values, r.floor)
	return err
}

// differs returns the largest difference between the numbers of the two sides,
// relative to the larger of the rival's number and floor, and the name of that
// number.
func differs(ours, rival []value, floor float64) (largest float64, worst string, err error) {
	if len(ours) != len(rival) {
		return math.NaN(), "", fmt.Errorf("ours gave %d numbers, the rival %d", len(ours), len(rival))
	}
	for k, a := range ours {
		b := rival[k]
		if a.name != b.name {
			return math.NaN(), "", fmt.Errorf("number %d is %s of ours and %s of the rival's", k+1, a.name, b.name)
		}
		d := math.Abs(a.value-b.value) / math.Max(math.Abs(b.value), floor)
		if math.IsNaN(d) {
			return math.NaN(), a.name, fmt.Errorf("%s is %v of ours and %v of the rival's", a.name, a.value, b.value)
		}
		if d >= largest {
			largest, worst = d, a.name
		}
	}
	return largest, worst, nil
}

// agrees reports whether the numbers are the same to the tolerance.
func (r result) agrees() bool { return r.difference <= r.tolerance }

// good reports whether nothing is wrong; a missing rival is not.
func (r result) good() bool {
	switch {
	case r.failure != nil:
		return false
	case len(r.rival) > 0 && !r.agrees():
		return false
	case !r.aimed(r.rows) || r.within == 0 && len(r.rival) == 0:
		return true
	}
	return r.met(median(seconds(r.ours)), median(seconds(r.rival)))
}

// notes are the lines below the table.
func (r result) notes() []string {
	at := fmt.Sprintf("%s, %d rows: ", r.name, r.rows)
	var out []string
	switch {
	case r.failure != nil:
		out = append(out, at+r.failure.Error())
	case r.missing != "":
		out = append(out, fmt.Sprintf("%s%s is not available here; to install it: %s", at, r.missing, tools[r.tool].install(r.missing)))
	case len(r.rival) > 0 && !r.agrees():
		out = append(out, fmt.Sprintf("%sthe sides differ by %.2g in %s, more than %.2g, so no ratio is given", at, r.difference, r.worst, r.tolerance))
	}
	if r.failure == nil && !r.good() && r.aimed(r.rows) {
		out = append(out, at+"the aim was missed")
	}
	return out
}

func seconds(turns []turn) []float64 {
	var out []float64
	for _, t := range turns {
		out = append(out, t.seconds)
	}
	return out
}

func processor(turns []turn) []float64 {
	var out []float64
	for _, t := range turns {
		out = append(out, t.processor)
	}
	return out
}

// processorRatio is the rival's time of the processors over ours, which the load of the
// machine touches less; but work on two processors at once counts twice.
func (r result) processorRatio() string {
	ours, rival := median(processor(r.ours)), median(processor(r.rival))
	if ours == 0 || rival == 0 {
		return ""
	}
	return times(rival / ours)
}

// median is the middle number; 0 of none.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	v = slices.Sorted(slices.Values(v))
	k := len(v) / 2
	if len(v)%2 == 1 {
		return v[k]
	}
	return (v[k-1] + v[k]) / 2
}

// ratios are the rival's time over ours, round by round.
func (r result) ratios() []float64 {
	var out []float64
	for k := range r.rival {
		out = append(out, r.rival[k].seconds/r.ours[k].seconds)
	}
	return out
}

var headings = []string{"comparison", "rows", "ours", "spread", "CPU", "MiB", "rival", "its time", "spread", "CPU", "MiB", "ratio", "spread", "CPU ratio", "differ by", "at most", "aim"}

// row is the line of a result.
func (r result) row() []string {
	rows := fmt.Sprint(r.rows)
	if r.fixed {
		rows = ""
	}
	line := []string{r.name, rows, writeTime(median(seconds(r.ours))), spread(seconds(r.ours), writeTime), writeTime(median(processor(r.ours))), mebibytes(r.ours)}
	if len(r.rival) == 0 {
		line = append(line, r.against(), "", "", "", "", "", "", "", "", "")
	} else {
		line = append(line, r.against(), writeTime(median(seconds(r.rival))), spread(seconds(r.rival), writeTime), writeTime(median(processor(r.rival))), mebibytes(r.rival))
		if r.agrees() {
			line = append(line, times(median(seconds(r.rival))/median(seconds(r.ours))), spread(r.ratios(), times), r.processorRatio())
		} else {
			line = append(line, "", "", "")
		}
		line = append(line, fmt.Sprintf("%.1g", r.difference), fmt.Sprintf("%.1g", r.tolerance))
	}
	aim := r.aim(r.rows)
	if aim != "" && r.failure == nil && (len(r.rival) > 0 || r.within > 0) {
		if r.good() {
			aim += ", met"
		} else {
			aim += ", missed"
		}
	}
	return append(line, aim)
}

// against names the rival, with its version where it was there.
func (r result) against() string {
	switch {
	case r.script == "":
		return "none"
	case r.missing != "":
		return r.comparison.rival + " (not available here)"
	case len(r.rival) > 0:
		return fmt.Sprintf("%s (%s)", r.comparison.rival, r.rival[0].version)
	}
	return r.comparison.rival
}

// writeTable writes the results in aligned columns, or as Markdown.
func writeTable(w io.Writer, results []result, markdown bool) {
	lines := [][]string{headings}
	for _, r := range results {
		lines = append(lines, r.row())
	}
	width := make([]int, len(headings))
	for _, line := range lines {
		for k, cell := range line {
			width[k] = max(width[k], len(cell))
		}
	}
	for n, line := range lines {
		var b strings.Builder
		for k, cell := range line {
			if markdown {
				b.WriteString("| ")
			}
			fmt.Fprintf(&b, "%-*s", width[k], cell)
			b.WriteString(map[bool]string{true: " ", false: "  "}[markdown])
		}
		text := strings.TrimRight(b.String(), " ")
		if markdown {
			text += " |"
		}
		fmt.Fprintln(w, text)
		if markdown && n == 0 {
			fmt.Fprintln(w, strings.Repeat("|---", len(line))+"|")
		}
	}
	fmt.Fprintln(w)
}

// writeTime writes seconds with three figures.
func writeTime(s float64) string {
	switch {
	case s == 0:
		return ""
	case s < 1e-3:
		return fmt.Sprintf("%.3g us", s*1e6)
	case s < 1:
		return fmt.Sprintf("%.3g ms", s*1e3)
	}
	return fmt.Sprintf("%.3g s", s)
}

func times(v float64) string { return fmt.Sprintf("%.3gx", v) }

// spread writes the smallest and the largest.
func spread(v []float64, write func(float64) string) string {
	if len(v) == 0 {
		return ""
	}
	return write(slices.Min(v)) + " to " + write(slices.Max(v))
}

// mebibytes writes the largest peak memory.
func mebibytes(turns []turn) string {
	most := 0.0
	for _, t := range turns {
		most = math.Max(most, t.memory)
	}
	if most == 0 {
		return ""
	}
	return fmt.Sprintf("%.0f", most)
}
