// Package power says how many attempts a comparison needs, and how likely it is to
// see a difference that is there.
//
// There are closed forms for two proportions, for a logistic regression and for
// times to an event, an exact count over all outcomes of two groups, and a
// simulation of whatever analysis is planned, in which an analysis that fails counts
// as one that saw nothing.
//
// It is for plans. The power "observed" after the event says no more than the
// p-value did, and is not here.
//
// Arguments outside their range (a chance that is not between 0 and 1, no
// difference where a number of attempts is asked for) give NaN.
package power
