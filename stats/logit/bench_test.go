package logit

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// Continuous columns, so that nearly every row is a pattern of its own: the worst
// case. Sizes beyond a club's, up to a million rows.
func BenchmarkFit(b *testing.B) {
	for _, size := range []struct{ rows, columns, groups int }{{1e3, 4, 30}, {1e4, 4, 30}, {1e5, 8, 30}, {1e5, 8, 10000}, {1e6, 8, 1}} {
		d := randomData(rand.New(rand.NewPCG(1, 2)), size.rows, size.columns, size.groups)
		for _, o := range bothPenalties {
			b.Run(fmt.Sprintf("%v/rows=%d/columns=%d/groups=%d", o.Penalty, size.rows, size.columns, size.groups), func(b *testing.B) {
				for b.Loop() {
					requireFit(b, d, o)
				}
			})
		}
	}
}

// The steps of a fit on their own.
func BenchmarkSteps(b *testing.B) {
	d := randomData(rand.New(rand.NewPCG(1, 2)), 1e6, 8, 30)
	t := newTable(d)
	b.Run("collapse", func(b *testing.B) {
		for b.Loop() {
			newTable(d)
		}
	})
	b.Run("identify", func(b *testing.B) {
		for b.Loop() {
			identify(t, t, d)
		}
	})
	b.Run("separate", func(b *testing.B) {
		id := identify(t, t, d)
		for b.Loop() {
			separate(t, id)
		}
	})
	for _, firth := range []bool{false, true} {
		b.Run(fmt.Sprintf("iteration/firth=%v", firth), func(b *testing.B) {
			l, pt := newLikelihood(t, firth), startPoint(t)
			for b.Loop() {
				l.at(pt)
				l.finish()
			}
		})
	}
}

// A binary trigger and a few levels of one other column: few patterns.
func BenchmarkFitCollapsed(b *testing.B) {
	d := randomData(rand.New(rand.NewPCG(3, 4)), 1e6, 1, 30)
	for b.Loop() {
		requireFit(b, d, Options{Penalty: Firth})
	}
}

// What one question asks of a club: fit, profile and jackknife of 1e4 rows, 30
// keepers.
func BenchmarkQuestion(b *testing.B) {
	d := randomData(rand.New(rand.NewPCG(5, 6)), 1e4, 5, 30)
	m := requireFit(b, d, Options{Penalty: Firth})
	b.Run("fit", func(b *testing.B) {
		for b.Loop() {
			requireFit(b, d, Options{Penalty: Firth})
		}
	})
	b.Run("profile", func(b *testing.B) {
		for b.Loop() {
			m.Profile(0, 0.95)
		}
	})
	b.Run("jackknife", func(b *testing.B) {
		for b.Loop() {
			if _, err := m.Jackknife(d.Group, 0, 0.95); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("risk difference", func(b *testing.B) {
		slope := m.Profile(0, 0.95)
		for b.Loop() {
			m.RiskDifference(0, 0, 1, slope)
		}
	})
}
