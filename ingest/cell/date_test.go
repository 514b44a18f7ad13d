package cell

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// now is when the logs of these tests are read.
var now = time.Date(2024, 12, 1, 12, 0, 0, 0, time.UTC)

func wall(y, m, d int, clock ...int) time.Time {
	clock = append(clock, 0, 0, 0)
	return time.Date(y, time.Month(m), d, clock[0], clock[1], clock[2], 0, time.UTC)
}

func days(y, m, d, n int) Date {
	return Date{From: wall(y, m, d), To: wall(y, m, d+n), Precision: Day}
}

func minuteAt(t time.Time) Date {
	return Date{From: t, To: t.Add(time.Minute), Precision: Minute}
}

func secondAt(t time.Time) Date {
	return Date{From: t, To: t.Add(time.Second), Precision: Second}
}

func TestParseDate(t *testing.T) {
	in2024 := DateOptions{Window: WindowUntil(now), Year: 2024}
	zoned := func(d Date) Date { d.Zoned = true; return d }
	for _, c := range []struct {
		text  string
		order Order
		want  Date
	}{
		// ISO and years of four digits first: always sure (B5.1)
		{"2024-03-04", OrderUnknown, days(2024, 3, 4, 1)}, {"2024/03/04", DMY, days(2024, 3, 4, 1)}, {"2024.3.4", MDY, days(2024, 3, 4, 1)}, {"20240304", OrderUnknown, days(2024, 3, 4, 1)},
		{"2024-03-04T07:30", OrderUnknown, minuteAt(wall(2024, 3, 4, 7, 30))}, {"2024-03-04 07:30:15", OrderUnknown, secondAt(wall(2024, 3, 4, 7, 30, 15))}, {"2024-03-04 07:30:15.250", OrderUnknown, secondAt(wall(2024, 3, 4, 7, 30, 15))},
		{"2024-03-04T07:30Z", OrderUnknown, zoned(minuteAt(wall(2024, 3, 4, 7, 30)))}, {"2024-03-04T07:30:00+01:00", OrderUnknown, zoned(secondAt(wall(2024, 3, 4, 6, 30)))}, {"2024-03-04T07:30:00-0330", OrderUnknown, zoned(secondAt(wall(2024, 3, 4, 11, 0)))},
		{"2024-03-04 24:00", OrderUnknown, minuteAt(wall(2024, 3, 5))}, // D29
		{"2024-3-4 7:30", OrderUnknown, minuteAt(wall(2024, 3, 4, 7, 30))}, {"2024-Mar-04", OrderUnknown, days(2024, 3, 4, 1)},
		// month names in four languages
		{"4 March 2024", OrderUnknown, days(2024, 3, 4, 1)}, {"4-Mar-24", OrderUnknown, days(2024, 3, 4, 1)}, {"March 4, 2024", OrderUnknown, days(2024, 3, 4, 1)}, {"Mar 4th, 2024", OrderUnknown, days(2024, 3, 4, 1)}, {"4th of March 2024", OrderUnknown, days(2024, 3, 4, 1)},
		{"4. März 2024", OrderUnknown, days(2024, 3, 4, 1)}, {"4.Mrz.24", OrderUnknown, days(2024, 3, 4, 1)}, {"4. Jänner 2024", OrderUnknown, days(2024, 1, 4, 1)}, {"4 avr. 2024", OrderUnknown, days(2024, 4, 4, 1)}, {"1er août 2024", OrderUnknown, days(2024, 8, 1, 1)},
		{"4 de abril de 2024", OrderUnknown, days(2024, 4, 4, 1)}, {"4 ene 2024", OrderUnknown, days(2024, 1, 4, 1)}, {"Mon 4 Mar 2024", OrderUnknown, days(2024, 3, 4, 1)}, {"lundi 4 mars 2024", OrderUnknown, days(2024, 3, 4, 1)}, {"Mo, 4.3.2024", DMY, days(2024, 3, 4, 1)},
		{"le 4 mars 2024", OrderUnknown, days(2024, 3, 4, 1)},
		// three numbers in the order of the column
		{"03/04/2024", DMY, days(2024, 4, 3, 1)}, {"03/04/2024", MDY, days(2024, 3, 4, 1)}, {"3.4.24", DMY, days(2024, 4, 3, 1)}, {"3. 4. 2024", DMY, days(2024, 4, 3, 1)}, {"24-03-04", YMD, days(2024, 3, 4, 1)}, {"3-4-98", DMY, days(1998, 4, 3, 1)},
		{"04/04/2024", OrderUnknown, days(2024, 4, 4, 1)}, {"25/03/2024", OrderUnknown, days(2024, 3, 25, 1)}, // one reading only
		{"mar 5/3/2024", DMY, days(2024, 3, 5, 1)}, // martes, not March
		// without a year, in a log that names it (B5.4)
		{"4-Mar", OrderUnknown, days(2024, 3, 4, 1)}, {"3. April", OrderUnknown, days(2024, 4, 3, 1)}, {"3/4", DMY, days(2024, 4, 3, 1)}, {"3.4.", DMY, days(2024, 4, 3, 1)}, {"Mar 4", OrderUnknown, days(2024, 3, 4, 1)}, {"29/2", DMY, days(2024, 2, 29, 1)},
		// partial dates stay partial
		{"March 2024", OrderUnknown, Date{From: wall(2024, 3, 1), To: wall(2024, 4, 1), Precision: Month}}, {"03/2024", OrderUnknown, Date{From: wall(2024, 3, 1), To: wall(2024, 4, 1), Precision: Month}}, {"2024-03", OrderUnknown, Date{From: wall(2024, 3, 1), To: wall(2024, 4, 1), Precision: Month}},
		{"Mar '24", OrderUnknown, Date{From: wall(2024, 3, 1), To: wall(2024, 4, 1), Precision: Month}}, {"2023", OrderUnknown, Date{From: wall(2023, 1, 1), To: wall(2024, 1, 1), Precision: Year}},
		{"KW14 2024", OrderUnknown, Date{From: wall(2024, 4, 1), To: wall(2024, 4, 8), Precision: Week}}, {"2024-W14", OrderUnknown, Date{From: wall(2024, 4, 1), To: wall(2024, 4, 8), Precision: Week}}, // ISO 8601: week 1 has the 4th of January
		{"2024-03-04/2024-03-06", OrderUnknown, Date{From: wall(2024, 3, 4), To: wall(2024, 3, 7), Precision: Between}}, {"4.3.24 - 6.3.24", DMY, Date{From: wall(2024, 3, 4), To: wall(2024, 3, 7), Precision: Between}},
		// with a clock time (B5.5)
		{"3.4.24 7.30pm", DMY, minuteAt(wall(2024, 4, 3, 19, 30))}, {"03/04/2024 19h05", DMY, minuteAt(wall(2024, 4, 3, 19, 5))}, {"03.04.2024, 07:30 Uhr", DMY, minuteAt(wall(2024, 4, 3, 7, 30))}, {"3/4/2024 0730", DMY, minuteAt(wall(2024, 4, 3, 7, 30))},
		{"3.4. 19:30", DMY, minuteAt(wall(2024, 4, 3, 19, 30))}, {"3.4. 19.30", DMY, minuteAt(wall(2024, 4, 3, 19, 30))}, {"4 Mar 19.30", OrderUnknown, minuteAt(wall(2024, 3, 4, 19, 30))}, {"4 Mar 24 7:30", OrderUnknown, minuteAt(wall(2024, 3, 4, 7, 30))},
		{"07:30 03/04/2024", DMY, minuteAt(wall(2024, 4, 3, 7, 30))}, {"3 Mar 2024 at 7 pm", OrderUnknown, minuteAt(wall(2024, 3, 3, 19, 0))},
		{"3.4.2024 evening", DMY, Date{From: wall(2024, 4, 3, 18), To: wall(2024, 4, 4), Precision: PartOfDay, Word: "evening"}}, {"3.4.2024 (abends)", DMY, Date{From: wall(2024, 4, 3, 18), To: wall(2024, 4, 4), Precision: PartOfDay, Word: "abends"}},
	} {
		d, fault := ParseDate(c.text, c.order, in2024)
		require.Nil(t, fault, "%q %s: %v", c.text, c.order, fault)
		require.Equal(t, c.want, d, "%q %s", c.text, c.order)
	}
}

