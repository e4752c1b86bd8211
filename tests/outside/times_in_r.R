# What R finds of the times in test_times_in_r.py: Rscript tests/outside/times_in_r.R
# Both packages come with R: on Debian r-cran-survival and r-cran-mass.
suppressMessages(library(survival))
suppressMessages(library(MASS))
cat(R.version.string, "; survival", as.character(packageVersion("survival")),
    "; MASS", as.character(packageVersion("MASS")), "\n")

fitted_by <- function(low, high, times, name) {
  low <- ifelse(low == 0, NA, low)
  high <- ifelse(is.finite(high), high, NA)
  for (law in c("weibull", "lognormal")) {
    fit <- survreg(Surv(low, high, type = "interval2") ~ 1, weights = times, dist = law,
                   control = survreg.control(rel.tolerance = 1e-13, maxiter = 200))
    first <- if (law == "weibull") exp(coef(fit)) else coef(fit)
    second <- if (law == "weibull") 1 / fit$scale else fit$scale
    cat(name, law, sprintf("%.10g", c(first, second, fit$loglik[1])), "\n")
  }
}

cat("\ncracks of turbine parts, days: Weibull scale, shape, ln L; log-normal mu, sigma, ln L\n")
print(t(cracks))
fitted_by(c(0, cracks$days), c(cracks$days, Inf), c(cracks$fail, 167 - sum(cracks$fail)), "cracks")

cat("\nturbine wheels, hundreds of hours: the same in hours\n")
print(t(turbine))
hours <- 100 * turbine$hours
low <- c(rep(0, nrow(turbine)), hours); high <- c(hours, rep(Inf, nrow(turbine)))
count <- c(turbine$failed, turbine$inspected - turbine$failed)
fitted_by(low[count > 0], high[count > 0], count[count > 0], "turbine")

cat("\nremission in weeks (gehan): Kaplan-Meier, log-log limits\n")
for (arm in c("6-MP", "control")) {
  curve <- summary(survfit(Surv(time, cens) ~ 1, data = gehan[gehan$treat == arm, ],
                           conf.type = "log-log"))
  cat(arm, "\n")
  print(cbind(curve$time, curve$surv, curve$std.err, curve$lower, curve$upper), digits = 6)
}
