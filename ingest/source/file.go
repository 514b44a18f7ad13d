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
	f.content = inMemory(raw)
	f.read(hints, limits.filled())
	return f
}

func (f *File) read(hints Hints, limits Limits) {
	f.readGrids(hints, limits)
	for i := range f.Problems {
		f.Problems[i].Place.File = f.Name
	}
	problem.Sort(f.Problems)
}

func (f *File) readGrids(hints Hints, limits Limits) {
	if f.Bytes > limits.FileBytes {
		f.refuse("", tooBig(f.Bytes, limits))
		return
	}
	workbook := f.isZip()
	if !workbook {
		if err := foreign(f.content); err != nil {
			f.refuse("", err)
			return
		}
	}
	switch {
	case workbook:
		f.readWorkbook(limits)
	case f.content.whole == nil:
		f.readLongText(hints, limits)
	default:
		f.readText(hints, limits)
	}
}

func (f *File) isZip() bool {
	head := f.content.head(4)
	return bytes.HasPrefix(head, []byte(magicZip)) || bytes.HasPrefix(head, []byte(emptyZip))
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

// A Keep puts a copy of a file where nobody changes it, and opens that. It is given
// the SHA-256 of the bytes in hexadecimal, their number, and write, which writes
// them; a Keep that has such a copy need not call it. The copy is read as long as
// rows are walked.
type Keep func(sha256 string, bytes int64, write func(io.Writer) error) (io.ReaderAt, error)

// keepInMemory is a Keep for files that need not stay.
func keepInMemory(_ string, _ int64, write func(io.Writer) error) (io.ReaderAt, error) {
	var copied bytes.Buffer
	err := write(&copied)
	return bytes.NewReader(copied.Bytes()), err
}

// Load reads the file of that name below root as Read does. Anything but
// a regular file is refused unopened, links too. The file is looked at again
// after it was read, and refused when it has changed meanwhile, as in a folder
// that is being synced. What is wrong with the file is in File.Problems; an error
// means that name is no path inside root, which is the caller's mistake.
func Load(root *os.Root, name string, limits Limits) (File, error) {
	return LoadWith(root, name, keepInMemory, Hints{}, limits)
}

// LoadWith is Load for a file of which a copy is kept, and about which something is
// known beforehand. Workbooks and short texts are held in the memory; the rows of a
// long text are read from the copy each time they are walked. An error of keep is
// returned as it is.
func LoadWith(root *os.Root, name string, keep Keep, hints Hints, limits Limits) (File, error) {
	return load(root, name, keep, hints, limits, func() {})
}

// longBytes is the size beyond which a text is not held in the memory.
const longBytes = 4 << 20

// load calls between after the file was read and before it is looked at again.
func load(root *os.Root, name string, keep Keep, hints Hints, limits Limits, between func()) (File, error) {
	if !filepath.IsLocal(filepath.FromSlash(name)) {
		return File{}, fmt.Errorf("source: %q is no path inside the logs folder", name)
	}
	f := File{Name: name}
	limits = limits.filled()
	err := f.keep(root, filepath.FromSlash(name), keep, limits, between)
	var refused *refusal
	switch {
	case errors.As(err, &refused):
		f.refuse("", err)
		f.Problems[0].Place.File = name
		return f, nil
	case err != nil:
		return File{}, err
	}
	if f.Bytes <= longBytes || f.isZip() {
		f.Raw = f.content.head(f.Bytes)
		f.content.whole = f.Raw
	}
	if err := f.Err(); err != nil {
		return File{}, err
	}
	f.read(hints, limits)
	return f, f.Err()
}

// keep learns the checksum of the file, and has a copy of it made.
func (f *File) keep(root *os.Root, name string, keep Keep, limits Limits, between func()) error {
	o, err := openOriginal(root, name, limits)
	if err != nil {
		return err
	}
	defer o.file.Close()
	size := o.state.Size()
	sum, err := o.copyTo(io.Discard)
	if err != nil {
		return err
	}
	between()
	kept, err := keep(sum, size, func(w io.Writer) error {
		again, err := o.copyTo(w)
		if err == nil && again != sum {
			err = errChanged()
		}
		return err
	})
	if err != nil {
		return err
	}
	after, err := root.Lstat(name)
	if err != nil || !sameState(o.state, after) {
		return errChanged()
	}
	f.SHA256, f.Bytes, f.content = sum, size, newContent(kept, size)
	return nil
}

// ReadBeside reads a short file that stands beside the logs, such as a mapping, with
// the care of Load: anything but a regular file is refused unopened, links too, and so
// is one of more than most bytes or one that changes meanwhile. there tells whether
// anything of that name is there; refused says why it was not read.
func ReadBeside(root *os.Root, name string, most int64) (doc []byte, there bool, refused []problem.Problem) {
	native := filepath.FromSlash(name)
	info, err := root.Lstat(native)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, false, nil
	}
	var read bytes.Buffer
	if err == nil && info.Mode().IsRegular() && info.Size() > most {
		err = tooLarge("look whether it is the file that was meant; delete what it need not hold", "the file has %d bytes, and %d are the most that are read of it", info.Size(), most)
	} else {
		err = readOriginal(root, native, most, &read)
	}
	if err == nil {
		return read.Bytes(), true, nil
	}
	f := File{Name: name}
	f.refuse("", err)
	return nil, true, f.Problems
}