func TestParseDateRefuses(t *testing.T) {
	o := DateOptions{Window: WindowUntil(now)}
	for _, c := range []struct {
		text  string
		order Order
		code  problem.Code
	}{
		{"03/04/2024", OrderUnknown, problem.DateAmbiguous}, {"25/03/24", OrderUnknown, problem.DateAmbiguous}, // 25 March 2024 or 24 March 2025? no: the future
		// D28
		{"31/04/2024", DMY, problem.DateUnreadable}, {"29/02/2023", DMY, problem.DateUnreadable}, {"2023-02-29", OrderUnknown, problem.DateUnreadable}, {"2024-13-01", OrderUnknown, problem.DateUnreadable}, {"13/02/2024", MDY, problem.DateUnreadable},
		{"03/04/2042", DMY, problem.DateOutOfRange}, {"2024-12-03", OrderUnknown, problem.DateOutOfRange}, {"1979-12-31", OrderUnknown, problem.DateOutOfRange}, {"3.4.70", DMY, problem.DateOutOfRange}, {"3.4.45", DMY, problem.DateOutOfRange},
		{"4-Mar", OrderUnknown, problem.DatePartial}, {"3/4", DMY, problem.DatePartial}, {"March", OrderUnknown, problem.DatePartial}, {"KW14", OrderUnknown, problem.DatePartial},
		{"Mar 24", OrderUnknown, problem.DateAmbiguous}, {"Mar 04", OrderUnknown, problem.DateAmbiguous}, // a day or a year
		{"Tue 4 Mar 2024", OrderUnknown, problem.DateUnreadable},
		{"3.4.24 25:00", DMY, problem.TimeUnreadable}, {"2024-03-04 7:61", OrderUnknown, problem.TimeUnreadable}, {"2024-03-04T07:30:99", OrderUnknown, problem.TimeUnreadable}, {"2024-03-04 24:01", OrderUnknown, problem.TimeUnreadable},
		{"day 3", OrderUnknown, problem.DateUnreadable}, {"Ostern", OrderUnknown, problem.DateUnreadable}, {"last week", OrderUnknown, problem.DateUnreadable}, {"3.4.2", DMY, problem.DateUnreadable}, {"3/4.2024", DMY, problem.DateUnreadable}, {"45355", DMY, problem.DateUnreadable},
		{"04032024", DMY, problem.DateUnreadable}, {"3.4.24?", DMY, problem.DateUnreadable}, {"", DMY, problem.DateUnreadable}, {"2024-03-06/2024-03-04", OrderUnknown, problem.DateOrder}, {"2024-W53", OrderUnknown, problem.DateUnreadable},
		{"2024-03-04T07:30+99:00", OrderUnknown, problem.TimeUnreadable}, {"٣/٤/٢٠٢٤", DMY, problem.DateUnreadable},
	} {
		d, fault := ParseDate(c.text, c.order, o)
		if c.text == "25/03/24" { // one reading lies in the future, so one remains
			require.Nil(t, fault)
			require.Equal(t, days(2024, 3, 25, 1), d)
			continue
		}
		require.NotNil(t, fault, "%q %s was read as %v", c.text, c.order, d)
		require.Equal(t, c.code, fault.Code, "%q %s: %s", c.text, c.order, fault.Message)
		require.Equal(t, Date{}, d)
	}
	_, fault := ParseDate("3.4.24", DMY, DateOptions{})
	require.NotNil(t, fault, "a year of two digits needs a window")
	_, fault = ParseDate("29.2.", DMY, DateOptions{Year: 2023})
	require.NotNil(t, fault)
	require.Contains(t, fault.Message, "no leap year")
}

