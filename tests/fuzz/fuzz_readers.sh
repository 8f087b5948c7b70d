#!/bin/sh
# Fuzzes every reader under the address and undefined-behaviour sanitizers.
#   fuzz_readers.sh 8s               eight seconds a reader
#   fuzz_readers.sh 1000000          so many executions a reader
#   fuzz_readers.sh 10000000 fast    without the address sanitizer, several times faster: what it
#                                    keeps is gone over by the next run without this word
# SWEEPFLUX_FUZZ_BUILD names the build folder (else build-fuzz in the system's temporary folder),
# SWEEPFLUX_FUZZ_READERS the readers, SWEEPFLUX_FUZZ_LENGTH the longest input in bytes,
# SWEEPFLUX_FUZZ_SEED the seed of the mutations (0: another each time), SWEEPFLUX_FUZZ_TIMEOUT the
# whole seconds from which an input counts as a hang (1). The corpus grows there from run to run; a
# case found goes to its folder found/READER: mend the reader, then keep the case in
# tests/fuzz/found/READER.
set -eu

top=$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd)
here=$top/tests/fuzz
amount=${1:-8s}
manner=${2:-thorough}
kept=${SWEEPFLUX_FUZZ_BUILD:-${TMPDIR:-/tmp}/sweepflux-fuzz-$(id -u)}
readers=${SWEEPFLUX_FUZZ_READERS:-survey campaign sweep log steps session summary}

build=$kept/$manner

if ! command -v clang++ >/dev/null 2>&1; then
  echo "skipped: the fuzzers need clang++"
  exit 0
fi
case $amount in
  *s) limit="-max_total_time=${amount%s}" ;;
  *) limit="-runs=$amount" ;;
esac
case $manner in
  thorough) fast=OFF ;;
  fast) fast=ON ;;
  *)
    echo "\"$manner\" is no manner of fuzzing; there is \"fast\", or nothing" >&2
    exit 2
    ;;
esac
mkdir -p "$build"
generator=""
[ -f "$build/CMakeCache.txt" ] || generator="-G Ninja"
# shellcheck disable=SC2086  # two words, or none
cmake -S "$top" -B "$build" $generator -DCMAKE_BUILD_TYPE=None -DCMAKE_CXX_COMPILER=clang++ \
  -DSWEEPFLUX_TOOL=OFF -DSWEEPFLUX_TESTS=OFF -DSWEEPFLUX_FUZZ=ON -DSWEEPFLUX_FUZZ_FAST=$fast \
  -DSWEEPFLUX_WARNINGS_AS_ERRORS="${SWEEPFLUX_WARNINGS_AS_ERRORS:-OFF}" >"$build.log" 2>&1 ||
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
  folder=$kept/seeds/$1
  shift
  for file in "$@"; do
    number=$((number + 1))
    { printf %s "$prefix"; head -c 4000 "$file"; } >"$folder/$number"
  done
}

number=0
rm -rf "$kept/seeds"
for reader in $readers; do
  mkdir -p "$kept/seeds/$reader" "$kept/corpus/$reader" "$kept/found/$reader"
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
export ASAN_OPTIONS="${ASAN_OPTIONS:-malloc_context_size=0:quarantine_size_mb=1:max_malloc_fill_size=0}"
export LSAN_OPTIONS="${LSAN_OPTIONS:-malloc_context_size=0}"

# fuzz READER: one line of what came of it; a fault leaves a file READER.failed.
fuzz() {
  reader=$1
  case $reader in
    survey | campaign | session) words=toml ;;
    summary) words=json ;;
    *) words=csv ;;
  esac
  log=$build/$reader.txt
  rm -f "$build/$reader.failed"
  if "$build/tests/fuzz/fuzz_$reader" "$limit" -seed="${SWEEPFLUX_FUZZ_SEED:-0}" \
    -timeout="${SWEEPFLUX_FUZZ_TIMEOUT:-1}" -rss_limit_mb=1024 -max_len="${SWEEPFLUX_FUZZ_LENGTH:-1024}" \
    -entropic=0 -print_final_stats=1 -dict="$here/$words.dict" \
    -artifact_prefix="$kept/found/$reader/" "$kept/corpus/$reader" "$kept/seeds/$reader" \
    >"$log" 2>&1; then
    outcome="no crash, hang or leak"
  else
    outcome="FOUND A FAULT, see $log"
    : >"$build/$reader.failed"
  fi
  runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$log")
  echo "fuzz $reader: ${runs:-unknown} executions, $outcome"
}

# Two readers at a time.
begun=0
for reader in $readers; do
  fuzz "$reader" &
  begun=$((begun + 1))
  [ $((begun % 2)) -eq 1 ] || wait
done
wait
for reader in $readers; do
  [ ! -e "$build/$reader.failed" ] || exit 1
done
