package duration

import (
	"fmt"
	"math"
	"slices"

	"gravid/stats"
	"gravid/stats/internal/root"
	"gravid/stats/tail"
)

// An Incubation is an observation with the temperature it was kept at, on the same
// clock.
type Incubation struct {
	Observation
	Trace Trace
}

// DegreeDaySettings of FitDegreeDays; the zero value is ready to use.
type DegreeDaySettings struct {
	Level          float64 // coverage asked for; 0 means 0.95
	Family         Family  // of the sum of heat; the zero value is Lognormal, Normal is refused
	PenaliseSpread bool    // as in AFTSettings
	// Narrowest is the range of mean temperatures, and Widest the width of the
	// interval of the base temperature, beyond which (below, above) no base is
	// given; 0 means 3 and 10 degrees.
	Narrowest, Widest float64
}

func (s DegreeDaySettings) withDefaults() (DegreeDaySettings, error) {
	level, err := stats.LevelOrDefault(s.Level)
	if err != nil {
		return s, err
	}
	s.Level = level
	if s.Narrowest == 0 {
		s.Narrowest = 3
	}
	if s.Widest == 0 {
		s.Widest = 10
	}
	switch {
	case s.Family < Lognormal || !s.Family.logScale():
		return s, fmt.Errorf("the %v family cannot hold a sum of heat", s.Family)
	case !(s.Narrowest > 0) || !(s.Widest > 0):
		return s, fmt.Errorf("the range of temperatures and the width of the interval must be above 0")
	}
	return s, nil
}

// A DegreeDays is a fitted sum of heat: development ends when the temperature above
// a base, added up over time, reaches a sum that varies from one subject to the
// next.
type DegreeDays struct {
	Base             stats.Estimate // temperature below which nothing develops, profile likelihood limits with the F distribution
	Sum              stats.Estimate // median heat to the end above Base.Value, in degrees times the unit of the clock, Base held
	Coldest, Warmest float64        // mean temperatures seen, of subjects whose end was seen
	N, Events        int
	Status           stats.Status
	Warnings         []stats.Warning

	settings DegreeDaySettings
	model    AFT // of the heat at Base.Value
}

// FitDegreeDays finds the base temperature and the sum of heat by maximum
// likelihood: for each base the times become sums of heat, to which FitAFT's model
// without covariates is fitted, and the base is profiled (degree-days after
// Kamler 2002, who advises against a base of 0). Spans, windows of the origin, late
// entry and weights are used as in FitAFT, the origin taken as equally likely at
// any sum of heat within its window.
//
// Status is NotIdentifiable, and there are no numbers, where the mean temperatures
// lie within Settings.Narrowest or the interval of the base is wider than
// Settings.Widest: the slope by temperature (FitAFT) can still be told then. The
// other statuses are those of FitAFT. The error is an *stats.InputError for an
// observation FitAFT would refuse or whose time the trace does not cover, and tells
// of settings out of range.
func FitDegreeDays(in []Incubation, s DegreeDaySettings) (DegreeDays, error) {
	s, err := s.withDefaults()
	if err != nil {
		return DegreeDays{}, err
	}
	d := DegreeDays{settings: s, Coldest: nan, Warmest: nan}
	obs := make([]Observation, len(in))
	for i, o := range in {
		if reason := o.uncovered(); reason != "" {
			return DegreeDays{}, &stats.InputError{Index: i, Reason: reason}
		}
		obs[i] = o.Observation
	}
	d.N, d.Events = counts(obs)
	d.temperatures(in)
	d.fit(in)
	d.Base = d.finish(d.Base, "degree-days, profile likelihood limits with the F distribution")
	d.Sum = d.finish(d.Sum, "degree-days, base held, delta-method limits")
	return d, nil
}

func (o Incubation) uncovered() string {
	if reason := o.contradiction(); reason != "" {
		return reason
	}
	end := o.Hi
	if o.RightCensored() {
		end = o.Lo
	}
	if !o.Trace.Covers(o.Origin.Lo, end) {
		return fmt.Sprintf("the temperature between %v and %v is not known", o.Origin.Lo, end)
	}
	if o.Hi <= o.Origin.Lo {
		return fmt.Sprintf("it ended by %v, no later than the origin", o.Hi)
	}
	return ""
}

// end is roughly when the waiting ended or was last seen to go on.
func (o Incubation) end() float64 {
	if o.RightCensored() {
		return o.Lo
	}
	return (math.Max(o.Lo, o.Origin.Lo) + o.Hi) / 2
}

