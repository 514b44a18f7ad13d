// Package pool joins estimates of the same quantity from several sources (species,
// keepers, seasons) that need not agree.
//
// The model is y_i ~ N(mu_i, v_i) with known v_i and mu_i ~ N(mu, tau^2): the
// sources' own values scatter around a mean with a spread tau, and what is asked for
// is the mean, the spread, and the value to expect of a new source. Every variance is
// taken as known, so that small sources with zero cells are better pooled in one
// regression than here.
//
// It is not for covariates of the sources, for correlated estimates, or for a search
// for small-study effects.
package pool
