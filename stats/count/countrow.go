package count

import (
	"cmp"
	"fmt"
	"math"
	"math/bits"
	"slices"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/newton"
)

// A CountRow is a Count with the covariates X it was made under, as many for
// every row; a group is a covariate of 0 and 1. Times is how often the same row
// occurs (0 counts as 1). Rows of one Cluster (a keeper) may be alike.
type CountRow struct {
	Count
	X       []float64
	Times   int
	Cluster int
}

func (r CountRow) refuse(width int) string {
	switch {
	case r.Count.refuse() != "":
		return r.Count.refuse()
	case len(r.X) != width:
		return fmt.Sprintf("it has %d covariates and the first has %d", len(r.X), width)
	case slices.ContainsFunc(r.X, func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }):
		return "a covariate is not a number"
	case r.Times < 0:
		return fmt.Sprintf("it cannot occur %d times", r.Times)
	}
	return ""
}

func (r *CountRow) compare(o *CountRow) int {
	if c := cmp.Compare(r.Cluster, o.Cluster); c != 0 {
		return c
	}
	for j, x := range r.X { // none is NaN
		if y := o.X[j]; x < y {
			return -1
		} else if x > y {
			return 1
		}
	}
	return cmp.Or(cmp.Compare(r.Exposure, o.Exposure), cmp.Compare(r.Lo, o.Lo), cmp.Compare(r.Hi, o.Hi))
}

// countRows is the log-likelihood of counts with mean Exposure exp(X'b): the
// distinct rows in an order of their own, X with the constant 1 in front.
type countRows struct {
	rows       []CountRow
	times      []float64
	offsets    []float64 // logs of the exposures
	numbers    []float64 // the distinct exact counts
	factorials []float64 // logs of theirs
	place      []int     // of a row's count among numbers; -1 for a range
	width      int
	n          int
}

// newCountRows checks the rows and collects equal ones, of the same cluster if
// clusters matter.
func newCountRows(rows []CountRow, clusters bool) (*countRows, error) {
	c := &countRows{width: 1}
	if len(rows) > 0 {
		c.width += len(rows[0].X)
	}
	cells := make([]float64, 0, c.width*len(rows)+1)
	seen := newRowSet(len(rows))
	for i, r := range rows {
		if reason := r.refuse(c.width - 1); reason != "" {
			return nil, &stats.InputError{Index: i, Reason: reason}
		}
		if r.Exposure == 0 {
			r.Exposure = 1
		}
		if !clusters {
			r.Cluster = 0
		}
		n := len(cells)
		cells = append(append(cells, 1), r.X...)
		r.X, r.Times = cells[n:len(cells):len(cells)], max(r.Times, 1)
		c.n += r.Times
		if !seen.add(r) {
			cells = cells[:n]
		}
	}
	sorted := inOrder(seen.rows, clusters)
	c.rows, c.times, c.numbers = make([]CountRow, 0, len(sorted)), make([]float64, 0, len(sorted)), make([]float64, 0, len(sorted))
	for _, r := range sorted {
		c.rows, c.times = append(c.rows, *r.CountRow), append(c.times, float64(r.Times))
		if r.exact() {
			c.numbers = append(c.numbers, r.Lo)
		}
	}
	slices.Sort(c.numbers)
	c.numbers = slices.Compact(c.numbers)
	for _, y := range c.numbers {
		c.factorials = append(c.factorials, logFactorial(y))
	}
	c.place, c.offsets = make([]int, 0, len(c.rows)), make([]float64, 0, len(c.rows))
	cells = make([]float64, 0, len(c.rows)*c.width) // side by side, in the order in which they are read
	for i, r := range c.rows {
		cells = append(cells, r.X...)
		c.rows[i].X = cells[len(cells)-c.width : len(cells) : len(cells)]
		at := -1
		if r.exact() {
			at, _ = slices.BinarySearch(c.numbers, r.Lo)
		}
		c.place = append(c.place, at)
		c.offsets = append(c.offsets, math.Log(r.Exposure))
	}
	return c, nil
}

