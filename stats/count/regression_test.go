package count

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/diff/fd"
	"gonum.org/v1/gonum/mat"

	"gravid/stats"
	"gravid/stats/internal/statstest"
	"gravid/stats/tail"
)

// quineRows are the days absent with the covariates named, F0 to F3 for the ages.
func quineRows(t *testing.T, ages bool) []CountRow {
	d := statstest.LoadTable(t, "quine_absence")
	var out []CountRow
	for i, days := range d.Floats("Days") {
		is := func(column, value string) float64 { return indicator(d.Texts(column)[i] == value) }
		x := []float64{is("Eth", "N"), is("Sex", "M")}
		if ages {
			x = append(x, is("Age", "F1"), is("Age", "F2"), is("Age", "F3"))
		}
		out = append(out, CountRow{Count: Exactly(int(days)), X: append(x, is("Lrn", "SL"))})
	}
	return out
}

func TestRegressionReference(t *testing.T) {
	c := statstest.Load(t, "nb_regression_quine")
	rows := quineRows(t, true)
	m, err := FitCountRegression(rows, 0)
	require.NoError(t, err)
	require.Equal(t, stats.OK, m.Status)
	c.Near(float64(m.N), "n")
	c.Near(m.Size, "negative_binomial", "theta")
	c.Near(m.LogLik, "negative_binomial", "loglik")
	c.Near(m.PoissonLogLik, "poisson", "loglik")
	c.Near(2*(m.LogLik-m.PoissonLogLik), "lr_nb_vs_poisson", "chisq")
	// R's standard errors are from the expected information of the coefficients.
	information := mat.NewSymDense(len(m.Coef), nil)
	for _, r := range rows {
		x := append([]float64{1}, r.X...)
		mu := math.Exp(dot(m.Coef, x))
		information.SymRankOne(information, mu/(1+mu/m.Size), mat.NewVecDense(len(x), x))
	}
	var chol mat.Cholesky
	require.True(t, chol.Factorize(information))
	inverse := mat.NewSymDense(len(m.Coef), nil)
	require.NoError(t, chol.InverseTo(inverse))
	names := c.Texts("columns")
	q, err := FitQuasiPoisson(rows, QuasiSettings{})
	require.NoError(t, err)
	require.Equal(t, stats.OK, q.Status)
	c.Near(q.Dispersion, "quasi_poisson", "dispersion_pearson")
	c.Near(q.DF, "quasi_poisson", "df_residual")
	for i, name := range names {
		c.Near(m.Coef[i], "negative_binomial", "coef", name)
		se := math.Sqrt(inverse.At(i, i))
		c.Near(se, "negative_binomial", "se_expected_information", name)
		c.Near(m.Coef[i]-normalLimit(0.95)*se, "negative_binomial", "wald_ci", name, "lower")
		c.Near(q.Coef[i], "poisson", "coef", name)
		c.Near(math.Sqrt(q.Covariance.At(i, i)/q.Dispersion), "poisson", "se", name)
		c.Near(math.Sqrt(q.Covariance.At(i, i)), "quasi_poisson", "se", name)
		c.Near(q.Ratio(i).P, "quasi_poisson", "p_t", name)
	}
}

func TestRegressionWithOffsetReference(t *testing.T) {
	c := statstest.Load(t, "count_regression")
	rows := quineRows(t, false)
	for i := range rows {
		rows[i].Exposure = float64(1 + (i+1)%3)
		rows[i].Cluster = (i + 1) % 12
	}
	m, err := FitCountRegression(rows, 0)
	require.NoError(t, err)
	require.Equal(t, stats.OK, m.Status)
	c.Near(m.Size, "size")
	c.Near(m.LogLik, "loglik")
	q, err := FitQuasiPoisson(rows, QuasiSettings{})
	require.NoError(t, err)
	c.Near(q.Dispersion, "quasi", "dispersion")
	j, err := FitQuasiPoisson(rows, QuasiSettings{ByCluster: true})
	require.NoError(t, err)
	require.Equal(t, 12, j.Clusters)
	require.Equal(t, 11.0, j.DF)
	statstest.Near(t, q.Dispersion, j.Dispersion, 1e-12, "dispersion")
	var se, lo, hi, quasi, jack []float64
	for i := range m.Coef {
		se = append(se, math.Sqrt(m.Covariance.At(i, i)))
		quasi, jack = append(quasi, math.Sqrt(q.Covariance.At(i, i))), append(jack, math.Sqrt(j.Covariance.At(i, i)))
		e := m.Coefficient(i, Profile)
		lo, hi = append(lo, e.Lo), append(hi, e.Hi)
	}
	c.NearAll(m.Coef, "coef")
	c.NearAll(se, "se_observed")
	c.NearAll(lo, "profile_lower")
	c.NearAll(hi, "profile_upper")
	c.NearAll(q.Coef, "quasi", "coef")
	c.NearAll(quasi, "quasi", "se")
	c.NearAll(jack, "quasi", "se_jackknife")
	e := j.Coefficient(1)
	statstest.Near(t, j.Coef[1]+tail.StudentUpperQuantile(0.025, 11)*jack[1], e.Hi, 1e-12, "t limits")
}

