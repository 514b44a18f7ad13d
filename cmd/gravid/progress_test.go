package main

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A run that takes long says how far it has come, in whole lines that do not follow each
// other too fast; a short or a quiet one says nothing.
func TestProgress(t *testing.T) {
	dir, _ := demoClub(t)
	for _, c := range []struct {
		step  time.Duration // that the clock goes on each time it is looked at
		quiet bool
		least int
		most  int
	}{{0, false, 0, 0}, {time.Second, false, 5, 1000}, {time.Second, true, 0, 0}} {
		now, looks := today, 0
		clock := func() time.Time { looks++; now = now.Add(c.step); return now }
		args := []string{"season", "2025", "--club", dir, "--workbook", t.TempDir() + "/b.xlsx", "--page", t.TempDir() + "/p.html"}
		if c.quiet {
			args = append(args, "--quiet")
		}
		var out, errs bytes.Buffer
		require.Equal(t, exitDone, run(args, system{stdout: &out, stderr: &errs, now: clock, getenv: func(string) string { return "" }}), errs.String())
		lines := bytes.Split(bytes.TrimSuffix(errs.Bytes(), []byte("\n")), []byte("\n"))
		told := 0
		for _, line := range lines {
			if bytes.HasPrefix(line, []byte("gravid: note: season 2025: ")) {
				told++
			}
		}
		require.GreaterOrEqual(t, told, c.least)
		require.LessOrEqual(t, told, min(c.most, looks/2), "no more than a line every two seconds")
	}
}
