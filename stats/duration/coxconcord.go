package duration

import (
	"math"
	"slices"

	"gravid/stats"
)

// A pairTally counts, for pairs of which one had an event while the other was
// still at risk, how the model ranked them.
type pairTally struct{ right, wrong, tied float64 }

func (p pairTally) less(q pairTally) pairTally {
	return pairTally{p.right - q.right, p.wrong - q.wrong, p.tied - q.tied}
}

func (p pairTally) plus(q pairTally) pairTally {
	return pairTally{p.right + q.right, p.wrong + q.wrong, p.tied + q.tied}
}

func (p pairTally) times(w float64) pairTally {
	return pairTally{w * p.right, w * p.wrong, w * p.tied}
}

// Concordance returns the share of pairs, of which one had an event while the
// other was still at risk in the same stratum, that the model ranks rightly (pairs
// ranked alike count half), with limits from the infinitesimal jackknife on the
// logit: Harrell's C. 0.5 is no better than chance. It is measured on the
// observations the model was fitted to and so is somewhat flattering.
func (m *Cox) Concordance() stats.Estimate {
	e := m.estimate("concordance, infinitesimal-jackknife limits on the logit")
	if !m.Status.Usable() {
		return e.Without(m.Status)
	}
	tallies := make([]pairTally, len(m.data.time))
	for g := range m.data.strata {
		m.data.pairs(&m.data.strata[g], m.peak.Theta, tallies)
	}
	var all pairTally
	for i, t := range tallies {
		all = all.plus(t.times(m.data.weight[i] / 2)) // every pair is in the tallies of both
	}
	total := all.right + all.wrong + all.tied
	if total == 0 {
		return e.Without(stats.TooLittle, stats.Warn("no-pairs", "there is no pair of which one had an event while the other was still at risk"))
	}
	e.Value = (all.right + all.tied/2) / total
	var variance float64
	for i, t := range tallies {
		variance += square(m.data.weight[i] * (t.right + t.tied/2 - e.Value*(t.right+t.wrong+t.tied)) / total)
	}
	switch {
	case e.Value == 0 || e.Value == 1:
		e.Lo, e.Hi = nan, nan
		e.Warnings = append(e.Warnings, stats.Warn("all-alike", "all pairs are ranked the same way, and these limits do not exist there"))
	default:
		e.Lo, e.Hi = Logit.limits(e.Value, math.Sqrt(variance), normalLimit(m.Settings.Level))
	}
	return e
}

// pairs adds to each row of a stratum the tally of the pairs it is in, the
// partner's weight counted.
func (d *coxData) pairs(g *coxStratum, theta []float64, tallies []pairTally) {
	n := g.to - g.from
	risk := make([]float64, n)
	for i := range risk {
		risk[i] = d.logRisk(g.from+i, theta)
	}
	order := slices.Clone(risk)
	slices.Sort(order)
	order = slices.Compact(order)
	place := make([]int, n)
	for i, r := range risk {
		place[i], _ = slices.BinarySearch(order, r)
	}
	d.asEarlier(g, place, len(order), tallies)
	d.asLater(g, place, len(order), tallies)
}

// asEarlier tallies for each row with an event those still at risk afterwards.
func (d *coxData) asEarlier(g *coxStratum, place []int, places int, tallies []pairTally) {
	inside := newTree(places)
	late := g.late
	for i := g.from; i < g.to; {
		t, first := d.time[i], i
		for ; i < g.to && d.time[i] == t && d.event[i]; i++ {
		}
		events := i
		for ; i < g.to && d.time[i] == t; i++ {
			inside.add(place[i-g.from], d.weight[i])
		}
		for ; len(late) > 0 && late[0].time >= t; late = late[1:] {
			inside.add(place[late[0].row-g.from], -d.weight[late[0].row])
		}
		for k := first; k < events; k++ {
			below, same, above := inside.split(place[k-g.from])
			tallies[k] = tallies[k].plus(pairTally{below, above, same})
		}
		for k := first; k < events; k++ {
			inside.add(place[k-g.from], d.weight[k])
		}
	}
}

// asLater tallies for each row the events it outlasted: all up to its end, less
// those up to its entry.
func (d *coxData) asLater(g *coxStratum, place []int, places int, tallies []pairTally) {
	before := newTree(places)
	tally := func(row int) pairTally {
		below, same, above := before.split(place[row-g.from])
		return pairTally{above, below, same}
	}
	late := g.late
	for i := g.to; i > g.from; {
		t, last := d.time[i-1], i
		for ; len(late) > 0 && late[len(late)-1].time < t; late = late[:len(late)-1] {
			row := late[len(late)-1].row
			tallies[row] = tallies[row].less(tally(row))
		}
		for ; i > g.from && d.time[i-1] == t; i-- {
		}
		for k := i; k < last && d.event[k]; k++ {
			tallies[k] = tallies[k].plus(tally(k))
		}
		for k := i; k < last && d.event[k]; k++ {
			before.add(place[k-g.from], d.weight[k])
		}
		for k := i; k < last; k++ {
			if !d.event[k] {
				tallies[k] = tallies[k].plus(tally(k))
			}
		}
	}
}

// A tree adds up weights by place (Fenwick 1994).
type tree struct {
	sum   []float64
	total float64
}

func newTree(n int) *tree { return &tree{sum: make([]float64, n+1)} }

func (t *tree) add(place int, weight float64) {
	t.total += weight
	for i := place + 1; i < len(t.sum); i += i & -i {
		t.sum[i] += weight
	}
}

// upTo is the weight at places 0 to n-1.
func (t *tree) upTo(n int) float64 {
	var sum float64
	for ; n > 0; n -= n & -n {
		sum += t.sum[n]
	}
	return sum
}

// split returns the weight below, at and above a place.
func (t *tree) split(place int) (below, same, above float64) {
	below = t.upTo(place)
	same = t.upTo(place+1) - below
	return below, same, t.total - below - same
}