func TestDateOf(t *testing.T) {
	o := DateOptions{Window: WindowUntil(now)}
	d, fault := DateOf(source.Cell{Kind: source.Date, Time: wall(2024, 3, 4)}, OrderUnknown, o)
	require.Nil(t, fault)
	require.Equal(t, days(2024, 3, 4, 1), d.V)
	d, fault = DateOf(source.Cell{Kind: source.Instant, Time: wall(2024, 3, 4, 7, 30, 5)}, OrderUnknown, o)
	require.Nil(t, fault)
	require.Equal(t, secondAt(wall(2024, 3, 4, 7, 30, 5)), d.V)
	d, fault = DateOf(text("n/a"), OrderUnknown, o)
	require.Nil(t, fault)
	require.False(t, d.OK)

	serial := source.Cell{Kind: source.Number, Number: 45355.3125} // D27
	_, fault = DateOf(serial, OrderUnknown, o)
	require.NotNil(t, fault)
	o.Serials = true
	d, fault = DateOf(serial, OrderUnknown, o)
	require.Nil(t, fault)
	require.Equal(t, secondAt(wall(2024, 3, 4, 7, 30)), d.V) // serial 45355 is 2024-03-04 in Excel and LibreOffice
	_, fault = DateOf(source.Cell{Kind: source.Number, Number: 12}, OrderUnknown, o)
	require.NotNil(t, fault)

	o.Swapped = true // D24
	d, fault = DateOf(source.Cell{Kind: source.Date, Time: wall(2024, 3, 4)}, DMY, o)
	require.Nil(t, fault)
	require.Equal(t, days(2024, 4, 3, 1), d.V)
	_, fault = DateOf(source.Cell{Kind: source.Date, Time: wall(2024, 3, 14)}, DMY, o)
	require.NotNil(t, fault)

	for _, c := range []source.Cell{{Kind: source.Date, Time: wall(1904, 1, 1)}, {Kind: source.Bool}, {Kind: source.Fault, Text: "#N/A"}, {Kind: source.Clock, Number: 0.5}} {
		_, fault := DateOf(c, DMY, DateOptions{Window: WindowUntil(now)})
		require.NotNil(t, fault)
	}
}

