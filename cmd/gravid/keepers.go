package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"gravid/analyze/answer"
	"gravid/analyze/compose"
	"gravid/analyze/report/page"
)

func (a *app) keepersCommand() *cobra.Command {
	var q answer.KeepersQuestion
	var book, web string
	var technical bool
	c := &cobra.Command{
		Use:   "keepers",
		Short: "each keeper's spawnings against those expected, and what was set aside of each keeper's logs",
		Long: fmt.Sprintf(`keepers holds the spawnings of each keeper against those to expect if the attempts
had gone as the club's do with the same species, with exact limits. It ranks nobody,
compares nobody with fewer than %d attempts, and leaves out keepers who write down
spawnings only. Each keeper gets a part of their own: their records, how
they compare, and what was set aside of their logs with what to do about it.

Where club.toml says pseudonyms = true, keepers go by letters and no log is named.`, answer.KeeperFloor),
		Example: `  gravid keepers
  gravid keepers --season 2025 --species "Corydoras paleatus" --page keepers.html`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if cmd.Flags().Changed("season") && (q.Season < 1900 || q.Season > 9999) {
				return usageError{fmt.Sprintf("%d is not a year", q.Season), "write it as 2025"}
			}
			return a.keepers(q, book, web, technical)
		},
	}
	f := c.Flags()
	f.IntVar(&q.Season, "season", 0, "only attempts that began in this year")
	f.StringVar(&q.Species, "species", "", "only attempts with this species")
	f.StringVar(&book, "workbook", "", "write a workbook to this file instead")
	f.StringVar(&web, "page", "", "write a page to this file instead")
	f.BoolVar(&technical, "technical", false, "show the technical part")
	return c
}

func (a *app) keepers(q answer.KeepersQuestion, book, web string, technical bool) error {
	if err := a.notCSV("keepers"); err != nil {
		return err
	}
	o, err := a.open()
	if err != nil {
		return err
	}
	defer o.Close()
	if q.Species != "" {
		if q.Species, err = a.theSpecies(o, q.Species); err != nil {
			return err
		}
	}
	asker := o.asker(0)
	k := asker.Keepers(q, &o.tables)
	if err := answered(asker); err != nil {
		return err
	}
	if len(k.Keepers) == 0 {
		return failure{"no attempt like that is in the tables", fmt.Sprintf("the species in the tables are %s, and the years %s", strings.Join(o.logged(), ", "), strings.Join(o.years(), ", "))}
	}
	if a.format == "json" {
		return a.printJSON(k)
	}
	if book != "" {
		if err := a.writeBook(book, compose.Keepers(k, o.links(book))); err != nil {
			return err
		}
	}
	if web != "" {
		doc := compose.Keepers(k, o.links(web))
		if err := a.writeFile(web, func(w io.Writer) error { return page.Write(w, doc, page.Options{}) }); err != nil {
			return err
		}
	}
	if book != "" || web != "" {
		return nil
	}
	return a.show(compose.Keepers(k, o.links(o.Dir)), technical)
}
