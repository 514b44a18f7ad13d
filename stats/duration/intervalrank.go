package duration

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gravid/stats"
)

// A Scoring says what an observation known to a span counts for when groups are
// compared.
type Scoring int

const (
	// SunScores are the log-rank scores of Sun (1996): for exact and right-censored
	// times event less cumulative hazard, whose sums are those of LogRank.
	SunScores Scoring = iota
	// FinkelsteinScores are those of proportional hazards for grouped times
	// (Finkelstein 1986).
	FinkelsteinScores
	// WilcoxonScores are those of proportional odds: early differences count
	// more.
	WilcoxonScores
)

var scoringNames = [...]string{"log-rank with Sun's scores", "log-rank with Finkelstein's scores", "Wilcoxon"}

// String names the scores in a few words.
func (s Scoring) String() string {
	if s < 0 || int(s) >= len(scoringNames) {
		return fmt.Sprintf("scoring(%d)", int(s))
	}
	return scoringNames[s]
}

// IntervalSettings of IntervalLogRank; the zero value is the log-rank test with
// Sun's scores and the chi-square distribution.
type IntervalSettings struct {
	Scores Scoring
	Strata []int // label of each observation's stratum; nil for none
	// Permutations is the number of random exchanges of the labels by which the
	// p-value is found; 0 takes it from the chi-square distribution, which is
	// good enough from about ten in each group on. It needs weights of 1.
	Permutations int
	Seed         uint64 // of the exchanges; the same seed gives the same p-value
}

// IntervalLogRank compares the groups named by group, one label for each
// observation, with times known to spans: each observation is scored by the curve
// of all groups together (Turnbull), and the scores are added up by group. The
// variance is that of exchanging the labels, within strata (Fay & Shaw 2010), which
// needs what is known of a time to hang on the time and not on the group: where the
// groups were checked by different plans it may mislead, and a warning says so if the
// usual spans differ twofold or more.
//
// Observed holds the sums of scores, Expected what labels at random would give
// (about 0). Status is NotIdentifiable where all scores are alike, NotConverged
// where the curve is, TooLittle where there are no events or fewer than two groups.
// Errors are those of Turnbull. IntervalLogRank panics if group or Strata differ in
// length from obs.
func IntervalLogRank(obs []Observation, group []int, s IntervalSettings) (Comparison, error) {
	if len(group) != len(obs) || s.Strata != nil && len(s.Strata) != len(obs) {
		panic("duration: as many groups and strata as observations are needed")
	}
	if s.Scores < SunScores || s.Scores > WilcoxonScores || s.Permutations < 0 {
		return Comparison{}, fmt.Errorf("unknown scores %d or %d permutations", int(s.Scores), s.Permutations)
	}
	clean, err := sinceOrigin(obs, func(o Observation) string {
		switch {
		case o.late():
			return fmt.Sprintf("it came under observation late, at %v, which this test cannot use", o.Entry)
		case s.Permutations > 0 && o.weight() != 1:
			return fmt.Sprintf("it has weight %v, and labels can be exchanged only between weights of 1", o.Weight)
		}
		return ""
	})
	if err != nil {
		return Comparison{}, err
	}
	c := Comparison{Method: s.method(), ChiSquare: nan, P: nan}
	if len(obs) > 0 {
		c.Groups = labels(group)
	}
	c.N, c.Events = counts(clean)
	if !c.begin() {
		return c, nil
	}
	var sets []scored
	for _, stratum := range labels(s.Strata) {
		set, ok := s.score(pick(clean, s.Strata, stratum), pick(group, s.Strata, stratum))
		if !ok {
			c.Status = stats.NotConverged
			c.Warnings = append(c.Warnings, stats.Warn("not-converged", "the search for the curve of all groups together did not come to rest"))
			return c, nil
		}
		set.addTo(&c)
		sets = append(sets, set)
	}
	c.warnUnlikeChecks(clean, group)
	c.finish()
	if c.Status == stats.NotIdentifiable {
		c.Warnings[len(c.Warnings)-1] = stats.Warn("all-alike", "nothing the records say tells one observation from another, so there is nothing to compare")
	}
	if c.Status.Usable() && s.Permutations > 0 {
		c.permute(sets, s)
	}
	return c, nil
}

func (s IntervalSettings) method() string {
	name := s.Scores.String() + " for interval-censored times, permutation variance"
	if s.Strata != nil {
		name += ", stratified"
	}
	if s.Permutations > 0 {
		name += fmt.Sprintf(", %d permutations with seed %d", s.Permutations, s.Seed)
	}
	return name
}

// A scored is one stratum: scores, weights and labels in order of the spans.
type scored struct {
	score, weight []float64
	group         []int
}

