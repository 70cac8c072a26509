#!/bin/sh
# The same bytes on another processor, on demand: builds windassay for arm64 with Debian's cross
# compiler, runs every demo campaign under qemu-user, and compares all files but run.json with those of
# this machine. Needs root (or sudo) and the network for Debian's arm64 packages; about 5 minutes.
#
#   arm64.sh ROOT BUILD     BUILD is a build of this machine that is there already
#
# Two things differ from a machine of that kind, and change no number: qemu-user lets no program load
# seccomp, so the cell is built as for the sanitizers, without its second wall; and a wrapper starts the
# cell, because the kernel here does not know its format.
set -eu
root=$(cd "$1" && pwd) build=$2
. "$root/core/cmake/set-up.sh"
. "$root/demo/campaigns.sh"
# shellcheck disable=SC2086 # a list of words
windassay_set_up debootstrap qemu-user gcc-aarch64-linux-gnu libc6-dev-arm64-cross \
    $windassay_build_packages

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
as_root=
[ "$(id -u)" -eq 0 ] || as_root=sudo
# The libraries of that processor; only unpacked, nothing of them is run here but by qemu.
libraries=$(echo "$windassay_build_packages" | tr -s '[:space:]' '\n' | grep -e '-dev$' | paste -sd,)
$as_root debootstrap --foreign --arch=arm64 --variant=minbase "--include=$libraries" bookworm \
    "$work/arm64" >"$work/log" || { cat "$work/log"; exit 1; }
for package in "$work"/arm64/var/cache/apt/archives/*.deb; do
    $as_root dpkg-deb -x "$package" "$work/arm64"
done

cat >"$work/arm64.cmake" <<CMAKE
set(CMAKE_SYSTEM_NAME Linux)
set(CMAKE_SYSTEM_PROCESSOR aarch64)
set(CMAKE_C_COMPILER aarch64-linux-gnu-gcc)
set(CMAKE_SYSROOT $work/arm64)
set(CMAKE_FIND_ROOT_PATH_MODE_PROGRAM NEVER)
set(CMAKE_FIND_ROOT_PATH_MODE_LIBRARY ONLY)
set(CMAKE_FIND_ROOT_PATH_MODE_INCLUDE ONLY)
CMAKE
PKG_CONFIG_SYSROOT_DIR=$work/arm64 \
    PKG_CONFIG_LIBDIR=$work/arm64/usr/lib/aarch64-linux-gnu/pkgconfig:$work/arm64/usr/share/pkgconfig \
    cmake -G Ninja -S "$root" -B "$work/build" -DBUILD_TESTING=OFF \
    "-DCMAKE_TOOLCHAIN_FILE=$work/arm64.cmake" "-DCMAKE_C_FLAGS=-D__SANITIZE_ADDRESS__=1" >/dev/null
ninja -C "$work/build" windassay windassay-cell >/dev/null
mv "$work/build/windassay-cell" "$work/build/cell"
cat >"$work/build/windassay-cell" <<RUN
#!/bin/sh
exec qemu-aarch64 -L "$work/arm64" "$work/build/cell" "\$@"
RUN
chmod +x "$work/build/windassay-cell"

"$build/windassay-demo-data" "$work/data"
mkdir -p "$work/a" "$work/there"
cp -r "$root"/demo/*.lua "$root/demo/shared" "$root"/demo/NL-* "$work/a/"
mv "$work/data" "$work/a/data"
mkdir "$work/a/out"
different=0
for unit in $demo_campaigns; do
    campaign=$work/a/$(demo_file_of "$unit")
    "$build/windassay" run "$campaign" --into "$work/a/out/$unit" >/dev/null 2>&1 || [ $? -lt 64 ]
    demo_hand_on "$work/a" "$unit"
    qemu-aarch64 -L "$work/arm64" "$work/build/windassay" run "$campaign" \
        --into "$work/there/$unit" >/dev/null 2>"$work/log" || [ $? -lt 64 ] ||
        { cat "$work/log"; exit 1; }
    if diff -r -x run.json -x manifest-sha256.txt -x tagmanifest-sha256.txt \
        "$work/a/out/$unit" "$work/there/$unit"; then
        echo "$unit  same  ($(find "$work/there/$unit/data" -type f | wc -l) files)"
    else
        echo "$unit  different"
        different=1
    fi
done
file -b "$work/build/windassay" | cut -d, -f1,2
exit "$different"
