#!/bin/sh
# Installs what is missing, builds, and runs every test.
set -eu
cd "$(dirname "$0")/.."
. core/cmake/set-up.sh
# shellcheck disable=SC2086,SC2154 # lists of words; set in set-up.sh
windassay_set_up $windassay_build_packages libcmocka-dev clang clang-format clang-tidy \
    libclang-rt-14-dev lua-check shellcheck libudunits2-dev libmpfr-dev python3 python3-mpmath \
    python3-jsonschema valgrind
cmake -G Ninja -B build -DWINDASSAY_WERROR=ON >/dev/null
ninja -C build
ctest --test-dir build --output-on-failure -j "$(nproc)"
