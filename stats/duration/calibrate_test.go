package duration

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"gravid/stats"
	"gravid/stats/internal/statstest"
	"gravid/stats/tail"
)

// For exact lognormal times the distance of one more from the fitted location in
// fitted scales does not depend on the truth, so the calibrated limits are those
// of Student's t, mean +- t_{n-1} s sqrt(1 + 1/n) (derivation), but for the error
// of the trials: a quantile from 4999 of them is good to about 3 % here.
func TestCalibratedIsStudent(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 6))
	const n = 8
	var obs []Observation
	var logs []float64
	for range n {
		y := 4 + 0.3*r.NormFloat64()
		logs = append(logs, y)
		obs = append(obs, Observation{Span: Span{math.Exp(y), math.Exp(y)}})
	}
	m, err := FitAFT(obs, nil, AFTSettings{})
	require.NoError(t, err)
	got, err := m.PredictCalibrated(nil, []float64{0.8, 0.9}, CalibrationSettings{Replicates: 4999, Seed: 1})
	require.NoError(t, err)
	again, err := m.PredictCalibrated(nil, []float64{0.9}, CalibrationSettings{Replicates: 4999, Seed: 1})
	require.NoError(t, err)
	sameEstimate(t, got[1], again[0], "the same seed gives the same limits, whatever is asked beside")
	mean, sd := stat.MeanStdDev(logs, nil)
	for i, level := range []float64{0.8, 0.9} {
		half := tail.StudentUpperQuantile((1-level)/2, n-1) * sd * math.Sqrt(1+1.0/n)
		require.Equal(t, level, got[i].Level)
		statstest.Near(t, half, math.Log(got[i].Hi)-mean, 0.06, "upper half width")
		statstest.Near(t, half, mean-math.Log(got[i].Lo), 0.06, "lower half width")
		require.Contains(t, got[i].Method, "4999")
	}
}

func TestPredictLevels(t *testing.T) {
	m, err := FitAFT(widened(world(3, 30)), nil, AFTSettings{PenaliseSpread: true})
	require.NoError(t, err)
	both, err := m.PredictLevels(nil, 0.8, 0.9)
	require.NoError(t, err)
	for i, level := range []float64{0.8, 0.9} {
		one, err := m.Predict(nil, level)
		require.NoError(t, err)
		sameEstimate(t, one, both[i], "level")
	}
	require.Less(t, both[1].Lo, both[0].Lo)
	require.Greater(t, both[1].Hi, both[0].Hi)
	_, err = m.PredictLevels(nil, 0.8, 2)
	require.Error(t, err)
	require.Panics(t, func() { _, _ = m.PredictLevels([]float64{1}, 0.8) })
}

// sameEstimate compares all but Attained, which is NaN in both.
func sameEstimate(t *testing.T, want, got stats.Estimate, what string) {
	require.True(t, math.IsNaN(want.Attained) && math.IsNaN(got.Attained))
	want.Attained, got.Attained = 0, 0
	require.Equal(t, want, got, what)
}

// Subjects made up are looked at as those given were.
func TestLooks(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		o            Observation
		ended, usual float64
		want         Span
	}{
		{Observation{Span: Span{48, 72}}, 50, 24, Span{48, 72}},
		{Observation{Span: Span{48, 72}}, 100, 24, Span{96, 120}},
		{Observation{Span: Span{50, 74}}, 10, 24, Span{2, 26}},
		{Observation{Span: Span{50, 74}}, 1, 24, Span{0, 2}},
		{Observation{Span: Span{50, 50}}, 61, 24, Span{61, 61}},
		{Observation{Span: Span{50, inf}}, 61, 24, Span{50, inf}},
		{Observation{Span: Span{50, inf}}, 40, 24, Span{26, 50}},
		{Observation{Span: Span{50, inf}}, 40, 0, Span{40, 40}},
		{Observation{Span: Span{0, 30}}, 20, 24, Span{0, 30}},
		{Observation{Span: Span{0, 30}}, 31, 24, Span{30, 54}},
		{Observation{Span: Span{0, 30}}, 31, 0, Span{31, 31}},
		{Observation{Span: Span{50, 74}, Entry: 40}, 45, 24, Span{40, 50}},
	} {
		require.Equal(t, c.want, looks(c.o, c.ended, c.usual), "%+v", c)
	}
}