// A keyedRow has what mostly decides where the row comes at hand.
type keyedRow struct {
	first float64
	*CountRow
}

// inOrder sorts the rows by CountRow.compare.
func inOrder(rows []CountRow, clusters bool) []keyedRow {
	sorted := make([]keyedRow, len(rows))
	for i := range rows {
		r := &rows[i]
		sorted[i].CountRow = r
		if clusters {
			sorted[i].first = float64(r.Cluster)
		} else if len(r.X) > 1 {
			sorted[i].first = r.X[1] // after the constant
		}
	}
	slices.SortFunc(sorted, func(a, b keyedRow) int {
		switch {
		case a.first < b.first:
			return -1
		case a.first > b.first:
			return 1
		}
		return a.compare(b.CountRow)
	})
	return sorted
}

// A rowSet collects different rows.
type rowSet struct {
	rows  []CountRow
	table []int32 // one more than the place in rows, where the bits of the row or those after lead; 0 for none
}

func newRowSet(n int) *rowSet { return &rowSet{table: make([]int32, 2<<bits.Len(uint(n)))} }

// add puts in the row, or adds to Times of one that is equal but for it, and reports
// which.
func (s *rowSet) add(r CountRow) (isNew bool) {
	h := uint64(r.Cluster)
	mix := func(x float64) {
		h = (h ^ math.Float64bits(x+0)) * 0x9e3779b97f4a7c15 // -0 becomes 0
		h ^= h >> 32
	}
	for _, x := range r.X {
		mix(x)
	}
	mix(r.Exposure)
	mix(r.Lo)
	mix(r.Hi)
	mask := uint64(len(s.table) - 1)
	for at := h & mask; ; at = (at + 1) & mask {
		i := s.table[at]
		if i == 0 {
			s.rows = append(s.rows, r)
			s.table[at] = int32(len(s.rows))
			return true
		}
		if old := &s.rows[i-1]; old.compare(&r) == 0 {
			old.Times += r.Times
			return false
		}
	}
}

// objective is the log-likelihood of the coefficients and, where theta has room
// for it, of q = -log k; without it that of the Poisson distribution.
func (c *countRows) objective(theta, grad []float64, hess *mat.SymDense) float64 {
	size, derive := math.Inf(1), grad != nil
	if len(theta) > c.width {
		size = math.Exp(-theta[c.width])
	}
	rungs, up := make([]rung, len(c.numbers)), ladder{k: size, derive: derive}
	for i, y := range c.numbers {
		rungs[i] = up.rung(y, c.factorials[i])
	}
	return sumRows(len(c.rows), rowsTogether, grad, hess, func(s *rowSum, from, to int) {
		c.addRows(s, from, to, theta, size, rungs)
	})
}

// sumRows adds up n rows, so many together by themselves and spread over the
// processors, and returns the value. Without derivatives grad is nil.
func sumRows(n, together int, grad []float64, hess *mat.SymDense, add func(s *rowSum, from, to int)) (value float64) {
	p := len(grad)
	sums := make([]rowSum, (n+together-1)/together)
	part := func(k int) {
		if grad != nil {
			sums[k].grad, sums[k].curve = make([]float64, p), make([]float64, p*p)
		}
		add(&sums[k], k*together, min((k+1)*together, n))
	}
	if len(sums) == 1 {
		part(0)
	} else {
		inParallel(len(sums), func(next func() int) {
			for k := next(); k < len(sums); k = next() {
				part(k)
			}
		})
	}
	for _, s := range sums {
		value += s.value
		for a, g := range s.grad {
			grad[a] += g
			for b := a; b < p; b++ {
				hess.SetSym(a, b, hess.At(a, b)+s.curve[a*p+b])
			}
		}
	}
	return value
}

// rowsTogether is how many rows are added up by themselves. The sums of these, in
// order, do not depend on the number of processors.
const rowsTogether = 2048

