package logit

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

// R 4.2.2, pROC 1.18.0, car 3.1-1: see stats/testdata/reference/SOURCES.md.
func TestDiscriminationReference(t *testing.T) {
	for id, columns := range map[string][]string{
		"auc_birthwt": {"age", "lwt", "race2", "race3", "smoke", "ptd", "ht", "ui"},
		"auc_pima":    {"npreg", "glu", "bp", "skin", "bmi", "ped", "age"},
	} {
		c := statstest.Load(t, id)
		m := requireFit(t, referenceData(t, c, columns), Options{})
		p, y := m.Probabilities(), m.data.Y
		a, err := AUC(p, y, c.Float("level"))
		require.NoError(t, err)
		require.Equal(t, stats.OK, a.Status)
		require.Equal(t, []int{int(c.Float("n")), int(c.Float("events"))}, []int{a.N, a.Events})
		c.Near(a.Value, "auc")
		c.Near(a.SE, "delong_se")
		c.NearAll([]float64{a.Lo, a.Hi}, "delong_ci")
		c.Near(a.HanleyMcNeilSE, "hanley_mcneil_se")
		c.Near(2*a.Value-1, "somers_dxy")
		mcFadden, nagelkerke := m.PseudoR2()
		c.Near(mcFadden, "mcfadden_r2")
		c.Near(nagelkerke, "nagelkerke_r2")
		s, err := Score(p, y)
		require.NoError(t, err)
		c.Near(s.Brier, "brier")
		c.Near(s.Scaled, "brier_scaled")
		c.Near(s.Tjur, "tjur_r2")
		groups, err := c.Options.Get("hl_groups").Float()
		require.NoError(t, err)
		for name, cuts := range map[string]Cuts{"hosmer_lemeshow": Type7, "hosmer_lemeshow_type6_breaks": Type6} {
			h, err := Calibrate(p, y, int(groups), cuts)
			require.NoError(t, err)
			require.Len(t, h.Groups, int(groups))
			for g, group := range h.Groups {
				statstest.Near(t, c.Floats(name, "cutpoints")[g+1], group.To, c.Tol(name), id+" cut")
				statstest.Near(t, c.Floats(name, "observed")[g], group.Observed, c.Tol(name), id+" observed")
				statstest.Near(t, c.Floats(name, "expected")[g], group.Expected, c.Tol(name), id+" expected")
				require.Equal(t, int(c.Floats(name, "n")[g]), group.N)
			}
			c.Near(h.Test.Statistic, name, "chisq")
			c.Near(h.Test.P, name, "p")
			require.Equal(t, int(c.Float(name, "df")), h.Test.DF)
		}
		if c.Has("vif") {
			c.NearAll(m.VarianceInflation(), "vif")
			continue
		}
		c.Near(m.GeneralizedVarianceInflation(2, 3), "gvif", "race", "GVIF")
		c.Near(m.VarianceInflation()[0], "gvif", "age", "GVIF")
		c.Near(m.VarianceInflation()[7], "gvif", "ui", "GVIF")
	}
}

// R 4.2.2, pROC 1.18.0 (roc, roc.test).
func TestCompareAUCReference(t *testing.T) {
	c := statstest.Load(t, "auc_asah_markers_paired")
	table := statstest.LoadTable(t, c.Dataset()[0])
	areas := map[string]Discrimination{}
	for _, marker := range []string{"s100b", "wfns", "ndka"} {
		a, err := AUC(table.Floats(marker), table.Floats("poor"), 0.95)
		require.NoError(t, err)
		c.Near(a.Value, marker, "auc")
		c.Near(a.SE, marker, "delong_se")
		c.NearAll([]float64{a.Lo, a.Hi}, marker, "delong_ci95")
		areas[marker] = a
	}
	for _, pair := range [][2]string{{"s100b", "wfns"}, {"s100b", "ndka"}, {"wfns", "ndka"}} {
		name := pair[0] + "_vs_" + pair[1]
		d := CompareAUC(areas[pair[0]], areas[pair[1]])
		c.Near(d.Z, name, "z")
		c.Near(d.P, name, "p")
		c.Near(d.Covariance, name, "covariance")
	}
	same := CompareAUC(areas["wfns"], areas["wfns"])
	require.Zero(t, same.Value)
	require.True(t, math.IsNaN(same.P)) // a score against itself has no test
}

// The area by counting pairs; a rising transformation changes nothing, a falling
// one or turned outcomes give 1 less it.
func TestAUCLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(141, 142))
	var x, y, up, down, turned []float64
	for range 60 {
		v := float64(rng.IntN(9))
		o := float64(rng.IntN(2))
		x, y, up, down, turned = append(x, v), append(y, o), append(up, math.Exp(v)), append(down, -v), append(turned, 1-o)
	}
	pairs, sum := 0.0, 0.0
	for i := range x {
		for k := range x {
			if y[i] == 1 && y[k] == 0 {
				pairs++
				switch {
				case x[i] > x[k]:
					sum++
				case x[i] == x[k]:
					sum += 0.5
				}
			}
		}
	}
	a, err := AUC(x, y, 0.95)
	require.NoError(t, err)
	statstest.Near(t, sum/pairs, a.Value, 1e-12, "pairs")
	for name, got := range map[string][2][]float64{"up": {up, y}, "down": {down, y}, "turned": {x, turned}} {
		b, err := AUC(got[0], got[1], 0.95)
		require.NoError(t, err)
		want := 1 - a.Value
		if name == "up" {
			want = a.Value
		}
		statstest.Near(t, want, b.Value, 1e-12, name)
		statstest.Near(t, a.SE, b.SE, 1e-10, name)
	}
}

func TestDiscriminationRefusals(t *testing.T) {
	a, err := AUC([]float64{1, 2, 3}, []float64{1, 0, 0}, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.TooLittle, a.Status)
	require.True(t, math.IsNaN(a.Value) && math.IsNaN(a.SE))
	a, err = AUC([]float64{1, 2, 3, 4}, []float64{0, 0, 1, 1}, 0.95)
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, a.Status)
	require.Equal(t, 1.0, a.Value)
	_, err = AUC([]float64{1, 2}, []float64{1, 0.5}, 0.95)
	require.EqualError(t, err, "observation 2: the outcome 0.5 is neither 0 nor 1")
	_, err = AUC([]float64{1, math.NaN()}, []float64{1, 0}, 0.95)
	require.Error(t, err)
	_, err = AUC([]float64{1}, []float64{1, 0}, 0.95)
	require.EqualError(t, err, "there are 1 scores but 2 outcomes")
	_, err = Score([]float64{1.2}, []float64{1})
	require.EqualError(t, err, "observation 1: the chance does not lie between 0 and 1")
	s, err := Score([]float64{0.2, 0.4}, []float64{1, 1})
	require.NoError(t, err)
	require.True(t, math.IsNaN(s.Tjur))
	h, err := Calibrate([]float64{0.5, 0.5, 0.5}, []float64{1, 0, 1}, 10, Type7)
	require.NoError(t, err)
	require.Equal(t, []CalibrationGroup{{From: 0.5, To: 0.5, N: 3, Observed: 2, Expected: 1.5}}, h.Groups)
	require.Equal(t, stats.TooLittle, h.Test.Status)
	h, err = Calibrate(nil, nil, 10, Type7)
	require.NoError(t, err)
	require.Empty(t, h.Groups)
}

func BenchmarkAUC(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	x, y := make([]float64, 1e5), make([]float64, 1e5)
	for i := range x {
		x[i], y[i] = rng.Float64(), float64(rng.IntN(2))
	}
	for b.Loop() {
		if _, err := AUC(x, y, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
