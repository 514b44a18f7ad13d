package answer

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gravid/analyze/catalogue"
	"gravid/stats/count"
	"gravid/stats/logit"
	"gravid/stats/tail"
)

// When the records carry a curve: curveEvents spawnings and rows without one, 10 for
// each of its two columns (Harrell 2015), and curveSide attempts of curveKeepers keepers
// on either side of the middle knot. The last two are ours.
const (
	curveEvents  = 20
	curveSide    = 10
	curveKeepers = 2
)

// bendLevel is what the p-value for a bend may be at most for the amounts to be called a
// curve. The contrasts and their verdict do not hang on it.
const bendLevel = 1 - Level95

// bendName is what the second column of a curve is called among those held alike.
const bendName = "the bend of the curve"

// Amounts of the drawn curve, and of a rug at most.
const (
	curvePoints = 25
	mostMarks   = 200
)

// A doseModel is a fit whose first columns are a line or a curve of amounts, centred
// at one amount.
type doseModel struct {
	fitted        // the second column of a curve is the first that it adjusts for
	columns   int // of the basis: 1 for a line, 2 for a curve
	spline    *logit.Spline
	centre    float64
	cov, jack [][]float64 // of the basis: by the information, and CV3 over clusters
	df        float64     // of jack
	bendLR    float64     // p of the last column by the likelihood ratio; curves only

	base  []float64   // linear predictor of each row without the amount
	move  [][]float64 // how it moves with the slopes of the basis, all else following
	days  []float64   // how the slope of the day of the attempt does
	slope float64     // of the logarithm of that day
	total float64     // information about a common intercept
}

// knots are the places of Harrell (2015), 10, 50 and 90 % of the rows; where rows of one
// amount leave two in one place, of the different amounts. The error says that there are
// fewer than three of those.
func knots(x []float64) ([]float64, error) {
	different := slices.Clone(x)
	slices.Sort(different)
	different = slices.Compact(different)
	if len(different) < 3 {
		return nil, errors.New("a curve needs three different amounts at least")
	}
	k, err := logit.QuantileKnots(x, 3)
	if err == nil {
		return k, nil
	}
	return logit.QuantileKnots(different, 3)
}

// carried says why the records do not carry a curve with these knots; empty where they
// do.
func (c *comparison) carried(x, knots []float64) string {
	f := c.frame
	if n := min(f.Spawned(), len(f.Y)-f.Spawned()); n < curveEvents {
		return fmt.Sprintf("a curve needs %d spawnings and as many rows without one", curveEvents)
	}
	for _, side := range []float64{-1, 1} {
		attempts, keepers := map[int]bool{}, map[int]bool{}
		for i, v := range x {
			if side*(v-knots[1]) > 0 {
				attempts[f.Attempt[i]], keepers[f.Keeper[i]] = true, true
			}
		}
		if len(attempts) < curveSide || len(keepers) < curveKeepers {
			return fmt.Sprintf("a curve needs %d attempts of %d keepers below %s %s, and as many above", curveSide, curveKeepers, trim(knots[1]), c.t.UnitName)
		}
	}
	return ""
}

// fitDose fits a curve with the given knots, or a line where there are none. It reports
// false where the records do not tell the columns apart.
func (c *comparison) fitDose(x, knots []float64) (*doseModel, bool) {
	d := &doseModel{columns: 1, centre: count.Quantile(x, 0.5)}
	adjust := c.adjust
	if knots != nil {
		s, err := logit.RestrictedSpline(knots)
		if err != nil {
			return nil, false
		}
		d.spline, d.columns, d.centre = &s, 2, knots[1]
		adjust = append([]column{{bendName, make([]float64, len(x))}}, adjust...)
	}
	first := make([]float64, len(x))
	for i, v := range x {
		b := d.basis(v)
		first[i] = b[0]
		if d.columns == 2 {
			adjust[0].values[i] = b[1]
		}
	}
	d.fitted = c.fit(c.frame, first, adjust)
	if !d.model.Status.Usable() || d.columns == 2 && slices.Contains(d.dropped, bendName) {
		return nil, false
	}
	d.cov = square(d.model.Cov, d.columns)
	if d.columns == 2 {
		d.bendLR = d.model.LRTest(1).P
	}
	return d, true
}