// A regression without covariates is the mean.
func TestRegressionWithoutCovariates(t *testing.T) {
	counts := mixedCounts(3, 30)
	rows := make([]CountRow, len(counts))
	for i, c := range counts {
		rows[i].Count = c
	}
	a, err := FitNegativeBinomial(counts, 0.9)
	require.NoError(t, err)
	b, err := FitCountRegression(rows, 0.9)
	require.NoError(t, err)
	statstest.Near(t, a.LogLik, b.LogLik, 1e-12, "log-likelihood")
	statstest.Near(t, a.Size, b.Size, 1e-7, "size")
	for _, kind := range []MeanInterval{Profile, ProfileF, Wald} {
		x, y := a.Mean(kind), b.Mean(nil, kind)
		statstest.NearAll(t, []float64{x.Value, x.Lo, x.Hi}, []float64{y.Value, y.Lo, y.Hi}, 1e-7, kind.name())
	}
	amounts := []float64{120, 300, 80, 410, 95}
	rows = rows[:0]
	for i, v := range amounts {
		rows = append(rows, CountRow{Count: Exactly(int(v)), Cluster: i})
	}
	logT, err := LogTMean(amounts, 0)
	require.NoError(t, err)
	quasi, err := FitQuasiPoisson(rows, QuasiSettings{})
	require.NoError(t, err)
	e := quasi.Mean(nil)
	statstest.NearAll(t, []float64{logT.Value, logT.Lo, logT.Hi}, []float64{e.Value, e.Lo, e.Hi}, 1e-9, "log-t")
}

func TestRegressionDerivatives(t *testing.T) {
	c, err := newCountRows([]CountRow{
		{Count: Exactly(7), X: []float64{0.5}}, {Count: Exactly(300), X: []float64{-1}, Times: 3}, {Count: Exactly(0), X: []float64{2}},
		{Count: Count{Lo: 100, Hi: 200}, X: []float64{0.1}}, {Count: Count{Lo: 90, Hi: inf, Exposure: 2}, X: []float64{0}}, {Count: Count{Lo: 12, Hi: 12, Exposure: 0.25}, X: []float64{1}},
	}, false)
	require.NoError(t, err)
	for _, theta := range [][]float64{{4, 0.3, -0.7}, {5, -0.5, 1}, {3, 0.1, -6}, {4.5, 0.2}} {
		n := len(theta)
		grad, hess := make([]float64, n), mat.NewSymDense(n, nil)
		v := c.objective(theta, grad, hess)
		value := func(x []float64) float64 { return c.objective(x, nil, nil) }
		statstest.Near(t, value(theta), v, 1e-14, "value")
		statstest.NearAll(t, fd.Gradient(nil, value, theta, &fd.Settings{Formula: fd.Central}), grad, 1e-5, "gradient")
		want := mat.NewDense(n, n, nil)
		fd.Jacobian(want, func(y, x []float64) {
			clear(y)
			c.objective(x, y, mat.NewSymDense(n, nil))
		}, theta, &fd.JacobianSettings{Formula: fd.Central})
		for i := range n {
			for j := range n {
				statstest.Near(t, want.At(i, j), hess.At(i, j), 1e-5, "second derivative")
			}
		}
	}
}

// simulatedRows have a mean of 100 exp(0.5 x1 - 0.3 x2) and size 3.
func simulatedRows(seed uint64, n int) []CountRow {
	r := rand.New(rand.NewPCG(seed, 5))
	out := make([]CountRow, n)
	for i := range out {
		x := []float64{float64(i % 2), math.Floor(4 * r.Float64())}
		out[i] = CountRow{Count: Exactly(int(draw(r, 100*math.Exp(0.5*x[0]-0.3*x[1]), 3))), X: x, Cluster: i % 8}
	}
	return out
}

