package duration

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// A cover is a set of observations that all reach over the same stretches, the
// ones numbered first to last.
type cover struct {
	first, last int
	weight      float64
}

// An npmle solves for the masses of the stretches that maximise the likelihood
// of the covers. With cut < 0 the masses add up to 1; otherwise those before
// cut add up to share and the others to 1-share.
type npmle struct {
	covers []cover
	total  float64 // of the weights
	mass   []float64
	cut    int
	share  float64

	f    []float64 // f[j] is the mass of stretches 0..j-1
	chi  []float64 // probability of each cover
	rise []float64 // derivative of the log-likelihood by each mass
}

const (
	kuhnTucker = 1e-10 // excess of a derivative over its multiplier that still counts as none, per unit of weight
	emRounds   = 20    // rounds of EM and ICM between two tries of Newton
	outerTries = 200
	maxSupport = 400 // stretches with mass beyond which Newton is left out
)

func newNPMLE(covers []cover, stretches int) *npmle {
	p := &npmle{
		covers: covers, cut: -1, mass: make([]float64, stretches), f: make([]float64, stretches+1),
		chi: make([]float64, len(covers)), rise: make([]float64, stretches),
	}
	for _, c := range covers {
		p.total += c.weight
	}
	for j := range p.mass {
		p.mass[j] = 1 / float64(stretches)
	}
	return p
}

// groups calls do for each run of stretches whose total mass is fixed. A share
// held where there are no stretches lies outside all observations and is lost.
func (p *npmle) groups(do func(from, to int, total float64)) {
	if p.cut < 0 {
		do(0, len(p.mass), 1)
		return
	}
	if p.cut > 0 {
		do(0, p.cut, p.share)
	}
	if p.cut < len(p.mass) {
		do(p.cut, len(p.mass), 1-p.share)
	}
}

func (p *npmle) rescale() {
	p.groups(func(from, to int, total float64) {
		var sum float64
		for _, m := range p.mass[from:to] {
			sum += m
		}
		for j := from; j < to && sum > 0; j++ {
			p.mass[j] *= total / sum
		}
	})
}

// evaluate fills in chi and rise and returns the log-likelihood.
func (p *npmle) evaluate() float64 {
	for j, m := range p.mass {
		p.f[j+1] = p.f[j] + m
	}
	clear(p.rise)
	var loglik float64
	for i, c := range p.covers {
		if c.first == c.last {
			p.chi[i] = p.mass[c.first]
		} else {
			p.chi[i] = p.f[c.last+1] - p.f[c.first]
		}
		loglik += c.weight * math.Log(p.chi[i])
		p.rise[c.first] += c.weight / p.chi[i]
		if c.last+1 < len(p.rise) {
			p.rise[c.last+1] -= c.weight / p.chi[i]
		}
	}
	for j := 1; j < len(p.rise); j++ {
		p.rise[j] += p.rise[j-1]
	}
	return loglik
}

// solve runs rounds of EM and ICM, and Newton steps on the stretches that have
// kept mass, until the Kuhn-Tucker conditions hold. It reports whether they do.
func (p *npmle) solve() (loglik float64, ok bool) {
	for try := 0; try < outerTries; try++ {
		for round := 0; round < emRounds; round++ {
			p.evaluate()
			p.expectMaximise()
			p.convexMinorant()
		}
		if p.newton() {
			break
		}
	}
	loglik = p.evaluate()
	return loglik, p.excess() <= 1e-6
}

// excess is the largest breach of the Kuhn-Tucker conditions per unit of
// weight: no derivative above the multiplier of its group, none below it where
// there is mass. The derivatives must be up to date.
func (p *npmle) excess() float64 {
	var worst float64
	p.groups(func(from, to int, total float64) {
		if total <= 0 {
			return
		}
		multiplier := p.multiplier(from, to, total)
		for j := from; j < to; j++ {
			worst = math.Max(worst, (p.rise[j]-multiplier)/p.total)
			worst = math.Max(worst, p.mass[j]*(multiplier-p.rise[j])/p.total)
		}
	})
	return worst
}

func (p *npmle) multiplier(from, to int, total float64) float64 {
	var sum float64
	for j := from; j < to; j++ {
		sum += p.mass[j] * p.rise[j]
	}
	return sum / total
}

