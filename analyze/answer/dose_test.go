package answer

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/analyze/catalogue"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/stats/tail"
)

// A heated is one attempt at a temperature.
type heated struct {
	keeper  string
	degrees float64
	spawned bool
}

// heatedTables are attempts of one month, so that no season is held alike.
func heatedTables(list []heated) *club.Tables {
	t := &club.Tables{}
	for i, h := range list {
		at := time.Date(2025, 3, 1+i%28, 0, 0, 0, 0, time.UTC)
		t.Attempts = append(t.Attempts, club.Attempt{Keeper: h.keeper, System: "T1", Species: "Danio rerio", Began: club.Some(at), Ended: club.Some(at),
			Spawned: club.Some(h.spawned), TemperatureC: club.Some(h.degrees)})
	}
	return t
}

func aboutHeat(t *testing.T, tables *club.Tables) (Asker, catalogue.Trigger) {
	t.Helper()
	trigger, ok := catalogue.Find(catalogue.Triggers(), "temperature")
	require.True(t, ok)
	return Asker{Records: exposure.New(tables, exposure.Options{}), Triggers: catalogue.Triggers()}, trigger
}

func readHeated(t *testing.T) []heated {
	t.Helper()
	var list []heated
	for _, row := range readLines(t, "testdata/amounts.csv") {
		degrees, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		list = append(list, heated{row[0], degrees, row[2] == "1"})
	}
	require.Len(t, list, 268)
	return list
}

// readLines reads a CSV without its heading.
func readLines(t *testing.T, file string) [][]string {
	t.Helper()
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(lines), 1)
	return lines[1:]
}

// Knots, contrasts, their standard errors and their level together, against R with
// brglm2 and mvtnorm: testdata/amounts.R.
func TestAmountsAgainstR(t *testing.T) {
	want := map[string]float64{}
	for _, row := range readLines(t, "testdata/amounts_expected.csv") {
		v, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		want[row[0]] = v
	}
	k, trigger := aboutHeat(t, heatedTables(readHeated(t)))
	a := k.Matter("Danio rerio", trigger)
	require.Equal(t, OK, a.Status, a.Reason)
	require.Len(t, a.Dose.Knots, 3)
	require.Len(t, a.Dose.Contrasts, 4)

	c := k.withDefaults().newComparison("Danio rerio", trigger)
	require.False(t, c.stop())
	c.compareAmounts()
	c.chooseAdjustment()
	c.setClusters()
	require.Empty(t, c.adjust, "R holds nothing alike but the keeper")
	d, note := c.curveOf(c.x)
	require.Empty(t, note)
	fits, ok := c.contrasts(d)
	require.True(t, ok)
	for i, f := range fits {
		n := strconv.Itoa(i + 1)
		require.InDelta(t, want["log odds ratio "+n], f.env.Value, 1e-6)
		require.InDelta(t, want["log odds ratio "+n], math.Log(float64(a.Dose.Contrasts[i].OddsRatio.Estimate)), 1e-6)
		require.InDelta(t, want["standard error "+n], math.Sqrt(quadratic(f.weight[:], d.jack)), 1e-6)
		require.LessOrEqual(t, f.env.Lo, f.env.Profile.Lo)
		require.GreaterOrEqual(t, f.env.Hi, f.env.Jackknife.Hi)
	}
	for i, v := range a.Dose.Knots {
		require.InDelta(t, want["knot"+strconv.Itoa(i+1)], v, 1e-9)
	}
	require.InDelta(t, want["chance beyond 2.5"], tail.LargestUpper(2.5, d.df, angles(fits, d.jack)), 3*want["its error"])
}

// The amounts of the file are best at 25 degrees.
func TestBestAmount(t *testing.T) {
	k, trigger := aboutHeat(t, heatedTables(readHeated(t)))
	a := k.Matter("Danio rerio", trigger)
	d := a.Dose
	require.True(t, d.Curved)
	require.False(t, d.OddsRatio.Known(), "no one ratio stands for all steps")
	require.Contains(t, []Verdict{Matters, Leans}, a.Verdict)
	require.LessOrEqual(t, float64(d.BestFrom), 25.0)
	require.GreaterOrEqual(t, float64(d.BestTo), 25.0)
	require.Less(t, float64(d.BestTo), float64(d.High))
	attempts, spawnings := 0, 0
	for _, m := range d.Rug {
		attempts, spawnings = attempts+m.Attempts, spawnings+m.Spawnings
	}
	require.Equal(t, a.Counts.Attempts, attempts)
	require.Equal(t, a.Counts.Spawned, spawnings)
	for _, p := range d.Curve {
		require.Less(t, p.Low, p.Per100)
		require.Greater(t, p.High, p.Per100)
	}
	leads := 0
	for _, c := range d.Contrasts {
		if c.Difference == a.Per100.Difference {
			leads++
			require.Equal(t, c.From, d.From)
			require.Equal(t, c.To, d.To)
		}
	}
	require.Equal(t, 1, leads, "the answer is one of the contrasts")
}

