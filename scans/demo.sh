#!/bin/sh
# Builds the program and maps every survey below scans/: text here, pictures in build/demo/<survey>/.
# Runs from any folder, as root or with sudo; the second run is quick.
set -eu

top=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
# shellcheck source=.ci/packages.sh
. "$top/.ci/packages.sh"

# shellcheck disable=SC2086  # a list of names
install_packages $packages_of_program

echo "Building the program in $top/build"
# Tests need more packages; a build folder that has them keeps them.
if [ -f "$top/build/CMakeCache.txt" ]; then
  configure_build "$top"
else
  configure_build "$top" -DSWEEPFLUX_TESTS=OFF
fi
cmake --build "$top/build" --target sweepflux_tool

mapped=""
for survey in "$top"/scans/*/survey.toml; do
  name=$(basename "$(dirname "$survey")")
  echo
  echo "---- $name"
  "$top/build/sweepflux" map "$survey" --out "$top/build/demo/$name"
  mapped="$mapped $name"
done

echo
echo "Pictures, tables and a page to open in a browser:"
for name in $mapped; do
  echo "  $top/build/demo/$name/report.html"
done