// expectMaximise is one step of self-consistency (Turnbull 1976).
func (p *npmle) expectMaximise() {
	p.groups(func(from, to int, total float64) {
		for j := from; j < to; j++ {
			p.mass[j] *= p.rise[j]
		}
	})
	p.rescale()
}

// convexMinorant is one step of the iterative convex minorant algorithm
// (Groeneboom & Wellner 1992; with EM, Wellner & Zhan 1997): Newton's method on
// the distribution function with the off-diagonal second derivatives left out,
// which makes each step an isotonic regression. It is halved until the
// log-likelihood rises, or not taken.
func (p *npmle) convexMinorant() {
	before := p.evaluate()
	grad, curve := make([]float64, len(p.f)), make([]float64, len(p.f))
	for i, c := range p.covers {
		g, h := c.weight/p.chi[i], c.weight/(p.chi[i]*p.chi[i])
		grad[c.last+1] += g
		curve[c.last+1] += h
		grad[c.first] -= g
		curve[c.first] += h
	}
	target := slices.Clone(p.f)
	lowest := 0.0
	p.groups(func(from, to int, total float64) {
		lo, hi := lowest, lowest+total
		lowest = hi
		inner := target[from+1 : to]
		for j := range inner {
			if h := curve[from+1+j]; h > 0 {
				inner[j] += grad[from+1+j] / h
			}
		}
		isotonic(inner, curve[from+1:to])
		for j := range inner {
			inner[j] = math.Min(math.Max(inner[j], lo), hi)
		}
	})
	old := slices.Clone(p.mass)
	oldF := slices.Clone(p.f)
	for size := 1.0; size > 1e-4; size /= 2 {
		for j := range p.mass {
			p.mass[j] = math.Max(old[j]+size*((target[j+1]-target[j])-(oldF[j+1]-oldF[j])), 0)
		}
		if p.evaluate() > before {
			return
		}
	}
	copy(p.mass, old)
}

// isotonic replaces y by its weighted least-squares fit among rising sequences
// (pool adjacent violators). A weight of 0 follows its neighbours.
func isotonic(y, weight []float64) {
	type block struct {
		mean, weight float64
		n            int
	}
	blocks := make([]block, 0, len(y))
	for i := range y {
		b := block{y[i], weight[i], 1}
		for k := len(blocks) - 1; k >= 0 && blocks[k].mean >= b.mean; k-- {
			last := blocks[k]
			if w := last.weight + b.weight; w > 0 {
				b.mean = (last.mean*last.weight + b.mean*b.weight) / w
			}
			b.weight += last.weight
			b.n += last.n
			blocks = blocks[:k]
		}
		blocks = append(blocks, b)
	}
	i := 0
	for _, b := range blocks {
		for ; b.n > 0; b.n-- {
			y[i] = b.mean
			i++
		}
	}
}

// newton takes Newton steps on the stretches with mass, dropping those that
// reach 0 and taking up those whose derivative is too high, and reports whether
// the Kuhn-Tucker conditions then hold. If not, the masses are left as they
// were or better.
func (p *npmle) newton() bool {
	support := p.support()
	if len(support) > maxSupport {
		p.evaluate()
		return p.excess() <= kuhnTucker
	}
	for step := 0; step < 60; step++ {
		loglik := p.evaluate()
		if p.excess() <= kuhnTucker {
			return true
		}
		support = p.admit(support)
		move := p.direction(support)
		if move == nil {
			return false
		}
		support = p.walk(support, move, loglik)
		if support == nil {
			return false
		}
	}
	return false
}

// support returns the stretches with mass and sets traces of mass to 0 that EM
// leaves where there will be none.
func (p *npmle) support() []int {
	p.evaluate()
	var on []int
	p.groups(func(from, to int, total float64) {
		multiplier := p.multiplier(from, to, total)
		for j := from; j < to; j++ {
			if p.mass[j] < 1e-6*total && p.rise[j] < multiplier {
				p.mass[j] = 0
			}
			if p.mass[j] > 0 {
				on = append(on, j)
			}
		}
	})
	p.rescale()
	return on
}

// admit adds to the support the stretch of each group whose derivative most
// exceeds the multiplier.
func (p *npmle) admit(support []int) []int {
	p.groups(func(from, to int, total float64) {
		if total <= 0 {
			return
		}
		multiplier := p.multiplier(from, to, total)
		best, at := kuhnTucker*p.total, -1
		for j := from; j < to; j++ {
			if p.mass[j] == 0 && p.rise[j]-multiplier > best {
				best, at = p.rise[j]-multiplier, j
			}
		}
		if at >= 0 && !slices.Contains(support, at) {
			support = append(support, at)
		}
	})
	slices.Sort(support)
	return support
}

