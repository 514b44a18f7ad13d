// Package statstest compares numbers in the tests of gravid's statistical
// packages and reads the reference cases kept in stats/testdata/reference.
//
// It is for tests only and holds no statistics of its own.
package statstest

import (
	"math"
	"testing"
)

// floor is the size below which the comparison of Near turns from relative to
// absolute.
const floor = 1e-3

// Close reports whether got is within tol of want by the rule of the reference
// cases, |got - want| <= tol * max(|want|, 1e-3). Equal infinities are close;
// NaN is close to nothing.
func Close(want, got, tol float64) bool {
	if want == got {
		return true
	}
	if math.IsInf(want, 0) || math.IsInf(got, 0) {
		return false
	}
	return math.Abs(got-want) <= tol*math.Max(math.Abs(want), floor)
}

// Near fails the test unless Close(want, got, tol), and reports whether it
// passed. what says which number is being compared.
func Near(t testing.TB, want, got, tol float64, what string) bool {
	t.Helper()
	if Close(want, got, tol) {
		return true
	}
	t.Errorf("%s: want %.17g, got %.17g (difference %.3g, tolerance %.3g of max(|want|, %g))", what, want, got, got-want, tol, floor)
	return false
}

// NearOrNaN is Near, except that NaN is near NaN: both say that the quantity
// does not exist.
func NearOrNaN(t testing.TB, want, got, tol float64, what string) bool {
	t.Helper()
	if math.IsNaN(want) && math.IsNaN(got) {
		return true
	}
	return Near(t, want, got, tol, what)
}

// NearRel fails the test unless |got - want| <= tol * |want|, however small
// want is. It is meant for tail probabilities. Equal infinities pass, NaN never
// does.
func NearRel(t testing.TB, want, got, tol float64, what string) bool {
	t.Helper()
	if want == got || (!math.IsInf(want, 0) && !math.IsInf(got, 0) && math.Abs(got-want) <= tol*math.Abs(want)) {
		return true
	}
	t.Errorf("%s: want %.17g, got %.17g (relative difference %.3g, tolerance %.3g)", what, want, got, (got-want)/want, tol)
	return false
}

// NearAll compares two vectors of equal length element by element with
// NearOrNaN.
func NearAll(t testing.TB, want, got []float64, tol float64, what string) bool {
	t.Helper()
	if len(want) != len(got) {
		t.Errorf("%s: want %d numbers, got %d", what, len(want), len(got))
		return false
	}
	ok := true
	for i := range want {
		ok = NearOrNaN(t, want[i], got[i], tol, at(what, i)) && ok
	}
	return ok
}
