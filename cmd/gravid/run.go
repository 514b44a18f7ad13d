package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"gravid/ingest/printable"
)

// The exit statuses.
const (
	exitDone      = 0
	exitFailed    = 1
	exitUsage     = 2
	exitLogErrors = 3
)

// A system is everything outside the program that a verb may touch, so that
// tests can stand in for it.
type system struct {
	stdout, stderr io.Writer
	now            func() time.Time
	getenv         func(string) string
	width          int  // of the terminal; 0 = unknown
	terminal       bool // standard output is a terminal
}

// An app is one run of the program.
type app struct {
	system
	club   string
	format string
	quiet  bool
}

// run is the whole program but for the process: it returns the exit status.
func run(args []string, s system) int {
	results := &faithful{Writer: s.stdout}
	s.stdout = results
	a := &app{system: s}
	root := a.root()
	root.SetArgs(args)
	root.SetOut(s.stdout)
	root.SetErr(s.stderr)
	err := root.Execute()
	if results.failed != nil && (err == nil || errors.Is(err, errLogErrors)) {
		err = results.failed
	}
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errLogErrors):
		return exitLogErrors
	}
	err = asFailure(err)
	var usage usageError
	if errors.As(err, &usage) {
		a.say("error", usage.text, usage.fix)
		return exitUsage
	}
	var fail failure
	errors.As(err, &fail) // asFailure returns one of the two
	a.say("error", fail.text, fail.fix)
	return exitFailed
}

// isUsage reports whether an error is the command-line parser's own.
func isUsage(err error) bool {
	text := err.Error()
	return slices.ContainsFunc([]string{"unknown command", "unknown flag", "unknown shorthand", "flag needs", "invalid argument", "accepts ", "requires at least", "required flag"},
		func(prefix string) bool { return strings.HasPrefix(text, prefix) })
}

// say prints a message of the given kind (error, warning, note) and its remedy
// to standard error.
func (a *app) say(kind, text, fix string) {
	if a.quiet && kind != "error" {
		return
	}
	fmt.Fprintf(a.stderr, "gravid: %s: %s\n", kind, printable.Line(text))
	if fix != "" {
		fmt.Fprintf(a.stderr, "fix: %s\n", printable.Line(fix))
	}
}

// progressEvery is how long a run goes on before it says how far it has come, and again.
const progressEvery = 2 * time.Second

// progress says how far a long run has come, one line at a time. A short run says nothing.
func (a *app) progress() func(text string) {
	last := a.now()
	return func(text string) {
		if now := a.now(); now.Sub(last) >= progressEvery {
			last = now
			a.say("note", text, "")
		}
	}
}

// knownVerb refuses a verb that does not exist, with the nearest that do.
func knownVerb(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	fix := "gravid help shows the verbs"
	if near := cmd.SuggestionsFor(args[0]); len(near) > 0 {
		fix = "did you mean " + oneOf(near) + "? " + fix
	}
	return usageError{fmt.Sprintf("there is no verb %q", args[0]), fix}
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "gravid",
		Short: "turns the breeding records of an aquarium club into evidence",
		Long: `gravid reads the logs of a club's keepers, each in its own shape, into one set
of tables in which every cell is accounted for, and answers questions from
them: does a trigger matter for a species, how long until the fry swim, how
many eggs are normal. Each answer is a number with an interval, a verdict, the
reasons to doubt it, and what to do next.

Start with:  gravid demo`,
		SilenceErrors: true, SilenceUsage: true,
		Args: knownVerb,
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	f := root.PersistentFlags()
	f.StringVar(&a.club, "club", ".", "the club's folder")
	f.StringVar(&a.format, "format", "text", "text, json or csv (csv where a table is the answer)")
	f.BoolVar(&a.quiet, "quiet", false, "say nothing but errors")
	root.PersistentPreRunE = func(cmd *cobra.Command, _ []string) error {
		allowed := []string{"text", "json", "csv"}
		if cmd.Name() == "export" {
			allowed = []string{"text", "csv", "arrow", "parquet"}
		}
		if !slices.Contains(allowed, a.format) {
			return usageError{fmt.Sprintf("--format cannot be %q", a.format), "use one of " + strings.Join(allowed, ", ")}
		}
		return nil
	}
	root.SuggestionsMinimumDistance = 2
	root.AddCommand(a.demoCommand(), a.newCommand(), a.ingestCommand(), a.problemsCommand(), a.explainCommand(),
		a.askCommand(), a.triggersCommand(), a.timingCommand(), a.eggsCommand(),
		a.keepersCommand(), a.seasonCommand(), a.templateCommand(), a.exportCommand(), a.versionCommand())
	return root
}
