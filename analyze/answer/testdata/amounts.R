# Makes amounts.csv and amounts_expected.csv. Run in this folder: Rscript amounts.R
# R 4.2.2, brglm2 0.9, mvtnorm 1.1-3 (Debian: r-cran-brglm2, r-cran-mvtnorm).
#
# amounts.csv holds made-up attempts of ten keepers at temperatures around habits of their
# own; the chance of a spawning is best at 25 degrees. The restricted cubic spline is that
# of Harrell (2015, equation 2.25) with knots at the quantiles 0.1, 0.5 and 0.9, the fit
# has the penalty of Firth, and the standard errors come from leaving out one keeper at a
# time (CV3).
suppressMessages({library(brglm2); library(mvtnorm)})
set.seed(20261125)
size <- c(50, 40, 36, 30, 30, 24, 20, 16, 12, 10)
keeper <- rep(LETTERS[seq_along(size)], size)
temperature <- round(2 * (25 + rnorm(10)[match(keeper, LETTERS)] + 2 * rnorm(length(keeper)))) / 2
eta <- rnorm(10, -2.6, .6)[match(keeper, LETTERS)] + 3 * exp(-(temperature - 25)^2 / 12)
spawned <- rbinom(length(eta), 1, plogis(eta))
write.csv(data.frame(keeper, temperature, spawned), "amounts.csv", row.names = FALSE, quote = FALSE)
k <- quantile(temperature, c(.1, .5, .9), names = FALSE)
cube <- function(x) pmax(x, 0)^3
bend <- function(x) (cube(x - k[1]) - cube(x - k[2]) * (k[3] - k[1]) / (k[3] - k[2]) + cube(x - k[3]) * (k[2] - k[1]) / (k[3] - k[2])) / (k[3] - k[1])^2
fit <- function(keep) {
  m <- glm(spawned ~ 0 + keeper + l + b, binomial, data.frame(spawned, keeper, l = temperature, b = bend(temperature))[keep, ],
           method = "brglmFit", type = "AS_mean", epsilon = 1e-12, maxit = 1000)
  stopifnot(m$converged)
  coef(m)[c("l", "b")]
}
all <- fit(TRUE)
g <- length(size)
left <- t(sapply(LETTERS[1:g], function(one) fit(keeper != one)))
jack <- (g - 1) / g * crossprod(sweep(left, 2, all))
at <- cbind(k, bend(k))
share <- (k[2] - k[1]) / (k[3] - k[1])
w <- rbind(at[3, ] - at[1, ], at[2, ] - at[1, ], at[3, ] - at[2, ], at[2, ] - (1 - share) * at[1, ] - share * at[3, ])
se <- sqrt(diag(w %*% jack %*% t(w)))
r <- cov2cor(w %*% jack %*% t(w))
p <- 1 - pmvt(rep(-2.5, 4), rep(2.5, 4), df = g - 1, corr = r, algorithm = GenzBretz(maxpts = 2e5, abseps = 1e-6))
out <- c("name,value", sprintf("knot%d,%.12g", 1:3, k), sprintf("log odds ratio %d,%.12g", 1:4, w %*% all),
         sprintf("standard error %d,%.12g", 1:4, se), sprintf("chance beyond 2.5,%.7g", p), sprintf("its error,%.2g", attr(p, "error")))
writeLines(out, "amounts_expected.csv")
print(out)
