# Profile likelihood intervals of random-intercept logistic regressions, by the
# likelihood of lme4 (devFunOnly) with its inner iterations run to the end, maximised by
# nlminb, and uniroot. Run from this folder: Rscript random_profile.R > random_profile.json
library(lme4)
dir <- "../../testdata/reference/data/"
control <- glmerControl(tolPwrss = 1e-13)
profiles <- function(formula, data, nodes, level) {
  f <- glmer(formula, data, binomial, nAGQ = nodes, control = control, devFunOnly = TRUE)
  start <- glmer(formula, data, binomial, nAGQ = nodes)
  best <- c(getME(start, "theta"), fixef(start))
  dev <- function(p) { p[1] <- abs(p[1]); f(unname(p)) }
  tight <- list(rel.tol = 1e-14, x.tol = 1e-12, eval.max = 5000, iter.max = 2000)
  for (k in 1:3) { o <- nlminb(best, dev, control = tight); best <- o$par }
  top <- o$objective
  q <- qchisq(level, 1)
  held <- function(k, v, from) {
    g <- function(p) { x <- numeric(length(best)); x[k] <- v; x[-k] <- p; dev(x) }
    o <- nlminb(from[-k], g, control = tight)
    o <- nlminb(o$par, g, control = tight)
    o$objective - top - q
  }
  se <- sqrt(diag(vcov(start)))
  se <- c(best[1] / 2, se)
  end <- function(k, side) {
    h <- function(v) held(k, v, best)
    if (k == 1 && side < 0 && h(0) < 0) return(0)
    b <- best[k] + side * 2 * se[k]
    if (k == 1) b <- max(b, 0)
    while (h(b) < 0) b <- b + side * se[k]
    uniroot(h, sort(c(best[k], b)), tol = 1e-11)$root
  }
  rows <- lapply(seq_along(best), function(k) c(best[k], end(k, -1), end(k, 1)))
  names(rows) <- c("sigma", names(fixef(start)))
  rows
}
cbpp <- read.csv(paste0(dir, "cbpp.csv")); cbpp$period <- factor(cbpp$period)
bacteria <- read.csv(paste0(dir, "bacteria.csv")); bacteria$late <- as.integer(bacteria$week > 2)
bacteria$trt <- factor(bacteria$trt, c("placebo", "drug", "drugplus"))
cases <- list(
  cbpp1 = profiles(cbind(incidence, size - incidence) ~ period + (1 | herd), cbpp, 1, 0.95),
  cbpp15 = profiles(cbind(incidence, size - incidence) ~ period + (1 | herd), cbpp, 15, 0.95),
  bacteria25 = profiles(present ~ trt + late + (1 | ID), bacteria, 25, 0.9)
)
text <- sapply(names(cases), function(n) paste0('"', n, '": {', paste0('"', names(cases[[n]]), '": [',
  sapply(cases[[n]], function(v) paste(format(v, digits = 15, trim = TRUE), collapse = ", ")), "]", collapse = ",\n  "), "}"))
cat("{", paste(text, collapse = ",\n"), "}\n", sep = "")
