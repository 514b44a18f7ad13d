package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"gravid/analyze/answer"
	"gravid/cmd/gravid/demo"
	"gravid/ingest"
	"gravid/ingest/club"
	"gravid/ingest/club/atomicfile"
	"gravid/ingest/printable"
)

func (a *app) newCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "new DIR",
		Short: "an empty club folder with a commented club.toml",
		Args:  cobra.ExactArgs(1),
		RunE:  func(_ *cobra.Command, args []string) error { return a.newClub(args[0]) },
	}
}

func (a *app) newClub(dir string) error {
	err := inEmptyFolder(dir, func() error {
		if err := os.Mkdir(filepath.Join(dir, ingest.LogsDir), 0o777); err != nil {
			return err
		}
		return atomicfile.Write(filepath.Join(dir, club.ConfigFile), func(w io.Writer) error {
			_, err := io.WriteString(w, club.Template())
			return err
		})
	})
	if err != nil {
		return err
	}
	a.say("note", fmt.Sprintf("made a club folder in %s; put each keeper's files into a folder of that keeper's name below %s, look through %s, then run gravid ingest --club %s",
		dir, filepath.Join(dir, "logs"), filepath.Join(dir, club.ConfigFile), dir), "")
	return nil
}

// inEmptyFolder makes a folder, unless there is an empty one, and fills it. Where that
// fails, everything made is taken away again, so that the same command can be run once
// the cause is mended.
func inEmptyFolder(dir string, fill func() error) error {
	entries, err := os.ReadDir(dir)
	missing := errors.Is(err, fs.ErrNotExist)
	switch {
	case err != nil && !missing:
		return failure{err.Error(), "name a folder that can be read, or a new one"}
	case len(entries) > 0:
		return failure{fmt.Sprintf("%s is not empty", dir), "name a new folder"}
	}
	made := firstMissing(dir)
	if err = os.MkdirAll(dir, 0o777); err == nil {
		err = fill()
	}
	if err == nil {
		return nil
	}
	err = asFailure(err)
	if made != "" {
		return errors.Join(err, os.RemoveAll(made))
	}
	entries, gone := os.ReadDir(dir)
	err = errors.Join(err, gone)
	for _, e := range entries {
		err = errors.Join(err, os.RemoveAll(filepath.Join(dir, e.Name())))
	}
	return err
}

// firstMissing is the topmost folder of a path that is not there yet; nothing where
// all of them are.
func firstMissing(dir string) string {
	missing := ""
	for dir = filepath.Clean(dir); ; dir = filepath.Dir(dir) {
		if _, err := os.Lstat(dir); !errors.Is(err, fs.ErrNotExist) {
			return missing
		}
		missing = dir
		if dir == filepath.Dir(dir) {
			return missing
		}
	}
}

func (a *app) demoCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "demo [DIR]",
		Short: "make the demo club, read its logs, answer two questions, write the season workbook",
		Long: `demo lays down the folder of an invented club in DIR (default demo-club), reads
its logs, answers two questions, and writes the season workbook. The truth planted
in the records is in DIR/truth.json: one of the two answers should be yes.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			dir := "demo-club"
			if len(args) == 1 {
				dir = args[0]
			}
			return a.demo(dir)
		},
	}
}

func (a *app) demo(dir string) error {
	if err := inEmptyFolder(dir, func() error { return demo.Write(dir) }); err != nil {
		return err
	}
	a.club = dir
	a.say("note", "made the demo club in "+dir, "")
	if err := a.ingest(nil, false); err != nil && !errors.Is(err, errLogErrors) {
		return err
	}
	for _, q := range demo.Questions {
		fmt.Fprintf(a.stdout, "\n> gravid ask --club %s %q\n\n", printable.Line(dir), q)
		if err := a.ask(q, "", "", false, false, exploration{}); err != nil {
			return err
		}
	}
	fmt.Fprintln(a.stdout)
	return a.season(answer.Years{From: demo.Year, To: demo.Year}, "", "", false)
}
