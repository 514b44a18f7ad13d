package main

import (
	"fmt"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// A build is what a message about the program should name.
type build struct {
	Version string `json:"version"` // of the module; "unknown" where it was built without
	Go      string `json:"go"`
	System  string `json:"system"` // operating system and processor
}

func thisBuild() build {
	b := build{Version: "unknown", Go: runtime.Version(), System: runtime.GOOS + "/" + runtime.GOARCH}
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		b.Version = info.Main.Version
	}
	return b
}

func (a *app) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "which version this is, and what it was built with",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if err := a.notCSV("version"); err != nil {
				return err
			}
			b := thisBuild()
			if a.format == "json" {
				return a.printJSON(b)
			}
			_, err := fmt.Fprintf(a.stdout, "gravid %s, built with %s for %s\n", b.Version, b.Go, b.System)
			return err
		},
	}
}
