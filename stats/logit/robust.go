package logit

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/tail"
)

// RobustKind names a cluster-robust covariance matrix. With G clusters, N rows and
// P parameters (intercepts included):
type RobustKind int

const (
	// CR0 is the plain sandwich (Liang & Zeger 1986). It is too small with few
	// clusters.
	CR0 RobustKind = iota
	// CR1 is CR0 times G/(G-1).
	CR1
	// CR1P is CR0 times G/(G-P).
	CR1P
	// CR1S is CR0 times G (N-1) / ((G-1)(N-P)), as Stata multiplies it.
	CR1S
	// CR2 multiplies the residuals of each cluster by (I - H)^(-1/2), H the hat
	// matrix of the last weighted least squares step, in the scale of Pearson
	// residuals: unbiased where rows are independent (Bell & McCaffrey 2002).
	CR2
	// CR2Response takes the square root in the scale of the response, as R's
	// clubSandwich does: A = D (D (I-H) D^3)^(-1/2) D with D the standard
	// deviations of the rows. It is as unbiased as CR2 and differs in the third
	// digit, but costs some 20 times as much (the cube of the rows of a cluster where
	// that has seen nearly as many groups as rows), and it depends on whether like rows
	// are written as one row of several trials.
	CR2Response
	// CR3 multiplies by (I - H)^(-1), close to leaving out one cluster at a time.
	CR3
)

var robustNames = [...]string{"CR0", "CR1", "CR1p", "CR1S", "CR2", "CR2 (response scale)", "CR3"}

// String returns the usual short name.
func (k RobustKind) String() string {
	if k < 0 || int(k) >= len(robustNames) {
		return fmt.Sprintf("robust(%d)", int(k))
	}
	return robustNames[k]
}

// A Robust holds standard errors of the slopes that allow for rows of a cluster
// being alike. Numbers are NaN where Status is not usable.
type Robust struct {
	Kind     RobustKind
	Status   stats.Status
	Warnings []stats.Warning
	Clusters int
	Cov      [][]float64 // of the slopes
	SE       []float64
	// DF are the degrees of freedom of Satterthwaite's approximation, under
	// independent rows (Bell & McCaffrey 2002; Pustejovsky & Tipton 2018).
	DF []float64

	m     *Model
	sums  []adjusted
	root  cholesky  // of S
	parts []*Robust // the two sets of clusters of RobustTwoWay
}

// adjusted is what Robust keeps of a cluster: with d the rows' distances from
// their groups' means times the root of their weight, e the Pearson residuals and
// A the adjustment, y = A d.
type adjusted struct {
	score []float64   // y'e
	outer []float64   // y'y
	cross []float64   // d'y
	group []int       // groups of the rows
	sum   [][]float64 // per group, sum of root-weight times y, over the root of W_g
}

// Robust works out the cluster-robust covariance matrix of the slopes. cluster
// holds the number of the cluster of each row. The group intercepts are
// partialled out, never made into columns. With a penalty the score of a row is
// that of the penalised likelihood.
//
// Where the outcomes are separated there is no such matrix (a residual of 0 would
// pass for certainty) and Status is Separated; with a single cluster, or with CR1P
// no more clusters than parameters, it is TooLittle.
func (m *Model) Robust(cluster []int, kind RobustKind) (*Robust, error) {
	if err := m.checkClusters(cluster); err != nil {
		return nil, err
	}
	if kind < 0 || int(kind) >= len(robustNames) {
		return nil, fmt.Errorf("there is no covariance matrix of kind %d", int(kind))
	}
	if m.Penalty == LogF {
		return nil, fmt.Errorf("there is no cluster-robust covariance matrix under the logF penalty; use Jackknife")
	}
	r := m.newRobust(kind)
	if !r.Status.Usable() {
		return r, nil
	}
	labels := m.clusters(cluster)
	r.Clusters = len(labels)
	if len(labels) < 2 {
		r.refuse(stats.TooLittle, "one-cluster", "all rows belong to one cluster, so nothing is known about how clusters differ")
		return r, nil
	}
	if kind == CR1P && len(labels) <= m.Parameters {
		r.refuse(stats.TooLittle, "few-clusters", "%d clusters are not enough for %d parameters", len(labels), m.Parameters)
		return r, nil
	}
	if len(m.Coef) > 0 {
		r.adjust(cluster, labels)
		r.covariance()
	}
	return r, nil
}

