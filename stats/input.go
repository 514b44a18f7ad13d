package stats

import (
	"fmt"
	"math"
)

// An InputError says which observation of those given cannot be used, and why.
type InputError struct {
	Index  int // in the slice given, from 0
	Reason string
}

func (e *InputError) Error() string {
	return fmt.Sprintf("observation %d: %s", e.Index+1, e.Reason)
}

// LevelOrDefault returns the level of coverage to use where level was asked
// for: 0.95 for 0, and an error unless it lies between 0 and 1.
func LevelOrDefault(level float64) (float64, error) {
	if level == 0 {
		return 0.95, nil
	}
	if !(level > 0 && level < 1) {
		return 0, fmt.Errorf("the level must lie between 0 and 1, not %v", level)
	}
	return level, nil
}

// Warn makes a warning whose text is formatted as by fmt.Sprintf.
func Warn(code, format string, args ...any) Warning {
	return Warning{Code: code, Text: fmt.Sprintf(format, args...)}
}

// Without returns the estimate with the status and without numbers, and with
// the reasons added to its warnings.
func (e Estimate) Without(s Status, reasons ...Warning) Estimate {
	e.Value, e.Lo, e.Hi = math.NaN(), math.NaN(), math.NaN()
	e.Status = s
	e.Warnings = append(e.Warnings[:len(e.Warnings):len(e.Warnings)], reasons...)
	return e
}
