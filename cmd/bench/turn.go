package main

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"
)

// A turn is what one process of one side said: lines of
//
//	seconds S        time of one call, repeated calls averaged
//	value NAME V     a number to compare
//	version TEXT     of the package
//	missing PACKAGE  the package is not installed; nothing else follows
type turn struct {
	seconds float64
	values  []value
	version string
	missing string
	memory  float64 // peak of the process in MiB; 0 where it cannot be told
}

// parseTurn reads those lines. Anything else is an error.
func parseTurn(r io.Reader) (turn, error) {
	var t turn
	lines := bufio.NewScanner(r)
	for lines.Scan() {
		word, rest, _ := strings.Cut(strings.TrimSpace(lines.Text()), " ")
		switch word {
		case "":
		case "version":
			t.version = rest
		case "missing":
			t.missing = rest
		case "seconds":
			v, err := strconv.ParseFloat(rest, 64)
			if err != nil || !(v > 0) {
				return t, fmt.Errorf("%q is not a time", rest)
			}
			t.seconds = v
		case "value":
			name, number, _ := strings.Cut(rest, " ")
			v, err := strconv.ParseFloat(number, 64)
			if err != nil {
				return t, fmt.Errorf("value %s: %q is not a number", name, number)
			}
			t.values = append(t.values, value{name, v})
		default:
			return t, fmt.Errorf("unknown line %q", lines.Text())
		}
	}
	if err := lines.Err(); err != nil {
		return t, err
	}
	if t.missing == "" && (t.seconds == 0 || len(t.values) == 0) {
		return t, fmt.Errorf("no time or no value was said")
	}
	return t, nil
}

// take runs a process and reads what it says.
func take(cmd *exec.Cmd) (turn, error) {
	var out, talk bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &talk
	if err := cmd.Run(); err != nil {
		return turn{}, fmt.Errorf("%s: %w: %s", filepath.Base(cmd.Path), err, strings.TrimSpace(talk.String()))
	}
	t, err := parseTurn(&out)
	if err != nil {
		return t, fmt.Errorf("%s: %w", filepath.Base(cmd.Path), err)
	}
	t.memory = peakMemory(cmd.ProcessState)
	return t, nil
}

// takeOurs takes our turn, in a process of its own.
func takeOurs(c comparison, file string) (turn, error) {
	cmd, err := chore(takeTurn, c.name, file)
	if err != nil {
		return turn{}, err
	}
	return take(cmd)
}

// makeData makes the data and writes them to a file, in a process of its own: the
// peak memory of a process counts that of the one which started it.
func makeData(c comparison, file string, rows int, seed uint64) error {
	cmd, err := chore(writeData, c.name, file, fmt.Sprint(rows), fmt.Sprint(seed))
	if err != nil {
		return err
	}
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("the data could not be made: %w: %s", err, bytes.TrimSpace(out))
	}
	return nil
}

// Chores are what this program does in processes that it starts itself; their names
// are the first argument.
const (
	takeTurn  = "take-turn"  // NAME FILE
	writeData = "write-data" // NAME FILE ROWS SEED
)

// chore is this program told to do one.
func chore(args ...string) (*exec.Cmd, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	return exec.Command(self, args...), nil
}

// doChore does one.
func doChore(all []comparison, args []string, out io.Writer) error {
	if len(args) != map[string]int{takeTurn: 3, writeData: 5}[args[0]] {
		return fmt.Errorf("%s cannot have %d arguments", args[0], len(args)-1)
	}
	k := slices.IndexFunc(all, func(c comparison) bool { return c.name == args[1] })
	if k < 0 {
		return fmt.Errorf("there is no comparison %q", args[1])
	}
	if args[0] == takeTurn {
		f, err := readFrame(args[2])
		if err != nil {
			return err
		}
		return report(all[k], f, out)
	}
	rows, err := strconv.Atoi(args[3])
	if err != nil || rows < 1 {
		return fmt.Errorf("%q is not a number of rows", args[3])
	}
	seed, err := strconv.ParseUint(args[4], 10, 64)
	if err != nil {
		return fmt.Errorf("%q is not a seed", args[4])
	}
	f, err := all[k].data(rows, seed)
	if err != nil {
		return err
	}
	return f.write(args[2])
}