func (m *Model) newRobust(kind RobustKind) *Robust {
	p := len(m.Coef)
	nan := math.NaN()
	r := &Robust{Kind: kind, Status: m.Status, Warnings: slices.Clone(m.Warnings), m: m, SE: filled(p, nan), DF: filled(p, nan)}
	for range p {
		r.Cov = append(r.Cov, filled(p, nan))
	}
	if r.Status.Usable() && m.Separation.Separated() {
		r.Status = stats.Separated
	}
	return r
}

func (r *Robust) refuse(s stats.Status, code, format string, args ...any) {
	r.Status = s
	r.Warnings = append(r.Warnings, stats.Warn(code, format, args...))
}

// adjust fills in the sums of all clusters.
func (r *Robust) adjust(cluster, labels []int) {
	m := r.m
	k := m.workingPoint(false)
	r.root = k.l.chol
	r.sums = make([]adjusted, len(labels))
	if r.Kind == CR2Response {
		rows := m.clusterUnits(k, cluster, labels)
		each(len(labels), func(c int) { r.sums[c] = r.byRows(k, rows[c]) })
		return
	}
	sums := m.clusterSums(k, cluster, labels)
	each(len(labels), func(c int) { r.sums[c] = r.bySums(k, sums[c]) })
}

// power returns what takes the place of 1/lambda ((1-lambda)^-power - 1), so that
// (I - F F')^-power = I + F V diag(.) V' F' for F'F = V diag(lambda) V'. A
// direction in which the cluster fits itself (lambda = 1) is dropped, as by a
// Moore-Penrose inverse.
func (k RobustKind) power(lambda float64) float64 {
	if k != CR2 && k != CR3 {
		return 0
	}
	left := 1 - lambda
	switch {
	case left < 1e-10:
		return -1 / lambda
	case k == CR3:
		return 1 / left
	}
	root := math.Sqrt(left)
	return 1 / (root * (1 + root)) // (1/root - 1)/(1 - root^2)
}

// bySums adjusts a cluster from its sums alone. With F = [z_g / root W_g, d
// inv(L)'], z_g the root-weights of the rows in group g and S = L L', the hat matrix
// of the cluster is F F', and everything needed follows from N = F'F.
func (r *Robust) bySums(k *working, sum clusterSum) adjusted {
	p, g := r.m.fitted.p, len(sum.parts)
	q := g + p
	n := mat.NewSymDense(q, nil)
	residual := mat.NewVecDense(q, nil) // F'e
	score := make([]float64, p)
	for a, part := range sum.parts {
		root := math.Sqrt(k.weight[part.group])
		n.SetSym(a, a, part.w/k.weight[part.group])
		residual.SetVec(a, part.r/root)
		wd := slices.Clone(part.wd)
		r.root.forward(wd)
		for j, x := range wd {
			n.SetSym(a, g+j, x/root)
		}
		subtract(score, -1, part.rd)
	}
	white := r.whiten(sum.info)
	for i := range p {
		for j := range i + 1 {
			n.SetSym(g+i, g+j, white[i*p+j])
		}
	}
	forward := slices.Clone(score)
	r.root.forward(forward)
	for j, x := range forward {
		residual.SetVec(g+j, x)
	}
	lower := mat.NewDense(p, p, nil)
	for i := range p {
		for j := range i + 1 {
			lower.Set(i, j, r.root.l[i*p+j])
		}
	}
	var fd, middle, y, outer, cross mat.Dense // F'd, then M F'd
	fd.Mul(n.SliceSym(0, q).(*mat.SymDense), stackLower(lower, g))
	phi := r.spectral(n)
	middle.Mul(phi, &fd)
	out := adjusted{score: score, group: make([]int, g), sum: make([][]float64, g)}
	// y = d + F M F'd
	y.Mul(middle.T(), residual)
	for j := range p {
		out.score[j] += y.At(j, 0)
	}
	cross.Mul(fd.T(), &middle)
	outer.Mul(n, &middle)
	var last mat.Dense
	last.Mul(middle.T(), &outer)
	out.cross, out.outer = slices.Clone(sum.info), slices.Clone(sum.info)
	for i := range p {
		for j := range p {
			out.cross[i*p+j] += cross.At(i, j)
			out.outer[i*p+j] += 2*cross.At(i, j) + last.At(i, j)
		}
	}
	for a, part := range sum.parts {
		out.group[a] = part.group // ascending, see clusterSums
		out.sum[a] = make([]float64, p)
		for j := range p {
			out.sum[a][j] = fd.At(a, j) + outer.At(a, j) // F_a'd + N_a M F'd
		}
	}
	return out
}

