package answer

import (
	"fmt"
	"math"
	"strings"

	"gravid/analyze/exposure"
	"gravid/stats"
	"gravid/stats/logit"
)

// views looks at the same question in other ways. They do not change the verdict: a
// reader sees whether it hangs on a choice.
func (c *comparison) views(f fitted) []View {
	var out []View
	step := c.step()
	add := func(name string, e stats.Estimate, ok bool, why string) {
		v := View{Name: name, OddsRatio: NoInterval(), Note: why}
		if ok && known(e) {
			v.OddsRatio, v.Note = oddsInterval(e, step), ""
		}
		out = append(out, v)
	}
	if len(c.frame.Y) <= mostViewed {
		conditional, ok := c.conditionalView(f)
		add("each keeper by conditional likelihood", conditional, ok, "no keeper has both outcomes, or it did not settle")
		random, ok := c.randomView(f)
		add("keepers as a random draw of keepers", random, ok, "it did not settle, which happens where one side has no exception")
	}
	seasonless := withoutColumns(f.adjust, "season")
	if len(seasonless) < len(f.adjust) {
		e, ok := c.refit(f.x, func(int) bool { return true }, seasonless)
		add("season not held alike", e, ok, "it did not settle")
	}
	if k := c.biggest(); k >= 0 {
		e, ok := c.refit(f.x, func(i int) bool { return c.frame.Keeper[i] != k }, f.adjust)
		add("without the keeper with the most records ("+c.frame.Keepers[k]+")", e, ok, "too little is left")
	}
	if last := c.lastYear(); last > 0 {
		in := func(i int) bool { return c.frame.Opens[i].Year() == last }
		e, ok := c.refit(f.x, in, f.adjust)
		add(fmt.Sprintf("season %d alone", last), e, ok, "too little on its own")
		e, ok = c.refit(f.x, func(i int) bool { return !in(i) }, f.adjust)
		add(fmt.Sprintf("seasons before %d", last), e, ok, "too little on their own")
	}
	return out
}

// noteViews says which views are left out.
func (c *comparison) noteViews() {
	if n := len(c.frame.Y); n > mostViewed {
		c.answer.Notes = append(c.answer.Notes, fmt.Sprintf("with %d rows the views by conditional likelihood and by a random draw of keepers are left out: they differ from the answer where keepers have few rows only", n))
	}
}

// mostViewed is how many rows are looked at by methods whose work grows faster than the
// rows do.
const mostViewed = 6000

func withoutColumns(list []column, prefix string) []column {
	var out []column
	for _, a := range list {
		if !strings.HasPrefix(a.name, prefix) {
			out = append(out, a)
		}
	}
	return out
}

// conditionalView takes the keepers' own levels out by conditioning on how often each
// saw a spawning.
func (c *comparison) conditionalView(f fitted) (stats.Estimate, bool) {
	o := logit.ConditionalOptions{}
	if c.exactSteps() > mostExact {
		o.Ties = logit.Efron
	}
	m, err := logit.FitConditional(c.conditionalData(f.x, f.adjust), o)
	if err != nil || !m.Status.Usable() {
		return stats.Estimate{}, false
	}
	return m.Wald(0, c.Level), true
}

// viewNodes is how many nodes of quadrature a view takes: it is drawn to two figures.
const viewNodes = 5

// randomView takes the keepers' own levels as normally distributed, by maximum
// likelihood with adaptive quadrature.
func (c *comparison) randomView(f fitted) (stats.Estimate, bool) {
	m, err := logit.FitRandom(c.conditionalData(f.x, f.adjust), logit.RandomOptions{Nodes: viewNodes})
	if err != nil || !m.Status.Usable() && m.Status != stats.Boundary {
		return stats.Estimate{}, false
	}
	return m.Wald(0, c.Level), true
}

// refit asks the same of some of the rows, with the clusters of the whole. first is the
// column asked about.
func (c *comparison) refit(first []float64, keep func(int) bool, adjust []column) (stats.Estimate, bool) {
	f := *c.frame
	kept := f.Keep(keep, "")
	x := exposure.Pick(first, kept)
	if f.Spawned() < floorEvents || len(f.Y)-f.Spawned() < floorEvents || !varies(x) {
		return stats.Estimate{}, false
	}
	var columns []column
	for _, a := range adjust {
		if v := exposure.Pick(a.values, kept); varies(v) {
			columns = append(columns, column{a.name, v})
		}
	}
	m := c.fit(&f, x, columns)
	if !m.model.Status.Usable() {
		return stats.Estimate{}, false
	}
	env := m.envelope(exposure.Pick(c.cluster, kept), c.Level)
	return env.Estimate, env.Status.Usable()
}

func varies(x []float64) bool {
	for _, v := range x {
		if v != x[0] {
			return true
		}
	}
	return false
}

// biggest is the keeper with the most rows; -1 where there is one keeper only.
func (c *comparison) biggest() int {
	rows := make([]int, len(c.frame.Keepers))
	for _, k := range c.frame.Keeper {
		rows[k]++
	}
	best, others := -1, 0
	for k, n := range rows {
		if n > 0 {
			others++
		}
		if n > 0 && (best < 0 || n > rows[best]) {
			best = k
		}
	}
	if others < 2 {
		return -1
	}
	return best
}

// lastYear is the latest year of the records, 0 where there is only one.
func (c *comparison) lastYear() int {
	first, last := math.MaxInt, 0
	for _, t := range c.frame.Opens {
		first, last = min(first, t.Year()), max(last, t.Year())
	}
	if first >= last {
		return 0
	}
	return last
}
