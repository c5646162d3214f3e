# Reference values for test/core/statistics/distributions.test.ts and dunnett.test.ts.
# Run: R --vanilla -s -f tools/reference/distributions.R   (from the project folder; needs jsonlite, mvtnorm, multcomp;
# about nine minutes, nearly all of it in pmvt)
suppressMessages({library(jsonlite); library(mvtnorm); library(multcomp)})
set.seed(20261125)
dfs <- c(0.5, 1, 2.7, 5, 10, 30, 1000)
ps <- c(0.001, 0.05, 0.5, 0.9, 0.975, 0.9995)
grid <- expand.grid(p = ps, df = dfs)
t_quantile <- data.frame(grid, value = qt(grid$p, grid$df))
chi_quantile <- data.frame(grid, value = qchisq(grid$p, grid$df))
fgrid <- expand.grid(p = ps, df1 = c(1, 3, 9.5), df2 = c(2, 7.3, 60))
f_quantile <- data.frame(fgrid, value = qf(fgrid$p, fgrid$df1, fgrid$df2))
t_tail <- data.frame(t = c(3, 8, 25, 40), df = c(4, 12.5, 10, 7))
t_tail$value <- 2 * pt(-t_tail$t, t_tail$df)
f_tail <- data.frame(f = c(4.59827, 21, 900), df1 = c(5, 8, 3), df2 = c(24, 180, 20))
f_tail$value <- pf(f_tail$f, f_tail$df1, f_tail$df2, lower.tail = FALSE)

# Many-to-one p by mvtnorm (Genz and Bretz), with its own error estimate.
general <- function(R, df, c) {
  k <- nrow(R)
  p <- pmvt(rep(-c, k), rep(c, k), df = df, corr = R,
            algorithm = GenzBretz(abseps = 2e-8, maxpts = 5e7))
  list(correlation = R, df = df, c = c, p = 1 - as.numeric(p), error = attr(p, "error"))
}
four <- matrix(c(1, .5, .2, .4, .5, 1, .6, .1, .2, .6, 1, .3, .4, .1, .3, 1), 4)
five <- matrix(c(1, -.4, .3, .2, 0, -.4, 1, .2, .5, .3, .3, .2, 1, -.3, .6, .2, .5, -.3, 1, .1,
                 0, .3, .6, .1, 1), 5)
seven <- outer(0:6, 0:6, function(i, j) ifelse(i == j, 1, .5 + .04 * cos(3 * (i + j))))
ten <- outer(1:10, 1:10, function(i, j) ifelse(i == j, 1, .8 * exp(-abs(i - j) / 4)))
boxes <- list(general(four, 6, 2.1), general(four, 6, 3), general(five, 9, 2.5), general(five, 1, 3),
              general(seven, 9, 2), general(seven, 9, 3), general(ten, 9, 2.5))

# Dunnett (1955) blood counts by multcomp: unbalanced one-way layout.
blood <- data.frame(
  y = c(7.40, 8.50, 7.20, 8.24, 9.84, 8.32, 9.76, 8.80, 7.68, 9.36, 12.80, 9.68, 12.16, 9.20, 10.55),
  g = factor(rep(c("control", "A", "B"), c(6, 4, 5)), levels = c("control", "A", "B")))
many <- glht(aov(y ~ g, blood), linfct = mcp(g = "Dunnett"))
s <- summary(many, test = adjusted("single-step", abseps = 1e-8, maxpts = 2e7))
ci <- confint(many, calpha = adjusted_calpha(abseps = 1e-8, maxpts = 2e7))
dunnett1955 <- list(t = as.numeric(s$test$tstat), p = as.numeric(s$test$pvalues),
  correlation = cov2cor(vcov(many)), df = many$df,
  critical = as.numeric(attr(ci$confint, "calpha")), estimate = as.numeric(ci$confint[, 1]),
  low = as.numeric(ci$confint[, 2]), high = as.numeric(ci$confint[, 3]))

# Noncentral t.
nct <- expand.grid(t = c(-1, 0.5, 2, 4), df = c(3, 11, 46), delta = c(0, 0.7, 2.5, -1.5))
nct$value <- pt(nct$t, nct$df, nct$delta)

write(toJSON(list(
  made_by = "tools/reference/distributions.R",
  versions = list(R = R.version.string, mvtnorm = as.character(packageVersion("mvtnorm")),
                  multcomp = as.character(packageVersion("multcomp"))),
  tQuantile = t_quantile, chiSquareQuantile = chi_quantile, fQuantile = f_quantile,
  tTwoSided = t_tail, fUpperTail = f_tail, boxes = boxes, dunnett1955 = dunnett1955,
  noncentralT = nct), digits = NA, auto_unbox = TRUE, pretty = TRUE), "test/fixtures/statistics/distributions.json")
