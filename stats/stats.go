// Package stats holds the vocabulary shared by gravid's statistical packages:
// what a number is worth (Estimate), whether it may be used at all (Status),
// and what the reader should know beside it (Warning).
//
// The packages below it turn plain numbers into plain numbers. They know no
// files, no Arrow, no fish, no clock and no global source of randomness, and
// they import only gonum and the standard library.
//
// It is not a general statistics library: each method is here because a
// question put to breeding records needs it.
package stats

import "fmt"

// Status says whether a result may be used. Its zero value is NotComputed, so
// that a result nobody filled in is never mistaken for a good one.
type Status int

const (
	// NotComputed: nothing has been worked out.
	NotComputed Status = iota
	// OK: the method ran to its stopping rule and the numbers may be used.
	OK
	// Boundary: the estimate lies on the edge of what the model allows (for
	// example a dispersion at its Poisson limit). The numbers may be used
	// together with the warning that comes with them.
	Boundary
	// NotConverged: the stopping rule was not met. The numbers must not be used.
	NotConverged
	// NotIdentifiable: a column is constant, or a set of columns always moved
	// together, so the records cannot tell them apart.
	NotIdentifiable
	// Separated: some combination of columns splits the outcomes perfectly, so
	// maximum likelihood has no finite answer.
	Separated
	// TooLittle: there are too few observations or events for the method.
	TooLittle
)

var statusNames = [...]string{"not-computed", "ok", "boundary", "not-converged", "not-identifiable", "separated", "too-little"}

// String returns the status as a lower-case word with hyphens.
func (s Status) String() string {
	if s < 0 || int(s) >= len(statusNames) {
		return fmt.Sprintf("status(%d)", int(s))
	}
	return statusNames[s]
}

// Usable reports whether numbers that carry this status may be shown.
func (s Status) Usable() bool { return s == OK || s == Boundary }

// MarshalText writes the status as its name.
func (s Status) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// A Warning is something the reader of a number has to know. Code is a stable
// word with hyphens, Text a sentence.
type Warning struct {
	Code string
	Text string
}

func (w Warning) Error() string { return w.Text }

// An Estimate is a number together with how far to trust it.
//
// Lo and Hi may be infinite: the records then set no bound on that side, and a
// Warning says why and what would help. Value, Lo and Hi are NaN when Status is
// not Usable, or where the quantity does not exist (then a Warning says so).
type Estimate struct {
	Value    float64
	Lo, Hi   float64
	Level    float64 // coverage asked for, for example 0.95
	Attained float64 // coverage an exact method guarantees, which may be more; NaN where nobody knows
	N        int     // observations used
	Events   int     // events among them; 0 where the word has no meaning
	Method   string  // what made the interval, in a few words
	Status   Status
	Warnings []Warning
}

// Excludes reports whether the interval lies wholly on one side of x.
func (e Estimate) Excludes(x float64) bool {
	return e.Status.Usable() && (e.Lo > x || e.Hi < x)
}
