package main

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"

	"gravid/analyze/answer"
	"gravid/analyze/exposure"
	"gravid/ingest/club"
	"gravid/stats"
	"gravid/stats/count"
	"gravid/stats/tail"
)

// eggsPerClutch is the mean of all clutches of E10.
const eggsPerClutch = 300.0

// eggCounts is E10: how many eggs, from a handful of clutches that differ.
func eggCounts(ours eggAnalysis) experiment {
	e := experiment{
		id: "E10", title: "Eggs of clutches that differ",
		planted: "Clutches have 300 eggs on average, negative binomial with size k: the smaller k, the more they differ. Some are counted in full, some by the eighth; some years have clutches of no eggs. And ten keepers make 12 attempts each, a quarter of them without a spawning, with 1 to 4 females over 5 to 14 days.",
	}
	for _, w := range []struct {
		n int
		k float64
	}{{4, 2}, {8, 0.7}, {8, 2}, {8, 5}, {15, 2}, {30, 0.7}, {30, 2}} {
		e.worlds = append(e.worlds, clutchWorld(fmt.Sprintf("%d clutches, k = %g", w.n, w.k), w.n, w.k, ours))
	}
	e.worlds = append(e.worlds,
		zeroWorld("8 clutches, k = 2, a quarter empty", 8, 2),
		zeroWorld("15 clutches, k = 2, a quarter empty", 15, 2),
		partWorld("8 clutches, k = 2, an eighth counted", 8, 0),
		partWorld("8 clutches, k = 2, an eighth counted, give or take a tenth", 8, 0.1),
		femaleDayWorld("eggs for each female and day, keepers alike", 0, ours),
		femaleDayWorld("eggs for each female and day, keepers differ", 0.3, ours),
	)
	return e
}

// negativeBinomial draws a count of that mean and size, as a Poisson count about a
// gamma number.
func negativeBinomial(rng *rand.Rand, mean, size float64) float64 {
	rate := distuv.Gamma{Alpha: size, Beta: size / mean, Src: rng}.Rand()
	if rate == 0 { // a shape below 1 comes this close to 0
		return 0
	}
	return distuv.Poisson{Lambda: rate, Src: rng}.Rand()
}

// countClutches draws n clutches.
func countClutches(rng *rand.Rand, n int, size float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = negativeBinomial(rng, eggsPerClutch, size)
	}
	return x
}

// meanNotEmpty is the mean of the clutches that are not empty.
func meanNotEmpty(size float64) float64 {
	return eggsPerClutch / (1 - math.Pow(size/(size+eggsPerClutch), size))
}

// An eggAnalysis asks how many eggs are normal.
type eggAnalysis func(*club.Tables) answer.Eggs

// askEggs is gravid's own answer.
func askEggs(t *club.Tables) answer.Eggs {
	return answer.Asker{Records: exposure.New(t, exposure.Options{})}.Eggs(species)
}

// bar is an interval; none where it is not known.
type bar struct {
	value, lo, hi float64
	known         bool
}

func (b bar) covers(truth float64) bool { return b.known && b.lo <= truth && truth <= b.hi }

func (b bar) width() float64 {
	if !b.known {
		return math.Inf(1)
	}
	return b.hi - b.lo
}

func barOf(m answer.Mean) bar {
	return bar{float64(m.Mean), float64(m.Low), float64(m.High), m.Known()}
}

func barOfEstimate(e stats.Estimate, err error) bar {
	if err != nil {
		panic("experiments: " + err.Error())
	}
	return bar{e.Value, e.Lo, e.Hi, e.Status.Usable()}
}

// normalMean is the mean plus and minus 1.96 standard errors.
func normalMean(x []float64) bar {
	m, sd := moments(x)
	half := tail.NormalUpperQuantile(0.025) * sd / math.Sqrt(float64(len(x)))
	return bar{m, m - half, m + half, true}
}

// poissonMean takes every egg for independent of every other.
func poissonMean(x []float64) bar {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return barOfEstimate(count.PoissonRate(int(sum), float64(len(x)), level))
}

const (
	holdsMean = "95% intervals that hold the mean"
	widthOver = "median width over the oracle's"
)

