# Makes expected.csv: running medians and median absolute deviations by R's own runmed, median and
# mad. Run as: Rscript rolling.R  (R 4.2.2). The series is wind-like: quarters of m/s (exact in
# binary, with ties), spikes, missing values, and gaps in time; `gapped` says to which stretch
# without a gap a row belongs.
set.seed(20261125)
n <- 240
x <- round(4 * (9 + as.numeric(arima.sim(list(ar = 0.8), n)))) / 4
x[c(31, 32, 90, 91, 92, 150, 204)] <- c(35, -20, 30, 30, 30, 60, 0)
whole <- x
x[c(12, 60:66, 118, 119, 177, 180, 183, 239:240)] <- NA
hour <- c(1:77, 80:150, 160:(160 + n - 149))[1:n]
stretch <- cumsum(c(1, diff(hour) != 1))

window <- function(x, stretch, i, n, f) {
  h <- (n - 1) / 2
  rows <- max(1, i - h):min(length(x), i + h)
  v <- x[rows][stretch[rows] == stretch[i]]
  v <- v[!is.na(v)]
  if (length(v) < h + 1) NA else f(v)
}
roll <- function(x, stretch, n, f) sapply(seq_along(x), function(i) window(x, stretch, i, n, f))
raw_mad <- function(v) mad(v, constant = 1)
one <- rep(1, n)

out <- data.frame(whole = whole, x = x, hour = hour,
  runmed_7 = as.numeric(runmed(whole, 7, endrule = "keep", algorithm = "Stuetzle")),
  runmed_31 = as.numeric(runmed(whole, 31, endrule = "keep", algorithm = "Turlach")),
  whole_mad_7 = roll(whole, one, 7, raw_mad), whole_mad_31 = roll(whole, one, 31, raw_mad))
for (k in c(1, 3, 7, 31)) {
  out[[paste0("median_", k)]] <- roll(x, stretch, k, median)
  out[[paste0("mad_", k)]] <- roll(x, stretch, k, raw_mad)
}
write.csv(out, "expected.csv", row.names = FALSE, quote = FALSE, na = "")
