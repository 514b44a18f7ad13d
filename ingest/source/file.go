package source

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"syscall"

	"gravid/ingest/problem"
)

// Read reads the bytes of a file: text or a workbook, told by content and never
// by name. It never fails: what cannot be read, or was decided, is in
// File.Problems, each with a remedy. A refused sheet leaves the others readable.
//
// File.Raw and the text of cells share memory with raw, which must not change
// afterwards.
func Read(name string, raw []byte, limits Limits) File {
	return ReadWith(name, raw, Hints{}, limits)
}

// ReadWith is Read for a file about which something is known beforehand.
func ReadWith(name string, raw []byte, hints Hints, limits Limits) File {
	sum := sha256.Sum256(raw)
	f := File{Name: name, SHA256: hex.EncodeToString(sum[:]), Bytes: int64(len(raw)), Raw: raw}
	f.read(hints, limits.filled())
	for i := range f.Problems {
		f.Problems[i].Place.File = name
	}
	problem.Sort(f.Problems)
	return f
}

func (f *File) read(hints Hints, limits Limits) {
	switch {
	case f.Bytes > limits.FileBytes:
		f.refuse("", tooBig(f.Bytes, limits))
	case bytes.HasPrefix(f.Raw, []byte(magicZip)), bytes.HasPrefix(f.Raw, []byte(emptyZip)):
		f.readWorkbook(limits)
	default:
		if err := foreign(f.Raw); err != nil {
			f.refuse("", err)
			return
		}
		f.readText(hints, limits)
	}
}

func tooBig(size int64, limits Limits) error {
	return tooLarge("export a shorter stretch of time, or split the file",
		"the file has %d bytes, and %d are the most that are read", size, limits.FileBytes)
}

// refuse reports why the file, or one sheet of it, is not read.
func (f *File) refuse(sheet string, err error) {
	p := problem.Problem{Severity: problem.Error, Code: problem.FileUnreadable, Place: problem.Place{Sheet: sheet}, Message: err.Error()}
	var r *refusal
	if errors.As(err, &r) {
		p.Code, p.Fix = r.code, r.fix
	}
	f.Problems = append(f.Problems, p)
}

func (f *File) refuseEmpty() {
	f.Problems = append(f.Problems, problem.Problem{
		Severity: problem.Note, Code: problem.FileEmpty, Message: "the file is empty: no rows",
		Fix: "export the log again, or delete the file",
	})
}

// Load reads the file of that name below root and hands it to Read. Anything but
// a regular file is refused unopened, links too. The file is looked at again
// after it was read, and refused when it has changed meanwhile, as in a folder
// that is being synced. What is wrong with the file is in File.Problems; an error
// means that name is no path inside root, which is the caller's mistake.
func Load(root *os.Root, name string, limits Limits) (File, error) {
	return LoadWith(root, name, Hints{}, limits)
}

// LoadWith is Load for a file about which something is known beforehand.
func LoadWith(root *os.Root, name string, hints Hints, limits Limits) (File, error) {
	return load(root, name, hints, limits, func() {})
}

// load calls between after the file was read and before it is looked at again.
func load(root *os.Root, name string, hints Hints, limits Limits, between func()) (File, error) {
	if !filepath.IsLocal(filepath.FromSlash(name)) {
		return File{}, fmt.Errorf("source: %q is no path inside the logs folder", name)
	}
	raw, err := readStable(root, filepath.FromSlash(name), limits.filled(), between)
	if err != nil {
		f := File{Name: name}
		f.refuse("", err)
		f.Problems[0].Place.File = name
		return f, nil
	}
	return ReadWith(name, raw, hints, limits), nil
}

const fixReadable = "look whether the file is still there and may be read, then ingest again"

// readStable reads a regular file that stays the same meanwhile.
func readStable(root *os.Root, name string, limits Limits, between func()) ([]byte, error) {
	before, err := root.Lstat(name)
	if err != nil {
		return nil, unreadable(err)
	}
	if !before.Mode().IsRegular() {
		return nil, refuse(problem.FileUnreadable, "put a copy of the log itself into the logs folder",
			"this is %s, not a regular file", describeMode(before.Mode()))
	}
	if before.Size() > limits.FileBytes {
		return nil, tooBig(before.Size(), limits)
	}
	// Without O_NONBLOCK, a pipe put there since would hold the program up.
	file, err := root.OpenFile(name, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return nil, unreadable(err)
	}
	defer file.Close()
	opened, err := file.Stat()
	if err != nil {
		return nil, unreadable(err)
	}
	if !sameState(before, opened) {
		return nil, errChanged()
	}
	raw := make([]byte, opened.Size())
	if _, err := io.ReadFull(file, raw); errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, errChanged()
	} else if err != nil {
		return nil, unreadable(err)
	}
	between()
	return raw, unchanged(root, name, file, opened, raw)
}

// unchanged compares time, size and content of the file with what was read.
func unchanged(root *os.Root, name string, file *os.File, opened fs.FileInfo, raw []byte) error {
	again := sha256.New()
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return unreadable(err)
	}
	if _, err := io.Copy(again, file); err != nil {
		return unreadable(err)
	}
	first := sha256.Sum256(raw)
	after, err := root.Lstat(name)
	if err != nil || !sameState(opened, after) || !bytes.Equal(first[:], again.Sum(nil)) {
		return errChanged()
	}
	return nil
}

func sameState(a, b fs.FileInfo) bool {
	return os.SameFile(a, b) && a.Mode() == b.Mode() && a.Size() == b.Size() && a.ModTime().Equal(b.ModTime())
}

func unreadable(err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		err = at.Err // the place of the problem names the file
	}
	return refuse(problem.FileUnreadable, fixReadable, "the file cannot be read: %v", err)
}

func errChanged() error {
	return refuse(problem.FileChanged, "wait until the folder has finished syncing and the log is closed, then ingest again",
		"the file changed while it was being read")
}

func describeMode(mode fs.FileMode) string {
	switch {
	case mode&fs.ModeSymlink != 0:
		return "a link to another file"
	case mode.IsDir():
		return "a folder"
	case mode&fs.ModeNamedPipe != 0:
		return "a pipe"
	case mode&fs.ModeSocket != 0:
		return "a socket"
	}
	return "a device"
}

// IsLock tells whether a name is that of a file which spreadsheet programs keep
// beside a workbook while it is open. Such files hold nothing to read.
func IsLock(name string) bool {
	base := path.Base(name)
	return strings.HasPrefix(base, "~$") || strings.HasPrefix(base, ".~lock.") && strings.HasSuffix(base, "#")
}