func TestRegressionLaws(t *testing.T) {
	rows := simulatedRows(1, 40)
	rows[3].Count = Count{Lo: 50, Hi: 100}
	exact := simulatedRows(1, 40)
	answer := func(rows, exact []CountRow) string {
		m, err := FitCountRegression(rows, 0)
		require.NoError(t, err)
		q, err := FitQuasiPoisson(exact, QuasiSettings{ByCluster: true})
		require.NoError(t, err)
		return fmt.Sprint(m.Coefficient(1, Profile), m.Mean([]float64{1, 2}, ProfileF), m.Size, q.Coefficient(1), q.Mean([]float64{0, 1}), q.Dispersion)
	}
	want := answer(rows, exact)
	order := rand.New(rand.NewPCG(9, 9)).Perm(40)
	require.Equal(t, want, answer(permuted(rows, order), permuted(exact, order)), "order of the rows")
	for _, processors := range []int{1, 8} {
		func() {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
			require.Equal(t, want, answer(rows, exact), "on %d processors", processors)
		}()
	}
	// Rows that occur twice are rows written twice.
	twice, written := slices.Clone(rows), append(slices.Clone(rows), rows...)
	for i := range twice {
		twice[i].Times = 2
	}
	a, err := FitCountRegression(twice, 0)
	require.NoError(t, err)
	b, err := FitCountRegression(written, 0)
	require.NoError(t, err)
	require.Equal(t, a.N, b.N)
	require.Equal(t, a.Coef, b.Coef)
	require.Equal(t, a.Covariance, b.Covariance)
	// A covariate in another unit and from another zero: the ratio for the same
	// step and the mean at the same place stay.
	other := slices.Clone(rows)
	for i := range other {
		other[i].X = []float64{rows[i].X[0], 1000 + 10*rows[i].X[1]}
	}
	m, err := FitCountRegression(rows, 0)
	require.NoError(t, err)
	o, err := FitCountRegression(other, 0)
	require.NoError(t, err)
	require.Equal(t, stats.OK, o.Status)
	x, y := m.Coefficient(2, Profile), o.Coefficient(2, Profile)
	statstest.NearAll(t, []float64{x.Value, x.Lo, x.Hi}, []float64{10 * y.Value, 10 * y.Lo, 10 * y.Hi}, 1e-6, "coefficient")
	x, y = m.Mean([]float64{1, 2}, Profile), o.Mean([]float64{1, 1020}, Profile)
	statstest.NearAll(t, []float64{x.Value, x.Lo, x.Hi}, []float64{y.Value, y.Lo, y.Hi}, 1e-6, "mean")
	statstest.Near(t, math.Exp(m.Coefficient(1, Wald).Hi), m.Ratio(1, Wald).Hi, 1e-12, "ratio")
	require.True(t, m.Coefficient(1, ProfileF).Hi > m.Coefficient(1, Profile).Hi)
}

func TestRegressionDegenerate(t *testing.T) {
	row := func(n int, x ...float64) CountRow { return CountRow{Count: Exactly(n), X: x} }
	for name, c := range map[string]struct {
		rows   []CountRow
		status stats.Status
		code   string
	}{
		"nothing":          {nil, stats.TooLittle, "no-observations"},
		"one":              {[]CountRow{row(4)}, stats.TooLittle, "few-observations"},
		"all zero":         {[]CountRow{row(0, 1), row(0, 2), row(0, 4)}, stats.TooLittle, "all-zero"},
		"never varied":     {[]CountRow{row(3, 2), row(9, 2), row(4, 2), row(8, 2)}, stats.NotIdentifiable, "no-single-fit"},
		"always together":  {[]CountRow{row(3, 1, 2), row(9, 2, 4), row(4, 3, 6), row(8, 4, 8)}, stats.NotIdentifiable, "no-single-fit"},
		"none in a group":  {[]CountRow{row(3, 0), row(9, 0), row(0, 1), row(0, 1)}, stats.NotIdentifiable, "no-single-fit"},
		"one of each only": {[]CountRow{row(3, 0), row(9, 1)}, stats.TooLittle, "few-observations"},
	} {
		m, err := FitCountRegression(c.rows, 0)
		require.NoError(t, err, name)
		require.Equal(t, c.code, m.Warnings[0].Code, name)
		noNumbers(t, c.status, m.Coefficient(0, Profile))
		noNumbers(t, c.status, m.Mean(make([]float64, len(m.Coef)-1), Wald))
		require.True(t, math.IsNaN(m.Coef[0]) && math.IsNaN(m.Size) && math.IsNaN(m.LogLik) && m.Covariance == nil, name)
		for _, byCluster := range []bool{false, true} {
			q, err := FitQuasiPoisson(c.rows, QuasiSettings{ByCluster: byCluster})
			require.NoError(t, err, name)
			require.Equal(t, c.code, q.Warnings[0].Code, name)
			noNumbers(t, c.status, q.Coefficient(0))
			require.True(t, math.IsNaN(q.Ratio(0).P))
		}
	}
	alike := []CountRow{row(200, 0), row(200, 0), row(300, 1), row(300, 1)}
	m, err := FitCountRegression(alike, 0)
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, m.Status)
	require.True(t, math.IsInf(m.Size, 1))
	statstest.Near(t, 1.5, m.Ratio(1, Profile).Value, 1e-9, "ratio")
	q, err := FitQuasiPoisson(alike, QuasiSettings{})
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, q.Status)
	e := q.Ratio(1)
	require.True(t, e.Lo == 0 && math.IsInf(e.Hi, 1) && math.IsNaN(e.P), "%v", e)
	q, err = FitQuasiPoisson(simulatedRows(1, 8)[:4], QuasiSettings{ByCluster: true})
	require.NoError(t, err)
	require.Equal(t, "rests-on-one", q.Warnings[0].Code)
	one := simulatedRows(1, 20)
	for i := range one {
		one[i].Cluster = 4
	}
	q, err = FitQuasiPoisson(one, QuasiSettings{ByCluster: true})
	require.NoError(t, err)
	require.Equal(t, "one-cluster", q.Warnings[0].Code)
	for i := range one {
		one[i].Cluster = i % 3
	}
	q, err = FitQuasiPoisson(one, QuasiSettings{ByCluster: true})
	require.NoError(t, err)
	require.Equal(t, "few-clusters", q.Warnings[0].Code)
}

