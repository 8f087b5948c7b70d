#!/bin/sh
# Makes the .deb, installs it into a Debian that holds nothing but apt, and runs it there.
# From the environment: SOURCE, BUILD, CMAKE, FLAGS. Needs root, and mmdebstrap or debootstrap, and the network.
set -eu

skip() {
  echo "skipped: $1"
  exit 77
}
fail() {
  echo "$1" >&2
  exit 1
}

case "$FLAGS" in *-fsanitize*) skip "a package of a build with sanitizers is for nobody" ;; esac
[ "$(id -u)" -eq 0 ] || skip "only root can make a bare root"
command -v dpkg-shlibdeps >/dev/null 2>&1 || skip "no dpkg-dev here"
command -v file >/dev/null 2>&1 || skip "cpack needs the program file"
for tool in mmdebstrap debootstrap none; do
  ! command -v "$tool" >/dev/null 2>&1 || break
done
[ "$tool" != none ] || skip "neither mmdebstrap nor debootstrap is here"

scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
root=$scratch/root

(cd "$scratch" && "${CMAKE%cmake}cpack" --config "$BUILD/CPackConfig.cmake" -B "$scratch" >cpack.log 2>&1) ||
  { cat "$scratch/cpack.log"; fail "no package was made"; }
package=$(find "$scratch" -maxdepth 1 -name 'sweepflux_*.deb')
dpkg-deb --info "$package"
for library in libc6 libstdc++6 libcairo2 libpng16-16 fonts-dejavu-core; do
  dpkg-deb --field "$package" Depends | grep -qF "$library" || fail "Depends lacks $library"
done
if dpkg-deb --field "$package" Depends | grep -q -- "-dev"; then
  fail "the package depends on a development package"
fi

# Kept in the build folder: only the first run fetches it.
base=$BUILD/bare-root.tar
if [ ! -f "$base" ]; then
  if [ "$tool" = mmdebstrap ]; then
    mmdebstrap --quiet --format=tar --variant=apt bookworm "$base.part" >"$scratch/base.log" 2>&1 ||
      { tail -3 "$scratch/base.log"; skip "no bare Debian could be fetched"; }
  else
    debootstrap --variant=minbase bookworm "$root" >"$scratch/base.log" 2>&1 ||
      { tail -3 "$scratch/base.log"; skip "no bare Debian could be fetched"; }
    tar -C "$root" -cf "$base.part" .
    rm -rf "$root"
  fi
  mv "$base.part" "$base"
fi
mkdir -p "$root"
tar -C "$root" --exclude='./dev/*' -xf "$base"
# The way to the network is the machine's own.
cp -L /etc/resolv.conf "$root/etc/" 2>/dev/null || true
for file in /etc/apt/apt.conf.d/*proxy*; do
  [ ! -f "$file" ] || cp "$file" "$root/etc/apt/apt.conf.d/"
done
cp "$package" "$root/tmp/sweepflux.deb"
inside() {
  env LC_ALL=C chroot "$root" "$@"
}
mknod -m 666 "$root/dev/null" c 1 3 2>/dev/null || skip "no device can be made here"
{ inside apt-get update -qq && inside apt-get install -y -qq --no-install-recommends \
  --download-only /tmp/sweepflux.deb; } >"$scratch/fetch.log" 2>&1 || {
  # Unmet names are the package's fault, all else the network's.
  ! grep -q "unmet dependencies\|Depends:" "$scratch/fetch.log" || { cat "$scratch/fetch.log"; fail "it cannot be installed"; }
  tail -3 "$scratch/fetch.log"
  skip "what the package depends on could not be fetched"
}
inside apt-get install -y -qq --no-install-recommends /tmp/sweepflux.deb >"$scratch/apt.log" 2>&1 ||
  { cat "$scratch/apt.log"; fail "it does not install"; }

inside sweepflux --version
inside sweepflux new /tmp/loft
cp -R "$SOURCE/scans/heron-1" "$root/tmp/heron-1"
inside sweepflux map /tmp/heron-1/survey.toml --out /tmp/heron-1-map
for file in report.html summary.json planes.csv plane-1.6m.png plane-1.6m.svg; do
  [ -s "$root/tmp/heron-1-map/$file" ] || fail "the map lacks $file"
done
"$BUILD/sweepflux" map "$SOURCE/scans/heron-1/survey.toml" --json >"$scratch/outside.json"
# Figures of one processor differ from another's in the last digits only; here both are the same.
cmp "$scratch/outside.json" "$root/tmp/heron-1-map/summary.json" ||
  fail "the packaged program says other numbers"
for file in share/man/man1/sweepflux.1.gz share/bash-completion/completions/sweepflux \
  share/doc/sweepflux/copyright include/sweepflux/result/map_survey.hpp \
  include/sweepflux-render/render/charts/plane_map.hpp; do
  [ -s "$root/usr/$file" ] || fail "the package lacks $file"
done
inside apt-get remove -y -qq sweepflux >"$scratch/remove.log" 2>&1 || { cat "$scratch/remove.log"; fail "it does not go away"; }
[ ! -e "$root/usr/bin/sweepflux" ] || fail "the program stayed behind"
