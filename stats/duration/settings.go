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
	// Aalen has AalenJohansen use the variance of Aalen (1978) with corrections for
	// ties, as R's cmprsk does, which is a little larger. No other method has it.
	Aalen bool
}

func (s Settings) withDefaults() (Settings, error) {
	level, err := stats.LevelOrDefault(s.Level)
	if err != nil {
		return s, err
	}
	if s.Interval < LogLog || s.Interval > BetaProduct {
		return s, fmt.Errorf("unknown kind of interval %d", int(s.Interval))
	}
	s.Level = level
	return s, nil
}

// normalLimit is the z with a share level of the normal distribution within -z
// and z.
func normalLimit(level float64) float64 { return tail.NormalUpperQuantile((1 - level) / 2) }

var nan = math.NaN()
