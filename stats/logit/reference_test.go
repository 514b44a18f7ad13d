package logit

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
	"gravid/stats/tail"
)

// The wanted numbers of this file were computed with R 4.2.2 (glm, brglm2 0.9,
// lpSolve): see stats/testdata/reference/SOURCES.md.

// outcomes names the 0/1 outcome of each data set that has one.
var outcomes = map[string]string{
	"birthwt": "low", "infert": "case", "pima_tr": "type", "endometrial": "HG",
	"iris_setosa_versicolor": "versicolor", "ucb_admissions": "Admitted",
}

// referenceData builds the data of a case: the columns named in values/columns
// (or the given ones), a factor f giving f<level> for each level but the first,
// a:b the product of two columns.
func referenceData(t *testing.T, c *statstest.Case, columns []string) Data {
	t.Helper()
	table := statstest.LoadTable(t, c.Dataset()[0])
	option := func(key string) string {
		s, err := c.Options.Get(key).Text()
		if err != nil {
			return ""
		}
		return s
	}
	var d Data
	if s := option("successes"); s != "" {
		d.Y = table.Floats(s)
		d.N = table.Floats(option("failures"))
		for i, y := range d.Y {
			d.N[i] += y
		}
	} else if table.Name == "lizards" { // the Firth case leaves the counts to its formula
		d.Y, d.N = table.Floats("grahami"), table.Floats("opalinus")
		for i, y := range d.Y {
			d.N[i] += y
		}
	} else {
		require.Contains(t, outcomes, table.Name)
		d.Y = table.Floats(outcomes[table.Name])
	}
	if s := option("frequency_weight_column"); s != "" {
		d.Weights = table.Floats(s)
	}
	if s := option("offset_column"); s != "" {
		d.Offset = table.Floats(s)
	}
	for _, name := range columns {
		if name != "(Intercept)" {
			d.Names = append(d.Names, name)
			d.X = append(d.X, referenceColumn(t, table, name))
		}
	}
	return d
}

func referenceColumn(t *testing.T, table *statstest.Table, name string) []float64 {
	t.Helper()
	if table.Has(name) {
		return table.Floats(name)
	}
	if a, b, ok := strings.Cut(name, ":"); ok {
		x, y := referenceColumn(t, table, a), referenceColumn(t, table, b)
		for i := range x {
			x[i] *= y[i]
		}
		return x
	}
	for _, f := range table.Columns {
		level, ok := strings.CutPrefix(name, f)
		if !ok || !slices.Contains(table.Texts(f), level) {
			continue
		}
		x := make([]float64, table.Len())
		for i, v := range table.Texts(f) {
			if v == level {
				x[i] = 1
			}
		}
		return x
	}
	t.Fatalf("%s has no column or factor level %q", table.Name, name)
	return nil
}

func requireFit(t testing.TB, d Data, o Options) *Model {
	t.Helper()
	m, err := Fit(d, o)
	require.NoError(t, err)
	require.Equal(t, stats.OK, m.Status, "%v", m.Warnings)
	return m
}

