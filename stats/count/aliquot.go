package count

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gravid/stats"
	"gravid/stats/tail"
)

// An Aliquot is a part of a lot of eggs that was measured and counted. Amount is
// its volume (ml), weight (g) or share of the lot; for a trough it is the length
// of the row (mm).
type Aliquot struct {
	Counted int
	Amount  float64
}

// A Measured is a measured amount with the standard error of the reading, 0 for
// one as good as exact. A scale that can be read to one division has a standard
// error of about 0.29 of it.
type Measured struct{ Value, SE float64 }

func (m Measured) refuse(what string) error {
	switch {
	case !(m.Value > 0) || math.IsInf(m.Value, 1):
		return fmt.Errorf("%s must be positive and finite, not %v", what, m.Value)
	case !(m.SE >= 0) || math.IsInf(m.SE, 1):
		return fmt.Errorf("the standard error of %s cannot be %v", what, m.SE)
	}
	return nil
}

// relative is the squared relative standard error.
func (m Measured) relative() float64 { return sq(m.SE / m.Value) }

func sq(x float64) float64 { return x * x }

// A Lot is what aliquots were taken from.
type Lot struct {
	// Size of the whole lot, aliquots included, in their unit; {1, 0} where
	// they are shares of it.
	Size Measured
	// Stirred says that the eggs drift in water, each as likely to be in an
	// aliquot as any other. Limits then rest on chance alone unless the aliquots
	// differ by more. Eggs that lie packed differ by less than chance, so for
	// them (false) the limits rest on how much the aliquots differ.
	Stirred bool
}

// AliquotTotal is the number of eggs in a lot by volume, by weight or by shares
// (N = V sum n/sum v), with limits N exp(-+ t se/N): se by the delta method from
// the spread of the aliquots about their common density, less the share of the
// lot that was counted and therefore is known (Cochran 1977, Sampling
// Techniques, 6.3), and from the reading of the lot's size; t with the degrees of
// freedom of Welch & Satterthwaite. Whatever error the readings of the aliquots
// have is part of their spread. Weights of samples of 100 eggs are aliquots of
// 100.
//
// Status is TooLittle without an aliquot, with one of a lot that was not
// stirred, or where nothing was found in one that was not; Boundary where all
// have the same density (they set no upper limit unless the lot was stirred).
// N counts the aliquots, Events the eggs. The error is a *stats.InputError for
// an aliquot that cannot be, and tells of a size, or of a level (0 means 0.95),
// out of range or of aliquots that are more than the lot.
func AliquotTotal(aliquots []Aliquot, lot Lot, level float64) (stats.Estimate, error) {
	s, err := newSamples(aliquots, level)
	if err == nil {
		err = lot.Size.refuse("the size of the lot")
	}
	if err != nil {
		return stats.Estimate{}, err
	}
	share := s.amount / lot.Size.Value
	if share > 1+1e-9 {
		return stats.Estimate{}, fmt.Errorf("the aliquots add up to %v, more than the lot of %v", s.amount, lot.Size.Value)
	}
	share = math.Min(share, 1)
	e := s.estimate("aliquots, log-t interval by the delta method")
	e.Value = s.counted / s.amount * lot.Size.Value
	spread := s.relativeSpread() * (1 - share)
	chance := (1 - share) / s.counted
	switch {
	case s.n == 0:
		return e.Without(stats.TooLittle, stats.Warn("no-observations", "there are no aliquots")), nil
	case share == 1 && lot.Size.SE == 0:
		e.Value, e.Lo, e.Hi, e.Method = s.counted, s.counted, s.counted, "full count"
		return e, nil
	case lot.Stirred && (s.n == 1 || s.counted == 0 || spread <= chance):
		return s.byChance(e, share, lot.Size), nil
	case s.n == 1:
		return e.Without(stats.TooLittle, stats.Warn("one-aliquot", "there is one aliquot only, so nothing can be said of how one differs from the next; two more would do")), nil
	case s.counted == 0:
		return e.Without(stats.TooLittle, stats.Warn("all-zero", "nothing was found in %d aliquots; larger ones are needed", s.n)), nil
	}
	e = s.limits(e, spread, lot.Size.relative())
	e.Lo = math.Max(e.Lo, s.counted)
	return e, nil
}

