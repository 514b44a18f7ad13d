package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"gravid/analyze/compose"
	"gravid/analyze/report"
	"gravid/analyze/report/page"
	"gravid/analyze/report/workbook"
	"gravid/ingest"
	"gravid/ingest/club"
	"gravid/ingest/club/atomicfile"
	"gravid/ingest/printable"
)

func (a *app) seasonCommand() *cobra.Command {
	var book, web string
	c := &cobra.Command{
		Use:   "season YEAR",
		Short: "the season summary: a workbook and a page",
		Args:  cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			year, err := strconv.Atoi(args[0])
			if err != nil || year < 1900 || year > 9999 {
				return usageError{fmt.Sprintf("%q is not a year", args[0]), "write it as 2025"}
			}
			return a.season(year, book, web)
		},
	}
	c.Flags().StringVar(&book, "workbook", "", "file for the workbook (default season/YEAR.xlsx in the club's folder)")
	c.Flags().StringVar(&web, "page", "", "file for the page (default season/YEAR.html in the club's folder)")
	return c
}

func (a *app) season(year int, book, web string) error {
	if err := a.notCSV("season"); err != nil {
		return err
	}
	o, err := a.open()
	if err != nil {
		return err
	}
	defer o.Close()
	k := o.asker(year)
	tell := a.progress()
	k.Progress = func(text string) { tell(fmt.Sprintf("season %d: %s", year, text)) }
	t := upTo(o.tables, yearEnd(year, o.zone))
	s := k.Season(o.Config.Name, year, &t, o.dated.Len(), o.zone)
	if err := answered(k); err != nil {
		return err
	}
	if len(s.Attempts) == 0 && len(s.Clutches) == 0 {
		return failure{fmt.Sprintf("no attempt and no clutch of %d is in the tables", year), "the years in the tables are " + strings.Join(o.years(), ", ")}
	}
	if a.format == "json" {
		return a.printJSON(s)
	}
	folder := filepath.Join(o.Dir, club.SeasonDir)
	ours := book == "" || web == ""
	if book == "" {
		book = filepath.Join(folder, fmt.Sprintf("%d.xlsx", year))
	}
	if web == "" {
		web = filepath.Join(folder, fmt.Sprintf("%d.html", year))
	}
	write := func() error {
		tell(fmt.Sprintf("season %d: writing the workbook", year))
		if err := a.writeBook(book, compose.Season(s, o.links(book))); err != nil {
			return err
		}
		tell(fmt.Sprintf("season %d: writing the page", year))
		doc := compose.Season(s, o.links(web))
		return a.writeFile(web, func(w io.Writer) error { return page.Write(w, doc, page.Options{}) })
	}
	if !ours {
		return write()
	}
	return o.InSeason(func() { a.say("note", "another run is writing into "+folder+"; waiting for it", "") }, write)
}

// links says how a document at a path reaches the logs: not at all where keepers
// go by pseudonyms.
func (o *openClub) links(document string) compose.SeasonOptions {
	if o.shown != nil {
		return compose.SeasonOptions{}
	}
	logs, err := filepath.Rel(absolute(filepath.Dir(document)), absolute(filepath.Join(o.Dir, ingest.LogsDir)))
	if err != nil {
		return compose.SeasonOptions{}
	}
	return compose.SeasonOptions{Logs: filepath.ToSlash(logs), Workbook: func(file string) bool {
		return strings.EqualFold(filepath.Ext(file), ".xlsx") || strings.EqualFold(filepath.Ext(file), ".ods")
	}}
}

func absolute(p string) string {
	if abs, err := filepath.Abs(p); err == nil {
		return abs
	}
	return p
}

// writeBook writes the workbook, opens it again and checks that what was meant to
// be in it is there, before it takes its place.
func (a *app) writeBook(name string, d *report.Document) error {
	var b bytes.Buffer
	if err := workbook.Write(&b, d, workbook.Options{}); err != nil {
		return err
	}
	if err := workbook.Check(bytes.NewReader(b.Bytes()), d); err != nil {
		return fmt.Errorf("the workbook was made but does not hold what it should: %w", err)
	}
	return a.writeFile(name, func(w io.Writer) error { _, err := w.Write(b.Bytes()); return err })
}

func (a *app) writeFile(name string, fill func(io.Writer) error) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil && !errors.Is(err, fs.ErrExist) {
		return notWritten(err)
	}
	if err := atomicfile.Write(name, fill); err != nil {
		return notWritten(err)
	}
	fmt.Fprintf(a.stdout, "wrote %s\n", printable.Line(name))
	return nil
}
