#!/bin/sh
# The layer check must fail on an include against the direction: a copy with one is refused.
set -eu
root=$1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir -p "$work/include"
cp -r "$root/core" "$work/core"
cp -r "$root/include/windassay" "$work/include/windassay"
python3 "$root/tests/layers/check.py" "$work" >/dev/null
printf '#include "data/rows.h"\n' >>"$work/core/base/error.c"
if python3 "$root/tests/layers/check.py" "$work" >"$work/out"; then
    echo "an include against the order was not seen"
    exit 1
fi
grep -q "layer 'base' may not use 'data/rows.h' of 'data'" "$work/out"
echo "an include against the order is refused"