func report(c comparison, f frame, out io.Writer) error {
	t, err := c.ours(f)
	if err != nil {
		return err
	}
	seconds, err := timeOf(t.run)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "seconds %.9g\nversion %s\n", seconds, runtime.Version())
	for _, v := range t.values() {
		fmt.Fprintf(out, "value %s %.17g\n", v.name, v.value)
	}
	return nil
}

// longEnough is how long calls are repeated, so that the clock's own grain does not
// matter; prelude holds the same number.
const longEnough = 200 * time.Millisecond

// timeOf returns the seconds of one call: the first one where it is long enough,
// otherwise the mean of as many more as take that long.
func timeOf(call func() error) (float64, error) {
	runtime.GC()
	start := time.Now()
	if err := call(); err != nil {
		return 0, err
	}
	first := time.Since(start)
	if first >= longEnough {
		return first.Seconds(), nil
	}
	calls := 0
	start = time.Now()
	for time.Since(start) < longEnough {
		if err := call(); err != nil {
			return 0, err
		}
		calls++
	}
	return time.Since(start).Seconds() / float64(calls), nil
}

// prelude is what every script of a rival begins with. A script reads its columns
// from d, calls need() for its packages, clock() around what is timed, and say() for
// every number to compare.
const prelude = `
options(warn = -1, digits = 17)
args <- commandArgs(trailingOnly = TRUE)
need <- function(...) for (p in c(...)) {
  if (!requireNamespace(p, quietly = TRUE)) { cat("missing", p, "\n"); quit(status = 0) }
  cat("version", p, as.character(packageVersion(p)), "\n")
}
clock <- function(call) {
  gc()
  start <- Sys.time(); out <- call(); first <- as.numeric(difftime(Sys.time(), start, units = "secs"))
  if (first < 0.2) {
    calls <- 0; start <- Sys.time()
    repeat {
      out <- call(); calls <- calls + 1
      all <- as.numeric(difftime(Sys.time(), start, units = "secs"))
      if (all >= 0.2) break
    }
    first <- all / calls
  }
  cat("seconds", format(first, digits = 9), "\n")
  out
}
say <- function(name, value) cat(paste0("value ", name, if (length(value) > 1) seq_along(value) else "", " ", format(unname(value), digits = 17, trim = TRUE), "\n"), sep = "")
d <- local({
  con <- file(args[1], "rb"); on.exit(close(con))
  head <- strsplit(readLines(con, 1), " ")[[1]]
  n <- as.integer(head[1])
  cols <- lapply(head[-1], function(h) readBin(con, "double", n, endian = "little"))
  names(cols) <- head[-1]
  as.data.frame(cols)
})
`

// takeRival takes the rival's turn. With no R the package said to be missing is R
// itself.
func takeRival(c comparison, dir, file string) (turn, error) {
	r, err := exec.LookPath("Rscript")
	if err != nil {
		return turn{missing: "R"}, nil
	}
	script := filepath.Join(dir, c.name+".R")
	if err := os.WriteFile(script, []byte(c.program()), 0o666); err != nil {
		return turn{}, err
	}
	return take(exec.Command(r, "--vanilla", script, file))
}

// program is the whole script of the rival.
func (c comparison) program() string {
	need := "cat(\"version\", \"R\", as.character(getRversion()), \"\\n\")\n"
	for _, p := range c.packages {
		need += fmt.Sprintf("need(%q)\n", p)
	}
	return prelude + need + c.script
}

// howToInstall says how a package of R is installed.
func howToInstall(pkg string) string {
	switch pkg {
	case "R":
		return "apt-get install r-base"
	case "logistf":
		return `install.packages("logistf") in R`
	}
	return fmt.Sprintf(`apt-get install r-cran-%s, or install.packages("%s") in R`, strings.ToLower(pkg), pkg)
}
