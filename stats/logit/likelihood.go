package logit

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// A point is a value of all parameters in the inner scale: slopes b of the
// standardised columns, intercepts a of the centred groups.
type point struct{ b, a []float64 }

func (p point) clone() point {
	return point{append([]float64(nil), p.b...), append([]float64(nil), p.a...)}
}

// A likelihood evaluates the log-likelihood of a table, or that with Firth's
// penalty half log det(X'WX), at one point at a time, with the score and the
// information there.
//
// The intercepts are never made into columns. With W = diag(w), w = n p (1-p),
// W_g the sum of w in group g and m_g the w-weighted mean of the columns there,
// the information about the slopes once the intercepts have been eliminated is
// S = sum_i w_i (x_i - m_g)(x_i - m_g)', the Schur complement of the diagonal
// block diag(W_g). Then det(X'WX) = det(S) prod W_g, and the diagonal of the
// weighted hat matrix is h_i = w_i (1/W_g + (x_i - m_g)' inv(S) (x_i - m_g)).
type likelihood struct {
	t     *table
	firth bool

	value  float64 // log-likelihood without binomial constants, penalty included
	kernel float64 // without the penalty
	logDet float64 // of X'WX in the inner scale

	weight []float64 // W_g
	mean   []float64 // m_g, g*p+j
	info   []float64 // S, p by p
	chol   cholesky  // of S
	scoreA []float64 // of the intercepts
	scoreB []float64 // of the slopes, along (x - step.mean)

	// step is what W_g, m_g and S become with the weights of the next step, see
	// finish.
	step struct{ weight, mean, info []float64 }

	// logF holds, for each column with the LogF penalty, what turns its inner slope
	// into that of the data; 0 for the others, nil where there are none.
	logF []float64

	// curvature, where it is known, is taken from step.info, see
	// Model.penaltyCurvature. It need not be that of the point: it only makes
	// steps better.
	curvature []float64

	w, r, half []float64 // per pattern: w, score residual, 1/2 - p; nil until keep
	seg        []segmentSum
	blk        []blockSum
	tiles      []*tile // one for each processor
}

// segmentSum holds the sums of w and r over a segment and its w-weighted mean.
type segmentSum struct {
	w, r float64
	mean []float64
}

// blockSum holds sums over the segments of a block, each about its own mean.
type blockSum struct {
	kernel float64
	info   []float64
	score  []float64
}

func newLikelihood(t *table, firth bool) *likelihood {
	p := t.p
	l := &likelihood{
		t: t, firth: firth,
		weight: make([]float64, t.groups()), mean: make([]float64, t.groups()*p),
		scoreA: make([]float64, t.groups()), scoreB: make([]float64, p), info: make([]float64, p*p),
		seg: make([]segmentSum, len(t.segments)), blk: make([]blockSum, len(t.blocks)),
	}
	l.step.weight, l.step.mean, l.step.info = l.weight, l.mean, l.info
	if firth {
		l.keep()
		l.step.weight, l.step.mean, l.step.info = make([]float64, t.groups()), make([]float64, t.groups()*p), make([]float64, p*p)
	}
	means, sums := make([]float64, len(l.seg)*p), make([]float64, len(l.blk)*(p*p+p))
	for i := range l.seg {
		l.seg[i].mean = means[i*p : (i+1)*p]
	}
	for i := range l.blk {
		room := sums[i*(p*p+p) : (i+1)*(p*p+p)]
		l.blk[i] = blockSum{info: room[:p*p], score: room[p*p:]}
	}
	return l
}

// keep makes room for w, r and half, which at fills in from then on.
func (l *likelihood) keep() {
	u := l.t.patterns()
	l.w, l.r, l.half = make([]float64, u), make([]float64, u), make([]float64, u)
}

// eachBlock calls do for each block, with a tile that no other call uses meanwhile.
func (l *likelihood) eachBlock(do func(k int, room *tile)) {
	for len(l.tiles) < workers(len(l.blk)) {
		l.tiles = append(l.tiles, newTile(l.t.p, l.firth))
	}
	eachBy(len(l.blk), func(worker, k int) { do(k, l.tiles[worker]) })
}

