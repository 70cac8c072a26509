#!/bin/sh
# Installs what is missing, builds, writes the invented data, runs the campaigns, checks
# each dossier with sha256sum, and prints what was planted beside what was found.
set -eu
cd "$(dirname "$0")/.."
. core/cmake/set-up.sh
. demo/campaigns.sh
# shellcheck disable=SC2086 # a list of words
windassay_set_up $windassay_build_packages

cmake -G Ninja -B build -DWINDASSAY_WERROR=ON -DBUILD_TESTING=OFF >/dev/null
ninja -C build windassay windassay-cell windassay-demo-data >/dev/null

echo "writing the invented campaigns to demo/data ..."
rm -rf demo/data demo/out
build/windassay-demo-data demo/data
mkdir -p demo/out

expected_of() {
    case $1 in
    NL-0417) echo 0 ;; # passes
    NL-0418) echo 1 ;; # gain 2.5 % high: fails
    NL-0419) echo 2 ;; # six days only: inconclusive
    NL-0421) echo 0 ;; # bench, and line-of-sight speeds of four beams: passes
    NL-0421-wind) echo 0 ;;  # the wind that these beams see, with their calibration: passes
    NL-0421-again) echo 0 ;; # beam 1 once more: has not changed, passes
    NL-0422) echo 0 ;; # a gain within the guard band: conditional pass
    NL-0423) echo 1 ;; # a beam that points half a degree off: fails
    esac
}

summary=
for unit in $demo_campaigns; do
    dossier=demo/out/$unit
    echo
    code=0
    build/windassay run "demo/$(demo_file_of "$unit")" --into "$dossier" --replace || code=$?
    if [ "$code" -ne "$(expected_of "$unit")" ]; then
        echo "$unit: exit code $code, $(expected_of "$unit") was expected" >&2
        exit 1
    fi
    (cd "$dossier" && sha256sum -c --strict --quiet manifest-sha256.txt)
    echo "manifest of $unit: verified by sha256sum"
    demo_hand_on demo "$unit"
    summary="$summary
  $unit  exit code $code  $dossier/data/report.html"
done

echo
echo "What was planted, and what was found (|found - planted| <= 2 u):"
code=0
for unit in $demo_campaigns; do
    tables=demo/out/$unit/data/tables
    sed -n "1p;/^$unit,/p" demo/data/planted.csv >"demo/out/$unit.planted.csv"
    set -- --data planted="demo/out/$unit.planted.csv" --data reasons="demo/out/$unit/data/reasons.csv"
    for values in "$tables"/*.values.csv; do
        id=$(basename "$values" .values.csv)
        set -- "$@" --data "$(echo "$id" | tr . _)=$values"
    done
    build/windassay script demo/planted.lua "$@" || code=$?
done
if [ "$code" -ne 0 ]; then
    echo "something that was planted was not found" >&2
    exit 1
fi

echo
echo "The outcomes and their reports:$summary"