// AliquotDensity is the number of eggs in one unit of volume or weight, with the
// limits of AliquotTotal for a lot that was not stirred, without end and known
// exactly. Status and errors are those of AliquotTotal.
func AliquotDensity(aliquots []Aliquot, level float64) (stats.Estimate, error) {
	s, err := newSamples(aliquots, level)
	if err != nil {
		return stats.Estimate{}, err
	}
	e := s.estimate("density of aliquots, log-t interval")
	e.Value = s.counted / s.amount
	switch {
	case s.n == 0:
		return e.Without(stats.TooLittle, stats.Warn("no-observations", "there are no aliquots")), nil
	case s.n == 1:
		return e.Without(stats.TooLittle, stats.Warn("one-aliquot", "there is one aliquot only, so nothing can be said of how one differs from the next; two more would do")), nil
	case s.counted == 0:
		return e.Without(stats.TooLittle, stats.Warn("all-zero", "nothing was found in %d aliquots; larger ones are needed", s.n)), nil
	}
	return s.limits(e, s.relativeSpread(), 0), nil
}

// samples are aliquots in an order of their own, with their totals.
type samples struct {
	rows            []Aliquot
	n               int
	counted, amount float64
	level           float64
}

func newSamples(aliquots []Aliquot, level float64) (samples, error) {
	level, err := stats.LevelOrDefault(level)
	if err != nil {
		return samples{}, err
	}
	for i, a := range aliquots {
		switch {
		case a.Counted < 0:
			err = &stats.InputError{Index: i, Reason: fmt.Sprintf("there cannot be %d counted", a.Counted)}
		case !(a.Amount > 0) || math.IsInf(a.Amount, 1):
			err = &stats.InputError{Index: i, Reason: fmt.Sprintf("what was counted must be a positive, finite amount, not %v", a.Amount)}
		}
		if err != nil {
			return samples{}, err
		}
	}
	s := samples{rows: slices.Clone(aliquots), n: len(aliquots), level: level}
	slices.SortFunc(s.rows, func(a, b Aliquot) int {
		return cmp.Or(cmp.Compare(a.Amount, b.Amount), cmp.Compare(a.Counted, b.Counted))
	})
	for _, a := range s.rows {
		s.counted += float64(a.Counted)
		s.amount += a.Amount
	}
	return s, nil
}

func (s samples) estimate(method string) stats.Estimate {
	return stats.Estimate{Level: s.level, Attained: math.NaN(), N: s.n, Events: int(s.counted), Method: method, Status: stats.OK}
}

// relativeSpread is the squared relative standard error of the density of all
// aliquots together, from their spread about it; NaN for one aliquot.
func (s samples) relativeSpread() float64 {
	var squares float64
	for _, a := range s.rows {
		d := float64(a.Counted) - s.counted/s.amount*a.Amount
		squares += d * d
	}
	n := float64(s.n)
	if squares < 1e-20*s.counted*s.counted { // rounding only
		squares = 0
	}
	return n / (n - 1) * squares / (s.counted * s.counted)
}

// limits puts log-t limits round the value from the squared relative standard
// errors of what was estimated from the aliquots and of what was read.
func (s samples) limits(e stats.Estimate, estimated, read float64) stats.Estimate {
	if estimated == 0 {
		e.Status, e.Lo, e.Hi = stats.Boundary, 0, math.Inf(1)
		e.Warnings = append(e.Warnings, stats.Warn("all-alike", "all %d samples have the same density, as if rounded, so they show nothing of the spread and set no limits", s.n))
		return e
	}
	total := estimated + read
	df := float64(s.n-1) * sq(total/estimated)
	ratio := math.Exp(tail.StudentUpperQuantile((1-s.level)/2, df) * math.Sqrt(total))
	e.Lo, e.Hi = e.Value/ratio, e.Value*ratio
	if s.n == 2 {
		e.Warnings = append(e.Warnings, stats.Warn("two-samples", "two samples say little of how one differs from the next; a third would narrow the limits most"))
	}
	return e
}

// byChance is SampledTotal for all aliquots together, its limits widened for the
// reading of the lot's size.
func (s samples) byChance(e stats.Estimate, share float64, size Measured) stats.Estimate {
	lo, hi := restLimits(s.counted, share, s.level)
	e.Method = "aliquots of a stirred lot, negative binomial rest"
	z := normalLimit(s.level) * math.Sqrt(size.relative())
	e.Lo, e.Hi = lo, hi*math.Exp(z)
	if s.counted > 0 {
		e.Lo = math.Max(e.Value*math.Exp(-math.Hypot(math.Log(e.Value/lo), z)), s.counted)
		e.Hi = e.Value * math.Exp(math.Hypot(math.Log(hi/e.Value), z))
	} else {
		e.Warnings = append(e.Warnings, stats.Warn("all-zero", "nothing was found in what was counted, a share of %.3g of the lot", share))
	}
	return e
}
