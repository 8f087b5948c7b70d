"""The same readings through general libraries: neighbour kriging and neighbour splines.

    bench/nearest_kriging --readings 100000 --sweeps 0 --write /tmp/readings.csv
    python3 tests/bench/nearest_others.py /tmp/readings.csv --neighbours 48 --side 1024 --sample 128

Times a square sample of the map (--sample places a side) and states the time for the whole side.
scipy's RBFInterpolator(neighbors=k) has no variance; gstat (Debian r-cran-gstat), when Rscript is
there, krige(nmax=k) has one.
"""

import argparse
import subprocess
import tempfile
import time

import numpy as np
from scipy.interpolate import RBFInterpolator

GSTAT = """
suppressMessages({library(sp); library(gstat)})
a <- commandArgs(TRUE); d <- read.csv(a[1]); coordinates(d) <- ~ y_m + z_m
s <- as.integer(a[3]); g <- expand.grid(y_m = seq(-1, 1, length.out = s), z_m = seq(0, 2, length.out = s))
coordinates(g) <- ~ y_m + z_m
m <- vgm(0.25, "Mat", 0.43 / sqrt(5), nugget = 0.0064, kappa = 2.5)
t <- system.time(k <- krige(speed_m_s ~ 1, d, g, m, nmax = as.integer(a[2]), debug.level = 0))
cat(t["elapsed"], "\\n")
"""


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("readings")
    parser.add_argument("--neighbours", type=int, default=48)
    parser.add_argument("--side", type=int, default=1024)
    parser.add_argument("--sample", type=int, default=128)
    options = parser.parse_args()
    data = np.loadtxt(options.readings, delimiter=",", skiprows=1)
    line = [np.linspace(-1, 1, options.sample), np.linspace(0, 2, options.sample)]
    wanted = np.stack(np.meshgrid(*line), -1).reshape(-1, 2)
    whole = (options.side / options.sample) ** 2

    def reported(name, seconds):
        print(f"{name}: {seconds:.2f} s for {len(wanted)} places, {seconds * whole:.0f} s for "
              f"{options.side} x {options.side}")

    start = time.perf_counter()
    RBFInterpolator(data[:, :2], data[:, 2], neighbors=options.neighbours, smoothing=1e-3)(wanted)
    reported(f"scipy RBFInterpolator, {options.neighbours} neighbours, no variance",
         time.perf_counter() - start)
    with tempfile.NamedTemporaryFile("w", suffix=".R") as script:
        script.write(GSTAT)
        script.flush()
        command = ["Rscript", script.name, options.readings, str(options.neighbours), str(options.sample)]
        try:
            answer = subprocess.run(command, capture_output=True, text=True, check=True).stdout
        except (FileNotFoundError, subprocess.CalledProcessError) as fault:
            print(f"gstat: not run ({fault})")
            return
    reported(f"gstat krige, {options.neighbours} neighbours, with variance", float(answer))


if __name__ == "__main__":
    main()
