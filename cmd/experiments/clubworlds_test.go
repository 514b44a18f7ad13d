package main

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/analyze/answer"
	"gravid/stats/logit"
)

// Blanks are as frequent as planted in each cell, and stand in the tables as blanks. 0.02
// is about 4 standard errors.
func TestBlanksTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(26, 27))
	tries := husbandry{attempts: []int{40_000}, base: 0, months: 12}.draw(rng)
	p := withBlanks(rng, tries, func(a try) float64 { return 0.4 - 0.3*oneIf(a.spawned) })
	var blank, n [2]float64
	tables := p.tables()
	for i, a := range p.list {
		y := int(oneIf(a.spawned))
		n[y]++
		blank[y] += oneIf(p.blank[i])
		require.Equal(t, p.blank[i], !tables.Attempts[i].LiveFood.OK)
	}
	require.InDelta(t, 0.4, blank[0]/n[0], 0.02)
	require.InDelta(t, 0.1, blank[1]/n[1], 0.02)
	require.Len(t, p.recorded().list, int(n[0]+n[1]-blank[0]-blank[1]))
	for i, a := range p.filled(func(try) bool { return true }).list {
		require.Equal(t, p.blank[i] || p.list[i].used, a.used)
	}
}

// Coefficients drawn for imputation have the means and the covariances of the model. The
// logit of a drawn chance is intercept + slope*outcome, so that its variance is known.
// 0.06 is about 4 standard errors of a variance of 10000 draws, as a share of it.
func TestDrawnCoefficients(t *testing.T) {
	rng := rand.New(rand.NewPCG(28, 29))
	tries := skilled(0, 0, 0).draw(rng)
	d := tries.data()
	d.Y, d.X[0] = d.X[0], d.Y // the trigger on the outcome
	m := firth(d)
	const draws = 10_000
	failed, spawned := make([]float64, draws), make([]float64, draws)
	logitOf := func(p float64) float64 { return math.Log(p / (1 - p)) }
	const keeper = 3
	for i := range draws {
		chance := drawn(rng, m)
		failed[i] = logitOf(chance(try{keeper: keeper}))
		spawned[i] = logitOf(chance(try{keeper: keeper, spawned: true}))
	}
	se := m.InterceptSE[keeper]
	mean, sd := moments(failed)
	require.InDelta(t, m.Intercept[keeper], mean, 4*se/math.Sqrt(draws))
	require.InEpsilon(t, se*se, sd*sd, 0.06)
	want := se*se + m.Cov[0][0] + 2*m.CovInterceptSlopes(keeper)[0]
	mean, sd = moments(spawned)
	require.InDelta(t, m.Intercept[keeper]+m.Coef[0], mean, 4*math.Sqrt(want/draws))
	require.InEpsilon(t, want, sd*sd, 0.06)
}

// Without blanks all imputations are the records, and the estimate is theirs.
func TestNothingToImpute(t *testing.T) {
	rng := rand.New(rand.NewPCG(30, 31))
	tries := skilled(0, 1, 0).draw(rng)
	p := withBlanks(rng, tries, func(try) float64 { return 0 })
	require.InDelta(t, firth(tries.data()).Coef[0], p.imputed(rng).value, 1e-9)
}

// Differences per 100 attempts come back from the log odds ratios that make them, and
// from clubs: 1.2 is about 4 standard errors of what 1500 clubs say.
func TestDifferencesPerHundred(t *testing.T) {
	require.InDelta(t, 0, effectFor(0, lookBase, lookSkill), 1e-9)
	require.InDelta(t, 100*(logistic(1)-0.5), per100Of(1, 0, 0), 1e-9, "keepers alike")
	rng := rand.New(rand.NewPCG(32, 33))
	for _, want := range []float64{5, 10, 20} {
		require.InDelta(t, want, per100Of(effectFor(want, lookBase, lookSkill), lookBase, lookSkill), 1e-9)
		var with, n, spawnedWith, spawned float64
		for range 1500 {
			g := newGrowing(rng, want)
			g.add(rng, 96, 0)
			for _, a := range g.tries.list {
				with, n = with+oneIf(a.used), n+1
				spawnedWith, spawned = spawnedWith+oneIf(a.used && a.spawned), spawned+oneIf(a.spawned)
			}
		}
		require.InDelta(t, 0.5, with/n, 0.01)
		require.InDelta(t, want, 100*(spawnedWith/with-(spawned-spawnedWith)/(n-with)), 1.2)
	}
}

