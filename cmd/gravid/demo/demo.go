// Package demo holds the demo club: three seasons of an invented club, written
// down by twelve keepers of whom no two write alike, and the truth behind the
// records. Command makedemo made it; truth.md tells the truth to people.
//
// The records serve to show and to test the program. They say nothing about
// living fish.
package demo

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
)

//go:embed all:club truth.json
var files embed.FS

const truthFile = "truth.json"

// Truth returns truth.json: what was planted in the records, and where.
func Truth() []byte {
	b, err := files.ReadFile(truthFile)
	if err != nil {
		panic("demo: " + err.Error()) // embedded
	}
	return b
}

// Write lays the folder of the demo club down in dir, which is made if need be:
// club.toml, logs/, and truth.json. A dir that holds anything is an error, and
// nothing is written.
func Write(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return fmt.Errorf("the demo club cannot be made: %w", err)
		}
	case err != nil:
		return fmt.Errorf("the demo club cannot be made: %w", err)
	case len(entries) > 0:
		return fmt.Errorf("the demo club cannot be made in %s: the folder is not empty (it holds %s); name an empty folder or one that does not exist", dir, entries[0].Name())
	}
	return fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || name == "." {
			return err
		}
		target := filepath.Join(dir, filepath.FromSlash(inClub(name)))
		if entry.IsDir() {
			return os.MkdirAll(target, 0o755)
		}
		return copyOut(name, target)
	})
}

// inClub is where an embedded file stands in the folder of the club.
func inClub(name string) string {
	if name == "club" {
		return "."
	}
	return path.Clean(strings.TrimPrefix(name, "club/"))
}

// copyOut writes an embedded file to a path where there is none.
func copyOut(name, target string) error {
	content, err := files.ReadFile(name)
	if err != nil {
		return err
	}
	out, err := os.OpenFile(target, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = out.Write(content)
	return errors.Join(err, out.Close())
}
