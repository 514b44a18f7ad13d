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

// The same statistic as in testdata/bench.R: mean of n amounts, 999 draws, BCa.
func BenchmarkBCa(b *testing.B) {
	benchSizes(b, 10, 1e5, func(b *testing.B, n int) func() error {
		parts := make([]Part, n)
		for i, c := range benchCounts(n) {
			parts[i] = Part{Amount: c.Lo, Exposure: 1, Cluster: i}
		}
		return func() error {
			boot, err := BootstrapRatio(parts, BootstrapSettings{Draws: 999})
			boot.BCa()
			return err
		}
	})
}

// The median, as a statistic of the caller's own.
func BenchmarkBootstrapMedian(b *testing.B) {
	benchSizes(b, 10, 1e3, func(b *testing.B, n int) func() error {
		x := make([]float64, n)
		for i, c := range benchCounts(n) {
			x[i] = c.Lo
		}
		median := func(drawn []int) float64 {
			part := make([]float64, len(drawn))
			for i, j := range drawn {
				part[i] = x[j]
			}
			return Median(part)
		}
		return func() error {
			boot, err := NewBootstrap(n, median, BootstrapSettings{Draws: 999})
			boot.BCa()
			return err
		}
	})
}

func BenchmarkFitCountRegression(b *testing.B) {
	benchSizes(b, 100, 1e6, func(b *testing.B, n int) func() error {
		rows := simulatedRows(1, n)
		return func() error { _, err := FitCountRegression(rows, 0); return err }
	})
}

// Hardly two rows are alike.
func BenchmarkFitCountRegressionFine(b *testing.B) {
	benchSizes(b, 100, 1e5, func(b *testing.B, n int) func() error {
		rows, r := simulatedRows(1, n), rand.New(rand.NewPCG(3, uint64(n)))
		for i := range rows {
			rows[i].X[0] += 0.1 * r.NormFloat64()
		}
		return func() error { _, err := FitCountRegression(rows, 0); return err }
	})
}

func BenchmarkQuasiPoissonByCluster(b *testing.B) {
	benchSizes(b, 100, 1e6, func(b *testing.B, n int) func() error {
		rows := simulatedRows(1, n)
		return func() error { _, err := FitQuasiPoisson(rows, QuasiSettings{ByCluster: true}); return err }
	})
}

func BenchmarkFitHurdle(b *testing.B) {
	benchSizes(b, 100, 1e5, func(b *testing.B, n int) func() error {
		x := benchCounts(n)
		for i := range x {
			if i%3 == 0 {
				x[i] = Exactly(0)
			}
		}
		return func() error { _, err := FitHurdle(x, 0); return err }
	})
}

func BenchmarkMiettinenNurminen(b *testing.B) {
	for b.Loop() {
		if _, err := MiettinenNurminen(300, 1000, 250, 1100, 0); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkOddsRatio(b *testing.B) {
	for b.Loop() {
		if _, err := OddsRatio(300, 1000, 250, 1100, 0); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAliquotTotal(b *testing.B) {
	benchSizes(b, 100, 1e6, func(b *testing.B, n int) func() error {
		aliquots := make([]Aliquot, n)
		for i, c := range benchCounts(n) {
			aliquots[i] = Aliquot{Counted: int(c.Lo), Amount: 1}
		}
		return func() error {
			_, err := AliquotTotal(aliquots, Lot{Size: Measured{Value: 1e8}}, 0)
			return err
		}
	})
}

func BenchmarkQuantile(b *testing.B) {
	benchSizes(b, 100, 1e6, func(b *testing.B, n int) func() error {
		x := make([]float64, n)
		for i, c := range benchCounts(n) {
			x[i] = c.Lo
		}
		return func() error { Quantile(x, 0.3); return nil }
	})
}