// Months follow each other, and keepers take turns.
func TestGrowingClub(t *testing.T) {
	rng := rand.New(rand.NewPCG(34, 35))
	g := newGrowing(rng, 0)
	for month := range 3 {
		g.add(rng, 8, month)
	}
	perKeeper := map[int]int{}
	for i, a := range g.tries.list {
		require.Equal(t, i/8, a.day/monthDays)
		perKeeper[a.keeper]++
	}
	require.Len(t, perKeeper, lookKeepers)
	for _, n := range perKeeper {
		require.Equal(t, 2, n)
	}
}

// Verdicts are counted by season: two of three seasons have a look with it, one ends
// with it.
func TestVerdictsBySeason(t *testing.T) {
	var l looks
	for i := range l.verdicts {
		l.verdicts[i] = answer.CannotTell
	}
	l.verdicts[3], l.verdicts[4], l.verdicts[2*seasonMonths-1] = answer.Matters, answer.Matters, answer.Matters
	require.InDelta(t, 2.0/3, ever([]looks{l, l}, answer.Matters).value, 1e-12)
	require.InDelta(t, 1.0/3, atEnds([]looks{l, l}, answer.Matters).value, 1e-12)
	require.Zero(t, ever([]looks{l, l}, answer.Leans).value)
	require.Positive(t, ever([]looks{l, l}, answer.Leans).se)
}

// The planted difference over the attempts on record, against the average over keepers.
// 0.9 is about 4 standard errors for 400 clubs of 12 keepers.
func TestPlantedDifference(t *testing.T) {
	h := husbandry{attempts: []int{8, 8, 8, 8, 8, 8, 8, 8, 8, 8, 8, 8}, base: -0.4, skill: 0.7, effect: always, months: 6}
	d := values(many(400, h.draw), tries.difference)
	m, _ := moments(d)
	require.InDelta(t, per100Of(always, -0.4, 0.7), m, 0.9)
	for _, club := range many(20, h.draw) {
		for _, a := range club.list {
			require.False(t, a.used && !a.spawned, "it never fails")
		}
	}
}

// Habits move the use of the trigger and nothing else.
func TestHabits(t *testing.T) {
	h := husbandry{attempts: []int{500, 500, 500, 500, 500, 500}, habit: 1.5, months: 12}
	var spread []float64
	slope := 0.0
	for _, tries := range many(60, h.draw) {
		var used [6]float64
		for _, a := range tries.list {
			used[a.keeper] += oneIf(a.used) / 500
		}
		for _, u := range used {
			spread = append(spread, math.Log(u/(1-u)))
		}
		slope += mustFit(tries.data(), logit.Options{}).Coef[0] / 60
	}
	_, sd := moments(spread)
	require.InDelta(t, 1.5, sd, 0.25) // 4 standard errors for 360 keepers, and what counting adds
	require.InDelta(t, 0, slope, 0.06)
}

// A peak is highest at its best amount, and as much lower either side.
func TestPeak(t *testing.T) {
	gain := peak(1.5, 35, 25)
	require.Equal(t, 1.5, gain(35))
	require.Equal(t, gain(20), gain(50))
	require.Less(t, gain(90), gain(0))
	require.InDelta(t, 1.5*math.Exp(-0.5), gain(60), 1e-12)
}

// The planted average is that of the chances, by hand.
func TestAverageOfAmounts(t *testing.T) {
	require.InDelta(t, 100*(logistic(1)+logistic(-1))/2, average([]float64{0, -2}, 1), 1e-12)
}
