package main

import (
	"encoding/csv"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"gravid/ingest/club"
	"gravid/ingest/printable"
	"gravid/ingest/problem"
)

func (a *app) problemsCommand() *cobra.Command {
	var file, code string
	var all bool
	c := &cobra.Command{
		Use:   "problems",
		Short: "what could not be taken as written, where, and how to mend it",
		Args:  cobra.NoArgs,
		RunE:  func(*cobra.Command, []string) error { return a.problems(file, code, all) },
	}
	c.Flags().StringVar(&file, "file", "", "only those of one log, as the list names it")
	c.Flags().StringVar(&code, "code", "", "only those of one code")
	c.Flags().BoolVar(&all, "all", false, "every one, not grouped")
	return c
}

func (a *app) problems(file, code string, all bool) error {
	c, err := club.Open(a.club)
	if err != nil {
		return asFailure(err)
	}
	defer c.Close()
	t, err := c.Load(club.TableProblems, club.TableSources)
	if err != nil {
		return asFailure(err)
	}
	if err := knownFile(t, file); err != nil {
		return err
	}
	if code != "" {
		if _, ok := problem.Explain(problem.Code(code)); !ok {
			return unknownCode(code)
		}
	}
	list := slices.DeleteFunc(t.Problems, func(p problem.Problem) bool {
		return file != "" && p.Place.File != file || code != "" && string(p.Code) != code
	})
	switch a.format {
	case "json":
		return a.printJSON(problemsJSON(list))
	case "csv":
		return a.problemsCSV(list)
	}
	limit := 20
	if all || file != "" || code != "" {
		limit = len(list)
	}
	if all {
		for _, p := range list {
			a.printProblem(problem.Group{Problem: p, Count: 1 + p.More})
		}
		return nil
	}
	groups := problem.Groups(list)
	for _, g := range groups[:min(limit, len(groups))] {
		a.printProblem(g)
	}
	if len(groups) > limit {
		fmt.Fprintf(a.stdout, "… %d more kinds: gravid problems --all, or --file and --code to narrow them down\n", len(groups)-limit)
	}
	if len(list) == 0 {
		fmt.Fprintln(a.stdout, "no problems")
	}
	return nil
}

func knownFile(t club.Tables, file string) error {
	if file == "" {
		return nil
	}
	var files []string
	for _, s := range t.Sources {
		if !slices.Contains(files, s.File) {
			files = append(files, s.File)
		}
	}
	for _, p := range t.Problems {
		if !slices.Contains(files, p.Place.File) {
			files = append(files, p.Place.File)
		}
	}
	if slices.Contains(files, file) {
		return nil
	}
	return usageError{fmt.Sprintf("no log is called %q", file), "the logs are " + strings.Join(files, ", ")}
}

// printProblem writes one problem, or a group of alike ones with their number, to
// standard output.
func (a *app) printProblem(g problem.Group) {
	fmt.Fprintf(a.stdout, "%s: %s: %s (%s)", g.Severity, printable.Line(g.Place.String()), printable.Line(g.Message), g.Code)
	if g.Count > 1 {
		fmt.Fprintf(a.stdout, " and %d more like it", g.Count-1)
	}
	fmt.Fprintln(a.stdout)
	if g.Value != "" {
		fmt.Fprintf(a.stdout, "  as written: %s\n", printable.Line(g.Value))
	}
	if g.Fix != "" {
		fmt.Fprintf(a.stdout, "  fix: %s\n", printable.Line(g.Fix))
	}
}

type problemJSON struct {
	Severity string `json:"severity"`
	Code     string `json:"code"`
	File     string `json:"file"`
	Sheet    string `json:"sheet"`
	Row      int    `json:"row"`
	Column   string `json:"column"`
	Heading  string `json:"heading"`
	Value    string `json:"value"`
	Message  string `json:"message"`
	Fix      string `json:"fix"`
	More     int    `json:"more"`
}

func problemsJSON(list []problem.Problem) []problemJSON {
	out := make([]problemJSON, len(list))
	for i, p := range list {
		out[i] = problemJSON{string(p.Severity), string(p.Code), p.Place.File, p.Place.Sheet, p.Place.Row, p.Place.Column, p.Place.Head, p.Value, p.Message, p.Fix, p.More}
	}
	return out
}

func (a *app) problemsCSV(list []problem.Problem) error {
	w := csv.NewWriter(a.stdout)
	rows := [][]string{{"severity", "code", "file", "sheet", "row", "column", "heading", "value", "message", "fix", "more"}}
	for _, p := range list {
		rows = append(rows, []string{string(p.Severity), string(p.Code), club.GuardFormula(p.Place.File), club.GuardFormula(p.Place.Sheet), strconv.Itoa(p.Place.Row),
			p.Place.Column, club.GuardFormula(p.Place.Head), club.GuardFormula(p.Value), club.GuardFormula(p.Message), club.GuardFormula(p.Fix), strconv.Itoa(p.More)})
	}
	return w.WriteAll(rows)
}

func (a *app) explainCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "explain CODE",
		Short: "why a kind of problem arises, and how to mend it",
		Args:  cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			e, ok := problem.Explain(problem.Code(args[0]))
			if !ok {
				return unknownCode(args[0])
			}
			fmt.Fprintf(a.stdout, "%s\n\nWhy:     %s\nExample: %s\nRemedy:  %s\n", e.Code, e.Cause, e.Example, e.Remedy)
			return nil
		},
	}
}

func unknownCode(code string) error {
	var names []string
	for _, e := range problem.Explanations() {
		names = append(names, string(e.Code))
	}
	return usageError{fmt.Sprintf("no kind of problem is called %q", code), "the codes are " + strings.Join(names, ", ")}
}
