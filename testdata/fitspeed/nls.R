# Fits the curves of the benchmark TenThousandFits with nls and compares times and digits; see compare.sh.
#
#   Rscript nls.R TESTS COEFFICIENTS.csv
# TESTS: the compiled tests of analytics/estimate, whose benchmark writes Asym, xmid and scal of each set to COEFFICIENTS.csv.
# All times are of the processor, so that other work on the machine counts as little as it can.
arguments <- commandArgs(trailingOnly = TRUE)
runs <- 5
used <- function(expression) sum(system.time(expression)[c("user.self", "sys.self", "user.child", "sys.child")])
bench <- function(name) used(system2(arguments[1], c("-test.run", "xxx", "-test.bench", paste0("TenThousandFits/", name), "-test.benchtime", paste0(runs, "x")),
                                    stdout = FALSE, env = paste0("VINETALLY_FITS_OUT=", arguments[2]))) / runs
checked <- bench("Checked")
seconds <- bench("FromOneStart")
ours <- as.matrix(read.csv(arguments[2], header = FALSE))
sets <- nrow(ours)

part <- function(v) v - floor(v)
x <- 60 + 3 * (0:24)
data <- lapply(0:(sets - 1), function(s) {
  a <- 40 + 20 * part(0.618 * s); t <- 85 + 10 * part(0.414 * s); w <- 4 + 3 * part(0.732 * s)
  list(x = x, y = a / (1 + exp((t - x) / w)) + 0.5 * sin(0.37 * (s + 1) * (1:25)), start = list(Asym = 50, xmid = 90, scal = 5.5))
})
time <- function(fit) {
  theirs <- matrix(NA_real_, sets, 3)
  took <- used(for (s in seq_len(sets)) theirs[s, ] <- tryCatch(fit(data[[s]]), error = function(e) NA_real_))
  digits <- -log10(pmax(abs(ours / theirs - 1), 1e-16))
  failed <- sum(is.na(theirs[, 1]))
  cat(sprintf("%6.2f s, %d failed, %.1f times as long; equal digits: least %.1f, median %.1f\n", took, failed, took / seconds,
              min(digits, na.rm = TRUE), median(digits, na.rm = TRUE)))
}
control <- nls.control(tol = 1e-6)
cat(R.version.string, "\n")
cat(sprintf("here, from the same start:          %6.3f s for %d fits\n", seconds, sets))
cat(sprintf("here, own starts and all checks:    %6.3f s\n", checked))
cat("nls, from the same start:           ")
time(function(d) coef(nls(y ~ Asym / (1 + exp((xmid - x) / scal)), data = d[1:2], start = d$start, control = control)))
cat("nls with SSlogis, its own start:    ")
time(function(d) coef(nls(y ~ SSlogis(x, Asym, xmid, scal), data = d[1:2], control = control)))
