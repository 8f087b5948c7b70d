# Sourced by scans/demo.sh and tests/run.sh: the Debian packages that sweepflux needs, in one place.
# shellcheck shell=sh

# To build and run the program.
packages_of_program="g++ cmake ninja-build pkg-config
  libeigen3-dev libboost-math-dev libnanoflann-dev libtomlplusplus-dev nlohmann-json3-dev libcli11-dev
  libpng-dev libcairo2-dev fonts-dejavu-core"
# On top of that, to build and run the tests.
packages_of_tests="libgtest-dev locales python3 dpkg-dev file man-db mmdebstrap mount"
# To fuzz the readers: libFuzzer and the sanitizers come with the compiler's own package.
packages_of_fuzzers="clang libclang-rt-14-dev"

# install_packages NAME...: installs those that are missing, and says so. Asks the network for
# nothing when none is.
install_packages() {
  if ! command -v dpkg-query >/dev/null 2>&1; then
    echo "This is no Debian system: the packages must be there already. They are:"
    echo "$@"
    return 0
  fi
  missing=""
  for package in "$@"; do
    state=$(dpkg-query -W -f '${Status}' "$package" 2>/dev/null || true)
    case "$state" in
      "install ok installed") ;;
      *) missing="$missing $package" ;;
    esac
  done
  if [ -z "$missing" ]; then
    return 0
  fi
  as_root=""
  if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null 2>&1; then
      echo "These packages are missing, and only root may install them:$missing" >&2
      return 1
    fi
    as_root="sudo"
  fi
  echo "Installing:$missing"
  # The lists may be old or, in a fresh container, not there at all.
  $as_root apt-get update -qq
  # shellcheck disable=SC2086  # names without blanks, split on purpose
  $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing >/dev/null
}

# configure_build SOURCE OPTION...: makes SOURCE/build ready; quick when it is already.
configure_build() {
  source_folder=$1
  shift
  if [ -f "$source_folder/build/CMakeCache.txt" ]; then
    # Whatever builds there goes on building there.
    cmake -S "$source_folder" -B "$source_folder/build" "$@" >"$source_folder/build/configure.log" ||
      { cat "$source_folder/build/configure.log" >&2; return 1; }
  else
    cmake -S "$source_folder" -B "$source_folder/build" -G Ninja -DCMAKE_BUILD_TYPE=Release "$@"
  fi
}
