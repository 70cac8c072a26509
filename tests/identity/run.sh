#!/bin/sh
# The same bytes, anywhere: every demo campaign under variants of threads, folder, order of files, user,
# locale, time zone, FMA, compiler and optimisation. Every file of the evidence and of the presentation
# must have the same digest (run.json is listed, never compared). Prints a table: a row a variant, a
# column a campaign, "same" or "different" in each cell.
#
#   run.sh ROOT BUILD       BUILD is a gcc build that is there already
set -eu
root=$1 build=$2
. "$root/demo/campaigns.sh"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
chmod 755 "$work" # the other user reads here

"$build/windassay-demo-data" "$work/data"
mkdir "$work/a"
cp -r "$root"/demo/*.lua "$root/demo/shared" "$root"/demo/NL-* "$work/a/"
mv "$work/data" "$work/a/data"

sums() { # dossier: the digest of all that is compared
    (cd "$1/data" && find . -type f ! -name run.json -print0 | LC_ALL=C sort -z |
        xargs -0 sha256sum)
}

# One run into $work/out/VARIANT/UNIT; anything but an outcome ends the test.
one() { # variant, unit, folder of the campaigns, command...
    variant=$1 unit=$2 folder=$3
    shift 3
    code=0
    "$@" run "$folder/$(demo_file_of "$unit")" --into "$work/out/$variant/$unit" >"$work/said" 2>&1 ||
        code=$?
    if [ "$code" -ge 64 ]; then
        cat "$work/said"
        echo "$variant, $unit: exit code $code"
        exit 1
    fi
}

different=0
variant() { # name, folder, command...
    name=$1 from=$2
    shift 2
    line=$(printf '%-16s' "$name")
    mkdir -p "$work/out/$name"
    chmod 777 "$work/out/$name"
    for unit in $demo_campaigns; do
        one "$name" "$unit" "$from" "$@"
        sums "$work/out/$name/$unit" >"$work/sums"
        if cmp -s "$work/sums" "$work/base.$unit"; then
            line="$line same          "
        else
            line="$line different     "
            diff "$work/base.$unit" "$work/sums" | sed "s/^/$name, $unit: /" >>"$work/differences"
            different=1
        fi
        rm -rf "$work/out/$name/$unit"
    done
    echo "$line"
}

compile() { # name, flags of cmake...
    folder=$build/identity-$1
    shift
    cmake -G Ninja -S "$root" -B "$folder" -DBUILD_TESTING=OFF "$@" >/dev/null
    ninja -C "$folder" windassay windassay-cell >/dev/null
}

mkdir -p "$work/out" "$work/a/out"
ln -s "$work/a/out" "$work/out/base" # later campaigns use the dossiers of earlier ones
for unit in $demo_campaigns; do
    one base "$unit" "$work/a" "$build/windassay"
    demo_hand_on "$work/a" "$unit"
    sums "$work/out/base/$unit" >"$work/base.$unit"
    echo "$unit: $(wc -l <"$work/base.$unit") files to compare"
    (cd "$work/out/base/$unit" && sha256sum -c --strict --quiet manifest-sha256.txt)
    "$build/tests/render_again" "$work/out/base/$unit"
done
/usr/bin/python3 "$root/tests/record/validate.py" "$root/docs/reference/result.schema.json" \
    "$work"/out/base/*
# An independent script computes the four checks of the main job again.
python3 "$root/tests/reference/recompute.py" "$work/out/base/NL-0417"

echo
# In another folder, with the files made in the opposite order and written anew.
mkdir -p "$work/another folder/b"
(cd "$work/a" && find . -type d | while read -r d; do mkdir -p "$work/another folder/b/$d"; done
    find . -type f | sort -r | while read -r f; do cat "$f" >"$work/another folder/b/$f"; done)
# shellcheck disable=SC2086 # a list of words
printf '%-16s' variant && printf ' %-14s' $demo_campaigns && echo
variant again "$work/a" "$build/windassay"
for jobs in 1 2 8; do
    # shellcheck disable=SC2016 # the inner shell expands these
    variant "jobs $jobs" "$work/a" sh -c 'p=$0 j=$1; shift; exec "$p" "$@" --jobs "$j"' \
        "$build/windassay" "$jobs"
done
variant "another folder" "$work/another folder/b" "$build/windassay"
if [ "$(id -u)" -eq 0 ]; then
    # Installed where that user may read it, whatever folder the clone lies in.
    mkdir -p "$work/bin" "$work/libexec/windassay" "$work/share/windassay"
    cp "$build/windassay" "$work/bin/"
    cp "$build/windassay-cell" "$work/libexec/windassay/"
    cp -r "$root/scripts" "$work/share/windassay/"
    variant "another user" "$work/a" setpriv --reuid=65534 --regid=65534 --clear-groups \
        "$work/bin/windassay"
fi
variant "time zone" "$work/a" env TZ=Pacific/Auckland "$build/windassay"
localedef -i de_DE -f UTF-8 "$work/de_DE.UTF-8" 2>/dev/null ||
    { echo "no locale could be made: install the package locales"; exit 1; }
variant locale "$work/a" env LOCPATH="$work" LC_ALL=de_DE.UTF-8 "$build/windassay"
variant "no FMA, no AVX2" "$work/a" env GLIBC_TUNABLES=glibc.cpu.hwcaps=-AVX2,-FMA \
    "$build/windassay"

compile gcc-O0 -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=Debug
variant "gcc -O0" "$work/a" "$build/identity-gcc-O0/windassay"
compile gcc-O3-fma -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=None "-DCMAKE_C_FLAGS=-O3 -mfma"
variant "gcc -O3 -mfma" "$work/a" "$build/identity-gcc-O3-fma/windassay"
compile clang-O1 -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=None "-DCMAKE_C_FLAGS=-O1"
variant "clang -O1" "$work/a" "$build/identity-clang-O1/windassay"
compile clang-O2 -DCMAKE_C_COMPILER=clang
variant "clang -O2" "$work/a" "$build/identity-clang-O2/windassay"
compile clang-O3-fma -DCMAKE_C_COMPILER=clang -DCMAKE_BUILD_TYPE=None \
    "-DCMAKE_C_FLAGS=-O3 -mavx2 -mfma"
variant "clang -O3 -mfma" "$work/a" "$build/identity-clang-O3-fma/windassay"

if [ "$different" -ne 0 ]; then
    cat "$work/differences"
    exit 1
fi
