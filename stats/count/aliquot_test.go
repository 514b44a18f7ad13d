package count

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"gravid/stats"
	"gravid/stats/internal/statstest"
)

func TestAliquotReference(t *testing.T) {
	c := statstest.Load(t, "count_aliquots")
	for _, name := range c.Keys() {
		var aliquots []Aliquot
		amounts := c.Floats(name, "amount")
		for i, n := range whole(c.Floats(name, "counted")) {
			aliquots = append(aliquots, Aliquot{n, amounts[i]})
		}
		d, err := AliquotDensity(aliquots, 0)
		require.NoError(t, err)
		require.Equal(t, stats.OK, d.Status)
		c.Near(d.Value, name, "density")
		c.NearAll([]float64{d.Lo, d.Hi}, name, "density_limits")
		e, err := AliquotTotal(aliquots, Lot{Size: Measured{Value: c.Float(name, "size")}}, 0)
		require.NoError(t, err)
		require.Equal(t, stats.OK, e.Status)
		c.Near(e.Value, name, "total")
		c.NearAll([]float64{e.Lo, e.Hi}, name, "total_limits")
	}
	// The weighed samples of a hatchery-techniques lesson: 22.4 eggs/g, 7096 eggs.
	require.InDelta(t, 22.4, c.Float("teaching", "density"), 0.05)
	require.InDelta(t, 7096, c.Float("teaching", "total"), 0.5)
}

func TestRatioOfTotalsReference(t *testing.T) {
	c := statstest.Load(t, "count_ratio_jackknife")
	var parts []Part
	exposure, amount := c.Floats("exposure"), c.Floats("amount")
	for i, g := range whole(c.Floats("cluster")) {
		parts = append(parts, Part{Amount: amount[i], Exposure: exposure[i], Cluster: g})
	}
	e, err := RatioOfTotals(parts, 0)
	require.NoError(t, err)
	c.Near(e.Value, "ratio")
	c.NearAll([]float64{e.Lo, e.Hi}, "limits")
	clusters, total := byCluster(parts)
	c.Near(leaveOneOut(clusters, total, e.Value), "se")
}

// Another unit, another order and lots of several aliquots change nothing but
// the unit; an error in reading the lot's size adds to the others.
func TestAliquotLaws(t *testing.T) {
	aliquots := []Aliquot{{41, 2.5}, {55, 3}, {38, 2}, {60, 3.1}}
	a, err := AliquotTotal(aliquots, Lot{Size: Measured{Value: 70}}, 0)
	require.NoError(t, err)
	turned := []Aliquot{{60, 3100}, {38, 2000}, {55, 3000}, {41, 2500}}
	b, err := AliquotTotal(turned, Lot{Size: Measured{Value: 70000}}, 0)
	require.NoError(t, err)
	statstest.NearAll(t, []float64{a.Value, a.Lo, a.Hi}, []float64{b.Value, b.Lo, b.Hi}, 1e-12, "microlitres")
	read, err := AliquotTotal(aliquots, Lot{Size: Measured{70, 5}}, 0)
	require.NoError(t, err)
	require.True(t, read.Lo < a.Lo && a.Hi < read.Hi)
	certain, err := AliquotTotal(aliquots, Lot{Size: Measured{70, 20}}, 0) // now nearly all of the error
	require.NoError(t, err)
	require.InDelta(t, 1.96*20.0/70, math.Log(certain.Hi/certain.Value), 0.02, "many degrees of freedom: normal limits of the size's own error")
	all, err := AliquotTotal([]Aliquot{{10, 0.5}, {30, 0.5}}, Lot{Size: Measured{Value: 1}}, 0)
	require.NoError(t, err)
	require.Equal(t, []float64{40, 40, 40}, []float64{all.Value, all.Lo, all.Hi}, "everything was counted")
	stirred, err := AliquotTotal([]Aliquot{{60, 0.2}}, Lot{Size: Measured{Value: 1}, Stirred: true}, 0)
	require.NoError(t, err)
	sampled, err := SampledTotal(60, 0.2, 0)
	require.NoError(t, err)
	statstest.NearAll(t, []float64{sampled.Value, sampled.Lo, sampled.Hi}, []float64{stirred.Value, stirred.Lo, stirred.Hi}, 1e-12, "one aliquot of a stirred lot")
}

