# Reference fits for test/core/statistics/mixed-model.test.ts.
# Run from the project folder: R --vanilla -s -f tools/reference/mixed-model.R  (lme4, lmerTest, nlme, jsonlite)
# The field-like data are invented: 3 setups x 3 runs (mirrored order) x 4 laps, linear drift over the day,
# one lap missing, run and lap scatter.
suppressMessages({library(lme4); library(lmerTest); library(nlme); library(jsonlite)})

dye <- data.frame(batch = rep(LETTERS[1:6], each = 5), yield = c(
  1545, 1440, 1440, 1520, 1580, 1540, 1555, 1490, 1560, 1495, 1595, 1550, 1605, 1510, 1560,
  1445, 1440, 1595, 1465, 1545, 1595, 1630, 1515, 1635, 1625, 1520, 1455, 1450, 1480, 1445))
tight <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhoend = 1e-12))
summarise <- function(fit, lmm) {
  vc <- as.data.frame(VarCorr(fit))
  list(variances = vc$vcov[vc$grp != "Residual"], residual = vc$vcov[vc$grp == "Residual"],
       coefficients = as.numeric(fixef(fit)), covariance = as.matrix(vcov(fit)),
       logLik = as.numeric(logLik(fit)), restricted = isREML(fit))
}
dyeR <- lme4::lmer(yield ~ 1 + (1 | batch), dye, REML = TRUE, control = tight)
dyeM <- lme4::lmer(yield ~ 1 + (1 | batch), dye, REML = FALSE, control = tight)

set.seed(417)
order <- c("control", "deep", "disc", "disc", "deep", "control", "control", "deep", "disc")
field <- do.call(rbind, lapply(seq_along(order), function(r) data.frame(
  setup = order[r], run = r, lap = 1:4, time = (r - 1) * 0.4 + (1:4) * 0.08)))
true <- c(control = 0.2400, deep = 0.2350, disc = 0.2310)
field$cda <- round(true[field$setup] + 0.0012 * (field$time - 1.9) +
  rep(rnorm(9, 0, 0.0008), each = 4) + rnorm(36, 0, 0.0011), 6)
field <- field[-14, ]
field$setup <- factor(field$setup, levels = names(true))
m <- lmerTest::lmer(cda ~ setup + time + (1 | run), field, REML = TRUE, control = tight)
mm <- lme4::lmer(cda ~ setup + time + (1 | run), field, REML = FALSE, control = tight)
n <- nlme::lme(cda ~ setup + time, random = ~ 1 | run, field, method = "REML",
               control = lmeControl(msTol = 1e-14, tolerance = 1e-12, msMaxIter = 500))
satterthwaite <- as.data.frame(coef(summary(m, ddf = "Satterthwaite")))

# A day on which runs do not scatter at all: the run variance is estimated at its bound, zero.
flat <- field
flat$cda <- round(0.24 + rep(c(-1, 1), length.out = nrow(flat)) * 0.001 + 0.0001 * sin(1:nrow(flat)), 6)
z <- lme4::lmer(cda ~ setup + time + (1 | run), flat, REML = TRUE, control = tight)

# Crossed random effects: runs within the day and the two riders' halves of the road.
cross <- expand.grid(run = 1:6, half = 1:4, rep = 1:2)
set.seed(99)
cross$y <- round(10 + rnorm(6, 0, 1)[cross$run] + rnorm(4, 0, 0.7)[cross$half] + rnorm(48, 0, 0.5), 4)
cr <- lme4::lmer(y ~ 1 + (1 | run) + (1 | half), cross, REML = TRUE, control = tight)
vc <- as.data.frame(VarCorr(cr))
crs <- summarise(cr)
crs$variances <- c(vc$vcov[vc$grp == "run"], vc$vcov[vc$grp == "half"])

write(toJSON(list(
  made_by = "tools/reference/mixed-model.R",
  versions = list(R = R.version.string, lme4 = as.character(packageVersion("lme4")),
    lmerTest = as.character(packageVersion("lmerTest")), nlme = as.character(packageVersion("nlme"))),
  dyestuff = list(data = dye, restricted = summarise(dyeR), full = summarise(dyeM)),
  field = list(note = "invented", data = field, restricted = summarise(m), full = summarise(mm),
    nlme = list(coefficients = as.numeric(fixed.effects(n)), runSd = as.numeric(VarCorr(n)[1, 2]),
      residualSd = n$sigma, logLik = as.numeric(logLik(n))),
    satterthwaite = list(se = satterthwaite[["Std. Error"]], df = satterthwaite$df, p = satterthwaite[["Pr(>|t|)"]])),
  flat = list(data = flat, restricted = summarise(z)),
  crossed = list(data = cross, restricted = crs)
), digits = NA, auto_unbox = TRUE, pretty = TRUE), "test/fixtures/statistics/mixed-model.json")
