// Command federation takes the tables that clubs gave with gravid export --partition
// and tells, for every day at risk of every club, how the air pressure (or another
// reading) moved before it, and how many days there are of each kind.
//
//	go run . --from FOLDER --to FOLDER
//
// It writes, below the folder that --to names,
//
//	trigger=pressure-drop/club=CODE/days.csv   one line a day of an attempt
//	trigger=pressure-drop/counts.csv           days by club, species, keeper, trigger and outcome
//
// where a blank change or trigger means that the readings cannot tell it.
//
// The work is laid out for Apache Beam. Without more flags its local runner, prism, does
// it in this process; --runner flink, spark, dataflow or universal and Beam's own flags
// hand it to a cluster, whose workers must reach both folders (gs:// or a disk they
// share). With --alone no engine is used. The bytes of the results are the same.
//
// It is a module of its own, for Beam brings dozens of others along.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"

	"github.com/apache/beam/sdks/v2/go/pkg/beam"
)

var (
	from    = flag.String("from", "", "folder of the federation, which holds a folder club=CODE for each club")
	to      = flag.String("to", "", "folder to write to")
	trigger = flag.String("trigger", "pressure-drop", "code of a trigger that is a fall or a rise in readings")
	aloneOn = flag.Bool("alone", false, "use this machine alone and no engine")
	madeUp  = flag.Int("make-up", 0, "instead of anything else write a made-up federation of about so many readings to the folder --to, to try things on")
	seed    = flag.Uint64("seed", 1, "with --make-up: another seed makes other readings")
)

func main() {
	flag.Parse()
	beam.Init() // a worker of a cluster goes no further
	if err := run(context.Background()); err != nil {
		fmt.Fprintln(os.Stderr, "federation: error:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context) error {
	switch {
	case flag.NArg() > 0:
		return fmt.Errorf("%q is no flag; see --help", flag.Arg(0))
	case *to == "":
		return errors.New("no folder to write to; name one with --to")
	case *madeUp != 0:
		return makeUp(*to, *madeUp, *seed)
	case *from == "":
		return errors.New("no federation to read; name its folder with --from")
	}
	if err := free(ctx, *to, *trigger); err != nil {
		return err
	}
	if *aloneOn {
		return alone(ctx, *from, *to, *trigger)
	}
	return onEngine(ctx, *from, *to, *trigger)
}