// stackLower puts g rows of zeros above L': F times it is d.
func stackLower(lower *mat.Dense, g int) *mat.Dense {
	p, _ := lower.Dims()
	out := mat.NewDense(g+p, p, nil)
	out.Slice(g, g+p, 0, p).(*mat.Dense).Copy(lower.T())
	return out
}

// whiten returns inv(L) A inv(L)'.
func (r *Robust) whiten(a []float64) []float64 {
	p := r.root.n
	out := slices.Clone(a)
	column := make([]float64, p)
	for range 2 { // solve the columns, transpose, and again
		next := make([]float64, p*p)
		for j := range p {
			for i := range p {
				column[i] = out[i*p+j]
			}
			r.root.forward(column)
			copy(next[j*p:(j+1)*p], column)
		}
		out = next
	}
	return out
}

// spectral is V diag(power(lambda)) V' for n = V diag(lambda) V'.
func (r *Robust) spectral(n *mat.SymDense) *mat.Dense {
	q := n.SymmetricDim()
	out := mat.NewDense(q, q, nil)
	if r.Kind.power(0) == 0 {
		return out
	}
	return spectrum(n, r.Kind.power)
}

// spectrum is V diag(f(lambda)) V' for a = V diag(lambda) V'.
func spectrum(a *mat.SymDense, f func(float64) float64) *mat.Dense {
	q := a.SymmetricDim()
	var e mat.EigenSym
	if !e.Factorize(a, true) {
		panic("stats/logit: a finite symmetric matrix has no eigenvalues")
	}
	var v, scaled, out mat.Dense
	e.VectorsTo(&v)
	values := e.Values(nil)
	scaled.CloneFrom(&v)
	for j, lambda := range values {
		g := f(lambda)
		for i := range q {
			scaled.Set(i, j, v.At(i, j)*g)
		}
	}
	out.Mul(&scaled, v.T())
	return &out
}

// A clusterUnit is the rows of a cluster that share a pattern and a number of
// trials: times as many rows, with residuals that add up to residual (Pearson).
type clusterUnit struct {
	pattern, group  int
	trials, times   float64
	weight, pearson float64
}

// clusterUnits divides the rows of each cluster into units.
func (m *Model) clusterUnits(k *working, cluster, labels []int) [][]clusterUnit {
	groupOf, at := m.fitted.groupOf(), m.fittedPatterns()
	out := make([][]clusterUnit, len(labels))
	type key struct {
		cluster, pattern int
		trials           float64
	}
	where := map[key]int{}
	for i, u := range m.full.rowOf {
		if u < 0 || at[u] < 0 {
			continue
		}
		c, _ := slices.BinarySearch(labels, cluster[i])
		v, trials, y, times := int(at[u]), m.data.trials(i), m.data.Y[i], m.data.weight(i)
		n, ok := where[key{c, v, trials}]
		if !ok {
			n = len(out[c])
			where[key{c, v, trials}] = n
			out[c] = append(out[c], clusterUnit{pattern: v, group: groupOf[v], trials: trials, weight: trials * k.w[v]})
		}
		unit := &out[c][n]
		unit.times += times
		unit.pearson += times * (y*k.q[v] - (trials-y)*k.p[v] + trials*k.pull[v]) / math.Sqrt(unit.weight)
	}
	return out
}