// checkParameters compares everything that a case has for each parameter.
func checkParameters(t *testing.T, c *statstest.Case, m *Model) {
	t.Helper()
	level := c.Float("level")
	z := tail.NormalUpperQuantile((1 - level) / 2)
	coef := append([]float64{m.Intercept[0]}, m.Coef...)
	se := append([]float64{m.InterceptSE[0]}, m.SE...)
	c.NearAll(coef, "coef")
	c.NearAll(se, "se")
	cov := [][]float64{append([]float64{m.CovIntercept(0, 0)}, m.CovInterceptSlopes(0)...)}
	for j := range m.Coef {
		cov = append(cov, append([]float64{m.CovInterceptSlopes(0)[j]}, m.Cov[j]...))
	}
	c.NearMatrix(cov, "vcov")
	var wald, profile [][]float64
	for k := range coef {
		wald = append(wald, []float64{coef[k] - z*se[k], coef[k] + z*se[k]})
		e := m.ProfileIntercept(0, level)
		if k > 0 {
			e = m.Profile(k-1, level)
		}
		require.Equal(t, stats.OK, e.Status)
		require.Equal(t, coef[k], e.Value)
		profile = append(profile, []float64{e.Lo, e.Hi})
	}
	c.NearMatrix(wald, "wald_ci")
	c.NearMatrix(profile, "profile_ci")
	names := c.Texts("columns")
	for j := range m.Coef {
		one := make([]float64, len(m.Coef))
		one[j] = 1
		contrast, err := m.Contrast(one, level)
		require.NoError(t, err)
		if m.Separation.Involves(j) {
			require.Equal(t, stats.Separated, contrast.Status)
			require.Equal(t, stats.Separated, m.Wald(j, level).Status)
			require.Equal(t, stats.Separated, m.WaldTest(j).Status)
			continue
		}
		e := m.Wald(j, level)
		statstest.NearAll(t, wald[j+1], []float64{e.Lo, e.Hi}, 1e-14, c.ID+" Wald")
		c.Near(m.WaldTest(j).P, "p_wald", names[j+1])
		statstest.NearAll(t, []float64{coef[j+1], se[j+1], e.Lo, e.Hi}, []float64{contrast.Value, contrast.SE, contrast.Lo, contrast.Hi}, 1e-12, c.ID+" contrast")
		c.Near(contrast.P, "p_wald", names[j+1])
	}
	e := m.WaldIntercept(0, level)
	statstest.NearAll(t, wald[0], []float64{e.Lo, e.Hi}, 1e-14, c.ID+" Wald, intercept")
	c.Near(m.WaldTestIntercept(0).P, "p_wald", names[0])
}

func TestReferenceMaximumLikelihood(t *testing.T) {
	for _, id := range statstest.IDs(t, "logistic_*") {
		c := statstest.Load(t, id)
		if !c.Has("coef") {
			continue // separation cases have a test of their own
		}
		t.Run(id, func(t *testing.T) {
			c := statstest.Load(t, id)
			d := referenceData(t, c, c.Texts("columns"))
			m := requireFit(t, d, Options{})
			checkParameters(t, c, m)
			require.Equal(t, c.Float("n_rows_used"), float64(m.Rows))
			require.Equal(t, c.Float("df_residual"), float64(m.DF))
			require.Equal(t, c.Float("df_null"), float64(m.DF+len(m.Coef)))
			c.Near(m.BIC, "bic")
			c.Near(m.NullDeviance(), "null_deviance")
			for j, name := range m.Names {
				c.Near(math.Exp(m.Coef[j]), "odds_ratio", name)
				c.Near(m.Coef[j]/m.SE[j], "z", name)
			}
			c.Near(m.LogLik, "loglik")
			c.Near(m.Kernel, "loglik_kernel_no_binomial_constant")
			c.Near(m.Deviance, "deviance")
			c.Near(m.AIC, "aic")
			all := make([]int, len(m.Coef))
			for j := range all {
				all[j] = j
			}
			global := m.LRTest(all...)
			c.Near(global.Statistic, "lr_global", "chisq")
			c.Near(global.P, "lr_global", "p")
			require.Equal(t, c.Float("lr_global", "df"), float64(global.DF))
			c.Near(m.Deviance+global.Statistic, "null_deviance")
			checkDropEachTerm(t, c, m)
			first := len(c.Floats("fitted_first_rows"))
			c.NearAll(m.Probabilities()[:first], "fitted_first_rows")
			c.NearAll(m.LinearPredictor()[:first], "link_first_rows")
			c.NearAll(m.LinearPredictorSE()[:first], "se_link_first_rows")
			if c.Has("lr_vs_no_interactions") {
				n := len(m.Coef)
				test := m.LRTest(n-2, n-1)
				c.Near(test.Statistic, "lr_vs_no_interactions", "chisq")
				c.Near(test.P, "lr_vs_no_interactions", "p")
			}
		})
	}
}

