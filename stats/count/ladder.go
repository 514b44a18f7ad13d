package count

import "math"

// A rung is what the probability of y and its derivatives take from the size alone:
// value is log of Gamma(k+y)/(Gamma(k) k^y y!), psi and psi1 are psi(y+k) - psi(k) and
// psi'(y+k) - psi'(k).
type rung struct{ y, value, psi, psi1 float64 }

// A ladder makes the rungs of a size, fastest in ascending order of y. k and derive are
// to be set.
type ladder struct {
	k      float64
	derive bool
	sum    rung   // of the last y below far; value is without y!
	atSize series // at k; the zero value until it is needed
}

// far is the y from which series are used. They lose digits where y is small beside k,
// and sums of as many terms as y do not.
const far = 32

func (l *ladder) rung(y, logFactorial float64) rung {
	r := rung{y: y, value: -logFactorial}
	switch {
	case math.IsInf(l.k, 1):
	case y < far:
		l.climb(y)
		r.value += l.sum.value
		r.psi, r.psi1 = l.sum.psi, l.sum.psi1
	default:
		if l.atSize.x == 0 {
			l.atSize = seriesAt(l.k, l.derive)
		}
		log, top, low := math.Log1p(y/l.k), seriesAt(l.k+y, l.derive), &l.atSize
		r.value += (l.k+y-0.5)*log - y + top.gamma - low.gamma
		if l.derive {
			r.psi, r.psi1 = log+top.psi-low.psi, top.psi1-low.psi1
		}
	}
	return r
}

// climb brings sum to y.
func (l *ladder) climb(y float64) {
	if y < l.sum.y {
		l.sum = rung{}
	}
	for s := &l.sum; s.y < y; s.y++ {
		s.value += math.Log1p(s.y / l.k)
		if l.derive {
			inverse := 1 / (s.y + l.k)
			s.psi += inverse
			s.psi1 -= inverse * inverse
		}
	}
}

// A series is log Gamma(x) less Stirling's (x - 1/2) log x - x + log(2 pi)/2, and, where
// asked for, psi(x) less log x, and psi'(x).
type series struct{ x, gamma, psi, psi1 float64 }

// seriesAt sums Abramowitz & Stegun 6.1.41, 6.3.18 and 6.4.12, going up to where they
// hold by the recurrences.
func seriesAt(x float64, derive bool) series {
	s := series{x: x}
	const least = 12
	if x < least {
		lg, _ := math.Lgamma(x)
		s.gamma = lg - (x-0.5)*math.Log(x) + x - math.Log(2*math.Pi)/2
	}
	if x < least && !derive {
		return s
	}
	up := x
	for ; up < least; up++ {
		s.psi -= 1 / up
		s.psi1 += 1 / (up * up)
	}
	v := 1 / up
	i := v * v
	if x >= least {
		s.gamma = v * (1.0/12 - i*(1.0/360-i*(1.0/1260-i*(1.0/1680-i*(1.0/1188-i*691.0/360360)))))
	} else {
		s.psi += math.Log(up / x)
	}
	if derive {
		s.psi -= v/2 + i*(1.0/12-i*(1.0/120-i*(1.0/252-i*(1.0/240-i*(1.0/132-i*(691.0/32760-i/12))))))
		s.psi1 += v + i/2 + v*i*(1.0/6-i*(1.0/30-i*(1.0/42-i*(1.0/30-i*(5.0/66-i*(691.0/2730-i*7/6))))))
	}
	return s
}
