#!/bin/sh
# Installs what is missing for building and testing windassay on Debian 12 (root or sudo).
# Sourced by demo/run.sh and tests/run.sh with the list of packages that they need.
windassay_set_up() {
    missing=
    for package in "$@"; do
        state=$(dpkg-query -W -f '${Status}' "$package" 2>/dev/null || true)
        [ "$state" = "install ok installed" ] || missing="$missing $package"
    done
    [ -n "$missing" ] || return 0
    echo "installing:$missing" >&2
    as_root=
    if [ "$(id -u)" -ne 0 ]; then
        as_root=sudo
    fi
    $as_root apt-get update -q >&2
    # shellcheck disable=SC2086 # the list is words, and sudo may be absent
    $as_root env DEBIAN_FRONTEND=noninteractive \
        apt-get install -q -y --no-install-recommends $missing >&2
}

# What the build needs.
# shellcheck disable=SC2034 # used by the scripts that source this one
windassay_build_packages="cmake ninja-build gcc libc6-dev pkg-config liblua5.4-dev libcsv-dev libgsl-dev
zlib1g-dev libssl-dev libjansson-dev libseccomp-dev libsmartcols-dev
libxlsxwriter-dev"
