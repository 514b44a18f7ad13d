# Makes stats/testdata/reference/expected/count_*.json. Run in this folder:
#   Rscript make.R
# R 4.2.2 with MASS 7.3-58.2, survey 4.1-1, VGAM 1.1-7, pscl 1.5.5 and jsonlite 1.8.4.
options(digits = 17, warn = 1)
suppressMessages({library(MASS); library(survey); library(jsonlite)})
reference <- "../../testdata/reference"
table_of <- function(name) read.csv(file.path(reference, "data", paste0(name, ".csv")))
write_case <- function(id, dataset, method, call, values, notes, tolerance, by_key = NULL) {
  case <- list(id = id, dataset = if (is.null(dataset)) list() else as.list(paste0("data/", dataset, ".csv")),
               method = method, call = as.list(call), tolerance = tolerance)
  if (!is.null(by_key)) case$tolerance_by_key <- by_key
  case$values <- values
  case$notes <- as.list(notes)
  text <- toJSON(case, auto_unbox = TRUE, digits = NA, pretty = TRUE, na = "null")
  writeLines(text, file.path(reference, "expected", paste0(id, ".json")))
}
arr <- function(x) I(as.numeric(x))

# Aliquots: the ratio estimator of a simple random sample with its share of the
# lot known. First the weights of a published teaching example (36, 35 and 41
# eggs in 1.5, 1.6 and 1.9 g of a mass of 316.8 g: 22.4 eggs/g, 7096 eggs), then
# larger shares.
aliquots <- list(teaching = list(n = c(36, 35, 41), a = c(1.5, 1.6, 1.9), size = 316.8),
                 shares = list(n = c(41, 55, 38, 60), a = c(.05, .05, .04, .06), size = 1))
made <- lapply(aliquots, function(q) {
  k <- length(q$n)
  d <- data.frame(n = q$n, a = q$a, f = sum(q$a) / q$size)
  se_of <- function(design) {
    r <- svyratio(~n, ~a, design)
    c(as.numeric(coef(r)), as.numeric(SE(r)))
  }
  plain <- se_of(svydesign(ids = ~1, weights = ~1, data = d))
  fpc <- se_of(svydesign(ids = ~1, fpc = ~f, data = d))
  limits <- function(v, se) as.numeric(v * exp(c(-1, 1) * qt(.975, k - 1) * se / v))
  list(counted = arr(q$n), amount = arr(q$a), size = q$size, density = plain[1], density_se = plain[2],
       density_limits = arr(limits(plain[1], plain[2])), total = plain[1] * q$size, total_se = fpc[2] * q$size,
       total_limits = arr(limits(plain[1] * q$size, fpc[2] * q$size)))
})
write_case("count_aliquots", NULL, "ratio estimator with finite population correction",
           c("survey::svyratio(~n, ~a, svydesign(ids = ~1, fpc = ~f))"), made,
           "limits: value exp(-+ t(k-1) se/value)", 1e-9)

# Ratio of totals: the delete-one-cluster jackknife about the full estimate.
set.seed(11)
parts <- data.frame(cluster = rep(1:7, c(1, 3, 2, 4, 2, 5, 3)))
parts$exposure <- sample(10:60, nrow(parts))
parts$amount <- rnbinom(nrow(parts), mu = 3 * parts$exposure, size = 1.5)
parts$amount[c(2, 9)] <- 0
jack <- as.svrepdesign(svydesign(ids = ~cluster, weights = ~1, data = parts), type = "JK1", mse = TRUE)
r <- svyratio(~amount, ~exposure, jack)
v <- as.numeric(coef(r)); se <- as.numeric(SE(r))
write_case("count_ratio_jackknife", NULL, "ratio of totals, jackknife over clusters",
           c("as.svrepdesign(svydesign(ids = ~cluster), type = 'JK1', mse = TRUE)", "svyratio(~amount, ~exposure)"),
           list(cluster = arr(parts$cluster), exposure = arr(parts$exposure), amount = arr(parts$amount),
                ratio = v, se = se, limits = arr(v * exp(c(-1, 1) * qt(.975, 6) * se / v))),
           "limits: ratio exp(-+ t(G-1) se/ratio)", 1e-9)

