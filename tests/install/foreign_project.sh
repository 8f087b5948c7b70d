#!/bin/sh
# foreign_project.sh installed|folder: builds a project of somebody else's on sweepflux and runs it.
# From the environment: SOURCE, BUILD, CMAKE, GENERATOR, CXX, FLAGS, LAUNCHER.
set -eu

way=$1
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

fail() {
  echo "$1" >&2
  exit 1
}

if [ "$way" = installed ]; then
  "$CMAKE" --install "$BUILD" --prefix "$scratch/prefix" >"$scratch/install.log"
  private=$(find "$scratch/prefix" -name '*_private.hpp')
  [ -z "$private" ] || fail "private headers were installed: $private"
  # What the user's CMake reads may ask for threads, and for nothing else.
  asked=$(grep -rhoE 'find_dependency\([A-Za-z0-9_]+' "$scratch/prefix/lib" | sort -u)
  [ "$asked" = "find_dependency(Threads" ] || fail "the installed package asks for: $asked"
  if grep -rniE 'eigen|boost|nanoflann|tomlplusplus|nlohmann|cli11' "$scratch/prefix" --include='*.cmake'; then
    fail "the installed package names a library that the user need not have"
  fi
  if grep -rn "$BUILD\|$SOURCE" "$scratch/prefix" --include='*.cmake'; then
    fail "the installed package names a folder of this machine"
  fi
  set -- "-DCMAKE_PREFIX_PATH=$scratch/prefix" -DCMAKE_BUILD_TYPE=Release "-DCMAKE_CXX_FLAGS=$FLAGS"
else
  # All of the library is compiled once more, unoptimised: by Clang where it is installed, so that
  # the second compiler is held to the same warnings and the same numbers.
  CXX=$(command -v clang++ || echo "$CXX")
  set -- "-DSWEEPFLUX_FOLDER=$SOURCE" "-DCMAKE_CXX_COMPILER_LAUNCHER=$LAUNCHER" \
    -DCMAKE_BUILD_TYPE=None "-DCMAKE_CXX_FLAGS=-O0 $FLAGS" \
    "-DSWEEPFLUX_WARNINGS_AS_ERRORS=${SWEEPFLUX_WARNINGS_AS_ERRORS:-OFF}"
fi

# One reading in four: unoptimised, a map takes long.
cp -R "$SOURCE/scans/heron-1" "$scratch/heron-1"
for sweep in "$scratch"/heron-1/sweeps/*.csv; do
  awk '!/^-?[0-9]/ || ++readings % 4 == 0' "$sweep" >"$scratch/kept.csv"
  mv "$scratch/kept.csv" "$sweep"
done
survey=$scratch/heron-1/survey.toml
"$CMAKE" -S "$SOURCE/tests/install/use_library" -B "$scratch/build" -G "$GENERATOR" \
  "-DCMAKE_CXX_COMPILER=$CXX" "$@" >"$scratch/configure.log" 2>&1 ||
  { cat "$scratch/configure.log"; fail "it does not configure"; }
"$CMAKE" --build "$scratch/build" -j 2 >"$scratch/build.log" 2>&1 ||
  { tail -50 "$scratch/build.log"; fail "it does not build"; }

said=$("$scratch/build/flow_of_survey" "$survey")
echo "$said"
# The same numbers as the program's own: every plane's flow and momentum, as its JSON has them.
"$BUILD/sweepflux" map "$survey" --json >"$scratch/own.json"
expected=$(awk '
  /"planes":/ { inside = 1 }
  /"distance_m":/ && inside { gsub(/[^0-9.]/, ""); distance = $0 + 0 }
  /"(volume_flow_m3_s|momentum_flux_n)": \{/ && inside { wanted = 2 }
  wanted && /"(value|standard_uncertainty)":/ {
    split($0, part, ": "); number[++count] = part[2] + 0; wanted--
    if (count == 4) {
      printf "%.3f m: flow %.6f +- %.6f m3/s, momentum %.6f +- %.6f N\n",
             distance, number[1], number[2], number[3], number[4]
      exit
    }
  }' "$scratch/own.json")
[ -n "$expected" ] || fail "the program's own numbers were not found"
[ "$said" = "$expected" ] || fail "the program itself says: $expected"

(cd "$scratch" && ./build/draw_field)
head -c 8 "$scratch/draughts.png" | od -An -c | grep -q 'P   N   G' || fail "no PNG was drawn"
grep -q "Two draughts" "$scratch/draughts.svg" || fail "no SVG was drawn"
