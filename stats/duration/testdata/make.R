# Makes stats/testdata/reference/expected/duration_*.json. Run in this folder:
#   Rscript make.R
# R 4.2.2 with survival 3.5-3, cmprsk 2.2-11, MASS 7.3-58.2 and jsonlite 1.8.4.
options(digits = 17, warn = 1)
suppressMessages({library(survival); library(cmprsk); library(MASS); library(jsonlite)})
reference <- "../../testdata/reference"
table_of <- function(name) read.csv(file.path(reference, "data", paste0(name, ".csv")))
write_case <- function(id, dataset, method, call, values, notes, tolerance, by_key = NULL) {
  case <- list(id = id, dataset = as.list(paste0("data/", dataset, ".csv")), method = method, call = as.list(call), tolerance = tolerance)
  if (!is.null(by_key)) case$tolerance_by_key <- by_key
  case$values <- values
  case$notes <- as.list(notes)
  text <- toJSON(case, auto_unbox = TRUE, digits = I(17), pretty = TRUE, na = "null")
  writeLines(text, file.path(reference, "expected", paste0(id, ".json")))
}
arr <- function(x) I(unname(as.numeric(x)))
mat <- function(m) list(rows = NA, cols = I(paste0("c", seq_len(ncol(m)))), data = lapply(seq_len(nrow(m)), function(i) arr(m[i, ])))
tight <- coxph.control(eps = 1e-12, iter.max = 100, toler.chol = 1e-13)

# ---- Cox regression -----------------------------------------------------------
cox_extra <- function(fit, transform = NULL) {
  k <- concordance(fit)
  v <- list(coef = arr(coef(fit)), vcov = mat(vcov(fit)), loglik = fit$loglik[2], loglik_null = fit$loglik[1], score = fit$score,
            martingale = arr(residuals(fit, "martingale")), deviance = arr(residuals(fit, "deviance")),
            score_residuals = mat(as.matrix(residuals(fit, "score"))), dfbeta = mat(as.matrix(residuals(fit, "dfbeta", weighted = TRUE))),
            schoenfeld = mat(as.matrix(residuals(fit, "schoenfeld"))),
            concordance = unname(k$concordance), concordance_var = unname(k$var))
  if (!is.null(transform)) { z <- cox.zph(fit, transform, terms = FALSE)$table; v$zph <- list(chisq = arr(z[, 1]), p = arr(z[, 3])) }
  v
}
cox_notes <- c("row order of the data set; schoenfeld: rows by stratum and time of event, ties in the order of the data set", "residuals unweighted, dfbeta weighted")
ve <- table_of("veteran"); ve$w <- 1 + ve$age %% 3; ve$off <- 0.02 * (60 - ve$karno)
ve$celltype <- factor(ve$celltype, c("squamous", "smallcell", "adeno", "large"))
for (ties in c("efron", "breslow")) write_case(paste0("duration_cox_weighted_", ties), "veteran", "Cox regression with weights, offset and strata",
  paste0("coxph(Surv(time, status) ~ trt + age + offset(0.02 * (60 - karno)) + strata(celltype), weights = 1 + age %% 3, ties = '", ties, "')"),
  cox_extra(coxph(Surv(time, status) ~ trt + age + offset(off) + strata(celltype), ve, weights = w, ties = ties, control = tight, robust = FALSE), if (ties == "breslow") "identity"), cox_notes, 1e-8)
he <- table_of("heart_transplant")
write_case("duration_cox_heart_residuals", "heart_transplant", "residuals of a Cox regression with left truncation", "coxph(Surv(start, stop, event) ~ age + surgery + transplant, ties = 'efron')",
  cox_extra(coxph(Surv(start, stop, event) ~ age + surgery + transplant, he, ties = "efron", control = tight), "rank"), cox_notes, 1e-8)
exact_values <- function(fit) list(coef = arr(fit$coefficients), vcov = mat(fit$var), loglik = fit$loglik[2], loglik_null = fit$loglik[1], score = fit$score)
ve$month <- ceiling(ve$time / 30)
write_case("duration_cox_exact_months", "veteran", "discrete Cox regression with heavy ties", "coxph(Surv(ceiling(time / 30), status) ~ trt + karno + age, ties = 'exact')",
  exact_values(coxph(Surv(month, status) ~ trt + karno + age, ve, ties = "exact", control = tight)), "times in months begun", 1e-8)
he$s2 <- floor(he$start / 2); he$e2 <- pmax(ceiling(he$stop / 2), he$s2 + 1)
write_case("duration_cox_exact_truncated", "heart_transplant", "discrete Cox regression with left truncation and strata", "coxph(Surv(floor(start / 2), pmax(ceiling(stop / 2), floor(start / 2) + 1), event) ~ age + year + strata(surgery), ties = 'exact')",
  exact_values(coxph(Surv(s2, e2, event) ~ age + year + strata(surgery), he, ties = "exact", control = tight)), "times in pairs of days begun", 1e-8)
