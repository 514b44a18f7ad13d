package duration

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// crowd makes n waiting times in whole minutes, a fifth of them right-censored.
func crowd(n int) []Observation {
	r := rand.New(rand.NewPCG(1, uint64(n)))
	obs := make([]Observation, n)
	for i := range obs {
		t := math.Ceil(3600 * math.Exp(0.2*r.NormFloat64()))
		obs[i] = Observation{Span: Span{t, t}, Cause: 1 + r.IntN(3)}
		if r.IntN(5) == 0 {
			obs[i].Hi, obs[i].Cause = math.Inf(1), 0
		}
	}
	return obs
}

func benchSizes(b *testing.B, largest int, run func(b *testing.B, obs []Observation)) {
	for n := 100; n <= largest; n *= 10 {
		benchCrowd(b, crowd(n), run)
	}
}

func benchCrowd(b *testing.B, obs []Observation, run func(b *testing.B, obs []Observation)) {
	b.Run(fmt.Sprintf("n=%d", len(obs)), func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			run(b, obs)
		}
	})
}

func must[T any](b *testing.B, v T, err error) T {
	if err != nil {
		b.Fatal(err)
	}
	return v
}

func BenchmarkKaplanMeier(b *testing.B) {
	benchSizes(b, 1e6, func(b *testing.B, obs []Observation) {
		c, err := KaplanMeier(obs, Settings{})
		must(b, c, err)
	})
}

func BenchmarkAalenJohansen(b *testing.B) {
	benchSizes(b, 1e6, func(b *testing.B, obs []Observation) {
		c, err := AalenJohansen(obs, Settings{})
		must(b, c, err)
	})
}

// fineSizes is benchSizes where each has its own time.
func fineSizes(b *testing.B, largest int, run func(b *testing.B, obs []Observation)) {
	for n := 100; n <= largest; n *= 10 {
		r := rand.New(rand.NewPCG(4, 4))
		obs := crowd(n)
		for i := range obs {
			exact := obs[i].Exact()
			obs[i].Lo -= r.Float64()
			if exact {
				obs[i].Hi = obs[i].Lo
			}
		}
		benchCrowd(b, obs, run)
	}
}

func BenchmarkKaplanMeierFine(b *testing.B) {
	fineSizes(b, 1e6, func(b *testing.B, obs []Observation) {
		c, err := KaplanMeier(obs, Settings{})
		must(b, c, err)
	})
}

func BenchmarkAalenJohansenFine(b *testing.B) {
	fineSizes(b, 1e5, func(b *testing.B, obs []Observation) {
		c, err := AalenJohansen(obs, Settings{Aalen: true})
		must(b, c, err)
	})
}

func BenchmarkLogRank(b *testing.B) {
	benchSizes(b, 1e6, func(b *testing.B, obs []Observation) {
		group := make([]int, len(obs))
		for i := range group {
			group[i] = i % 4
		}
		c, err := LogRank(obs, group, ComparisonSettings{})
		must(b, c, err)
	})
}

// daily turns times in minutes into spans between daily checks.
func daily(obs []Observation) []Observation {
	out := make([]Observation, len(obs))
	for i, o := range obs {
		day := math.Floor((o.Lo - 1) / 1440)
		out[i] = Observation{Span: Span{1440 * day, 1440 * (day + 1)}}
		if o.RightCensored() {
			out[i].Hi = math.Inf(1)
		}
	}
	return out
}

// irregular gives each time its own span of up to a day.
func irregular(obs []Observation) []Observation {
	r := rand.New(rand.NewPCG(2, 2))
	out := make([]Observation, len(obs))
	for i, o := range obs {
		before := 1440 * r.Float64()
		out[i] = Observation{Span: Span{math.Max(o.Lo-before, 0), o.Lo - before + 1440}}
	}
	return out
}

func BenchmarkTurnbullDaily(b *testing.B) {
	benchSizes(b, 1e6, func(b *testing.B, obs []Observation) {
		c, err := Turnbull(daily(obs), Settings{})
		must(b, c, err)
	})
}

func BenchmarkTurnbullIrregular(b *testing.B) {
	benchSizes(b, 1e5, func(b *testing.B, obs []Observation) {
		c, err := Turnbull(irregular(obs), Settings{})
		must(b, c, err)
	})
}

func BenchmarkFitAFTExact(b *testing.B) {
	benchSizes(b, 1e6, func(b *testing.B, obs []Observation) {
		m, err := FitAFT(obs, nil, AFTSettings{})
		must(b, m, err)
	})
}

func BenchmarkFitAFTCovariates(b *testing.B) {
	benchSizes(b, 1e5, func(b *testing.B, obs []Observation) {
		r := rand.New(rand.NewPCG(3, 3))
		x := []Covariate{{"temperature", nil}, {"aid", nil}}
		for range obs {
			x[0].Values, x[1].Values = append(x[0].Values, 24+4*r.Float64()), append(x[1].Values, float64(r.IntN(2)))
		}
		m, err := FitAFT(irregular(obs), x, AFTSettings{})
		must(b, m, err)
	})
}

