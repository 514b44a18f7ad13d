package answer

import (
	"fmt"
	"math"

	"gravid/analyze/catalogue"
	"gravid/stats/logit"
)

// A Band is one range of amounts of a change, compared with days without one.
type Band struct {
	Label   string   `json:"label"`
	From    Num      `json:"from"` // of the change, as a positive amount
	To      Num      `json:"to"`   // null = no end
	Days    int      `json:"days"`
	Spawned int      `json:"spawned"`
	Odds    Interval `json:"odds_ratio"` // against days with less than the first band
	Note    string   `json:"note,omitempty"`
}

// bandFloor is how many days a band needs to be shown with a figure, and how many
// spawnings the whole must have.
const (
	bandFloor     = 20
	bandSpawnings = 10
)

// bands answers how large a change must be: falls in steps of the trigger's natural
// size, each compared with days on which it fell by less than the smallest; nil where that
// cannot be asked.
func (c *comparison) bands() []Band {
	if c.t.Daily == nil || c.t.Daily.Rule != catalogue.Fall && c.t.Daily.Rule != catalogue.Rise || !c.frame.ByDay || c.frame.Spawned() < bandSpawnings {
		return nil
	}
	amounts := c.Records.Amounts(c.frame, c.t)
	sign := 1.0
	if c.t.Daily.Rule == catalogue.Fall {
		sign = -1
	}
	s := c.t.Step
	ends := []float64{0.4 * s, s, 2 * s, 3 * s, math.Inf(1)}
	columns := make([][]float64, len(ends)-1)
	list := make([]Band, len(ends)-1)
	for b := range list {
		columns[b] = make([]float64, len(amounts))
		list[b] = Band{From: Num(ends[b]), To: Num(ends[b+1]), Odds: NoInterval(), Label: fmt.Sprintf("%.4g to %.4g %s", ends[b], ends[b+1], c.t.UnitName)}
		if math.IsInf(ends[b+1], 1) {
			list[b].Label = fmt.Sprintf("%.4g %s or more", ends[b], c.t.UnitName)
		}
	}
	for i, v := range amounts {
		if math.IsNaN(v) {
			return nil // the trigger itself is known for every row of the frame
		}
		for b := range list {
			if x := sign * v; x >= ends[b] && x < ends[b+1] {
				columns[b][i] = 1
				list[b].Days++
				list[b].Spawned += int(c.frame.Y[i])
			}
		}
	}
	c.fitBands(list, columns)
	return list
}

// fitBands fits all bands at once, so that each is compared with the same days.
func (c *comparison) fitBands(list []Band, columns [][]float64) {
	d := logit.Data{Y: c.frame.Y, Group: c.frame.Keeper}
	var in []int
	for b := range list {
		if list[b].Days < bandFloor {
			list[b].Note = fmt.Sprintf("fewer than %d days", bandFloor)
			continue
		}
		in = append(in, b)
		d.X = append(d.X, columns[b])
		d.Names = append(d.Names, list[b].Label)
	}
	if len(in) == 0 {
		return
	}
	for _, a := range c.adjust {
		d.X = append(d.X, a.values)
		d.Names = append(d.Names, a.name)
	}
	m, err := logit.Fit(d, logit.Options{Penalty: logit.Firth})
	if err != nil || !m.Status.Usable() {
		return
	}
	first := make([]int, len(in)) // the bands are the first columns
	for j := range first {
		first[j] = j
	}
	jackknives, err := m.Jackknives(c.cluster, first, c.Level)
	if err != nil {
		return
	}
	for j, b := range in {
		if env := logit.Envelope(m.Profile(j, c.Level), jackknives[j].Estimate); env.Status.Usable() {
			list[b].Odds = oddsInterval(env.Estimate, 1)
		}
	}
}
