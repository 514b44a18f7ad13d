package ingest

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/cell"
	"gravid/ingest/club"
	"gravid/ingest/problem"
	"gravid/ingest/source"
	"gravid/ingest/unit"
)

// Where plainNumber reads a number, the reader of cells reads the very same one.
func TestPlainNumberIsThatOfCells(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	const letters = "0123456789012345678900..,,--  +e'"
	read := 0
	check := func(text string) {
		for _, d := range []cell.Decimal{cell.Open, cell.Point, cell.Comma} {
			v, ok := plainNumber(text, d)
			if !ok {
				continue
			}
			read++
			m, fault := cell.MeasureOf(source.Cell{Kind: source.Text, Text: text}, unit.Concentration, d)
			require.Nil(t, fault, "%q, decimal %s", text, d)
			require.True(t, m.OK && m.V.Unit == "" && !m.V.Range && !m.V.Bound() && !m.V.Approx, "%q", text)
			require.Equal(t, math.Float64bits(m.V.Value), math.Float64bits(v), "%q, decimal %s: %v and %v", text, d, m.V.Value, v)
		}
	}
	for range 200_000 {
		b := make([]byte, rng.IntN(18))
		for i := range b {
			b[i] = letters[rng.IntN(len(letters))]
		}
		check(string(b))
		check(fmt.Sprintf("%.*f", rng.IntN(5), (rng.Float64()-.1)*math.Pow(10, float64(rng.IntN(12)))))
	}
	for _, text := range []string{"", "-", ".", "-.5", "5.", "007", "0.5", "-0", "1.200", "1,200", "0,200", "1013,25", "1.2.3", "999999999999999", "1e3", "٣"} {
		check(text)
	}
	require.Greater(t, read, 200_000)
	v, ok := plainNumber("1013.25", cell.Open)
	require.True(t, ok)
	require.Equal(t, 1013.25, v)
}

// Where plainTimes gives an instant, the reader of cells gives the very same one.
func TestPlainTimesAreThoseOfCells(t *testing.T) {
	window := cell.WindowUntil(time.Date(2024, 6, 1, 9, 30, 0, 0, time.UTC))
	read := 0
	for _, zoneName := range []string{"UTC", "Europe/Vienna", "America/Sao_Paulo", "Asia/Kolkata", "Australia/Lord_Howe", "Pacific/Apia"} {
		zone, err := time.LoadLocation(zoneName)
		require.NoError(t, err)
		for seed := range uint64(40) {
			rng := rand.New(rand.NewPCG(seed, 13))
			order := []cell.Order{cell.OrderUnknown, cell.DMY, cell.MDY, cell.YMD}[rng.IntN(4)]
			options := cell.DateOptions{Window: window, Year: 2023 * rng.IntN(2)}
			times := newPlainTimes(order, options, zone)
			at := time.Date(1979+rng.IntN(47), time.Month(1+rng.IntN(12)), 1+rng.IntN(28), rng.IntN(24), rng.IntN(60), rng.IntN(60), 0, time.UTC)
			form := []string{"2006-01-02 15:04:05", "2006-01-02T15:04", "2006/01/02 15:04", "02.01.2006 15:04:05", "1/2/2006 15:04", "02.01.06 15:04", "2006-01-02 15:04:05Z", "2 January 2006 15:04", "06-01-02 15:04", "02.01. 15:04"}[rng.IntN(10)]
			for range 300 {
				at = at.Add([]time.Duration{time.Minute, time.Hour, 17 * time.Hour, -time.Hour}[rng.IntN(4)])
				text, clock := at.Format(form), ""
				if rng.IntN(3) == 0 {
					text, clock, _ = strings.Cut(text, " ")
				}
				switch rng.IntN(30) {
				case 0:
					clock = "24:00"
				case 1:
					text = strings.Replace(text, "1", "9", 1)
				case 2:
					text += " "
				case 3:
					text, clock = text+" 07:30", "08:00"
				}
				if !times.knows(text, clock) && !times.learn(text, clock) {
					continue
				}
				got, ok := times.instant()
				if !ok {
					continue
				}
				read++
				want, fault := slowInstant(text, clock, order, options, zone)
				require.Nil(t, fault, "%q %q %s %s", text, clock, order, zoneName)
				require.Equal(t, want.Unix(), got, "%q %q %s %s", text, clock, order, zoneName)
			}
		}
	}
	require.Greater(t, read, 20_000)
}

