# Makes stats/testdata/reference/expected/duration_more_*.json: data sets and options that
# the other cases leave out. Run in this folder:
#   Rscript more.R
# R 4.2.2 with survival 3.5-3 (data ovarian, mgus, mgus2, transplant, rats, pbc), cmprsk
# 2.2-11, KMsurv 0.1-5 (larynx), MASS 7.3-58.2 (leuk) and jsonlite 1.8.4. The columns used
# stand in the cases.
options(digits = 17, warn = 1)
suppressMessages({library(survival); library(cmprsk); library(jsonlite)})
data(larynx, package = "KMsurv"); leuk <- MASS::leuk
expected <- "../../testdata/reference/expected"
num <- function(x) I(unname(as.numeric(x)))
mat <- function(m) list(rows = NA, cols = I(paste0("c", seq_len(ncol(m)))), data = lapply(seq_len(nrow(m)), function(i) num(m[i, ])))
write_case <- function(id, method, call, data, values, tolerance = 1e-8, notes = "") {
  case <- list(id = paste0("duration_more_", id), dataset = list(), method = method, call = as.list(call), tolerance = tolerance,
               values = c(list(data = lapply(data, num)), values), notes = as.list(notes))
  writeLines(toJSON(case, auto_unbox = TRUE, digits = I(17), na = "null"), file.path(expected, paste0(case$id, ".json")))
}
kinds <- c(plain = "plain", log = "log", log_log = "log-log", logit = "logit", arcsin = "arcsin")
probs <- c(.05, .1, .25, .5, .6, .75)
curve <- function(s, level, tau) lapply(kinds, function(k) {
  f <- survfit(s ~ 1, conf.type = k, conf.int = level); q <- quantile(f, probs)
  m <- summary(f, rmean = tau)$table
  v <- list(time = num(f$time), share = num(f$surv), lower = num(f$lower), upper = num(f$upper), quantile = num(q$quantile), mean = unname(m["rmean"]), mean_se = unname(m["se(rmean)"]))
  falls <- function(x) all(diff(x[!is.na(x)]) <= 0) # quantile sorts limits that rise again, which mixes up their times
  if (falls(f$lower)) v$quantile_lower <- num(q$lower)
  if (falls(f$upper)) v$quantile_upper <- num(q$upper)
  v
})
tight <- coxph.control(eps = 1e-12, iter.max = 100, toler.chol = 1e-13)
cox <- function(f, zph = NULL) {
  v <- list(coef = num(coef(f)), variance = mat(vcov(f)), loglik = f$loglik[2], loglik_null = f$loglik[1], score = f$score)
  if (!is.null(zph)) { z <- cox.zph(f, zph, terms = FALSE)$table; v$zph_chisq <- num(z[, 1]) }
  v
}
aft <- function(f) list(coef = num(coef(f)), scale = f$scale, loglik = f$loglik[2], variance = mat(vcov(f)))
families <- c(weibull = "weibull", exponential = "exponential", lognormal = "lognormal", loglogistic = "loglogistic")
exact_fit <- function(formula, data, dist, weights = rep(1, nrow(data))) { environment(formula) <- environment()
  survreg(formula, data, weights, dist = dist, control = survreg.control(maxiter = 200, rel.tolerance = 1e-14)) }

o <- ovarian; so <- Surv(o$futime, o$fustat)
ranks <- function(...) { d <- survdiff(...); d$chisq }
write_case("ovarian", "curve, log-rank, Cox and accelerated failure time models", c("survfit, survdiff, coxph, survreg"),
  o[c("futime", "fustat", "age", "rx", "resid.ds")], list(curve = curve(so, .8, 700),
  rank = list(plain = ranks(so ~ rx, o), rho = ranks(so ~ rx, o, rho = 1.5), strata = ranks(so ~ rx + strata(resid.ds), o, rho = -.5)),
  cox = list(efron = cox(coxph(so ~ age + rx + resid.ds, o, control = tight), "km"), strata = cox(coxph(so ~ age + strata(rx), o, control = tight), "log")),
  aft = lapply(families, function(d) aft(exact_fit(so ~ age + rx, o, dist = d)))))

m <- mgus; m$out <- m$age + m$futime / 365.25; m$male <- m$sex == "male"
sm <- Surv(m$age, m$out, m$death)
ok <- !is.na(m$hgb); b <- m[ok, ]
write_case("mgus_late", "curve and Cox model with left truncation by age", "survfit, coxph (Surv(age, age + futime / 365.25, death))",
  m[c("age", "out", "death", "male")], list(curve = curve(sm, .95, 90)[c("plain", "log_log")],
  cox = cox(coxph(sm ~ male, m, control = tight), "rank"), breslow = cox(coxph(sm ~ male, m, ties = "breslow", control = tight))))

g <- mgus2[1:400, ]; g$cause <- with(g, ifelse(pstat == 1, 1, 2 * death)); g$t <- with(g, ifelse(pstat == 1, ptime, futime)); g$male <- g$sex == "M"
looks <- c(12, 60, 120, 240)
shares <- function(t, cause, looks) { k <- sort(unique(cause[cause > 0])); p <- timepoints(cuminc(t, cause), looks)
  s <- summary(survfit(Surv(t, factor(cause, 0:max(k))) ~ 1), times = looks, extend = TRUE)
  list(looks = num(looks), share = mat(p$est), se_aalen = mat(sqrt(p$var)), share_states = mat(t(s$pstate[, -1])), se_states = mat(t(s$std.err[, -1]))) }