ge <- table_of("gehan_6mp"); ge$mp6 <- as.integer(ge$treat == "mp6"); ge$kept <- as.integer(ge$event == 0 & ge$time > 15)
# Firth: maximum of the partial log-likelihood plus half the log determinant of the information, both taken from coxph held at given coefficients
held <- function(b, ties) { f <- coxph(Surv(time, event) ~ mp6 + kept, ge, ties = ties, init = b, control = coxph.control(iter.max = 0)); f$loglik[1] - 0.5 * determinant(vcov(f))$modulus[1] }
firth <- function(ties) {
  polish <- function(f, b) { for (i in 1:60) { h <- 1e-4; n <- length(b); e <- diag(n) * h
      g <- sapply(1:n, function(i) (8 * (f(b + e[, i]) - f(b - e[, i])) - f(b + 2 * e[, i]) + f(b - 2 * e[, i])) / (12 * h))
      H <- outer(1:n, 1:n, Vectorize(function(i, j) (f(b + e[, i] + e[, j]) - f(b + e[, i] - e[, j]) - f(b - e[, i] + e[, j]) + f(b - e[, i] - e[, j])) / (4 * h^2)))
      s <- -solve(H, g); s <- s * min(1, 0.5 / max(abs(s))); b <- b + s; if (max(abs(s)) < 1e-10) break }; b }
  b <- polish(function(b) held(b, ties), c(-1, -1)); top <- held(b, ties)
  limit <- function(j, side) uniroot(function(v) { o <- polish(function(x) held(replace(c(x, x), j, v), ties), b[-j]); 2 * (top - held(replace(c(o, o), j, v), ties)) - qchisq(.95, 1) }, b[j] + side * c(0.05, 6), extendInt = if (side > 0) "upX" else "downX", tol = 1e-10)$root
  f <- coxph(Surv(time, event) ~ mp6 + kept, ge, ties = ties, init = b, control = coxph.control(iter.max = 0))
  list(coef = arr(b), vcov = mat(vcov(f)), penalised = top, loglik = f$loglik[1], lower = arr(c(limit(1, -1), limit(2, -1))), upper = arr(c(limit(1, 1), limit(2, 1))))
}
write_case("duration_cox_firth", "gehan_6mp", "Cox regression with Firth's penalty, monotone likelihood", "coxph held at coefficients; loglik - determinant(vcov)$modulus / 2 maximised by Newton with numerical derivatives",
  list(breslow = firth("breslow"), efron = firth("efron")), "mp6 = 1 if treat is mp6; kept = 1 if event is 0 and time > 15, so that nothing happened at kept = 1", 1e-6)
fw <- coxph(Surv(time, event) ~ mp6, ge, weights = 1 + time %% 3, cluster = pair, control = tight)
write_case("duration_cox_weighted_cluster", "gehan_6mp", "Cox regression with weights and robust variance over pairs", "coxph(Surv(time, event) ~ mp6, weights = 1 + time %% 3, cluster = pair)",
  list(coef = arr(coef(fw)), robust_var = arr(fw$var), naive_var = arr(fw$naive.var)), "mp6 = 1 if treat is mp6", 1e-8)

# ---- competing causes ---------------------------------------------------------
bm <- table_of("bmt_leukemia"); bm$ev <- ifelse(bm$dfs_event == 0, 0, 2 - bm$relapse); bm$mo <- ceiling(bm$t_dfs / 60); bm$old <- pmin(bm$age_patient %/% 25, 1)
gray <- function(rho, strata = NULL) { q <- if (is.null(strata)) cuminc(bm$mo, bm$ev, bm$group, rho = rho) else cuminc(bm$mo, bm$ev, bm$group, strata, rho = rho); list(cause_1 = q$Tests["1", "stat"], cause_2 = q$Tests["2", "stat"]) }
write_case("duration_gray_months", "bmt_leukemia", "Gray's test with heavy ties", c("cuminc(ceiling(t_dfs / 60), ev, group, rho = 0)", "rho = 1", "rho = -1, strata = pmin(age_patient %/% 25, 1)"),
  list(rho_0 = gray(0), rho_1 = gray(1), rho_minus_1_strata = gray(-1, bm$old)), "ev: 0 censored, 1 relapse, 2 death in remission", 1e-8)
