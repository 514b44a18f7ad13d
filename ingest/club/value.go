package club

import "time"

// A Maybe is a value that may not have been recorded. Its zero value means "not
// recorded"; a table stores that as null, never as a magic number.
type Maybe[T any] struct {
	V  T
	OK bool
}

// Some returns a recorded value.
func Some[T any](v T) Maybe[T] { return Maybe[T]{V: v, OK: true} }

// Or returns the value, or otherwise if none was recorded.
func (m Maybe[T]) Or(otherwise T) T {
	if m.OK {
		return m.V
	}
	return otherwise
}

// Number, Count, Truth and When are the kinds of value that a table holds
// besides text. Text uses the empty string for "not recorded".
type (
	// Number is a measured quantity in the unit that its column states.
	Number = Maybe[float64]
	// Count is a number of things counted.
	Count = Maybe[int64]
	// Truth is yes or no.
	Truth = Maybe[bool]
	// When is an instant in UTC, to the second.
	When = Maybe[time.Time]
)
