#!/bin/sh
# Builds the benchmarks, installs the general libraries that they are held against, runs all side by
# side (about ten minutes on a quiet machine) and writes tests/bench/RESULTS.md.
#   run.sh [--runs N] [--jobs survey,few,many,log,dense]
set -eu

top=$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd)
# shellcheck source=.ci/packages.sh
. "$top/.ci/packages.sh"
packages_of_bench="python3-scipy python3-sklearn python3-matplotlib libopenblas0-pthread r-cran-gstat"

# shellcheck disable=SC2086  # lists of names
install_packages $packages_of_program $packages_of_bench

build=${BENCH_BUILD:-$top/build/bench}
cmake -S "$top" -B "$build" -G Ninja -DCMAKE_BUILD_TYPE=Release \
  -DSWEEPFLUX_NATIVE=ON -DSWEEPFLUX_BENCH=ON -DSWEEPFLUX_TESTS=OFF >"${TMPDIR:-/tmp}/sweepflux-bench-configure.log"
cmake --build "$build" -j 2
unset OPENBLAS_CORETYPE OPENBLAS_L2_SIZE
/usr/bin/python3 "$top/tests/bench/side_by_side.py" "$build" "$top/tests/bench/RESULTS.md" "$@"
