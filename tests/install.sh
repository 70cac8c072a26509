#!/bin/sh
# The installed program and library work from where they were put: install.sh BUILD
set -eu
build=$1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cmake --install "$build" --prefix "$work/prefix" >/dev/null
cat >"$work/slope.c" <<'C'
#include <stdio.h>
#include <windassay/exact.h>

int main(void)
{
    const double x[] = {0.1, 0.2, 0.3, 1e17, -1e17};
    printf("%.17g\n", wa_exact_sum(x, 5));
    return 0;
}
C
PKG_CONFIG_PATH=$(dirname "$(find "$work/prefix" -name windassay.pc)")
export PKG_CONFIG_PATH
# The file names the prefix it was configured with: ask for ours.
# shellcheck disable=SC2046 # flags are words
cc "$work/slope.c" -o "$work/slope" \
    $(pkg-config --define-variable=prefix="$work/prefix" \
        --define-variable=libdir="$(find "$work/prefix" -name libwindassay.a -exec dirname {} \;)" \
        --static --cflags --libs windassay)
test "$("$work/slope")" = 0.59999999999999998 # 0.1 + 0.2 + 0.3, rounded once
echo 'report:value("seven", 7, { unit = "1" })' >"$work/seven.lua"
"$work/prefix/bin/windassay" script "$work/seven.lua" | grep -q seven
"$work/prefix/bin/windassay" checks | grep -q wind_speed_comparison
echo "installed: program, library and scripts work in $(basename "$work")/prefix"
