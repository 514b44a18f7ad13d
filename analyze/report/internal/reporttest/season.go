package reporttest

import (
	"fmt"
	"math"
	"time"

	"gravid/analyze/report"
)

var nan, inf = math.NaN(), math.Inf(1)

func day(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }

// Season is a season's report as a club would get it. All numbers are invented.
func Season() *report.Document {
	return &report.Document{
		Title:    "Season 2026 of the river club",
		Subtitle: "Spawnings, what went with them, and how the young came on",
		Facts: []report.Fact{
			{Label: "Logs read", Value: report.I(9), Note: "from 7 keepers"},
			{Label: "Attempts", Value: report.I(412), Note: "168 of them spawned"},
			{Label: "Clutches", Value: report.I(183)},
			{Label: "Not read", Value: cell(report.I(23), "#set-aside/rows"), Note: "rows set aside, each with its reason and its fix"},
			{Label: "Season", Value: report.T("2026-01-01 to 2026-09-30")},
		},
		Sections: []report.Section{glance(), triggers(), timing(), eggs(), keepers(), attempts(60), setAside(), methods(), calendar()},
		Terms: []report.Term{
			{Word: "linked, and enough to matter", Meaning: "the whole interval lies beyond the margin the club calls worth acting on, here 10 of 100 attempts"},
			{Word: "linked, size unclear", Meaning: "the interval leaves out 0 but not the margin"},
			{Word: "little or no link", Meaning: "the whole interval lies inside the margin"},
			{Word: "the records can't tell yet", Meaning: "anything else; the report says how many more attempts would settle it"},
		},
		Cautions: []string{
			"These are records of what went together, not of what brought what about. A trial in which chance decides would show more.",
			"Never imitate a trigger at the fishes' cost: keep falls of temperature within what the species meets in nature, and stop when fish show distress.",
			"Do not release fish, eggs or plants. Some species need papers to be passed on.",
		},
	}
}

func cell(c report.Cell, link string) report.Cell { c.Link = link; return c }

func glance() report.Section {
	species := report.Table{
		ID: "species", Title: "Species by species", Note: "An attempt is a chance given to a pair or group to spawn in one tank.",
		Columns: []report.Column{
			{Name: "Species", Key: true, Help: "Accepted scientific name."},
			{Name: "Keepers", Format: report.Whole, Help: "Keepers with at least one attempt."},
			{Name: "Attempts", Format: report.Whole, Help: "Chances given to spawn."},
			{Name: "Spawned", Format: report.Whole, Help: "Attempts with at least one spawning."},
			{Name: "Share", Format: report.Share, Help: "Spawned of attempts."},
			{Name: "Eggs a clutch", Format: report.Decimal, Help: "Mean of the clutches that were counted."},
			{Name: "Temperature", Unit: "°C", Format: report.Decimal, Help: "Median over the attempts."},
			{Name: "Last spawning", Format: report.Day, Help: "Date of the last spawning recorded."},
			{Name: "First for the club", Format: report.Yes, Help: "Whether nobody in the club had bred it before."},
		},
	}
	row := func(name string, k, a, s int, eggs, temp float64, last time.Time, first float64) {
		species.Rows = append(species.Rows, []report.Cell{
			cell(report.T(name), "#triggers"), report.I(k), report.I(a), report.I(s), report.N(report.Share, float64(s)/float64(a)),
			report.N(report.Decimal, eggs), report.N(report.Decimal, temp), report.D(last), report.N(report.Yes, first)})
	}
	row("Corydoras paleatus", 6, 151, 74, 61.25, 22.4, day(2026, 9, 12), 0)
	row("Danio rerio", 4, 98, 57, 142.6, 26, day(2026, 9, 21), 0)
	row("Apistogramma cacatuoides", 3, 66, 21, 48.5, 26.5, day(2026, 8, 2), 0)
	row("Pterophyllum scalare", 2, 41, 12, 231, 27.75, day(2026, 7, 19), 0)
	row("Paracheirodon innesi", 2, 38, 3, nan, 23.1, day(2026, 4, 30), 1)
	row("Pseudomugil gertrudae", 1, 18, 1, 5.2, nan, time.Time{}, 1)

	months := []string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep"}
	bars := report.Figure{
		ID: "months", Kind: report.Bars, Title: "Spawnings came in spring and again after the June rains",
		Caption: "Spawnings recorded in each month, all species together.",
		Alt:     "Bars by month from January to September: 9, 14, 27, 31, 18, 12, 25, 21 and 11 spawnings.",
		X:       report.Axis{Label: "Month"}, Y: report.Axis{Label: "Spawnings", Format: report.Whole},
		Series: []report.Series{{Name: "Spawnings"}},
	}
	for i, n := range []float64{9, 14, 27, 31, 18, 12, 25, 21, 11} {
		bars.Series[0].Points = append(bars.Series[0].Points, report.At(months[i], float64(i+1), n))
	}
	return report.Section{
		ID: "glance", Title: "Season at a glance",
		Lead: "168 of 412 attempts spawned, by 6 species; Corydoras paleatus and Danio rerio make up 4 of 5 clutches.",
		Paragraphs: []string{
			"Two species were bred in the club for the first time. Their records are too few for any question of triggers.",
		},
		Tables: []report.Table{species}, Figures: []report.Figure{bars},
	}
}