// at evaluates value at pt and reports whether it exists there. The scores are
// those of the unpenalised likelihood until finish is called.
func (l *likelihood) at(pt point) bool {
	l.eachBlock(func(k int, room *tile) { l.evaluate(k, pt, room) })
	l.addBlocks(l.info)
	if !l.addSegments(l.weight, l.mean, l.info) {
		return false
	}
	kernel := neumaier{}
	for i := range l.blk {
		kernel.add(l.blk[i].kernel)
	}
	l.kernel = kernel.total()
	l.value = l.kernel
	l.addLogF(pt)
	if !l.chol.factor(l.info, l.t.p) || math.IsNaN(l.kernel) || math.IsInf(l.kernel, 0) {
		return false
	}
	l.logDet = l.chol.logDet()
	for _, w := range l.weight {
		l.logDet += math.Log(w)
	}
	if l.firth {
		l.value += l.logDet / 2
	}
	return true
}

// addLogF adds the LogF penalty: half a success in one trial with the column at 1
// and all else at 0, the intercept too.
func (l *likelihood) addLogF(pt point) {
	for j, f := range l.logF {
		if f == 0 {
			continue
		}
		p, q, ll := bernoulli(f*pt.b[j], 0.5, 1)
		l.value += ll
		l.scoreB[j] += f * (q - p) / 2
		l.info[j*l.t.p+j] += f * f * p * q
	}
}

// rounding is by how much value may be off through rounding alone: digits of the
// sum, and of the pivots where columns are nearly collinear.
func (l *likelihood) rounding() float64 {
	noise := 1e-13 * (1 + math.Abs(l.kernel))
	if l.firth {
		noise += 1e-15 * float64(l.t.p) * l.chol.loss
	}
	return noise
}

// finish prepares the next step, where there is a penalty: the residuals gain
// h (1/2 - p), and the weights of the step are (n + h) p (1-p), as if h trials,
// half of them successes, had been added to each pattern (Heinze & Schemper
// 2002). With w = n p (1-p) the steps would be too long by up to half, and a
// table with one trial in each pattern would swing to and fro for ever.
func (l *likelihood) finish() {
	if !l.firth {
		return
	}
	l.eachBlock(l.penalise)
	l.addBlocks(l.step.info)
	l.addSegments(l.step.weight, l.step.mean, l.step.info)
}

// evaluate works out w and r for a block and takes its sums.
func (l *likelihood) evaluate(k int, pt point, room *tile) {
	t, b := l.t, &l.blk[k]
	b.clear()
	for at := t.blocks[k].lo; at < t.blocks[k].hi; at++ {
		s, sum := t.segments[at], &l.seg[at]
		sum.w, sum.r = 0, 0
		for lo := s.lo; lo < s.hi; lo += tileRows {
			hi := min(lo+tileRows, s.hi)
			w, r, half := room.weights[:hi-lo], room.rest[:hi-lo], []float64(nil)
			if l.w != nil {
				w, r, half = l.w[lo:hi], l.r[lo:hi], l.half[lo:hi]
			}
			b.kernel += t.residuals(lo, hi, pt.b, pt.a[s.group], room.eta[:hi-lo], w, r, half)
			room.take(t, lo, hi, w, r)
			b.join(sum, room)
		}
	}
}

// residuals fills in the linear predictor, w, r and, unless it is nil, half of a tile
// and returns its log-likelihood.
func (t *table) residuals(lo, hi int, b []float64, a float64, eta, w, r, half []float64) (kernel float64) {
	for i := range eta {
		eta[i] = a
	}
	if t.off != nil {
		floats.Add(eta, t.off[lo:hi])
	}
	for j, slope := range b {
		floats.AddScaled(eta, slope, t.x[j][lo:hi])
	}
	return t.outcomes(lo, hi, 0, eta, w, r, half)
}

// outcomes is residuals for a given linear predictor, to which it adds shift. Rows of
// one trial have log(1+exp(-|eta|)) taken of their product: each factor is at most 2.
func (t *table) outcomes(lo, hi int, shift float64, eta, w, r, half []float64) (kernel float64) {
	s, n := t.s[lo:hi], t.n[lo:hi]
	product := 1.0
	for i := range eta {
		v := eta[i] + shift
		eta[i] = v
		e := math.Exp(-math.Abs(v))
		large := 1 / (1 + e)
		p, q := large, e*large
		if v < 0 {
			p, q = q, p
			kernel += v * s[i]
		} else {
			kernel -= v * (n[i] - s[i])
		}
		if n[i] == 1 {
			product *= 1 + e
		} else {
			kernel -= n[i] * math.Log1p(e)
		}
		w[i] = n[i] * p * q
		r[i] = s[i]*q - (n[i]-s[i])*p
		if half != nil {
			half[i] = (q - p) / 2
		}
	}
	return kernel - math.Log(product)
}

