# Writes largest.csv beside this file: the chance that the largest of several |t|, all
# contrasts of two slopes, exceeds x, by mvtnorm::pmvt and pmvnorm (Genz & Bretz), whose
# degrees of freedom are whole numbers; df = 0 stands for the normal distribution. The
# angles are in quarters of a right angle so that they read back exactly.
# Run in this folder: Rscript largest.R (Debian: r-cran-mvtnorm).
library(mvtnorm)
set.seed(1)
out <- "x,df,chance,error,quarters"
for (quarters in list(c(0, 4), c(0, 1), c(0, 2, 4, 6), c(0, 1, 3), c(0.5, 5, 6.25, 7)))
  for (df in c(1, 3, 11, 40, 0)) for (x in c(0.5, 1.96, 2.7, 4)) {
    a <- quarters * pi / 8
    r <- outer(a, a, function(s, t) cos(s - t))
    k <- length(a)
    g <- GenzBretz(maxpts = 4e6, abseps = 1e-8)
    p <- if (df > 0) pmvt(rep(-x, k), rep(x, k), df = df, corr = r, algorithm = g)
         else pmvnorm(rep(-x, k), rep(x, k), corr = r, algorithm = g)
    out <- c(out, sprintf("%g,%d,%.10f,%.1e,%s", x, df, 1 - p, attr(p, "error"), paste(quarters, collapse = ";")))
  }
writeLines(out, "largest.csv")
