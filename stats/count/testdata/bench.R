# What BenchmarkBCa measures, by R: mean of n amounts, 999 draws, BCa limits with
# jackknife acceleration. Prints seconds for each n. R 4.2.2, boot 1.3-28.1.
library(boot)
for (n in c(10, 100, 1000, 10000)) {
  x <- round(300 * exp(.7 * rnorm(n)))
  once <- function() {
    b <- boot(x, function(d, i) mean(d[i]), 999)
    boot.ci(b, type = "bca", L = empinf(data = x, statistic = function(d, i) mean(d[i]), type = "jack", stype = "i"))
  }
  times <- sapply(1:3, function(i) system.time(once())[["elapsed"]])
  cat(n, min(times), "\n")
}