// calendar is a year of two species with a gap in the pressure and few temperatures.
func calendar() report.Section {
	first := report.DayNumber(day(2026, 1, 1))
	f := report.Figure{
		ID: "calendar", Kind: report.Calendar, Records: "#attempts", Title: "Spawnings came in spring and autumn",
		Caption: "Each mark is a day with a spawning.", Alt: "Corydoras paleatus 14, Danio rerio 20 spawnings.",
		X: report.Axis{Label: "2026", Format: report.Day, Min: first, Max: report.DayNumber(day(2027, 1, 1))}, Y: report.Axis{Label: "Spawnings"},
	}
	row := func(name string, n, step int, behind bool) {
		s := report.Series{Name: name, Behind: behind}
		for i := range n {
			p := report.At("", first+float64((i*step+i*i)%365), nan)
			p.N = 1 + i%4/3
			s.Points = append(s.Points, p)
		}
		f.Series = append(f.Series, s)
	}
	row("Corydoras paleatus", 14, 17, false)
	row("Danio rerio", 20, 11, false)
	row("fall of 5 hPa or more", 30, 7, true)
	pressure := report.Series{Name: "mean of the day", Strip: report.Axis{Label: "Air pressure", Unit: "hPa"}}
	water := report.Series{Name: "loggers", Strip: report.Axis{Label: "Water temperature", Unit: "°C"}}
	written := report.Series{Name: "written down", Strip: water.Strip, Unjoined: true}
	for i := range 365 {
		p := report.At("", first+float64(i), math.Round(10130+120*math.Sin(float64(i)*0.7)+60*math.Sin(float64(i)*0.11))/10)
		p.YLo, p.YHi = p.Y-3, p.Y+3
		if i < 100 || i > 120 {
			pressure.Points = append(pressure.Points, p)
		}
		if i%3 == 0 && i > 200 {
			water.Points = append(water.Points, report.At("", first+float64(i), 24+float64(i%7)/10))
		}
		if i%29 == 4 {
			written.Points = append(written.Points, report.At("", first+float64(i), 22+float64(i%5)))
		}
	}
	f.Series = append(f.Series, pressure, water, written)
	return report.Section{ID: "calendar", Title: "Calendar", Lead: "34 spawnings by day, with the weather and the water.", Figures: []report.Figure{f}}
}

