package main

import (
	"errors"
	"io"
	"io/fs"
	"strings"
	"syscall"

	"gravid/ingest/club"
)

// A usageError is a mistake in the command line; the run ends with status 2.
type usageError struct{ text, fix string }

func (e usageError) Error() string { return e.text }

// A failure is an error with what to do about it; the run ends with status 1.
type failure struct{ text, fix string }

func (e failure) Error() string { return e.text }

// errLogErrors ends a run that did its work while logs have errors.
var errLogErrors = errors.New("logs have errors")

// asFailure says what went wrong and what to do about it: what a fault of the club's
// folder says, or else the remedy for errors of the system of that kind. An error
// that has a remedy already stays as it is.
func asFailure(err error) error {
	var usage usageError
	var known failure
	if errors.As(err, &usage) || errors.As(err, &known) {
		return err
	}
	var fault *club.Fault
	switch {
	case errors.As(err, &fault):
		fix := fault.Fix
		if fix == "" {
			fix = remedy(err)
		}
		return failure{fault.Path + ": " + fault.What, fix}
	case isUsage(err):
		return usageError{err.Error(), "gravid help shows the verbs, gravid help VERB its flags"}
	}
	return failure{strings.ReplaceAll(err.Error(), "\n", "; "), remedy(err)} // joined errors stand on a line each
}

// notWritten is asFailure for a file that the user named: where the kind of the error
// tells no remedy, another name is one.
func notWritten(err error) error {
	err = asFailure(err)
	if known := (failure{}); errors.As(err, &known) && known.fix == "" {
		return failure{known.text, "name a file in a folder that can be written to"}
	}
	return err
}

// A kind of system error, and what to do about it.
type kind struct {
	of  error
	fix string
}

// kinds are looked through in order.
var kinds = append(systemKinds, []kind{
	{syscall.ENOSPC, fixRoom},
	{syscall.EDQUOT, "delete what is not needed, or ask for a larger quota, then run the command again; what was there before is untouched"},
	{syscall.EFBIG, "raise the limit on the size of files (ulimit -f), or use a disk that allows files of that size; what was there before is untouched"},
	{syscall.EROFS, fixReadOnly},
	{syscall.EMFILE, fixOpenFiles},
	{syscall.ENFILE, fixOpenFiles},
	{syscall.ENAMETOOLONG, "shorten the name of the file, or of a folder that it is in"},
	{syscall.ELOOP, "a link leads round in a circle: put the file itself there"},
	{syscall.ENOTDIR, "a file stands where a folder is needed: name another path, or move the file away"},
	{syscall.EISDIR, "a folder stands where a file is needed: name another path, or move the folder away"},
	{syscall.EBUSY, fixInUse},
	{syscall.ETXTBSY, fixInUse},
	{syscall.EIO, "the disk or the network does not answer as it should: look after it, then run the command again"},
	{syscall.EPIPE, "whatever was to take the results has ended: run the command again, with the results in a file"},
	{fs.ErrPermission, "give the right to read and write it, or work as the user to whom the folder belongs"},
	{fs.ErrNotExist, "look whether the path is written as it should be, and whether its folder is there"},
	{fs.ErrExist, "move away what is there already, or name another path"},
}...)

const (
	fixRoom      = "make room on the disk, then run the command again; what was there before is untouched"
	fixReadOnly  = "the disk may only be read: copy the folder to one that may be written to, or name a file elsewhere"
	fixOpenFiles = "too many files are open: close other programs, or raise the limit (ulimit -n)"
	fixInUse     = "another program is using it: close that, then run the command again"
)

// remedy is what to do about an error of the system, by its kind; nothing for others.
func remedy(err error) string {
	for _, k := range kinds {
		if errors.Is(err, k.of) {
			return k.fix
		}
	}
	return ""
}

// A faithful writer remembers the first failure, so that results which did not arrive
// are never taken for done, whoever wrote them.
type faithful struct {
	io.Writer
	failed error
}

func (f *faithful) Write(p []byte) (int, error) {
	n, err := f.Writer.Write(p)
	if err != nil && f.failed == nil {
		f.failed = err
	}
	return n, err
}