func slowInstant(text, clock string, order cell.Order, o cell.DateOptions, zone *time.Location) (time.Time, *cell.Fault) {
	d, fault := cell.DateOf(source.Cell{Kind: source.Text, Text: text}, order, o)
	if fault == nil && clock != "" {
		var c club.Maybe[cell.Clock]
		if c, fault = cell.ClockOf(source.Cell{Kind: source.Text, Text: clock}); fault == nil {
			d.V, fault = d.V.At(c.V)
		}
	}
	if fault != nil {
		return time.Time{}, fault
	}
	from, _, fault := d.V.In(zone)
	return from, fault
}

// loggerAtRandom makes the export of a logger with odd rows among plain ones.
func loggerAtRandom(rng *rand.Rand) string {
	pick := func(list ...string) string { return list[rng.IntN(len(list))] }
	mark := pick(";", "\t", ",")
	form := pick("2006-01-02 15:04:05", "2006-01-02T15:04", "02.01.2006 15:04", "1/2/2006 15:04", "2006-01-02 15:04:05.000", "02.01.06 15:04:05")
	split := rng.IntN(4) == 0 // date and time in columns of their own
	heads := []string{"Timestamp"}
	if split {
		heads = []string{"Date", "Time"}
	}
	measures := rng.Perm(4)[:1+rng.IntN(3)]
	for _, m := range measures {
		heads = append(heads, []string{"Air pressure (hPa)", "Temperature (°F)", "pH", "Light (lux)"}[m])
	}
	extra := rng.IntN(4)
	if extra > 0 {
		heads = append(heads, []string{"", "Keeper", "Tank", "Battery"}[extra])
	}
	var b strings.Builder
	b.WriteString(strings.Join(heads, mark) + "\n")
	at := time.Date(2010+rng.IntN(13), time.Month(1+rng.IntN(12)), 1+rng.IntN(28), 0, 0, 0, 0, time.UTC)
	for range 20 + rng.IntN(80) {
		at = at.Add(time.Duration(1+rng.IntN(50)) * 7 * time.Minute)
		if rng.IntN(30) == 0 {
			at = at.AddDate(0, 0, rng.IntN(90)-30)
		}
		when := at.Format(form)
		if rng.IntN(25) == 0 {
			when = pick("", "n/a", "soon", "2031-01-01 00:00", "2024-03-31 02:30", "31.04.2024 10:00", "4 March 2020 10:00", at.Format("02/01/2006 15:04"), at.Format(time.RFC3339))
		}
		cells := []string{when}
		if split {
			day, clock, _ := strings.Cut(when, " ")
			cells = []string{day, clock}
		}
		for _, m := range measures {
			v := []float64{1000 + 20*rng.Float64(), 70 + 10*rng.Float64(), 6 + 2*rng.Float64(), 500 * rng.Float64()}[m]
			text := fmt.Sprintf("%.*f", rng.IntN(3), v)
			if mark == ";" && rng.IntN(2) == 0 {
				text = strings.Replace(text, ".", ",", 1)
			}
			if rng.IntN(25) == 0 {
				text = pick("", "-", "0", "999", "-127", "85", "24.5 °C", "~7", "1.200", "x", "5000", "-3", "9999", "'12.5")
			}
			cells = append(cells, text)
		}
		if extra > 0 {
			cells = append(cells, []string{"", pick("ana", "ben", ""), pick("A1", "B2", ""), "3.1"}[extra])
		}
		switch rng.IntN(40) {
		case 0:
			cells = append(cells, "more")
		case 1:
			cells = cells[:1]
		case 2:
			cells = heads
		case 3:
			cells = nil
		}
		b.WriteString(strings.Join(cells, mark) + "\n")
	}
	return b.String()
}