func square(m [][]float64, n int) [][]float64 {
	out := make([][]float64, n)
	for i := range out {
		out[i] = slices.Clone(m[i][:n])
	}
	return out
}

// basis are the columns at an amount, 0 at the centre.
func (d *doseModel) basis(x float64) []float64 {
	if d.spline == nil {
		return []float64{x - d.centre}
	}
	return d.spline.Difference(x, d.centre)
}

// leaveOut fills in the covariance by leaving out one cluster at a time (CV3, see
// logit.Jackknife). It reports false where the columns rest on one cluster.
func (d *doseModel) leaveOut(cluster []int) bool {
	var left []logit.LeaveOneOut
	for j := range d.columns {
		l, err := d.model.Jackknife(cluster, j, Level95)
		if err != nil { // one cluster number a row
			panic("analyze/answer: " + err.Error())
		}
		if !l.Status.Usable() {
			return false
		}
		left = append(left, l)
	}
	g := float64(len(left[0].Clusters))
	d.df = g - 1
	d.jack = make([][]float64, d.columns)
	for i := range d.jack {
		d.jack[i] = make([]float64, d.columns)
		for j := range d.jack[i] {
			for k := range left[i].Coef {
				d.jack[i][j] += (g - 1) / g * (left[i].Coef[k] - d.model.Coef[i]) * (left[j].Coef[k] - d.model.Coef[j])
			}
		}
	}
	return true
}

// bend is the p-value against a straight line: the larger of that of the penalised
// likelihood ratio and that of the jackknife over clusters with Student's t.
func (d *doseModel) bend() float64 {
	t := math.Abs(d.model.Coef[1]) / math.Sqrt(d.jack[1][1])
	return max(d.bendLR, 2*tail.StudentUpper(t, d.df))
}

// prepare works out what chances at any amount need.
func (d *doseModel) prepare() {
	m, f := d.model, d.frame
	coef := slices.Clone(m.Coef)
	clear(coef[:d.columns])
	d.base, _ = d.linear(coef, m.Recalibrate())
	value := func(j, i int) float64 {
		if j == 0 {
			return d.x[i]
		}
		return d.adjust[j-1].values[i]
	}
	weight := make([]float64, len(f.Y))
	sum := map[int]float64{}
	mean := map[int][]float64{}
	for i, eta := range d.base {
		for j := range d.columns {
			eta += m.Coef[j] * value(j, i)
		}
		p := logistic(eta)
		weight[i] = p * (1 - p)
		g := f.Keeper[i]
		sum[g] += weight[i]
		d.total += weight[i]
		if mean[g] == nil {
			mean[g] = make([]float64, len(m.Coef))
		}
		for j := range mean[g] {
			mean[g][j] += weight[i] * value(j, i)
		}
	}
	follow := d.follow()
	d.move = make([][]float64, d.columns)
	for b := range d.move {
		d.move[b] = make([]float64, len(f.Y))
		for i := range d.move[b] {
			g := f.Keeper[i]
			v := 0.0
			if sum[g] > 0 {
				v -= mean[g][b] / sum[g]
				for j := d.columns; j < len(m.Coef); j++ {
					v += follow[j][b] * (value(j, i) - mean[g][j]/sum[g])
				}
			}
			d.move[b][i] = v
		}
	}
	d.days = make([]float64, d.columns)
	if k := slices.IndexFunc(d.adjust, func(a column) bool { return a.name == "day of the attempt" }); k >= 0 {
		d.slope, d.days = m.Coef[k+1], follow[k+1]
	}
}

// follow is how the other slopes move with those of the basis: their covariance over
// the variance of the basis.
func (d *doseModel) follow() [][]float64 {
	inverse := [][]float64{{1 / d.cov[0][0]}}
	if d.columns == 2 {
		a, b, c := d.cov[0][0], d.cov[0][1], d.cov[1][1]
		det := a*c - b*b
		inverse = [][]float64{{c / det, -b / det}, {-b / det, a / det}}
	}
	out := make([][]float64, len(d.model.Coef))
	for j := range out {
		out[j] = make([]float64, d.columns)
		for b := range d.columns {
			for k := range d.columns {
				out[j][b] += d.model.Cov[j][k] * inverse[k][b]
			}
		}
	}
	return out
}

