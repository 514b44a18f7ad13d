package answer

import (
	"maps"
	"math"
	"slices"

	"gravid/stats/logit"
	"gravid/stats/tail"
)

// chances are what a model says of 100 attempts with the trigger at one value, with the
// derivatives of attempt with respect to the slopes and the intercepts.
type chances struct {
	attempt, day        float64
	byCoef, byIntercept []float64
}

// chances works them out for given coefficients, averaged over the records. base and group
// are those of linear.
func (c *comparison) chances(f fitted, coef, base []float64, group []int, x float64) chances {
	perDay := slices.Clone(base)
	sum := 0.0
	for i := range perDay {
		perDay[i] += coef[0] * x
		sum += logistic(perDay[i])
	}
	out := chances{day: sum / float64(len(perDay)), byCoef: make([]float64, len(coef)), byIntercept: make([]float64, len(f.model.Groups))}
	if f.frame.ByDay {
		c.withinAttempt(f, perDay, group, coef, x, &out)
		return out
	}
	out.attempt = out.day
	for i, eta := range perDay {
		p := logistic(eta)
		out.moves(f, i, group[i], x, p*(1-p)/float64(len(perDay)))
	}
	return out
}

// moves adds to the derivatives what row i adds whose linear predictor counts for slope.
func (h *chances) moves(f fitted, i, group int, x, slope float64) {
	h.byIntercept[group] += slope
	h.byCoef[0] += slope * x
	for j, a := range f.adjust {
		h.byCoef[j+1] += slope * a.values[i]
	}
}

// linear is the linear predictor of each row without the trigger's part, and the place of
// the row's keeper among the intercepts.
func (f fitted) linear(coef, intercept []float64) (eta []float64, group []int) {
	at := map[int]int{}
	for k, g := range f.model.Groups {
		at[g] = k
	}
	eta, group = make([]float64, len(f.frame.Y)), make([]int, len(f.frame.Y))
	for i := range eta {
		group[i] = at[f.frame.Keeper[i]]
		eta[i] = intercept[group[i]]
		for j, a := range f.adjust {
			eta[i] += coef[j+1] * a.values[i]
		}
	}
	return eta, group
}

func logistic(eta float64) float64 { return 1 / (1 + math.Exp(-eta)) }

// withinAttempt is the mean over attempts of the chance to have spawned by the end of an
// attempt of typical length, all of its days at the same value of the trigger. Days beyond
// those on record look like the attempt's last day, but for the day of the attempt itself.
func (c *comparison) withinAttempt(f fitted, perDay []float64, group []int, coef []float64, x float64, out *chances) {
	days := c.answer.Per100.Days
	logDay := slices.IndexFunc(f.adjust, func(a column) bool { return a.name == "day of the attempt" })
	slope := 0.0
	if logDay >= 0 {
		slope = coef[logDay+1]
	}
	fr := f.frame
	sum, attempts := 0.0, float64(fr.Attempts())
	p, later := make([]float64, days), make([]float64, days)
	for i := 0; i < len(fr.Y); {
		j := i
		for j < len(fr.Y) && fr.Attempt[j] == fr.Attempt[i] {
			j++
		}
		none := 1.0
		for d := range days {
			row := min(i+d, j-1)
			later[d] = 0
			if fr.Day[row] != d+1 {
				later[d] = laterDay(fr.Day[row], d)
			}
			p[d] = logistic(perDay[row] + slope*later[d])
			none *= 1 - p[d]
		}
		for d := range days {
			row := min(i+d, j-1)
			move := none * p[d] / attempts
			out.moves(f, row, group[row], x, move)
			if logDay >= 0 {
				out.byCoef[logDay+1] += move * later[d]
			}
		}
		sum += 1 - none
		i = j
	}
	out.attempt = sum / attempts
}

// laterDay is by how much the logarithm of day d+1 is above that of a day on record.
func laterDay(recorded, d int) float64 { return math.Log(float64(d+1)) - math.Log(float64(recorded)) }

// A between is the difference per attempt with the slope of the trigger held and
// everything else fitted.
type between struct {
	with, without       float64
	dayWith, dayWithout float64
	half                float64 // of the interval of the difference, the slope being what it is
	root                float64 // signed root of the profile, see logit.JackknifeProfile
}

func (b between) difference() float64 { return b.with - b.without }

// reach is the log odds ratio beyond which chances no longer change.
const reach = 50

// differenceAt is the difference with the slope of the trigger held at b. ok is false where
// the rest could not be fitted.
func (c *comparison) differenceAt(f fitted, b float64) (out between, ok bool) {
	out, _, _, ok = c.heldAt(f, b)
	return out, ok
}

func (c *comparison) heldAt(f fitted, b float64) (out between, r logit.Restricted, by [2]chances, ok bool) {
	r = f.model.Constrained(0, max(-reach, min(reach, b)))
	if !r.Status.Usable() {
		return out, r, by, false
	}
	r.Intercept = f.model.RecalibrateAt(r)
	base, group := f.linear(r.Coef, r.Intercept)
	by[1] = c.chances(f, r.Coef, base, group, c.to)
	by[0] = c.chances(f, r.Coef, base, group, c.from)
	out.with, out.dayWith, out.without, out.dayWithout = by[1].attempt, by[1].day, by[0].attempt, by[0].day
	out.root = math.Copysign(math.Sqrt(max(0, 2*(f.model.PenalizedLogLik-r.Value))), b-f.model.Coef[0])
	return out, r, by, true
}

