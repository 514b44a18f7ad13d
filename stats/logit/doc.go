// Package logit fits logistic regressions to small, lop-sided records: few
// events, few keepers, and triggers that never failed.
//
// The model is logit P(success) = a_g + x'b, with one intercept for each group
// of rows (a keeper, say) or a single one. It is fitted by maximum likelihood
// or with the penalty of Firth (1993), which keeps every estimate finite, or that of
// a logF(1,1) prior.
// Before any fit the records are asked whether they can answer at all: Identify
// names columns that never vary or always move together, DetectSeparation the
// columns that split the outcomes perfectly. A Model carries a status, and no
// number where the status does not allow one.
//
// Intervals come from the profile of the (penalised) likelihood and from
// leaving out one cluster at a time; Envelope joins the two. RiskDifference
// turns a log odds ratio into successes per attempt.
//
// Where rows of a cluster are alike, Robust and RobustTwoWay give sandwich
// covariances with degrees of freedom for few clusters, and SignFlip a test that
// needs the model without the column alone. FitConditional compares rows within
// strata only, FitRandom lets intercepts come from a distribution. Spline makes
// columns for a dose that need not act in proportion, Monotone steps that only rise.
// AUC, Score and Calibrate judge predicted chances.
//
// Factor makes columns of words, Contrast sets any two rows against each other.
//
// Results do not depend on the number of processors: rows are summed in blocks
// whose borders follow from the data alone.
//
// It is not for multinomial or ordinal outcomes, random slopes, or variable
// selection, and it knows nothing of dates, keepers or triggers: columns are
// numbers and groups are integers.
package logit
