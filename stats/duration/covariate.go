package duration

import (
	"math"
	"strings"

	"gravid/stats"
)

// A Covariate is something that may shorten or lengthen the waiting time, one
// value for each observation. A group is a covariate of 0 and 1.
type Covariate struct {
	Name   string
	Values []float64
}

// A standard brings the covariates to mean 0 and standard deviation 1, which
// makes the search insensitive to their units.
type standard struct{ mean, sd []float64 }

// standardise works from the rows' covariates, which start with the constant
// 1, and replaces them.
func standardise(rows []aftRow, covariates int) standard {
	s := standard{make([]float64, covariates), make([]float64, covariates)}
	var total float64
	for _, r := range rows {
		total += r.weight
		for j := range s.mean {
			s.mean[j] += r.weight * r.x[j+1]
		}
	}
	for j := range s.mean {
		s.mean[j] /= total
	}
	for _, r := range rows {
		for j, m := range s.mean {
			s.sd[j] += r.weight * square(r.x[j+1]-m)
		}
	}
	for j := range s.sd {
		s.sd[j] = math.Sqrt(s.sd[j] / total)
		if s.sd[j] <= 1e-12*math.Abs(s.mean[j]) { // constant but for rounding
			s.sd[j] = 0
		}
	}
	for i := range rows {
		rows[i].x = s.apply(rows[i].x)
	}
	return s
}

// apply returns the standardised copy of x, which starts with the constant 1.
func (s standard) apply(x []float64) []float64 {
	out := append([]float64{1}, make([]float64, len(s.mean))...)
	for j := range s.mean {
		if s.sd[j] > 0 {
			out[j+1] = (x[j+1] - s.mean[j]) / s.sd[j]
		}
	}
	return out
}

// back returns the matrix that turns standardised coefficients, and a last
// parameter that is left alone if extra, into those of the covariates as given.
func (s standard) back(extra bool) [][]float64 {
	k := len(s.mean) + 1
	size := k
	if extra {
		size++
	}
	m := make([][]float64, size)
	for i := range m {
		m[i] = make([]float64, size)
		m[i][i] = 1
	}
	for j := range s.mean {
		m[j+1][j+1] = 1 / s.sd[j]
		m[0][j+1] = -s.mean[j] / s.sd[j]
	}
	return m
}

// aliased names the covariates that never varied, or that are sums of others
// so that the records cannot tell them apart, by Gram-Schmidt with pivoting.
func aliased(rows []aftRow, covariates []Covariate, s standard) []stats.Warning {
	var out []stats.Warning
	var columns [][]float64
	var names []string
	for j, c := range covariates {
		if s.sd[j] == 0 {
			out = append(out, stats.Warn("constant", "%s never varied in these records", c.Name))
			continue
		}
		column := make([]float64, len(rows))
		for i, r := range rows {
			column[i] = math.Sqrt(r.weight) * r.x[j+1]
		}
		columns, names = append(columns, column), append(names, c.Name)
	}
	if out != nil {
		return out
	}
	first := 0.0
	for done := range columns {
		pivot := done
		for j := done; j < len(columns); j++ {
			if norm(columns[j]) > norm(columns[pivot])*(1+1e-9) {
				pivot = j
			}
		}
		columns[done], columns[pivot] = columns[pivot], columns[done]
		names[done], names[pivot] = names[pivot], names[done]
		size := norm(columns[done])
		first = math.Max(first, size)
		if size < 1e-9*first {
			return []stats.Warning{stats.Warn("aliased", "the records cannot tell %s apart: once the others are known there is nothing left of %s", strings.Join(names, ", "), names[done])}
		}
		for j := done + 1; j < len(columns); j++ {
			subtract(columns[j], columns[done], size)
		}
	}
	return nil
}

func norm(v []float64) float64 {
	var sum float64
	for _, x := range v {
		sum += x * x
	}
	return math.Sqrt(sum)
}

// subtract takes from v its part along u, whose norm is given. It is done twice,
// as rounding leaves something the first time.
func subtract(v, u []float64, size float64) {
	for range 2 {
		var along float64
		for i := range v {
			along += v[i] * u[i]
		}
		along /= size * size
		for i := range v {
			v[i] -= along * u[i]
		}
	}
}
