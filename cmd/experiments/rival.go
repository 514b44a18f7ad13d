package main

import (
	"math"
	"slices"

	"gravid/stats"
	"gravid/stats/logit"
	"gravid/stats/tail"
)

// level is the coverage asked of intervals.
const level = 0.95

// mustFit fits data that this command made itself.
func mustFit(d logit.Data, o logit.Options) *logit.Model {
	m, err := logit.Fit(d, o)
	if err != nil {
		panic("experiments: " + err.Error())
	}
	return m
}

// fromWald turns a Wald interval into a finding.
func fromWald(e stats.Estimate, p float64) finding {
	if !e.Status.Usable() {
		return unanswered(true)
	}
	return finding{value: e.Value, lo: e.Lo, hi: e.Hi, p: p, answered: true}
}

// pooledWald is logistic regression of all attempts in one pot, with Wald's test: what
// most programs give first.
func pooledWald(t tries) finding {
	d := t.data()
	d.Group = nil
	m := mustFit(d, logit.Options{})
	return fromWald(m.Wald(0, level), m.WaldTest(0).P)
}

// keeperWald has one intercept a keeper by maximum likelihood, and Wald's test.
func keeperWald(t tries) finding {
	m := mustFit(t.data(), logit.Options{})
	return fromWald(m.Wald(0, level), m.WaldTest(0).P)
}

// randomWald has keepers' intercepts from one normal distribution, and Wald's test.
func randomWald(t tries) finding {
	m, err := logit.FitRandom(t.data(), logit.RandomOptions{Nodes: 7})
	if err != nil {
		panic("experiments: " + err.Error())
	}
	e := m.Wald(0, level)
	return fromWald(e, 2*tail.NormalUpper(math.Abs(e.Value)/m.SE[0]))
}

// keeperCR2 has one intercept a keeper, and CR2 clustered by keeper with
// Satterthwaite's degrees of freedom.
func keeperCR2(t tries) finding {
	d := t.data()
	return robust(mustFit(d, logit.Options{}), d.Group)
}

// robust is the CR2 interval of slope 0.
func robust(m *logit.Model, cluster []int) finding {
	if !m.Status.Usable() {
		f := unanswered(true)
		f.separated = m.Status == stats.Separated
		return f
	}
	r, err := m.Robust(cluster, logit.CR2)
	if err != nil {
		panic("experiments: " + err.Error())
	}
	return fromWald(r.Interval(0, level), r.WaldTest(logit.Hotelling, 0).P)
}

// firthParts are the two intervals that gravid's is made of, for a model of its own.
func firthParts(m *logit.Model, cluster []int) (profile, jackknife finding) {
	profile = fromWald(m.Profile(0, level), m.LRTest(0).P)
	j, err := m.Jackknife(cluster, 0, level)
	if err != nil {
		panic("experiments: " + err.Error())
	}
	return profile, fromWald(j.Estimate, 2*tail.StudentUpper(math.Abs(j.Value)/j.SE, float64(len(j.Clusters)-1)))
}

// firth fits the penalised model with one intercept a keeper.
func firth(d logit.Data) *logit.Model { return mustFit(d, logit.Options{Penalty: logit.Firth}) }

// signFlip tests by flipping the signs of the keepers' scores.
func signFlip(t tries) finding {
	d := t.data()
	s, err := logit.SignFlip(d, 0, d.Group, logit.SignFlipOptions{})
	if err != nil {
		panic("experiments: " + err.Error())
	}
	if !s.Status.Usable() {
		return unanswered(true)
	}
	return finding{p: s.P, answered: true}
}

// blindSandwich is what programs report that do not look for separation: iteratively
// weighted least squares until the deviance stands still (relative change below
// 1e-8, at most 25 steps, as R's glm does by default), then the sandwich of Liang &
// Zeger (1986) by keeper, times G/(G-1), and Student's t with G-1 degrees of freedom.
func blindSandwich(t tries) finding {
	b, p := irls(t)
	w, groups := [2]float64{}, slices.Max(values(t.list, func(a try) float64 { return float64(a.keeper) }))+1
	score := make([][2]float64, int(groups))
	for _, a := range t.list {
		x := int(oneIf(a.used))
		w[x] += p[x] * (1 - p[x])
		score[a.keeper][x] += oneIf(a.spawned) - p[x]
	}
	// The slope is the logit of one cell less that of the other.
	v := 0.0
	for _, s := range score {
		d := s[1]/w[1] - s[0]/w[0]
		v += d * d
	}
	se := math.Sqrt(v * groups / (groups - 1))
	half := tail.StudentUpperQuantile((1-level)/2, groups-1) * se
	return finding{value: b, lo: b - half, hi: b + half, p: 2 * tail.StudentUpper(math.Abs(b)/se, groups-1), answered: true}
}

// irls fits the 2x2 table of trigger and outcome, which has a cell each for its two
// chances, and stops where the deviance stands still.
func irls(t tries) (slope float64, p [2]float64) {
	var n, y, eta [2]float64
	for _, a := range t.list {
		x := int(oneIf(a.used))
		n[x]++
		y[x] += oneIf(a.spawned)
	}
	deviance := func() (d float64) {
		for x := range p {
			d -= 2 * (xlogy(y[x], p[x]) + xlogy(n[x]-y[x], 1-p[x]))
		}
		return d
	}
	for x := range eta { // R starts at (y + 1/2)/2 for one trial
		share := (y[x]*0.75 + (n[x]-y[x])*0.25) / n[x]
		eta[x] = math.Log(share / (1 - share))
		p[x] = logistic(eta[x])
	}
	before := deviance()
	for range 25 {
		for x := range eta {
			eta[x] += (y[x] - n[x]*p[x]) / (n[x] * p[x] * (1 - p[x]))
			p[x] = logistic(eta[x])
		}
		d := deviance()
		if math.Abs(d-before)/(math.Abs(d)+0.1) < 1e-8 {
			break
		}
		before = d
	}
	return eta[1] - eta[0], p
}

// xlogy is x log y, 0 for x = 0.
func xlogy(x, y float64) float64 {
	if x == 0 {
		return 0
	}
	return x * math.Log(y)
}
