#!/bin/sh
# The same bytes however files are read: two days of 1 Hz files under 1, 2 and 8 threads, three sizes of
# pieces and four vector levels, and with every row through the CSV parser. The same samples with
# quotes around all fields, around stamps alone and around some by turns, with CRLF, a quarter of a
# second later, with an empty row at the end and as gzip give the same intervals. In long form, a row
# a beam, with some rows said twice and a range that changes, they are the same in every way, too.
#
#   levels.sh ROOT BUILD
set -eu
root=$1 build=$2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
${CC:-cc} -O2 "$root/tests/bench/gen.c" -lm -o "$work/gen"

campaign() { # folder: a campaign without its files
    mkdir -p "$1"
    cp -r "$root/tests/bench/campaign/." "$1/"
    sed -i 's/"END"/"2023-01-03T00:00:00Z"/' "$1/campaign.lua"
}

run() { # folder, jobs, level, piece
    rm -rf "$work/out"
    "$build/tests/run_as" "$build/windassay-cell" "$root/scripts" "$2" "$3" "$4" "$1/campaign.lua" "$work/out"
    (cd "$work/out/data" && find . -type f ! -name run.json -print0 | LC_ALL=C sort -z |
        xargs -0 sha256sum)
}

campaign "$work/plain"
"$work/gen" lidar 3 2 >"$work/plain/lidar.csv"
"$work/gen" mast 3 2 >"$work/plain/mast.csv"
run "$work/plain" 1 none 0 >"$work/base"
cp "$work/out/data/intervals.csv" "$work/intervals.csv"
n=0
for jobs in 1 2 8; do
    for piece in 20000 150000 2000000; do
        for level in none portable sse2 avx2 avx512; do
            run "$work/plain" $jobs $level $piece >"$work/sums"
            if ! cmp -s "$work/base" "$work/sums"; then
                echo "different: $jobs threads, pieces of $piece bytes, $level"
                diff "$work/base" "$work/sums" || true
                exit 1
            fi
            n=$((n + 1))
        done
    done
done
echo "$n ways to read, $(wc -l <"$work/base") files: all the same"

for form in quoted stamps mixed crlf fraction blank gzip; do
    campaign "$work/$form"
    for f in lidar mast; do
        case $form in
        quoted) sed 's/,/","/g; s/^/"/; s/$/"/' "$work/plain/$f.csv" >"$work/$form/$f.csv" ;;
        stamps) sed 's/^[^,]*/"&"/' "$work/plain/$f.csv" >"$work/$form/$f.csv" ;;
        mixed) awk -F, -v OFS=, -v ORS='\r\n' '{
            for (i = 1; i <= NF; i++)
                if (i % 3 == int(NR / 100) % 3)
                    $i = "\"" $i "\""
            print
        }' "$work/plain/$f.csv" >"$work/$form/$f.csv" ;;
        fraction) sed '2,$s/Z,/.250Z,/' "$work/plain/$f.csv" >"$work/$form/$f.csv" ;;
        crlf) sed 's/$/\r/' "$work/plain/$f.csv" >"$work/$form/$f.csv" ;;
        blank) (cat "$work/plain/$f.csv" && echo) >"$work/$form/$f.csv" ;;
        gzip) gzip -1c "$work/plain/$f.csv" >"$work/$form/$f.csv.gz" ;;
        esac
    done
    for level in none portable best; do
        for jobs in 1 2; do
            run "$work/$form" $jobs $level 0 >/dev/null
            cmp "$work/intervals.csv" "$work/out/data/intervals.csv"
        done
    done
    echo "$form: the same intervals"
done

mkdir -p "$work/split"
cp -r "$root/tests/identity/split/." "$work/split/"
awk -F, -v OFS=, '
    NR == 1 { print "timestamp,beam,range_m,rws,cnr,tilt,status"; next }
    {
        range = int(NR / 20) % 2 ? "140.2" : "240.1"
        for (beam = 1; beam <= 4; beam++) {
            row = $1 OFS beam OFS range OFS $(1 + beam) OFS $(5 + beam) OFS $14 OFS $(9 + beam)
            print row
            if ((NR + beam) % 997 == 0)
                print row
        }
    }' "$work/plain/lidar.csv" >"$work/split/beams.csv"
run "$work/split" 1 none 0 >"$work/base"
for jobs in 1 2; do
    for piece in 20000 0; do
        for level in portable sse2 avx2 avx512; do
            run "$work/split" $jobs $level $piece >"$work/sums"
            cmp "$work/base" "$work/sums"
        done
    done
done
echo "long form: the same files"
