# Makes stats/testdata/reference/expected/count_more_*.json: data sets and options that
# the other cases leave out. Run in this folder:
#   Rscript more.R
# R 4.2.2 with MASS 7.3-58.2 (data epil, Insurance, ships), pscl 1.5.5 (bioChemists), VGAM
# 1.1-7 (toxop) and jsonlite 1.8.4. The columns used stand in the cases.
options(digits = 17, warn = 1)
suppressMessages({library(MASS); library(jsonlite)})
data(bioChemists, package = "pscl"); data(toxop, package = "VGAM")
expected <- "../../testdata/reference/expected"
num <- function(x) I(unname(as.numeric(x)))
write_case <- function(id, method, call, values, tolerance) {
  case <- list(id = paste0("count_more_", id), dataset = list(), method = method, call = as.list(call), tolerance = tolerance, values = values, notes = list(""))
  writeLines(toJSON(case, auto_unbox = TRUE, digits = I(17), na = "null"), file.path(expected, paste0(case$id, ".json")))
}
columns <- function(formula, data) { x <- model.matrix(formula, data)[, -1, drop = FALSE]; setNames(lapply(seq_len(ncol(x)), function(j) num(x[, j])), paste0("x", seq_len(ncol(x)))) }
fits <- function(formula, data, exposure, nb = TRUE) {
  environment(formula) <- environment(); y <- model.response(model.frame(formula, data)); data$log_exposure <- log(exposure)
  full <- update(formula, . ~ . + offset(log_exposure))
  q <- glm(full, quasipoisson, data, epsilon = 1e-14, maxit = 100); s <- summary(q)
  v <- list(y = num(y), exposure = num(exposure), x = columns(formula, data), quasi = list(coef = num(coef(q)), se = num(sqrt(diag(vcov(q)))), dispersion = s$dispersion, p = num(s$coefficients[, 4])))
  if (nb) { f <- glm.nb(full, data, control = glm.control(epsilon = 1e-14, maxit = 200)); ll <- logLik(f)
    v$negbin <- list(coef = num(coef(f)), size = f$theta, loglik = as.numeric(ll)) }
  v
}
one <- function(d) rep(1, nrow(d))
for (i in c("District", "Group", "Age")) Insurance[[i]] <- factor(Insurance[[i]], ordered = FALSE)
ships <- ships[ships$service > 0, ]; ships$year <- factor(ships$year); ships$period <- factor(ships$period)
write_case("regressions", "quasi-Poisson and negative binomial regression, with exposures and factors",
  c("glm(family = quasipoisson), MASS::glm.nb", "epil: y ~ trt * lbase + lage + V4", "Insurance: Claims ~ District + Group + Age + offset(log(Holders))",
    "ships: incidents ~ type + year + period + offset(log(service)), service > 0, without glm.nb, which finds no extra spread", "bioChemists: art ~ fem + mar + kid5 + phd + ment"),
  list(epil = fits(y ~ trt * lbase + lage + V4, epil, one(epil)), insurance = fits(Claims ~ District + Group + Age, Insurance, Insurance$Holders, FALSE),
       ships = fits(incidents ~ type + year + period, ships, ships$service, FALSE), bioChemists = fits(art ~ fem + mar + kid5 + phd + ment, bioChemists, one(bioChemists))), 1e-6)

h <- pscl::hurdle(art ~ 1, bioChemists, dist = "negbin", zero.dist = "binomial", control = pscl::hurdle.control(reltol = 1e-15, maxit = 20000))
z <- VGAM::vglm(art ~ 1, VGAM::posnegbinomial, bioChemists[bioChemists$art > 0, ], control = VGAM::vglm.control(epsilon = 1e-12, maxit = 200))
write_case("hurdle", "hurdle and zero-truncated negative binomial", c("pscl::hurdle(art ~ 1, dist = 'negbin')", "VGAM::vglm(posnegbinomial)"),
  list(y = num(bioChemists$art), loglik = h$loglik, size = unname(h$theta), mean = unname(predict(h)[1]),
       truncated = list(loglik = VGAM::logLik.vlm(z), mean = unname(VGAM::fitted(z)[1]), size = unname(exp(VGAM::coef(z)[2])))), 1e-4)

b <- VGAM::vglm(cbind(positive, ssize - positive) ~ rainfall, VGAM::betabinomial, toxop, control = VGAM::vglm.control(epsilon = 1e-12, maxit = 200))
toxop$thousand <- toxop$rainfall / 1000
write_case("betabinomial", "beta-binomial regression", "VGAM::vglm(cbind(positive, ssize - positive) ~ rainfall, betabinomial), slope by 1000 mm",
  list(hits = num(toxop$positive), trials = num(toxop$ssize), x = num(toxop$thousand), coef = num(VGAM::coef(b)[c(1, 3)] * c(1, 1000)), rho = unname(plogis(VGAM::coef(b)[2])), loglik = VGAM::logLik.vlm(b)), 1e-4)

shares <- list(c(0, 1), c(1, 1), c(1, 2), c(0, 40), c(39, 40), c(7, 19), c(1234, 98765), c(250000, 1000000))
events <- list(c(0, 3), c(1, .01), c(4, 1e4), c(88, 12.5), c(10000, 3))
inf <- function(x) lapply(as.numeric(x), function(v) if (is.infinite(v)) "Inf" else v)
level_of <- function(level) {
  s <- sapply(shares, function(v) binom.test(v[1], v[2], conf.level = level)$conf.int); p <- sapply(events, function(v) poisson.test(v[1], v[2], conf.level = level)$conf.int)
  w <- sapply(shares, function(v) prop.test(v[1], v[2], conf.level = level, correct = FALSE)$conf.int)
  list(level = level, exact = list(lower = num(s[1, ]), upper = num(s[2, ])), wilson = list(lower = num(w[1, ]), upper = num(w[2, ])), rate = list(lower = num(p[1, ]), upper = num(p[2, ])))
}
pairs <- list(c(0, 10, 5, 20), c(3, 1.5, 3, 2.5), c(40, 100, 11, 90), c(1, 1, 0, 4))
write_case("limits", "limits of one share and one rate, ratio of two rates", c("binom.test, prop.test(correct = FALSE), poisson.test", "poisson.test of two"),
  suppressWarnings(list(hits = num(sapply(shares, `[`, 1)), trials = num(sapply(shares, `[`, 2)), events = num(sapply(events, `[`, 1)), exposure = num(sapply(events, `[`, 2)),
       at_80 = level_of(.8), at_99 = level_of(.99), at_999 = level_of(.999),
       pairs = setNames(lapply(1:4, function(k) num(sapply(pairs, `[`, k))), c("events1", "exposure1", "events2", "exposure2")), pair_lower = num(sapply(pairs, function(v) poisson.test(v[c(1, 3)], v[c(2, 4)], conf.level = .9)$conf.int[1])),
       pair_upper = inf(sapply(pairs, function(v) poisson.test(v[c(1, 3)], v[c(2, 4)], conf.level = .9)$conf.int[2])))), 1e-9)
