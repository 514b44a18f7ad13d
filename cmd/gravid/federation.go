package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"gravid/ingest/club"
	"gravid/ingest/club/federation"
)

// exportPartition writes what a club gives to a federation of clubs.
func (a *app) exportPartition(args []string, out string) error {
	switch {
	case len(args) > 0:
		return usageError{"--partition takes all tables of a federation: " + strings.Join(federation.Tables, ", "), "leave out " + quote(args[0])}
	case a.format != "parquet":
		return usageError{"--partition writes Parquet files and nothing else", "add --format parquet"}
	case out == "" || out == "-":
		return usageError{"--partition needs a folder to write to", "name one with -o"}
	}
	c, err := club.Open(a.club)
	if err != nil {
		return asFailure(err)
	}
	defer c.Close()
	m, err := federation.Export(c, out)
	if err != nil {
		return asFailure(err)
	}
	rows := map[string]int64{}
	for _, f := range m.Files {
		rows[f.Table] += f.Rows
	}
	var parts []string
	for _, t := range federation.Tables {
		parts = append(parts, fmt.Sprintf("%d %s", rows[t], t))
	}
	a.say("note", fmt.Sprintf("wrote %s to %s, under pseudonyms and without remarks", strings.Join(parts, ", "), filepath.Join(out, federation.Folder(m.Club))),
		"keep "+federation.KeyFile+" in the club's folder, and to yourselves: with it the same names get the same pseudonyms next time")
	return nil
}
