package duration

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

func mustTrace(t *testing.T, gap float64, readings ...Reading) Trace {
	t.Helper()
	trace, err := NewTrace(readings, gap)
	require.NoError(t, err)
	return trace
}

func TestHeat(t *testing.T) {
	// 20 degrees falling to 10 over a day, then up to 30 over another
	trace := mustTrace(t, 0, Reading{2, 30}, Reading{0, 20}, Reading{1, 10}, Reading{1, 10})
	for _, c := range []struct{ from, to, base, want float64 }{
		{0, 2, 0, 15 + 20},
		{0, 2, 10, 5 + 10},
		{0, 1, 15, 1.25},          // a triangle of 5 degrees and half a day
		{1, 2, 15, 15 * 0.75 / 2}, // above 15 for the last three quarters
		{0.5, 0.5, 0, 0},
		{0.5, 1.5, 40, 0},
		{0.25, 0.75, 10, 2.5}, // 7.5 to 2.5 above, half a day
	} {
		h := trace.Heat(c.from, c.to, c.base)
		require.InDelta(t, c.want, h.Value, 1e-12, "%+v", c)
		require.Equal(t, h.Value, h.Lo)
		require.Equal(t, h.Value, h.Hi)
		if c.want > 0 && trace.At(c.to) > c.base {
			require.InDelta(t, c.to, trace.When(c.from, c.want, c.base), 1e-9, "%+v", c)
		}
	}
	require.True(t, math.IsNaN(trace.Heat(-1, 1, 0).Value))
	require.True(t, math.IsNaN(trace.Heat(1, 3, 0).Value))
	require.True(t, math.IsNaN(trace.When(3, 1, 0)))
	require.True(t, math.IsInf(trace.When(0, 1000, 0), 1))
	require.InDelta(t, 17.5, trace.Mean(0, 2), 1e-12)
	require.InDelta(t, 12, trace.At(0.8), 1e-12)
	require.Equal(t, 48.0, Steady(26).When(0, 48*16, 10))
	require.True(t, math.IsInf(Steady(9).When(0, 1, 10), 1))
	// a gap of one day in a trace that allows for half a day: anything from the
	// lowest to the highest reading of the stretch
	gappy := mustTrace(t, 0.5, Reading{0, 20}, Reading{0.5, 24}, Reading{1.5, 22}, Reading{2, 26})
	h := gappy.Heat(0, 2, 10)
	require.InDelta(t, 12*0.5+13+14*0.5, h.Value, 1e-12)
	require.InDelta(t, 12*0.5+10+14*0.5, h.Lo, 1e-12)
	require.InDelta(t, 12*0.5+16+14*0.5, h.Hi, 1e-12)
}

func TestNewTraceRefuses(t *testing.T) {
	for name, c := range map[string][]Reading{"none": nil, "no number": {{0, math.NaN()}}, "endless": {{math.Inf(1), 20}}, "two at once": {{1, 20}, {1, 21}}} {
		_, err := NewTrace(c, 0)
		require.Error(t, err, name)
	}
	_, err := NewTrace([]Reading{{0, 20}}, -1)
	require.Error(t, err)
}

// The sum of a varying temperature is that of its steps: adding up daily
// (T - base)+ until the sum is reached.
func TestHeatOfDailySteps(t *testing.T) {
	var readings []Reading
	temperatures := []float64{24, 26, 9, 28, 25, 24}
	for i, c := range temperatures { // steps as nearly vertical lines
		readings = append(readings, Reading{float64(i), c}, Reading{float64(i+1) - 1e-9, c})
	}
	trace := mustTrace(t, 0, readings...)
	require.InDelta(t, 14+16+0+18.0, trace.Heat(0, 4, 10).Value, 1e-6)
	require.InDelta(t, 4+7.5/15, trace.When(0, 14+16+18+7.5, 10), 1e-6)
}

type published struct {
	temperature, time []float64
	base, sum         float64
}

func publishedTimes(t *testing.T) map[string]*published {
	f, err := os.Open("testdata/development_times.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return v
	}
	out := map[string]*published{}
	for _, r := range rows[1:] {
		if out[r[0]] == nil {
			out[r[0]] = &published{base: number(r[4]), sum: number(r[5])}
		}
		out[r[0]].temperature = append(out[r[0]].temperature, number(r[1]))
		out[r[0]].time = append(out[r[0]].time, number(r[2]))
	}
	require.Len(t, out, 5)
	return out
}