func TestSolveDates(t *testing.T) {
	// run gives n dates every step days from 1 January 2024 in a layout.
	run := func(layout string, n, step int) []string {
		var list []string
		for i := range n {
			list = append(list, wall(2024, 1, 1+i*step).Format(layout))
		}
		return list
	}
	onlyLow := func(layout string) []string { // one a month for two years, on the 12th or the 1st
		var list []string
		for i := range 24 {
			list = append(list, wall(2022, 1+i, 12-i%2*11).Format(layout))
		}
		return list
	}
	for _, c := range []struct {
		name   string
		texts  []string
		order  Order
		status OrderStatus
	}{
		{"D21: all days up to 12", []string{"03/04/2024", "05/06/2024", "01/02/2024"}, OrderUnknown, OrderAmbiguous},
		{"D22: 13/02 and 02/14", []string{"13/02/2024", "02/14/2024"}, OrderUnknown, OrderConflict},
		{"D23: one date decides", []string{"03/04/2024", "13/04/2024", "05/06/2024"}, DMY, OrderSure},
		{"month first", []string{"03/04/2024", "04/13/2024"}, MDY, OrderSure},
		{"full stops", []string{"3.4.24", "25.4.24"}, DMY, OrderSure},
		{"ISO needs none", []string{"2024-03-04", "4 Mar 2024", "n/a", "hello"}, OrderUnknown, OrderNotNeeded},
		{"a date on no calendar does not vote", []string{"31/04/2024", "13/02/2024"}, DMY, OrderSure},
		{"the future rules an order out", []string{"03/12/2024", "04/12/2024"}, MDY, OrderImplied}, // read on 1 December: the 4th is more than a day ahead
		{"a future year under every order does not vote", []string{"03/04/2042", "05/06/2024"}, OrderUnknown, OrderAmbiguous},
		{"day of the week", []string{"Mon 03/04/2024"}, MDY, OrderSure}, // 4 March 2024 was a Monday, 3 April a Wednesday
		{"sequence", onlyLow("02/01/2006"), DMY, OrderImplied},
		{"sequence, month first", onlyLow("01/02/2006"), MDY, OrderImplied},
		{"without a year", []string{"3/4", "25/4"}, DMY, OrderSure},
		{"year of two digits first", []string{"24-03-04", "24-03-31", "24-04-15"}, YMD, OrderImplied},
		{"year first between strokes is not taken for a day", []string{"22/03/04", "22/03/11", "22/03/18", "22/03/22"}, OrderUnknown, OrderAmbiguous},
		{"day first between strokes stays day first", []string{"22/03/24", "25/03/24", "28/03/24", "02/04/24"}, DMY, OrderSure},
		{"hyphens, one date", []string{"04-03-24"}, OrderUnknown, OrderAmbiguous},
		{"whole year", run("02.01.06", 60, 5), DMY, OrderSure},
		{"spans", []string{"03/04/2024 - 25/04/2024"}, DMY, OrderSure},
	} {
		got := SolveDates(c.texts, WindowUntil(now))
		require.Equal(t, c.status, got.Status, "%s: %+v", c.name, got)
		require.Equal(t, c.order, got.Order, "%s: %+v", c.name, got)
	}

	conflict := SolveDates([]string{"", "13/02/2024", "03/04/2024", "02/14/2024"}, WindowUntil(now))
	require.Equal(t, []Force{{1, "13/02/2024", DMY}, {3, "02/14/2024", MDY}}, conflict.Forces)
	require.Equal(t, 3, conflict.Dates)

	// B5.3: one slip of the pen among many dates that run forwards month first.
	slip := onlyLow("01/02/2006")
	require.Greater(t, len(slip), 20)
	slip[7] = "23/08/2022"
	doubt := SolveDates(slip, WindowUntil(now))
	require.Equal(t, OrderAmbiguous, doubt.Status)
	require.NotEmpty(t, doubt.Why)

	for _, o := range orders {
		again, ok := ParseOrder(o.String())
		require.True(t, ok)
		require.Equal(t, o, again)
	}
}

