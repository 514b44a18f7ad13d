package logit

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// Continuous columns, so that nearly every row is a pattern of its own: the worst
// case. Sizes beyond a club's, up to ten million rows (which take 3 GiB).
func BenchmarkFit(b *testing.B) {
	for _, size := range []struct{ rows, columns, groups int }{{1e2, 2, 1}, {1e3, 4, 30}, {1e4, 4, 30}, {1e5, 8, 30}, {1e5, 8, 10000}, {1e6, 8, 1}, {1e7, 8, 1}} {
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

// sizes are numbers of rows up to a given one.
func sizes(most int) []int {
	var out []int
	for n := 100; n <= most; n *= 10 {
		out = append(out, n)
	}
	return out
}

// The same with columns of yes or no: few patterns, so that the rows are hardly looked at
// twice.
func BenchmarkFitPatterns(b *testing.B) {
	for _, n := range sizes(1e7) {
		d := randomData(rand.New(rand.NewPCG(7, 8)), n, 1, 30)
		b.Run(fmt.Sprintf("rows=%d", n), func(b *testing.B) {
			for b.Loop() {
				requireFit(b, d, Options{})
			}
		})
	}
}

// Interval of one slope of 8.
func BenchmarkProfileSizes(b *testing.B) {
	for _, n := range sizes(1e6) {
		for _, o := range bothPenalties {
			m, err := Fit(randomData(rand.New(rand.NewPCG(1, 2)), n, min(8, n/100+1), 1), o)
			if err != nil || !m.Status.Usable() {
				b.Fatal(err, m.Status)
			}
			b.Run(fmt.Sprintf("%v/rows=%d", o.Penalty, n), func(b *testing.B) {
				for b.Loop() {
					m.Profile(0, 0.95)
				}
			})
		}
	}
}

// 12 clusters of unequal size.
func BenchmarkRobustSizes(b *testing.B) {
	for _, n := range sizes(1e5) {
		d := randomData(rand.New(rand.NewPCG(9, 10)), n, 4, 1)
		m := requireFit(b, d, Options{})
		cluster := make([]int, n)
		for i := range cluster {
			cluster[i] = i * i % 97 % 12
		}
		for _, kind := range []RobustKind{CR1S, CR2, CR2Response, CR3} {
			b.Run(fmt.Sprintf("%v/rows=%d", kind, n), func(b *testing.B) {
				for b.Loop() {
					if _, err := m.Robust(cluster, kind); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// Strata of 20 rows, and one of yes or no in strata of 100.
func BenchmarkConditionalSizes(b *testing.B) {
	for _, n := range sizes(1e5) {
		d := randomData(rand.New(rand.NewPCG(11, 12)), n, 4, 1)
		trigger := d
		trigger.X = d.X[:1]
		d.Group, trigger.Group = stretches(n, n/20), stretches(n, max(1, n/100))
		for _, c := range []struct {
			name string
			d    Data
			o    ConditionalOptions
		}{{"exact", d, ConditionalOptions{}}, {"efron", d, ConditionalOptions{Ties: Efron}}, {"firth", d, ConditionalOptions{Penalty: Firth}}, {"trigger", trigger, ConditionalOptions{}}} {
			b.Run(fmt.Sprintf("%s/rows=%d", c.name, n), func(b *testing.B) {
				for b.Loop() {
					if _, err := FitConditional(c.d, c.o); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// Groups of 50 rows.
func BenchmarkRandomSizes(b *testing.B) {
	for _, n := range sizes(1e5) {
		d := randomData(rand.New(rand.NewPCG(13, 14)), n, 3, max(4, n/50))
		for _, nodes := range []int{1, 15} {
			b.Run(fmt.Sprintf("nodes=%d/rows=%d", nodes, n), func(b *testing.B) {
				for b.Loop() {
					if _, err := FitRandom(d, RandomOptions{Nodes: nodes}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// Leaving keepers out of a table of days: by the expansion, and by refits to all other
// rows.
func BenchmarkLeaveOut(b *testing.B) {
	d := randomData(rand.New(rand.NewPCG(7, 8)), 7e4, 8, 30)
	m := requireFit(b, d, Options{Penalty: Firth})
	for name, leave := range map[string]func([]int, int, float64) (LeaveOneOut, error){"expansion": m.Jackknife, "refits": m.JackknifeExact} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := leave(d.Group, 0, 0.95); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// The interval along the profile of a table of days, over 180 clusters.
func BenchmarkJackknifeProfile(b *testing.B) {
	d := randomData(rand.New(rand.NewPCG(7, 8)), 7e4, 8, 30)
	m := requireFit(b, d, Options{Penalty: Firth})
	cluster := make([]int, d.Rows())
	for i := range cluster {
		cluster[i] = i % 180
	}
	for b.Loop() {
		if _, err := m.JackknifeProfile(cluster, 0, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