// scattered makes an exact time at each temperature a little above and a little
// below, so that the means of the logs are those given.
func scattered(temperature, time []float64) []Incubation {
	var out []Incubation
	for i, c := range temperature {
		for _, f := range []float64{0.99, 1 / 0.99, 0.98, 1 / 0.98} {
			out = append(out, Incubation{Observation: Observation{Span: Span{f * time[i], f * time[i]}}, Trace: Steady(c)})
		}
	}
	return out
}

// Published times at two temperatures: the line through both, worked by hand in the
// file, is the maximum of the likelihood.
func TestDegreeDaysPublished(t *testing.T) {
	for name, p := range publishedTimes(t) {
		d, err := FitDegreeDays(scattered(p.temperature, p.time), DegreeDaySettings{})
		require.NoError(t, err, name)
		require.Equal(t, stats.OK, d.Status, "%s: %v", name, d.Warnings)
		require.InDelta(t, p.base, d.Base.Value, 5e-4, name)
		require.InEpsilon(t, p.sum, d.Sum.Value, 2e-4, name)
		require.True(t, d.Base.Lo < d.Base.Value && d.Base.Value < d.Base.Hi, name)
		e, err := d.Predict(Steady(p.temperature[1]), 0, 0.8, 0.9)
		require.NoError(t, err)
		require.InEpsilon(t, p.time[1], e[0].Value, 0.01, name)
		require.True(t, e[1].Lo < e[0].Lo && e[0].Hi < e[1].Hi, name)
	}
}

// The zebrafish formula of Kimmel et al. 1995, H_T = h / (0.055 T - 0.57), is a sum of
// heat with base 0.57 / 0.055 = 10.364 and, for h = 48, sum 48 / 0.055 = 872.73
// degree-hours; 23.602 h at 25 C and 15.261 h at 33 C for h = 19.
func TestDegreeDaysOfZebrafish(t *testing.T) {
	formula := func(h, c float64) float64 { return h / (0.055*c - 0.57) }
	require.InDelta(t, 23.602, formula(19, 25), 5e-4)
	require.InDelta(t, 15.261, formula(19, 33), 5e-4)
	temperatures := []float64{25, 27, 28.5, 31, 33}
	var times []float64
	for _, c := range temperatures {
		times = append(times, formula(48, c))
	}
	d, err := FitDegreeDays(scattered(temperatures, times), DegreeDaySettings{})
	require.NoError(t, err)
	require.Equal(t, stats.OK, d.Status)
	require.InDelta(t, 10.364, d.Base.Value, 1e-3)
	require.InEpsilon(t, 872.73, d.Sum.Value, 1e-4)
	require.InDelta(t, 25, d.Coldest, 1e-9)
	e, err := d.Predict(Steady(28), 100, 0.9)
	require.NoError(t, err)
	require.InEpsilon(t, 100+49.485, e[0].Value, 1e-3, "49.485 h at 28 C by the formula")
	e, err = d.Predict(Steady(20), 0, 0.9)
	require.NoError(t, err)
	require.Equal(t, stats.NotComputed, e[0].Status, "colder than anything seen")
	require.Equal(t, "outside-temperatures", e[0].Warnings[len(e[0].Warnings)-1].Code)
}

// incubations makes clutches kept at a daily swing round a mean of their own, looked
// at every gap, with the true base and sum given.
func incubations(t *testing.T, r *rand.Rand, n int, coldest, warmest, gap float64) []Incubation {
	const base, sum, sd = 12.0, 30.0, 0.08
	var out []Incubation
	for range n {
		mean := coldest + (warmest-coldest)*r.Float64()
		var readings []Reading
		for k := range 100 {
			readings = append(readings, Reading{float64(k) / 6, mean + 0.7*math.Sin(2*math.Pi*float64(k)/6)})
		}
		trace := mustTrace(t, 0.5, readings...)
		began := r.Float64()
		ended := trace.When(began, sum*math.Exp(sd*r.NormFloat64()), base)
		o := Observation{Origin: Span{began, began}, Span: Span{ended, ended}}
		if gap > 0 {
			o.Span = Span{gap * (math.Ceil(ended/gap) - 1), gap * math.Ceil(ended/gap)}
			o.Origin = Span{math.Floor(began/gap) * gap, math.Ceil(began/gap) * gap}
		}
		out = append(out, Incubation{o, trace})
	}
	return out
}

