// Command bench times gravid beside the general-purpose packages of R, Python and
// DuckDB that answer the same questions, on the same files and in the same run.
//
//	go run ./cmd/bench
//	go run ./cmd/bench --only glm,clogit --rounds 7 --sizes 1e4,1e5 --markdown
//
// Each comparison makes its data from a seed and writes them to a file. Then ours
// and the rival take turns, each time in a process of its own, so that a machine
// that grows slow for a while slows both. The clock runs around the call alone: not
// around starting R, loading packages or reading the file. A ratio is printed only
// once both sides have given the same numbers, to the tolerance that stands beside
// it. Peak memory is that of the whole process, data included. Whole programs, such as
// gravid ingest, are timed with their start. CPU is the time of
// all processors, which the load of the machine touches less. Growth is the power of the number of rows
// that time goes up with.
//
// A rival that is not installed gives a line that says how to install it. Exit
// status: 0 all done, 1 a side failed, numbers did not agree or an aim was missed, 2
// wrong usage.
//
// It is for those who work on gravid, and no general benchmark of the rivals:
// each of them does more than what is timed.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"gravid/cmd/internal/pick"
)

// parts are the fields of comparison. A further one is a file with such a function,
// and its name here.
var parts = []func() []comparison{regression, durations, counts, reading, questions}

func main() {
	os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
}

// settings are the command line.
type settings struct {
	only     []string
	rounds   int
	sizes    []int // nil: those of each comparison
	seed     uint64
	markdown bool
	list     bool
	gravid   string // a built program; "" builds one
}

func run(args []string, out, talk io.Writer) int {
	if len(args) > 0 && (args[0] == takeTurn || args[0] == writeData) {
		if err := doChore(comparisons(), args, out); err != nil {
			fmt.Fprintln(talk, "bench: error:", err)
			return 1
		}
		return 0
	}
	s, err := parse(args, talk)
	if errors.Is(err, flag.ErrHelp) {
		return 0
	}
	var chosen []comparison
	if err == nil {
		chosen, err = choose(comparisons(), s.only)
	}
	if err != nil {
		fmt.Fprintln(talk, "bench: error:", err)
		return 2
	}
	if s.list {
		for _, c := range chosen {
			fmt.Fprintf(out, "%-16s %s\n", c.name, c.about)
		}
		return 0
	}
	good, err := compareAll(chosen, s, out, talk)
	if err != nil {
		fmt.Fprintln(talk, "bench: error:", err)
		return 1
	}
	if !good {
		return 1
	}
	return 0
}

func parse(args []string, talk io.Writer) (settings, error) {
	var s settings
	var only, sizes string
	flags := flag.NewFlagSet("bench", flag.ContinueOnError)
	flags.SetOutput(talk)
	flags.StringVar(&only, "only", "", "comma-separated names of comparisons, or beginnings of names (all by default; see --list)")
	flags.StringVar(&sizes, "sizes", "", "comma-separated numbers of rows, such as 1e4,1e5 (by default each comparison's own)")
	flags.IntVar(&s.rounds, "rounds", 5, "how often each side has its turn")
	flags.Uint64Var(&s.seed, "seed", 1, "seed of the data")
	flags.BoolVar(&s.markdown, "markdown", false, "print the table as Markdown")
	flags.BoolVar(&s.list, "list", false, "name the comparisons and stop")
	flags.StringVar(&s.gravid, "gravid", "", "a built gravid for the comparisons of whole programs (by default one is built)")
	if err := flags.Parse(args); err != nil {
		return s, err
	}
	if flags.NArg() > 0 {
		return s, fmt.Errorf("unknown argument %q", flags.Arg(0))
	}
	if s.rounds < 1 {
		return s, fmt.Errorf("--rounds must be at least 1, not %d", s.rounds)
	}
	if only != "" {
		s.only = strings.Split(only, ",")
	}
	if sizes != "" {
		for _, text := range strings.Split(sizes, ",") {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil || v != float64(int(v)) || v < 10 || v > 1e9 {
				return s, fmt.Errorf("--sizes: %q is not a whole number of rows between 10 and 1e9", text)
			}
			s.sizes = append(s.sizes, int(v))
		}
	}
	return s, nil
}

func comparisons() []comparison {
	var out []comparison
	for _, part := range parts {
		out = append(out, part()...)
	}
	return out
}

// choose returns the comparisons whose names begin with one of the words; all without words.
func choose(all []comparison, words []string) ([]comparison, error) {
	if words == nil {
		return all, nil
	}
	return pick.ByName(all, func(c comparison) string { return c.name }, words, "comparison")
}
