package main

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"gravid/ingest/club"
	"gravid/ingest/club/atomicfile"
	"gravid/ingest/club/parquet"
)

func (a *app) exportCommand() *cobra.Command {
	var out string
	var raw, forSpreadsheet, names, partition bool
	c := &cobra.Command{
		Use:   "export TABLE",
		Short: "a table as CSV, Arrow or Parquet, for R, Python and spreadsheets",
		Example: `  gravid export attempts --format csv -o attempts.csv
  gravid export readings --format parquet -o readings.parquet
  gravid export --format parquet --partition -o federation`,
		Long: `export writes a table with every column described in the file or beside it.

Where club.toml says pseudonyms = true, keepers go by letters, and tanks, places and
logs by numbers; remarks and whatever else keepers wrote in their own words are left
out. --names writes the table as it is, for those who keep the records.`,
		Args: func(c *cobra.Command, args []string) error {
			if partition {
				return nil
			}
			return cobra.ExactArgs(1)(c, args)
		},
		ValidArgs: []string{club.TableAttempts, club.TableClutches, club.TableReadings, club.TableActions, club.TableProblems, club.TableSources},
		RunE: func(_ *cobra.Command, args []string) error {
			if partition {
				return a.exportPartition(args, out)
			}
			return a.export(args[0], out, names, club.CSVOptions{Raw: raw, ForSpreadsheet: forSpreadsheet})
		},
	}
	c.Flags().StringVarP(&out, "output", "o", "", "file to write; nothing or - for standard output")
	c.Flags().BoolVar(&raw, "raw", false, "csv: leave text that begins like a formula as it is, for programs that are no spreadsheet")
	c.Flags().BoolVar(&forSpreadsheet, "for-spreadsheet", false, "csv: with the mark by which spreadsheets know UTF-8")
	c.Flags().BoolVar(&names, "names", false, "with the names of keepers, tanks, places and logs, and all remarks, whatever club.toml says")
	c.Flags().BoolVar(&partition, "partition", false, "parquet: all tables for a federation of clubs, by club and year, under pseudonyms, into the folder that -o names")
	return c
}

func (a *app) export(table, out string, names bool, csv club.CSVOptions) error {
	c, err := club.Open(a.club)
	if err != nil {
		return asFailure(err)
	}
	defer c.Close()
	schema, err := club.Find(c.Schemas(), table)
	if err != nil {
		var names []string
		for _, s := range c.Schemas() {
			names = append(names, s.Table)
		}
		return usageError{fmt.Sprintf("there is no table %q", table), "the tables are " + strings.Join(names, ", ")}
	}
	hidden := c.Config.Pseudonyms && !names
	load := []string{table}
	if hidden {
		load = nil // all: who has which letter hangs on every table
	}
	t, err := c.Load(load...)
	if err != nil {
		return asFailure(err)
	}
	if hidden {
		hideNames(&t)
	}
	write := func(w io.Writer) error {
		switch a.format {
		case "arrow":
			return club.WriteArrow(w, nil, schema, &t)
		case "parquet":
			return parquet.Write(w, nil, schema, &t)
		}
		return club.WriteCSV(w, schema, &t, csv)
	}
	if out == "" || out == "-" {
		if a.terminal && slices.Contains([]string{"arrow", "parquet"}, a.format) {
			return usageError{a.format + " is not for a terminal", "name a file with -o"}
		}
		w := bufio.NewWriter(a.stdout)
		if err := write(w); err != nil {
			return err
		}
		return w.Flush()
	}
	if err := atomicfile.Write(out, write); err != nil {
		return notWritten(err)
	}
	a.say("note", fmt.Sprintf("wrote %d rows of %s to %s", schema.Len(&t), table, out), "")
	return nil
}
