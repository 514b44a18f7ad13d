package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"
)

// A reporter writes results as they come.
type reporter interface {
	begin(settings) error
	add(result) error
	end(failed int) error
}

// printed is the figure with its standard error.
func (f figure) printed() string {
	if math.IsNaN(f.Value) {
		return "none"
	}
	if f.Percent {
		return fmt.Sprintf("%.1f%% ± %.1f", 100*f.Value, 100*f.SE)
	}
	return fmt.Sprintf("%.3f ± %.3f", f.Value, f.SE)
}

// printedBand is the band in the unit of the figure.
func (f figure) printedBand() string {
	number := func(x float64) string {
		if f.Percent {
			return fmt.Sprintf("%g%%", math.Round(1000*x)/10)
		}
		return fmt.Sprintf("%g", x)
	}
	b := f.Band
	lo, hi := !math.IsInf(b.Lo, 0), !math.IsInf(b.Hi, 0)
	text := ""
	switch {
	case lo && hi && b.Lo == b.Hi:
		text = number(b.Lo)
	case lo && hi:
		text = number(b.Lo) + " to " + number(b.Hi)
	case lo:
		text = "≥ " + number(b.Lo)
	case hi:
		text = "≤ " + number(b.Hi)
	default:
		return ""
	}
	if b.Exact {
		text += " exactly"
	}
	if f.Role == rival {
		text = "must miss " + text
	}
	return text
}

func closing(failed int) string {
	switch failed {
	case 0:
		return "Every check passed."
	case 1:
		return "1 check failed."
	}
	return fmt.Sprintf("%d checks failed.", failed)
}

func opening(s settings) string {
	return fmt.Sprintf("%d replicates, seed %d. A figure fails when it misses its band by more than %g standard errors of the simulation (the number after ±); exact bands allow nothing.", s.replicates, s.seed, allowance)
}

// textReport writes for a terminal.
type textReport struct{ out io.Writer }

func (t *textReport) begin(s settings) error {
	_, err := fmt.Fprintln(t.out, opening(s))
	return err
}

func (t *textReport) add(r result) error {
	fmt.Fprintf(t.out, "\n%s  %s\nPlanted: %s\n", r.ID, r.Title, r.Planted)
	for _, w := range r.Worlds {
		fmt.Fprintf(t.out, "\n  %s\n", w.Name)
		table := tabwriter.NewWriter(t.out, 0, 0, 2, ' ', 0)
		for _, f := range w.Figures {
			fmt.Fprintf(table, "    %s\t%s\t%s\t%s\t%s\n", f.Procedure, f.Measure, f.printed(), f.printedBand(), f.Verdict)
		}
		if err := table.Flush(); err != nil {
			return err
		}
	}
	return nil
}

func (t *textReport) end(failed int) error {
	_, err := fmt.Fprintf(t.out, "\n%s\n", closing(failed))
	return err
}

// markdownReport writes tables for documents.
type markdownReport struct{ out io.Writer }

func (m *markdownReport) begin(s settings) error {
	_, err := fmt.Fprintln(m.out, opening(s))
	return err
}

func (m *markdownReport) add(r result) error {
	var b strings.Builder
	fmt.Fprintf(&b, "\n### %s: %s\n\n%s\n\n", r.ID, r.Title, r.Planted)
	b.WriteString("| world | procedure | figure | value | band | verdict |\n|---|---|---|---|---|---|\n")
	for _, w := range r.Worlds {
		name := w.Name
		for _, f := range w.Figures {
			cells := []string{name, f.Procedure, f.Measure, f.printed(), f.printedBand(), string(f.Verdict)}
			if f.Role == ours {
				cells[1] = "**" + cells[1] + "**"
			}
			for i := range cells {
				cells[i] = strings.ReplaceAll(cells[i], "|", `\|`)
			}
			fmt.Fprintf(&b, "| %s |\n", strings.Join(cells, " | "))
			name = ""
		}
	}
	_, err := io.WriteString(m.out, b.String())
	return err
}

func (m *markdownReport) end(failed int) error {
	_, err := fmt.Fprintf(m.out, "\n%s\n", closing(failed))
	return err
}

// jsonReport writes one document at the end.
type jsonReport struct {
	out      io.Writer
	settings settings
	results  []result
}

func (j *jsonReport) begin(s settings) error {
	j.settings, j.results = s, []result{}
	return nil
}

func (j *jsonReport) add(r result) error {
	j.results = append(j.results, r)
	return nil
}

func (j *jsonReport) end(failed int) error {
	e := json.NewEncoder(j.out)
	e.SetIndent("", "  ")
	return e.Encode(struct {
		Replicates  int      `json:"replicates"`
		Seed        uint64   `json:"seed"`
		Allowance   float64  `json:"allowance_in_standard_errors"`
		Experiments []result `json:"experiments"`
		Failed      int      `json:"failed_checks"`
	}{j.settings.replicates, j.settings.seed, allowance, j.results, failed})
}