# Score intervals for two shares; the shares under the hypothesis come from a
# numerical search of the likelihood, not from the closed forms.
two <- table_of("proportions_newcombe_two_sample")
loglik <- function(x, n, p) ifelse(x > 0, x * log(p), 0) + ifelse(n > x, (n - x) * log1p(-p), 0)
constrained <- function(x1, n1, x2, n2, p1_of, lo, hi) {
  f <- function(p2) loglik(x1, n1, min(max(p1_of(p2), 0), 1)) + loglik(x2, n2, p2)
  g <- seq(lo, hi, length.out = 401)
  at <- which.max(sapply(g, f))
  optimize(f, c(g[max(at - 1, 1)], g[min(at + 1, 401)]), maximum = TRUE, tol = 1e-14)$maximum
}
score_diff <- function(x1, n1, x2, n2, d, mn) {
  p2 <- constrained(x1, n1, x2, n2, function(p) p + d, max(0, -d), min(1, 1 - d)); p1 <- p2 + d
  v <- (p1 * (1 - p1) / n1 + p2 * (1 - p2) / n2) * if (mn) (n1 + n2) / (n1 + n2 - 1) else 1
  (x1 / n1 - x2 / n2 - d) / sqrt(v)
}
score_ratio <- function(x1, n1, x2, n2, r, mn) {
  p2 <- constrained(x1, n1, x2, n2, function(p) p * r, 0, min(1, 1 / r)); p1 <- p2 * r
  v <- (p1 * (1 - p1) / n1 + r^2 * p2 * (1 - p2) / n2) * if (mn) (n1 + n2) / (n1 + n2 - 1) else 1
  (x1 / n1 - r * x2 / n2) / sqrt(v)
}
z <- qnorm(.975)
diff_limits <- function(x1, n1, x2, n2) {
  d <- x1 / n1 - x2 / n2; e <- 1e-9
  lo <- if (d > -1) uniroot(function(t) score_diff(x1, n1, x2, n2, t, TRUE) - z, c(-1 + e, d - e), tol = 1e-13)$root else -1
  hi <- if (d < 1) uniroot(function(t) score_diff(x1, n1, x2, n2, t, TRUE) + z, c(d + e, 1 - e), tol = 1e-13)$root else 1
  c(lo, hi)
}
ratio_limits <- function(x1, n1, x2, n2, mn) {
  if (x1 == 0 && x2 == 0) return(c(0, Inf))
  lr <- log((x1 / n1) / (x2 / n2)); e <- 1e-7
  lo <- if (x1 > 0) exp(uniroot(function(t) score_ratio(x1, n1, x2, n2, exp(t), mn) - z, c(-12, min(lr - e, 12)), tol = 1e-13)$root) else 0
  hi <- if (x2 > 0) exp(uniroot(function(t) score_ratio(x1, n1, x2, n2, exp(t), mn) + z, c(max(lr + e, -12), 12), tol = 1e-13)$root) else Inf
  c(lo, hi)
}
with(two, {
  dl <- mapply(diff_limits, x1, n1, x2, n2)
  mn <- mapply(ratio_limits, x1, n1, x2, n2, TRUE)
  ko <- mapply(ratio_limits, x1, n1, x2, n2, FALSE)
  # fisher.test stops its search after about four digits, so it is done here once
  # more, to the end, and the two must agree.
  or <- mapply(function(x1, n1, x2, n2) {
    m <- x1 + x2; k <- max(0, m - n2):min(m, n1)
    p <- function(l) { w <- dhyper(k, n1, n2, m, log = TRUE) + k * l; w <- exp(w - max(w)); w / sum(w) }
    solve_for <- function(f) exp(uniroot(f, c(-60, 60), tol = 1e-14)$root)
    lo <- if (x1 > min(k)) solve_for(function(l) sum(p(l)[k >= x1]) - .025) else 0
    hi <- if (x1 < max(k)) solve_for(function(l) sum(p(l)[k <= x1]) - .025) else Inf
    v <- if (x1 == min(k)) 0 else if (x1 == max(k)) Inf else solve_for(function(l) sum(k * p(l)) - x1)
    f <- fisher.test(matrix(c(x1, n1 - x1, x2, n2 - x2), 2))
    mine <- c(v, lo, hi); theirs <- c(f$estimate, f$conf.int)
    stopifnot(all(mine == theirs | abs(mine / theirs - 1) < .02))
    mine
  }, x1, n1, x2, n2)
  inf <- function(x) lapply(as.numeric(x), function(v) if (is.infinite(v)) "Inf" else v)
  write_case("count_two_shares", "proportions_newcombe_two_sample",
             "score intervals of a difference and a ratio of shares; exact conditional odds ratio",
             c("uniroot on the score statistic", "uniroot on dhyper(log = TRUE) + k * log(odds ratio); fisher.test agrees"),
             list(difference_miettinen_nurminen = list(lower = arr(dl[1, ]), upper = arr(dl[2, ])),
                  ratio_miettinen_nurminen = list(lower = inf(mn[1, ]), upper = inf(mn[2, ])),
                  ratio_koopman = list(lower = inf(ko[1, ]), upper = inf(ko[2, ])),
                  odds_ratio_exact = list(estimate = inf(or[1, ]), lower = inf(or[2, ]), upper = inf(or[3, ]))),
             "both tables with no hits: ratio 0 to Inf", 1e-6,
             list(odds_ratio_exact = 1e-9))
})

