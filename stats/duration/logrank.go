package duration

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/tail"
)

// A TimeWeight says which times count most when groups are compared.
type TimeWeight int

const (
	// Even weighs all times alike: the log-rank test.
	Even TimeWeight = iota
	// Harrington weighs by the pooled share still waiting just before, to the
	// power Rho (Harrington & Fleming 1982): early times count more.
	Harrington
	// Gehan weighs by the number at risk (Gehan 1965, Breslow 1970).
	Gehan
	// Tarone weighs by the root of the number at risk (Tarone & Ware 1977).
	Tarone
)

// ComparisonSettings of LogRank; the zero value is the log-rank test without
// strata.
type ComparisonSettings struct {
	Weight TimeWeight
	Rho    float64 // power for Harrington
	Strata []int   // label of each observation's stratum; nil for none
}

// A Comparison tests whether groups wait alike.
type Comparison struct {
	Groups    []int         // labels in ascending order
	Observed  []float64     // weighted events by group
	Expected  []float64     // if all groups waited alike
	Variance  *mat.SymDense // of Observed - Expected
	ChiSquare float64       // NaN unless Status is usable
	DF        int
	P         float64 // NaN unless Status is usable
	N, Events int
	Method    string
	Status    stats.Status
	Warnings  []stats.Warning
}

// LogRank compares the groups named by group, one label for each observation,
// with exact and right-censored times and late entry. Weights count. Sums run
// over strata, and the pooled curve of Harrington starts afresh in each.
//
// Groups that were never at risk together with another when something happened
// cannot be compared: Status is then NotIdentifiable, and TooLittle if there
// are no events or fewer than two groups. Errors are those of KaplanMeier.
// LogRank panics if group or Strata differ in length from obs.
func LogRank(obs []Observation, group []int, s ComparisonSettings) (Comparison, error) {
	if len(group) != len(obs) || s.Strata != nil && len(s.Strata) != len(obs) {
		panic("duration: as many groups and strata as observations are needed")
	}
	if s.Weight < Even || s.Weight > Tarone || math.IsNaN(s.Rho) {
		return Comparison{}, fmt.Errorf("unknown weight %d with power %v", int(s.Weight), s.Rho)
	}
	n, events, err := checked(obs, refuseInterval)
	if err != nil {
		return Comparison{}, err
	}
	c := Comparison{Groups: labels(group), Method: s.method(), ChiSquare: nan, P: nan, N: n, Events: events}
	if !c.begin() {
		return c, nil
	}
	for _, stratum := range labels(s.Strata) {
		c.addStratum(pick(obs, s.Strata, stratum), pick(group, s.Strata, stratum), s)
	}
	c.finish()
	return c, nil
}

// begin makes room for the sums by group, and reports whether there are groups to
// compare.
func (c *Comparison) begin() bool {
	k := len(c.Groups)
	c.DF = max(k-1, 0)
	c.Observed, c.Expected = make([]float64, k), make([]float64, k)
	if k < 2 {
		c.Status = stats.TooLittle
		c.Warnings = append(c.Warnings, stats.Warn("one-group", "there are fewer than two groups to compare"))
		return false
	}
	c.Variance = mat.NewSymDense(k, nil)
	return true
}

func (s ComparisonSettings) method() string {
	name := [...]string{"log-rank", fmt.Sprintf("log-rank weighted by the share waiting to the power %v", s.Rho), "Gehan-Breslow", "Tarone-Ware"}[s.Weight]
	if s.Strata != nil {
		name += ", stratified"
	}
	return name
}

// labels returns the distinct labels in ascending order; a nil slice has the
// one label 0.
func labels(of []int) []int {
	if of == nil {
		return []int{0}
	}
	return distinct(len(of), func(i int) int { return of[i] })
}

// pick returns the elements with the label; all where there are no labels.
func pick[T any](all []T, by []int, label int) []T {
	if by == nil {
		return all
	}
	var out []T
	for i, l := range by {
		if l == label {
			out = append(out, all[i])
		}
	}
	return out
}

func (c *Comparison) addStratum(obs []Observation, group []int, s ComparisonSettings) {
	k, place := len(c.Groups), newPlaces(c.Groups)
	all := newLines(obs, 2*k, func(i int, o *Observation) int { // those lost by group, then the events
		if o.RightCensored() {
			return place.of(group[i])
		}
		return k + place.of(group[i])
	})
	if all == nil {
		c.addWeighed(obs, group, s)
		return
	}
	here, late := make([]float64, 2*k), make([]float64, 2*k)
	all.exits.tally(here)
	all.entries.tally(late)
	atRisk, now, sum := make([]float64, k), make([]float64, 2*k), 0.0
	join := func(people []float64, sign float64) {
		for g := range atRisk {
			n := sign * (people[g] + people[k+g])
			atRisk[g] += n
			sum += n
		}
	}
	join(here, 1)
	join(late, -1)
	for pooled := 1.0; ; join(now, -1) {
		clear(now)
		time, _, ok := all.exits.next(now)
		if !ok {
			return
		}
		if len(all.entries.keys) > 0 {
			clear(late)
			all.entries.take(time, false, late)
			join(late, 1)
		}
		if events := total(now[k:]); events > 0 {
			c.addTime(s.weigh(pooled, sum), &riskRow{atRisk: sum, events: events, byCause: now[k:]}, atRisk)
			pooled *= (sum - events) / sum
		}
	}
}

