// Package count answers "how many" and "what share": eggs in a clutch, eggs for
// each female and day, the share of a clutch that hatches.
//
//	ClopperPearson, MidP, Wilson, Jeffreys, AgrestiCoull   one share of trials
//	AtMost, AtLeast                 one-sided limits, for "0 of 14" and "14 of 14"
//	Newcombe, Fisher                two shares compared
//	PoissonRate, PoissonAtMost, RateRatio   events over an exposure
//	LogTMean                        mean of amounts that vary more than chance
//	RatioOfTotals                   all eggs over all female-days, by cluster
//	FitNegativeBinomial             counts known exactly, in part, or to a range
//	FitBetaBinomial                 shares of clutches that differ among themselves
//	SampledTotal                    a total of which only a part was counted
//	Quantile, Median                of plain numbers
//
// Every estimate comes with its limits, the level asked for and the one
// guaranteed, the number of observations and events, a status and warnings. The
// order of the observations never matters.
//
// It is not for regression on many covariates, nor for counts in time series.
package count
