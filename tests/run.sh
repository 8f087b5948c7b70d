#!/bin/sh
# Builds everything in build/ and runs all tests. Runs from any folder, as root or with sudo.
# What was skipped is named; the last line is the test runner's own last line.
set -eu

top=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
# shellcheck source=.ci/packages.sh
. "$top/.ci/packages.sh"

# shellcheck disable=SC2086  # lists of names
install_packages $packages_of_program $packages_of_tests

echo "Building everything in $top/build"
configure_build "$top" -DSWEEPFLUX_TESTS=ON \
  -DSWEEPFLUX_WARNINGS_AS_ERRORS="${SWEEPFLUX_WARNINGS_AS_ERRORS:-OFF}"
cmake --build "$top/build" -j 2

# The same mutations each time, as many of them as the seconds allow: a fault found here can be
# found again. A busy machine gets more time before an input counts as a hang.
fuzzed=0
# shellcheck disable=SC2086  # a list of names
if install_packages $packages_of_fuzzers; then
  echo "Fuzzing the readers under the address and undefined-behaviour sanitizers, a minute in all"
  SWEEPFLUX_FUZZ_BUILD="$top/build/fuzz" SWEEPFLUX_FUZZ_SEED=1 SWEEPFLUX_FUZZ_TIMEOUT=10 \
    sh "$top/tests/fuzz/fuzz_readers.sh" 10s || fuzzed=$?
else
  echo "The readers are not fuzzed: clang++ cannot be installed here"
fi

log="$top/build/tests.log"
status="$top/build/tests.status"
echo "Running the tests"
{
  code=0
  ctest --test-dir "$top/build" -j2 --output-on-failure || code=$?
  echo "$code" >"$status"
} 2>&1 | tee "$log"

last_line=$(grep -E '^[0-9]+% tests passed' "$log" || true)
# A suite runs in one process; what it skipped inside stands in what it printed.
printed="$top/build/Testing/Temporary/LastTest.log"
skipped=$(
  sed -n 's/^.*Test *#[0-9]*: \(.*[^ .]\) \.*\*\*\*Skipped.*$/  \1/p' "$log"
  sed -n 's/^\[  SKIPPED \] \([^ ]*\) (.*$/  \1/p' "$printed"
)
single=$(sed -n 's/^\[  PASSED  \] \([0-9]*\) tests*\..*$/\1/p' "$printed" | awk '{ sum += $1 } END { print sum + 0 }')
echo
if [ -n "$skipped" ]; then
  echo "Skipped, because something that they need is not here:"
  echo "$skipped"
else
  echo "No test was skipped."
fi
if [ -z "$last_line" ]; then
  echo "The tests did not run to their end; see $log" >&2
  exit 1
fi
echo "$single single tests passed in their suites; of suites and scripts:"
echo "$last_line"
[ "$fuzzed" -eq 0 ] || { echo "Fuzzing failed, see above" >&2; exit 1; }
exit "$(cat "$status")"