// Every column of honest dates is solved in its own order or refused, never in
// another one.
func TestSolveDatesIsNeverWrong(t *testing.T) {
	layouts := map[string]Order{"02/01/2006": DMY, "01/02/2006": MDY, "02.01.06": DMY, "1/2/06": MDY, "02-01-2006": DMY, "06-01-02": YMD, "06/01/02": YMD}
	sure := 0
	for layout, order := range layouts {
		for start := range 120 {
			for _, n := range []int{1, 3, 8, 25} {
				var texts []string
				for i := range n {
					texts = append(texts, wall(2021, 1, 1+start*7+i*(start%13+1)).Format(layout))
				}
				got := SolveDates(texts, WindowUntil(now))
				if got.Order == OrderUnknown {
					continue
				}
				if layout == "06/01/02" && n == 1 {
					continue // 22/03/24 alone says nothing; see yearMayLead
				}
				require.Equal(t, order, got.Order, "%s %v %+v", layout, texts, got)
				sure++
			}
		}
	}
	require.Greater(t, sure, 1000)
}

func TestSwappedDates(t *testing.T) { // D24
	stored := func(y, m, d int) source.Cell { return source.Cell{Kind: source.Date, Time: wall(y, m, d)} }
	cells := []source.Cell{stored(2024, 1, 2), stored(2024, 3, 4), stored(2024, 5, 6), text("13/02/2024"), text("25/03/2024"), text("30/03/2024")}
	require.True(t, SwappedDates(cells))
	require.False(t, SwappedDates(append(cells, stored(2024, 1, 13))))
	require.False(t, SwappedDates(append(cells, text("03/04/2024"))))
	require.False(t, SwappedDates(cells[:5]))
}