// A chance is the average chance of a spawning at an amount, with its derivatives by
// the slopes of the basis and by all intercepts at once.
type chance struct {
	p     float64
	slope []float64
	level float64
}

// at is the chance at an amount: of an attempt, by the end of days where rows are days.
func (d *doseModel) at(x float64, days int) chance {
	b := d.basis(x)
	effect := 0.0
	for j, v := range b {
		effect += d.model.Coef[j] * v
	}
	f := d.frame
	out := chance{slope: make([]float64, d.columns)}
	n := 0.0
	for i := 0; i < len(f.Y); n++ {
		if !f.ByDay {
			p := logistic(d.base[i] + effect)
			out.p += p
			out.level += p * (1 - p)
			for j := range b {
				out.slope[j] += p * (1 - p) * (b[j] + d.move[j][i])
			}
			i++
			continue
		}
		end := i
		for end < len(f.Y) && f.Attempt[end] == f.Attempt[i] {
			end++
		}
		none, level, slope := 1.0, 0.0, [2]float64{}
		for day := 1; day <= days; day++ {
			row := min(i+day-1, end-1)
			later := math.Log(float64(day)) - math.Log(float64(f.Day[row]))
			p := logistic(d.base[row] + effect + d.slope*later)
			none *= 1 - p
			level += p
			for j := range b {
				slope[j] += p * (b[j] + d.move[j][row] + d.days[j]*later)
			}
		}
		out.p += 1 - none
		out.level += none * level
		for j := range b {
			out.slope[j] += none * slope[j]
		}
		i = end
	}
	out.p /= n
	out.level /= n
	for j := range out.slope {
		out.slope[j] /= n
	}
	return out
}

// spread is half the interval of something with the given derivatives by the slopes:
// the wider of that by the information, and that of the jackknife with Student's t.
// With several columns at once (joint) it holds for all derivatives together, after
// Scheffé.
func (d *doseModel) spread(slope []float64, level float64, joint bool) float64 {
	z, t := tail.NormalUpperQuantile((1-level)/2), tail.StudentUpperQuantile((1-level)/2, d.df)
	if joint && d.columns == 2 {
		z = math.Sqrt(tail.ChiSquareQuantile(level, 2))
		t = math.Sqrt(2 * tail.FQuantile(level, 2, d.df))
	}
	return max(z*math.Sqrt(quadratic(slope, d.cov)), t*math.Sqrt(quadratic(slope, d.jack)))
}

func quadratic(v []float64, m [][]float64) float64 {
	sum := 0.0
	for i := range v {
		for j := range v {
			sum += v[i] * m[i][j] * v[j]
		}
	}
	return max(0, sum)
}

// curveFrom fills in the drawn curve of a model.
func (c *comparison) curveFrom(d *doseModel, x []float64, out *Dose) []chance {
	d.prepare()
	lo, hi := float64(out.Low), float64(out.High)
	n := curvePoints
	if lo == hi {
		n = 1
	}
	list := make([]chance, n)
	out.Curve = make([]DosePoint, n)
	for k := range list {
		amount := lo
		if n > 1 {
			amount += (hi - lo) * float64(k) / float64(n-1)
		}
		p := d.at(amount, c.answer.Per100.Days)
		list[k] = p
		out.Curve[k] = DosePoint{Amount: Num(amount), Per100: Num(100 * p.p), Low: Num(100 * p.p), High: Num(100 * p.p)}
		if v := p.p * (1 - p.p); v > 0 {
			level := tail.NormalUpperQuantile((1-c.Level)/2) * p.level / math.Sqrt(d.total)
			half := math.Hypot(d.spread(p.slope, c.Level, false), level) / v
			logit := math.Log(p.p / (1 - p.p))
			out.Curve[k].Low, out.Curve[k].High = Num(100*logistic(logit-half)), Num(100*logistic(logit+half))
		}
	}
	for _, v := range x {
		if v < lo || v > hi {
			continue
		}
		k := 0
		if n > 1 {
			k = int(math.Round((v - lo) / (hi - lo) * float64(n-1)))
		}
		out.Curve[k].Records++
	}
	return list
}