// checkDropEachTerm compares the test of each term, all levels of a factor at
// once. With interactions R tests only the terms that no interaction needs.
func checkDropEachTerm(t *testing.T, c *statstest.Case, m *Model) {
	t.Helper()
	terms := c.Texts("lr_drop_each_term", "term")
	require.NotEmpty(t, terms)
	for k, term := range terms {
		var columns []int
		for j, name := range m.Names {
			if name == term || strings.HasPrefix(name, term) && c.Options.Get("factors", term) != nil {
				columns = append(columns, j)
			}
		}
		test := m.LRTest(columns...)
		require.Equal(t, c.Floats("lr_drop_each_term", "df")[k], float64(test.DF), term)
		statstest.Near(t, c.Floats("lr_drop_each_term", "chisq")[k], test.Statistic, c.Tol("lr_drop_each_term"), term+" chi-square")
		statstest.Near(t, c.Floats("lr_drop_each_term", "p")[k], test.P, c.Tol("lr_drop_each_term"), term+" p")
	}
}

func TestReferenceFirth(t *testing.T) {
	for _, id := range statstest.IDs(t, "firth_*") {
		t.Run(id, func(t *testing.T) {
			c := statstest.Load(t, id)
			d := referenceData(t, c, c.Texts("columns"))
			m := requireFit(t, d, Options{Penalty: Firth})
			checkParameters(t, c, m)
			c.Near(m.Kernel, "loglik_kernel")
			require.Equal(t, c.Float("n_rows_used"), float64(m.Rows))
			c.Near(m.HalfLogDet, "half_log_det_information")
			c.Near(m.PenalizedLogLik, "penalised_loglik")
			first := len(c.Floats("fitted_first_rows"))
			c.NearAll(m.Probabilities()[:first], "fitted_first_rows")
			if c.Has("flic_intercept") {
				c.NearAll(m.Recalibrate(), "flic_intercept")
				sum := 0.0
				for _, p := range m.RecalibratedProbabilities() {
					sum += p
				}
				statstest.Near(t, m.Successes, sum, 1e-10, c.ID+": recalibrated chances add up to the events")
			}
			var all []int
			for k, name := range c.Texts("columns") {
				test := m.LRTestIntercept(0)
				if k > 0 {
					all = append(all, k-1)
					test = m.LRTest(k - 1)
				}
				c.Near(test.Statistic, "penalised_lr_chisq", name)
				c.Near(test.P, "penalised_lr_p", name)
			}
			if c.Has("global_penalised_lr") {
				test := m.LRTest(all...)
				c.Near(test.Statistic, "global_penalised_lr", "chisq")
				c.Near(test.P, "global_penalised_lr", "p")
			}
		})
	}
}

func TestReferenceSeparation(t *testing.T) {
	found := 0
	for _, id := range statstest.IDs(t, "logistic_*") {
		if !statstest.Load(t, id).Has("separated") {
			continue
		}
		found++
		t.Run(id, func(t *testing.T) {
			c := statstest.Load(t, id)
			d := referenceData(t, c, c.Keys("direction"))
			sep, err := DetectSeparation(d)
			require.NoError(t, err)
			require.Equal(t, c.Bool("separated"), sep.Separated())
			require.Equal(t, c.Text("kind"), sep.Kind.String())
			for j := range d.X {
				want := map[string]int{"Inf": 1, "-Inf": -1, "direction_not_unique": 0}
				text := c.Text("direction", d.Name(j))
				if text == "finite" {
					require.False(t, sep.Involves(j), d.Name(j))
					continue
				}
				k := slices.IndexFunc(sep.Columns, func(s SeparatedColumn) bool { return s.Column == j })
				require.GreaterOrEqual(t, k, 0, d.Name(j))
				require.Equal(t, d.Name(j), sep.Columns[k].Name)
				require.Equal(t, want[text], sep.Columns[k].Direction, d.Name(j))
			}
			m, err := Fit(d, Options{})
			require.NoError(t, err)
			if sep.Separated() {
				require.Equal(t, stats.Separated, m.Status)
				require.True(t, math.IsNaN(m.Coef[0]) && math.IsNaN(m.LogLik), "no numbers")
			} else {
				require.Equal(t, stats.OK, m.Status)
			}
		})
	}
	require.Equal(t, 4, found)
}

