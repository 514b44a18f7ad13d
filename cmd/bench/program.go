package main

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"time"
)

// A folder is where a comparison of whole programs lays its data: a club, with the
// program gravid beside it.
type folder string

func (f folder) path(names ...string) string {
	return filepath.Join(append([]string{string(f)}, names...)...)
}

// gravid runs the program on the folder and returns what it printed. No log here
// has errors, so that its exit status must be 0.
func (f folder) gravid(args ...string) (*exec.Cmd, []byte, error) {
	cmd := exec.Command(filepath.Join(filepath.Dir(string(f)), programName()), append(args, "--club", string(f))...)
	var out, talk bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &talk
	if err := cmd.Run(); err != nil {
		return cmd, nil, fmt.Errorf("gravid %s: %w: %s", args[0], err, bytes.TrimSpace(talk.Bytes()))
	}
	return cmd, out.Bytes(), nil
}

func programName() string {
	if runtime.GOOS == "windows" {
		return "gravid.exe"
	}
	return "gravid"
}

// takeProgram times whole runs of gravid, its start included, as often as it takes to
// last longEnough. Before each one fresh makes the folder as it was; it may be nil.
// values reads what came of it.
func (f folder) takeProgram(fresh func() error, values func(printed []byte) ([]value, error), args ...string) (turn, error) {
	var t turn
	var all time.Duration
	var printed []byte
	runs := 0
	for ; all < longEnough; runs++ {
		if fresh != nil {
			if err := fresh(); err != nil {
				return t, err
			}
		}
		start := time.Now()
		cmd, out, err := f.gravid(args...)
		if err != nil {
			return t, err
		}
		all += time.Since(start)
		t.processor += (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds()
		t.memory = math.Max(t.memory, peakMemory(cmd.ProcessState))
		printed = out
	}
	t.seconds = all.Seconds() / float64(runs)
	t.processor /= float64(runs)
	var err error
	t.values, err = values(printed)
	return t, err
}

// placeProgram puts gravid into a folder: the given file, or one built anew from the
// module that this command is run in.
func placeProgram(dir, given string) error {
	to := filepath.Join(dir, programName())
	if given != "" {
		from, err := filepath.Abs(given)
		if err == nil {
			_, err = os.Stat(from)
		}
		if err != nil {
			return err
		}
		return os.Symlink(from, to)
	}
	if out, err := exec.Command("go", "build", "-o", to, "gravid/cmd/gravid").CombinedOutput(); err != nil {
		return fmt.Errorf("gravid could not be built (run this in gravid's own folder, or name a built one with --gravid): %w: %s", err, bytes.TrimSpace(out))
	}
	return nil
}