// apart is the interval of the difference between two points of a curve.
func (c *comparison) apart(d *doseModel, from, to chance, joint bool) (lo, hi float64) {
	slope := make([]float64, d.columns)
	for j := range slope {
		slope[j] = to.slope[j] - from.slope[j]
	}
	half := d.spread(slope, c.Level, joint)
	return to.p - from.p - half, to.p - from.p + half
}

// within reports whether no two amounts of the middle 90 % are further apart than the
// margin, whichever end of their interval is true.
func (c *comparison) within(d *doseModel, list []chance) bool {
	for i := range list {
		for j := range i {
			lo, hi := c.apart(d, list[j], list[i], false)
			if !(100*lo > -c.Margin && 100*hi < c.Margin) {
				return false
			}
		}
	}
	return true
}

// best is the stretch of amounts that can't be told from the best one. It reports false
// where that is all of them, or no stretch.
func (c *comparison) best(d *doseModel, list []chance) (from, to int, ok bool) {
	top := 0
	for k := range list {
		if list[k].p > list[top].p {
			top = k
		}
	}
	from, to = len(list), -1
	n := 0
	for k := range list {
		if lo, _ := c.apart(d, list[k], list[top], true); lo <= 0 || k == top {
			from, to = min(from, k), max(to, k)
			n++
		}
	}
	return from, to, n < len(list) && to-from+1 == n
}

// alongCurve answers an amount by contrasts between fixed amounts of a curve, where the
// records carry one. It reports false where they do not; then the straight line stands.
func (c *comparison) alongCurve() (contrastFit, bool) {
	a, out := &c.answer, c.answer.Dose
	if out == nil || c.t.Kind != catalogue.Dose || c.relative {
		return contrastFit{}, false
	}
	out.Rug = c.rug(c.x)
	d, note := c.curveOf(c.x)
	out.CurveNote = note
	if d == nil {
		return contrastFit{}, false
	}
	if c.frame.ByDay {
		a.Per100.Days = c.frame.TypicalDays()
	}
	fits, ok := c.contrasts(d)
	if !ok {
		out.CurveNote = "the differences along the curve could not be worked out"
		return contrastFit{}, false
	}
	c.curve = d
	out.Knots, out.CurveP = d.spline.Knots(), Num(d.bend())
	out.Curved = float64(out.CurveP) <= bendLevel
	if out.Curved {
		out.OddsRatio = NoInterval()
	}
	for _, f := range fits {
		out.Contrasts = append(out.Contrasts, AmountContrast{From: Num(f.from), To: Num(f.to), At: Num(f.at), Difference: f.difference, OddsRatio: oddsInterval(f.env.Estimate, 1)})
	}
	points := c.curveFrom(d, c.x, out)
	if from, to, ok := c.best(d, points); ok && out.Curved {
		out.BestFrom, out.BestTo = out.Curve[from].Amount, out.Curve[to].Amount
	}
	f := fits[lead(fits)]
	c.headline(f)
	c.judgeCurve(points)
	if a.Verdict == Matters || a.Verdict == Leans {
		out.DiffersFrom = c.differsFrom(d, out, points)
	}
	return f, true
}

// curveOf fits a curve to amounts, or says why the records do not carry one.
func (c *comparison) curveOf(x []float64) (*doseModel, string) {
	k, err := knots(x)
	if err != nil {
		return nil, err.Error()
	}
	if note := c.carried(x, k); note != "" {
		return nil, note
	}
	d, ok := c.fitDose(x, k)
	if !ok {
		return nil, "the records can't tell a curve from what is held alike"
	}
	if !d.leaveOut(c.cluster) {
		return nil, fmt.Sprintf("the bend rests on a single %s", c.answer.Counts.ClusterOf)
	}
	return d, ""
}

