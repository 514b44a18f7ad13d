package count

import (
	"fmt"
	"math"
	"slices"

	"gravid/stats"
)

// A Hurdle describes attempts in two steps: whether anything was laid, and if so
// how much (Mullahy 1986). A 0 is an attempt without a clutch, not a clutch of 0.
type Hurdle struct {
	Share  stats.Estimate   // of attempts with a clutch, with its score (Wilson) interval
	Clutch NegativeBinomial // of the clutches, zero-truncated
	LogLik float64          // of both steps; NaN unless Clutch.Status is usable

	level float64
}

// FitHurdle fits the two steps apart, which is maximum likelihood for both
// together: the share of attempts with a clutch, and FitZeroTruncated of their
// counts. The error is that of FitZeroTruncated, and a *stats.InputError for a
// count that leaves open whether there was a clutch.
func FitHurdle(attempts []Count, level float64) (Hurdle, error) {
	level, err := stats.LevelOrDefault(level)
	if err != nil {
		return Hurdle{}, err
	}
	var clutches []Count
	var places []int
	for i, c := range attempts {
		if reason := c.refuse(); reason != "" {
			return Hurdle{}, &stats.InputError{Index: i, Reason: reason}
		}
		if c.Lo == 0 && c.Hi > 0 {
			return Hurdle{}, &stats.InputError{Index: i, Reason: fmt.Sprintf("0 to %v leaves open whether there was a clutch", c.Hi)}
		}
		if c.Hi > 0 {
			clutches, places = append(clutches, c), append(places, i)
		}
	}
	h := Hurdle{LogLik: math.NaN(), level: level}
	if h.Share, err = Wilson(len(clutches), len(attempts), level); err != nil {
		return Hurdle{}, err
	}
	if h.Clutch, err = FitZeroTruncated(clutches, level); err != nil {
		if bad, ok := err.(*stats.InputError); ok {
			bad.Index = places[bad.Index]
		}
		return Hurdle{}, err
	}
	if h.Clutch.Status.Usable() {
		n, hits := float64(len(attempts)), float64(len(clutches))
		h.LogLik = h.Clutch.LogLik + xlogy(hits, hits/n) + xlogy(n-hits, 1-hits/n)
	}
	return h, nil
}

// Mean returns the mean of all attempts, those without a clutch included: share
// times mean of the clutches, with the limits of a product (MOVER; Zou & Donner
// 2008) made from those of Share and Clutch.Mean on the log scale.
//
// Its status is that of Clutch where there is no fit; Boundary without any
// clutch, with an upper limit of +Inf, as nothing then tells of their size.
func (h Hurdle) Mean(kind MeanInterval) stats.Estimate {
	clutch := h.Clutch.Mean(kind)
	e := stats.Estimate{
		Level: h.level, Attained: math.NaN(), N: h.Share.N, Events: h.Share.Events,
		Method: "hurdle, limits of a product (MOVER)", Status: clutch.Status, Warnings: slices.Clone(clutch.Warnings),
	}
	switch {
	case !h.Share.Status.Usable():
		return e.Without(stats.TooLittle, h.Share.Warnings...)
	case h.Share.Events == 0:
		e.Status, e.Hi = stats.Boundary, math.Inf(1)
		e.Warnings = []stats.Warning{stats.Warn("no-clutch", "none of the %d attempts gave a clutch, so nothing tells how many one would have", e.N)}
		return e
	case !clutch.Status.Usable():
		return e.Without(clutch.Status)
	}
	e.Value = h.Share.Value * clutch.Value
	down := math.Hypot(math.Log(h.Share.Value/h.Share.Lo), math.Log(clutch.Value/clutch.Lo))
	up := math.Hypot(math.Log(h.Share.Hi/h.Share.Value), math.Log(clutch.Hi/clutch.Value))
	e.Lo, e.Hi = e.Value*math.Exp(-down), e.Value*math.Exp(up)
	return e
}
