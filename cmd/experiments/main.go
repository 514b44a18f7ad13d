// Command experiments plants truths in made-up clubs, asks gravid's own analysis
// about them many times over, and says how often it is right.
//
//	go run ./cmd/experiments                      # all, 500 replicates each
//	go run ./cmd/experiments -replicates 2000     # the figures to publish
//	go run ./cmd/experiments -only E1,E3 -markdown
//	go run ./cmd/experiments -only MATTER -worlds "spawnings only"
//
// Each experiment follows the scheme of Morris, White & Crowther (2019): what was
// planted, what is asked for, which procedures answer, and how they are judged. Ours
// stand beside the procedures that people would otherwise use; where such a rival
// has to fail visibly, its failure is a check of its own. Every figure comes with the
// standard error of the simulation, and with its band.
//
// A figure is outside its band when it misses it by more than 2.6 standard errors of
// the simulation, about 1 in 100 by chance where the truth lies on the edge. It is
// "in" when it lies in the band itself, "near" when it misses it by less; with 2000
// replicates it should be in. A band marked exact allows nothing. An analysis that
// fails counts against us: a missing interval covers nothing, and a failed fit is
// a false alarm.
//
// Each replicate has a source of random numbers that follows from the seed, the
// experiment, the world and its own number, so that the same seed gives the same
// bytes on any number of processors.
//
// Replicates cost alike, so 2000 take four times as long as 500.
//
// The exit status is 0 when every check passes, 1 when one does not, and 2 when the
// command was not understood. The command is for those who work on gravid; it is no
// part of the program.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"runtime"
	"slices"
	"strings"
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// experiments lists what can be run. A new experiment is a file of its own and a
// line here.
func experiments() []experiment {
	return []experiment{
		doesItMatter(askAbout),
		amounts(answerAbout),
		skillTied(ask),
		slopesVary(ask),
		separated(ask),
		sharedWeather(askWeather),
		seasonBoth(opinionOnWeather),
		successesOnly(askKnown, askUnknown),
		blanks(askBlank),
		coarseChecks(askTiming),
		competingLosses(askIncidence),
		eggCounts(askEggs),
		manyQuestions(askTable),
		monthlyLooks(opinionOnTries),
	}
}

// run is the command without the process around it.
func run(args []string, out, errs io.Writer) int {
	flags := flag.NewFlagSet("experiments", flag.ContinueOnError)
	flags.SetOutput(errs)
	replicates := flags.Int("replicates", 500, "how often each world is drawn")
	only := flags.String("only", "", "experiments to run, with commas between, for example E1,E3")
	worlds := flags.String("worlds", "", "run only the worlds with this in their names; the figures of a world do not depend on it")
	seed := flags.Uint64("seed", 1, "seed of everything that is drawn")
	workers := flags.Int("workers", runtime.GOMAXPROCS(0), "how many replicates are worked on at a time; the result does not depend on it")
	asJSON := flags.Bool("json", false, "write JSON")
	asMarkdown := flags.Bool("markdown", false, "write Markdown")
	if err := flags.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return 0
		}
		return 2
	}
	chosen, err := choose(experiments(), *only)
	if err == nil {
		chosen, err = pickWorlds(chosen, *worlds)
	}
	switch {
	case err != nil:
	case flags.NArg() > 0:
		err = fmt.Errorf("no arguments are needed, but there is %q", flags.Arg(0))
	case *replicates < 2:
		err = fmt.Errorf("-replicates must be 2 or more, not %d", *replicates)
	case *workers < 1:
		err = fmt.Errorf("-workers must be 1 or more, not %d", *workers)
	case *asJSON && *asMarkdown:
		err = errors.New("-json and -markdown exclude each other")
	}
	if err != nil {
		fmt.Fprintln(errs, "experiments: error:", err)
		return 2
	}
	var report reporter = &textReport{out: out}
	switch {
	case *asJSON:
		report = &jsonReport{out: out}
	case *asMarkdown:
		report = &markdownReport{out: out}
	}
	failed, err := runAll(chosen, settings{replicates: *replicates, seed: *seed, workers: *workers}, report)
	if err != nil {
		fmt.Fprintln(errs, "experiments: error:", err)
		return 2
	}
	if failed > 0 {
		return 1
	}
	return 0
}

// runAll runs experiments one after the other and returns how many checks failed.
func runAll(list []experiment, s settings, report reporter) (failed int, err error) {
	if err := report.begin(s); err != nil {
		return 0, err
	}
	for _, e := range list {
		r := e.run(s)
		failed += r.failed()
		if err := report.add(r); err != nil {
			return failed, err
		}
	}
	return failed, report.end(failed)
}

// choose picks experiments by their codes; all, where only is empty.
func choose(all []experiment, only string) ([]experiment, error) {
	if only == "" {
		return all, nil
	}
	var chosen []experiment
	for _, id := range strings.Split(only, ",") {
		id = strings.ToUpper(strings.TrimSpace(id))
		i := slices.IndexFunc(all, func(e experiment) bool { return e.id == id })
		if i < 0 {
			var known []string
			for _, e := range all {
				known = append(known, e.id)
			}
			return nil, fmt.Errorf("there is no experiment %q; there are %s", id, strings.Join(known, ", "))
		}
		chosen = append(chosen, all[i])
	}
	return chosen, nil
}

// pickWorlds leaves the worlds with part in their names, and the experiments that have
// any.
func pickWorlds(list []experiment, part string) ([]experiment, error) {
	var picked []experiment
	for _, e := range list {
		e.worlds = slices.DeleteFunc(slices.Clone(e.worlds), func(w world) bool { return !strings.Contains(w.name, part) })
		if len(e.worlds) > 0 {
			picked = append(picked, e)
		}
	}
	if len(picked) == 0 {
		return nil, fmt.Errorf("no world of these experiments has %q in its name", part)
	}
	return picked, nil
}