// A contrastFit is a model whose first column is a contrast: the log odds ratio between
// two amounts, or, where at is known, that at one amount against what a straight line
// from one to the other gives there.
type contrastFit struct {
	fitted
	from, to, at float64
	weight       [2]float64 // of the slopes of the basis
	high, low    [2]float64 // the first two columns on either side of the contrast
	env          logit.Enveloped
	difference   Interval // per 100
	p            float64  // with the others looked at
	with         [2]float64
	perDay       [2]float64
}

// contrasts compares the three knots pair by pair, and the middle one with a straight
// line between the others. Intervals and p-values hold for all four together: the
// quantile that multiplies each spread is that of the largest of the four
// (tail.LargestUpper), once for the likelihood and once for the jackknife.
func (c *comparison) contrasts(d *doseModel) ([]contrastFit, bool) {
	k := d.spline.Knots()
	unknown := math.NaN()
	list := []contrastFit{
		{from: k[0], to: k[2], at: unknown}, {from: k[0], to: k[1], at: unknown},
		{from: k[1], to: k[2], at: unknown}, {from: k[0], to: k[2], at: k[1]},
	}
	for i := range list {
		f := &list[i]
		from, to := d.basis(f.from), d.basis(f.to)
		low, high := from, to
		if !math.IsNaN(f.at) {
			share := (f.at - f.from) / (f.to - f.from)
			low, high = []float64{from[0] + share*(to[0]-from[0]), from[1] + share*(to[1]-from[1])}, d.basis(f.at)
		}
		f.low, f.high = [2]float64{low[0], low[1]}, [2]float64{high[0], high[1]}
		w := [2]float64{high[0] - low[0], high[1] - low[1]}
		if !math.IsNaN(f.at) {
			w[0] = 0 // the straight line has no bend: what is left is rounding
		}
		f.weight = w
	}
	likelihood, jackknife := angles(list, d.cov), angles(list, d.jack)
	z := tail.LargestUpperQuantile(1-c.Level, math.Inf(1), likelihood)
	t := tail.LargestUpperQuantile(1-c.Level, d.df, jackknife)
	for i := range list {
		f := &list[i]
		if !c.turn(d, f) {
			return nil, false
		}
		se := math.Sqrt(quadratic(f.weight[:], d.jack))
		left := f.model.Wald(0, c.Level)
		left.Lo, left.Hi = left.Value-t*se, left.Value+t*se
		left.Method = fmt.Sprintf("leave one cluster out, %s, for %d contrasts together", f.model.Penalty, len(list))
		profile := f.model.Profile(0, 1-2*tail.NormalUpper(z))
		profile.Level = c.Level
		profile.Method += fmt.Sprintf(", for %d contrasts together", len(list))
		f.env = logit.Envelope(profile, left)
		if !f.env.Status.Usable() {
			return nil, false
		}
		f.p = tail.LargestUpper(tail.NormalUpperQuantile(f.model.LRTest(0).P/2), math.Inf(1), likelihood)
		if se > 0 {
			f.p = max(f.p, tail.LargestUpper(math.Abs(left.Value)/se, d.df, jackknife))
		}
		if !c.perHundredOf(f) {
			return nil, false
		}
	}
	return list, true
}

// angles are the directions of contrasts of two slopes with a covariance, where the
// slopes are scaled to be independent with the same spread.
func angles(list []contrastFit, cov [][]float64) []float64 {
	out := make([]float64, len(list))
	a := math.Sqrt(cov[0][0])
	b := 0.0
	if a > 0 {
		b = cov[0][1] / a
	}
	c := math.Sqrt(max(0, cov[1][1]-b*b))
	for i, f := range list {
		out[i] = math.Atan2(c*f.weight[1], a*f.weight[0]+b*f.weight[1])
	}
	return out
}

// turn turns the basis of a curve so that its first slope is the contrast. The fit, its
// penalty and its chances stay the same.
func (c *comparison) turn(d *doseModel, f *contrastFit) bool {
	at := func(b [2]float64) [2]float64 {
		if f.weight[0] == 0 {
			return [2]float64{b[1] / f.weight[1], b[0]}
		}
		return [2]float64{b[0] / f.weight[0], b[1] - b[0]*f.weight[1]/f.weight[0]}
	}
	u, v := make([]float64, len(c.x)), make([]float64, len(c.x))
	for i, x := range c.x {
		b := d.basis(x)
		turned := at([2]float64{b[0], b[1]})
		u[i], v[i] = turned[0], turned[1]
	}
	f.low, f.high = at(f.low), at(f.high)
	f.fitted = c.fit(c.frame, u, append([]column{{bendName, v}}, c.adjust...))
	return f.model.Status.Usable() && !slices.Contains(f.dropped, bendName)
}

