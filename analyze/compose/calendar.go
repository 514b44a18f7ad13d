package compose

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"gravid/analyze/answer"
	"gravid/analyze/report"
)

// mostRows bounds the species that a calendar gives a row of their own.
const mostRows = 40

// calendarSection sets the spawns of each year against air pressure and water
// temperature. It asks nothing of the numbers: that is for the triggers.
func calendarSection(s answer.Season, o SeasonOptions) report.Section {
	sec := report.Section{ID: "calendar", Title: "Calendar", Lead: calendarLead(s)}
	sec.Paragraphs = append(sec.Paragraphs, "A calendar lets you look and tells nothing by itself: eyes find patterns in chance as well. Whether days after a fall in air pressure differ is answered under Triggers, from all records and with keeper, tank and season held alike.")
	sec.Paragraphs = append(sec.Paragraphs, calendarNotes(s)...)
	t := report.Table{ID: "spawns", Title: "Every spawning by its day", Columns: []report.Column{
		{Name: "Day", Format: report.Day, Key: true, Help: "by the club's calendar; the day on which the eggs were found, where only that is known"},
		{Name: "Species", Key: true}, {Name: "Keeper"}, {Name: "Tank"}, {Name: "Eggs", Format: report.Whole},
		{Name: "Change of pressure", Unit: "hPa", Format: report.Decimal, Help: "over the 24 hours that close at the midnight that opens the day; below 0 is a fall"},
		{Name: "Temperature", Unit: "°C", Format: report.Decimal, Help: "of the water, as written down for the attempt or clutch"},
		{Name: "Source", Help: "file, sheet and row of the log; leads there"}}}
	for _, c := range s.Calendars {
		for _, x := range c.Spawns {
			t.Rows = append(t.Rows, []report.Cell{dateCell(x.Day), report.T(x.Species), report.T(x.Keeper), report.T(x.Tank), whole(x.Eggs),
				report.N(report.Decimal, float64(x.Change)), report.N(report.Decimal, float64(x.TemperatureC)), sourceCell(x.Source, o)})
		}
		if f, ok := calendarFigure(c); ok {
			sec.Figures = append(sec.Figures, f)
		}
	}
	sec.Tables = []report.Table{t}
	return sec
}

func calendarLead(s answer.Season) string {
	n, known, after := 0, 0, 0
	for _, c := range s.Calendars {
		n, known, after = n+len(c.Spawns), known+c.Known, after+c.AfterFall
	}
	if n == 0 {
		return "No spawning of " + s.Years.Words() + " has a date on record."
	}
	text := plural(n, "spawning", "spawnings") + " of " + s.Years.Words() + " by day" + beside(", with ", s.Calendars...) + "."
	if known > 0 {
		text += fmt.Sprintf(" %d of the %d whose air pressure is known came on days after a fall.", after, known)
	}
	return text
}

// beside names what calendars have to set beside the spawnings, after some words; "" where
// there is nothing.
func beside(words string, all ...answer.Calendar) string {
	air, water := false, false
	for _, c := range all {
		air = air || len(c.Pressure) > 0
		water = water || len(c.Temperature) > 0 || len(spawnTemperatures(c).Points) > 0
	}
	switch {
	case air && water:
		return words + "air pressure and water temperature"
	case air:
		return words + "air pressure"
	case water:
		return words + "water temperature"
	}
	return ""
}

func calendarNotes(s answer.Season) (notes []string) {
	barometers, loggers, undated, days, falls := 0, 0, 0, 0, 0
	for _, c := range s.Calendars {
		barometers, loggers = max(barometers, c.Barometers), max(loggers, c.Loggers)
		undated, falls = undated+c.Undated, falls+len(c.FallDays)
		for _, d := range c.Pressure {
			if !math.IsNaN(float64(d.Change)) {
				days++
			}
		}
	}
	if days > 0 {
		notes = append(notes, fmt.Sprintf("Of all %d days with known air pressure, %d came after a fall: the share to set those of the spawnings against.", days, falls))
	}
	if barometers > 1 {
		notes = append(notes, fmt.Sprintf("The air pressure is that of the longest of %d records; the others may stand at other heights.", barometers))
	}
	if barometers == 0 {
		notes = append(notes, "No air pressure is on record: the log of a barometer, or the readings of a weather station nearby, would show it here.")
	}
	if loggers > 0 {
		notes = append(notes, fmt.Sprintf("The line of the water temperature is from %s alone; the diamonds are what keepers wrote down, each for its own tank.", plural(loggers, "tank with a logger", "tanks with loggers")))
	}
	if undated > 0 {
		notes = append(notes, fmt.Sprintf("Not shown: %s without a date.", plural(undated, "spawning", "spawnings")))
	}
	return notes
}

