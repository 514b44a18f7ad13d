package main

import (
	"bytes"
	"fmt"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// browser finds a browser without a window. Without one the test of the page in it is
// left out, but for CI, which installs it.
func browser(t *testing.T) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatal("no browser is installed: .ci/run install does that")
	}
	t.Skip("no browser is installed; .ci/run install does that")
	return ""
}

// TestPageInABrowser opens the season page at the widths of a phone, a tablet and a
// screen: the browser says nothing on its console, the page is drawn, and nothing
// reaches beyond its sides. No name can be looked up meanwhile, so whatever the page
// would fetch would be an error on the console.
func TestPageInABrowser(t *testing.T) {
	leaveOutIfShort(t)
	program := browser(t)
	dir, _ := demoClub(t)
	page := filepath.Join(dir, "season", "2025.html")
	for _, width := range []int{360, 800, 1280} {
		t.Run(fmt.Sprint(width), func(t *testing.T) {
			picture := look(t, program, page, width)
			if to := os.Getenv("GRAVID_PICTURES"); to != "" {
				b, err := os.ReadFile(picture)
				require.NoError(t, err)
				require.NoError(t, os.WriteFile(filepath.Join(to, fmt.Sprintf("page-%d.png", width)), b, 0o666))
			}
		})
	}
}

// look opens a page at a width and returns the picture of it, with what every page must
// be: without a word on the console, not blank, and with nothing beyond its right side.
func look(t *testing.T, program, page string, width int) (picture string) {
	t.Helper()
	out := t.TempDir()
	picture = filepath.Join(out, "page.png")
	cmd := exec.Command(program, "--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--no-first-run",
		"--disable-background-networking", "--disable-component-update", "--disable-sync", "--host-resolver-rules=MAP * ~NOTFOUND",
		"--user-data-dir="+filepath.Join(out, "profile"), "--enable-logging=stderr", "--v=0",
		fmt.Sprintf("--window-size=%d,2400", width), "--screenshot="+picture, "file://"+filepath.ToSlash(page))
	cmd.WaitDelay = 10 * time.Second // helpers of the browser that outlive it hold no pipe open
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	require.NoError(t, cmd.Run(), said.String())
	require.NotContains(t, said.String(), "CONSOLE", "the page makes the browser complain")
	file, err := os.Open(picture)
	require.NoError(t, err, said.String())
	defer file.Close()
	p, _, err := image.Decode(file)
	require.NoError(t, err)
	require.Greater(t, ink(p), 0.005, "the page is as good as blank")
	require.Less(t, inkIn(p, p.Bounds().Dx()-4), 0.02, "something reaches beyond the right side")
	return picture
}

// inkIn is the share of the columns from one on that is not nearly white.
func inkIn(p image.Image, from int) float64 {
	dark, all := 0, 0
	b := p.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := from; x < b.Max.X; x++ {
			r, g, bl, _ := p.At(x, y).RGBA()
			all++
			if r+g+bl < 3*0xe000 {
				dark++
			}
		}
	}
	return float64(dark) / float64(max(all, 1))
}