// chance returns p = 1/(1+exp(-eta)) and q = 1-p, both to full relative accuracy.
func chance(eta float64) (p, q float64) {
	e := math.Exp(-math.Abs(eta))
	large := 1 / (1 + e)
	if eta < 0 {
		return e * large, large
	}
	return large, e * large
}

// bernoulli returns p = 1/(1+exp(-eta)), q = 1-p and the log-likelihood
// s log p + (n-s) log q, all to full relative accuracy.
func bernoulli(eta, s, n float64) (p, q, ll float64) {
	e := math.Exp(-math.Abs(eta))
	large := 1 / (1 + e)
	small := e * large
	log1p := math.Log1p(e)
	if eta < 0 {
		return small, large, eta*s - n*log1p
	}
	return large, small, -eta*(n-s) - n*log1p
}

// addSegments makes the weight and mean of each group and the score of its intercept
// from its segments, and moves what addBlocks made from the means of the segments to
// those of the groups. It reports whether every group has weight.
func (l *likelihood) addSegments(weight, mean, info []float64) bool {
	t, p := l.t, l.t.p
	clear(weight)
	clear(mean)
	clear(l.scoreA)
	for at, s := range t.segments {
		sum := &l.seg[at]
		weight[s.group] += sum.w
		l.scoreA[s.group] += sum.r
		for j, m := range sum.mean {
			mean[s.group*p+j] += sum.w * m
		}
	}
	for g, w := range weight {
		if !(w > 0) || math.IsInf(w, 1) {
			return false
		}
		for j := range p {
			mean[g*p+j] /= w
		}
	}
	for at, s := range t.segments {
		sum, m := &l.seg[at], mean[s.group*p:(s.group+1)*p]
		if s.lo == t.start[s.group] && s.hi == t.start[s.group+1] {
			copy(m, sum.mean)
			continue
		}
		for j := range p {
			dj := sum.mean[j] - m[j]
			l.scoreB[j] += sum.r * dj
			for k := range j + 1 {
				info[j*p+k] += sum.w * dj * (sum.mean[k] - m[k])
			}
		}
	}
	return true
}

// penalise takes the sums of a block with the residuals and weights of finish.
func (l *likelihood) penalise(k int, room *tile) {
	t, b := l.t, &l.blk[k]
	b.clear()
	for at := t.blocks[k].lo; at < t.blocks[k].hi; at++ {
		s, sum := t.segments[at], &l.seg[at]
		sum.w, sum.r = 0, 0
		for lo := s.lo; lo < s.hi; lo += tileRows {
			hi := min(lo+tileRows, s.hi)
			leverage := room.leverages(t, lo, hi, l.mean[s.group*t.p:(s.group+1)*t.p], l.weight[s.group], &l.chol)
			w, r := room.weights[:hi-lo], room.rest[:hi-lo]
			for i, v := range leverage { // h / w
				h := l.w[lo+i] * v
				w[i] = l.w[lo+i] * (1 + h/t.n[lo+i])
				r[i] = l.r[lo+i] + h*l.half[lo+i]
			}
			room.take(t, lo, hi, w, r)
			b.join(sum, room)
		}
	}
}

// addBlocks adds the blocks up, in order, to info and the score of the slopes.
func (l *likelihood) addBlocks(info []float64) {
	clear(l.scoreB)
	clear(info)
	for k := range l.blk {
		for j, v := range l.blk[k].score {
			l.scoreB[j] += v
		}
		for j, v := range l.blk[k].info {
			info[j] += v
		}
	}
}

// neumaier adds numbers with a running correction (Neumaier 1974).
type neumaier struct{ sum, lost float64 }

func (s *neumaier) add(v float64) {
	t := s.sum + v
	if math.Abs(s.sum) >= math.Abs(v) {
		s.lost += (s.sum - t) + v
	} else {
		s.lost += (v - t) + s.sum
	}
	s.sum = t
}

func (s *neumaier) total() float64 { return s.sum + s.lost }