// Small worlds with known truth: of new clutches, a share near the level asked for
// must fall within the calibrated limits, averaged over the records that might have
// been seen; and it must not be worse than the plug-in limits, which are too narrow.
// Fixed seeds; the band allows for the 60 replicates (their standard error is about
// 0.01).
func TestCalibratedCoverage(t *testing.T) {
	const replicates, sd, median = 60, 0.15, 60.0
	for _, world := range []struct {
		name string
		make func(r *rand.Rand) []Observation
	}{
		{"8 exact", func(r *rand.Rand) []Observation {
			var obs []Observation
			for range 8 {
				time := median * math.Exp(sd*r.NormFloat64())
				obs = append(obs, Observation{Span: Span{time, time}})
			}
			return obs
		}},
		{"15 looked at every 12 hours, 3 lost", func(r *rand.Rand) []Observation {
			obs := dailyChecks(r, 15, median, sd, 12, true)
			for i := range 3 {
				if at := obs[i].Origin.Lo + 48; at < obs[i].Hi {
					obs[i].Span = Span{at, math.Inf(1)}
				}
			}
			return obs
		}},
	} {
		r := rand.New(rand.NewPCG(77, 1))
		var calibrated, plugin float64
		inside := func(lo, hi float64) float64 {
			return tail.NormalLower(math.Log(hi/median)/sd) - tail.NormalLower(math.Log(lo/median)/sd)
		}
		for i := range replicates {
			m, err := FitAFT(world.make(r), nil, AFTSettings{PenaliseSpread: true})
			require.NoError(t, err)
			require.Equal(t, stats.OK, m.Status, m.Warnings)
			e, err := m.PredictCalibrated(nil, []float64{0.9}, CalibrationSettings{Replicates: 199, Seed: uint64(i)})
			require.NoError(t, err)
			require.Equal(t, stats.OK, e[0].Status, e[0].Warnings)
			calibrated += inside(e[0].Lo, e[0].Hi) / replicates
			plugin += inside(math.Exp(m.Coef[0]-1.6448536*m.Scale), math.Exp(m.Coef[0]+1.6448536*m.Scale)) / replicates
		}
		t.Logf("%s: calibrated %.3f, plug-in %.3f", world.name, calibrated, plugin)
		require.InDelta(t, 0.9, calibrated, 0.025, world.name)
		require.Less(t, plugin, calibrated, world.name)
	}
}

func TestCalibratedRefuses(t *testing.T) {
	m, err := FitAFT(world(3, 30), nil, AFTSettings{})
	require.NoError(t, err)
	_, err = m.PredictCalibrated(nil, []float64{0.9}, CalibrationSettings{Replicates: 10})
	require.Error(t, err)
	_, err = m.PredictCalibrated(nil, []float64{-1}, CalibrationSettings{})
	require.Error(t, err)
	half := world(3, 30)
	half[0].Weight = 1.5
	m, err = FitAFT(half, nil, AFTSettings{})
	require.NoError(t, err)
	e, err := m.PredictCalibrated(nil, []float64{0.9}, CalibrationSettings{})
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, e[0].Status)
	require.True(t, math.IsNaN(e[0].Lo))
	m, err = FitAFT(nil, nil, AFTSettings{})
	require.NoError(t, err)
	e, err = m.PredictCalibrated(nil, []float64{0.9}, CalibrationSettings{})
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, e[0].Status)
	// daily looks at an end that falls within a day: sets without spread turn up,
	// unless the spread is penalised
	coarse := []Observation{{Span: Span{24, 48}}, {Span: Span{24, 48}}, {Span: Span{48, 72}}, {Span: Span{24, 48}}, {Span: Span{0, 24}}}
	m, err = FitAFT(coarse, nil, AFTSettings{})
	require.NoError(t, err)
	if m.Status.Usable() {
		e, err = m.PredictCalibrated(nil, []float64{0.9}, CalibrationSettings{})
		require.NoError(t, err)
		require.Equal(t, stats.TooLittle, e[0].Status)
		require.Equal(t, "failed-replicates", e[0].Warnings[len(e[0].Warnings)-1].Code)
	}
}
