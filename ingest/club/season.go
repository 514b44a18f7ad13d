package club

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/gofrs/flock"

	"gravid/ingest/club/atomicfile"
)

// InSeason writes documents into the club's folder season/, which it makes if need be.
// One process at a time does so: another one waits, after a call of waiting. What a
// killed run was writing there is cleared away first.
func (c *Club) InSeason(waiting func(), write func() error) (err error) {
	dir := filepath.Join(c.Dir, SeasonDir)
	if err := os.MkdirAll(dir, 0o777); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	name := filepath.Join(dir, lockFile)
	f, err := os.OpenFile(name, os.O_RDONLY|os.O_CREATE, 0o666)
	if err != nil {
		return err
	}
	lock := flock.New(name)
	taken, err := lock.TryLock()
	if err == nil && !taken {
		waiting()
		err = lock.Lock()
	}
	if err = errors.Join(err, f.Close()); err != nil {
		return err
	}
	defer func() { err = errors.Join(err, lock.Unlock()) }()
	if err := clearFolder(dir); err != nil {
		return err
	}
	return write()
}

// clearFolder removes temporary files from a folder in which nobody else is writing.
func clearFolder(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), atomicfile.TempPrefix) && e.Type().IsRegular() {
			err = errors.Join(err, os.Remove(filepath.Join(dir, e.Name())))
		}
	}
	return err
}
