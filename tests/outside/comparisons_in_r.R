# What R finds of the batches in test_comparisons_in_r.py: Rscript tests/outside/comparisons_in_r.R
# On Debian: apt-get install --no-install-recommends r-cran-multcomp
suppressMessages(library(multcomp))
cat(R.version.string, "; multcomp", as.character(packageVersion("multcomp")),
    "; mvtnorm", as.character(packageVersion("mvtnorm")), "\n")
set.seed(1)  # multcomp and mvtnorm integrate at random

batches <- list(
  control = c(6.9, 7.2, 7.4, 7.6, 7.1, 7.5, 7.0, 7.8, 7.3, 7.2), a = c(8.1, 8.4, 7.9),
  b = c(6.2, 6.9, 6.4), c = c(7.3, 9.1, 5.8), d = c(7.6, 7.9, 7.4, 7.5, 8.0, 7.7))
y <- unlist(batches, use.names = FALSE)
g <- factor(rep(names(batches), lengths(batches)), levels = names(batches))
dunnett <- glht(aov(y ~ g), linfct = mcp(g = "Dunnett"))
precise <- GenzBretz(maxpts = 5e5, abseps = 1e-6, releps = 0)
cat("\nDunnett, p\n")
print(as.numeric(summary(dunnett, test = adjusted("single-step", abseps = 1e-6, maxpts = 5e5))$test$pvalues), digits = 7)
cat("Dunnett, simultaneous 95 % intervals\n")
limit <- qmvt(0.95, tail = "both.tails", df = dunnett$df, corr = cov2cor(vcov(dunnett)),
              algorithm = precise)$quantile
print(unname(confint(dunnett, calpha = limit)$confint), digits = 6)

cat("\nmultivariate t within 2.5: candidates, panels, panels of the control, chance\n")
for (k in c(4, 7)) for (n in c(3, 6)) for (n0 in c(3, 6, 10)) {
  corr <- matrix(n / (n + n0), k, k); diag(corr) <- 1
  chance <- pmvt(rep(-2.5, k), rep(2.5, k), df = k * (n - 1) + n0 - 1, corr = corr,
                 algorithm = precise)
  cat(k, n, n0, sprintf("%.6f", chance), "\n")
}

standard <- c(55, 47, 48)
processes <- list(c(55, 64, 64), c(55, 49, 52), c(50, 44, 41))
cat("\nWelch, equal numbers: t, degrees, p, interval; ptukey of six pairs (Games and Howell)\n")
for (one in processes) {
  w <- t.test(one, standard, conf.level = 0.95^(1/3))
  pairs <- ptukey(abs(w$statistic) * sqrt(2), 4, w$parameter, lower.tail = FALSE)
  cat(sprintf("%.10f", c(w$statistic, w$parameter, w$p.value, w$conf.int)), ";",
      sprintf("%.10f", pairs), "\n")
}
cat("\nWelch, unequal numbers: t, degrees\n")
for (one in batches[-1]) {
  w <- t.test(one, batches$control)
  cat(sprintf("%.10f", c(w$statistic, w$parameter)), "\n")
}
