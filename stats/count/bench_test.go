package count

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

func benchSizes(b *testing.B, smallest, largest int, run func(b *testing.B, n int) func() error) {
	for n := smallest; n <= largest; n *= 10 {
		once := run(b, n)
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := once(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func benchCounts(n int) []Count {
	r := rand.New(rand.NewPCG(1, uint64(n)))
	out := make([]Count, n)
	for i := range out {
		out[i] = Exactly(int(300 * math.Exp(0.7*r.NormFloat64())))
	}
	return out
}

func BenchmarkLogTMean(b *testing.B) {
	benchSizes(b, 100, 1e6, func(b *testing.B, n int) func() error {
		x := make([]float64, n)
		for i, c := range benchCounts(n) {
			x[i] = c.Lo
		}
		return func() error { _, err := LogTMean(x, 0); return err }
	})
}

func BenchmarkFitNegativeBinomial(b *testing.B) {
	benchSizes(b, 100, 1e6, func(b *testing.B, n int) func() error {
		x := benchCounts(n)
		return func() error { _, err := FitNegativeBinomial(x, 0); return err }
	})
}

func BenchmarkProfileMean(b *testing.B) {
	benchSizes(b, 10, 1e4, func(b *testing.B, n int) func() error {
		m, err := FitNegativeBinomial(benchCounts(n), 0)
		return func() error { m.Mean(ProfileF); return err }
	})
}

func BenchmarkPredict(b *testing.B) {
	benchSizes(b, 10, 1e4, func(b *testing.B, n int) func() error {
		m, err := FitNegativeBinomial(benchCounts(n), 0)
		if err != nil {
			b.Fatal(err)
		}
		return func() error { _, err := m.Predict(1, 0.9); return err }
	})
}

func BenchmarkFitRanges(b *testing.B) {
	benchSizes(b, 10, 1e3, func(b *testing.B, n int) func() error {
		x := benchCounts(n)
		for i := range x {
			x[i].Lo, x[i].Hi = math.Floor(x[i].Lo*0.8), math.Ceil(x[i].Hi*1.2)
		}
		return func() error { _, err := FitNegativeBinomial(x, 0); return err }
	})
}

func BenchmarkFitBetaBinomial(b *testing.B) {
	benchSizes(b, 10, 1e4, func(b *testing.B, n int) func() error {
		x := make([]Clutch, n)
		r := rand.New(rand.NewPCG(2, uint64(n)))
		for i := range x {
			x[i].Trials = 20 + r.IntN(300)
			x[i].Hits = r.IntN(x[i].Trials + 1)
		}
		return func() error { _, err := FitBetaBinomial(x, 0); return err }
	})
}

func BenchmarkRatioOfTotals(b *testing.B) {
	benchSizes(b, 100, 1e6, func(b *testing.B, n int) func() error {
		parts := make([]Part, n)
		for i, c := range benchCounts(n) {
			parts[i] = Part{Amount: c.Lo, Exposure: float64(1 + i%30), Cluster: i % 30}
		}
		return func() error { _, err := RatioOfTotals(parts, 0); return err }
	})
}

func BenchmarkClopperPearson(b *testing.B) {
	for b.Loop() {
		if _, err := ClopperPearson(300, 1000, 0); err != nil {
			b.Fatal(err)
		}
	}
}
