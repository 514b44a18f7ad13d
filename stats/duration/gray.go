package duration

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
)

// GraySettings of GrayTest; the zero value weighs all times alike.
type GraySettings struct {
	Rho    float64 // power of the share not gone by the cause just before, by which times are weighed
	Strata []int   // label of each observation's stratum; nil for none
}

// GrayTest compares the cumulative incidence of one cause between groups (Gray
// 1988): not whether the cause strikes those still waiting alike, which LogRank
// with the other causes taken for censored asks, but whether as many end up gone
// by it. Exact and right-censored times with weights that are counts; sums run
// over strata.
//
// Observed and Expected are weighted numbers gone by the cause, Events those gone
// by it without weight by time. Status is TooLittle if nobody went by the cause
// or there are fewer than two groups, NotIdentifiable where groups were never
// waiting together. The error is an *stats.InputError for an observation that
// contradicts itself, is interval-censored, enters late or has an event without a
// cause, and tells of settings out of range. GrayTest panics if group or Strata
// differ in length from obs.
func GrayTest(obs []Observation, group []int, cause int, s GraySettings) (Comparison, error) {
	if len(group) != len(obs) || s.Strata != nil && len(s.Strata) != len(obs) {
		panic("duration: as many groups and strata as observations are needed")
	}
	if cause < 1 || math.IsNaN(s.Rho) || math.IsInf(s.Rho, 0) {
		return Comparison{}, fmt.Errorf("there is no test of cause %d with power %v", cause, s.Rho)
	}
	clean, err := sinceOrigin(obs, func(o Observation) string {
		switch {
		case o.late():
			return fmt.Sprintf("it came under observation late, at %v, which this test cannot use", o.Entry)
		case o.Exact() && o.Cause == 0:
			return "it has an event without a cause"
		}
		return refuseInterval(o)
	})
	if err != nil {
		return Comparison{}, err
	}
	c := Comparison{Groups: labels(group), Method: s.method(cause), ChiSquare: nan, P: nan}
	if len(obs) == 0 {
		c.Groups = nil
	}
	var happened float64
	for _, o := range clean {
		if o.Exact() && o.Cause == cause {
			happened += o.Weight
		}
	}
	c.N, _ = counts(clean)
	c.Events = int(math.Ceil(happened - 0.5))
	k := len(c.Groups)
	c.DF = max(k-1, 0)
	c.Observed, c.Expected = make([]float64, k), make([]float64, k)
	if k < 2 {
		c.Status = stats.TooLittle
		c.Warnings = append(c.Warnings, stats.Warn("one-group", "there are fewer than two groups to compare"))
		return c, nil
	}
	c.Variance = mat.NewSymDense(k, nil)
	for _, stratum := range labels(s.Strata) {
		g := newGray(&c, s.Rho)
		g.run(pick(clean, s.Strata, stratum), pick(group, s.Strata, stratum), cause)
	}
	c.finish()
	return c, nil
}

func (s GraySettings) method(cause int) string {
	name := fmt.Sprintf("Gray's test of cause %d", cause)
	if s.Rho != 0 {
		name += fmt.Sprintf(" weighted by the share not gone by it to the power %v", s.Rho)
	}
	if s.Strata != nil {
		name += ", stratified"
	}
	return name
}

// A gray works through the times of one stratum. Slices go by group.
type gray struct {
	out    *Comparison
	rho    float64
	risk   []float64
	gone   []float64 // incidence of the cause so far
	free   []float64 // share free of any event so far
	pooled float64   // incidence of the cause if it is the same in all groups

	weight [][]float64 // weight of group k's hazard in the score of group i, now
	sum    [][]float64 // its integral so far
	// The variance is a sum over groups and times of (share of the weight now plus
	// rest times (the integral to the end less that so far)) squared; cross and
	// square hold what is multiplied with the integral to the end.
	cross  [][]float64
	square []float64
}

func newGray(out *Comparison, rho float64) *gray {
	k := len(out.Groups)
	g := &gray{out: out, rho: rho, risk: make([]float64, k), gone: make([]float64, k), free: slices.Repeat([]float64{1}, k), square: make([]float64, k)}
	for range k {
		g.weight, g.sum, g.cross = append(g.weight, make([]float64, k)), append(g.sum, make([]float64, k)), append(g.cross, make([]float64, k))
	}
	return g
}

// A grayExit is one observation leaving.
type grayExit struct {
	time   float64
	group  int
	kind   int // 0 censored, 1 the cause, 2 another
	weight float64
}

