package answer

import (
	"cmp"
	"math"
	"slices"

	"gravid/ingest/club"
	"gravid/stats/count"
)

// A CountingMethod is how many eggs clutches have by one way of counting, and how that
// stands to counting one by one. The JSON names are fixed.
type CountingMethod struct {
	Method  string   `json:"method"`
	N       int      `json:"n"` // clutches
	Mean    Mean     `json:"eggs_per_clutch"`
	Keepers int      `json:"keepers"`          // who use it and count one by one as well
	Ratio   Interval `json:"ratio_to_counted"` // among those keepers' clutches; null for "counted", and where they are too few
	Round   Num      `json:"round_share"`      // of the numbers that end in 0 or 5; about 0.2 where eggs are counted
}

const (
	counted     = "counted" // one by one
	fewestPairs = 4         // clutches by each of two methods before one is set against the other

	fewestOfMethod = 3 // clutches before a method has a mean: two leave any number plausible
)

// countingMethods sets the methods of counting side by side. A method is set against
// counting one by one among the keepers who do both, by negative binomial regression with
// a term for each keeper: what else differs between their clutches is not held alike.
func (k Asker) countingMethods(species string) []CountingMethod {
	byMethod := map[string][]*club.Clutch{}
	for i := range k.Records.Clutches {
		if c := &k.Records.Clutches[i]; c.Species == species && c.Eggs.OK && c.Eggs.V > 0 {
			byMethod[orUnknown(c.EggsMethod)] = append(byMethod[orUnknown(c.EggsMethod)], c)
		}
	}
	out := []CountingMethod{}
	for method, list := range byMethod {
		m := CountingMethod{Method: method, N: len(list), Ratio: NoInterval()}
		var eggs []float64
		round := 0
		for _, c := range list {
			eggs = append(eggs, float64(c.Eggs.V))
			if c.Eggs.V%5 == 0 {
				round++
			}
		}
		if m.Mean = k.mean(eggs); len(eggs) < fewestOfMethod {
			m.Mean = Mean{Mean: unknown, Low: unknown, High: unknown, N: len(eggs), Reason: "too few clutches"}
		}
		m.Round = Num(float64(round) / float64(len(list)))
		if method != counted && method != notKnown {
			m.Ratio, m.Keepers = k.againstCounted(byMethod[counted], list)
		}
		out = append(out, m)
	}
	slices.SortFunc(out, func(a, b CountingMethod) int {
		return cmp.Or(cmp.Compare(methodRank(a.Method), methodRank(b.Method)), cmp.Compare(a.Method, b.Method))
	})
	return out
}

// methodRank puts counting one by one first and what is not known last.
func methodRank(method string) int {
	switch method {
	case counted:
		return 0
	case notKnown:
		return 2
	}
	return 1
}

// againstCounted is the ratio of the numbers by another method to those counted, among
// keepers who have both, and how many these are.
func (k Asker) againstCounted(one, other []*club.Clutch) (Interval, int) {
	has := func(list []*club.Clutch) map[string]int {
		n := map[string]int{}
		for _, c := range list {
			n[c.Keeper]++
		}
		return n
	}
	a, b := has(one), has(other)
	var keepers []string
	for keeper := range a {
		if b[keeper] > 0 {
			keepers = append(keepers, keeper)
		}
	}
	slices.Sort(keepers)
	var rows []count.CountRow
	n := [2]int{}
	for side, list := range [][]*club.Clutch{one, other} {
		for _, c := range list {
			at, both := slices.BinarySearch(keepers, c.Keeper)
			if !both {
				continue
			}
			x := make([]float64, len(keepers)) // the method, then all keepers but the first
			x[0] = float64(side)
			if at > 0 {
				x[at] = 1
			}
			rows = append(rows, count.CountRow{Count: eggsOf(c), X: x})
			n[side]++
		}
	}
	if min(n[0], n[1]) < fewestPairs {
		return NoInterval(), len(keepers)
	}
	return k.ratio(rows), len(keepers)
}

// eggsOf is the number of eggs of a clutch, as a range where it was written as one.
func eggsOf(c *club.Clutch) count.Count {
	if c.EggsLow.OK && c.EggsHigh.OK && c.EggsLow.V <= c.EggsHigh.V {
		return count.Count{Lo: float64(c.EggsLow.V), Hi: float64(c.EggsHigh.V)}
	}
	return count.Exactly(int(c.Eggs.V))
}

// ratio is the factor of the mean for the first covariate, by negative binomial regression
// with limits of the profile likelihood against the F distribution.
func (k Asker) ratio(rows []count.CountRow) Interval {
	m, err := count.FitCountRegression(rows, k.Level)
	if err != nil { // the rows are whole and alike
		panic("analyze/answer: " + err.Error())
	}
	if !m.Status.Usable() {
		return NoInterval()
	}
	return fromEstimate(m.Ratio(1, count.ProfileF))
}

// twiceTheFemales is the factor by which clutches are larger where twice as many females
// lay them, from clutches with females on record; nothing is held alike.
func (k Asker) twiceTheFemales(species string) Interval {
	var rows []count.CountRow
	groups := map[int64]int{}
	for i := range k.Records.Clutches {
		c := &k.Records.Clutches[i]
		if c.Species != species || !c.Eggs.OK || c.Eggs.V == 0 || !c.Females.OK || c.Females.V == 0 {
			continue
		}
		groups[c.Females.V]++
		rows = append(rows, count.CountRow{Count: eggsOf(c), X: []float64{math.Log2(float64(c.Females.V))}})
	}
	several := 0
	for _, n := range groups {
		if n >= 2 {
			several++
		}
	}
	if several < 2 || len(rows) < 2*fewestPairs {
		return NoInterval()
	}
	return k.ratio(rows)
}

// perCollection is the eggs of a collection in attempts that are collected from more than
// once, as fish that lay a few eggs a day are: all eggs over all collections, jackknife
// over attempts. collections is how many there are.
func (k Asker) perCollection(species string) (m Mean, collections int) {
	parts := map[string]*count.Part{}
	var order []string
	for i := range k.Records.Clutches {
		c := &k.Records.Clutches[i]
		if c.Species != species || c.AttemptID == "" || !c.Eggs.OK {
			continue
		}
		p := parts[c.AttemptID]
		if p == nil {
			p = &count.Part{Cluster: len(order)}
			parts[c.AttemptID] = p
			order = append(order, c.AttemptID)
		}
		p.Amount += float64(c.Eggs.V)
		p.Exposure++
	}
	var several []count.Part
	for _, id := range order {
		if p := parts[id]; p.Exposure > 1 {
			several = append(several, *p)
			collections += int(p.Exposure)
		}
	}
	if len(several) == 0 {
		return Mean{Mean: unknown, Low: unknown, High: unknown, Reason: "no attempt has several collections on record"}, 0
	}
	e, err := count.RatioOfTotals(several, k.Level)
	if err != nil {
		panic("analyze/answer: " + err.Error())
	}
	return meanOf(e), collections
}
