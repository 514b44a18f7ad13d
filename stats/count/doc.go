// Package count answers "how many" and "what share": eggs in a clutch, eggs for
// each female and day, the share of a clutch that hatches.
//
// One share of independent trials:
//
//	ClopperPearson            covers at least its level, whatever the share
//	MidP, Wilson, Jeffreys, AgrestiCoull   cover it on average, and are shorter
//	AtMost, AtLeast           one-sided and exact, for "0 of 14" and "14 of 14"
//
// Hits held against chances known from elsewhere:
//
//	ObservedExpected          ratio of observed to expected, exact for unequal trials
//	FunnelLimits              control limits of a count about a known share
//
// Two shares compared:
//
//	Newcombe                  difference, from the Wilson limits of the two
//	MiettinenNurminen         difference, by its own score test
//	MiettinenNurminenRatio, Koopman   ratio, by its score test
//	OddsRatio, Fisher         odds ratio, exact given the totals
//
// Independent events over an exposure:
//
//	PoissonRate, PoissonAtMost   one rate, exact
//	RateRatio                    ratio of two, exact given their sum
//
// Amounts that vary by more than chance from one clutch to the next. The Poisson
// limits of a mean of 8 such clutches cover about 1 time in 8 instead of 95 in
// 100, so these are for eggs:
//
//	LogTMean                  m exp(-+ t s/(m sqrt n)); the one for a handful
//	TMean, GeometricMean, LogNormalMean   where the shape of the spread is known
//	RatioOfTotals             all eggs over all female-days, jackknife over clusters
//	NewBootstrap, BootstrapRatio   clusters drawn again: percentile, basic, BCa
//	FitQuasiPoisson           log mean linear in covariates, variance proportional
//	                          to the mean, or clusters left out one at a time
//	FitNegativeBinomial, FitCountRegression   variance mu + mu^2/k, by joint maximum
//	                          likelihood; predicts one more clutch
//	FitZeroTruncated, FitHurdle   clutches of at least one, and attempts without
//	FitBetaBinomial           shares of clutches that differ among themselves
//
// Counts that are not whole and exact. A Count is a range from Lo to Hi, which
// enters the likelihood as the probability of the range, and an Exposure, which
// enters as an offset: a negative binomial number of which each egg is looked at
// with probability f is again negative binomial with the same k and f times the
// mean, so what was counted is modelled and nothing is scaled up.
//
//	About, Rounded            a guess or a round number as a range
//	Heaping                   whether too many numbers end in 0 or 5
//	SampledTotal              one clutch of which a share was counted
//	AliquotTotal, AliquotDensity   several aliquots by volume, weight or share
//	TroughTotal, TroughDensity     eggs in a litre from their diameter in a row
//
// And Quantile, QuantileOfType and Median of plain numbers.
//
// Every estimate comes with its limits, the level asked for and the one
// guaranteed (NaN where nobody knows), the number of observations and events, a
// status and warnings. Where the records set no limit it is infinite and a
// warning says why; where there is too little to say anything, there are no
// numbers. The order of the observations never matters, nor does the number of
// processors; what is drawn at random depends on the seed given.
//
// It is not for counts in time series, nor for random effects of keepers: by
// cluster here means standard errors, not one more level of the model. Limits of
// FitCountRegression and FitBetaBinomial hold for clutches independent given
// their covariates.
package count