// A rowSum is the log-likelihood of some of the rows with its derivatives, the second
// ones in the upper triangle of curve.
type rowSum struct {
	value       float64
	grad, curve []float64
}

// addRows adds up the rows from one to before another.
func (c *countRows) addRows(s *rowSum, from, to int, theta []float64, size float64, rungs []rung) {
	derive := s.grad != nil
	for i := from; i < to; i++ {
		r := &c.rows[i]
		line := dot(theta, r.X)
		mean := r.Exposure * math.Exp(line)
		var p partials
		if at := c.place[i]; at >= 0 {
			common := slopesAt(mean, line+c.offsets[i], size)
			p = common.logProb(rungs[at], derive)
		} else {
			p = negBinomial{mean, size}.logLikelihood(r.Count, derive)
		}
		s.value += c.times[i] * p.value
		if derive {
			addRow(s.grad, s.curve, r.X, c.times[i], p)
		}
	}
}

// addRow adds the derivatives of one row, by its linear predictor and by q, to
// those by the parameters.
func addRow(grad, curve, x []float64, times float64, p partials) {
	n := len(grad)
	for a, xa := range x {
		grad[a] += times * p.b * xa
		for b := a; b < len(x); b++ {
			curve[a*n+b] += times * p.bb * xa * x[b]
		}
		if n > len(x) {
			curve[a*n+n-1] += times * p.bq * xa
		}
	}
	if n > len(x) {
		grad[n-1] += times * p.q
		curve[n*n-1] += times * p.qq
	}
}

// dot is the product of x with the first of theta.
func dot(theta, x []float64) (s float64) {
	for j, v := range x {
		s += theta[j] * v
	}
	return s
}

func (c *countRows) design() (d design) {
	for _, r := range c.rows {
		d.rows = append(d.rows, r.X)
	}
	d.times = c.times
	return d
}

// enough applies what needs no fit.
func (c *countRows) enough() (stats.Status, []stats.Warning) {
	bounded := func(r CountRow) bool { return !math.IsInf(r.Hi, 1) }
	positive := func(r CountRow) bool { return r.Lo > 0 }
	one := func(code, text string, args ...any) []stats.Warning {
		return []stats.Warning{stats.Warn(code, text, args...)}
	}
	switch {
	case c.n == 0:
		return stats.TooLittle, one("no-observations", "there are no counts")
	case c.n <= c.width:
		return stats.TooLittle, one("few-observations", "%d counts are too few for %d coefficients", c.n, c.width)
	case !slices.ContainsFunc(c.rows, bounded):
		return stats.TooLittle, one("no-upper-limit", "none of the counts has an upper limit")
	case !slices.ContainsFunc(c.rows, positive):
		return stats.TooLittle, one("all-zero", "all %d counts are or may be 0, so there is nothing to fit", c.n)
	}
	return stats.OK, nil
}

// poisson climbs to the best coefficients for independent events.
func (c *countRows) poisson() (newton.Result, stats.Status, []stats.Warning) {
	var sum, exposure float64
	for i, r := range c.rows {
		sum += c.times[i] * r.middle()
		exposure += c.times[i] * r.Exposure
	}
	start := make([]float64, c.width)
	start[0] = math.Log(sum / exposure)
	r := newton.Maximise(c.objective, start, newton.Settings{})
	if !r.Converged || c.design().open(r.Covariance) {
		return r, stats.NotIdentifiable, []stats.Warning{stats.Warn("no-single-fit", "the counts leave the effect of some covariate open: it does not vary apart from the others, or one of its values goes with counts of 0 only")}
	}
	return r, stats.OK, nil
}

// moved is the same likelihood with x subtracted from all covariates, so that
// the intercept is what holds at x.
func (c *countRows) moved(x []float64) *countRows {
	out := *c
	out.rows = slices.Clone(c.rows)
	for i, r := range out.rows {
		out.rows[i].X = slices.Clone(r.X)
		for j := range x {
			out.rows[i].X[j+1] -= x[j]
		}
	}
	return &out
}
