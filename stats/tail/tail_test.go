package tail

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats/internal/statstest"
)

// rFunctions maps the names in testdata/tails.csv to what they stand for.
var rFunctions = map[string]func(a, b, c float64) float64{
	"NormalUpper":            func(a, _, _ float64) float64 { return NormalUpper(a) },
	"LogNormalUpper":         func(a, _, _ float64) float64 { return LogNormalUpper(a) },
	"ChiSquareUpper":         func(a, b, _ float64) float64 { return ChiSquareUpper(a, b) },
	"ChiSquareLower":         func(a, b, _ float64) float64 { return ChiSquareLower(a, b) },
	"LogChiSquareUpper":      func(a, b, _ float64) float64 { return LogChiSquareUpper(a, b) },
	"StudentTwoSided":        func(a, b, _ float64) float64 { return StudentTwoSided(a, b) },
	"FUpper":                 FUpper,
	"FLower":                 FLower,
	"BinomialLower":          func(a, b, c float64) float64 { return BinomialLower(int(a), int(b), c) },
	"BinomialUpper":          func(a, b, c float64) float64 { return BinomialUpper(int(a), int(b), c) },
	"PoissonLower":           func(a, b, _ float64) float64 { return PoissonLower(int(a), b) },
	"PoissonUpper":           func(a, b, _ float64) float64 { return PoissonUpper(int(a), b) },
	"NormalUpperQuantile":    func(a, _, _ float64) float64 { return NormalUpperQuantile(a) },
	"ChiSquareQuantile":      func(a, b, _ float64) float64 { return ChiSquareQuantile(a, b) },
	"ChiSquareUpperQuantile": func(a, b, _ float64) float64 { return ChiSquareUpperQuantile(a, b) },
	"StudentUpperQuantile":   func(a, b, _ float64) float64 { return StudentUpperQuantile(a, b) },
	"FUpperQuantile":         FUpperQuantile,
	"BetaQuantile":           BetaQuantile,
}

// R 4.2.2, testdata/make.R. A 40-digit computation (mpmath 1.3, 1279 of the
// lines) agreed with R to a relative 5e-13 or better, so 2e-12 is R's own
// accuracy with a little room. R's quantiles stop somewhat earlier.
func TestAgainstR(t *testing.T) {
	f, err := os.Open("testdata/tails.csv")
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(lines), 1000)
	seen := map[string]int{}
	for _, line := range lines[1:] {
		fn, ok := rFunctions[line[0]]
		require.True(t, ok, line[0])
		var v [4]float64
		for i := range v {
			v[i], err = strconv.ParseFloat(line[i+1], 64)
			require.NoError(t, err)
		}
		tol := 2e-12
		if len(line[0]) > 8 && line[0][len(line[0])-8:] == "Quantile" {
			tol = 1e-10
		}
		statstest.NearRel(t, v[3], fn(v[0], v[1], v[2]), tol, line[0]+"("+line[1]+", "+line[2]+", "+line[3]+")")
		seen[line[0]]++
	}
	require.Len(t, seen, len(rFunctions))
}

// The tails beyond a float64: leading terms worked out by hand.
func TestLogTails(t *testing.T) {
	// Q(1, x) = exp(-x), so chi-square with 2 degrees of freedom has log upper
	// tail -x/2 exactly.
	for _, x := range []float64{1e-300, 1e-5, 1, 30, 1e4, 1e300} {
		statstest.NearRel(t, -x/2, LogChiSquareUpper(x, 2), 1e-13, "log chi-square upper, 2 df")
	}
	// Mills' ratio: log Q(z) = -z^2/2 - log(z sqrt(2 pi)) + log(1 - 1/z^2 + 3/z^4 - ...)
	z := 1e4
	want := -z*z/2 - math.Log(z*math.Sqrt(2*math.Pi)) + math.Log1p(-1/(z*z)+3/(z*z*z*z))
	statstest.NearRel(t, want, LogNormalUpper(z), 1e-15, "log normal upper at 1e4")
	statstest.NearRel(t, want+math.Ln2, LogNormalTwoSided(-z), 1e-15, "log normal two-sided at -1e4")
	require.Equal(t, math.Inf(-1), LogNormalUpper(math.Inf(1)))
}

