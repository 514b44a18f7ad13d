package main

import (
	"bytes"
	"encoding/json"
	"io"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/analyze/answer"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/stats/logit"
)

// The same seed gives the same bytes for 1 and for 8 workers, in every format, and
// another seed gives others.
func TestSameBytesForAnyNumberOfWorkers(t *testing.T) {
	output := func(args ...string) string {
		var out, errs bytes.Buffer
		require.NotEqual(t, 2, run(append([]string{"-replicates", "3"}, args...), &out, &errs), errs.String())
		require.Empty(t, errs.String())
		return out.String()
	}
	if !testing.Short() {
		text := output("-workers", "1")
		require.Equal(t, text, output("-workers", "8"))
		for _, e := range experiments() {
			require.Contains(t, text, "\n"+e.id+"  ")
		}
	}
	for _, format := range []string{"-json", "-markdown"} {
		one := output(format, "-only", "E2,E9", "-workers", "1")
		require.Equal(t, one, output(format, "-only", "E2,E9", "-workers", "8"))
		require.NotEqual(t, one, output(format, "-only", "E2,E9", "-seed", "2"))
	}
}

func TestCodesAreDifferent(t *testing.T) {
	seen := map[string]bool{}
	for _, e := range experiments() {
		require.False(t, seen[e.id], e.id)
		seen[e.id] = true
		worlds := map[string]bool{}
		for _, w := range e.worlds {
			require.False(t, worlds[w.name], "two worlds named %s would draw the same numbers", w.name)
			worlds[w.name] = true
		}
	}
}

func TestJSONHoldsEveryFigure(t *testing.T) {
	var out bytes.Buffer
	run([]string{"-replicates", "3", "-only", "e9", "-json"}, &out, io.Discard)
	var read struct {
		Replicates  int
		Experiments []struct {
			ID     string
			Worlds []struct {
				Name    string
				Figures []map[string]any
			}
		}
	}
	require.NoError(t, json.Unmarshal(out.Bytes(), &read))
	require.Equal(t, 3, read.Replicates)
	require.Len(t, read.Experiments, 1)
	require.Equal(t, "E9", read.Experiments[0].ID)
	require.Len(t, read.Experiments[0].Worlds, 4)
	for _, w := range read.Experiments[0].Worlds {
		require.NotEmpty(t, w.Figures)
		for _, f := range w.Figures {
			require.Contains(t, f, "monte_carlo_se")
			require.Contains(t, f, "band_low")
			require.Contains(t, f, "verdict")
		}
	}
}

func TestMarkdownTableHasOneShape(t *testing.T) {
	var out bytes.Buffer
	run([]string{"-replicates", "3", "-only", "E9", "-markdown"}, &out, io.Discard)
	rows := 0
	for line := range strings.Lines(out.String()) {
		if strings.HasPrefix(line, "|") {
			rows++
			require.Equal(t, 7, strings.Count(line, "|"), line)
		}
	}
	require.Greater(t, rows, 40)
}

func TestWhatIsNotUnderstoodExitsWith2(t *testing.T) {
	for _, args := range [][]string{
		{"-only", "E99"}, {"-only", "E1", "-worlds", "no such world"}, {"-replicates", "1"}, {"-workers", "0"}, {"-json", "-markdown"}, {"-colour"}, {"E1"},
	} {
		var out, errs bytes.Buffer
		require.Equal(t, 2, run(args, &out, &errs), args)
		require.NotEmpty(t, errs.String(), args)
		require.Empty(t, out.String(), args)
	}
	require.Equal(t, 0, run([]string{"-help"}, io.Discard, io.Discard))
}

// judged runs the worlds of an experiment whose names begin so, and returns the
// figures of gravid in them.
func judged(t *testing.T, e experiment, worlds string, replicates int) []figure {
	t.Helper()
	var list []figure
	for _, w := range e.worlds {
		if !strings.HasPrefix(w.name, worlds) {
			continue
		}
		for _, f := range w.run(settings{replicates: replicates, seed: 1, workers: 2}, e.id+"/"+w.name) {
			if f.Role == ours && strings.HasPrefix(f.Procedure, "gravid") {
				list = append(list, f)
			}
		}
	}
	require.NotEmpty(t, list, "no figure of gravid in worlds %q of %s", worlds, e.id)
	return list
}

