#!/bin/sh
# The same bytes, anywhere: three days of the invented campaign under variants of compiler,
# optimisation, threads, locale, time zone, folder and FMA; every file of the evidence and of the
# presentation must have the same digest (run.json is listed, never compared).
#
#   run.sh ROOT BUILD       BUILD is a gcc build that is there already
set -eu
root=$1 build=$2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
DAYS=3

"$build/windassay-demo-data" "$work/data" $DAYS
mkdir -p "$work/a"
cp -r "$root/demo/fleet.lua" "$root/demo/shared" "$root/demo/NL-0417" "$work/a/"
sed -i 's/to = "2026-03-31T00:00:00Z"/to = "2026-03-05T00:00:00Z"/' "$work/a/NL-0417/campaign.lua"
mv "$work/data" "$work/a/data"
mkdir -p "$work/another folder"
cp -r "$work/a" "$work/another folder/b"

variant() { # name, folder, command prefix...
    name=$1 folder=$2
    shift 2
    code=0
    "$@" run "$folder/NL-0417/campaign.lua" --into "$work/out/$name" >"$work/$name.txt" 2>&1 ||
        code=$?
    if [ "$code" -ge 64 ]; then
        cat "$work/$name.txt"
        echo "$name: exit code $code"
        exit 1
    fi
    (cd "$work/out/$name/data" && find . -type f ! -name run.json -print0 | sort -z |
        xargs -0 sha256sum) >"$work/$name.sums"
    if cmp -s "$work/base.sums" "$work/$name.sums"; then
        echo "same       $name"
    else
        echo "different  $name"
        diff "$work/base.sums" "$work/$name.sums" || true
        exit 1
    fi
}

compile() { # name, flags of cmake...
    name=$1
    shift
    cmake -G Ninja -S "$root" -B "$build/identity-$name" -DBUILD_TESTING=OFF "$@" >/dev/null
    ninja -C "$build/identity-$name" windassay windassay-cell >/dev/null
}

mkdir -p "$work/out"
"$build/windassay" run "$work/a/NL-0417/campaign.lua" --into "$work/out/first" >/dev/null 2>&1 ||
    [ $? -lt 64 ]
(cd "$work/out/first/data" && find . -type f ! -name run.json -print0 | sort -z |
    xargs -0 sha256sum) >"$work/base.sums"
echo "files compared: $(wc -l <"$work/base.sums")"

"$build/tests/render_again" "$work/out/first"
/usr/bin/python3 "$root/tests/record/validate.py" "$root/docs/reference/result.schema.json" "$work/out/first"
python3 "$root/tests/reference/recompute.py" "$work/out/first"
(cd "$work/out/first" && sha256sum -c --strict --quiet manifest-sha256.txt)

variant again "$work/a" "$build/windassay"
for jobs in 1 2 8; do
    cat >"$work/jobs-$jobs" <<RUN
#!/bin/sh
exec "$build/windassay" "\$@" --jobs $jobs
RUN
    chmod +x "$work/jobs-$jobs"
    variant "jobs-$jobs" "$work/a" "$work/jobs-$jobs"
done
variant another-folder "$work/another folder/b" "$build/windassay"
variant time-zone "$work/a" env TZ=Pacific/Auckland "$build/windassay"
variant no-fma "$work/a" env GLIBC_TUNABLES=glibc.cpu.hwcaps=-AVX2,-FMA "$build/windassay"
if localedef -i de_DE -f UTF-8 "$work/de_DE.UTF-8" 2>/dev/null; then
    variant locale "$work/a" env LOCPATH="$work" LC_ALL=de_DE.UTF-8 "$build/windassay"
else
    echo "no locale could be made: install the package locales"
    exit 1
fi

compile gcc-O0 -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=Debug
variant gcc-O0 "$work/a" "$build/identity-gcc-O0/windassay"
compile gcc-O3-fma -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=None "-DCMAKE_C_FLAGS=-O3 -mfma"
variant gcc-O3-fma "$work/a" "$build/identity-gcc-O3-fma/windassay"
compile clang-O2 -DCMAKE_C_COMPILER=clang
variant clang-O2 "$work/a" "$build/identity-clang-O2/windassay"