// addWeighed is addStratum for any weights.
func (c *Comparison) addWeighed(obs []Observation, group []int, s ComparisonSettings) {
	clean := make([]Observation, len(obs))
	causes := make([]int, len(c.Groups)) // events are told apart by group instead
	for g := range causes {
		causes[g] = g + 1
	}
	for i, o := range obs {
		clean[i] = o.fromOrigin()
		clean[i].Cause = 1 + sort.SearchInts(c.Groups, group[i])
	}
	count := newGroupCounter(clean, len(c.Groups))
	pooled := 1.0
	for _, r := range weighedRows(clean, causes) {
		if r.events == 0 {
			continue
		}
		c.addTime(s.weigh(pooled, r.atRisk), &r, count.at(r.time))
		pooled *= (r.atRisk - r.events) / r.atRisk
	}
}

// A groupCounter counts those at risk in each group as time goes on. The Cause
// of an observation is the number of its group, from 1.
type groupCounter struct {
	entries, exits []Observation // still to come, in order
	atRisk         []float64
}

func newGroupCounter(obs []Observation, groups int) *groupCounter {
	by := func(time func(Observation) float64) []Observation {
		return slices.SortedFunc(slices.Values(obs), func(a, b Observation) int {
			return cmp.Or(cmp.Compare(time(a), time(b)), cmp.Compare(a.Cause, b.Cause), cmp.Compare(a.Weight, b.Weight))
		})
	}
	return &groupCounter{
		entries: by(func(o Observation) float64 { return o.Entry }),
		exits:   by(Observation.exit),
		atRisk:  make([]float64, groups),
	}
}

// at returns the numbers at risk at time t, later than any before. The slice is
// valid until the next call.
func (g *groupCounter) at(t float64) []float64 {
	for ; len(g.entries) > 0 && g.entries[0].Entry < t; g.entries = g.entries[1:] {
		g.atRisk[g.entries[0].Cause-1] += g.entries[0].Weight
	}
	for ; len(g.exits) > 0 && g.exits[0].exit() < t; g.exits = g.exits[1:] {
		g.atRisk[g.exits[0].Cause-1] -= g.exits[0].Weight
	}
	return g.atRisk
}

func (s ComparisonSettings) weigh(pooled, atRisk float64) float64 {
	switch s.Weight {
	case Harrington:
		return math.Pow(pooled, s.Rho)
	case Gehan:
		return atRisk
	case Tarone:
		return math.Sqrt(atRisk)
	default:
		return 1
	}
}

// addTime adds one time of events, with the hypergeometric variance.
func (c *Comparison) addTime(w float64, r *riskRow, atRisk []float64) {
	spread := 0.0
	if r.atRisk > 1 {
		spread = w * w * r.events * (r.atRisk - r.events) / (r.atRisk - 1)
	}
	variance := c.Variance.RawSymmetric()
	for g := range atRisk {
		share := atRisk[g] / r.atRisk
		c.Observed[g] += w * r.byCause[g]
		c.Expected[g] += w * r.events * share
		if atRisk[g] == 0 {
			continue
		}
		row := variance.Data[g*variance.Stride:][:len(atRisk)]
		row[g] += spread * share * (1 - share)
		for h := g + 1; h < len(atRisk); h++ {
			row[h] -= spread * share * atRisk[h] / r.atRisk
		}
	}
}

func (c *Comparison) finish() {
	if c.Events == 0 {
		c.Status = stats.TooLittle
		c.Warnings = append(c.Warnings, stats.Warn("no-events", "nothing had happened to any of the %d observations, so there is nothing to compare", c.N))
		return
	}
	k := len(c.Groups) - 1
	u := mat.NewVecDense(k, nil)
	v := mat.NewSymDense(k, nil)
	for i := 0; i < k; i++ {
		u.SetVec(i, c.Observed[i+1]-c.Expected[i+1])
		for j := i; j < k; j++ {
			v.SetSym(i, j, c.Variance.At(i+1, j+1))
		}
	}
	var chol mat.Cholesky
	var x mat.VecDense
	if !chol.Factorize(v) || chol.Cond() > 1e12 || chol.SolveVecTo(&x, u) != nil {
		c.Status = stats.NotIdentifiable
		c.Warnings = append(c.Warnings, stats.Warn("not-together", "some group was never at risk together with the others when something happened, so they cannot be compared"))
		return
	}
	c.Status = stats.OK
	c.ChiSquare = mat.Dot(u, &x)
	c.P = tail.ChiSquareUpper(c.ChiSquare, float64(c.DF))
}