// widthOverOracle compares with an interval that knows how far the estimates scatter.
func widthOverOracle[T any](all []T, of func(T) bar) figure {
	known := only(all, func(r T) bool { return of(r).known })
	oracle := spread(known, func(r T) float64 { return of(r).value }).over(1 / (2 * 1.959963984540054))
	return ratio(median(all, func(r T) float64 { return of(r).width() }), oracle).shown("gravid", widthOver)
}

func holds[T any](all []T, of func(T) bar, truth float64) estimate {
	return share(all, func(r T) bool { return of(r).covers(truth) })
}

// enough is the band of the coverage for n clutches of size k.
func enough(n int, k float64) band {
	if k < 1 && n <= 8 {
		return atLeast(0.90)
	}
	return atLeast(0.93)
}

func clutchWorld(name string, n int, k float64, ours eggAnalysis) world {
	type four struct{ ours, profile, normal, poisson bar }
	draw := func(rng *rand.Rand) four {
		x := countClutches(rng, n, k)
		t := &club.Tables{}
		var exact []count.Count
		for i, eggs := range x {
			t.Clutches = append(t.Clutches, club.Clutch{ID: fmt.Sprint("c", i), Keeper: keeperName(i % 4), Species: species, Eggs: club.Some(int64(eggs))})
			exact = append(exact, count.Exactly(int(eggs)))
		}
		m, err := count.FitNegativeBinomial(exact, level)
		return four{barOf(ours(t).PerClutch), barOfEstimate(m.Mean(count.ProfileF), err), normalMean(x), poissonMean(x)}
	}
	truth := meanNotEmpty(k)
	return newWorld(name, draw, func(all []four) []figure {
		normal := holds(all, func(r four) bar { return r.normal }, eggsPerClutch)
		list := []figure{
			holds(all, func(r four) bar { return r.ours }, truth).ours("gravid, mean of clutches", holdsMean, enough(n, k)),
			widthOverOracle(all, func(r four) bar { return r.ours }),
			holds(all, func(r four) bar { return r.profile }, eggsPerClutch).ours("negative binomial, profile with F", holdsMean, enough(n, k)),
			holds(all, func(r four) bar { return r.poisson }, eggsPerClutch).rival("independent eggs (Poisson)", holdsMean, enough(n, k)),
		}
		if n <= 4 {
			return append(list, normal.rival("mean ± 1.96 standard errors", holdsMean, enough(n, k)))
		}
		return append(list, normal.shown("mean ± 1.96 standard errors", holdsMean))
	})
}

// zeroWorld has clutches of which a quarter are empty and count as 0.
func zeroWorld(name string, n int, k float64) world {
	type two struct{ logT, poisson bar }
	draw := func(rng *rand.Rand) two {
		x := countClutches(rng, n, k)
		for i := range x {
			if happens(rng, 0.25) {
				x[i] = 0
			}
		}
		return two{barOfEstimate(count.LogTMean(x, level)), poissonMean(x)}
	}
	return newWorld(name, draw, func(all []two) []figure {
		const truth = 0.75 * eggsPerClutch
		return []figure{
			holds(all, func(r two) bar { return r.logT }, truth).ours("log-t mean", holdsMean, atLeast(0.93)),
			holds(all, func(r two) bar { return r.poisson }, truth).rival("independent eggs (Poisson)", holdsMean, atLeast(0.93)),
		}
	})
}

