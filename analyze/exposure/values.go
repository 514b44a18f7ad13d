package exposure

import (
	"math"
	"slices"
	"time"

	"gravid/analyze/catalogue"
	"gravid/ingest/club"
)

// A Missing trigger value is NaN in the slices that Values returns.
//
// Values gives the trigger for each row of a frame: 1 and 0 for yes/no, the
// amount for a dose, NaN where it was not recorded. shift moves the window by
// that many days; a positive one looks into the future, where nothing can have
// brought the spawning about, and serves as a placebo.
//
// A day's trigger comes from dated records where the catalogue has a rule for
// them and the rows are days, else from the attempt's own row.
func (r *Records) Values(f *Frame, t catalogue.Trigger, shift int) []float64 {
	out := make([]float64, len(f.Y))
	daily := f.ByDay && t.Daily != nil
	memo := map[*series]map[int64]float64{}
	for i := range out {
		a := &r.Attempts[f.Attempt[i]]
		switch {
		case daily:
			out[i] = r.onDay(a, t.Daily, f.Opens[i].AddDate(0, 0, shift), memo)
		case t.FromAttempt != nil && shift == 0:
			if out[i] = recorded(t.FromAttempt(a)); math.IsNaN(out[i]) && f.ByDay {
				out[i] = r.beside(a, t, f.Opens[i])
			}
		default:
			out[i] = math.NaN()
		}
	}
	return out
}

// beside tells the trigger for the day that opens at a midnight where the attempt's own
// row does not: from acts of husbandry, or from readings of the tank.
func (r *Records) beside(a *club.Attempt, t catalogue.Trigger, opens time.Time) float64 {
	switch {
	case t.Act != nil:
		return r.acted(a, t.Act, opens)
	case t.Level != nil:
		return r.level(a, t.Level, opens)
	}
	return math.NaN()
}