# Quantiles.
x <- c(9, 2, 5, 3, 14, 3, 27); p <- c(0, .05, .1, .25, 1 / 3, .5, .6, .75, .9, 1)
write_case("count_quantile_types", NULL, "sample quantiles of Hyndman & Fan", "quantile(x, p, type = 1:9)",
           list(x = arr(x), p = arr(p), types = setNames(lapply(1:9, function(k) arr(quantile(x, p, type = k, names = FALSE))), paste0("type", 1:9))),
           "", 1e-12)

# Zero-truncated negative binomial and hurdle, on days absent.
days <- table_of("quine_absence")$Days
ztnb <- function(y, th) {
  mu <- exp(th[1]); k <- exp(th[2])
  sum(dnbinom(y, mu = mu, size = k, log = TRUE)) - length(y) * log1p(-(1 + mu / k)^-k)
}
truncated_mean <- function(th) exp(th[1]) / (1 - (1 + exp(th[1] - th[2]))^-exp(th[2]))
zt <- function(y) {
  best <- optim(c(log(mean(y)), 0), function(th) -ztnb(y, th), method = "BFGS", control = list(reltol = 1e-16, maxit = 1000))
  best <- optim(best$par, function(th) -ztnb(y, th), method = "Nelder-Mead", control = list(reltol = 1e-16, maxit = 5000))
  th <- best$par; top <- -best$value
  profile <- function(m) { # best log-likelihood where the truncated mean is m
    at <- function(lk) {
      b <- uniroot(function(b) log(truncated_mean(c(b, lk))) - log(m), c(-20, log(m) + 1e-12), tol = 1e-14)$root
      ztnb(y, c(b, lk))
    }
    optimize(at, th[2] + c(-3, 3), maximum = TRUE, tol = 1e-12)$objective
  }
  m <- truncated_mean(th); q <- qchisq(.95, 1) / 2
  lim <- sapply(c(1 / 3, 3), function(f) uniroot(function(m) profile(m) - top + q, sort(c(m, m * f)), tol = 1e-10)$root)
  list(log_mu = th[1], mean = m, size = exp(th[2]), loglik = top, profile_mean = arr(lim))
}
positive <- zt(days[days > 0])
suppressMessages(library(VGAM))
v <- vglm(days[days > 0] ~ 1, posnegbinomial, control = vglm.control(maxit = 100, epsilon = 1e-10))
stopifnot(abs(logLik(v) - positive$loglik) < 1e-6, abs(Coef(v)["munb"] / exp(positive$log_mu) - 1) < 1e-4)
suppressMessages(library(pscl))
h <- hurdle(Days ~ 1, data = data.frame(Days = days), dist = "negbin", control = hurdle.control(reltol = 1e-14))
stopifnot(abs(coef(h)[1] - positive$log_mu) < 1e-4, abs(h$theta / positive$size - 1) < 1e-3)
few <- zt(c(3, 1, 7, 2, 12, 1, 5, 4, 1, 9, 2, 6))
write_case("count_zero_truncated", "quine_absence", "zero-truncated negative binomial, hurdle model",
           c("optim", "VGAM::vglm(y ~ 1, posnegbinomial) and pscl::hurdle(Days ~ 1, dist = 'negbin') agree"),
           list(quine_positive = c(positive, list(n = sum(days > 0))),
                few = c(list(counts = arr(c(3, 1, 7, 2, 12, 1, 5, 4, 1, 9, 2, 6))), few),
                hurdle = list(n = length(days), share = mean(days > 0), mean = mean(days), loglik = as.numeric(logLik(h)))),
           "profile_mean: limits of the mean of counts above 0, the size being the best for each", 1e-6)