func TestAliquotDegenerate(t *testing.T) {
	lot := Lot{Size: Measured{Value: 100}}
	stirred := Lot{Size: Measured{Value: 100, SE: 1}, Stirred: true}
	for code, aliquots := range map[string][]Aliquot{"no-observations": nil, "one-aliquot": {{12, 3}}, "all-zero": {{0, 3}, {0, 2}}} {
		e, err := AliquotTotal(aliquots, lot, 0)
		require.NoError(t, err)
		noNumbers(t, stats.TooLittle, e)
		require.Equal(t, code, e.Warnings[0].Code)
		e, err = AliquotDensity(aliquots, 0)
		require.NoError(t, err)
		noNumbers(t, stats.TooLittle, e)
		require.Equal(t, code, e.Warnings[0].Code)
	}
	none, err := AliquotTotal([]Aliquot{{0, 3}, {0, 2}}, stirred, 0)
	require.NoError(t, err)
	require.Equal(t, stats.OK, none.Status)
	require.Equal(t, []float64{0, 0}, []float64{none.Value, none.Lo})
	require.True(t, none.Hi > 20 && !math.IsInf(none.Hi, 1), "%v", none)
	require.Equal(t, "all-zero", none.Warnings[0].Code)
	alike := []Aliquot{{40, 2}, {20, 1}, {60, 3}}
	e, err := AliquotTotal(alike, lot, 0)
	require.NoError(t, err)
	require.Equal(t, stats.Boundary, e.Status)
	require.Equal(t, []float64{2000, 120, math.Inf(1)}, []float64{e.Value, e.Lo, e.Hi})
	e, err = AliquotTotal(alike, stirred, 0)
	require.NoError(t, err)
	require.Equal(t, stats.OK, e.Status)
	require.InDelta(t, 2*math.Hypot(1/math.Sqrt(120), 0.01), math.Log(e.Hi/e.Value), 0.03)
	two, err := AliquotDensity([]Aliquot{{40, 2}, {26, 1}}, 0)
	require.NoError(t, err)
	require.Equal(t, "two-samples", two.Warnings[0].Code)
	for want, call := range map[string]func() error{
		"-1 counted":         func() error { _, err := AliquotDensity([]Aliquot{{-1, 2}}, 0); return err },
		"observation 2":      func() error { _, err := AliquotDensity([]Aliquot{{1, 2}, {1, math.NaN()}}, 0); return err },
		"more than the lot":  func() error { _, err := AliquotTotal([]Aliquot{{1, 200}}, lot, 0); return err },
		"size of the lot":    func() error { _, err := AliquotTotal(nil, Lot{}, 0); return err },
		"standard error":     func() error { _, err := AliquotTotal(nil, Lot{Size: Measured{1, -1}}, 0); return err },
		"level":              func() error { _, err := AliquotTotal(nil, lot, 2); return err },
		"row without eggs":   func() error { _, err := TroughDensity([]Aliquot{{0, 2}}, Trough{}, 0); return err },
		"of a length":        func() error { _, err := TroughDensity([]Aliquot{{2, 2}}, Trough{Reading: -1}, 0); return err },
		"fill 1.5":           func() error { _, err := TroughDensity(nil, Trough{Packing: Measured{1.5, 0}}, 0); return err },
		"packing":            func() error { _, err := TroughDensity(nil, Trough{Packing: Measured{-1, 0}}, 0); return err },
		"volume of the eggs": func() error { _, err := TroughTotal(nil, Trough{}, Measured{}, 0); return err },
	} {
		require.ErrorContains(t, call(), want)
	}
}

// Numbers of herring eggs to the liquid quart printed for their diameters in
// inches (Howell, Ocean Research and the Great Fisheries, 1921, p. 156, after
// the American tables). The second is a rounder number than the others.
func TestTroughPublished(t *testing.T) {
	const inch, quart = 25.4, 0.946352946 // mm, litres (definitions)
	for _, row := range []struct{ inches, perQuart, within float64 }{
		{0.035, 1578000, 0.001}, {0.039, 1150000, 0.01}, {0.050, 541000, 0.001}, {0.058, 347000, 0.001},
	} {
		e, err := TroughDensity([]Aliquot{{100, 100 * row.inches * inch}}, Trough{Reading: 0.5}, 0)
		require.NoError(t, err)
		require.InEpsilon(t, row.perQuart, e.Value*quart, row.within, "%v inches", row.inches)
	}
	// Eggs of 1.4 and 4.0 mm that fill 0.60 (derivation: 0.6e6/(pi d^3/6)).
	for d, want := range map[float64]float64{1.4: 417608, 4.0: 17905} {
		e, err := TroughDensity([]Aliquot{{50, 50 * d}, {60, 60.6 * d}, {60, 59.4 * d}}, Trough{Packing: Measured{0.6, 0}}, 0)
		require.NoError(t, err)
		require.InDelta(t, want, e.Value, 0.5)
	}
}

