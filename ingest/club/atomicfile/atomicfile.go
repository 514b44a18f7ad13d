// Package atomicfile writes files that are there whole or not at all: a killed
// run or a full disk leaves the old file, or none, never a torn one.
//
// It is not for appending, and does not lock: of two writers at once the later
// one wins.
package atomicfile

import (
	"bufio"
	"errors"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
)

// TempPrefix begins the names of files that are being written. A killed run
// leaves them behind; whoever owns the folder may remove them.
const TempPrefix = ".tmp-"

// Write writes the file at a path by what fill puts out. Where fill or the disk
// fails, the path is untouched and nothing is left beside it. A link is followed
// to the file that it names; anything else that is not a plain file is refused.
func Write(name string, fill func(io.Writer) error) error {
	target, err := filepath.EvalSymlinks(name)
	if errors.Is(err, fs.ErrNotExist) {
		target, err = name, nil
	}
	if err != nil {
		return err
	}
	dir, err := os.OpenRoot(filepath.Dir(target))
	if err != nil {
		return Naming(err, filepath.Dir(target), name)
	}
	defer dir.Close()
	return Naming(WriteIn(dir, filepath.Base(target), fill), filepath.Base(target), name)
}

// WriteIn writes a file inside a folder as Write does. The name is a path below
// the folder, with forward slashes; its own folder must exist. Errors of the system
// name the file that was to be written, never the temporary one.
func WriteIn(root *os.Root, name string, fill func(io.Writer) error) error {
	if info, err := root.Lstat(name); err == nil && !info.Mode().IsRegular() {
		return &fs.PathError{Op: "write", Path: name, Err: errors.New("is there already and is not a plain file")}
	}
	temp, err := createTemp(root, path.Dir(name))
	if err != nil {
		return Naming(err, temp.name, name)
	}
	if err := writeSync(temp.File, fill); err != nil {
		return Naming(errors.Join(err, root.Remove(temp.name)), temp.name, name)
	}
	if err := root.Rename(temp.name, name); err != nil {
		return Naming(errors.Join(err, root.Remove(temp.name)), temp.name, name)
	}
	return SyncDir(root, path.Dir(name))
}

// Naming puts the name that people know into an error of the system about a path that
// they do not: that of a temporary file or folder, or of anything below it. Other
// errors, also among joined ones, stay as they are.
func Naming(err error, temp, name string) error {
	joined, ok := err.(interface{ Unwrap() []error })
	if ok {
		var all []error
		for _, e := range joined.Unwrap() {
			all = append(all, Naming(e, temp, name))
		}
		return errors.Join(all...)
	}
	var at *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &at) && isAt(at.Path, temp):
		return &fs.PathError{Op: "write", Path: name, Err: at.Err}
	case errors.As(err, &link) && (isAt(link.Old, temp) || isAt(link.New, temp)):
		return &fs.PathError{Op: "write", Path: name, Err: link.Err}
	}
	return err
}

// isAt reports whether a path is another one or lies below it. Files that were opened
// below a folder have a path that begins with the folder's.
func isAt(p, other string) bool {
	p, other = strings.Trim(filepath.ToSlash(p), "/"), strings.Trim(filepath.ToSlash(other), "/")
	return strings.Contains("/"+p+"/", "/"+other+"/")
}

// Create writes a new file inside a folder and puts it on the disk, without the
// care that WriteIn takes. It is for files in a folder that nobody knows of yet.
func Create(root *os.Root, name string, fill func(io.Writer) error) error {
	f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	return writeSync(f, fill)
}

// SyncDir puts the names in a folder on the disk, so that a rename survives a
// loss of power.
func SyncDir(root *os.Root, name string) error {
	if runtime.GOOS == "windows" {
		return nil // a folder cannot be opened for this there
	}
	dir, err := root.Open(name)
	if err != nil {
		return err
	}
	return errors.Join(dir.Sync(), dir.Close())
}

// writeSync fills a file, puts it on the disk and closes it.
func writeSync(f *os.File, fill func(io.Writer) error) error {
	buffered := bufio.NewWriterSize(f, 256<<10)
	err := fill(buffered)
	if err == nil {
		err = buffered.Flush()
	}
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

type tempFile struct {
	*os.File
	name string
}

func createTemp(root *os.Root, dir string) (tempFile, error) {
	for i := 0; ; i++ {
		name := path.Join(dir, TempPrefix+strconv.Itoa(os.Getpid())+"-"+strconv.Itoa(i))
		f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if err == nil {
			return tempFile{f, name}, nil
		}
		if !errors.Is(err, fs.ErrExist) || i > 9999 {
			return tempFile{name: name}, err
		}
	}
}
