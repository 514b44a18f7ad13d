package logit

import "math"

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

	w, r, half []float64 // per pattern: w, score residual, 1/2 - p
	seg        []segmentSum
	blk        []blockSum
}

type segmentSum struct {
	w, r float64
	wx   []float64
}

type blockSum struct {
	kernel   float64
	info     []float64
	score    []float64
	d, solve []float64 // room for one row
}

func newLikelihood(t *table, firth bool) *likelihood {
	l := &likelihood{
		t: t, firth: firth,
		weight: make([]float64, t.groups()), mean: make([]float64, t.groups()*t.p),
		scoreA: make([]float64, t.groups()), scoreB: make([]float64, t.p), info: make([]float64, t.p*t.p),
		w: make([]float64, t.patterns()), r: make([]float64, t.patterns()), half: make([]float64, t.patterns()),
		seg: make([]segmentSum, len(t.segments)), blk: make([]blockSum, len(t.blocks)),
	}
	l.step.weight, l.step.mean, l.step.info = l.weight, l.mean, l.info
	if firth {
		l.step.weight, l.step.mean, l.step.info = make([]float64, t.groups()), make([]float64, t.groups()*t.p), make([]float64, t.p*t.p)
	}
	for i := range l.seg {
		l.seg[i].wx = make([]float64, t.p)
	}
	for i := range l.blk {
		l.blk[i] = blockSum{info: make([]float64, t.p*t.p), score: make([]float64, t.p), d: make([]float64, t.p), solve: make([]float64, t.p)}
	}
	return l
}

// at evaluates value at pt and reports whether it exists there. The scores are
// those of the unpenalised likelihood until finish is called.
func (l *likelihood) at(pt point) bool {
	each(len(l.t.blocks), func(k int) { l.residuals(k, pt) })
	if !l.addSegments(l.weight, l.mean) {
		return false
	}
	each(len(l.t.blocks), l.crossProducts)
	l.addBlocks(l.info)
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
	each(len(l.t.blocks), l.penalise)
	t, step := l.t, l.step
	l.addSegments(step.weight, step.mean)
	l.addBlocks(step.info)
	// The blocks are centred on m_g: move them to step.mean.
	for g, w := range step.weight {
		for j := range t.p {
			dj := step.mean[g*t.p+j] - l.mean[g*t.p+j]
			l.scoreB[j] -= dj * l.scoreA[g]
			for k := range j + 1 {
				step.info[j*t.p+k] -= w * dj * (step.mean[g*t.p+k] - l.mean[g*t.p+k])
			}
		}
	}
}

// residuals fills in w, r and half for a block and adds up its segments.
func (l *likelihood) residuals(k int, pt point) {
	t, kernel := l.t, 0.0
	for at := t.blocks[k].lo; at < t.blocks[k].hi; at++ {
		s, sum := t.segments[at], &l.seg[at]
		sum.w, sum.r = 0, 0
		clear(sum.wx)
		for i := s.lo; i < s.hi; i++ {
			row := t.row(i)
			eta := t.off[i] + pt.a[s.group]
			for j, x := range row {
				eta += pt.b[j] * x
			}
			p, q, ll := bernoulli(eta, t.s[i], t.n[i])
			w := t.n[i] * p * q
			r := t.s[i]*q - (t.n[i]-t.s[i])*p
			l.w[i], l.r[i], l.half[i] = w, r, (q-p)/2
			kernel += ll
			sum.w += w
			sum.r += r
			for j, x := range row {
				sum.wx[j] += w * x
			}
		}
	}
	l.blk[k].kernel = kernel
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

// addSegments adds the segments up to the weight and mean of each group and the
// score of its intercept. It reports whether every group has weight.
func (l *likelihood) addSegments(weight, mean []float64) bool {
	t := l.t
	clear(weight)
	clear(mean)
	clear(l.scoreA)
	for at, s := range t.segments {
		sum := &l.seg[at]
		weight[s.group] += sum.w
		l.scoreA[s.group] += sum.r
		for j, v := range sum.wx {
			mean[s.group*t.p+j] += v
		}
	}
	for g, w := range weight {
		if !(w > 0) || math.IsInf(w, 1) {
			return false
		}
		for j := range t.p {
			mean[g*t.p+j] /= w
		}
	}
	return true
}

// crossProducts adds up S and the score of the slopes for a block.
func (l *likelihood) crossProducts(k int) {
	t, b := l.t, &l.blk[k]
	clear(b.info)
	clear(b.score)
	for at := t.blocks[k].lo; at < t.blocks[k].hi; at++ {
		s := t.segments[at]
		mean := l.mean[s.group*t.p : (s.group+1)*t.p]
		for i := s.lo; i < s.hi; i++ {
			for j, x := range t.row(i) {
				b.d[j] = x - mean[j]
			}
			b.add(l.w[i], l.r[i])
		}
	}
}

// add adds a row at distance d from the mean, of weight w and residual r.
func (b *blockSum) add(w, r float64) {
	p := len(b.d)
	for j, d := range b.d {
		b.score[j] += r * d
		wd, out := w*d, b.info[j*p:j*p+j+1]
		for k := range out {
			out[k] += wd * b.d[k]
		}
	}
}

// penalise takes the sums of a block with the residuals and weights of finish.
func (l *likelihood) penalise(k int) {
	t, b := l.t, &l.blk[k]
	clear(b.info)
	clear(b.score)
	for at := t.blocks[k].lo; at < t.blocks[k].hi; at++ {
		s, sum := t.segments[at], &l.seg[at]
		mean := l.mean[s.group*t.p : (s.group+1)*t.p]
		sum.w, sum.r = 0, 0
		clear(sum.wx)
		for i := s.lo; i < s.hi; i++ {
			row := t.row(i)
			for j, x := range row {
				b.d[j] = x - mean[j]
			}
			copy(b.solve, b.d)
			l.chol.forward(b.solve)
			leverage := 1 / l.weight[s.group] // h / w
			for _, z := range b.solve {
				leverage += z * z
			}
			h := l.w[i] * leverage
			w := l.w[i] * (1 + h/t.n[i])
			r := l.r[i] + h*l.half[i]
			sum.w += w
			sum.r += r
			for j, x := range row {
				sum.wx[j] += w * x
			}
			b.add(w, r)
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