// byRows adjusts a cluster row by row, like rows taken together: the square root
// acts on the direction that they share, and in all others leaves their sum alone.
//
// With D^2 = p (1-p)/n the variances of the rows, the adjustment in the scale of
// Pearson residuals is A = D^2 (D^2 (I-H) D^2)^(-1/2).
func (r *Robust) byRows(k *working, units []clusterUnit) adjusted {
	p, n := r.m.fitted.p, len(units)
	if n == 0 { // all its rows lie in groups that compare nothing
		return adjusted{score: make([]float64, p), outer: make([]float64, p*p), cross: make([]float64, p*p)}
	}
	slices.SortStableFunc(units, func(a, b clusterUnit) int { return a.group - b.group })
	column := map[int]int{} // of a group in f
	for _, u := range units {
		if _, ok := column[u.group]; !ok {
			column[u.group] = p + len(column)
		}
	}
	d, f := mat.NewDense(n, p, nil), mat.NewDense(n, p+len(column), nil)
	variance, root := make([]float64, n), make([]float64, n)
	for i, u := range units {
		root[i] = math.Sqrt(u.weight * u.times)
		variance[i] = k.w[u.pattern] / u.trials
		row := f.RawRowView(i)
		for j, x := range r.m.fitted.x {
			row[j] = root[i] * (x[u.pattern] - k.mean[u.group*p+j])
		}
		d.SetRow(i, row[:p])
		r.root.forward(row[:p])
		row[column[u.group]] = root[i] / math.Sqrt(k.weight[u.group])
	}
	y := lowered{variance, f}.inverseRootTimes(d)
	var scaled, cross mat.Dense
	for i := range n {
		for j := range p {
			y.Set(i, j, y.At(i, j)*variance[i])
		}
	}
	scaled.Mul(y.T(), y)
	cross.Mul(d.T(), y)
	out := adjusted{score: make([]float64, p), outer: slices.Clone(scaled.RawMatrix().Data), cross: slices.Clone(cross.RawMatrix().Data)}
	for i, u := range units {
		a := len(out.group) - 1
		if a < 0 || out.group[a] != u.group {
			a++
			out.group, out.sum = append(out.group, u.group), append(out.sum, make([]float64, p))
		}
		for j := range p {
			out.score[j] += y.At(i, j) * u.pearson / math.Sqrt(u.times)
			out.sum[a][j] += y.At(i, j) * root[i] / math.Sqrt(k.weight[u.group])
		}
	}
	return out
}

// factor is what the plain sum over clusters is multiplied by.
func (r *Robust) factor() float64 {
	g, p := float64(r.Clusters), float64(r.m.Parameters)
	n := 0.0
	for i, u := range r.m.full.rowOf {
		if u >= 0 {
			n += r.m.data.weight(i)
		}
	}
	switch r.Kind {
	case CR1:
		return g / (g - 1)
	case CR1P:
		return g / (g - p)
	case CR1S:
		return g * (n - 1) / ((g - 1) * (n - p))
	}
	return 1
}

// covariance fills in Cov, SE and DF.
func (r *Robust) covariance() {
	m, p := r.m, len(r.m.Coef)
	factor := r.factor()
	for i := range p {
		clear(r.Cov[i])
	}
	for _, s := range r.sums {
		b := slices.Clone(s.score)
		r.root.solve(b)
		for i, x := range b {
			for j, y := range b {
				r.Cov[i][j] += factor * x * y / m.fitted.scale[i] / m.fitted.scale[j]
			}
		}
	}
	contrast := make([]float64, p)
	for j := range p {
		clear(contrast)
		contrast[j] = 1
		r.SE[j] = math.Sqrt(r.Cov[j][j])
		r.DF[j], _ = r.degrees([][]float64{contrast})
	}
}