# Regression: joint observed information, profile limits, offset; quasi-Poisson
# with a jackknife over made-up clusters (row number modulo 12).
q <- table_of("quine_absence")
X <- model.matrix(~ Eth + Sex + Lrn, q)
off <- log(1 + (seq_len(nrow(q)) %% 3))
nll <- function(th) -sum(dnbinom(q$Days, mu = exp(X %*% th[1:4] + off), size = exp(-th[5]), log = TRUE))
gr <- function(th) {
  mu <- as.numeric(exp(X %*% th[1:4] + off)); k <- exp(-th[5]); y <- q$Days
  -c(t(X) %*% (k * (y - mu) / (k + mu)),
     -sum(k * (digamma(y + k) - digamma(k) + log(k / (k + mu)) + 1 - (y + k) / (k + mu))))
}
fit <- optim(c(2, 0, 0, 0, 0), nll, gr, method = "BFGS", control = list(reltol = 1e-16, maxit = 1000))
for (i in 1:20) { # finish with Newton steps on the gradient
  H <- sapply(1:5, function(j) { e <- rep(0, 5); e[j] <- 1e-5; (gr(fit$par + e) - gr(fit$par - e)) / 2e-5 })
  fit$par <- fit$par - solve(H, gr(fit$par))
}
H <- (H + t(H)) / 2
profile <- function(j, side) {
  se <- sqrt(solve(H)[j, j]); top <- nll(fit$par)
  f <- function(b) {
    g <- optim(fit$par[-j], function(r) { th <- append(r, b, j - 1); nll(th) },
               function(r) gr(append(r, b, j - 1))[-j], method = "BFGS", control = list(reltol = 1e-15, maxit = 1000))
    g$value - top - qchisq(.95, 1) / 2
  }
  uniroot(f, sort(fit$par[j] + side * se * c(1, 4)), tol = 1e-10)$root
}
m <- glm.nb(Days ~ Eth + Sex + Lrn + offset(off), data = q, control = glm.control(epsilon = 1e-14, maxit = 100))
stopifnot(max(abs(coef(m) - fit$par[1:4])) < 1e-6, abs(m$theta / exp(-fit$par[5]) - 1) < 1e-5)
poisson_q <- glm(Days ~ Eth + Sex + Lrn + offset(off), quasipoisson, q, control = glm.control(epsilon = 1e-14))
cluster <- seq_len(nrow(q)) %% 12
jack <- sapply(0:11, function(g) coef(glm(Days ~ Eth + Sex + Lrn + offset(off), poisson, q, subset = cluster != g, control = glm.control(epsilon = 1e-14))))
write_case("count_regression", "quine_absence", "negative binomial and quasi-Poisson regression with an offset",
           c("optim; MASS::glm.nb(Days ~ Eth + Sex + Lrn + offset(off)) agrees", "glm(quasipoisson), and without each cluster"),
           list(coef = arr(fit$par[1:4]), size = exp(-fit$par[5]), loglik = -nll(fit$par),
                se_observed = arr(sqrt(diag(solve(H)))[1:4]),
                profile_lower = arr(sapply(1:4, profile, -1)), profile_upper = arr(sapply(1:4, profile, 1)),
                quasi = list(coef = arr(coef(poisson_q)), dispersion = summary(poisson_q)$dispersion,
                             se = arr(summary(poisson_q)$coefficients[, 2]),
                             se_jackknife = arr(sqrt(11 / 12 * rowSums((jack - coef(poisson_q))^2))))),
           "columns: constant, EthN, SexM, LrnSL; off = log(1 + row modulo 3), row from 1; cluster = row modulo 12; jackknife about the full fit, times (G-1)/G", 1e-6)

