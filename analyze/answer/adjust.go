package answer

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gravid/analyze/catalogue"
)

// perParameter is how many spawnings the model has to have for each thing it
// holds alike; what comes later in the list is left out and said so. 5 with a
// penalised fit is the lower end of common advice (Vittinghoff & McCulloch 2007,
// from memory).
const perParameter = 5

// fewSeasonMonths is from how many calendar months on at least the yearly wave is held
// alike: it cannot be told apart well from fewer than seasonMonths, but left alone it
// passes for a link (experiment E5 of cmd/experiments).
const fewSeasonMonths = 4

// seasonMonths is how many calendar months the records have to touch before the
// season can be told apart.
const seasonMonths = 9

// chooseAdjustment fills c.adjust in a fixed order: day of the attempt, season,
// temperature, the other triggers in the order of the catalogue.
func (c *comparison) chooseAdjustment() {
	f := c.frame
	budget := f.Spawned()/perParameter - 1 // the trigger itself takes one
	add := func(name string, columns ...[]float64) bool {
		if len(columns) > budget {
			return false
		}
		budget -= len(columns)
		for i, x := range columns {
			label := name
			if len(columns) > 1 {
				label = fmt.Sprintf("%s %d", name, i+1)
			}
			c.adjust = append(c.adjust, column{label, x})
		}
		c.answer.Adjusted = append(c.answer.Adjusted, name)
		return true
	}
	var left []string
	c.answer.Adjusted = append(c.answer.Adjusted, "keeper")
	if f.ByDay && !c.relative {
		add("day of the attempt", f.LogDay())
	}
	if c.matched { // strata of 28 days hold the season alike
		c.answer.Adjusted[0] = "tank and stretch of 28 days"
	} else if f.Months() >= seasonMonths {
		_, two := f.Season(2)
		_, one := f.Season(1)
		if !add("season", two...) && !add("season", one...) {
			left = append(left, "season")
		}
	} else {
		if _, one := f.Season(1); f.Months() >= fewSeasonMonths && !add("season", one...) {
			left = append(left, "season")
		}
		c.answer.Notes = append(c.answer.Notes, fmt.Sprintf("the records touch %d calendar months; the season can be told apart only from %d on", f.Months(), seasonMonths))
	}
	for _, t := range c.others() {
		if x, ok := c.filled(t); ok && !add(t.Name, x) {
			left = append(left, t.Name)
		}
	}
	if len(c.filledIn) > 0 {
		c.answer.Notes = append(c.answer.Notes, fmt.Sprintf("where something held alike was not written down, the keeper's mean stands in: %s of %d rows", strings.Join(c.filledIn, ", "), len(f.Y)))
	}
	if len(left) > 0 {
		c.answer.Notes = append(c.answer.Notes, "too few spawnings to hold these alike as well: "+strings.Join(left, ", "))
	}
}

// others are the triggers to adjust for, temperature first.
func (c *comparison) others() []catalogue.Trigger {
	var list []catalogue.Trigger
	for _, t := range c.Triggers {
		if t.Code == c.t.Code || t.Aside || slices.Contains(c.t.Changes, t.Code) {
			continue
		}
		if t.Code == "temperature" {
			list = slices.Insert(list, 0, t)
		} else {
			list = append(list, t)
		}
	}
	return list
}

// filled gives the values of a trigger to adjust for. Up to a fifth of them may
// be missing; those are filled with the mean of the same keeper, so that no
// comparison is lost for a blank in a side column. False where it was recorded
// less often, never varied within a keeper, or is the trigger itself under
// another name.
func (c *comparison) filled(t catalogue.Trigger) ([]float64, bool) {
	x := c.Records.Values(c.frame, t, 0)
	sum, n := map[int]float64{}, map[int]float64{}
	missing := 0
	for i, v := range x {
		if math.IsNaN(v) {
			missing++
			continue
		}
		sum[c.frame.Keeper[i]] += v
		n[c.frame.Keeper[i]]++
	}
	if float64(missing) > mostFilled*float64(len(x)) {
		return nil, false
	}
	varies := false
	var all, count float64
	for _, g := range c.frame.Keeper {
		all += sum[g]
		count += n[g]
	}
	for i, v := range x {
		g := c.frame.Keeper[i]
		mean := all / count
		if n[g] > 0 {
			mean = sum[g] / n[g]
		}
		if math.IsNaN(v) {
			x[i] = mean
		}
		varies = varies || math.Abs(x[i]-mean) > 1e-9
	}
	if missing > 0 && varies {
		c.filledIn = append(c.filledIn, fmt.Sprintf("%s (%d)", t.Name, missing))
	}
	return x, varies
}
