package answer

import (
	"fmt"
	"math"
	"slices"

	"gravid/analyze/exposure"
	"gravid/analyze/reference"
	"gravid/ingest/club"
	"gravid/stats"
	"gravid/stats/count"
)

// Eggs is how many eggs the clutches of a species have and what becomes of them.
// The JSON names are fixed.
type Eggs struct {
	Species      string             `json:"species"`
	Clutches     int                `json:"clutches"`
	PerClutch    Mean               `json:"per_clutch"`
	PerFemale    Mean               `json:"per_female"`
	PerFemaleDay Mean               `json:"per_female_day"`
	Collection   Mean               `json:"per_collection"` // of fish that are collected from again and again; N counts attempts
	Collections  int                `json:"collections"`
	Females      Interval           `json:"twice_the_females"`     // factor of the eggs of a clutch
	Livebearing  bool               `json:"livebearing,omitempty"` // young are born: they stand where eggs would
	Counting     []CountingMethod   `json:"counting_methods"`
	Dispersion   Interval           `json:"dispersion"` // size k of the negative binomial: variance = mean + mean²/k
	Fertile      EggShare           `json:"fertile"`
	Hatched      EggShare           `json:"hatched"`
	Swimming     EggShare           `json:"swimming"`
	Next         NextClutch         `json:"next_clutch"`
	Bins         []Bin              `json:"bins"`
	LeftOut      []exposure.LeftOut `json:"left_out"`
	Notes        []string           `json:"notes,omitempty"`
	Methods      []string           `json:"methods,omitempty"`
	Grouped      *Grouped           `json:"by,omitempty"`
	Published    []reference.Range  `json:"published,omitempty"` // from elsewhere, as a reference
}

// Mean is an average with its interval. N is the number of clutches, or of
// attempts, behind it.
type Mean struct {
	Mean   Num    `json:"mean"`
	Low    Num    `json:"low"`
	High   Num    `json:"high"`
	N      int    `json:"n"`
	Reason string `json:"reason,omitempty"` // why there is no number
}

// Known reports whether there is a number.
func (m Mean) Known() bool { return !math.IsNaN(float64(m.Mean)) }

// EggShare is a share of the eggs, 0 to 1.
type EggShare struct {
	Share  Num    `json:"share"`
	Low    Num    `json:"low"`
	High   Num    `json:"high"`
	N      int    `json:"n"`  // clutches
	Of     string `json:"of"` // always "eggs"
	Reason string `json:"reason,omitempty"`
}

// NextClutch is where the size of a single next clutch should fall.
type NextClutch struct {
	Interval80 [2]Num `json:"interval_80"`
	Interval90 [2]Num `json:"interval_90"`
}

// Known reports whether there are limits.
func (n NextClutch) Known() bool { return !math.IsNaN(float64(n.Interval80[0])) }

// Bin counts the clutches of From to To eggs.
type Bin struct {
	From int `json:"from"`
	To   int `json:"to"`
	N    int `json:"n"`
}

