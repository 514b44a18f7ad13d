package main

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math"
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
//	processor S      what one call used of the processors, in seconds
//	memory M         peak in MiB of what was timed, where that is a process of its own
//	missing PACKAGE  the package is not installed; nothing else follows
type turn struct {
	seconds   float64
	processor float64 // seconds; 0 where it cannot be told
	values    []value
	version   string
	missing   string
	memory    float64 // peak of the process in MiB; 0 where it cannot be told
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
		case "seconds", "processor", "memory":
			v, err := strconv.ParseFloat(rest, 64)
			if err != nil || !(v > 0) && (word != "processor" || v != 0) {
				return t, fmt.Errorf("%q cannot be the %s", rest, word)
			}
			*map[string]*float64{"seconds": &t.seconds, "processor": &t.processor, "memory": &t.memory}[word] = v
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
	if t.memory == 0 {
		t.memory = peakMemory(cmd.ProcessState)
	}
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
		return report(all[k], args[2], out)
	}
	rows, err := strconv.Atoi(args[3])
	if err != nil || rows < 1 {
		return fmt.Errorf("%q is not a number of rows", args[3])
	}
	seed, err := strconv.ParseUint(args[4], 10, 64)
	if err != nil {
		return fmt.Errorf("%q is not a seed", args[4])
	}
	return all[k].write(args[2], rows, seed)
}

// report takes our turn on the data at path, and says what parseTurn reads.
func report(c comparison, path string, out io.Writer) error {
	take := c.takeCall
	if c.whole != nil {
		take = func(path string) (turn, error) { return c.whole(folder(path)) }
	}
	t, err := take(path)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "seconds %.9g\nprocessor %.9g\nversion %s\n", t.seconds, t.processor, runtime.Version())
	if t.memory > 0 {
		fmt.Fprintf(out, "memory %.9g\n", t.memory)
	}
	for _, v := range t.values {
		fmt.Fprintf(out, "value %s %.17g\n", v.name, v.value)
	}
	return nil
}

// takeCall times a call on a frame.
func (c comparison) takeCall(path string) (turn, error) {
	f, err := readFrame(path)
	if err != nil {
		return turn{}, err
	}
	t, err := c.ours(f)
	if err != nil {
		return turn{}, err
	}
	seconds, processor, err := timeOf(t.run)
	if err != nil {
		return turn{}, err
	}
	return turn{seconds: seconds, processor: processor, values: t.values()}, nil
}

// longEnough is how long calls are repeated, so that the clock's own grain does not
// matter; the prelude in R holds the same number.
const longEnough = 200 * time.Millisecond

// timeOf returns the seconds of one call, by the clock and of the processors: the first
// one where it is long enough, otherwise the mean of as many more as take that long.
func timeOf(call func() error) (seconds, processor float64, err error) {
	runtime.GC()
	for calls := 0; ; {
		start, used := time.Now(), processorTime()
		least := 1
		if calls > 0 { // the first was too short
			least = math.MaxInt
		}
		calls = 0
		for calls < least && (calls == 0 || time.Since(start) < longEnough) {
			if err := call(); err != nil {
				return 0, 0, err
			}
			calls++
		}
		all := time.Since(start)
		if all >= longEnough {
			return all.Seconds() / float64(calls), (processorTime() - used) / float64(calls), nil
		}
	}
}