func triggers() report.Section {
	type found struct {
		name            string
		with, without   int
		diff, low, high float64
		or, p           float64
		verdict         string
	}
	const matters, leans, none, unknown = "linked, and enough to matter", "linked, size unclear", "little or no link", "the records can't tell yet"
	list := []found{
		{"Cool refill (4 °C cooler or more)", 48, 103, 27, 14, 39, 3.2, 0.0004, matters},
		{"Live food in the 7 days before", 81, 70, 19, 6, 31, 2.2, 0.006, leans},
		{"Water change of 30 % or more", 90, 61, 12, 1, 23, 1.6, 0.034, leans},
		{"Pressure drop (5 hPa or more in 24 h)", 39, 112, 8, -7, 24, 1.4, 0.29, unknown},
		{"Dry spell of 14 days", 11, 140, 16, -14, 46, 1.9, 0.31, unknown},
		{"Another pair spawning in the same system", 25, 126, 5, -12, 23, 1.2, 0.55, unknown},
		{"Leaf litter", 66, 85, -1, -8, 7, 0.96, 0.81, none},
		{"Moon, full against new", 75, 76, 0.4, -8, 9, 1.02, 0.93, none},
		{"Dim light", 20, 131, -9, -26, 8, 0.67, 0.28, unknown},
		{"Tank mates removed", 4, 147, 22, -inf, inf, 4.1, 0.24, unknown},
		{"Flow", 31, 120, -13, -24, -2, 0.55, 0.024, leans},
	}
	t := report.Table{ID: "corydoras-paleatus", Title: "Corydoras paleatus: every trigger looked at",
		Note: "Mutually adjusted. Difference: more or fewer attempts that spawned, in 100.",
		Columns: []report.Column{
			{Name: "Trigger", Key: true, Help: "What came before the attempt or the day."},
			{Name: "Verdict", Help: "What the interval says against the margin of 10 per 100."},
			{Name: "Difference", Unit: "per 100", Format: report.Per100, Help: "With the trigger less without it."},
			{Name: "Low", Unit: "per 100", Format: report.Per100, Help: "Lower end of the 95 % interval."},
			{Name: "High", Unit: "per 100", Format: report.Per100, Help: "Upper end of the 95 % interval."},
			{Name: "With", Unit: "attempts", Format: report.Whole, Help: "Attempts with the trigger."},
			{Name: "Without", Unit: "attempts", Format: report.Whole, Help: "Attempts without the trigger."},
			{Name: "Odds ratio", Format: report.Ratio, Help: "Odds of spawning with the trigger over the odds without it."},
			{Name: "p", Format: report.P, Help: "After allowing for 11 triggers looked at."},
		}}
	f := report.Figure{
		ID: "differences", Kind: report.Forest, Title: "Cool refills stand out; most other triggers need more records",
		Caption: "Dot: difference in 100 attempts. Line: 95 % interval. Between the dashed lines at −10 and +10 a difference is not worth acting on. Hollow: the records can't tell.",
		X:       report.Axis{Label: "more or fewer attempts that spawned", Unit: "per 100", Format: report.Per100},
		Y:       report.Axis{Label: "Trigger"},
		MarksX:  []report.Mark{{At: 0, Label: "no difference"}, {At: -10}, {At: 10, Label: "worth acting on"}},
		Series:  []report.Series{{Name: "difference per 100 attempts"}},
	}
	for _, r := range list {
		t.Rows = append(t.Rows, []report.Cell{
			report.T(r.name), report.T(r.verdict), report.N(report.Per100, r.diff), report.N(report.Per100, r.low), report.N(report.Per100, r.high),
			report.I(r.with), report.I(r.without), report.N(report.Ratio, r.or), report.N(report.P, r.p)})
		p := report.At(r.name, r.diff, 0)
		p.XLo, p.XHi, p.N, p.Note, p.Faint = r.low, r.high, r.with+r.without, r.verdict, r.verdict == unknown
		f.Series[0].Points = append(f.Series[0].Points, p)
		f.Alt += fmt.Sprintf("%s: %+.0f per 100, plausible %.0f to %.0f, %s. ", r.name, r.diff, r.low, r.high, r.verdict)
	}
	return report.Section{
		ID: "triggers", Title: "Triggers",
		Lead: "Cool refills went with about 27 more spawnings in 100 attempts of Corydoras paleatus (14 to 39). Live food and large water changes lean the same way. A pressure drop: the records can't tell yet.",
		Paragraphs: []string{
			"Looked at: 11 triggers in 151 attempts of 6 keepers. Chance alone turns up a link now and then when one looks at so many; the p column allows for that.",
			"To settle the question of the pressure drop, about 90 more attempts are needed (likely between 60 and 150), or records of 3 more keepers.",
		},
		Tables: []report.Table{t}, Figures: []report.Figure{f},
	}
}