func BenchmarkFitAFTDoublyDaily(b *testing.B) {
	benchSizes(b, 1e6, func(b *testing.B, obs []Observation) {
		spans := daily(obs)
		for i := range spans {
			spans[i].Origin = Span{-720, 720}
		}
		m, err := FitAFT(spans, nil, AFTSettings{PenaliseSpread: true})
		must(b, m, err)
	})
}

func BenchmarkPredict(b *testing.B) {
	benchSizes(b, 1e3, func(b *testing.B, obs []Observation) {
		m, err := FitAFT(obs, nil, AFTSettings{PenaliseSpread: true})
		must(b, m, err)
		e, err := m.Predict(nil, 0.9)
		must(b, e, err)
	})
}

// crowdCovariates makes two covariates for a crowd.
func crowdCovariates(obs []Observation) []Covariate {
	r := rand.New(rand.NewPCG(3, 3))
	x := []Covariate{{"temperature", nil}, {"aid", nil}}
	for range obs {
		x[0].Values, x[1].Values = append(x[0].Values, 24+4*r.Float64()), append(x[1].Values, float64(r.IntN(2)))
	}
	return x
}

func BenchmarkFitCox(b *testing.B) {
	benchSizes(b, 1e6, func(b *testing.B, obs []Observation) {
		m, err := FitCox(obs, crowdCovariates(obs), CoxSettings{})
		must(b, m, err)
	})
}

func BenchmarkFitCoxLateEntry(b *testing.B) {
	benchSizes(b, 1e5, func(b *testing.B, obs []Observation) {
		late := make([]Observation, len(obs))
		for i, o := range obs {
			o.Entry = o.Lo / 2
			late[i] = o
		}
		m, err := FitCox(late, crowdCovariates(obs), CoxSettings{})
		must(b, m, err)
	})
}

func BenchmarkCoxResiduals(b *testing.B) {
	benchSizes(b, 1e5, func(b *testing.B, obs []Observation) {
		m, err := FitCox(obs, crowdCovariates(obs), CoxSettings{})
		must(b, &m, err).Residuals()
	})
}

func BenchmarkGrayTest(b *testing.B) {
	benchSizes(b, 1e6, func(b *testing.B, obs []Observation) {
		group := make([]int, len(obs))
		for i := range group {
			group[i] = i % 3
		}
		c, err := GrayTest(obs, group, 1, GraySettings{})
		must(b, c, err)
	})
}

func BenchmarkFitFineGray(b *testing.B) {
	benchSizes(b, 1e5, func(b *testing.B, obs []Observation) {
		m, err := FitFineGray(obs, crowdCovariates(obs), 1, CoxSettings{})
		must(b, m, err)
	})
}

func BenchmarkIntervalLogRank(b *testing.B) {
	benchSizes(b, 1e6, func(b *testing.B, obs []Observation) {
		group := make([]int, len(obs))
		for i := range group {
			group[i] = i % 2
		}
		c, err := IntervalLogRank(daily(obs), group, IntervalSettings{})
		must(b, c, err)
	})
}

func BenchmarkFitIntervalIncidence(b *testing.B) {
	benchSizes(b, 1e5, func(b *testing.B, obs []Observation) {
		spans := daily(obs)
		for i := range spans {
			spans[i].Cause = obs[i].Cause
		}
		a, err := FitIntervalIncidence(spans, IntervalIncidenceSettings{Replicates: 99})
		must(b, a, err)
	})
}

func BenchmarkFitGrouped(b *testing.B) {
	benchSizes(b, 1e6, func(b *testing.B, obs []Observation) {
		aid := make([]float64, len(obs))
		for i := range aid {
			aid[i] = float64(i % 2)
		}
		m, err := FitGrouped(daily(obs), []Covariate{{"aid", aid}}, GroupedSettings{})
		must(b, m, err)
	})
}

func BenchmarkFitDegreeDays(b *testing.B) {
	benchSizes(b, 1e3, func(b *testing.B, obs []Observation) {
		in := make([]Incubation, len(obs))
		for i, o := range obs {
			o.Lo *= 1 + float64(i%7)/10
			if !o.RightCensored() {
				o.Hi = o.Lo
			}
			o.Cause = 0
			in[i] = Incubation{o, Steady(10 + 15/(1+float64(i%7)/10))}
		}
		d, err := FitDegreeDays(in, DegreeDaySettings{})
		must(b, d, err)
	})
}

func BenchmarkPredictCalibrated(b *testing.B) {
	benchSizes(b, 1e3, func(b *testing.B, obs []Observation) {
		m, err := FitAFT(daily(obs), nil, AFTSettings{PenaliseSpread: true})
		must(b, m, err)
		e, err := m.PredictCalibrated(nil, []float64{0.8, 0.9}, CalibrationSettings{Seed: 1})
		must(b, e, err)
	})
}