// As NV runs off to infinity the other columns are fitted to the rows without it.
func TestReferenceEndometrialLimit(t *testing.T) {
	c := statstest.Load(t, "logistic_endometrial_quasi_separation")
	all := referenceData(t, c, c.Keys("direction"))
	d := Data{Names: []string{"PI", "EH"}, X: make([][]float64, 2)}
	for i, nv := range all.X[0] {
		if nv == 0 {
			d.Y = append(d.Y, all.Y[i])
			d.X[0] = append(d.X[0], all.X[1][i])
			d.X[1] = append(d.X[1], all.X[2][i])
		}
	}
	m := requireFit(t, d, Options{})
	c.Near(m.Kernel, "loglik_supremum")
	c.NearAll(append([]float64{m.Intercept[0]}, m.Coef...), "limit_coef_other_columns")
	c.NearAll(append([]float64{m.InterceptSE[0]}, m.SE...), "limit_se_other_columns")
	var ends [][]float64
	for _, e := range []stats.Estimate{m.ProfileIntercept(0, 0.95), m.Profile(0, 0.95), m.Profile(1, 0.95)} {
		ends = append(ends, []float64{e.Lo, e.Hi})
	}
	c.NearMatrix(ends, "profile_ci95_other")
	// Without NV altogether the likelihood is lower by half the published test.
	statstest.Near(t, c.Float("lr_test_NV", "chisq"), 2*(m.Kernel-requireFit(t, all.Drop(0), Options{}).Kernel), c.Tol("lr_test_NV"), "likelihood ratio of NV")
}

// Heinze & Schemper (2002), Statistics in Medicine 21:2409, table for the
// endometrial cancer data; the figures are quoted from memory.
func TestHeinzeSchemper2002(t *testing.T) {
	c := statstest.Load(t, "firth_endometrial")
	m := requireFit(t, referenceData(t, c, c.Texts("columns")), Options{Penalty: Firth})
	statstest.NearAll(t, []float64{2.929, -0.035, -2.604}, m.Coef, 0.02, "slopes as printed")
	e := m.Profile(0, 0.95)
	statstest.NearAll(t, []float64{0.61, 7.85}, []float64{e.Lo, e.Hi}, 0.01, "interval of NV as printed")
	require.True(t, m.Separation.Involves(0))
	require.Equal(t, QuasiComplete, m.Separation.Kind)
}

// Four keepers, a trigger that never failed: R 4.2.2, optim (BFGS, reltol 1e-16)
// on sum(y*eta - n*log1p(exp(eta))) + 0.5*log det(X'WX) with X =
// model.matrix(~ 0 + keeper + x), profile by optim and uniroot (tol 1e-8).
func TestFirthWithGroupsAgainstR(t *testing.T) {
	d := Data{
		X: [][]float64{{1, 0, 1, 0, 1, 0, 1, 0}},
		Y: []float64{5, 3, 6, 2, 4, 4, 7, 5}, N: []float64{5, 8, 6, 7, 4, 6, 7, 9},
		Group: []int{1, 1, 2, 2, 3, 3, 4, 4},
	}
	m := requireFit(t, d, Options{Penalty: Firth})
	statstest.Near(t, 3.9112363730, m.Coef[0], 1e-6, "slope")
	statstest.NearAll(t, []float64{-0.4557722524, -0.7840585760, 0.5831337499, 0.1978701251}, m.Intercept, 1e-5, "intercepts")
	e := m.Profile(0, 0.95)
	statstest.NearAll(t, []float64{1.7746519, 8.7900555}, []float64{e.Lo, e.Hi}, 1e-5, "profile")
	statstest.Near(t, 1.071465e-05, m.LRTest(0).P, 1e-5, "p")
}