func (d *DegreeDays) temperatures(in []Incubation) {
	for _, o := range in {
		if o.RightCensored() {
			continue
		}
		mean := o.Trace.Mean(o.Origin.Lo, o.end())
		if !(mean >= d.Coldest) {
			d.Coldest = mean
		}
		if !(mean <= d.Warmest) {
			d.Warmest = mean
		}
	}
}

func (d *DegreeDays) finish(e stats.Estimate, method string) stats.Estimate {
	e.Level, e.Attained, e.N, e.Events, e.Method = d.settings.Level, nan, d.N, d.Events, method
	e.Status, e.Warnings = d.Status, append(slices.Clone(d.Warnings), e.Warnings...)
	if !d.Status.Usable() {
		return e.Without(d.Status)
	}
	return e
}

func (d *DegreeDays) refuse(s stats.Status, code, format string, args ...any) {
	d.Status = s
	d.Warnings = append(d.Warnings, stats.Warn(code, format, args...))
}

// reach is how far below the coldest temperature a base is looked for.
const reach = 80

func (d *DegreeDays) fit(in []Incubation) {
	if d.Events < 4 {
		d.refuse(stats.TooLittle, "few-events", "%d of %d observations had ended, and a base temperature, a sum of heat and its spread need at least 4", d.Events, d.N)
		return
	}
	if spread := d.Warmest - d.Coldest; spread < d.settings.Narrowest {
		d.refuse(stats.NotIdentifiable, "narrow-temperatures", "the mean temperatures lie within %.2g degrees, from %.3g to %.3g, and a base temperature cannot be told from less than %v; records from warmer or cooler tanks would help", spread, d.Coldest, d.Warmest, d.settings.Narrowest)
		return
	}
	height := func(base float64) float64 { h, _ := d.at(in, base); return h }
	best, top := d.climb(height)
	_, model := d.at(in, best)
	if !model.Status.Usable() {
		d.Status, d.Warnings = model.Status, append(d.Warnings, model.Warnings...)
		return
	}
	allowed := d.allowed()
	lost := func(base float64) float64 {
		h := height(base)
		if math.IsInf(h, -1) {
			return math.Inf(1)
		}
		return 2*(top-h) - allowed
	}
	d.Base = stats.Estimate{Value: best}
	d.Base.Lo = root.Walk(lost, best, -0.1, d.Coldest-reach, 1e-7)
	d.Base.Hi = root.Walk(lost, best, 0.1, d.Warmest, 1e-7)
	if !(d.Base.Hi-d.Base.Lo <= d.settings.Widest) {
		d.refuse(stats.NotIdentifiable, "base-unknown", "the records leave base temperatures from %s to %s possible, which is too wide to count degree-days by; use the slope by temperature instead", limitText(d.Base.Lo), limitText(d.Base.Hi))
		return
	}
	d.Status, d.Warnings, d.model = model.Status, append(d.Warnings, model.Warnings...), model
	d.Sum = model.Quantile(nil, 0.5)
	d.Sum.Warnings = nil // they are among d.Warnings
}

// allowed is how far twice the log-likelihood may fall within the limits: what the
// F test of a regression with three parameters allows, which for many events is the
// chi-square quantile.
func (d *DegreeDays) allowed() float64 {
	n, df := float64(d.Events), float64(d.Events-3)
	return n * math.Log1p(tail.FUpperQuantile(1-d.settings.Level, 1, df)/df)
}

func limitText(x float64) string {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return "no limit"
	}
	return fmt.Sprintf("%.1f", x)
}

// climb finds the base with the highest likelihood: the best of a grid that gets
// wider away from the warmest temperature, then golden sections round it.
func (d *DegreeDays) climb(height func(float64) float64) (best, top float64) {
	top = math.Inf(-1)
	var lo, hi float64
	const wider = 1.12
	for below := 0.25; d.Warmest-below > d.Coldest-reach; below *= wider {
		base := d.Warmest - below
		if h := height(base); h > top {
			best, top = base, h
			lo, hi = d.Warmest-below*wider, d.Warmest-below/wider
		}
	}
	if math.IsInf(top, -1) {
		return d.Coldest, top
	}
	const golden = 0.38196601125010515
	a, b := lo+golden*(hi-lo), hi-golden*(hi-lo)
	fa, fb := height(a), height(b)
	for hi-lo > 1e-6 {
		if fa >= fb {
			hi, b, fb = b, a, fa
			a = lo + golden*(hi-lo)
			fa = height(a)
		} else {
			lo, a, fa = a, b, fb
			b = hi - golden*(hi-lo)
			fb = height(b)
		}
	}
	if m := (lo + hi) / 2; height(m) >= top {
		return m, height(m)
	}
	return best, top
}

