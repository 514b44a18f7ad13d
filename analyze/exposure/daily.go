package exposure

import (
	"math"
	"time"

	"gravid/analyze/catalogue"
)

// A DayReading sums up the readings of one quantity on one day of the club's calendar.
type DayReading struct {
	Opens     time.Time // the local midnight that opens the day
	Mean      float64   // of the means of the series
	Low, High float64   // lowest and highest reading
	Change    float64   // over the 24 hours that close at the midnight; NaN where unknown or implausible
}

// Days sums up the readings of a quantity, day by day from one instant to before
// another. At a place (weather) it takes the club's longest series alone, since
// barometers at other heights read otherwise; else all, each counting alike. Days without
// readings are left out. used is how many series it took, of all that there are.
func (r *Records) Days(quantity string, atPlace bool, from, to time.Time) (days []DayReading, used, all int) {
	list := r.dated()[quantity]
	all = len(list)
	if atPlace && all > 1 {
		list = list[:1]
	}
	taken := map[*series]bool{}
	for opens := r.midnight(from); opens.Before(to); opens = opens.AddDate(0, 0, 1) {
		d := DayReading{Opens: opens, Low: math.Inf(1), High: math.Inf(-1), Change: math.NaN()}
		n := 0
		for _, s := range list {
			values := s.between(opens.Unix(), opens.AddDate(0, 0, 1).Unix())
			if len(values) == 0 {
				continue
			}
			sum := 0.0
			for _, v := range values {
				sum += v
				d.Low, d.High = min(d.Low, v), max(d.High, v)
			}
			d.Mean += sum / float64(len(values))
			n++
			taken[s] = true
			if atPlace {
				d.Change = s.weather(opens, 24)
			}
		}
		if n > 0 {
			d.Mean /= float64(n)
			days = append(days, d)
		}
	}
	return days, len(taken), all
}

// weather is the change over so many hours that close at a midnight; NaN where it is
// not known or beyond what weather does.
func (s *series) weather(opens time.Time, hours float64) float64 {
	change, _ := s.change(opens.Unix()-int64(hours*3600), opens.Unix())
	if math.Abs(change) > implausibleFall {
		return math.NaN()
	}
	return change
}

// PressureRule is the rule by which a fall in air pressure is told, as the catalogue
// has it; false where no trigger of the list has one.
func PressureRule(triggers []catalogue.Trigger) (catalogue.Daily, bool) {
	if t, ok := catalogue.Find(triggers, "pressure-drop"); ok && t.Daily != nil {
		return *t.Daily, true
	}
	return catalogue.Daily{}, false
}
