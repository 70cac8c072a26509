#!/bin/sh
# The benchmark: windassay on a real campaign beside general-purpose libraries that do the same job
# (peers/README). On demand; results of the developers' machine stand in docs/benchmarks.md.
#
#   run.sh BUILD [REPS [DAYS [WORK]]]     BUILD: a build with its tests; 3 repetitions, 30 days;
#                                         WORK: a folder, else a new one on tmpfs, removed afterwards
#
# Peers that are installed are run: Debian's r-cran-data.table and python3-pandas; DuckDB and polars
# after `npm ci` in tests/bench/peers (or in a copy of it that WINDASSAY_PEERS names).
set -eu
here=$(cd "$(dirname "$0")" && pwd)
build=$(cd "$1" && pwd)
reps=${2:-3} days=${3:-30}
if [ $# -ge 4 ]; then
    work=$4
    mkdir -p "$work"
else
    work=$(mktemp -d /dev/shm/windassay-bench.XXXXXX)
    trap 'rm -rf "$work"' EXIT
fi
${CC:-cc} -O2 "$here/gen.c" -lm -o "$work/gen"
${CC:-cc} -O2 -D_GNU_SOURCE "$here/measure.c" -o "$work/measure"
/usr/bin/python3 "$here/run.py" "$work" "$build" "$reps" "$days"