// partWorld has clutches of which an eighth was counted; the part that was looked
// through differs from an eighth by a normal number of that standard deviation, on
// the log scale.
func partWorld(name string, n int, noise float64) world {
	const part, size = 0.125, 2.0
	type row struct{ mean, scaled, one, naive bool }
	draw := func(rng *rand.Rand) row {
		var parts []count.Count
		var scaled []float64
		var first, counted float64
		for i, eggs := range countClutches(rng, n, size) {
			fraction := min(1, part*math.Exp(noise*rng.NormFloat64()-noise*noise/2))
			c := distuv.Binomial{N: eggs, P: fraction, Src: rng}.Rand()
			parts = append(parts, count.Count{Lo: c, Hi: c, Exposure: part})
			scaled = append(scaled, c/part)
			if i == 0 {
				first, counted = eggs, c
			}
		}
		m, err := count.FitNegativeBinomial(parts, level)
		half := tail.NormalUpperQuantile(0.025) * math.Sqrt(counted/part)
		return row{
			mean:   barOfEstimate(m.Mean(count.ProfileF), err).covers(eggsPerClutch),
			scaled: barOfEstimate(count.LogTMean(scaled, level)).covers(eggsPerClutch),
			one:    barOfEstimate(count.SampledTotal(int(counted), part, level)).covers(first),
			naive:  math.Abs(counted/part-first) <= half,
		}
	}
	return newWorld(name, draw, func(all []row) []figure {
		const holdsTotal = "95% intervals that hold a clutch's own number"
		return []figure{
			share(all, func(r row) bool { return r.mean }).ours("negative binomial of the part counted", holdsMean, atLeast(0.93)),
			share(all, func(r row) bool { return r.scaled }).ours("log-t mean of scaled counts", holdsMean, atLeast(0.93)),
			share(all, func(r row) bool { return r.one }).ours("total from a sample", holdsTotal, atLeast(0.93)),
			share(all, func(r row) bool { return r.naive }).rival("scaled count ± 1.96 of its square root", holdsTotal, atLeast(0.93)),
		}
	})
}

const (
	eggsPerFemale = 60.0 // of an attempt with a spawning
	spawnChance   = 0.75
	femalesMean   = 2.5 // of 1 to 4
	daysMean      = 9.5 // of 5 to 14
)

// femaleDayWorld has attempts of ten keepers whose fish lay more or less, by a
// lognormal factor of mean 1.
func femaleDayWorld(name string, differ float64, ours eggAnalysis) world {
	type two struct{ ours, poisson bar }
	draw := func(rng *rand.Rand) two {
		t, eggs, femaleDays := femaleDays(rng, differ)
		return two{barOf(ours(t).PerFemaleDay), barOfEstimate(count.PoissonRate(int(eggs), femaleDays, level))}
	}
	const truth = spawnChance * eggsPerFemale / daysMean
	return newWorld(name, draw, func(all []two) []figure {
		return []figure{
			holds(all, func(r two) bar { return r.ours }, truth).ours("gravid, all eggs over all female-days", "95% intervals that hold the rate", atLeast(0.93)),
			mean(only(all, func(r two) bool { return r.ours.known }), func(r two) float64 { return r.ours.value/truth - 1 }).asPercent().ours("gravid, all eggs over all female-days", "bias of the rate", within(0.05)),
			widthOverOracle(all, func(r two) bar { return r.ours }),
			holds(all, func(r two) bar { return r.poisson }, truth).rival("independent eggs (Poisson)", "95% intervals that hold the rate", atLeast(0.93)),
		}
	})
}

// femaleDays makes the tables of femaleDayWorld and adds up their eggs and female-days.
func femaleDays(rng *rand.Rand, differ float64) (t *club.Tables, eggs, days float64) {
	t = &club.Tables{}
	for keeper := range 10 {
		factor := math.Exp(differ*rng.NormFloat64() - differ*differ/2)
		for i := range 12 {
			females, length, began := 1+rng.IntN(4), 5+rng.IntN(10), 20*i
			a := club.Attempt{
				ID: fmt.Sprint("a", keeper, "/", i), Keeper: keeperName(keeper), System: "T1", Species: species,
				Females: club.Some(int64(females)), Began: club.Some(start.AddDate(0, 0, began)),
				Ended: club.Some(start.AddDate(0, 0, began+length-1)), Spawned: club.Some(happens(rng, spawnChance)),
			}
			days += float64(females * length)
			if a.Spawned.V {
				a.SpawnedAt = a.Ended
				n := negativeBinomial(rng, factor*eggsPerFemale*float64(females), 2)
				eggs += n
				t.Clutches = append(t.Clutches, club.Clutch{ID: "c" + a.ID, AttemptID: a.ID, Keeper: a.Keeper, Species: species, Eggs: club.Some(int64(n)), Females: a.Females})
			}
			t.Attempts = append(t.Attempts, a)
		}
	}
	return t, eggs, days
}