// at fits the sum of heat above a base and returns the log-likelihood of the times,
// penalised as the model is; -Inf where the base leaves no heat to end by, or no
// model can be fitted.
func (d *DegreeDays) at(in []Incubation, base float64) (float64, AFT) {
	var jacobian float64
	obs := make([]Observation, len(in))
	for i, o := range in {
		obs[i] = o.heated(base)
		if !(obs[i].Hi > obs[i].Origin.Lo) {
			return math.Inf(-1), AFT{Status: stats.NotIdentifiable, Warnings: []stats.Warning{stats.Warn("too-cold", "some observation ended without ever being above %.3g degrees", base)}}
		}
		if obs[i].Exact() {
			jacobian += o.weight() * math.Log(o.Trace.At(o.Hi)-base)
		}
	}
	model, err := FitAFT(obs, nil, AFTSettings{Level: d.settings.Level, Family: d.settings.Family, PenaliseSpread: d.settings.PenaliseSpread})
	switch {
	case err != nil:
		return math.Inf(-1), AFT{Status: stats.NotComputed, Warnings: []stats.Warning{stats.Warn("no-fit", "%v", err)}}
	case !model.Status.Usable() || math.IsNaN(jacobian):
		return math.Inf(-1), model
	}
	return model.peak.Value + jacobian, model
}

// heated is the observation on the clock of heat above base since the start of the
// window of its origin. Where gaps in the trace leave the heat open, so is the time.
func (o Incubation) heated(base float64) Observation {
	heat := func(t float64) Heat { return o.Trace.Heat(o.Origin.Lo, t, base) }
	out := Observation{Origin: Span{0, heat(o.Origin.Hi).Value}, Weight: o.Weight, Entry: math.Inf(-1)}
	if o.late() {
		out.Entry = heat(o.Entry).Value
	}
	out.Hi = math.Inf(1)
	if o.Lo > o.Origin.Lo {
		out.Lo = heat(o.Lo).Lo
	}
	if !o.RightCensored() {
		out.Hi = heat(o.Hi).Hi
	}
	if out.late() && out.RightCensored() && out.Entry >= out.Lo { // no heat since it came under observation
		out.Entry = math.Inf(-1)
	}
	return out
}

// Predict returns, for each level (0 means that of the fit), when the waiting should
// end of one more subject whose waiting began at from and that is kept as trace says,
// with the middle as the value. Limits average over the sums and spreads the records
// leave possible, the base held. A trace that ends too early gives a limit of +Inf.
// Status is NotComputed where the mean temperature lies more than half a degree
// outside what was seen, as nothing is known of development there.
func (d DegreeDays) Predict(trace Trace, from float64, levels ...float64) ([]stats.Estimate, error) {
	for _, level := range levels {
		if _, err := stats.LevelOrDefault(level); err != nil {
			return nil, err
		}
	}
	out := make([]stats.Estimate, len(levels))
	if !d.Status.Usable() {
		for i, level := range levels {
			out[i] = d.finish(stats.Estimate{}, "degree-days, limits for one more")
			if level != 0 {
				out[i].Level = level
			}
		}
		return out, nil
	}
	heat, err := d.model.PredictLevels(nil, levels...)
	if err != nil {
		return nil, err
	}
	when := func(sum float64) float64 { return trace.When(from, sum, d.Base.Value) }
	for i, e := range heat {
		e.Method = "degree-days, base held, limits for one more averaged over what the records leave possible"
		if !e.Status.Usable() {
			out[i] = e
			continue
		}
		e.Value, e.Lo, e.Hi = when(e.Value), when(e.Lo), when(e.Hi)
		const beyond = 0.5
		mean := trace.Mean(from, e.Value)
		switch {
		case math.IsNaN(e.Lo):
			e = e.Without(stats.NotComputed, stats.Warn("no-temperature", "the temperature at %v is not known", from))
		case math.IsInf(e.Value, 1):
			e = e.Without(stats.NotComputed, stats.Warn("trace-ends", "the temperature is not known for long enough, or too low, to reach the sum of heat"))
		case mean < d.Coldest-beyond || mean > d.Warmest+beyond:
			e = e.Without(stats.NotComputed, stats.Warn("outside-temperatures", "a mean temperature of %.3g lies outside the %.3g to %.3g of the records, where nothing is known of development", mean, d.Coldest, d.Warmest))
		case math.IsInf(e.Hi, 1):
			e.Warnings = append(e.Warnings, stats.Warn("trace-ends", "the temperature is not known for long enough for an upper limit"))
		}
		out[i] = e
	}
	return out, nil
}
