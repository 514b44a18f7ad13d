package main

import (
	"image"
	_ "image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// renderers are the programs that turn a workbook into pictures. Without them the
// test of the pictures is left out, but for CI, which installs them.
func renderers(t *testing.T) {
	t.Helper()
	for _, name := range []string{"soffice", "pdftoppm"} {
		if _, err := exec.LookPath(name); err != nil {
			if os.Getenv("CI") != "" {
				t.Fatalf("%s is not installed: .ci/run install does that", name)
			}
			t.Skipf("%s is not installed; .ci/run install does that", name)
		}
	}
}

// makeDemo makes the demo club in a folder, reads its logs and writes the season.
func makeDemo(t *testing.T, dir string) (stdout string) {
	t.Helper()
	return string(gravid(t, exitDone, "demo", dir))
}

// shared is the demo club of the tests that only read it, made by the first of them.
var shared struct {
	sync.Once
	dir, stdout string
}

// demoClub returns the shared demo club and what the program said while making it.
func demoClub(t *testing.T) (dir, stdout string) {
	t.Helper()
	shared.Do(func() {
		dir, err := os.MkdirTemp("", "gravid-demo-*")
		require.NoError(t, err)
		shared.dir = filepath.Join(dir, "demo")
		shared.stdout = makeDemo(t, shared.dir)
	})
	require.NotEmpty(t, shared.stdout, "the demo club could not be made")
	return shared.dir, shared.stdout
}

// TestWorkbookRenders opens the season workbook with LibreOffice, prints it and
// looks at every page: none may be blank, and every sheet must be there.
func TestWorkbookRenders(t *testing.T) {
	leaveOutIfShort(t)
	renderers(t)
	dir, _ := demoClub(t)
	book := filepath.Join(dir, "season", "2025.xlsx")
	f, err := excelize.OpenFile(book)
	require.NoError(t, err)
	sheets := f.GetSheetList()
	require.NoError(t, f.Close())
	require.GreaterOrEqual(t, len(sheets), 8)

	require.GreaterOrEqual(t, len(printed(t, book)), len(sheets))
}

// TestTemplateRenders opens the log workbook for members with LibreOffice, looks at every
// page, and reads what LibreOffice makes of it when it saves it again.
func TestTemplateRenders(t *testing.T) {
	leaveOutIfShort(t)
	renderers(t)
	dir := t.TempDir()
	book := filepath.Join(dir, "log.xlsx")
	gravid(t, exitDone, "template", book, "--examples")
	require.GreaterOrEqual(t, len(printed(t, book)), 4)

	club := filepath.Join(dir, "club")
	gravid(t, exitDone, "new", club)
	for _, kind := range []string{"xlsx", "ods"} {
		saved := filepath.Join(club, "logs", "saved as "+kind)
		require.NoError(t, os.MkdirAll(saved, 0o777))
		convert(t, book, kind, saved)
	}
	require.Contains(t, string(gravid(t, exitDone, "ingest", "--club", club)), "8 attempts, 4 clutches")
	require.Equal(t, "no problems\n", string(gravid(t, exitDone, "problems", "--club", club)))
}

// convert writes a workbook in another format with LibreOffice.
func convert(t *testing.T, book, format, dir string) {
	t.Helper()
	profile := "-env:UserInstallation=file://" + filepath.ToSlash(filepath.Join(t.TempDir(), "profile"))
	text, err := exec.Command("soffice", profile, "--headless", "--convert-to", format, "--outdir", dir, book).CombinedOutput()
	require.NoError(t, err, string(text))
}

// printed prints a workbook and returns its pages as pictures, none of them blank.
func printed(t *testing.T, book string) []string {
	t.Helper()
	out := t.TempDir()
	convert(t, book, "pdf", out)
	name := strings.TrimSuffix(filepath.Base(book), ".xlsx")
	text, err := exec.Command("pdftoppm", "-png", "-r", "60", filepath.Join(out, name+".pdf"), filepath.Join(out, "page")).CombinedOutput()
	require.NoError(t, err, string(text))
	pages, err := filepath.Glob(filepath.Join(out, "page*.png"))
	require.NoError(t, err)
	for _, p := range pages {
		file, err := os.Open(p)
		require.NoError(t, err)
		picture, _, err := image.Decode(file)
		require.NoError(t, err)
		require.NoError(t, file.Close())
		require.Greater(t, ink(picture), 0.002, "%s is as good as blank", filepath.Base(p))
		if to := os.Getenv("GRAVID_PICTURES"); to != "" {
			b, err := os.ReadFile(p)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(filepath.Join(to, name+"-"+filepath.Base(p)), b, 0o666))
		}
	}
	return pages
}

// ink is the share of a picture that is not nearly white.
func ink(p image.Image) float64 {
	dark, all := 0, 0
	b := p.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			r, g, bl, _ := p.At(x, y).RGBA()
			all++
			if r+g+bl < 3*0xe000 {
				dark++
			}
		}
	}
	return float64(dark) / float64(all)
}
