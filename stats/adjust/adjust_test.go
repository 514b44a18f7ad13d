package adjust

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/stats/internal/statstest"
)

// R 4.2.2, p.adjust: see stats/testdata/reference/SOURCES.md.
func TestReference(t *testing.T) {
	for _, id := range statstest.IDs(t, "padjust_*") {
		c := statstest.Load(t, id)
		p := c.Floats("p")
		c.NearAll(Holm(p), "holm")
		c.NearAll(BenjaminiHochberg(p), "BH")
		c.NearAll(BenjaminiYekutieli(p), "BY")
	}
}

// Laws that follow from the definitions.
func TestLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	p := make([]float64, 30)
	for i := range p {
		p[i] = math.Pow(rng.Float64(), 3)
	}
	swapped := append([]float64(nil), p...)
	swapped[0], swapped[29] = p[29], p[0]
	for name, f := range map[string]func([]float64) []float64{"Holm": Holm, "BH": BenjaminiHochberg, "BY": BenjaminiYekutieli} {
		out, moved := f(p), f(swapped)
		for i := range p {
			require.GreaterOrEqual(t, out[i], p[i], name)
			require.LessOrEqual(t, out[i], 1.0, name)
			for k := range p {
				if p[i] <= p[k] {
					require.LessOrEqual(t, out[i], out[k], name+" keeps the order")
				}
			}
		}
		require.Equal(t, out[0], moved[29], name+" does not depend on the order")
		require.Equal(t, out[5], moved[5], name+" does not depend on the order")
		require.Equal(t, []float64{0.2}, f([]float64{0.2}), name+" leaves a single test alone")
		require.Empty(t, f(nil))
		require.Panics(t, func() { f([]float64{1.1}) })
		require.Panics(t, func() { f([]float64{-0.1}) })
		require.True(t, math.IsNaN(f([]float64{math.NaN()})[0]))
	}
}

func ExampleHolm() {
	fmt.Println(Holm([]float64{0.01, 0.04, 0.03}))
	// Output: [0.03 0.06 0.06]
}