func timing() report.Section {
	steps := report.Figure{
		ID: "incidence", Kind: report.Steps, Title: "Half the clutches hatch by day 4; one in five is lost to fungus",
		Caption: "Share of clutches of Corydoras paleatus that had hatched, or been lost, by each day after laying, at 22 to 24 °C. Bands: 95 %.",
		Alt:     "Hatched: 0 until day 2, 52 % by day 4, 71 % by day 7. Lost to fungus: 19 % by day 7. Eaten: 6 %.",
		X:       report.Axis{Label: "Days after laying", Unit: "days", Format: report.Decimal},
		Y:       report.Axis{Label: "Share of clutches", Format: report.Share, Min: 0, Max: 1},
		Below:   []report.CountRow{{Name: "Clutches still on the way", X: []float64{0, 1, 2, 3, 4, 5, 6, 7}, N: []int{42, 40, 38, 27, 15, 9, 5, 2}}},
	}
	add := func(name string, points ...[4]float64) {
		s := report.Series{Name: name}
		for _, p := range points {
			q := report.At("", p[0], p[1])
			q.YLo, q.YHi = p[2], p[3]
			s.Points = append(s.Points, q)
		}
		steps.Series = append(steps.Series, s)
	}
	add("hatched", [4]float64{0, 0, 0, 0}, [4]float64{2.5, 0.11, 0.05, 0.2}, [4]float64{3, 0.31, 0.22, 0.42}, [4]float64{4, 0.52, 0.41, 0.63},
		[4]float64{5, 0.64, 0.53, 0.74}, [4]float64{6, 0.70, 0.59, 0.79}, [4]float64{7, 0.71, 0.60, 0.80})
	add("lost to fungus", [4]float64{0, 0, 0, 0}, [4]float64{1, 0.04, 0.01, 0.1}, [4]float64{2, 0.11, 0.05, 0.19}, [4]float64{3, 0.16, 0.09, 0.25}, [4]float64{7, 0.19, 0.12, 0.29})
	add("eaten", [4]float64{0, 0, 0, 0}, [4]float64{1, 0.05, 0.02, 0.11}, [4]float64{4, 0.06, 0.02, 0.13}, [4]float64{7, 0.06, 0.02, 0.13})

	curve := report.Figure{
		ID: "temperature", Kind: report.Curve, Title: "Warmer water brings the hatch forward",
		Caption: "Median days from laying to hatching against temperature, with its 95 % band; outside 20 to 27 °C there are no records.",
		Alt:     "The median falls from 5.9 days at 20 °C to 2.6 days at 27 °C.",
		X:       report.Axis{Label: "Temperature", Unit: "°C"}, Y: report.Axis{Label: "Days to hatching", Unit: "days"},
		MarksY: []report.Mark{{At: 4, Label: "first food ready"}},
	}
	for i := range 24 {
		curve.Rug = append(curve.Rug, report.RugMark{X: 20 + float64(i*i%29)/4, Without: i % 3, With: i % 2})
	}
	s := report.Series{Name: "median"}
	for i := range 29 {
		x := 20 + float64(i)*0.25
		y := 5.9 * math.Exp(-0.117*(x-20))
		p := report.At("", x, y)
		w := 0.12 + 0.02*math.Abs(x-23.5)
		p.YLo, p.YHi = y*(1-w), y*(1+w)
		s.Points = append(s.Points, p)
	}
	curve.Series = []report.Series{s}
	return report.Section{
		ID: "timing", Title: "Timing",
		Lead: "Have the first food ready from day 4. At 25 °C, 9 in 10 clutches of Corydoras paleatus swim by day 7.",
		Tables: []report.Table{{
			ID: "next-clutch", Title: "When the next clutch will swim",
			Columns: []report.Column{
				{Name: "Temperature", Unit: "°C", Format: report.Decimal, Key: true}, {Name: "Half by day", Format: report.Decimal},
				{Name: "8 in 10 between", Unit: "days"}, {Name: "9 in 10 by day", Format: report.Decimal}, {Name: "Clutches", Format: report.Whole}},
			Rows: [][]report.Cell{
				{report.N(report.Decimal, 21), report.N(report.Decimal, 8.1), report.T("6.5 to 10.2"), report.N(report.Decimal, 10.2), report.I(14)},
				{report.N(report.Decimal, 23), report.N(report.Decimal, 6.4), report.T("5.1 to 8.2"), report.N(report.Decimal, 8.25), report.I(39)},
				{report.N(report.Decimal, 25), report.N(report.Decimal, 5.5), report.T("4.2 to 7.0"), report.N(report.Decimal, 7), report.I(21)},
			}}},
		Figures: []report.Figure{steps, curve},
	}
}

