//go:build linux

package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// A run counts as hung when it did no work at all for idleTime, or still runs after
// patience. Both are far beyond what any run here needs, and no measure of speed.
const (
	idleTime = 15 * time.Second
	patience = 5 * time.Minute
)

// mostMemory is what no run may use more of, in MB.
const mostMemory = 500

// buildProgram builds gravid; overlay is a file for the compiler's -overlay, or
// nothing.
func buildProgram(to, overlay string) error {
	args := []string{"build", "-o", to}
	if overlay != "" {
		args = append(args, "-overlay", overlay)
	}
	if out, err := exec.Command("go", append(args, "gravid/cmd/gravid")...).CombinedOutput(); err != nil {
		return fmt.Errorf("build gravid: %w\n%s", err, out)
	}
	return nil
}

// A call is how the program is to be run.
type call struct {
	args    []string
	through []string // a command to run it by, such as a shell that sets limits
	env     []string
	user    int    // run as that user; 0 = as we are
	stdout  string // a file for standard output; empty = kept in the outcome
	program string // another build; empty = the bench's own
}

// An outcome is how a run ended.
type outcome struct {
	args           []string
	stdout, stderr string
	status         int // -1 = ended by a signal
	ended          string
	peak           float64 // MB
	took           time.Duration
}

// gravid runs the program to its end.
func (b *bench) gravid(args ...string) (outcome, error) { return b.call(call{args: args}) }

func (b *bench) call(c call) (outcome, error) {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	cmd := b.command(ctx, c)
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	if c.stdout != "" {
		f, err := os.OpenFile(c.stdout, os.O_WRONLY, 0)
		if err != nil {
			return outcome{}, err
		}
		defer f.Close()
		cmd.Stdout = f
	}
	start := time.Now()
	err := cmd.Start()
	if err == nil {
		go endIdle(ctx, cmd.Process.Pid, cancel)
		err = cmd.Wait()
	}
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		return outcome{}, fmt.Errorf("run gravid %s: %w", strings.Join(c.args, " "), err)
	}
	o := outcome{args: c.args, stdout: stdout.String(), stderr: stderr.String(), status: cmd.ProcessState.ExitCode(),
		ended: cmd.ProcessState.String(), peak: peakMemory(cmd.ProcessState), took: time.Since(start)}
	if ctx.Err() != nil {
		o.ended = fmt.Sprintf("hung: killed after %s", o.took.Round(time.Second))
	}
	return o, nil
}

// endIdle cancels a run that does no work. It ends when the run has ended, since
// then its context is cancelled too.
func endIdle(ctx context.Context, pid int, cancel func()) {
	last, since := -1, time.Now()
	for {
		select {
		case <-ctx.Done():
			return
		case <-time.After(idleTime / 10):
		}
		work, sleeping := workOf(pid)
		if work != last || !sleeping {
			last, since = work, time.Now()
		}
		if time.Since(since) > idleTime {
			cancel()
			return
		}
	}
}

// workOf reads how long a process has worked, in ticks, and whether it sleeps.
func workOf(pid int) (ticks int, sleeping bool) {
	raw, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return -1, false
	}
	_, rest, _ := strings.Cut(string(raw), ") ") // the name of the program has no bracket
	fields := strings.Fields(rest)
	const state, user, system = 0, 11, 12
	if len(fields) <= system {
		return -1, false
	}
	for _, i := range []int{user, system} {
		n, _ := strconv.Atoi(fields[i])
		ticks += n
	}
	return ticks, fields[state] == "S"
}

func (b *bench) command(ctx context.Context, c call) *exec.Cmd {
	program := b.program
	if c.program != "" {
		program = c.program
	}
	line := slices.Concat(c.through, []string{program}, c.args)
	cmd := exec.CommandContext(ctx, line[0], line[1:]...)
	cmd.Env = append(os.Environ(), c.env...)
	if c.user != 0 {
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(c.user), Gid: uint32(c.user)}}
	}
	return cmd
}

// peakMemory is the largest resident memory of a process that has ended, in MB. A
// child starts with what its parent held at most, so this harness must stay small.
func peakMemory(p *os.ProcessState) float64 {
	use, ok := p.SysUsage().(*syscall.Rusage)
	if !ok {
		return 0
	}
	return float64(use.Maxrss) * 1024 / 1e6
}

// A want is how a run should end.
type want struct {
	status []int    // one of them
	says   []string // each of them in what goes to standard error
	fix    bool     // with a remedy
}

// differs says how the outcome is not what was wanted, or nothing.
func (o outcome) differs(w want) string {
	if what := o.crashed(); what != "" {
		return what
	}
	if !slices.Contains(w.status, o.status) {
		return fmt.Sprintf("gravid %s ended with status %d, not %v%s", o.line(), o.status, w.status, o.saying())
	}
	for _, text := range w.says {
		if !strings.Contains(o.stderr, text) {
			return fmt.Sprintf("gravid %s does not say %q%s", o.line(), text, o.saying())
		}
	}
	if w.fix && !strings.Contains("\n"+o.stderr, "\nfix: ") {
		return fmt.Sprintf("gravid %s names no remedy%s", o.line(), o.saying())
	}
	return ""
}

// crashed says how a run ended that was not by its own will, or that it used too
// much memory.
func (o outcome) crashed() string {
	switch {
	case o.status == -1:
		return fmt.Sprintf("gravid %s: %s%s", o.line(), o.ended, o.saying())
	case strings.Contains(o.stderr, "\ngoroutine ") || strings.Contains(o.stderr, "panic: ") || strings.Contains(o.stderr, "fatal error: "):
		return fmt.Sprintf("gravid %s crashed%s", o.line(), o.saying())
	case o.peak > mostMemory:
		return fmt.Sprintf("gravid %s used %.0f MB at its peak, more than %d", o.line(), o.peak, mostMemory)
	}
	return ""
}

func (o outcome) line() string { return short(strings.Join(o.args, " "), 80) }

func (o outcome) saying() string {
	if strings.TrimSpace(o.stderr) == "" {
		return ", and says nothing"
	}
	return ": " + short(strings.TrimSpace(o.stderr), 300)
}

// short is the beginning of a text in one printable line.
func short(s string, most int) string {
	if len(s) > most {
		s = s[:most] + "..."
	}
	quoted := fmt.Sprintf("%q", s)
	return strings.ReplaceAll(quoted[1:len(quoted)-1], `\"`, `"`)
}