// level is the mean of the readings of the attempt's tank in the window before a midnight.
func (r *Records) level(a *club.Attempt, l *catalogue.Level, opens time.Time) float64 {
	s := r.seriesFor(a, l.Quantity, false)
	if s == nil {
		return math.NaN()
	}
	to := opens.Unix()
	values := s.between(to-int64(l.WindowHours*3600), to)
	if len(values) == 0 {
		return math.NaN()
	}
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

// acted applies a rule of acts for the day that opens at a midnight: 1 or the largest
// amount where the act was done within the window before, 0 where it was not, unknown
// where the keeper never writes such acts down.
func (r *Records) acted(a *club.Attempt, d *catalogue.Act, opens time.Time) float64 {
	if !r.writes[written{a.Keeper, d.Action}] {
		return math.NaN()
	}
	to := opens.Unix()
	from := opens.AddDate(0, 0, -d.Days).Unix()
	most := 0.0
	for _, x := range r.acts[act{a.Keeper, a.System, d.Action}] {
		if x.at < from || x.at >= to {
			continue
		}
		switch {
		case d.Unit == "":
			return 1
		case x.unit != d.Unit || !x.amount.OK: // done, but nobody knows how much
			return math.NaN()
		case d.Rising:
			most = max(most, oneIf(x.amount.V > 0))
		default:
			most = max(most, x.amount.V)
		}
	}
	return most
}

// Beside reports whether acts of husbandry or readings of the tank tell a trigger in a
// frame by day where the row of an attempt does not: some keeper in it writes such acts
// down, or some tank in it has readings.
func (r *Records) Beside(f *Frame, t catalogue.Trigger) bool {
	if t.Act == nil && t.Level == nil || t.FromAttempt == nil || !f.ByDay {
		return false
	}
	for _, i := range f.Attempt {
		a := &r.Attempts[i]
		if t.FromAttempt(a).OK {
			continue
		}
		if t.Act != nil && r.writes[written{a.Keeper, t.Act.Action}] || t.Level != nil && r.seriesFor(a, t.Level.Quantity, false) != nil {
			return true
		}
	}
	return false
}

// Dated reports whether dated records can give the trigger at all: there are
// readings of its quantity, or the rule needs none.
func (r *Records) Dated(t catalogue.Trigger) bool {
	if t.Daily == nil {
		return false
	}
	return t.Daily.Quantity == "" || len(r.dated()[t.Daily.Quantity]) > 0
}

// Skies returns how many series of the trigger's quantity there are, and whether
// keepers without one of their own borrow the club's longest.
func (r *Records) Skies(t catalogue.Trigger) (n int, borrowed bool) {
	if t.Daily == nil || !t.Daily.AtPlace {
		return 0, false
	}
	return r.skies(t.Daily.Quantity), len(r.placeOf) == 0
}

func recorded(n club.Number) float64 {
	if !n.OK {
		return math.NaN()
	}
	return n.V
}

// onDay applies a daily rule for the day that opens at the given midnight.
func (r *Records) onDay(a *club.Attempt, d *catalogue.Daily, opens time.Time, memo map[*series]map[int64]float64) float64 {
	switch d.Rule {
	case catalogue.OtherSpawning:
		return r.otherSpawning(a, d, opens)
	case catalogue.FullMoon:
		return oneIf(daysFromFullMoon(opens.Add(12*time.Hour)) <= d.Threshold)
	}
	s := r.seriesFor(a, d.Quantity, d.AtPlace)
	if s == nil {
		return math.NaN()
	}
	days := memo[s]
	if days == nil {
		days = map[int64]float64{}
		memo[s] = days
	}
	at := opens.Unix()
	x, known := days[at]
	if !known {
		x = s.rule(d, opens)
		days[at] = x
	}
	return x
}

// implausibleFall is a 24-hour change of air pressure in hPa beyond anything
// weather does at one place; such values come from a moved or reset barometer.
const implausibleFall = 60

// Plausible reports whether a change of a quantity is one that weather can make.
func Plausible(quantity string, change float64) bool {
	return quantity != "air_pressure_hpa" || !(math.Abs(change) > implausibleFall)
}

// hair is what the difference of two readings may fall short of a threshold by rounding
// alone: from 7.2 to 6.9 is a fall of 0.3, though not in binary.
const hair = 1e-9

// Moved applies a rule of a fall or a rise to the change of its quantity and to that
// change as a share of the value before: 1 or 0, NaN where it is unknown or no weather
// can have made it. It panics for rules of another kind; see OfChange.
func Moved(d *catalogue.Daily, change, share float64) float64 {
	switch {
	case math.IsNaN(change), !Plausible(d.Quantity, change):
		return math.NaN()
	case d.Rule == catalogue.Fall:
		return oneIf(-change >= d.Threshold-hair)
	case d.Rule == catalogue.FallShare:
		return oneIf(-share >= d.Threshold-hair)
	case d.Rule == catalogue.Rise:
		return oneIf(change >= d.Threshold-hair)
	}
	panic("not a rule of a change")
}

// Amount is the change of the quantity behind a rule of a fall or a rise, NaN where it is
// unknown, where no weather can have made it, and where the rule is about a share.
func Amount(d *catalogue.Daily, change float64) float64 {
	if d.Rule == catalogue.FallShare || !Plausible(d.Quantity, change) {
		return math.NaN()
	}
	return change
}

// OfChange reports whether a rule looks at the change of a quantity over its window.
func OfChange(d *catalogue.Daily) bool {
	return d.Rule == catalogue.Fall || d.Rule == catalogue.FallShare || d.Rule == catalogue.Rise
}

func (s *series) rule(d *catalogue.Daily, opens time.Time) float64 {
	to := opens.Unix()
	from := to - int64(d.WindowHours*3600)
	switch {
	case OfChange(d):
		change, share := s.change(from, to)
		return Moved(d, change, share)
	case d.Rule == catalogue.Below:
		return s.below(from, to, d.Threshold)
	case d.Rule == catalogue.DryThenRise:
		return s.dryThenRise(from, to, d.Threshold)
	}
	return math.NaN()
}

// change is that of a Window.
func (s *series) change(from, to int64) (change, share float64) {
	w := Window{From: s.around(from), To: s.around(to)}
	if !w.settled(from, to) {
		first, last := nearBy(from, to)
		i, _ := slices.BinarySearch(s.at, first)
		for ; i < len(s.at) && s.at[i] <= last; i++ {
			w.Near = append(w.Near, s.measured(i))
		}
	}
	return w.Change(from, to)
}

func (s *series) below(from, to int64, limit float64) float64 {
	values := s.between(from, to)
	if len(values) == 0 {
		return math.NaN()
	}
	for _, v := range values {
		if v >= limit {
			return 0
		}
	}
	return 1
}

// dryThenRise is 1 where the level fell by at least threshold from the start of
// the window to the day before, and rose within the last day by at least half of
// what it had fallen.
func (s *series) dryThenRise(from, to int64, threshold float64) float64 {
	const day = 24 * 3600
	fall, _ := s.change(from, to-day)
	rise, _ := s.change(to-day, to)
	if math.IsNaN(fall) || math.IsNaN(rise) {
		return math.NaN()
	}
	return oneIf(-fall >= threshold-hair && rise >= -fall/2-hair)
}

func (r *Records) otherSpawning(a *club.Attempt, d *catalogue.Daily, opens time.Time) float64 {
	if a.System == "" {
		return math.NaN()
	}
	from := opens.Add(-time.Duration(d.WindowHours * float64(time.Hour)))
	for _, s := range r.spawns[water{a.Keeper, a.System}] {
		if s.species != a.Species && !s.at.Before(from) && s.at.Before(opens) {
			return 1
		}
	}
	return 0
}

func oneIf(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// Amounts gives the change behind a Fall or Rise rule for each row of a frame by
// day, in the unit of the quantity and negative for a fall; NaN where unknown.
func (r *Records) Amounts(f *Frame, t catalogue.Trigger) []float64 {
	out := make([]float64, len(f.Y))
	for i := range out {
		out[i] = math.NaN()
		if t.Daily == nil || !OfChange(t.Daily) {
			continue
		}
		s := r.seriesFor(&r.Attempts[f.Attempt[i]], t.Daily.Quantity, t.Daily.AtPlace)
		if s == nil {
			continue
		}
		to := f.Opens[i].Unix()
		change, _ := s.change(to-int64(t.Daily.WindowHours*3600), to)
		out[i] = Amount(t.Daily, change)
	}
	return out
}