func readOriginal(root *os.Root, name string, most int64, to io.Writer) error {
	o, err := openOriginal(root, name, Limits{FileBytes: most})
	if err != nil {
		return err
	}
	defer o.file.Close()
	_, err = o.copyTo(to)
	return err
}

const fixReadable = "look whether the file is still there and may be read, then ingest again"

// An original is a regular file below the logs folder, open for reading.
type original struct {
	file  *os.File
	state fs.FileInfo // when it was opened
}

func openOriginal(root *os.Root, name string, limits Limits) (original, error) {
	before, err := root.Lstat(name)
	if err != nil {
		return original{}, unreadable(err)
	}
	if !before.Mode().IsRegular() {
		return original{}, refuse(problem.FileUnreadable, "put a copy of the log itself into the logs folder",
			"this is %s, not a regular file", describeMode(before.Mode()))
	}
	if before.Size() > limits.FileBytes {
		return original{}, tooBig(before.Size(), limits)
	}
	// Without O_NONBLOCK, a pipe put there since would hold the program up.
	file, err := root.OpenFile(name, os.O_RDONLY|syscall.O_NONBLOCK, 0)
	if err != nil {
		return original{}, unreadable(err)
	}
	opened, err := file.Stat()
	if err == nil && !sameState(before, opened) {
		err = errChanged()
	} else if err != nil {
		err = unreadable(err)
	}
	if err != nil {
		file.Close()
		return original{}, err
	}
	return original{file, opened}, nil
}

// copyTo writes all bytes of the file, and returns their SHA-256. What w says of a
// failure to write is returned as it is.
func (o original) copyTo(w io.Writer) (sum string, err error) {
	hash := sha256.New()
	from := &faultyReader{Reader: io.NewSectionReader(o.file, 0, o.state.Size()+1)}
	n, err := io.CopyBuffer(io.MultiWriter(hash, w), from, make([]byte, stepBytes))
	switch {
	case from.err != nil:
		return "", unreadable(from.err)
	case err != nil:
		return "", err
	case n != o.state.Size():
		return "", errChanged()
	}
	return hex.EncodeToString(hash.Sum(nil)), nil
}

// A faultyReader tells its own failures from those of who is written to.
type faultyReader struct {
	io.Reader
	err error
}

func (r *faultyReader) Read(p []byte) (int, error) {
	n, err := r.Reader.Read(p)
	if err != nil && err != io.EOF {
		r.err = err
	}
	return n, err
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