// A planted world: the interval must hold the true base about as often as it says.
func TestDegreeDaysSimulation(t *testing.T) {
	for _, gap := range []float64{0, 0.25} {
		r := rand.New(rand.NewPCG(4, 9))
		const replicates = 30
		covered, mean := 0, 0.0
		for range replicates {
			d, err := FitDegreeDays(incubations(t, r, 30, 21, 30, gap), DegreeDaySettings{Widest: 30})
			require.NoError(t, err)
			require.Equal(t, stats.OK, d.Status, d.Warnings)
			mean += d.Base.Value / replicates
			if d.Base.Lo <= 12 && 12 <= d.Base.Hi {
				covered++
			}
		}
		t.Logf("looks every %v days: mean base %.2f, covered %d of %d", gap, mean, covered, replicates)
		require.InDelta(t, 12, mean, 0.8)
		require.GreaterOrEqual(t, covered, 25, "of 30; 95 of 100 is what is asked for")
	}
}

func TestDegreeDaysRefusesToTell(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	narrow, err := FitDegreeDays(incubations(t, r, 30, 25, 27, 0), DegreeDaySettings{})
	require.NoError(t, err)
	require.Equal(t, stats.NotIdentifiable, narrow.Status)
	require.Equal(t, "narrow-temperatures", narrow.Warnings[0].Code)
	few, err := FitDegreeDays(incubations(t, r, 5, 23, 27, 0.5), DegreeDaySettings{Narrowest: 1, Widest: 2})
	require.NoError(t, err)
	require.Equal(t, stats.NotIdentifiable, few.Status)
	require.Equal(t, "base-unknown", few.Warnings[0].Code)
	none, err := FitDegreeDays(nil, DegreeDaySettings{})
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, none.Status)
	waiting := []Incubation{{Observation{Span: Span{3, math.Inf(1)}}, Steady(20)}, {Observation{Span: Span{3, math.Inf(1)}}, Steady(26)}}
	lost, err := FitDegreeDays(waiting, DegreeDaySettings{})
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, lost.Status)
	for _, d := range []DegreeDays{narrow, few, none, lost} {
		require.True(t, math.IsNaN(d.Base.Value) && math.IsNaN(d.Base.Lo) && math.IsNaN(d.Sum.Value))
		e, err := d.Predict(Steady(25), 0, 0.9)
		require.NoError(t, err)
		require.Equal(t, d.Status, e[0].Status)
		require.True(t, math.IsNaN(e[0].Value) && math.IsNaN(e[0].Hi))
	}
	_, err = FitDegreeDays([]Incubation{{Observation{Span: Span{3, 3}}, mustTrace(t, 0, Reading{0, 20}, Reading{2, 20})}}, DegreeDaySettings{})
	require.ErrorContains(t, err, "observation 1: the temperature between 0 and 3 is not known")
	_, err = FitDegreeDays(nil, DegreeDaySettings{Family: Normal})
	require.Error(t, err)
}

// The same for any order of the clutches, and in hours instead of days.
func TestDegreeDaysLaws(t *testing.T) {
	in := incubations(t, rand.New(rand.NewPCG(5, 5)), 20, 20, 30, 0.25)
	first, err := FitDegreeDays(in, DegreeDaySettings{})
	require.NoError(t, err)
	require.Equal(t, stats.OK, first.Status)
	slices.Reverse(in)
	second, err := FitDegreeDays(in, DegreeDaySettings{})
	require.NoError(t, err)
	require.Equal(t, first.Base.Value, second.Base.Value)
	require.Equal(t, first.Sum.Hi, second.Sum.Hi)
	for i := range in {
		o := &in[i]
		o.Lo, o.Hi, o.Origin = 24*o.Lo, 24*o.Hi, Span{24 * o.Origin.Lo, 24 * o.Origin.Hi}
		for k := range o.Trace.readings {
			o.Trace.readings[k].Time *= 24
		}
		o.Trace.gap *= 24
	}
	third, err := FitDegreeDays(in, DegreeDaySettings{})
	require.NoError(t, err)
	statstest.Near(t, first.Base.Value, third.Base.Value, 1e-5, "base")
	statstest.Near(t, first.Base.Lo, third.Base.Lo, 1e-5, "its limit")
	statstest.Near(t, 24*first.Sum.Value, third.Sum.Value, 1e-5, "degree-hours")
}
