package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"gravid/ingest/club/atomicfile"
	"gravid/ingest/template"
)

func (a *app) templateCommand() *cobra.Command {
	var o template.Options
	var force bool
	c := &cobra.Command{
		Use:   "template FILE.xlsx",
		Short: "a log workbook for members, with lists, units and checks",
		Long: `template writes a workbook for members to fill in: one row an attempt, drop-down
lists of species, yes and no, causes of loss and ways of counting, units in the
headings, checks of dates and numbers, worked examples and a guide. What is filled in
as meant is read without a problem. With --club the species of the club's tables stand
first in the list.`,
		Example: `  gravid template log.xlsx
  gravid template --language de --club ourclub Protokoll.xlsx`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return a.template(args[0], o, force, cmd.Flags().Changed("club"))
		},
	}
	f := c.Flags()
	f.StringVar(&o.Language, "language", "en", "language of the workbook: "+strings.Join(template.Languages(), ", "))
	f.BoolVar(&o.Examples, "examples", false, "put the worked examples into the log as well, to try how it is read")
	f.BoolVar(&force, "force", false, "write over a file that is there")
	return c
}

func (a *app) template(name string, o template.Options, force, ofClub bool) error {
	if err := a.notCSV("template"); err != nil {
		return err
	}
	if !strings.EqualFold(filepath.Ext(name), ".xlsx") {
		return usageError{fmt.Sprintf("%s is no name for a workbook", name), "end it with .xlsx"}
	}
	if !slices.Contains(template.Languages(), o.Language) {
		return usageError{fmt.Sprintf("there is no template in %q", o.Language), "use one of " + strings.Join(template.Languages(), ", ")}
	}
	if _, err := os.Lstat(name); err == nil && !force {
		return failure{name + " is there already, and may have been filled in", "name another file, or add --force to write over it"}
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return failure{err.Error(), "name a file in a folder that can be read"}
	}
	if ofClub {
		c, err := a.open()
		if err != nil {
			return err
		}
		o.Species = c.logged()
		if err := c.Close(); err != nil {
			return err
		}
	}
	if err := atomicfile.Write(name, func(w io.Writer) error { return template.Write(w, o) }); err != nil {
		return notWritten(err)
	}
	a.say("note", "wrote "+name+": copy it for each member, and put what comes back into the member's folder below logs/", "")
	return nil
}