func eggs() report.Section {
	f := report.Figure{
		ID: "females", Kind: report.Dots, Title: "More females lay more, though not in proportion",
		Caption: "Eggs in each clutch against the females in the tank; ranges as logged. Hollow: estimated, not counted.",
		Alt:     "24 clutches: 20 to 90 eggs with one female, 40 to 180 with three, 60 to 240 with six.",
		X:       report.Axis{Label: "Females", Format: report.Whole}, Y: report.Axis{Label: "Eggs in the clutch", Format: report.Whole},
	}
	counted, estimated := report.Series{Name: "counted"}, report.Series{Name: "estimated"}
	for i := range 24 {
		females := float64(1 + i%6)
		eggs := math.Round(30 + 22*females + 35*math.Sin(float64(i)*1.7))
		p := report.At("", females, eggs)
		if i%4 == 3 {
			p.YLo, p.YHi, p.Faint = eggs-20, eggs+30, true
			estimated.Points = append(estimated.Points, p)
			continue
		}
		counted.Points = append(counted.Points, p)
	}
	f.Series = []report.Series{counted, estimated}
	return report.Section{
		ID: "eggs", Title: "Eggs",
		Lead: "A clutch of Corydoras paleatus holds about 61 eggs (52 to 72); 78 of 100 are fertile.",
		Tables: []report.Table{{
			ID: "shares", Title: "From egg to free swimming",
			Columns: []report.Column{{Name: "Step", Key: true}, {Name: "Share", Format: report.Share}, {Name: "Low", Format: report.Share}, {Name: "High", Format: report.Share}, {Name: "Clutches", Format: report.Whole}},
			Rows: [][]report.Cell{
				{report.T("fertile of eggs"), report.N(report.Share, 0.78), report.N(report.Share, 0.71), report.N(report.Share, 0.84), report.I(74)},
				{report.T("hatched of fertile"), report.N(report.Share, 0.85), report.N(report.Share, 0.78), report.N(report.Share, 0.905), report.I(69)},
				{report.T("free swimming of hatched"), report.N(report.Share, 0.995), report.N(report.Share, 0.93), report.N(report.Share, 1), report.I(51)},
			}}},
		Figures: []report.Figure{f},
	}
}

