package logit

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
)

// Identifiability says which columns the records can tell apart. The zero value
// finds no fault.
type Identifiability struct {
	// Constant columns have the same value in every row.
	Constant []int
	// ConstantInGroups columns vary between groups only, so they cannot be told
	// from the intercepts.
	ConstantInGroups []int
	// Uncontrasted columns vary only within groups that have seen one outcome,
	// so there is nothing to compare them with.
	Uncontrasted []int
	// Aliased columns always moved together; in each set any one is worked out
	// exactly from the others. Without the first column of each set the rest can
	// be told apart.
	Aliased [][]int

	// ConditionIndex is the largest singular value of the columns (centred on
	// their groups and scaled alike) over the smallest. Beyond 30 the fit goes
	// ahead, but Pair names the two columns most involved.
	ConditionIndex float64
	Pair           []int

	names []string
}

// aliasTolerance is how much of a column, relative to the column with the most,
// must be left once the others are accounted for.
const aliasTolerance = 1e-9

// collinear is the condition index from which two columns are hard to tell apart
// (Belsley, Kuh & Welsch 1980).
const collinear = 30

// OK reports whether all columns can be told apart.
func (id Identifiability) OK() bool { return len(id.Faulty()) == 0 }

// Faulty returns the columns to leave out so that the rest can be told apart, in
// ascending order.
func (id Identifiability) Faulty() []int {
	out := slices.Concat(id.Constant, id.ConstantInGroups, id.Uncontrasted)
	for _, set := range id.Aliased {
		out = append(out, set[0])
	}
	slices.Sort(out)
	return out
}

// Warnings puts the findings into words.
func (id Identifiability) Warnings() []stats.Warning {
	var out []stats.Warning
	add := func(code, format string, columns []int) {
		if len(columns) > 0 {
			out = append(out, stats.Warning{Code: code, Text: fmt.Sprintf(format, id.list(columns))})
		}
	}
	add("constant", "%s never varied in these records, so nothing can be said about it", id.Constant)
	add("constant-in-groups", "%s never varied within a group, so it cannot be told from the differences between groups", id.ConstantInGroups)
	add("uncontrasted", "%s varied only in groups with a single outcome, so there is nothing to compare it with", id.Uncontrasted)
	for _, set := range id.Aliased {
		add("aliased", "%s always happened together, so the records cannot tell them apart", set)
	}
	add("collinear", "%s nearly always moved together, so each one's part is known only roughly", id.Pair)
	return out
}