func (s IntervalSettings) score(obs []Observation, group []int) (scored, bool) {
	c := TurnbullCurve{}
	c.solve(obs)
	if !c.converged {
		return scored{}, false
	}
	before := func(j int) float64 {
		if j == 0 {
			return 1
		}
		return c.Stretches[j-1].Survival
	}
	hazard := make([]float64, len(c.Stretches)+1) // cumulative, before each stretch
	for j := range c.Stretches {
		hazard[j+1] = hazard[j]
		if b := before(j); b > 0 {
			hazard[j+1] += 1 - c.Stretches[j].Survival/b
		}
	}
	order := make([]int, len(obs)) // by what is known and the label, so that the order given does not matter
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(obs[a].Lo, obs[b].Lo), cmp.Compare(obs[a].Hi, obs[b].Hi), cmp.Compare(group[a], group[b]), cmp.Compare(obs[a].Weight, obs[b].Weight))
	})
	sorted := make([]Observation, len(obs))
	out := scored{}
	for r, i := range order {
		sorted[r] = obs[i]
		out.group = append(out.group, group[i])
		out.weight = append(out.weight, obs[i].Weight)
	}
	_, covers := innermost(sorted)
	for _, cover := range covers {
		from, to := before(cover.first), c.Stretches[cover.last].Survival
		out.score = append(out.score, s.Scores.of(from, to, hazard[cover.first], hazard[cover.last+1]))
	}
	return out, true
}

// of is the score of a span over which the share waiting falls from one number to
// another, and the cumulative hazard rises.
func (k Scoring) of(from, to, hazardFrom, hazardTo float64) float64 {
	part := func(share, log float64) float64 {
		if share <= 0 {
			return 0
		}
		return share * log
	}
	switch {
	case k == WilcoxonScores:
		return from + to - 1
	case from == to: // no mass: the score of a moment between
		return math.Log(from) + 1
	case k == FinkelsteinScores:
		return (part(from, math.Log(from)) - part(to, math.Log(to))) / (from - to)
	}
	return (part(from, -hazardFrom) - part(to, -hazardTo)) / (from - to)
}

func (set scored) addTo(c *Comparison) {
	var n, mean float64
	share := make([]float64, len(c.Groups))
	for i, w := range set.weight {
		n += w
		mean += w * set.score[i]
	}
	if n <= 1 {
		return
	}
	mean /= n
	var spread float64
	for i, w := range set.weight {
		g := c.place(set.group[i])
		share[g] += w / n
		spread += w * square(set.score[i]-mean) / (n - 1)
		c.Observed[g] += w * set.score[i]
		c.Expected[g] += w * mean
	}
	for g := range share {
		for h := g; h < len(share); h++ {
			v := -share[g] * share[h]
			if g == h {
				v += share[g]
			}
			c.Variance.SetSym(g, h, c.Variance.At(g, h)+spread*n*v)
		}
	}
}

// place is where a label stands among the groups.
func (c *Comparison) place(label int) int {
	for g, l := range c.Groups {
		if l == label {
			return g
		}
	}
	panic("duration: no such group")
}

// permute finds the p-value by exchanging labels within strata.
func (c *Comparison) permute(sets []scored, s IntervalSettings) {
	random := rand.New(rand.NewPCG(s.Seed, 0))
	reached := 1
	for range s.Permutations {
		other := Comparison{Groups: c.Groups, N: c.N, Events: c.Events, DF: c.DF, Expected: c.Expected, Variance: c.Variance}
		other.Observed = make([]float64, len(c.Groups))
		for _, set := range sets {
			random.Shuffle(len(set.group), func(i, j int) { set.group[i], set.group[j] = set.group[j], set.group[i] })
			for i, g := range set.group {
				other.Observed[c.place(g)] += set.score[i]
			}
		}
		other.finish()
		if other.ChiSquare >= c.ChiSquare*(1-1e-9) {
			reached++
		}
	}
	c.P = float64(reached) / float64(s.Permutations+1)
}

// warnUnlikeChecks compares the usual widths of the spans.
func (c *Comparison) warnUnlikeChecks(obs []Observation, group []int) {
	least, most := math.Inf(1), 0.0
	for _, label := range c.Groups {
		gap := usualGap(pick(obs, group, label))
		if gap > 0 {
			least, most = math.Min(least, gap), math.Max(most, gap)
		}
	}
	if most >= 2*least {
		c.Warnings = append(c.Warnings, stats.Warn("unlike-checks", "the usual gap between checks is %.3g in one group and %.3g in another; the comparison assumes that the groups were checked alike", least, most))
	}
}
