package logit

import (
	"fmt"
	"math"
	"slices"
)

// Data is what a model is fitted to. Row i has Y[i] successes in N[i] trials.
type Data struct {
	Y []float64   // successes, 0 to N; they need not be whole numbers
	N []float64   // trials; nil means one each
	X [][]float64 // X[j][i] is column j of row i; no column for the intercept

	Names   []string  // of the columns, all different; nil names them x1, x2, ...
	Weights []float64 // how many identical rows each row stands for; nil means one each
	Offset  []float64 // added to the linear predictor; nil means none
	Group   []int     // rows with the same number share an intercept; nil gives all the same
}

// Rows returns the number of rows.
func (d Data) Rows() int { return len(d.Y) }

// Name returns the name of column j.
func (d Data) Name(j int) string {
	if d.Names == nil {
		return fmt.Sprintf("x%d", j+1)
	}
	return d.Names[j]
}

// Drop returns the data without the given columns. Rows are shared, not copied.
func (d Data) Drop(columns ...int) Data {
	out := d
	out.X, out.Names = nil, nil
	for j := range d.X {
		if slices.Contains(columns, j) {
			continue
		}
		out.X = append(out.X, d.X[j])
		out.Names = append(out.Names, d.Name(j))
	}
	return out
}

// Columns beyond these sizes are refused: their squares leave the range of a
// float64.
const (
	hugest  = 1e100
	tiniest = 1e-100
)

// Validate refuses vectors of unequal length and numbers that make no sense,
// and says which column and row (counted from 1) are at fault.
func (d Data) Validate() error {
	n := len(d.Y)
	if n == 0 {
		return fmt.Errorf("there are no rows")
	}
	if d.Names != nil && len(d.Names) != len(d.X) {
		return fmt.Errorf("there are %d columns but %d names", len(d.X), len(d.Names))
	}
	seen := map[string]bool{}
	for j := range d.X {
		if seen[d.Name(j)] {
			return fmt.Errorf("two columns are called %q", d.Name(j))
		}
		seen[d.Name(j)] = true
	}
	for _, v := range []struct {
		name   string
		values []float64
	}{{"trials", d.N}, {"weights", d.Weights}, {"offset", d.Offset}} {
		if v.values != nil && len(v.values) != n {
			return fmt.Errorf("there are %d rows of successes but %d of %s", n, len(v.values), v.name)
		}
	}
	if d.Group != nil && len(d.Group) != n {
		return fmt.Errorf("there are %d rows of successes but %d of groups", n, len(d.Group))
	}
	if err := d.validateRows(); err != nil {
		return err
	}
	errs := make([]error, len(d.X))
	each(len(d.X), func(j int) { errs[j] = d.validateColumn(j) })
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// validateRows returns the error of the first row at fault.
func (d Data) validateRows() error {
	n := len(d.Y)
	errs := make([]error, (n+stretch-1)/stretch)
	each(len(errs), func(k int) {
		for i := k * stretch; i < min((k+1)*stretch, n) && errs[k] == nil; i++ {
			y, trials, w, off := d.Y[i], d.trials(i), d.weight(i), d.offset(i)
			if !(0 <= y && y <= trials && trials <= math.MaxFloat64 && 0 <= w && w <= math.MaxFloat64 && math.Abs(off) <= math.MaxFloat64) {
				errs[k] = d.validateRow(i)
			}
		}
	})
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// validateRow says what is wrong with a row.
func (d Data) validateRow(i int) error {
	for _, v := range []struct {
		name  string
		value float64
		least float64
	}{{"successes", d.Y[i], 0}, {"trials", d.trials(i), 0}, {"weights", d.weight(i), 0}, {"offset", d.offset(i), math.Inf(-1)}} {
		switch {
		case math.IsNaN(v.value) || math.IsInf(v.value, 0):
			return fmt.Errorf("%s, row %d: %v is not a finite number", v.name, i+1, v.value)
		case v.value < v.least:
			return fmt.Errorf("%s, row %d: %v is negative", v.name, i+1, v.value)
		}
	}
	if d.Y[i] > d.trials(i) {
		return fmt.Errorf("successes, row %d: %v successes in %v trials", i+1, d.Y[i], d.trials(i))
	}
	return nil
}

func (d Data) validateColumn(j int) error {
	if len(d.X[j]) != len(d.Y) {
		return fmt.Errorf("there are %d rows of successes but %d in column %q", len(d.Y), len(d.X[j]), d.Name(j))
	}
	largest := 0.0
	for i, x := range d.X[j] {
		size := math.Abs(x)
		if !(size <= hugest) {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return fmt.Errorf("column %q, row %d: %v is not a finite number", d.Name(j), i+1, x)
			}
			return fmt.Errorf("column %q, row %d: %v is too large to compute with; use another unit", d.Name(j), i+1, x)
		}
		if size > largest {
			largest = size
		}
	}
	if largest > 0 && largest < tiniest {
		return fmt.Errorf("column %q: all values are below %g, too small to compute with; use another unit", d.Name(j), tiniest)
	}
	return nil
}

func (d Data) trials(i int) float64 {
	if d.N == nil {
		return 1
	}
	return d.N[i]
}

func (d Data) weight(i int) float64 {
	if d.Weights == nil {
		return 1
	}
	return d.Weights[i]
}

func (d Data) offset(i int) float64 {
	if d.Offset == nil {
		return 0
	}
	return d.Offset[i]
}

func (d Data) group(i int) int {
	if d.Group == nil {
		return 0
	}
	return d.Group[i]
}
