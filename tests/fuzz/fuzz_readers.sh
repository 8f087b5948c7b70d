#!/bin/sh
# Fuzzes every reader under the address and undefined-behaviour sanitizers.
#   fuzz_readers.sh 8s          eight seconds a reader
#   fuzz_readers.sh 10000000    so many executions a reader
# SWEEPFLUX_FUZZ_BUILD names the build folder (else build-fuzz in the system's temporary folder),
# SWEEPFLUX_FUZZ_READERS the readers. The corpus grows there from run to run; a case found goes to
# its folder found/READER: mend the reader, then keep the case in tests/fuzz/found/READER.
set -eu

top=$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd)
here=$top/tests/fuzz
amount=${1:-8s}
build=${SWEEPFLUX_FUZZ_BUILD:-${TMPDIR:-/tmp}/sweepflux-fuzz-$(id -u)}
readers=${SWEEPFLUX_FUZZ_READERS:-survey sweep log steps session summary}

if ! command -v clang++ >/dev/null 2>&1; then
  echo "skipped: the fuzzers need clang++"
  exit 0
fi
case $amount in
  *s) limit="-max_total_time=${amount%s}" ;;
  *) limit="-runs=$amount" ;;
esac
generator=""
[ -f "$build/CMakeCache.txt" ] || generator="-G Ninja"
# shellcheck disable=SC2086  # two words, or none
cmake -S "$top" -B "$build" $generator -DCMAKE_BUILD_TYPE=None -DCMAKE_CXX_COMPILER=clang++ \
  -DSWEEPFLUX_TOOL=OFF -DSWEEPFLUX_TESTS=OFF -DSWEEPFLUX_FUZZ=ON >"$build.log" 2>&1 ||
  { cat "$build.log" >&2; exit 1; }
targets=""
for reader in $readers; do
  targets="$targets fuzz_$reader"
done
# shellcheck disable=SC2086  # a list of names
nice -n 5 cmake --build "$build" -j 2 --target $targets >"$build.log" 2>&1 ||
  { cat "$build.log" >&2; exit 1; }

# plant READER FILE...: files become seeds under numbers, PREFIX before their bytes.
plant() {
  folder=$build/seeds/$1
  shift
  for file in "$@"; do
    number=$((number + 1))
    { printf %s "$prefix"; head -c 4000 "$file"; } >"$folder/$number"
  done
}

number=0
rm -rf "$build/seeds"
for reader in $readers; do
  mkdir -p "$build/seeds/$reader" "$build/corpus/$reader" "$build/found/$reader"
  prefix=""
  for folder in "$here/seeds/$reader" "$here/found/$reader"; do
    [ ! -d "$folder" ] || plant "$reader" "$folder"/*
  done
  case $reader in
    survey) plant "$reader" "$top"/tests/broken/*.toml "$top"/scans/*/survey.toml ;;
    session) plant "$reader" "$top"/scans/*/session.toml ;;
    sweep)
      prefix=0
      plant "$reader" "$top"/tests/broken/sweeps/*.csv "$top"/scans/wren-1/sweeps/*.csv
      ;;
    log)
      prefix=0
      plant "$reader" "$top"/tests/broken/sweeps/*.csv
      ;;
  esac
done

# No call stacks of allocations: twice as fast, and a case found can be run again with them.
export ASAN_OPTIONS="${ASAN_OPTIONS:-malloc_context_size=0:quarantine_size_mb=4}"
status=0
for reader in $readers; do
  case $reader in
    survey | session) words=toml ;;
    summary) words=json ;;
    *) words=csv ;;
  esac
  log=$build/$reader.log
  # A hang is more than a second.
  if "$build/tests/fuzz/fuzz_$reader" $limit -timeout=1 -rss_limit_mb=1024 -max_len=1024 \
    -entropic=0 -print_final_stats=1 -dict="$here/$words.dict" \
    -artifact_prefix="$build/found/$reader/" "$build/corpus/$reader" "$build/seeds/$reader" \
    >"$log" 2>&1; then
    verdict="no crash, hang or leak"
  else
    verdict="FOUND A FAULT, see $log"
    status=1
  fi
  runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$log")
  echo "fuzz $reader: ${runs:-unknown} executions, $verdict"
done
exit $status
