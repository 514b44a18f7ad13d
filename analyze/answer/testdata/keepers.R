# Makes keepers_expected.csv from keepers.csv. Run in this folder: Rscript keepers.R
# R 4.2.2, brglm2 0.9.
#
# keepers.csv holds made-up attempts: keeper, species, day of the year 2024 on which
# the attempt began, live food, and whether it spawned. All attempts are fitted with the
# penalty of Firth (type = "AS_mean") without a term for the keeper, and the chances of
# each keeper's attempts are added up.
suppressMessages(library(brglm2))
options(digits = 17)
set.seed(20240501)
n <- 240
d <- data.frame(keeper = sample(c("A", "B", "C", "D", "E"), n, TRUE), species = sample(c("Danio rerio", "Corydoras paleatus"), n, TRUE),
                day = sample(1:365, n, TRUE))
d$food <- rbinom(n, 1, ifelse(d$keeper == "B", .8, .4))
skill <- c(A = 0, B = 0, C = -.3, D = .2, E = 1.3)
eta <- -.6 + .9 * (d$species == "Danio rerio") + skill[d$keeper] + .8 * sin(2 * pi * d$day / 366) + .7 * d$food
d$spawned <- rbinom(n, 1, plogis(eta))
write.csv(d, "keepers.csv", row.names = FALSE, quote = FALSE)
turn <- function(h) 2 * pi * h * (d$day - .5) / 365.25
x <- data.frame(spawned = d$spawned, species = factor(d$species), s1 = sin(turn(1)), c1 = cos(turn(1)), s2 = sin(turn(2)), c2 = cos(turn(2)), food = d$food)
m <- glm(spawned ~ species + s1 + c1 + s2 + c2 + food, binomial, x, method = "brglmFit", type = "AS_mean", epsilon = 1e-12, maxit = 500)
stopifnot(m$converged)
out <- aggregate(cbind(attempts = 1, spawned = d$spawned, expected = fitted(m)), list(keeper = d$keeper), sum)
write.csv(out, "keepers_expected.csv", row.names = FALSE, quote = FALSE)
print(out)