// Eggs answers how many eggs are normal for a species. A clutch is the eggs of one
// spawning: an attempt without a spawning is no clutch of 0, and counts only in
// the eggs per female and day.
func (k Asker) Eggs(species string) Eggs {
	k = k.withDefaults()
	e := Eggs{Species: species, Dispersion: NoInterval(), LeftOut: []exposure.LeftOut{}, Bins: []Bin{},
		Next: NextClutch{[2]Num{unknown, unknown}, [2]Num{unknown, unknown}}}
	e.Published = reference.Published(species, reference.EggsOfASpawn)
	var eggs, perFemale []float64
	estimated, ranged := 0, 0
	for i := range k.Records.Clutches {
		c := &k.Records.Clutches[i]
		if c.Species != species {
			continue
		}
		e.Clutches++
		switch {
		case !c.Eggs.OK && (c.EggsLow.OK || c.EggsHigh.OK):
			e.LeftOut = addReason(e.LeftOut, "only a bound on the number of eggs is known")
			continue
		case !c.Eggs.OK:
			e.LeftOut = addReason(e.LeftOut, "eggs not counted")
			continue
		case c.Eggs.V == 0:
			e.LeftOut = addReason(e.LeftOut, "0 eggs: no clutch")
			continue
		}
		n := float64(c.Eggs.V)
		eggs = append(eggs, n)
		if c.EggsLow.OK && c.EggsHigh.OK && c.EggsLow.V < c.EggsHigh.V {
			ranged++
		} else if c.EggsMethod == "estimated" {
			estimated++
		}
		if c.Females.OK && c.Females.V > 0 {
			perFemale = append(perFemale, n/float64(c.Females.V))
		}
	}
	if estimated+ranged > 0 {
		e.Notes = append(e.Notes, fmt.Sprintf("%d of %d numbers are estimates and %d are ranges, taken at their middle", estimated, len(eggs), ranged))
	}
	e.PerClutch, e.PerFemale = k.mean(eggs), k.mean(perFemale)
	e.PerFemaleDay = k.perFemaleDay(species)
	e.Collection, e.Collections = k.perCollection(species)
	e.Females = k.twiceTheFemales(species)
	e.Counting = k.countingMethods(species)
	k.spread(&e, eggs)
	e.Bins = bins(eggs)
	e.Fertile = k.eggShare(species, func(c *club.Clutch) club.Count { return c.Fertile })
	e.Hatched = k.eggShare(species, func(c *club.Clutch) club.Count { return c.Hatched })
	e.Swimming = k.eggShare(species, func(c *club.Clutch) club.Count { return c.FreeSwimming })
	if e.Livebearing = reference.IsLivebearing(species); e.Livebearing {
		e.Fertile.Reason, e.Hatched.Reason = "the young are born", "the young are born"
	}
	e.Methods = append(e.Methods,
		"Means: t interval on the logarithmic scale that allows for spread beyond chance (quasi-likelihood).",
		"Single next clutch: negative binomial, with how unsure its own numbers are taken in.",
		"Per female and day: all eggs over all female-days of the attempts, jackknife over keepers.",
		"Per collection: all eggs over all collections, of attempts with more than one; jackknife over attempts.",
		"Twice the females, and ways of counting against counting one by one: negative binomial regression, the latter among keepers who do both, with a term for each.",
		"Shares: beta-binomial with the clutch as the unit, of the eggs.")
	return e
}

func meanOf(e stats.Estimate) Mean {
	m := Mean{Mean: unknown, Low: unknown, High: unknown, N: e.N}
	if !e.Status.Usable() {
		m.Reason = "too few records"
		if len(e.Warnings) > 0 {
			m.Reason = e.Warnings[0].Text
		}
		return m
	}
	m.Mean, m.Low, m.High = Num(e.Value), Num(e.Lo), Num(e.Hi)
	return m
}

// share is a proportion with its Wilson interval.
func (k Asker) share(events, n int) Interval {
	if n == 0 {
		return NoInterval()
	}
	e, err := count.Wilson(events, n, k.Level)
	if err != nil {
		return NoInterval()
	}
	return fromEstimate(e)
}

// binCount is about how many bars the sizes of clutches are sorted into.
const binCount = 12

// bins sorts sizes into ranges of equal, round width.
func bins(sizes []float64) []Bin {
	if len(sizes) < 5 {
		return []Bin{}
	}
	width := niceWidth(slices.Max(sizes) / binCount)
	var out []Bin
	for from := 0; float64(from) <= slices.Max(sizes); from += width {
		b := Bin{From: from, To: from + width - 1}
		for _, x := range sizes {
			if int(x) >= b.From && int(x) <= b.To {
				b.N++
			}
		}
		out = append(out, b)
	}
	return out
}

func niceWidth(least float64) int {
	for scale := 1; ; scale *= 10 {
		for _, m := range []int{1, 2, 5} {
			if float64(m*scale) >= least {
				return m * scale
			}
		}
	}
}

// mean is the average of amounts, one a clutch.
func (k Asker) mean(amounts []float64) Mean {
	if len(amounts) == 0 {
		return Mean{Mean: unknown, Low: unknown, High: unknown, Reason: "no records"}
	}
	e, err := count.LogTMean(amounts, k.Level)
	if err != nil { // the amounts are positive and finite
		panic("analyze/answer: " + err.Error())
	}
	return meanOf(e)
}