gray <- function(t, cause, group, ...) { q <- cuminc(t, cause, group, ...); num(q$Tests[, 1]) }
fine <- function(k) { x <- cbind(g$age, g$male, g$hgb); use <- !is.na(g$hgb); f <- crr(g$t[use] + 1e-5 * (g$cause[use] == 0), g$cause[use], x[use, ], failcode = k, gtol = 1e-10, maxiter = 50)
  list(coef = num(f$coef), variance = mat(f$var), loglik = f$loglik) }
write_case("mgus2", "competing causes, Gray's test, Fine-Gray regression", c("cuminc, survfit (multi-state), crr on the first 400 rows, months"),
  g[c("t", "cause", "male", "age", "hgb")], list(share = shares(g$t, g$cause, looks), gray = gray(g$t, g$cause, g$male), gray_rho = gray(g$t, g$cause, g$male, rho = .7),
  gray_strata = gray(g$t, g$cause, g$male, g$age > 70), fine_1 = fine(1), fine_2 = fine(2)), 1e-7,
  "fine_1, fine_2: losses 1e-5 later than what happened at the same time; with the two tied the variance of crr is up to 3 in 1000 larger than so")

tr <- transplant[!is.na(transplant$event), ][1:500, ]; tr$cause <- as.integer(tr$event) - 1; tr$blood <- as.integer(tr$abo)
write_case("transplant", "three causes, times of 0 and heavy ties, four groups", "cuminc, survfit (multi-state) on the first 500 rows",
  tr[c("futime", "cause", "blood")], list(share = shares(tr$futime, tr$cause, c(0, 10, 100, 365, 1000)), gray = gray(tr$futime, tr$cause, tr$blood), gray_rho = gray(tr$futime, tr$cause, tr$blood, rho = -1)))

r <- rats[rats$sex == "f", ]
fr <- coxph(Surv(time, status) ~ rx, r, cluster = litter, control = tight)
write_case("rats", "Cox model with robust variance by litter, and exact ties", "coxph(Surv(time, status) ~ rx, cluster = litter), females",
  r[c("litter", "rx", "time", "status")], list(coef = num(coef(fr)), variance = mat(fr$var), naive = mat(fr$naive.var),
  exact = cox(coxph(Surv(time, status) ~ rx, r, ties = "exact", control = tight)),
  rank = list(strata = ranks(Surv(time, status) ~ rx + strata(litter), r), plain = ranks(Surv(time, status) ~ rx, r, rho = 1))))

p <- pbc[1:312, ]; p$dead <- p$status == 2; p$lb <- log(p$bili); p$w <- 1 + p$id %% 4
fp <- coxph(Surv(time, dead) ~ age + edema + lb + strata(trt), p, weights = w, ties = "breslow", control = tight, robust = FALSE)
newer <- survfit(fp, data.frame(age = 50, edema = 0, lb = 1, trt = 1), conf.type = "log-log")
at <- summary(newer, times = c(500, 1000, 2000, 3000))
write_case("pbc", "Cox model with weights and strata, prediction from it, and a weighted curve", "coxph(Surv(time, status == 2) ~ age + edema + log(bili) + strata(trt), weights = 1 + id %% 4, ties = 'breslow')",
  p[c("time", "dead", "age", "edema", "lb", "trt", "w")], list(cox = cox(fp), looks = num(at$time), share = num(at$surv), lower = num(at$lower), upper = num(at$upper),
  curve = with(survfit(Surv(time, dead) ~ 1, p, weights = w, conf.type = "log", robust = FALSE), list(time = num(time), share = num(surv), lower = num(lower), upper = num(upper)))))

l <- larynx; l$s2 <- l$stage == 2; l$s3 <- l$stage == 3; l$s4 <- l$stage == 4; sl <- Surv(l$time, l$delta)
wide <- 1.5; lo <- floor(l$time / wide) * wide; hi <- ifelse(l$delta == 1, lo + wide, Inf)
si <- Surv(ifelse(lo == 0, NA, lo), ifelse(is.finite(hi), hi, NA), type = "interval2"); l$w <- 1 + l$age %% 3
use <- !(lo == 0 & !is.finite(hi)) # nothing is known of the others
write_case("larynx", "log-rank of four groups, and accelerated failure time models of times, and of spans with weights", "survdiff, survreg (interval2, weights = 1 + age %% 3)",
  l[c("time", "delta", "stage", "age", "w")], list(rank = list(plain = ranks(sl ~ stage, l), rho = ranks(sl ~ stage, l, rho = .3)),
  exact = lapply(families, function(d) aft(exact_fit(sl ~ s2 + s3 + s4 + age, l, dist = d))),
  spans = lapply(families, function(d) aft(exact_fit(si[use, ] ~ s4 + age, l[use, ], d, l$w[use])))), 1e-6,
  "spans: from floor(time / 1.5) * 1.5 to 1.5 later; those lost within the first are left out")

k <- leuk; k$present <- k$ag == "present"; k$lw <- log(k$wbc)
write_case("leuk", "no censoring, ties: Cox model, exponential model, curve down to 0", "coxph, survreg, survfit (MASS::leuk)",
  k[c("time", "present", "lw")], list(cox = cox(coxph(Surv(time) ~ present * lw, k, control = tight), "identity"),
  aft = lapply(families, function(d) aft(exact_fit(Surv(time) ~ present + lw, k, dist = d))),
  curve = curve(Surv(k$time, rep(1, nrow(k))), .99, 100)[c("plain", "log", "logit")]))
