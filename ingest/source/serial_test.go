package source

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestDayTime(t *testing.T) {
	// Wanted dates follow from 25569 = 1 January 1970, which is common knowledge of
	// spreadsheet programs, and from the calendar.
	for days, want := range map[float64]string{
		25569: "1970-01-01T00:00:00", 61: "1900-03-01T00:00:00", 45355: "2024-03-04T00:00:00", 45351: "2024-02-29T00:00:00",
		45355.5: "2024-03-04T12:00:00", 45355.999999: "2024-03-05T00:00:00", 45355.3125: "2024-03-04T07:30:00",
		2958465: "9999-12-31T00:00:00", 45355.000011574: "2024-03-04T00:00:01",
	} {
		at, ok := dayTime(days, false)
		require.True(t, ok)
		require.Equal(t, want, at.Format("2006-01-02T15:04:05"), "%v", days)
	}
	for _, days := range []float64{0, 1, 15, 59, 60, 60.99, -1, 2958466, 1e300, math.NaN(), math.Inf(1)} {
		_, ok := dayTime(days, false)
		require.False(t, ok, "%v", days)
	}
	at, ok := dayTime(45355+1.5/86400, true)
	require.True(t, ok)
	require.Equal(t, 1500*time.Millisecond, at.Sub(at.Truncate(24*time.Hour)))
}

func TestClockOrSpan(t *testing.T) {
	f := parseFormat("hh:mm")
	for v, want := range map[float64]struct {
		kind Kind
		text string
	}{
		0: {Clock, "00:00:00"}, 0.3125: {Clock, "07:30:00"}, 1: {Span, "24:00:00"}, 2.0625: {Span, "49:30:00"}, 45355.3125: {Instant, "2024-03-04T07:30:00"},
		-0.5: {Number, "-0.5"},
	} {
		s := readSerial(v, f, 0)
		require.Equal(t, want.kind, s.kind, "%v", v)
		require.Equal(t, want.text, string(s.appendValue(nil)), "%v", v)
	}
	s := readSerial(-0.0625, parseFormat("[h]:mm"), 0)
	require.Equal(t, "-01:30:00", string(s.appendValue(nil)))
}

func TestShiftDecimal(t *testing.T) {
	for _, c := range []struct {
		v      float64
		places int
		want   float64
	}{
		{0.07, 2, 7}, {0.935, 2, 93.5}, {0.57, 2, 57}, {1.1, 2, 110}, {1234, -3, 1.234}, {0, 2, 0}, {-0.29, 2, -29}, {1e-320, 2, 1e-318}, {1e308, 2, 1e308}, {5, 0, 5},
	} {
		require.Equal(t, c.want, shiftDecimal(c.v, c.places), "%v", c.v)
	}
}

func TestAppendNumberLosesNothing(t *testing.T) {
	for v, want := range map[float64]string{
		24.6789: "24.6789", 24.600000000000001: "24.6", 1200: "1200", 0.30000000000000004: "0.30000000000000004", -2: "-2", 1e21: "1e+21", 1e-7: "0.0000001", 5e-324: "5e-324", 0: "0",
	} {
		require.Equal(t, want, string(appendNumber(nil, v)))
	}
}

func TestISOCells(t *testing.T) {
	for text, kind := range map[string]Kind{
		"2024-03-04": Date, "2024-03-04T07:30:00": Instant, "2024-03-04T07:30:00.25": Instant, "2024-03-04T07:30": Instant, "07:30:00": Clock,
		"2024-03-04T07:30:00Z": Text, "2024-03-04T07:30:00+01:00": Text,
	} {
		cell, ok := isoCell(text)
		require.True(t, ok, text)
		require.Equal(t, kind, cell.Kind, text)
	}
	for _, text := range []string{"", "2024-02-30", "4.3.2024", "2024-3-4", "25:00:00"} {
		_, ok := isoCell(text)
		require.False(t, ok, text)
	}
}

func TestParseDuration(t *testing.T) {
	for text, hours := range map[string]float64{"PT49H30M00S": 49.5, "PT07H30M": 7.5, "-PT1H": -1, "PT30M": 0.5, "PT3600S": 1, "PT0H0M1.8S": 0.0005, "PT0H0M1,8S": 0.0005} {
		days, ok := parseDuration(text)
		require.True(t, ok, text)
		require.InDelta(t, hours/24, days, 1e-12, text) // rounding of a float64 division
	}
	for _, text := range []string{"", "PT", "P1D", "PTx", "PT1H2", "PT-1H", "PTInfH", "PTNaNS"} {
		_, ok := parseDuration(text)
		require.False(t, ok, text)
	}
}
