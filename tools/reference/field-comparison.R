# Reference comparison for test/core/methods/field-drag/compare.test.ts.
# Run from the project folder: R --vanilla -s -f tools/reference/field-comparison.R  (lme4, lmerTest, multcomp, jsonlite)
# Invented lap values: 4 setups x 6 runs (mirrored rounds) x 5 laps, so that the variances are told by the
# day itself; and the same day with a drift and with laps missing.
suppressMessages({library(lme4); library(lmerTest); library(multcomp); library(jsonlite)})
tight <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhoend = 1e-12))

set.seed(2611)
round4 <- c(0, 1, 2, 3)
order <- c(round4, rev(round4), round4, rev(round4), round4, rev(round4))
day <- do.call(rbind, lapply(seq_along(order), function(r) data.frame(
  setup = order[r], run = r, timeH = (r - 1) * 0.45 + (1:5) * 0.07)))
true <- c(0.2400, 0.2372, 0.2391, 0.2350)
day$cda <- round(true[day$setup + 1] + rep(rnorm(24, 0, 0.0015), each = 5) + rnorm(120, 0, 0.002), 6)
uneven <- day
uneven$cda <- round(uneven$cda + 0.0006 * uneven$timeH, 6)
uneven <- uneven[-c(3, 4, 17, 42, 43, 44, 71, 90, 108), ]

fitted <- function(data) {
  data$kind <- factor(data$setup)
  m <- lmerTest::lmer(cda ~ kind + timeH + (1 | run), data, REML = TRUE, control = tight)
  table <- as.data.frame(coef(summary(m, ddf = "Satterthwaite")))
  rows <- paste0("kind", 1:3)
  vc <- as.data.frame(VarCorr(m))
  df <- table[rows, "df"]
  tests <- glht(parm(fixef(m)[rows], as.matrix(vcov(m))[rows, rows], df = round(min(df))),
                linfct = diag(3))
  set.seed(1)
  p <- summary(tests, test = adjusted("single-step", abseps = 1e-5, maxpts = 5e5))$test$pvalues
  list(data = data[, c("setup", "run", "timeH", "cda")],
       differences = table[rows, "Estimate"], standardErrors = table[rows, "Std. Error"], df = df,
       halfWidths = qt(0.975, df) * table[rows, "Std. Error"],
       dunnettDf = round(min(df)), dunnettP = as.numeric(p),
       covariance = as.matrix(vcov(m))[rows, rows],
       drift = table["timeH", "Estimate"], driftStandardError = table["timeH", "Std. Error"],
       runSd = vc$sdcor[vc$grp == "run"], lapSd = vc$sdcor[vc$grp == "Residual"])
}

# The textbook's nested analysis: run means are the replicates (balanced, no drift in the model).
means <- aggregate(cda ~ setup + run, day, mean)
means$kind <- factor(means$setup)
nested <- lm(cda ~ kind, means)

# Generalised least squares with every variance known, by its formula: lap 2e-3, run 1.5e-3, a random walk
# of 5e-4 per square root of an hour, laps of a run sharing an error of 1e-3 of their sensors.
known <- uneven
V <- diag(0.002^2, nrow(known)) + outer(known$run, known$run, "==") * (0.0015^2 + 0.001^2) +
  0.0005^2 * outer(known$timeH, known$timeH, pmin) - 0.0005^2 * min(known$timeH)
X <- cbind(outer(known$setup, 0:3, "==") * 1, known$timeH - mean(known$timeH))
W <- solve(V)
C <- solve(t(X) %*% W %*% X)
b <- C %*% t(X) %*% W %*% known$cda

write(toJSON(list(
  made_by = "tools/reference/field-comparison.R",
  versions = list(R = R.version.string, lme4 = as.character(packageVersion("lme4")),
    lmerTest = as.character(packageVersion("lmerTest")), multcomp = as.character(packageVersion("multcomp"))),
  balanced = fitted(day), uneven = fitted(uneven),
  nested = list(differences = as.numeric(coef(nested)[2:4]),
    standardErrors = as.numeric(coef(summary(nested))[2:4, 2]), df = nested$df.residual),
  known = list(coefficients = as.numeric(b), covariance = C,
    logRestricted = as.numeric(-0.5 * (determinant(V)$modulus + determinant(t(X) %*% W %*% X)$modulus +
      t(known$cda - X %*% b) %*% W %*% (known$cda - X %*% b) + (nrow(X) - 5) * log(2 * pi))))
), digits = NA, auto_unbox = TRUE), "test/fixtures/methods/field-comparison.json")
