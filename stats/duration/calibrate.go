package duration

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gravid/stats"
	"gravid/stats/internal/newton"
)

// CalibrationSettings of PredictCalibrated.
type CalibrationSettings struct {
	Replicates int    // sets of records made up; 0 means 999
	Seed       uint64 // of the random numbers; the same seed gives the same limits
}

// PredictCalibrated returns, for each level (0 means that of the settings), limits
// within which the waiting time of one more subject with covariates x should fall,
// set by trial: sets of records like those given are made up from the fitted model,
// the model is fitted to each, and the limits are put as many of its scales from its
// location as catch the share asked for of further subjects (Lawless & Fredette
// 2005). For exact times that is the exact interval but for the error of the
// trials, which Settings.Replicates sets.
//
// The subjects made up are looked at as those given were: one seen at once when
// it ended is again; one known to a span is looked at every so often as the span
// is wide, the looks falling as before; one lost from sight is lost at the same
// time, and looked at as often as is usual among the others until then. An origin
// known to a window falls anywhere in it. Where no model can be fitted to a set
// made up, the set counts as one no limits would do for, half on each side.
//
// Status is TooLittle where more than a tenth of the sets were such, or where
// weights are not whole numbers. PredictCalibrated panics if x has the wrong
// length.
func (m AFT) PredictCalibrated(x []float64, levels []float64, s CalibrationSettings) ([]stats.Estimate, error) {
	if s.Replicates == 0 {
		s.Replicates = 999
	}
	if s.Replicates < 99 {
		return nil, fmt.Errorf("at least 99 replicates are needed, not %d", s.Replicates)
	}
	out, err := m.predictions(x, levels, fmt.Sprintf("limits for one more, calibrated by %d sets of records made up with seed %d", s.Replicates, s.Seed))
	if err != nil || !m.Status.Usable() {
		return out, err
	}
	away, failed, reason := m.trials(x, s)
	if reason.Code != "" {
		for i := range out {
			out[i] = out[i].Without(stats.TooLittle, reason)
		}
		return out, nil
	}
	f := m.Settings.Family
	location := m.location(x)
	for i, e := range out {
		e.Value = f.time(f.unscore(f.quantile(0.5), location, m.Scale))
		e.Lo = f.time(f.unscore(quantileOf(away, (1-e.Level)/2), location, m.Scale))
		e.Hi = f.time(f.unscore(quantileOf(away, (1+e.Level)/2), location, m.Scale))
		if failed > 0 {
			e.Warnings = append(e.Warnings, stats.Warn("failed-replicates", "no model could be fitted to %d of %d sets made up; they were counted as beyond the limits", failed, s.Replicates))
		}
		out[i] = bounded(e)
	}
	return out, nil
}

// quantileOf is the order statistic number p(n+1) of the sorted values,
// interpolated; beyond the ends it is infinite.
func quantileOf(sorted []float64, p float64) float64 {
	place := p*float64(len(sorted)+1) - 1
	below := int(math.Floor(place))
	switch {
	case below < 0:
		return math.Inf(-1)
	case below >= len(sorted)-1 && place > float64(len(sorted)-1):
		return math.Inf(1)
	case place == float64(below) || sorted[below] == sorted[below+1]:
		return sorted[below]
	}
	return sorted[below] + (place-float64(below))*(sorted[below+1]-sorted[below])
}

// trials returns, sorted, the score of one more subject by the model fitted to each set.
func (m AFT) trials(x []float64, s CalibrationSettings) (away []float64, failed int, reason stats.Warning) {
	for _, r := range m.given {
		if r.Weight != math.Trunc(r.Weight) {
			return nil, 0, stats.Warn("weights-not-whole", "a weight of %v is no number of subjects, so no set of records like this can be made up", r.Weight)
		}
	}
	f := m.Settings.Family
	obs := make([]Observation, len(m.given))
	for i, r := range m.given {
		obs[i] = r.Observation
	}
	usual := usualGap(obs)
	for b := range s.Replicates {
		random := rand.New(rand.NewPCG(s.Seed, uint64(b)))
		further := f.quantile(1 - random.Float64())
		fitted, ok := m.refit(m.madeUp(random, usual))
		if !ok {
			failed++
			away = append(away, math.Inf(2*(failed%2)-1))
			continue
		}
		away = append(away, f.score(f.unscore(further, m.location(x), m.Scale), fitted.location(x), fitted.Scale))
	}
	slices.Sort(away)
	if 10*failed > s.Replicates {
		return nil, failed, stats.Warn("failed-replicates", "no model could be fitted to %d of %d sets made up like the records, which are too few or too coarse to say anything of one more", failed, s.Replicates)
	}
	return away, failed, stats.Warning{}
}

