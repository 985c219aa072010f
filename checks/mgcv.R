# Negative binomial GAM of egg-mass counts by mgcv. Called by checks/hold_out.py as: Rscript mgcv.R WHAT FILE MODEL
# FILE: fold x y block stratum covariate masses area, blanks between.
#   score: ln of the chance given to each count by a fit without its fold; the fit's own doubt about its curve is averaged
#          over 500 draws of the coefficients, theta as estimated.
#   time: seconds of one fit with 1,000 draws of the coefficients.
suppressPackageStartupMessages(library(mgcv))
words <- commandArgs(TRUE)
rows <- read.table(words[2], col.names = c("fold", "x", "y", "block", "stratum", "covariate", "masses", "area"))
rows$stratum <- factor(rows$stratum)
rows$block <- factor(rows$block)
size <- function(data) min(60, floor(length(unique(paste(data$x, data$y))) / 3))
model <- function(data) {
  k <- size(data)
  formula <- switch(words[3],
    smooth = masses ~ s(x, y, k = k),
    town = masses ~ s(x, y, k = k) + covariate + s(stratum, bs = "re") + s(block, bs = "re"))
  environment(formula) <- environment()
  gam(formula, family = nb(), data = data, method = "REML", offset = log(data$area), drop.unused.levels = FALSE)
}
draws <- function(fit, data, number) {
  set.seed(1)
  matrix <- predict(fit, data, type = "lpmatrix")
  coefficients <- rmvn(number, coef(fit), vcov(fit, unconditional = TRUE))
  matrix %*% t(coefficients) + log(data$area)
}
if (words[1] == "score") {
  scores <- numeric(nrow(rows))
  for (fold in unique(rows$fold)) {
    out <- rows$fold == fold
    fit <- model(rows[!out, ])
    eta <- draws(fit, rows[out, ], 500)
    theta <- fit$family$getTheta(TRUE)
    scores[out] <- log(rowMeans(dnbinom(rows$masses[out], size = theta, mu = exp(eta))))
  }
  cat(sprintf("%.9f\n", scores), sep = "")
} else {
  began <- proc.time()[["elapsed"]]
  eta <- draws(model(rows), rows, 1000)
  cat(proc.time()[["elapsed"]] - began, "\n")
}
