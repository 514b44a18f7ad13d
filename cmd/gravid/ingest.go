package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"gravid/ingest"
	"gravid/ingest/club"
	"gravid/ingest/problem"
)

func (a *app) ingestCommand() *cobra.Command {
	var explain bool
	c := &cobra.Command{
		Use:   "ingest [PATH...]",
		Short: "logs -> tables; says what could not be taken as written",
		Long: `ingest reads the logs below the club's folder logs/ into the tables. Paths name
files or folders below logs/ to read anew; the rows of other logs stay. Ingesting
twice changes nothing. With --explain it prints how each log was read, as a mapping
file to save beside the log and change.

Exit status 3 means: done, but logs have errors; gravid problems shows them.`,
		RunE: func(_ *cobra.Command, args []string) error { return a.ingest(args, explain) },
	}
	c.Flags().BoolVar(&explain, "explain", false, "print every decision as a mapping file; in JSON under \"mappings\"")
	return c
}

func (a *app) ingest(paths []string, explain bool) error {
	c, err := club.Open(a.club)
	if err != nil {
		return asFailure(err)
	}
	defer c.Close()
	report, err := ingest.Run(c, paths, a.now())
	if err != nil {
		return asFailure(err)
	}
	for _, f := range report.Files {
		a.say("note", fileLine(f), "")
	}
	var mappings []mappingJSON
	if explain {
		if mappings, err = mappingsOf(report); err != nil {
			return err
		}
	}
	if a.format == "json" {
		if err := a.printJSON(ingestJSON(report, mappings)); err != nil {
			return err
		}
		return a.sayProblems(report)
	}
	a.printSummary(report)
	for _, m := range mappings {
		fmt.Fprintln(a.stdout, m.Mapping)
	}
	return a.sayProblems(report)
}

func fileLine(f ingest.FileReport) string {
	parts := []string{count(f.Rows, "row", "rows")}
	if f.Sheets > 1 {
		parts = append([]string{count(f.Sheets, "sheet", "sheets")}, parts...)
	}
	parts = append(parts, fmt.Sprintf("%d used", f.Used))
	for _, p := range []struct {
		n         int
		one, many string
	}{{f.SetAside, "set aside", "set aside"}, {f.Errors, "error", "errors"}, {f.Warnings, "warning", "warnings"}} {
		if p.n > 0 {
			parts = append(parts, count(p.n, p.one, p.many))
		}
	}
	return f.File + ": " + strings.Join(parts, ", ")
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// printSummary says what the tables hold now.
func (a *app) printSummary(r *ingest.Report) {
	t := r.Tables
	fmt.Fprintf(a.stdout, "The tables hold %s, %s, %s and %s, from %s.\n",
		count(len(t.Attempts), "attempt", "attempts"), count(len(t.Clutches), "clutch", "clutches"),
		count(r.Readings, "reading", "readings"), count(len(t.Actions), "act of husbandry", "acts of husbandry"), count(len(r.Files), "log", "logs"))
}

// sayProblems shows the first few kinds of errors, and ends with status 3 where
// there are any.
func (a *app) sayProblems(r *ingest.Report) error {
	var failed []problem.Problem
	for _, p := range r.Tables.Problems {
		if p.Severity == problem.Error {
			failed = append(failed, p)
		}
	}
	if len(failed) == 0 {
		return nil
	}
	const few = 5
	groups := problem.Groups(failed)
	for _, g := range groups[:min(few, len(groups))] {
		text := g.Problem.String()
		if g.Count > 1 {
			text += fmt.Sprintf(" and %d more like it", g.Count-1)
		}
		a.say("error", text, g.Fix)
	}
	if len(groups) > few {
		a.say("note", fmt.Sprintf("%d more kinds of errors: gravid problems --club %s", len(groups)-few, a.club), "")
	}
	return errLogErrors
}

// mappingJSON says how a log was read, as the text of a mapping file.
type mappingJSON struct {
	File    string `json:"file"`
	Mapping string `json:"mapping"`
}

func mappingsOf(r *ingest.Report) ([]mappingJSON, error) {
	byFile := map[string][]ingest.Explained{}
	out := []mappingJSON{}
	for _, e := range r.Explains {
		if byFile[e.File] == nil {
			out = append(out, mappingJSON{File: e.File})
		}
		byFile[e.File] = append(byFile[e.File], e)
	}
	for i := range out {
		var text strings.Builder
		if err := ingest.WriteMapping(&text, byFile[out[i].File]); err != nil {
			return nil, err
		}
		out[i].Mapping = text.String()
	}
	return out, nil
}

type fileJSON struct {
	File     string `json:"file"`
	Sheets   int    `json:"sheets"`
	Rows     int    `json:"rows"`
	Used     int    `json:"used"`
	SetAside int    `json:"set_aside"`
	Errors   int    `json:"errors"`
	Warnings int    `json:"warnings"`
	Notes    int    `json:"notes"`
}

func ingestJSON(r *ingest.Report, mappings []mappingJSON) any {
	files := []fileJSON{}
	for _, f := range r.Files {
		files = append(files, fileJSON(f))
	}
	t := r.Tables
	return struct {
		Files    []fileJSON    `json:"files"`
		Attempts int           `json:"attempts"`
		Clutches int           `json:"clutches"`
		Readings int           `json:"readings"`
		Actions  int           `json:"actions"`
		Problems int           `json:"problems"`
		Mappings []mappingJSON `json:"mappings,omitempty"`
	}{files, len(t.Attempts), len(t.Clutches), r.Readings, len(t.Actions), problem.Total(t.Problems), mappings}
}