# Hits against what is expected. With equal chances p the exact limits are those
# of binom.test over p; with unequal ones those of a sum of unequal trials whose
# odds are multiplied, by convolution; with small ones near those of poisson.test.
convolve_trials <- function(p) Reduce(function(a, q) c(a, 0) * (1 - q) + c(0, a) * q, p, 1)
raised <- function(p, b) plogis(qlogis(p) + b)
against <- function(x, p, level = .95) {
  q <- (1 - level) / 2; n <- length(p)
  low <- if (x == 0) 0 else uniroot(function(b) sum(convolve_trials(raised(p, b))[(x + 1):(n + 1)]) - q, c(-30, 30), tol = 1e-13)$root
  high <- if (x == n) 0 else uniroot(function(b) sum(convolve_trials(raised(p, b))[1:(x + 1)]) - q, c(-30, 30), tol = 1e-13)$root
  d <- convolve_trials(p)
  c(ratio = x / sum(p), lower = if (x == 0) 0 else sum(raised(p, low)) / sum(p), upper = if (x == n) n / sum(p) else sum(raised(p, high)) / sum(p),
    expected = sum(p), at_least = sum(d[(x + 1):(n + 1)]), at_most = sum(d[1:(x + 1)]))
}
alike <- data.frame(x = c(0, 3, 12, 25, 10, 30, 7), n = c(8, 8, 30, 40, 10, 100, 7), p = c(.4, .4, .55, .5, .8, .2, .3))
alike[c("lower", "upper")] <- t(mapply(function(x, n, p) as.numeric(binom.test(x, n)$conf.int) / p, alike$x, alike$n, alike$p))
alike$at_least <- mapply(function(x, n, p) binom.test(x, n, p, "greater")$p.value, alike$x, alike$n, alike$p)
alike$at_most <- mapply(function(x, n, p) binom.test(x, n, p, "less")$p.value, alike$x, alike$n, alike$p)
for (i in seq_len(nrow(alike))) { # the convolution agrees with binom.test
  a <- against(alike$x[i], rep(alike$p[i], alike$n[i]))
  stopifnot(max(abs(a[c("lower", "upper", "at_least", "at_most")] - unlist(alike[i, c("lower", "upper", "at_least", "at_most")]))) < 1e-9)
}
mixes <- list(two = list(x = 9, p = rep(c(.3, .7), c(10, 12))), ladder = list(x = 14, p = (1:25) / 26),
              none = list(x = 0, p = c(.2, .5, .35, .61)), all = list(x = 4, p = c(.2, .5, .35, .61)))
rare <- poisson.test(7, T = 2000 * .002) # of 2000 trials with a chance of .002 each: near the Poisson limits
write_case("count_observed_expected", NULL, "observed over expected with exact limits, and control limits of a funnel",
           c("binom.test(x, n)$conf.int / p", "convolution of unequal trials, odds multiplied", "poisson.test(7, T = 4)", "qbinom for the control limits"),
           list(alike = lapply(alike, arr),
                mixed = lapply(mixes, function(m) c(list(hits = m$x, chances = arr(m$p)), as.list(against(m$x, m$p)))),
                level_998 = as.list(against(9, mixes$two$p, .998)),
                rare = list(lower = rare$conf.int[1], upper = rare$conf.int[2]),
                # the smallest counts whose lower tail is above q, and the largest whose upper tail is
                funnel = {
                  f <- expand.grid(n = c(4, 9, 20, 60), p = c(.2, .55, .8), level = c(.95, .998)); q <- (1 - f$level) / 2
                  list(n = arr(f$n), p = arr(f$p), level = arr(f$level), low = arr(qbinom(q, f$n, f$p)), high = arr(qbinom(q, f$n, f$p, lower.tail = FALSE)))
                }),
           "funnel: a count below low, or above high, is outside; qbinom(q) is the smallest count whose lower tail reaches q", 1e-8)