func (g *gray) run(obs []Observation, group []int, cause int) {
	exits := make([]grayExit, len(obs))
	for i, o := range obs {
		exits[i] = grayExit{time: o.exit(), group: sort.SearchInts(g.out.Groups, group[i]), weight: o.Weight}
		switch {
		case o.RightCensored():
		case o.Cause == cause:
			exits[i].kind = 1
		default:
			exits[i].kind = 2
		}
		g.risk[exits[i].group] += o.Weight
	}
	slices.SortFunc(exits, func(a, b grayExit) int {
		return cmp.Or(cmp.Compare(a.time, b.time), cmp.Compare(a.group, b.group), cmp.Compare(a.kind, b.kind), cmp.Compare(a.weight, b.weight))
	})
	k := len(g.risk)
	leaving := [3][]float64{make([]float64, k), make([]float64, k), make([]float64, k)}
	for i := 0; i < len(exits); {
		for kind := range leaving {
			clear(leaving[kind])
		}
		for t := exits[i].time; i < len(exits) && exits[i].time == t; i++ {
			leaving[exits[i].kind][exits[i].group] += exits[i].weight
		}
		g.step(leaving[1], leaving[2])
		for h := range g.risk {
			g.risk[h] -= leaving[0][h] + leaving[1][h] + leaving[2][h]
		}
	}
	g.close()
}

func total(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v
	}
	return sum
}

// step goes over one time with so many gone by the cause and by others.
func (g *gray) step(cause, others []float64) {
	all := total(cause)
	if all+total(others) == 0 {
		return
	}
	// subjects not gone by the cause that those at risk stand for: as many as would
	// be there had the others not struck
	var standing, waiting float64
	stand := make([]float64, len(g.risk))
	for h, n := range g.risk {
		if n > 0 {
			stand[h] = n / g.free[h]
			standing += stand[h]
			waiting += stand[h] * (1 - g.gone[h])
		}
	}
	late := math.Pow(1-g.pooled, g.rho)
	for i := range g.risk {
		for h := range g.risk {
			w := -late * stand[i] * stand[h] / standing
			if i == h {
				w += late * stand[i]
			}
			g.weight[i][h] = w
			g.sum[i][h] += w * all / (standing * (1 - g.pooled))
		}
		g.out.Observed[i] += late * cause[i]
		g.out.Expected[i] += late * all * stand[i] * (1 - g.gone[i]) / waiting
	}
	g.pooled += all / standing
	for h, n := range g.risk {
		if n <= 0 {
			continue
		}
		before := g.free[h]
		g.free[h] *= (n - cause[h] - others[h]) / n
		g.gone[h] += before * cause[h] / n
		g.spread(h, before, stand[h], standing, all, others[h])
	}
}

// spread adds what group h and this time have in the variance, with corrections
// for ties: all gone by the cause in all groups, others of this group by others.
func (g *gray) spread(h int, before, stand, standing, all, others float64) {
	add := func(share, rest, size float64) {
		for i := range g.risk {
			ti := share*g.weight[i][h] - rest*g.sum[i][h]
			g.cross[i][h] += ti * rest * size
			for j := i; j < len(g.risk); j++ {
				tj := share*g.weight[j][h] - rest*g.sum[j][h]
				g.out.Variance.SetSym(i, j, g.out.Variance.At(i, j)+ti*tj*size)
			}
		}
		g.square[h] += rest * rest * size
	}
	if all > 0 {
		rest, ties := 1.0, 1.0
		if g.free[h] > 0 {
			rest -= (1 - g.pooled) / g.free[h]
		}
		if all > 1 {
			ties -= (all - 1) / (standing*before - 1)
		}
		add(1, rest, ties*all/(standing*stand))
	}
	if others > 0 && g.free[h] > 0 {
		ties, n := 1.0, stand*before
		if others > 1 {
			ties -= (others - 1) / (n - 1)
		}
		add(0, -(1-g.pooled)/g.free[h], ties*square(before)*others/square(n))
	}
}

// close adds the products with the integral to the end.
func (g *gray) close() {
	v := g.out.Variance
	for i := range g.risk {
		for j := i; j < len(g.risk); j++ {
			rest := v.At(i, j)
			for h := range g.risk {
				rest += g.sum[i][h]*g.sum[j][h]*g.square[h] + g.sum[i][h]*g.cross[j][h] + g.sum[j][h]*g.cross[i][h]
			}
			v.SetSym(i, j, rest)
		}
	}
}