// unsureAt is differenceAt with half the interval that the difference has while the slope
// stays where it is: what is not known of the chances without the trigger. Where rows of a
// weather episode are alike, it is the wider of the one that takes days as independent and
// the one that takes episodes so.
func (c *comparison) unsureAt(f fitted, b float64) (between, bool) {
	out, r, by, ok := c.heldAt(f, b)
	if !ok {
		return out, false
	}
	byCoef, byIntercept := less(by[1].byCoef, by[0].byCoef), less(by[1].byIntercept, by[0].byIntercept)
	v := f.model.VarianceHeld(0, r.Coef, r.Intercept, byCoef, byIntercept)
	if !v.Status.Usable() {
		return out, false
	}
	out.half = tail.NormalUpperQuantile((1-c.Level)/2) * math.Sqrt(v.Variance)
	if c.answer.Counts.ClusterOf == "keeper" {
		return out, true // intercepts take up what rows of a keeper share
	}
	sums := map[int]float64{}
	for i, x := range v.Influence {
		sums[c.cluster[i]] += x
	}
	squares, g := 0.0, float64(len(sums))
	for _, k := range slices.Sorted(maps.Keys(sums)) {
		squares += sums[k] * sums[k]
	}
	if g > 1 {
		out.half = max(out.half, tail.StudentUpperQuantile((1-c.Level)/2, g-1)*math.Sqrt(g/(g-1)*squares))
	}
	return out, true
}

func less(a, b []float64) []float64 {
	out := make([]float64, len(a))
	for i := range a {
		out[i] = a[i] - b[i]
	}
	return out
}

// steps is at how many values of the slope, on either side of the estimate, the difference
// is worked out to find an end of its interval.
const steps = 4

// perHundred works out the difference per 100 attempts and its interval.
//
// The difference depends on the slope of the trigger and on everything else. With D(v) the
// difference with the slope held at v, h(v) half its interval there, r(v) the signed root of
// the profile and k the largest |r| in the slope's interval, the ends are the least and the
// most of
//
//	D(v) -+ h(v) sqrt(1 - (r(v)/k)^2)
//
// over the slope's interval: the two parts, which are independent to first order, are put
// together as MOVER does for a sum (Zou & Donner 2008, Statistics in Medicine 27:1693; from
// memory), but along the profile, so that a slope without an upper limit is no trouble. An
// end never crosses 0 where the slope's interval does not: no value of the slope on one side
// of 0 makes a difference on the other.
func (c *comparison) perHundred(f fitted, env envelope) {
	a := &c.answer
	if f.frame.ByDay {
		a.Per100.Days = f.frame.TypicalDays()
	}
	at, ok := c.unsureAt(f, env.Value)
	if !ok {
		a.Status, a.Reason = FitFailed, "the chances could not be worked out"
		return
	}
	widest := max(tail.NormalUpperQuantile((1-c.Level)/2), tail.StudentUpperQuantile((1-c.Level)/2, env.clusters.DF)*env.clusters.SE)
	// Angles are those of share = sin(angle); then h sqrt(1 - share^2) is h cos(angle).
	angles, low, high := []float64{}, []float64{}, []float64{}
	for k := -steps; k <= steps; k++ {
		b := at
		if k != 0 {
			if b, ok = c.unsureAt(f, c.toward(env, k)); !ok {
				a.Status, a.Reason = FitFailed, "the ends of the interval could not be worked out"
				return
			}
		}
		share := max(-1, min(1, b.root/widest))
		half := b.half * math.Sqrt(1-share*share)
		angles = append(angles, math.Asin(share))
		low, high = append(low, half-b.difference()), append(high, half+b.difference())
	}
	lo, hi := -most(angles, low), most(angles, high)
	if least := sameSide * at.difference(); env.Excludes(0) && least > 0 {
		lo = max(lo, least)
	} else if env.Excludes(0) {
		hi = min(hi, least)
	}
	a.Per100.With, a.Per100.Without = Num(100*at.with), Num(100*at.without)
	if f.frame.ByDay && c.answer.Design == ByTankDay {
		a.Per100.PerDay = &PerDay{Num(100 * at.dayWith), Num(100 * at.dayWithout)}
	}
	a.Per100.Difference = newInterval(100*at.difference(), 100*max(lo, -1), 100*min(hi, 1), c.Level,
		"averaged over the records (g-computation), along the odds ratio's interval and with the chances without the trigger as unsure as they are", false)
}

// sameSide is the share of the difference at which an end stays that would otherwise lie
// across 0.
const sameSide = 0.001

// toward is the slope at step k of the way from the estimate to an end of its interval: the
// lower one where k is below 0. An end without limit is taken where chances no longer
// change.
func (c *comparison) toward(env envelope, k int) float64 {
	end, far := env.Hi, 15/math.Abs(c.to-c.from)
	if k < 0 {
		end, far = env.Lo, -far
	}
	if math.IsInf(end, 0) {
		end = env.Value + far
	}
	return env.Value + (end-env.Value)*math.Sin(math.Abs(float64(k))/steps*math.Pi/2)
}

// most is the largest of the values, or the top of the parabola through it and its
// neighbours.
func most(at, values []float64) float64 {
	k := 0
	for i, v := range values {
		if v > values[k] {
			k = i
		}
	}
	if k == 0 || k == len(values)-1 {
		return values[k]
	}
	left, right := at[k]-at[k-1], at[k+1]-at[k]
	if !(left > 0 && right > 0) {
		return values[k]
	}
	down, up := (values[k]-values[k-1])/left, (values[k+1]-values[k])/right
	bend := (up - down) / (left + right)
	slope := (down*right + up*left) / (left + right)
	if !(bend < 0) {
		return values[k]
	}
	return values[k] - slope*slope/(4*bend)
}
