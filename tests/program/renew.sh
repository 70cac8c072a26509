#!/bin/sh
# Writes what is expected of the commands anew, from what they print now: the cases, and the outputs
# in README and guide. Read the difference before you commit it.
#   renew.sh [BUILD [CASE.t...]]
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
build=${1:-$root/build}
[ $# -eq 0 ] || shift
if [ $# -eq 0 ]; then
    for document in README.md docs/guide.md; do
        python3 "$root/tests/docs/run.py" --renew "$root" "$build" "$root/$document" >/dev/null || true
    done
    set -- "$here"/cases/*.t
fi
exec python3 "$here/run.py" --renew "$root" "$build" "$@"