func TestTroughErrors(t *testing.T) {
	rows := []Aliquot{{40, 100}, {41, 100}, {39, 100}, {40, 101}}
	known := Trough{Packing: Measured{0.61, 0}}
	a, err := TroughDensity(rows, known, 0)
	require.NoError(t, err)
	d, err := AliquotDensity(rows, 0) // eggs per mm, the inverse of the diameter
	require.NoError(t, err)
	statstest.Near(t, 3*math.Log(d.Hi/d.Value), math.Log(a.Hi/a.Value), 1e-9, "three times the relative error of the diameter")
	b, err := TroughDensity(rows, Trough{}, 0)
	require.NoError(t, err)
	require.Greater(t, math.Log(b.Hi/b.Value), 1.9*PackingSE/Packing, "the packing adds its own")
	total, err := TroughTotal(rows, known, Measured{Value: 0.25}, 0)
	require.NoError(t, err)
	statstest.NearAll(t, []float64{a.Value / 4, a.Lo / 4, a.Hi / 4}, []float64{total.Value, total.Lo, total.Hi}, 1e-12, "a quarter of a litre")
	read, err := TroughTotal(rows, known, Measured{0.25, 0.05}, 0)
	require.NoError(t, err)
	require.Greater(t, read.Hi/read.Value, 1.4)
	one, err := TroughDensity(rows[:1], known, 0)
	require.NoError(t, err)
	noNumbers(t, stats.TooLittle, one)
	one, err = TroughDensity(rows[:1], Trough{Packing: known.Packing, Reading: 1}, 0)
	require.NoError(t, err)
	require.Equal(t, stats.OK, one.Status)
	statstest.Near(t, 3*0.01*1.959963984540054, math.Log(one.Hi/one.Value), 1e-9, "reading of one row")
	none, err := TroughDensity(nil, known, 0)
	require.NoError(t, err)
	noNumbers(t, stats.TooLittle, none)
}

// Lots of 4000 eggs, stirred, clumped or packed: the limits cover as asked, those
// that take the samples for a random count do not where eggs clump.
func TestAliquotSimulation(t *testing.T) {
	const replicates, total, share = 2000, 4000.0, 0.02
	for _, world := range []struct {
		name    string
		k       int
		draw    func(r *rand.Rand) float64 // eggs in one aliquot
		stirred bool
		atLeast float64
	}{
		{"stirred", 5, func(r *rand.Rand) float64 { return distuv.Binomial{N: total, P: share, Src: r}.Rand() }, true, 0.93},
		{"stirred, one", 1, func(r *rand.Rand) float64 { return distuv.Binomial{N: total, P: share, Src: r}.Rand() }, true, 0.93},
		{"clumped", 5, func(r *rand.Rand) float64 { return draw(r, total*share, 8) }, true, 0.91},
		{"packed", 3, func(r *rand.Rand) float64 { return math.Round(total * share * math.Exp(0.03*r.NormFloat64())) }, false, 0.92},
	} {
		r := rand.New(rand.NewPCG(7, 8))
		var covered, naive float64
		for range replicates {
			var aliquots []Aliquot
			var counted float64
			for range world.k {
				n := world.draw(r)
				counted += n
				aliquots = append(aliquots, Aliquot{int(n), share})
			}
			e, err := AliquotTotal(aliquots, Lot{Size: Measured{Value: 1}, Stirred: world.stirred}, 0)
			require.NoError(t, err)
			require.True(t, e.Status.Usable(), fmt.Sprint(e))
			covered += covers(e, total) / replicates
			s, err := SampledTotal(int(counted), share*float64(world.k), 0)
			require.NoError(t, err)
			naive += covers(s, total) / replicates
		}
		t.Logf("%s, %d aliquots: coverage at 95%% %.3f, as a random sample %.3f", world.name, world.k, covered, naive)
		require.Greater(t, covered, world.atLeast, world.name)
		if world.name == "clumped" {
			require.Less(t, naive, 0.75, "the rival must fail visibly")
		}
	}
}
