// Package duration answers "how long until": the time from an origin (a clutch
// laid) to an event (hatching), when some times are known exactly, some only to
// lie between two checks, and some not at all because the record stops first.
//
// Every method takes the same input, a slice of Observation, and returns its
// numbers with their limits, the number of observations and events behind them,
// a status and warnings:
//
//	KaplanMeier     share still waiting, from exact and right-censored times
//	NelsonAalen     cumulative hazard, same input
//	AalenJohansen   share that went by each of several competing causes
//	LogRank         are two or more groups alike?
//	GrayTest        do as many go by one cause in each group?
//	FitCox          what hastens or delays it, whatever the shape of the hazard
//	FitFineGray     what shifts the share gone by one cause
//	Turnbull        share still waiting, from interval-censored times
//	IntervalLogRank are groups alike, from interval-censored times?
//	FitIntervalIncidence  share gone by each cause, from interval-censored times
//	FitGrouped      what hastens or delays it, looks being at the same times for all
//	FitAFT          accelerated failure time regression for all of these and for
//	                an origin that is itself known only to an interval
//	FitDegreeDays   the sum of heat it takes, with the temperature as it was
//
// Times are plain numbers in any unit the caller likes; results come in the
// same unit. The order of the observations never matters, nor does the number
// of processors.
//
// It is not for repeated events of one subject, nor for covariates that change in
// time in any method but FitCox.
package duration
