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

	"gravid/analyze/answer"
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
	var sheets bool
	c := &cobra.Command{
		Use:   "season YEARS",
		Short: "the season summary of a year or of several: a workbook and a page",
		Example: `  gravid season 2025
  gravid season 2023-2025 --species-sheets`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			years, err := parseYears(args[0])
			if err != nil {
				return err
			}
			return a.season(years, book, web, sheets)
		},
	}
	c.Flags().StringVar(&book, "workbook", "", "file for the workbook (default season/YEARS.xlsx in the club's folder)")
	c.Flags().StringVar(&web, "page", "", "file for the page (default season/YEARS.html in the club's folder)")
	c.Flags().BoolVar(&sheets, "species-sheets", false, "also a sheet for each species: its spawnings, triggers, times, eggs and attempts")
	return c
}

// mostYears bounds the stretch of a season.
const mostYears = 100

// parseYears reads "2025" or "2023-2025".
func parseYears(s string) (answer.Years, error) {
	first, last, several := strings.Cut(strings.ReplaceAll(s, "–", "-"), "-")
	if !several {
		last = first
	}
	from, err1 := strconv.Atoi(first)
	to, err2 := strconv.Atoi(last)
	plausible := func(y int) bool { return y >= 1900 && y <= 9999 }
	switch {
	case err1 != nil || err2 != nil || !plausible(from) || !plausible(to):
		return answer.Years{}, usageError{fmt.Sprintf("%q is not a year", s), "write it as 2025, or several years as 2023-2025"}
	case from > to:
		return answer.Years{}, usageError{fmt.Sprintf("%d comes after %d", from, to), fmt.Sprintf("write %d-%d", to, from)}
	case to-from >= mostYears:
		return answer.Years{}, usageError{fmt.Sprintf("%s is %d years", s, to-from+1), fmt.Sprintf("ask for at most %d", mostYears)}
	}
	return answer.Years{From: from, To: to}, nil
}

func (a *app) season(years answer.Years, book, web string, sheets bool) error {
	if err := a.notCSV("season"); err != nil {
		return err
	}
	o, err := a.open()
	if err != nil {
		return err
	}
	defer o.Close()
	k := o.asker(years.To)
	tell := a.progress()
	k.Progress = func(text string) { tell(fmt.Sprintf("season %s: %s", years, text)) }
	t := upTo(o.tables, yearEnd(years.To, o.zone))
	s := k.Season(o.Config.Name, years, &t, o.dated.Len(), o.zone)
	if err := answered(k); err != nil {
		return err
	}
	if len(s.Attempts) == 0 && len(s.Clutches) == 0 {
		return failure{fmt.Sprintf("no attempt and no clutch of %s is in the tables", years.Words()), "the years in the tables are " + strings.Join(o.years(), ", ")}
	}
	if a.format == "json" {
		return a.printJSON(s)
	}
	folder := filepath.Join(o.Dir, club.SeasonDir)
	ours := book == "" || web == ""
	if book == "" {
		book = filepath.Join(folder, years.String()+".xlsx")
	}
	if web == "" {
		web = filepath.Join(folder, years.String()+".html")
	}
	document := func(file string) *report.Document {
		options := o.links(file)
		options.SpeciesSheets = sheets
		return compose.Season(s, options)
	}
	write := func() error {
		tell(fmt.Sprintf("season %s: writing the workbook", years))
		if err := a.writeBook(book, document(book)); err != nil {
			return err
		}
		tell(fmt.Sprintf("season %s: writing the page", years))
		doc := document(web)
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
