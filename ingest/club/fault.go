package club

import "errors"

// What can be wrong with a club folder, for errors.Is.
var (
	ErrNoClub   = errors.New("not a club folder")
	ErrNoTables = errors.New("no tables yet")
	ErrDamaged  = errors.New("damaged")
	ErrStale    = errors.New("out of date")
	ErrInUse    = errors.New("in use")
)

// A Fault is an error of a club folder with what to do about it.
type Fault struct {
	Path string // the file or folder; for settings with line and column
	What string // what is wrong, in lower case without full stop
	Fix  string // what to do, may be empty
	Err  error  // one of the errors above or of the system; may be nil
}

// Error gives place, fault and remedy in one line.
func (f *Fault) Error() string {
	s := f.Path + ": " + f.What
	if f.Fix != "" {
		s += "; " + f.Fix
	}
	return s
}

// Unwrap returns the error behind the fault.
func (f *Fault) Unwrap() error { return f.Err }

// fixTables is what to do about tables that cannot be used. Logs are kept, so
// tables can always be made again.
const fixTables = "make the tables again with gravid ingest"

func damaged(path, what string) error {
	return &Fault{Path: path, What: what, Fix: fixTables, Err: ErrDamaged}
}