func TestParseClock(t *testing.T) {
	at := func(h, m, s int) time.Duration {
		return time.Duration(h)*time.Hour + time.Duration(m)*time.Minute + time.Duration(s)*time.Second
	}
	for text, want := range map[string]time.Duration{
		"7:30": at(7, 30, 0), "07:30": at(7, 30, 0), "7.30pm": at(19, 30, 0), "7:30 a.m.": at(7, 30, 0), "7 pm": at(19, 0, 0), "12am": 0, "12 pm": at(12, 0, 0), "12:30am": at(0, 30, 0),
		"19h05": at(19, 5, 0), "19 h 05": at(19, 5, 0), "19h": at(19, 0, 0), "7 Uhr": at(7, 0, 0), "7 Uhr 30": at(7, 30, 0), "7.30 Uhr": at(7, 30, 0), "0730": at(7, 30, 0), "24:00": at(24, 0, 0), "07:30:15": at(7, 30, 15), "2400": at(24, 0, 0),
	} {
		c, fault := ParseClock(text)
		require.Nil(t, fault, text)
		require.Equal(t, want, c.From, text)
		require.Equal(t, want+c.Precision.step(), c.To, text)
	}
	for text, hours := range map[string][2]int{"evening": {18, 24}, "morgens": {6, 12}, "soir": {18, 24}, "mañana": {6, 12}, "Nachmittag": {12, 18}, "night": {18, 30}} {
		c, fault := ParseClock(text)
		require.Nil(t, fault, text)
		require.Equal(t, PartOfDay, c.Precision)
		require.Equal(t, text, c.Word)
		require.Equal(t, [2]time.Duration{at(hours[0], 0, 0), at(hours[1], 0, 0)}, [2]time.Duration{c.From, c.To})
	}
	for _, text := range []string{"7", "7.3", "25:00", "24:01", "7:60", "13pm", "0pm", "lights on", "midnight", "730", "7:5", "", "later", "7:30:61", "7:30:15.x"} {
		_, fault := ParseClock(text)
		require.NotNil(t, fault, text)
		require.Equal(t, problem.TimeUnreadable, fault.Code, text)
	}
	c, fault := ClockOf(source.Cell{Kind: source.Clock, Number: 0.3125})
	require.Nil(t, fault)
	require.Equal(t, at(7, 30, 0), c.V.From)
	_, fault = ClockOf(source.Cell{Kind: source.Number, Number: 7.3})
	require.NotNil(t, fault)

	zoned, fault := ParseClock("07:30+02:00")
	require.Nil(t, fault)
	d, fault := days(2024, 3, 4, 1).At(zoned)
	require.Nil(t, fault)
	require.Equal(t, wall(2024, 3, 4, 5, 30), d.From)
	require.True(t, d.Zoned)
	_, fault = d.At(zoned)
	require.NotNil(t, fault)
}