// perHundredOf fills in the chances on either side of a contrast, and their difference
// with the ends of its interval.
func (c *comparison) perHundredOf(f *contrastFit) bool {
	var ends []float64
	for i, b := range []float64{f.env.Value, f.env.Lo, f.env.Hi} {
		r := f.model.Constrained(0, max(-reach, min(reach, b)))
		if !r.Status.Usable() {
			return false
		}
		intercept := f.model.RecalibrateAt(r)
		one := func(at [2]float64) chances {
			coef := slices.Clone(r.Coef)
			coef[0], coef[1] = r.Coef[0]*at[0]+r.Coef[1]*at[1], 0
			base, group := f.fitted.linear(coef, intercept)
			return c.chances(f.fitted, coef, base, group, 1)
		}
		high, low := one(f.high), one(f.low)
		if i == 0 {
			f.with, f.perDay = [2]float64{100 * low.attempt, 100 * high.attempt}, [2]float64{100 * low.day, 100 * high.day}
		}
		ends = append(ends, 100*(high.attempt-low.attempt))
	}
	f.difference = newInterval(ends[0], slices.Min(ends), slices.Max(ends), c.Level,
		"averaged over the records (g-computation) at the ends of the odds ratio's interval", false)
	return true
}

// clearOf is how far an interval of a difference lies from 0; negative where it holds 0.
func clearOf(i Interval) float64 { return max(lowOf(i), -highOf(i)) }

// lead is the contrast that says most: the pair told apart whose interval lies furthest
// from 0. Where no pair is, it is the straight line between the outer knots if the middle
// is told from it, and else the outer pair, which comes first.
func lead(list []contrastFit) int {
	best := 0
	for k := range list {
		pair := math.IsNaN(list[k].at)
		apart := clearOf(list[k].difference)
		if apart > 0 && (pair || clearOf(list[best].difference) <= 0) && apart > clearOf(list[best].difference) {
			best = k
		}
	}
	return best
}

// headline fills in the odds ratio, the difference and the p-value of the contrast
// that leads.
func (c *comparison) headline(f contrastFit) {
	a := &c.answer
	c.from, c.to = f.from, f.to
	a.Dose.From, a.Dose.To, a.Dose.At = Num(f.from), Num(f.to), Num(f.at)
	a.Question.With = fmt.Sprintf("at %s %s", trim(f.to), c.t.UnitName)
	a.Question.Without = fmt.Sprintf("at %s %s", trim(f.from), c.t.UnitName)
	if !math.IsNaN(f.at) {
		a.Question.With = fmt.Sprintf("at %s %s", trim(f.at), c.t.UnitName)
		a.Question.Without = fmt.Sprintf("on a straight line from %s to %s %s", trim(f.from), trim(f.to), c.t.UnitName)
	}
	a.OddsRatio = oddsInterval(f.env.Estimate, 1)
	profile, jackknife := oddsInterval(f.env.Profile, 1), oddsInterval(f.env.Jackknife, 1)
	a.Checks.Profile, a.Checks.Jackknife = &profile, &jackknife
	a.PValue, a.PAdjusted = Num(f.p), Num(f.p)
	a.Per100.With, a.Per100.Without, a.Per100.Difference = Num(f.with[1]), Num(f.with[0]), f.difference
	if a.Design == ByTankDay {
		a.Per100.PerDay = &PerDay{Num(f.perDay[1]), Num(f.perDay[0])}
	}
}

// judgeCurve gives the verdict: from the contrast that leads, unless the whole curve
// stays within the margin.
func (c *comparison) judgeCurve(points []chance) {
	a := &c.answer
	a.Verdict = Judge(lowOf(a.Per100.Difference), highOf(a.Per100.Difference), c.Margin)
	if a.Verdict == Matters {
		return
	}
	switch {
	case c.within(c.curve, points):
		a.Verdict = NoDifference
	case a.Verdict == NoDifference && clearOf(a.Per100.Difference) > 0:
		a.Verdict = Leans
	case a.Verdict == NoDifference:
		a.Verdict = CannotTell
	}
}

