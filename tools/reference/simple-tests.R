# Reference values for autocorrelation, describe, t-test and power tests.
# Run from the project folder: R --vanilla -s -f tools/reference/simple-tests.R (jsonlite only)
suppressMessages(library(jsonlite))
nist <- fromJSON("test/fixtures/statistics/nist.json")
lew <- nist$univariate$Lew$y
mavro <- nist$univariate$Mavro$y
box <- function(x, lag, fitdf = 0) {
  b <- Box.test(x, lag = lag, type = "Ljung-Box", fitdf = fitdf)
  list(lag = lag, fitdf = fitdf, statistic = unname(b$statistic), p = b$p.value)
}
grp1 <- sleep$extra[sleep$group == 1]; grp2 <- sleep$extra[sleep$group == 2]
test <- function(t) list(t = unname(t$statistic), df = unname(t$parameter), p = t$p.value, low = t$conf.int[1], high = t$conf.int[2])
mixed <- c(2.1, 2.4, 1.9, 2.2, 2.0, 9.7, 2.3, 2.2)
set.seed(5)
noise <- round(rnorm(60), 4)
write(toJSON(list(
  made_by = "tools/reference/simple-tests.R", versions = list(R = R.version.string),
  sleep = list(a = grp1, b = grp2, paired = test(t.test(grp1, grp2, paired = TRUE)), welch = test(t.test(grp1, grp2))),
  ljungBox = list(mavro = box(mavro, 5), lew = box(lew, 10, 2), noise = box(noise, 8)),
  noise = noise, acf = list(lew = as.numeric(acf(lew, plot = FALSE, lag.max = 5)$acf)[-1]),
  mixed = list(values = mixed, median = median(mixed), mad = mad(mixed, constant = 1)),
  power = list(twoGroups = power.t.test(n = 17, delta = 0.9, sd = 1, strict = TRUE)$power,
    pairs = power.t.test(n = 7, delta = 1.3, sd = 1, type = "paired", strict = TRUE)$power)
), digits = NA, auto_unbox = TRUE, pretty = TRUE), "test/fixtures/statistics/simple-tests.json")
