//go:build linux

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
)

// mended are the first versions of modules that we know to be free of entries in the
// Go vulnerability database, in its copy of 20 August 2026, that older versions have. No
// version of apache/arrow/go has an entry.
var mended = []struct{ module, version, entries string }{
	{"google.golang.org/grpc", "v1.85.0", "GO-2026-4762, GO-2026-6061"},
	{"google.golang.org/protobuf", "v1.36.12", "GO-2024-2611"},
	{"github.com/klauspost/compress", "v1.20.4", "GO-2026-5841"},
	{"golang.org/x/image", "v0.48.0", "GO-2026-6222"},
}

// mendedGo is the first version of Go without an entry that this program meets: 1.26.0
// has 33, among them ways out of os.Root and endless recursion in encoding/xml.
const mendedGo = "1.26.8"

// supply looks at what the program is made of, and how it is made.
func supply(b *bench) error {
	root, err := moduleRoot()
	if err != nil {
		return err
	}
	for _, step := range []func(*bench, string) error{verified, noHoles, reasoned, sameBytes, otherSystems} {
		if b.stop.Err() != nil {
			b.notTried("all others", "-", "interrupted")
			return nil
		}
		if err := step(b, root); err != nil {
			return err
		}
	}
	return nil
}

func moduleRoot() (string, error) {
	out, err := exec.Command("go", "env", "GOMOD").Output()
	file := strings.TrimSpace(string(out))
	if err != nil || filepath.Base(file) != "go.mod" {
		return "", fmt.Errorf("the module was not found (go env GOMOD says %q): run this inside it", file)
	}
	return filepath.Dir(file), nil
}

func verified(b *bench, root string) error {
	t := b.try("modules", "ran go mod verify", "every module is as go.sum says")
	cmd := exec.Command("go", "mod", "verify")
	cmd.Dir = root
	out, err := cmd.CombinedOutput()
	if err != nil || !strings.Contains(string(out), "all modules verified") {
		t.fault("%s", short(string(out), 300))
	}
	t.end("all modules verified")
	return nil
}

// A requiredModule is one of go.mod.
type requiredModule struct {
	Path, Version string
	Indirect      bool
}

// goMod reads what go.mod says of modules and of Go.
func goMod(root string) (modules []requiredModule, toolchain string, err error) {
	cmd := exec.Command("go", "mod", "edit", "-json")
	cmd.Dir = root
	out, err := cmd.Output()
	if err != nil {
		return nil, "", err
	}
	var m struct {
		Toolchain string
		Require   []requiredModule
	}
	err = json.Unmarshal(out, &m)
	return m.Require, strings.TrimPrefix(m.Toolchain, "go"), err
}

func noHoles(b *bench, root string) error {
	t := b.try("known holes", fmt.Sprintf("held go.mod against %d modules, and Go itself, with entries in the Go vulnerability database (copy of 20 August 2026)", len(mended)), "none older than the first version known to be without")
	modules, toolchain, err := goMod(root)
	if err != nil {
		return err
	}
	version := map[string]string{}
	for _, m := range modules {
		version[m.Path] = m.Version
	}
	for _, m := range mended {
		if have := version[m.module]; have != "" && older(have, m.version) {
			t.fault("%s %s has %s: raise it to %s", m.module, have, m.entries, m.version)
		}
	}
	if older(toolchain, mendedGo) {
		t.fault("go.mod asks for Go %q, and %s is the first without an entry", toolchain, mendedGo)
	}
	t.end("%d modules, %d of them named by an entry and raised", len(modules), len(mended))
	return nil
}

// older compares versions of three numbers; what cannot be read counts as older.
func older(have, want string) bool {
	h, hok := numbersOf(have)
	w, _ := numbersOf(want)
	for i := range h {
		if h[i] != w[i] {
			return h[i] < w[i] || !hok
		}
	}
	return !hok
}

func numbersOf(version string) (n [3]int, ok bool) {
	parts := strings.Split(strings.TrimPrefix(version, "v"), ".")
	if len(parts) != len(n) {
		return n, false
	}
	for i, p := range parts {
		p, _, _ = strings.Cut(p, "-")
		var err error
		if n[i], err = strconv.Atoi(p); err != nil {
			return n, false
		}
	}
	return n, true
}

