#!/bin/sh
# Writes the expected lines of the cases anew: renew.sh [BUILD [CASE.t...]]
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$here/../..
build=${1:-$root/build}
[ $# -eq 0 ] || shift
[ $# -gt 0 ] || set -- "$here"/cases/*.t
exec python3 "$here/run.py" --renew "$root" "$build" "$@"