// perFemaleDay is all eggs over all female-days of the attempts, those without a
// spawning included; keepers who write down spawnings only stay out.
func (k Asker) perFemaleDay(species string) Mean {
	eggs := map[string]club.Count{} // of all clutches of an attempt; unknown where one is not counted
	last := map[string]club.When{}  // when the last of them was laid
	clutches := map[string]int{}
	for i := range k.Records.Clutches {
		c := &k.Records.Clutches[i]
		before, several := eggs[c.AttemptID]
		last[c.AttemptID] = later(last[c.AttemptID], c.LaidTo)
		clutches[c.AttemptID]++
		if several && (!before.OK || !c.Eggs.OK) {
			eggs[c.AttemptID] = club.Count{}
			continue
		}
		eggs[c.AttemptID] = club.Count{V: before.V + c.Eggs.V, OK: c.Eggs.OK}
	}
	keeperOf := map[string]int{}
	var parts []count.Part
	for i := range k.Records.Attempts {
		a := &k.Records.Attempts[i]
		if a.Species != species || k.Records.SpawnsOnly[a.Keeper] || !a.Spawned.OK || !a.Began.OK || !a.Females.OK || a.Females.V == 0 {
			continue
		}
		n, end := 0.0, a.Ended
		if a.Spawned.V {
			if end = a.SpawnedAt; clutches[a.ID] > 1 {
				end = later(end, last[a.ID])
			}
			counted := eggs[a.ID]
			if !counted.OK {
				continue // a spawning whose eggs nobody counted is not one of 0 eggs
			}
			n = float64(counted.V)
		}
		days := math.Round(end.V.Sub(a.Began.V).Hours()/24) + 1
		if !end.OK || days < 1 {
			continue
		}
		g, seen := keeperOf[a.Keeper]
		if !seen {
			g = len(keeperOf)
			keeperOf[a.Keeper] = g
		}
		parts = append(parts, count.Part{Amount: n, Exposure: float64(a.Females.V) * days, Cluster: g})
	}
	if len(parts) == 0 {
		return Mean{Mean: unknown, Low: unknown, High: unknown, Reason: "no attempt has females, dates and eggs on record"}
	}
	e, err := count.RatioOfTotals(parts, k.Level)
	if err != nil {
		panic("analyze/answer: " + err.Error())
	}
	return meanOf(e)
}

// later is the later of two instants, as far as they are known.
func later(a, b club.When) club.When {
	if !a.OK || b.OK && b.V.After(a.V) {
		return b
	}
	return a
}

// spread fits the negative binomial and says where a single next clutch should
// fall. Ranges enter as ranges.
func (k Asker) spread(e *Eggs, eggs []float64) {
	if len(eggs) < fewestTimes {
		return
	}
	var counts []count.Count
	for i := range k.Records.Clutches {
		c := &k.Records.Clutches[i]
		if c.Species != e.Species || !c.Eggs.OK || c.Eggs.V == 0 {
			continue
		}
		counts = append(counts, eggsOf(c))
	}
	m, err := count.FitNegativeBinomial(counts, k.Level)
	if err != nil {
		panic("analyze/answer: " + err.Error())
	}
	if !m.Status.Usable() {
		return
	}
	e.Dispersion = fromEstimate(m.Dispersion())
	for _, p := range []struct {
		level float64
		to    *[2]Num
	}{{0.8, &e.Next.Interval80}, {0.9, &e.Next.Interval90}} {
		if x, err := m.Predict(1, p.level); err == nil && x.Status.Usable() {
			*p.to = [2]Num{Num(x.Lo), Num(x.Hi)}
		}
	}
}

// eggShare is the share of the eggs of the clutches that have both numbers.
func (k Asker) eggShare(species string, of func(*club.Clutch) club.Count) EggShare {
	s := EggShare{Share: unknown, Low: unknown, High: unknown, Of: "eggs"}
	var clutches []count.Clutch
	more := 0
	for i := range k.Records.Clutches {
		c := &k.Records.Clutches[i]
		part := of(c)
		if c.Species != species || !part.OK || !c.Eggs.OK || c.Eggs.V == 0 {
			continue
		}
		if part.V > c.Eggs.V {
			more++
			continue
		}
		clutches = append(clutches, count.Clutch{Hits: int(part.V), Trials: int(c.Eggs.V)})
	}
	s.N = len(clutches)
	switch {
	case s.N == 0:
		s.Reason = "no clutch has both numbers on record"
		return s
	case more > 0:
		s.Reason = fmt.Sprintf("left out: %d with more than their eggs, which were counted low", more)
	}
	m, err := count.FitBetaBinomial(clutches, k.Level)
	if err != nil {
		panic("analyze/answer: " + err.Error())
	}
	e := m.Share(nil)
	if !e.Status.Usable() {
		s.Reason = "too few clutches"
		return s
	}
	s.Share, s.Low, s.High = Num(e.Value), Num(e.Lo), Num(e.Hi)
	return s
}