func keepers() report.Section {
	f := report.Figure{
		ID: "expected", Kind: report.Forest, Title: "No keeper's share is out of the ordinary",
		Caption: "Spawnings observed over expected, given species and triggers; line: exact 95 % limits.",
		Alt:     "All seven intervals hold 1.",
		X:       report.Axis{Label: "Observed over expected", Format: report.Ratio, Log: true},
		Y:       report.Axis{Label: "Keeper"}, MarksX: []report.Mark{{At: 1, Label: "as expected"}},
		Series: []report.Series{{Name: "observed over expected"}},
	}
	t := report.Table{ID: "keepers", Title: "Keepers", Note: "In the order of their names; below 20 attempts nothing is said.",
		Columns: []report.Column{{Name: "Keeper", Key: true}, {Name: "Attempts", Format: report.Whole}, {Name: "Observed", Format: report.Whole},
			{Name: "Expected", Format: report.Decimal}, {Name: "Observed over expected", Format: report.Ratio}, {Name: "Low", Format: report.Ratio}, {Name: "High", Format: report.Ratio}}}
	for i, k := range []struct {
		n, o int
		e    float64
	}{{96, 41, 37.2}, {84, 30, 34.9}, {71, 33, 29.1}, {63, 28, 25.7}, {52, 21, 22.4}, {27, 13, 11.3}, {19, 2, 5.8}} {
		name := "Keeper " + string(rune('A'+i))
		sir := float64(k.o) / k.e
		w := 1.96 / math.Sqrt(float64(k.o))
		lo, hi := sir*math.Exp(-w), sir*math.Exp(w)
		t.Rows = append(t.Rows, []report.Cell{report.T(name), report.I(k.n), report.I(k.o), report.N(report.Decimal, k.e), report.N(report.Ratio, sir), report.N(report.Ratio, lo), report.N(report.Ratio, hi)})
		p := report.At(name, sir, 0)
		p.XLo, p.XHi, p.N, p.Faint = lo, hi, k.n, k.n < 20
		f.Series[0].Points = append(f.Series[0].Points, p)
	}
	return report.Section{ID: "keepers", Title: "Keepers", Lead: "Differences between keepers are no larger than chance would make them.",
		Tables: []report.Table{t}, Figures: []report.Figure{f, funnel(f.Series[0].Points)}}
}

// funnel shows the points of a forest among limits.
func funnel(points []report.Point) report.Figure {
	f := report.Figure{
		ID: "funnel", Kind: report.Funnel, Title: "The more attempts, the nearer to what is expected",
		Caption: "Lines: limits outside which chance alone leaves 1 in 20, and 1 in 500.", Alt: "One of seven keepers lies near a limit.",
		X:      report.Axis{Label: "Attempts", Format: report.Whole},
		Y:      report.Axis{Label: "Observed over expected", Format: report.Decimal, Min: 0, Max: 2},
		MarksY: []report.Mark{{At: 1, Label: "as expected"}},
		Series: []report.Series{{Name: "keepers"}, {Name: "95 % limits"}, {Name: "99.8 % limits"}},
	}
	for _, p := range points {
		q := report.At(p.Label, float64(p.N), p.X)
		if p.N < 20 {
			q.Note = "fewer than expected"
		}
		f.Series[0].Points = append(f.Series[0].Points, q)
	}
	for n := 2.0; n <= 100; n *= 1.25 {
		for k, z := range []float64{1.96, 3.09} {
			p := report.At("", n, nan)
			p.YLo, p.YHi = 1-z*math.Sqrt(1.5/n), 1+z*math.Sqrt(1.5/n)
			if p.YLo < 0 {
				p.YLo = nan
			}
			f.Series[k+1].Points = append(f.Series[k+1].Points, p)
		}
	}
	return f
}