fg <- function(k) { f <- crr(bm$t_dfs, bm$ev, cbind(bm$group == 2, bm$group == 3, bm$age_donor), failcode = k, gtol = 1e-10, maxiter = 50); list(coef = arr(f$coef), var = mat(f$var)) }
write_case("duration_finegray_bmt", "bmt_leukemia", "Fine-Gray regression", "crr(t_dfs, ev, cbind(group == 2, group == 3, age_donor), failcode = 1 or 2)", list(cause_1 = fg(1), cause_2 = fg(2)), "ev: 0 censored, 1 relapse, 2 death in remission", 1e-7)

# ---- interval-censored comparison ----------------------------------------------
# the curve of all groups by plain self-consistency to convergence, then scores by their formulas
bc <- table_of("breast_cosmesis"); L <- bc$left; R <- ifelse(is.na(bc$right), Inf, bc$right); L <- ifelse(L == R, L - 1e-6, L); z <- as.integer(bc$treat == "radio_chemo"); n <- length(L)
ends <- sort(unique(c(L, R))); cells <- cbind(head(ends, -1), tail(ends, -1)); A <- outer(L, cells[, 1], "<=") & outer(R, cells[, 2], ">=")
p <- rep(1 / ncol(A), ncol(A)); for (i in 1:200000) { q <- colMeans(sweep(A, 2, p, "*") / drop(A %*% p)); if (max(abs(q - p)) < 1e-15) break; p <- q }
S <- c(1, pmax(1 - cumsum(p), 0)); S[length(S)] <- 0; S[S < 1e-9] <- 0
h <- c(0, cumsum(ifelse(head(S, -1) > 0, 1 - S[-1] / pmax(head(S, -1), 1e-300), 0)))
a <- match(L, ends); b <- match(R, ends); xl <- function(s, l) ifelse(s > 0, s * l, 0)
scores <- list(sun = (xl(S[a], -h[a]) - xl(S[b], -h[b])) / (S[a] - S[b]), finkelstein = (xl(S[a], log(pmax(S[a], 1e-300))) - xl(S[b], log(pmax(S[b], 1e-300)))) / (S[a] - S[b]), wilcoxon = S[a] + S[b] - 1)
rank_test <- function(c) { u <- sum(c * (z - mean(z))); v <- sum((c - mean(c))^2) / (n - 1) * sum((z - mean(z))^2); list(sum = sum(c * z), chisq = u^2 / v) }
write_case("duration_interval_logrank", "breast_cosmesis", "log-rank and Wilcoxon scores of interval-censored times with permutation variance", "own R code: self-consistency, then scores of Sun, Finkelstein and proportional odds", lapply(scores, rank_test), "sum: of the scores of radio_chemo", 1e-5)

# ---- gamma accelerated failure time model ----------------------------------------
gamma_fit <- function(L, R, exact, x) {
  ll <- function(p) { k <- exp(-2 * p[3]); rate <- k / exp(p[1] + p[2] * x)
    sum(ifelse(exact, dgamma(L, k, rate, log = TRUE), log(ifelse(is.finite(R), pgamma(ifelse(is.finite(R), R, 1), k, rate) - pgamma(L, k, rate), pgamma(L, k, rate, lower.tail = FALSE))))) }
  grad <- function(p) sapply(1:3, function(i) { h <- 1e-3; e <- replace(numeric(3), i, h); (8 * (ll(p + e) - ll(p - e)) - ll(p + 2 * e) + ll(p - 2 * e)) / (12 * h) })
  hess <- function(p) { H <- sapply(1:3, function(i) { h <- 1e-3; e <- replace(numeric(3), i, h); (8 * (grad(p + e) - grad(p - e)) - grad(p + 2 * e) + grad(p - 2 * e)) / (12 * h) }); (H + t(H)) / 2 }
  p <- optim(c(3, 0, -.3), function(p) -ll(p), method = "BFGS")$par
  for (i in 1:20) { s <- -solve(hess(p), grad(p)); p <- p + s; if (max(abs(s)) < 1e-11) break }
  V <- solve(-hess(p)); k <- exp(-2 * p[3]); q <- function(s) log(qgamma(.5, exp(-2 * s)) / exp(-2 * s)); y <- p[1] + p[2] + q(p[3]); g <- c(1, 1, (q(p[3] + 1e-4) - q(p[3] - 1e-4)) / 2e-4)
  list(coef = arr(p[1:2]), scale = exp(p[3]), loglik = ll(p), se = arr(sqrt(diag(V))), median = exp(y), median_upper = exp(y + qnorm(.975) * sqrt(drop(t(g) %*% V %*% g))), survival_12 = pgamma(12, k, k / exp(p[1]), lower.tail = FALSE))
}
exact <- bc$left == ifelse(is.na(bc$right), Inf, bc$right)
write_case("duration_aft_gamma", c("breast_cosmesis", "gehan_6mp"), "gamma accelerated failure time model", "own R code: likelihood by dgamma and pgamma, optim and Newton with numerical derivatives",
  list(cosmesis = gamma_fit(bc$left, R, exact, z), gehan = gamma_fit(ge$time, ifelse(ge$event == 1, ge$time, Inf), ge$event == 1, ge$mp6)),
  c("mean exp(coef[1] + coef[2] x), shape 1 / scale^2; x = 1 for radio_chemo and mp6; se of coef and log(scale)", "median at x = 1, survival at x = 0"), 1e-6)