// calendarFigure draws one year; false where there is nothing to draw.
func calendarFigure(c answer.Calendar) (report.Figure, bool) {
	f := report.Figure{ID: "calendar-" + strconv.Itoa(c.Year), Kind: report.Calendar,
		Title:   fmt.Sprintf("Spawnings of %d%s", c.Year, beside(" against ", c)),
		Caption: "Each mark is a day with a spawning of the species; a taller one, on the page, is a day with several.",
		X:       report.Axis{Label: strconv.Itoa(c.Year), Format: report.Day, Min: report.DayNumber(time.Date(c.Year, 1, 1, 0, 0, 0, 0, time.UTC)), Max: report.DayNumber(time.Date(c.Year+1, 1, 1, 0, 0, 0, 0, time.UTC))},
		Y:       report.Axis{Label: "Spawnings"},
	}
	rows, words := spawnRows(c)
	f.Series = rows
	if len(c.FallDays) > 0 {
		falls := report.Series{Name: fmt.Sprintf("fall of %s hPa or more", number(float64(c.FallHPa))), Behind: true}
		for _, d := range c.FallDays {
			falls.Points = append(falls.Points, dayPoint(d, math.NaN()))
		}
		f.Series = append(f.Series, falls)
		f.Caption += fmt.Sprintf(" The last row, on the page shaded as well, has the days that open after the air pressure fell by %s hPa or more within %s hours.", number(float64(c.FallHPa)), number(float64(c.FallHours)))
	}
	if len(c.Pressure)+len(c.Temperature) > 0 {
		f.Caption += " Lines are the mean of each day, between its lowest and highest reading."
	}
	if len(c.Pressure) > 0 {
		f.Series = append(f.Series, dayLine("mean of the day", report.Axis{Label: "Air pressure", Unit: "hPa"}, c.Pressure))
	}
	water := report.Axis{Label: "Water temperature", Unit: "°C"}
	if len(c.Temperature) > 0 {
		f.Series = append(f.Series, dayLine("loggers", water, c.Temperature))
	}
	if s := spawnTemperatures(c); len(s.Points) > 0 {
		s.Strip = water
		f.Series = append(f.Series, s)
	}
	f.Alt = calendarAlt(c, words)
	return f, len(f.Series) > 0
}

// spawnRows are the marks of each species, in order of name, and what they say in words.
func spawnRows(c answer.Calendar) (rows []report.Series, words []string) {
	var names []string
	days := map[string][]report.Point{}
	count := map[string]int{}
	for _, x := range c.Spawns {
		if _, known := count[x.Species]; !known {
			names = append(names, x.Species)
		}
		count[x.Species]++
		at := days[x.Species]
		if k := len(at) - 1; k >= 0 && at[k].Label == x.Day {
			at[k].N++
			continue
		}
		p := dayPoint(x.Day, math.NaN())
		p.N = 1
		days[x.Species] = append(at, p)
	}
	slices.Sort(names)
	for i, n := range names {
		if i == mostRows-1 && len(names) > mostRows {
			rest := report.Series{Name: fmt.Sprintf("%d other species", len(names)-i)}
			for _, m := range names[i:] {
				rest.Points = append(rest.Points, days[m]...)
			}
			rows = append(rows, rest)
			break
		}
		rows = append(rows, report.Series{Name: n, Points: days[n]})
		words = append(words, fmt.Sprintf("%s %d", n, count[n]))
	}
	return rows, words
}

// spawnTemperatures are the temperatures written down for spawnings, the days' middle
// where there were several.
func spawnTemperatures(c answer.Calendar) report.Series {
	s := report.Series{Name: "written down for the spawnings", Unjoined: true}
	for _, x := range c.Spawns {
		t := float64(x.TemperatureC)
		if math.IsNaN(t) {
			continue
		}
		k := len(s.Points) - 1
		if k < 0 || s.Points[k].Label != x.Day {
			p := dayPoint(x.Day, t)
			p.YLo, p.YHi, p.N = t, t, 1
			s.Points = append(s.Points, p)
			continue
		}
		p := &s.Points[k]
		p.YLo, p.YHi = min(p.YLo, t), max(p.YHi, t)
		p.Y = (p.Y*float64(p.N) + t) / float64(p.N+1)
		p.N++
	}
	return s
}

func dayLine(name string, strip report.Axis, days []answer.CalendarDay) report.Series {
	s := report.Series{Name: name, Strip: strip}
	for _, d := range days {
		p := dayPoint(d.Day, float64(d.Mean))
		p.YLo, p.YHi = float64(d.Low), float64(d.High)
		s.Points = append(s.Points, p)
	}
	return s
}

// dayPoint is a point at a day, which it has as its label.
func dayPoint(day string, y float64) report.Point {
	return report.At(day, report.DayNumber(parseDay(day)), y)
}

// parseDay reads a day of an answer.
func parseDay(day string) time.Time {
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		panic("analyze/compose: " + err.Error()) // answers write days by the same form
	}
	return t
}

func dateCell(day string) report.Cell { return report.D(parseDay(day)) }

func calendarAlt(c answer.Calendar, words []string) string {
	if len(words) == 0 {
		return fmt.Sprintf("No spawning of %d has a date.", c.Year)
	}
	text := "Spawnings by species: " + strings.Join(words, ", ") + "."
	busiest, most := busiestMonth(c)
	text += fmt.Sprintf(" Most, %d, came in %s.", most, busiest)
	if c.Known > 0 {
		text += fmt.Sprintf(" %d of %d came on days after a fall in air pressure; there were %d such days.", c.AfterFall, c.Known, len(c.FallDays))
	}
	return text
}

// busiestMonth is the month with most spawnings, the first of several.
func busiestMonth(c answer.Calendar) (name string, most int) {
	var months [13]int
	best := time.January
	for _, x := range c.Spawns {
		m := parseDay(x.Day).Month()
		months[m]++
	}
	for m := time.January; m <= time.December; m++ {
		if months[m] > months[best] {
			best = m
		}
	}
	return best.String(), months[best]
}