// attempts lists n attempts, each with a link to the cell it was read from.
func attempts(n int) report.Section {
	species := []string{"Corydoras paleatus", "Danio rerio", "Apistogramma cacatuoides", "Pterophyllum scalare"}
	notes := []string{"", "", "cool refill in the evening", "", "pair cleaned the slate two days before; eggs seen by torch light at 06:30, male fanning, a second small clutch behind the filter"}
	t := report.Table{ID: "attempts", Title: "Every attempt", Columns: []report.Column{
		{Name: "Attempt", Key: true, Help: "Name given when the log was read."}, {Name: "Keeper"}, {Name: "Tank"}, {Name: "Species"},
		{Name: "Began", Format: report.Day}, {Name: "Ended", Format: report.Day}, {Name: "Spawned", Format: report.Yes},
		{Name: "Temperature", Unit: "°C", Format: report.Decimal, Help: "Mean over the attempt."},
		{Name: "Pressure change", Unit: "hPa", Format: report.Decimal, Help: "Over the 24 h before; negative: a fall."},
		{Name: "Notes"}, {Name: "Source", Help: "The cell this row was read from; opens the log."}}}
	for i := range n {
		keeper := string(rune('a' + i%7))
		began := day(2026, 1, 4).AddDate(0, 0, i*4)
		spawned := float64(i * 7 % 5 % 2)
		ended := began.AddDate(0, 0, 3+i%12)
		temp := report.N(report.Decimal, 22+float64(i%13)*0.4)
		if i%9 == 4 {
			temp = report.N(report.Decimal, nan)
		}
		c := report.N(report.Decimal, -8+float64(i*5%31)*0.5)
		t.Rows = append(t.Rows, []report.Cell{
			report.T(fmt.Sprintf("A-%03d", i+1)), report.T("Keeper " + string(rune('A'+i%7))), report.T(fmt.Sprintf("tank %d", 1+i%5)), report.T(species[i%4]),
			report.D(began), report.D(ended), report.N(report.Yes, spawned), temp, c, report.T(notes[i%5]),
			cell(report.T(fmt.Sprintf("log-%s.xlsx › 2026 › B%d", keeper, i+2)), fmt.Sprintf("logs/keeper %s/log-%s.xlsx#2026!B%d", keeper, keeper, i+2))})
	}
	return report.Section{ID: "attempts", Title: "Attempts", Lead: fmt.Sprintf("%d attempts, each with the cell it was read from.", n), Tables: []report.Table{t}}
}

func setAside() report.Section {
	return report.Section{ID: "set-aside", Title: "Set aside",
		Lead: "23 rows were not read as they stand. Mend them in the log, or paste the fix into the mapping, and read the log again.",
		Tables: []report.Table{{ID: "rows", Title: "What was not read, and why",
			Columns: []report.Column{{Name: "Severity"}, {Name: "Where", Key: true}, {Name: "As written"}, {Name: "Why"}, {Name: "Fix"}, {Name: "Rows", Format: report.Whole}},
			Rows: [][]report.Cell{
				{report.T("error"), report.T("log-c.csv › row 14, column Date"), report.T("3/4"), report.T("day and month can't be told apart, and the year is missing"), report.T(`date = "D/M, 2026"`), report.I(17)},
				{report.T("error"), report.T("log-e.xlsx › Tank 2 › F9"), report.T("=SUM(F2:F8)"), report.T("a total, not an attempt"), report.T("none needed"), report.I(1)},
				{report.T("warning"), report.T("log-f.csv › row 3, column Pressure"), report.T("1,013"), report.T("1.013 or 1013? The other rows are near 1013 hPa"), report.T(`pressure = "hPa, comma groups"`), report.I(5)},
			}}}}
}

func methods() report.Section {
	return report.Section{ID: "methods", Title: "Methods", Technical: true,
		Paragraphs: []string{"Firth-penalised logistic regression with keeper intercepts, season harmonics and temperature; the interval is the wider of penalised profile and cluster jackknife, at each end.", "Incidence by Aalen and Johansen, intervals on the complementary log-log scale."},
		Tables: []report.Table{{ID: "numbers", Title: "Every number with its method",
			Columns: []report.Column{{Name: "Quantity", Key: true}, {Name: "Value", Format: report.Decimal}, {Name: "Low", Format: report.Decimal}, {Name: "High", Format: report.Decimal}, {Name: "Method"}},
			Rows: [][]report.Cell{
				{report.T("odds ratio, cool refill"), report.N(report.Decimal, 3.21), report.N(report.Decimal, 1.79), report.N(report.Decimal, 5.84), report.T("penalised profile")},
				{report.T("odds ratio, tank mates removed"), report.N(report.Decimal, 4.1), report.N(report.Decimal, -inf), report.N(report.Decimal, inf), report.T("cluster jackknife, 2 clusters")},
				{report.T("between keepers, variance"), report.N(report.Decimal, 0.034), report.N(report.Decimal, 0.00004), report.N(report.Decimal, 12345.6), report.T("REML")},
			}}}}
}
