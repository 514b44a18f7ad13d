package logit

import (
	"math"
	"slices"

	"gravid/stats"
)

// An Enveloped estimate has, at each end, the wider of two intervals. Both are
// kept.
type Enveloped struct {
	stats.Estimate
	Profile, Jackknife stats.Estimate
}

// Envelope joins the profile interval, which knows how few events there are, with
// the jackknife interval, which knows that rows of a cluster are alike. Each is a
// published method; taking the wider end of the two is conservative by
// construction, and the coverage of the result is not known exactly.
//
// If either is not usable, neither is the envelope; its status is that of the one
// at fault.
func Envelope(profile, jackknife stats.Estimate) Enveloped {
	if profile.Level != jackknife.Level {
		panic("stats/logit: the two intervals of an envelope must have the same level")
	}
	e := profile
	e.Method = "wider of (" + profile.Method + ") and (" + jackknife.Method + ")"
	e.Warnings = slices.Clone(profile.Warnings)
	for _, w := range jackknife.Warnings {
		if !slices.Contains(e.Warnings, w) {
			e.Warnings = append(e.Warnings, w)
		}
	}
	switch {
	case !profile.Status.Usable():
		e.Value, e.Lo, e.Hi = math.NaN(), math.NaN(), math.NaN()
	case !jackknife.Status.Usable():
		e.Status = jackknife.Status
		e.Value, e.Lo, e.Hi = math.NaN(), math.NaN(), math.NaN()
	default:
		e.Status = max(profile.Status, jackknife.Status) // Boundary if either is
		e.Lo, e.Hi = math.Min(profile.Lo, jackknife.Lo), math.Max(profile.Hi, jackknife.Hi)
	}
	return Enveloped{Estimate: e, Profile: profile, Jackknife: jackknife}
}