func TestDateIn(t *testing.T) { // D29; times of the changes: tz database
	vienna, err := time.LoadLocation("Europe/Vienna")
	require.NoError(t, err)
	from, to, fault := minuteAt(wall(2024, 7, 1, 7, 30)).In(vienna)
	require.Nil(t, fault)
	require.Equal(t, wall(2024, 7, 1, 5, 30), from)
	require.Equal(t, wall(2024, 7, 1, 5, 31), to)
	_, _, fault = minuteAt(wall(2024, 3, 31, 2, 30)).In(vienna)
	require.NotNil(t, fault)
	require.Contains(t, fault.Message, "skipped")
	_, _, fault = minuteAt(wall(2024, 10, 27, 2, 30)).In(vienna)
	require.NotNil(t, fault)
	require.Contains(t, fault.Message, "twice")
	for _, hour := range []int{1, 3} {
		_, _, fault = minuteAt(wall(2024, 10, 27, hour, 30)).In(vienna)
		require.Nil(t, fault)
	}
	from, to, fault = days(2024, 10, 27, 1).In(vienna)
	require.Nil(t, fault)
	require.Equal(t, 25*time.Hour, to.Sub(from))
	from, to, fault = days(2024, 3, 31, 1).In(vienna)
	require.Nil(t, fault)
	require.Equal(t, 23*time.Hour, to.Sub(from))

	// Clocks put forward at midnight: the day begins at 01:00.
	saoPaulo, err := time.LoadLocation("America/Sao_Paulo")
	require.NoError(t, err)
	from, _, fault = days(2018, 11, 4, 1).In(saoPaulo)
	require.Nil(t, fault)
	require.Equal(t, wall(2018, 11, 4, 3, 0), from)

	z, fault := ParseDate("2024-03-31T02:30+01:00", OrderUnknown, DateOptions{})
	require.Nil(t, fault)
	from, _, fault = z.In(vienna)
	require.Nil(t, fault)
	require.Equal(t, wall(2024, 3, 31, 1, 30), from)
}

// Every day and minute that is written plainly is read back.
func FuzzParseDate(f *testing.F) {
	for _, s := range []string{"2024-03-04", "3.4.24 7.30pm", "March 4, 2024", "KW14 2024", "2024-03-04T07:30:15Z", "03/04/2024 - 05/04/2024", "Mon 4 Mar 2024", "3. April", "07:30 03/04/2024", "2024-02-30", "Mar 24", "4 de abril de 2024 noche", "20240304", "24:00"} {
		for o := range uint8(4) {
			f.Add(s, o)
		}
	}
	options := DateOptions{Window: WindowUntil(now), Year: 2024}
	f.Fuzz(func(t *testing.T, s string, o uint8) {
		order := Order(o % 4)
		d, fault := ParseDate(s, order, options)
		if fault != nil {
			require.Equal(t, Date{}, d)
			require.NotEmpty(t, fault.Message)
			return
		}
		require.True(t, d.From.Before(d.To), "%q", s)
		require.True(t, options.Window.holds(d.From, d.To), "%q", s)
		if d.Precision == PartOfDay || d.Precision == Week || d.Precision == Between {
			return
		}
		again, fault := ParseDate(d.String(), order, options)
		require.Nil(t, fault, "%q was written as %q: %v", s, d.String(), fault)
		require.True(t, d.From.Equal(again.From) && d.To.Equal(again.To) && d.Precision == again.Precision && d.Zoned == again.Zoned, "%q was written as %q", s, d.String())
	})
}

func BenchmarkParseDate(b *testing.B) {
	o := DateOptions{Window: WindowUntil(now)}
	for _, s := range []string{"2024-03-04T07:30:00", "2024-03-04 07:30", "04.03.2024 07:30"} {
		b.Run(s, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				ParseDate(s, DMY, o)
			}
		})
	}
}

func BenchmarkSolveDates(b *testing.B) {
	var texts []string
	for i := range 1000 {
		texts = append(texts, wall(2024, 1, 1+i%300).Format("02/01/2006"))
	}
	for b.Loop() {
		SolveDates(texts, WindowUntil(now))
	}
}

func ExampleSolveDates() {
	column := []string{"03/04/2024", "13/04/2024", "05/06/2024"}
	order := SolveDates(column, WindowUntil(time.Date(2024, 12, 1, 0, 0, 0, 0, time.UTC)))
	date, _ := ParseDate(column[0], order.Order, DateOptions{})
	fmt.Println(order.Order, order.Status, date)
	// Output: dmy sure 2024-04-03
}