// The difference of a contrast comes from a fit with the basis turned; that between two
// points of the drawn curve from the basis itself. The derivatives that the curve's
// intervals rest on are those of chances whose other numbers follow.
func TestCurveAndContrastsAgree(t *testing.T) {
	k, trigger := aboutHeat(t, heatedTables(readHeated(t)))
	c := k.withDefaults().newComparison("Danio rerio", trigger)
	require.False(t, c.stop())
	c.compareAmounts()
	c.chooseAdjustment()
	c.setClusters()
	d, _ := c.curveOf(c.x)
	fits, ok := c.contrasts(d)
	require.True(t, ok)
	d.prepare()
	for _, f := range fits {
		if math.IsNaN(f.at) {
			require.InDelta(t, 100*(d.at(f.to, 0).p-d.at(f.from, 0).p), float64(f.difference.Estimate), 1e-5)
		}
	}
	for _, x := range []float64{23, 25, 28.5} {
		const h = 1e-3
		at := func(b float64) float64 { // the first slope held at b, all else fitted
			r := d.model.Constrained(0, b)
			require.True(t, r.Status.Usable())
			basis := d.basis(x)
			eta, _ := d.linear(append([]float64{0, 0}, r.Coef[2:]...), d.model.RecalibrateAt(r))
			sum := 0.0
			for _, e := range eta {
				sum += logistic(e + r.Coef[0]*basis[0] + r.Coef[1]*basis[1])
			}
			return sum / float64(len(eta))
		}
		b := d.model.Coef[0]
		follows := d.cov[0][1] / d.cov[0][0] // how the second slope moves with the first
		p := d.at(x, 0)
		require.InDelta(t, (at(b+h)-at(b-h))/(2*h), p.slope[0]+follows*p.slope[1], 0.01, "the other slopes follow by the information, which leaves out how the penalty changes")
	}
}

// A line has no bend: of many clubs few are called a curve, and a best amount is told in
// none where nothing is linked.
func TestStraightIsNotBent(t *testing.T) {
	const clubs = 60
	bent := 0
	for seed := range uint64(clubs) {
		rng := rand.New(rand.NewPCG(seed, 7))
		var list []heated
		for g := range 10 {
			skill := 0.7 * rng.NormFloat64()
			for range 24 {
				x := math.Round(2*(25+2*rng.NormFloat64())) / 2
				list = append(list, heated{string(rune('A' + g)), x, rng.Float64() < logistic(skill-0.5+0.2*(x-25))})
			}
		}
		k, trigger := aboutHeat(t, heatedTables(list))
		a := k.Matter("Danio rerio", trigger)
		require.Equal(t, OK, a.Status)
		if a.Dose.Curved {
			bent++
		}
		if a.Verdict == CannotTell || a.Verdict == NoDifference {
			require.True(t, math.IsNaN(float64(a.Dose.DiffersFrom)))
		}
	}
	require.LessOrEqual(t, bent, 8, "5 in 100 on average; more than 8 of 60 in 1 of 100 series at most (binomial)")
}

// Where the records do not carry a curve the answer says why, and a straight line stands.
func TestTooLittleForACurve(t *testing.T) {
	all := readHeated(t)
	for name, c := range map[string]struct {
		keep func(heated) bool
		to   func(float64) float64
		note string
	}{
		"two amounts":       {func(heated) bool { return true }, func(x float64) float64 { return 24 + 2*oneIf(x > 25) }, "three different amounts"},
		"few spawnings":     {func(h heated) bool { return h.keeper >= "I" }, func(x float64) float64 { return x }, "20 spawnings"},
		"few below":         {func(heated) bool { return true }, func(x float64) float64 { return 26 + oneIf(x > 26) - oneIf(x < 22.5) }, "10 attempts of 2 keepers"},
		"one keeper is all": {func(h heated) bool { return true }, nil, "10 attempts of 2 keepers"},
	} {
		var list []heated
		for _, h := range all {
			switch {
			case !c.keep(h):
				continue
			case c.to == nil: // all but one keeper stay at two neighbouring amounts
				h.degrees = map[bool]float64{true: h.degrees, false: 26 + oneIf(h.degrees > 26)}[h.keeper == "A"]
			default:
				h.degrees = c.to(h.degrees)
			}
			list = append(list, h)
		}
		k, trigger := aboutHeat(t, heatedTables(list))
		a := k.Matter("Danio rerio", trigger)
		require.Equal(t, OK, a.Status, name+": "+a.Reason)
		require.Contains(t, a.Dose.CurveNote, c.note, name)
		require.False(t, a.Dose.Curved, name)
		require.Nil(t, a.Dose.Knots, name)
		require.True(t, math.IsNaN(float64(a.Dose.CurveP)), name)
		require.True(t, a.Dose.OddsRatio.Known(), name)
		require.NotEmpty(t, a.Dose.Curve, name)
	}
}