// differsFrom is the amount from which on all amounts are told from the lowest one seen,
// in one direction; unknown where the highest is not.
func (c *comparison) differsFrom(d *doseModel, out *Dose, points []chance) Num {
	last := len(points) - 1
	from, side := unknown, points[last].p-points[0].p
	for k := last; k > 0; k-- {
		lo, hi := c.apart(d, points[0], points[k], true)
		if !(lo > 0 && side > 0 || hi < 0 && side < 0) {
			break
		}
		from = out.Curve[k].Amount
	}
	return from
}

// alongLine fills in the drawn curve of a straight line, and takes back what a line
// must not say: little or no link where a curve could hide a difference, and a
// direction that a curve through the same records turns round.
func (c *comparison) alongLine(env envelope) {
	a, d := &c.answer, c.answer.Dose
	if d == nil || c.t.Kind != catalogue.Dose || c.relative || a.Status != OK {
		return
	}
	line, ok := c.fitDose(c.x, nil)
	if !ok {
		return
	}
	se := env.clusters.LeaveOneOut.SE
	line.df = env.clusters.DF
	line.jack = [][]float64{{se * se}}
	c.curveFrom(line, c.x, d)
	k, err := knots(c.x)
	if err != nil || a.Verdict == CannotTell {
		return
	}
	curve, ok := c.fitDose(c.x, k)
	switch {
	case a.Verdict == NoDifference:
		if ok && curve.leaveOut(c.cluster) {
			drawn := *d
			if c.within(curve, c.curveFrom(curve, c.x, &drawn)) {
				return
			}
		}
		a.Verdict = CannotTell
		c.hidden = true
		a.Notes = append(a.Notes, "a straight line through all amounts says little or no link, but these records leave room for a best or a worst amount in between, or for a difference at the ends of what was seen")
	case ok:
		curve.prepare()
		from, to := curve.at(c.from, a.Per100.Days), curve.at(c.to, a.Per100.Days)
		if (to.p-from.p)*float64(a.Per100.Difference.Estimate) < 0 {
			a.Verdict = CannotTell
			c.hidden = true
			a.Notes = append(a.Notes, fmt.Sprintf("a straight line through all amounts and a curve point in opposite directions between %s and %s %s, so no direction is told", trim(c.from), trim(c.to), c.t.UnitName))
		}
	}
}

// rug counts the records at each amount.
func (c *comparison) rug(x []float64) []RugMark {
	type mark struct {
		attempts  map[int]bool
		spawnings int
	}
	marks := map[float64]*mark{}
	different := slices.Clone(x)
	slices.Sort(different)
	different = slices.Compact(different)
	place := func(v float64) float64 { return v }
	if n := len(different); n > mostMarks {
		lo, width := different[0], (different[n-1]-different[0])/mostMarks
		place = func(v float64) float64 {
			return lo + width*(min(mostMarks-1, math.Floor((v-lo)/width))+0.5)
		}
	}
	for i, v := range x {
		m := marks[place(v)]
		if m == nil {
			m = &mark{attempts: map[int]bool{}}
			marks[place(v)] = m
		}
		m.attempts[c.frame.Attempt[i]] = true
		m.spawnings += int(c.frame.Y[i])
	}
	out := make([]RugMark, 0, len(marks))
	for v, m := range marks {
		out = append(out, RugMark{Amount: Num(v), Attempts: len(m.attempts), Spawnings: m.spawnings})
	}
	slices.SortFunc(out, func(a, b RugMark) int {
		if a.Amount < b.Amount {
			return -1
		}
		return 1
	})
	return out
}

// step is what the odds ratio is per: the natural step of an amount, 1 where the first
// column is the comparison itself.
func (c *comparison) step() float64 {
	if c.t.Kind == catalogue.Dose && c.curve == nil {
		return c.t.Step
	}
	return 1
}
