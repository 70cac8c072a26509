#!/bin/sh
# How many instructions reading takes, a byte of its files: counted by callgrind, so that no other work
# of the machine changes it. One day of 1 Hz files, all channels averaged: plain, quoted, as a campaign
# with `prepare`, and the unit's beams in long form. Digests are left out (valgrind does not offer the
# processor's SHA instructions, so that theirs would be another figure).
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
# the same as a campaign with `prepare`, and the unit's beams in long form (invented, as all of it)
cp -r "$root/tests/bench/campaign" "$work/prepare"
sed -i 's/"END"/"2023-01-02T00:00:00Z"/' "$work/prepare/campaign.lua"
cp "$work/plain/lidar.csv" "$work/plain/mast.csv" "$work/prepare/"
cp -r "$root/tests/identity/split" "$work/long"
sed -i 's/2023-01-03/2023-01-02/' "$work/long/campaign.lua"
awk -F, -v OFS=, '
    NR == 1 { print "timestamp,beam,range_m,rws,cnr,tilt,status"; next }
    { for (beam = 1; beam <= 4; beam++) print $1, beam, "140.2", $(1 + beam), $(5 + beam), $14, $(9 + beam) }
    ' "$work/plain/lidar.csv" >"$work/long/beams.csv"
bad=0

judge() { # what, files, most hundredths of an instruction a byte
    bytes=$(cat "$work/$2"/*.csv | wc -c)
    n=$(sed -n '/.*Collected : /{s///p;q}' "$work/said") # of the program itself; a child may follow
    hundredths=$((n * 100 / bytes))
    echo "$1, $2: $((hundredths / 100)).$(printf %02d $((hundredths % 100))) instructions a byte," \
        "at most $(($3 / 100)).$(printf %02d $(($3 % 100)))"
    [ "$hundredths" -le "$3" ] || bad=1
}

callgrind() {
    valgrind --tool=callgrind --toggle-collect=wa_records_read_as --callgrind-out-file=/dev/null "$@" \
        >"$work/said" 2>&1 || {
        cat "$work/said"
        exit 1
    }
}

count() { # level, most, which files: plain unless said
    form=${3:-plain}
    callgrind "$build/tests/read_pair" "$work/$form" 1 2023-01-01T00:00:00Z 2023-01-02T00:00:00Z "$1" 1048576 \
        undigested
    judge "$1" "$form" "$2"
}

count_campaign() { # level, most, folder
    rm -rf "$work/out"
    callgrind "$build/tests/run_as" "$build/windassay-cell" "$root/scripts" 1 "$1" -1048576 \
        "$work/$3/campaign.lua" "$work/out"
    judge "$1" "$3" "$2"
}

if grep -qw avx2 /proc/cpuinfo; then
    count avx2 568
    count avx2 570 quoted
    count_campaign avx2 580 prepare
    count_campaign avx2 820 long
fi
case $(uname -m) in
x86_64)
    count sse2 1200
    count sse2 1110 quoted
    ;;
esac
count portable 1680
count portable 1590 quoted
count_campaign portable 1750 prepare
count none 8700
[ "$bad" -eq 0 ] || {
    echo "more instructions than stated"
    exit 1
}