// Closed forms: the t with 1 df is Cauchy, with 2 df algebraic; F with 2
// numerator df is a power.
func TestClosedForms(t *testing.T) {
	for _, x := range []float64{1e-5, 0.3, 1, 7, 1e3, 1e100, 1e200} {
		statstest.NearRel(t, 2/math.Pi*math.Atan(1/x), StudentTwoSided(x, 1), 1e-12, "Cauchy")
		// 1 - x/sqrt(2+x^2), written without cancellation.
		r := math.Hypot(math.Sqrt2, x)
		statstest.NearRel(t, 2/r/(r+x), StudentTwoSided(-x, 2), 1e-12, "t with 2 df")
		statstest.NearRel(t, math.Pow(1+x/3, -3), FUpper(x, 2, 6), 1e-12, "F with 2 and 6 df")
	}
	statstest.NearRel(t, math.Pow(0.25, 40), BinomialUpper(40, 40, 0.25), 1e-14, "all successes")
	statstest.NearRel(t, math.Pow(0.75, 40), BinomialLower(0, 40, 0.25), 1e-14, "no success")
	statstest.NearRel(t, math.Exp(-3), PoissonLower(0, 3), 1e-14, "Poisson zero")
}

func TestTailsSumToOne(t *testing.T) {
	for _, df := range []float64{0.3, 1, 4, 17, 500, 1e6} {
		for _, x := range []float64{0, 1e-9, 0.2, 0.99, 1, 1.01, 3, 80} {
			what := fmt.Sprintf("df %g, x %g", df, x)
			statstest.Near(t, 1, ChiSquareLower(x*df, df)+ChiSquareUpper(x*df, df), 1e-14, what)
			statstest.Near(t, 1, GammaLower(x*df, df)+GammaUpper(x*df, df), 1e-14, what)
			statstest.Near(t, 1, FLower(x, df, 3)+FUpper(x, df, 3), 1e-14, what)
			statstest.Near(t, 1, FLower(x, 3, math.Inf(1))+FUpper(x, 3, math.Inf(1)), 1e-14, what)
			statstest.Near(t, 1, BetaLower(x/80, df, 2)+BetaUpper(x/80, df, 2), 1e-14, what)
			statstest.Near(t, 1, StudentUpper(x, df)+StudentUpper(-x, df), 1e-14, what)
			statstest.Near(t, 1, NormalUpper(x)+NormalLower(x), 1e-14, what)
		}
	}
}

// The sum of probabilities below k and from k on is 1, for every k.
func TestDiscreteTailsMeet(t *testing.T) {
	for k := -1; k <= 31; k++ {
		statstest.Near(t, 1, BinomialLower(k-1, 30, 0.37)+BinomialUpper(k, 30, 0.37), 1e-14, "binomial")
		statstest.Near(t, 1, PoissonLower(k-1, 12.5)+PoissonUpper(k, 12.5), 1e-14, "Poisson")
	}
	require.Equal(t, 1.0, BinomialLower(0, 0, 0.4))
	require.Equal(t, 1.0, PoissonLower(0, 0))
	require.Equal(t, 0.0, PoissonUpper(1, 0))
}