// A direction is what a contrast of the slopes makes of the clusters, under
// independent rows: its parts from clusters c and k have the covariance own_c (c =
// k) less turned_c'turned_k.
type direction struct {
	v      []float64   // inv(S) times the contrast
	turned [][]float64 // the slopes come first, then the groups of the cluster
}

func (r *Robust) direction(contrast []float64) direction {
	p := len(contrast)
	v := make([]float64, p)
	for j, x := range contrast {
		v[j] = x / r.m.fitted.scale[j]
	}
	r.root.solve(v)
	out := direction{v, make([][]float64, len(r.sums))}
	for c, s := range r.sums {
		turned := make([]float64, p, p+len(s.group))
		for i := range p {
			turned[i] = dot(s.cross[i*p:(i+1)*p], v)
		}
		r.root.forward(turned)
		for a := range s.group {
			turned = append(turned, dot(s.sum[a], v))
		}
		out.turned[c] = turned
	}
	return out
}

// covary is the covariance of the parts of a from cluster c and of b from
// cluster k.
func (r *Robust) covary(a, b direction, c, k int) float64 {
	p := len(a.v)
	x, y := a.turned[c], b.turned[k]
	v := -dot(x[:p], y[:p])
	gx, gy := r.sums[c].group, r.sums[k].group
	for i, j := 0, 0; i < len(gx) && j < len(gy); {
		switch {
		case gx[i] < gy[j]:
			i++
		case gx[i] > gy[j]:
			j++
		default:
			v -= x[p+i] * y[p+j]
			i, j = i+1, j+1
		}
	}
	if c == k {
		for i, f := range a.v {
			v += f * dot(r.sums[c].outer[i*p:(i+1)*p], b.v)
		}
	}
	return v
}

// degrees returns the degrees of freedom that match the total variance of the
// covariance matrix of the contrasts, brought to unit size: Satterthwaite's for
// one contrast, those of the Hotelling approximation of Pustejovsky & Tipton
// (2018) for several. ok is false where the contrasts have no variance at all.
func (r *Robust) degrees(contrasts [][]float64) (df float64, ok bool) {
	if r.parts != nil {
		a, ok1 := r.parts[0].degrees(contrasts)
		b, ok2 := r.parts[1].degrees(contrasts)
		return math.Min(a, b), ok1 && ok2
	}
	q, g := len(contrasts), len(r.sums)
	all := make([]direction, q)
	for s := range contrasts {
		all[s] = r.direction(contrasts[s])
	}
	expected := mat.NewSymDense(q, nil)
	for s := range q {
		for t := range s + 1 {
			for c := range g {
				expected.SetSym(s, t, expected.At(s, t)+r.covary(all[s], all[t], c, c))
			}
		}
	}
	if mat.Trace(expected) <= 0 {
		return math.NaN(), false
	}
	root := spectrum(expected, func(x float64) float64 { return inverseRoot(x, 1e-12*mat.Trace(expected)) })
	for s := range contrasts {
		unit := make([]float64, len(contrasts[s]))
		for t, contrast := range contrasts {
			subtract(unit, -root.At(s, t), contrast)
		}
		all[s] = r.direction(unit)
	}
	rows := make([]float64, g)
	each(g, func(c int) {
		for k := range g {
			rows[c] += r.squares(all, c, k)
		}
	})
	total := neumaier{}
	for _, v := range rows {
		total.add(v)
	}
	return float64(q*(q+1)) / total.total(), total.total() > 0
}

// squares is (tr P)^2 + tr(P P) for the matrix P of covariances of the directions
// from cluster c with those from cluster k.
func (r *Robust) squares(all []direction, c, k int) float64 {
	q := len(all)
	block := make([]float64, q*q)
	trace, square := 0.0, 0.0
	for s := range q {
		for t := range q {
			block[s*q+t] = r.covary(all[s], all[t], c, k)
		}
		trace += block[s*q+s]
	}
	for s := range q {
		for t := range q {
			square += block[s*q+t] * block[t*q+s]
		}
	}
	return trace*trace + square
}