// usualGap is the median width of the spans with two ends, 0 if there are none.
func usualGap(obs []Observation) float64 {
	type gap struct{ width, weight float64 }
	var gaps []gap
	var total float64
	for _, o := range obs {
		if !o.RightCensored() && !o.Exact() && o.Lo > o.Origin.Lo {
			gaps = append(gaps, gap{o.Hi - o.Lo, o.weight()})
			total += o.weight()
		}
	}
	slices.SortFunc(gaps, func(a, b gap) int {
		return cmp.Or(cmp.Compare(a.width, b.width), cmp.Compare(a.weight, b.weight))
	})
	var so float64
	for _, g := range gaps {
		if so += g.weight; so > total/2 {
			return g.width
		}
	}
	return 0
}

// madeUp draws a set of records like those given from the model.
func (m AFT) madeUp(random *rand.Rand, usual float64) []record {
	f := m.Settings.Family
	var out []record
	for _, r := range m.given {
		location := m.location(r.x[1:])
		for range int(r.Weight) {
			o := r.Observation
			o.Weight = 1
			began := o.Origin.Lo + random.Float64()*(o.Origin.Hi-o.Origin.Lo)
			p := 1 - random.Float64()
			if o.late() { // only those still waiting then came under observation
				_, upper := f.logTails(f.score(f.scaled(o.Entry-began), location, m.Scale))
				p = 1 - math.Exp(upper)*random.Float64()
			}
			ended := began + f.time(f.unscore(f.quantile(p), location, m.Scale))
			o.Span = looks(r.Observation, ended, usual)
			out = append(out, record{o, r.x})
		}
	}
	return merge(out)
}

// looks is what is known of an end at the time ended if the subject is looked at
// as that of o was. usual is the gap between looks where o itself shows none.
func looks(o Observation, ended, usual float64) Span {
	start := math.Max(o.Origin.Lo, o.Entry)
	switch {
	case o.RightCensored() && ended > o.Lo:
		return Span{o.Lo, math.Inf(1)}
	case o.Exact() || o.RightCensored() && usual == 0:
		return Span{ended, ended}
	case o.RightCensored():
		return gridSpan(o.Lo, usual, ended, start)
	case o.Lo <= o.Origin.Lo: // seen at the first look, and if not then later
		switch {
		case ended <= o.Hi:
			return o.Span
		case usual == 0:
			return Span{ended, ended}
		}
		return gridSpan(o.Hi, usual, ended, start)
	}
	return gridSpan(o.Lo, o.Hi-o.Lo, ended, start)
}

// gridSpan is the span round ended of looks at every gap through anchor, the
// waiting having begun, or observation started, at start.
func gridSpan(anchor, gap, ended, start float64) Span {
	hi := anchor + gap*math.Ceil((ended-anchor)/gap)
	if hi-gap <= start {
		return Span{start, hi}
	}
	return Span{hi - gap, hi}
}

// refit fits the model to other records, starting from where it is, and reports
// whether that succeeded.
func (m AFT) refit(records []record) (AFT, bool) {
	fitted := m
	rows := m.Settings.rows(records)
	for i := range rows {
		rows[i].x = m.scaler.apply(rows[i].x)
	}
	fitted.like = &likelihood{family: m.like.family, rows: rows, held: m.like.held, free: m.like.free, penalty: m.like.penalty}
	settings := newton.Settings{MaxMove: 5 * math.Max(m.Scale, 1), Tol: 1e-6}
	if m.like.free {
		settings.Lower = slices.Repeat([]float64{math.Inf(-1)}, len(m.peak.Theta))
		settings.Lower[len(settings.Lower)-1] = math.Log(m.Scale) - 7
	}
	fitted.peak = newton.Maximise(fitted.like.objective, m.peak.Theta, settings)
	if status, _ := fitted.verdict(math.Log(m.Scale)); !status.Usable() {
		return fitted, false
	}
	fitted.Coef, fitted.Covariance = slices.Clone(m.Coef), nil
	fitted.read()
	return fitted, true
}
