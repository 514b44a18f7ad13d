package answer

import (
	"math"
	"slices"

	"gravid/stats/duration"
)

// A CoursePoint is a step of what became of all clutches: the share that had reached the
// stage, the share that was lost, whatever to, and the share still on the way.
type CoursePoint struct {
	Days     Num `json:"days"`
	Reached  Num `json:"reached"`
	Lost     Num `json:"lost"`
	LostLow  Num `json:"lost_low"`
	LostHigh Num `json:"lost_high"`
	Waiting  Num `json:"waiting"`
}

// A DayCount is where the clutches stood at the end of a day. The four numbers add up to
// all clutches.
type DayCount struct {
	Day     int `json:"day"`
	Waiting int `json:"waiting"`      // on the way: at risk
	Reached int `json:"reached"`      // by then
	Lost    int `json:"lost"`         // by then
	Stopped int `json:"not_followed"` // by then no longer followed
}

// dayCounts is about how many days are counted.
const dayCounts = 6

// course fills in the course of the clutches and their counts by day. at is when each
// waiting ended.
func (k Asker) course(t *Timing, list []waiting, at []float64) {
	obs := make([]duration.Observation, len(list))
	for i, w := range list {
		o := duration.Observation{Span: duration.Span{Lo: at[i], Hi: math.Inf(1)}}
		switch {
		case w.reached:
			o.Hi, o.Cause = at[i], 1
		case w.cause != "":
			o.Hi, o.Cause = at[i], 2
		}
		obs[i] = o
	}
	a, err := duration.AalenJohansen(obs, duration.Settings{Level: k.Level})
	if err != nil || !a.Status.Usable() {
		return
	}
	t.Course = append(t.Course, CoursePoint{Waiting: 1})
	for _, s := range a.Steps {
		p := CoursePoint{Days: Num(s.Time), Waiting: 1}
		if slices.Contains(a.Causes, 1) {
			p.Reached = Num(a.At(1, s.Time).Value)
		}
		if slices.Contains(a.Causes, 2) {
			e := a.At(2, s.Time)
			p.Lost, p.LostLow, p.LostHigh = Num(e.Value), Num(e.Lo), Num(e.Hi)
		}
		p.Waiting = max(1-p.Reached-p.Lost, 0)
		t.Course = append(t.Course, p)
	}
	end := slices.Max(at)
	step := niceWidth(end / dayCounts)
	for day := 0; ; day += step {
		c := DayCount{Day: day}
		for i, w := range list {
			switch {
			case at[i] > float64(day):
				c.Waiting++
			case w.reached:
				c.Reached++
			case w.cause != "":
				c.Lost++
			default:
				c.Stopped++
			}
		}
		t.AtRisk = append(t.AtRisk, c)
		if float64(day) >= end {
			return
		}
	}
}