// Interval returns slope j with the interval estimate plus and minus SE times the
// t quantile with DF degrees of freedom.
func (r *Robust) Interval(j int, level float64) stats.Estimate {
	checkLevel(level)
	e := r.m.estimate(level, fmt.Sprintf("%s with Satterthwaite degrees of freedom, %s", r.Kind, r.m.Penalty))
	e.Status, e.Warnings = r.Status, slices.Clone(r.Warnings)
	if !e.Status.Usable() {
		return e
	}
	half := tail.StudentUpperQuantile((1-level)/2, r.DF[j]) * r.SE[j]
	e.Value, e.Lo, e.Hi = r.m.Coef[j], r.m.Coef[j]-half, r.m.Coef[j]+half
	return e
}

// A RobustTest is a Wald test of one or several slopes.
type RobustTest struct {
	F      float64
	DF1    int
	DF2    float64 // may be infinite
	P      float64
	Method string
	Status stats.Status
}

// Reference says what a Wald statistic is compared with.
type Reference int

const (
	// Hotelling is the F distribution of the approximate Hotelling test, with the
	// statistic shrunk to match (HTZ; Pustejovsky & Tipton 2018). For one slope it
	// is the t test with Satterthwaite's degrees of freedom.
	Hotelling Reference = iota
	// NaiveF is the F distribution with as many degrees of freedom as there are
	// clusters, less one.
	NaiveF
	// ChiSquare is the limit for many clusters.
	ChiSquare
)

// WaldTest tests that all the given slopes are 0.
func (r *Robust) WaldTest(ref Reference, columns ...int) RobustTest {
	q := float64(len(columns))
	nan := math.NaN()
	t := RobustTest{F: nan, DF1: len(columns), DF2: nan, P: nan, Status: r.Status, Method: fmt.Sprintf("Wald, %s, %s", r.Kind, r.m.Penalty)}
	if !t.Status.Usable() {
		return t
	}
	statistic, ok := quadraticForm(r.m.Coef, r.Cov, columns)
	if !ok {
		t.Status = stats.NotIdentifiable // fewer clusters than slopes, or no variance
		return t
	}
	switch ref {
	case ChiSquare:
		t.F, t.DF2 = statistic/q, math.Inf(1)
	case NaiveF:
		t.F, t.DF2 = statistic/q, float64(r.Clusters-1)
	case Hotelling:
		var contrasts [][]float64
		for _, j := range columns {
			contrasts = append(contrasts, make([]float64, len(r.SE)))
			contrasts[len(contrasts)-1][j] = 1
		}
		eta, ok := r.degrees(contrasts)
		if !ok || eta <= q-1 {
			t.Status = stats.TooLittle
			return t
		}
		t.F, t.DF2 = (eta-q+1)/(eta*q)*statistic, eta-q+1
	}
	t.P = tail.FUpper(t.F, q, t.DF2)
	return t
}

// quadraticForm is b' inv(V) b for the given slopes.
func quadraticForm(coef []float64, cov [][]float64, columns []int) (float64, bool) {
	q := len(columns)
	v, b := make([]float64, q*q), make([]float64, q)
	for i, j := range columns {
		b[i] = coef[j]
		for k, l := range columns {
			v[i*q+k] = cov[j][l]
		}
	}
	var chol cholesky
	if !chol.factor(v, q) {
		return math.NaN(), false
	}
	chol.forward(b)
	return dot(b, b), true
}

// OneSided is the p-value against the alternative that a slope lies above 0, or below it,
// given its estimate; NaN for several slopes. The side has to be chosen before the
// records are looked at.
func (t RobustTest) OneSided(estimate float64, above bool) float64 {
	if t.DF1 != 1 || !t.Status.Usable() {
		return math.NaN()
	}
	return oneSided(t.P, estimate, above)
}

// inverseRoot is the inverse square root, 0 for what counts as 0.
func inverseRoot(lambda, nothing float64) float64 {
	if lambda <= nothing {
		return 0
	}
	return 1 / math.Sqrt(lambda)
}