// The short way for plain rows changes nothing: with it and without it, readings,
// problems, rows set aside and ledgers are the same.
func TestPlainRowsReadAsOthers(t *testing.T) {
	used, aside, short := int64(0), int64(0), 0
	for seed := range uint64(40) {
		doc := loggerAtRandom(rand.New(rand.NewPCG(seed, 17)))
		got, plain := runWith(t, doc, true)
		want, none := runWith(t, doc, false)
		require.Zero(t, none)
		short += plain
		require.Equal(t, want, got, "seed %d:\n%s", seed, doc)
		for _, s := range got.Sources {
			used, aside = used+s.Used, aside+s.SetAside
		}
	}
	require.Greater(t, used, int64(1000))
	require.Greater(t, aside, int64(100))
	require.Greater(t, short, 500)
}

// runWith reads a log with or without the short way, and counts the rows that took it.
func runWith(t *testing.T, doc string, short bool) (tables club.Tables, plain int) {
	t.Helper()
	c := makeClub(t, "", map[string]string{"ana/logger.csv": doc})
	var used *reader
	report, err := runLogs(c, nil, today, func(r *reader) { r.longWay, used = !short, r })
	require.NoError(t, err)
	return allTables(t, report), used.plain
}

// manyRows are rows of a logger, more than are sampled, with dates in the given form.
func manyRows(n int, from time.Time, form string) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "%s;%d\n", from.Add(time.Duration(i)*10*time.Minute).Format(form), 1000+i%10)
	}
	return b.String()
}

// The order of day and month is decided over all rows of a logger, wherever those
// stand that tell it.
func TestLoggerOrderBeyondTheSample(t *testing.T) {
	const head = "Timestamp;Air pressure (hPa)\n"
	start := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)
	iso := manyRows(sampleRows+500, start, "2006-01-02 15:04")
	for name, c := range map[string]struct {
		doc  string
		used int
		code problem.Code
	}{
		"ISO only":                        {head + iso, sampleRows + 500, ""},
		"days first after the sample":     {head + iso + manyRows(300, time.Date(2021, 1, 12, 0, 0, 0, 0, time.UTC), "02.01.2006 15:04"), sampleRows + 800, ""},
		"months first after the sample":   {head + iso + manyRows(300, time.Date(2021, 1, 12, 0, 0, 0, 0, time.UTC), "01/02/2006 15:04"), sampleRows + 800, ""},
		"order that nobody can know":      {head + iso + "03.04.2021 10:00;1000\n", 0, problem.DateAmbiguous},
		"two orders":                      {head + iso + "13/04/2021 10:00;1000\n04/13/2021 10:00;1000\n", 0, problem.DateConflict},
		"told by the last row":            {head + manyRows(sampleRows+100, time.Date(2020, 2, 1, 0, 0, 0, 0, time.UTC), "1/2/2006 15:04"), sampleRows + 100, ""},
		"told by no row, but the forward": {head + strings.Repeat("01/02/2020 10:00;1000\n", sampleRows+10) + "02/02/2020 10:00;1000\n", 0, problem.DateAmbiguous},
	} {
		t.Run(name, func(t *testing.T) {
			got := read(t, map[string]string{"ana/logger.csv": c.doc})
			require.Equal(t, int64(c.used), got.Sources[0].Used)
			require.Equal(t, int64(strings.Count(c.doc, "\n")), got.Sources[0].Rows)
			if c.code == "" {
				require.Zero(t, problem.Count(got.Problems, problem.Error)+problem.Count(got.Problems, problem.Warning))
				require.Len(t, got.Readings, c.used)
				return
			}
			require.Len(t, find(got.Problems, c.code), int(got.Sources[0].SetAside))
			require.Empty(t, got.Readings)
		})
	}
	got := read(t, map[string]string{"ana/logger.csv": head + iso + "13.02.2021 10:00;1000\n"})
	last := got.Readings[len(got.Readings)-1]
	require.Equal(t, "2021-02-13T09:00:00Z", last.At.V.Format(time.RFC3339))
}
