// Package tail gives tail probabilities and quantiles that keep their relative
// accuracy however small they are, and their logarithms where even a float64
// is too coarse.
//
// A p-value worked out as 1 - CDF is 0 from about 1e-16 on, and already
// inaccurate long before. The functions here work out the smaller tail
// directly, so that 1e-300 is as good as 0.05. Upper means P(X >= x), Lower
// P(X <= x); for the discrete distributions both include x itself.
//
// Arguments outside the domain (a NaN, degrees of freedom that are not
// positive, a probability outside 0 to 1) give NaN. Degrees of freedom and
// shape parameters need not be whole numbers.
//
// It is not a package of distributions: no densities, moments, random numbers
// or fitting. Package gonum.org/v1/gonum/stat/distuv has those.
package tail
