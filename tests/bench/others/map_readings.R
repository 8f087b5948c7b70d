# One map with variances by gstat: variogram fitted, ordinary kriging from the 48 nearest readings.
#   Rscript map_readings.R READINGS.csv SIDE SAMPLE     (see map_readings.py)
suppressMessages({library(sp); library(gstat)})
a <- commandArgs(TRUE)
side <- as.integer(a[2]); sample <- as.integer(a[3])
d <- read.csv(a[1]); coordinates(d) <- ~ y_m + z_m
g <- expand.grid(y_m = seq(-1, 1, length.out = sample), z_m = seq(0, 2, length.out = sample))
truth <- 3 * 2^(-(g$y_m^2 + (g$z_m - 0.95)^2) / 0.0625)
coordinates(g) <- ~ y_m + z_m
start <- proc.time()["elapsed"]
# Pairs grow with the square of the readings: a variogram needs no more than these.
set.seed(1)
few <- if (nrow(d) > 3000) d[base::sample.int(nrow(d), 3000), ] else d
v <- variogram(speed_m_s ~ 1, few, cutoff = 0.8)
m <- suppressWarnings(fit.variogram(v, vgm(0.25, "Mat", 0.2, nugget = 0.01, kappa = 2.5)))
before <- proc.time()["elapsed"]
k <- krige(speed_m_s ~ 1, d, g, m, nmax = 48, debug.level = 0)
end <- proc.time()["elapsed"]
nugget <- m$psill[1]
error <- k$var1.pred - truth
flow <- 3 * 0.0625 * pi / log(2)
cat(sprintf('{"seconds": %.6f, "rms_m_s": %.6f, "stated_m_s": %.6f, "flow_error": %.6f, "sampled": %s}\n',
            before - start + (end - before) * (side / sample)^2, sqrt(mean(error^2)),
            sqrt(mean(pmax(k$var1.var - nugget, 0))), sum(k$var1.pred) * (2 / (sample - 1))^2 / flow - 1,
            if (sample < side) "true" else "false"))
