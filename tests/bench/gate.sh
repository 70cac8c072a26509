#!/bin/sh
# How many instructions reading takes, a byte of its files: counted by callgrind, so that no other work
# of the machine changes it. One day of 1 Hz files, all channels averaged, digests left out (valgrind
# does not offer the processor's SHA instructions, so that theirs would be another figure).
# The limits stand a little above what was counted when they were written (docs/benchmarks.md);
# a change that exceeds one must be made faster, or the limit raised with a reason.
#
#   gate.sh ROOT BUILD
set -eu
root=$1 build=$2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
${CC:-cc} -O2 "$root/tests/bench/gen.c" -lm -o "$work/gen"
mkdir "$work/plain" "$work/quoted"
for f in lidar mast; do
    "$work/gen" $f 1 1 >"$work/plain/$f.csv"
    sed 's/,/","/g; s/^/"/; s/$/"/' "$work/plain/$f.csv" >"$work/quoted/$f.csv"
done
bad=0

count() { # level, most hundredths of an instruction a byte, which files: plain unless said
    form=${3:-plain}
    bytes=$(cat "$work/$form/lidar.csv" "$work/$form/mast.csv" | wc -c)
    valgrind --tool=callgrind --toggle-collect=wa_records_read_as --callgrind-out-file=/dev/null \
        "$build/tests/read_pair" "$work/$form" 1 2023-01-01T00:00:00Z 2023-01-02T00:00:00Z "$1" 1048576 undigested \
        >"$work/said" 2>&1 || {
        cat "$work/said"
        exit 1
    }
    n=$(sed -n 's/.*Collected : //p' "$work/said")
    hundredths=$((n * 100 / bytes))
    echo "$1, $form: $((hundredths / 100)).$(printf %02d $((hundredths % 100))) instructions a byte," \
        "at most $(($2 / 100)).$(printf %02d $(($2 % 100)))"
    [ "$hundredths" -le "$2" ] || bad=1
}

! grep -qw avx2 /proc/cpuinfo || count avx2 568
case $(uname -m) in x86_64) count sse2 1200 ;; esac
count portable 1680
count none 8700
! grep -qw avx2 /proc/cpuinfo || count avx2 570 quoted
case $(uname -m) in x86_64) count sse2 1110 quoted ;; esac
count portable 1590 quoted
[ "$bad" -eq 0 ] || {
    echo "more instructions than stated"
    exit 1
}