func TestRegressionInputs(t *testing.T) {
	bad := []CountRow{
		{Count: Exactly(1)}, {Count: Exactly(-1), X: []float64{1}}, {Count: Exactly(1), X: []float64{inf}}, {Count: Exactly(1), X: []float64{1}, Times: -1},
	}
	for _, b := range bad {
		rows := []CountRow{{Count: Exactly(1), X: []float64{0}}, b}
		_, err := FitCountRegression(rows, 0)
		require.ErrorContains(t, err, "observation 2")
		_, err = FitQuasiPoisson(rows, QuasiSettings{})
		require.ErrorContains(t, err, "observation 2")
	}
	_, err := FitQuasiPoisson([]CountRow{{Count: Count{Lo: 1, Hi: 3}}}, QuasiSettings{})
	require.ErrorContains(t, err, "1 to 3")
	_, err = FitQuasiPoisson(nil, QuasiSettings{Level: 2})
	require.ErrorContains(t, err, "level")
	_, err = FitCountRegression(nil, 2)
	require.ErrorContains(t, err, "level")
	m, err := FitCountRegression(simulatedRows(1, 12), 0)
	require.NoError(t, err)
	q, err := FitQuasiPoisson(simulatedRows(1, 12), QuasiSettings{})
	require.NoError(t, err)
	require.Panics(t, func() { m.Coefficient(3, Wald) })
	require.Panics(t, func() { m.Mean(nil, Wald) })
	require.Panics(t, func() { q.Coefficient(-1) })
	require.Panics(t, func() { q.Mean(nil) })
}

// Twelve keepers of differing skill, five clutches each, a food that only some
// keepers use and that does nothing: leaving out keepers covers, taking the
// clutches for independent does not.
func TestKeepersSimulation(t *testing.T) {
	const replicates = 300
	r := rand.New(rand.NewPCG(8, 8))
	var byKeeper, independent float64
	for range replicates {
		var rows []CountRow
		for g := range 12 {
			mean := 200 * math.Exp(0.5*r.NormFloat64())
			for range 5 {
				rows = append(rows, CountRow{Count: Exactly(int(draw(r, mean, 10))), X: []float64{float64(g % 2)}, Cluster: g})
			}
		}
		q, err := FitQuasiPoisson(rows, QuasiSettings{ByCluster: true})
		require.NoError(t, err)
		byKeeper += covers(q.Ratio(1).Estimate, 1) / replicates
		m, err := FitCountRegression(rows, 0)
		require.NoError(t, err)
		independent += covers(m.Ratio(1, Wald), 1) / replicates
	}
	t.Logf("coverage at 95%%: by keeper %.3f, clutches independent %.3f", byKeeper, independent)
	require.InDelta(t, 0.95, byKeeper, 0.04)
	require.Less(t, independent, 0.8, "the rival must fail visibly")
}

// With more rows than are added up together the sums are made side by side; the number
// of processors changes no bit of them.
func TestManyRowsOnAnyNumberOfProcessors(t *testing.T) {
	rows := simulatedRows(2, 2*rowsTogether+500)
	for i := range rows {
		rows[i].X = append(rows[i].X, float64(i)/float64(len(rows))) // no two alike
	}
	answer := func() string {
		m, err := FitCountRegression(rows, 0)
		require.NoError(t, err)
		require.Len(t, m.like.rows, len(rows))
		q, err := FitQuasiPoisson(rows, QuasiSettings{ByCluster: true})
		require.NoError(t, err)
		return fmt.Sprint(m.Coef, m.Size, m.LogLik, m.Covariance.RawSymmetric().Data, q.Coef, q.Covariance.RawSymmetric().Data)
	}
	want := answer()
	for _, processors := range []int{1, 8} {
		func() {
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(processors))
			require.Equal(t, want, answer(), "on %d processors", processors)
		}()
	}
}