// A quantile put back into its tail gives the probability it was asked for.
func TestQuantilesInvert(t *testing.T) {
	for _, q := range []float64{1e-290, 1e-40, 1e-9, 0.003, 0.2, 0.5, 0.7, 0.999} {
		what := fmt.Sprintf("q = %g", q)
		statstest.NearRel(t, q, NormalUpper(NormalUpperQuantile(q)), 2e-13, "normal "+what)
		statstest.NearRel(t, q, NormalLower(NormalQuantile(q)), 2e-13, "normal lower "+what)
		for _, df := range []float64{0.6, 1, 5, 40, 3000} {
			what := fmt.Sprintf("df %g, q = %g", df, q)
			statstest.NearRel(t, q, ChiSquareUpper(ChiSquareUpperQuantile(q, df), df), 5e-12, "chi-square "+what)
			if x := ChiSquareQuantile(q, df); x > 0 {
				statstest.NearRel(t, q, ChiSquareLower(x, df), 2e-12, "chi-square lower "+what)
			}
			if x := StudentUpperQuantile(q, df); !math.IsInf(x, 1) {
				statstest.NearRel(t, q, StudentUpper(x, df), 2e-12, "t "+what)
			}
			if x := FUpperQuantile(q, 3, df); !math.IsInf(x, 1) {
				statstest.NearRel(t, q, FUpper(x, 3, df), 1e-12, "F "+what)
			}
			// Near 1 the argument itself is too coarse for a small upper tail.
			if x := BetaQuantile(q, df, 2); x > 0 && x < 0.99 {
				statstest.NearRel(t, q, BetaLower(x, df, 2), 2e-12, "beta lower "+what)
			}
			if x := BetaUpperQuantile(q, 2, df); x < 0.99 {
				statstest.NearRel(t, q, BetaUpper(x, 2, df), 1e-12, "beta "+what)
			}
		}
	}
	require.Equal(t, 0.0, NormalQuantile(0.5))
	require.InDelta(t, 0, StudentQuantile(0.5, 4), 1e-15)
	statstest.NearRel(t, -StudentQuantile(0.025, 4), StudentQuantile(0.975, 4), 1e-14, "t is symmetric")
	statstest.NearRel(t, NormalQuantile(0.9), StudentQuantile(0.9, math.Inf(1)), 1e-15, "t with infinite df")
	statstest.NearRel(t, ChiSquareQuantile(0.9, 3)/3, FQuantile(0.9, 3, math.Inf(1)), 1e-14, "F with infinite d2")
}

// The ends of the range.
func TestEnds(t *testing.T) {
	inf := math.Inf(1)
	require.Equal(t, 0.0, ChiSquareQuantile(0, 3))
	require.Equal(t, inf, ChiSquareQuantile(1, 3))
	require.Equal(t, inf, FUpperQuantile(0, 3, 4))
	require.Equal(t, inf, NormalQuantile(1))
	require.Equal(t, -inf, NormalQuantile(0))
	require.Equal(t, 1.0, BetaQuantile(1, 3, 4))
	require.Equal(t, 0.0, BetaUpperQuantile(1, 3, 4))
	require.Equal(t, 0.0, ChiSquareQuantile(1e-200, 0.1), "the quantile is far below the smallest float64")
	require.Equal(t, inf, FUpperQuantile(1e-200, 1, 0.1), "the quantile is far above the largest float64")
	require.Equal(t, 1.0, ChiSquareUpper(-4, 3))
	require.Equal(t, 0.0, ChiSquareUpper(inf, 3))
	require.Equal(t, 0.0, StudentTwoSided(inf, 3))
	require.Equal(t, 1.0, FUpper(-1, 3, 4))
	require.Equal(t, 0.0, FUpper(inf, 3, 4))
}

func TestOutsideTheDomain(t *testing.T) {
	nan := math.NaN()
	for name, v := range map[string]float64{
		"normal":           NormalUpper(nan),
		"normal quantile":  NormalUpperQuantile(1.1),
		"chi-square df":    ChiSquareUpper(3, 0),
		"chi-square x":     ChiSquareUpper(nan, 3),
		"chi-square q":     ChiSquareUpperQuantile(-0.1, 3),
		"chi-square qdf":   ChiSquareQuantile(0.1, -3),
		"t df":             StudentTwoSided(2, -1),
		"t nan":            StudentTwoSided(nan, 3),
		"t q":              StudentQuantile(0.1, 0),
		"F":                FUpper(2, 0, 3),
		"F nan":            FUpper(nan, 1, 3),
		"F q":              FQuantile(0.4, 1, 0),
		"beta":             BetaLower(0.4, 0, 3),
		"beta q":           BetaQuantile(0.4, 3, nan),
		"binomial p":       BinomialLower(1, 3, 1.5),
		"binomial n":       BinomialUpper(1, -3, 0.5),
		"Poisson":          PoissonLower(1, -2),
		"Poisson infinite": PoissonUpper(1, math.Inf(1)),
	} {
		require.True(t, math.IsNaN(v), "%s: %v", name, v)
	}
}

func BenchmarkChiSquareUpper(b *testing.B) {
	for b.Loop() {
		ChiSquareUpper(700, 5)
	}
}

func BenchmarkStudentUpperQuantile(b *testing.B) {
	for b.Loop() {
		StudentUpperQuantile(0.025, 11)
	}
}