func (id Identifiability) list(columns []int) string {
	names := make([]string, len(columns))
	for k, j := range columns {
		names[k] = id.names[j]
	}
	if len(names) == 1 {
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// Identify finds the columns that the records cannot tell apart, before any fit.
// It pivots a QR decomposition of the columns, centred on their groups and
// brought to the same length; a column of which less than 1e-9 is left counts as
// aliased.
func Identify(d Data) (Identifiability, error) {
	if err := d.Validate(); err != nil {
		return Identifiability{}, err
	}
	t := newTable(d)
	informative, _, _ := t.onlyInformative()
	return identify(t, informative, d), nil
}

// identify looks at the whole table and at its informative groups.
func identify(all, informative *table, d Data) Identifiability {
	id := Identifiability{names: make([]string, all.p)}
	var varying []int
	for j := range all.p {
		id.names[j] = d.Name(j)
		switch {
		case !all.variesInGroups(j) && !varies(d, j):
			id.Constant = append(id.Constant, j)
		case !all.variesInGroups(j):
			id.ConstantInGroups = append(id.ConstantInGroups, j)
		case !informative.variesInGroups(j):
			id.Uncontrasted = append(id.Uncontrasted, j)
		default:
			varying = append(varying, j)
		}
	}
	if len(varying) > 0 {
		id.alias(varying, informative.triangle(varying))
	}
	return id
}

// varies reports whether column j differs, by more than rounding, between rows
// that count.
func varies(d Data, j int) bool {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, x := range d.X[j] {
		if d.trials(i)*d.weight(i) > 0 {
			lo, hi = math.Min(lo, x), math.Max(hi, x)
		}
	}
	return hi-lo > rounding*math.Max(math.Abs(lo), math.Abs(hi))
}

// variesInGroups reports whether column j differs within a group; the rounding
// has been taken out by standardise.
func (t *table) variesInGroups(j int) bool {
	for g := range t.groups() {
		x := t.x[j][t.start[g]:t.start[g+1]]
		for _, v := range x {
			if v != x[0] {
				return true
			}
		}
	}
	return false
}

// triangle returns the upper triangle R of a QR decomposition of the given
// columns, centred anew on the means of their groups (a table of informative
// groups keeps the centres, but not the weights, of the whole).
//
// The triangle of Cholesky of the columns' products is the same but for rounding. It
// takes one quick pass, and is good enough where the columns are far from collinear;
// else an orthogonal decomposition decides.
func (t *table) triangle(columns []int) *mat.Dense {
	c := len(columns)
	products := t.products(columns)
	var s cholesky
	if !s.factor(products, c) || s.loss > wellApart {
		return t.orthogonalTriangle(columns)
	}
	r := mat.NewDense(c, c, nil)
	for i := range c {
		for j := range i + 1 {
			r.Set(j, i, s.l[i*c+j])
		}
	}
	return r
}

// wellApart is the square of the share of a column that the others may account for,
// over the rest, up to which products of columns hold enough digits.
const wellApart = 1e6

// products returns the sums of products of the given columns, centred on the plain
// means of their groups, as a lower triangle.
func (t *table) products(columns []int) []float64 {
	sub := *t
	sub.p, sub.x = len(columns), nil
	for _, j := range columns {
		sub.x = append(sub.x, t.x[j])
	}
	l := newLikelihood(&sub, false)
	ones := filled(tileRows, 1)
	l.eachBlock(func(k int, room *tile) {
		l.blk[k].clear()
		for at := t.blocks[k].lo; at < t.blocks[k].hi; at++ {
			s, sum := t.segments[at], &l.seg[at]
			sum.w, sum.r = 0, 0
			for lo := s.lo; lo < s.hi; lo += tileRows {
				hi := min(lo+tileRows, s.hi)
				room.take(&sub, lo, hi, ones[:hi-lo], ones[:hi-lo])
				l.blk[k].join(sum, room)
			}
		}
	})
	out := make([]float64, sub.p*sub.p)
	l.addBlocks(out)
	l.addSegments(l.weight, l.mean, out)
	return out
}

// orthogonalTriangle works on a block of rows at a time: the R so far stacked on the
// next block gives the next.
func (t *table) orthogonalTriangle(columns []int) *mat.Dense {
	c := len(columns)
	stack := mat.NewDense(c+blockRows, c, nil)
	filled := c // the first c rows hold R
	flush := func() {
		var qr mat.QR
		qr.Factorize(stack.Slice(0, filled, 0, c))
		var r mat.Dense
		qr.RTo(&r)
		stack.Zero()
		stack.Slice(0, c, 0, c).(*mat.Dense).Copy(r.Slice(0, c, 0, c))
		filled = c
	}
	for g := range t.groups() {
		mean := t.groupMean(g)
		for i := t.start[g]; i < t.start[g+1]; i++ {
			for k, j := range columns {
				stack.Set(filled, k, t.x[j][i]-mean[j])
			}
			if filled++; filled == c+blockRows {
				flush()
			}
		}
	}
	flush()
	return mat.DenseCopyOf(stack.Slice(0, c, 0, c))
}

// groupMean is the plain mean of each column over the patterns of group g.
func (t *table) groupMean(g int) []float64 {
	mean := make([]float64, t.p)
	for i := t.start[g]; i < t.start[g+1]; i++ {
		for j, x := range t.x {
			mean[j] += (x[i] - mean[j]) / float64(i-t.start[g]+1)
		}
	}
	return mean
}

// alias pivots the columns of the triangle, which stand for the given columns.
func (id *Identifiability) alias(columns []int, r *mat.Dense) {
	c := len(columns)
	vec := make([][]float64, c)
	for k := range vec {
		vec[k] = mat.Col(nil, k, r)
		scaleTo(vec[k], 1)
	}
	kept, dropped := pivot(vec)
	slices.Sort(kept)
	slices.Sort(dropped)
	for _, k := range dropped {
		set := []int{columns[k]}
		for m, beta := range express(vec, kept, k) {
			if math.Abs(beta) > 1e-6 {
				set = append(set, columns[kept[m]])
			}
		}
		id.Aliased = append(id.Aliased, set)
	}
	id.condition(columns, vec, kept)
}

func scaleTo(v []float64, length float64) {
	if norm := mat.Norm(mat.NewVecDense(len(v), v), 2); norm > 0 {
		for i := range v {
			v[i] *= length / norm
		}
	}
}

// pivot chooses columns in the order of how much of them is left once the chosen
// ones are accounted for (modified Gram-Schmidt, done twice for accuracy).
func pivot(vec [][]float64) (kept, dropped []int) {
	var basis [][]float64
	rest := make([][]float64, len(vec))
	for k, v := range vec {
		rest[k] = slices.Clone(v)
		dropped = append(dropped, k)
	}
	first := 0.0
	for len(dropped) > 0 {
		best, most := -1, 0.0
		for at, k := range dropped {
			if left := math.Sqrt(dot(rest[k], rest[k])); left > most*(1+1e-12) {
				best, most = at, left
			}
		}
		first = math.Max(first, most)
		if best < 0 || most <= aliasTolerance*first {
			break
		}
		k := dropped[best]
		kept, dropped = append(kept, k), slices.Delete(dropped, best, best+1)
		b := slices.Clone(rest[k])
		scaleTo(b, 1)
		basis = append(basis, b)
		for _, m := range dropped {
			for range 2 {
				for _, b := range basis {
					subtract(rest[m], dot(rest[m], b), b)
				}
			}
		}
	}
	return kept, dropped
}

// express returns the weights of the kept columns that make up column k.
func express(vec [][]float64, kept []int, k int) []float64 {
	a := mat.NewDense(len(vec[k]), len(kept), nil)
	for m, at := range kept {
		a.SetCol(m, vec[at])
	}
	var beta mat.VecDense
	if err := beta.SolveVec(a, mat.NewVecDense(len(vec[k]), vec[k])); err != nil {
		// An ill-conditioned solution still shows which columns take part.
		if beta.Len() == 0 {
			return make([]float64, len(kept))
		}
	}
	return mat.Col(nil, 0, &beta)
}

// condition sets ConditionIndex, and Pair where that is large.
func (id *Identifiability) condition(columns []int, vec [][]float64, kept []int) {
	a := mat.NewDense(len(vec[0]), len(kept), nil)
	for m, at := range kept {
		a.SetCol(m, vec[at])
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return
	}
	values := svd.Values(nil)
	last := len(values) - 1
	id.ConditionIndex = values[0] / values[last]
	if id.ConditionIndex <= collinear || len(kept) < 2 {
		return
	}
	var v mat.Dense
	svd.VTo(&v)
	order := make([]int, len(kept))
	for m := range order {
		order[m] = m
	}
	slices.SortStableFunc(order, func(x, y int) int {
		d := math.Abs(v.At(y, last)) - math.Abs(v.At(x, last))
		switch {
		case d > 1e-9:
			return 1
		case d < -1e-9:
			return -1
		}
		return 0
	})
	id.Pair = []int{columns[kept[order[0]]], columns[kept[order[1]]]}
	slices.Sort(id.Pair)
}

func dot(a, b []float64) float64 {
	v := 0.0
	for i, x := range a {
		v += x * b[i]
	}
	return v
}

// subtract takes f times b from a.
func subtract(a []float64, f float64, b []float64) {
	for i, x := range b {
		a[i] -= f * x
	}
}
