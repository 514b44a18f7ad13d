package duration

import (
	"cmp"
	"fmt"
	"math"
	"slices"
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
	n, _, err := checked(obs, func(o Observation) string {
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
	c := Comparison{Groups: labels(group), Method: s.method(cause), ChiSquare: nan, P: nan, N: n}
	if len(obs) == 0 {
		c.Groups = nil
	}
	var happened float64
	for i := range obs {
		if obs[i].Exact() && obs[i].Cause == cause {
			happened += obs[i].weight()
		}
	}
	c.Events = int(math.Ceil(happened - 0.5))
	if !c.begin() {
		return c, nil
	}
	for _, stratum := range labels(s.Strata) {
		g := newGray(&c, s.Rho)
		g.run(pick(obs, s.Strata, stratum), pick(group, s.Strata, stratum), cause)
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

// A gray works through the times of one stratum. Slices go by group, and those of
// slices by the group whose hazard it is and the group whose score it is.
type gray struct {
	out    *Comparison
	rho    float64
	risk   []float64
	gone   []float64 // incidence of the cause so far
	free   []float64 // share free of any event so far
	stand  []float64 // subjects not gone by the cause that those at risk stand for
	pooled float64   // incidence of the cause if it is the same in all groups

	weight [][]float64 // weight of the hazard in the score, now
	sum    [][]float64 // its integral so far
	// The variance is a sum over groups and times of (share of the weight now plus
	// rest times (the integral to the end less that so far)) squared; cross and
	// square hold what is multiplied with the integral to the end.
	cross  [][]float64
	square []float64
	part   []float64 // of one time in the score of each group
}

func newGray(out *Comparison, rho float64) *gray {
	k := len(out.Groups)
	g := &gray{
		out: out, rho: rho, risk: make([]float64, k), gone: make([]float64, k), free: slices.Repeat([]float64{1}, k),
		stand: make([]float64, k), square: make([]float64, k), part: make([]float64, k),
	}
	for range k {
		g.weight, g.sum, g.cross = append(g.weight, make([]float64, k)), append(g.sum, make([]float64, k)), append(g.cross, make([]float64, k))
	}
	return g
}

// Kinds of exit.
const (
	grayLost = iota
	grayCause
	grayOther
	grayKinds
)

func grayKind(o *Observation, cause int) int {
	switch {
	case o.RightCensored():
		return grayLost
	case o.Cause == cause:
		return grayCause
	}
	return grayOther
}

func (g *gray) run(obs []Observation, group []int, cause int) {
	k, place := len(g.risk), newPlaces(g.out.Groups)
	leaving := make([]float64, grayKinds*k)
	leave := func() {
		g.step(leaving[k:2*k], leaving[2*k:])
		for h := range g.risk {
			g.risk[h] -= leaving[h] + leaving[k+h] + leaving[2*k+h]
		}
		clear(leaving)
	}
	label := func(i int, o *Observation) int { return grayKind(o, cause)*k + place.of(group[i]) }
	if all := newLines(obs, len(leaving), label); all != nil {
		all.exits.tally(leaving)
		for h := range g.risk {
			g.risk[h] = leaving[h] + leaving[k+h] + leaving[2*k+h]
		}
		clear(leaving)
		for _, _, ok := all.exits.next(leaving); ok; _, _, ok = all.exits.next(leaving) {
			leave()
		}
		g.close()
		return
	}
	exits := make([]grayExit, len(obs))
	for i := range obs {
		o := obs[i].fromOrigin()
		exits[i] = grayExit{time: o.exit(), group: place.of(group[i]), kind: grayKind(&o, cause), weight: o.Weight}
		g.risk[exits[i].group] += o.Weight
	}
	slices.SortFunc(exits, func(a, b grayExit) int {
		return cmp.Or(cmp.Compare(a.time, b.time), cmp.Compare(a.group, b.group), cmp.Compare(a.kind, b.kind), cmp.Compare(a.weight, b.weight))
	})
	for i := 0; i < len(exits); {
		for t := exits[i].time; i < len(exits) && exits[i].time == t; i++ {
			leaving[exits[i].kind*k+exits[i].group] += exits[i].weight
		}
		leave()
	}
	g.close()
}

// A grayExit is one observation leaving.
type grayExit struct {
	time   float64
	group  int
	kind   int
	weight float64
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
	if all == 0 { // nothing but the shares free and the variance change
		for h, n := range others {
			if n > 0 {
				before := g.free[h]
				g.free[h] *= (g.risk[h] - n) / g.risk[h]
				g.byOthers(h, before, g.risk[h]/before, n)
			}
		}
		return
	}
	// subjects not gone by the cause that those at risk stand for: as many as would
	// be there had the others not struck
	var standing, waiting float64
	for h, n := range g.risk {
		g.stand[h] = 0
		if n > 0 {
			g.stand[h] = n / g.free[h]
			standing += g.stand[h]
			waiting += g.stand[h] * (1 - g.gone[h])
		}
	}
	late := 1.0
	if g.rho != 0 {
		late = math.Pow(1-g.pooled, g.rho)
	}
	rest := standing * (1 - g.pooled)
	for i, si := range g.stand {
		for h, sh := range g.stand {
			w := -late * si * sh / standing
			if i == h {
				w += late * si
			}
			g.weight[h][i] = w
			g.sum[h][i] += w * all / rest
		}
		g.out.Observed[i] += late * cause[i]
		g.out.Expected[i] += late * all * si * (1 - g.gone[i]) / waiting
	}
	g.pooled += all / standing
	for h, n := range g.risk {
		if n <= 0 {
			continue
		}
		before := g.free[h]
		g.free[h] *= (n - cause[h] - others[h]) / n
		g.gone[h] += before * cause[h] / n
		g.byCause(h, before, standing, all)
		if others[h] > 0 {
			g.byOthers(h, before, g.stand[h], others[h])
		}
	}
}

// byCause adds what group h and this time have in the variance by all gone by the cause
// in all groups, with a correction for ties.
func (g *gray) byCause(h int, before, standing, all float64) {
	rest, ties := 1.0, 1.0
	if g.free[h] > 0 {
		rest -= (1 - g.pooled) / g.free[h]
	}
	if all > 1 {
		ties -= (all - 1) / (standing*before - 1)
	}
	for i, sum := range g.sum[h] {
		g.part[i] = g.weight[h][i] - rest*sum
	}
	g.spread(h, rest, ties*all/(standing*g.stand[h]))
}

// byOthers adds what others of group h, gone by others, have.
func (g *gray) byOthers(h int, before, stand, others float64) {
	if g.free[h] <= 0 {
		return
	}
	ties, n := 1.0, stand*before
	if others > 1 {
		ties -= (others - 1) / (n - 1)
	}
	rest := -(1 - g.pooled) / g.free[h]
	for i, sum := range g.sum[h] {
		g.part[i] = -rest * sum
	}
	g.spread(h, rest, ties*square(before)*others/square(n))
}

// spread adds the squares and products of the parts to the variance.
func (g *gray) spread(h int, rest, size float64) {
	v := g.out.Variance.RawSymmetric()
	for i, ti := range g.part {
		g.cross[h][i] += ti * rest * size
		row := v.Data[i*v.Stride:][:len(g.part)]
		for j := i; j < len(g.part); j++ {
			row[j] += ti * g.part[j] * size
		}
	}
	g.square[h] += rest * rest * size
}

// close adds the products with the integral to the end.
func (g *gray) close() {
	v := g.out.Variance
	for i := range g.risk {
		for j := i; j < len(g.risk); j++ {
			rest := v.At(i, j)
			for h := range g.risk {
				rest += g.sum[h][i]*g.sum[h][j]*g.square[h] + g.sum[h][i]*g.cross[h][j] + g.sum[h][j]*g.cross[h][i]
			}
			v.SetSym(i, j, rest)
		}
	}
}