func reasoned(b *bench, root string) error {
	t := b.try("reasons", "looked in DEVELOPERS.md for every direct dependency", "each is named there, with the reason")
	modules, _, err := goMod(root)
	if err != nil {
		return err
	}
	doc, err := os.ReadFile(filepath.Join(root, "DEVELOPERS.md"))
	if err != nil {
		return err
	}
	direct := 0
	for _, m := range modules {
		if m.Indirect {
			continue
		}
		direct++
		if !strings.Contains(string(doc), "| `"+m.Path+"` |") {
			t.fault("%s has no line in the table of dependencies", m.Path)
		}
	}
	t.end("%d direct dependencies", direct)
	return nil
}

// build makes the program as it is given away: no cgo, no paths of this machine.
func (b *bench) build(root, to string, env ...string) error {
	cmd := exec.CommandContext(b.stop, "go", "build", "-trimpath", "-buildvcs=false", "-o", to, "./cmd/gravid")
	cmd.Dir = root
	cmd.Env = append(append(os.Environ(), "CGO_ENABLED=0"), env...)
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("%w: %s", err, short(string(out), 300))
	}
	return nil
}

// sameBytes builds the program here, and once more from a copy of the files in another
// folder with nothing built before.
func sameBytes(b *bench, root string) error {
	t := b.try("same bytes", "built the program in its folder, and from a copy elsewhere with an empty build cache", "the same bytes (go build -trimpath -buildvcs=false, CGO_ENABLED=0)")
	elsewhere, err := b.folder("copy")
	if err != nil {
		return err
	}
	if err := copyTracked(root, elsewhere); err != nil {
		return err
	}
	var sums [2]string
	for i, from := range []string{root, elsewhere} {
		to := filepath.Join(b.base, fmt.Sprintf("built-%d", i))
		var env []string
		if i == 1 {
			env = []string{"GOCACHE=" + filepath.Join(b.base, "cache")}
		}
		if err := b.build(from, to, env...); err != nil {
			t.fault("%v", err)
			break
		}
		if sums[i], _, err = hashFile(to); err != nil {
			return err
		}
	}
	if sums[0] != sums[1] {
		t.fault("%s and %s", sums[0], sums[1])
	}
	t.end("SHA-256 %s both times", sums[0])
	return nil
}

// copyTracked copies the files that a build may need: all but those git keeps out.
func copyTracked(root, to string) error {
	cmd := exec.Command("git", "ls-files", "-z", "--cached", "--others", "--exclude-standard")
	cmd.Dir = root
	out, err := cmd.Output()
	if err != nil {
		return fmt.Errorf("list the files of the module: %w", err)
	}
	for name := range strings.SplitSeq(strings.TrimSuffix(string(out), "\x00"), "\x00") {
		if err := copyFile(filepath.Join(root, name), filepath.Join(to, name)); err != nil && !errors.Is(err, os.ErrNotExist) {
			return err
		}
	}
	return nil
}

func copyFile(from, to string) error {
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return err
	}
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.Create(to)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// systems are what the program is built for.
var systems = []struct{ os, arch, magic string }{
	{"linux", "amd64", "\x7fELF"},
	{"linux", "arm64", "\x7fELF"},
	{"darwin", "amd64", "\xcf\xfa\xed\xfe"},
	{"darwin", "arm64", "\xcf\xfa\xed\xfe"},
	{"windows", "amd64", "MZ"},
	{"windows", "arm64", "MZ"},
}

func otherSystems(b *bench, root string) error {
	for _, s := range systems {
		t := b.try(s.os+" "+s.arch, "built the program for it without cgo", "it is built, and is a program of that system")
		to := filepath.Join(b.base, s.os+"-"+s.arch)
		err := b.build(root, to, "GOOS="+s.os, "GOARCH="+s.arch)
		if b.stop.Err() != nil {
			b.notTried(t.name, t.did, "interrupted")
			return nil
		}
		var size int64
		if err == nil {
			size, err = beginsWith(to, s.magic)
		}
		if err != nil {
			t.fault("%v", err)
		}
		t.end("%.1f MB", float64(size)/1e6)
	}
	return nil
}

// beginsWith tells the size of a file that begins as it should.
func beginsWith(name, magic string) (int64, error) {
	f, err := os.Open(name)
	if err != nil {
		return 0, err
	}
	defer f.Close()
	head := make([]byte, len(magic))
	if _, err := io.ReadFull(f, head); err != nil {
		return 0, err
	}
	if !bytes.Equal(head, []byte(magic)) {
		return 0, fmt.Errorf("the file begins with %q", head)
	}
	info, err := f.Stat()
	if err != nil {
		return 0, err
	}
	return info.Size(), nil
}
