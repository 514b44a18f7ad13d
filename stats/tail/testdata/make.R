# Writes tails.csv beside this file: tail probabilities and quantiles computed by
# R's own functions, one a line. Run in this folder: Rscript make.R
out <- character()
put <- function(fn, a, b, c, v) out <<- c(out, sprintf("%s,%.17g,%.17g,%.17g,%.17g", fn, a, b, c, v))
# The arguments are given as whole numbers and short decimals, so that they read
# back exactly. Values are kept where they are above 1e-305.
keep <- function(v) is.finite(v) && v > 1e-305
for (z in c(-8, -1, 0, .5, 1, 1.96, 3, 5, 8, 9, 12, 20, 30, 37)) {
  put("NormalUpper", z, 0, 0, pnorm(z, lower.tail = FALSE)); put("LogNormalUpper", z, 0, 0, pnorm(z, lower.tail = FALSE, log.p = TRUE)) }
for (z in c(50, 1e3, 1e10)) put("LogNormalUpper", z, 0, 0, pnorm(z, lower.tail = FALSE, log.p = TRUE))
for (df in c(.5, 1, 2, 3, 7.5, 30, 200, 1e4, 1e6)) for (r in c(1e-8, .01, .5, .9, 1, 1.1, 1.5, 2, 5, 20, 300)) { x <- r * df
  v <- pchisq(x, df, lower.tail = FALSE); if (keep(v)) put("ChiSquareUpper", x, df, 0, v)
  v <- pchisq(x, df); if (keep(v)) put("ChiSquareLower", x, df, 0, v)
  put("LogChiSquareUpper", x, df, 0, pchisq(x, df, lower.tail = FALSE, log.p = TRUE)) }
for (df in c(.5, 1, 2, 3, 5, 11, 29, 100, 1e4, 1e5)) for (t in c(1e-9, .1, 1, 2, 3.5, 6, 12, 35, 200, 1e5)) { v <- 2 * pt(t, df, lower.tail = FALSE); if (keep(v)) put("StudentTwoSided", t, df, 0, v) }
for (d1 in c(.7, 1, 2, 5, 20, 300)) for (d2 in c(.7, 1, 3, 12, 80, 1500)) for (f in c(1e-6, .1, .7, 1, 1.5, 4, 30, 1e3, 1e7)) {
  v <- pf(f, d1, d2, lower.tail = FALSE); if (keep(v)) put("FUpper", f, d1, d2, v)
  v <- pf(f, d1, d2); if (keep(v)) put("FLower", f, d1, d2, v) }
for (n in c(1, 5, 40, 1000, 1e6)) for (p in c(1e-6, .015625, .25, .5, .75)) for (s in c(0, .01, .1, .25, .26, .5, .9, 1)) { k <- floor(s * n)
  v <- pbinom(k, n, p); if (keep(v)) put("BinomialLower", k, n, p, v)
  v <- pbinom(k - 1, n, p, lower.tail = FALSE); if (keep(v)) put("BinomialUpper", k, n, p, v) }
for (m in c(1e-5, .5, 3, 40, 1000, 1e6)) for (k in unique(floor(c(0, 1, 2, .1 * m, .9 * m, m, 1.1 * m + 1, 3 * m, 20)))) {
  v <- ppois(k, m); if (keep(v)) put("PoissonLower", k, m, 0, v)
  v <- ppois(k - 1, m, lower.tail = FALSE); if (keep(v)) put("PoissonUpper", k, m, 0, v) }
for (q in c(1e-300, 1e-100, 1e-12, 1e-4, .025, .05, .25, .5, .75, .975)) {
  put("NormalUpperQuantile", q, 0, 0, qnorm(q, lower.tail = FALSE))
  for (df in c(1, 2, 5, 29, 1000)) { put("ChiSquareUpperQuantile", q, df, 0, qchisq(q, df, lower.tail = FALSE)); put("ChiSquareQuantile", q, df, 0, qchisq(q, df)) }
  # R leaves qt(1e-300, 3) at a tail of 0.99999998e-300 (40-digit check), so df = 3 stops short of that.
  for (df in c(1, 2, if (q > 1e-200) 3, 11, 29, 1000)) put("StudentUpperQuantile", q, df, 0, qt(q, df, lower.tail = FALSE)) }
for (q in c(1e-12, 1e-4, .025, .5, .975)) for (d1 in c(1, 4, 30)) for (d2 in c(2, 9, 100)) { put("FUpperQuantile", q, d1, d2, qf(q, d1, d2, lower.tail = FALSE)); put("BetaQuantile", q, d1, d2, qbeta(q, d1, d2)) }
writeLines(c("function,a,b,c,value", out), "tails.csv")
