package duration

import (
	"fmt"
	"math"

	"gravid/stats"
	"gravid/stats/tail"
)

// Settings of the curves; the zero value asks for 95% log(-log) limits.
type Settings struct {
	Level    float64  // coverage asked for; 0 means 0.95
	Interval Interval // how limits are made; the zero value is LogLog
}

func (s Settings) withDefaults() (Settings, error) {
	level, err := levelOrDefault(s.Level)
	if err != nil {
		return s, err
	}
	if s.Interval < LogLog || s.Interval > BetaProduct {
		return s, fmt.Errorf("unknown kind of interval %d", int(s.Interval))
	}
	s.Level = level
	return s, nil
}

func levelOrDefault(level float64) (float64, error) {
	if level == 0 {
		return 0.95, nil
	}
	if !(level > 0 && level < 1) {
		return 0, fmt.Errorf("the level must lie between 0 and 1, not %v", level)
	}
	return level, nil
}

// normalLimit is the z with a share level of the normal distribution within -z
// and z.
func normalLimit(level float64) float64 { return tail.NormalUpperQuantile((1 - level) / 2) }

var nan = math.NaN()

// noNumber fills in an estimate that has none, with the reason.
func noNumber(e stats.Estimate, status stats.Status, reasons ...stats.Warning) stats.Estimate {
	e.Value, e.Lo, e.Hi = nan, nan, nan
	e.Status = status
	e.Warnings = append(e.Warnings, reasons...)
	return e
}

func warning(code, format string, args ...any) stats.Warning {
	return stats.Warning{Code: code, Text: fmt.Sprintf(format, args...)}
}