// caught counts the figures outside their bands.
func caught(list []figure) (n int) {
	for _, f := range list {
		if f.Verdict == outBand {
			n++
		}
	}
	return n
}

// A procedure that is broken on purpose, put in the place of gravid's, falls outside
// a band, and gravid's own does not with the same few replicates.
func TestBrokenProceduresAreCaught(t *testing.T) {
	keeperClusters := func(w weather) finding {
		d, _, _ := w.tankDays()
		return larger(firthParts(firth(d), d.Group))
	}
	silent := func(t tries) finding {
		f := ask(t)
		f.separated = false
		return f
	}
	mute := func(tries) finding { return unanswered(true) }
	unguarded := func(tables *club.Tables) (f tableFinding) {
		d := logit.Data{X: [][]float64{make([]float64, len(tables.Attempts))}}
		for i := range tables.Attempts {
			d.Y = append(d.Y, oneIf(tables.Attempts[i].Spawned.V))
		}
		for _, trigger := range triggers(asked[:]...) {
			for i := range tables.Attempts {
				d.X[0][i] = trigger.FromAttempt(&tables.Attempts[i]).V
			}
			f.raw = append(f.raw, mustFit(d, logit.Options{}).WaldTest(0).P)
		}
		f.adjusted = f.raw
		return f
	}
	independentEggs := func(tables *club.Tables) answer.Eggs {
		var x []float64
		for _, c := range tables.Clutches {
			x = append(x, float64(c.Eggs.V))
		}
		b := poissonMean(x)
		m := answer.Mean{Mean: answer.Num(b.value), Low: answer.Num(b.lo), High: answer.Num(b.hi), N: len(x)}
		return answer.Eggs{PerClutch: m, PerFemaleDay: m}
	}
	seasonless := func(w weather) opinion {
		d, front, _ := w.tankDays()
		return opinion{finding: robust(mustFit(d, logit.Options{}), front)}
	}
	timid := func(w weather) opinion {
		o := opinionOnWeather(w)
		o.capped = true
		return o
	}
	allDays := func(l log) opinion { return opinion{finding: l.allDays()} }
	absent := func(tables *club.Tables) opinion {
		for i := range tables.Attempts {
			tables.Attempts[i].LiveFood.OK = true
		}
		return askBlank(tables)
	}
	rash := func(t tries) opinion {
		o := opinionOnTries(t)
		o.verdict = answer.NoDifference
		if o.difference > answer.Margin10 {
			o.verdict = answer.Matters
		}
		return o
	}
	alone := func(r *exposure.Records, species string, codes ...string) opinion {
		return askAbout(r, species, codes[0])
	}
	bare := func(r *exposure.Records, species string, codes ...string) answer.Answer {
		a := answerAbout(r, species, codes...)
		d := &a.Per100.Difference
		d.Low, d.High = d.Estimate, d.Estimate
		return a
	}
	dumb := func(*exposure.Records, string, ...string) opinion { return opinion{finding: unanswered(true)} }
	for _, c := range []struct {
		what           string
		broken, intact experiment
		worlds         string
		replicates     int
		caughtAtLeast  int
		long           bool // only with GRAVID_EXPERIMENTS=all; with -short most of the others are left out as well
	}{
		{"one pot, Wald", skillTied(pooledWald), skillTied(ask), "trigger tied", 60, 1, false},
		{"a procedure that always fails", skillTied(mute), skillTied(ask), "trigger tied", 60, 1, false},
		{"one pot, Wald, slopes", slopesVary(pooledWald), slopesVary(ask), "mean 0, tied", 60, 1, true},
		{"one pot, Wald, interval", slopesVary(pooledWald), slopesVary(ask), "mean 1, tied", 60, 2, true},
		{"a procedure that always fails, interval", slopesVary(mute), slopesVary(ask), "mean 1, tied", 60, 1, true},
		{"a sandwich without a look at separation", separated(blindSandwich), separated(ask), "6 of 6", 40, 2, false},
		{"separation not said", separated(silent), separated(ask), "36 of 36", 20, 1, false},
		{"keepers for clusters", sharedWeather(keeperClusters), sharedWeather(askWeather), "one town, fronts of 5", 120, 1, true},
		{"first sight for the moment", coarseChecks(asIfSeen), coarseChecks(askTiming), "30 clutches, 24 h, laying", 40, 2, false},
		{"maximum likelihood, plugged in", coarseChecks(pluggedIn), coarseChecks(askTiming), "30 clutches, 24 h, laying", 40, 1, true},
		{"one less Kaplan-Meier", competingLosses(asIfLeft), competingLosses(askIncidence), "60 clutches", 40, 3, false},
		{"independent eggs, clutches", eggCounts(independentEggs), eggCounts(askEggs), "8 clutches, k = 2", 60, 1, false},
		{"independent eggs, rate", eggCounts(independentEggs), eggCounts(askEggs), "eggs for each female and day, keepers alike", 60, 1, false},
		{"season not held alike", seasonBoth(seasonless), seasonBoth(opinionOnWeather), "a year, effect 0.7", 16, 1, true},
		{"a placebo that always sees something", seasonBoth(timid), seasonBoth(opinionOnWeather), "a year without a season, effect 0.7", 16, 1, true},
		{"spawning days against all days", successesOnly(allDays, allDays), successesOnly(askKnown, askUnknown), "rest of 5 days, effect 0.7", 12, 4, true},
		{"blank = absent", blanks(absent), blanks(askBlank), "blank by the outcome", 30, 2, false},
		{"a verdict without an interval", monthlyLooks(rash), monthlyLooks(opinionOnTries), "20 more", 12, 1, false},
		{"nothing else held alike", doesItMatter(alone), doesItMatter(askAbout), "given in season and with cool refills, effect 0", 40, 1, false},
		{"a procedure that never answers", doesItMatter(dumb), doesItMatter(askAbout), "better keepers use it more, effect 1.2", 40, 2, false},
		{"amounts without an interval", amounts(bare), amounts(answerAbout), "water changes far past the best", 30, 1, false},
		{"best of all unguarded", manyQuestions(unguarded), manyQuestions(askTable), "8 triggers", 24, 1, true},
	} {
		if c.long && os.Getenv("GRAVID_EXPERIMENTS") != "all" || testing.Short() && !strings.HasPrefix(c.worlds, "trigger tied") {
			continue
		}
		t.Run(c.what, func(t *testing.T) {
			require.GreaterOrEqual(t, caught(judged(t, c.broken, c.worlds, c.replicates)), c.caughtAtLeast)
			for _, f := range judged(t, c.intact, c.worlds, c.replicates) {
				require.NotEqual(t, outBand, f.Verdict, "%s: %s", f.Measure, f.printed())
			}
		})
	}
}

// A failed check ends the command with 1.
func TestFailedChecksAreCounted(t *testing.T) {
	broken := skillTied(pooledWald)
	broken.worlds = broken.worlds[1:]
	var out bytes.Buffer
	failed, err := runAll([]experiment{broken}, settings{replicates: 60, seed: 1, workers: 2}, &textReport{out: &out})
	require.NoError(t, err)
	require.Positive(t, failed)
	require.Contains(t, out.String(), "OUT")
	require.Contains(t, out.String(), closing(failed))
}

// many draws n times from one seeded source.
func many[T any](n int, draw func(*rand.Rand) T) []T {
	rng := rand.New(rand.NewPCG(7, 11))
	list := make([]T, n)
	for i := range list {
		list[i] = draw(rng)
	}
	return list
}