# ---- discrete time ----------------------------------------------------------------
period_rows <- do.call(rbind, lapply(seq_len(nrow(ge)), function(i) { k <- if (ge$event[i] == 1) ceiling(ge$time[i] / 4) else floor(ge$time[i] / 4); if (k == 0) NULL else data.frame(period = 1:k, ended = as.integer(ge$event[i] == 1 & 1:k == k), mp6 = ge$mp6[i]) }))
open_periods <- with(period_rows, as.integer(names(which(tapply(ended, period, sum) > 0 & tapply(ended, period, mean) < 1)))); pr <- period_rows[period_rows$period %in% open_periods, ]
grouped <- function(link) { f <- glm(ended ~ factor(period) - 1 + mp6, binomial(link), pr, epsilon = 1e-14, maxit = 100); n0 <- glm(ended ~ factor(period) - 1, binomial(link), pr, epsilon = 1e-14, maxit = 100)
  s <- function(m) { h <- sapply(1:4, function(k) if (k %in% open_periods) predict(f, data.frame(period = k, mp6 = m), type = "response") else 0); cumprod(1 - h) }
  inverse <- binomial(link)$linkinv; X <- model.matrix(f); ll <- function(b) { h <- inverse(drop(X %*% b)); sum(pr$ended * log(h) + (1 - pr$ended) * log1p(-h)) }; b <- coef(f); m <- length(b); d <- 1e-3
  H <- outer(1:m, 1:m, Vectorize(function(i, j) { st <- function(e) { u <- replace(numeric(m), i, e); v <- replace(numeric(m), j, e); (ll(b + u + v) - ll(b + u - v) - ll(b - u + v) + ll(b - u - v)) / (4 * e^2) }; (4 * st(d) - st(2 * d)) / 3 }))
  list(coef = unname(coef(f)["mp6"]), se = sqrt(solve(-H)[m, m]), loglik = as.numeric(logLik(f)), loglik_null = as.numeric(logLik(n0)), survival_control = arr(s(0)), survival_mp6 = arr(s(1))) }
write_case("duration_grouped", "gehan_6mp", "discrete-time hazard regression", "glm(ended ~ factor(period) - 1 + mp6, binomial(link)), one row for each subject and period of 4 weeks at risk", list(cloglog = grouped("cloglog"), logit = grouped("logit")),
  c("a subject lost is at risk in the periods it was seen through", "periods without an end are left out", "se from the observed information, by numerical derivatives (glm gives that from the expected one)"), 1e-7, list(se = 1e-6))

# ---- incidence from spans -----------------------------------------------------------
me <- table_of("melanoma_denmark"); width <- 1 + (seq_len(nrow(me)) - 1) %% 2; year <- me$time / 365.25; L <- width * floor(year / width); cause <- c(1, 0, 2)[me$status]; R <- ifelse(cause > 0, L + width, Inf)
# one cell for each cause and year, and one for the rest, with as much as they need: the unit cells of a wide span share its mass without bearing on the likelihood
years <- 0:(max(R[is.finite(R)]) - 1); cell <- rbind(expand.grid(year = years, cause = 1:2), data.frame(year = Inf, cause = 0))
A <- sapply(seq_len(nrow(cell)), function(c) ifelse(cause > 0, cell$cause[c] == cause & cell$year[c] >= L & cell$year[c] + 1 <= R, cell$year[c] >= L))
p <- rep(1 / ncol(A), ncol(A)); for (i in 1:400000) { q <- colMeans(sweep(A, 2, p, "*") / drop(A %*% p)); if (max(abs(q - p)) < 1e-13) break; p <- q }
share <- function(k) sapply(c(2, 4, 6, 8), function(t) sum(p[cell$cause == k & cell$year + 1 <= t]))
write_case("duration_interval_incidence", "melanoma_denmark", "cumulative incidence from interval-censored times", "own R code: self-consistency on cells of a year",
  list(cause_1 = list(least = arr(share(1)), most = arr(share(1))), cause_2 = list(least = arr(share(2)), most = arr(share(2))), loglik = sum(log(A %*% p))),
  "looks every year (odd rows) or two years (even rows); at even years all cells are closed, so least and most agree", 2e-4)