// direction solves for the Newton step of the masses on the support, each
// group's moves adding up to 0, or returns nil where the masses are not unique.
func (p *npmle) direction(support []int) []float64 {
	info := p.information(support)
	anchor := p.anchors(support) // the stretch of each group that balances the others
	var free []int
	for a := range support {
		if anchor[a] != a {
			free = append(free, a)
		}
	}
	move := make([]float64, len(support))
	if len(free) == 0 {
		return move
	}
	reduced := mat.NewSymDense(len(free), nil)
	grad := mat.NewVecDense(len(free), nil)
	for i, a := range free {
		x := anchor[a]
		grad.SetVec(i, p.rise[support[a]]-p.rise[support[x]])
		for j := i; j < len(free); j++ {
			b := free[j]
			y := anchor[b]
			reduced.SetSym(i, j, info[a][b]-info[a][y]-info[x][b]+info[x][y])
		}
	}
	var chol mat.Cholesky
	var d mat.VecDense
	if !chol.Factorize(reduced) || chol.Cond() > 1e14 || chol.SolveVecTo(&d, grad) != nil {
		return nil
	}
	for i, a := range free {
		move[a] = d.AtVec(i)
		move[anchor[a]] -= d.AtVec(i)
	}
	return move
}

// anchors gives, for each place in the support, the place of the largest mass
// in its group.
func (p *npmle) anchors(support []int) []int {
	anchor := make([]int, len(support))
	p.groups(func(from, to int, _ float64) {
		largest := -1
		for a, j := range support {
			if j >= from && j < to && (largest < 0 || p.mass[j] > p.mass[support[largest]]) {
				largest = a
			}
		}
		for a, j := range support {
			if j >= from && j < to {
				anchor[a] = largest
			}
		}
	})
	return anchor
}

// information is minus the matrix of second derivatives on the support: the sum
// over covers of weight/chi^2 where both stretches are covered, built from the
// corners of each cover.
func (p *npmle) information(support []int) [][]float64 {
	n := len(support)
	sum := make([][]float64, n+1)
	for a := range sum {
		sum[a] = make([]float64, n+1)
	}
	for i, c := range p.covers {
		first, _ := slices.BinarySearch(support, c.first)
		after, _ := slices.BinarySearch(support, c.last+1)
		if first == after {
			continue
		}
		w := c.weight / (p.chi[i] * p.chi[i])
		sum[first][first] += w
		sum[first][after] -= w
		sum[after][first] -= w
		sum[after][after] += w
	}
	for a := 0; a < n; a++ {
		for b := 0; b < n; b++ {
			if a > 0 {
				sum[a][b] += sum[a-1][b]
			}
			if b > 0 {
				sum[a][b] += sum[a][b-1]
			}
			if a > 0 && b > 0 {
				sum[a][b] -= sum[a-1][b-1]
			}
		}
	}
	return sum
}

// walk moves the masses, at most until one reaches 0 (which drops it), halved
// until the log-likelihood does not fall. It returns the support left, or nil
// if there is no progress.
func (p *npmle) walk(support []int, move []float64, loglik float64) []int {
	size, stop := 1.0, -1
	for a, j := range support {
		if move[a] < 0 && -p.mass[j] >= size*move[a] {
			size, stop = -p.mass[j]/move[a], a
		}
	}
	old := slices.Clone(p.mass)
	for ; size > 1e-9 || stop >= 0; size /= 2 {
		for a, j := range support {
			p.mass[j] = math.Max(old[j]+size*move[a], 0)
		}
		if stop >= 0 {
			p.mass[support[stop]] = 0
		}
		if p.evaluate() >= loglik-1e-13*math.Abs(loglik) {
			if stop >= 0 {
				return slices.Delete(slices.Clone(support), stop, stop+1)
			}
			return support
		}
		stop = -1
	}
	copy(p.mass, old)
	return nil
}

// unique reports whether no other masses have the same likelihood: whether the
// information on the support is positive definite, as far as Newton can tell.
func (p *npmle) unique() bool {
	p.evaluate()
	var on []int
	for j, m := range p.mass {
		if m > 0 {
			on = append(on, j)
		}
	}
	return len(on) > maxSupport || p.direction(on) != nil
}
