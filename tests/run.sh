#!/bin/sh
# Installs what is missing, builds with gcc and (sanitized) with clang, and runs every test.
set -eu
cd "$(dirname "$0")/.."
. core/cmake/set-up.sh
# shellcheck disable=SC2086,SC2154 # lists of words; set in set-up.sh
windassay_set_up $windassay_build_packages g++ git libcmocka-dev clang clang-format clang-tidy \
    libclang-rt-14-dev lua-check shellcheck libudunits2-dev libmpfr-dev python3 python3-mpmath \
    python3-jsonschema python3-openpyxl locales openssh-client valgrind

# Quiet while it goes well.
compile() {
    ninja -C "$1" >"$1/compile.log" || {
        cat "$1/compile.log"
        exit 1
    }
}

# All that failed is shown, and the closing lines of ctest; any failure ends the run.
check() {
    folder=$1
    shift
    good=0
    ctest --test-dir "$folder" --output-on-failure -j "$(nproc)" "$@" >"$folder/ctest.log" ||
        good=$?
    grep -v -e ' Passed ' -e '^ *Start ' "$folder/ctest.log" || true
    [ "$good" -eq 0 ] || exit "$good"
}

echo "== gcc"
cmake -G Ninja -B build -DWINDASSAY_WERROR=ON -DBUILD_TESTING=ON >/dev/null
compile build

echo "== clang, with AddressSanitizer and UBSan"
cmake -G Ninja -B build-sanitized -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=None \
    "-DCMAKE_C_FLAGS=-O1 -g" -DWINDASSAY_SANITIZE=ON -DWINDASSAY_WERROR=ON >/dev/null
compile build-sanitized
# What looks at the sources or builds again needs no second time; the limits of the sandbox, the
# tests without memory and the sanitizers do not go together. Two run the program over weeks of the demo:
# minutes, for code that shorter cases go through.
check build-sanitized \
    -E '^(lint|layers|headers|identity|install|limits|faults|bench|program\.(progress_demo|why_agrees))'

echo "== every test"
check build
