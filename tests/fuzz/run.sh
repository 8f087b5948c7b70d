#!/bin/sh
# The long run: fuzzed readers, a thousand mutated surveys, two hundred kills, absurd sizes.
#   tests/fuzz/run.sh             ten million executions a reader; hours
#   tests/fuzz/run.sh 600s        ten minutes a reader
#   tests/fuzz/run.sh 1000000     so many executions a reader
# Needs what tests/run.sh needs, clang++, python3, and for full disks the right to mount.
set -eu

top=$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd)
amount=${1:-10000000}
# shellcheck source=.ci/packages.sh
. "$top/.ci/packages.sh"
# shellcheck disable=SC2086  # lists of names
install_packages $packages_of_program $packages_of_tests $packages_of_fuzzers
configure_build "$top"
cmake --build "$top/build" -j 2 --target sweepflux_tool
program=$(find "$top/build" -maxdepth 2 -type f -name sweepflux -perm -u+x | head -n 1)

status=0
export SWEEPFLUX_FUZZ_BUILD="${SWEEPFLUX_FUZZ_BUILD:-$top/build/fuzz}"
sh "$top/tests/fuzz/fuzz_readers.sh" "$amount" fast || status=1
# What the fast ones kept, and some minutes more, under the address sanitizer.
sh "$top/tests/fuzz/fuzz_readers.sh" 300s || status=1
for script in "mutated_surveys.py $program --count 1000 --keep $top/build/fuzz/broken-surveys" \
  "faults.py $program --kills 200 --each" "limits.py $program --full" \
  "same_answer.py $program --full" "nothing_invented.py $program" "spoiled_logs.py $program --count 500" \
  "hostile_texts.py $program --count 1000"; do
  echo "== $script"
  # shellcheck disable=SC2086  # a script and its arguments
  python3 -B "$top"/tests/fuzz/$script || status=1
done
exit $status
